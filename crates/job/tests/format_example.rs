//! The example of `docs/format.md`, section 1, field by field; a job of one line; a job of every table.

mod common;

use common::good;
use job::{
    Answer, Connection, ControlListing, CoreEnd, Display, Draw, Duty, InputRef, Link, ResistorPlace,
    RunConductor, Shown, Units, When,
};
use network::Meaning;
use quantity::{Amperes, Celsius, Gauge, Interval, Metres, Minutes, Ohms, Ratio, Seconds, Volts, Watts};

const EXAMPLE: &str = include_str!("format_example.toml");

fn near(is: f64, wanted: f64) {
    assert!((is - wanted).abs() <= wanted.abs() * 1e-12, "{is} {wanted}");
}

#[test]
fn the_tables_that_stand_once() {
    let job = good(EXAMPLE);
    assert_eq!(job.site.name, "Orchard Row Veterinary Hospital");
    let rules: Vec<&str> = job.site.rules.iter().map(|rule| rule.as_str()).collect();
    assert_eq!(rules, ["us-fire", "us-intrusion-commercial"]);
    assert_eq!(job.site.cable_temperature, Interval::new(Celsius(5.0), Celsius(40.0)));
    assert_eq!(job.site.units, Units::Us);
    assert_eq!(job.fire.required, Answer::Unknown);
    assert_eq!(job.fire.control_listed_for, ControlListing::Unknown);
    assert_eq!(job.fire.decision, "");
    assert_eq!(job.standing.station_on_test, "");
    near(job.meter.percent.0, 0.009);
    assert_eq!(job.meter.digits, 2);
    assert_eq!(job.meter.leads, Ohms(0.2));
    assert_eq!(job.assume.contact_closed_max, Ohms(1.0));
    assert_eq!(job.assume.contact_open_min, Ohms(1e6));
    near(job.assume.resistor_tolerance.0, 0.05);
    assert_eq!(job.panel.unwrap().profile.unwrap(), "panel-64");
}

#[test]
fn equipment_and_devices() {
    let job = good(EXAMPLE);
    let enclosure = &job.enclosures[0];
    assert_eq!((enclosure.id.as_str(), enclosure.place.as_str()), ("E1", "ground-floor riser"));
    assert_eq!(enclosure.profile.as_ref().unwrap(), &"enclosure-large");
    let module = &job.modules[0];
    assert_eq!(module.id, "M1");
    assert_eq!(module.enclosure.as_ref().unwrap(), &"E1");
    assert_eq!(module.mode.as_ref().unwrap(), &"fixed-2k2");
    assert_eq!(module.link, Some(Link::Radio));
    let device = &job.devices[0];
    assert_eq!((device.id.as_str(), device.access.as_str()), ("D3", "key 4, ladder 3.4 m"));
    assert_eq!((device.minutes, device.made), (Some(Minutes(12.0)), Some(2013)));
    assert_eq!(device.fed_by.as_ref().unwrap(), &"J1");
    assert_eq!(device.connection, Some(Connection::InOut));
    let output = &job.outputs[0];
    assert_eq!((output.id.as_str(), output.drives.as_str()), ("M1.S1", "sounder circuit S1"));
    assert_eq!(output.contact, Some(Amperes(1.0)));
    assert_eq!(output.fed_from.as_ref().unwrap(), &"P1");
}

#[test]
fn a_circuit_with_its_readings() {
    let job = good(EXAMPLE);
    let circuit = &job.circuits[0];
    assert_eq!((circuit.tag.as_str(), circuit.place.as_str()), ("C07", "pharmacy, double door"));
    assert_eq!(circuit.duty, Some(Duty::Intrusion));
    assert_eq!((circuit.was.as_str(), circuit.zone), ("zone 7", Some(7)));
    assert_eq!(circuit.ends_in.as_ref().unwrap(), &"E1");
    assert_eq!(circuit.gauge, Some(Gauge::parse("22 AWG").unwrap()));
    let network = circuit.network.as_ref().unwrap();
    assert_eq!(network.written(), "wire:38m - nc:leaf1 - wire:2m - nc:leaf2 - 2.2k");
    assert_eq!(circuit.resistor_at, Some(ResistorPlace::Panel));
    let input = circuit.input.as_ref().unwrap();
    assert_eq!(input.value, InputRef { module: "M1".to_owned(), number: 7 });
    assert_eq!(&EXAMPLE[input.span.clone()], "\"M1.7\"");
    assert_eq!(circuit.means["short"], Meaning::Trouble);
    assert_eq!(circuit.means["open"], Meaning::Alarm);
    assert_eq!(circuit.found[0].when, When::Rest);
    let shown = Shown::Ohms(Display::Value { value: Ohms(2210.0), digit: Ohms(10.0) });
    assert_eq!(circuit.found[0].shown, [shown]);
    assert_eq!(circuit.found[1].when, When::Device("leaf1".to_owned()));
    assert_eq!(circuit.found[1].shown, [Shown::Ohms(Display::Open)]);
    let line = EXAMPLE.lines().position(|line| line.starts_with("found")).unwrap() + 1;
    assert_eq!(circuit.found[1].line, line);
}

#[test]
fn a_supply_and_a_cable() {
    let job = good(EXAMPLE);
    let supply = &job.supplies[0];
    assert_eq!(supply.battery.as_ref().unwrap(), &"vrla-12v-7ah");
    let RunConductor::Cable { length, gauge } = &supply.runs[0].conductor else { panic!("a cable") };
    assert_eq!((*length, *gauge), (Interval::exact(Metres(25.0)), Gauge::parse("18 AWG").unwrap()));
    let RunConductor::Measured(ohms) = &supply.runs[1].conductor else { panic!("a measured run") };
    assert_eq!(*ohms, Interval::exact(Ohms(1.2)));
    assert_eq!((supply.runs[1].from.as_str(), supply.runs[1].to.as_str()), ("J1", "J2"));
    let [pir, strobe] = supply.loads.as_slice() else { panic!("two loads") };
    assert_eq!(
        (pir.at.as_str(), pir.device.as_deref().map(String::as_str), pir.count),
        ("J1", Some("motion-pir"), 3)
    );
    assert_eq!((strobe.name.as_str(), strobe.count), ("old strobe", 1));
    assert_eq!(strobe.standby, Some(Draw::Current(Amperes(0.0))));
    assert_eq!(strobe.alarm, Some(Draw::Power(Watts(2.4))));
    assert_eq!(
        (strobe.minimum, strobe.alarm_in.as_slice()),
        (Some(Volts(10.5)), ["fire".to_owned()].as_slice())
    );
    let [red, black, green] = job.cables[0].cores.as_slice() else { panic!("three cores") };
    let leg = |tag: &str, returns| CoreEnd::Circuit { tag: tag.to_owned(), returns };
    assert_eq!((red.colour.as_str(), red.was.as_str(), &red.to[0].value), ("red", "Z7+", &leg("C07", false)));
    let shared: Vec<&CoreEnd> = black.to.iter().map(|end| &end.value).collect();
    assert_eq!(shared, [&leg("C07", true), &leg("C08", true)]);
    assert_eq!(green.to[0].value, CoreEnd::Spare);
}

#[test]
fn a_job_of_one_line_has_every_default_and_says_so() {
    let job = good("format = 1");
    assert!(job.circuits.is_empty() && job.modules.is_empty() && job.panel.is_none());
    let used: Vec<String> =
        job.defaults.iter().map(|used| format!("{} = {}", used.key, used.value)).collect();
    assert_eq!(
        used,
        [
            "site.cable_temperature = 0 C to 40 C",
            "site.units = metric",
            "fire.required = unknown",
            "fire.control_listed_for = unknown",
            "meter.ohms = 1.5 % + 5 digits",
            "meter.leads = 0.3 ohm",
            "meter.counts = 6000",
            "meter.over_range = 40M",
            "assume.contact_closed_max = 1 ohm",
            "assume.contact_open_min = 1 Mohm",
            "assume.resistor_tolerance = 5 %",
            "assume.cable = 22 AWG",
            "assume.length_tolerance = 0 %",
            "assume.joint_max = 0.5 ohm",
            "assume.smoke_dry_min = 100 kohm",
        ]
    );
    assert_eq!(job.site.cable_temperature, Interval::new(Celsius(0.0), Celsius(40.0)));
    assert_eq!((job.assume.joint_max, job.assume.smoke_dry_min), (Ohms(0.5), Ohms(100e3)));
    assert_eq!(job.assume.cable, Gauge::parse("22 AWG").unwrap());
    assert_eq!((job.assume.resistor_tolerance, job.assume.length_tolerance), (Ratio(0.05), Ratio(0.0)));
    assert_eq!((job.meter.percent, job.meter.digits, job.meter.leads), (Ratio(0.015), 5, Ohms(0.3)));
}

/// What the file gives is no default.
#[test]
fn given_values_are_not_listed_as_defaults() {
    let job = good("format = 1\n[assume]\njoint_max = \"0.5 ohm\"\n[site]\nunits = \"us\"");
    assert!(!job.defaults.iter().any(|used| used.key == "assume.joint_max" || used.key == "site.units"));
    assert_eq!(job.defaults.len(), 13);
}

#[test]
fn every_condition_of_a_reading() {
    let words = [
        ("rest", When::Rest),
        ("tripped", When::Tripped),
        ("reversed", When::Reversed),
        ("joined", When::Joined),
        ("opened", When::Opened),
        ("earth", When::Earth),
        ("earth-a", When::EarthA),
        ("earth-b", When::EarthB),
        ("core green", When::Core("green".to_owned())),
        ("after 60 s", When::After(Seconds(60.0))),
        ("after 2 min", When::After(Seconds(120.0))),
        ("live", When::Live),
        ("leaf1", When::Device("leaf1".to_owned())),
        ("t\u{fc}r_2", When::Device("t\u{fc}r_2".to_owned())),
        ("pir.tamper", When::Device("pir.tamper".to_owned())),
        ("pir.alarm", When::Device("pir".to_owned())),
    ];
    for (word, when) in words {
        let job = good(&format!(
            "format = 1\n[[circuit]]\ntag = \"C01\"\nfound = [ {{ when = \"{word}\", fed = true, ohms = \"unstable\" }} ]"
        ));
        assert_eq!(job.circuits[0].found[0].when, when, "{word}");
        assert!(job.circuits[0].found[0].fed);
        assert_eq!(job.circuits[0].found[0].shown, [Shown::Ohms(Display::Unstable)]);
    }
}

/// A digit is the last digit as typed (`docs/format.md`, section 1, and by hand).
#[test]
fn the_last_digit_of_a_display_is_the_one_that_was_typed() {
    for (text, value, digit) in [
        ("2.21k", 2210.0, 10.0),
        ("2.210k", 2210.0, 1.0),
        ("470 ohm", 470.0, 1.0),
        ("4k7", 4700.0, 100.0),
        ("0.2 ohm", 0.2, 0.1),
        ("1.00 Mohm", 1e6, 1e4),
    ] {
        let job = good(&format!(
            "format = 1\n[[circuit]]\ntag = \"C01\"\nfound = [ {{ when = \"rest\", ohms = \"{text}\" }} ]"
        ));
        let Shown::Ohms(Display::Value { value: is, digit: step }) = job.circuits[0].found[0].shown[0] else {
            panic!("{text}")
        };
        near(is.0, value);
        near(step.0, digit);
    }
}

#[test]
fn several_ranges_of_one_reading() {
    let job = good(
        "format = 1\n[[circuit]]\ntag = \"C01\"\n[[circuit.found]]\nwhen = \"live\"\nvolts_dc = \"-6.9 V\"\nvolts_ac = \"0.02 V\"\namps = \"18 mA\"",
    );
    let shown = &job.circuits[0].found[0].shown;
    assert_eq!(shown[0], Shown::VoltsDc(Display::Value { value: Volts(-6.9), digit: Volts(0.1) }));
    assert_eq!(shown[1], Shown::VoltsAc(Display::Value { value: Volts(0.02), digit: Volts(0.01) }));
    assert_eq!(shown[2], Shown::Amps(Display::Value { value: Amperes(0.018), digit: Amperes(0.001) }));
}

/// Each kind of table under its own header, in braces and with dotted keys means the same.
#[test]
fn toml_has_several_ways_to_write_a_table() {
    for text in [
        "format = 1\n[meter]\nleads = \"0.2 ohm\"",
        "format = 1\nmeter = { leads = \"0.2 ohm\" }",
        "format = 1\nmeter.leads = '0.2 ohm'",
        "\u{feff}format = 0x1\r\n\"meter\".leads = '''\n0.2 ohm'''\r\n",
    ] {
        assert_eq!(good(text).meter.leads, Ohms(0.2), "{text}");
    }
    let job = good("format = 1\ncircuit = [ { tag = \"C01\", network = \"\"\"\nnc:a -\n  4.7k\"\"\" } ]");
    assert_eq!(job.circuits[0].network.as_ref().unwrap().written(), "nc:a - 4.7k");
}

/// Supply points may be named wherever a supply is meant: by a run's end, an output, or the supply itself.
#[test]
fn points_outputs_and_supplies_feed() {
    let job = good(
        r#"
format = 1
[[module]]
id = "M1"
[[supply]]
id = "P1"
runs = [ { from = "J1", to = "J2", ohms = "1 ohm 5 %" }, { from = "P1.bell", to = "J1", cable = "20 m to 30 m of 0.5 mm2" },
         { from = "M1.aux", to = "J3", ohms = "0.5 ohm to 0.7 ohm" } ]
loads = [ { at = "P1" }, { at = "J2", shed = true, standby = "47 ohm" }, { at = "M1.aux" }, { at = "J3" } ]
[[device]]
id = "C01/pir"
fed_by = "J3"
[[circuit]]
tag = "C01"
[[output]]
id = "P1.bell"
fed_from = "P1"
[[cable]]
id = "K1"
cores = [ { to = ["J3.plus", "J3.0v"], ohms = "1.5 ohm" } ]
"#,
    );
    assert_eq!(job.supplies[0].loads[1].standby, Some(Draw::Resistance(Ohms(47.0))));
    assert!(job.supplies[0].loads[1].shed);
    assert_eq!(job.cables[0].cores[0].ohms, Some(Interval::exact(Ohms(1.5))));
    let point = CoreEnd::Supply { point: "J3".to_owned(), zero_volts: true };
    assert_eq!(job.cables[0].cores[0].to[1].value, point);
}
