//! A circuit tried out: open a door, cut a wire, let damp in, change a resistor, and the reading moves along the bands.
//!
//! All of it stands in the query, so that it works without script and a link keeps it.

use assess::{Assessment, CircuitResult, Trial, trial};
use drawing::Predicted;
use maud::{Markup, html};
use network::{Element, Network, Part, Piece, Sign, Sketch};
use quantity::preferred::{Series, values};
use quantity::{Interval, Ohms, Ratio, Written, parse};
use view::figures::{ACROSS, bands_with, tried};

use crate::answer::{Answer, Content, said};
use crate::card::place_of;
use crate::frame::{Open, both, figure, mark};
use crate::request::Request;

/// Sizes of damp and of a bad joint that can be tried.
const SIZES: (Ohms, Ohms) = (Ohms(10.0), Ohms(1e6));
/// The size that stands there first, among the sizes.
const USUAL_SIZE: usize = 36;
/// Places that a fault can be put at.
const PLACES_SHOWN: usize = 60;

/// The bands as wide as a phone, so that the reading moves where one sees it.
pub(crate) const ON_A_PHONE: f64 = 70.0;

/// What can go wrong here.
const FAULTS: [(&str, &str); 5] = [
    ("", "nothing"),
    ("cut", "a conductor cut"),
    ("short", "the pair shorted"),
    ("leak", "damp across the pair"),
    ("joint", "a bad joint in line"),
];

/// What is tried.
#[derive(Clone)]
struct Asked {
    trips: Vec<String>,
    fault: String,
    place: usize,
    size: usize,
    /// By the resistor's place among the elements.
    resistors: Vec<(usize, String)>,
    /// The network whose places these are; empty where nobody says.
    of: String,
}

impl Asked {
    fn of(request: &Request) -> Self {
        let all = |name: &str| {
            request.query.iter().filter(|(key, _)| key == name).map(|(_, value)| value.clone()).collect()
        };
        let resistors = request.query.iter().filter_map(|(key, value)| {
            let at = key.strip_prefix('r')?.parse().ok()?;
            (!value.trim().is_empty()).then(|| (at, value.trim().to_owned()))
        });
        Self {
            trips: all("trip"),
            fault: request.asked("fault").to_owned(),
            place: request.asked("at").parse().unwrap_or(0),
            size: request.asked("size").parse().unwrap_or(USUAL_SIZE),
            resistors: resistors.collect(),
            of: request.asked("of").to_owned(),
        }
    }

    /// Places are numbers: in another network they would be other ones.
    fn is_of_another(&self, network: &Network) -> bool {
        !self.of.is_empty() && self.of != network.written()
    }

    fn is_anything(&self) -> bool {
        !self.trips.is_empty() || !self.fault.is_empty() || !self.resistors.is_empty()
    }
}

impl Default for Asked {
    fn default() -> Self {
        let (trips, fault, place, size) = (Vec::new(), String::new(), 0, USUAL_SIZE);
        Self { trips, fault, place, size, resistors: Vec::new(), of: String::new() }
    }
}

/// Sizes from least to most.
fn sizes() -> Vec<Ohms> {
    values(Series::E12, Interval::new(SIZES.0, SIZES.1)).collect()
}

/// The form with what it shows.
pub(crate) fn panel(open: &Open, assessment: &Assessment, at: usize) -> Markup {
    let Some(result) = assessment.circuits.get(at) else { return html! {} };
    let Some(network) = &result.circuit.network else { return html! {} };
    let sent = Asked::of(open.request);
    let asked = if sent.is_of_another(network) { Asked::default() } else { sent.clone() };
    let tag = result.circuit.tag.value.as_str();
    html! {
        section.play id="play" {
            h2 { "Try it out" }
            div id="tried" aria-live="polite" { (outcome(open, assessment, at, result, network, &sent)) }
            form method="get" action=(format!("{}#play", open.path(&["c", tag]))) data-live="#tried" data-from=(open.path(&["c", tag, "play"])) {
                input type="hidden" name="of" value=(network.written());
                (doors(network, &asked))
                div.row { (fault(network, &asked)) (resistors(network, &asked)) }
                div.presses data-plain="yes" { button type="submit" { "Try it" } a.button href=(open.path(&["c", tag])) { "As it is" } }
            }
        }
    }
}

fn doors(network: &Network, asked: &Asked) -> Markup {
    html! {
        @if !network.contacts().is_empty() {
            fieldset.doors {
                legend { "Trip" }
                @for (at, contact) in network.contacts().iter().enumerate() {
                    @let label = contact.label();
                    label.choice {
                        input type="checkbox" name="trip" value=(label) checked[asked.trips.contains(&label)];
                        span { (circuit::state_words(network, &[at])) }
                    }
                }
            }
        }
    }
}

fn fault(network: &Network, asked: &Asked) -> Markup {
    let sizes = sizes();
    let shown = sizes.get(asked.size).or(sizes.last()).map_or(String::new(), |ohms| ohms.shown(2));
    html! {
        div {
            label for="fault" { "What goes wrong" }
            select id="fault" name="fault" { @for (word, words) in FAULTS { option value=(word) selected[word == asked.fault] { (words) } } }
        }
        div {
            label for="fault-at" { "Where" }
            select id="fault-at" name="at" {
                @for (at, spot) in spots(network).iter().enumerate().take(PLACES_SHOWN) {
                    option value=(at) selected[at == asked.place] { (spot.words) }
                }
            }
        }
        div {
            label for="size" { "Size of damp or joint: " output for="size" data-size="yes" { (shown) } }
            input id="size" type="range" name="size" min="0" max=(sizes.len().saturating_sub(1)) value=(asked.size.min(sizes.len().saturating_sub(1))) aria-valuetext=(shown);
        }
    }
}

fn resistors(network: &Network, asked: &Asked) -> Markup {
    let all = network.elements().iter().enumerate().filter_map(|(at, element)| match element.part {
        Part::Resistor { nominal, .. } => Some((at, nominal)),
        _ => None,
    });
    html! {
        @for (at, nominal) in all {
            @let id = format!("r{at}");
            @let typed = asked.resistors.iter().find(|(of, _)| *of == at).map_or("", |(_, text)| text.as_str());
            div {
                label for=(id) { "In place of " (circuit::element_name(network, at)) }
                input id=(id) name=(id) value=(typed) placeholder=(nominal.written()) autocomplete="off" autocapitalize="off" spellcheck="false";
            }
        }
    }
}

/// What the input reads then.
fn outcome(
    open: &Open,
    assessment: &Assessment,
    at: usize,
    result: &CircuitResult,
    network: &Network,
    asked: &Asked,
) -> Markup {
    if asked.is_of_another(network) {
        return html! {
            p.answer role="alert" {
                "The circuit is another by now: nothing was tried. "
                a href=(format!("{}#play", open.path(&["c", &result.circuit.tag]))) { "Look again" } "."
            }
        };
    }
    let changed = match changed(network, asked) {
        Ok(changed) => changed,
        Err(says) => return html! { p.answer { (says) } },
    };
    let active: Vec<usize> = (0..changed.contacts().len())
        .filter(|at| asked.trips.contains(&changed.contacts()[*at].label()))
        .collect();
    let Some(trial) = trial(assessment, at, &changed, &active) else { return html! {} };
    let now = Predicted {
        state: if asked.is_anything() { "as tried".to_owned() } else { "as it is".to_owned() },
        ohms: trial.ohms,
        ok: trial.ok,
        slack_below: None,
        slack_above: None,
    };
    let try_in = |width_mm| tried(assessment, result, &changed, &active, width_mm);
    html! {
        p.answer { (says(result, network, &trial, asked, !active.is_empty())) }
        @if asked.is_anything() {
            @if let Some((wide, narrow)) = try_in(ACROSS).zip(try_in(view::figures::ON_A_PHONE)) { (both(&wide, &narrow)) }
        }
        @if let Some(drawn) = bands_with(result, std::slice::from_ref(&now), ACROSS) { div.drawn-wide { (figure(&drawn)) } }
        @if let Some(drawn) = bands_with(result, &[now], ON_A_PHONE) { div.drawn-narrow { (figure(&drawn)) } }
        data.size hidden value=(sizes().get(asked.size).map_or(String::new(), |ohms| ohms.shown(2))) {}
    }
}

/// The outcome in a sentence.
fn says(result: &CircuitResult, network: &Network, trial: &Trial, asked: &Asked, active: bool) -> Markup {
    let meter = trial.meter.shown();
    let Some(mode) = result.mode else {
        return html! { "Your meter shows " (meter) "; it is on no input that is known." };
    };
    let Some((band, means)) = trial.band.zip(trial.means) else {
        return html! { (mark("fix")) " The input may read one band or another, and nobody can say which. Your meter shows " (meter) "." };
    };
    let band = mode.bands.get(band).map_or("", |band| band.name.as_str());
    let hidden = active && trial.ok == Some(false) && means == network::Meaning::Normal;
    let doors: Vec<String> = network
        .contacts()
        .iter()
        .enumerate()
        .filter(|(_, contact)| asked.trips.contains(&contact.label()))
        .map(|(at, _)| circuit::state_words(network, &[at]))
        .collect();
    html! {
        @if hidden { (mark("stop")) " " (view::words::capital(&doors.join(" and "))) ", and the input still reads normal. " }
        @else { "The input reads " (band) ": " (means.word()) ". " }
        "Your meter shows " (meter) "."
    }
}

/// The network with what is tried in it.
fn changed(network: &Network, asked: &Asked) -> Result<Network, String> {
    let mut sketch = network.sketch().clone();
    for (at, text) in &asked.resistors {
        let value = parse::<Ohms>(text).map_err(|_| {
            format!("{text} is no resistance. Accepted: a number with its unit, as 2.2k or 470 ohm.")
        })?;
        let mut here = 0;
        sketch.for_each_element(&mut |element| {
            if here == *at
                && let Part::Resistor { nominal, .. } = &mut element.part
            {
                *nominal = value;
            }
            here += 1;
        });
    }
    let exactly = |ohms: Ohms| Element::new(Part::Resistor { nominal: ohms, tolerance: Some(Ratio(0.0)) });
    let sizes = sizes();
    let size = sizes.get(asked.size).or(sizes.last()).copied().unwrap_or(SIZES.1);
    let piece = match asked.fault.as_str() {
        "cut" => Some((Element::new(Part::Open), Sign::InLine)),
        "short" => Some((Element::new(Part::Joined), Sign::Across)),
        "leak" => Some((exactly(size), Sign::Across)),
        "joint" => Some((exactly(size), Sign::InLine)),
        _ => None,
    };
    if let Some((element, sign)) = piece {
        let spots = spots(network);
        if let Some(spot) = spots.get(asked.place).or(spots.last()) {
            sketch = put(&sketch, &spot.inside, spot.before, &element, sign);
        }
    }
    Network::from_sketch(sketch).ok_or_else(|| "This circuit is too large for another part in it.".to_owned())
}

/// A place where something can go wrong: before a piece of the line, or behind its end.
struct Spot {
    /// The brackets that it lies in, from the outside inwards, each by its place in its own line.
    inside: Vec<usize>,
    /// The piece of that line that it stands before; as many as there are for behind the last.
    before: usize,
    /// Where that is, in words.
    words: String,
}

/// Every place, in the order of the text.
fn spots(network: &Network) -> Vec<Spot> {
    let mut all = Vec::new();
    let mut here = 0;
    collect(network, network.sketch(), &mut here, &[], "", &mut all);
    if let Some(last) = network.elements().len().checked_sub(1) {
        let words = format!("behind the last, {}", circuit::element_name(network, last));
        all.push(Spot { inside: Vec::new(), before: network.sketch().len(), words });
    }
    all
}

/// The places of one line; `here` is the number of the element that comes next, `of` the bracket that the line stands in.
fn collect(
    network: &Network,
    line: &Sketch,
    here: &mut usize,
    inside: &[usize],
    of: &str,
    all: &mut Vec<Spot>,
) {
    let name = |at: usize| circuit::element_name(network, at);
    for (at, (piece, _)) in line.pieces().enumerate() {
        let bracket = match piece {
            Piece::Bracket(inner) => Some((
                inner,
                format!("the bracket from {} to {}", name(*here), name(*here + count(inner) - 1)),
            )),
            Piece::Element(_) => None,
        };
        let what = bracket.as_ref().map_or_else(|| name(*here), |(_, words)| words.clone());
        let words = match (at, of) {
            (0, "") => "at the terminals".to_owned(),
            // A pair that is bridged here bridges this bracket alone, and a core that breaks breaks all of it.
            (0, of) => format!("on the two ends of {of} alone"),
            (_, "") => format!("before {what}"),
            (_, of) => format!("inside {of}, before {what}"),
        };
        all.push(Spot { inside: inside.to_vec(), before: at, words });
        match bracket {
            Some((inner, words)) => {
                let inside: Vec<usize> = inside.iter().copied().chain([at]).collect();
                collect(network, inner, here, &inside, &words, all);
            }
            None => *here += 1,
        }
    }
}

/// How many elements a line has.
fn count(line: &Sketch) -> usize {
    line.pieces().map(|(piece, _)| if let Piece::Bracket(inner) = piece { count(inner) } else { 1 }).sum()
}

/// A line with an element at a place of it: in line with all that follows in that line, or across all of that.
fn put(line: &Sketch, inside: &[usize], before: usize, element: &Element, sign: Sign) -> Sketch {
    let new = Piece::Element(element.clone());
    let mut pieces: Vec<(Piece, Option<Sign>)> = Vec::new();
    for (at, (piece, follows)) in line.pieces().enumerate() {
        let piece = match (piece, inside) {
            (Piece::Bracket(inner), [of, rest @ ..]) if *of == at => {
                Piece::Bracket(put(inner, rest, before, element, sign))
            }
            (piece, _) => piece.clone(),
        };
        if inside.is_empty() && at == before {
            pieces.push((new.clone(), Some(sign)));
        }
        pieces.push((piece, follows));
    }
    // Behind the last piece the two cores are one: what bridges them there changes nothing.
    if inside.is_empty() && before >= line.len() && sign == Sign::InLine {
        if let Some((_, follows)) = pieces.last_mut() {
            *follows = Some(Sign::InLine);
        }
        pieces.push((new, None));
    }
    let mut pieces = pieces.into_iter();
    let Some((first, mut before)) = pieces.next() else { return line.clone() };
    let mut out = Sketch::one(first);
    for (piece, follows) in pieces {
        out.push(before.unwrap_or(Sign::InLine), piece);
        before = follows;
    }
    out
}

/// What the form shows, alone: for a script that asks while something moves.
pub(crate) fn fragment(open: &Open, tag: &str) -> Answer {
    let assessed = open.assessed();
    let assessment = assessed.assessment();
    let found = place_of(open, tag).and_then(|at| {
        let result = assessment.circuits.get(at)?;
        let network = result.circuit.network.as_ref()?;
        Some(outcome(open, assessment, at, result, network, &Asked::of(open.request)))
    });
    said(Content::Html(found.unwrap_or_default().into_string()))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use circuit::{FaultKind, Place};

    use super::*;
    use crate::desk::{Assessed, Desk};

    /// Shorts at the terminals, and behind every piece of the line, as the engine of faults has them.
    #[test]
    fn a_short_tried_out_is_the_short_in_the_list_of_faults() {
        let text = include_str!("../../../examples/orchard-row/job.toml");
        let desk = Desk::open(text, Arc::new(library::Library::embedded())).expect("the example reads");
        let assessed = Assessed::of(&desk);
        let assessment = assessed.assessment();
        let mut compared = 0;
        for (at, result) in assessment.circuits.iter().enumerate() {
            let Some((network, study)) = result.circuit.network.as_ref().zip(result.study.as_ref()) else {
                continue;
            };
            let short = |place: usize| {
                let asked = Asked { fault: "short".to_owned(), place, size: 0, ..Asked::default() };
                let changed = changed(network, &asked).expect("it can be tried");
                trial(assessment, at, &changed, &[]).expect("the circuit is there").ohms
            };
            let all: Vec<network::Bounds> = (0..spots(network).len()).map(short).collect();
            for fault in study.faults.iter().filter(|fault| fault.kind == FaultKind::Short) {
                // The two add up the same line in another order: equal but for the last bits.
                let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(1.0);
                let is =
                    |ohms: &network::Bounds| near(ohms.lo, fault.ohms.lo) && near(ohms.hi, fault.ohms.hi);
                let tag = &result.circuit.tag.value;
                match fault.place {
                    Place::Terminals => assert!(is(&all[0]), "{tag}: {fault:?}, {:?}", all[0]),
                    Place::Behind { .. } | Place::Branch(_) => {
                        assert!(all.iter().any(is), "{tag}: {fault:?}, {all:?}");
                    }
                    _ => continue,
                }
                compared += 1;
            }
        }
        assert!(compared > 60, "{compared}");
    }

    fn tried(network: &str, fault: &str, place: usize, resistors: &[(usize, &str)]) -> String {
        let asked = Asked {
            fault: fault.to_owned(),
            place,
            size: 36,
            resistors: resistors.iter().map(|(at, text)| (*at, (*text).to_owned())).collect(),
            ..Asked::default()
        };
        changed(&Network::parse(network).expect("it parses"), &asked).expect("it can be tried").written()
    }

    /// By hand, from the notation's own rule: `a - rest` is in line with all that follows, `a | rest` across it. Place 36 of
    /// E12 from 10 ohm is 10 kohm (12 values a decade).
    #[test]
    fn a_fault_stands_before_its_element_wherever_that_is() {
        let line = "wire:38m - nc:leaf1 - 2.2k";
        assert_eq!(tried(line, "cut", 1, &[]), "wire:38m - open - nc:leaf1 - 2.2k");
        assert_eq!(tried(line, "short", 0, &[]), "joined | wire:38m - nc:leaf1 - 2.2k");
        assert_eq!(tried(line, "leak", 2, &[]), "wire:38m - nc:leaf1 - 10k 0 % | 2.2k");
        assert_eq!(tried(line, "joint", 9, &[]), "wire:38m - nc:leaf1 - 2.2k - 10k 0 %");
        assert_eq!(tried(line, "short", 9, &[]), line);
        let runs = "(wire:18m - nc:store1) - (wire:26m - nc:store2) - 2.2k";
        assert_eq!(tried(runs, "short", 0, &[]), format!("joined | {runs}"));
        assert_eq!(
            tried(runs, "short", 1, &[]),
            "(joined | wire:18m - nc:store1) - (wire:26m - nc:store2) - 2.2k"
        );
        assert_eq!(
            tried(runs, "leak", 3, &[]),
            "(wire:18m - nc:store1) - 10k 0 % | (wire:26m - nc:store2) - 2.2k"
        );
        let hatch = "wire:22m - (nc:hatch | 3.3k) - 2.2k";
        assert_eq!(tried(hatch, "short", 1, &[]), "wire:22m - joined | (nc:hatch | 3.3k) - 2.2k");
        assert_eq!(tried(hatch, "cut", 3, &[]), "wire:22m - (nc:hatch | open - 3.3k) - 2.2k");
        let network = Network::parse(hatch).expect("it parses");
        let words: Vec<String> = spots(&network).into_iter().map(|spot| spot.words).collect();
        assert_eq!(
            words,
            [
                "at the terminals",
                "before the bracket from hatch to the 3.3k resistor",
                "on the two ends of the bracket from hatch to the 3.3k resistor alone",
                "inside the bracket from hatch to the 3.3k resistor, before the 3.3k resistor",
                "before the 2.2k resistor",
                "behind the last, the 2.2k resistor",
            ]
        );
        assert_eq!(tried(line, "", 0, &[(2, "4k7")]), "wire:38m - nc:leaf1 - 4.7k");
        assert_eq!(tried("(nc:a | 3.3k) - 2.2k", "", 0, &[(1, "1k"), (0, "1k")]), "(nc:a | 1k) - 2.2k");
    }
}
