//! What a strip's safety entry covers, and how that follows the pairs through changes and through whole new texts.

use document::Plain;
use job::{Change, Circuit, Job, Place, Reading, TableRef};

use super::{is_same, strip_of};

/// Tags of those left out that are named in a sentence.
const MOST_NAMED: usize = 20;

/// A safety entry of a strip: for which pairs somebody says that they are under 1 V and clear of earth.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Clearance {
    /// The strip: an enclosure's id; empty for the one without a name.
    pub strip: String,
    /// Tags of the pairs that are clear.
    pub pairs: Vec<String>,
    /// Tags of those that are left out.
    pub except: Vec<String>,
    /// Tags of those that are left out too, because a whole new text brought them or may have put another pair in their
    /// place; none of them is in `except`.
    pub in_doubt: Vec<String>,
}

impl Clearance {
    /// The kind of evidence that is one.
    pub const KIND: &'static str = "strip-clear";

    /// From an entry of evidence: what it is about, and its keys as a JSON object.
    #[must_use]
    pub fn of(about: &str, data: &str) -> Self {
        let data: serde_json::Value = serde_json::from_str(data).unwrap_or_default();
        let tags = |key: &str| {
            let tags = data.get(key).and_then(serde_json::Value::as_array);
            let texts = tags.into_iter().flatten().filter_map(serde_json::Value::as_str);
            texts.map(str::to_owned).collect()
        };
        Self {
            strip: about.to_owned(),
            pairs: tags("pairs"),
            except: tags("except"),
            in_doubt: tags("in_doubt"),
        }
    }

    /// Of entries that come the newest first, each as what it is about and its keys, the newest of each strip.
    #[must_use]
    pub fn newest<'e>(entries: impl IntoIterator<Item = (&'e str, &'e str)>) -> Vec<Self> {
        let mut newest: Vec<Self> = Vec::new();
        for (about, data) in entries {
            if newest.iter().all(|known| known.strip != about) {
                newest.push(Self::of(about, data));
            }
        }
        newest
    }

    /// The keys of an entry that goes on with this: those of the one before it, with these pairs.
    #[must_use]
    pub fn data(&self, before: &str) -> String {
        let mut data: serde_json::Value = serde_json::from_str(before).unwrap_or_default();
        if !data.is_object() {
            data = serde_json::json!({});
        }
        data["pairs"] = self.pairs.clone().into();
        data["except"] = self.except.clone().into();
        match (self.in_doubt.is_empty(), data.as_object_mut()) {
            (true, Some(keys)) => drop(keys.remove("in_doubt")),
            _ => data["in_doubt"] = self.in_doubt.clone().into(),
        }
        data.to_string()
    }

    /// What an entry says that goes on with this after a change, which is told in a sentence.
    #[must_use]
    pub fn words(&self, change: &str) -> String {
        let of = match self.pairs.len() {
            0 => "no pair".to_owned(),
            1 => "1 pair".to_owned(),
            count => format!("{count} pairs"),
        };
        let out: Vec<&str> = self.except.iter().chain(&self.in_doubt).map(String::as_str).collect();
        let more = match out.len().saturating_sub(MOST_NAMED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        let named = out.iter().take(MOST_NAMED).copied().collect::<Vec<_>>().join(", ");
        let but = if out.is_empty() { String::new() } else { format!("; left out: {named}{more}") };
        format!("{} The safety entry of this strip goes on for {of}{but}.", change.trim())
    }

    /// Another tag for a pair; whatever was said of that tag before was said of another cable.
    fn rename(&mut self, of: &str, to: &str) {
        for tags in [&mut self.pairs, &mut self.except, &mut self.in_doubt] {
            tags.retain(|tag| tag != to);
            for tag in tags.iter_mut().filter(|tag| *tag == of) {
                to.clone_into(tag);
            }
        }
    }

    /// What comes under this tag was not looked at.
    fn leave_out(&mut self, tag: &str) {
        let count = self.pairs.len();
        self.pairs.retain(|pair| pair != tag);
        if self.pairs.len() < count {
            push_new(&mut self.except, tag);
        }
    }

    /// A whole new text took what has this tag out, or brought it.
    fn doubt(&mut self, tag: &str) {
        self.pairs.retain(|pair| pair != tag);
        if self.except.iter().all(|out| out != tag) {
            push_new(&mut self.in_doubt, tag);
        }
    }
}

fn push_new(tags: &mut Vec<String>, tag: &str) {
    if tags.iter().all(|known| known != tag) {
        tags.push(tag.to_owned());
    }
}

/// The safety entries that have to be written anew with a change of the job, so that what they say follows the pair and not
/// its tag: a pair that is called anew stays what it was, and what comes under a tag that was free is left out. Without
/// changes it is a whole new text; see [`written_anew`].
#[must_use]
pub fn followed(before: &Job, after: &Job, changes: &[Change], clearances: &[Clearance]) -> Vec<Clearance> {
    if changes.is_empty() {
        return written_anew(Some(before), after, clearances);
    }
    let tags =
        |job: &Job| -> Vec<String> { job.circuits.iter().map(|circuit| circuit.tag.value.clone()).collect() };
    let (mut known, now) = (tags(before), tags(after));
    let mut entries = clearances.to_vec();
    for change in changes {
        match deed(change) {
            Some(Deed::Renamed(of, to)) => {
                entries.iter_mut().for_each(|entry| entry.rename(of, to));
                for tag in known.iter_mut().filter(|tag| *tag == of) {
                    to.clone_into(tag);
                }
            }
            Some(Deed::Out(tag)) => {
                entries.iter_mut().for_each(|entry| entry.leave_out(tag));
                known.retain(|one| one != tag);
            }
            Some(Deed::New(tag)) => {
                entries.iter_mut().for_each(|entry| entry.leave_out(tag));
                known.push(tag.to_owned());
            }
            None => {}
        }
        if let Some(tag) = put_in_its_place(change) {
            entries.iter_mut().for_each(|entry| entry.leave_out(tag));
        }
    }
    let gone = known.iter().filter(|tag| !now.contains(tag));
    let come = now.iter().filter(|tag| !known.contains(tag));
    for tag in gone.chain(come) {
        for entry in &mut entries {
            entry.leave_out(tag);
        }
    }
    changed(entries, clearances)
}

/// The safety entries that have to be written anew with a whole new text, which says nothing of what became of which pair:
/// only what surely is the pair that was there before stays clear. `before` is none where that text could not be read.
#[must_use]
pub fn written_anew(before: Option<&Job>, after: &Job, clearances: &[Clearance]) -> Vec<Clearance> {
    let mut entries = clearances.to_vec();
    let known = before.map(|job| job.circuits.as_slice()).unwrap_or_default();
    let of = |circuits: &'_ [Circuit], tag: &str| circuits.iter().position(|one| one.tag.value == tag);
    for entry in &mut entries {
        let gone: Vec<String> =
            entry.pairs.iter().filter(|tag| of(&after.circuits, tag).is_none()).cloned().collect();
        gone.iter().for_each(|tag| entry.doubt(tag));
        for circuit in &after.circuits {
            let was = of(known, &circuit.tag.value).map(|at| &known[at]);
            let tag = &circuit.tag.value;
            // Whether or not the entry named one called so: nobody looked at this one.
            let is_its = entry.pairs.contains(tag) || entry.strip == strip_of(circuit);
            if is_its && !was.is_some_and(|was| is_surely(was, circuit)) {
                entry.doubt(tag);
            }
        }
    }
    changed(entries, clearances)
}

/// Whether a circuit of a whole new text surely is the pair that had its tag before: where it ends and all else by which
/// people know it stands as it did. What nobody had written down may come, but not to a pair of which nothing was written; readings may be added, and none may be gone.
#[must_use]
pub fn is_surely(was: &Circuit, now: &Circuit) -> bool {
    let stands = |was: &str, now: &str| was.is_empty() || was == now;
    let mut left: Vec<&Reading> = now.found.iter().collect();
    let all_read = was.found.iter().all(|reading| {
        let place = left.iter().position(|one| is_same(one, reading));
        place.map(|place| left.remove(place)).is_some()
    });
    let is_bare = was.place.is_empty() && was.was.is_empty() && was.found.is_empty();
    was.tag.value == now.tag.value
        && strip_of(was) == strip_of(now)
        && stands(&was.place, &now.place)
        && stands(&was.was, &now.was)
        && all_read
        // With nothing else to know it by, what hangs on it is all that tells it from another.
        && (!is_bare
            || (now.place.is_empty() && now.was.is_empty())
                && (was.network.is_none() || was.network == now.network))
}

/// Those of the entries that say something else than they did.
fn changed(entries: Vec<Clearance>, were: &[Clearance]) -> Vec<Clearance> {
    entries.into_iter().zip(were).filter(|(entry, was)| entry != *was).map(|(entry, _)| entry).collect()
}

/// What a change does to the tags of circuits.
enum Deed<'c> {
    /// From the one tag to the other.
    Renamed(&'c str, &'c str),
    /// It takes this one out.
    Out(&'c str),
    /// It makes this one.
    New(&'c str),
}

fn deed(change: &Change) -> Option<Deed<'_>> {
    let TableRef::Named(kind, of) = change.at.table() else { return None };
    if kind != "circuit" {
        return None;
    }
    let to = match (&change.at, &change.from, &change.to) {
        (Place::Table(_), _, None) => return Some(Deed::Out(of)),
        (Place::Table(_), None, Some(_)) => return Some(Deed::New(of)),
        (Place::Key(_, key), _, Some(Plain::Text(to))) if key == "tag" => to,
        (Place::Table(_), Some(_), Some(table)) => match table.get("tag")? {
            Plain::Text(to) => to,
            _ => return None,
        },
        _ => return None,
    };
    (of != to).then_some(Deed::Renamed(of, to))
}

/// The tag of a circuit whose whole table a change puts anew, where that may be another pair: what stood there by which people
/// know it does not all stand.
fn put_in_its_place(change: &Change) -> Option<&str> {
    let (TableRef::Named(kind, of), Place::Table(_)) = (change.at.table(), &change.at) else { return None };
    let (from, to) = (change.from.as_ref()?, change.to.as_ref()?);
    let stands = |key: &str| from.get(key).is_none_or(|was| to.get(key) == Some(was));
    let readings = |of: &Plain| match of.get("found") {
        Some(Plain::List(all)) => all.clone(),
        _ => Vec::new(),
    };
    let mut left = readings(to);
    let all_read = readings(from).iter().all(|was| {
        let place = left.iter().position(|one| one == was);
        place.map(|place| left.remove(place)).is_some()
    });
    let is_it = from.get("ends_in") == to.get("ends_in") && stands("place") && stands("was") && all_read;
    let tag = match to.get("tag") {
        Some(Plain::Text(tag)) => tag,
        _ => of,
    };
    (kind == "circuit" && !is_it).then_some(tag)
}
