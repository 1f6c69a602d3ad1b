//! What an allocation tells: what a cure leaves, what a plan breaks, what the job forbids, what is not known.

#[expect(dead_code, reason = "other tests ask for the rest of it")]
mod allocations;

use allocations::{applied, linen_store, plan_of, read};
use assess::{Limits, Status, allocate, assess, changes, planned};
use document::Source;
use job::{Job, Severity};
use library::Library;

const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");
const SURVEY: &str = include_str!("../../../examples/orchard-row/survey.toml");

/// What a resistor does not heal is said beside it, and nothing is put in that heals nothing.
#[test]
fn what_remains_beside_a_cure_is_a_fix() {
    let library = Library::embedded();
    let text = "format = 1
[fire]
required = \"no\"
[[enclosure]]
id = \"E1\"
profile = \"enclosure-large\"
[[module]]
id = \"M1\"
enclosure = \"E1\"
profile = \"input-16\"
mode = \"fixed-5k6\"
[[circuit]]
tag = \"L\"
duty = \"intrusion\"
ends_in = \"E1\"
network = \"wire:4000m - nc:a - 2.2k\"
input = \"M1.1\"
[[circuit]]
tag = \"S\"
duty = \"smoke\"
ends_in = \"E1\"
network = \"wire:4000m - smoke:D1 | 2.2k\"
";
    let job = read(text);
    let plan = plan_of(&job, &library);
    assert!(plan.found(), "{}", plan.answer());
    let of = |tag: &str| {
        plan.inputs
            .iter()
            .find(|input| job.circuits[input.circuit].tag.value == tag)
            .expect("it has an input")
    };
    let told = |tag: &str| {
        let here = |of: &&job::Finding| of.place == tag && of.code == "allocate-remains";
        plan.findings.iter().find(here).map(|of| (of.severity, of.text.clone()))
    };
    assert!(of("L").remedy.is_some(), "2.2k is not the resistor of its mode");
    for tag in ["L", "S"] {
        let remains = of(tag).remains.as_deref().unwrap_or_default();
        assert!(remains.contains("Conductors and joints come to"), "{tag}: {remains}");
        let (severity, text) = told(tag).expect("it is told");
        assert!(severity == Severity::Fix && text.contains(remains), "{text}");
    }
}

/// A circuit that reads right and whose line is too long keeps its resistor: another would not shorten the line.
#[test]
fn a_line_that_is_too_long_gets_no_resistor_for_nothing() {
    let library = Library::embedded();
    let way = |line: &str| {
        format!(
            "format = 1\n[allocate]\nnew_modules = false\n[[enclosure]]\nid = \"E1\"\nprofile = \"enclosure-large\"\n\
             [[module]]\nid = \"M1\"\nenclosure = \"E1\"\nprofile = \"input-12\"\n[[circuit]]\ntag = \"A\"\n\
             duty = \"intrusion\"\nends_in = \"E1\"\nnetwork = \"wire:{line} - nc:a - 2.2k\"\n"
        )
    };
    let (near, far) = (read(&way("10m")), read(&way("1200m")));
    let (near, far) = (plan_of(&near, &library), plan_of(&far, &library));
    let of = |plan: &assess::AllocationPlan| {
        (plan.inputs[0].remedy.clone().map(|of| of.text), plan.inputs[0].remains.clone())
    };
    assert_eq!(of(&near), (None, None));
    let (remedy, remains) = of(&far);
    assert_eq!(remedy, None, "{remains:?}");
    assert!(remains.is_some_and(|text| text.starts_with("Conductors and joints come to")));
}

fn findings_of<'p>(plan: &'p assess::AllocationPlan, code: &str) -> Vec<&'p job::Finding> {
    plan.findings.iter().filter(|of| of.code == code).collect()
}

fn lines(text: &str, demands: &[assess::DemandPlan]) -> Vec<usize> {
    let source = Source::new("job.toml", text);
    demands.iter().filter_map(|of| of.span.as_ref()).map(|span| source.place(span.start).line).collect()
}

/// The battery of P1 holds what hangs on it before the modules come: the plan says that it no longer does.
#[test]
fn a_supply_that_the_plan_overloads_is_a_fix() {
    let library = Library::embedded();
    let survey = read(SURVEY);
    let plan = allocate(&survey, &library, &Limits::default());
    let told = findings_of(&plan, "allocate-supply");
    assert_eq!(told.iter().map(|of| of.place.as_str()).collect::<Vec<_>>(), ["P1"]);
    assert_eq!(told[0].severity, Severity::Fix);
    let planned_job = planned(&plan);
    let then = assess(&planned_job, &library, &|_, _| ());
    let own = then
        .findings
        .iter()
        .find(|of| of.place == "P1" && of.severity >= Severity::Fix)
        .expect("it is too small");
    assert!(told[0].text.contains(&own.text), "{}", told[0].text);
    // what it has wrong already is no news
    let again = allocate(&planned_job, &library, &Limits::default());
    assert_eq!(findings_of(&again, "allocate-supply").len(), 0);
}

/// Surer remedies that have no room are no demands: what is shown cannot stand together with any remedy.
#[test]
fn a_conflict_counts_every_remedy() {
    let library = Library::embedded();
    let mut text = "format = 1
[allocate]
new_modules = false
[[module]]
id = \"M1\"
profile = \"input-12\"
mode = \"fixed-2k2\"
[[module]]
id = \"M2\"
profile = \"input-8\"
"
    .to_owned();
    for at in 1..9 {
        text.push_str(&format!(
            "[[circuit]]\ntag = \"P{at}\"\nduty = \"intrusion\"\nnetwork = \"wire:10m - nc:p{at} - 4.7k\"\ninput = \"M2.{at}\"\n"
        ));
    }
    text.push_str(
        "[[circuit]]\ntag = \"B\"\nduty = \"intrusion\"\nnetwork = \"wire:10m - (nc:b1 | 4.7k) - 4.7k\"\n",
    );
    for at in 1..13 {
        text.push_str(&format!(
            "[[circuit]]\ntag = \"N{at}\"\nduty = \"intrusion\"\nnetwork = \"wire:10m - nc:n{at} - 2.2k\"\n"
        ));
    }
    let job = read(&text);
    let plan = plan_of(&job, &library);
    assert_eq!(plan.status, Status::Infeasible, "{}", plan.answer());
    // with the circuits of the conflict alone nothing has room; without any one of them the rest has
    let named: Vec<String> =
        plan.conflict.as_ref().expect("it says why").demands.iter().map(|of| of.place.clone()).collect();
    let only = |out: Option<&str>| {
        let mut job = job.clone();
        job.circuits.retain(|of| of.input.is_some() || named.contains(&of.tag.value));
        job.circuits.retain(|of| Some(of.tag.as_str()) != out);
        job
    };
    assert!(!plan_of(&only(None), &library).found(), "{}", plan.answer());
    for out in named.iter().filter(|tag| tag.starts_with('N') || *tag == "B") {
        assert!(plan_of(&only(Some(out)), &library).found(), "without {out}: {}", plan.answer());
    }
}

/// Where the count ended the search for what is to blame, nothing is said that only its end could tell.
#[test]
fn a_conflict_that_was_not_searched_to_the_end_says_so() {
    let library = Library::embedded();
    let job = read(&linen_store("annexes = 0", ""));
    let cut = |nodes: u64| {
        let plan = allocate(&job, &library, &Limits { nodes, stop: &|| false });
        plan.conflict.as_ref().is_some_and(|conflict| !conflict.irreducible).then_some(plan)
    };
    let few = (1..40).find_map(cut).expect("some count proves that it cannot be and no more");
    assert_eq!((few.status, few.stopped), (Status::Infeasible, assess::Stopped::Nodes), "{}", few.answer());
    assert!(few.answer().contains("its count of steps was used up"), "{}", few.answer());
    assert!(!few.answer().contains("can take"), "how many have room is not known: {}", few.answer());
    let told = findings_of(&few, "allocate-conflict");
    assert!(!told[0].remedy.contains("with any one"), "{}", told[0].remedy);
    let all = plan_of(&job, &library);
    assert!(all.conflict.as_ref().expect("it says why").irreducible && all.stopped == assess::Stopped::No);
    assert!(findings_of(&all, "allocate-conflict")[0].remedy.contains("with any one"));
}

/// Keys that keep out what would make room are named with their lines, and so are the lines of keys, not of their tables.
#[test]
fn what_the_job_forbids_is_named_with_its_line() {
    let library = Library::embedded();
    let mut text = "format = 1\n[allocate]\nnew_modules = false\n[[module]]\nid = \"M1\"\nprofile = \"input-12\"\nmode = \"fixed-2k2\"\n".to_owned();
    for at in 1..5 {
        text.push_str(&format!(
            "[[circuit]]\ntag = \"S{at}\"\nduty = \"smoke\"\nnetwork = \"wire:{at}0m - smoke:D{at} | 2.2k\"\n"
        ));
    }
    let job = read(&text);
    let plan = plan_of(&job, &library);
    let conflict = plan.conflict.as_ref().unwrap_or_else(|| panic!("{}", plan.answer()));
    assert_eq!(lines(&text, &conflict.forbids), [3]);
    assert!(plan.answer().contains("`new_modules = false` forbids"), "{}", plan.answer());
    let circuits = conflict.demands.iter().filter(|of| of.place.starts_with('S')).count();
    assert!(circuits < 4, "not all of the four are needed");
    assert!(
        plan.answer().contains(&format!(
            "4 smoke circuits want an input, and any {circuits} of them are already too many"
        )),
        "{}",
        plan.answer()
    );
    // annexes, and the lines of spare and zone
    let text = linen_store("spare = 40\nannexes = 0", "spare = 20");
    let job = read(&text);
    let plan = plan_of(&job, &library);
    let conflict = plan.conflict.as_ref().unwrap_or_else(|| panic!("{}", plan.answer()));
    let line = |what: &str| 1 + text.lines().position(|line| line == what).expect("it is there");
    assert!(lines(&text, &conflict.forbids).contains(&line("annexes = 0")), "{}", plan.answer());
    let spare =
        conflict.demands.iter().find(|of| of.words.contains("wanted")).expect("free inputs are wanted");
    let own = if spare.place == "E2" { line("spare = 20") } else { line("spare = 40") };
    assert_eq!(lines(&text, std::slice::from_ref(spare)), [own]);
    let text = linen_store("", "")
        .replace("tag = \"C1\"\n", "tag = \"C1\"\nzone = 3\n")
        .replace("tag = \"C2\"\n", "tag = \"C2\"\nzone = 3\n");
    let job = read(&text);
    if let Some(conflict) = &plan_of(&job, &library).conflict {
        let zones: Vec<usize> = lines(&text, &conflict.demands)
            .into_iter()
            .filter(|at| text.lines().nth(at - 1) == Some("zone = 3"))
            .collect();
        assert_eq!(zones.len(), 2, "{}", conflict.words);
    } else {
        panic!("one zone twice");
    }
}

/// A circuit that something would read is not left in silence because it may not be bought.
#[test]
fn what_may_not_be_bought_is_counted_in_the_answer() {
    let library = Library::embedded();
    let way = |duty: &str, network: &str, allow: &str| {
        format!(
            "format = 1\n[fire]\nrequired = \"no\"\n[allocate]\n{allow}\n[[circuit]]\ntag = \"A\"\nduty = \"{duty}\"\nnetwork = \"{network}\"\n"
        )
    };
    for (duty, network, weight) in [
        ("intrusion", "wire:10m - nc:d - 2.2k", Severity::Fix),
        ("smoke", "wire:10m - smoke:D1 | 2.2k", Severity::Stop),
    ] {
        let job = read(&way(duty, network, "new_modules = false"));
        let plan = plan_of(&job, &library);
        assert!(plan.answer().contains("1 could be read and stays without an input"), "{}", plan.answer());
        let told = findings_of(&plan, "allocate-no-fit");
        assert!(told[0].text.contains("`new_modules = false` forbids"), "{}", told[0].text);
        assert_eq!(told[0].severity, weight);
    }
    // a detector faster than the only module on offer
    let text = way("intrusion", "wire:10m - nc:shock1 - 4.7k", "offer = [\"input-16\"]");
    let job = read(&(text + "[[device]]\nid = \"shock1\"\nprofile = \"shock\"\n"));
    let plan = plan_of(&job, &library);
    let told = findings_of(&plan, "allocate-no-fit");
    assert!(told.iter().any(|of| of.text.contains("`offer` leaves")), "{} {told:?}", plan.answer());
}

/// What reads wrong where the job keeps it is in the first sentence.
#[test]
fn pinned_and_wrong_is_counted_in_the_answer() {
    let library = Library::embedded();
    let job = read(EXAMPLE);
    let plan = plan_of(&job, &library);
    assert!(plan.answer().contains("1 reads wrong on the input that the job says"), "{}", plan.answer());
}

#[test]
fn the_clock_is_told_in_words() {
    let library = Library::embedded();
    let survey = read(SURVEY);
    let plan = allocate(&survey, &library, &Limits { nodes: 1_000_000, stop: &|| true });
    assert!(plan.answer().contains("stopped by the clock"), "{}", plan.answer());
    assert!(!plan.answer().contains("within 1 steps"), "{}", plan.answer());
}

/// The inputs that a plan keeps for home runs are nobody else's: not in the next plan, not by hand.
#[test]
fn inputs_for_home_runs_are_kept() {
    let library = Library::embedded();
    let survey = read(SURVEY);
    let plan = allocate(&survey, &library, &Limits::default());
    let split = plan.inputs.iter().find(|input| input.inputs.len() > 1).expect("C18 is to be split");
    let tag = survey.circuits[split.circuit].tag.value.clone();
    let further = split.inputs[1].clone();
    let spoken = format!("{}.{}", further.module, further.number);
    let text = applied(SURVEY, &changes(&plan));
    assert!(text.contains(&format!("also = [\"{spoken}\"]")), "{spoken}");
    let own = format!("tag = \"{tag}\"\n");
    assert!(text.contains(&own));
    // another circuit put there by hand
    let by_hand = format!("{text}\n[[circuit]]\ntag = \"X1\"\ninput = \"{spoken}\"\n");
    let problems = Job::read(&Source::new("job.toml", by_hand)).expect_err("it is kept");
    assert!(format!("{problems:?}").contains(&format!("{tag} is on {spoken} already")), "{problems:?}");
    // on another module than its input
    let astray = text.replace(&format!("also = [\"{spoken}\"]"), "also = [\"M1.1000\"]");
    assert!(Job::read(&Source::new("job.toml", astray)).is_err(), "it is on {}", further.module);
    // more circuits than are free: none of them gets it
    let mut more = text.clone();
    for at in 0..4 {
        more.push_str(&format!(
            "\n[[circuit]]\ntag = \"Y{at}\"\nduty = \"intrusion\"\nnetwork = \"wire:1{at}m - nc:y{at} - 2.2k\"\n"
        ));
    }
    let more = read(&more);
    let again = allocate(&more, &library, &Limits::default());
    assert!(again.found(), "{}", again.answer());
    for input in again.inputs.iter().filter(|input| input.inputs.contains(&further)) {
        assert_eq!(more.circuits[input.circuit].tag.value, tag);
    }
    let kept =
        again.inputs.iter().find(|input| more.circuits[input.circuit].tag.value == tag).expect("it lands");
    assert_eq!(kept.inputs, split.inputs);
}
