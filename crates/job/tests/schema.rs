//! The schema and the reader are held together: same keys in the same tables, same verdict on files.

use std::collections::{BTreeMap, BTreeSet};

use document::Source;
use job::Job;
use serde_json::{Value, json};
use toml::de::{DeTable, DeValue};

const EXAMPLE: &str = include_str!("format_example.toml");

fn schema() -> Value {
    serde_json::from_str(job::SCHEMA).expect("the schema is JSON")
}

fn names(keys: &[&str]) -> BTreeSet<String> {
    keys.iter().map(|key| (*key).to_owned()).collect()
}

fn properties(table: &Value) -> BTreeSet<String> {
    table["properties"].as_object().expect("properties").keys().cloned().collect()
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
    let mut described: BTreeMap<String, BTreeSet<String>> = schema["$defs"]
        .as_object()
        .unwrap()
        .iter()
        .map(|(name, table)| (name.clone(), properties(table)))
        .collect();
    described.insert("job".to_owned(), properties(&schema));
    let read: BTreeMap<String, BTreeSet<String>> =
        job::TABLES.iter().map(|(name, keys)| ((*name).to_owned(), names(keys))).collect();
    assert_eq!(described, read);
}

#[test]
fn the_schema_is_one() {
    assert!(jsonschema::meta::is_valid(&schema()));
    for (name, table) in schema()["$defs"].as_object().unwrap() {
        assert_eq!(table["additionalProperties"], json!(false), "{name}");
        for (key, property) in table["properties"].as_object().unwrap() {
            assert!(property.get("description").is_some(), "{name}.{key} says what it is");
        }
    }
}

#[test]
fn the_example_is_valid_by_both() {
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    let errors: Vec<String> =
        validator.iter_errors(&as_json(EXAMPLE)).map(|error| error.to_string()).collect();
    assert_eq!(errors, Vec::<String>::new());
    assert!(Job::read(&Source::new("job.toml", EXAMPLE)).is_ok());
}

/// What the schema refuses the reader refuses too, and what the reader takes the schema takes.
#[test]
fn one_verdict_on_small_files() {
    let validator = jsonschema::draft202012::new(&schema()).unwrap();
    let good = [
        "format = 1",
        "format = 1\nsite.rules = []",
        "format = 1\n[[circuit]]\ntag = \"C01\"\nmeans = { short = \"tamper\" }\nclass = \"A\"\nother = \"a ring\"",
        "format = 1\n[[supply]]\nid = \"P1\"\nloads = [ { at = \"P1\", shed = true, alarm_in = [\"fire\", \"smoke\"] } ]",
        "format = 1\n[station]\naccount = \"44F1\"\ntest_report = \"24 h\"\n[[area]]\nnumber = 99\nroute = []\n[[user]]\nnumber = 1",
        "format = 1\n[[circuit]]\ntag = \"C01\"\nreport = \"BA\"\nresponse = \"route\"\n[history]\norder = \"day-first\"\nshift = \"-90 s\"",
        "format = 1\n[rates]\nhour = 95\ncurrency = \"dollars\"\nmargin = \"15 %\"\nvalid_days = 30\n[[van]]\npart = \"resistor\"\nvalue = \"2.2k\"\ncount = 40\n[quotation]\nscope = []",
        "format = 1\n[allocate]\noffer = []\nnew_modules = false\nspare = 4\nhour = 85.5\nmoney = \"50 %\"\nannexes = 0\nkeep_numbers = false",
        "format = 1\n[[enclosure]]\nid = \"E1\"\nspare = 2\n[[enclosure]]\nid = \"E2\"\nbeside = \"E1\"\n[[extension]]\nfrom = \"E2\"\nto = \"E1\"\nlength = \"25 m\"",
    ];
    for text in good {
        assert!(validator.is_valid(&as_json(text)), "{text}");
        assert!(Job::read(&Source::new("job.toml", text)).is_ok(), "{text}");
    }
    let bad = [
        "",
        "format = 2",
        "format = 1\nsites = 1",
        "format = 1\n[site]\nunits = \"imperial\"",
        "format = 1\n[site]\nrules = \"us-fire\"",
        "format = 1\n[[circuit]]\nplace = \"hall\"",
        "format = 1\n[[circuit]]\ntag = \"a/b\"",
        "format = 1\n[[circuit]]\ntag = \"C01\"\nduty = \"fire\"",
        "format = 1\n[[circuit]]\ntag = \"C01\"\nnetwork = \"1k\"\nother = \"x\"",
        "format = 1\n[[circuit]]\ntag = \"C01\"\ninput = \"M1\"",
        "format = 1\n[[circuit]]\ntag = \"C01\"\nmeans = { short = \"fault\" }",
        "format = 1\n[[circuit]]\ntag = \"C01\"\nfound = [ { when = \"rest\" } ]",
        "format = 1\n[[circuit]]\ntag = \"C01\"\nfound = [ { ohms = \"open\" } ]",
        "format = 1\n[[device]]\nid = \"D1\"\nmade = 13",
        "format = 1\n[[device]]\nid = \"D1\"\nminutes = \"12 min\"",
        "format = 1\n[[supply]]\nid = \"P1\"\nruns = [ { from = \"P1\", to = \"J1\" } ]",
        "format = 1\n[[supply]]\nid = \"P1\"\nloads = [ { at = \"P1\", count = 0 } ]",
        "format = 1\n[[cable]]\nid = \"K1\"\ncores = [ { to = 3 } ]",
        "format = 1\nmeter = { leads = 0.2 }",
        "format = 1\n[station]\naccount = \"44g1\"",
        "format = 1\n[station]\nformat = \"morse\"",
        "format = 1\n[[area]]\nname = \"x\"",
        "format = 1\n[[area]]\nnumber = 100",
        "format = 1\n[[user]]\nnumber = 0",
        "format = 1\n[[circuit]]\ntag = \"C01\"\nreport = \"B\"",
        "format = 1\n[[circuit]]\ntag = \"C01\"\nresponse = \"slow\"",
        "format = 1\n[history]\norder = \"any\"",
        "format = 1\n[history]\ncolour = \"x\"",
        "format = 1\n[rates]\nhour = -1",
        "format = 1\n[rates]\nhour = \"95\"",
        "format = 1\n[rates]\ncrew = 0",
        "format = 1\n[rates]\nyear = 1",
        "format = 1\n[[van]]\npart = \"label\"",
        "format = 1\n[[van]]\ncount = 3",
        "format = 1\n[[van]]\npart = \"label\"\ncount = -1",
        "format = 1\n[quotation]\nscope = \"x\"",
        "format = 1\n[allocate]\nspare = -1",
        "format = 1\n[allocate]\nmoney = 50",
        "format = 1\n[allocate]\nmodules = 3",
        "format = 1\n[[enclosure]]\nid = \"E1\"\nspare = \"two\"",
        "format = 1\n[[extension]]\nfrom = \"E2\"\nlength = \"25 m\"",
    ];
    for text in bad {
        assert!(!validator.is_valid(&as_json(text)), "{text}");
        assert!(Job::read(&Source::new("job.toml", text)).is_err(), "{text}");
    }
}
