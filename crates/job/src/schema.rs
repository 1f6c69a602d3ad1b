//! The JSON Schema of the job file, kept by hand beside the reader; tests hold the two together.

/// The schema of the job file, JSON Schema draft 2020-12. TOML readers in editors understand it too.
pub const SCHEMA: &str = include_str!("../schema/job.schema.json");
