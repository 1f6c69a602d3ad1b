//! The modes of a module: their bands, in whichever of four kinds the manual gives the edges.

use std::collections::BTreeSet;

use document::{Located, Misread, Table, Value};
use network::Meaning;
use quantity::{Interval, Ohms, Ratio, Volts};

use crate::band::{self, Band, Learns, Mode, Scale};
use crate::keys;

/// Conductors and joints, out and back, where the manual says nothing (`docs/format.md`, section 3).
const LINE_MAX: Ohms = Ohms(100.0);

/// All modes of a module; `inputs` is how many inputs it has, where that could be read.
pub(super) fn modes(table: &Table<'_>, inputs: Option<u16>) -> Vec<Mode> {
    let tables = table.tables("mode", keys::MODE);
    if !table.has("mode") {
        table.problems().report_missing(table.span(), "a module has no mode", "one `[[mode]]` at least");
    }
    let mut seen = BTreeSet::new();
    let mut modes = Vec::new();
    for table in &tables {
        let mode = mode(table, inputs);
        if let Some(id) = table.text("id")
            && !seen.insert(id.value.clone())
        {
            let text = format!("the mode `{}` stands here for the second time", id.value);
            table.problems().report(id.span, text, "each id once in a module");
        }
        modes.extend(mode);
    }
    modes
}

fn mode(table: &Table<'_>, inputs: Option<u16>) -> Option<Mode> {
    let id = super::id(table);
    let source = table.interval::<Volts>("source").map(|source| source.value);
    let pull_up = table.interval::<Ohms>("pull_up").map(|pull_up| pull_up.value);
    let learned = table
        .word("learned", &[("command", Learns::OnCommand), ("every power-up", Learns::AtPowerUp)])
        .map(|learned| learned.value);
    let tolerance = table.quantity::<Ratio>("edge_tolerance").map_or(Ratio(0.0), |tolerance| tolerance.value);
    let eol = table.quantity::<Ohms>("eol").map(|eol| eol.value);
    let accepts = table.interval::<Ohms>("accepts").map(|accepts| accepts.value);
    let line_max = table.quantity::<Ohms>("line_max").map_or(LINE_MAX, |line| line.value);
    let response = table.quantity("response").map(|response| response.value);
    let smoke_inputs = smoke_inputs(table, inputs);
    let smoke = super::power::smoke_source(table);
    let read = bands(table);
    let scale = read.as_ref().and_then(|read| scale(table, read.kind, &Feed { source, pull_up, learned }));
    let read = read?;
    let scale = scale?;
    let limits = match band::limits(&scale, tolerance, &read.bands) {
        Ok(limits) => limits,
        Err(error) => {
            let span = read.spans.get(error.band).cloned().unwrap_or(table.span());
            table.problems().report(span, error.text, error.accept);
            return None;
        }
    };
    Some(Mode {
        id: id?.value,
        eol,
        accepts,
        line_max,
        response,
        smoke_inputs,
        edge_tolerance: tolerance,
        pull_up,
        source,
        smoke,
        scale,
        bands: read.bands,
        limits,
    })
}

/// Numbers of inputs that the module has, each once.
fn smoke_inputs(table: &Table<'_>, inputs: Option<u16>) -> Vec<u16> {
    let most = i64::from(inputs.unwrap_or(1000));
    let mut numbers: Vec<u16> = Vec::new();
    for value in table.list("smoke_inputs") {
        let Some(number) = value.whole(1, most) else { continue };
        let Ok(number) = u16::try_from(number.value) else { continue };
        if numbers.contains(&number) {
            let text = format!("input {number} stands here for the second time");
            table.problems().report(value.span(), text, "each input once");
        } else {
            numbers.push(number);
        }
    }
    numbers
}

/// What an edge is in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum EdgeKind {
    Ohms,
    Volts,
    ShareOfSource,
    ShareOfLearned,
}

impl EdgeKind {
    fn words(self) -> &'static str {
        match self {
            Self::Ohms => "ohms",
            Self::Volts => "volts",
            Self::ShareOfSource => "percent of the source",
            Self::ShareOfLearned => "percent of the learned value",
        }
    }
}

/// The bands of a mode as they stand in the text.
struct Bands {
    bands: Vec<Band>,
    /// Where each band's edge stands, or the band where it has none.
    spans: Vec<std::ops::Range<usize>>,
    kind: EdgeKind,
}

/// Reads all bands; none when one of them could not be read, since then no edge can be judged.
fn bands(table: &Table<'_>) -> Option<Bands> {
    let values = table.required("bands")?.list()?;
    if values.is_empty() {
        table.problems().report_missing(table.span(), "a mode has no bands", "one band at least");
        return None;
    }
    let mut read = Bands { bands: Vec::new(), spans: Vec::new(), kind: EdgeKind::Ohms };
    let mut kind: Option<EdgeKind> = None;
    let mut names = BTreeSet::new();
    let mut whole = true;
    for value in &values {
        let Some((band, edge)) = one_band(value, &mut names) else {
            whole = false;
            continue;
        };
        if let Some(edge) = &edge {
            let first = *kind.get_or_insert(edge.value.0);
            if first != edge.value.0 {
                let text =
                    format!("this edge is in {}, the first one in {}", edge.value.0.words(), first.words());
                table.problems().report(edge.span.clone(), text, "all edges of a mode in the same");
                whole = false;
            }
        }
        read.spans.push(edge.map_or(value.span(), |edge| edge.span));
        read.bands.push(band);
    }
    read.kind = kind.unwrap_or(EdgeKind::Ohms);
    whole.then_some(read)
}

type Edge = (EdgeKind, f64);

fn one_band(value: &Value<'_>, names: &mut BTreeSet<String>) -> Option<(Band, Option<Located<Edge>>)> {
    let table = value.table(keys::BAND)?;
    let words = Meaning::ALL.map(|meaning| (meaning.word(), meaning));
    let name = table.required("name").and_then(|value| value.text());
    let means = table.required("means").and_then(|value| value.word(&words));
    let edge = table.read("below", "1.2k", edge);
    let unread = table.has("below") && edge.is_none();
    let name = name?;
    let mut double = false;
    if name.value.is_empty() {
        table.problems().report(name.span.clone(), "a band has an empty name", "a name as `rest`");
    } else if !names.insert(name.value.clone()) {
        double = true;
        let text = format!("the band `{}` stands here for the second time", name.value);
        table.problems().report(name.span, text, "each name once in a mode");
    }
    if unread || double {
        return None;
    }
    let below = edge.as_ref().map(|edge| edge.value.1);
    Some((Band { name: name.value, below, means: means?.value }, edge))
}

/// `1.2k`, `1.9 V`, `42 % of source` or `70 %` (of the learned value).
fn edge(text: &str) -> Result<Edge, Misread> {
    let trimmed = text.trim_end();
    if let Some(share) = trimmed.strip_suffix("of source") {
        return Ok((EdgeKind::ShareOfSource, quantity::parse_share(share)?.0));
    }
    if trimmed.ends_with('%') {
        return Ok((EdgeKind::ShareOfLearned, quantity::parse_share(text)?.0));
    }
    if let Ok(volts) = quantity::parse::<Volts>(text) {
        return Ok((EdgeKind::Volts, volts.0));
    }
    match quantity::parse::<Ohms>(text) {
        Ok(ohms) => Ok((EdgeKind::Ohms, ohms.0)),
        Err(error) => {
            let accept = "ohms, volts, percent of the source or of the learned value, \
                          as `1.2k`, `1.9 V`, `42 % of source` or `70 %`";
            Err(Misread::from(error.at, error.text, accept))
        }
    }
}

/// What the mode says of its own source and of learning.
struct Feed {
    source: Option<Interval<Volts>>,
    pull_up: Option<Interval<Ohms>>,
    learned: Option<Learns>,
}

/// What the edges are in, with what that takes; reports what is missing for it.
fn scale(table: &Table<'_>, kind: EdgeKind, feed: &Feed) -> Option<Scale> {
    let missing = |key: &'static str, example: &str| {
        if !table.has(key) {
            let text = format!("edges in {} need `{key}`", kind.words());
            table.problems().report_missing(table.span(), text, format!("a line `{key} = \"{example}\"`"));
        }
    };
    if kind != EdgeKind::ShareOfLearned
        && let Some(value) = table.value("learned")
    {
        let text = format!("a mode that learns, with edges in {}", kind.words());
        table.problems().report(value.span(), text, "edges in percent of the learned value, as `70 %`");
    }
    match kind {
        EdgeKind::Ohms => Some(Scale::Ohms),
        EdgeKind::Volts => {
            if feed.source.is_none() {
                missing("source", "5 V 2 %");
            }
            if feed.pull_up.is_none() {
                missing("pull_up", "2.2k 1 %");
            }
            Some(Scale::Volts { source: feed.source?, pull_up: feed.pull_up? })
        }
        EdgeKind::ShareOfSource => {
            if feed.pull_up.is_none() {
                missing("pull_up", "2.2k 1 %");
            }
            Some(Scale::ShareOfSource { pull_up: feed.pull_up? })
        }
        EdgeKind::ShareOfLearned => {
            if feed.learned.is_none() {
                missing("learned", "command");
            }
            Some(Scale::ShareOfLearned { learns: feed.learned? })
        }
    }
}
