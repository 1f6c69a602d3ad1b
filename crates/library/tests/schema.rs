//! The schema and the reader of profiles are held together, and every embedded file is valid by both.

use std::collections::{BTreeMap, BTreeSet};

use library::Library;
use serde_json::{Value, json};
use toml::de::{DeTable, DeValue};

fn schema() -> Value {
    serde_json::from_str(library::SCHEMA).expect("the schema is JSON")
}

/// A TOML document as JSON, by a reader of our own test's, not the product's.
fn as_json(text: &str) -> Value {
    table(DeTable::parse(text).expect("good TOML").get_ref())
}

fn table(entries: &DeTable<'_>) -> Value {
    Value::Object(
        entries.iter().map(|(key, value)| (key.get_ref().to_string(), any(value.get_ref()))).collect(),
    )
}

fn any(value: &DeValue<'_>) -> Value {
    match value {
        DeValue::String(text) => json!(text),
        DeValue::Integer(number) => {
            json!(i64::from_str_radix(number.as_str(), number.radix()).expect("a number"))
        }
        DeValue::Float(number) => json!(number.as_str().parse::<f64>().expect("a number")),
        DeValue::Boolean(value) => json!(value),
        DeValue::Datetime(value) => json!(value.to_string()),
        DeValue::Array(values) => Value::Array(values.iter().map(|value| any(value.get_ref())).collect()),
        DeValue::Table(entries) => table(entries),
    }
}

#[test]
fn every_key_that_the_reader_takes_is_in_the_schema_and_the_other_way_round() {
    let schema = schema();
    let described: BTreeMap<String, BTreeSet<String>> = schema["$defs"]
        .as_object()
        .unwrap()
        .iter()
        .map(|(name, table)| {
            (name.clone(), table["properties"].as_object().unwrap().keys().cloned().collect())
        })
        .collect();
    let read: BTreeMap<String, BTreeSet<String>> = library::TABLES
        .iter()
        .map(|(name, keys)| ((*name).to_owned(), keys.iter().map(|key| (*key).to_owned()).collect()))
        .collect();
    assert_eq!(described, read);
}

#[test]
fn every_embedded_file_is_valid() {
    assert!(jsonschema::meta::is_valid(&schema()));
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    for (name, text) in Library::embedded_equipment() {
        let errors: Vec<String> =
            validator.iter_errors(&as_json(text)).map(|error| error.to_string()).collect();
        assert_eq!(errors, Vec::<String>::new(), "{name}");
    }
    for (of, files) in [
        ("rule_set", Library::embedded_rules()),
        ("habits", Library::embedded_habits()),
        ("labour", Library::embedded_labour()),
    ] {
        let mut schema = schema();
        for key in ["oneOf", "required"] {
            schema.as_object_mut().unwrap().remove(key);
        }
        schema["$ref"] = json!(format!("#/$defs/{of}"));
        let validator = jsonschema::draft202012::new(&schema).unwrap();
        for (name, text) in files {
            let errors: Vec<String> =
                validator.iter_errors(&as_json(text)).map(|error| error.to_string()).collect();
            assert_eq!(errors, Vec::<String>::new(), "{name}");
        }
    }
}

#[test]
fn a_profile_that_the_reader_refuses_is_invalid() {
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    let head = "id = \"x\"\ntitle = \"x\"\nbasis = \"x\"\n";
    for body in [
        "kind = \"gadget\"",
        "kind = \"module\"\ninputs = 8",
        "kind = \"detector\"",
        "kind = \"battery\"\nvolts = \"12 V\"",
        "kind = \"keypad\"\ninputs = 8",
        "kind = \"supply\"\nvolts = 12\nlimit = \"1 A\"",
    ] {
        let text = format!("{head}{body}");
        assert!(!validator.is_valid(&as_json(&text)), "{text}");
        assert!(Library::default().add_equipment(&document::Source::new("x", text)).is_err(), "{body}");
    }
}
