//! Supplies on the terminal: budgets as bars, loads with their volts, the battery by rule and by physics, its curve.

use assess::Assessment;
use job::Severity;
use quantity::{AmpereHours, Amperes, Volts, Written};
use supply::{Budget, RuleRun, Study};

use super::page::Page;
use super::severity;

/// Blanks in front of what belongs to a supply.
const INDENT: usize = 2;
/// Cells of a budget bar.
const BAR: usize = 24;
/// Rows of a discharge curve.
const CURVE_ROWS: usize = 8;
/// Columns in front of a curve, for its volts.
const CURVE_MARGIN: usize = 9;
/// Rows of loads that the report lists; `explain` lists them all.
const MOST_LOADS: usize = 12;

/// Puts every supply.
pub(crate) fn put(page: &mut Page, assessment: &Assessment) {
    if assessment.supplies.is_empty() {
        return;
    }
    page.heading("Supplies, in the order of the job");
    for study in &assessment.supplies {
        let id = study.plan.supply.id.value.as_str();
        let of = assessment.findings.iter().filter(|finding| finding.place == id);
        let heaviest = of.map(|finding| finding.severity).max();
        page.gap();
        head(page, study, heaviest);
        budgets(page, study);
        worst_loads(page, study);
        battery(page, study);
        if let Some(run) = governing_run(study) {
            curve(page, study, run);
        }
    }
}

/// Mark, id, profile and battery.
fn head(page: &mut Page, study: &Study, heaviest: Option<Severity>) {
    let supply = study.plan.supply;
    let named = |part: &Option<document::Located<String>>, none: &str| {
        part.as_ref().map_or(none.to_owned(), |part| part.value.clone())
    };
    let mark =
        severity::circuit_mark(heaviest, Some(heaviest.is_none_or(|heaviest| heaviest < Severity::Fix)));
    let text = format!(
        "{}  {}, battery {}",
        supply.id.value,
        named(&supply.profile, "no profile"),
        named(&supply.battery, "none")
    );
    page.hanging(&format!("{mark}  "), severity::MARK_COLUMNS + 2, &text);
    page.parts(
        INDENT,
        &[
            format!("at rest {}", Amperes(study.standby_a).shown(3)),
            format!("in alarm {}", Amperes(study.alarm_a).shown(3)),
            format!("stops at {}", Volts(study.cut_off).shown(3)),
        ],
    );
}

/// One bar for everything that has a limit: the darker part flows at rest, all of it in alarm.
pub(crate) fn budgets(page: &mut Page, study: &Study) {
    let rows: Vec<Vec<String>> = study
        .budgets
        .iter()
        .map(|budget| {
            let name = study.plan.points[budget.point].name.clone();
            let worst = budget.standby_a.max(budget.alarm_a);
            let flows = if worst.is_finite() { Amperes(worst).shown(3) } else { "collapses".to_owned() };
            let of = format!("{flows} of {} ({})", budget.limit.most.shown(3), budget.limit.of.word());
            let over = if budget.holds() { of } else { format!("{of}, too much") };
            vec![drawing::clean(&name), bar(budget), over]
        })
        .collect();
    page.table(INDENT, &rows);
}

fn bar(budget: &Budget) -> String {
    let cells = |amperes: f64| {
        let share = (amperes / budget.limit.most.0.max(1e-9)).clamp(0.0, 1.0);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to BAR")]
        let cells = (share * BAR as f64).ceil() as usize;
        cells.min(BAR)
    };
    let rest = cells(budget.standby_a);
    let alarm = cells(budget.alarm_a.max(budget.standby_a)).max(rest);
    let end = if budget.holds() { '|' } else { '!' };
    format!("{}{}{}{end}", "█".repeat(rest), "▒".repeat(alarm - rest), "·".repeat(BAR - alarm))
}

/// Loads that are short of volts, the worst first; or how well the worst is off.
fn worst_loads(page: &mut Page, study: &Study) {
    let all = (0..study.loads.len()).filter_map(|row| Some((row, spare(study, row)?)));
    let mut all: Vec<(usize, f64)> = all.collect();
    all.sort_by(|one, other| one.1.total_cmp(&other.1));
    let failing = all.iter().filter(|(_, spare)| *spare < 0.0).count();
    let shown = failing.clamp(1, MOST_LOADS);
    let rows: Vec<Vec<String>> = all.iter().take(shown).map(|(row, _)| load_row(study, *row)).collect();
    if rows.is_empty() {
        return;
    }
    let what = match failing {
        0 => "The load with least to spare:".to_owned(),
        1 => "1 load is short of volts:".to_owned(),
        many => format!("{many} loads are short of volts:"),
    };
    page.paragraph(INDENT, &what);
    let mut table = vec![load_head()];
    table.extend(rows);
    page.table(INDENT + 2, &table);
}

/// Volts above its minimum in the worst condition.
fn spare(study: &Study, row: usize) -> Option<f64> {
    let minimum = study.plan.rows[row].minimum?.0;
    let result = &study.loads[row];
    // A battery that does not last is told of by itself.
    let last = result.last_minute.filter(|last| last.0 > 0.0);
    let all = [result.standby, result.alarm, result.full, last];
    all.into_iter().flatten().map(|volts| volts.0 - minimum).reduce(f64::min)
}

/// The heads of a table of loads.
pub(crate) fn load_head() -> Vec<String> {
    ["at", "load", "needs", "rest", "alarm", "last minute"].map(str::to_owned).to_vec()
}

/// One row of a table of loads.
pub(crate) fn load_row(study: &Study, at: usize) -> Vec<String> {
    let (row, result) = (&study.plan.rows[at], &study.loads[at]);
    let volts = |volts: Option<supply::Between>| {
        volts.map_or("-".to_owned(), |(low, high)| format!("{low:.2} to {high:.2}"))
    };
    let count = if row.count == 1 { String::new() } else { format!("{} x ", row.count) };
    vec![
        drawing::clean(&row.at_name),
        drawing::clean(&format!("{count}{}", row.name)),
        row.minimum.map_or("-".to_owned(), |minimum| minimum.shown(3)),
        volts(result.standby),
        volts(result.alarm),
        volts(result.last_minute),
    ]
}

/// By rule and by physics, side by side.
fn battery(page: &mut Page, study: &Study) {
    let fitted = study.battery.as_ref().map(|battery| battery.bank.capacity_ah());
    if let Some(rule) = study.governing.map(|at| &study.rules[at]) {
        let fitted = fitted
            .map_or("none fitted".to_owned(), |fitted| format!("{} fitted", AmpereHours(fitted).shown(3)));
        let required =
            study.required_ah().map_or("not known".to_owned(), |required| format!("{required:.2} Ah"));
        let local = if rule.overridden() { ", by local word" } else { "" };
        page.paragraph(
            INDENT,
            &format!("by rule: {required}, {fitted} ({} {}{local})", rule.rules, rule.rule),
        );
    }
    let Some(battery) = &study.battery else { return };
    page.paragraph(
        INDENT,
        &format!(
            "by physics: at rest {:.1} h aged and at {:.0} C, {:.1} h new and at {:.0} C",
            battery.hours.0, battery.temperature.0, battery.hours.1, battery.temperature.1
        ),
    );
}

/// The discharge of the rule that asks most.
pub(crate) fn governing_run<'s>(study: &'s Study<'_>) -> Option<&'s RuleRun> {
    let battery = study.battery.as_ref()?;
    battery.runs.iter().find(|run| run.rules.iter().any(|rule| study.governing == Some(*rule)))
}

/// Volts over hours: `o` aged and cold, `+` new and warm.
pub(crate) fn curve(page: &mut Page, study: &Study, run: &RuleRun) {
    let columns = page.columns().saturating_sub(INDENT + CURVE_MARGIN).clamp(20, 64);
    let end = run.standby_h + run.alarm_min / 60.0;
    let top = run.high.curve.iter().chain(&run.low.curve).map(|sample| sample.volts).fold(0.0, f64::max);
    let bottom = study.cut_off.min(top - 0.1);
    let mut cells = vec![vec![' '; columns]; CURVE_ROWS];
    for (mark, discharge) in [('+', &run.high), ('o', &run.low)] {
        for sample in &discharge.curve {
            let across = sample.hours / end.max(1e-9) * (columns - 1) as f64;
            let down = (top - sample.volts) / (top - bottom) * (CURVE_ROWS - 1) as f64;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the picture")]
            let (across, down) = (across.round().max(0.0) as usize, down.round().max(0.0) as usize);
            cells[down.min(CURVE_ROWS - 1)][across.min(columns - 1)] = mark;
        }
    }
    page.paragraph(
        INDENT,
        &format!(
            "volts at its terminals over {} h at rest and {} min in alarm: o aged to 80 % and cold, + new and warm",
            shown(run.standby_h),
            shown(run.alarm_min)
        ),
    );
    for (row, cells) in cells.iter().enumerate() {
        let volts = top - (top - bottom) * row as f64 / (CURVE_ROWS - 1) as f64;
        let text: String = cells.iter().collect();
        page.line(&format!("{:INDENT$}{volts:>6.2} V |{text}", ""));
    }
    page.line(&format!("{:INDENT$}{:>8} +{}", "", "", "-".repeat(columns)));
    let last = format!("{} h", shown(end));
    page.line(&format!("{:INDENT$}{:>8}  0{last:>width$}", "", "", width = columns - 1));
    if let Some(ended) = run.low.ends {
        page.paragraph(INDENT, &format!("Aged and cold it ends after {:.1} h.", ended.hours));
    }
}

fn shown(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
