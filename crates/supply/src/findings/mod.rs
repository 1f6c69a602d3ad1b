//! What a person must know or decide about a supply, in words.

mod battery;
mod mains;
mod rules;
mod smoke;
mod volts;
mod wiring;

use job::{Finding, Job, Severity};
use library::Library;

use crate::study::Study;

pub use smoke::smoke_findings;

/// Everything that is to be said of one supply.
#[must_use]
pub fn findings(job: &Job, library: &Library, study: &Study) -> Vec<Finding> {
    let mut say = Say { place: study.plan.supply.id.value.clone(), findings: Vec::new() };
    if study.plan.profile.is_none() {
        say.push(
            Severity::Check,
            "supply-without-profile",
            format!(
                "Supply {} has no profile, so its volts on mains and its limits are not known.",
                say.place
            ),
            "Name its profile, or type one in from its manual.",
        );
    }
    volts::put(&mut say, library, study);
    rules::put(&mut say, job, library, study);
    battery::put(&mut say, job, library, study);
    mains::put(&mut say, study);
    wiring::put(&mut say, job, library, study);
    say.findings
}

/// Collects findings of one place.
struct Say {
    place: String,
    findings: Vec<Finding>,
}

impl Say {
    fn push(&mut self, severity: Severity, code: &'static str, text: String, remedy: impl Into<String>) {
        let remedy = remedy.into();
        self.findings.push(Finding { severity, place: self.place.clone(), code, text, remedy });
    }
}
