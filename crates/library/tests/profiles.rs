//! Profiles of `docs/format.md`, section 3: what is required, what is taken when left out, what is refused.

mod common;

use common::{expect, good, module, told};
use document::Source;
use library::{Draw, Earth, Kind, Learns, Library, ModePer, OnPowerLoss, Scale};
use network::{Form, Meaning, Role};
use quantity::{Amperes, Interval, Minutes, Ohms, Ratio, Seconds, Volts, Watts};

const BANDS: &str = r#"bands = [ { name = "short", below = "1.2k", means = "trouble" }, { name = "rest", below = "3.4k", means = "normal" }, { name = "open", means = "alarm" } ]"#;

#[test]
fn what_every_profile_must_have() {
    let source = Source::new("x.toml", "");
    let told: Vec<String> =
        library::Profile::read(&source).unwrap_err().iter().map(|problem| problem.text.clone()).collect();
    assert_eq!(told, ["`basis` is missing", "`id` is missing", "`kind` is missing", "`title` is missing"]);
    expect("kind = \"gadget\"\n        ^kind `gadget` is not known | module, supply, battery");
    expect("kind = \"modul\"\n        ^did you mean `module`?\ninputs = 8\n");
    expect("kind = \"keypad\"\ninputs = 8\n^unknown key `inputs` | id, kind");
}

#[test]
fn what_each_kind_must_have() {
    for (kind, wanted) in [
        ("module", &["`inputs` is missing", "a module has no mode"] as &[&str]),
        ("supply", &["`limit` is missing", "`volts` is missing"]),
        ("battery", &["`capacity` is missing", "`volts` is missing"]),
        ("detector", &["a detector has neither contacts nor draws"]),
        ("sounder", &["a sounder has neither contacts nor draws"]),
        ("transformer", &[]),
        ("keypad", &[]),
        ("panel", &[]),
        ("enclosure", &[]),
        ("relay", &[]),
    ] {
        assert_eq!(told(&format!("kind = \"{kind}\"")), wanted, "{kind}");
    }
}

#[test]
fn everything_else_may_be_left_out() {
    let module = module(&format!("inputs = 8\n[[mode]]\nid = \"m\"\n{BANDS}"));
    assert_eq!((module.inputs, module.mode_per, module.aux), (8, ModePer::Module, None));
    assert_eq!(module.earth, Earth::Floating);
    assert_eq!(module.sends, Meaning::ALL);
    let mode = &module.modes[0];
    assert_eq!((mode.eol, mode.accepts, mode.line_max, mode.response), (None, None, Ohms(100.0), None));
    assert_eq!((mode.edge_tolerance, mode.scale), (Ratio(0.0), Scale::Ohms));
    assert!(mode.smoke_inputs.is_empty() && mode.pull_up.is_none() && mode.source.is_none());
    let keypad = good("kind = \"keypad\"");
    assert_eq!(keypad.draws.standby, Draw::Current(Amperes(0.0)));
    assert!((keypad.price).abs() < 1e-9 && keypad.minutes == Minutes(0.0) && keypad.steps.is_empty());
}

#[test]
fn draws_in_amperes_watts_or_ohms() {
    let draws = good("kind = \"relay\"\ndraws = { standby = \"2.4 W\", alarm = \"47 ohm\" }").draws;
    assert_eq!((draws.standby, draws.alarm), (Draw::Power(Watts(2.4)), Draw::Resistance(Ohms(47.0))));
    let draws = good("kind = \"relay\"\ndraws = { standby = \"25 mA\" }").draws;
    assert_eq!(draws.alarm, Draw::Current(Amperes(0.025)), "what draws in standby draws in alarm too");
    expect(
        "kind = \"relay\"\ndraws = { standby = \"25\" }\n                     ^unit | amperes, watts or ohms",
    );
}

/// A supply cuts off at 10.5 V for each 12 V; a battery has 0.3 ohm*Ah / capacity: 7 Ah give 42.857 mohm.
#[test]
fn supplies_and_batteries() {
    let supply = |text: &str| match good(text).kind {
        Kind::Supply(supply) => supply,
        other => panic!("{other:?}"),
    };
    assert_eq!(supply("kind = \"supply\"\nvolts = \"13.8 V\"\nlimit = \"2 A\"").cut_off, Volts(10.5));
    assert_eq!(supply("kind = \"supply\"\nvolts = \"27 V to 27.6 V\"\nlimit = \"2 A\"").cut_off, Volts(21.0));
    let given = supply("kind = \"supply\"\nvolts = \"13.8 V\"\nlimit = \"2 A\"\ncut_off = \"9.6 V\"");
    assert_eq!(given.cut_off, Volts(9.6));
    let Kind::Battery(battery) = good("kind = \"battery\"\nvolts = \"12 V\"\ncapacity = \"7 Ah\"").kind
    else {
        panic!()
    };
    assert!((battery.internal.0 - 0.042_857).abs() < 1e-6);
    expect(
        "kind = \"battery\"\nvolts = \"12 V\"\ncapacity = \"0 Ah\"\n            ^out of range | 0.1 Ah to 10000 Ah",
    );
}

#[test]
fn detectors_and_sounders() {
    let Kind::Detector(detector) = good(
        r#"kind = "detector"
minimum = "9.5 V"
[[contact]]
form = "nc"
closed = "10 ohm to 50 ohm"
on_power_loss = "opens"
pulse = "50 ms"
[[contact]]
role = "tamper"
form = "no"
open_min = "2 Mohm""#,
    )
    .kind
    else {
        panic!("a detector")
    };
    let [alarm, tamper] = detector.contacts.as_slice() else { panic!("two contacts") };
    assert_eq!((alarm.role, alarm.form), (Role::Alarm, Form::NormallyClosed));
    assert_eq!(alarm.closed, Some(Interval::new(Ohms(10.0), Ohms(50.0))));
    assert_eq!((alarm.on_power_loss, alarm.pulse), (Some(OnPowerLoss::Opens), Some(Seconds(0.05))));
    assert_eq!(
        (tamper.role, tamper.form, tamper.open_min),
        (Role::Tamper, Form::NormallyOpen, Some(Ohms(2e6)))
    );
    assert_eq!((tamper.on_power_loss, tamper.closed), (None, None));
    expect(
        "kind = \"detector\"\n[[contact]]\n^contact has no `form`\nrole = \"mask\"\n        ^ | alarm, tamper or fault\non_power_loss = \"drops\"\n                 ^ | opens, closes or stays\npulse = \"50\"\n         ^unit",
    );
    expect(
        "kind = \"detector\"\ntwo_wire = { volts = \"12 V\", standby = \"50 uA\", alarm = \"1 V\" }\n           ^two_wire has no `alarm_volts`\n                                                           ^",
    );
}

#[test]
fn earth_in_three_ways() {
    let earth =
        |text: &str| module(&format!("inputs = 8\nearth = \"{text}\"\n[[mode]]\nid = \"m\"\n{BANDS}")).earth;
    assert_eq!(earth("floating"), Earth::Floating);
    assert_eq!(earth("common-earthed"), Earth::CommonEarthed);
    assert_eq!(earth("detected below 50 kohm"), Earth::DetectedBelow(Ohms(50e3)));
}

#[test]
fn edges_in_four_ways() {
    let mode = |keys: &str, edges: [&str; 2]| {
        let [short, rest] = edges;
        let bands = format!(
            "bands = [ {{ name = \"short\", below = \"{short}\", means = \"trouble\" }}, {{ name = \"rest\", below = \"{rest}\", means = \"normal\" }}, {{ name = \"open\", means = \"alarm\" }} ]"
        );
        module(&format!("inputs = 8\n[[mode]]\nid = \"m\"\n{keys}\n{bands}")).modes.remove(0)
    };
    let ohms = mode("source = \"5 V\"\npull_up = \"2.2k\"", ["1.2k", "3.4k"]);
    assert_eq!((ohms.scale, ohms.bands[1].below), (Scale::Ohms, Some(3400.0)));
    assert_eq!(
        (ohms.source, ohms.pull_up),
        (Some(Interval::exact(Volts(5.0))), Some(Interval::exact(Ohms(2200.0))))
    );
    let volts = mode("source = \"5 V 2 %\"\npull_up = \"2.2k 1 %\"", ["1.9 V", "3.4 V"]);
    let Scale::Volts { source, pull_up } = volts.scale else { panic!("volts") };
    assert!((source.lo().0 - 4.9).abs() < 1e-9 && (pull_up.hi().0 - 2222.0).abs() < 1e-9);
    let share = mode("pull_up = \"2.2k\"", ["42 % of source", "66 % of source"]);
    assert_eq!(
        (share.scale, share.bands[0].below),
        (Scale::ShareOfSource { pull_up: Interval::exact(Ohms(2200.0)) }, Some(0.42))
    );
    let learned = mode("learned = \"every power-up\"", ["70 %", "140 %"]);
    assert_eq!(
        (learned.scale, learned.bands[1].below),
        (Scale::ShareOfLearned { learns: Learns::AtPowerUp }, Some(1.4))
    );
}

#[test]
fn what_is_wrong_with_a_module() {
    expect(
        r#"
kind = "module"
inputs = 1001
         ^inputs 1001 is out of range | from 1 to 1000
mode_per = "circuit"
            ^ | module or input
earth = "detected below 50"
                        ^unit
sends = ["alarm", "panic"]
                   ^`panic` is not known | normal, alarm
aux = { volts = "11.5 V to 14 V" }
      ^aux has no `limit`
[steps]
clear = [ { proof = "seen" } ]
          ^has no `do`
[[mode]]
^mode has no `id`
bands = [ { name = "all", means = "normal" } ]
"#,
    );
    expect(
        r#"
kind = "module"
inputs = 8
[[mode]]
id = "m"
smoke_inputs = [8, 9, 8]
                   ^ | from 1 to 8
                      ^input 8 stands here for the second time
line_max = "100"
            ^unit
bands = [ { name = "all", means = "normal" } ]
[[mode]]
^a mode has no bands
id = "m"
     ^the mode `m` stands here for the second time
bands = []
[[mode]]
^mode has no `bands`
id = "n n"
       ^` ` does not belong in an id
"#,
    );
}

#[test]
fn what_is_wrong_with_bands() {
    let with = |keys: &str, bands: &str| {
        expect(&format!("kind = \"module\"\ninputs = 8\n[[mode]]\nid = \"m\"\n{keys}bands = [\n{bands}\n]"));
    };
    with(
        "",
        "  { name = \"a\", below = \"3k\", means = \"trouble\" },\n  { name = \"b\", below = \"2k\", means = \"normal\" },\n                        ^band `b` does not end above the band before it | rising\n  { name = \"c\", means = \"alarm\" }",
    );
    with(
        "",
        "  { name = \"a\", means = \"trouble\" },\n  ^band `a` has no upper edge\n  { name = \"c\", means = \"alarm\" }",
    );
    with(
        "",
        "  { name = \"a\", below = \"3k\", means = \"trouble\" }\n                        ^band `a` has an upper edge",
    );
    with(
        "",
        "  { name = \"a\", below = \"3k\", means = \"trouble\" },\n  { name = \"a\", means = \"alarm\" }\n           ^the band `a` stands here for the second time",
    );
    with(
        "",
        "  { name = \"a\", below = \"3k\", means = \"fault\" },\n                                       ^ | normal, alarm\n  { below = \"4\", means = \"alarm\" },\n  ^bands has no `name`\n             ^unit | `42 % of source`\n  { name = \"c\" }\n  ^has no `means`",
    );
    with(
        "",
        "  { name = \"a\", below = \"3k\", means = \"trouble\" },\n  { name = \"b\", below = \"4 V\", means = \"normal\" },\n                        ^this edge is in volts, the first one in ohms\n  { name = \"c\", means = \"alarm\" }",
    );
    // 3k with 10 % is 2.7 to 3.3k, 3.5k is 3.15 to 3.85k: nothing between is surely read
    with(
        "edge_tolerance = \"10 %\"\n",
        "  { name = \"a\", below = \"3k\", means = \"trouble\" },\n  { name = \"b\", below = \"3.5k\", means = \"normal\" },\n                        ^nothing surely reads as band `b`\n  { name = \"c\", means = \"alarm\" }",
    );
    // the source is at least 4.9 V
    with(
        "source = \"5 V 2 %\"\npull_up = \"2.2k\"\n",
        "  { name = \"a\", below = \"4.9 V\", means = \"normal\" },\n                        ^least volts of the source\n  { name = \"c\", means = \"alarm\" }",
    );
    with(
        "pull_up = \"2.2k\"\n",
        "  { name = \"a\", below = \"100 % of source\", means = \"normal\" },\n                        ^\n  { name = \"c\", means = \"alarm\" }",
    );
    let two = |edge: &str| {
        format!(
            "  {{ name = \"a\", below = \"{edge}\", means = \"normal\" }},\n  {{ name = \"c\", means = \"alarm\" }}"
        )
    };
    with("learned = \"command\"\n          ^a mode that learns, with edges in ohms\n", &two("3k"));
    for (edge, wanted) in [
        ("3 V", &["edges in volts need `source`", "edges in volts need `pull_up`"] as &[&str]),
        ("42 % of source", &["edges in percent of the source need `pull_up`"]),
        ("70 %", &["edges in percent of the learned value need `learned`"]),
    ] {
        let mut is =
            told(&format!("kind = \"module\"\ninputs = 8\n[[mode]]\nid = \"m\"\nbands = [{}]", two(edge)));
        is.sort_by_key(|text| std::cmp::Reverse(text.clone()));
        assert_eq!(is, wanted, "{edge}");
    }
}

#[test]
fn rule_sets() {
    let mut library = Library::default();
    let good = "id = \"house\"\ntitle = \"Our own\"\n[[clause]]\nclause = \"1\"\nasks = \"24 h\"\nsource = \"by hand\"";
    library.add(&Source::new("x", good)).unwrap();
    assert_eq!(library.rules["house"].clauses[0].asks, "24 h");
    let bad = "title = \"x\"\n[[clause]]\nclause = \"1\"\nasks = \"24 h\"\n";
    let problems = library.add(&Source::new("x", bad)).unwrap_err();
    let texts: Vec<&str> = problems.iter().map(|problem| problem.text.as_str()).collect();
    assert_eq!(texts, ["`id` is missing", "clause has no `source`"]);
}

/// A file of the user's own replaces what has the same id; a bad one changes nothing.
#[test]
fn the_users_own_files_come_first() {
    let mut library = Library::embedded();
    let before = library.profiles.len();
    let own = |volts: &str| {
        format!(
            "id = \"vrla-12v-7ah\"\nkind = \"battery\"\ntitle = \"Ours\"\nbasis = \"data sheet\"\nvolts = \"{volts}\"\ncapacity = \"7.2 Ah\""
        )
    };
    assert!(library.add(&Source::new("x", own("12"))).is_err());
    assert_ne!(library.profiles["vrla-12v-7ah"].title, "Ours");
    library.add(&Source::new("x", own("12 V"))).unwrap();
    assert_eq!((library.profiles["vrla-12v-7ah"].title.as_str(), library.profiles.len()), ("Ours", before));
}
