//! A shelf of jobs in memory, which carries out what pages hand out: for tests, and for looking at pages.

#![allow(dead_code, reason = "each test uses its own part of it")]

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard};

use library::Library;
use pages::{
    Answer, Assessed, Changed, Compared, Desk, Divided, Entry, JobRow, Jobs, Kept, Method, Photo, Refused,
    Request, Sheet, Surveyed, Table, Upload, World, Write, answer,
};

/// The example that everybody knows.
pub(crate) const EXAMPLE: &str = include_str!("../../../../examples/orchard-row/job.toml");
/// When everything happens here.
pub(crate) const NOW: &str = "2026-11-24T14:22:05Z";

/// Jobs by id.
pub(crate) struct Shelf {
    library: Arc<Library>,
    jobs: Mutex<BTreeMap<String, Shelved>>,
    ids: Mutex<u64>,
}

struct Shelved {
    kept: Kept,
    divided: Option<Arc<Divided>>,
    compared: Option<Arc<Compared>>,
    assessed: Option<Arc<Assessed>>,
    surveyed: Option<Arc<Surveyed>>,
    changes: Vec<Changed>,
    evidence: Vec<Entry>,
    photos: Vec<(Photo, Vec<u8>)>,
    /// Every text that it had, by its version.
    texts: BTreeMap<u64, Arc<str>>,
}

impl Shelf {
    pub(crate) fn new() -> Self {
        Self { library: Arc::new(Library::embedded()), jobs: Mutex::default(), ids: Mutex::new(0) }
    }

    fn jobs(&self) -> MutexGuard<'_, BTreeMap<String, Shelved>> {
        self.jobs.lock().expect("nobody panicked with it")
    }

    fn kept(&self, version: u64, text: &str) -> Kept {
        let desk = Desk::open(text, Arc::clone(&self.library)).map(Arc::new).map_err(Arc::new);
        Kept { version, text: Arc::from(text), desk }
    }

    /// Puts a job on the shelf.
    pub(crate) fn put(&self, id: &str, text: &str) {
        let shelved = Shelved {
            kept: self.kept(1, text),
            divided: None,
            compared: None,
            assessed: None,
            surveyed: None,
            changes: Vec::new(),
            evidence: Vec::new(),
            photos: Vec::new(),
            texts: BTreeMap::from([(1, Arc::from(text))]),
        };
        self.jobs().insert(id.to_owned(), shelved);
    }

    /// A request with a fresh id.
    pub(crate) fn request(&self, method: Method, target: &str) -> Request {
        let mut ids = self.ids.lock().expect("nobody panicked with it");
        *ids += 1;
        let (path, query) = target.split_once('?').unwrap_or((target, ""));
        let query = query.split_once('#').map_or(query, |(query, _)| query);
        Request {
            method,
            path: path.split_once('#').map_or(path, |(path, _)| path).to_owned(),
            query: fields(query),
            form: Vec::new(),
            upload: None,
            at: NOW.to_owned(),
            ahead_min: Some(0),
            author: "tester".to_owned(),
            fresh_id: format!("id-{}", *ids),
            sheet: Sheet::System,
        }
    }

    /// Asks, and carries out what comes back; asks again where the job has moved on.
    pub(crate) fn ask(&self, request: &Request) -> Answer {
        loop {
            let answer = answer(self, request);
            if self.carry_out(request, &answer.writes) {
                return answer;
            }
        }
    }

    pub(crate) fn get(&self, target: &str) -> Answer {
        self.ask(&self.request(Method::Get, target))
    }

    pub(crate) fn post(&self, target: &str, form: &[(&str, &str)]) -> Answer {
        let mut request = self.request(Method::Post, target);
        request.form = form.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
        self.ask(&request)
    }

    pub(crate) fn upload(&self, target: &str, form: &[(&str, &str)], bytes: &[u8]) -> Answer {
        let mut request = self.request(Method::Post, target);
        request.form = form.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
        request.upload =
            Some(Upload { field: "file".to_owned(), name: "file".to_owned(), bytes: bytes.to_vec() });
        self.ask(&request)
    }

    /// The text of a job.
    pub(crate) fn text(&self, id: &str) -> String {
        self.jobs()[id].kept.text.to_string()
    }

    /// Somebody else puts a whole new text.
    pub(crate) fn write_anew(&self, job: &str, id: &str, text: &str) {
        let version = self.job(job).map_or(0, |kept| kept.version);
        let request = self.request(Method::Post, "/");
        let write = Write::Save {
            job: job.to_owned(),
            id: id.to_owned(),
            version,
            text: text.to_owned(),
            changes: Vec::new(),
            what: "A whole new text.".to_owned(),
            takes_back: String::new(),
        };
        assert!(self.carry_out(&request, &[write]));
    }

    /// A photo as it came.
    pub(crate) fn photo(&self, job: &str, id: &str) -> Option<Vec<u8>> {
        let jobs = self.jobs();
        let photos = &jobs.get(job)?.photos;
        photos.iter().find(|(photo, _)| photo.id == id).map(|(_, bytes)| bytes.clone())
    }

    fn carry_out(&self, request: &Request, writes: &[Write]) -> bool {
        for write in writes {
            match write {
                Write::NewJob { id, text, what } => {
                    self.put(id, text);
                    let changed = Changed {
                        id: format!("new-{id}"),
                        version: 1,
                        at: request.at.clone(),
                        author: request.author.clone(),
                        what: what.clone(),
                        changes: Vec::new(),
                        takes_back: String::new(),
                    };
                    if let Some(job) = self.jobs().get_mut(id) {
                        job.changes.push(changed);
                    }
                }
                Write::Save { job, id, version, text, changes, what, takes_back } => {
                    let mut jobs = self.jobs();
                    let Some(shelved) = jobs.get_mut(job) else { continue };
                    if shelved.changes.iter().any(|known| known.id == *id) {
                        continue;
                    }
                    if shelved.kept.version != *version {
                        return false;
                    }
                    shelved.kept = self.kept(version + 1, text);
                    shelved.texts.insert(version + 1, Arc::from(text.as_str()));
                    (shelved.divided, shelved.compared) = (None, None);
                    (shelved.assessed, shelved.surveyed) = (None, None);
                    shelved.changes.push(Changed {
                        id: id.clone(),
                        version: version + 1,
                        at: request.at.clone(),
                        author: request.author.clone(),
                        what: what.clone(),
                        changes: changes.clone(),
                        takes_back: takes_back.clone(),
                    });
                }
                Write::Evidence { job, entry } => {
                    if let Some(shelved) = self.jobs().get_mut(job)
                        && !shelved.evidence.iter().any(|known| known.id == entry.id)
                    {
                        shelved.evidence.push(entry.clone());
                    }
                }
                Write::Photo { job, id, about, bytes } => {
                    let photo = Photo {
                        id: id.clone(),
                        at: request.at.clone(),
                        author: request.author.clone(),
                        about: about.clone(),
                    };
                    if let Some(shelved) = self.jobs().get_mut(job) {
                        shelved.photos.push((photo, bytes.clone()));
                    }
                }
            }
        }
        true
    }
}

/// Fields of a query or a form as browsers encode them.
pub(crate) fn fields(text: &str) -> Vec<(String, String)> {
    let decoded = |part: &str| {
        let mut bytes = Vec::new();
        let mut rest = part.as_bytes();
        while let [first, after @ ..] = rest {
            let code = after.get(..2).and_then(|code| std::str::from_utf8(code).ok());
            match (first, code.and_then(|code| u8::from_str_radix(code, 16).ok())) {
                (b'%', Some(byte)) => {
                    bytes.push(byte);
                    rest = &after[2..];
                    continue;
                }
                (b'+', _) => bytes.push(b' '),
                (other, _) => bytes.push(*other),
            }
            rest = after;
        }
        String::from_utf8_lossy(&bytes).into_owned()
    };
    let pairs = text.split('&').filter(|pair| !pair.is_empty());
    pairs
        .map(|pair| {
            let (key, value) = pair.split_once('=').unwrap_or((pair, ""));
            (decoded(key), decoded(value))
        })
        .collect()
}

impl World for Shelf {
    fn library(&self) -> &Arc<Library> {
        &self.library
    }

    fn jobs(&self, search: &str, from: usize, count: usize) -> Jobs {
        let ids: Vec<String> = self.jobs().keys().cloned().collect();
        let rows: Vec<JobRow> = ids
            .iter()
            .filter(|id| search.split_whitespace().all(|word| id.contains(&word.to_lowercase())))
            .filter_map(|id| {
                let kept = self.job(id)?;
                let desk = kept.desk.ok()?;
                let summary = self.assessed(id, kept.version, &desk).summary();
                Some(JobRow { id: id.clone(), summary, changed: NOW.to_owned() })
            })
            .collect();
        Jobs { of: rows.len(), rows: rows.into_iter().skip(from).take(count).collect() }
    }

    fn job(&self, id: &str) -> Option<Kept> {
        self.jobs().get(id).map(|shelved| shelved.kept.clone())
    }

    fn assessed(&self, id: &str, _: u64, desk: &Desk) -> Arc<Assessed> {
        if let Some(known) = self.jobs().get(id).and_then(|shelved| shelved.assessed.clone()) {
            return known;
        }
        let made = Arc::new(Assessed::of(desk));
        if let Some(shelved) = self.jobs().get_mut(id) {
            shelved.assessed = Some(Arc::clone(&made));
        }
        made
    }

    fn surveyed(&self, id: &str, _: u64, desk: &Desk) -> Arc<Surveyed> {
        if let Some(known) = self.jobs().get(id).and_then(|shelved| shelved.surveyed.clone()) {
            return known;
        }
        let made = Arc::new(Surveyed::of(desk));
        if let Some(shelved) = self.jobs().get_mut(id) {
            shelved.surveyed = Some(Arc::clone(&made));
        }
        made
    }

    fn divided(&self, id: &str, version: u64, desk: &Desk) -> Arc<Divided> {
        if let Some(known) = self.jobs().get(id).and_then(|shelved| shelved.divided.clone()) {
            return known;
        }
        let made = Arc::new(Divided::of(self.assessed(id, version, desk)));
        if let Some(shelved) = self.jobs().get_mut(id) {
            shelved.divided = Some(Arc::clone(&made));
        }
        made
    }

    fn compared(&self, id: &str, version: u64, desk: &Desk) -> Arc<Compared> {
        if let Some(known) = self.jobs().get(id).and_then(|shelved| shelved.compared.clone()) {
            return known;
        }
        let made = Arc::new(Compared::of(self.assessed(id, version, desk)));
        if let Some(shelved) = self.jobs().get_mut(id) {
            shelved.compared = Some(Arc::clone(&made));
        }
        made
    }

    fn changes(&self, job: &str, count: usize) -> Vec<Changed> {
        let jobs = self.jobs();
        let all = jobs.get(job).map(|shelved| shelved.changes.as_slice()).unwrap_or_default();
        all.iter().rev().take(count).cloned().collect()
    }

    fn change(&self, job: &str, id: &str) -> Option<Changed> {
        self.jobs().get(job)?.changes.iter().find(|change| change.id == id).cloned()
    }

    fn text_at(&self, job: &str, version: u64) -> Option<Arc<str>> {
        self.jobs().get(job)?.texts.get(&version).cloned()
    }

    fn evidence(&self, job: &str, kind: &str, about: &str, from: usize, count: usize) -> Vec<Entry> {
        let jobs = self.jobs();
        let all = jobs.get(job).map(|shelved| shelved.evidence.as_slice()).unwrap_or_default();
        let wanted = |entry: &&Entry| {
            (kind.is_empty() || entry.kind == kind) && (about.is_empty() || entry.about == about)
        };
        all.iter().rev().filter(wanted).skip(from).take(count).cloned().collect()
    }

    /// What is drawn here is text: a line a code. Whoever carries requests reads pixels.
    fn codes(&self, photo: &[u8]) -> Result<pages::Codes, Refused> {
        let text = std::str::from_utf8(photo).map_err(|_| Refused {
            says: "the photo: it is no photo that can be read".to_owned(),
            accept: "a JPEG".to_owned(),
        })?;
        // A line that is only `?` is a code that was seen and not read.
        let (others, read): (Vec<&str>, Vec<&str>) = text.lines().partition(|line| *line == "?");
        Ok(pages::Codes { read: read.into_iter().map(str::to_owned).collect(), others: !others.is_empty() })
    }

    fn tables(&self, file: &[u8]) -> Result<Vec<Table>, Refused> {
        let tables =
            cells::read(file).map_err(|unread| Refused { says: unread.text, accept: unread.accept })?;
        Ok(tables.into_iter().map(|table| Table { name: table.name, rows: table.rows }).collect())
    }

    fn photos(&self, job: &str) -> Vec<Photo> {
        let jobs = self.jobs();
        jobs.get(job)
            .map(|shelved| shelved.photos.iter().rev().map(|(photo, _)| photo.clone()).collect())
            .unwrap_or_default()
    }
}
