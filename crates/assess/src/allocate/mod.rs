//! Which circuit on which input: the job and the library asked, the solver called, the answer in the job's words.
//!
//! [`allocate()`] gives an [`AllocationPlan`]; [`planned`] the job as it would be with it, [`changes`] what puts it into
//! the file.

mod conflict;
mod costs;
mod findings;
mod forbidden;
mod ground;
mod left;
mod place;
mod places;
mod plan;
mod planned;
mod supplies;
mod table;
mod time_limit;

use ::allocate as engine;
use circuit::Setting;
use job::Job;
use library::Library;

pub use conflict::{ConflictPlan, DemandPlan};
pub use engine::{Effort, Limits, Status, Stopped, Weights};
use ground::Remedies;
pub use left::{Left, LeftBecause};
pub use place::{Annexed, PlacePlan};
pub use plan::{AllocationPlan, ExtensionPlan, InputPlan, ModulePlan};
pub use planned::{changes, freed, planned};
use table::Table;
pub use time_limit::{TIME_LIMITS, time_limit};

/// Divides the circuits of a job over the modules that it has and those that may be bought.
///
/// Deterministic: the same job, library and count of nodes give the same plan, whatever the number of threads; only
/// [`Limits::stop`] may end the search earlier, and the plan then says so.
#[must_use]
pub fn allocate<'a>(job: &'a Job, library: &'a Library, limits: &Limits) -> AllocationPlan<'a> {
    let table = Table::new(Setting::new(job, library));
    let surest = ground::ground(&table, Remedies::Surest);
    let answer = engine::allocate(&surest.problem, limits);
    if answer.status == Status::Infeasible && surest.second_best {
        let any = ground::ground(&table, Remedies::Any);
        // With more remedies more can be done: what cannot stand together then cannot in any way.
        let second = engine::allocate(&any.problem, limits);
        return plan::plan(&table, &any, second);
    }
    plan::plan(&table, &surest, answer)
}
