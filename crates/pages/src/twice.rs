//! A form whose id has kept something already, sent again with something else: a press of Back, and another figure. What is
//! kept and what was typed now are both shown, and nothing is lost.

use maud::{Markup, html};

use crate::answer::{Answer, Content, Write, said};
use crate::changes::Act;
use crate::frame::{Open, having_written, plain};
use crate::world::{Changed, Entry};

/// A change.
pub(crate) fn of_change(open: &Open, known: &Changed, act: &Act) -> Answer {
    let kept = html! { (known.what.trim_end_matches('.')) ", by " bdi { (known.author) } };
    page(open, &known.at, &kept, &act.what, &act.then)
}

/// What to answer where the form's id has kept a change already: onward where that is what this press asks for, both where it
/// is something else. None where the id is new.
pub(crate) fn sent_again(
    open: &Open,
    is_this: impl Fn(&Changed) -> bool,
    what: &str,
    then: &str,
) -> Option<Answer> {
    let known = open.world.change(open.id, open.request.field("id"))?;
    if is_this(&known) {
        return Some(said(Content::Redirect(then.to_owned())));
    }
    Some(of_change(open, &known, &Act::new(what, Vec::new(), then.to_owned())))
}

/// Writes an entry of evidence and goes on, once for its id.
pub(crate) fn observe(open: &Open, entry: Entry, then: String) -> Answer {
    // The safety entry of a strip changes what a card lets in, and is said there; what else is observed stands on its page.
    let told = entry.kind == crate::survey::CLEAR;
    let then = if told { having_written(&then, &entry.id) } else { then };
    let data = |entry: &Entry| serde_json::from_str::<serde_json::Value>(&entry.data).ok();
    match open.world.entry(open.id, &entry.id) {
        None => {
            let mut answer = said(Content::Redirect(then));
            answer.writes.push(Write::Evidence { job: open.id.to_owned(), entry });
            answer
        }
        Some(known)
            if (&known.kind, &known.about, &known.words) == (&entry.kind, &entry.about, &entry.words)
                && data(&known) == data(&entry) =>
        {
            said(Content::Redirect(then))
        }
        Some(known) => {
            let kept = html! { (known.words.trim_end_matches('.')) ", by " bdi { (known.author) } };
            page(open, &known.at, &kept, &entry.words, &then)
        }
    }
}

fn page(open: &Open, at: &str, kept: &Markup, typed: &str, then: &str) -> Answer {
    let body = html! {
        div.head { h1 { "Kept already" } }
        p.answer { "This form was kept already at " time datetime=(at) { (open.time(at)) } ", and says something else now. What you typed now is not written yet." }
        table.plain {
            tbody {
                tr { th scope="row" { "Kept at " (open.time(at)) } td { (kept) } }
                tr { th scope="row" { "Typed now" } td { (typed) } }
            }
        }
        div.choices {
            form method="post" action=(open.request.path) {
                @for (key, sent) in &open.request.form {
                    @if key != "id" { input type="hidden" name=(key) value=(sent); }
                }
                input type="hidden" name="id" value=(open.request.fresh_id);
                button type="submit" { "Keep this one too" }
            }
            a.button href=(then) { "Go on, with what is kept" }
        }
    };
    plain(open.request, 409, "Kept already", &body)
}
