//! `assess JOB`: everything that is to be said of a job.

use std::path::Path;

use assess::Assessment;
use assess::wire::AssessmentJson;
use document::Complaint;

use super::print_json;
use crate::arguments::Common;
use crate::outcome::Outcome;
use crate::report::page::Page;
use crate::report::{answer, circuit, finding, supply};
use crate::world;

/// Runs the command.
pub(crate) fn run(job: &Path, all: bool, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let world = world::load(job, common)?;
    let assessment = world.assess();
    let outcome = Outcome::of(&assessment.findings);
    let printed = if common.json {
        print_json(&AssessmentJson::new(&assessment, all))
    } else {
        report(&assessment, all).print()
    };
    Ok(outcome.after_printing(printed))
}

/// The answer, then findings, then circuits.
pub(super) fn report(assessment: &Assessment, all: bool) -> Page {
    let mut page = Page::of_stdout();
    answer::put(&mut page, assessment);
    finding::put(&mut page, &assessment.findings, all);
    circuit::put(&mut page, assessment);
    supply::put(&mut page, assessment);
    page
}
