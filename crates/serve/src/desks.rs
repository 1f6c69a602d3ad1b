//! Jobs that were read and assessed, kept as long as there is room: making one takes longer than making a page of it.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use document::Problem;
use library::Library;
use pages::{Assessed, Desk, Surveyed};

/// What is kept of a text: its desk, or what is wrong with it.
type Opened = Result<Arc<Desk>, Arc<Vec<Problem>>>;

/// Circuits on all desks together; an assessed circuit takes about 10 kB.
const MOST_CIRCUITS: usize = 3_000;

/// What a desk takes beside its circuits, in circuits.
const EVERY_DESK: usize = 5;

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
}

impl fmt::Debug for Made {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Made").field("desk", &self.desk).finish_non_exhaustive()
    }
}

impl Slot {
    fn circuits(&self) -> usize {
        let opened = self.made.desk.get().and_then(|opened| opened.as_ref().ok());
        EVERY_DESK + opened.map_or(0, |desk| desk.job().circuits.len())
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

    /// What the engines say of a job, kept beside its desk.
    pub(crate) fn assessed(&self, job: &str, desk: &Desk) -> Arc<Assessed> {
        let make = || Arc::new(Assessed::of(desk));
        self.made(job, desk).map_or_else(make, |made| Arc::clone(made.assessed.get_or_init(make)))
    }

    /// What is on its pairs, kept likewise.
    pub(crate) fn surveyed(&self, job: &str, desk: &Desk) -> Arc<Surveyed> {
        let make = || Arc::new(Surveyed::of(desk));
        self.made(job, desk).map_or_else(make, |made| Arc::clone(made.surveyed.get_or_init(make)))
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

    /// Lets go of the desks that were not used for longest; the one that is asked for stays.
    fn make_room(&self, job: &str) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let mut circuits: usize = kept.by_job.values().map(Slot::circuits).sum();
        while circuits > MOST_CIRCUITS {
            let others = kept.by_job.iter().filter(|(other, _)| *other != job);
            let Some(oldest) = others.min_by_key(|(_, slot)| slot.used).map(|(oldest, _)| oldest.clone())
            else {
                return;
            };
            circuits -= kept.by_job.remove(&oldest).map_or(0, |slot| slot.circuits());
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
        let (_, first) = desks.of("0", &text(100));
        for at in 1..60 {
            let _ = desks.of(&at.to_string(), &text(100));
            let _ = desks.of("0", &text(100));
        }
        let kept = desks.kept.lock().unwrap();
        assert!(kept.by_job.values().map(Slot::circuits).sum::<usize>() <= MOST_CIRCUITS);
        let zero = kept.by_job["0"].made.desk.get().unwrap().as_ref().unwrap();
        assert!(Arc::ptr_eq(zero, &first.unwrap()), "what is in use stays");
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
