//! What is particular to a kind of equipment.

use document::{Key, Misread, Table, Value};
use network::{Form, Meaning, Role};
use quantity::{AmpereHours, Amperes, Interval, Ohms, Volts};

use super::{mode, power};
use crate::keys;
use crate::model::{
    Aux, BatteryProfile, ContactProfile, DetectorProfile, Earth, EnclosureProfile, ModePer, ModuleProfile,
    OnPowerLoss, PanelProfile, SounderProfile, SupplyProfile, TransformerProfile, TwoWire,
};
use crate::power::{Current, Signal};

/// Supplies cut their battery off at 10.5 V for each 12 V (`docs/format.md`, section 3).
const CUT_OFF_SHARE: f64 = 10.5 / 12.0;

/// Ohm times ampere-hours of a new lead battery (`docs/format.md`, section 3): 0.3.
const INTERNAL: f64 = 0.3;

/// The charge volts of a lead battery are above its nominal 12 V: a supply of 13.8 V is a 12 V one.
const NOMINAL_STEP: f64 = 12.0;

pub(super) fn module(table: &Table<'_>) -> Option<ModuleProfile> {
    let inputs = table.required("inputs").and_then(|value| value.whole(1, 1000));
    let inputs = inputs.and_then(|inputs| u16::try_from(inputs.value).ok());
    let per = table.word("mode_per", &[("module", ModePer::Module), ("input", ModePer::Input)]);
    let modes = mode::modes(table, inputs);
    let module = ModuleProfile {
        mode_per: per.map_or(ModePer::Module, |per| per.value),
        aux: aux(table),
        earth: table.read("earth", "floating", earth).map_or(Earth::Floating, |earth| earth.value),
        sends: meanings(table, "sends"),
        modes,
        inputs: inputs?,
    };
    Some(module)
}

fn aux(table: &Table<'_>) -> Option<Aux> {
    let aux = table.table("aux", keys::AUX)?;
    let volts = aux.required("volts").and_then(|value| value.interval::<Volts>());
    let limit = aux.required("limit").and_then(|value| value.quantity::<Amperes>());
    let switched = aux.yes_or_no("switched").is_some_and(|switched| switched.value);
    Some(Aux { volts: volts?.value, limit: limit?.value, switched })
}

/// `floating`, `common-earthed` or `detected below 50 kohm`.
fn earth(text: &str) -> Result<Earth, Misread> {
    const DETECTED: &str = "detected below ";
    if let Some(ohms) = text.strip_prefix(DETECTED) {
        let at = |error: quantity::WrittenError| {
            Misread::from(DETECTED.len() + error.at, error.text, error.accept)
        };
        return quantity::parse::<Ohms>(ohms).map(Earth::DetectedBelow).map_err(at);
    }
    match text {
        "floating" => Ok(Earth::Floating),
        "common-earthed" => Ok(Earth::CommonEarthed),
        _ => Err(Misread::whole(
            format!("earth `{text}` is not known"),
            "floating, common-earthed or `detected below 50 kohm`",
        )),
    }
}

/// Meanings that are passed on; all when the key is left out.
fn meanings(table: &Table<'_>, key: Key) -> Vec<Meaning> {
    if !table.has(key) {
        return Meaning::ALL.to_vec();
    }
    let words = Meaning::ALL.map(|meaning| (meaning.word(), meaning));
    table.list(key).iter().filter_map(|value| value.word(&words)).map(|meaning| meaning.value).collect()
}

pub(super) fn supply(table: &Table<'_>) -> Option<SupplyProfile> {
    let volts = table.required("volts").and_then(|value| value.interval::<Volts>());
    let limit = table.required("limit").and_then(|value| value.quantity::<Amperes>());
    let cut_off = table.quantity::<Volts>("cut_off");
    let charge = table.quantity::<Amperes>("charge").map(|charge| charge.value);
    let battery = table.interval::<AmpereHours>("battery").map(|battery| battery.value);
    let volts = volts?.value;
    let nominal = ((volts.hi().0 / NOMINAL_STEP).floor() * NOMINAL_STEP).max(NOMINAL_STEP);
    let cut_off = cut_off.map_or(Volts(nominal * CUT_OFF_SHARE), |cut_off| cut_off.value);
    let (outputs, input) = (power::outputs(table), power::mains_input(table));
    Some(SupplyProfile { volts, limit: limit?.value, cut_off, charge, battery, outputs, input })
}

pub(super) fn battery(table: &Table<'_>) -> Option<BatteryProfile> {
    let volts = table.required("volts").and_then(|value| value.quantity_within(Volts(1.0), Volts(1000.0)));
    let capacity = table
        .required("capacity")
        .and_then(|value| value.quantity_within(AmpereHours(0.1), AmpereHours(10_000.0)));
    let internal = table.quantity::<Ohms>("internal");
    let capacity = capacity?.value;
    let internal = internal.map_or(Ohms(INTERNAL / capacity.0), |internal| internal.value);
    Some(BatteryProfile { volts: volts?.value, capacity, internal })
}

pub(super) fn transformer(table: &Table<'_>) -> TransformerProfile {
    TransformerProfile {
        volts: table.quantity::<Volts>("volts").map(|volts| volts.value),
        volt_amperes: table.number("volt_amperes", 0.0, 1e6).map(|power| power.value),
        gives: table.word("gives", &power::CURRENTS).map_or(Current::Alternating, |gives| gives.value),
        marked: table.text("marked").map_or(String::new(), |marked| marked.value),
    }
}

pub(super) fn detector(table: &Table<'_>) -> DetectorProfile {
    let words = |key| table.text(key).map_or(String::new(), |text| text.value);
    let two_wire = table.value("two_wire").and_then(|value| two_wire(&value));
    if !table.has("contact") && !table.has("two_wire") && !table.has("draws") {
        let accept = "`[[contact]]`, `[two_wire]` or `draws`";
        table.problems().report_missing(table.span(), "a detector has neither contacts nor draws", accept);
    }
    DetectorProfile {
        contacts: contacts(table),
        two_wire,
        minimum: table.quantity("minimum").map(|minimum| minimum.value),
        test: words("test"),
        never: words("never"),
    }
}

pub(super) fn sounder(table: &Table<'_>) -> SounderProfile {
    if !table.has("contact") && !table.has("draws") {
        let accept = "`draws` or `[[contact]]`";
        table.problems().report_missing(table.span(), "a sounder has neither contacts nor draws", accept);
    }
    SounderProfile {
        contacts: contacts(table),
        minimum: table.quantity("minimum").map(|minimum| minimum.value),
        wants: table.word("wants", &power::SIGNALS).map_or(Signal::Steady, |wants| wants.value),
        polarised: table.yes_or_no("polarised").map(|polarised| polarised.value),
    }
}

fn contacts(table: &Table<'_>) -> Vec<ContactProfile> {
    table.tables("contact", keys::CONTACT).iter().filter_map(contact).collect()
}

fn contact(table: &Table<'_>) -> Option<ContactProfile> {
    let forms = [("nc", Form::NormallyClosed), ("no", Form::NormallyOpen)];
    let roles = [Role::Alarm, Role::Tamper, Role::Fault].map(|role| (role.word(), role));
    let losses =
        [("opens", OnPowerLoss::Opens), ("closes", OnPowerLoss::Closes), ("stays", OnPowerLoss::Stays)];
    let form = table.required("form").and_then(|value| value.word(&forms));
    let contact = ContactProfile {
        role: table.word("role", &roles).map_or(Role::Alarm, |role| role.value),
        closed: table.value("closed").and_then(|value| closed(&value)),
        open_min: table.quantity("open_min").map(|ohms| ohms.value),
        on_power_loss: table.word("on_power_loss", &losses).map(|loss| loss.value),
        pulse: table.quantity("pulse").map(|pulse| pulse.value),
        form: form?.value,
    };
    Some(contact)
}

/// A range, a value with a tolerance, or one value exactly.
fn closed(value: &Value<'_>) -> Option<Interval<Ohms>> {
    value.interval::<Ohms>().map(|closed| closed.value)
}

fn two_wire(value: &Value<'_>) -> Option<TwoWire> {
    let table = value.table(keys::TWO_WIRE)?;
    let volts = table.required("volts").and_then(|value| value.interval());
    let standby = table.required("standby").and_then(|value| value.interval());
    let alarm_volts = table.required("alarm_volts").and_then(|value| value.interval());
    let alarm = table.required("alarm").and_then(|value| value.interval());
    let head_opens = table.yes_or_no("head_opens").map(|opens| opens.value);
    Some(TwoWire {
        volts: volts?.value,
        standby: standby?.value,
        alarm_volts: alarm_volts?.value,
        alarm: alarm?.value,
        head_opens,
        start: table.quantity("start").map(|start| start.value),
        reset_volts: table.quantity("reset_volts").map(|volts| volts.value),
        reset: table.quantity("reset").map(|time| time.value),
    })
}

pub(super) fn panel(table: &Table<'_>) -> PanelProfile {
    PanelProfile {
        zones: count(table, "zones"),
        modules: count(table, "modules"),
        name_length: count(table, "name_length"),
        takes: meanings(table, "takes"),
    }
}

pub(super) fn enclosure(table: &Table<'_>) -> EnclosureProfile {
    EnclosureProfile { positions: count(table, "positions"), batteries: count(table, "batteries") }
}

fn count(table: &Table<'_>, key: Key) -> Option<u32> {
    table.whole(key, 0, 100_000).and_then(|count| u32::try_from(count.value).ok())
}
