//! One version of a job, and what the engines say of it, as values that can be kept.

use std::fmt;
use std::sync::Arc;

use ::assess::{
    Assessment, CutoverAsked, assess, check_references, cutover, identify, with_settled, with_settled_in,
};
use ::identify::Survey;
use document::{Problem, Source};
use job::{Job, Severity};
use library::Library;
use self_cell::self_cell;
use view::cutover::{CutoverSheets, cutover_sheets};
use view::kit::{KitSheets, kit_sheets};

/// One version of a job, with what it is read with.
#[derive(Clone)]
pub struct Desk {
    job: Job,
    library: Arc<Library>,
}

type OfSurvey<'a> = Option<Survey<'a>>;

self_cell!(
    struct AssessedCell {
        owner: Desk,
        #[covariant]
        dependent: Assessment,
    }
);

self_cell!(
    struct SurveyedCell {
        owner: Desk,
        #[covariant]
        dependent: OfSurvey,
    }
);

/// What is to be said of one version of a job; making it takes long, looking at it does not.
pub struct Assessed(AssessedCell);

/// What is on every pair of one version of a job; making it takes long, looking at it does not.
pub struct Surveyed(SurveyedCell);

/// All that is said of the cut-over of one version of a job; making it takes a third of a second, looking at it does not.
pub struct CutOver(Option<CutoverSheets>);

/// What goes along to one version of a job, how long it takes and what it costs; making it divides circuits without an input.
pub struct KitOf(Option<KitSheets>);

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
        Ok(Self { job, library })
    }

    /// The job as it is written.
    #[must_use]
    pub fn job(&self) -> &Job {
        &self.job
    }

    /// What it is read with.
    #[must_use]
    pub fn library(&self) -> &Library {
        &self.library
    }
}

impl Assessed {
    /// Assesses a job, with what its readings settle taken as known.
    #[must_use]
    pub fn of(desk: &Desk) -> Self {
        Self::settled(with_settled(desk.job.clone(), &desk.library), desk)
    }

    /// The same by a survey of this very desk, for who has one already.
    #[must_use]
    pub fn by(desk: &Desk, surveyed: &Surveyed) -> Self {
        let job = surveyed.survey().map_or_else(|| desk.job.clone(), with_settled_in);
        Self::settled(job, desk)
    }

    fn settled(job: Job, desk: &Desk) -> Self {
        let settled = Desk { job, library: Arc::clone(&desk.library) };
        Self(AssessedCell::new(settled, |desk| assess(&desk.job, &desk.library, &|_, _| {})))
    }

    /// The assessment.
    #[must_use]
    pub fn assessment(&self) -> &Assessment<'_> {
        self.0.borrow_dependent()
    }

    /// What a list says of the job.
    #[must_use]
    pub fn summary(&self) -> Summary {
        let assessment = self.assessment();
        Summary {
            name: assessment.job.site.name.clone(),
            circuits: assessment.job.circuits.len(),
            verdict: assessment.verdict,
            answer: ::assess::answer(assessment),
        }
    }
}

impl Surveyed {
    /// Identifies what is on every pair that was read.
    #[must_use]
    pub fn of(desk: &Desk) -> Self {
        Self(SurveyedCell::new(desk.clone(), |desk| identify(&desk.job, &desk.library)))
    }

    /// The survey; none where the library has no habits called `default`.
    #[must_use]
    pub fn survey(&self) -> Option<&Survey<'_>> {
        self.0.borrow_dependent().as_ref()
    }
}

impl CutOver {
    /// Plans the cut-over of an assessed job.
    #[must_use]
    pub fn of(assessed: &Assessed) -> Self {
        Self(cutover_sheets(&cutover(assessed.assessment(), CutoverAsked::default())))
    }

    /// What is said of it; none where nothing moves.
    #[must_use]
    pub fn sheets(&self) -> Option<&CutoverSheets> {
        self.0.as_ref()
    }
}

impl KitOf {
    /// Makes the kit of an assessed job; `year`: of the visit.
    #[must_use]
    pub fn of(assessed: &Assessed, year: Option<i32>) -> Self {
        Self(kit_sheets(assessed.assessment(), year, ""))
    }

    /// What is said of it; none where nothing has to be taken along.
    #[must_use]
    pub fn sheets(&self) -> Option<&KitSheets> {
        self.0.as_ref()
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
        shared::<Assessed>();
        shared::<Surveyed>();
        shared::<CutOver>();
    }
}
