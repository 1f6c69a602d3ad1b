//! `explain JOB WHERE`: the working behind one result.

use std::path::Path;

use document::Complaint;

use super::print_json;
use crate::arguments::Common;
use crate::explain::{Explained, page, resolve};
use crate::outcome::Outcome;
use crate::{input, world};

/// Runs the command.
pub(crate) fn run(job: &Path, place: &str, common: &Common) -> Result<Outcome, Vec<Complaint>> {
    let world = world::load(job, common)?;
    let target = resolve(&world.job, place).map_err(|near| {
        let names: Vec<String> = near.iter().map(|name| format!("`{name}`")).collect();
        let text = format!("nothing in this job is called `{place}`");
        vec![input::about_file("command line", text, &document::list(names.iter().map(String::as_str)))]
    })?;
    let explained = Explained::new(place, target, world.assess());
    let printed = if common.json { print_json(&explained.json()) } else { page(&explained).print() };
    Ok(Outcome::Done.after_printing(printed))
}
