//! How long it takes to divide circuits over inputs, the table of what fits with it.
//!
//! `cargo bench -p loopwright-assess --features threads --bench allocate`

#[path = "../tests/campus/mod.rs"]
mod campus;

use assess::{Limits, allocate};
use campus::{CAMPUS, Size, campus as invented};
use document::Source;
use job::Job;
use library::Library;

fn main() {
    divan::main();
}

fn divided(bencher: divan::Bencher, text: &str) {
    let library = Library::embedded();
    let job = Job::read(&Source::new("job.toml", text)).expect("it reads");
    bencher.bench_local(|| {
        let plan = allocate(&job, &library, &Limits::default());
        assert!(plan.found() && plan.gap_ppm <= 10_000, "{}", plan.answer());
        plan.cost
    });
}

#[divan::bench(sample_count = 10)]
fn the_example_of_36_circuits(bencher: divan::Bencher) {
    divided(bencher, include_str!("../../../examples/orchard-row/survey.toml"));
}

#[divan::bench(sample_count = 5)]
fn two_hundred_circuits_in_4_enclosures(bencher: divan::Bencher) {
    divided(bencher, &invented(Size { circuits: 200, enclosures: 4, seed: 7 }));
}

#[divan::bench(sample_count = 3)]
fn the_campus_of_480_circuits(bencher: divan::Bencher) {
    divided(bencher, &invented(CAMPUS));
}
