//! The one list of doors.

use assess::wire::{AllocationJson, AssessmentJson, CutoverJson, ErrorsJson, IdentifyJson, KitJson};
use schemars::{JsonSchema, Schema, SchemaGenerator};

use super::wire::{
    ChangesJson, EntryJson, EvidenceJson, JobJson, JobsJson, MadeJson, NewJobJson, PhotosJson, SentJson,
    TextJson, VersionsJson,
};
use super::{Call, evidence, jobs, openapi, photos, results};
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
    pub(crate) body: Option<Sent>,
    /// The media type of what comes when all is well; refusals are JSON.
    pub(crate) gives: &'static str,
    pub(crate) effort: Effort,
    /// Status, what it means, what comes.
    pub(crate) answers: &'static [(u16, &'static str, SchemaOf)],
    pub(crate) open: fn(&Call<'_>) -> Result<Reply, Refusal>,
}

/// What is sent to a door.
#[derive(Clone, Copy)]
pub(crate) enum Sent {
    /// JSON.
    Json(SchemaOf),
    /// A photo, [`PHOTOS`].
    Photo,
}

/// How long a door computes.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Effort {
    /// As long as a page.
    Short,
    /// For seconds: it waits for its turn.
    Long,
}

/// Media types of photos that are taken.
pub(crate) const PHOTOS: [&str; 2] = ["image/jpeg", "image/png"];
/// What most doors give.
pub(crate) const JSON: &str = "application/json";

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
    /// One of these.
    Words(&'static [&'static str]),
    /// An id.
    Id,
}

/// The most rows that are left out.
pub(crate) const MOST_FROM: u32 = 100_000_000;
/// The most steps of a search.
pub(crate) const MOST_NODES: u32 = 2_000_000;
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

/// Octets that are no JSON.
fn binary(_: &mut SchemaGenerator) -> Schema {
    schemars::json_schema!({ "type": "string", "format": "binary" })
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
        gives: JSON,
        effort: Effort::Short,
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
        gives: JSON,
        effort: Effort::Short,
        answers: &[(200, "The jobs", schema::<JobsJson>)],
        open: jobs::list,
    },
    Door {
        method: "POST",
        path: "/api/v1/jobs",
        name: "new_job",
        about: "Begins a job with a text",
        query: &[],
        body: Some(Sent::Json(schema::<NewJobJson>)),
        gives: JSON,
        effort: Effort::Short,
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
        gives: JSON,
        effort: Effort::Short,
        answers: &[(200, "The job", schema::<JobJson>), (404, "There is no such job", schema::<ErrorsJson>)],
        open: jobs::one,
    },
    Door {
        method: "PUT",
        path: "/api/v1/jobs/{job}",
        name: "put_job",
        about: "Puts a whole new text in the place of a version",
        query: &[],
        body: Some(Sent::Json(schema::<TextJson>)),
        gives: JSON,
        effort: Effort::Short,
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
        gives: JSON,
        effort: Effort::Short,
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
        body: Some(Sent::Json(schema::<ChangesJson>)),
        gives: JSON,
        effort: Effort::Short,
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
        gives: JSON,
        effort: Effort::Short,
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
        gives: JSON,
        effort: Effort::Short,
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
        gives: JSON,
        effort: Effort::Short,
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
        body: Some(Sent::Json(schema::<EntryJson>)),
        gives: JSON,
        effort: Effort::Short,
        answers: &[
            (200, "There was an entry of this id already", schema::<SentJson>),
            (201, "It is kept", schema::<SentJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
            (409, "Another entry has this id", schema::<ErrorsJson>),
            (422, "The entry cannot be kept", schema::<ErrorsJson>),
        ],
        open: evidence::add,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}/allocate",
        name: "allocate",
        about: "What `allocate --json` prints of the job; at most 20 s are searched",
        query: &[
            Parameter {
                name: "nodes",
                about: "Steps of the search, as `--nodes`; 200000",
                kind: Kind::Number(1, MOST_NODES),
            },
            Parameter {
                name: "time_limit",
                about: "Stop after so long, as `--time-limit`: `10s`",
                kind: Kind::Text,
            },
            Parameter {
                name: "compare",
                about: "Beside another job, by its id; empty: beside this one with nothing assigned; as `--compare`",
                kind: Kind::Text,
            },
        ],
        body: None,
        gives: JSON,
        effort: Effort::Long,
        answers: &[
            (200, "The plan", schema::<AllocationJson>),
            (404, "There is no such job, or none to compare with", schema::<ErrorsJson>),
            (
                422,
                "The job's text cannot be read with this library, or a word of the query",
                schema::<ErrorsJson>,
            ),
        ],
        open: results::allocation,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}/cutover",
        name: "cutover",
        about: "What `cutover --json` prints of the job",
        query: &[
            Parameter {
                name: "way",
                about: "`side-by-side` or `swap`, in place of the job's, as `--way`",
                kind: Kind::Words(&["side-by-side", "swap"]),
            },
            Parameter {
                name: "nodes",
                about: "Placements that are tried, as `--nodes`; 300000",
                kind: Kind::Number(0, MOST_NODES),
            },
        ],
        body: None,
        gives: JSON,
        effort: Effort::Long,
        answers: &[
            (200, "The cut-over", schema::<CutoverJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
            (
                422,
                "The job's text cannot be read with this library, or a word of the query",
                schema::<ErrorsJson>,
            ),
        ],
        open: results::cut_over,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}/kit",
        name: "kit",
        about: "What `kit --json` prints of the job",
        query: &[Parameter {
            name: "date",
            about: "Of the visit, as `--date`: `2026-11-25`; today's (UTC) where none is given",
            kind: Kind::Text,
        }],
        body: None,
        gives: JSON,
        effort: Effort::Long,
        answers: &[
            (200, "The kit", schema::<KitJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
            (422, "The job's text cannot be read with this library, or no date", schema::<ErrorsJson>),
        ],
        open: results::kit,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}/photos",
        name: "photos",
        about: "The photos of a job, the newest first",
        query: &[],
        body: None,
        gives: JSON,
        effort: Effort::Short,
        answers: &[
            (200, "The photos", schema::<PhotosJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
        ],
        open: photos::list,
    },
    Door {
        method: "POST",
        path: "/api/v1/jobs/{job}/photos",
        name: "photograph",
        about: "Adds a photo, which is made anew from its pixels: place and camera are not kept",
        query: &[
            Parameter {
                name: "id",
                about: "Its id; one is made where none is given. The same photo twice is one",
                kind: Kind::Id,
            },
            Parameter { name: "about", about: "A circuit's tag or an enclosure's id", kind: Kind::Text },
        ],
        body: Some(Sent::Photo),
        gives: JSON,
        effort: Effort::Short,
        answers: &[
            (200, "There was this photo already", schema::<SentJson>),
            (201, "It is kept", schema::<SentJson>),
            (404, "There is no such job", schema::<ErrorsJson>),
            (409, "Another photo has this id", schema::<ErrorsJson>),
            (415, "It is no photo that can be read", schema::<ErrorsJson>),
        ],
        open: photos::add,
    },
    Door {
        method: "GET",
        path: "/api/v1/jobs/{job}/photos/{photo}",
        name: "photo",
        about: "A photo",
        query: &[],
        body: None,
        gives: crate::photo::MEDIA_TYPE,
        effort: Effort::Short,
        answers: &[(200, "The photo", binary), (404, "There is no such photo", schema::<ErrorsJson>)],
        open: photos::one,
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
