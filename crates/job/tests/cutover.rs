//! `[cutover]`: what is read, and what is refused with its place.

use document::Source;
use job::{CutoverWay, Day, Duty, Job, Weekday};
use quantity::Hours;

fn read(text: &str) -> Result<Job, Vec<String>> {
    let source = Source::new("job.toml", format!("format = 1\n[cutover]\n{text}"));
    Job::read(&source).map_err(|problems| {
        let told = |problem: &document::Problem| {
            let complaint = source.complaint(problem);
            format!("{}:{}: {}", complaint.line, complaint.column, complaint.text)
        };
        problems.iter().map(told).collect()
    })
}

#[test]
fn everything_that_may_stand_there() {
    let job = read(
        r#"way = "swap"
crew = 2
start = "2026-12-01 07:30"
hours = [
    { days = ["mon", "tue"], from = "08:00", to = "17:00", building = "occupied" },
    { from = "17:00", to = "24:00", building = "empty" },
]
impairment = "6 h"
impairment_reason = "letter of 2026-11-20"
weights = { smoke = 20, hold-up = 0 }
dummy_resistors = false
notes = "x"
"#,
    )
    .expect("a good job");
    let cutover = job.cutover;
    assert_eq!((cutover.way, cutover.crew, cutover.dummy_resistors), (CutoverWay::Swap, 2, false));
    let start = cutover.start.expect("a start");
    assert_eq!(
        (start.day.written(), start.day.weekday(), start.minute),
        ("2026-12-01".to_owned(), Weekday::Tue, 450)
    );
    assert_eq!(start.day, Day::new(2026, 12, 1).expect("a day"));
    assert_eq!((cutover.hours[0].days.len(), cutover.hours[0].from, cutover.hours[1].to), (2, 480, 1440));
    assert!(cutover.hours[0].occupied && !cutover.hours[1].occupied);
    assert_eq!(cutover.impairment, Some(Hours(6.0)));
    assert_eq!(cutover.weights.into_iter().collect::<Vec<_>>(), [(Duty::HoldUp, 0), (Duty::Smoke, 20)]);
}

#[test]
fn nothing_is_side_by_side_by_one() {
    let job = read("").expect("a good job");
    assert_eq!((job.cutover.way, job.cutover.crew), (CutoverWay::SideBySide, 1));
    assert!(job.cutover.hours.is_empty() && job.cutover.dummy_resistors);
}

#[test]
fn what_is_refused() {
    let check = |text: &str, told: &[&str]| assert_eq!(read(text).expect_err(text), told, "{text}");
    check("way = \"swop\"", &["3:8: cutover.way `swop` is not known, did you mean `swap`?"]);
    check("crew = 0", &["3:8: cutover.crew 0 is out of range"]);
    check("start = \"2026-02-29 08:00\"", &["3:10: there is no day 2026-02-29"]);
    check("start = \"2026-12-01\"", &["3:10: `2026-12-01` is no date with its time"]);
    check("start = \"2026-12-01 24:00\"", &["3:10: `2026-12-01 24:00` is no date with its time"]);
    for out in ["25 h", "0 h"] {
        let text = format!("format = 1\n[cutover]\nimpairment = \"{out}\"\nimpairment_reason = \"x\"\n");
        let problems = format!("{:?}", job::Job::read(&document::Source::new("job.toml", &text)).err());
        assert!(problems.contains("1 min to 24 h"), "{problems}");
    }
    check("impairment = \"4 h\"", &["3:14: a limit other than the rules' needs its reason"]);
    check("weights = { smke = 2 }", &["3:13: unknown key `smke` in cutover.weights, did you mean `smoke`?"]);
    check(
        "hours = [{ from = \"17:00\", to = \"08:00\", building = \"empty\" }]",
        &["3:33: these hours end before they begin"],
    );
    check(
        "hours = [{ days = [\"mon\"], from = \"08:00\", to = \"17:00\", building = \"empty\" }]",
        &["3:10: days of the week, and no date from which they count"],
    );
    check(
        "hours = [{ from = \"08:00\", to = \"17:00\", building = \"empty\" }, { from = \"16:59\", to = \"18:00\", building = \"empty\" }]",
        &["3:64: these hours lie over others"],
    );
    check(
        "hours = [{ from = \"8:00\", to = \"17:60\" }]",
        &[
            "3:10: cutover.hours has no `building`",
            "3:20: `8:00` is no time of day",
            "3:33: `17:60` is no time of day",
        ],
    );
}
