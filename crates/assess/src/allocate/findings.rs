//! What a person must know or decide about an allocation, and the answer in a sentence.

use ::allocate as engine;
use engine::{Status, Stopped};
use job::{Finding, Severity};

use super::ground::Ground;
use super::left::LeftBecause;
use super::plan::AllocationPlan;
use super::table::{Table, has_smoke};

/// The heaviest first, then in the order of the job.
pub(crate) fn findings(plan: &AllocationPlan, table: &Table, ground: &Ground) -> Vec<Finding> {
    let mut all = Vec::new();
    crate::job_findings::job_findings(&table.setting, &mut all);
    all.retain(|finding| finding.code == "fire-law");
    let mut push = |severity, place: &str, code, text: String, remedy: &str| {
        all.push(Finding { severity, place: place.to_owned(), code, text, remedy: remedy.to_owned() });
    };
    of_search(plan, &mut push);
    of_circuits(plan, &mut push);
    for module in &plan.job.modules {
        if module.profile.is_none() {
            push(
                Severity::Check,
                &module.id,
                "module-without-profile",
                format!("Module {} has no profile, so nothing can be put on it.", module.id.value),
                "Name its profile, or type one in from its manual.",
            );
        }
    }
    if plan.found() {
        of_places(plan, ground, &mut push);
    }
    all.extend(super::supplies::findings(plan));
    all.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    all
}

type Push<'p> = dyn FnMut(Severity, &str, &'static str, String, &str) + 'p;

fn of_search(plan: &AllocationPlan, push: &mut Push) {
    match plan.status {
        Status::Infeasible => {
            let words = plan.conflict.as_ref().map_or("nothing fits", |conflict| conflict.words.as_str());
            push(
                Severity::Fix,
                "job",
                "allocate-conflict",
                format!("It cannot be done because {words}."),
                if plan.conflict.as_ref().is_none_or(|conflict| conflict.irreducible) {
                    "Give up one of the demands that are listed; with any one of them gone, the others can stand."
                } else {
                    "Some of the demands that are listed have to go. Which was not looked for to the end: --nodes takes \
                     a larger count."
                },
            );
        }
        Status::Unknown => push(
            Severity::Fix,
            "job",
            "allocate-unknown",
            format!(
                "Nothing was found within {}{}, and nothing was ruled out.",
                steps(plan.nodes),
                clock(plan)
            ),
            "Allow more: --nodes takes a larger count, --time-limit a longer time.",
        ),
        Status::Feasible => push(
            Severity::Note,
            "job",
            "allocate-gap",
            format!(
                "The search ended before it was proven best: at most {} above the least.",
                percent(plan.gap_ppm)
            ),
            "--nodes takes a larger count.",
        ),
        Status::Optimal => {}
    }
}

/// A detector that nothing reads is a stop, any other circuit a fix.
fn of_fire(plan: &AllocationPlan, circuit: usize) -> Severity {
    let circuit = &plan.job.circuits[circuit];
    let fire =
        circuit.duty.is_some_and(job::Duty::is_fire) || circuit.network.as_ref().is_some_and(has_smoke);
    if fire { Severity::Stop } else { Severity::Fix }
}

fn of_circuits(plan: &AllocationPlan, push: &mut Push) {
    for left in &plan.left {
        let tag = plan.job.circuits[left.circuit].tag.value.clone();
        let words = left.because.words();
        match &left.because {
            LeftBecause::Spare | LeftBecause::Sounder => {
                push(Severity::Note, &tag, "allocate-left", format!("Gets no input: it {words}."), "");
            }
            LeftBecause::NoNetwork | LeftBecause::NotComputed | LeftBecause::ModuleUnknown => push(
                Severity::Check,
                &tag,
                "allocate-left",
                format!("Gets no input: it {words}."),
                "Where it has to be on one all the same, write its `input` into the job.",
            ),
            LeftBecause::Forbidden { .. } => push(
                of_fire(plan, left.circuit),
                &tag,
                "allocate-no-fit",
                format!("Gets no input: {words}."),
                "Allow what reads it, rewire it, or replace what is on it.",
            ),
            LeftBecause::ReadsWrong(_) => push(
                of_fire(plan, left.circuit),
                &tag,
                "allocate-no-fit",
                format!("Gets no input: of all modules, {words}."),
                "Rewire it, replace what is on it, or offer a module that reads it.",
            ),
        }
    }
    for input in &plan.inputs {
        let circuit = &plan.job.circuits[input.circuit];
        if let Some(why) = &input.wrong {
            push(
                Severity::Fix,
                &circuit.tag,
                "allocate-stays-wrong",
                format!("Stays on {} because the job says so; {why}.", spoken(input)),
                "Take its `input` out of the job, and allocate looks for another; or rewire it.",
            );
        }
        if let Some(remains) = &input.remains {
            push(
                Severity::Fix,
                &circuit.tag,
                "allocate-remains",
                match input.remedy {
                    None => format!("Reads right on {}, and this remains: {remains}", spoken(input)),
                    Some(_) => format!(
                        "With what is done to it, it reads right on {}, and this remains: {remains}",
                        spoken(input)
                    ),
                },
                "See what assess says of it.",
            );
        }
        if input.remedy.as_ref().is_some_and(|remedy| !remedy.hides.is_empty() || remedy.hard > 0) {
            push(
                Severity::Check,
                &circuit.tag,
                "allocate-hides",
                "What is done to it leaves faults that hide an alarm; nothing better was found where it lands."
                    .to_owned(),
                "See what assess and explain say of it; a resistor at the end of the line shows most.",
            );
        }
        if input.inputs.len() > 1 {
            push(
                Severity::Note,
                &circuit.tag,
                "allocate-split",
                format!(
                    "Its home runs take {}. Until they are parted, `also` keeps the further ones for them.",
                    spoken(input)
                ),
                "",
            );
        }
    }
}

fn of_places(plan: &AllocationPlan, ground: &Ground, push: &mut Push) {
    for (place, problem) in plan.places.iter().zip(&ground.problem.enclosures) {
        if problem.positions.is_none()
            && plan.modules.iter().any(|module| module.existing.is_none())
            && !place.id.is_empty()
        {
            push(
                Severity::Check,
                &place.id,
                "positions-open",
                format!(
                    "How many modules enclosure {} takes nobody has said, so no limit was kept.",
                    place.id
                ),
                "Name its profile, with `positions`.",
            );
        }
        if place.battery_spaces.is_some_and(|spaces| spaces < place.batteries) {
            push(
                Severity::Fix,
                &place.id,
                "battery-spaces",
                format!(
                    "The supplies in {} have {} battery blocks, and it has room for {}.",
                    place.id,
                    place.batteries,
                    place.battery_spaces.unwrap_or(0)
                ),
                "Hang an enclosure for batteries beside it, or choose one block of the same capacity.",
            );
        }
    }
}

/// `M1.7`, or `M2.5 and M2.6`.
pub(crate) fn spoken(input: &super::plan::InputPlan) -> String {
    let all: Vec<String> = input.inputs.iter().map(|at| format!("{}.{}", at.module, at.number)).collect();
    match all.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Parts of a million as percent, rounded up so that "at most" holds.
pub(crate) fn percent(ppm: u64) -> String {
    let tenths = ppm.div_ceil(1_000);
    if tenths.is_multiple_of(10) {
        format!("{} %", tenths / 10)
    } else {
        format!("{}.{} %", tenths / 10, tenths % 10)
    }
}

fn steps(nodes: u64) -> String {
    if nodes == 1 { "1 step".to_owned() } else { format!("{nodes} steps") }
}

/// ` (stopped by the clock)`; nothing where it was not.
fn clock(plan: &AllocationPlan) -> &'static str {
    if plan.stopped == Stopped::Clock { " (stopped by the clock)" } else { "" }
}

/// "Best possible: ..." and what it comes to.
pub(crate) fn answer(plan: &AllocationPlan) -> String {
    let is_forbidden = |left: &&super::left::Left| matches!(left.because, LeftBecause::Forbidden { .. });
    let forbidden = plan.left.iter().filter(is_forbidden).count();
    let quality = match plan.status {
        Status::Optimal if forbidden > 0 => "Best possible of what the job allows".to_owned(),
        Status::Optimal => "Best possible".to_owned(),
        Status::Feasible => format!("Best found, at most {} off", percent(plan.gap_ppm)),
        Status::Infeasible => {
            let words = plan.conflict.as_ref().map_or("nothing fits", |conflict| conflict.words.as_str());
            let open = plan.conflict.as_ref().is_some_and(|conflict| !conflict.irreducible);
            let ended = match plan.stopped {
                Stopped::Clock => "it was stopped by the clock",
                _ => "its count of steps was used up",
            };
            let open = if open {
                format!(" Whether fewer demands are to blame is not known: {ended}.")
            } else {
                String::new()
            };
            return format!("It cannot be done because {words}.{open}");
        }
        Status::Unknown => {
            return format!(
                "Nothing found, and nothing ruled out, within {}{}.",
                steps(plan.nodes),
                clock(plan)
            );
        }
    };
    let landed = plan.inputs.len();
    let used = plan.modules.len();
    let new = plan.modules.iter().filter(|module| module.existing.is_none()).count();
    let remedies = plan.inputs.iter().filter(|input| input.remedy.is_some()).count();
    let mut parts = vec![match (landed, used) {
        (0, _) if plan.left.is_empty() => "no circuit to put on an input".to_owned(),
        (0, _) => "no circuit gets an input".to_owned(),
        (1, 1) => "1 circuit on 1 module".to_owned(),
        (_, 1) => format!("{landed} circuits on 1 module"),
        (1, _) => format!("1 circuit on {used} modules"),
        _ => format!("{landed} circuits on {used} modules"),
    }];
    if new > 0 {
        parts[0].push_str(&format!(", {new} of them new"));
    }
    match remedies {
        0 => {}
        1 => parts.push("1 needs a resistor changed, moved or added, or splitting".to_owned()),
        more => parts.push(format!("{more} need a resistor changed, moved or added, or splitting")),
    }
    let mut say = |count: usize, one: &str, many: &str| match count {
        0 => {}
        1 => parts.push(format!("1 {one}")),
        more => parts.push(format!("{more} {many}")),
    };
    let of =
        |what: fn(&super::plan::InputPlan) -> bool| plan.inputs.iter().filter(|input| what(input)).count();
    let wrong = of(|input| input.wrong.is_some());
    say(wrong, "reads wrong on the input that the job says", "read wrong on the inputs that the job says");
    let remains = of(|input| input.remains.is_some());
    say(remains, "has something else to be put right", "have something else to be put right");
    say(
        forbidden,
        "could be read and stays without an input, since the job forbids to buy what reads it",
        "could be read and stay without an input, since the job forbids to buy what reads them",
    );
    say(plan.left.len() - forbidden, "stays without an input", "stay without an input");
    format!("{quality}{}: {}.", clock(plan), parts.join("; "))
}
