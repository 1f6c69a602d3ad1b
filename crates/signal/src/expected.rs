//! The signals that a job must bring to the monitoring station: each circuit in each condition, and the system.

use std::collections::BTreeMap;
use std::fmt;

use job::{Circuit, Duty, Job};
use network::{Part, Role};

use crate::codes::{Codes, Numbers};
use crate::contact_id::{ContactId, Qualifier, decimal};
use crate::programming::{self, Codebook, Programming, TAMPER, TAMPER_LETTERS, TAMPER_OVER_LETTERS};
use crate::two_letter::Event;

/// What a signal is to say.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Condition {
    /// A device raised its alarm.
    Alarm,
    /// It is at rest again.
    AlarmOver,
    /// A cover was opened.
    Tamper,
    /// It is shut again.
    TamperOver,
    /// The circuit, or a device's fault contact, is in trouble.
    Trouble,
    /// It is well again.
    TroubleOver,
    /// Mains lost.
    Mains,
    /// Mains back.
    MainsOver,
    /// Battery low, missing or flat.
    Battery,
    /// Battery well again.
    BatteryOver,
    /// A module is not heard of.
    Module,
    /// It is heard of again.
    ModuleOver,
    /// A sounder's circuit is in trouble.
    Sounder,
    /// It is well again.
    SounderOver,
    /// A way to the station failed.
    Path,
    /// It works again.
    PathOver,
    /// Unset by a user.
    Opened,
    /// Set by a user.
    Closed,
    /// A test report.
    Test,
}

impl Condition {
    /// The word in JSON and in keys.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Alarm => "alarm",
            Self::AlarmOver => "alarm-over",
            Self::Tamper => "tamper",
            Self::TamperOver => "tamper-over",
            Self::Trouble => "trouble",
            Self::TroubleOver => "trouble-over",
            Self::Mains => "mains-lost",
            Self::MainsOver => "mains-back",
            Self::Battery => "battery",
            Self::BatteryOver => "battery-over",
            Self::Module => "module-lost",
            Self::ModuleOver => "module-back",
            Self::Sounder => "sounder-trouble",
            Self::SounderOver => "sounder-over",
            Self::Path => "path-failed",
            Self::PathOver => "path-back",
            Self::Opened => "opened",
            Self::Closed => "closed",
            Self::Test => "test",
        }
    }

    /// The same for people.
    #[must_use]
    pub fn says(self) -> &'static str {
        match self {
            Self::Alarm => "alarm",
            Self::AlarmOver => "alarm restored",
            Self::Tamper => "tamper",
            Self::TamperOver => "tamper restored",
            Self::Trouble => "trouble",
            Self::TroubleOver => "trouble restored",
            Self::Mains => "mains lost",
            Self::MainsOver => "mains restored",
            Self::Battery => "battery low or off",
            Self::BatteryOver => "battery restored",
            Self::Module => "module lost",
            Self::ModuleOver => "module found again",
            Self::Sounder => "sounder circuit in trouble",
            Self::SounderOver => "sounder circuit restored",
            Self::Path => "path to the station failed",
            Self::PathOver => "path to the station restored",
            Self::Opened => "opened (unset)",
            Self::Closed => "closed (set)",
            Self::Test => "test report",
        }
    }

    /// Whether it is the end of something.
    #[must_use]
    pub fn is_over(self) -> bool {
        matches!(
            self,
            Self::AlarmOver
                | Self::TamperOver
                | Self::TroubleOver
                | Self::MainsOver
                | Self::BatteryOver
                | Self::ModuleOver
                | Self::SounderOver
                | Self::PathOver
                | Self::Closed
        )
    }
}

/// One signal that is expected, so many times.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Expected {
    /// The circuit; none: the system.
    pub tag: Option<String>,
    /// What it is to say.
    pub condition: Condition,
    /// Area.
    pub area: Option<u32>,
    /// Zone, or user, which the number in the signal must be; none: any.
    pub number: Option<u32>,
    /// The devices that each must bring it once. A signal of a circuit does not say which of them it was.
    pub devices: Vec<String>,
    /// The Contact ID codes that are taken; the first is the one to program.
    pub codes: Vec<u32>,
    /// The two-letter codes that are taken; the first is the one to program.
    pub letters: Vec<[u8; 2]>,
}

/// `C07 alarm`, `user 2 opened`, `system mains-lost`: the same from run to run, so that evidence can name it.
impl fmt::Display for Expected {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&self.tag, self.number) {
            (Some(tag), _) => write!(out, "{tag} {}", self.condition.word()),
            (None, Some(user)) => write!(out, "user {user} {}", self.condition.word()),
            (None, None) => write!(out, "system {}", self.condition.word()),
        }
    }
}

impl Expected {
    /// How often it must come: once for each device, at least once.
    #[must_use]
    pub fn times(&self) -> usize {
        self.devices.len().max(1)
    }

    /// Everything that a job must bring, in the order of the test: circuits as the job lists them, intrusion
    /// before fire; then troubles, the system, users, and the test report.
    #[must_use]
    pub fn of(job: &Job) -> Vec<Self> {
        let programming = programming::of(job);
        let mut expected = Vec::new();
        for fire in [false, true] {
            for (circuit, programmed) in job.circuits.iter().zip(&programming) {
                if circuit.duty.is_some_and(|duty| duty.is_fire() == fire) {
                    of_circuit(circuit, programmed, &mut expected);
                }
            }
        }
        // Devices first, then what ends on the circuit as a whole.
        expected.sort_by_key(|one| matches!(one.condition, Condition::Trouble | Condition::TroubleOver));
        of_system(job, &mut expected);
        of_users(job, &mut expected);
        expected.push(system(Condition::Test, &[602, 601, 603, 608], &[*b"RP", *b"RX", *b"TX", *b"RY"]));
        expected
    }
}

fn of_circuit(circuit: &Circuit, programmed: &Programming, into: &mut Vec<Expected>) {
    let (Some(zone), Some(book), Some(duty)) = (programmed.zone, &programmed.codes, circuit.duty) else {
        return;
    };
    let on_nothing = circuit.network.as_ref().is_some_and(|network| {
        network
            .elements()
            .iter()
            .all(|element| element.name().is_none() || matches!(element.part, Part::Joint(_)))
    });
    if circuit.input.is_none() && circuit.zone.is_none() || on_nothing {
        return;
    }
    let mut pair =
        |condition: [Condition; 2], devices: Vec<String>, codes: Vec<u32>, letters: [Vec<[u8; 2]>; 2]| {
            for (condition, letters) in condition.into_iter().zip(letters) {
                into.push(Expected {
                    tag: Some(circuit.tag.value.clone()),
                    condition,
                    area: Some(programmed.area.value),
                    number: Some(zone.value),
                    devices: devices.clone(),
                    codes: codes.clone(),
                    letters,
                });
            }
        };
    let devices = devices(circuit, duty);
    if duty != Duty::Sounder && (!devices.alarm.is_empty() || circuit.network.is_none()) {
        let letters = [vec![book.alarm_letters.value], book.restore_letters.clone()];
        let alarm = alarms(duty, book);
        pair([Condition::Alarm, Condition::AlarmOver], devices.alarm, alarm, letters);
    }
    if !devices.tamper.is_empty() {
        let letters = [TAMPER_LETTERS.to_vec(), TAMPER_OVER_LETTERS.to_vec()];
        pair([Condition::Tamper, Condition::TamperOver], devices.tamper, TAMPER.to_vec(), letters);
    }
    let letters = [book.trouble_letters.clone(), book.trouble_over_letters.clone()];
    pair([Condition::Trouble, Condition::TroubleOver], devices.fault, book.trouble.clone(), letters);
}

/// The alarm code, and for covers every code that a tamper may come under.
fn alarms(duty: Duty, book: &Codebook) -> Vec<u32> {
    let mut codes = vec![book.alarm.value];
    if duty == Duty::Tamper {
        codes.extend(TAMPER.iter().filter(|code| **code != book.alarm.value));
    }
    codes
}

/// The devices of a circuit by what they report.
#[derive(Default)]
struct Devices {
    alarm: Vec<String>,
    tamper: Vec<String>,
    fault: Vec<String>,
}

fn devices(circuit: &Circuit, duty: Duty) -> Devices {
    let mut devices = Devices::default();
    let Some(network) = &circuit.network else { return devices };
    for element in network.elements() {
        let (name, list) = match &element.part {
            Part::Smoke(name) => (name, &mut devices.alarm),
            Part::Contact { name, role: Role::Alarm, .. } => (name, &mut devices.alarm),
            // On a circuit of covers a tamper contact is what raises the alarm.
            Part::Contact { name, role: Role::Tamper, .. } if duty == Duty::Tamper => {
                (name, &mut devices.alarm)
            }
            Part::Contact { name, role: Role::Tamper, .. } => (name, &mut devices.tamper),
            Part::Contact { name, role: Role::Fault, .. } => (name, &mut devices.fault),
            _ => continue,
        };
        if !list.contains(name) {
            list.push(name.clone());
        }
    }
    devices
}

fn system(condition: Condition, codes: &[u32], letters: &[[u8; 2]]) -> Expected {
    Expected {
        tag: None,
        condition,
        area: None,
        number: None,
        devices: Vec::new(),
        codes: codes.to_vec(),
        letters: letters.to_vec(),
    }
}

/// Supplies, modules and paths. Which number a sender gives them differs, so none is asked for.
fn of_system(job: &Job, into: &mut Vec<Expected>) {
    if !job.supplies.is_empty() {
        into.push(system(Condition::Mains, &[301, 342], &[*b"AT", *b"YP"]));
        into.push(system(Condition::MainsOver, &[301, 342], &[*b"AR", *b"YQ"]));
        into.push(system(Condition::Battery, &[302, 311, 309, 338], &[*b"YT", *b"YM"]));
        into.push(system(Condition::BatteryOver, &[302, 311, 309, 338], &[*b"YR"]));
    }
    if !job.modules.is_empty() {
        into.push(system(Condition::Module, &[333, 143, 381, 382, 330], &[*b"EM", *b"ET", *b"IA"]));
        into.push(system(Condition::ModuleOver, &[333, 143, 381, 382, 330], &[*b"EN", *b"ER", *b"IR"]));
    }
    if job.circuits.iter().any(|circuit| circuit.duty == Some(Duty::Sounder)) {
        let codes = [321, 320, 322, 323, 326, 327];
        into.push(system(Condition::Sounder, &codes, &[*b"YA"]));
        into.push(system(Condition::SounderOver, &codes, &[*b"YH"]));
    }
    if job.station.is_some() {
        let codes = [350, 354, 351, 352, 353, 356, 358];
        into.push(system(Condition::Path, &codes, &[*b"NT", *b"YC", *b"YS", *b"LT"]));
        into.push(system(Condition::PathOver, &codes, &[*b"NR", *b"YK", *b"LR"]));
    }
}

fn of_users(job: &Job, into: &mut Vec<Expected>) {
    const CODES: [u32; 6] = [401, 400, 402, 407, 408, 409];
    for user in &job.users {
        let of = |condition, letters: &[[u8; 2]]| {
            let one = system(condition, &CODES, letters);
            Expected { number: Some(user.number.value), devices: Vec::new(), ..one }
        };
        into.push(of(Condition::Opened, &[*b"OP", *b"OG", *b"OA", *b"OQ", *b"OR"]));
        into.push(of(Condition::Closed, &[*b"CL", *b"CG", *b"CA", *b"CQ", *b"CF"]));
    }
}

/// What came, as far as matching needs it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Signal {
    /// The code.
    pub code: SignalCode,
    /// The number beside it; none where it is 0 or no decimal number.
    pub number: Option<u32>,
}

/// A code in one of the formats.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SignalCode {
    /// Contact ID.
    ContactId(u32, Qualifier),
    /// Two letters.
    Letters([u8; 2]),
}

impl Signal {
    /// Of a Contact ID event; none for a code that is no decimal number, and for a report that a condition is
    /// still there, which is no new signal.
    #[must_use]
    pub fn of_contact_id(event: &ContactId<'_>) -> Option<Self> {
        let code = SignalCode::ContactId(event.code_number()?, event.qualifier);
        let is_new = event.qualifier != Qualifier::Still;
        is_new.then_some(Self { code, number: decimal(&event.number).filter(|number| *number > 0) })
    }

    /// Of a two-letter event.
    #[must_use]
    pub fn of_event(event: &Event<'_>) -> Self {
        let number = event.number.and_then(decimal).filter(|number| *number > 0);
        let user = event.modifiers.get(*b"id").and_then(decimal).filter(|number| *number > 0);
        Self { code: SignalCode::Letters(event.code), number: number.or(user) }
    }

    fn is(&self, expected: &Expected) -> bool {
        if expected.number.is_some() && expected.number != self.number {
            return false;
        }
        match self.code {
            SignalCode::ContactId(code, qualifier) => {
                (qualifier == Qualifier::Restore) == expected.condition.is_over()
                    && expected.codes.contains(&code)
            }
            SignalCode::Letters(code) => expected.letters.contains(&code),
        }
    }
}

/// How a signal was tied to the list.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Tie {
    /// To this entry, which has now come so often.
    Expected {
        /// Its place in the list.
        at: usize,
        /// How often it has come.
        came: usize,
    },
    /// The number is a circuit's, but the code is none that is expected of it.
    OtherCode {
        /// The circuit.
        tag: String,
    },
    /// Nothing in the job.
    Unexpected,
}

/// The list with what has come.
#[derive(Clone, Debug)]
pub struct Tally {
    expected: Vec<Expected>,
    came: Vec<usize>,
    by_number: BTreeMap<u32, Vec<usize>>,
    /// Entries that ask for no number.
    numberless: Vec<usize>,
    codes: Codes,
}

impl Tally {
    /// A list of which nothing has come.
    #[must_use]
    pub fn new(expected: Vec<Expected>) -> Self {
        let mut by_number: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
        let mut numberless = Vec::new();
        for (at, one) in expected.iter().enumerate() {
            match one.number {
                Some(number) => by_number.entry(number).or_default().push(at),
                None => numberless.push(at),
            }
        }
        Self { came: vec![0; expected.len()], expected, by_number, numberless, codes: Codes::embedded() }
    }

    /// Ties a signal to the list and counts it.
    pub fn tie(&mut self, signal: &Signal) -> Tie {
        let of_number = signal.number.and_then(|number| self.by_number.get(&number));
        let of_number = of_number.map_or(&[][..], Vec::as_slice);
        let mut all = of_number.iter().chain(&self.numberless);
        if let Some(&at) = all.find(|&&at| self.expected.get(at).is_some_and(|one| signal.is(one))) {
            self.came[at] += 1;
            return Tie::Expected { at, came: self.came[at] };
        }
        // The number beside an opening is a user's, whatever circuit has the same.
        let row = match signal.code {
            SignalCode::ContactId(code, _) => self.codes.contact_id(code),
            SignalCode::Letters(code) => self.codes.two_letter(code),
        };
        if row.is_some_and(|row| row.number != Numbers::Zone) {
            return Tie::Unexpected;
        }
        let tag = of_number.iter().find_map(|&at| self.expected.get(at)?.tag.clone());
        tag.map_or(Tie::Unexpected, |tag| Tie::OtherCode { tag })
    }

    /// Counts what evidence of an earlier run names; whether the list has it.
    pub fn count(&mut self, key: &str) -> bool {
        let at = self.expected.iter().position(|one| one.to_string() == key);
        if let Some(at) = at {
            self.came[at] += 1;
        }
        at.is_some()
    }

    /// The list, each with how often it has come.
    pub fn all(&self) -> impl Iterator<Item = (&Expected, usize)> {
        self.expected.iter().zip(self.came.iter().copied())
    }

    /// One entry.
    #[must_use]
    pub fn get(&self, at: usize) -> Option<&Expected> {
        self.expected.get(at)
    }

    /// How many entries came as often as they must.
    #[must_use]
    pub fn done(&self) -> usize {
        self.all().filter(|(one, came)| *came >= one.times()).count()
    }

    /// How many entries there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.expected.len()
    }

    /// Whether nothing is expected.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.expected.is_empty()
    }
}
