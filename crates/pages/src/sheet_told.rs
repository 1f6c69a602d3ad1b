//! What a survey sheet would do, and what of it cannot be read or is not taken: the same is said once, with its cells.

use identify::{SheetProblem, cell_name};
use maud::{Markup, html};

use crate::answer::Answer;
use crate::frame::{Open, Page, Tab, mark, plain};
use crate::request::Request;
use crate::sheet::{Brought, MOST_AT_ONCE};
use crate::sheet_plan::{Fate, Plan};

/// Rows of the table that shows what would be written.
const ROWS_SHOWN: usize = 300;
/// Kinds of problems that are listed.
const KINDS_SHOWN: usize = 100;
/// Cells, or tags, that are named of those of which the same is said.
const NAMED: usize = 6;
/// What stands in a reason for the tag of its pair.
const ANY_TAG: char = '\u{0}';

/// The same, said of several cells.
struct Group {
    /// What tells it from others.
    kind: String,
    /// What is said of the first of them.
    text: String,
    /// Whether something else is said of another one, of the same kind.
    differs: bool,
    cells: Vec<String>,
}

/// Puts together what is of one kind, in the order of the first of each.
fn gathered(all: impl IntoIterator<Item = (String, String, String)>) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (kind, text, cell) in all {
        match groups.iter_mut().find(|group| group.kind == kind) {
            Some(group) => {
                group.differs |= group.text != text;
                group.cells.push(cell);
            }
            None => groups.push(Group { kind, text, differs: false, cells: vec![cell] }),
        }
    }
    groups
}

/// The first few, and how many more.
pub(crate) fn named(all: &[String]) -> String {
    let first = all.iter().take(NAMED).map(String::as_str).collect::<Vec<_>>().join(", ");
    match all.len().saturating_sub(NAMED) {
        0 => first,
        more => format!("{first} and {more} more"),
    }
}

/// A text without what stands between backticks: what was typed, and what would do in its place.
fn without_quoted(text: &str) -> String {
    text.split('`').step_by(2).collect::<Vec<_>>().join("`")
}

/// What cannot be read: each kind of it once, with its cells.
pub(crate) fn unread(request: &Request, sheet: &Brought, problems: &[SheetProblem], back: &str) -> Answer {
    let cell = |problem: &SheetProblem| cell_name(problem.row + sheet.heads.row, problem.column);
    let groups = gathered(problems.iter().map(|problem| {
        let text = format!("{}\n{}", problem.text, problem.accept);
        (without_quoted(&text), text, cell(problem))
    }));
    let body = html! {
        div.head { h1 { "Not read yet" } }
        p.answer { (view::words::counted(problems.len(), "cell", "cells")) " of this sheet cannot be read. Nothing was made of the others either." }
        ol.problems {
            @for group in groups.iter().take(KINDS_SHOWN) {
                @let (text, accept) = group.text.split_once('\n').unwrap_or((&group.text, ""));
                li {
                    strong { (if group.cells.len() == 1 { "Cell " } else { "Cells " }) (named(&group.cells)) ": " }
                    @if group.differs { "as in " (group.cells[0]) ", " }
                    (text)
                    br; span.quiet { (if group.differs { "Accepted there: " } else { "Accepted: " }) (accept) }
                }
            }
        }
        @if groups.len() > KINDS_SHOWN { p.quiet { "and " (groups.len() - KINDS_SHOWN) " more kinds" } }
        p { a.button href=(back) { "Back" } }
    };
    plain(request, 400, "Not read yet", &body)
}

/// What a sheet would do to a job that is there, before anything is written.
pub(crate) fn show(open: &Open, plan: &Plan, sheet: &Brought) -> Answer {
    let new = plan.taken().count();
    let refused = plan.refused().count();
    let there = plan.readings.len() - new - refused;
    let readings = |count: usize| view::words::counted(count, "reading", "readings");
    let body = html! {
        p.answer {
            (readings(new)) " of " (sheet.file) " would be written"
            @if !plan.new_pairs.is_empty() { ", and " (view::words::counted(plan.new_pairs.len(), "pair", "pairs")) " that this job does not have yet" }
            "." @if there > 0 { " " (readings(there)) " " (if there == 1 { "stands" } else { "stand" }) " here already." }
        }
        @if refused > 0 { p { (mark("stop")) " " (readings(refused)) " would not be taken: no ohms of a pair that is not known to be clear. Write the safety entry of its strip, or its volts and legs to earth, then bring the sheet again." } }
        @if !plan.new_pairs.is_empty() { p { "New pairs: " (plan.new_pairs.join(", ")) "." } }
        @if new > MOST_AT_ONCE {
            p { "More than 2,000 readings are not written at once: bring the sheet in parts." }
        } @else if new > 0 || !plan.new_pairs.is_empty() {
            form method="post" action=(open.path(&["readings"])) {
                (open.form_fields())
                input type="hidden" name="rows" value=(sheet.field());
                button.strong type="submit" { "Write " (readings(new)) }
                " " a.button href=(open.path(&["survey"])) { "Leave it" }
            }
        } @else { p { a.button href=(open.path(&["survey"])) { "To the survey" } } }
        (not_taken(plan, sheet))
        (table(plan, sheet))
    };
    Page::new(Tab::Survey, "Readings from a sheet", body).answer(open)
}

/// Why readings are not taken, each reason once.
fn not_taken(plan: &Plan, sheet: &Brought) -> Markup {
    let said = plan.refused().map(|(one, why)| {
        let tag = plan.tag(one);
        (any_tag(why, tag), tag.to_owned(), sheet.place(one))
    });
    let said: Vec<_> = said.collect();
    let groups = gathered(said.iter().cloned());
    let tags = |kind: &str| {
        let mut tags: Vec<String> = Vec::new();
        for (_, tag, _) in said.iter().filter(|(own, ..)| own == kind) {
            if tags.last() != Some(tag) {
                tags.push(tag.clone());
            }
        }
        named(&tags)
    };
    html! {
        @if !groups.is_empty() {
            section {
                h2 { "Not taken" }
                ul.problems {
                    @for group in &groups {
                        li {
                            (mark("stop")) " "
                            strong { (if group.cells.len() == 1 { "Cell " } else { "Cells " }) (named(&group.cells)) ": " }
                            (group.kind.replace(ANY_TAG, &tags(&group.kind)))
                        }
                    }
                }
            }
        }
    }
}

/// A reason with a mark where its pair's tag stands as a word.
fn any_tag(why: &str, tag: &str) -> String {
    let is_word =
        |letter: Option<char>| !letter.is_some_and(|letter| letter.is_alphanumeric() || letter == '-');
    let (mut text, mut at) = (String::new(), 0);
    for (place, _) in why.match_indices(tag) {
        let after = place + tag.len();
        if is_word(why[..place].chars().next_back()) && is_word(why[after..].chars().next()) {
            text.push_str(&why[at..place]);
            text.push(ANY_TAG);
            at = after;
        }
    }
    text + &why[at..]
}

/// What would be written, cell by cell.
fn table(plan: &Plan, sheet: &Brought) -> Markup {
    let told = plan.readings.iter().filter(|(_, fate)| matches!(fate, Fate::New(_) | Fate::Named));
    let told: Vec<_> = told.collect();
    html! {
        @if !told.is_empty() {
            section {
                h2 { "What would be written" }
                div.wide tabindex="0" role="group" aria-label="What would be written" {
                    table {
                        thead { tr { th scope="col" { "cell" } th scope="col" { "pair" } th scope="col" { "reading" } th scope="col" { "what becomes of it" } } }
                        tbody {
                            @for (one, fate) in told.iter().take(ROWS_SHOWN) {
                                tr {
                                    td.number { (sheet.place(one)) }
                                    th scope="row" { (plan.tag(one)) }
                                    td { (view::circuit::reading(&one.reading)) }
                                    td { (words(fate)) }
                                }
                            }
                        }
                    }
                }
                @if told.len() > ROWS_SHOWN { p.quiet { "and " (told.len() - ROWS_SHOWN) " more" } }
            }
        }
    }
}

fn words(fate: &Fate) -> String {
    match fate {
        Fate::New(None) => "written".to_owned(),
        Fate::New(Some(stands)) => format!("written beside what stands: {stands}"),
        Fate::Named => "gives a trip of this job its name".to_owned(),
        Fate::There => "stands here already".to_owned(),
        Fate::Refused(why) => why.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tag_is_masked_where_it_is_a_word() {
        assert_eq!(any_tag("No ohms of A yet: A leg", "A"), "No ohms of \0 yet: \0 leg");
        assert_eq!(any_tag("C1 has volts, as C10 and X-C1", "C1"), "\0 has volts, as C10 and X-C1");
        assert_eq!(without_quoted("`470`: the unit of `470` is missing"), "`: the unit of ` is missing");
        let cells: Vec<String> = (1..=9).map(|row| format!("B{row}")).collect();
        assert_eq!(named(&cells), "B1, B2, B3, B4, B5, B6 and 3 more");
    }
}
