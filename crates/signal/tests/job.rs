//! What a job makes of itself at the station: expected signals, programming, sheets, calls; worked by hand from the
//! code tables and from the job below.

use document::Source;
use job::Job;
use signal::station::StationSheet;
use signal::{
    Codes, ContactId, Events, Expected, Gmt, Keys, Outcome, Piece, Receiver, Reply, Room, Sheet, Signal,
    Supervised, Tally, Tie, calls, play, programming, words, write,
};

const JOB: &str = r#"
format = 1
[station]
account = "4401"
[[area]]
number = 2
name = "shop"
entry = "30 s"
route = ["C03", "C01"]
[[area]]
number = 5
[[module]]
id = "M1"
profile = "input-12"
[[module]]
id = "M2"
profile = "input-12"
[[user]]
number = 3
name = "shop manager"
[[supply]]
id = "P1"
[[circuit]]
tag = "C01"
place = "store, two windows"
duty = "intrusion"
network = "wire:20m - nc:w1 - wire:2m - nc:w2 - nc:w2.tamper - 2.2k"
input = "M2.1"
[[circuit]]
tag = "C02"
place = "safe"
duty = "intrusion"
network = "2.2k - wire:20m - nc:safe"
input = "M1.4"
response = "always"
area = 5
zone = 2
name = "the safe behind the counter"
[[circuit]]
tag = "C03"
place = "street door"
duty = "intrusion"
network = "wire:10m - nc:door - 2.2k"
input = "M1.9"
[[circuit]]
tag = "C04"
place = "store, smoke"
duty = "smoke"
network = "wire:15m - smoke:D1 | wire:5m - smoke:D2 | 2.2k"
input = "M1.12"
[[circuit]]
tag = "C05"
place = "valve"
duty = "valve"
input = "M1.11"
report = "SS"
[[circuit]]
tag = "C06"
place = "nothing there"
duty = "technical"
network = "wire:15m - open"
input = "M1.10"
[[circuit]]
tag = "C07"
place = "bell"
duty = "sounder"
input = "M1.8"
[[circuit]]
tag = "C08"
place = "on no input"
duty = "technical"
network = "nc:x - 1k"
"#;

fn job(text: &str) -> Job {
    Job::read(&Source::new("job.toml", text)).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn cid(data: &[u8]) -> Signal {
    Signal::of_contact_id(&ContactId::read(data).expect("an event")).expect("a signal")
}

/// C02 has its own number 2; the others take 1, 3, 4 ... in the order of modules and inputs: M1.9, M1.10, M1.11, M1.12,
/// M2.1. A sounder and a circuit on no input have none.
#[test]
fn numbers_areas_responses_and_codes() {
    let told: Vec<String> = programming::of(&job(JOB))
        .iter()
        .map(|one| {
            let zone = one.zone.map(|zone| format!("{}{}", zone.value, if zone.given { "" } else { "?" }));
            let response = one.response.map_or("-", |response| response.value.word());
            let code = one.codes.as_ref().map(|book| {
                format!("{}/{}", book.alarm.value, String::from_utf8_lossy(&book.alarm_letters.value))
            });
            format!("{} {zone:?} area {} {response} {code:?}", one.tag, one.area.value)
        })
        .collect();
    assert_eq!(
        told,
        [
            r#"C01 Some("6?") area 2 route Some("132/BA")"#,
            r#"C02 Some("2") area 5 always Some("133/BA")"#,
            r#"C03 Some("1?") area 2 entry Some("134/BA")"#,
            r#"C04 Some("5?") area 2 fire Some("111/FA")"#,
            r#"C05 Some("4?") area 2 supervisory Some("203/SS")"#,
            r#"C06 Some("3?") area 2 always Some("150/UA")"#,
            r#"C07 None area 2 - Some("321/YA")"#,
            r#"C08 None area 2 always Some("150/UA")"#,
        ]
    );
}

#[test]
fn every_signal_that_must_come() {
    let told: Vec<String> = Expected::of(&job(JOB))
        .iter()
        .map(|one| format!("{one} x{} {}", one.times(), one.codes[0]))
        .collect();
    assert_eq!(
        told,
        [
            "C01 alarm x2 132",
            "C01 alarm-over x2 132",
            "C01 tamper x1 383",
            "C01 tamper-over x1 383",
            "C02 alarm x1 133",
            "C02 alarm-over x1 133",
            "C03 alarm x1 134",
            "C03 alarm-over x1 134",
            "C04 alarm x2 111",
            "C04 alarm-over x2 111",
            "C05 alarm x1 203",
            "C05 alarm-over x1 203",
            "C01 trouble x1 370",
            "C01 trouble-over x1 370",
            "C02 trouble x1 370",
            "C02 trouble-over x1 370",
            "C03 trouble x1 370",
            "C03 trouble-over x1 370",
            "C04 trouble x1 373",
            "C04 trouble-over x1 373",
            "C05 trouble x1 373",
            "C05 trouble-over x1 373",
            "system mains-lost x1 301",
            "system mains-back x1 301",
            "system battery x1 302",
            "system battery-over x1 302",
            "system module-lost x1 333",
            "system module-back x1 333",
            "system sounder-trouble x1 321",
            "system sounder-over x1 321",
            "system path-failed x1 350",
            "system path-back x1 350",
            "user 3 opened x1 401",
            "user 3 closed x1 401",
            "system test x1 602",
        ]
    );
}

#[test]
fn signals_are_tied_to_what_they_say_and_to_nothing_else() {
    let mut tally = Tally::new(Expected::of(&job(JOB)));
    let mut told = |signal: Signal| match tally.tie(&signal) {
        Tie::Expected { at, came } => format!("{} {came}", tally.get(at).expect("it is there")),
        Tie::OtherCode { tag } => format!("other code of {tag}"),
        Tie::Unexpected => "unexpected".to_owned(),
    };
    for (data, wanted) in [
        (&b"#4401|1132 02 006"[..], "C01 alarm 1"),
        (b"#4401|1132 02 006", "C01 alarm 2"),
        (b"#4401|3132 02 006", "C01 alarm-over 1"),
        (b"#4401|1144 02 006", "C01 tamper 1"),
        (b"#4401|1372 02 006", "C01 trouble 1"),
        (b"#4401|1130 02 006", "other code of C01"),
        (b"#4401|1132 02 007", "unexpected"),
        (b"#4401|1301 00 000", "system mains-lost 1"),
        (b"#4401|1401 00 003", "user 3 opened 1"),
        (b"#4401|3401 00 003", "user 3 closed 1"),
        (b"#4401|1401 00 004", "unexpected"),
        (b"#4401|1602 00 000", "system test 1"),
    ] {
        assert_eq!(told(cid(data)), wanted);
    }
    let still = ContactId::read(b"#4401|6301 00 000").expect("an event");
    assert_eq!(Signal::of_contact_id(&still), None, "a report that it is still there is no new signal");
    for (data, wanted) in [
        ("#4401|Nri2/FA5", "C04 alarm 1"),
        ("#4401|Nri2/FH005", "C04 alarm-over 1"),
        ("#4401|NSS4", "C05 alarm 1"),
        ("#4401|Nid3/CL", "user 3 closed 2"),
        ("#4401|NRX", "system test 2"),
    ] {
        let event = Events::read(data.as_bytes()).next().expect("an event");
        assert_eq!(told(Signal::of_event(&event)), wanted);
    }
}

/// The header's account is the job's and the data's is not, or the other way round: whose alarm it is, nobody knows.
#[test]
fn a_message_of_two_accounts_says_so() {
    let codes = Codes::embedded();
    let mut receiver = Receiver::new(Keys::default(), 1);
    for (id, data, other) in [
        (&b"ADM-CID"[..], &b"#9999|1134 01 001"[..], Some(&b"9999"[..])),
        (b"ADM-CID", b"#4401|1134 01 001", None),
        (b"ADM-CID", b"#04401|1134 01 001", None),
        (b"ADM-CID", b"#44010|1134 01 001", Some(b"44010")),
        (b"ADM-CID", b"1134 01 001", None),
        (b"SIA-DCS", b"#9999|NBA1", Some(b"9999")),
        (b"SIA-DCS", b"#4401|NBA1", None),
    ] {
        let header = write::Header { id, sequence: b"0001", receiver: None, prefix: b"0", account: b"4401" };
        let mut room = [0; 128];
        let frame = write::clear(&mut room, &header, data, b"", None).expect("it fits");
        let mut reply = Reply::default();
        let heard = receiver.hear(Piece::Frame(frame), Gmt(0), &mut reply);
        assert_eq!((heard.outcome, heard.other_account()), (Outcome::Ack, other));
        let said = words::of(&heard, &codes);
        assert_eq!(said.contains("4401") && said.contains("differ"), other.is_some(), "{said}");
    }
}

#[test]
fn the_programming_sheet() {
    let sheet = Sheet::of(&job(JOB), Room { name_letters: Some(16), zones: Some(5) });
    let told: Vec<String> = sheet
        .inputs
        .iter()
        .map(|row| format!("{} {} {}", row.zone.value, row.name, row.supervised.says()))
        .collect();
    assert_eq!(
        told,
        [
            "1 street door yes",
            "2 the safe behind no: the resistor sits in the panel",
            "3 nothing there no: nothing at the end of the pair",
            "4 valve not known yet",
            "5 store, smoke yes",
            "6 store yes",
        ]
    );
    let codes: Vec<&str> = sheet.findings.iter().map(|finding| finding.code).collect();
    assert_eq!(codes, ["name-too-long", "zone-too-high", "no-number"]);
    let areas: Vec<String> =
        sheet.areas.iter().map(|row| format!("{} {}", row.number, row.circuits.join(" "))).collect();
    assert_eq!(areas, ["2 C01 C03 C04 C05 C06", "5 C02"]);
    for table in sheet.tables() {
        assert!(table.rows.iter().all(|row| row.len() == table.columns.len()), "{}", table.title);
        assert_eq!(table.csv().lines().count(), table.rows.len() + 1, "{}", table.title);
    }
    assert_eq!(sheet.inputs[1].supervised, Supervised::ResistorInPanel);
}

/// What goes to the station leaves out terminals, resistors, codes, and the way in.
#[test]
fn the_stations_sheet_opens_no_door() {
    let text: String =
        StationSheet::of(&job(JOB), Room::default()).tables().iter().map(signal::Table::csv).collect();
    for word in ["M1.", "M2.", "2.2k", "ohm", "resistor", "Way in", "then"] {
        assert!(!text.contains(word), "{word} in {text}");
    }
    assert!(text.contains("5,2,\"store, smoke\",smoke,111,smoke detector in alarm,111 restore"), "{text}");
}

#[test]
fn calls_and_messages_are_one_list() {
    let job = job(JOB);
    let lines = calls::of(&job, &[]);
    let messages = play::messages(&job, "4401").expect("they can be said");
    let says: Vec<&str> = messages.iter().map(|message| message.says.as_str()).collect();
    assert_eq!(lines.iter().map(|line| line.says.as_str()).collect::<Vec<_>>(), says);
    let first: Vec<&str> = says[..4].to_vec();
    assert_eq!(
        first,
        [
            "C01 store, two windows, w1: alarm",
            "C01 store, two windows, w1: alarm restored",
            "C01 store, two windows, w2: alarm",
            "C01 store, two windows, w2: alarm restored",
        ]
    );
    // What is played is what is expected: all of it, and nothing else.
    let mut tally = Tally::new(Expected::of(&job));
    for message in &messages {
        let tie = tally.tie(&cid(message.data.as_bytes()));
        let Tie::Expected { at, .. } = tie else { panic!("{message:?} is {tie:?}") };
        assert_eq!(tally.get(at).expect("it is there").to_string(), message.key);
    }
    assert_eq!(tally.done(), tally.len());
    assert!(tally.all().all(|(one, came)| came == one.times()));
}

#[test]
fn two_letter_codes_say_the_same() {
    let letters = JOB.replace("account = \"4401\"", "account = \"4401\"\nformat = \"two-letter\"");
    let job = job(&letters);
    let mut tally = Tally::new(Expected::of(&job));
    for message in play::messages(&job, "4401").expect("they can be said") {
        let event = Events::read(message.data.as_bytes()).next().expect("an event");
        let tie = tally.tie(&Signal::of_event(&event));
        let Tie::Expected { at, .. } = tie else { panic!("{message:?} is {tie:?}") };
        assert_eq!(tally.get(at).expect("it is there").to_string(), message.key);
    }
    assert_eq!(tally.done(), tally.len());
}

#[test]
fn a_job_of_one_line_expects_a_test_report() {
    let job = job("format = 1\n");
    let expected: Vec<String> = Expected::of(&job).iter().map(ToString::to_string).collect();
    assert_eq!(expected, ["system test"]);
    assert_eq!(Sheet::of(&job, Room::default()).findings[0].code, "no-account");
    let far = "format = 1\n[[circuit]]\ntag = \"C01\"\nduty = \"smoke\"\nzone = 1000\n";
    assert!(play::messages(&self::job(far), "4401").is_err());
}
