//! The whole working of a supply: every point, every load, every budget, each rule line by line, the battery.

use quantity::{Amperes, Volts, Written};
use supply::{Between, Study};

use super::{Explained, Target};
use crate::report::page::Page;
use crate::report::supply as report;

/// Blanks in front of what belongs to a heading.
const INDENT: usize = 2;

/// Puts the working, where a supply or one of its points is asked for.
pub(crate) fn put(page: &mut Page, explained: &Explained) {
    let Some(study) = explained.assessment.supplies.first() else { return };
    let point = match &explained.target {
        Target::Supply { point, .. } => point.as_str(),
        Target::Output(output) => explained.setting.job.outputs[*output].id.as_str(),
        _ => return,
    };
    points(page, study, point);
    runs(page, study, point);
    loads(page, study, point);
    page.heading("What is limited, and what flows (█ at rest, ▒ more in alarm)");
    report::budgets(page, study);
    if !point.is_empty() {
        return;
    }
    rules(page, study);
    battery(page, study);
    mains(page, study);
    conductors(page, study);
}

fn volts(volts: Option<Between>) -> String {
    volts.map_or("-".to_owned(), |(low, high)| format!("{low:.2} to {high:.2}"))
}

fn ohms(point: &supply::Point) -> String {
    let (low, high) = (point.ohms.lo().0, point.ohms.hi().0);
    if high <= 0.0 {
        "-".to_owned()
    } else if (high - low).abs() < 5e-3 {
        format!("{high:.2}")
    } else {
        format!("{low:.2} to {high:.2}")
    }
}

/// Every point, or the way to one.
fn points(page: &mut Page, study: &Study, asked: &str) {
    let plan = &study.plan;
    let mut wanted = vec![asked.is_empty(); plan.points.len()];
    if let Some(at) = plan.point(asked) {
        let mut at = at;
        while !wanted[at] {
            wanted[at] = true;
            at = plan.points[at].parent;
        }
    }
    page.heading("Volts at every point, least to most, with the way that leads there");
    let mut rows =
        vec![["point", "from", "ohm", "rest", "alarm", "A", "last minute"].map(str::to_owned).to_vec()];
    let of = |condition: &Option<Result<supply::Solved, supply::Collapsed>>, at: usize| {
        condition.as_ref()?.as_ref().ok().map(|solved| (solved.volts[at], solved.amperes[at]))
    };
    for (at, point) in plan.points.iter().enumerate().filter(|(at, _)| wanted[*at]) {
        let alarm = of(&study.alarm, at);
        rows.push(vec![
            drawing::clean(&point.name),
            if at == 0 { "-".to_owned() } else { drawing::clean(&plan.points[point.parent].name) },
            ohms(point),
            volts(of(&study.standby, at).map(|(volts, _)| volts)),
            volts(alarm.map(|(volts, _)| volts)),
            alarm.map_or("-".to_owned(), |(_, amperes)| format!("{amperes:.3}")),
            volts(study.last_minute.as_ref().map(|last| last[at])),
        ]);
    }
    page.table(INDENT, &rows);
    page.paragraph(
        INDENT,
        "Rest and alarm on mains, cables cold to hot; the last minute of the alarm on an aged battery at its coldest to a new one at its warmest. Loads in watt and milliampere keep drawing below their least volts.",
    );
}

/// What every run loses in alarm on mains, at most.
fn runs(page: &mut Page, study: &Study, asked: &str) {
    let Some(Ok(alarm)) = &study.alarm else { return };
    let mut rows = vec![["run", "volts lost", "heat"].map(str::to_owned).to_vec()];
    for (at, point) in study.plan.points.iter().enumerate() {
        if point.ohms.hi().0 <= 0.0 || !(asked.is_empty() || point.name == asked) {
            continue;
        }
        let from = &study.plan.points[point.parent].name;
        rows.push(vec![
            drawing::clean(&format!("{from} to {}", point.name)),
            format!("{:.3} V", alarm.drop[at]),
            format!("{:.3} W", alarm.heat_w[at]),
        ]);
    }
    if rows.len() > 1 {
        page.heading("What the runs lose in alarm on mains, at most");
        page.table(INDENT, &rows);
    }
}

fn loads(page: &mut Page, study: &Study, asked: &str) {
    page.heading("Every load");
    let mut rows = vec![report::load_head()];
    // All that hang on it, near and far.
    let beyond = |row: &usize| {
        let Some(asked) = study.plan.point(asked) else { return true };
        let mut at = study.plan.rows[*row].at;
        while at != asked && at != 0 {
            at = study.plan.points[at].parent;
        }
        at == asked
    };
    rows.extend((0..study.loads.len()).filter(beyond).map(|row| report::load_row(study, row)));
    page.table(INDENT, &rows);
}

fn rules(page: &mut Page, study: &Study) {
    if study.rules.is_empty() {
        return;
    }
    page.heading("Ampere-hours by rule; the largest counts");
    for (at, rule) in study.rules.iter().enumerate() {
        let counts = if study.governing == Some(at) { ", which counts" } else { "" };
        page.paragraph(
            INDENT,
            &format!("{} {} ({}): {:.2} Ah{counts}", rule.rules, rule.rule, rule.edition, rule.required_ah),
        );
        for line in &rule.working {
            page.hanging("    ", 6, line);
        }
        page.hanging("    ", 6, &format!("source: {}", rule.source));
        for word in &rule.words {
            page.hanging("    ", 6, &format!("local word: {word}"));
        }
    }
}

fn battery(page: &mut Page, study: &Study) {
    let Some(battery) = &study.battery else { return };
    page.heading("The battery by physics");
    let bank = &battery.bank;
    page.paragraph(
        INDENT,
        &format!(
            "{} x {} in series, {} in parallel: {} and {:.2} Ah at the 20 h rate; fuse and leads {:.3} ohm.",
            bank.in_series,
            battery.profile,
            bank.strings,
            Volts(bank.volts()).shown(3),
            bank.capacity_ah(),
            bank.leads_ohms
        ),
    );
    page.paragraph(
        INDENT,
        &format!(
            "Rate by the published currents of a 20 Ah block from 10 min to 20 h (1.75 V a cell), successive currents added by sections; capacity by temperature from the handbook's table; aged: {:.0} % of the capacity, {} times the resistance.",
            100.0 * supply::AGED_SHARE,
            supply::AGED_RESISTANCE
        ),
    );
    page.paragraph(
        INDENT,
        &format!(
            "At rest {:.1} h aged and at {:.0} C, {:.1} h new and at {:.0} C, to {}.",
            battery.hours.0,
            battery.temperature.0,
            battery.hours.1,
            battery.temperature.1,
            Volts(study.cut_off).shown(3)
        ),
    );
    for run in &battery.runs {
        page.gap();
        let named: Vec<String> = run
            .rules
            .iter()
            .map(|&at| format!("{} {}", study.rules[at].rules, study.rules[at].rule))
            .collect();
        page.paragraph(INDENT, &format!("{}:", named.join(", ")));
        report::curve(page, study, run);
    }
    if let Some(charge) = battery.charge_a {
        page.gap();
        let range = battery.chargeable.map_or("a battery of any size".to_owned(), |(least, most)| {
            format!("{least:.1} to {most:.1} Ah")
        });
        page.paragraph(INDENT, &format!("The charger gives {} and takes {range}.", Amperes(charge).shown(3)));
    }
    for asked in &battery.recharged {
        page.paragraph(
            INDENT,
            &format!(
                "To {:.0} %: {} x {:.2} Ah x {:.2} / {:.3} A = {:.1} h; {} {} asks for {:.0} h.",
                100.0 * asked.share,
                supply::CHARGE_FACTOR,
                bank.capacity_ah(),
                asked.share,
                battery.charge_a.unwrap_or(0.0),
                asked.takes_h,
                asked.rules,
                asked.rule,
                asked.within_h
            ),
        );
    }
}

fn mains(page: &mut Page, study: &Study) {
    if let Some(mains) = &study.mains {
        page.heading("The mains side");
        for line in &mains.working {
            page.paragraph(INDENT, line);
        }
    }
    page.heading("Its terminals");
    let rows: Vec<Vec<String>> = study
        .terminals
        .iter()
        .map(|terminal| vec![terminal.name.clone(), terminal.lands.clone(), terminal.mind.clone()])
        .collect();
    page.table(INDENT, &rows);
}

/// The smallest conductor that does for each run, all else as it is.
fn conductors(page: &mut Page, study: &Study) {
    if study.sizing.runs.is_empty() {
        return;
    }
    page.heading("The smallest conductor that does for each run, all else as it is");
    let mut rows = vec![["run", "smallest", "doubled"].map(str::to_owned).to_vec()];
    for choice in &study.sizing.runs {
        let point = &study.plan.points[choice.point];
        rows.push(vec![
            drawing::clean(&format!("{} to {}", study.plan.points[point.parent].name, point.name)),
            choice.smallest.map_or("-".to_owned(), quantity::Gauge::written),
            if choice.doubled_does {
                "does".to_owned()
            } else if choice.short_doubled_v.is_infinite() {
                "still collapses".to_owned()
            } else {
                format!("still {:.2} V short", choice.short_doubled_v)
            },
        ]);
    }
    page.table(INDENT, &rows);
}

/// A two-wire smoke circuit under power.
pub(crate) fn smoke(page: &mut Page, circuit: &supply::SmokeLoop) {
    page.heading("Under power");
    let milli = |(low, high): Between| format!("{} to {}", Amperes(low).shown(3), Amperes(high).shown(3));
    let known = |text: String| if circuit.known { text } else { "not known".to_owned() };
    let source = &circuit.source;
    page.paragraph(
        INDENT,
        &format!(
            "Source {} behind {}, limit {}; open below {}, alarm above {}, {}.",
            source.volts.shown(),
            source.series.shown(),
            source.limit.shown(),
            source.open_below.shown(3),
            source.alarm_above.shown(3),
            source.short_above.map_or("a short counts as an alarm".to_owned(), |short| format!(
                "short above {}",
                short.shown(3)
            ))
        ),
    );
    let rows = [
        ("open", known(milli(circuit.open_a))),
        ("at rest", known(milli(circuit.rest_a))),
        ("after a reset", known(format!("at most {}", Amperes(circuit.start_a).shown(3)))),
        ("one in alarm", known(milli(circuit.alarm_a))),
        ("shorted", milli(circuit.short_a)),
        (
            "detectors at rest",
            known(format!("{} of {}", Amperes(circuit.standby_a).shown(3), source.standby.shown(3))),
        ),
        (
            "detectors allowed",
            known(format!("{} by current, {} with the listing", circuit.most_by_current, circuit.most)),
        ),
    ];
    page.table(INDENT, &rows.map(|(name, value)| vec![name.to_owned(), value]));
    page.gap();
    let mut table = vec![
        ["detector", "volts at rest", "alone in alarm", "volts then at the others"]
            .map(str::to_owned)
            .to_vec(),
    ];
    for head in &circuit.heads {
        table.push(vec![
            head.name.clone(),
            volts(Some(head.standby_v)),
            milli(head.alarm_a),
            head.others_v.map_or("-".to_owned(), |least| format!("from {least:.2}")),
        ]);
    }
    page.table(INDENT, &table);
}
