//! What a plan does to the supplies: more modules draw more.

use std::collections::BTreeSet;

use job::{Finding, Job, Severity};
use library::Library;

use super::plan::AllocationPlan;
use super::planned::planned;
use crate::answer::has_to_change;
use crate::assess::supply_findings;

/// One finding for each supply of which the job as planned has something to put right that the job does not have now.
pub(crate) fn findings(plan: &AllocationPlan) -> Vec<Finding> {
    if plan.job.supplies.is_empty() || !plan.found() {
        return Vec::new();
    }
    let then = planned(plan);
    let (before, after) = (wrong(plan.job, plan.library), wrong(&then, plan.library));
    let one = |(at, after): (usize, Vec<Finding>)| {
        let known: BTreeSet<&str> = before[at].iter().map(|of| of.text.as_str()).collect();
        let worse: Vec<&Finding> = after.iter().filter(|of| !known.contains(of.text.as_str())).collect();
        let first = worse.first()?;
        let texts: Vec<&str> = worse.iter().map(|of| of.text.as_str()).collect();
        let id = plan.job.supplies[at].id.value.clone();
        Some(Finding {
            severity: Severity::Fix,
            text: format!("With this plan {id} does not hold: {}", texts.join(" ")),
            place: id,
            code: "allocate-supply",
            remedy: first.remedy.clone(),
        })
    };
    after.into_iter().enumerate().filter_map(one).collect()
}

/// What has to be put right of each supply, in the order of the job.
fn wrong(job: &Job, library: &Library) -> Vec<Vec<Finding>> {
    let mut all = supply_findings(job, library);
    for findings in &mut all {
        findings.retain(has_to_change);
    }
    all
}
