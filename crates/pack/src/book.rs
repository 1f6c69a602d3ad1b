//! All that the templates read: the assessment in words, one struct a kind of sheet.
//!
//! Text of the job reaches the typesetter as data only, never as markup.

use assess::Assessment;
use serde::Serialize;

use crate::options::Options;
use crate::sheets::circuit::{CircuitSheet, circuit_sheets};
use crate::sheets::doors::{Door, doors};
use crate::sheets::findings::{FindingRow, finding_rows};
use crate::sheets::modules::{ModuleSheet, module_sheets};
use crate::sheets::schedule::{ScheduleRow, schedule};
use crate::sheets::summary::{Summary, summary};
use crate::sheets::tags::{Tags, tags};

/// Everything in one pack.
#[derive(Serialize)]
pub(crate) struct Book {
    pub(crate) lead: Lead,
    summary: Summary,
    schedule: Vec<ScheduleRow>,
    modules: Vec<ModuleSheet>,
    circuits: Vec<CircuitSheet>,
    findings: Vec<FindingRow>,
    doors: Vec<Door>,
    tags: Tags,
}

/// What stands in every title block.
#[derive(Serialize)]
pub(crate) struct Lead {
    paper: &'static str,
    date: String,
    drawn_from: String,
    numbers_from: String,
    site: String,
}

/// What the tags alone need.
#[derive(Serialize)]
pub(crate) struct TagBook<'a> {
    lead: &'a Lead,
    tags: &'a Tags,
}

impl Book {
    pub(crate) fn new(assessment: &Assessment, options: &Options) -> Self {
        let job = assessment.job;
        let site = if job.site.name.is_empty() { "Site without a name" } else { job.site.name.as_str() };
        let drawn_from = match options.revision.as_str() {
            "" => options.file_name.clone(),
            revision => format!("{}, {revision}", options.file_name),
        };
        Self {
            lead: Lead {
                paper: options.paper.word(),
                date: options.date.clone(),
                drawn_from,
                numbers_from: format!("meter {}", job.meter.accuracy_written()),
                site: site.to_owned(),
            },
            summary: summary(assessment),
            schedule: schedule(assessment),
            modules: module_sheets(assessment),
            circuits: circuit_sheets(assessment),
            findings: finding_rows(assessment),
            doors: doors(assessment),
            tags: tags(assessment),
        }
    }

    pub(crate) fn tags_only(&self) -> TagBook<'_> {
        TagBook { lead: &self.lead, tags: &self.tags }
    }
}
