//! Jobs for the tests of the allocation, and what they have in common.

use assess::{AllocationPlan, Limits, allocate};
use document::Source;
use job::{Job, Noted};
use library::Library;

/// A module of this test, one mode at a time: one with two smoke inputs for 2.2 kohm, one that takes any resistor
/// and no smoke. Not a profile that is shipped.
const PROFILE: &str = r#"
id = "t36"
kind = "module"
title = "Test module"
basis = "invented for these tests"
inputs = 20
price = 100
minutes = 30

[[mode]]
id = "two"
eol = "2.2k"
smoke_inputs = [19, 20]
smoke = { volts = "17 V to 20 V", series = "220 ohm 5 %", limit = "55 mA to 65 mA", standby = "2 mA", open_below = "3 mA", alarm_above = "15 mA", most_heads = 20, reset_volts = "500 mV", reset = "5 s" }
bands = [ { name = "short", below = "1.2k", means = "trouble" }, { name = "rest", below = "3.4k", means = "normal" },
          { name = "open", means = "alarm" } ]

[[mode]]
id = "any"
accepts = "1.5k to 11k"
bands = [ { name = "short", below = "1.2k", means = "trouble" }, { name = "rest", below = "11k", means = "normal" },
          { name = "open", means = "alarm" } ]
"#;

/// The built-in library with the module of these tests.
pub(crate) fn library() -> Library {
    let mut library = Library::embedded();
    library.add(&Source::new("t36.toml", PROFILE)).expect("the test profile reads");
    library
}

pub(crate) fn read(text: &str) -> Job {
    let source = Source::new("job.toml", text);
    Job::read(&source).unwrap_or_else(|problems| panic!("{problems:?}"))
}

pub(crate) fn plan_of<'a>(job: &'a Job, library: &'a Library) -> AllocationPlan<'a> {
    allocate(job, library, &Limits::default())
}

/// Puts changes into a text that takes them, and checks the way back.
pub(crate) fn applied(text: &str, changes: &[Noted]) -> String {
    let applied =
        Noted::apply_all(changes, &Source::new("job.toml", text)).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(applied.undo.restore(&applied.text).as_deref(), Some(text));
    applied.text
}

/// Thirty-six circuits, one of them smoke, nine with another resistor, on two modules that are there; each module's
/// own line of mode comes in.
pub(crate) fn thirty_six(first: &str, second: &str) -> String {
    let mut text = format!(
        "format = 1\n[allocate]\nnew_modules = false\n[[module]]\nid = \"M1\"\nprofile = \"t36\"\n{first}\n\
         [[module]]\nid = \"M2\"\nprofile = \"t36\"\n{second}\n"
    );
    for number in 1..36 {
        let resistor = if number < 27 { "2.2k" } else { "5.6k" };
        text.push_str(&format!(
            "[[circuit]]\ntag = \"C{number}\"\nduty = \"intrusion\"\nnetwork = \"wire:{}m - nc:d{number} - {resistor}\"\n",
            10 + number
        ));
    }
    text.push_str("[[circuit]]\ntag = \"S36\"\nduty = \"smoke\"\nnetwork = \"wire:30m - smoke:D1 | 2.2k\"\n");
    text
}

/// A linen store with room for one module and nine circuits: another box beside it, or the cable made longer.
pub(crate) fn linen_store(allocate: &str, more: &str) -> String {
    let mut text = format!(
        "format = 1\n[allocate]\noffer = [\"input-8\"]\n{allocate}\n[[enclosure]]\nid = \"E1\"\nprofile = \"enclosure-large\"\n\
         [[enclosure]]\nid = \"E2\"\nplace = \"linen store\"\nprofile = \"enclosure-small\"\n{more}\n"
    );
    for number in 1..10 {
        text.push_str(&format!(
            "[[circuit]]\ntag = \"C{number}\"\nduty = \"intrusion\"\nends_in = \"E2\"\nnetwork = \"wire:{}m - nc:d{number} - 4.7k\"\n",
            10 + number
        ));
    }
    text
}
