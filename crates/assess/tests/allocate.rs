//! Circuits on inputs: the example from a survey to a full plan, demands that cannot stand together, what is written.

mod allocations;

use allocations::{applied, linen_store, plan_of, read};
use assess::{Limits, Status, allocate, assess, changes, chosen_remedies, freed, planned};
use document::{Document, Source};
use job::{Change, Place, Plain, Severity, TableRef};
use library::Library;

const EXAMPLE: &str = include_str!("../../../examples/orchard-row/job.toml");
const SURVEY: &str = include_str!("../../../examples/orchard-row/survey.toml");

/// The example's job without what the allocation answers: modules and what hangs on them, inputs, modes of inputs.
fn survey_form() -> String {
    let source = Source::new("job.toml", EXAMPLE);
    let plain = Document::parse(&source).plain();
    let named = |kind: &str, key: &str| -> Vec<String> {
        let Some(Plain::List(tables)) = plain.get(kind) else { return Vec::new() };
        tables
            .iter()
            .filter_map(|table| table.get(key))
            .map(|id| id.to_string().replacen("text ", "", 1))
            .collect()
    };
    let mut places = Vec::new();
    for tag in named("circuit", "tag") {
        let key = |key: &str| Place::Key(TableRef::named("circuit", &tag), key.to_owned());
        places.extend([key("input"), key("mode")]);
    }
    let of_module = |id: &String| id.contains(".S");
    places.extend(
        named("output", "id")
            .iter()
            .filter(|id| of_module(id))
            .map(|id| Place::Table(TableRef::named("output", id))),
    );
    places.extend(named("module", "id").iter().map(|id| Place::Table(TableRef::named("module", id))));
    let out = places.into_iter().filter_map(|at| {
        let from = at.value(&plain).cloned();
        from.map(|from| Change { at, from: Some(from), to: None })
    });
    let text = Change::apply_all(&out.collect::<Vec<_>>(), &source).expect("it can be taken out").text;
    let (_, rest) = text.split_once('\n').expect("a first line");
    let mut kept = String::from(
        "# The same building before anybody has said which circuit goes on which input: what `allocate` starts from.\n",
    );
    // A heading over the circuits of a module says nothing here.
    let mut lines = rest.lines().peekable();
    while let Some(line) = lines.next() {
        if line.starts_with("# Module ") {
            lines.next_if(|next| next.is_empty());
            continue;
        }
        kept.push_str(line);
        kept.push('\n');
    }
    kept
}

#[test]
fn the_survey_form_of_the_example_is_its_job_without_the_answer() {
    if std::env::var_os("LOOPWRIGHT_ACCEPT").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/orchard-row/survey.toml");
        std::fs::write(path, survey_form()).expect("it can be written");
    }
    assert!(
        SURVEY == survey_form(),
        "run this test with LOOPWRIGHT_ACCEPT=1 after a change of the example's job"
    );
}

#[test]
fn the_survey_becomes_a_full_plan_that_reads_at_least_as_well() {
    let library = Library::embedded();
    let survey = read(SURVEY);
    let plan = allocate(&survey, &library, &Limits::default());
    assert_eq!(plan.status, Status::Optimal, "{}", plan.answer());
    let left: Vec<&str> = plan.left.iter().map(|left| survey.circuits[left.circuit].tag.as_str()).collect();
    assert_eq!(left, ["C34", "C35", "C36"], "the spare pair, the sounder, the unknown one");
    assert!(plan.inputs.iter().all(|input| input.wrong.is_none() && input.remains.is_none()));
    let job = planned(&plan);
    let (then, now) = (read(EXAMPLE), job);
    let (by_hand, as_planned) = (assess(&then, &library, &|_, _| ()), assess(&now, &library, &|_, _| ()));
    let right = |assessment: &assess::Assessment| {
        assessment
            .circuits
            .iter()
            .filter(|of| of.study.as_ref().is_some_and(|study| study.reads_right))
            .count()
    };
    assert!(right(&as_planned) >= right(&by_hand));
    for severity in [Severity::Stop, Severity::Fix] {
        let count = |assessment: &assess::Assessment| {
            assessment.findings.iter().filter(|finding| finding.severity == severity).count()
        };
        let told: Vec<_> = as_planned
            .findings
            .iter()
            .filter(|f| f.severity == severity)
            .map(|f| (&f.place, f.code))
            .collect();
        assert!(count(&as_planned) <= count(&by_hand), "{severity:?} {told:?}");
    }
}

/// Kit, working time and cut-over count on `chosen_remedies` of the job as planned: they must be the plan's own.
#[test]
fn the_remedies_of_the_plan_are_those_of_the_job_as_planned() {
    let library = Library::embedded();
    for text in [SURVEY, EXAMPLE] {
        let job = read(text);
        let plan = allocate(&job, &library, &Limits::default());
        let then = planned(&plan);
        let assessment = assess(&then, &library, &|_, _| ());
        let chosen = chosen_remedies(&assessment);
        for input in plan.inputs.iter().filter(|input| input.wrong.is_none()) {
            let tag = &job.circuits[input.circuit].tag.value;
            let plan_says = input.remedy.as_ref().map(|remedy| remedy.text.as_str());
            let job_says = chosen[input.circuit].map(|remedy| remedy.text.as_str());
            assert_eq!(plan_says, job_says, "{tag} on {:?} in {}", input.inputs, input.mode);
        }
    }
}

#[test]
fn what_is_written_is_the_job_as_planned_with_every_comment_and_a_second_run_changes_nothing() {
    let library = Library::embedded();
    let survey = read(SURVEY);
    let plan = allocate(&survey, &library, &Limits::default());
    let text = applied(SURVEY, &changes(&plan));
    let remarks =
        |text: &str| text.lines().filter(|line| line.starts_with('#')).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(remarks(&text), remarks(SURVEY));
    let (written, then) = (read(&text), planned(&plan));
    assert_eq!(written.modules.len(), then.modules.len());
    for (one, other) in written.circuits.iter().zip(&then.circuits) {
        assert_eq!(one.tag.value, other.tag.value);
        assert_eq!(one.input, other.input, "{}", one.tag.value);
        let also = |of: &job::Circuit| of.also.iter().map(|also| also.value.clone()).collect::<Vec<_>>();
        assert_eq!(also(one), also(other), "{}", one.tag.value);
        assert_eq!(one.mode, other.mode, "{}", one.tag.value);
        assert_eq!(one.zone, other.zone, "{}", one.tag.value);
    }
    for (one, other) in written.modules.iter().zip(&then.modules) {
        assert_eq!(
            (&one.id, &one.profile, &one.mode, &one.enclosure),
            (&other.id, &other.profile, &other.mode, &other.enclosure)
        );
        assert_eq!(one.tamper, other.tamper);
    }
    let again = allocate(&written, &library, &Limits::default());
    assert_eq!(again.status, Status::Optimal, "{}", again.answer());
    assert_eq!(changes(&again), Vec::new(), "{}", again.answer());
    for (first, second) in plan.inputs.iter().zip(&again.inputs) {
        assert_eq!(first.inputs, second.inputs, "further inputs for home runs are kept too");
        assert_eq!(first.mode, second.mode);
    }
}

#[test]
fn the_same_job_and_count_give_the_same_plan() {
    let library = Library::embedded();
    let survey = read(SURVEY);
    let one = allocate(&survey, &library, &Limits { nodes: 40, stop: &|| false });
    let other = allocate(&survey, &library, &Limits { nodes: 40, stop: &|| false });
    assert_eq!(changes(&one), changes(&other));
    assert_eq!((one.cost, one.gap_ppm, one.nodes), (other.cost, other.gap_ppm, other.nodes));
}

#[test]
fn pinned_inputs_modes_and_zones_stay() {
    let library = Library::embedded();
    let job = read(EXAMPLE);
    let plan = allocate(&job, &library, &Limits::default());
    assert!(plan.found());
    for input in &plan.inputs {
        let circuit = &job.circuits[input.circuit];
        let kept = circuit.input.as_ref().map(|input| &input.value);
        assert_eq!(input.inputs.first(), kept, "{}", circuit.tag.value);
    }
    let modes: Vec<Option<&str>> = plan.modules.iter().map(|module| module.mode.as_deref()).collect();
    assert_eq!(modes, [Some("fixed-2k2"), Some("wide"), None]);
    let wrong: Vec<&str> = plan
        .inputs
        .iter()
        .filter(|input| input.wrong.is_some())
        .map(|input| job.circuits[input.circuit].tag.as_str())
        .collect();
    assert_eq!(wrong, ["C25"], "its shock detector is faster than the module");
    let free = freed(&job);
    assert!(free.modules.is_empty() && free.circuits.iter().all(|circuit| circuit.input.is_none()));
}

#[test]
fn every_module_says_what_is_on_its_tamper_input() {
    let library = Library::embedded();
    let survey = read(SURVEY);
    let plan = allocate(&survey, &library, &Limits::default());
    for enclosure in ["E1", "E2"] {
        let here = plan.modules.iter().filter(|module| module.enclosure.as_deref() == Some(enclosure));
        let wired = here.filter(|module| module.tamper == job::TamperInput::Wired).count();
        assert_eq!(wired, 1, "one switch on the cover of {enclosure}");
    }
    assert!(plan.modules.iter().all(|module| !module.tamper_because.is_empty()));
}

/// Thirty-six circuits, one smoke circuit, nine odd resistors, two modules with one mode each: the odd ones go where
/// no smoke mode has to be kept.
#[test]
fn odd_resistors_go_to_the_module_that_need_not_keep_its_smoke_mode() {
    let library = allocations::library();
    let text = allocations::thirty_six("", "");
    let job = read(&text);
    let plan = plan_of(&job, &library);
    assert_eq!(plan.status, Status::Optimal, "{}", plan.answer());
    let module = |tag: &str| {
        let input = plan.inputs.iter().find(|input| job.circuits[input.circuit].tag.value == tag).expect(tag);
        input.inputs[0].module.clone()
    };
    let smoke = module("S36");
    for odd in 27..36 {
        assert_ne!(module(&format!("C{odd}")), smoke, "C{odd}");
    }
    assert!(plan.inputs.iter().all(|input| input.remedy.is_none()), "nothing has to be changed");
    let mode =
        |id: &str| plan.modules.iter().find(|module| module.id == id).and_then(|module| module.mode.clone());
    assert_eq!(mode(&smoke).as_deref(), Some("two"));
    // one module forced into the mode without smoke inputs, the other too
    let forced = allocations::thirty_six("mode = \"any\"", "mode = \"any\"");
    let job = read(&forced);
    let plan = plan_of(&job, &library);
    assert_eq!(plan.status, Status::Infeasible);
    let conflict = plan.conflict.as_ref().expect("it says why");
    assert!(plan.answer().starts_with("It cannot be done because"), "{}", plan.answer());
    let places: Vec<&str> = conflict.demands.iter().map(|demand| demand.place.as_str()).collect();
    assert!(places.contains(&"S36"), "{places:?}");
    assert!(places.contains(&"M1") && places.contains(&"M2"), "both modes stand in the way: {places:?}");
    assert_eq!(changes(&plan), Vec::new(), "nothing is written");
}

/// Three smoke circuits and two inputs for them: named by their lines.
#[test]
fn too_many_smoke_circuits_are_named_by_their_lines() {
    let library = allocations::library();
    let text = "format = 1
[allocate]
new_modules = false
[[enclosure]]
id = \"E2\"
[[module]]
id = \"M1\"
enclosure = \"E2\"
profile = \"t36\"
mode = \"two\"
[[circuit]]
tag = \"S1\"
duty = \"smoke\"
ends_in = \"E2\"
network = \"wire:20m - smoke:D1 | 2.2k\"
[[circuit]]
tag = \"S2\"
duty = \"smoke\"
ends_in = \"E2\"
network = \"wire:21m - smoke:D2 | 2.2k\"
[[circuit]]
tag = \"S3\"
duty = \"smoke\"
ends_in = \"E2\"
network = \"wire:22m - smoke:D3 | 2.2k\"
";
    let job = read(text);
    let plan = plan_of(&job, &library);
    assert_eq!(plan.status, Status::Infeasible, "{}", plan.answer());
    let source = Source::new("job.toml", text);
    let conflict = plan.conflict.as_ref().expect("it says why");
    let lines: Vec<usize> = conflict
        .demands
        .iter()
        .filter_map(|demand| demand.span.as_ref())
        .map(|span| source.place(span.start).line)
        .collect();
    for line in [12, 17, 22] {
        assert!(lines.contains(&line), "{lines:?} {}", conflict.words);
    }
    assert!(conflict.words.contains("3 smoke circuits"), "{}", conflict.words);
}

#[test]
fn a_full_enclosure_gets_another_beside_it_and_the_file_says_so() {
    let library = Library::embedded();
    let text = linen_store("", "");
    let job = read(&text);
    let plan = plan_of(&job, &library);
    assert_eq!(plan.status, Status::Optimal, "{}", plan.answer());
    let annexes: Vec<&str> = plan.places[1].annexes.iter().map(|annex| annex.id.as_str()).collect();
    assert_eq!(annexes, ["E2A"]);
    let hangs: Vec<Option<&str>> = plan.modules.iter().map(|module| module.enclosure.as_deref()).collect();
    assert_eq!(hangs, [Some("E2"), Some("E2A")]);
    let after = applied(&text, &changes(&plan));
    let written = read(&after);
    let annex = written.enclosures.iter().find(|enclosure| enclosure.id.value == "E2A").expect("it is there");
    assert_eq!(annex.beside.as_ref().map(|id| id.as_str()), Some("E2"));
    assert_eq!(annex.place, "beside E2, linen store");
    let again = plan_of(&written, &library);
    assert_eq!((again.cost, changes(&again).len()), (0, 0), "{}", again.answer());
}

#[test]
fn without_another_box_the_positions_stand_in_the_way() {
    let library = Library::embedded();
    let text = linen_store("annexes = 0", "");
    let job = read(&text);
    let plan = plan_of(&job, &library);
    assert_eq!(plan.status, Status::Infeasible);
    let conflict = plan.conflict.as_ref().expect("it says why");
    let positions = conflict.demands.iter().find(|demand| demand.place == "E2").expect("E2 has one position");
    let source = Source::new("job.toml", text.clone());
    assert_eq!(positions.span.as_ref().map(|span| source.place(span.start).line), Some(9));
}

#[test]
fn a_longer_cable_counts_in_the_circuit_and_is_written_once() {
    let library = Library::embedded();
    let way = "[[extension]]\nfrom = \"E2\"\nto = \"E1\"\nlength = \"25 m\"\nminutes = 40\n";
    let text = linen_store("annexes = 0", way);
    let job = read(&text);
    let plan = plan_of(&job, &library);
    assert_eq!(plan.status, Status::Optimal, "{}", plan.answer());
    let longer: Vec<usize> =
        plan.inputs.iter().filter(|input| input.extension.is_some()).map(|input| input.circuit).collect();
    assert_eq!(longer.len(), 1, "one circuit has no room");
    let after = applied(&text, &changes(&plan));
    let written = read(&after);
    let circuit = &written.circuits[longer[0]];
    assert_eq!(circuit.ends_in.as_ref().map(|id| id.as_str()), Some("E1"));
    let network = circuit.network.as_ref().expect("it has one").written();
    assert!(network.starts_with("wire:25m - wire:"), "{network}");
    assert!(
        after.contains("wire:25m - wire:")
            && job.circuits[longer[0]].network.as_ref().is_some_and(|of| network.ends_with(&of.written()))
    );
    let again = plan_of(&written, &library);
    assert_eq!(changes(&again).len(), 0, "{}", again.answer());
    // 2 km of it and the mode no longer reads it: no way out any more
    let far = linen_store("annexes = 0", &way.replace("25 m", "2000 m"));
    let job = read(&far);
    assert_eq!(plan_of(&job, &library).status, Status::Infeasible);
}

#[test]
fn spare_inputs_that_are_wanted_are_there() {
    let library = Library::embedded();
    let job = read(&linen_store("spare = 9", ""));
    let plan = plan_of(&job, &library);
    assert!(plan.found(), "{}", plan.answer());
    assert!(plan.places.iter().map(|place| place.spare).sum::<u32>() >= 9);
}
