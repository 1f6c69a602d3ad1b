//! A campus, invented from a seed: so many circuits that end in so many enclosures, wired in all the ways that old
//! buildings have. All names are invented; shares of wirings are common practice, no source.

use std::fmt::Write;

/// How large a campus is.
#[derive(Clone, Copy)]
pub(crate) struct Size {
    pub(crate) circuits: usize,
    pub(crate) enclosures: usize,
    pub(crate) seed: u64,
}

/// That of the example.
#[allow(dead_code, reason = "each test file uses its own part of this one")]
#[allow(clippy::allow_attributes, reason = "an expectation would fail in the files that do use it")]
pub(crate) const CAMPUS: Size = Size { circuits: 480, enclosures: 9, seed: 1840 };

const BUILDINGS: [&str; 9] = [
    "gatehouse",
    "great hall",
    "library",
    "workshops",
    "east dormitory",
    "west dormitory",
    "kitchens",
    "boat house",
    "infirmary",
];

/// Numbers from a seed, the same everywhere (splitmix64).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// 0 to `below`, without it.
    fn below(&mut self, below: usize) -> usize {
        usize::try_from(self.next() % (below as u64)).expect("small")
    }

    fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len())]
    }
}

/// The survey of a campus as a job file, with nothing assigned.
pub(crate) fn campus(size: Size) -> String {
    let mut chance = Chance(size.seed);
    let mut text = format!(
        "# Invented from seed {}: {} circuits that end in {} enclosures, wired in all the ways that old buildings have.\n\
         format = 1\n\n[site]\nname = \"Saltmarsh College\"\nunits = \"metric\"\n\n[fire]\nrequired = \"unknown\"\n",
        size.seed, size.circuits, size.enclosures
    );
    for number in 0..size.enclosures {
        let place = BUILDINGS[number % BUILDINGS.len()];
        let _ = write!(
            text,
            "\n[[enclosure]]\nid = \"E{0}\"\nplace = \"{place}, riser\"\nprofile = \"enclosure-large\"\n\n[[area]]\nnumber = {0}\n\
             name = \"{place}\"\n",
            number + 1
        );
    }
    let _ = write!(text, "\n[allocate]\nannexes = 2\n");
    let mut shared: Vec<(usize, Vec<usize>)> = Vec::new();
    for at in 0..size.circuits {
        let enclosure = at * size.enclosures / size.circuits;
        let first = at == 0 || (at - 1) * size.enclosures / size.circuits != enclosure;
        let wiring = if first { Wiring::Smoke } else { Wiring::draw(&mut chance) };
        let (duty, network) = wiring.network(&mut chance, at + 1);
        let _ = write!(
            text,
            "\n[[circuit]]\ntag = \"K{:03}\"\nduty = \"{duty}\"\nends_in = \"E{}\"\narea = {}\nnetwork = \"{network}\"\n",
            at + 1,
            enclosure + 1,
            enclosure + 1
        );
        // Two circuits of the plain kind on one black core, in every third building.
        if enclosure.is_multiple_of(3) && matches!(wiring, Wiring::Plain) {
            match shared.iter_mut().find(|(of, _)| *of == enclosure) {
                Some((_, tags)) if tags.len() < 2 => tags.push(at + 1),
                Some(_) => {}
                None => shared.push((enclosure, vec![at + 1])),
            }
        }
    }
    for (enclosure, tags) in shared.iter().filter(|(_, tags)| tags.len() == 2) {
        let _ = write!(
            text,
            "\n[[cable]]\nid = \"W{0}\"\nends_in = \"E{0}\"\ncores = [\n    {{ colour = \"red\", to = \"K{1:03}.a\" }},\n    \
             {{ colour = \"green\", to = \"K{2:03}.a\" }},\n    {{ colour = \"black\", to = [\"K{1:03}.b\", \"K{2:03}.b\"] }},\n]\n",
            enclosure + 1,
            tags[0],
            tags[1]
        );
    }
    text
}

/// How a circuit was wired.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Wiring {
    /// One or two closed contacts, the building's 2.2 kohm.
    Plain,
    /// The same with another resistor.
    Odd,
    /// An open contact across.
    Closes,
    /// A detector with two resistors.
    TwoResistor,
    /// Call points with their resistors.
    Call,
    /// Heat detectors.
    Heat,
    /// Covers in line.
    Covers,
    /// Home runs joined in the box.
    HomeRuns,
    /// The resistor in the panel.
    AtPanel,
    /// Nothing at the end.
    Spare,
    /// Two-wire smoke detectors.
    Smoke,
}

impl Wiring {
    /// Out of a hundred.
    fn draw(chance: &mut Chance) -> Self {
        match chance.below(100) {
            0..46 => Self::Plain,
            46..70 => Self::Odd,
            70..77 => Self::Closes,
            77..83 => Self::TwoResistor,
            83..86 => Self::Call,
            86..89 => Self::Heat,
            89..93 => Self::Covers,
            93..95 => Self::HomeRuns,
            95..97 => Self::AtPanel,
            97..99 => Self::Spare,
            _ => Self::Smoke,
        }
    }

    fn network(self, chance: &mut Chance, number: usize) -> (&'static str, String) {
        let length = 8 + chance.below(60);
        let more = 3 + chance.below(12);
        match self {
            Self::Plain if chance.below(3) == 0 => {
                ("intrusion", format!("wire:{length}m - nc:a{number} - wire:{more}m - nc:b{number} - 2.2k"))
            }
            Self::Plain => ("intrusion", format!("wire:{length}m - nc:d{number} - 2.2k")),
            Self::Odd => {
                let resistor = chance.of(&["1k", "3.3k", "4.7k", "4.7k", "5.6k", "5.6k", "6.8k", "10k"]);
                ("intrusion", format!("wire:{length}m - nc:d{number} - {resistor}"))
            }
            Self::Closes => {
                let resistor = chance.of(&["2.2k", "4.7k", "4.7k"]);
                let duty = chance.of(&["intrusion", "technical", "hold-up"]);
                (duty, format!("wire:{length}m - no:d{number} | {resistor}"))
            }
            Self::TwoResistor => {
                let resistor = chance.of(&["2.2k", "4.7k"]);
                ("intrusion", format!("wire:{length}m - (nc:p{number} | {resistor}) - {resistor}"))
            }
            Self::Call => (
                "manual-call",
                format!(
                    "wire:{length}m - (no:a{number} - 470 ohm) | wire:{more}m - (no:b{number} - 470 ohm) | 6.8k"
                ),
            ),
            Self::Heat => {
                ("heat", format!("wire:{length}m - no:a{number} | wire:{more}m - no:b{number} | 4.7k"))
            }
            Self::Covers => (
                "tamper",
                format!("wire:{length}m - nc:a{number}.tamper - wire:{more}m - nc:b{number}.tamper - 4.7k"),
            ),
            Self::HomeRuns => (
                "intrusion",
                format!("(wire:{length}m - nc:a{number}) - (wire:{}m - nc:b{number}) - 2.2k", length + more),
            ),
            Self::AtPanel => ("intrusion", format!("2.2k - wire:{length}m - nc:d{number}")),
            Self::Spare => ("technical", format!("wire:{length}m - open")),
            Self::Smoke => {
                let resistor = chance.of(&["2.2k", "4.7k"]);
                (
                    "smoke",
                    format!("wire:{length}m - smoke:a{number} | wire:{more}m - smoke:b{number} | {resistor}"),
                )
            }
        }
    }
}
