//! The description of the doors (OpenAPI 3.1), made from the list that requests are led by.

use schemars::SchemaGenerator;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

use super::doors::{DOORS, Door, JSON, Kind, PHOTOS, Parameter, Sent};
use super::{Call, json as as_json};
use crate::refusal::Refusal;
use crate::reply::Reply;
use assess::wire::ErrorsJson;

/// Opens the door of the description.
pub(crate) fn open(_: &Call<'_>) -> Result<Reply, Refusal> {
    as_json(200, &description())
}

/// The description of every door, as OpenAPI 3.1.
#[must_use]
pub fn description() -> Value {
    let settings = SchemaSettings::draft2020_12().with(|settings| {
        settings.definitions_path = "/components/schemas".into();
    });
    let mut generator = settings.into_generator();
    let mut paths: Map<String, Value> = Map::new();
    for door in DOORS {
        let described = operation(door, &mut generator);
        let path = paths.entry(door.path).or_insert_with(|| json!({}));
        path[door.method.to_lowercase()] = described;
    }
    let schemas = generator.take_definitions(true);
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Loopwright",
            "version": "1",
            "description": "Jobs, what the engines say of them, and evidence. On this machine alone.",
        },
        "paths": paths,
        "components": { "schemas": schemas },
    })
}

fn operation(door: &Door, generator: &mut SchemaGenerator) -> Value {
    let mut answers: Map<String, Value> = Map::new();
    for (status, about, schema) in door.answers {
        let kind = if *status < 300 { door.gives } else { JSON };
        answers.insert(status.to_string(), content(about, kind, &schema(generator).to_value()));
    }
    let refused = generator.subschema_for::<ErrorsJson>().to_value();
    answers.insert("default".to_owned(), content("It was not done", JSON, &refused));
    let named = door.path.split('/').filter_map(|word| word.strip_prefix('{')?.strip_suffix('}'));
    let mut parameters: Vec<Value> = named.map(in_path).collect();
    parameters.extend(door.query.iter().map(in_query));
    let mut operation = json!({
        "operationId": door.name,
        "summary": door.about,
        "parameters": parameters,
        "responses": answers,
    });
    if let Some(sent) = door.body {
        let mut content = Map::new();
        match sent {
            Sent::Json(body) => {
                content.insert(JSON.to_owned(), json!({ "schema": body(generator).to_value() }));
            }
            Sent::Photo => {
                for kind in PHOTOS {
                    content.insert(
                        kind.to_owned(),
                        json!({ "schema": { "type": "string", "format": "binary" } }),
                    );
                }
            }
        }
        operation["requestBody"] = json!({ "required": true, "content": content });
    }
    operation
}

fn content(about: &str, kind: &str, schema: &Value) -> Value {
    json!({ "description": about, "content": { kind: { "schema": schema } } })
}

/// An id of a job, a change, an entry or a photo.
fn id() -> Value {
    json!({ "type": "string", "pattern": "^[A-Za-z0-9_-]{1,64}$" })
}

fn in_path(name: &str) -> Value {
    let schema = id();
    json!({ "name": name, "in": "path", "required": true, "schema": schema })
}

fn in_query(parameter: &Parameter) -> Value {
    let schema = match parameter.kind {
        Kind::Text => json!({ "type": "string" }),
        Kind::Number(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
        Kind::Bool => json!({ "type": "boolean" }),
        Kind::Words(words) => json!({ "enum": words }),
        Kind::Id => id(),
    };
    json!({ "name": parameter.name, "in": "query", "description": parameter.about, "schema": schema })
}
