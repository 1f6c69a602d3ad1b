//! How fast a building of many circuits is assessed: all states, all faults, all remedies.
//!
//! `cargo bench -p loopwright-assess --features threads`. The building is the example's circuits over and over,
//! each copy on modules of its own.

use assess::assess;
use circuit::Setting;
use document::Source;
use job::{InputRef, Job};
use library::Library;

fn main() {
    divan::main();
}

fn example() -> Job {
    let source = Source::new("job.toml", include_str!("../../../examples/orchard-row/job.toml"));
    Job::read(&source).expect("the example reads")
}

/// The example's circuits until there are `count`, without its spare pair, its sounder and its unknown pair.
fn building(count: usize) -> Job {
    let example = example();
    let mut job = Job { circuits: Vec::new(), modules: Vec::new(), devices: Vec::new(), ..example.clone() };
    job.cables.clear();
    for copy in 0.. {
        let renamed = |id: &str| format!("{id}x{copy}");
        for module in &example.modules {
            let mut module = module.clone();
            module.id.value = renamed(&module.id.value);
            job.modules.push(module);
        }
        for circuit in example.circuits.iter().filter(|circuit| circuit.input.is_some()) {
            if job.circuits.len() == count {
                return job;
            }
            let mut circuit = circuit.clone();
            circuit.tag.value = renamed(&circuit.tag.value);
            if let Some(input) = &mut circuit.input {
                input.value = InputRef { module: renamed(&input.module), number: input.number };
            }
            for device in &example.devices {
                let network = circuit.network.as_ref();
                if network.is_some_and(|network| {
                    network.elements().iter().any(|element| element.name() == Some(device.id.as_str()))
                }) {
                    let mut device = device.clone();
                    device.id.value = format!("{}/{}", circuit.tag.value, device.id.value);
                    job.devices.push(device);
                }
            }
            job.circuits.push(circuit);
        }
    }
    job
}

#[divan::bench(args = [500, 5_000, 50_000], sample_count = 5)]
fn assess_a_building(bencher: divan::Bencher, circuits: usize) {
    let library = Library::embedded();
    let job = building(circuits);
    bencher
        .counter(divan::counter::ItemsCount::new(circuits))
        .bench_local(|| assess(&job, &library, &|_, _| {}).findings.len());
}

/// One operating point: one circuit in one state, both ends of all tolerances.
#[divan::bench]
fn one_operating_point(bencher: divan::Bencher) {
    let library = Library::embedded();
    let job = building(2_000);
    let setting = Setting::new(&job, &library);
    let ready: Vec<_> = job
        .circuits
        .iter()
        .filter_map(|circuit| {
            let network = circuit.network.as_ref()?;
            let values = circuit::values(&setting, circuit, network);
            Some((network, values.iter().map(|value| value.with(value.own)).collect::<Vec<_>>()))
        })
        .collect();
    bencher
        .counter(divan::counter::ItemsCount::new(ready.len()))
        .bench_local(|| ready.iter().map(|(network, values)| network.bounds(values).lo).sum::<f64>());
}

#[divan::bench]
fn read_the_example(bencher: divan::Bencher) {
    let text = include_str!("../../../examples/orchard-row/job.toml");
    bencher.bench_local(|| Job::read(&Source::new("job.toml", text)).is_ok());
}

/// The kit of a building that is assessed already.
#[divan::bench(args = [36, 480, 5_000], sample_count = 9)]
fn kit_of_a_building(bencher: divan::Bencher, circuits: usize) {
    let (library, job) = (Library::embedded(), building(circuits));
    let assessment = assess(&job, &library, &|_, _| {});
    bencher.bench_local(|| assess::kit::kit(divan::black_box(&assessment), Some(2026)));
}
