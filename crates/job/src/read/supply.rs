//! Supplies with their runs and loads, and cables with their cores.

use document::{Key, Located, Misread, Table, Value};
use quantity::{Amperes, Celsius, Gauge, Hours, Interval, Metres, Ohms, Volts, Watts, Written};

use super::{count, good_id, id, one_or_more, reference, words};
use crate::keys;
use crate::model::{Cable, Core, CoreEnd, Draw, Load, Run, RunConductor, StandbyWord, Supply};

/// In which alarms a load may be said to draw its alarm current: all fire alarms, or one duty's.
const ALARMS: [&str; 11] = [
    "fire",
    "intrusion",
    "hold-up",
    "smoke",
    "heat",
    "manual-call",
    "waterflow",
    "valve",
    "tamper",
    "technical",
    "sounder",
];

/// Less than this is no load but a short.
const LEAST_LOAD: Ohms = Ohms(0.1);

/// Temperatures that a battery can have; wider is a slip of the keyboard.
const COLDEST: Celsius = Celsius(-40.0);
/// See [`COLDEST`].
const HOTTEST: Celsius = Celsius(70.0);

/// How many of something that nobody has many of: 1 to 64.
fn few(table: &Table<'_>, key: Key) -> Option<u32> {
    if table.has(key) { count(table, key, 1, 64) } else { None }
}

pub(super) fn supplies(root: &Table<'_>) -> Vec<Supply> {
    let supply = |table: &Table<'_>| {
        let id = id(table, "id");
        let supply = Supply {
            enclosure: reference(table, "enclosure"),
            profile: reference(table, "profile"),
            battery: reference(table, "battery"),
            strings: few(table, "strings").unwrap_or(1),
            in_series: few(table, "in_series"),
            temperature: table
                .interval_within("temperature", COLDEST, HOTTEST)
                .map(|temperature| temperature.value),
            fuse: table.quantity("fuse").map(|fuse| fuse.value),
            leads: table.quantity_within("leads", Ohms(0.0), Ohms(10.0)).map(|leads| leads.value),
            transformer: reference(table, "transformer"),
            transformer_cable: table
                .read("transformer_cable", "6 m of 18 AWG", cable)
                .map(|cable| cable.value),
            outlet: words(table, "outlet"),
            rules: table.has("rules").then(|| table.texts("rules")),
            runs: table.list("runs").iter().filter_map(run).collect(),
            loads: table.list("loads").iter().filter_map(load).collect(),
            id: id?,
        };
        Some(supply)
    };
    root.tables("supply", keys::SUPPLY).iter().filter_map(supply).collect()
}

fn run(value: &Value<'_>) -> Option<Run> {
    let table = value.table(keys::RUN)?;
    let from = required_point(&table, "from");
    let to = required_point(&table, "to");
    let cable = table.read("cable", "25 m of 18 AWG", cable);
    let ohms = table.interval::<Ohms>("ohms");
    let accept = "`cable = \"25 m of 18 AWG\"` or `ohms = \"1.2 ohm\"` (out and back)";
    match (table.key_span("cable"), table.key_span("ohms")) {
        (None, None) => table.problems().report_missing(table.span(), "a run is made of nothing", accept),
        (Some(cable), Some(ohms)) => {
            let second = if cable.start < ohms.start { ohms } else { cable };
            table.problems().report(second, "a run has `cable` or `ohms`, not both", accept);
        }
        _ => {}
    }
    let measured = ohms.map(|ohms| RunConductor::Measured(ohms.value));
    // what could not be read is reported, and a job with a report is handed to nobody
    let unread = RunConductor::Measured(Interval::exact(Ohms(0.0)));
    let conductor = cable.map(|cable| cable.value).or(measured).unwrap_or(unread);
    let cores = few(&table, "cores").unwrap_or(1);
    let joints = if table.has("joints") { count(&table, "joints", 0, 100).unwrap_or(0) } else { 0 };
    Some(Run { from: from?, to: to?, conductor, cores, joints })
}

fn required_point(table: &Table<'_>, key: Key) -> Option<Located<String>> {
    table.required(key)?.read("J1", |text| good_id(text).map(str::to_owned))
}

/// `25 m of 18 AWG`
fn cable(text: &str) -> Result<RunConductor, Misread> {
    let Some((length, gauge)) = text.split_once(" of ") else {
        return Err(Misread::whole(
            "a length and a conductor are wanted",
            "`25 m of 18 AWG` or `80 ft of 0.5 mm2`",
        ));
    };
    let gauge_at = text.len() - gauge.len();
    let length = quantity::parse_interval::<Metres>(length)?;
    let gauge =
        Gauge::parse(gauge).map_err(|error| Misread::from(gauge_at + error.at, error.text, error.accept))?;
    Ok(RunConductor::Cable { length, gauge })
}

fn load(value: &Value<'_>) -> Option<Load> {
    let table = value.table(keys::LOAD)?;
    let at = required_point(&table, "at");
    let draw = |key| table.read(key, "350 mA", draw).map(|draw| draw.value);
    let load = Load {
        device: reference(&table, "device"),
        name: words(&table, "name"),
        count: if table.has("count") { count(&table, "count", 1, 10_000).unwrap_or(1) } else { 1 },
        standby: draw("standby"),
        alarm: draw("alarm"),
        minimum: table.quantity::<Volts>("minimum").map(|volts| volts.value),
        alarm_in: table.list("alarm_in").iter().filter_map(alarm).collect(),
        shed: table.yes_or_no("shed").is_some_and(|shed| shed.value),
        at: at?,
    };
    Some(load)
}

fn alarm(value: &Value<'_>) -> Option<String> {
    value.word(&ALARMS.map(|word| (word, word))).map(|word| word.value.to_owned())
}

/// Amperes, watts or ohms, as the unit says; an error is that of the quantity that the unit resembles.
fn draw(text: &str) -> Result<Draw, Misread> {
    let watts = quantity::parse::<Watts>(text);
    let ohms = quantity::parse::<Ohms>(text);
    match (quantity::parse::<Amperes>(text), watts, ohms) {
        (Ok(current), _, _) => Ok(Draw::Current(current)),
        (_, Ok(power), _) => Ok(Draw::Power(power)),
        (_, _, Ok(resistance)) if resistance.0 < LEAST_LOAD.0 => Err(Misread::whole(
            "a load of next to no ohms is a short",
            format!("{} or more", LEAST_LOAD.written()),
        )),
        (_, _, Ok(resistance)) => Ok(Draw::Resistance(resistance)),
        (Err(error), _, _) => Err(Misread::from(
            error.at,
            error.text,
            "amperes, watts or ohms, as `350 mA`, `2.4 W` or `47 ohm`",
        )),
    }
}

/// Local words on standby; each says why.
pub(super) fn standby(root: &Table<'_>) -> Vec<StandbyWord> {
    let word = |table: &Table<'_>| {
        let rules = table.required("rules").and_then(|value| value.text());
        let reason = table.required("reason").and_then(|value| value.text());
        if let Some(reason) = reason.as_ref().filter(|reason| reason.trim().is_empty()) {
            let text = "a local word on standby without its reason";
            table.problems().report(reason.span.clone(), text, "who said so, on what paper, when");
        }
        let names = |key| table.value(key).map_or(Vec::new(), |value| one_or_more(&value));
        let names = |key| names(key).iter().filter_map(|value| value.text()).collect::<Vec<_>>();
        let word = StandbyWord {
            supplies: names("supply"),
            take: names("take"),
            hours: table.quantity_within("hours", Hours(0.0), Hours(8784.0)).map(|hours| hours.value),
            alarm: table.quantity("alarm").map(|alarm| alarm.value),
            factor: table.number("factor", 0.1, 10.0).map(|factor| factor.value),
            rules: rules?,
            reason: reason?.value,
        };
        Some(word)
    };
    root.tables("standby", keys::STANDBY_WORD).iter().filter_map(word).collect()
}

pub(super) fn cables(root: &Table<'_>) -> Vec<Cable> {
    let cable = |table: &Table<'_>| {
        let id = id(table, "id");
        let cable = Cable {
            ends_in: reference(table, "ends_in"),
            cores: table.list("cores").iter().filter_map(core).collect(),
            id: id?,
        };
        Some(cable)
    };
    root.tables("cable", keys::CABLE).iter().filter_map(cable).collect()
}

fn core(value: &Value<'_>) -> Option<Core> {
    let table = value.table(keys::CORE)?;
    let ends = table.value("to").map_or(Vec::new(), |to| one_or_more(&to));
    Some(Core {
        colour: words(&table, "colour"),
        was: words(&table, "was"),
        to: ends.iter().filter_map(|end| end.read("C07.a", core_end)).collect(),
        ohms: table.interval("ohms").map(|ohms| ohms.value),
    })
}

/// `C07.a`, `J1.0v` or `spare`.
fn core_end(text: &str) -> Result<CoreEnd, Misread> {
    const ACCEPT: &str =
        "a leg of a circuit (`C07.a`, `C07.b`), a pole of a supply point (`J1.plus`, `J1.0v`) or `spare`";
    if text == "spare" {
        return Ok(CoreEnd::Spare);
    }
    let Some((name, end)) = text.rsplit_once('.') else {
        return Err(Misread::whole(format!("`{text}` names no end of a core"), ACCEPT));
    };
    let name = good_id(name)?.to_owned();
    match end {
        "a" => Ok(CoreEnd::Circuit { tag: name, returns: false }),
        "b" => Ok(CoreEnd::Circuit { tag: name, returns: true }),
        "plus" => Ok(CoreEnd::Supply { point: name, zero_volts: false }),
        "0v" => Ok(CoreEnd::Supply { point: name, zero_volts: true }),
        _ => Err(Misread::from(text.len() - end.len(), format!("`{end}` is no leg and no pole"), ACCEPT)),
    }
}
