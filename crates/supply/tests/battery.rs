//! Batteries, chargers, strings and what is said of them.

use document::Source;
use job::{Feeding, Finding, Job};
use library::Library;
use supply::{Between, Study};

fn with(text: &str, check: impl FnOnce(&Study, &[Finding])) {
    let library = Library::embedded();
    let source = Source::new("job.toml", text);
    let job = Job::read(&source).unwrap_or_else(|problems| panic!("{text}: {problems:?}"));
    let feeding = Feeding::new(&job);
    let study = supply::study(&job, &library, &feeding, 0);
    let findings = supply::findings(&job, &library, &study);
    check(&study, &findings);
}

fn codes(findings: &[Finding]) -> Vec<&str> {
    findings.iter().map(|finding| finding.code).collect()
}

fn job(supply: &str) -> String {
    format!(
        "format = 1\nsite.rules = [\"us-fire\"]\n[[supply]]\nid = \"P1\"\nprofile = \"psu-12v-2a\"\n{supply}\n"
    )
}

/// By hand: 0.3 A and the supply's own 25 mA for 24 h and 5 min, times 1.25: 9.78 Ah and a little.
#[test]
fn a_battery_that_is_too_small_by_rule_and_by_physics() {
    let text = job(
        "battery = \"vrla-12v-7ah\"\nloads = [{ at = \"P1\", name = \"x\", standby = \"300 mA\", minimum = \"10 V\" }]",
    );
    with(&text, |study, findings| {
        let required = study.governing.map(|at| study.rules[at].required_ah).expect("a rule");
        assert!((required - 1.25 * 0.325 * (24.0 + 5.0 / 60.0)).abs() < 1e-9, "{required}");
        assert!(codes(findings).contains(&"battery-too-small"), "{findings:?}");
        assert!(codes(findings).contains(&"battery-ends-early"), "{findings:?}");
        // The supply has cut off: the load has nothing, and is not counted as short of volts.
        assert_eq!(study.loads[0].last_minute.map(|volts| volts.0), Some(0.0));
        assert_eq!(study.loads[0].ok, Some(false));
        assert!(!codes(findings).contains(&"load-under-volts"));
    });
}

/// A second string halves each one's current: at slow rates twice the hours and a little more.
#[test]
fn strings_in_parallel_and_blocks_in_series() {
    let hours = |supply: &str| {
        let mut hours: Between = (0.0, 0.0);
        let mut fitted = 0.0;
        with(&job(supply), |study, _| {
            let battery = study.battery.as_ref().expect("a battery");
            hours = battery.hours;
            fitted = battery.bank.capacity_ah();
        });
        (hours, fitted)
    };
    let loads = "loads = [{ at = \"P1\", standby = \"600 mA\" }]";
    let (one, fitted) = hours(&format!("battery = \"vrla-12v-7ah\"\n{loads}"));
    let (two, twice) = hours(&format!("battery = \"vrla-12v-7ah\"\nstrings = 2\n{loads}"));
    assert!((twice - 2.0 * fitted).abs() < 1e-12);
    assert!(two.0 > 2.0 * one.0 && two.0 < 2.6 * one.0, "{one:?} {two:?}");
    assert!(one.0 < one.1 && two.0 < two.1);
    // 24 V: two blocks in series, and the same ampere-hours.
    let text = "format = 1\n[[supply]]\nid = \"P1\"\nprofile = \"psu-24v-3a\"\nbattery = \"vrla-12v-7ah\"\n";
    with(text, |study, findings| {
        let battery = study.battery.as_ref().expect("a battery");
        assert_eq!((battery.bank.in_series, battery.bank.strings), (2, 1));
        assert!(
            (battery.bank.volts() - 24.0).abs() < 1e-12 && (battery.bank.capacity_ah() - 7.0).abs() < 1e-12
        );
        assert!(!codes(findings).contains(&"battery-volts"));
    });
    with(&format!("{text}in_series = 1\n"), |_, findings| {
        assert!(codes(findings).contains(&"battery-volts"), "{findings:?}");
    });
}

#[test]
fn chargers_both_ways_and_recharge_times() {
    for (battery, code) in
        [("vrla-12v-4ah\"\nstrings = 5", "charger-too-weak"), ("tiny", "charger-too-strong")]
    {
        let mut library = Library::embedded();
        let tiny = "id = \"tiny\"\nkind = \"battery\"\ntitle = \"t\"\nbasis = \"test\"\nvolts = \"12 V\"\ncapacity = \"2 Ah\"\n";
        library.add(&Source::new("t.toml", tiny)).expect("a profile");
        let text = job(&format!("battery = \"{battery}{}", if battery == "tiny" { "\"" } else { "" }));
        let job =
            Job::read(&Source::new("job.toml", text.as_str())).unwrap_or_else(|it| panic!("{text} {it:?}"));
        let feeding = Feeding::new(&job);
        let study = supply::study(&job, &library, &feeding, 0);
        let findings = supply::findings(&job, &library, &study);
        assert!(codes(&findings).contains(&code), "{battery}: {findings:?}");
    }
    // By hand: 1.25 x 18 Ah / 0.5 A = 45 h, within 48 h; 80 % within 24 h would need 36 h.
    with(&job("battery = \"vrla-12v-18ah\""), |study, findings| {
        let battery = study.battery.as_ref().expect("a battery");
        assert!((battery.recharged[0].takes_h - 45.0).abs() < 1e-9);
        assert!(!codes(findings).contains(&"recharge-too-slow"), "{findings:?}");
    });
    let text = job("battery = \"vrla-12v-18ah\"").replace("us-fire", "uk-fire");
    with(&text, |study, findings| {
        let battery = study.battery.as_ref().expect("a battery");
        assert!((battery.recharged[0].takes_h - 36.0).abs() < 1e-9);
        assert!(codes(findings).contains(&"recharge-too-slow"), "{findings:?}");
    });
}

/// A load in watt draws more as the battery falls: it ends earlier than the same load in ampere at full volts.
#[test]
fn constant_power_feeds_back_on_the_battery() {
    let hours = |load: &str| {
        let mut hours = 0.0;
        let text =
            job(&format!("battery = \"vrla-12v-7ah\"\nloads = [{{ at = \"P1\", standby = \"{load}\" }}]"));
        with(&text, |study, _| hours = study.battery.as_ref().expect("a battery").hours.0);
        hours
    };
    let (power, current, resistance) = (hours("6.425 W"), hours("500 mA"), hours("25.7 ohm"));
    assert!(power < current && current < resistance, "{power} {current} {resistance}");
}

/// What wants more than a tired battery can give collapses, and is told so, not left out.
#[test]
fn a_collapse_on_battery_is_a_finding() {
    let text = job(
        "battery = \"vrla-12v-4ah\"\nruns = [{ from = \"P1\", to = \"J1\", ohms = \"4 ohm\" }]\nloads = [{ at = \"J1\", name = \"pump\", standby = \"0 W\", alarm = \"10.8 W\", minimum = \"6 V\" }]",
    );
    with(&text, |study, findings| {
        assert!(
            matches!(study.alarm, Some(Ok(_))),
            "13.5 V can still carry 10.8 W through 4 ohm: {:?}",
            study.alarm
        );
        assert!(matches!(study.full_alarm, Some(Err(_))), "12.85 V behind the battery cannot");
        let told = findings.iter().find(|finding| finding.code == "collapse").expect("it is told");
        assert!(told.text.contains("J1"), "{}", told.text);
        assert_eq!(study.loads[0].ok, Some(false));
    });
}

/// Loads that are shed draw nothing once the mains is gone, and have no last minute.
#[test]
fn shed_loads_draw_on_mains_only() {
    let text = job(
        "battery = \"vrla-12v-7ah\"\nloads = [{ at = \"P1\", name = \"lamp\", standby = \"500 mA\", minimum = \"9 V\", shed = true }]",
    );
    with(&text, |study, _| {
        assert!((study.standby_a - 0.025).abs() < 1e-12, "{}", study.standby_a);
        let mains = study.standby.as_ref().expect("a profile").as_ref().expect("solved");
        assert!((mains.total_a.1 - 0.525).abs() < 1e-12);
        assert_eq!(study.loads[0].last_minute, None);
        assert_eq!(study.loads[0].ok, Some(true));
    });
}

/// A local word changes hours, alarm and margin, and keeps its reason.
#[test]
fn a_local_word_is_followed_and_named() {
    let text = format!(
        "{}[[standby]]\nrules = \"us-fire\"\ntake = [\"premises-2019\"]\nhours = \"60 h\"\nalarm = \"10 min\"\nfactor = 1.3\nreason = \"letter of the fire authority\"\n",
        job("battery = \"vrla-12v-7ah\"\nloads = [{ at = \"P1\", standby = \"75 mA\" }]")
    );
    with(&text, |study, _| {
        let rule = &study.rules[0];
        assert!((rule.required_ah - 1.3 * 0.1 * (60.0 + 10.0 / 60.0)).abs() < 1e-9, "{}", rule.required_ah);
        assert_eq!(rule.words, ["letter of the fire authority"]);
        assert_eq!(study.rules.len(), 1);
    });
}

/// Of several rule sets each has its own loads in alarm, and the largest counts.
#[test]
fn every_rule_set_has_its_own_loads() {
    let text = "format = 1\nsite.rules = [\"us-intrusion-commercial\", \"us-fire-household\"]\n[[supply]]\nid = \"P1\"\nloads = [{ at = \"P1\", standby = \"100 mA\" }, \
        { at = \"P1\", standby = \"0 A\", alarm = \"1 A\", alarm_in = [\"intrusion\"] }, { at = \"P1\", standby = \"0 A\", alarm = \"2 A\", alarm_in = [\"smoke\"] }]\n";
    with(text, |study, _| {
        let [burglar, fire] = [&study.rules[0], &study.rules[1]];
        assert!((burglar.alarm_a - 1.1).abs() < 1e-12 && (fire.alarm_a - 2.1).abs() < 1e-12);
        assert!((burglar.required_ah - (0.4 + 1.1 * 0.25)).abs() < 1e-12);
        assert!((fire.required_ah - (2.4 + 2.1 * 4.0 / 60.0)).abs() < 1e-12);
        assert_eq!(study.governing, Some(1));
    });
}

/// What one `[[standby]]` says is said of the rules that it takes, and of no other's.
#[test]
fn a_local_word_stays_with_the_rules_that_it_takes() {
    let text = format!(
        "{}[[standby]]\nrules = \"us-fire\"\ntake = \"generator-2013\"\nhours = \"3 h\"\nfactor = 0.9\nreason = \"for the generator\"\n\
         [[standby]]\nrules = \"us-fire\"\ntake = \"premises-2022\"\nreason = \"read\"\n",
        job("battery = \"vrla-12v-7ah\"\nloads = [{ at = \"P1\", standby = \"75 mA\" }]")
    );
    with(&text, |study, findings| {
        let rule = |id: &str| study.rules.iter().find(|rule| rule.rule == id).expect("it holds");
        let [premises, generator] = [rule("premises-2022"), rule("generator-2013")];
        // By hand: 0.1 A all the time.
        assert!((premises.required_ah - 1.25 * 0.1 * (24.0 + 5.0 / 60.0)).abs() < 1e-9);
        assert!((generator.required_ah - 0.9 * 0.1 * (3.0 + 5.0 / 60.0)).abs() < 1e-9);
        assert_eq!(
            (&premises.words[..], &generator.words[..]),
            (&["read".to_owned()][..], &["for the generator".to_owned()][..])
        );
        assert!(
            premises.working[0].starts_with("NFPA 72, 2022, 10.6.7.2.1")
                && premises.working[0].ends_with(": 24 h in standby, then 5 min in alarm")
        );
        assert!(
            generator.working[0].ends_with(": 4 h, a margin of 1.2; by local word: 3 h (for the generator), a margin of 0.9 (for the generator)"),
            "{}",
            generator.working[0]
        );
        let told: Vec<&Finding> =
            findings.iter().filter(|finding| finding.code == "rule-overridden").collect();
        assert_eq!(told.len(), 1);
        for words in [
            "generator-2013",
            "3 h instead of 4 h",
            "0.9 instead of a margin of 1.2",
            "less than the clause",
            "for the generator",
        ] {
            assert!(told[0].text.contains(words), "{words}: {}", told[0].text);
        }
        assert!(!told[0].text.contains("premises"), "{}", told[0].text);
    });
}

/// Two words on one figure: the larger counts, and both are named. The order of the entries is nothing.
#[test]
fn local_words_at_odds() {
    let entry = |hours: &str, reason: &str| {
        format!(
            "[[standby]]\nrules = \"us-fire\"\ntake = \"premises-2022\"\nhours = \"{hours}\"\nreason = \"{reason}\"\n"
        )
    };
    let (one, other) = (entry("60 h", "the letter"), entry("8 h", "the phone"));
    for words in [format!("{one}{other}"), format!("{other}{one}")] {
        with(&format!("{}{words}", job("battery = \"vrla-12v-7ah\"")), |study, findings| {
            assert!((study.rules[0].hours - 60.0).abs() < 1e-12);
            let told =
                findings.iter().find(|finding| finding.code == "local-words-differ").expect("it is told");
            assert!(
                told.text.contains("60 h (the letter)") && told.text.contains("8 h (the phone)"),
                "{}",
                told.text
            );
        });
    }
}

/// The blocks of the other supplies of an enclosure are counted as their own study takes them: 2 for 24 V.
#[test]
fn an_enclosure_counts_the_blocks_of_every_supply() {
    let mut library = Library::embedded();
    let text = "id = \"three\"\nkind = \"enclosure\"\ntitle = \"t\"\nbasis = \"test\"\nbatteries = 3\n";
    library.add(&Source::new("t.toml", text)).unwrap_or_else(|it| panic!("{it:?}"));
    let told = |strings: u32| {
        let text = format!(
            "format = 1\n[[enclosure]]\nid = \"E1\"\nprofile = \"three\"\n\
             [[supply]]\nid = \"P1\"\nenclosure = \"E1\"\nprofile = \"psu-24v-3a\"\nbattery = \"vrla-12v-7ah\"\n\
             [[supply]]\nid = \"P2\"\nenclosure = \"E1\"\nprofile = \"psu-12v-2a\"\nbattery = \"vrla-12v-7ah\"\nstrings = {strings}\n"
        );
        let job =
            Job::read(&Source::new("job.toml", text.as_str())).unwrap_or_else(|it| panic!("{text} {it:?}"));
        let feeding = Feeding::new(&job);
        let study = supply::study(&job, &library, &feeding, 1);
        let findings = supply::findings(&job, &library, &study);
        findings.into_iter().find(|finding| finding.code == "enclosure-full").map(|finding| finding.text)
    };
    assert_eq!(told(1), None);
    let text = told(2).expect("4 blocks in room for 3");
    assert!(text.starts_with("4 blocks"), "{text}");
}

/// The text and the remedy of the finding with this code.
fn told(text: &str, code: &str) -> Option<(String, String)> {
    let mut told = None;
    with(text, |_, findings| {
        let found = findings.iter().find(|finding| finding.code == code);
        told = found.map(|finding| (finding.text.clone(), finding.remedy.clone()));
    });
    told
}

/// The alarm of a rule that lies inside its hours cannot be longer than they are.
#[test]
fn an_alarm_inside_its_hours_that_is_longer() {
    let library = Library::embedded();
    let (set, rule) = library
        .rules
        .values()
        .find_map(|set| Some((set, set.standby.iter().find(|rule| rule.alarm_inside)?)))
        .expect("a rule with its alarm inside");
    let text = |hours: &str| {
        format!(
            "{}[[standby]]\nrules = \"{}\"\ntake = \"{}\"\nhours = \"{hours}\"\nalarm = \"90 min\"\nreason = \"x\"\n",
            job("battery = \"vrla-12v-7ah\"").replace("us-fire", &set.id),
            set.id,
            rule.id
        )
    };
    assert!(told(&text("1 h"), "alarm-beyond-hours").is_some_and(|(text, _)| text.contains("90 min, 1 h")));
    assert_eq!(told(&text("2 h"), "alarm-beyond-hours"), None);
}

/// 300 m of 22 AWG are over 30 ohm: no 18 V are left behind them at 2 A and more.
#[test]
fn a_transformer_that_cannot_deliver() {
    let text = |psu: &str, length: u32| {
        format!(
            "format = 1\n[[supply]]\nid = \"P1\"\nprofile = \"{psu}\"\ntransformer = \"transformer-18v-50va\"\ntransformer_cable = \"{length} m of 22 AWG\"\nloads = [{{ at = \"P1\", alarm = \"1 A\" }}]\n"
        )
    };
    with(&text("psu-12v-2a", 300), |study, _| {
        let mains = study.mains.as_ref().expect("a transformer");
        assert_eq!((mains.arrives, mains.cannot_deliver), (None, true));
    });
    let (told_text, _) = told(&text("psu-12v-2a", 300), "transformer-volts").expect("it is told");
    assert!(told_text.contains("cannot deliver it"), "{told_text}");
    assert_eq!(told(&text("psu-12v-2a", 2), "transformer-not-wanted"), None);
    assert!(
        told(&text("psu-24v-3a", 2), "transformer-not-wanted").is_some(),
        "its profile has no such input"
    );
}

/// What is quoted is the lowest of all conditions: here the battery's last minute, not the mains.
#[test]
fn the_worst_condition_is_quoted() {
    let text = job(
        "battery = \"vrla-12v-7ah\"\nloads = [{ at = \"P1\", name = \"x\", standby = \"10 mA\", minimum = \"14 V\" }]",
    );
    let (text, _) = told(&text, "load-under-volts").expect("14 V are never there");
    assert!(text.contains("in the last alarm minute"), "{text}");
}

#[test]
fn a_module_for_other_volts() {
    let text = |psu: &str| {
        format!(
            "format = 1\n[[supply]]\nid = \"P1\"\nprofile = \"{psu}\"\n[[module]]\nid = \"M1\"\nprofile = \"input-12\"\nfed_by = \"P1\"\n"
        )
    };
    assert!(told(&text("psu-24v-3a"), "module-volts").is_some_and(|(text, _)| text.contains("module M1")));
    assert_eq!(told(&text("psu-12v-2a"), "module-volts"), None);
}

/// By hand: 12.85 V behind 8 ohm give at most 5.2 W, whatever the battery.
#[test]
fn no_battery_helps_where_the_cable_collapses() {
    let text = |ohms: u32| {
        job(&format!(
            "battery = \"vrla-12v-4ah\"\nruns = [{{ from = \"P1\", to = \"J1\", ohms = \"{ohms} ohm\" }}]\nloads = [{{ at = \"J1\", name = \"pump\", standby = \"0 W\", alarm = \"5.6 W\" }}]"
        ))
    };
    with(&text(8), |study, findings| {
        assert!(matches!(study.full_alarm, Some(Err(_))));
        let larger = findings.iter().filter(|finding| finding.code == "collapse");
        assert!(larger.clone().count() > 1, "by cable and by battery: {findings:?}");
        assert!(larger.clone().all(|finding| !finding.remedy.contains("larger battery")), "{findings:?}");
    });
}

#[test]
fn what_is_asked_of_a_supply_about_which_nothing_is_known() {
    let text = "format = 1\nsite.rules = [\"us-fire\"]\n[[supply]]\nid = \"P1\"\n";
    with(text, |study, _| assert_eq!(study.required_ah(), None));
    assert!(told(text, "no-battery").is_some_and(|(text, _)| text.contains("not known")));
    let text = format!("{text}loads = [{{ at = \"P1\", standby = \"100 mA\" }}]\n");
    with(&text, |study, _| assert!(study.required_ah().is_some()));
}

#[test]
fn no_rule_at_all_is_told() {
    let text = "format = 1\nsite.rules = [\"us-fire\"]\n[[supply]]\nid = \"P1\"\nprofile = \"psu-12v-2a\"\nbattery = \"vrla-12v-7ah\"\n";
    assert_eq!(told(text, "standby-not-asked"), None);
    assert!(told(&text.replace("[\"us-fire\"]", "[]"), "standby-not-asked").is_some());
    assert!(told(&format!("{text}rules = []\n"), "standby-not-asked").is_some());
}
