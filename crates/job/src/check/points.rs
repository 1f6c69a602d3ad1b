//! Supply points: where a run of supply cable ends. Together with their supply they are a tree.

use std::collections::{BTreeMap, BTreeSet};

use document::{Located, Problems};

use crate::model::{Job, Run, Supply};

/// The points of all supplies of a job.
pub(crate) struct Points<'j> {
    reached: BTreeSet<&'j str>,
    supplies: BTreeSet<&'j str>,
    modules: BTreeSet<&'j str>,
}

impl<'j> Points<'j> {
    /// Follows the runs of every supply and reports what is no tree: a point that two runs end at, and a
    /// run that no supply feeds.
    pub(crate) fn of(
        job: &'j Job,
        supplies: &BTreeSet<&'j str>,
        modules: &BTreeSet<&'j str>,
        problems: &Problems,
    ) -> Self {
        let mut points =
            Self { reached: BTreeSet::new(), supplies: supplies.clone(), modules: modules.clone() };
        let mut ends: BTreeMap<&str, &str> = BTreeMap::new();
        for supply in &job.supplies {
            for run in &supply.runs {
                points.one_end(supply, &run.to, &mut ends, problems);
            }
        }
        for supply in &job.supplies {
            points.follow(supply, problems);
        }
        points
    }

    /// A point is reached by one run only, and is no supply.
    fn one_end(
        &self,
        supply: &'j Supply,
        to: &'j Located<String>,
        ends: &mut BTreeMap<&'j str, &'j str>,
        problems: &Problems,
    ) {
        if self.is_source(to) {
            let text = format!("a run ends at `{to}`, which feeds");
            problems.report(to.span.clone(), text, "a point of its own, as `J1`");
        } else if let Some(first) = ends.insert(to, &supply.id) {
            let text = format!("a second run ends at `{to}` (the first belongs to {first})");
            problems.report(to.span.clone(), text, "one run to each point: the runs of a supply are a tree");
        }
    }

    /// Marks what the runs of one supply reach, from the supply outwards, and reports the rest.
    fn follow(&mut self, supply: &'j Supply, problems: &Problems) {
        let mut runs_from: BTreeMap<&str, Vec<&'j Run>> = BTreeMap::new();
        let mut own: BTreeSet<&str> = BTreeSet::new();
        let mut next: Vec<&'j str> = Vec::new();
        for run in &supply.runs {
            runs_from.entry(&run.from).or_default().push(run);
            if self.is_source(&run.from) {
                next.push(&run.from);
            }
        }
        while let Some(from) = next.pop() {
            for run in runs_from.remove(from).unwrap_or_default() {
                self.reached.insert(&run.to);
                if own.insert(&run.to) {
                    next.push(&run.to);
                }
            }
        }
        for run in runs_from.values().flatten() {
            let text = format!("the run from `{}` is fed by nothing", run.from);
            let accept =
                format!("`{}`, one of its outputs, or a point that another of its runs ends at", supply.id);
            problems.report_missing(run.from.span.clone(), text, accept);
            // what hangs on it is told once, here
            self.reached.insert(&run.to);
        }
    }

    /// A supply or one of its outputs (`P1.bell`), or an output of a module (`M1.aux`).
    fn is_source(&self, name: &str) -> bool {
        let known = |name: &str| self.supplies.contains(name) || self.modules.contains(name);
        self.supplies.contains(name) || name.rsplit_once('.').is_some_and(|(owner, _)| known(owner))
    }

    /// Whether something can be fed at this point.
    pub(crate) fn reaches(&self, point: &str) -> bool {
        self.reached.contains(point) || self.is_source(point)
    }

    /// The points that runs end at.
    pub(crate) fn names(&self) -> impl Iterator<Item = &'j str> {
        self.reached.iter().copied()
    }
}
