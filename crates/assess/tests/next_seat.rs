//! The next best seat of a circuit, counted again: the planned job with that one circuit put there, divided anew.

use assess::{Limits, NextSeat, Reads, allocate, compare_modes, planned, with_settled};
use document::{Located, Source};
use job::{InputRef, Job};
use library::Library;

const SURVEY: &str = include_str!("../../../examples/orchard-row/survey.toml");

fn survey(more: &str) -> (Job, Library) {
    let library = Library::embedded();
    let job = Job::read(&Source::new("job.toml", format!("{SURVEY}\n{more}"))).expect("it reads");
    (with_settled(job, &library), library)
}

#[test]
fn what_the_next_best_seat_costs_more_is_what_the_division_then_costs_more() {
    let (job, library) = survey("");
    let plan = allocate(&job, &library, &Limits::default());
    assert!(plan.found());
    let then = planned(&plan);
    let as_planned = allocate(&then, &library, &Limits::default());
    let costs = |plan: &assess::AllocationPlan| i64::try_from(plan.cost).expect("small");
    // Each takes a division of its own: some that cost the same, some that do not.
    let mut left = [3, 4];
    for input in &plan.inputs {
        let NextSeat::On { module, mode, adds, .. } = &input.next else { continue };
        let kind = &mut left[usize::from(*adds != 0)];
        if *kind == 0 {
            continue;
        }
        let other = plan.modules.iter().find(|other| other.id == *module).expect("a module of the plan");
        assert_ne!(input.inputs[0].module, *module);
        let mut moved = then.clone();
        let circuit = &mut moved.circuits[input.circuit];
        circuit.also.clear();
        let number = other.spare.first().copied().expect("a free input");
        circuit.input = Some(Located::nowhere(InputRef { module: module.clone(), number }));
        circuit.mode = other.mode.is_none().then(|| Located::nowhere(mode.clone()));
        let anew = allocate(&moved, &library, &Limits::default());
        assert!(anew.found(), "{}", job.circuits[input.circuit].tag.value);
        // A smoke circuit may sit on another free input than the first.
        if anew.inputs.iter().any(|own| own.circuit == input.circuit && own.wrong.is_some()) {
            continue;
        }
        assert_eq!(costs(&anew) - costs(&as_planned), *adds, "{}", job.circuits[input.circuit].tag.value);
        *kind -= 1;
    }
    assert!(left.iter().sum::<usize>() < 4, "{left:?} were not told");
}

#[test]
fn who_has_no_other_seat_says_why() {
    let (job, library) = survey("");
    let plan = allocate(&job, &library, &Limits::default());
    let then = planned(&plan);
    let again = allocate(&then, &library, &Limits::default());
    assert!(again.inputs.iter().all(|input| input.next == NextSeat::Pinned), "the job says all of it now");
    for input in plan.inputs.iter().filter(|input| input.next == NextSeat::Nowhere) {
        // No other module of the plan in the same place has a free input in a mode that reads it.
        let modes = compare_modes(&job, &library);
        let own = &plan.modules.iter().find(|own| own.id == input.inputs[0].module).expect("its module");
        for other in
            plan.modules.iter().filter(|other| other.id != own.id && other.enclosure == own.enclosure)
        {
            let Some(mode) = &other.mode else { continue };
            let compared = modes.iter().find(|one| one.profile == other.profile && one.mode == *mode);
            let reads = compared.and_then(|one| one.circuits.iter().find(|one| one.circuit == input.circuit));
            let fits = match reads.map(|one| &one.reads) {
                Some(Reads::AsItIs { remains: None }) => !other.spare.is_empty(),
                _ => false,
            };
            assert!(!fits, "{} on {}", job.circuits[input.circuit].tag.value, other.id);
        }
    }
}
