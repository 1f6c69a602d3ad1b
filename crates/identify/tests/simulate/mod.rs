//! Made-up buildings with known truth. Nothing of the crate under test is used: resistors are thrown, networks are
//! added up, and the display is typed as a person would, in the words of a job file.

#![allow(dead_code, reason = "each test uses its own part")]

/// A stream of even numbers from 0 to 1 (splitmix64, by its published constants, from memory).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, lo: f64, hi: f64) -> f64 {
        lo + (hi - lo) * self.roll()
    }

    pub(crate) fn yes(&mut self, share: f64) -> bool {
        self.roll() < share
    }

    pub(crate) fn exponential(&mut self, mean: f64) -> f64 {
        -mean * (1.0 - self.roll()).ln()
    }

    pub(crate) fn pick<T: Clone>(&mut self, weighted: &[(T, f64)]) -> T {
        let sum: f64 = weighted.iter().map(|(_, weight)| weight).sum();
        let mut at = self.roll() * sum;
        for (value, weight) in weighted {
            at -= weight;
            if at < 0.0 {
                return value.clone();
            }
        }
        weighted.last().expect("something to pick from").0.clone()
    }
}

/// What the simulated world is like.
#[derive(Clone)]
pub(crate) struct World {
    pub(crate) wiring: Vec<(&'static str, f64)>,
    pub(crate) resistor: Vec<(f64, f64)>,
    pub(crate) keeps: f64,
    pub(crate) pair_equal: f64,
    pub(crate) wrong: f64,
    pub(crate) without_trip: f64,
    /// True error of the instrument as a multiple of what its data sheet says.
    pub(crate) worse: f64,
}

pub(crate) const METER_PERCENT: f64 = 0.009;
pub(crate) const METER_DIGITS: f64 = 2.0;
pub(crate) const METER_LEADS: f64 = 0.2;

impl World {
    /// The ten classes that are told apart by contacts and resistors, and the values, with the weights that the habits
    /// file of the program had when this was written.
    pub(crate) fn usual() -> Self {
        Self {
            wiring: vec![
                ("nc-bare", 20.0),
                ("nc-eol", 30.0),
                ("no-bare", 6.0),
                ("no-eol", 16.0),
                ("nc-two-resistor", 12.0),
                ("no-two-resistor", 2.0),
                ("three-resistor", 0.2),
                ("nc-stepped", 2.0),
                ("nc-doubled", 2.0),
                ("two-ends", 2.0),
            ],
            resistor: vec![
                (470.0, 0.4),
                (680.0, 0.4),
                (1000.0, 12.0),
                (1200.0, 0.4),
                (1500.0, 2.0),
                (1800.0, 0.4),
                (2000.0, 6.0),
                (2200.0, 18.0),
                (2400.0, 0.6),
                (2700.0, 1.0),
                (3000.0, 0.8),
                (3300.0, 6.0),
                (3650.0, 0.6),
                (3740.0, 0.6),
                (3900.0, 2.0),
                (4700.0, 18.0),
                (5100.0, 0.4),
                (5600.0, 8.0),
                (6800.0, 3.0),
                (8200.0, 2.0),
                (10000.0, 9.0),
                (12000.0, 2.0),
                (15000.0, 2.0),
                (22000.0, 2.0),
                (33000.0, 1.0),
                (47000.0, 1.0),
            ],
            keeps: 0.85,
            pair_equal: 0.8,
            wrong: 0.005,
            without_trip: 0.1,
            worse: 1.0,
        }
    }

    /// Every weight off by a factor of three, one way or the other.
    pub(crate) fn shaken(dice: &mut Dice) -> Self {
        let mut world = Self::usual();
        for (_, weight) in &mut world.wiring {
            *weight *= if dice.yes(0.5) { 3.0 } else { 1.0 / 3.0 };
        }
        for (_, weight) in &mut world.resistor {
            *weight *= if dice.yes(0.5) { 3.0 } else { 1.0 / 3.0 };
        }
        world
    }
}

/// A circuit whose truth is known.
#[derive(Clone, Debug)]
pub(crate) struct Truth {
    pub(crate) wiring: &'static str,
    /// Nominal values in the order of the format.
    pub(crate) resistors: Vec<f64>,
    real: [f64; 3],
    line: f64,
    pub(crate) has_trip: bool,
    /// Whether volts were read; there are none.
    pub(crate) volts: bool,
    /// Condition and display, as they are typed; in the order in which they were taken.
    pub(crate) readings: Vec<(String, String)>,
}

fn across(a: f64, b: f64) -> f64 {
    a * b / (a + b)
}

impl Truth {
    pub(crate) fn draw(world: &World, habit: f64, dice: &mut Dice) -> Self {
        let wiring = dice.pick(&world.wiring);
        let first = if dice.yes(world.keeps) { habit } else { dice.pick(&world.resistor) };
        let mut beside = || if dice.yes(world.pair_equal) { first } else { dice.pick(&world.resistor) };
        let mut resistors = match wiring {
            "nc-eol" | "no-eol" | "nc-stepped" => vec![first],
            "nc-two-resistor" | "no-two-resistor" => vec![first, beside()],
            "three-resistor" => vec![first, beside(), beside()],
            "two-ends" => vec![first, first],
            "nc-doubled" => vec![first],
            _ => vec![],
        };
        if wiring == "nc-doubled" {
            let mut other = first;
            while (other - first).abs() < 1.0 {
                other = dice.pick(&world.resistor);
            }
            resistors = vec![first.max(other), first.min(other)];
        }
        let mut real = [0.0; 3];
        for (real, nominal) in real.iter_mut().zip(&resistors) {
            *real = nominal * dice.between(0.95, 1.05);
        }
        if wiring == "nc-stepped" {
            // The second device's own resistor.
            real[1] = resistors[0] * dice.between(0.95, 1.05);
        }
        let line = dice.between(0.4, 9.5) + dice.exponential(0.8);
        let mut truth = Self {
            wiring,
            resistors,
            real,
            line,
            has_trip: !dice.yes(world.without_trip),
            volts: false,
            readings: Vec::new(),
        };
        truth.take("rest", world, dice);
        if truth.has_trip {
            for device in truth.devices() {
                truth.take(device, world, dice);
            }
        }
        truth
    }

    /// What a walk through the building trips, one after the other.
    pub(crate) fn devices(&self) -> Vec<&'static str> {
        match self.wiring {
            "nc-doubled" | "nc-stepped" => vec!["d1", "d2"],
            "three-resistor" => vec!["d1", "d1.fault"],
            _ => vec!["tripped"],
        }
    }

    /// Ohms of the pair in a condition.
    fn ohms(&self, when: &str) -> f64 {
        let [r, a, t] = self.real;
        let s = self.line;
        let rest = when == "rest" || when == "reversed";
        let open = f64::INFINITY;
        match (self.wiring, when) {
            ("nc-bare", _) if rest => s,
            ("nc-bare", "joined") => s,
            ("nc-eol", _) if rest => s + r,
            ("nc-eol" | "nc-two-resistor" | "three-resistor", "joined") => s,
            ("no-bare", "tripped" | "joined") => s,
            ("no-bare", _) => open,
            ("no-eol", _) if rest => s + r,
            ("no-eol" | "no-two-resistor", "joined") => s,
            ("no-eol", "tripped") => s,
            ("nc-two-resistor" | "three-resistor" | "no-two-resistor", _) if rest => s + r,
            ("nc-two-resistor", "tripped") => s + r + a,
            ("no-two-resistor", "tripped") => s + across(r, a),
            ("three-resistor", "d1" | "tripped") => s + r + a,
            ("three-resistor", "d1.fault") => s + r + t,
            ("nc-stepped", _) if rest => s,
            ("nc-stepped", "d1" | "tripped") => s + r,
            ("nc-stepped", "d2") => s + a,
            ("nc-stepped", "joined") => s,
            ("nc-doubled", _) if rest => s + across(r, a),
            ("nc-doubled", "d1" | "tripped") => s + a,
            ("nc-doubled", "d2") => s + r,
            ("nc-doubled", "joined") => s,
            ("two-ends", _) if rest => across(a, s + r),
            ("two-ends", "tripped" | "opened") => a,
            ("two-ends", "joined") => across(a, s),
            _ => open,
        }
    }

    /// Takes a reading and types it in.
    pub(crate) fn take(&mut self, when: &str, world: &World, dice: &mut Dice) {
        let ohms = if dice.yes(world.wrong) {
            if dice.yes(0.5) { f64::INFINITY } else { 10f64.powf(dice.between(0.0, 6.0)) }
        } else {
            let truth = self.ohms(when) + METER_LEADS * dice.between(0.5, 1.5);
            let percent = METER_PERCENT * world.worse;
            let read = truth * (1.0 + percent * dice.between(-1.0, 1.0));
            read + METER_DIGITS * world.worse * step(truth) * dice.between(-1.0, 1.0)
        };
        self.readings.push((when.to_owned(), typed(ohms)));
    }
}

/// The last digit of a meter of 6000 counts.
fn step(ohms: f64) -> f64 {
    [0.1, 1.0, 10.0, 100.0, 1e3, 1e4].into_iter().find(|step| ohms <= step * 5999.0).unwrap_or(1e5)
}

/// As a person types what the display says.
fn typed(ohms: f64) -> String {
    if ohms.is_infinite() || ohms > 40e6 {
        return "open".to_owned();
    }
    let ohms = ohms.max(0.0);
    let step = step(ohms);
    let shown = (ohms / step).round() * step;
    match step {
        _ if step < 0.5 => format!("{shown:.1} ohm"),
        _ if step < 5.0 => format!("{:.3}k", shown / 1e3),
        _ if step < 50.0 => format!("{:.2}k", shown / 1e3),
        _ if step < 500.0 => format!("{:.1}k", shown / 1e3),
        _ if step < 5e3 => format!("{:.3}M", shown / 1e6),
        _ => format!("{:.2}M", shown / 1e6),
    }
}

/// A building of circuits with one habit.
pub(crate) struct Building {
    pub(crate) circuits: Vec<Truth>,
}

impl Building {
    pub(crate) fn draw(world: &World, circuits: usize, dice: &mut Dice) -> Self {
        let habit = dice.pick(&world.resistor);
        Self { circuits: (0..circuits).map(|_| Truth::draw(world, habit, dice)).collect() }
    }

    /// As a job file, each circuit with as many of its readings as `known` says.
    pub(crate) fn job_file(&self, known: &dyn Fn(usize) -> usize) -> String {
        let mut text =
            String::from("format = 1\n[meter]\nohms = \"0.9 % + 2 digits\"\nleads = \"0.2 ohm\"\n");
        for (at, circuit) in self.circuits.iter().enumerate() {
            let mut readings: Vec<String> = circuit
                .readings
                .iter()
                .take(known(at))
                .map(|(when, shown)| format!("{{ when = \"{when}\", ohms = \"{shown}\" }}"))
                .collect();
            if circuit.volts {
                readings.push("{ when = \"rest\", volts_dc = \"0 V\", volts_ac = \"0 V\" }".to_owned());
            }
            text += &format!("[[circuit]]\ntag = \"C{at:03}\"\nfound = [{}]\n", readings.join(", "));
        }
        text
    }
}
