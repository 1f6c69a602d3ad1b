//! Any bytes as a job file: a job, or problems that lie inside the text. A change to it is undone byte for byte.
#![no_main]

use document::Source;
use job::{Change, Job, Place, Plain, TableRef};
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
    let table = || TableRef::named("circuit", &circuit.tag);
    let place = Place::Key(table(), "place".to_owned());
    let stands = place.standing(&source);
    let new = || Some(Plain::Text("by the \"lift\"".to_owned()));
    let changes = [
        Change { at: place, from: stands, to: new() },
        Change { at: Place::Table(table()), from: Place::Table(table()).standing(&source), to: None },
        Change { at: Place::Entry(table(), "found".to_owned(), circuit.found.len()), from: None, to: new() },
        Change::new_table(TableRef::named("module", "new"), Plain::table([("id", Plain::Text("new".to_owned()))])),
    ];
    for change in changes {
        if let Ok(applied) = change.apply(&source) {
            assert_eq!(applied.undo.restore(&applied.text).as_deref(), Some(source.text()));
        }
    }
});
