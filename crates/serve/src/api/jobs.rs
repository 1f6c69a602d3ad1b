//! Jobs: the list, a text, and what changes it.

use assess::clear::{Clearance, followed, refuses_changed, written_anew};
use document::{Plain, Source};
use job::{Change, ChangeError, Job, Place, TableRef};
use store::{Entry, JobRow, StoreError, Version, Which, Write};

use super::change::ChangeJson;
use super::doors::{MOST_COUNT, MOST_FROM};
use super::wire::{
    ChangesJson, JobJson, JobRowJson, JobsJson, MadeJson, NewJobJson, TextJson, VersionJson, VersionsJson,
};
use super::{Call, json};
use crate::clock;
use crate::refusal::Refusal;
use crate::reply::Reply;
use crate::state::State;
use crate::world::unassessed;

/// Rows where nobody says how many.
const USUAL: usize = 50;
/// How often a change is tried again because another program was quicker.
const TRIES: usize = 8;
/// Entries of strips that are looked through.
const STRIPS_LOOKED_AT: usize = 200;
/// Changes that are made at once.
const MOST_CHANGES: usize = 500;

/// The list.
pub(crate) fn list(call: &Call<'_>) -> Result<Reply, Refusal> {
    let (from, count) = page(call)?;
    let jobs = call.state.store.jobs(call.asked("search").unwrap_or_default(), from, count)?;
    json(200, &JobsJson { of: jobs.of, jobs: jobs.rows.into_iter().map(row).collect() })
}

/// Which rows are asked for.
pub(super) fn page(call: &Call<'_>) -> Result<(usize, usize), Refusal> {
    let from = call.number("from", 0, 0, MOST_FROM as usize)?;
    Ok((from, call.number("count", USUAL, 1, MOST_COUNT as usize)?))
}

fn row(row: JobRow) -> JobRowJson {
    JobRowJson {
        id: row.id,
        version: row.version,
        changed: row.changed_at,
        name: row.summary.name,
        circuits: row.summary.circuits,
        verdict: Some(row.summary.verdict).filter(|verdict| !verdict.is_empty()),
        answer: row.summary.answer,
    }
}

/// One job.
pub(crate) fn one(call: &Call<'_>) -> Result<Reply, Refusal> {
    let job = call.named[0];
    let kept = call.state.store.job(job)?.ok_or_else(|| missing(job))?;
    json(
        200,
        &JobJson {
            id: kept.row.id,
            version: kept.row.version,
            changed: kept.row.changed_at,
            text: kept.text,
        },
    )
}

/// There is no such job.
pub(super) fn missing(job: &str) -> Refusal {
    StoreError::NoJob { job: job.chars().take(64).collect() }.into()
}

/// Begins a job.
pub(crate) fn begin(call: &Call<'_>) -> Result<Reply, Refusal> {
    let NewJobJson { id, text } = call.json()?;
    let id = own_or_fresh(id)?;
    let said = said_of(call.state, &id, &text)?;
    let what = "begun with a text".to_owned();
    let write = Write::NewJob { id: id.clone(), text, summary: said, what };
    call.state.carry_out(&call.state.author, vec![write])?;
    let version = call.state.store.versions(&id, 1)?.first().map_or(1, |newest| newest.version);
    json(201, &MadeJson { id, version })
}

/// An id of the client's, or a new one.
pub(super) fn own_or_fresh(id: Option<String>) -> Result<String, Refusal> {
    let no_chance = |_| Refusal::new(500, "the machine gives no chance for an id", "the same again");
    id.map_or_else(|| clock::fresh_id().map_err(no_chance), Ok)
}

/// What the list says of a text that is to be kept.
fn said_of(state: &State, job: &str, text: &str) -> Result<store::Summary, Refusal> {
    let (_, desk) = state.desks.of(job, text);
    let desk = desk.map_err(|problems| Refusal::unread(text, &problems))?;
    Ok(unassessed(&desk))
}

/// Puts a whole text.
pub(crate) fn put(call: &Call<'_>) -> Result<Reply, Refusal> {
    let (job, asked) = (call.named[0], call.json::<TextJson>()?);
    let id = own_or_fresh(asked.id)?;
    let _turn = call.state.turns.of(job);
    let kept = call.state.store.job(job)?.ok_or_else(|| missing(job))?;
    if let Some(made) = call.state.store.version(job, &id)? {
        if call.state.store.text_at(job, made.version)?.as_deref() != Some(asked.text.as_str()) {
            return Err(StoreError::Conflict { job: job.to_owned(), id, stands: made.what }.into());
        }
        return json(200, &MadeJson { id, version: made.version });
    }
    if kept.row.version != asked.version {
        return Err(StoreError::Stale { job: job.to_owned(), version: kept.row.version }.into());
    }
    let said = said_of(call.state, job, &asked.text)?;
    let what = if asked.what.is_empty() { "A whole new text".to_owned() } else { asked.what };
    let strips = strips(call.state, job)?;
    let (before, after) = (read(&kept.text).ok(), read(&asked.text)?);
    let anew = written_anew(before.as_ref(), &after, &newest(&strips));
    let follow = entries(call.state, (job, &id, &what), &strips, &anew);
    let write = Write::Save {
        job: job.to_owned(),
        id: id.clone(),
        version: asked.version,
        text: asked.text,
        summary: said,
        changes: Vec::new(),
        what,
        takes_back: String::new(),
    };
    let writes = std::iter::once(write).chain(follow).collect();
    call.state.carry_out(&call.state.author, writes)?;
    json(200, &MadeJson { id, version: asked.version + 1 })
}

/// What was changed.
pub(crate) fn changes(call: &Call<'_>) -> Result<Reply, Refusal> {
    let (job, (_, count)) = (call.named[0], page(call)?);
    let versions = call.state.store.versions(job, count)?;
    if versions.is_empty() {
        return Err(missing(job));
    }
    json(200, &VersionsJson { versions: versions.into_iter().map(version).collect() })
}

fn version(version: Version) -> VersionJson {
    VersionJson {
        version: version.version,
        id: version.id,
        at: version.at,
        author: version.author,
        what: version.what,
        changes: version.changes.iter().map(ChangeJson::of).collect(),
        takes_back: version.takes_back,
    }
}

/// Changes values.
pub(crate) fn change(call: &Call<'_>) -> Result<Reply, Refusal> {
    let (job, asked) = (call.named[0], call.json::<ChangesJson>()?);
    let id = own_or_fresh(asked.id)?;
    let changes: Vec<Change> = asked.changes.into_iter().map(ChangeJson::change).collect();
    if changes.is_empty() || changes.len() > MOST_CHANGES {
        return Err(Refusal::new(422, "there is no change in it, or too many", "1 to 500 changes"));
    }
    let what = if asked.what.is_empty() { in_words(&changes) } else { asked.what };
    let _turn = call.state.turns.of(job);
    for _ in 0..TRIES {
        let kept = call.state.store.job(job)?.ok_or_else(|| missing(job))?;
        if let Some(made) = call.state.store.version(job, &id)? {
            if made.changes != changes {
                return Err(StoreError::Conflict { job: job.to_owned(), id, stands: made.what }.into());
            }
            return json(200, &MadeJson { id, version: made.version });
        }
        let back = way_back(call.state, job, kept.row.version, (&changes, &asked.takes_back))?;
        let applied = Change::apply_all(&changes, &Source::new("job.toml", kept.text.as_str()));
        let text = applied.map_err(unchanged)?.text;
        let said = said_of(call.state, job, &text)?;
        let strips = strips(call.state, job)?;
        let (before, after) = (read(&kept.text)?, read(&text)?);
        let anew = followed(&before, &after, &changes, &newest(&strips));
        if back != Way::Back {
            refuse_readings(before, &after, &with(&strips, &anew), &changes)?;
        }
        let write = Write::Save {
            job: job.to_owned(),
            id: id.clone(),
            version: kept.row.version,
            text,
            summary: said,
            changes: changes.clone(),
            what: what.clone(),
            takes_back: asked.takes_back.clone(),
        };
        let mut writes = vec![write];
        writes.extend(entries(call.state, (job, &id, &what), &strips, &anew));
        match call.state.carry_out(&call.state.author, writes) {
            Ok(()) => return json(200, &MadeJson { id, version: kept.row.version + 1 }),
            // Somebody else was quicker: it may still fit the newer text.
            Err(StoreError::Stale { .. }) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Err(Refusal::new(503, "the job is changed faster than this change can be made", "the same again"))
}

/// What a set of changes is that may say that it takes another one back.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Way {
    /// It says no such thing.
    On,
    /// It does, and nobody wrote a whole text between: its readings were asked for when they were read.
    Back,
    /// It does, but a whole text came between: it is judged like any other.
    OverText,
}

/// Whether changes take back what they say: they must be the other one's inverse, moved on through what came later.
fn way_back(
    state: &State,
    job: &str,
    version: i64,
    (changes, takes_back): (&[Change], &str),
) -> Result<Way, Refusal> {
    if takes_back.is_empty() {
        return Ok(Way::On);
    }
    let accept =
        "the id of a change of this job, and its changes from its `to` back to its `from`, the last first";
    let Some(done) = state.store.version(job, takes_back)? else {
        return Err(Refusal::new(422, "`takes_back` is the id of no change of this job", accept));
    };
    let count = usize::try_from(version - done.version).unwrap_or(0);
    let mut later = state.store.versions(job, count)?;
    later.retain(|one| one.version > done.version);
    later.reverse();
    if let Some(by) = taken_back(&later, takes_back) {
        let text = format!(
            "it was taken back already, by the change `{}` of {} at {}: \"{}\"",
            by.id,
            by.author,
            by.at,
            by.what.trim_end_matches('.')
        );
        let accept = "the id of that change as `takes_back`, to do again what it took back";
        return Err(Refusal::new(409, text, accept));
    }
    let inverse: Vec<Change> = done.changes.iter().rev().map(Change::inverse).collect();
    let deeds: Vec<Change> = later.iter().flat_map(|one| one.changes.clone()).collect();
    if Change::moved_on(&inverse, &deeds).ok().as_deref() != Some(changes) {
        let text = format!("the changes are not the way back from \"{}\"", done.what.trim_end_matches('.'));
        return Err(Refusal::new(422, text, accept));
    }
    Ok(if later.iter().any(|one| one.changes.is_empty()) { Way::OverText } else { Way::Back })
}

/// What has taken a change back and was not taken back itself.
fn taken_back<'v>(later: &'v [Version], id: &str) -> Option<&'v Version> {
    later.iter().rev().find(|one| one.takes_back == id && taken_back(later, &one.id).is_none())
}

/// The rule of the pages holds here too: no ohms of a pair that nobody knows to be clear.
fn refuse_readings(
    before: Job,
    after: &Job,
    clearances: &[Clearance],
    changes: &[Change],
) -> Result<(), Refusal> {
    if changes.iter().all(|change| change.to.is_none()) {
        return Ok(());
    }
    match refuses_changed(&called_as_then(before, changes), after, clearances) {
        None => Ok(()),
        Some(says) => Err(not_clear(&says)),
    }
}

/// A job before some changes with its circuits called as they are called after them: a reading is not new because its
/// circuit is called anew.
fn called_as_then(mut job: Job, changes: &[Change]) -> Job {
    for change in changes {
        let TableRef::Named(kind, tag) = change.at.table() else { continue };
        match (&change.at, &change.to) {
            _ if kind != "circuit" => {}
            (Place::Table(_), None) => job.circuits.retain(|circuit| circuit.tag.value != *tag),
            (Place::Key(_, key), Some(Plain::Text(to))) if key == "tag" => {
                let own = job.circuits.iter_mut().find(|circuit| circuit.tag.value == *tag);
                if let Some(circuit) = own {
                    circuit.tag.value.clone_from(to);
                }
            }
            _ => {}
        }
    }
    job
}

pub(super) fn read(text: &str) -> Result<Job, Refusal> {
    Job::read(&Source::new("job.toml", text)).map_err(|problems| Refusal::unread(text, &problems))
}

/// The newest safety entry of each strip.
pub(super) fn clearances(state: &State, job: &str) -> Result<Vec<Clearance>, Refusal> {
    Ok(newest(&strips(state, job)?))
}

/// The safety entries of a job's strips, the newest of each.
fn strips(state: &State, job: &str) -> Result<Vec<Entry>, Refusal> {
    let mut newest: Vec<Entry> = Vec::new();
    let clear = Which { kind: Clearance::KIND, about: "" };
    for from in (0..).step_by(STRIPS_LOOKED_AT) {
        let entries = state.store.evidence(job, clear, from, STRIPS_LOOKED_AT)?;
        let is_last = entries.len() < STRIPS_LOOKED_AT;
        for entry in entries {
            if newest.iter().all(|known| known.about != entry.about) {
                newest.push(entry);
            }
        }
        if is_last {
            break;
        }
    }
    Ok(newest)
}

fn newest(strips: &[Entry]) -> Vec<Clearance> {
    Clearance::newest(strips.iter().map(|entry| (entry.about.as_str(), entry.data.as_str())))
}

/// What the strips' entries say with those that are written anew.
fn with(strips: &[Entry], anew: &[Clearance]) -> Vec<Clearance> {
    let now = |was: Clearance| anew.iter().find(|one| one.strip == was.strip).cloned().unwrap_or(was);
    newest(strips).into_iter().map(now).collect()
}

/// The safety entries that are written with a change, so that they follow the pairs.
fn entries(
    state: &State,
    (job, id, what): (&str, &str, &str),
    strips: &[Entry],
    anew: &[Clearance],
) -> Vec<Write> {
    let entry = |(at, clearance): (usize, &Clearance)| {
        let before = strips.iter().find(|entry| entry.about == clearance.strip)?;
        let entry = Entry {
            id: format!("{id}-strip{at}"),
            at: clock::now(),
            author: state.author.clone(),
            words: clearance.words(&format!("{}.", what.trim_end_matches('.'))),
            data: clearance.data(&before.data),
            ..before.clone()
        };
        Some(Write::Evidence { job: job.to_owned(), entry })
    };
    anew.iter().enumerate().filter_map(entry).collect()
}

/// No ohms, and what would be taken.
pub(super) fn not_clear(says: &str) -> Refusal {
    let accept = "readings of volts; a safety entry of the strip, as evidence of the kind strip-clear";
    Refusal::new(422, says.trim_end_matches('.'), accept)
}

fn unchanged(error: ChangeError) -> Refusal {
    let text = error.to_string();
    match error {
        ChangeError::Conflict { .. } => Refusal::new(409, text, "the value as it stands now, in `from`"),
        _ => Refusal::new(422, text, "a table and a key of the job file, and a value that it can have"),
    }
}

/// What a set of changes is, in a sentence.
fn in_words(changes: &[Change]) -> String {
    let first = changes.first().map(|change| format!("{} changed", change.at));
    match changes.len() {
        0 | 1 => first.unwrap_or_default(),
        more => format!("{} and {} more", first.unwrap_or_default(), more - 1),
    }
}
