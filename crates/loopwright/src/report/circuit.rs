//! One line and one band picture a circuit.

use std::collections::BTreeMap;

use assess::{Assessment, CircuitResult};
use drawing::width;
use job::{Circuit, Severity};
use quantity::Written;

use super::page::Page;
use super::picture::picture;
use super::severity;

/// Blanks in front of what belongs to a circuit.
const INDENT: usize = 2;

/// Puts every circuit, the legend first.
pub(crate) fn put(page: &mut Page, assessment: &Assessment) {
    if assessment.circuits.is_empty() {
        return;
    }
    page.heading("Circuits, in the order of the job");
    legend(page);
    let mut heaviest: BTreeMap<&str, Severity> = BTreeMap::new();
    for finding in &assessment.findings {
        let entry = heaviest.entry(finding.place.as_str()).or_insert(finding.severity);
        *entry = (*entry).max(finding.severity);
    }
    for result in &assessment.circuits {
        page.gap();
        let mark = heaviest.get(result.circuit.tag.as_str()).copied();
        head(page, result, mark);
        page.parts(INDENT, &facts(result));
        put_picture(page, result);
    }
}

/// How the pictures are read, and the one scale of them all.
pub(crate) fn legend(page: &mut Page) {
    page.paragraph(0, "Each strip is what the input reads, on one scale for all; its edges hatched where they are not sharp.");
    page.parts(
        INDENT,
        &[
            "█ at rest".to_owned(),
            "o something active, read right".to_owned(),
            "x something active, read wrong".to_owned(),
            "▼ measured at rest".to_owned(),
            "▽ measured tripped".to_owned(),
        ],
    );
    for line in drawing::axis(page.columns() - INDENT) {
        page.line(&format!("{:INDENT$}{line}", ""));
    }
}

/// Mark, tag and place; at the right duty, input and mode.
pub(crate) fn head(page: &mut Page, result: &CircuitResult, heaviest: Option<Severity>) {
    let circuit = result.circuit;
    let reads_right = result.study.as_ref().filter(|_| result.why.is_none()).map(|study| study.reads_right);
    let mark = severity::circuit_mark(heaviest, reads_right);
    let left = drawing::clean(&if circuit.place.is_empty() {
        circuit.tag.value.clone()
    } else {
        format!("{}  {}", circuit.tag.value, circuit.place)
    });
    let right = drawing::clean(&seat(result));
    let first = severity::MARK_COLUMNS + 2;
    let gap = page.columns().saturating_sub(first + width(&left) + width(&right));
    if gap >= 2 {
        page.line(&format!("{mark}  {left}{:gap$}{right}", ""));
    } else {
        page.hanging(&format!("{mark}  "), first, &left);
        page.paragraph(first, &right);
    }
}

/// Duty, input and mode, as far as they are known.
pub(crate) fn seat(result: &CircuitResult) -> String {
    let circuit: &Circuit = result.circuit;
    let duty = circuit.duty.map(|duty| duty.word().to_owned());
    let input = circuit.input.as_ref().map(|input| format!("{}.{}", input.module, input.number));
    let mode = result.mode.map(|mode| {
        let chosen = if result.mode_chosen { " (chosen)" } else { "" };
        format!("{}{chosen}", mode.id)
    });
    [duty, input, mode].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// How it reads, what a meter shows, how its faults show.
fn facts(result: &CircuitResult) -> Vec<String> {
    let mut facts = Vec::new();
    let Some(study) = &result.study else {
        return vec![format!("not computed: {}", result.why.unwrap_or("nothing is known of it"))];
    };
    match result.why {
        Some(why) => facts.push(format!("not computed: {why}")),
        None if study.reads_right => facts.push("reads every state right".to_owned()),
        None => facts.push("does not read every state right".to_owned()),
    }
    if let Some(row) = study.meter.first() {
        facts.push(format!("at rest your meter shows {}", row.fed.shown()));
    }
    let coverage = study.coverage;
    let rest_is_normal = study.states.first().is_some_and(|rest| rest.ok == Some(true));
    if coverage.total() > 0 && !rest_is_normal {
        facts.push("faults cannot show while rest is not normal".to_owned());
    } else if coverage.total() > 0 {
        let hidden = match (coverage.silent_dangerous, study.hard) {
            (0, _) => String::new(),
            (hidden, 0) => format!("; {hidden} of damp, joints, earth can hide an alarm"),
            (hidden, hard) => format!("; {hidden} can hide an alarm, {hard} of them cuts, shorts or parts"),
        };
        facts.push(format!("faults: {} of {} show{hidden}", coverage.announced, coverage.total()));
    }
    facts
}

/// The band picture, where there is something to draw.
pub(crate) fn put_picture(page: &mut Page, result: &CircuitResult) {
    let Some(picture) = picture(result) else { return };
    let lines = drawing::strip(&picture.bands, page.columns() - INDENT);
    if let Some(learned) = picture.learned {
        page.paragraph(INDENT, &format!("bands drawn for a learned {}", learned.shown(3)));
    }
    for line in lines.above.iter().chain([&lines.bands, &lines.below]) {
        page.line(&format!("{:INDENT$}{line}", ""));
    }
}
