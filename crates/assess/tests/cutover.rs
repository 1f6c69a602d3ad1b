//! The cut-over of jobs: steps, gate, limits, hours.

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

/// Fire, sounder and a spare pair that nobody gave an input.
const LEFT: &str = r#"[[circuit]]
tag = "C11"
duty = "heat"
was = "zone 11"
network = "wire:10m - no:b | 2.2k"
[[circuit]]
tag = "C12"
duty = "sounder"
was = "bell"
network = "wire:10m - 4.7k"
[[circuit]]
tag = "C13"
network = "wire:20m - open"
"#;

fn left() -> String {
    FIRE.replace("[cutover]\n", &format!("{LEFT}[cutover]\n"))
}

#[test]
fn fire_circuits_that_a_swap_leaves_out_are_a_stop_and_dead_without_end() {
    with(&left(), CutoverWay::Swap, |cutover, _| {
        let found = cutover.findings.iter().find(|it| it.code == "fire-left-out").expect("told");
        assert_eq!(found.severity, Severity::Stop);
        assert!(found.text.contains("C11") && !found.text.contains("C12"), "{}", found.text);
        assert!(cutover.answer().contains("C11 and C12 do not come back"), "{}", cutover.answer());
        let plan = cutover.plan.as_ref().expect("an order");
        let last = plan.curve.last().expect("a curve");
        assert_eq!(last.count, 2, "the spare pair is no circuit without protection");
        assert!(last.weight > 0);
        let gone: Vec<String> = cutover.gone_at(plan.end + 9999).into_iter().map(|it| it.what).collect();
        assert_eq!(gone, ["C11", "C12"]);
        assert_eq!(cutover.gone_at(plan.end)[0].since, plan.first_lift.expect("a lift"));
        assert_eq!(plan.outage.worst, 24 * 60);
        assert!(cutover.findings.iter().any(|it| it.code == "impairment-over"));
        let watch = cutover.notices.iter().find(|it| it.id == "fire-watch").expect("a notice");
        let watch = format!("{:?}", watch.fields);
        assert!(watch.contains("C11") && watch.contains("no end in this plan"), "{watch}");
    });
    // The same where no fire circuit moves: gate, notices and sentence see those that are left.
    let none = left()
        .replace(
            "duty = \"heat\"\nnetwork = \"wire:20m - no:a | 4.7k\"",
            "network = \"wire:20m - nc:a - 4.7k\"",
        )
        .replace("required = \"no\"", "required = \"yes\"\ncontrol_listed_for = \"commercial-fire\"")
        .replace("fire_authority_told = \"told\"\n", "");
    with(&none, CutoverWay::Swap, |cutover, _| {
        assert!(cutover.fire().next().is_none());
        let stops =
            |code: &str| cutover.findings.iter().any(|it| it.code == code && it.severity == Severity::Stop);
        assert!(stops("gate-open") && stops("fire-left-out"));
        let ids: Vec<&str> = cutover.notices.iter().map(|it| it.id).collect();
        assert_eq!(ids, ["fire-watch", "authority", "station", "owner"]);
        assert!(cutover.answer().contains("The fire alarm is out for 24 h"), "{}", cutover.answer());
    });
}

#[test]
fn what_stays_on_the_old_panel_keeps_it_in_service() {
    with(&left(), CutoverWay::SideBySide, |cutover, _| {
        let severity = |code: &str| cutover.findings.iter().find(|it| it.code == code).map(|it| it.severity);
        assert_eq!(severity("fire-left-out"), Some(Severity::Stop));
        assert_eq!(severity("sounder-left-out"), Some(Severity::Fix));
        assert!(cutover.steps.iter().all(|step| !step.act.contains("comes out of service")));
        assert!(
            cutover.steps.iter().any(|step| step.act.contains("old panel stays in service for C11, C12"))
        );
        assert_eq!(cutover.plan.as_ref().expect("an order").curve.last().expect("a curve").count, 0);
    });
    // A spare pair alone keeps nothing in service.
    let spare =
        FIRE.replace("[cutover]\n", "[[circuit]]\ntag = \"C13\"\nnetwork = \"wire:20m - open\"\n[cutover]\n");
    with(&spare, CutoverWay::SideBySide, |cutover, _| {
        assert!(cutover.steps.iter().all(|step| !step.act.contains("stays in service")));
    });
}

#[test]
fn the_account_is_off_test_whenever_nobody_is_at_work() {
    let hours = "hours = [{ from = \"08:00\", to = \"10:00\", building = \"empty\" }, { from = \"18:00\", to = \"18:25\", building = \"empty\" }]\n";
    for way in BOTH {
        with(&format!("{FIRE}{hours}"), way, |cutover, _| {
            assert!(cutover.on_test.len() > 1, "{:?}", cutover.on_test);
            let found: Vec<_> = cutover.findings.iter().filter(|it| it.code == "account-on-test").collect();
            assert_eq!(found.len(), cutover.on_test.len() - 1);
            assert!(found.iter().all(|it| it.severity == Severity::Fix));
            let steps = |word: &str| cutover.steps.iter().filter(|it| it.act.starts_with(word)).count();
            assert_eq!(steps("before leaving: "), found.len());
            assert_eq!(steps("before the work goes on: "), found.len());
            let (on, off) = cutover.on_test[0];
            assert_eq!((cutover.on_test_since(on), cutover.on_test_since(off)), (Some(on), None));
            assert!(cutover.moments().iter().any(|(at, _)| *at == off));
            let station = cutover.notices.iter().find(|it| it.id == "station").expect("a notice");
            let spans: Vec<&str> = station
                .fields
                .iter()
                .filter(|it| it.label == "On test, planned")
                .map(|it| it.value.as_str())
                .collect();
            let written = |(on, off): &(u32, u32)| {
                format!("{} to {}", cutover.clock.written(*on), cutover.clock.written(*off))
            };
            assert_eq!(spans, cutover.on_test.iter().map(written).collect::<Vec<_>>());
        });
    }
}

/// A break at noon is unattended; a night through which people work is not.
#[test]
fn unattended_is_outside_the_hours_and_not_over_midnight() {
    let many: String = (3..8)
        .map(|at| {
            format!(
                "[[circuit]]\ntag = \"C0{at}\"\nnetwork = \"wire:20m - nc:a - 4.7k\"\ninput = \"M1.{at}\"\n"
            )
        })
        .collect();
    let job = |hours: &str| FIRE.replace("[cutover]\n", &format!("{many}[cutover]\n{hours}"));
    let gap = job(
        "hours = [{ from = \"08:00\", to = \"09:20\", building = \"empty\" }, { from = \"11:00\", to = \"15:00\", building = \"empty\" }]\n",
    );
    let noon = |cutover: &Cutover| {
        let plan = cutover.plan.as_ref().expect("an order");
        (plan.first_lift, plan.dead.iter().map(|(_, to)| *to).max())
    };
    with(&gap, CutoverWay::Swap, |cutover, _| {
        let (first, last) = noon(cutover);
        let over = first < Some(9 * 60 + 20) && last > Some(11 * 60);
        assert_eq!(cutover.findings.iter().any(|it| it.code == "unattended"), over, "{first:?} {last:?}");
    });
    let narrow = job(
        "hours = [{ from = \"08:00\", to = \"08:50\", building = \"empty\" }, { from = \"18:00\", to = \"18:50\", building = \"empty\" }]\n",
    );
    with(&narrow, CutoverWay::Swap, |cutover, _| {
        let unattended = cutover.findings.iter().find(|it| it.code == "unattended").expect("told");
        assert!(unattended.text.contains("C01"), "{}", unattended.text);
        let owner = cutover.notices.iter().find(|it| it.id == "owner").expect("a notice");
        let value =
            |label: &str| &owner.fields.iter().find(|it| it.label.starts_with(label)).expect(label).value;
        assert!(value("Without protection").contains("C02"));
        assert!(value("Of these while nobody").contains("C01"), "{}", value("Of these while nobody"));
    });
    let night = job(
        "start = \"2026-12-04 22:00\"\nhours = [{ days = [\"fri\"], from = \"20:00\", to = \"24:00\", building = \"empty\" }, { days = [\"sat\"], from = \"00:00\", to = \"08:00\", building = \"empty\" }]\n",
    );
    with(&night, CutoverWay::Swap, |cutover, _| {
        let (first, last) = noon(cutover);
        assert!(first < Some(24 * 60) && last > Some(24 * 60), "{first:?} {last:?}");
        assert!(cutover.findings.iter().all(|it| it.code != "unattended"));
    });
}

/// Home runs that meet in the box: the job names one input.
const SPLIT: &str = r#"format = 1
[[enclosure]]
id = "E1"
profile = "enclosure-large"
[[module]]
id = "M1"
enclosure = "E1"
profile = "input-12"
mode = "fixed-2k2"
[[circuit]]
tag = "C01"
duty = "intrusion"
was = "zone 1"
ends_in = "E1"
network = "(wire:18m - nc:s1) - (wire:26m - nc:s2) - 2.2k"
resistor_at = "panel"
input = "M1.1"
"#;

#[test]
fn a_split_circuit_comes_back_in_part_until_each_run_has_its_input() {
    for way in BOTH {
        with(SPLIT, way, |cutover, _| {
            let found = cutover.findings.iter().find(|it| it.code == "split-without-input").expect("told");
            assert_eq!((found.severity, found.place.as_str()), (Severity::Fix, "C01"));
            assert!(cutover.answer().contains("C01 comes back in part"), "{}", cutover.answer());
            let runs: Vec<_> = cutover.steps.iter().filter(|it| it.act.starts_with("run 2: ")).collect();
            assert_eq!(runs.len(), 1);
            assert!(
                runs[0].act.contains("OPEN: the job names M1.1")
                    && runs[0].proof.contains("arrives from run 2")
            );
            let plan = cutover.plan.as_ref().expect("an order");
            assert_eq!(plan.curve.last().expect("a curve").count, 1);
            assert_eq!(cutover.gone_at(plan.end)[0].what, "C01 run 2");
            assert_eq!(cutover.gone_at(plan.end)[0].since, plan.dead[0].0);
        });
    }
}

fn place(cutover: &Cutover, word: &str) -> usize {
    let found: Vec<usize> =
        (0..cutover.steps.len()).filter(|at| cutover.steps[*at].act.contains(word)).collect();
    assert_eq!(found.len(), 1, "{word}: {found:?}");
    found[0]
}

#[test]
fn the_old_panel_comes_down_before_a_swap_and_after_all_side_by_side() {
    let down = "the old panel comes out of service";
    with(FIRE, CutoverWay::Swap, |cutover, library| {
        let quiet = place(cutover, "silence and isolate the old sounder and the old dialler");
        let first = cutover.steps.iter().position(|it| it.act.contains(", ends apart")).expect("a lift");
        assert!(quiet < place(cutover, down) && place(cutover, down) < first);
        assert!(cutover.steps[place(cutover, down)].caution.contains("electrician"));
        let minutes = library.working_time().minutes(library::Task::PowerDown, 1).hi().0;
        let plan = cutover.plan.as_ref().expect("an order");
        let lift = plan.tasks.iter().find(|it| it.act.word() == "lift").expect("a lift");
        assert!(f64::from(lift.end - lift.start) > minutes, "nothing watches while it goes down");
        assert!(cutover.name(lift.act).starts_with("old panel powered down, "));
    });
    for dummies in ["", "dummy_resistors = false\n"] {
        with(&format!("{FIRE}{dummies}"), CutoverWay::SideBySide, |cutover, _| {
            let last =
                cutover.steps.iter().rposition(|it| it.place == "C01" || it.place == "C02").expect("a move");
            assert!(last < place(cutover, down));
            let out = cutover.steps.iter().position(|it| it.act.starts_with("take every dummy resistor off"));
            assert_eq!(out.is_none(), !dummies.is_empty());
            assert!(out.is_none_or(|out| place(cutover, down) < out));
            let undone = |it: &assess::Step| it.undoes.contains("quiet out");
            assert_eq!(cutover.steps.iter().any(undone), dummies.is_empty());
        });
    }
}

#[test]
fn people_are_told_before_anything_sounds_and_before_fire_goes_out() {
    for way in BOTH {
        with(FIRE, way, |cutover, _| {
            let told = place(cutover, "both accounts, old and new, on test");
            let outputs =
                cutover.steps.iter().position(|it| it.phase.word() == "prove_outputs").expect("outputs");
            assert!(told < outputs);
            let out = place(cutover, "fire alarm out of service from now on");
            let back = place(cutover, "fire circuits are back");
            let fire = |it: &assess::Step| it.place == "C01" && it.phase.word() == "circuit";
            let first = cutover.steps.iter().position(fire).expect("fire");
            let last = cutover.steps.iter().rposition(fire).expect("fire");
            assert!(out < first && last < back, "{out} {first} {last} {back}");
            let any = cutover.steps.iter().position(|it| it.act.starts_with("lift ")).expect("a lift");
            assert!(way == CutoverWay::SideBySide || out < any);
        });
    }
}

#[test]
fn smoke_is_proven_when_the_last_of_it_is_on_the_module() {
    for way in BOTH {
        with(EXAMPLE, way, |cutover, _| {
            let mut seen = [0; 2];
            for module in &cutover.problem.modules {
                let of = |it: &assess::Step| it.place == module.tag && it.phase.word() == "prove_smoke";
                let Some(at) = cutover.steps.iter().position(of) else { continue };
                let smoke: Vec<&str> = cutover
                    .circuits
                    .iter()
                    .zip(&cutover.problem.lines)
                    .filter(|(circuit, line)| {
                        circuit.duty == Some(job::Duty::Smoke)
                            && cutover.problem.modules[line.module].tag == module.tag
                    })
                    .map(|(circuit, _)| circuit.tag.as_str())
                    .collect();
                let last = cutover.steps.iter().rposition(|it| smoke.contains(&it.place.as_str()));
                seen[usize::from(last.is_some())] += 1;
                assert!(last.is_none_or(|last| last < at), "{}", module.tag);
                assert_eq!(last.is_none(), cutover.steps[at].proof.starts_with("no smoke circuit here"));
            }
            assert!(seen[1] > 0, "{seen:?}");
        });
    }
}

#[test]
fn small_words_hold() {
    let one = FIRE.split("[[circuit]]\ntag = \"C02\"").next().expect("the first").to_owned();
    let place =
        one.replace("[[module]]", "[[enclosure]]\nid = \"E1\"\nprofile = \"enclosure-large\"\n[[module]]");
    with(&place, CutoverWay::SideBySide, |cutover, _| {
        assert!(cutover.answer().starts_with("1 circuit goes over side by side"), "{}", cutover.answer());
        assert!(
            cutover.steps.iter().any(|it| it.act == "mount the new enclosure beside the old one; earth it")
        );
        let moved = cutover.steps.iter().find(|it| it.place == "C01").expect("the move");
        assert!(moved.proof.starts_with("the meter shows 4.71k at rest, as found"), "{}", moved.proof);
    });
    let modules: String =
        (1..7).map(|at| format!("[[module]]\nid = \"N{at}\"\nprofile = \"input-8\"\n[[circuit]]\ntag = \"D{at}\"\nnetwork = \"wire:20m - nc:a - 4.7k\"\ninput = \"N{at}.1\"\n")).collect();
    with(&FIRE.replace("[cutover]\n", &modules), CutoverWay::SideBySide, |cutover, _| {
        let names: Vec<String> = cutover.rows_by_module().into_iter().map(|row| row.name).collect();
        assert!(names.iter().any(|name| name == "account on test"), "{names:?}");
    });
}

#[test]
fn a_sounder_goes_to_the_output_that_drives_it() {
    let output = "[[output]]\nid = \"M1.S1\"\ndrives = \"sounder circuit C12\"\n[cutover]\n";
    let text = left().replace("[cutover]\n", output);
    for way in BOTH {
        with(&text, way, |cutover, _| {
            assert!(
                cutover.findings.iter().any(|it| it.code == "sounder-meanwhile" && it.text.contains("C12"))
            );
            assert!(cutover.findings.iter().all(|it| it.code != "sounder-left-out"));
            assert!(cutover.endless.iter().all(|one| one.tag != "C12"));
            assert!(cutover.stay().iter().all(|it| it.tag.value != "C12"));
            let landed =
                cutover.steps.iter().filter(|it| it.place == "C12" && it.act.contains("land on M1.S1"));
            assert_eq!(landed.count(), 1);
        });
    }
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
