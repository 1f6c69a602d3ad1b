//! The cut-over of jobs: steps, gate, limits, hours.

#[path = "cutover/site.rs"]
mod site;
#[path = "cutover/stops.rs"]
mod stops;

use assess::{Cutover, CutoverAsked, cutover};
use document::Source;
use job::{CutoverWay, Job, Severity};
use library::Library;

const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");

fn with<T>(text: &str, way: CutoverWay, look: impl FnOnce(&Cutover, &Library) -> T) -> T {
    let source = Source::new("job.toml", text);
    let job = Job::read(&source).expect("a good job");
    let library = Library::embedded();
    let assessment = assess::assess(&job, &library, &|_, _| {});
    let asked = CutoverAsked { way: Some(way), nodes: 50_000 };
    look(&cutover(&assessment, asked), &library)
}

const BOTH: [CutoverWay; 2] = [CutoverWay::SideBySide, CutoverWay::Swap];

/// Phases of a module in a swap: the order of design 5.5.
const SWAP: [&str; 10] = [
    "clear",
    "set_mode",
    "land",
    "power_up",
    "enrol_module",
    "prove_outputs",
    "enrol_inputs",
    "prove_smoke",
    "leave_learning",
    "close",
];
/// Side by side the new module works before any circuit is landed on it.
const SIDE: [&str; 10] = [
    "clear",
    "set_mode",
    "power_up",
    "enrol_module",
    "prove_outputs",
    "land",
    "enrol_inputs",
    "prove_smoke",
    "leave_learning",
    "close",
];

fn steps_once_in_order(cutover: &Cutover, library: &Library, order: &[&str]) {
    let mut seen = 0;
    for module in &cutover.problem.modules {
        let module = cutover.job.modules.iter().find(|it| it.id.value == module.tag).expect("in the job");
        let profile = &library.profiles[module.profile.as_ref().expect("a profile").as_str()];
        let own: Vec<&assess::Step> =
            cutover.steps.iter().filter(|step| step.place == module.id.value).collect();
        for (phase, steps) in &profile.steps {
            for step in steps {
                let found = own.iter().filter(|it| it.phase.word() == phase && it.act == step.act);
                let found: Vec<_> = found.collect();
                assert_eq!(found.len(), 1, "{} {phase}: {}", module.id.value, step.act);
                let smoke = |it: &&&job::Circuit| {
                    it.input.as_ref().is_some_and(|input| input.module == module.id.value)
                        && it.duty == Some(job::Duty::Smoke)
                };
                if phase == "prove_smoke" && cutover.circuits.iter().filter(smoke).count() == 0 {
                    assert!(found[0].proof.starts_with("no smoke circuit here"), "{}", found[0].proof);
                } else {
                    assert_eq!((&found[0].proof, &found[0].undoes), (&step.proof, &step.undoes));
                }
                seen += 1;
            }
        }
        let phases: Vec<usize> = own
            .iter()
            .filter_map(|step| order.iter().position(|phase| *phase == step.phase.word()))
            .collect();
        assert!(phases.is_sorted(), "{}: {phases:?}", module.id.value);
    }
    assert!(seen >= 10, "{seen}");
    assert!(cutover.steps.iter().all(|step| !step.proof.is_empty() && !step.act.is_empty()));
    assert!(cutover.steps.iter().enumerate().all(|(at, step)| step.number == at + 1));
}

#[test]
fn every_step_of_every_profile_once_a_module_in_phase_order_with_its_proof() {
    with(EXAMPLE, CutoverWay::SideBySide, |cutover, library| steps_once_in_order(cutover, library, &SIDE));
    with(EXAMPLE, CutoverWay::Swap, |cutover, library| steps_once_in_order(cutover, library, &SWAP));
}

/// A profile of the user's own with a phase that nobody knows, and a supply with steps.
#[test]
fn own_phases_come_before_learning_is_left() {
    let mut library = Library::embedded();
    let own = r#"id = "own"
kind = "module"
title = "x"
basis = "invented"
inputs = 4
[steps]
clear = [{ do = "press both keys", proof = "the lamp blinks" }, { do = "let go", proof = "the lamp is dark" }]
calibrate = [{ do = "calibrate", proof = "the lamp is steady" }]
leave_learning = [{ do = "leave", proof = "dark" }]
[[mode]]
id = "m"
bands = [ { name = "short", below = "1k", means = "trouble" }, { name = "rest", below = "7k", means = "normal" }, { name = "open", means = "alarm" } ]
"#;
    library.add(&Source::new("own.toml", own)).expect("a good profile");
    let text = r#"format = 1
[[module]]
id = "M1"
profile = "own"
[[circuit]]
tag = "C01"
network = "wire:20m - nc:a - 4.7k"
input = "M1.1"
"#;
    let job = Job::read(&Source::new("job.toml", text)).expect("a good job");
    let assessment = assess::assess(&job, &library, &|_, _| {});
    for way in BOTH {
        let cutover = cutover(&assessment, CutoverAsked { way: Some(way), nodes: 1000 });
        let at = |act: &str| {
            let found: Vec<usize> =
                (0..cutover.steps.len()).filter(|at| cutover.steps[*at].act == act).collect();
            assert_eq!(found.len(), 1, "{act}");
            found[0]
        };
        assert!(at("press both keys") < at("let go") && at("let go") < at("calibrate"));
        assert!(at("calibrate") < at("leave"));
        let proof = |act: &str| cutover.steps[at(act)].proof.as_str();
        assert_eq!((proof("calibrate"), proof("leave")), ("the lamp is steady", "dark"));
        let trip = cutover.steps.iter().rposition(|step| step.place == "C01").expect("the circuit");
        assert!(trip < at("calibrate"));
    }
}

const FIRE: &str = r#"format = 1
[site]
rules = ["us-fire"]
[fire]
required = "no"
[standing]
authority_in_writing = "letter"
station_on_test = "on test"
fire_authority_told = "told"
asbestos_register_seen = "not needed"
access = "keys"
[[module]]
id = "M1"
profile = "input-8"
[[circuit]]
tag = "C01"
duty = "heat"
network = "wire:20m - no:a | 4.7k"
input = "M1.1"
found = [{ when = "rest", ohms = "4.71k" }]
[[circuit]]
tag = "C02"
duty = "intrusion"
network = "wire:20m - nc:a - 4.7k"
input = "M1.2"
[cutover]
"#;

fn codes(text: &str, way: CutoverWay) -> Vec<(&'static str, Severity)> {
    with(text, way, |cutover, _| cutover.findings.iter().map(|it| (it.code, it.severity)).collect())
}

#[test]
fn all_three_rules_are_told_and_the_strictest_in_hours_bounds() {
    with(FIRE, CutoverWay::SideBySide, |cutover, _| {
        let after: Vec<String> = cutover.rules.iter().map(assess::Rule::after_written).collect();
        assert_eq!(after, ["4 h", "8 h", "at once"]);
        let limit = cutover.limit.as_ref().expect("a limit");
        assert_eq!((limit.minutes, limit.clause.as_str(), limit.by_job), (240, "NFPA 101, 9.6.1.6", false));
        let text = &cutover.findings.iter().find(|it| it.code == "impairment-ask").expect("asked").text;
        for clause in ["4 h (NFPA 101, 9.6.1.6)", "8 h (NFPA 1, 13.1.9)", "at once (IFC, 2015, 901.7)"] {
            assert!(text.contains(clause), "{text}");
        }
    });
    let own = format!("{FIRE}impairment = \"10 min\"\nimpairment_reason = \"letter 7\"\n");
    with(&own, CutoverWay::SideBySide, |cutover, _| {
        let limit = cutover.limit.as_ref().expect("a limit");
        assert_eq!((limit.minutes, limit.by_job), (10, true));
        assert_eq!(cutover.rules.len(), 3, "the rules' own stand beside it");
        let plan = cutover.plan.as_ref().expect("an order");
        let over = cutover.findings.iter().find(|it| it.code == "impairment-over").expect("over");
        assert_eq!(over.severity, Severity::Stop);
        assert!(plan.over_limit > 0);
    });
}

#[test]
fn the_gate_stops_where_fire_is_at_stake() {
    let open = FIRE.replace("fire_authority_told = \"told\"\n", "");
    assert!(codes(&open, CutoverWay::SideBySide).contains(&("gate-open", Severity::Check)));
    let required =
        open.replace("required = \"no\"", "required = \"yes\"\ncontrol_listed_for = \"commercial-fire\"");
    assert!(codes(&required, CutoverWay::SideBySide).contains(&("gate-open", Severity::Stop)));
    assert!(codes(FIRE, CutoverWay::SideBySide).iter().all(|(code, _)| *code != "gate-open"));
    // Fire law is told again where nobody decided.
    let undecided = FIRE.replace("required = \"no\"", "required = \"unknown\"");
    assert!(codes(&undecided, CutoverWay::SideBySide).contains(&("fire-law", Severity::Stop)));
}

#[test]
fn fire_goes_over_when_nobody_is_in() {
    let hours = "start = \"2026-12-01 08:00\"\nhours = [{ from = \"08:00\", to = \"17:00\", building = \"occupied\" }, { from = \"18:00\", to = \"21:00\", building = \"empty\" }]\n";
    with(&format!("{FIRE}{hours}"), CutoverWay::SideBySide, |cutover, _| {
        let plan = cutover.plan.as_ref().expect("an order");
        assert_eq!(cutover.clock.written(plan.dead[0].0), "2026-12-01 18:00");
        // An intruder is noticed while people are in.
        assert!(cutover.clock.written(plan.dead[1].0).as_str() < "2026-12-01 17:00");
        assert!(cutover.findings.iter().all(|it| it.code != "fire-while-occupied"));
    });
    assert!(codes(FIRE, CutoverWay::SideBySide).contains(&("fire-while-occupied", Severity::Check)));
}

#[test]
fn what_has_no_input_is_told_and_dummies_come_from_readings() {
    let text = format!("{FIRE}dummy_resistors = true\n[[circuit]]\ntag = \"C03\"\n");
    with(&text, CutoverWay::SideBySide, |cutover, _| {
        let left: Vec<&str> = cutover.left_out.iter().map(|it| it.tag.as_str()).collect();
        assert_eq!(left, ["C03"]);
        assert!(cutover.findings.iter().any(|it| it.code == "not-allocated" && it.text.contains("C03")));
        let values: Vec<Option<f64>> = cutover.dummies.iter().map(|it| it.value.map(|ohms| ohms.0)).collect();
        assert_eq!(values, [Some(4700.0), None]);
    });
    with(&text, CutoverWay::Swap, |cutover, _| assert!(cutover.dummies.is_empty()));
    with(
        &FIRE.replace("[cutover]", "[cutover]\ndummy_resistors = false"),
        CutoverWay::SideBySide,
        |cutover, _| {
            assert!(cutover.dummies.is_empty());
        },
    );
}

#[test]
fn nothing_to_move_and_no_room_are_said_in_words() {
    with("format = 1\n", CutoverWay::Swap, |cutover, _| {
        assert!(cutover.answer().starts_with("Nothing moves yet"), "{}", cutover.answer());
    });
    let short = format!("{FIRE}hours = [{{ from = \"08:00\", to = \"08:10\", building = \"empty\" }}]\n");
    with(&short, CutoverWay::SideBySide, |cutover, _| {
        assert!(cutover.plan.is_err());
        assert!(cutover.answer().starts_with("No order was found: "), "{}", cutover.answer());
        assert!(cutover.findings.iter().any(|it| it.code == "no-order" && it.severity == Severity::Stop));
        assert!(!cutover.steps.is_empty(), "the method statement stands without an order");
    });
}

#[test]
fn texts_to_people_have_fields_and_cautions() {
    with(FIRE, CutoverWay::SideBySide, |cutover, _| {
        let ids: Vec<&str> = cutover.notices.iter().map(|it| it.id).collect();
        assert_eq!(ids, ["fire-watch", "authority", "station", "owner"]);
        for notice in &cutover.notices {
            assert!(notice.fields.iter().any(|field| field.value.is_empty()), "{}", notice.id);
            assert!(!notice.cautions.is_empty());
        }
        let said = |id: &str| {
            let notice = cutover.notices.iter().find(|it| it.id == id).expect("a notice");
            format!("{:?} {:?}", notice.fields, notice.cautions)
        };
        assert!(said("fire-watch").contains("NFPA 101") && said("authority").contains("C01"));
    });
}

/// An intrusion and a heat circuit come back on one black core; the first has two contacts.
const ON_ONE_CORE: &str = r#"
format = 1
[site]
name = "Invented"
rules = ["us-fire"]
[fire]
required = "no"
[[enclosure]]
id = "E1"
[[module]]
id = "M1"
enclosure = "E1"
profile = "input-12"
mode = "fixed-2k2"
[cutover]
start = "2026-12-01 08:00"
[[circuit]]
tag = "C01"
duty = "intrusion"
ends_in = "E1"
network = "wire:10m - nc:front - nc:back - 2.2k"
input = "M1.1"
[[circuit]]
tag = "C02"
duty = "heat"
ends_in = "E1"
network = "wire:10m - no:boiler | 2.2k"
input = "M1.2"
[[circuit]]
tag = "C03"
duty = "intrusion"
ends_in = "E1"
network = "wire:10m - nc:shed - 2.2k"
input = "M1.3"
[[cable]]
id = "K1"
ends_in = "E1"
cores = [
    { colour = "red", to = "C01.a" },
    { colour = "green", to = "C02.a" },
    { colour = "black", to = ["C01.b", "C02.b"] },
]
"#;

#[test]
fn a_shared_core_is_lifted_once() {
    with(ON_ONE_CORE, CutoverWay::SideBySide, |cutover, _| {
        let plan = cutover.plan.as_ref().expect("a plan");
        let lines = &cutover.problem.lines;
        assert!(lines[0].core.is_some() && lines[0].core == lines[1].core);
        assert_eq!(lines[2].core, None);
        assert_eq!(plan.dead[0].0, plan.dead[1].0, "both are dead from the one lift");
        let (from, to) = plan.dead[1];
        assert_eq!(plan.outage.worst, to - from, "the fire sum begins with it too");
        let longest = plan.dead.iter().map(|(from, to)| to - from).max();
        assert_eq!(longest, Some(lines[0].moves() + lines[1].moves()));
    });
}

#[test]
fn a_proof_is_as_long_as_its_devices_are_many() {
    with(ON_ONE_CORE, CutoverWay::Swap, |cutover, library| {
        let walk = library.working_time().minutes(library::Task::WalkTest, 1).hi().0;
        let proof = |at: usize| f64::from(cutover.problem.lines[at].prove);
        assert!(walk > 0.0);
        assert!((proof(0) - proof(2) - walk).abs() <= 1.0, "{} of two, {} of one", proof(0), proof(2));
    });
}

/// Who has no input stays on the old panel, but for the core that goes over with another.
#[test]
fn a_core_that_goes_over_is_gone_for_who_stays() {
    let stays = ON_ONE_CORE.replace("input = \"M1.2\"\n", "");
    with(&stays, CutoverWay::SideBySide, |cutover, _| {
        let plan = cutover.plan.as_ref().expect("a plan");
        let found = cutover.findings.iter().find(|it| it.code == "core-goes-over").expect("told");
        assert_eq!((found.severity, found.place.as_str()), (Severity::Stop, "C02"), "a fire circuit");
        assert!(found.text.contains("with C01:"), "{}", found.text);
        let since = plan.dead[0].0;
        assert_eq!(cutover.gone_at(plan.end + 9999).len(), 1);
        assert_eq!(cutover.gone_at(since).iter().filter(|it| it.what == "C02").count(), 1);
        assert!(since == 0 || cutover.gone_at(since - 1).iter().all(|it| it.what != "C02"));
        assert_eq!(plan.outage.worst, 24 * 60, "the fire alarm's sum has no end either");
        assert!(cutover.answer().contains("C02 loses a core"), "{}", cutover.answer());
    });
    // In a swap it is dead anyway, and told once.
    with(&stays, CutoverWay::Swap, |cutover, _| {
        assert!(cutover.findings.iter().all(|it| it.code != "core-goes-over"));
        assert_eq!(cutover.endless.iter().filter(|it| it.tag == "C02").count(), 1);
    });
    // A core that nobody else's circuit needs ties nothing.
    let own = stays.replace("[\"C01.b\", \"C02.b\"]", "\"C01.b\"");
    with(&own, CutoverWay::SideBySide, |cutover, _| {
        assert!(cutover.endless.is_empty());
    });
}
