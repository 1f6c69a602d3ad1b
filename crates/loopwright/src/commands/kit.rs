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
    let Some(year) = year(&date) else {
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

/// The year of a date, as 2026-11-25.
fn year(date: &str) -> Option<i32> {
    let mut parts = date.split('-');
    let mut number = |letters: usize| {
        let part = parts.next().filter(|part| part.len() == letters)?;
        part.bytes().all(|digit| digit.is_ascii_digit()).then(|| part.parse::<i32>().ok()).flatten()
    };
    let (year, month, day) = (number(4)?, number(2)?, number(2)?);
    let whole = parts.next().is_none() && (1..=12).contains(&month) && (1..=31).contains(&day);
    whole.then_some(year)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_year_is_that_of_a_date() {
        assert_eq!(year("2026-11-25"), Some(2026));
        for wrong in
            ["", "2026", "2026-13-01", "2026-01-32", "26-01-01", "2026-01-01-01", "２026-01-01", "2026-+1-01"]
        {
            assert_eq!(year(wrong), None, "{wrong}");
        }
    }
}
