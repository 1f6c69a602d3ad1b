//! Somebody looked through the job as it stands and says so: an entry of evidence about one version of its text.

use maud::{Markup, html};

use crate::answer::{Answer, Remember};
use crate::frame::{Open, refused};
use crate::survey::{entry_id, taken_back};
use crate::twice;
use crate::who::{LONGEST_NAME, NOBODY, name_of};
use crate::world::{Entry, World};

/// The kind of evidence.
const KIND: &str = "checked";

/// The newest look through the job that was not taken back, with the version that it is about.
fn newest(open: &Open) -> Option<(Entry, u64)> {
    newest_of(open.world, open.id)
}

fn newest_of(world: &dyn World, job: &str) -> Option<(Entry, u64)> {
    let entry = world.evidence(job, KIND, "", 0, 1).pop()?;
    let data: serde_json::Value = serde_json::from_str(&entry.data).unwrap_or_default();
    let version = data.get("version").and_then(serde_json::Value::as_u64)?;
    taken_back(&entry).is_empty().then_some((entry, version))
}

/// What title blocks on paper say of it: who looked through a version of a job, or that it was another one; none where
/// nobody has.
#[must_use]
pub fn checked_by(world: &dyn World, job: &str, version: u64) -> Option<String> {
    let (entry, checked) = newest_of(world, job)?;
    Some(if checked == version {
        format!("{}, change {checked}", entry.author)
    } else {
        format!("{}, but change {checked}, not this one", entry.author)
    })
}

/// What the title block says of it; none where nobody has looked through the job yet.
pub(crate) fn by(open: &Open) -> Option<String> {
    let (entry, version) = newest(open)?;
    Some(if version == open.kept.version {
        format!("\u{2068}{}\u{2069}, change {version}", entry.author)
    } else {
        format!("change {version}, before this one")
    })
}

/// The press.
pub(crate) fn form(open: &Open) -> Markup {
    let own = newest(open).filter(|(_, version)| *version == open.kept.version);
    html! {
        form.checked method="post" action=(open.path(&["checked"])) {
            (open.form_fields())
            input type="hidden" name="version" value=(open.kept.version);
            @match &own {
                Some((entry, _)) => {
                    p { bdi { (entry.author) } " looked through this as it stands, " (open.time(&entry.at)) "." }
                    input type="hidden" name="takes_back" value=(entry.id);
                    button.small type="submit" { "Take that back" }
                }
                None => {
                    label for="checked-by" { "Your name, for the title block" }
                    div.with-press {
                        input id="checked-by" name="who" maxlength=(LONGEST_NAME) autocomplete="name" value=(own_name(&open.request.author)) required;
                        button type="submit" { "I looked through this as it stands" }
                    }
                }
            }
        }
    }
}

/// The name of a person; empty where only the machine is known.
fn own_name(author: &str) -> &str {
    if author == NOBODY { "" } else { author }
}

/// Writes it down.
pub(crate) fn write(open: &Open) -> Answer {
    let (request, then) = (open.request, open.path(&["record"]));
    let takes_back = request.field("takes_back");
    let version = request.field("version").parse::<u64>();
    let Some(version) = version.ok().filter(|version| (1..=open.kept.version).contains(version)) else {
        return refused(request, "Which change was looked through is not said.", "", &then);
    };
    let name = if takes_back.is_empty() { request.field("who") } else { &request.author };
    let Some(name) = name_of(name).filter(|name| !own_name(name).is_empty() || !takes_back.is_empty()) else {
        let accept = "Accepted: up to 60 letters, figures, blanks and marks of one line.";
        return refused(request, "Whoever looked through it stands by it with a name.", accept, &then);
    };
    let (words, mut data) = if takes_back.is_empty() {
        let words = format!("Looked through as it stands at change {version}.");
        (words, serde_json::json!({ "version": version }))
    } else {
        ("That it was looked through is taken back.".to_owned(), serde_json::json!({ "version": version }))
    };
    if !takes_back.is_empty() {
        data["takes_back"] = takes_back.into();
    }
    let entry = Entry {
        id: entry_id(open),
        at: request.at.clone(),
        author: name.to_owned(),
        instrument: String::new(),
        kind: KIND.to_owned(),
        about: String::new(),
        words,
        data: data.to_string(),
    };
    let remember = (name != request.author).then(|| Remember::Name(name.to_owned()));
    Answer { remember, ..twice::observe(open, entry, then) }
}
