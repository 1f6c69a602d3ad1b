//! Circuits on inputs: the example from a survey to a full plan, demands that cannot stand together, what is written.

use assess::{AllocationPlan, Limits, Status, allocate, freed};
use document::Source;
use job::Job;
use library::Library;

const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");

fn read(text: &str) -> Job {
    let source = Source::new("job.toml", text);
    Job::read(&source).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn show(plan: &AllocationPlan) {
    println!("{}", plan.answer());
    println!("cost {} effort {:?} nodes {} zones left {:?} modules left {:?}", plan.cost, plan.effort, plan.nodes, plan.zones_left, plan.modules_left);
    for module in &plan.modules {
        println!("  {module:?}");
    }
    for input in &plan.inputs {
        let c = &plan.job.circuits[input.circuit];
        println!("  {} {:?} {} {:?} rem={:?} remains={:?} wrong={:?}", c.tag.value, input.inputs, input.mode, input.zones, input.remedy.as_ref().map(|r| (&r.text, r.minutes)), input.remains, input.wrong);
    }
    for place in &plan.places {
        println!("  {place:?}");
    }
    for finding in &plan.findings {
        println!("  {:?}", finding);
    }
    println!("  {:?}", plan.conflict);
}

#[test]
fn look() {
    let library = Library::embedded();
    let job = read(EXAMPLE);
    let t = std::time::Instant::now();
    let plan = allocate(&job, &library, &Limits::default());
    println!("{:?}", t.elapsed());
    show(&plan);
    let free = freed(&job);
    let t = std::time::Instant::now();
    let plan = allocate(&free, &library, &Limits::default());
    println!("{:?}", t.elapsed());
    show(&plan);
    assert_eq!(plan.status, Status::Optimal);
}
