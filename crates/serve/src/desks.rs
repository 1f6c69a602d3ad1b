//! Jobs that were read and assessed, kept as long as there is room: making one takes longer than making a page of it.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use document::Problem;
use library::Library;
use pages::{Assessed, CutOver, Desk, Surveyed};

/// What is kept of a text: its desk, or what is wrong with it.
type Opened = Result<Arc<Desk>, Arc<Vec<Problem>>>;

/// What all that is kept may take together, in kB.
const ROOM_KB: usize = 40 * 1024;

/// What is taken, in kB, as measured on the example: a desk for each circuit, an assessment for each circuit, a survey for
/// each circuit that was read.
const DESK_KB: usize = 4;
const ASSESSED_KB: usize = 40;
const SURVEYED_KB: usize = 420;
/// What a desk takes beside its circuits.
const EVERY_DESK_KB: usize = 40;

/// The desks.
#[derive(Debug)]
pub(crate) struct Desks {
    library: Arc<Library>,
    kept: Mutex<Kept>,
}

#[derive(Debug, Default)]
struct Kept {
    by_job: BTreeMap<String, Slot>,
    /// Counts up with every use.
    now: u64,
}

#[derive(Debug)]
struct Slot {
    text: Arc<str>,
    made: Arc<Made>,
    used: u64,
}

/// What is made of a text: by whoever comes first, the others wait for it.
#[derive(Default)]
struct Made {
    desk: OnceLock<Opened>,
    assessed: OnceLock<Arc<Assessed>>,
    surveyed: OnceLock<Arc<Surveyed>>,
    cut_over: OnceLock<Arc<CutOver>>,
}

impl fmt::Debug for Made {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Made").field("desk", &self.desk).finish_non_exhaustive()
    }
}

impl Slot {
    /// What it takes: without its survey, and the survey alone.
    fn kb(&self) -> (usize, usize) {
        let Some(Ok(desk)) = self.made.desk.get() else { return (EVERY_DESK_KB + self.text.len() / 1024, 0) };
        let circuits = &desk.job().circuits;
        let assessed = if self.made.assessed.get().is_some() { ASSESSED_KB } else { 0 };
        let read = circuits.iter().filter(|circuit| !circuit.found.is_empty()).count();
        let surveyed = if self.made.surveyed.get().is_some() { SURVEYED_KB * read } else { 0 };
        (EVERY_DESK_KB + self.text.len() / 1024 + (DESK_KB + assessed) * circuits.len(), surveyed)
    }

    /// Everything but the survey, which takes most.
    fn without_survey(&mut self) {
        let made = Made::default();
        if let Some(desk) = self.made.desk.get() {
            let _ = made.desk.set(desk.clone());
        }
        if let Some(assessed) = self.made.assessed.get() {
            let _ = made.assessed.set(Arc::clone(assessed));
        }
        if let Some(cut_over) = self.made.cut_over.get() {
            let _ = made.cut_over.set(Arc::clone(cut_over));
        }
        self.made = Arc::new(made);
    }
}

impl Desks {
    pub(crate) fn new(library: Arc<Library>) -> Self {
        Self { library, kept: Mutex::default() }
    }

    pub(crate) fn library(&self) -> &Arc<Library> {
        &self.library
    }

    /// The desk of a job's text. It is known by the text itself, so that no version of somebody else is ever shown.
    pub(crate) fn of(&self, job: &str, text: &str) -> (Arc<str>, Opened) {
        let (text, made) = self.slot(job, text);
        let opened = made.desk.get_or_init(|| {
            let opened = Desk::open(&text, Arc::clone(&self.library));
            opened.map(Arc::new).map_err(Arc::new)
        });
        self.make_room(job);
        (text, opened.clone())
    }

    /// What the engines say of a job, kept beside its desk. The survey comes first, since it is most of the work and
    /// the next page of a reading shows it.
    pub(crate) fn assessed(&self, job: &str, desk: &Desk) -> Arc<Assessed> {
        let read = desk.job().circuits.iter().any(|circuit| !circuit.found.is_empty());
        let make = || {
            let assessed =
                if read { Assessed::by(desk, &self.surveyed(job, desk)) } else { Assessed::of(desk) };
            Arc::new(assessed)
        };
        let Some(made) = self.made(job, desk) else { return make() };
        let assessed = Arc::clone(made.assessed.get_or_init(make));
        self.make_room(job);
        assessed
    }

    /// What is on its pairs, kept likewise.
    pub(crate) fn surveyed(&self, job: &str, desk: &Desk) -> Arc<Surveyed> {
        let make = || Arc::new(Surveyed::of(desk));
        let Some(made) = self.made(job, desk) else { return make() };
        let surveyed = Arc::clone(made.surveyed.get_or_init(make));
        self.make_room(job);
        surveyed
    }

    /// Its cut-over, kept likewise: words and a few drawings, which count as part of the assessment.
    pub(crate) fn cut_over(&self, job: &str, desk: &Desk) -> Arc<CutOver> {
        let make = || Arc::new(CutOver::of(&self.assessed(job, desk)));
        let Some(made) = self.made(job, desk) else { return make() };
        let cut_over = Arc::clone(made.cut_over.get_or_init(make));
        self.make_room(job);
        cut_over
    }

    /// What is kept beside this very desk; none when the job has another by now.
    fn made(&self, job: &str, desk: &Desk) -> Option<Arc<Made>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let made = &kept.by_job.get(job)?.made;
        let here = made.desk.get()?.as_ref().ok()?;
        std::ptr::eq(Arc::as_ptr(here), desk).then(|| Arc::clone(made))
    }

    fn slot(&self, job: &str, text: &str) -> (Arc<str>, Arc<Made>) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.now += 1;
        let now = kept.now;
        if let Some(slot) = kept.by_job.get_mut(job).filter(|slot| *slot.text == *text) {
            slot.used = now;
            return (Arc::clone(&slot.text), Arc::clone(&slot.made));
        }
        let slot = Slot { text: text.into(), made: Arc::default(), used: now };
        let both = (Arc::clone(&slot.text), Arc::clone(&slot.made));
        kept.by_job.insert(job.to_owned(), slot);
        both
    }

    /// Lets go of what was not used for longest, surveys first; what is asked for stays.
    fn make_room(&self, job: &str) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let mut taken: usize = kept.by_job.values().map(Slot::kb).map(|(slot, survey)| slot + survey).sum();
        while taken > ROOM_KB {
            let others = || kept.by_job.iter().filter(|(other, _)| *other != job);
            let of_surveys = others().filter(|(_, slot)| slot.kb().1 > 0);
            let oldest =
                of_surveys.min_by_key(|(_, slot)| slot.used).map(|(oldest, _)| (oldest.clone(), true));
            let oldest = oldest.or_else(|| {
                others().min_by_key(|(_, slot)| slot.used).map(|(oldest, _)| (oldest.clone(), false))
            });
            match oldest {
                None => return,
                Some((oldest, true)) => {
                    if let Some(slot) = kept.by_job.get_mut(&oldest) {
                        taken -= slot.kb().1;
                        slot.without_survey();
                    }
                }
                Some((oldest, false)) => {
                    taken -= kept.by_job.remove(&oldest).map_or(0, |slot| slot.kb().0);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(circuits: usize) -> String {
        let one = |at: usize| format!("[[circuit]]\ntag = \"C{at}\"\n");
        format!("format = 1\n{}", (0..circuits).map(one).collect::<String>())
    }

    #[test]
    fn a_desk_is_kept_until_its_text_changes() {
        let desks = Desks::new(Arc::new(Library::embedded()));
        let (_, first) = desks.of("yard", &text(2));
        let (_, again) = desks.of("yard", &text(2));
        let (_, changed) = desks.of("yard", &text(3));
        let (first, again, changed) = (first.unwrap(), again.unwrap(), changed.unwrap());
        assert!(Arc::ptr_eq(&first, &again));
        assert_eq!(changed.job().circuits.len(), 3);
        let (_, broken) = desks.of("yard", "format = 2\n");
        assert!(!broken.unwrap_err().is_empty());
    }

    #[test]
    fn what_the_engines_say_is_kept_beside_its_own_desk_only() {
        let desks = Desks::new(Arc::new(Library::embedded()));
        let first = desks.of("yard", &text(2)).1.unwrap();
        let assessed = desks.assessed("yard", &first);
        assert!(Arc::ptr_eq(&assessed, &desks.assessed("yard", &first)));
        assert!(Arc::ptr_eq(&desks.surveyed("yard", &first), &desks.surveyed("yard", &first)));
        let second = desks.of("yard", &text(3)).1.unwrap();
        assert_eq!(desks.assessed("yard", &second).summary().circuits, 3);
        assert_eq!(desks.assessed("yard", &first).summary().circuits, 2);
    }

    #[test]
    fn there_is_only_so_much_room() {
        let desks = Desks::new(Arc::new(Library::embedded()));
        let read = text(30).replace("tag", "found = [{ when = \"rest\", ohms = \"2.2k\" }]\ntag");
        let first = desks.of("0", &read).1.unwrap();
        let assessed = desks.assessed("0", &first);
        for at in 1..40 {
            let desk = desks.of(&at.to_string(), &read).1.unwrap();
            let _ = desks.assessed(&at.to_string(), &desk);
            let _ = desks.of("0", &read);
        }
        let kept = desks.kept.lock().unwrap();
        let taken: usize = kept.by_job.values().map(Slot::kb).map(|(slot, survey)| slot + survey).sum();
        assert!(taken <= ROOM_KB, "{taken}");
        let surveys = kept.by_job.values().filter(|slot| slot.kb().1 > 0).count();
        assert!((1..39).contains(&surveys) && kept.by_job.len() > surveys, "surveys go first: {surveys}");
        let zero = kept.by_job["0"].made.assessed.get().unwrap();
        assert!(Arc::ptr_eq(zero, &assessed), "what is in use stays");
    }

    #[test]
    fn a_survey_that_is_there_changes_nothing_of_the_assessment() {
        let library = Arc::new(Library::embedded());
        let text = include_str!("../../../examples/orchard-row/job.toml");
        let desk = Desk::open(text, library).unwrap();
        let (alone, shared) = (Assessed::of(&desk), Assessed::by(&desk, &Surveyed::of(&desk)));
        let json = |assessed: &Assessed| {
            serde_json::to_string(&assess::wire::AssessmentJson::new(assessed.assessment(), true)).unwrap()
        };
        assert_eq!(json(&alone), json(&shared));
    }

    #[test]
    fn many_who_ask_at_once_share_one_desk() {
        let desks = Desks::new(Arc::new(Library::embedded()));
        let text = text(40);
        let all: Vec<Arc<Desk>> = std::thread::scope(|scope| {
            let asking: Vec<_> = (0..8).map(|_| scope.spawn(|| desks.of("yard", &text).1.unwrap())).collect();
            asking.into_iter().map(|one| one.join().unwrap()).collect()
        });
        assert!(all.iter().all(|one| Arc::ptr_eq(one, &all[0])));
    }
}
