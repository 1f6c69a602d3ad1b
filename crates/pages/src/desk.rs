//! One version of a job, with everything that the engines say of it.

use std::fmt;
use std::sync::{Arc, OnceLock};

use ::assess::{Assessment, assess, check_references, identify, with_settled};
use ::identify::Survey;
use document::{Problem, Source};
use job::{Job, Severity};
use library::Library;
use self_cell::self_cell;

/// A job and what it is read with.
struct Read {
    job: Job,
    library: Arc<Library>,
}

self_cell!(
    struct Assessed {
        owner: Read,
        #[covariant]
        dependent: Assessment,
    }
);

self_cell!(
    struct Surveyed {
        owner: Read,
        #[covariant]
        dependent: OfSurvey,
    }
);

type OfSurvey<'a> = Option<Survey<'a>>;

/// One version of a job.
///
/// What the engines say is made when it is first asked for, then kept: pages of one version share it.
pub struct Desk {
    job: Job,
    library: Arc<Library>,
    assessed: OnceLock<Assessed>,
    surveyed: OnceLock<Surveyed>,
}

/// What a list says of a job.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Summary {
    /// What people call the site; empty when nobody has said.
    pub name: String,
    /// How many circuits it has.
    pub circuits: usize,
    /// The heaviest finding; none where there is nothing but notes, or where nobody has assessed it.
    pub verdict: Option<Severity>,
    /// The answer in a sentence; empty where nobody has assessed it.
    pub answer: String,
}

impl Desk {
    /// Reads a job file.
    ///
    /// # Errors
    /// Everything that is wrong with it, and every name in it that the library does not have.
    pub fn open(text: &str, library: Arc<Library>) -> Result<Self, Vec<Problem>> {
        let source = Source::new("job.toml", text);
        let job = Job::read_and(&source, |job| check_references(job, &library))?;
        Ok(Self { job, library, assessed: OnceLock::new(), surveyed: OnceLock::new() })
    }

    /// The job as it is written.
    #[must_use]
    pub fn job(&self) -> &Job {
        &self.job
    }

    /// What is to be said of it, with what readings settle taken as known.
    #[must_use]
    pub fn assessment(&self) -> &Assessment<'_> {
        let assessed = self.assessed.get_or_init(|| {
            let job = with_settled(self.job.clone(), &self.library);
            let read = Read { job, library: Arc::clone(&self.library) };
            Assessed::new(read, |read| assess(&read.job, &read.library, &|_, _| {}))
        });
        assessed.borrow_dependent()
    }

    /// What is on every pair that was read; none where the library has no habits.
    #[must_use]
    pub fn survey(&self) -> Option<&Survey<'_>> {
        let surveyed = self.surveyed.get_or_init(|| {
            let read = Read { job: self.job.clone(), library: Arc::clone(&self.library) };
            Surveyed::new(read, |read| identify(&read.job, &read.library))
        });
        surveyed.borrow_dependent().as_ref()
    }

    /// What a list says of it; assesses the job.
    #[must_use]
    pub fn summary(&self) -> Summary {
        let assessment = self.assessment();
        Summary {
            name: self.job.site.name.clone(),
            circuits: self.job.circuits.len(),
            verdict: assessment.verdict,
            answer: ::assess::answer(assessment),
        }
    }
}

impl fmt::Debug for Desk {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Desk").field("site", &self.job.site.name).finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_threads_may_look_at_one_desk() {
        fn shared<T: Send + Sync>() {}
        shared::<Desk>();
    }
}
