//! A battery's sheet: what the rules ask for side by side, each worked line by line; what the battery can do by
//! physics; its charger; the mains side.

use assess::Assessment;
use quantity::{Amperes, Volts, Written};
use serde::Serialize;
use supply::{BatteryResult, Draw, RowFrom, Ruled, Study};

use crate::figures::{ACROSS, Figure, ON_A_PHONE};
use crate::power_figures::{discharge, load_name, va};
use crate::words::between;

/// Rules that stand side by side.
const SIDE_BY_SIDE: usize = 3;

/// One battery's sheet.
#[derive(Serialize)]
pub struct BatterySheet {
    /// Ampere-hours that are fitted; `none`.
    pub fitted: String,
    /// The answer in a sentence or two.
    pub answer: String,
    /// The rules side by side, a few at a time.
    pub compared: Vec<Compared>,
    /// Point, load, count, at rest, in alarm, in which alarm.
    pub loads: Vec<[String; 6]>,
    /// Every rule with its working.
    pub worked: Vec<Worked>,
    /// What and how much, by physics.
    pub physics: Vec<[String; 2]>,
    /// Discharges.
    pub curves: Vec<DrawnCurve>,
    /// What the charger gives and how long it takes.
    pub charger: Vec<[String; 2]>,
    /// What and how much, on the mains side.
    pub mains: Vec<[String; 2]>,
    /// The working of it, line by line.
    pub mains_working: Vec<String>,
}

/// Some rules beside one another.
#[derive(Serialize)]
pub struct Compared {
    /// The names of the rules.
    pub heads: Vec<String>,
    /// A label, then a cell for each rule.
    pub rows: Vec<Vec<String>>,
}

/// One rule, worked.
#[derive(Serialize)]
pub struct Worked {
    /// Which it is.
    pub title: String,
    /// Ampere-hours.
    pub asks: String,
    /// The working.
    pub lines: Vec<String>,
    /// Where it was read, and local words.
    pub margin: Vec<String>,
}

/// One discharge.
#[derive(Serialize)]
pub struct DrawnCurve {
    /// Which it is.
    pub title: String,
    /// How it ends, in words.
    pub words: String,
    /// None for a discharge that lasts and asks less than another.
    pub figure: Option<Figure>,
    /// The same, as wide as a phone.
    #[serde(skip)]
    pub narrow: Option<Figure>,
}

/// The sheet; none where there is neither battery, rule nor mains side to write about.
pub fn battery_sheet(assessment: &Assessment, study: &Study) -> Option<BatterySheet> {
    let nothing_known = study.plan.profile.is_none() || study.rules.is_empty();
    if study.battery.is_none() && study.mains.is_none() && nothing_known {
        return None;
    }
    let battery = study.battery.as_ref();
    Some(BatterySheet {
        fitted: battery
            .map_or("none".to_owned(), |battery| format!("{:.2}\u{2009}Ah", battery.bank.capacity_ah())),
        answer: answer(study),
        compared: compared(study),
        loads: if study.rules.is_empty() { Vec::new() } else { loads(study) },
        worked: (0..study.rules.len()).map(|at| worked(study, at)).collect(),
        physics: battery.map(|battery| physics(study, battery)).unwrap_or_default(),
        curves: battery.map(|battery| curves(study, battery)).unwrap_or_default(),
        charger: battery.map(charger).unwrap_or_default(),
        mains: mains(assessment, study),
        mains_working: study.mains.as_ref().map(|mains| mains.working.clone()).unwrap_or_default(),
    })
}

fn named(rule: &Ruled) -> String {
    let local = if rule.overridden() { ", by local word," } else { "" };
    format!("{} {}{local}", rule.rules, rule.rule)
}

fn answer(study: &Study) -> String {
    let fitted = study.battery.as_ref().map(|battery| battery.bank.capacity_ah());
    let by_rule = match (study.governing.map(|at| &study.rules[at]), fitted) {
        (Some(rule), Some(fitted)) => {
            let what = if fitted >= rule.required_ah { "that does by rule" } else { "too little by rule" };
            format!(
                "{} asks for {:.2}\u{2009}Ah; {fitted:.2}\u{2009}Ah are fitted, {what}.",
                named(rule),
                rule.required_ah
            )
        }
        (Some(rule), None) if study.required_ah().is_none() => {
            format!(
                "What {} asks for is not known: nothing that is drawn is. No battery is fitted.",
                named(rule)
            )
        }
        (Some(rule), None) => {
            format!("{} asks for {:.2}\u{2009}Ah and no battery is fitted.", named(rule), rule.required_ah)
        }
        (None, Some(fitted)) => {
            format!("{fitted:.2}\u{2009}Ah are fitted; no rule set of the job says how long they must last.")
        }
        (None, None) => "No battery is fitted, and no rule set of the job asks for one.".to_owned(),
    };
    let Some(battery) = &study.battery else { return by_rule };
    format!(
        "{by_rule} By physics it lasts {:.1}\u{2009}h at rest when aged and at its coldest.",
        battery.hours.0
    )
}

fn compared(study: &Study) -> Vec<Compared> {
    let all: Vec<usize> = (0..study.rules.len()).collect();
    let table = |some: &[usize]| {
        let rules: Vec<&Ruled> = some.iter().map(|&at| &study.rules[at]).collect();
        let row = |label: &str, of: &dyn Fn(&Ruled) -> String| {
            let mut cells = vec![label.to_owned()];
            cells.extend(rules.iter().map(|rule| of(rule)));
            cells
        };
        let mut rows = vec![
            row("edition", &|rule| rule.edition.clone()),
            row("clause", &|rule| rule.clause.clone()),
            row("read in", &|rule| {
                if rule.remembered {
                    format!("{} (from memory: look it up before use)", rule.source)
                } else {
                    rule.source.clone()
                }
            }),
            row("load set", &|rule| format!("all at rest; what sounds in {} alarm", system(rule))),
            row("at rest", &|rule| format!("{}\u{2009}h", short(rule.standby_h()))),
            row("in alarm", &|rule| {
                let inside = if rule.alarm_inside { ", inside the hours" } else { "" };
                format!("{}\u{2009}min{inside}", short(rule.alarm_min))
            }),
            row("I_s", &|rule| format!("{:.4}\u{2009}A", rule.standby_a)),
            row("I_a", &|rule| format!("{:.4}\u{2009}A", rule.alarm_a)),
            row("margins", &margins),
            row("asks for", &|rule| format!("{:.2}\u{2009}Ah at the 20 h rate", rule.required_ah)),
        ];
        let mut counts = vec!["counts".to_owned()];
        counts.extend(some.iter().map(|&at| {
            if study.governing == Some(at) {
                "this one: it asks for most".to_owned()
            } else {
                "no".to_owned()
            }
        }));
        rows.push(counts);
        Compared { heads: rules.iter().map(|rule| named(rule)).collect(), rows }
    };
    all.chunks(SIDE_BY_SIDE).map(table).collect()
}

fn system(rule: &Ruled) -> &'static str {
    match rule.system {
        library::System::Fire => "a fire",
        library::System::Intrusion => "an intrusion",
    }
}

fn margins(rule: &Ruled) -> String {
    if rule.factors.is_empty() {
        return "none".to_owned();
    }
    let all: Vec<String> = rule.factors.iter().map(|(name, times)| format!("{times} ({name})")).collect();
    all.join(", ")
}

fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What each load draws: the set that the currents are made of.
fn loads(study: &Study) -> Vec<[String; 6]> {
    let rows = study.plan.rows.iter().enumerate();
    let row = |(at, row): (usize, &supply::Row)| {
        let sounds = match (row.alarm_in.is_empty(), row.from) {
            (_, RowFrom::Own | RowFrom::Module) => String::new(),
            (true, _) => "every".to_owned(),
            (false, _) => row.alarm_in.join(", "),
        };
        [
            row.at_name.clone(),
            load_name(study, at),
            row.count.to_string(),
            drawn(row.standby),
            drawn(row.alarm),
            if row.shed { "dropped on battery".to_owned() } else { sounds },
        ]
    };
    rows.map(row).collect()
}

/// `20.0 mA`, `2.40 W`, `1.20 k-ohm`, or several of them together.
fn drawn(draw: Draw) -> String {
    let mut parts = Vec::new();
    if draw.amperes.abs() > 0.0 {
        parts.push(Amperes(draw.amperes).shown(3));
    }
    if draw.watts.abs() > 0.0 {
        parts.push(format!("{:.2}\u{2009}W", draw.watts));
    }
    if draw.siemens.abs() > 0.0 {
        parts.push(format!("as {}", quantity::Ohms(1.0 / draw.siemens).shown(3)));
    }
    if parts.is_empty() { "nothing".to_owned() } else { parts.join(" + ") }
}

fn worked(study: &Study, at: usize) -> Worked {
    let rule = &study.rules[at];
    let mut margin = vec![format!("Read in: {}.", rule.source.trim_end_matches('.'))];
    if rule.remembered {
        margin.push("Some of it is from memory and must be looked up before use.".to_owned());
    }
    margin.extend(rule.words.iter().map(|word| format!("Local word: {word}.")));
    let counts = if study.governing == Some(at) { ", the most of all" } else { "" };
    Worked {
        title: format!("{} ({})", named(rule), rule.edition),
        asks: format!("{:.2}\u{2009}Ah{counts}", rule.required_ah),
        lines: rule.working.clone(),
        margin,
    }
}

fn physics(study: &Study, battery: &BatteryResult) -> Vec<[String; 2]> {
    let bank = &battery.bank;
    let mut facts: Vec<[String; 2]> = Vec::new();
    let mut fact = |name: &str, value: String| facts.push([name.to_owned(), value]);
    let blocks = if bank.in_series * bank.strings > 1 {
        format!("{} of {} in series, {} in parallel", bank.in_series, battery.profile, bank.strings)
    } else {
        battery.profile.clone()
    };
    fact(
        "battery",
        format!(
            "{blocks}: {}, {:.2}\u{2009}Ah at the 20 h rate; fuse and leads {:.3}\u{2009}\u{3a9}",
            Volts(bank.volts()).shown(3),
            bank.capacity_ah(),
            bank.leads_ohms
        ),
    );
    let (cold, warm) = battery.temperature;
    fact("temperature", format!("{cold:.0} to {warm:.0}\u{2009}\u{b0}C"));
    fact(
        "at rest",
        format!(
            "{:.1}\u{2009}h aged to {:.0} % and at {cold:.0}\u{2009}\u{b0}C, {:.1}\u{2009}h new and at {warm:.0}\u{2009}\u{b0}C, down to {:.2}\u{2009}V",
            battery.hours.0,
            100.0 * supply::AGED_SHARE,
            battery.hours.1,
            study.cut_off
        ),
    );
    if let Some(last) = study.last_minute.as_ref().and_then(|all| all.first()) {
        let words = crate::power_figures::last_minute(study, *last);
        fact("last alarm minute", format!("{words}\u{2009}V at the terminals, the worst over all rules"));
    }
    fact(
        "how",
        format!(
            "published currents of a 20 Ah block from 10 min to 20 h (1.75 V a cell), changes of current added by sections; capacity by temperature from the handbook's table; aged: {:.0} % of the capacity, {} times the resistance",
            100.0 * supply::AGED_SHARE,
            supply::AGED_RESISTANCE
        ),
    );
    facts
}

fn curves(study: &Study, battery: &BatteryResult) -> Vec<DrawnCurve> {
    let curve = |run: &supply::RuleRun| {
        let governs = run.rules.iter().any(|at| study.governing == Some(*at));
        let rules: Vec<String> = run.rules.iter().map(|&at| named(&study.rules[at])).collect();
        let end = |discharge: &supply::Discharge| match discharge.ends {
            None => {
                format!("{:.2}\u{2009}V at the end", discharge.curve.last().map_or(0.0, |last| last.volts))
            }
            Some(ended) if ended.collapsed => format!("the loads collapse after {:.1}\u{2009}h", ended.hours),
            Some(ended) => format!("cut off after {:.1}\u{2009}h", ended.hours),
        };
        let drawn = governs || run.low.ends.is_some();
        DrawnCurve {
            title: format!(
                "{}\u{2009}h at rest, {}\u{2009}min in alarm",
                short(run.standby_h),
                short(run.alarm_min)
            ),
            words: format!(
                "{}. Aged and cold: {}; new and warm: {}.",
                rules.join(", "),
                end(&run.low),
                end(&run.high)
            ),
            figure: drawn.then(|| discharge(study, run, battery.temperature, ACROSS)),
            narrow: drawn.then(|| discharge(study, run, battery.temperature, ON_A_PHONE)),
        }
    };
    battery.runs.iter().map(curve).collect()
}

fn charger(battery: &BatteryResult) -> Vec<[String; 2]> {
    let Some(charge) = battery.charge_a else {
        return vec![["charger".to_owned(), "its profile does not say what it gives".to_owned()]];
    };
    let range = battery
        .chargeable
        .map_or("a battery of a size that nobody has typed in".to_owned(), |(least, most)| {
            format!("{least:.1} to {most:.1}\u{2009}Ah")
        });
    let mut facts =
        vec![["charger".to_owned(), format!("gives {} and takes {range}", Amperes(charge).shown(3))]];
    for asked in &battery.recharged {
        facts.push([
            format!("to {:.0} %", 100.0 * asked.share),
            format!(
                "{} \u{d7} {:.2}\u{2009}Ah \u{d7} {:.2} / {charge:.3}\u{2009}A = {:.1}\u{2009}h; {} {} asks for {:.0}\u{2009}h at most",
                supply::CHARGE_FACTOR,
                battery.bank.capacity_ah(),
                asked.share,
                asked.takes_h,
                asked.rules,
                asked.rule,
                asked.within_h
            ),
        ]);
    }
    facts
}

fn mains(assessment: &Assessment, study: &Study) -> Vec<[String; 2]> {
    let mut facts: Vec<[String; 2]> = Vec::new();
    let mut fact = |name: &str, value: String| facts.push([name.to_owned(), value]);
    let outlet = study.plan.supply.outlet.as_str();
    if let Some(mains) = &study.mains {
        let title = assessment.library.profiles.get(mains.profile.as_str());
        let title = title.map_or(mains.profile.as_str(), |profile| profile.title.as_str());
        fact("transformer", title.to_owned());
        let wants = mains.wants.map_or("the supply's manual is silent".to_owned(), |wants| {
            format!("the supply wants {}", wants.word().to_uppercase())
        });
        fact("kind", format!("gives {}; {wants}", mains.gives.word().to_uppercase()));
        let rated =
            mains.rated_va.map_or("rating not known".to_owned(), |rated| format!("{rated:.0} {}", va(mains)));
        let asked = mains.asked_va.map_or(String::new(), |asked| format!("; the manual asks for {asked:.0}"));
        fact("size", format!("{rated}, {:.1} {} needed{asked}", mains.needed_va, va(mains)));
        let polarity = match (mains.gives, mains.marked.as_str()) {
            (library::Current::Alternating, _) => "none: alternating current, either way round",
            (library::Current::Direct, "") => "by meter before it is landed",
            (library::Current::Direct, marked) => marked,
        };
        fact("polarity", polarity.to_owned());
        if mains.cannot_deliver {
            fact("arrives", "nothing: it cannot deliver this through its cable".to_owned());
        }
        if let Some(arrives) = mains.arrives {
            let takes = mains
                .input_volts
                .map_or(String::new(), |range| format!("; it takes {}\u{2009}V", between(range)));
            fact("arrives", format!("{arrives:.2}\u{2009}V at full load{takes}"));
        }
    }
    fact("outlet", if outlet.is_empty() { "nobody has said".to_owned() } else { outlet.to_owned() });
    facts
}
