//! The kit of a job, for tests.

use assess::kit::{Outfit, kit};
use document::Source;
use job::Job;
use kit::Count;
use library::Library;

pub(crate) const EXAMPLE: &str = include_str!("../../../../examples/orchard-row/job.toml");

/// Reads, assesses and hands over both.
pub(crate) fn with<T>(
    text: &str,
    year: Option<i32>,
    look: impl FnOnce(&assess::Assessment, &Outfit) -> T,
) -> T {
    let job =
        Job::read(&Source::new("job.toml", text)).unwrap_or_else(|problems| panic!("{problems:?}\n{text}"));
    let library = Library::embedded();
    let assessment = assess::assess(&job, &library, &|_, _| {});
    let outfit = kit(&assessment, year);
    look(&assessment, &outfit)
}

pub(crate) fn needed(outfit: &Outfit, part: &str, value: &str) -> Count {
    let line = outfit.kit.lines.iter().find(|line| line.item.part == part && line.item.value == value);
    line.map_or(Count::NONE, |line| line.needed)
}
