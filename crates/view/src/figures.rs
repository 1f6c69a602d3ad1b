//! Drawings as the templates place them: SVG text, its size on paper, and words for who cannot see it.

use assess::{Assessment, CircuitResult};
use circuit::{State, state_words};
use drawing::{
    BandRequest, BandStrip, CheckMark, CircuitRequest, InputRow, Measured, Picture, Predicted, SupplyEnd,
    TagRequest, TerminalRequest, band_picture, circuit_pictures, terminal_drawing,
};
use job::{Display, Module, Reading, Shown, Units, When};
use library::{Current, Kind, Scale};
use network::{Bounds, Network};
use quantity::{Ohms, UnitsShown, Volts, Written};
use serde::Serialize;
use supply::Study;

/// Room for a circuit beside its notes.
const BESIDE_NOTES: f64 = 116.0;
/// Room for a drawing across the narrower of the two papers.
pub const ACROSS: f64 = 170.0;
/// As wide as the smallest phone, in letters that can be read there.
pub const ON_A_PHONE: f64 = 58.0;
/// What is no excess of width.
const ROUNDING: f64 = 0.5;
/// Inputs in one terminal drawing.
const INPUTS_A_DRAWING: usize = 24;

/// One drawing.
#[derive(Serialize)]
pub struct Figure {
    /// The drawing, without title and description.
    pub svg: String,
    /// On paper.
    pub width_mm: f64,
    /// What it shows, in words.
    pub alt: String,
}

impl Figure {
    /// Takes a picture with what it shows in words.
    #[must_use]
    pub fn new(picture: Picture, alt: String) -> Self {
        Self { width_mm: picture.width_mm, svg: untitled(picture.svg), alt }
    }
}

/// A drawing without title and description: the document has them as `alt`, and circuits that look alike then share
/// one drawing.
fn untitled(mut svg: String) -> String {
    const END: &str = "</desc>\n";
    if let (Some(from), Some(to)) = (svg.find("<title>"), svg.find(END)) {
        svg.replace_range(from..to + END.len(), "");
    }
    svg
}

/// The job's units as drawings take them.
pub fn units(assessment: &Assessment) -> UnitsShown {
    match assessment.job.site.units {
        Units::Us => UnitsShown::Us,
        Units::Metric => UnitsShown::Metric,
    }
}

/// A circuit's drawings, all to one scale.
pub struct Drawn {
    /// As found, with the checker's marks.
    pub found: Figure,
    /// As it shall be, where that is another network.
    pub shall: Option<Figure>,
    /// The scale in words.
    pub scale: String,
}

/// On paper: beside the notes, or across where that is too narrow.
pub(crate) const ON_PAPER: [f64; 2] = [BESIDE_NOTES, ACROSS];

/// The circuit as it was found and as it shall be, in the first of two widths in which it fits.
pub fn circuit(
    assessment: &Assessment,
    result: &CircuitResult,
    found: &Network,
    shall: Option<&Network>,
    marks: &[CheckMark],
    widths: [f64; 2],
) -> Option<Drawn> {
    let circuit = result.circuit;
    let input = crate::words::input(circuit);
    let titles = ["as found", "as it shall be"].map(|how| format!("Circuit {} {how}", circuit.tag.value));
    let request = |at: usize, network, marks, width_mm| CircuitRequest {
        title: &titles[at],
        input: if input.is_empty() { &circuit.tag } else { &input },
        network: Some(network),
        gauge: circuit.gauge.unwrap_or(assessment.job.assume.cable),
        units: units(assessment),
        active: &[],
        marks,
        width_mm,
    };
    let draw = |width_mm: f64| {
        let mut requests = vec![request(0, found, marks, width_mm)];
        requests.extend(shall.map(|network| request(1, network, [].as_slice(), width_mm)));
        circuit_pictures(&requests)
    };
    let excess = |pictures: &[Picture]| {
        pictures.iter().map(|picture| picture.width_mm - widths[0]).fold(0.0, f64::max)
    };
    let narrowest = widths[0];
    let mut pictures = draw(narrowest);
    if excess(&pictures) > ROUNDING {
        // A mark may stand out at the end: drawn a little narrower, it still fits.
        pictures = draw(narrowest - excess(&pictures));
    }
    if excess(&pictures) > ROUNDING {
        pictures = draw(widths[1]);
    }
    let mut pictures = pictures.into_iter();
    let first = pictures.next()?;
    let alt = |title: &str, network: &Network| format!("{title}: {}", network.written());
    Some(Drawn {
        scale: first.scale_words.clone(),
        found: Figure::new(first, alt(&titles[0], found)),
        shall: pictures
            .next()
            .zip(shall)
            .map(|(picture, network)| Figure::new(picture, alt(&titles[1], network))),
    })
}

/// A circuit that is tried out: another network, some of its contacts switched.
#[must_use]
pub fn tried(
    assessment: &Assessment,
    result: &CircuitResult,
    network: &Network,
    active: &[usize],
    width_mm: f64,
) -> Option<Figure> {
    let circuit = result.circuit;
    let input = crate::words::input(circuit);
    let title = format!("Circuit {} tried out", circuit.tag.value);
    let pictures = circuit_pictures(&[CircuitRequest {
        title: &title,
        input: if input.is_empty() { &circuit.tag } else { &input },
        network: Some(network),
        gauge: circuit.gauge.unwrap_or(assessment.job.assume.cable),
        units: units(assessment),
        active,
        marks: &[],
        width_mm,
    }]);
    let alt = format!("{title}: {}; {}", network.written(), circuit::state_words(network, active));
    pictures.into_iter().next().map(|picture| Figure::new(picture, alt))
}

/// What the input sees; none without a mode.
#[must_use]
pub fn bands(result: &CircuitResult) -> Option<Figure> {
    bands_with(result, &[], ACROSS)
}

/// What the input sees, with readings of a circuit that is tried out above its own.
#[must_use]
pub fn bands_with(result: &CircuitResult, tried: &[Predicted], width_mm: f64) -> Option<Figure> {
    let (mode, study) = (result.mode?, result.study.as_ref()?);
    let network = result.circuit.network.as_ref()?;
    let strips: Vec<BandStrip> = mode
        .bands
        .iter()
        .zip(&mode.limits)
        .enumerate()
        .map(|(at, (band, limits))| BandStrip {
            name: band.name.clone(),
            means: study.means.get(at).copied(),
            sure: Bounds { lo: limits.sure_lo, hi: limits.sure_hi },
        })
        .collect();
    let alone = study.states.iter().filter(|state| state.active.len() <= 1);
    let own = alone.map(|state| predicted(network, state));
    let predicted: Vec<Predicted> = tried.iter().cloned().chain(own).collect();
    let measured = measured(&result.circuit.found, width_mm < BESIDE_NOTES);
    let rest = study.states.first()?.ohms;
    let learned =
        matches!(mode.scale, Scale::ShareOfLearned { .. }).then(|| Ohms(f64::midpoint(rest.lo, rest.hi)));
    let title = format!(
        "What input {} sees of circuit {}",
        crate::words::input(result.circuit),
        result.circuit.tag.value
    );
    let picture = band_picture(&BandRequest {
        title: &title,
        bands: &strips,
        learned: learned.filter(|learned| learned.is_finite()),
        predicted: &predicted,
        measured: &measured,
        width_mm,
    });
    Some(Figure::new(picture, format!("{title}, on one ohm scale; the numbers stand in the meter table")))
}

fn predicted(network: &Network, state: &State) -> Predicted {
    let at_rest = state.active.is_empty();
    let room = |ohms: Option<f64>| ohms.filter(|_| at_rest).map(Ohms);
    Predicted {
        state: state_words(network, &state.active),
        ohms: state.ohms,
        ok: state.ok,
        slack_below: room(state.slack.below),
        slack_above: room(state.slack.above),
    }
}

/// Readings in ohms that were taken at the pair as it stood: at rest, or with a device tripped.
fn measured(found: &[Reading], short: bool) -> Vec<Measured> {
    let mut all = Vec::new();
    for reading in found {
        let when = match &reading.when {
            When::Rest => "as found".to_owned(),
            When::Device(name) if short => name.clone(),
            When::Device(name) => format!("{name}, as found"),
            _ => continue,
        };
        for shown in &reading.shown {
            let Shown::Ohms(Display::Value { value, .. }) = shown else { continue };
            all.push(Measured { ohms: *value, words: format!("{} {when}", value.shown(3)) });
        }
    }
    all
}

/// A module's terminals, in as many drawings as fit on sheets; the supply stands on the last.
pub fn terminals(assessment: &Assessment, module: &Module) -> Vec<Figure> {
    terminals_in(assessment, module, ACROSS)
}

/// The same, one input under the other.
#[must_use]
pub fn terminals_on_a_phone(assessment: &Assessment, module: &Module) -> Vec<Figure> {
    terminals_in(assessment, module, ON_A_PHONE)
}

fn terminals_in(assessment: &Assessment, module: &Module, width_mm: f64) -> Vec<Figure> {
    let job = assessment.job;
    let last = crate::words::inputs(assessment, module);
    let smoke = smoke_inputs(assessment, module);
    let rows = drawing::input_rows(job, &module.id, 1..=last, &smoke);
    let outputs: Vec<(String, String)> = job
        .outputs
        .iter()
        .filter_map(|output| {
            Some((output.id.value.strip_prefix(module.id.as_str())?.strip_prefix('.')?, output))
        })
        .map(|(name, output)| (name.to_owned(), output.drives.clone()))
        .collect();
    let study = assessment.supplies.iter().find(|study| {
        let enclosure = study.plan.supply.enclosure.as_ref().map(|id| &id.value);
        enclosure.is_some() && enclosure == module.enclosure.as_ref().map(|id| &id.value)
    });
    let battery = study.map(|study| battery(assessment, study)).unwrap_or_default();
    let (feed, feed_signs) = study.map_or((String::new(), ["~", "~"]), feed);
    let pieces: Vec<&[InputRow]> = rows.chunks(INPUTS_A_DRAWING).collect();
    let count = pieces.len();
    let draw = |(at, inputs): (usize, &&[InputRow])| {
        let at_end = at + 1 == count;
        let picture = terminal_drawing(&TerminalRequest {
            module: &module.id,
            words: "",
            inputs,
            outputs: if at_end { &outputs } else { &[] },
            supply: study.filter(|_| at_end).map(|study| SupplyEnd {
                id: &study.plan.supply.id,
                feed: &feed,
                feed_signs,
                battery: &battery,
            }),
            width_mm,
        });
        let on: Vec<String> = inputs
            .iter()
            .filter(|row| !row.tag.is_empty())
            .map(|row| format!("{} {}", row.number, row.tag))
            .collect();
        let alt = format!("Terminals of module {}, input and circuit: {}", module.id.value, on.join(", "));
        Figure::new(picture, alt)
    };
    pieces.iter().enumerate().map(draw).collect()
}

/// Inputs whose two-wire smoke listing holds in the mode that the module is set to.
fn smoke_inputs(assessment: &Assessment, module: &Module) -> Vec<u16> {
    let profile = crate::words::module_profile(assessment, module);
    let named = module.mode.as_ref();
    let mode =
        profile.zip(named).and_then(|(profile, id)| profile.modes.iter().find(|mode| mode.id == id.value));
    mode.map(|mode| mode.smoke_inputs.clone()).unwrap_or_default()
}

/// `12 V, 7 Ah`, `24 V: 2 in series, 1 in parallel of 12 V, 7 Ah`; the profile's id where the library does not know it.
fn battery(assessment: &Assessment, study: &Study) -> String {
    let Some(id) = &study.plan.supply.battery else { return String::new() };
    let Some(Kind::Battery(block)) =
        assessment.library.profiles.get(id.as_str()).map(|profile| &profile.kind)
    else {
        return id.value.clone();
    };
    let block = format!("{}, {}", block.volts.written(), block.capacity.written());
    match study.battery.as_ref().map(|battery| &battery.bank) {
        Some(bank) if bank.in_series * bank.strings > 1 => format!(
            "{}: {} in series, {} in parallel of {block}",
            Volts(bank.volts()).shown(2),
            bank.in_series,
            bank.strings
        ),
        _ => block,
    }
}

/// What feeds a supply, with the lead that is marked, and the signs at its terminals.
fn feed(study: &Study) -> (String, [&'static str; 2]) {
    let wants = study.plan.profile.and_then(|profile| profile.input).map(|input| input.current);
    let signs = match wants {
        Some(Current::Alternating) => ["~", "~"],
        Some(Current::Direct) => ["+", "\u{2212}"],
        None if study.plan.profile.is_some() => ["L", "N"],
        None => ["~", "~"],
    };
    let named = study.mains.as_ref();
    let words = match (named.map(|mains| mains.gives).or(wants), named) {
        (Some(Current::Alternating), _) => {
            let source = named.map_or("transformer", |mains| &mains.profile);
            format!("{source}, AC, either way round")
        }
        (Some(Current::Direct), _) => {
            let source = named.map_or("adapter", |mains| &mains.profile);
            let marked = named.map_or("", |mains| &mains.marked);
            format!("{source}, DC; {}", if marked.is_empty() { "polarity by meter" } else { marked })
        }
        (None, _) if study.plan.profile.is_some() => {
            "mains and earth: an electrician's, where the law reserves it".to_owned()
        }
        (None, _) => "mains or transformer, as its manual says".to_owned(),
    };
    (words, signs)
}

/// A cable tag; a blank one where no circuit has it yet.
pub fn tag(assessment: &Assessment, tag: &str, place: &str) -> Figure {
    let site = assessment.job.site.name.as_str();
    let picture = drawing::tag(&TagRequest { site, tag, place });
    let what = if place.is_empty() { String::new() } else { format!(", {place}") };
    Figure::new(picture, format!("Tag {tag}{what}; its square code says {}", drawing::tag_code(site, tag)))
}
