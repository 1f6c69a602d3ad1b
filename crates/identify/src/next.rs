//! The reading that tells most for a minute of work.

use job::{Circuit, Display, Job, When};
use library::{ReadingMinutes, Wiring};
use network::Role;
use quantity::{Minutes, Ohms, Written};

use crate::candidate::{Candidate, Ranking};
use crate::evidence::{Evidence, SCALES, Setting};
use crate::look::{Asked, Look};
use crate::odd;
use crate::outlook::{CELLS, OPEN, Outlook, RESTLESS, cell, ohms_of, outlook};
use crate::sight::Sight;
use crate::story::can_hang_open;
use crate::words;

/// Candidates that together hold this are asked.
const HELD: f64 = 0.999;
/// As many are asked at most: of further ones each holds next to nothing.
const MOST_ASKED: usize = 48;
/// A reading that tells less is not worth the walk, in bits.
const LEAST_GAIN: f64 = 0.01;
/// Outcomes rarer than this are not told.
const TOLD: f64 = 0.02;
/// More trips than this are asked for by nobody.
const MOST_TRIPS: usize = 3;
/// Below this a pair reads as joined, in ohm.
const LOW: f64 = 40.0;
/// Readings within so many cells are the same to a reader.
const SAME: usize = 2;

/// What to do to a pair before reading it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Act {
    /// Nothing: ohms at rest.
    Rest,
    /// Trip what hangs on it (another device than before).
    Trip,
    /// Swap the leads.
    Reverse,
    /// Join the pair at the far device.
    Join,
    /// Open the pair at the far device.
    Open,
    /// Wait a minute with the leads on.
    Wait,
    /// Volts, DC and AC, nothing done to it.
    Volts,
    /// Each leg to earth.
    Earth,
}

/// A reading that could be taken.
#[derive(Clone, PartialEq, Debug)]
pub struct Choice {
    /// What to do first.
    pub act: Act,
    /// Whether powered detectors have to be fed first.
    pub fed: bool,
    /// What it is expected to tell about wiring and values, in bits.
    pub gain_bits: f64,
    /// What it costs.
    pub minutes: Minutes,
    /// Of that, what would not be spent anyway.
    pub counted: Minutes,
}

/// The reading to take next.
#[derive(Clone, PartialEq, Debug)]
pub struct Next {
    /// The reading.
    pub reading: Choice,
    /// What to do, and what each outcome would mean.
    pub why: String,
}

impl Act {
    /// Every one, in the order in which equals are taken.
    pub const ALL: [Self; 8] =
        [Self::Rest, Self::Volts, Self::Earth, Self::Reverse, Self::Wait, Self::Trip, Self::Join, Self::Open];

    /// The word in JSON: that of a reading's `when`; `volts` for volts at rest.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Rest => "rest",
            Self::Trip => "tripped",
            Self::Reverse => "reversed",
            Self::Join => "joined",
            Self::Open => "opened",
            Self::Wait => "after 60 s",
            Self::Volts => "volts",
            Self::Earth => "earth",
        }
    }

    /// Whether it is done where the meter is.
    #[must_use]
    pub fn at_the_meter(self) -> bool {
        !matches!(self, Self::Trip | Self::Join | Self::Open)
    }

    fn asked(self) -> Option<Asked> {
        match self {
            Self::Rest => Some(Asked::Rest),
            Self::Trip => Some(Asked::Trip { role: Role::Alarm }),
            Self::Reverse => Some(Asked::Reversed),
            Self::Join => Some(Asked::Joined),
            Self::Open => Some(Asked::Opened),
            Self::Wait => Some(Asked::After),
            Self::Volts | Self::Earth => None,
        }
    }
}

/// Every reading that could be taken of a circuit, with what it would tell; the best for a minute first.
#[must_use]
pub fn options(
    setting: &Setting,
    job: &Job,
    circuit: &Circuit,
    evidence: &Evidence,
    ranking: &Ranking,
) -> Vec<Choice> {
    let asked = asked(ranking);
    let sights = evidence.looks.sights(&setting.meter, setting.habits.reading.wrong, SCALES[0]);
    let trip = trip_minutes(job, circuit, &setting.habits.minutes);
    let mut board = Board::new();
    let mut options = Vec::new();
    let fed_before = evidence.looks.ohms.iter().any(|look| look.fed);
    let trips = evidence.looks.trips();
    let contact: f64 =
        asked.iter().filter(|(one, _)| one.wiring.has_contact()).map(|(_, share)| *share).sum();
    let may_hang =
        ranking.all.iter().take(MOST_ASKED).any(|one| one.unfed > 0.0 && can_hang_open(one.wiring));
    for act in Act::ALL {
        for fed in [false, true] {
            if fed && (fed_before || !may_hang || !matches!(act, Act::Rest | Act::Trip)) {
                continue;
            }
            if !fed && is_taken(act, evidence) {
                continue;
            }
            let gain_bits = match act.asked() {
                Some(when) => {
                    let look = Look { asked: when, fed: fed || fed_before, display: Display::Open, at: 0 };
                    let of = |candidate: &Candidate| outlook(setting, evidence, &sights, candidate, &look);
                    board.gain(&asked, &of)
                }
                None if act == Act::Volts => board.gain(&asked, &|candidate| volts_outlook(candidate.wiring)),
                // A leg to earth says nothing of what hangs on the pair.
                None => 0.0,
            };
            let minutes = minutes(act, fed, trip, &setting.habits.minutes);
            // A first trip is compulsory where there is a contact: as far as one is likely, its minutes are spent anyway.
            let spent_anyway = if act == Act::Trip && !fed && trips == 0 { contact } else { 0.0 };
            let counted = Minutes((minutes.0 * (1.0 - spent_anyway)).max(setting.habits.minutes.meter.0));
            options.push(Choice { act, fed, gain_bits, minutes, counted });
        }
    }
    options.sort_by(|one, other| per_minute(other).total_cmp(&per_minute(one)));
    if evidence.looks.restless() {
        // Ohms that do not stand still may be foreign volts: those come first, whatever they tell.
        options.sort_by_key(|option| option.act != Act::Volts);
    }
    options
}

/// Whether reading it again would tell nothing new.
fn is_taken(act: Act, evidence: &Evidence) -> bool {
    let looks = &evidence.looks;
    match act {
        Act::Volts => looks.volts_dc.is_some() && looks.volts_ac.is_some(),
        Act::Earth => looks.earth.is_some(),
        Act::Trip => looks.trips() >= MOST_TRIPS,
        _ => act.asked().is_some_and(|asked| looks.ohms.iter().any(|look| look.asked == asked)),
    }
}

/// Bits a minute.
fn per_minute(option: &Choice) -> f64 {
    option.gain_bits / option.counted.0.max(1e-3)
}

/// The reading to take next; none when the pair is settled, or no reading from here tells anything.
#[must_use]
pub fn next(
    setting: &Setting,
    job: &Job,
    circuit: &Circuit,
    evidence: &Evidence,
    ranking: &Ranking,
) -> Option<Next> {
    if let Some(refusal) = &evidence.refusal {
        let act = if matches!(refusal, crate::Refusal::Earth { .. }) { Act::Earth } else { Act::Volts };
        let minutes = setting.habits.minutes.meter;
        let reading = Choice { act, fed: false, gain_bits: 0.0, minutes, counted: minutes };
        return Some(Next { reading, why: format!("{} {}", refusal.text(), refusal.remedy()) });
    }
    if ranking.settled {
        return None;
    }
    let reading = options(setting, job, circuit, evidence, ranking).into_iter().next()?;
    if reading.gain_bits < LEAST_GAIN && !(reading.act == Act::Volts && evidence.looks.restless()) {
        return None;
    }
    let outcomes = outcomes(setting, evidence, ranking, &reading);
    let why = format!("{} {}", words::instruction(reading.act, reading.fed), outcomes.join("; "));
    Some(Next { reading, why: why.trim_end().to_owned() })
}

/// The candidates that are asked, with their shares among themselves.
fn asked(ranking: &Ranking) -> Vec<(&Candidate, f64)> {
    let mut sum = 0.0;
    let mut asked = Vec::new();
    for candidate in ranking.all.iter().take(MOST_ASKED) {
        asked.push((candidate, candidate.probability));
        sum += candidate.probability;
        if sum >= HELD {
            break;
        }
    }
    asked.iter_mut().for_each(|(_, share)| *share /= sum);
    asked
}

/// Volts by class, as cells; DC and AC are told apart.
fn volts_outlook(wiring: Wiring) -> Outlook {
    let (dc, restless, ac) = odd::volts_shares(wiring);
    let mut outlook = vec![(RESTLESS, restless)];
    for (at, direct) in dc.iter().enumerate() {
        for (other, alternating) in ac.iter().enumerate() {
            outlook.push((4 * at + other, (1.0 - restless) * direct * alternating));
        }
    }
    outlook
}

fn minutes(act: Act, fed: bool, trip: Minutes, minutes: &ReadingMinutes) -> Minutes {
    let of = match act {
        Act::Rest | Act::Reverse | Act::Volts | Act::Earth => minutes.meter,
        Act::Wait => minutes.wait,
        Act::Trip => trip,
        // The far device is reached as for a trip, and then opened.
        Act::Join | Act::Open => minutes.far.max(trip),
    };
    if fed { Minutes(of.0 + minutes.feed.0) } else { of }
}

/// Minutes to reach what hangs on a circuit: the longest of its devices that the job knows.
pub(crate) fn trip_minutes(job: &Job, circuit: &Circuit, habits: &ReadingMinutes) -> Minutes {
    let tag = circuit.tag.as_str();
    let in_network =
        circuit.network.iter().flat_map(|network| network.contacts()).map(|contact| contact.name.clone());
    let in_readings = circuit.found.iter().filter_map(|reading| match &reading.when {
        When::Device(name) => Some(name.split('.').next().unwrap_or(name).to_owned()),
        _ => None,
    });
    let of = |name: String| {
        let own = format!("{tag}/{name}");
        let device = job.devices.iter().find(|device| device.id.value == own || device.id.value == name);
        device.and_then(|device| device.minutes)
    };
    let longest = in_network.chain(in_readings).filter_map(of).reduce(Minutes::max);
    longest.unwrap_or(habits.trip)
}

/// A board of cells that is wiped after each use.
struct Board {
    cells: Vec<f64>,
    used: Vec<usize>,
}

impl Board {
    fn new() -> Self {
        Self { cells: vec![0.0; CELLS], used: Vec::new() }
    }

    /// Mutual information of candidate and outcome, in bits.
    fn gain(&mut self, asked: &[(&Candidate, f64)], of: &dyn Fn(&Candidate) -> Outlook) -> f64 {
        let outlooks: Vec<Outlook> = asked.iter().map(|(candidate, _)| of(candidate)).collect();
        let given: f64 = asked
            .iter()
            .zip(&outlooks)
            .map(|((_, share), outlook)| share * self.entropy(&[(1.0, outlook)]))
            .sum();
        let mixed: Vec<(f64, &Outlook)> =
            asked.iter().zip(&outlooks).map(|((_, share), outlook)| (*share, outlook)).collect();
        (self.entropy(&mixed) - given).max(0.0)
    }

    /// Entropy of a mixture, in bits.
    fn entropy(&mut self, mixture: &[(f64, &Outlook)]) -> f64 {
        for (share, outlook) in mixture {
            for (cell, part) in outlook.iter() {
                if *part > 0.0 {
                    if self.cells[*cell] <= 0.0 {
                        self.used.push(*cell);
                    }
                    self.cells[*cell] += share * part;
                }
            }
        }
        let mut entropy = 0.0;
        for cell in self.used.drain(..) {
            let share = std::mem::replace(&mut self.cells[cell], 0.0);
            entropy -= share * libm::log2(share);
        }
        entropy
    }
}

/// What a reading showed, as a person sees it.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Kind {
    Open,
    Restless,
    Low,
    Same,
    Value(usize),
}

/// What each outcome would mean, the likeliest first.
fn outcomes(setting: &Setting, evidence: &Evidence, ranking: &Ranking, reading: &Choice) -> Vec<String> {
    let Some(when) = reading.act.asked() else {
        return vec!["more than 1 V: a supply or a bus, not a contact".to_owned()];
    };
    let sights: Vec<Sight> = evidence.looks.sights(&setting.meter, setting.habits.reading.wrong, SCALES[0]);
    let rest = evidence.looks.ohms.iter().zip(&sights).find(|(look, _)| look.asked == Asked::Rest);
    let rest = rest.and_then(|(_, sight)| sight.value());
    let look = Look { asked: when, fed: reading.fed, display: Display::Open, at: 0 };
    // For each kind of outcome: how likely, and what is then likeliest.
    let mut kinds: Vec<(Kind, f64, Wiring, f64)> = Vec::new();
    for (candidate, share) in asked(ranking) {
        let mut of: Vec<(Kind, f64)> = Vec::new();
        for (cell, part) in outlook(setting, evidence, &sights, candidate, &look) {
            let kind = kind(cell, rest);
            match of.iter_mut().find(|(other, _)| same_kind(*other, kind)) {
                Some((_, sum)) => *sum += part,
                None => of.push((kind, part)),
            }
        }
        for (kind, part) in of {
            let worth = share * part;
            match kinds.iter_mut().find(|(other, ..)| same_kind(*other, kind)) {
                Some((_, sum, wiring, best)) => {
                    *sum += worth;
                    if worth > *best {
                        (*wiring, *best) = (candidate.wiring, worth);
                    }
                }
                None => kinds.push((kind, worth, candidate.wiring, worth)),
            }
        }
    }
    kinds.sort_by(|one, other| other.1.total_cmp(&one.1));
    let told = kinds.into_iter().filter(|(_, share, ..)| *share >= TOLD).take(4);
    told.map(|(kind, _, wiring, _)| format!("{}: {}", kind_words(kind), words::short(wiring))).collect()
}

fn kind(at: usize, rest: Option<f64>) -> Kind {
    match at {
        OPEN => Kind::Open,
        RESTLESS => Kind::Restless,
        _ if rest.is_some_and(|rest| cell(rest).abs_diff(at) <= SAME) => Kind::Same,
        _ if ohms_of(at) < LOW => Kind::Low,
        _ => Kind::Value(at),
    }
}

/// Values within a few percent of one another are one outcome.
fn same_kind(one: Kind, other: Kind) -> bool {
    match (one, other) {
        (Kind::Value(one), Kind::Value(other)) => one.abs_diff(other) <= 6,
        _ => one == other,
    }
}

fn kind_words(kind: Kind) -> String {
    match kind {
        Kind::Open => "open".to_owned(),
        Kind::Restless => "restless".to_owned(),
        Kind::Low => "near 0".to_owned(),
        Kind::Same => "the same".to_owned(),
        Kind::Value(at) => format!("about {}", Ohms(ohms_of(at)).shown(2)),
    }
}
