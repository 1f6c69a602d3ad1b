//! How fast a survey is understood: a whole building after each change, and one circuit while someone types.
//!
//! `cargo bench -p loopwright-assess --features threads --bench identify`. The building has one habit and the ten wirings
//! that contacts and resistors tell apart, three readings a circuit.

use document::Source;
use identify::{Building, Evidence, Ranking, Setting, next};
use job::Job;
use library::Library;

fn main() {
    divan::main();
}

/// Even numbers from 0 to 1 (splitmix64, by its published constants, from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A resistor as made.
    fn real(&mut self, nominal: f64) -> f64 {
        nominal * (0.95 + 0.1 * self.roll())
    }
}

/// Rest, tripped and reversed of one circuit of the kind `kind`.
fn readings(kind: usize, dice: &mut Dice) -> [String; 3] {
    let line = 0.5 + 9.0 * dice.roll();
    let value = if dice.roll() < 0.85 { 2200.0 } else { 4700.0 };
    let (r, a) = (dice.real(value), dice.real(value));
    let other = dice.real(12e3);
    let across = |one: f64, other: f64| one * other / (one + other);
    let open = f64::INFINITY;
    let (rest, tripped) = match kind {
        0..=19 => (line, open),
        20..=49 => (line + r, open),
        50..=55 => (open, line),
        56..=71 => (line + r, line),
        72..=83 => (line + r, line + r + a),
        84..=86 => (line + r, line + across(r, a)),
        87..=90 => (line, line + r),
        91..=95 => (line + across(r, other), line + r),
        _ => (across(a, line + r), a),
    };
    let shown = |ohms: f64| match ohms {
        _ if ohms.is_infinite() => "open".to_owned(),
        _ if ohms < 600.0 => format!("{:.1} ohm", ohms + 0.2),
        _ if ohms < 6e3 => format!("{:.3}k", ohms / 1e3),
        _ => format!("{:.2}k", ohms / 1e3),
    };
    [shown(rest), shown(tripped), shown(rest)]
}

fn building(circuits: usize) -> Job {
    let mut dice = Dice(1840);
    let mut text = String::from("format = 1\n[meter]\nohms = \"0.9 % + 2 digits\"\nleads = \"0.2 ohm\"\n");
    for at in 0..circuits {
        let [rest, tripped, reversed] = readings((at * 37) % 100, &mut dice);
        text += &format!(
            "[[circuit]]\ntag = \"C{at:04}\"\nfound = [{{ when = \"rest\", ohms = \"{rest}\" }}, {{ when = \"tripped\", ohms = \"{tripped}\" }}, {{ when = \"reversed\", ohms = \"{reversed}\" }}]\n"
        );
    }
    Job::read(&Source::new("job.toml", text)).expect("it reads")
}

#[divan::bench(args = [36, 1_000], sample_count = 5)]
fn a_whole_building(bencher: divan::Bencher, circuits: usize) {
    let library = Library::embedded();
    let job = building(circuits);
    bencher.bench(|| assess::identify(&job, &library));
}

/// The other circuits were weighed before: what a page does at every key.
#[divan::bench(sample_count = 200)]
fn one_circuit_while_someone_types(bencher: divan::Bencher) {
    let library = Library::embedded();
    let job = building(36);
    let setting = Setting::new(&library.habits["default"], job.meter);
    let all: Vec<Evidence> = job.circuits.iter().map(|circuit| setting.evidence(circuit)).collect();
    let at = std::sync::atomic::AtomicUsize::new(0);
    bencher.bench(|| {
        let at = at.fetch_add(1, std::sync::atomic::Ordering::Relaxed) % all.len();
        let mut all = all.clone();
        all[at] = setting.evidence(&job.circuits[at]);
        let building = Building::learn(&setting, &all);
        let ranking = Ranking::new(&setting, &building, at, &all[at]);
        next(&setting, &job, &job.circuits[at], &all[at], &ranking)
    });
}
