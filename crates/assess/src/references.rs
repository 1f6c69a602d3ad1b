//! What a job names and the library does not have.

use document::Problem;
use job::Job;
use library::Library;

/// Every reference of the job that the library cannot answer.
#[must_use]
pub fn check(_job: &Job, _library: &Library) -> Vec<Problem> {
    Vec::new()
}
