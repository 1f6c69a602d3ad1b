//! The page that `explain` prints.

use assess::CircuitResult;
use circuit::{Class, Remedy, Study, state_words};
use network::Network;

use super::{Explained, ShownUnits, Target, element, equipment, evidence, supply, tables, working};
use crate::report::page::Page;
use crate::report::{circuit as circuits, finding};

/// Blanks in front of what belongs to a heading.
const INDENT: usize = 2;
/// States that are listed for people; more are for programs.
const MOST_ROWS: usize = 60;

/// Lays everything out that is known of the target.
pub(crate) fn page(explained: &Explained) -> Page {
    let mut page = Page::of_stdout();
    match explained.circuit() {
        Some(result) if !matches!(explained.target, Target::Circuit(_)) => {
            page.paragraph(0, &format!("{}, on circuit {}", explained.place, result.circuit.tag.value));
            circuits::head(&mut page, result, explained.assessment.verdict);
        }
        Some(result) => circuits::head(&mut page, result, explained.assessment.verdict),
        None => page.paragraph(0, &explained.place),
    }
    if let Some(network) = explained.circuit().and_then(|result| result.circuit.network.as_ref()) {
        picture_of(&mut page, explained, network);
    }
    page.gap();
    for line in equipment::says(explained) {
        page.paragraph(0, &line);
    }
    finding::put(&mut page, &explained.assessment.findings, true);
    defaults(&mut page, explained);
    evidence::put(&mut page, explained);
    if let Some(result) = explained.circuit() {
        circuit_sections(&mut page, explained, result);
    } else if matches!(explained.target, Target::Module(_)) {
        circuits::put(&mut page, &explained.assessment);
    }
    supply::put(&mut page, explained);
    rules(&mut page, explained);
    page
}

/// Sentence, ladder, notation.
fn picture_of(page: &mut Page, explained: &Explained, network: &Network) {
    let units = explained.setting.job.site.units.shown();
    page.gap();
    page.paragraph(0, &drawing::sentence(network, units));
    page.gap();
    for line in drawing::ladder(network, units, page.columns() - INDENT) {
        page.line(&format!("{:INDENT$}{line}", ""));
    }
    page.paragraph(INDENT, "o─o closed at rest · o o open at rest · [ ] resistor · lengths one way");
    page.gap();
    page.hanging("written: ", 9, &network.written());
}

fn defaults(page: &mut Page, explained: &Explained) {
    let used = element::defaults(explained);
    if used.is_empty() {
        return;
    }
    page.heading("Taken for granted, because the job does not say");
    page.table(INDENT, &used.into_iter().map(|used| vec![used.key, used.value]).collect::<Vec<_>>());
}

fn circuit_sections(page: &mut Page, explained: &Explained, result: &CircuitResult) {
    let (Some(network), Some(study)) = (&result.circuit.network, &result.study) else { return };
    parts(page, explained, result);
    bands(page, result);
    page.heading("Every state");
    put_most(page, tables::states(result, network, study));
    page.heading("How the ohms come about, everything low and everything high (+ in line, ∥ across)");
    // A pair's sum is made like those of its two contacts; `--json` has it.
    let alone = |working: &working::WorkingJson| working.active < 2;
    for working in working::workings(&explained.setting, result).into_iter().filter(alone).take(MOST_ROWS) {
        page.paragraph(INDENT, &working.state);
        page.hanging("    low   ", 10, &working.low);
        page.hanging("    high  ", 10, &working.high);
    }
    page.heading("What your meter shows, the pair off its terminals");
    put_most(page, tables::meter(network, study));
    if let Some(smoke) = &result.smoke {
        supply::smoke(page, smoke);
    }
    if result.why.is_some() {
        return;
    }
    masking(page, network, study);
    faults(page, explained, result, network, study);
    remedies(page, explained, study);
}

/// A table, or its first rows and how many more there are.
fn put_most(page: &mut Page, mut rows: Vec<Vec<String>>) {
    let more = rows.len().saturating_sub(MOST_ROWS + 1);
    rows.truncate(MOST_ROWS + 1);
    page.table(INDENT, &rows);
    if more > 0 {
        page.paragraph(INDENT, &format!("{more} more states; --json lists them."));
    }
}

fn parts(page: &mut Page, explained: &Explained, result: &CircuitResult) {
    page.heading("Each part, least to most");
    let mut rows = vec![["part", "at rest", "active", "where that comes from"].map(str::to_owned).to_vec()];
    for element in element::elements(&explained.setting, result) {
        let active = element.active.map_or("-".to_owned(), element::RangeJson::shown);
        rows.push(vec![element.element, element.rest.shown(), active, element.from]);
    }
    page.table(INDENT, &rows);
}

fn bands(page: &mut Page, result: &CircuitResult) {
    let bands = tables::bands(result);
    let mode = result.mode.map_or("no mode", |mode| mode.id.as_str());
    page.heading(&format!("What the input sees, {mode}"));
    circuits::legend(page);
    circuits::put_picture(page, result);
    if bands.is_empty() {
        return;
    }
    let unit = bands.first().map_or("", |band| band.unit);
    let mut rows = vec![["band", "means", "manual: below", "surely", "may"].map(str::to_owned).to_vec()];
    for band in bands {
        let (sure, may) = if unit == "ohms" {
            (band.sure.shown(), band.may.shown())
        } else {
            (band.sure.share(), band.may.share())
        };
        rows.push(vec![band.name, band.means.to_owned(), band.below.unwrap_or("-".to_owned()), sure, may]);
    }
    page.gap();
    page.table(INDENT, &rows);
}

fn masking(page: &mut Page, network: &Network, study: &Study) {
    page.heading("Can something active be taken for quiet?");
    if !study.masking.possible {
        page.paragraph(INDENT, "No set of active devices can be read as normal.");
    } else if study.masking.examples.is_empty() {
        page.paragraph(INDENT, "It may be: no set was found, and not all could be tried.");
    }
    for set in &study.masking.examples {
        page.paragraph(
            INDENT,
            &format!("Yes: with {} the input may read normal.", state_words(network, set)),
        );
    }
}

fn faults(page: &mut Page, explained: &Explained, result: &CircuitResult, network: &Network, study: &Study) {
    page.heading("What a fault would do");
    if let Target::Contact { name, .. } = &explained.target {
        page.paragraph(
            INDENT,
            &format!("Of the circuit's faults those that are at {name} or take its alarm away."),
        );
    } else {
        page.paragraph(
            INDENT,
            &format!("{}. Single faults, and pairs of earth faults.", tables::coverage(study.coverage)),
        );
    }
    let classes = [
        (Class::SilentDangerous, "Silent and dangerous: the input reads normal, and an alarm is lost"),
        (Class::SilentSafe, "Silent, alarm still gets through; the next fault may stop it"),
        (Class::TestOnly, "Only working the device shows it"),
        (Class::Announced, "Shows at rest"),
    ];
    for (class, words) in classes {
        let rows = tables::faults(result, network, study, class);
        if !rows.is_empty() {
            page.gap();
            page.paragraph(INDENT, &format!("{words} ({})", rows.len() - 1));
            page.table(INDENT + 2, &rows);
        }
    }
}

fn remedies(page: &mut Page, explained: &Explained, study: &Study) {
    if study.remedies.is_empty() || matches!(explained.target, Target::Contact { .. }) {
        return;
    }
    page.heading("What can be changed, best first; each proven by the same working");
    for (at, remedy) in study.remedies.iter().enumerate() {
        remedy_lines(page, explained, at + 1, remedy);
    }
}

fn remedy_lines(page: &mut Page, explained: &Explained, number: usize, remedy: &Remedy) {
    let first = format!("{number:>3}  ");
    let indent = first.len();
    page.hanging(&first, indent, &remedy.text);
    let resistors = match remedy.resistors.len() {
        0 => String::new(),
        1 => "1 resistor".to_owned(),
        more => format!("{more} resistors"),
    };
    page.parts(indent, &[format!("about {:.0} min", remedy.minutes.0), resistors]);
    page.paragraph(indent, &format!("Then {}.", tables::coverage(remedy.coverage)));
    for hidden in &remedy.hides {
        page.paragraph(indent, &format!("It hides: {} {}.", hidden.kind.word(), hidden.place));
    }
    if let Some(network) = &remedy.network {
        let units = explained.setting.job.site.units.shown();
        page.paragraph(indent, &drawing::sentence(network, units));
    }
}

fn rules(page: &mut Page, explained: &Explained) {
    for set in equipment::rules(explained) {
        page.heading(&format!("Rule set {}: {}", set.id, set.title));
        for clause in set.clauses {
            page.paragraph(INDENT, &format!("{}: {}", clause.clause, clause.asks));
            page.paragraph(INDENT + 2, &format!("({})", clause.source));
        }
    }
}
