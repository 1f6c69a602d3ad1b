//! The sizes that are promised: 36 circuits under 200 ms, 200 circuits in 4 enclosures under 5 s, the campus under 30 s, each
//! proven. The peer's times are printed by `oracles/allocate.py`, in one run with ours.

#[path = "../tests/common/mod.rs"]
mod common;

use allocate::{Limits, Problem, Status, allocate};
use common::instances::{building, campus, thirty_six, with_extensions};
use divan::Bencher;

fn main() {
    divan::main();
}

fn proven(bencher: Bencher, problem: &Problem) {
    bencher.bench_local(|| {
        let answer = allocate(problem, &Limits::default());
        assert_eq!(answer.status, Status::Optimal);
        answer
    });
}

#[divan::bench]
fn thirty_six_circuits_on_two_modules(bencher: Bencher) {
    proven(bencher, &thirty_six());
}

#[divan::bench]
fn thirty_six_circuits_modules_to_buy(bencher: Bencher) {
    proven(bencher, &building(36, 36, 1));
}

#[divan::bench(sample_count = 10)]
fn two_hundred_circuits_in_four_enclosures(bencher: Bencher) {
    proven(bencher, &building(200, 200, 4));
}

#[divan::bench(sample_count = 3)]
fn two_hundred_circuits_with_longer_cables(bencher: Bencher) {
    proven(bencher, &with_extensions(building(201, 200, 4), 1, 30));
}

#[divan::bench(sample_count = 3)]
fn campus_of_480_circuits_in_nine_enclosures(bencher: Bencher) {
    proven(bencher, &campus());
}

/// What cannot be done is said soon, too: three smoke circuits for two smoke inputs.
#[divan::bench]
fn a_conflict(bencher: Bencher) {
    let mut problem = thirty_six();
    problem.circuits[7].smoke = true;
    problem.circuits[11].smoke = true;
    bencher.bench_local(|| allocate(&problem, &Limits::default()));
}
