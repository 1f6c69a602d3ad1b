//! How long a pack takes: the example's, and that of a building of 300 circuits.
//!
//! `cargo bench -p loopwright-pack`. Reading and assessing are left out: `loopwright-assess` measures them.

use assess::Assessment;
use document::Source;
use job::Job;
use library::Library;
use pack::{Options, Paper};

const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");
/// Circuits of the large building, and inputs of each of its modules.
const CIRCUITS: usize = 300;
const INPUTS: usize = 16;
/// The kinds of wiring that it has, over and over.
const KINDS: [&str; 8] = [
    "wire:38m - nc:front - 4.7k",
    "wire:12m - nc:leaf1 - wire:2m - nc:leaf2 - 4.7k",
    "wire:20m - no:button | 4.7k",
    "4.7k - wire:31m - nc:gate",
    "wire:41m - nc:w1 - wire:3m - nc:w2 - wire:3m - nc:w3 - 5.6k",
    "wire:15m - smoke:D1 | wire:8m - smoke:D2 | 4.7k",
    "wire:20m - nc:pir.tamper - (nc:pir | 4.7k) - 4.7k",
    "(wire:18m - nc:store1) - (wire:26m - nc:store2) - 4.7k",
];

fn main() {
    divan::main();
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn the_example(bencher: divan::Bencher) {
    packed(bencher, EXAMPLE);
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn three_hundred_circuits(bencher: divan::Bencher) {
    packed(bencher, &building());
}

fn packed(bencher: divan::Bencher, text: &str) {
    let job = Job::read(&Source::new("job.toml", text.to_owned())).expect("a job without errors");
    let library = Library::embedded();
    let assessment: Assessment = assess::assess(&job, &library, &|_, _| {});
    let options = Options {
        paper: Paper::A4,
        date: "2026-11-25".to_owned(),
        file_name: "job.toml".to_owned(),
        revision: "change 1".to_owned(),
        checked: String::new(),
    };
    bencher.bench_local(|| pack::pack(&assessment, &options).expect("a pack"));
}

fn building() -> String {
    let mut text = "format = 1\n[site]\nname = \"A large building\"\n".to_owned();
    for module in 1..=CIRCUITS.div_ceil(INPUTS) {
        text.push_str(&format!("[[module]]\nid = \"M{module}\"\nprofile = \"input-16\"\nmode = \"wide\"\n"));
    }
    for (at, network) in KINDS.iter().cycle().take(CIRCUITS).enumerate() {
        let duty = if network.contains("smoke") { "smoke" } else { "intrusion" };
        let (module, input) = (at / INPUTS + 1, at % INPUTS + 1);
        text.push_str(&format!(
            "[[circuit]]\ntag = \"C{:03}\"\nplace = \"floor {}, room {}\"\nduty = \"{duty}\"\n\
             network = \"{network}\"\nfound = [{{ when = \"rest\", ohms = \"4.72k\" }}]\n\
             input = \"M{module}.{input}\"\n",
            at + 1,
            at / 20 + 1,
            at % 20 + 1
        ));
    }
    text
}
