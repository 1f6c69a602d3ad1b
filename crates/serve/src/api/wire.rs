//! What goes in and out of the doors, as JSON.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::change::ChangeJson;

/// A page of the list of jobs, the one changed last first.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct JobsJson {
    /// How many there are in all.
    pub(crate) of: i64,
    pub(crate) jobs: Vec<JobRowJson>,
}

/// A job in the list.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct JobRowJson {
    pub(crate) id: String,
    /// Grows by one with every change of the text.
    pub(crate) version: i64,
    /// When it was changed last, RFC 3339 in UTC.
    pub(crate) changed: String,
    /// What people call the site; empty when nobody has said.
    pub(crate) name: String,
    pub(crate) circuits: i64,
    /// `stop`, `fix` or `check`; null where there is nothing but notes.
    pub(crate) verdict: Option<String>,
    /// The answer in a sentence.
    pub(crate) answer: String,
}

/// A job as it stands.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct JobJson {
    pub(crate) id: String,
    pub(crate) version: i64,
    /// When it was changed last, RFC 3339 in UTC.
    pub(crate) changed: String,
    /// The job file.
    pub(crate) text: String,
}

/// A job that was not there.
#[derive(Deserialize, JsonSchema, Debug)]
#[serde(deny_unknown_fields)]
pub(crate) struct NewJobJson {
    /// Its id; one is made where none is given. The same job twice is one.
    #[schemars(regex(pattern = "^[A-Za-z0-9_-]{1,64}$"))]
    pub(crate) id: Option<String>,
    /// The job file.
    pub(crate) text: String,
}

/// A job's whole new text.
#[derive(Deserialize, JsonSchema, Debug)]
#[serde(deny_unknown_fields)]
pub(crate) struct TextJson {
    /// The version that it was made from.
    #[schemars(range(min = 1, max = 9_007_199_254_740_991_i64))]
    pub(crate) version: i64,
    /// The id of this change; one is made where none is given. The same change twice is one.
    #[schemars(regex(pattern = "^[A-Za-z0-9_-]{1,64}$"))]
    pub(crate) id: Option<String>,
    /// The job file.
    pub(crate) text: String,
    /// What it is, in a sentence.
    #[serde(default)]
    #[schemars(length(max = 2000))]
    pub(crate) what: String,
}

/// Values to be changed, all or none.
#[derive(Deserialize, JsonSchema, Debug)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChangesJson {
    /// The id of this change; one is made where none is given. The same change twice is one.
    #[schemars(regex(pattern = "^[A-Za-z0-9_-]{1,64}$"))]
    pub(crate) id: Option<String>,
    #[schemars(length(min = 1, max = 500))]
    pub(crate) changes: Vec<ChangeJson>,
    /// What it is, in a sentence.
    #[serde(default)]
    #[schemars(length(max = 2000))]
    pub(crate) what: String,
    /// The id of the change that this one takes back; empty when it is none of those.
    #[serde(default)]
    #[schemars(length(max = 64))]
    pub(crate) takes_back: String,
}

/// What a change has made.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct MadeJson {
    /// The id of the job or of the change.
    pub(crate) id: String,
    /// The version that it made.
    pub(crate) version: i64,
}

/// Changes, the newest first.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct VersionsJson {
    pub(crate) versions: Vec<VersionJson>,
}

/// A change that was made.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct VersionJson {
    pub(crate) version: i64,
    pub(crate) id: String,
    /// RFC 3339 in UTC.
    pub(crate) at: String,
    pub(crate) author: String,
    /// What it was, in a sentence.
    pub(crate) what: String,
    /// From what to what; empty for the job's first text, and where whole tables came or went.
    pub(crate) changes: Vec<ChangeJson>,
    /// The id of the change that it took back; empty when it is none of those.
    pub(crate) takes_back: String,
}

/// What was observed. A correction is a new one. Keys that are not named here are kept as they come.
#[derive(Deserialize, JsonSchema, Debug)]
pub(crate) struct EntryJson {
    /// Its id, made by whoever observed it; one is made where none is given. The same id twice is one entry.
    #[schemars(regex(pattern = "^[A-Za-z0-9_-]{1,64}$"))]
    pub(crate) id: Option<String>,
    /// `reading`, `trip`, `note`, `signal` and what else comes.
    #[schemars(length(min = 1, max = 64))]
    pub(crate) kind: String,
    /// When, RFC 3339; now where it is not given.
    #[schemars(regex(
        pattern = "^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|1[0-9]|2[0-8])T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9]Z$"
    ))]
    pub(crate) at: Option<String>,
    /// Who; whoever this server writes for where it is not given.
    pub(crate) author: Option<String>,
    /// The instrument; empty when none was used.
    #[serde(default)]
    pub(crate) instrument: String,
    /// What it is about: a circuit's tag, an enclosure's id; empty for the whole job.
    #[serde(default)]
    pub(crate) about: String,
    /// What was observed, in a sentence.
    pub(crate) words: String,
    /// Every other key.
    #[serde(flatten)]
    pub(crate) more: serde_json::Map<String, serde_json::Value>,
}

/// Evidence, the newest first.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct EvidenceJson {
    /// How many entries there are in all.
    pub(crate) of: i64,
    pub(crate) entries: Vec<KeptEntryJson>,
}

/// An entry as it is kept.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct KeptEntryJson {
    /// The id that it is kept under: its own, or one that was made for a line that brings none.
    pub(crate) id: String,
    /// The entry; null for a line that is no JSON object.
    pub(crate) entry: Option<serde_json::Map<String, serde_json::Value>>,
    /// The line, where it is no JSON object.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) line: Option<String>,
}

/// The photos of a job, the newest first.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct PhotosJson {
    pub(crate) photos: Vec<PhotoJson>,
}

/// A photo without its pixels.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct PhotoJson {
    pub(crate) id: String,
    /// When it came, RFC 3339 in UTC.
    pub(crate) at: String,
    pub(crate) author: String,
    /// A circuit's tag, an enclosure's id; empty when nobody has said.
    pub(crate) about: String,
}

/// An entry that was sent.
#[derive(Serialize, JsonSchema, Debug)]
pub(crate) struct SentJson {
    pub(crate) id: String,
    /// False when there was an entry of this id already, which stays as it is.
    pub(crate) new: bool,
}
