//! Any bytes as an equipment profile or a rule set: one of them, or problems that lie inside the text.
#![no_main]

use document::Source;
use libfuzzer_sys::fuzz_target;
use library::Library;

fuzz_target!(|bytes: &[u8]| {
    let Ok(source) = Source::read_bytes("profile.toml", bytes) else { return };
    if let Err(problems) = Library::default().add(&source) {
        for problem in problems {
            assert!(problem.span.start <= problem.span.end && problem.span.end <= source.text().len() + 1);
            let _ = source.complaint(&problem);
        }
    }
});
