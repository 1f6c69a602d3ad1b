//! `kit JOB`: what goes along, how long it takes, what it costs.

use std::path::Path;

use assess::wire::KitJson;
use document::Complaint;

use super::{pack, print_json};
use crate::arguments::Common;
use crate::outcome::Outcome;
use crate::report::page::Page;
use crate::report::{kit, quotation};
use crate::{input, world};

/// Runs the command.
pub(crate) fn run(
    job: &Path,
    as_quotation: bool,
    date: Option<&str>,
    common: &Common,
) -> Result<Outcome, Vec<Complaint>> {
    let date = date.map_or_else(pack::today, str::to_owned);
    let Some(year) = assess::kit::year_of(&date) else {
        let text = format!("`{date}` is no date");
        return Err(vec![input::about_file("command line", text, "a date as 2026-11-25")]);
    };
    let world = world::load(job, common)?;
    let assessment = world.assess();
    let outfit = assess::kit::planned_kit(&assessment, Some(year));
    let printed = if common.json {
        print_json(&KitJson::new(&outfit))
    } else {
        let mut page = Page::of_stdout();
        if as_quotation {
            quotation::put(&mut page, &assessment, &outfit, &date);
        } else {
            kit::put(&mut page, &outfit);
        }
        page.print()
    };
    Ok(Outcome::Done.after_printing(printed))
}
