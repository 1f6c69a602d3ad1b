//! How long the work takes: what an office may replace by what it has measured.

use quantity::{Interval, Minutes};

use crate::small_parts::{Allowance, PartTerms, SmallPart};
use crate::weight::{DUTY_KEYS, DutyWeight};

macro_rules! tasks {
    ($($(#[doc = $doc:literal])* $name:ident = $word:literal, $title:literal;)*) => {
        /// A piece of work that is counted one by one.
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub enum Task { $($(#[doc = $doc])* $name,)* }

        impl Task {
            /// Every task, in the order of the embedded file.
            pub const ALL: &[Self] = &[$(Self::$name),*];

            /// The word in labour files and in JSON.
            #[must_use]
            pub fn word(self) -> &'static str {
                match self { $(Self::$name => $word),* }
            }

            /// What people call it, for one of them.
            #[must_use]
            pub fn title(self) -> &'static str {
                match self { $(Self::$name => $title),* }
            }
        }

        /// The keys of `[task]`.
        pub(crate) const TASK_KEYS: &[document::Key] = &[$($word),*];
    };
}

tasks! {
    /// Survey and photographs of so many circuits.
    Survey = "survey", "survey and photographs";
    /// A labelled pair identified.
    IdentifyLabelled = "identify-labelled", "labelled pair identified";
    /// An unlabelled pair identified by one person.
    IdentifyUnlabelled = "identify-unlabelled", "unlabelled pair identified";
    /// An unlabelled pair identified by two people.
    IdentifyWithSecondPerson = "identify-with-second-person", "unlabelled pair identified by two people";
    /// An end-of-line resistor found at its device and changed.
    ResistorAtDevice = "resistor-at-device", "resistor changed at the device";
    /// The same where only a lift reaches.
    ResistorByLift = "resistor-by-lift", "resistor changed at a device that needs a lift";
    /// An adapter of one or two resistors at the module's terminals.
    ResistorAtPanel = "resistor-at-panel", "resistor fitted at the module's terminals";
    /// An enclosure mounted and earthed.
    Enclosure = "enclosure", "enclosure mounted and earthed";
    /// A power supply mounted and connected.
    Supply = "supply", "supply mounted and connected";
    /// A transformer or mains adapter mounted and connected.
    Transformer = "transformer", "transformer mounted and connected";
    /// A string of batteries placed and connected.
    Battery = "battery", "battery placed and connected";
    /// A module mounted, connected and set, without its pairs.
    Module = "module", "module mounted, connected and set";
    /// A pair landed, dressed and tagged.
    LandPair = "land-pair", "pair landed, dressed and tagged";
    /// A pair lifted off the old terminals.
    LiftPair = "lift-pair", "pair lifted off the old terminals";
    /// A pair measured off its terminals.
    MeasurePair = "measure-pair", "pair measured off its terminals";
    /// A dummy resistor put on an old terminal.
    DummyResistor = "dummy-resistor", "dummy resistor fitted on the old terminals";
    /// A keypad swapped.
    Keypad = "keypad", "keypad swapped";
    /// A zone programmed with its name.
    ProgrammeZone = "programme-zone", "zone programmed with its name";
    /// An input enrolled and read back.
    EnrolInput = "enrol-input", "input enrolled and read back";
    /// Communicator and account.
    Communicator = "communicator", "communicator and account";
    /// One call to the monitoring station.
    StationCall = "station-call", "call to the monitoring station";
    /// Equipment powered down in order.
    PowerDown = "power-down", "powered down in order";
    /// Equipment powered up in order.
    PowerUp = "power-up", "powered up in order";
    /// An output proven.
    ProveOutput = "prove-output", "output isolated, proven and restored";
    /// A device walked and read back at the station.
    WalkTest = "walk-test", "device walked and read at the station";
    /// A fire device walked and read back at the station.
    WalkTestFire = "walk-test-fire", "fire device tested and read at the station";
    /// A two-wire smoke circuit checked.
    SmokeLoop = "smoke-loop", "two-wire smoke circuit checked";
    /// An enclosure closed and its tamper proven.
    CoverAndTamper = "cover-and-tamper", "enclosure closed and its tamper proven";
    /// A sounder swapped.
    Sounder = "sounder", "sounder swapped";
    /// A detector or contact replaced.
    Device = "device", "device replaced";
    /// A known splice repaired.
    SpliceFound = "splice-found", "known splice repaired";
    /// An unknown splice found and repaired.
    SpliceHunted = "splice-hunted", "unknown splice hunted and repaired";
    /// An earth fault found.
    EarthFault = "earth-fault", "earth fault found and cleared";
    /// So many metres of new cable.
    Cable = "cable", "new cable run";
    /// Old control equipment taken out.
    RemoveOld = "remove-old", "old control equipment taken out";
    /// Labels, chart, hand-over file, the user's lesson.
    HandOver = "hand-over", "labels, chart, hand-over file and lesson";
    /// Coming back another day.
    SecondVisit = "second-visit", "second visit";
}

/// One file of labour: how long each task takes, what small parts cost, what is allowed for.
#[derive(Clone, PartialEq, Debug)]
pub struct Labour {
    /// Its id; the one called `default` is used.
    pub id: String,
    /// Where the numbers come from.
    pub basis: String,
    /// One for each of [`Task::ALL`], in that order.
    pub(crate) efforts: Vec<Effort>,
    /// One for each of [`SmallPart::ALL`], in that order.
    pub(crate) parts: Vec<PartTerms>,
    /// What nobody can know before the visit.
    pub allowance: Allowance,
    /// One for each duty, in the order of [`DUTY_KEYS`].
    pub(crate) weights: Vec<DutyWeight>,
}

/// How long a task takes.
#[derive(Clone, PartialEq, Debug)]
pub struct Effort {
    /// For `per` at once.
    pub minutes: Interval<Minutes>,
    /// How many that is for: 16 circuits of a survey, 10 m of cable; else 1.
    pub per: u32,
    /// Where the number comes from.
    pub basis: String,
}

impl Labour {
    /// How long `task` takes, and where that comes from.
    #[must_use]
    pub fn effort(&self, task: Task) -> &Effort {
        &self.efforts[task as usize]
    }

    /// What a small part costs and how many more of it are carried.
    #[must_use]
    pub fn part(&self, part: SmallPart) -> &PartTerms {
        &self.parts[part as usize]
    }

    /// What a minute without a circuit of this duty weighs; none where the word is no duty of the job file.
    #[must_use]
    pub fn weight(&self, duty: &str) -> Option<&DutyWeight> {
        self.weights.get(DUTY_KEYS.iter().position(|key| *key == duty)?)
    }

    /// How long `count` of `task` take.
    #[must_use]
    pub fn minutes(&self, task: Task, count: u32) -> Interval<Minutes> {
        self.effort(task).of(count)
    }
}

impl Effort {
    /// So many of it: `minutes · count / per`, not rounded.
    #[must_use]
    pub fn of(&self, count: u32) -> Interval<Minutes> {
        let times = f64::from(count) / f64::from(self.per);
        Interval::new(Minutes(self.minutes.lo().0 * times), Minutes(self.minutes.hi().0 * times))
    }
}
