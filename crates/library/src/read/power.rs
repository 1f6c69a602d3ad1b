//! Outputs, mains inputs, smoke sources and standby rules.

use std::collections::BTreeSet;

use document::{Table, Value};
use quantity::{Amperes, Hours, Interval, Minutes, Ohms, Ratio, Volts};

use crate::keys;
use crate::power::{
    Current, Factor, MainsInput, Recharge, Requirement, Signal, SmokeSource, SupplyOutput, System,
};

/// AC and DC by their words.
pub(super) const CURRENTS: [(&str, Current); 2] = [("ac", Current::Alternating), ("dc", Current::Direct)];

/// What sounders want by its words.
pub(super) const SIGNALS: [(&str, Signal); 2] = [("steady", Signal::Steady), ("driver", Signal::Driver)];

/// The longest standby that a rule may ask for: a year and a day.
const MOST_HOURS: Hours = Hours(8784.0);

pub(super) fn outputs(table: &Table<'_>) -> Vec<SupplyOutput> {
    let mut seen = BTreeSet::new();
    let mut outputs = Vec::new();
    for value in table.list("outputs") {
        let Some(output) = value.table(keys::SUPPLY_OUTPUT).and_then(|table| output(&table)) else {
            continue;
        };
        if !seen.insert(output.id.clone()) {
            let text = format!("the output `{}` stands here for the second time", output.id);
            table.problems().report(value.span(), text, "each output once");
        }
        outputs.push(output);
    }
    outputs
}

fn output(table: &Table<'_>) -> Option<SupplyOutput> {
    let id = super::id(table);
    let limit = table.required("limit").and_then(|value| value.quantity::<Amperes>());
    Some(SupplyOutput {
        ohms: table.quantity("ohms").map_or(Ohms(0.0), |ohms| ohms.value),
        switched: table.yes_or_no("switched").is_some_and(|switched| switched.value),
        gives: table.word("gives", &SIGNALS).map_or(Signal::Steady, |gives| gives.value),
        id: id?.value,
        limit: limit?.value,
    })
}

pub(super) fn mains_input(table: &Table<'_>) -> Option<MainsInput> {
    let input = table.table("input", keys::MAINS_INPUT)?;
    let current = input.required("current").and_then(|value| value.word(&CURRENTS));
    let volts = input.interval::<Volts>("volts").map(|volts| volts.value);
    let volt_amperes = input.number("volt_amperes", 0.0, 1e6).map(|power| power.value);
    Some(MainsInput { current: current?.value, volts, volt_amperes })
}

pub(super) fn smoke_source(table: &Table<'_>) -> Option<SmokeSource> {
    let smoke = table.table("smoke", keys::SMOKE_SOURCE)?;
    let volts = smoke.required("volts").and_then(|value| value.interval::<Volts>());
    let limit = smoke.required("limit").and_then(|value| value.interval::<Amperes>());
    let amperes = |key| smoke.required(key).and_then(|value| value.quantity::<Amperes>());
    let [standby, open_below, alarm_above] = ["standby", "open_below", "alarm_above"].map(amperes);
    let short_above = smoke.quantity::<Amperes>("short_above").map(|short| short.value);
    if let (Some(open), Some(alarm)) = (&open_below, &alarm_above)
        && open.value >= alarm.value
    {
        let text = "an open circuit would draw as much as an alarm";
        smoke.problems().report(open.span.clone(), text, "`open_below` less than `alarm_above`");
    }
    Some(SmokeSource {
        series: smoke.interval("series").map_or(Interval::exact(Ohms(0.0)), |series| series.value),
        short_above,
        most_heads: smoke.whole("most_heads", 0, 1000).and_then(|heads| u32::try_from(heads.value).ok()),
        reset_volts: smoke.quantity("reset_volts").map(|volts| volts.value),
        reset: smoke.quantity("reset").map(|time| time.value),
        volts: volts?.value,
        limit: limit?.value,
        standby: standby?.value,
        open_below: open_below?.value,
        alarm_above: alarm_above?.value,
    })
}

/// The standby rules of a rule set.
pub(super) fn standby(table: &Table<'_>) -> Vec<Requirement> {
    let mut seen = BTreeSet::new();
    let mut rules = Vec::new();
    for table in table.tables("standby", keys::STANDBY) {
        let Some(rule) = requirement(&table) else { continue };
        if !seen.insert(rule.id.clone()) {
            let text = format!("the standby rule `{}` stands here for the second time", rule.id);
            table.problems().report(table.span(), text, "each id once in a rule set");
        }
        rules.push(rule);
    }
    rules
}

fn requirement(table: &Table<'_>) -> Option<Requirement> {
    let text = |key| table.required(key).and_then(|value| value.text());
    let systems = [System::Fire, System::Intrusion].map(|system| (system.word(), system));
    let id = super::id(table);
    let (edition, clause, source) = (text("edition"), text("clause"), text("source"));
    let system = table.required("system").and_then(|value| value.word(&systems));
    let hours = table.required("hours").and_then(|value| value.quantity_within(Hours(0.0), MOST_HOURS));
    let alarm = table.required("alarm").and_then(|value| value.quantity::<Minutes>());
    let yes = |key| table.yes_or_no(key).is_some_and(|yes| yes.value);
    let times = |key| table.number(key, 0.1, 10.0).map(|times| times.value);
    let alarm_inside = yes("alarm_inside");
    if let (Some(hours), Some(alarm)) = (&hours, &alarm)
        && alarm_inside
        && alarm.value.0 > 60.0 * hours.value.0
    {
        let accept = "`alarm` no longer than `hours`, or no `alarm_inside`";
        table.problems().report(alarm.span.clone(), "the alarm lasts longer than all of the hours", accept);
    }
    Some(Requirement {
        usual: table.yes_or_no("usual").is_none_or(|usual| usual.value),
        alarm_inside,
        factors: table.list("factors").iter().filter_map(factor).collect(),
        alarm_weight: times("alarm_weight").unwrap_or(1.0),
        high_rate: times("high_rate"),
        recharge: table.list("recharge").iter().filter_map(recharge).collect(),
        end_volts: table.quantity("end_volts").map(|volts| volts.value),
        ask_combined: yes("ask_combined"),
        id: id?.value,
        edition: edition?.value,
        system: system?.value,
        hours: hours?.value,
        alarm: alarm?.value,
        clause: clause?.value,
        source: source?.value,
    })
}

fn factor(value: &Value<'_>) -> Option<Factor> {
    let table = value.table(keys::FACTOR)?;
    let name = table.required("name").and_then(|value| value.text());
    let times = table.required("times").and_then(|value| value.number(0.1, 10.0));
    let up_to = table.quantity("up_to").map(|hours| hours.value);
    Some(Factor { name: name?.value, times: times?.value, up_to })
}

fn recharge(value: &Value<'_>) -> Option<Recharge> {
    let table = value.table(keys::RECHARGE)?;
    let share = table.required("share").and_then(|value| value.quantity::<Ratio>());
    let within = table.required("within").and_then(|value| value.quantity_within(Hours(0.1), MOST_HOURS));
    Some(Recharge { share: share?.value, within: within?.value })
}
