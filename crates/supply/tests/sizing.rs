//! Conductors: what is proposed is put into the job and studied again.

use document::Source;
use job::{Feeding, Job};
use library::Library;
use quantity::Gauge;

/// The worst load's volts to spare, the smallest conductor of the first run, and whether doubling it does.
fn ask(cable: &str, cores: u32, length: u32) -> (bool, Option<Gauge>, bool) {
    let text = format!(
        "format = 1\nsite.rules = [\"us-fire-household\"]\n[[supply]]\nid = \"P1\"\nprofile = \"psu-12v-2a\"\nbattery = \"vrla-12v-12ah\"\n\
         temperature = \"15 C to 25 C\"\n\
         runs = [{{ from = \"P1\", to = \"J1\", cable = \"{length} m of {cable}\", cores = {cores} }}, {{ from = \"J1\", to = \"J2\", cable = \"8 m of 20 AWG\" }}]\n\
         loads = [{{ at = \"J1\", standby = \"120 mA\", alarm = \"150 mA\", minimum = \"9.5 V\" }}, \
         {{ at = \"J2\", standby = \"0 W\", alarm = \"3 W\", minimum = \"10.2 V\" }}, {{ at = \"J2\", standby = \"0 A\", alarm = \"90 ohm\", minimum = \"9 V\" }}]\n"
    );
    let text = text.replace("\"0 A\", alarm = \"90 ohm\"", "\"900 ohm\", alarm = \"90 ohm\"");
    let library = Library::embedded();
    let job =
        Job::read(&Source::new("job.toml", text.as_str())).unwrap_or_else(|it| panic!("{text}: {it:?}"));
    let feeding = Feeding::new(&job);
    let study = supply::study(&job, &library, &feeding, 0);
    let first = study.plan.point("J1").expect("a point");
    let choice = study.sizing.runs.iter().find(|choice| choice.point == first).expect("it was looked at");
    let fails = study.loads.iter().any(|load| load.ok == Some(false));
    // What the findings say and what the remedy search sees are one thing.
    assert_eq!(fails, study.sizing.short_v > 0.0, "{cable}, {length} m: {}", study.sizing.short_v);
    (!fails, choice.smallest, choice.doubled_does)
}

#[test]
fn the_smallest_conductor_does_and_the_next_thinner_does_not() {
    const THINNER: [(i8, i8); 7] = [(10, 12), (12, 14), (14, 16), (16, 18), (18, 20), (20, 22), (22, 24)];
    let mut seen = std::collections::BTreeSet::new();
    for length in [4, 9, 14, 22, 35, 50, 70] {
        let (_, smallest, doubled) = ask("22 AWG", 1, length);
        let (as_doubled, _, _) = ask("22 AWG", 2, length);
        assert_eq!(doubled, as_doubled, "{length} m doubled");
        let Some(Gauge::Awg { number, .. }) = smallest else {
            assert!(!ask("10 AWG", 1, length).0, "{length} m: 10 AWG would do");
            continue;
        };
        seen.insert(number);
        assert!(ask(&format!("{number} AWG"), 1, length).0, "{length} m of {number} AWG");
        if let Some((_, thinner)) = THINNER.iter().find(|(thick, _)| *thick == number) {
            assert!(!ask(&format!("{thinner} AWG"), 1, length).0, "{length} m of {thinner} AWG would do");
        }
    }
    assert!(seen.len() >= 4, "{seen:?}");
}
