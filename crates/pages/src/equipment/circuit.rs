//! What is written of a circuit beside its place and duty: network, input, mode, cable, programming; its tag, and taking it
//! out.

use document::Plain;
use job::{Change, Place, TableRef};
use maud::{Markup, html};

use super::fields::CIRCUIT;
use super::form::{Sent, Text, Which, ids, whole};
use super::write::gone;
use super::{problems_of, remove};
use crate::answer::{Answer, Content, said};
use crate::changes::Act;
use crate::frame::{Open, Page, Tab, refused};

/// The forms, for the circuit's own page.
pub(crate) fn forms(open: &Open, tag: &str) -> Markup {
    parts(open, tag, None)
}

fn parts(open: &Open, tag: &str, sent: Option<&Sent>) -> Markup {
    let text = Text::of(open);
    let back = open.path(&["c", tag]);
    let which =
        Which { table: &CIRCUIT, of: tag, then: &back, press: format!("Write all of this into {tag}") };
    html! {
        (whole(open, &text, &which, sent))
        form.gear method="post" action=(open.path(&["equipment"])) {
            (open.form_fields())
            input type="hidden" name="do" value="rename";
            input type="hidden" name="table" value="circuit";
            input type="hidden" name="of" value=(tag);
            label for="new-name" { "Another tag" }
            div.with-press {
                input id="new-name" name="to" value=(tag) maxlength="40" autocomplete="off" autocapitalize="characters" required;
                button.small type="submit" { "Call it so" }
            }
        }
        (remove::form(open, &CIRCUIT, tag, &open.path(&["circuits"])))
    }
}

/// The page of a form that could not be taken.
pub(super) fn page_with(open: &Open, sent: &Sent) -> Answer {
    let tag = sent.of.as_str();
    let body = html! {
        p.answer { "Nothing was written of circuit " (tag) " yet." }
        (parts(open, tag, Some(sent)))
        p { a.button href=(open.path(&["c", tag])) { "To the sheet of " (tag) } }
    };
    let mut page = Page::new(Tab::Circuits, format!("Circuit {tag}"), body);
    page.status = 400;
    page.answer(open)
}

/// Gives a circuit another tag, wherever the job names it. What was observed under the old tag stays so.
pub(super) fn rename(open: &Open) -> Answer {
    let (of, to) = (open.request.field("of"), open.request.field("to").trim());
    let there = open.path(&["c", to]);
    if of == to {
        return said(Content::Redirect(there));
    }
    let is_this = |known: &crate::world::Changed| {
        known.changes.iter().any(|one| {
            matches!(&one.at, job::Place::Key(_, key) if key == "tag")
                && one.to == Some(document::Plain::Text(to.to_owned()))
        })
    };
    if let Some(answer) = crate::twice::sent_again(open, is_this, &format!("{of} is called {to}."), &there) {
        return answer;
    }
    let tags = ids(open.job(), "circuit");
    if !tags.iter().any(|tag| tag == of) {
        return gone(open, &CIRCUIT, of);
    }
    let back = open.path(&["c", of]);
    if to.is_empty() || tags.iter().any(|tag| tag == to) {
        let says = if to.is_empty() {
            "A circuit needs a tag.".to_owned()
        } else {
            format!("There is a circuit {to} already.")
        };
        return refused(open.request, &says, "Accepted: a tag that no other circuit has.", &back);
    }
    let text = Text::of(open);
    let mut changes = Vec::new();
    let mut put = |at: Place, to: Plain| {
        let from = text.value(&at).cloned();
        changes.push(Change { at, from, to: Some(to) });
    };
    for device in &open.job().devices {
        if let Some((_, name)) = device.id.split_once('/').filter(|(tag, _)| *tag == of) {
            let at = Place::Key(TableRef::named("device", &device.id), "id".to_owned());
            put(at, Plain::Text(format!("{to}/{name}")));
        }
    }
    for area in open.job().areas.iter().filter(|area| area.route.iter().any(|tag| tag.value == of)) {
        let at = Place::Key(TableRef::named("area", &area.number.value.to_string()), "route".to_owned());
        let route = area
            .route
            .iter()
            .map(|tag| Plain::Text(if tag.value == of { to.to_owned() } else { tag.value.clone() }));
        put(at, Plain::List(route.collect()));
    }
    let anew = |tag: &str| Some(if tag == of { to.to_owned() } else { tag.to_owned() });
    for cable in &open.job().cables {
        changes.extend(remove::cores(&text, &cable.id, &anew));
    }
    let at = Place::Key(TableRef::named("circuit", of), "tag".to_owned());
    changes.push(Change { from: text.value(&at).cloned(), at, to: Some(Plain::Text(to.to_owned())) });
    if let Some(says) = problems_of(open, &changes) {
        return refused(open.request, &says.0, &says.1, &back);
    }
    Act::new(format!("{of} is called {to} now."), changes, there).answer(open)
}
