//! What `identify` prints for people: the answer, every pair with its candidates and the next reading, the order of
//! the rest, and what a second visit would be needed for.

use std::collections::BTreeSet;

use drawing::width;
use identify::{
    Candidate, Pair, Pass, Survey, before_leaving, is_contradicted, plan, remarks, second_visit, title,
};
use quantity::Written;

use super::page::Page;

/// Candidates that are shown of a pair.
const MOST_SHOWN: usize = 3;
/// Tasks of a pass that are listed.
const MOST_TASKS: usize = 12;
/// Blanks in front of what belongs to a pair.
const INDENT: usize = 2;
/// Columns of a bar.
const BAR: usize = 20;

/// Puts the whole report.
pub(crate) fn put(page: &mut Page, survey: &Survey, accepted: &[String]) {
    answer(page, survey);
    if !accepted.is_empty() {
        page.paragraph(0, &format!("Written into the job: {}.", accepted.join(", ")));
    }
    for pair in &survey.pairs {
        page.gap();
        one(page, survey, pair);
    }
    order(page, survey);
    left(page, survey);
}

/// How many are settled, what the building has in common.
fn answer(page: &mut Page, survey: &Survey) {
    for sentence in assess::survey_answer(survey) {
        page.paragraph(0, &sentence);
    }
    if survey.building.worse() > 0.5 {
        page.paragraph(
            0,
            "The instrument seems worse than its data sheet says: check it on a known resistor.",
        );
    }
    for board in &survey.boards {
        let name = board
            .enclosure
            .as_ref()
            .map_or("The old board".to_owned(), |id| format!("The old board in {id}"));
        page.paragraph(
            0,
            &format!(
                "{name} feeds its inputs with {} through {}, by its terminal volts; calibrate with two known resistors \
                 before trusting them.",
                board.source.shown(),
                board.pull_up.shown()
            ),
        );
    }
}

/// One pair: its first candidates, remarks, the next reading.
fn one(page: &mut Page, survey: &Survey, pair: &Pair) {
    let circuit = &survey.job.circuits[pair.circuit];
    let place = if circuit.place.is_empty() { String::new() } else { format!("  {}", circuit.place) };
    let left = drawing::clean(&format!("{}{place}", circuit.tag.value));
    let state = match (pair.evidence.refusal(), pair.ranking.settled) {
        (Some(_), _) => "refused",
        _ if is_contradicted(survey, pair) => "read again",
        (None, true) => "settled",
        (None, false) => "open",
    };
    let gap = page.columns().saturating_sub(width(&left) + width(state)).max(1);
    page.line(&format!("{left}{:gap$}{state}", ""));
    if pair.evidence.refusal().is_none() {
        let shown = if pair.ranking.settled { 1 } else { MOST_SHOWN };
        for candidate in pair.ranking.listed().iter().take(shown) {
            bar(page, candidate);
        }
    }
    for remark in remarks(survey, pair) {
        page.hanging("  ! ", 4, &remark);
    }
    if let Some(next) = pair.next.as_ref().filter(|_| pair.evidence.refusal().is_none()) {
        page.hanging("  → ", 4, &next.why);
    }
}

/// A candidate with its probability drawn.
fn bar(page: &mut Page, candidate: &Candidate) {
    // Rounded to whole columns.
    let full = (candidate.probability * BAR as f64).round() as usize;
    let bar = format!("{}{}", "█".repeat(full), "░".repeat(BAR - full.min(BAR)));
    let first = format!("{:INDENT$}{} {bar} ", "", padded_left(&percent(candidate.probability), 7));
    let indent = width(&first);
    page.hanging(&first, indent, &words(candidate));
}

/// Wiring and values.
pub(crate) fn words(candidate: &Candidate) -> String {
    let values: Vec<String> = candidate.resistors.iter().map(|ohms| ohms.written()).collect();
    let values = if values.is_empty() { String::new() } else { format!(": {}", values.join(", ")) };
    let unfed = if candidate.unfed > 0.5 { " (hanging open for want of a supply)" } else { "" };
    format!("{}{values}{unfed}", title(candidate.wiring))
}

/// Never rounded up to certainty, nor down to none.
pub(crate) fn percent(probability: f64) -> String {
    format!("{:.1} %", (probability * 100.0).clamp(0.1, 99.9))
}

fn padded_left(text: &str, columns: usize) -> String {
    format!("{}{text}", " ".repeat(columns.saturating_sub(width(text))))
}

/// What is left to read, pass by pass.
fn order(page: &mut Page, survey: &Survey) {
    let tasks = plan(survey);
    for (pass, heading) in [
        (Pass::Strip, "First along the old terminal strip, in terminal order"),
        (Pass::Walk, "Then through the building, tripping what hangs on each"),
        (Pass::Unsettled, "Then only what is unsettled"),
    ] {
        let of_pass: Vec<_> = tasks.iter().filter(|task| task.pass == pass).collect();
        if of_pass.is_empty() {
            continue;
        }
        page.heading(heading);
        let rows: Vec<Vec<String>> = of_pass
            .iter()
            .take(MOST_TASKS)
            .map(|task| {
                let fed = if task.fed { ", fed" } else { "" };
                vec![
                    survey.job.circuits[task.circuit].tag.value.clone(),
                    format!("{}{fed}", task.act.word()),
                    format!("{} min", task.minutes.0),
                    task.place.clone(),
                ]
            })
            .collect();
        page.table(INDENT, &rows);
        if of_pass.len() > MOST_TASKS {
            page.paragraph(INDENT, &format!("and {} more", of_pass.len() - MOST_TASKS));
        }
    }
}

/// What a second visit would be needed for.
fn left(page: &mut Page, survey: &Survey) {
    let left = before_leaving(survey);
    if left.is_empty() {
        return;
    }
    let visit = second_visit(survey, &left);
    page.heading("Before you leave");
    let said: BTreeSet<_> = left.iter().map(|open| (open.left, open.text.as_str())).collect();
    for (kind, text) in said {
        let same: Vec<_> = left.iter().filter(|open| open.left == kind && open.text == text).collect();
        let tags: Vec<String> = same
            .iter()
            .take(MOST_TASKS)
            .map(|open| survey.job.circuits[open.circuit].tag.value.clone())
            .collect();
        let more = same.len().saturating_sub(MOST_TASKS);
        let more = if more > 0 { format!(" and {more} more") } else { String::new() };
        let minutes: f64 = same.iter().map(|open| open.minutes.0).sum();
        page.hanging("  · ", 4, &format!("{text} {}{more}: {minutes:.0} min.", tags.join(", ")));
    }
    page.paragraph(
        INDENT,
        &format!("A second visit for all of it: about {:.0} minutes, coming back included.", visit.0),
    );
}
