//! Any readings and any table: no panic, probabilities that are probabilities, and an answer to every question.

use document::Source;
use identify::{
    Column, OneByOne, before_leaving, for_and_against, how_known, is_contradicted, network_of, options, plan,
    read_sheet, remarks, second_visit, survey,
};
use job::Job;
use library::{Habits, Library};
use proptest::prelude::*;

fn habits() -> Habits {
    Library::embedded().habits["default"].clone()
}

/// Habits of one wiring and one value, nothing ever wrong: what does not fit has no likelihood at all.
fn narrow() -> Habits {
    let text = "id = \"default\"\nbasis = \"narrow\"\n[wiring]\nnc-eol = 1\n[resistor]\n\"2.2k\" = 1\n[building]\nkeeps = 1\nlater_hand = 0\n[spread]\ncable = \"0 ohm to 0 ohm\"\njoints = \"0 ohm\"\nlong = 0\nleak = 0\n[reading]\nwrong = 0\nrestless = 0\nworse = 0\nmissed = 0\nunfed = 0\n";
    let mut library = Library::default();
    library.add_habits(&Source::new("habits", text)).expect("these are habits");
    library.habits.remove("default").expect("they are called default")
}

fn when() -> impl Strategy<Value = &'static str> {
    prop::sample::select(vec![
        "rest",
        "tripped",
        "d1",
        "d2",
        "d1.tamper",
        "d1.fault",
        "reversed",
        "joined",
        "opened",
        "after 60 s",
        "earth",
        "earth-a",
        "core C02.b",
        "live",
    ])
}

fn shown() -> impl Strategy<Value = String> {
    prop_oneof![
        Just("ohms = \"open\"".to_owned()),
        Just("ohms = \"unstable\"".to_owned()),
        Just("ohms = \"0 ohm\"".to_owned()),
        (-2.0..8.0_f64).prop_map(|power| format!("ohms = \"{:.2} ohm\"", 10f64.powf(power))),
        (0.0..300.0_f64).prop_map(|volts| format!("volts_dc = \"{volts:.1} V\"")),
        (0.0..300.0_f64).prop_map(|volts| format!("volts_ac = \"{volts:.1} V\"")),
    ]
}

/// Everything that can be asked of a survey.
fn ask_everything(job: &Job, habits: &Habits) {
    let survey = survey(job, habits, &OneByOne);
    for pair in &survey.pairs {
        let sum: f64 = pair.ranking.all.iter().map(|one| one.probability).sum();
        assert!(pair.ranking.all.is_empty() || (sum - 1.0).abs() < 1e-9, "{sum}");
        assert!(pair.ranking.all.iter().all(|one| (0.0..=1.0 + 1e-9).contains(&one.probability)));
        assert!((0.0..=1.0).contains(&pair.ranking.other()));
        for candidate in pair.ranking.all.iter().take(5) {
            let _ = for_and_against(&survey.setting, &pair.evidence, candidate);
        }
        let circuit = &job.circuits[pair.circuit];
        for option in options(&survey.setting, job, circuit, &pair.evidence, &pair.ranking) {
            assert!(option.gain_bits.is_finite() && option.gain_bits >= 0.0, "{option:?}");
        }
        let _ = (remarks(&survey, pair), is_contradicted(&survey, pair), how_known(pair));
        if let Some(network) = network_of(&survey.setting, job, pair) {
            assert!(pair.ranking.settled, "{}", network.written());
        }
    }
    let left = before_leaving(&survey);
    assert!(second_visit(&survey, &left).0.is_finite());
    assert!(plan(&survey).iter().all(|task| task.minutes.0.is_finite()));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn any_readings(
        all in prop::collection::vec(prop::collection::vec((when(), shown(), any::<bool>()), 0..6), 1..4),
        plain in any::<bool>(),
    ) {
        let mut text = String::from("format = 1\n");
        for (at, readings) in all.iter().enumerate() {
            let entries: Vec<String> = readings
                .iter()
                .map(|(when, shown, fed)| format!("{{ when = \"{when}\", {shown}, fed = {fed} }}"))
                .collect();
            text += &format!("[[circuit]]\ntag = \"C{at}\"\nfound = [{}]\n", entries.join(", "));
        }
        let job = Job::read(&Source::new("job", text.as_str()))
            .map_err(|problems| TestCaseError::fail(format!("{}\n{text}", problems[0].text)))?;
        ask_everything(&job, &if plain { habits() } else { narrow() });
    }

    #[test]
    fn any_table(rows in prop::collection::vec(prop::collection::vec("C0|C1|OL|2[.]2k|\\PC{0,12}", 0..22), 0..8)) {
        let job = Job::read(&Source::new("job", "format = 1\n[[circuit]]\ntag = \"C0\"\n[[circuit]]\ntag = \"C1\"\n"))
            .expect("a job of two tags");
        let columns: Vec<Option<Column>> = Column::ALL.into_iter().map(Some).chain([None]).collect();
        if let Err(problems) = read_sheet(&job, &columns, &rows) {
            for problem in problems {
                prop_assert!(problem.row >= 2 && problem.row < rows.len() + 2);
                prop_assert!(problem.column >= 1 && problem.column <= 22);
            }
        }
    }
}

/// Very many devices on one pair, each tripped.
#[test]
fn a_chain_of_forty_devices() {
    let mut entries = vec!["{ when = \"rest\", ohms = \"2.21k\" }".to_owned()];
    for at in 0..40 {
        let shown = if at % 2 == 0 { "open" } else { "4.40k" };
        entries.push(format!("{{ when = \"d{at}\", ohms = \"{shown}\" }}"));
    }
    let text = format!("format = 1\n[[circuit]]\ntag = \"C0\"\nfound = [{}]\n", entries.join(", "));
    let job = Job::read(&Source::new("job", text)).expect("it reads");
    ask_everything(&job, &habits());
}
