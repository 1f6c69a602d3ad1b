//! What is left behind, what has no end, who is told, and how the old panel comes down.

use assess::Cutover;
use job::{CutoverWay, Severity};

use super::{BOTH, EXAMPLE, FIRE, with};

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
    let hour = |from: &str, to: &str| format!("{{ from = \"{from}\", to = \"{to}\", building = \"empty\" }}");
    let hours =
        [("08:00", "10:00"), ("10:30", "11:20"), ("11:50", "12:40"), ("13:10", "14:00"), ("14:30", "15:20")];
    let hours: Vec<String> = hours.iter().map(|(from, to)| hour(from, to)).collect();
    let gap = job(&format!("hours = [{}]\n", hours.join(", ")));
    let noon = |cutover: &Cutover| {
        let plan = cutover.plan.as_ref().expect("an order");
        (plan.first_lift, plan.dead.iter().map(|(_, to)| *to).max())
    };
    with(&gap, CutoverWay::Swap, |cutover, _| {
        let (first, last) = noon(cutover);
        assert_eq!(first.map(|at| at / 1440), last.map(|at| at / 1440), "{first:?} {last:?}");
        assert!(cutover.findings.iter().any(|it| it.code == "unattended"), "{first:?} {last:?}");
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
                runs[0].act.contains("OPEN: the job names none for it")
                    && runs[0].proof.contains("arrives from run 2")
            );
            let plan = cutover.plan.as_ref().expect("an order");
            assert_eq!(plan.curve.last().expect("a curve").count, 1);
            assert_eq!(cutover.gone_at(plan.end)[0].what, "C01 run 2");
            assert_eq!(cutover.gone_at(plan.end)[0].since, plan.dead[0].0);
        });
    }
}

#[test]
fn a_split_circuit_whose_runs_have_their_inputs_comes_back_whole() {
    let named = SPLIT.replace("input = \"M1.1\"\n", "input = \"M1.1\"\nalso = [\"M1.2\"]\n");
    for way in BOTH {
        with(&named, way, |cutover, _| {
            assert!(cutover.findings.iter().all(|it| it.code != "split-without-input"));
            let run =
                cutover.steps.iter().find(|it| it.act.starts_with("run 2: ")).expect("a step of its own");
            assert!(run.act.contains("land on M1.2"), "{}", run.act);
            let plan = cutover.plan.as_ref().expect("an order");
            assert_eq!(plan.curve.last().expect("a curve").count, 0);
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

#[test]
fn the_running_order_puts_the_account_off_test_for_every_night() {
    for way in BOTH {
        with(EXAMPLE, way, |cutover, _| {
            let order = cutover.order();
            let plan = cutover.plan.as_ref().expect("an order");
            let nights = cutover.on_test.len() - 1;
            assert!(nights > 0);
            assert_eq!(order.len(), plan.tasks.len() + 2 * nights);
            let of = |start: &str| -> Vec<usize> {
                (0..order.len()).filter(|at| order[*at].what.starts_with(start)).collect()
            };
            let (off, on) = (of("account off test, true signals"), of("account on test again"));
            assert_eq!((off.len(), on.len()), (nights, nights));
            for (night, (&off, &on)) in off.iter().zip(&on).enumerate() {
                let (evening, morning) = (cutover.on_test[night].1, cutover.on_test[night + 1].0);
                assert_eq!((order[off].from, order[on].from), (evening, morning));
                assert!(order[off].day < order[on].day);
                // Nothing of the day comes after it, nothing of the next before it.
                assert!(order[..off].iter().all(|row| row.to <= evening));
                assert!(order[on + 1..].iter().all(|row| row.from >= morning));
                // In the method statement the same stands between the same circuits.
                let told = cutover
                    .steps
                    .iter()
                    .filter(|step| step.act.starts_with("before leaving: account off test"));
                assert_eq!(told.count(), nights);
            }
            assert!(order.windows(2).all(|pair| pair[0].day <= pair[1].day));
        });
    }
}
