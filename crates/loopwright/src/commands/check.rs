//! `check JOB`: read and validate only, and count what an assessment would find.

use std::path::Path;

use assess::Assessment;
use assess::wire::FindingJson;
use document::Complaint;
use job::{Finding, Job};
use schemars::JsonSchema;
use serde::Serialize;

use super::print_json;
use crate::arguments::Common;
use crate::outcome::Outcome;
use crate::report::page::Page;
use crate::report::{answer, finding};
use crate::world;

/// What `check --json` prints.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct CheckJson {
    /// Whether the file could be read; at exit 2 `errors` is printed in place of this.
    ok: bool,
    /// How many circuits the job has.
    circuits: usize,
    /// The heaviest first, then in the order of the job.
    findings: Vec<FindingJson>,
}

/// Runs the command.
pub(crate) fn run(job: &Path, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let world = world::load(job, common)?;
    let assessment = world.assess();
    let outcome = Outcome::of(&assessment.findings);
    let printed = if common.json {
        print_json(&CheckJson {
            ok: true,
            circuits: world.job.circuits.len(),
            findings: assessment.findings.iter().map(FindingJson::new).collect(),
        })
    } else {
        report(&assessment).print()
    };
    Ok(outcome.after_printing(printed))
}

/// What was read, how many findings, and those of the job as a whole.
fn report(assessment: &Assessment) -> Page {
    let mut page = Page::of_stdout();
    page.paragraph(0, &read(assessment.job));
    let counts: Vec<String> = answer::counts(assessment).into_iter().map(|(_, words)| words).collect();
    if counts.is_empty() {
        page.paragraph(0, "Nothing found that needs fixing.");
        return page;
    }
    page.paragraph(0, &format!("Findings: {}. `loopwright assess` shows them all.", counts.join(", ")));
    let of_job: Vec<Finding> =
        assessment.findings.iter().filter(|finding| finding.place == "job").cloned().collect();
    finding::put(&mut page, &of_job, true);
    page
}

/// What was read, in a sentence.
pub(crate) fn read(job: &Job) -> String {
    let counted = [
        (job.circuits.len(), "circuit", "circuits"),
        (job.modules.len(), "module", "modules"),
        (job.enclosures.len(), "enclosure", "enclosures"),
        (job.devices.len(), "device", "devices"),
        (job.cables.len(), "cable", "cables"),
        (job.supplies.len(), "supply", "supplies"),
        (job.outputs.len(), "output", "outputs"),
    ];
    let parts: Vec<String> = counted
        .into_iter()
        .filter(|(count, one, _)| *count > 0 || *one == "circuit")
        .map(|(count, one, many)| match count {
            0 => format!("no {many}"),
            1 => format!("1 {one}"),
            _ => format!("{count} {many}"),
        })
        .collect();
    let name = if job.site.name.is_empty() { "The job" } else { job.site.name.as_str() };
    format!("{name} was read without an error: {}.", parts.join(", "))
}
