//! The tables that stand once in a job: site, fire, standing, meter, assumptions, panel.

use document::Table;
use quantity::{Celsius, Gauge, Interval, MeterError, Ohms, Ratio, Written};

use super::{or_default, reference, words};
use crate::keys;
use crate::model::{Answer, Assume, ControlListing, DefaultUsed, Fire, Panel, Site, Standing, Units};

/// Temperatures that a cable in a building can have; wider is a slip of the keyboard.
const COLDEST: Celsius = Celsius(-60.0);
/// See [`COLDEST`].
const HOTTEST: Celsius = Celsius(120.0);

pub(super) fn site(root: &Table<'_>, defaults: &mut Vec<DefaultUsed>) -> Site {
    let table = root.table("site", keys::SITE);
    let table = table.as_ref();
    let temperature = table.and_then(|table| table.interval_within("cable_temperature", COLDEST, HOTTEST));
    let units = table.and_then(|table| table.word("units", &[("us", Units::Us), ("metric", Units::Metric)]));
    Site {
        name: table.map_or(String::new(), |table| words(table, "name")),
        rules: table.map_or(Vec::new(), |table| table.texts("rules")),
        cable_temperature: or_default(
            temperature,
            defaults,
            "site.cable_temperature",
            "0 C to 40 C",
            Interval::new(Celsius(0.0), Celsius(40.0)),
        ),
        units: or_default(units, defaults, "site.units", "metric", Units::Metric),
    }
}

pub(super) fn fire(root: &Table<'_>, defaults: &mut Vec<DefaultUsed>) -> Fire {
    let answers = [("yes", Answer::Yes), ("no", Answer::No), ("unknown", Answer::Unknown)];
    let listings = [
        ("commercial-fire", ControlListing::CommercialFire),
        ("household-fire", ControlListing::HouseholdFire),
        ("none", ControlListing::None),
        ("unknown", ControlListing::Unknown),
    ];
    let table = root.table("fire", keys::FIRE);
    let table = table.as_ref();
    let required = table.and_then(|table| table.word("required", &answers));
    let listed = table.and_then(|table| table.word("control_listed_for", &listings));
    Fire {
        required: or_default(required, defaults, "fire.required", "unknown", Answer::Unknown),
        control_listed_for: or_default(
            listed,
            defaults,
            "fire.control_listed_for",
            "unknown",
            ControlListing::Unknown,
        ),
        decision: table.map_or(String::new(), |table| words(table, "decision")),
    }
}

pub(super) fn standing(root: &Table<'_>) -> Standing {
    let Some(table) = root.table("standing", keys::STANDING) else { return Standing::default() };
    Standing {
        authority_in_writing: words(&table, "authority_in_writing"),
        station_on_test: words(&table, "station_on_test"),
        fire_authority_told: words(&table, "fire_authority_told"),
        asbestos_register_seen: words(&table, "asbestos_register_seen"),
        access: words(&table, "access"),
    }
}

pub(super) fn meter_name(root: &Table<'_>) -> String {
    root.table("meter", keys::METER).map_or(String::new(), |table| words(&table, "name"))
}

pub(super) fn meter(root: &Table<'_>, defaults: &mut Vec<DefaultUsed>) -> MeterError {
    const ACCURACY: &str = "0.9 % + 2 digits";
    let default = MeterError::default();
    let table = root.table("meter", keys::METER);
    let table = table.as_ref();
    let accuracy =
        table.and_then(|table| table.read("ohms", ACCURACY, |text| Ok(MeterError::parse_accuracy(text)?)));
    let leads = table.and_then(|table| table.quantity_within("leads", Ohms(0.0), Ohms(100.0)));
    let counts = table.and_then(|table| table.whole("counts", 100, 10_000_000));
    let counts = counts.map(|counts| counts.map(|counts| u32::try_from(counts).unwrap_or(default.counts)));
    let over = table.and_then(|table| table.quantity_within("over_range", Ohms(1e3), Ohms(1e12)));
    let (percent, digits) = or_default(
        accuracy,
        defaults,
        "meter.ohms",
        &default.accuracy_written(),
        (default.percent, default.digits),
    );
    MeterError {
        percent,
        digits,
        leads: or_default(leads, defaults, "meter.leads", &default.leads.written(), default.leads),
        counts: or_default(counts, defaults, "meter.counts", &default.counts.to_string(), default.counts),
        over_range: or_default(
            over,
            defaults,
            "meter.over_range",
            &default.over_range.written(),
            default.over_range,
        ),
    }
}

pub(super) fn assume(root: &Table<'_>, defaults: &mut Vec<DefaultUsed>) -> Assume {
    const GAUGE: &str = "22 AWG";
    let table = root.table("assume", keys::ASSUME);
    let table = table.as_ref();
    let ohms = |key| table.and_then(|table| table.quantity::<Ohms>(key));
    let share = |key| table.and_then(|table| table.quantity::<Ratio>(key));
    let gauge = table.and_then(|table| table.gauge("cable"));
    let default_gauge = Gauge::parse(GAUGE).expect("the default gauge is well written");
    let [closed, open] = ["assume.contact_closed_max", "assume.contact_open_min"];
    Assume {
        contact_closed_max: or_default(ohms("contact_closed_max"), defaults, closed, "1 ohm", Ohms(1.0)),
        contact_open_min: or_default(ohms("contact_open_min"), defaults, open, "1 Mohm", Ohms(1e6)),
        resistor_tolerance: or_default(
            share("resistor_tolerance"),
            defaults,
            "assume.resistor_tolerance",
            "5 %",
            Ratio(0.05),
        ),
        cable: or_default(gauge, defaults, "assume.cable", GAUGE, default_gauge),
        length_tolerance: or_default(
            share("length_tolerance"),
            defaults,
            "assume.length_tolerance",
            "0 %",
            Ratio(0.0),
        ),
        joint_max: or_default(ohms("joint_max"), defaults, "assume.joint_max", "0.5 ohm", Ohms(0.5)),
        smoke_dry_min: or_default(
            ohms("smoke_dry_min"),
            defaults,
            "assume.smoke_dry_min",
            "100 kohm",
            Ohms(100e3),
        ),
    }
}

pub(super) fn panel(root: &Table<'_>) -> Option<Panel> {
    let table = root.table("panel", keys::PANEL)?;
    Some(Panel {
        profile: reference(&table, "profile"),
        path_out: words(&table, "path_out"),
        power: words(&table, "power"),
    })
}
