//! What is kept of jobs, as a page asks for it. Whoever carries requests here answers these from its store.

use std::sync::Arc;

use document::Problem;
use job::Change;
use library::Library;

use crate::desk::{Assessed, CutOver, Desk, KitOf, Summary, Surveyed};
use crate::divided::{Compared, Divided};

/// What is kept.
pub trait World {
    /// The equipment, rules and habits.
    fn library(&self) -> &Arc<Library>;

    /// Jobs whose name or id hold every word of `search` (all of them when it is empty), the one changed last
    /// first; `from` of them are left out, at most `count` come.
    fn jobs(&self, search: &str, from: usize, count: usize) -> Jobs;

    /// A job as it stands; none when there is none of this id.
    fn job(&self, id: &str) -> Option<Kept>;

    /// What the engines say of a job as it stands. Making it takes long: whoever answers here keeps it by (id, version), as
    /// long as there is room.
    fn assessed(&self, id: &str, version: u64, desk: &Desk) -> Arc<Assessed> {
        let _ = (id, version);
        Arc::new(Assessed::of(desk))
    }

    /// What is on its pairs; kept likewise.
    fn surveyed(&self, id: &str, version: u64, desk: &Desk) -> Arc<Surveyed> {
        let _ = (id, version);
        Arc::new(Surveyed::of(desk))
    }

    /// Its cut-over; kept likewise.
    fn cut_over(&self, id: &str, version: u64, desk: &Desk) -> Arc<CutOver> {
        Arc::new(CutOver::of(&self.assessed(id, version, desk)))
    }

    /// What goes along to it, kept likewise; `year`: of the visit.
    fn kit(&self, id: &str, version: u64, desk: &Desk, year: Option<i32>) -> Arc<KitOf> {
        Arc::new(KitOf::of(&self.assessed(id, version, desk), year))
    }

    /// Its circuits divided over the inputs as it asks; kept likewise.
    fn divided(&self, id: &str, version: u64, desk: &Desk) -> Arc<Divided> {
        Arc::new(Divided::of(self.assessed(id, version, desk)))
    }

    /// The same in other ways, to compare; kept likewise.
    fn compared(&self, id: &str, version: u64, desk: &Desk) -> Arc<Compared> {
        Arc::new(Compared::of(self.assessed(id, version, desk)))
    }

    /// The changes made last, the newest first, at most `count`.
    fn changes(&self, job: &str, count: usize) -> Vec<Changed>;

    /// One change.
    fn change(&self, job: &str, id: &str) -> Option<Changed>;

    /// The text that a job had at a version; none where it is not known any more.
    fn text_at(&self, job: &str, version: u64) -> Option<Arc<str>> {
        let _ = (job, version);
        None
    }

    /// One entry of evidence, by the id that the browser gave it.
    fn entry(&self, job: &str, id: &str) -> Option<Entry> {
        self.evidence(job, "", "", 0, usize::MAX).into_iter().find(|entry| entry.id == id)
    }

    /// Entries of evidence of a kind about something (empty: of every kind, about everything), the newest first; `from` of
    /// them are left out, at most `count` come.
    fn evidence(&self, job: &str, kind: &str, about: &str, from: usize, count: usize) -> Vec<Entry>;

    /// What the square codes of a photo say; the photo is kept nowhere.
    ///
    /// # Errors
    /// What is no photo, or cannot be looked through.
    fn codes(&self, photo: &[u8]) -> Result<Codes, Refused>;

    /// The tables of a workbook or of a separated text that somebody brings.
    ///
    /// # Errors
    /// What is no table, is damaged, or is larger than any survey.
    fn tables(&self, file: &[u8]) -> Result<Vec<Table>, Refused>;

    /// The photos of a job, the newest first.
    fn photos(&self, job: &str) -> Vec<Photo>;
}

/// Something that was brought along and cannot be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Refused {
    /// What is wrong, lower case, no full stop.
    pub says: String,
    /// What would be accepted; may be empty.
    pub accept: String,
}

/// What was seen of square codes in a photo.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Codes {
    /// What they say, each once.
    pub read: Vec<String>,
    /// Whether others were seen beside them that could not be read.
    pub others: bool,
}

/// A table that somebody brings.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Table {
    /// The sheet's name; empty for a text.
    pub name: String,
    /// Its rows from the first line of the file on; cells are texts.
    pub rows: Vec<Vec<String>>,
}

/// A page of the list of jobs.
#[derive(Clone, Debug, Default)]
pub struct Jobs {
    /// The rows.
    pub rows: Vec<JobRow>,
    /// How many there are in all.
    pub of: usize,
}

/// A job in the list.
#[derive(Clone, Debug)]
pub struct JobRow {
    /// Its id.
    pub id: String,
    /// What was last said of it ([`Assessed::summary`]), kept beside its text so that the list assesses nothing.
    pub summary: Summary,
    /// When it was changed last, RFC 3339 in UTC.
    pub changed: String,
}

/// A job as it stands.
#[derive(Clone, Debug)]
pub struct Kept {
    /// Its version, which grows with every change.
    pub version: u64,
    /// The job file.
    pub text: Arc<str>,
    /// It, read: [`Desk::open`], kept by (id, version) as long as there is room. Otherwise what is wrong with the text.
    pub desk: Result<Arc<Desk>, Arc<Vec<Problem>>>,
}

/// A change that was made.
#[derive(Clone, PartialEq, Debug)]
pub struct Changed {
    /// The id that the browser gave it.
    pub id: String,
    /// The version that it made.
    pub version: u64,
    /// When, RFC 3339 in UTC.
    pub at: String,
    /// Who.
    pub author: String,
    /// What it was, in a sentence.
    pub what: String,
    /// From what to what; empty for the job's first text.
    pub changes: Vec<Change>,
    /// The id of the change that it took back; empty when it is none of those.
    pub takes_back: String,
}

/// An entry of evidence: what was observed. Never edited; a correction is a new one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Entry {
    /// The id that the browser gave it; an id that is there already is not written a second time.
    pub id: String,
    /// When, RFC 3339 in UTC.
    pub at: String,
    /// Who.
    pub author: String,
    /// The instrument; empty when none was used.
    pub instrument: String,
    /// `reading`, `strip-clear`, `trip`, `note`, `checked`, `work`, `decision`, `signal` and what else comes.
    pub kind: String,
    /// What it is about: a circuit's tag, an enclosure's id; empty for the whole job.
    pub about: String,
    /// What was observed, in a sentence.
    pub words: String,
    /// The same for programs, as a JSON object with the keys of its kind; `{}` when there is nothing more to say.
    pub data: String,
}

/// A photo.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Photo {
    /// Its id; it is served at `/j/JOB/photo/ID`.
    pub id: String,
    /// When it came, RFC 3339 in UTC.
    pub at: String,
    /// Who.
    pub author: String,
    /// What it shows: a circuit's tag, an enclosure's id; empty when nobody has said.
    pub about: String,
}
