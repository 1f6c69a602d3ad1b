//! `cutover JOB`: in which order circuits go over, and who is unprotected when.

use std::path::Path;

use assess::CutoverAsked;
use assess::wire::CutoverJson;
use document::Complaint;

use super::print_json;
use crate::arguments::{Common, CutoverWay};
use crate::outcome::Outcome;
use crate::report::cutover as report;
use crate::report::page::Page;
use crate::world;

/// Runs the command.
pub(crate) fn run(
    job: &Path,
    way: Option<CutoverWay>,
    nodes: u64,
    all: bool,
    common: &Common,
) -> Result<Outcome, Vec<Complaint>> {
    let world = world::load(job, common)?;
    let assessment = world.assess();
    let asked = CutoverAsked { way: way.map(CutoverWay::in_job), nodes };
    let cutover = assess::cutover(&assessment, asked);
    let printed = if common.json {
        print_json(&CutoverJson::new(&cutover))
    } else {
        let mut page = Page::of_stdout();
        report::put(&mut page, &cutover, all);
        page.print()
    };
    Ok(Outcome::Done.after_printing(printed))
}
