//! `schema`: the JSON Schema of what Loopwright reads and prints.

use assess::wire::{AllocationJson, AssessmentJson, CutoverJson, ErrorsJson, IdentifyJson, KitJson};

use super::check::CheckJson;
use super::history::HistoryJson;
use super::pack::PackJson;
use super::sheet::SheetJson;
use super::{print_json, print_text};
use crate::arguments::SchemaOf;
use crate::explain::ExplainJson;
use crate::listen::SignalJson;
use crate::outcome::Outcome;

/// Runs the command.
pub(crate) fn run(of: SchemaOf) -> Outcome {
    Outcome::Done.after_printing(match of {
        SchemaOf::Job => print_text(job::SCHEMA),
        SchemaOf::Profile => print_text(library::SCHEMA),
        SchemaOf::Check => print_json(&schemars::schema_for!(CheckJson)),
        SchemaOf::Allocate => print_json(&AllocationJson::schema()),
        SchemaOf::Identify => print_json(&IdentifyJson::schema()),
        SchemaOf::Assess => print_json(&AssessmentJson::schema()),
        SchemaOf::Kit => print_json(&KitJson::schema()),
        SchemaOf::Cutover => print_json(&CutoverJson::schema()),
        SchemaOf::Explain => print_json(&schemars::schema_for!(ExplainJson)),
        SchemaOf::Pack => print_json(&schemars::schema_for!(PackJson)),
        SchemaOf::Receive => print_json(&schemars::schema_for!(SignalJson<'_>)),
        SchemaOf::Sheet => print_json(&schemars::schema_for!(SheetJson)),
        SchemaOf::History => print_json(&schemars::schema_for!(HistoryJson)),
        SchemaOf::Errors => print_json(&ErrorsJson::schema()),
    })
}
