//! Forms that stand in other rooms, where people look for them: standby with the supplies, the van with the kit, weights
//! with the cut-over.

use document::Plain;
use job::{Job, TableRef};
use library::Library;
use maud::{Markup, html};
use view::words::capital;

use super::form::{Listed, Sent, Text, Which, entry, whole};
use super::more::{EXTENSION, NAMELESS, STANDBY, VAN, WEIGHTS};
use super::tables::List;
use super::{a, in_words, written_part};
use crate::answer::Answer;
use crate::frame::Open;

/// The room in which the forms of what was sent stand, with what is wrong beside its fields; none for the equipment's own.
pub(super) fn page_with(open: &Open, sent: &Sent) -> Option<Answer> {
    if sent.table == WEIGHTS.name {
        return Some(crate::cutover::room(open, Some(sent)));
    }
    let (list, _) = sent.entry.as_ref().filter(|_| sent.table == NAMELESS.name)?;
    match list.as_str() {
        "standby" => Some(crate::supplies::room(open, Some(sent))),
        "van" => Some(crate::kit::page(open, Some(sent))),
        _ => None,
    }
}

/// Words on standby, below the supplies.
pub(crate) fn standby(open: &Open, sent: Option<&Sent>) -> Markup {
    let then = format!("{}#{}", open.path(&["supplies"]), STANDBY.key);
    let rules = rules_here(open.job(), open.desk.library());
    html! {
        section.on-screen id=(STANDBY.key) {
            h2 { "Standby, in your own word" }
            p.quiet { "Where the authority or the edition in force says other hours than the rule set does. Every word needs its reason." }
            (entries(open, &STANDBY, &then, "None: the rule sets' own hours and margins count.", sent))
            @if open.job().site.rules.is_empty() {
                p.quiet { "This site names no rule set yet, so no word of yours has anything to stand against: " a.inline href=(format!("{}?item=site-#site", open.path(&["equipment"]))) { "name them" } " first." }
            }
            @if !rules.is_empty() {
                details {
                    summary { "What the rule sets of this site ask" }
                    ul.plain { @for line in &rules { li { (line) } } }
                }
            }
        }
    }
}

/// `us-fire, premises-2022 (2022): 24 h, then 5 min in alarm, margin 1.25`.
fn rules_here(job: &Job, library: &Library) -> Vec<String> {
    use quantity::Written;
    let sets = job.site.rules.iter().filter_map(|id| library.rules.get(id.as_str()));
    let line = |set: &library::RuleSet, rule: &library::Requirement| {
        let factors: Vec<String> =
            rule.factors.iter().map(|factor| format!("{} {}", factor.name, factor.times)).collect();
        let margin = if factors.is_empty() { String::new() } else { format!(", {}", factors.join(", ")) };
        let usual = if rule.usual { "" } else { "; only where it is taken" };
        format!(
            "{}, {} ({}): {}, alarm {}{margin}{usual}",
            set.id,
            rule.id,
            rule.edition,
            rule.hours.written(),
            rule.alarm.written()
        )
    };
    sets.flat_map(|set| set.standby.iter().map(move |rule| line(set, rule))).collect()
}

/// Cables that can be made longer, with the equipment.
pub(super) fn extension(open: &Open, sent: Option<&Sent>) -> Markup {
    let then = format!("{}#{}", open.path(&["equipment"]), EXTENSION.key);
    html! {
        section id=(EXTENSION.key) {
            h2 { "Cables made longer " span.beside { (count(open, &EXTENSION)) } }
            p.quiet { "Between which enclosures cables can be made longer, so that their circuits can have an input there." }
            (entries(open, &EXTENSION, &then, "None: a circuit gets its input where its cable ends.", sent))
        }
    }
}

/// What the van holds, with the kit.
pub(crate) fn van(open: &Open, sent: Option<&Sent>) -> Markup {
    let then = format!("{}#{}", open.path(&["kit"]), VAN.key);
    html! {
        section.on-screen id=(VAN.key) {
            h2 { "What the van holds " span.beside { (count(open, &VAN)) } }
            p.quiet { "What is in it need not be ordered. Resistors, fuses and cable are told apart by their value." }
            (entries(open, &VAN, &then, "Nothing written yet: the usual resistors are taken to be in it, uncounted.", sent))
        }
    }
}

/// Weights of the cut-over.
pub(crate) fn weights(open: &Open, sent: Option<&Sent>) -> Markup {
    let text = Text::of(open);
    let then = format!("{}#weights", open.path(&["cut-over"]));
    let sent = sent.filter(|sent| sent.table == WEIGHTS.name);
    let own = written_part(&text, &WEIGHTS, "", WEIGHTS.fields.len());
    html! {
        section.on-screen id="weights" {
            h2 { "What a minute without a circuit weighs" }
            p.quiet { "The plan keeps the sum small: minutes times weight. Only how weights stand to each other matters; 0 counts for nothing." }
            details.item open[sent.is_some()] {
                summary { "Weights " span.quiet { @if own.is_empty() { "none of your own: the labour table's count" } @else { (own.join(", ")) } } }
                (whole(open, &text, &Which { table: &WEIGHTS, of: "", then: &then, press: "Write these weights".to_owned() }, sent))
            }
        }
    }
}

fn count(open: &Open, list: &List) -> usize {
    Text::of(open).entries(&TableRef::document(), list.key).len()
}

/// Every entry of a list of the document with what changes it, and one more.
fn entries(open: &Open, list: &'static List, then: &str, none: &str, sent: Option<&Sent>) -> Markup {
    let text = Text::of(open);
    let all = text.entries(&TableRef::document(), list.key);
    let own = |sent: &&Sent| sent.table == NAMELESS.name;
    let sent = sent.filter(own).filter(|sent| sent.entry.as_ref().is_some_and(|(key, _)| key == list.key));
    let open_at = sent.and_then(|sent| sent.entry.as_ref()).map(|(_, at)| *at);
    let which = Listed { table: &NAMELESS, of: "", list, then };
    html! {
        @if all.is_empty() { p { (none) } }
        @for (at, stands) in all.iter().enumerate() {
            details.item open[open_at == Some(Some(at))] {
                summary { (in_words(list, stands)) }
                (entry(open, &which, (Some(at), Some(stands)), sent))
            }
        }
        details.item open[open_at == Some(None)] {
            summary { "Add " (a(list.one)) }
            (entry(open, &which, (None, None), sent))
        }
    }
}

/// What was done to an entry of a list of the document, in a sentence.
pub(super) fn said(list: &List, from: Option<&Plain>, to: Option<&Plain>) -> String {
    let one = capital(list.one);
    match (from, to) {
        (None, Some(to)) => format!("{one} added: {}.", in_words(list, to)),
        (Some(from), None) => format!("{one} taken out: {}.", in_words(list, from)),
        (_, Some(to)) => format!("{one} changed: {}.", in_words(list, to)),
        (None, None) => String::new(),
    }
}
