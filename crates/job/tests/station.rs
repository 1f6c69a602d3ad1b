//! Station, areas, users, programming and a list's headings: field by field, and every error with its caret.

mod common;

use common::{expect, good};
use document::Source;
use job::{Change, DateOrder, HistoryMap, Plain, ReportFormat, Response, TableRef};
use quantity::{Hours, Seconds};

const GOOD: &str = r#"format = 1
[station]
name = "Mill Lane Monitoring"
account = "4401"
prefix = "12"
receiver = "1F"
format = "two-letter"
call_order = ["first", "second"]
test_report = "24 h"
[[area]]
number = 2
entry = "30 s"
exit = "1 min"
route = ["C01"]
[[user]]
number = 7
name = "head nurse"
[[circuit]]
tag = "C01"
name = "front"
area = 2
response = "entry"
report = "BA"
[history]
code = "Signal"
order = "day-first"
shift = "-90 s"
"#;

#[test]
fn field_by_field() {
    let job = good(GOOD);
    let station = job.station.expect("a station");
    assert_eq!(station.account.expect("an account"), "4401");
    assert_eq!(
        (station.prefix.expect("a prefix").value, station.receiver.expect("one").value),
        ("12".into(), "1F".into())
    );
    assert_eq!((station.format, station.test_report), (ReportFormat::TwoLetter, Some(Hours(24.0))));
    assert_eq!(station.call_order, ["first", "second"]);
    let area = &job.areas[0];
    assert_eq!((area.number.value, area.entry, area.exit), (2, Some(Seconds(30.0)), Some(Seconds(60.0))));
    assert_eq!(area.route[0], "C01");
    assert_eq!((job.users[0].number.value, job.users[0].name.as_str()), (7, "head nurse"));
    let programmed = &job.circuits[0].programmed;
    assert_eq!((programmed.name.as_str(), programmed.response), ("front", Some(Response::Entry)));
    assert_eq!(programmed.report.as_ref().expect("a code"), &"BA");
    let history = job.history.expect("headings");
    assert_eq!((history.code.as_str(), history.order), ("Signal", Some(DateOrder::DayFirst)));
    assert_eq!(history.shift, Some(Seconds(-90.0)));
    for (written, seconds) in [("-90 s", -90.0), ("5 h", 18_000.0), ("-30 min", -1800.0), ("0 h", 0.0)] {
        assert_eq!(HistoryMap::parse_shift(written).map(HistoryMap::written_shift).as_deref(), Ok(written));
        assert_eq!(HistoryMap::parse_shift(written), Ok(Seconds(seconds)));
    }
    for written in ["26 h", "-26 h"] {
        assert!(HistoryMap::parse_shift(written).is_ok(), "{written}");
    }
    for written in ["26.1 h", "-27 h", "1000000 h"] {
        let error = HistoryMap::parse_shift(written).expect_err("it is too much");
        assert_eq!((error.text.contains(written), error.accept.as_str()), (true, "-26 h to 26 h"));
    }
    let least = good("format = 1\n");
    assert!(least.station.is_none() && least.history.is_none() && least.areas.is_empty());
}

#[test]
fn every_error() {
    expect(
        r#"
format = 1
[station]
account = "44g1"
             ^`g` is none of the digits | 3 to 16 digits 0-9 A-F
prefix = "1234567"
          ^7 digits | 1 to 6 digits
format = "morse"
          ^`morse` is not known | contact-id
[[area]]
number = 100
         ^out of range | 1 to 99
[[area]]
^area has no `number`
name = "no number"
[[area]]
number = 1
entry = "2 h"
         ^out of range
route = ["C09"]
         ^no circuit `C09`
[[area]]
number = 1
         ^area 1 stands here for the second time
[[user]]
number = 0
         ^out of range
[[circuit]]
tag = "C01"
response = "slow"
            ^`slow` is not known | entry
report = "B"
          ^`B` is no code | three digits
area = 3
       ^no area 3 | 1
[history]
shift = "5 d"
           ^`d` is no unit of a time
order = "any"
         ^`any` is not known | month-first
"#,
    );
}

#[test]
fn headings_are_written_into_a_job_and_taken_out_again() {
    let before = "format = 1\n\n[[circuit]]\ntag = \"C01\"  # first\n";
    let change = |key: &str, to: &str| {
        Change::key(TableRef::single("history"), key, None, Some(Plain::Text(to.to_owned())))
    };
    let changes = [change("code", "Signal \"code\""), change("shift", "5 h")];
    let applied = Change::apply_all(&changes, &Source::new("job.toml", before)).expect("it can be made");
    let history = good(&applied.text).history.expect("headings");
    assert_eq!((history.code.as_str(), history.shift), ("Signal \"code\"", Some(Seconds(18_000.0))));
    assert!(applied.text.starts_with(before));
    assert_eq!(applied.undo.restore(&applied.text).as_deref(), Some(before));
}
