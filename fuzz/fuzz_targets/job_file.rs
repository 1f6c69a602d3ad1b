//! Any bytes as a job file: a job, or problems that lie inside the text. A change to it is undone byte for byte.
#![no_main]

use document::Source;
use job::{Change, Job, NewValue, TableRef};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(source) = Source::read_bytes("job.toml", bytes) else { return };
    let job = match Job::read(&source) {
        Ok(job) => job,
        Err(problems) => {
            for problem in problems {
                assert!(problem.span.start <= problem.span.end && problem.span.end <= source.text().len() + 1);
                let _ = source.complaint(&problem);
            }
            return;
        }
    };
    let Some(circuit) = job.circuits.first() else { return };
    let was = (!circuit.place.is_empty()).then(|| NewValue::Text(circuit.place.clone()));
    let change = Change {
        table: TableRef::Named("circuit", circuit.tag.value.clone()),
        key: "place".to_owned(),
        from: was,
        to: Some(NewValue::Text("by the \"lift\"".to_owned())),
    };
    if let Ok(applied) = change.apply(&source) {
        assert_eq!(applied.undo.restore(&applied.text).as_deref(), Some(source.text()));
    }
});
