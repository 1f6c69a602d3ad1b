//! One circuit alone on an input, and what is said of it as JSON.
#![expect(dead_code, unreachable_pub, reason = "each test file uses a part of it")]

use assess::wire::AssessmentJson;
use document::Source;
use job::Job;
use library::Library;
use serde_json::Value;

/// Modes for these tests, each a plain case; not a profile that is shipped.
const PROFILE: &str = r#"
id = "t"
kind = "module"
title = "Test module"
basis = "invented for these tests"
inputs = 40
earth = "common-earthed"

[[mode]]
id = "wide"
eol = "4.7k"
edge_tolerance = "3 %"
bands = [ { name = "short", below = "2.4k", means = "trouble" }, { name = "rest", below = "7k", means = "normal" },
          { name = "open", means = "alarm" } ]

[[mode]]
id = "one-k"
eol = "1k"
bands = [ { name = "short", below = "0.83k", means = "trouble" }, { name = "rest", below = "1.27k", means = "normal" },
          { name = "open", means = "alarm" } ]

[[mode]]
id = "very-wide"
eol = "2.2k"
bands = [ { name = "short", below = "1.5k", means = "trouble" }, { name = "rest", below = "5.5k", means = "normal" },
          { name = "open", means = "alarm" } ]

[[mode]]
id = "learns"
learned = "command"
accepts = "1k to 10k"
bands = [ { name = "short", below = "70 %", means = "trouble" }, { name = "rest", below = "130 %", means = "normal" },
          { name = "open", means = "alarm" } ]
"#;

/// Assesses one intrusion circuit alone on an input of a mode.
pub fn circuit(mode: &str, network: &str) -> (Value, Vec<Value>) {
    let keys = format!("duty = \"intrusion\"\ninput = \"M1.1\"\nnetwork = \"{network}\"\n");
    let (json, findings) = job(&format!(
        "format = 1\n[[module]]\nid = \"M1\"\nprofile = \"t\"\nmode = \"{mode}\"\n[[circuit]]\ntag = \"C1\"\n{keys}"
    ));
    (json["circuits"][0].clone(), findings)
}

/// Assesses a whole job.
pub fn job(text: &str) -> (Value, Vec<Value>) {
    let mut library = Library::embedded();
    library.add(&Source::new("t.toml", PROFILE)).expect("the test profile reads");
    let source = Source::new("job.toml", text);
    let job = Job::read(&source).unwrap_or_else(|problems| panic!("{text}: {problems:?}"));
    let assessment = assess::assess(&job, &library, &|_, _| {});
    let json = serde_json::to_value(AssessmentJson::new(&assessment, true)).expect("plain data");
    let findings = json["findings"].as_array().expect("a list").clone();
    (json, findings)
}

/// The fault of a kind at a place.
pub fn fault<'a>(circuit: &'a Value, kind: &str, place: &str) -> &'a Value {
    let all = circuit["faults"].as_array().expect("a list");
    let found = all.iter().find(|fault| fault["fault"] == kind && fault["where"] == place);
    found.unwrap_or_else(|| {
        let places: Vec<_> =
            all.iter().filter(|fault| fault["fault"] == kind).map(|fault| &fault["where"]).collect();
        panic!("no {kind} {place} among {places:?}")
    })
}

pub fn faults<'a>(circuit: &'a Value, class: &str) -> Vec<&'a Value> {
    let all = circuit["faults"].as_array().expect("a list");
    all.iter().filter(|fault| fault["class"] == class).collect()
}

pub fn close(one: &Value, other: f64, share: f64) -> bool {
    one.as_f64().is_some_and(|one| (one / other - 1.0).abs() < share)
}

pub fn codes(findings: &[Value]) -> Vec<&str> {
    findings.iter().filter_map(|finding| finding["code"].as_str()).collect()
}
