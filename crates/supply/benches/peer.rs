//! The same supply trees solved here and by ngspice, in one run. Run: cargo bench -p loopwright-supply --bench peer

use std::fmt::Write as _;
use std::process::Command;
use std::time::{Duration, Instant};

use supply::{Draw, Solver, Tree};

const TREES: usize = 60;
const POINTS: usize = 20;
const VOLTS: f64 = 13.5;
/// Times that ngspice solves the netlist again, for its analysis alone.
const AGAIN: u32 = 4;

/// A number from 0 to 1, the same every time (a linear congruential generator of Knuth's, from memory).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[expect(clippy::print_stdout, reason = "a benchmark says what it measured")]
fn main() {
    let mut dice = Dice(1840);
    let trees: Vec<Tree> = (0..TREES).map(|_| tree(&mut dice)).collect();
    let mut solver = Solver::new();
    let mut far = Vec::new();
    for tree in &trees {
        solver.solve(tree, VOLTS).expect("it can be delivered");
        far.push(solver.volts()[POINTS]);
    }
    let rounds = 500;
    let start = Instant::now();
    for _ in 0..rounds {
        for tree in &trees {
            solver.solve(std::hint::black_box(tree), VOLTS).expect("it can be delivered");
        }
    }
    let ours = per_tree(start.elapsed(), rounds);
    println!("loopwright: {ours:.3} us a tree of {POINTS} points with mixed loads");
    let netlist = netlist(&trees);
    let empty = "one resistor\ni1 0 n1 1\nr1 n1 0 1\n";
    match (ngspice(empty, 1), ngspice(&netlist, 1), ngspice(&netlist, 1 + AGAIN)) {
        (Some((start, _)), Some((once, printed)), Some((again, _))) => {
            let off =
                printed.iter().zip(&far).map(|(theirs, ours)| (theirs - ours).abs()).fold(0.0, f64::max);
            assert!(printed.len() == TREES && off < 1e-6, "{} answers, {off} V apart", printed.len());
            println!("ngspice: the same volts within {off:.1e} V");
            let whole = per_tree(once.saturating_sub(start), 1);
            println!(
                "ngspice: {whole:.1} us a tree, read and solved, process start left out; ratio {:.0}",
                whole / ours
            );
            let alone = per_tree(again.saturating_sub(once), AGAIN);
            println!("ngspice: {alone:.1} us a tree solved once more; ratio {:.0}", alone / ours);
        }
        _ => println!("ngspice: skipped, it is not installed"),
    }
}

fn tree(dice: &mut Dice) -> Tree {
    let mut tree = Tree::new(0.05);
    for point in 1..=POINTS {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a point of the tree")]
        let parent = if dice.next() < 0.6 { point - 1 } else { (dice.next() * point as f64) as usize };
        let at = tree.point(parent, 0.02 + 0.1 * dice.next());
        let share = dice.next();
        tree.load(
            at,
            match point % 3 {
                0 => Draw { watts: 0.15 * share, ..Draw::default() },
                1 => Draw { amperes: 0.015 * share, ..Draw::default() },
                _ => Draw { siemens: 0.001 * share + 1e-6, ..Draw::default() },
            },
        );
    }
    tree
}

fn per_tree(time: Duration, rounds: u32) -> f64 {
    time.as_secs_f64() * 1e6 / f64::from(rounds) / TREES as f64
}

fn netlist(trees: &[Tree]) -> String {
    let mut out = String::from("supply trees\n.options reltol=1e-9 abstol=1e-13 vntol=1e-10\n");
    for (number, tree) in trees.iter().enumerate() {
        let _ = writeln!(out, "v{number} s{number} 0 {VOLTS}\nrs{number} s{number} n{number}_0 0.05");
        for at in 0..tree.len() {
            let node = format!("n{number}_{at}");
            if at > 0 {
                let _ =
                    writeln!(out, "r{number}_{at} n{number}_{} {node} {}", tree.parent(at), tree.ohms(at));
            }
            let draw = tree.draw(at);
            if draw.siemens > 0.0 {
                let _ = writeln!(out, "rl{number}_{at} {node} 0 {}", 1.0 / draw.siemens);
            }
            if draw.amperes > 0.0 {
                let _ = writeln!(out, "i{number}_{at} {node} 0 {}", draw.amperes);
            }
            if draw.watts > 0.0 {
                let _ = writeln!(out, "b{number}_{at} {node} 0 i = {} / max(v({node}), 0.1)", draw.watts);
            }
            let _ = writeln!(out, ".nodeset v({node})={VOLTS}");
        }
    }
    out
}

/// How long ngspice takes for the netlist, solved `times` over, and the volts of every tree's last point; none where it
/// is not installed.
fn ngspice(netlist: &str, times: u32) -> Option<(Duration, Vec<f64>)> {
    let folder = std::env::temp_dir().join(format!("loopwright-supply-peer-{}", std::process::id()));
    std::fs::create_dir_all(&folder).ok()?;
    let file = folder.join("peer.cir");
    let mut control = format!("set numdgt=14\n{}", "op\n".repeat(times as usize));
    for number in 0..TREES {
        let _ = writeln!(control, "print v(n{number}_{POINTS})");
    }
    let printed = netlist.contains("supply trees");
    let control = if printed { control } else { "op\n".to_owned() };
    std::fs::write(&file, format!("{netlist}.control\n{control}quit\n.endc\n.end\n")).ok()?;
    let start = Instant::now();
    let done = Command::new("ngspice").arg("-b").arg(&file).current_dir(&folder).output().ok()?;
    let took = start.elapsed();
    std::fs::remove_dir_all(&folder).ok()?;
    let text = String::from_utf8_lossy(&done.stdout).into_owned();
    let volts = text
        .lines()
        .filter_map(|line| line.strip_prefix("v(n")?.split(" = ").nth(1)?.trim().parse().ok())
        .collect();
    Some((took, volts))
}
