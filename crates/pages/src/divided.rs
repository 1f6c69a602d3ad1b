//! Circuits divided over the inputs in several ways, side by side, and what every mode would read: made once for a version
//! of a job, looked at by several pages.

use std::fmt;
use std::sync::Arc;

use assess::{AllocationPlan, Limits, ModeCompared, allocate, changes, compare_modes};
use document::Located;
use job::{Change, Job};
use library::{Kind, Library};
use self_cell::self_cell;

use crate::desk::Assessed;

/// The plan of a job as it asks for it.
pub struct Divided(DividedCell);

/// Plans that buy otherwise, and what every mode of the library would read; making it takes several times as long.
pub struct Compared(DividedCell);

/// The jobs that are asked about: as the job has it, then as each way would have it.
struct Asked {
    assessed: Arc<Assessed>,
    ways: Vec<(Way, Job)>,
}

/// What a way is called, in a form and by people.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Way {
    pub(crate) word: String,
    pub(crate) title: String,
}

struct Plans<'a> {
    plans: Vec<AllocationPlan<'a>>,
    modes: Vec<ModeCompared>,
}

self_cell!(
    struct DividedCell {
        owner: Asked,
        #[covariant]
        dependent: Plans,
    }
);

/// One way with its plan.
#[derive(Clone, Copy)]
pub(crate) struct Division<'a> {
    pub(crate) way: &'a Way,
    pub(crate) plan: &'a AllocationPlan<'a>,
}

impl Divided {
    /// Divides the circuits of an assessed job as it asks.
    #[must_use]
    pub fn of(assessed: Arc<Assessed>) -> Self {
        let way = Way { word: String::new(), title: "As the job asks".to_owned() };
        let job = assessed.assessment().job.clone();
        let asked = Asked { assessed, ways: vec![(way, job)] };
        Self(DividedCell::new(asked, |asked| Plans { plans: plans(asked), modes: Vec::new() }))
    }

    pub(crate) fn plan(&self) -> Option<Division<'_>> {
        divisions(&self.0).next()
    }
}

impl Compared {
    /// Divides the circuits of an assessed job in every other way that is worth a look.
    #[must_use]
    pub fn of(assessed: Arc<Assessed>) -> Self {
        let ways = ways(assessed.assessment().job, assessed.assessment().library);
        Self(DividedCell::new(Asked { assessed, ways }, |asked| {
            let assessment = asked.assessed.assessment();
            Plans { plans: plans(asked), modes: compare_modes(assessment.job, assessment.library) }
        }))
    }

    pub(crate) fn ways(&self) -> impl Iterator<Item = Division<'_>> {
        divisions(&self.0)
    }

    /// What every mode of the library would read.
    pub(crate) fn modes(&self) -> &[ModeCompared] {
        &self.0.borrow_dependent().modes
    }
}

fn plans(asked: &Asked) -> Vec<AllocationPlan<'_>> {
    let library = asked.assessed.assessment().library;
    asked.ways.iter().map(|(_, job)| allocate(job, library, &Limits::default())).collect()
}

fn divisions(cell: &DividedCell) -> impl Iterator<Item = Division<'_>> {
    let (asked, plans) = (cell.borrow_owner(), cell.borrow_dependent());
    asked.ways.iter().zip(&plans.plans).map(|((way, _), plan)| Division { way, plan })
}

impl Division<'_> {
    /// What puts it into the job.
    pub(crate) fn changes(&self) -> Vec<Change> {
        changes(self.plan).into_iter().map(|noted| noted.change).collect()
    }

    /// The same as one short word, so that a press writes what was seen and nothing else.
    pub(crate) fn mark(&self) -> String {
        // FNV-1a, 64 bits.
        let text = format!("{:?}", self.changes());
        let hash = text.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        format!("{hash:016x}")
    }
}

/// With the modules that the job has; with each type of module alone.
fn ways(job: &Job, library: &Library) -> Vec<(Way, Job)> {
    let way = |word: &str, title: String| Way { word: word.to_owned(), title };
    let mut all = Vec::new();
    if !job.modules.is_empty() && job.allocate.new_modules {
        let mut own = job.clone();
        own.allocate.new_modules = false;
        all.push((way("own", "With the modules that are there".to_owned()), own));
    }
    for profile in library.profiles.values().filter(|profile| matches!(profile.kind, Kind::Module(_))) {
        let mut only = job.clone();
        only.allocate.new_modules = true;
        only.allocate.offer = Some(vec![Located::nowhere(profile.id.clone())]);
        all.push((way(&format!("only-{}", profile.id), format!("Buying {} only", profile.id)), only));
    }
    all
}

impl fmt::Debug for Divided {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Divided").finish_non_exhaustive()
    }
}

impl fmt::Debug for Compared {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.debug_struct("Compared").finish_non_exhaustive()
    }
}
