//! How each circuit is programmed: its number, area, response and codes; given by the job, or suggested.

use std::collections::{BTreeMap, BTreeSet};

use job::{Area, Circuit, Duty, Job, Response};

/// A value with where it is from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Chosen<T> {
    /// The value.
    pub value: T,
    /// Whether the job says so; else it is our suggestion, for a person to settle.
    pub given: bool,
}

/// What an input is programmed as.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Programming {
    /// The circuit's tag.
    pub tag: String,
    /// Its zone number; none for a circuit that is on no input or is no detection circuit.
    pub zone: Option<Chosen<u32>>,
    /// Its area's number.
    pub area: Chosen<u32>,
    /// When it raises an alarm; none where nobody said what the circuit is for.
    pub response: Option<Chosen<Response>>,
    /// What it reports.
    pub codes: Option<Codebook>,
}

/// The codes of a circuit, in both formats.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Codebook {
    /// Alarm, as Contact ID.
    pub alarm: Chosen<u32>,
    /// Alarm, as two letters.
    pub alarm_letters: Chosen<[u8; 2]>,
    /// What ends an alarm, as two letters; any of them.
    pub restore_letters: Vec<[u8; 2]>,
    /// Trouble of the circuit, as Contact ID; the first is suggested, any of them is taken.
    pub trouble: Vec<u32>,
    /// Trouble, as two letters.
    pub trouble_letters: Vec<[u8; 2]>,
    /// What ends a trouble, as two letters.
    pub trouble_over_letters: Vec<[u8; 2]>,
}

/// Tampers come under different codes from different senders: one of a set (the collected practice of DC-05).
pub(crate) const TAMPER: [u32; 4] = [383, 144, 137, 145];
pub(crate) const TAMPER_LETTERS: [[u8; 2]; 2] = [*b"TA", *b"TT"];
pub(crate) const TAMPER_OVER_LETTERS: [[u8; 2]; 3] = [*b"TR", *b"TH", *b"TJ"];

/// Every circuit of a job, in the job's order.
#[must_use]
pub fn of(job: &Job) -> Vec<Programming> {
    let zones = zones(job);
    let one = |circuit: &Circuit| {
        let tag = circuit.tag.value.clone();
        let (area, on_route) = area(job, circuit);
        let response = circuit.programmed.response.map(|value| Chosen { value, given: true });
        // Whoever wrote the way in has said this too.
        let given = on_route.is_some();
        let response = response.or_else(|| suggested(circuit, on_route).map(|value| Chosen { value, given }));
        let codes = circuit.duty.map(|duty| codes(circuit, duty, response.map(|response| response.value)));
        Programming { zone: zones.get(tag.as_str()).copied(), tag, area, response, codes }
    };
    job.circuits.iter().map(one).collect()
}

/// Zone numbers: the job's own first; the others take the free numbers in the order of modules and inputs. A
/// circuit on no input has a number only where the job gives it one; a sounder circuit has none.
fn zones(job: &Job) -> BTreeMap<&str, Chosen<u32>> {
    let mut zones = BTreeMap::new();
    let mut taken = BTreeSet::new();
    for circuit in &job.circuits {
        if let Some(value) = circuit.zone {
            zones.insert(circuit.tag.as_str(), Chosen { value, given: true });
            taken.insert(value);
        }
    }
    let module = |id: &str| job.modules.iter().position(|module| module.id.as_str() == id);
    let mut open: Vec<(usize, u16, &str)> = job
        .circuits
        .iter()
        .filter(|circuit| circuit.zone.is_none() && circuit.duty != Some(Duty::Sounder))
        .filter_map(|circuit| {
            let input = circuit.input.as_ref()?;
            Some((module(&input.module).unwrap_or(usize::MAX), input.number, circuit.tag.as_str()))
        })
        .collect();
    open.sort_unstable();
    let mut next = 1;
    for (_, _, tag) in open {
        while taken.contains(&next) {
            next += 1;
        }
        taken.insert(next);
        zones.insert(tag, Chosen { value: next, given: false });
    }
    zones
}

/// A circuit's area, and its place on an entry route, if it is on one.
fn area(job: &Job, circuit: &Circuit) -> (Chosen<u32>, Option<usize>) {
    let place = |area: &Area| area.route.iter().position(|tag| tag.as_str() == circuit.tag.as_str());
    let route = job.areas.iter().find_map(|area| Some((area.number.value, place(area)?)));
    let on_route = route.map(|(_, at)| at);
    if let Some(area) = &circuit.programmed.area {
        return (Chosen { value: area.value, given: true }, on_route);
    }
    if let Some((value, _)) = route {
        return (Chosen { value, given: true }, on_route);
    }
    let first = job.areas.first().map_or(1, |area| area.number.value);
    (Chosen { value: first, given: job.areas.len() == 1 }, on_route)
}

/// What a duty usually is programmed as: common practice, no source. An intrusion circuit off the route is not
/// told outer skin from inside by anything in the job, so nothing is suggested for it.
fn suggested(circuit: &Circuit, on_route: Option<usize>) -> Option<Response> {
    match circuit.duty? {
        Duty::Intrusion => match on_route {
            Some(0) => Some(Response::Entry),
            Some(_) => Some(Response::Route),
            None => None,
        },
        Duty::HoldUp => Some(Response::Silent),
        Duty::Smoke | Duty::Heat | Duty::ManualCall | Duty::Waterflow => Some(Response::Fire),
        Duty::Valve => Some(Response::Supervisory),
        Duty::Tamper | Duty::Technical => Some(Response::Always),
        Duty::Sounder => None,
    }
}

fn codes(circuit: &Circuit, duty: Duty, response: Option<Response>) -> Codebook {
    let row = row(duty, response);
    let mut book = Codebook {
        alarm: Chosen { value: row.alarm, given: false },
        alarm_letters: Chosen {
            value: letters(row.letters).first().copied().unwrap_or(*b"UA"),
            given: false,
        },
        restore_letters: letters(row.over),
        trouble: row.trouble.to_vec(),
        trouble_letters: letters(row.trouble_letters),
        trouble_over_letters: letters(row.trouble_over),
    };
    if let Some(report) = &circuit.programmed.report {
        if let Ok(value) = report.parse() {
            book.alarm = Chosen { value, given: true };
        } else if let [one, other] = *report.as_bytes() {
            book.alarm_letters = Chosen { value: [one, other], given: true };
            // By the pattern of the table: x-A ends with x-R or x-H, x-T with x-J or x-R.
            book.restore_letters =
                if other == b'T' { vec![[one, b'J'], [one, b'R']] } else { vec![[one, b'R'], [one, b'H']] };
        }
    }
    book
}

/// One row of the suggestions; two-letter codes with blanks between them, the first is suggested.
struct Row {
    alarm: u32,
    letters: &'static str,
    over: &'static str,
    trouble: &'static [u32],
    trouble_letters: &'static str,
    trouble_over: &'static str,
}

/// Codes by duty and response: the meanings of the tables in `codes/`; which one suits a duty is common practice,
/// no source.
fn row(duty: Duty, response: Option<Response>) -> Row {
    const LOOP: &[u32] = &[370, 371, 372, 380];
    const HOLD_UP: &[u32] = &[376, 375, 370, 371, 372];
    const FIRE: &[u32] = &[373, 371, 372, 380];
    let (alarm, letters, over, trouble, trouble_letters, trouble_over) = match duty {
        Duty::Intrusion => (intrusion(response), "BA", "BR BH", LOOP, "BT", "BJ BR"),
        Duty::HoldUp if response == Some(Response::Always) => (123, "HA", "HR HH", HOLD_UP, "HT", "HJ HR"),
        Duty::HoldUp => (122, "HA", "HR HH", HOLD_UP, "HT", "HJ HR"),
        Duty::Smoke => (111, "FA", "FR FH", FIRE, "FT", "FJ FR"),
        Duty::Heat => (114, "KA", "KR KH", FIRE, "KT FT", "KJ KR FJ FR"),
        Duty::ManualCall => (115, "FA", "FR FH", FIRE, "FT", "FJ FR"),
        Duty::Waterflow => (113, "SA", "SR SH", FIRE, "ST FT", "SJ SR FJ FR"),
        Duty::Valve => (203, "FS", "FV FR", FIRE, "FT FW", "FJ FQ FR"),
        Duty::Tamper => (137, "TA", "TR TH", LOOP, "TT", "TJ TR"),
        Duty::Technical => (150, "UA", "UR UH", LOOP, "UT", "UJ UR"),
        Duty::Sounder => (321, "YA", "YH", &[321, 320][..], "YA", "YH"),
    };
    Row { alarm, letters, over, trouble, trouble_letters, trouble_over }
}

fn intrusion(response: Option<Response>) -> u32 {
    match response {
        Some(Response::Entry) => 134,
        Some(Response::Route | Response::Interior) => 132,
        Some(Response::Perimeter) => 131,
        Some(Response::Day) => 135,
        Some(Response::Always) => 133,
        Some(Response::Silent) => 146,
        _ => 130,
    }
}

/// Two-letter codes out of a text.
fn letters(text: &str) -> Vec<[u8; 2]> {
    text.split(' ').filter_map(|code| code.as_bytes().try_into().ok()).collect()
}
