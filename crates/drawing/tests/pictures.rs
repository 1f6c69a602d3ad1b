//! Every picture is valid XML with a title and a description, and no lettering lies over other lettering:
//! for the example job, for a large one, for long names, for any network.

use assess::{Assessment, assess};
use document::Source;
use drawing::{
    BandRequest, BandStrip, CheckMark, CircuitRequest, MarkPlace, MarkSign, Measured, Picture, Predicted,
    SupplyEnd, TagRequest, TerminalRequest, band_picture, circuit_picture, circuit_pictures, door_schedule,
    input_rows, tag, tag_code, terminal_drawing,
};
use job::{Display, Job, Shown};
use library::Library;
use network::{Bounds, Network};
use proptest::prelude::*;
use quantity::{Gauge, Ohms, UnitsShown, Written};

fn with_example(check: impl FnOnce(&Assessment)) {
    let source = Source::new("job.toml", include_str!("../../../examples/orchard-row/job.toml"));
    let job = Job::read(&source).expect("the example");
    let library = Library::embedded();
    check(&assess(&job, &library, &|_, _| {}));
}

fn parsed(notation: &str) -> Network {
    Network::parse(notation).expect("the notation")
}

fn request<'a>(network: Option<&'a Network>, marks: &'a [CheckMark]) -> CircuitRequest<'a> {
    CircuitRequest {
        title: "Circuit C07 as found",
        input: "M1.7",
        network,
        gauge: Gauge::parse("22 AWG").expect("a gauge"),
        units: UnitsShown::Metric,
        active: &[],
        marks,
        width_mm: 124.0,
    }
}

/// What holds for every picture.
fn is_sound(what: &str, picture: &Picture) {
    let document = roxmltree::Document::parse(&picture.svg).expect("valid XML");
    let root = document.root_element();
    assert_eq!(root.tag_name().name(), "svg", "{what}");
    for name in ["title", "desc"] {
        let node = root.children().find(|node| node.tag_name().name() == name);
        let text = node.and_then(|node| node.text()).unwrap_or_default();
        assert!(!text.is_empty(), "{what} has no {name}");
    }
    assert!(
        !picture.svg.contains("NaN") && !picture.svg.contains("\"inf") && !picture.svg.contains("Linf"),
        "{what}"
    );
    for (at, one) in picture.lettering.iter().enumerate() {
        let area = one.area;
        let inside = area.left_mm >= 0.0
            && area.top_mm >= 0.0
            && area.right_mm <= picture.width_mm
            && area.bottom_mm <= picture.height_mm;
        assert!(inside, "{what}: `{}` lies outside the sheet", one.text);
        for other in &picture.lettering[at + 1..] {
            assert!(!area.meets(other.area), "{what}: `{}` lies over `{}`", one.text, other.text);
        }
    }
}

fn says(picture: &Picture, text: &str) -> bool {
    picture.lettering.iter().any(|line| line.text == text)
}

#[test]
fn all_circuits_of_the_example_as_found_and_as_they_shall_be() {
    with_example(|assessment| {
        assert_eq!(assessment.circuits.len(), 36);
        for result in &assessment.circuits {
            let mut networks = vec![result.circuit.network.as_ref()];
            if let Some(study) = &result.study {
                networks.extend(study.remedies.iter().map(|remedy| remedy.network.as_ref()));
            }
            for network in networks {
                for units in [UnitsShown::Metric, UnitsShown::Us] {
                    for width_mm in [90.0, 124.0, 170.0] {
                        let drawn =
                            circuit_picture(&CircuitRequest { units, width_mm, ..request(network, &[]) });
                        is_sound(&result.circuit.tag, &drawn);
                        assert!(drawn.width_mm <= width_mm + 6.0, "{}", result.circuit.tag.value);
                    }
                }
            }
        }
    });
}

#[test]
fn all_faults_of_the_example_can_be_marked() {
    with_example(|assessment| {
        for result in &assessment.circuits {
            let (Some(study), Some(network)) = (&result.study, &result.circuit.network) else { continue };
            let mark = |(at, fault): (usize, &circuit::Fault)| CheckMark {
                number: at + 1,
                place: match fault.place {
                    circuit::Place::Terminals => MarkPlace::Terminals,
                    circuit::Place::Behind { rest, .. } => MarkPlace::Ahead(rest),
                    circuit::Place::Branch(node) => MarkPlace::Ahead(node),
                    circuit::Place::Element(element) => MarkPlace::Element(element),
                    circuit::Place::Contact(contact) => MarkPlace::Contact(contact),
                    _ => MarkPlace::Whole,
                },
                sign: [MarkSign::Cloud, MarkSign::Across, MarkSign::Through, MarkSign::Triangle][at % 4],
            };
            let marks: Vec<CheckMark> = study.faults.iter().enumerate().map(mark).collect();
            let drawn = circuit_picture(&request(Some(network), &marks));
            is_sound(&result.circuit.tag, &drawn);
            assert!(marks.iter().all(|mark| says(&drawn, &mark.number.to_string())));
        }
    });
}

#[test]
fn what_every_input_of_the_example_sees() {
    with_example(|assessment| {
        for result in &assessment.circuits {
            let (Some(mode), Some(study)) = (result.mode, &result.study) else { continue };
            let network = result.circuit.network.as_ref().expect("a studied circuit has one");
            let learns = matches!(mode.scale, library::Scale::ShareOfLearned { .. });
            let limits = mode.bands.iter().zip(&mode.limits).enumerate();
            let bands: Vec<BandStrip> = limits
                .map(|(at, (band, limits))| BandStrip {
                    name: band.name.clone(),
                    means: study.means.get(at).copied(),
                    sure: Bounds { lo: limits.sure_lo, hi: limits.sure_hi },
                })
                .collect();
            let predicted: Vec<Predicted> = study
                .states
                .iter()
                .map(|state| Predicted {
                    state: circuit::state_words(network, &state.active),
                    ohms: state.ohms,
                    ok: state.ok,
                    slack_below: state.slack.below.map(Ohms),
                    slack_above: state.slack.above.map(Ohms),
                })
                .collect();
            let drawn = band_picture(&BandRequest {
                title: "What the input sees",
                bands: &bands,
                learned: learns.then_some(Ohms(study.states[0].ohms.lo)),
                predicted: &predicted,
                measured: &measured(result.circuit),
                width_mm: 170.0,
            });
            is_sound(&result.circuit.tag, &drawn);
            assert!(drawn.height_mm < 140.0, "{} is {} mm high", result.circuit.tag.value, drawn.height_mm);
        }
    });
}

fn measured(circuit: &job::Circuit) -> Vec<Measured> {
    let shown = circuit.found.iter().flat_map(|reading| &reading.shown);
    let readings = shown.filter_map(|shown| match shown {
        Shown::Ohms(Display::Value { value, .. }) => {
            Some(Measured { ohms: *value, words: format!("{} as found", value.shown(3)) })
        }
        Shown::Ohms(Display::Open) => Some(Measured { ohms: Ohms::INFINITE, words: "over range".to_owned() }),
        _ => None,
    });
    readings.collect()
}

#[test]
fn terminals_of_modules_of_any_size() {
    with_example(|assessment| {
        let job = assessment.job;
        let supply = SupplyEnd {
            id: "P1",
            feed: "mains transformer, AC, no polarity",
            feed_signs: ["~", "~"],
            battery: "24 V: 2 in series, 1 in parallel of 12 V, 7 Ah",
        };
        let outputs = [("S1".to_owned(), "sounder circuit C35".to_owned())];
        for (module, count, smoke) in
            [("M1", 12, [12]), ("M2", 16, [0]), ("M3", 8, [7]), ("M1", 40, [12]), ("M9", 1, [1])]
        {
            let inputs = input_rows(job, module, 1..=count, &smoke);
            assert_eq!(inputs.len(), usize::from(count));
            for width_mm in [170.0, 58.0] {
                let drawn = terminal_drawing(&TerminalRequest {
                    module,
                    words: "Input module",
                    inputs: &inputs,
                    outputs: &outputs,
                    supply: Some(supply),
                    width_mm,
                });
                is_sound(module, &drawn);
                assert!(drawn.width_mm < width_mm + 3.0, "{module}: {}", drawn.width_mm);
            }
        }
        let shared = &input_rows(job, "M1", 8..=8, &[])[0];
        assert_eq!((shared.live.as_str(), shared.back.as_str()), ("K3 red", "K3 black, with C09"));
        let doors = door_schedule(job, "E1", &|_| 14, &|_, number| format!("mode {number}"));
        assert_eq!(doors.len(), 28);
        assert_eq!(
            (doors[6].tag.as_str(), doors[6].resistor.as_str()),
            ("C07", "3.3\u{2009}kΩ, 6.8\u{2009}kΩ, 2.2\u{2009}kΩ")
        );
    });
}

#[test]
fn tags_with_and_without_a_place() {
    for (tag_text, place) in [("C07", "dispensary hatch and drug cupboard"), ("41", ""), ("C123456789", LONG)]
    {
        let drawn = tag(&TagRequest { site: "Orchard Row Veterinary Hospital", tag: tag_text, place });
        is_sound(tag_text, &drawn);
        assert!((drawn.width_mm - 50.0).abs() < 1e-9 && (drawn.height_mm - 20.0).abs() < 1e-9);
    }
    assert_eq!(
        tag_code("Orchard Row Veterinary Hospital", "C07"),
        "loopwright:orchard-row-veterinary-hospital/C07"
    );
}

/// Sixty letters with accents and Polish ones.
const LONG: &str = "magazyn_łóżek_i_żywności_dla_źrebiąt_przy_bramie_północnej_2";
const LONGER: &str = "fenêtre_été_à_l_arrière_du_bâtiment_principal_côté_cour_0012";

#[test]
fn names_of_sixty_letters_are_all_there() {
    let notation = format!(
        "2.2k - wire:38m - nc:{LONG} - wire:2m - nc:{LONGER} - no:{LONG}.tamper | (no:{LONGER}.fault - 470 ohm) | 1k"
    );
    let network = parsed(&notation);
    for width_mm in [90.0, 124.0] {
        let drawn = circuit_picture(&CircuitRequest { width_mm, ..request(Some(&network), &[]) });
        is_sound("long names", &drawn);
        let all: String = drawn.lettering.iter().map(|line| line.text.as_str()).collect();
        for name in [LONG, LONGER] {
            assert!(all.contains(name), "{name} is cut: {all}");
        }
    }
}

#[test]
fn a_cable_of_400_m_beside_one_of_2_m() {
    let network = parsed("wire:400m - nc:a - wire:2m - nc:b - 2.2k");
    let drawn = circuit_picture(&request(Some(&network), &[]));
    is_sound("400 m", &drawn);
    assert!(drawn.scale_words.ends_with("underlined: not to scale"), "{}", drawn.scale_words);
    assert!(says(&drawn, "400\u{2009}m") && says(&drawn, "2\u{2009}m"));
}

#[test]
fn one_long_run_is_broken_where_that_puts_more_to_scale() {
    let network = parsed("wire:400m - nc:a - wire:20m - nc:b - wire:15m - nc:c - 2.2k");
    let drawn = circuit_picture(&request(Some(&network), &[]));
    is_sound("broken", &drawn);
    assert_eq!(drawn.scale_words, "1\u{2009}m = 1\u{2009}mm; underlined: not to scale");
}

#[test]
fn lengths_are_in_the_units_of_the_job() {
    let network = parsed("wire:125ft - nc:a - wire:38m - nc:b - 4.7k");
    let feet = circuit_picture(&CircuitRequest { units: UnitsShown::Us, ..request(Some(&network), &[]) });
    assert!(says(&feet, "125\u{2009}ft") && says(&feet, "125\u{2009}ft"));
    assert!(feet.scale_words.contains("ft ="), "{}", feet.scale_words);
    let metres = circuit_picture(&request(Some(&network), &[]));
    assert!(says(&metres, "38\u{2009}m"));
}

#[test]
fn what_was_not_measured_is_said() {
    for network in [None, Some(parsed("nc:a - 2.2k"))] {
        let drawn = circuit_picture(&request(network.as_ref(), &[]));
        is_sound("not measured", &drawn);
        assert!(says(&drawn, "not measured"));
        assert_eq!(drawn.scale_words, "not to scale");
        assert!(drawn.svg.contains("stroke-dasharray"));
    }
}

#[test]
fn as_found_and_as_it_shall_be_have_one_scale() {
    let found = parsed("2.2k - wire:38m - nc:leaf1 - wire:2m - nc:leaf2");
    let shall = parsed("wire:38m - nc:leaf1 - wire:2m - nc:leaf2 - 2.2k");
    let both = circuit_pictures(&[request(Some(&found), &[]), request(Some(&shall), &[])]);
    assert_eq!(both.len(), 2);
    assert_eq!(both[0].scale_words, both[1].scale_words);
    for picture in &both {
        is_sound("one scale", picture);
        assert!(picture.width_mm <= 124.1);
    }
    assert!(circuit_pictures(&[]).is_empty());
}

#[test]
fn the_same_request_gives_the_same_bytes() {
    let network = parsed("wire:20m - (wire:12m - no:x) | (wire:3m - nc:h) - no:y | 4.7k");
    let one = circuit_picture(&request(Some(&network), &[]));
    assert_eq!(one, circuit_picture(&request(Some(&network), &[])));
}

#[test]
fn the_largest_networks_are_drawn() {
    let mut chain = String::new();
    for at in 0..650 {
        chain.push_str(&format!("wire:{}m - nc:a{at} - no:b{at} | ", at % 40 + 1));
    }
    chain.push_str("1k");
    let home_runs = "(wire:4m - nc:a) - ".repeat(600) + "1k";
    let deep = "(wire:2m - nc:a - ".repeat(60) + "nc:b" + &")".repeat(60) + " - 1k";
    let deep_taps = "(wire:2m - no:a | ".repeat(60) + "no:b" + &")".repeat(60) + " | 1k";
    for notation in [chain, home_runs, deep, deep_taps] {
        let network = parsed(&notation);
        let drawn = circuit_picture(&request(Some(&network), &[]));
        assert!(roxmltree::Document::parse(&drawn.svg).is_ok());
    }
}

/// A job of 300 circuits, of every kind of wiring.
#[test]
fn three_hundred_circuits() {
    let kinds = [
        "wire:{n}m - nc:door{n} - 2.2k",
        "wire:{n}m - nc:leaf1 - wire:2m - nc:leaf2 - wire:3m - nc:leaf3 - 4.7k",
        "wire:{n}m - (nc:pir{n} | 4.7k) - nc:pir{n}.tamper - 4.7k",
        "(wire:{n}m - nc:a) - (wire:7m - nc:b) - 1k",
        "wire:{n}m - smoke:D{n} | wire:8m - smoke:E{n} | wire:9m - smoke:F{n} | 4.7k",
        "4.7k | wire:{n}m - (wire:9m - no:tap{n}) | wire:12m - joint:J{n} - nc:far^ - 4.7k 1 %",
    ];
    for n in 0..300 {
        let network = parsed(&kinds[n % kinds.len()].replace("{n}", &(n + 1).to_string()));
        is_sound(&network.written(), &circuit_picture(&request(Some(&network), &[])));
    }
}

/// Any network up to a few brackets deep.
fn notation() -> impl Strategy<Value = String> {
    let name = "[a-z][a-z_]{0,24}";
    let element = prop_oneof![
        (1..90_u32).prop_map(|metres| format!("wire:{metres}m")),
        (1..9_u32, 10..60_u32).prop_map(|(from, to)| format!("wire:{from}..{to}m")),
        name.prop_map(|name| format!("nc:{name}")),
        name.prop_map(|name| format!("no:{name}.tamper^")),
        name.prop_map(|name| format!("smoke:{name}")),
        name.prop_map(|name| format!("sounder:{name}")),
        Just("2.2k".to_owned()),
        Just("470 ohm 1 %".to_owned()),
        Just("wire:3.2ohm".to_owned()),
        Just("joint:J3".to_owned()),
        Just("47uF".to_owned()),
        Just("diode".to_owned()),
        Just("open".to_owned()),
    ];
    element.prop_recursive(3, 24, 6, |inner| {
        (prop::collection::vec((inner, any::<bool>()), 1..6)).prop_map(|pieces| {
            let mut text = String::from("(");
            for (at, (piece, across)) in pieces.iter().enumerate() {
                if at > 0 {
                    text.push_str(if *across { " | " } else { " - " });
                }
                text.push_str(piece);
            }
            text + ")"
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    #[test]
    fn any_network_is_drawn_without_lettering_over_lettering(text in notation()) {
        // A name may come twice with other forms; what the notation refuses is not drawn.
        if let Ok(network) = Network::parse(&text) {
            is_sound(&text, &circuit_picture(&request(Some(&network), &[])));
        }
    }
}

/// Two to five bands, readings anywhere, values anywhere.
fn sight() -> impl Strategy<Value = (Vec<BandStrip>, Vec<Predicted>, Vec<Measured>)> {
    let decade = || (0.0..6.5_f64).prop_map(|power| 10_f64.powf(power));
    let bands = prop::collection::vec((decade(), 0.0..0.2_f64), 1..5).prop_map(|mut edges| {
        edges.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut bands = Vec::new();
        let mut from = 0.0;
        for (at, (edge, tolerance)) in edges.iter().enumerate() {
            let sure = Bounds { lo: from, hi: (edge * (1.0 - tolerance)).max(from) };
            bands.push(BandStrip { name: format!("band{at}"), means: Some(network::Meaning::Trouble), sure });
            from = (edge * (1.0 + tolerance)).max(sure.hi);
        }
        let sure = Bounds { lo: from, hi: f64::INFINITY };
        bands.push(BandStrip { name: "open".to_owned(), means: None, sure });
        bands
    });
    let state = (decade(), 1.0..3.0_f64, any::<bool>(), 1..40_usize).prop_map(|(lo, factor, ok, letters)| {
        let slack = ok.then_some(Ohms(lo / 3.0));
        let hi = if factor > 2.8 { f64::INFINITY } else { lo * factor };
        let state = "leaf open ".repeat(letters).chars().take(letters).collect();
        Predicted { state, ohms: Bounds { lo, hi }, ok: Some(ok), slack_below: slack, slack_above: slack }
    });
    let value = decade().prop_map(|ohms| Measured { ohms: Ohms(ohms), words: format!("{ohms:.3} as found") });
    (bands, prop::collection::vec(state, 0..6), prop::collection::vec(value, 0..5))
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    #[test]
    fn any_bands_and_readings_are_drawn_without_lettering_over_lettering((bands, predicted, measured) in sight()) {
        let request = BandRequest {
            title: "What the input sees",
            bands: &bands,
            learned: None,
            predicted: &predicted,
            measured: &measured,
            width_mm: 170.0,
        };
        is_sound(&format!("{request:?}"), &band_picture(&request));
    }
}

#[test]
fn snapshots() {
    let network = parsed("wire:38m - nc:leaf1 - wire:2m - nc:leaf2 - 2.2k");
    let marks = [CheckMark { number: 1, place: MarkPlace::Contact(0), sign: MarkSign::Cloud }];
    let drawn = circuit_picture(&CircuitRequest { active: &[1], ..request(Some(&network), &marks) });
    insta::assert_snapshot!("two_leaves", drawn.svg);
    let bands = [
        BandStrip { name: "short".to_owned(), means: None, sure: Bounds { lo: 0.0, hi: 1164.0 } },
        BandStrip { name: "rest".to_owned(), means: None, sure: Bounds { lo: 1236.0, hi: f64::INFINITY } },
    ];
    let predicted = [Predicted {
        state: "at rest".to_owned(),
        ohms: Bounds { lo: 2090.0, hi: 2330.0 },
        ok: Some(true),
        slack_below: Some(Ohms(854.0)),
        slack_above: None,
    }];
    let drawn = band_picture(&BandRequest {
        title: "What input M1.7 sees",
        bands: &bands,
        learned: None,
        predicted: &predicted,
        measured: &[Measured { ohms: Ohms(2210.0), words: "2.21 kΩ as found".to_owned() }],
        width_mm: 170.0,
    });
    insta::assert_snapshot!("one_edge", drawn.svg);
}
