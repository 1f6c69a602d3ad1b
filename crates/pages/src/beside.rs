//! Entries of evidence that go along with a change: that what was observed with it is taken back, and what becomes of the tags
//! that photos and entries name. Both are written, since evidence is never edited.

use job::{Change, Job, TableRef};
use serde_json::{Value, json};

use crate::clock::seconds_between;
use crate::survey::taken_back;
use crate::world::{Entry, Photo, World};

/// The kind of an entry that says what becomes of a tag.
const CALLED: &str = "called";
/// Entries that are read at once.
const AT_ONCE: usize = 200;

/// A change that is about to be kept.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// Its job.
    pub job: &'a str,
    /// Its id.
    pub id: &'a str,
    /// What it is, in a sentence.
    pub what: &'a str,
    /// When, RFC 3339 in UTC.
    pub at: &'a str,
    /// Who.
    pub author: &'a str,
    /// The job before it; none where that cannot be read.
    pub before: Option<&'a Job>,
    /// The job after it.
    pub after: &'a Job,
    /// From what to what; empty where the whole text is written.
    pub changes: &'a [Change],
    /// The id of the change that it takes back; empty for none.
    pub takes_back: &'a str,
}

/// About what, in which words, and the same for programs.
type Told = (String, String, Value);

impl Beside<'_> {
    /// The entries to be written with it.
    #[must_use]
    pub fn entries(&self, world: &dyn World) -> Vec<Entry> {
        let mut all = self.called();
        all.extend(self.taking_back(world));
        all
    }

    /// That what was observed with a change does not hold.
    fn taking_back(&self, world: &dyn World) -> Option<Entry> {
        if self.takes_back.is_empty() {
            return None;
        }
        // A sheet's readings are kept one by one, all of them with one change.
        let own = world.entry(self.job, self.takes_back);
        let first = own.clone().or_else(|| world.entry(self.job, &format!("{}-0", self.takes_back)))?;
        // It may be called otherwise by now.
        let circuit = self.changes.iter().find_map(|change| circuit_of(change.at.table()));
        let about = own.filter(|own| !own.about.is_empty());
        let about = about.map(|own| circuit.map_or(own.about, str::to_owned)).unwrap_or_default();
        let data = json!({ "takes_back": self.takes_back });
        Some(self.entry(self.id.to_owned(), first.kind, (about, self.what.to_owned(), data)))
    }

    /// What becomes of the tags.
    fn called(&self) -> Vec<Entry> {
        let mut all: Vec<Told> = Vec::new();
        for change in self.changes {
            let inverse = change.inverse();
            let names = circuit_of(change.at.table()).zip(circuit_of(inverse.at.table()));
            if let Some((was, is)) = names.filter(|(was, is)| was != is) {
                all.push((is.to_owned(), format!("{was} is called {is} now."), json!({ "was": was })));
            }
        }
        let is_told =
            |all: &[Told], tag: &str| all.iter().any(|(is, _, data)| is == tag || data["was"] == tag);
        for tag in self.before.map(|before| missing(before, self.after)).unwrap_or_default() {
            if !is_told(&all, tag) {
                let words =
                    format!("{tag} is taken out: what was kept of it is not of another cable of that tag.");
                all.push((String::new(), words, json!({ "was": tag })));
            }
        }
        let back = self.before.filter(|_| !self.takes_back.is_empty());
        for tag in back.map(|before| missing(self.after, before)).unwrap_or_default() {
            if !is_told(&all, tag) {
                let words = format!("{tag} is back, with what was kept of it.");
                all.push((tag.to_owned(), words, json!({ "puts_back": self.takes_back })));
            }
        }
        let entry = |(at, told)| self.entry(format!("{}-called{at}", self.id), CALLED.to_owned(), told);
        all.into_iter().enumerate().map(entry).collect()
    }

    fn entry(&self, id: String, kind: String, (about, words, data): Told) -> Entry {
        Entry {
            id,
            at: self.at.to_owned(),
            author: self.author.to_owned(),
            instrument: String::new(),
            kind,
            about,
            words,
            data: data.to_string(),
        }
    }
}

/// The tags of one job that another has not.
fn missing<'j>(of: &'j Job, from: &Job) -> Vec<&'j str> {
    let there: std::collections::BTreeSet<&str> =
        from.circuits.iter().map(|circuit| circuit.tag.as_str()).collect();
    of.circuits.iter().map(|circuit| circuit.tag.as_str()).filter(|tag| !there.contains(tag)).collect()
}

fn circuit_of(table: &TableRef) -> Option<&str> {
    match table {
        TableRef::Named(kind, tag) if kind == "circuit" => Some(tag),
        _ => None,
    }
}

/// What became of tags, the oldest first.
#[derive(Default)]
pub(crate) struct Called(Vec<Event>);

struct Event {
    at: String,
    what: What,
}

enum What {
    /// A cable got another tag.
    Called { was: String, is: String },
    /// A circuit was taken out by a change.
    Gone { was: String, by: String },
    /// What a change took out is back.
    Back { is: String, by: String },
}

/// A tag by now.
pub(crate) struct Now {
    /// What the cable is called; none where it is in the job no more.
    pub(crate) tag: Option<String>,
    /// Until when it was called as it was written; empty where it still is.
    pub(crate) until: String,
}

impl Called {
    pub(crate) fn of(world: &dyn World, job: &str) -> Self {
        let mut all: Vec<Entry> = Vec::new();
        for from in (0..).step_by(AT_ONCE) {
            let entries = world.evidence(job, CALLED, "", from, AT_ONCE);
            let is_last = entries.len() < AT_ONCE;
            all.extend(entries);
            if is_last {
                break;
            }
        }
        Self(all.iter().rev().filter_map(Event::of).collect())
    }

    /// What a tag that was written at a time is called by now.
    pub(crate) fn now(&self, tag: &str, at: &str) -> Now {
        let later = |event: &&Event| seconds_between(at, &event.at).is_none_or(|seconds| seconds >= 0);
        followed(tag, self.0.iter().filter(later))
    }

    /// Whether what was written of a tag at a time is of the cable that has a tag now.
    pub(crate) fn is(&self, about: &str, at: &str, tag: &str) -> bool {
        self.now(about, at).tag.as_deref() == Some(tag)
    }

    /// The photos of what has a tag, or an id, now.
    pub(crate) fn photos(&self, world: &dyn World, job: &str, tag: &str) -> Vec<Photo> {
        let all = world.photos(job).into_iter();
        all.filter(|photo| self.is(&photo.about, &photo.at, tag)).collect()
    }
}

/// A tag followed through what came later, the oldest first.
fn followed<'e>(tag: &str, events: impl Iterator<Item = &'e Event>) -> Now {
    let mut name = Ok(tag.to_owned());
    let mut until = String::new();
    for event in events {
        let next = match (&name, &event.what) {
            (Ok(name), What::Called { was, is }) if name == was => Ok(is.clone()),
            (Ok(name), What::Gone { was, by }) if name == was => Err((was.clone(), by.clone())),
            (Err((gone, by)), What::Back { is, by: back }) if gone == is && by == back => Ok(is.clone()),
            _ => continue,
        };
        name = next;
        if name.as_deref() == Ok(tag) {
            until.clear();
        } else if until.is_empty() {
            until.clone_from(&event.at);
        }
    }
    Now { tag: name.ok(), until }
}

impl Event {
    fn of(entry: &Entry) -> Option<Self> {
        let data: Value = serde_json::from_str(&entry.data).ok()?;
        let text = |key: &str| data.get(key).and_then(Value::as_str).map(str::to_owned);
        let by = entry.id.rsplit_once("-called").map_or(entry.id.as_str(), |(by, _)| by).to_owned();
        let what = match (text("was"), text("puts_back")) {
            (Some(was), _) if entry.about.is_empty() => What::Gone { was, by },
            (Some(was), _) => What::Called { was, is: entry.about.clone() },
            (None, Some(by)) => What::Back { is: entry.about.clone(), by },
            _ => return None,
        };
        Some(Self { at: entry.at.clone(), what })
    }
}

/// What takes entries back, and what tags were called after each: for a list that is walked from the newest on.
#[derive(Default)]
pub(crate) struct Since {
    takers: Vec<(String, Entry)>,
    called: Vec<Event>,
}

impl Since {
    /// What has taken an entry back, and what its tag is called by now; the entry counts for those before it.
    pub(crate) fn step(&mut self, entry: &Entry) -> (Option<Entry>, Now) {
        let numbered = |number: &str| !number.is_empty() && number.bytes().all(|one| one.is_ascii_digit());
        let change = entry.id.rsplit_once('-').filter(|(_, number)| numbered(number));
        let is = |id: &str| id == entry.id || change.is_some_and(|(change, _)| id == change);
        let by = self.takers.iter().find(|(id, _)| is(id)).map(|(_, by)| by.clone());
        let takes_back = taken_back(entry);
        if by.is_none() && !takes_back.is_empty() {
            self.takers.push((takes_back, entry.clone()));
        }
        let now = followed(&entry.about, self.called.iter().rev());
        if entry.kind == CALLED {
            self.called.extend(Event::of(entry));
        }
        (by, now)
    }
}
