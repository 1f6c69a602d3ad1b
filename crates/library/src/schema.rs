//! The JSON Schema of equipment profiles, kept by hand beside the reader; tests hold the two together.

/// The schema of a profile, JSON Schema draft 2020-12. TOML readers in editors understand it too.
pub const SCHEMA: &str = include_str!("../schema/profile.schema.json");
