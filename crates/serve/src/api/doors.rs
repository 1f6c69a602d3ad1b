//! The one list of doors.

use assess::wire::{AssessmentJson, ErrorsJson, IdentifyJson};
use schemars::{JsonSchema, Schema, SchemaGenerator};

use super::wire::{
    ChangesJson, EntryJson, EvidenceJson, JobJson, JobsJson, MadeJson, NewJobJson, SentJson, TextJson,
    VersionsJson,
};
use super::{Call, evidence, jobs, openapi, results};
use crate::refusal::Refusal;
use crate::reply::Reply;

/// The schema of a type.
type SchemaOf = fn(&mut SchemaGenerator) -> Schema;

/// One door.
pub(crate) struct Door {
    pub(crate) method: &'static str,
    /// With what is named in braces.
    pub(crate) path: &'static str,
    /// What it is called in the description.
    pub(crate) name: &'static str,
    /// What it is for.
    pub(crate) about: &'static str,
    pub(crate) query: &'static [Parameter],
    /// What is sent; none when nothing is.
    pub(crate) body: Option<SchemaOf>,
    /// Status, what it means, what comes.
    pub(crate) answers: &'static [(u16, &'static str, SchemaOf)],
    pub(crate) open: fn(&Call<'_>) -> Result<Reply, Refusal>,
}

/// A word of a query.
pub(crate) struct Parameter {
    pub(crate) name: &'static str,
    pub(crate) about: &'static str,
    pub(crate) kind: Kind,
}

/// What may stand in a word of a query.
pub(crate) enum Kind {
    /// Any text.
    Text,
    /// A whole number from here to there.
    Number(u32, u32),
    /// `true` or `false`.
    Bool,
}

/// The most rows that are left out.
pub(crate) const MOST_FROM: u32 = 100_000_000;
/// The most rows that come at once.
pub(crate) const MOST_COUNT: u32 = 1_000;

const FROM: Parameter =
    Parameter { name: "from", about: "How many are left out", kind: Kind::Number(0, MOST_FROM) };
const COUNT: Parameter =
    Parameter { name: "count", about: "How many come at most; 50", kind: Kind::Number(1, MOST_COUNT) };

fn schema<T: JsonSchema>(generator: &mut SchemaGenerator) -> Schema {
    generator.subschema_for::<T>()
}

/// Whatever is an object: the description itself.
fn object(_: &mut SchemaGenerator) -> Schema {
    schemars::json_schema!({ "type": "object" })
}

/// Every door.
pub(crate) const DOORS: &[Door] = &[
    Door {
        method: "GET",
        path: "/api/openapi.json",
        name: "description",
        about: "This description",
        query: &[],
        body: None,
        answers: &[(200, "The description", object)],
        open: openapi::open,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs",
        name: "jobs",
        about: "Jobs, the one changed last first",
        query: &[
            Parameter { name: "search", about: "Words that name or id must hold", kind: Kind::Text },
            FROM,
            COUNT,
        ],
        body: None,
        answers: &[(200, "The jobs", schema::<JobsJson>)],
        open: jobs::list,
    },
    Door {
        method: "POST",
        path: "/api/v1/jobs",
        name: "new_job",
        about: "Begins a job with a text",
        query: &[],
        body: Some(schema::<NewJobJson>),
        answers: &[
            (201, "It is kept", schema::<MadeJson>),
            (409, "Another job has this id", schema::<ErrorsJson>),
            (422, "The text cannot be read", schema::<ErrorsJson>),
        ],
        open: jobs::begin,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}",
        name: "job",
        about: "A job's text and version",
        query: &[],
        body: None,
        answers: &[(200, "The job", schema::<JobJson>), (404, "There is no such job", schema::<ErrorsJson>)],
        open: jobs::one,
    },
    Door {
        method: "PUT",
        path: "/api/v1/jobs/{job}",
        name: "put_job",
        about: "Puts a whole new text in the place of a version",
        query: &[],
        body: Some(schema::<TextJson>),
        answers: &[
            (200, "It is kept", schema::<MadeJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
            (409, "The job has another version by now; nothing was written", schema::<ErrorsJson>),
            (422, "The text cannot be read", schema::<ErrorsJson>),
        ],
        open: jobs::put,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}/changes",
        name: "changes",
        about: "What was changed, the newest first",
        query: &[COUNT],
        body: None,
        answers: &[
            (200, "The changes", schema::<VersionsJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
        ],
        open: jobs::changes,
    },
    Door {
        method: "POST",
        path: "/api/v1/jobs/{job}/changes",
        name: "change",
        about: "Changes values in the newest text, where they still stand as the change says",
        query: &[],
        body: Some(schema::<ChangesJson>),
        answers: &[
            (200, "They are kept", schema::<MadeJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
            (409, "A value stands otherwise by now; nothing was written", schema::<ErrorsJson>),
            (
                422,
                "There is no such table or key, or the job could not be read with it",
                schema::<ErrorsJson>,
            ),
        ],
        open: jobs::change,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}/assessment",
        name: "assessment",
        about: "What `assess --json` prints of the job",
        query: &[Parameter { name: "all", about: "Announced faults too, as `--all`", kind: Kind::Bool }],
        body: None,
        answers: &[
            (200, "The assessment", schema::<AssessmentJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
            (422, "The job's text cannot be read with this library", schema::<ErrorsJson>),
        ],
        open: results::assessment,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}/identify",
        name: "identify",
        about: "What `identify --json` prints of the job",
        query: &[],
        body: None,
        answers: &[
            (200, "What is on every pair", schema::<IdentifyJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
            (422, "The job's text cannot be read with this library", schema::<ErrorsJson>),
        ],
        open: results::identify,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}/evidence",
        name: "evidence",
        about: "What was observed, the newest first",
        query: &[
            Parameter { name: "kind", about: "Only of this kind", kind: Kind::Text },
            Parameter { name: "about", about: "Only about this circuit or enclosure", kind: Kind::Text },
            FROM,
            COUNT,
        ],
        body: None,
        answers: &[
            (200, "The evidence", schema::<EvidenceJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
        ],
        open: evidence::list,
    },
    Door {
        method: "POST",
        path: "/api/v1/jobs/{job}/evidence",
        name: "observe",
        about: "Adds an entry of evidence, which stays",
        query: &[],
        body: Some(schema::<EntryJson>),
        answers: &[
            (200, "There was an entry of this id already", schema::<SentJson>),
            (201, "It is kept", schema::<SentJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
            (422, "The entry cannot be kept", schema::<ErrorsJson>),
        ],
        open: evidence::add,
    },
];

impl Door {
    /// What stands in the path at the braces; none when this is the path of another door.
    pub(crate) fn named<'p>(&self, path: &'p str) -> Option<Vec<&'p str>> {
        let mut named = Vec::new();
        let mut words = path.split('/');
        for own in self.path.split('/') {
            let word = words.next()?;
            if own.starts_with('{') {
                named.push(word);
            } else if own != word {
                return None;
            }
        }
        words.next().is_none().then_some(named)
    }
}
