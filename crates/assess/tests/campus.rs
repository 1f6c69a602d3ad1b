//! A campus of 480 circuits in 9 enclosures, invented from a seed: read, divided, nothing left that could be landed.

#[path = "campus/mod.rs"]
mod generator;

use assess::{LeftBecause, Limits, Status, allocate};
use document::Source;
use generator::{CAMPUS, campus};
use job::Job;
use library::Library;

const WRITTEN: &str = include_str!("../../../examples/campus/job.toml");

#[test]
fn the_example_is_what_its_seed_gives() {
    let made = campus(CAMPUS);
    if std::env::var_os("LOOPWRIGHT_ACCEPT").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/campus/job.toml");
        std::fs::write(path, &made).expect("it can be written");
    }
    assert!(WRITTEN == made, "run this test with LOOPWRIGHT_ACCEPT=1 after a change of the generator");
}

#[test]
fn the_campus_is_divided_within_a_percent_of_the_best() {
    let library = Library::embedded();
    let source = Source::new("job.toml", campus(CAMPUS));
    let job = Job::read(&source).expect("the campus reads");
    assert_eq!((job.circuits.len(), job.enclosures.len()), (480, 9));
    let plan = allocate(&job, &library, &Limits::default());
    assert!(matches!(plan.status, Status::Optimal | Status::Feasible), "{}", plan.answer());
    assert!(plan.gap_ppm <= 10_000, "{} parts of a million", plan.gap_ppm);
    let unfit: Vec<&str> = plan
        .left
        .iter()
        .filter(|left| left.because != LeftBecause::Spare)
        .map(|left| job.circuits[left.circuit].tag.as_str())
        .collect();
    assert_eq!(unfit, Vec::<&str>::new());
    // everybody on one input, and in the building where the cable ends
    let mut used = std::collections::BTreeSet::new();
    for input in &plan.inputs {
        for place in &input.inputs {
            assert!(used.insert((place.module.clone(), place.number)), "{place:?} twice");
            let module = plan.modules.iter().find(|module| module.id == place.module).expect("its module");
            let ends_in = job.circuits[input.circuit].ends_in.as_ref().expect("it ends somewhere").as_str();
            let hangs = module.enclosure.as_deref().unwrap_or_default();
            assert!(hangs == ends_in || hangs.starts_with(ends_in), "{hangs} is not beside {ends_in}");
        }
    }
}
