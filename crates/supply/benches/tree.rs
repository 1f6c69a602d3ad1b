//! One condition of one tree: time is proportional to its loads. Run: cargo bench -p loopwright-supply

use divan::{Bencher, black_box};
use supply::{Draw, Solver, Tree};

fn main() {
    divan::main();
}

/// A riser with floors, each with rooms: mixed loads, 3.2 V lost at the far end.
fn building(loads: usize) -> Tree {
    let mut tree = Tree::new(0.05);
    let floors = 100.min(loads);
    let share = 100.0 / loads as f64;
    let heads: Vec<usize> = (0..floors).map(|_| tree.point(0, 0.2)).collect();
    let mut last = heads.clone();
    for load in 0..loads {
        let floor = load % floors;
        let at = tree.point(last[floor], 0.5 * share);
        last[floor] = at;
        tree.load(
            at,
            match load % 3 {
                0 => Draw { watts: 0.3 * share, ..Draw::default() },
                1 => Draw { amperes: 0.02 * share, ..Draw::default() },
                _ => Draw { siemens: 0.002 * share, ..Draw::default() },
            },
        );
    }
    tree
}

#[divan::bench(args = [1_000, 10_000, 100_000])]
fn one_condition(bencher: Bencher, loads: usize) {
    let tree = building(loads);
    let mut solver = Solver::new();
    bencher.bench_local(|| {
        solver.solve(black_box(&tree), 13.5).expect("it can be delivered");
        solver.volts()[tree.len() - 1]
    });
}
