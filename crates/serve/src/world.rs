//! What pages read, answered from the store.

use std::sync::{Arc, Mutex, PoisonError};

use job::Severity;
use library::Library;
use pages::{
    Assessed, Changed, Codes, Compared, CutOver, Desk, Divided, Entry, JobRow, Jobs, Kept, KitOf, Photo,
    Refused, Summary, Surveyed, Table, World,
};
use store::{Store, StoreError, Which};

use crate::desks::Desks;
use crate::scan;
use crate::state::State;
use crate::summaries::Summaries;

/// One request's view of the store. What the store could not answer is told once the page is made.
pub(crate) struct Shown<'a> {
    store: &'a Store,
    desks: &'a Desks,
    summaries: &'a Summaries,
    /// Held while a photo or a workbook is read.
    photos: &'a Mutex<()>,
    failed: Mutex<Option<StoreError>>,
}

impl<'a> Shown<'a> {
    pub(crate) fn new(state: &'a State) -> Self {
        let (store, desks, summaries) = (&state.store, &state.desks, &state.summaries);
        Self { store, desks, summaries, photos: &state.photos, failed: Mutex::default() }
    }

    /// What went wrong while the page was made; then the page is not to be believed.
    pub(crate) fn failed(self) -> Option<StoreError> {
        self.failed.into_inner().unwrap_or_else(PoisonError::into_inner)
    }

    fn or_default<T: Default>(&self, read: Result<T, StoreError>) -> T {
        read.unwrap_or_else(|error| {
            *self.failed.lock().unwrap_or_else(PoisonError::into_inner) = Some(error);
            T::default()
        })
    }
}

impl World for Shown<'_> {
    fn library(&self) -> &Arc<Library> {
        self.desks.library()
    }

    fn jobs(&self, search: &str, from: usize, count: usize) -> Jobs {
        let jobs = self.or_default(self.store.jobs(search, from, count));
        // The program ended before it had assessed these.
        for row in jobs.rows.iter().filter(|row| row.summary.answer.is_empty()) {
            self.summaries.ask(&row.id);
        }
        Jobs { rows: jobs.rows.into_iter().map(row).collect(), of: usize::try_from(jobs.of).unwrap_or(0) }
    }

    fn job(&self, id: &str) -> Option<Kept> {
        let kept = self.or_default(self.store.job(id))?;
        let (text, desk) = self.desks.of(id, &kept.text);
        Some(Kept { version: u64::try_from(kept.row.version).unwrap_or(0), text, desk })
    }

    fn assessed(&self, id: &str, _: u64, desk: &Desk) -> Arc<Assessed> {
        self.desks.assessed(id, desk)
    }

    fn surveyed(&self, id: &str, _: u64, desk: &Desk) -> Arc<Surveyed> {
        self.desks.surveyed(id, desk)
    }

    fn cut_over(&self, id: &str, _: u64, desk: &Desk) -> Arc<CutOver> {
        self.desks.cut_over(id, desk)
    }

    fn kit(&self, id: &str, _: u64, desk: &Desk, year: Option<i32>) -> Arc<KitOf> {
        self.desks.kit(id, desk, year)
    }

    fn divided(&self, id: &str, _: u64, desk: &Desk) -> Arc<Divided> {
        self.desks.divided(id, desk)
    }

    fn compared(&self, id: &str, _: u64, desk: &Desk) -> Arc<Compared> {
        self.desks.compared(id, desk)
    }

    fn changes(&self, job: &str, count: usize) -> Vec<Changed> {
        self.or_default(self.store.versions(job, count)).into_iter().map(changed).collect()
    }

    fn change(&self, job: &str, id: &str) -> Option<Changed> {
        self.or_default(self.store.version(job, id)).map(changed)
    }

    fn text_at(&self, job: &str, version: u64) -> Option<Arc<str>> {
        let version = i64::try_from(version).ok()?;
        self.or_default(self.store.text_at(job, version)).map(Arc::from)
    }

    fn entry(&self, job: &str, id: &str) -> Option<Entry> {
        self.or_default(self.store.entry(job, id)).map(entry)
    }

    fn evidence(&self, job: &str, kind: &str, about: &str, from: usize, count: usize) -> Vec<Entry> {
        let found = self.store.evidence(job, Which { kind, about }, from, count);
        self.or_default(found).into_iter().map(entry).collect()
    }

    fn codes(&self, photo: &[u8]) -> Result<Codes, Refused> {
        // One after the other: a large one takes much room while it is read.
        let _room = self.photos.lock().unwrap_or_else(PoisonError::into_inner);
        let seen = scan::codes(photo);
        seen.map(|seen| Codes { read: seen.read, others: seen.others })
            .map_err(|refusal| Refused { says: refusal.text, accept: refusal.accept })
    }

    fn tables(&self, file: &[u8]) -> Result<Vec<Table>, Refused> {
        let _room = self.photos.lock().unwrap_or_else(PoisonError::into_inner);
        let tables =
            cells::read(file).map_err(|unread| Refused { says: unread.text, accept: unread.accept })?;
        Ok(tables.into_iter().map(|table| Table { name: table.name, rows: table.rows }).collect())
    }

    fn photos(&self, job: &str) -> Vec<Photo> {
        let photo =
            |row: store::PhotoRow| Photo { id: row.id, at: row.at, author: row.author, about: row.about };
        self.or_default(self.store.photos(job)).into_iter().map(photo).collect()
    }
}

fn row(row: store::JobRow) -> JobRow {
    let summary = Summary {
        name: row.summary.name,
        circuits: usize::try_from(row.summary.circuits).unwrap_or(0),
        verdict: severity(&row.summary.verdict),
        answer: row.summary.answer,
    };
    JobRow { id: row.id, summary, changed: row.changed_at }
}

fn severity(word: &str) -> Option<Severity> {
    [Severity::Note, Severity::Check, Severity::Fix, Severity::Stop]
        .into_iter()
        .find(|one| one.word() == word)
}

/// What the list is to say of a job, as the store keeps it.
pub(crate) fn summary(of: Summary) -> store::Summary {
    store::Summary {
        name: of.name,
        circuits: i64::try_from(of.circuits).unwrap_or(i64::MAX),
        verdict: of.verdict.map_or(String::new(), |verdict| verdict.word().to_owned()),
        answer: of.answer,
    }
}

/// What the list says of a job until it is assessed, which takes longer than anybody waits for a reading to be kept.
pub(crate) fn unassessed(desk: &Desk) -> store::Summary {
    let job = desk.job();
    store::Summary {
        name: job.site.name.clone(),
        circuits: i64::try_from(job.circuits.len()).unwrap_or(i64::MAX),
        ..store::Summary::default()
    }
}

fn changed(version: store::Version) -> Changed {
    Changed {
        id: version.id,
        version: u64::try_from(version.version).unwrap_or(0),
        at: version.at,
        author: version.author,
        what: version.what,
        changes: version.changes,
        takes_back: version.takes_back,
    }
}

fn entry(entry: store::Entry) -> Entry {
    Entry {
        id: entry.id,
        at: entry.at,
        author: entry.author,
        instrument: entry.instrument,
        kind: entry.kind,
        about: entry.about,
        words: entry.words,
        data: entry.data,
    }
}

/// An entry as the store keeps it.
pub(crate) fn kept_entry(entry: &Entry) -> store::Entry {
    store::Entry {
        id: entry.id.clone(),
        at: entry.at.clone(),
        author: entry.author.clone(),
        instrument: entry.instrument.clone(),
        kind: entry.kind.clone(),
        about: entry.about.clone(),
        words: entry.words.clone(),
        data: if entry.data.is_empty() { "{}".to_owned() } else { entry.data.clone() },
    }
}
