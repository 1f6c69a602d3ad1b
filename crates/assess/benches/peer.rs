//! The peer in the same run: ngspice on the same netlist of 2,000 circuits, its process start left out.
//!
//! `cargo bench -p loopwright-assess --bench peer`. Prints microseconds per operating point of both and their
//! ratio; says so where ngspice is not there. Both compute the low end of every circuit at rest.

use std::fmt::Write;
use std::process::Command;
use std::time::{Duration, Instant};

use circuit::Setting;
use document::Source;
use job::Job;
use library::Library;
use network::{Bounds, Network, Node, Step};

const CIRCUITS: usize = 2_000;
/// Times that ngspice solves the netlist again, for its analysis alone.
const AGAIN: u32 = 10;

#[expect(clippy::print_stdout, reason = "a benchmark says what it measured")]
fn main() {
    let library = Library::embedded();
    let source = Source::new("job.toml", include_str!("../../../examples/orchard-row/job.toml"));
    let job = Job::read(&source).expect("the example reads");
    let setting = Setting::new(&job, &library);
    let one_each: Vec<(&Network, Vec<Bounds>)> = job
        .circuits
        .iter()
        .filter_map(|circuit| {
            let network = circuit.network.as_ref()?;
            let values = circuit::values(&setting, circuit, network);
            Some((network, values.iter().map(|value| value.with(value.own)).collect()))
        })
        .collect();
    let circuits: Vec<_> = one_each.iter().cycle().take(CIRCUITS).collect();

    let mut sum = 0.0;
    let rounds = 200;
    let start = Instant::now();
    for _ in 0..rounds {
        sum += circuits
            .iter()
            .map(|(network, values)| std::hint::black_box(network.bounds(values)).lo)
            .sum::<f64>();
    }
    // Everything low and everything high are two operating points, and both are computed.
    let ours = per_point(start.elapsed(), 2 * rounds);
    assert!(sum > 0.0, "the work is done");
    println!("loopwright: {ours:.3} us per operating point, everything low and everything high");

    let mut netlist = String::from("two thousand circuits\n.options numdgt=12\n");
    for (number, (network, values)) in circuits.iter().enumerate() {
        spice(number, network, values, &mut netlist);
    }
    let empty = "one resistor\ni1 0 n1 1\nr1 n1 0 1\n";
    match (ngspice(empty, 1), ngspice(&netlist, 1), ngspice(&netlist, 1 + AGAIN)) {
        (Some(start), Some(once), Some(again)) => {
            let whole = per_point(once.saturating_sub(start), 1);
            println!(
                "ngspice: {whole:.3} us per operating point, the netlist read and solved, process start left out"
            );
            println!("ratio: {:.0}", whole / ours);
            let alone = per_point(again.saturating_sub(once), AGAIN);
            println!(
                "ngspice: {alone:.3} us per operating point solved once more, ratio {:.0}",
                alone / ours
            );
        }
        _ => println!("ngspice: skipped, it is not installed"),
    }
}

fn per_point(time: Duration, rounds: u32) -> f64 {
    time.as_secs_f64() * 1e6 / f64::from(rounds) / CIRCUITS as f64
}

/// One circuit, driven by a source of 1 A.
fn spice(number: usize, network: &Network, values: &[Bounds], out: &mut String) {
    let mut next = 1;
    let _ = writeln!(out, "i{number} 0 n{number}_1 1");
    // A piece lies between two nodes of its circuit; what follows it, too.
    let mut open: Vec<(Node, usize, usize)> = vec![(network.root(), 1, 0)];
    while let Some((piece, from, to)) = open.pop() {
        match (network.step(piece), network.operands(piece)) {
            (Step::Element(element), _) => {
                // Neither end of the scale is a resistor to ngspice.
                let ohms = values[element].lo.clamp(1e-6, 1e12);
                let name = |node: usize| if node == 0 { "0".to_owned() } else { format!("n{number}_{node}") };
                let _ = writeln!(out, "r{number}_{element} {} {} {ohms}", name(from), name(to));
            }
            (Step::InLine, Some((front, rest))) => {
                next += 1;
                open.push((front, from, next));
                open.push((rest, next, to));
            }
            (_, Some((front, rest))) => {
                open.push((front, from, to));
                open.push((rest, from, to));
            }
            _ => {}
        }
    }
}

/// How long ngspice takes for the netlist, solved `times` over; none where it is not installed.
fn ngspice(netlist: &str, times: u32) -> Option<Duration> {
    let folder = std::env::temp_dir().join(format!("loopwright-peer-{}", std::process::id()));
    std::fs::create_dir_all(&folder).ok()?;
    let file = folder.join("peer.cir");
    let text = format!("{netlist}.control\n{}quit\n.endc\n.end\n", "op\n".repeat(times as usize));
    std::fs::write(&file, text).ok()?;
    let start = Instant::now();
    let done = Command::new("ngspice").arg("-b").arg(&file).current_dir(&folder).output().ok()?;
    let took = start.elapsed();
    std::fs::remove_dir_all(&folder).ok()?;
    let _ = done;
    Some(took)
}
