//! The notation: every row of the format's table of tricky ones, and printing.
//!
//! Source: `docs/format.md`, section 2. S is in line, P is across.

use network::{Element, Network, Node, Step};

/// The tree in the table's spelling.
fn tree(text: &str) -> String {
    let network = Network::parse(text).unwrap_or_else(|e| panic!("{text}: {} at {}", e.text, e.column));
    spelled(&network, network.root())
}

fn spelled(network: &Network, node: Node) -> String {
    match (network.step(node), network.operands(node)) {
        (Step::Element(element), _) => short(&network.elements()[element]),
        (step, Some((piece, rest))) => {
            let letter = if step == Step::InLine { "S" } else { "P" };
            format!("{letter}({}, {})", spelled(network, piece), spelled(network, rest))
        }
        _ => unreachable!("a joining step has two operands"),
    }
}

fn short(element: &Element) -> String {
    let text = element.written();
    if text.starts_with("wire:") { "wire".to_owned() } else { text }
}

fn error(text: &str) -> (usize, String) {
    match Network::parse(text) {
        Ok(network) => panic!("{text} reads as {}", network.written()),
        Err(e) => (e.column, format!("{}; {}", e.text, e.accept)),
    }
}

#[test]
fn equal_signs_bind_to_the_right() {
    assert_eq!(tree("nc:a - no:b | 470 ohm - 1k"), "S(nc:a, P(no:b, S(470 ohm, 1k)))");
    assert_eq!(tree("nc:a | 4.7k - 4.7k"), "P(nc:a, S(4.7k, 4.7k))");
    assert_eq!(tree("(nc:a | 4.7k) - 4.7k"), "S(P(nc:a, 4.7k), 4.7k)");
    assert_eq!(tree("wire:20m - (nc:a - 12k) | nc:b - 4.7k"), "S(wire, P(S(nc:a, 12k), S(nc:b, 4.7k)))");
    assert_eq!(tree("4k7-nc:a|no:b-1k"), "S(4.7k, P(nc:a, S(no:b, 1k)))");
    assert_eq!(tree("nc:a - 4.7k 1% | 10k 5 %"), "S(nc:a, P(4.7k 1 %, 10k 5 %))");
    assert_eq!(tree("((nc:a))"), "nc:a");
    assert_eq!(tree("nc:pir.alarm - 1k"), "S(nc:pir, 1k)");
    assert_eq!(tree("wire:20m"), "wire");
    assert_eq!(tree("wire:20m - open"), "S(wire, open)");
}

#[test]
fn one_name_and_role_is_one_contact() {
    let network = Network::parse("nc:pir - nc:pir.tamper - no:pir | 1k").unwrap();
    assert_eq!(tree("nc:pir - nc:pir.tamper - no:pir | 1k"), "S(nc:pir, S(nc:pir.tamper, P(no:pir, 1k)))");
    let contacts: Vec<_> = network.contacts().iter().map(|c| (c.label(), c.elements.len())).collect();
    assert_eq!(contacts, [("pir".to_owned(), 2), ("pir.tamper".to_owned(), 1)]);
}

#[test]
fn a_wire_takes_the_nearest_gauge_to_its_left() {
    let gauges = |text: &str| -> Vec<Option<String>> {
        let network = Network::parse(text).unwrap();
        let wires = network.elements().iter().filter_map(|element| match &element.part {
            network::Part::Wire(conductor) => Some(conductor.inherited.map(|gauge| gauge.written())),
            _ => None,
        });
        wires.collect()
    };
    let eighteen = Some("18 AWG".to_owned());
    assert_eq!(gauges("wire:38m - wire:2m@18AWG - 1k"), [None, eighteen.clone()]);
    assert_eq!(gauges("(wire:5m@18AWG - no:a) | wire:5m - 4.7k"), [eighteen.clone(), eighteen]);
    let stranded = Some("20 AWG stranded".to_owned());
    assert_eq!(gauges("wire:38 m @ 20 AWG stranded - wire:2m"), [stranded.clone(), stranded]);
}

#[test]
fn errors_name_their_column() {
    let (column, text) = error("nc:front-door - 2.2k");
    assert_eq!(column, 10);
    assert!(text.contains("`door` is no element") && text.contains("`front_door`"), "{text}");
    for (text, column, says) in [
        ("470", 1, "unit is missing"),
        ("4,7k", 1, "decimal point"),
        ("4.7k1%", 1, "blank"),
        ("nc:pir.mask", 8, "alarm, tamper or fault"),
        ("nc:a -", 7, "an element is wanted here"),
        ("- nc:a", 1, "an element is wanted here"),
        ("nc:a || 1k", 7, "an element is wanted here"),
        ("()", 2, "an element is wanted here"),
        ("nc:a 1k", 6, "a sign is wanted"),
        ("nc:a) - 1k", 5, "no bracket is open"),
        ("(nc:a - 1k", 11, "bracket at 1 is not closed"),
        ("", 1, "an element is wanted here"),
        ("wire:38m@99AWG", 10, "AWG"),
        ("Ω - nc:a", 1, "no element"),
        ("0.00000000000000001234567890123456789 ohm", 1, "too small"),
        ("nc:a - 1k 0.0000001 %", 11, "too small"),
    ] {
        let (found, words) = error(text);
        assert_eq!(found, column, "{text}: {words}");
        assert!(words.contains(says), "{text}: {words}");
    }
}

#[test]
fn a_length_without_unit_is_an_error() {
    assert_eq!(error("wire:38 - 1k").0, 6);
    assert_eq!(error("wire:60..10m").0, 6);
}

#[test]
fn everything_in_the_format_prints_and_reads_back() {
    for text in [
        "wire:38m - nc:a - wire:9m - nc:b - 2.2k",
        "wire:125ft - no:a | wire:10..60m - no:b | 4.7k 1 %",
        "wire:3.2ohm - smoke:D1 | core:15m@18AWG - smoke:D2 | 4.7k",
        "wire:20m - nc:pir.tamper - (nc:pir | 4.7k) - 4.7k^",
        "(wire:20m - nc:a) - (wire:30m - nc:b) - 2.2k",
        "wire:10m - no:D2 | nc:psr.fault - 4.7k",
        "sounder:S1 | joint:J3 - diode - 47uF",
        "wire:20m - joined",
        "wire:1m@0.5mm2 stranded - nc:łazienka_2 - 470 ohm",
    ] {
        let printed =
            Network::parse(text).unwrap_or_else(|e| panic!("{text}: {} at {}", e.text, e.column)).written();
        assert_eq!(printed, text);
    }
}

#[test]
fn huge_and_deep_texts_get_an_error_at_once() {
    let long = vec!["1k"; 2_001].join(" - ");
    assert!(error(&long).1.contains("2000 elements"));
    let most = vec!["1k"; 2_000].join(" | ");
    assert_eq!(Network::parse(&most).unwrap().elements().len(), 2_000);
    let deep = format!("{}nc:a{}", "(".repeat(65), ")".repeat(65));
    assert!(error(&deep).1.contains("64 deep"));
    let deepest = format!("{}nc:a{}", "(".repeat(64), ")".repeat(64));
    assert_eq!(tree(&deepest), "nc:a");
    assert!(error(&"(".repeat(1_000_000)).1.contains("64 deep"));
}

/// By hand: the same resistor in the panel, where a cut of the pair leaves it as it was.
#[test]
fn an_end_resistor_comes_to_the_terminals() {
    let moved = |text: &str| {
        let network = Network::parse(text).expect("it parses");
        network.end_resistor_at_terminals().map(|moved| moved.written())
    };
    assert_eq!(moved("wire:20m - no:a | 4.7k").as_deref(), Some("4.7k | wire:20m - no:a"));
    assert_eq!(moved("wire:20m - nc:a - 4.7k").as_deref(), Some("4.7k - wire:20m - nc:a"));
    assert_eq!(moved("wire:20m - nc:a"), None);
    assert_eq!(moved("4.7k"), None);
}
