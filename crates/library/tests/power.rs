//! Outputs, inputs, smoke sources and standby rules: what they may leave out, and what is wrong with them.

mod common;

use common::{expect, good, module};
use document::Source;
use library::{Current, Kind, Library, Signal, System};
use quantity::{Amperes, Hours, Minutes, Ohms, Ratio, Volts};

#[test]
fn a_supply_with_outputs_and_its_input() {
    let profile = good(
        r#"
kind = "supply"
volts = "13.5 V to 13.9 V"
limit = "2 A"
outputs = [{ id = "aux", limit = "1 A" }, { id = "bell", limit = "1.5 A", ohms = "0.1 ohm", switched = true, gives = "driver" }]
input = { current = "ac", volts = "16 V to 18 V", volt_amperes = 40 }
"#,
    );
    let Kind::Supply(supply) = profile.kind else { panic!("a supply") };
    let [aux, bell] = supply.outputs.as_slice() else { panic!("two outputs") };
    assert_eq!(
        (aux.limit, aux.ohms, aux.switched, aux.gives),
        (Amperes(1.0), Ohms(0.0), false, Signal::Steady)
    );
    assert_eq!((bell.ohms, bell.switched, bell.gives), (Ohms(0.1), true, Signal::Driver));
    let input = supply.input.expect("an input");
    assert_eq!((input.current, input.volt_amperes), (Current::Alternating, Some(40.0)));
}

#[test]
fn what_is_wrong_with_outputs_and_batteries() {
    expect(
        r#"
kind = "supply"
volts = "13.5 V"
limit = "2 A"
outputs = [{ id = "aux", limit = "1 A" }, { id = "aux", limit = "1 A" }, { id = "x" }]
                                          ^the output `aux` stands here for the second time
                                                                         ^has no `limit`
input = { current = "dv" }
                     ^`dv`
"#,
    );
    expect(
        r#"
kind = "battery"
volts = "0 V"
         ^out of range
capacity = "0 Ah"
            ^out of range
"#,
    );
}

#[test]
fn a_smoke_source_and_its_thresholds() {
    const SMOKE: &str = r#"inputs = 2
[[mode]]
id = "m"
smoke = { volts = "17 V to 20 V", limit = "60 mA", standby = "2 mA", open_below = "2 mA", alarm_above = "15 mA" }
bands = [{ name = "rest", below = "5k", means = "normal" }, { name = "open", means = "trouble" }]
"#;
    let smoke = module(SMOKE).modes[0].smoke.expect("a source");
    assert_eq!((smoke.volts.lo(), smoke.series.hi(), smoke.short_above), (Volts(17.0), Ohms(0.0), None));
    let drawn =
        format!("kind = \"module\"\n{SMOKE}").replace("open_below = \"2 mA\"", "open_below = \"20 mA\"");
    let mut lines: Vec<String> = drawn.lines().map(str::to_owned).collect();
    let at = lines.iter().position(|line| line.starts_with("smoke")).expect("the line");
    let column = lines[at].find("\"20 mA\"").expect("the value");
    lines.insert(at + 1, format!("{:column$}^an open circuit would draw as much as an alarm", ""));
    expect(&lines.join("\n"));
}

#[test]
fn standby_rules_in_numbers() {
    let mut library = Library::default();
    let text = r#"
id = "t"
title = "t"
[[standby]]
id = "one"
edition = "2026"
system = "intrusion"
hours = "12 h"
alarm = "15 min"
alarm_inside = true
factors = [{ name = "ageing", times = 1.25, up_to = "24 h" }]
recharge = [{ share = "80 %", within = "24 h" }]
clause = "1"
source = "from memory"
[[clause]]
clause = "1"
asks = "x"
source = "x"
"#;
    library.add(&Source::new("t.toml", text)).expect("a rule set");
    let rule = &library.rules["t"].standby[0];
    assert_eq!(
        (rule.system, rule.hours, rule.alarm, rule.usual),
        (System::Intrusion, Hours(12.0), Minutes(15.0), true)
    );
    assert_eq!((rule.factors[0].up_to, rule.recharge[0].share), (Some(Hours(24.0)), Ratio(0.8)));
    assert!(rule.remembered() && rule.alarm_inside && rule.high_rate.is_none());
    // The second of one id, an alarm longer than its hours, and what must be said.
    let bad = text
        .replace("alarm = \"15 min\"", "alarm = \"800 min\"")
        .replace("[[clause]]", "[[standby]]\nid = \"one\"\nsystem = \"water\"\n[[clause]]");
    let source = Source::new("t.toml", bad.as_str());
    let problems = library.add(&source).expect_err("wrong");
    let told: Vec<String> = problems
        .iter()
        .map(|it| source.complaint(it))
        .map(|it| format!("{}: {}", it.line, it.text))
        .collect();
    assert!(told.contains(&"9: the alarm lasts longer than all of the hours".to_owned()), "{told:?}");
    for word in ["has no `hours`", "has no `edition`", "has no `source`", "`water`"] {
        assert!(told.iter().any(|line| line.contains(word)), "{word}: {told:?}");
    }
}

/// Every built-in rule says where it stands, and those that are from memory say so.
#[test]
fn every_built_in_rule_has_its_source() {
    let library = Library::embedded();
    for set in library.rules.values() {
        assert!(!set.standby.is_empty(), "{}", set.id);
        assert!(set.standby.iter().any(|rule| rule.usual), "{}", set.id);
        for rule in &set.standby {
            assert!(
                !rule.clause.is_empty() && !rule.source.is_empty() && !rule.edition.is_empty(),
                "{} {}",
                set.id,
                rule.id
            );
        }
    }
}
