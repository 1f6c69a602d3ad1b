//! Drawings of a supply: its tree, what is drawn of each limit, its battery's discharge.

use assess::Assessment;
use drawing::{
    BudgetBar, Curve, DischargeRequest, SupplyLoad, SupplyPoint, SupplyRequest, budget_bars,
    discharge_picture, supply_drawings,
};
use job::{Finding, RunConductor};
use quantity::{Amperes, Volts, Written};
use supply::{Between, Budget, Collapsed, Discharge, Point, RuleRun, Solved, Study, Way};

use crate::figures::{ACROSS, Figure, units};
use crate::supplies::{LoadRow, PointRow};
use crate::words::between;

/// Heights of the first drawing and of those that continue it, for the lower of the two papers.
const HEIGHTS: (f64, f64) = (178.0, 190.0);

/// The tree of a supply, on as many drawings as it takes; `found` are its findings in the order of their numbers.
pub fn tree(assessment: &Assessment, study: &Study, found: &[&Finding]) -> Vec<Figure> {
    let points: Vec<SupplyPoint> =
        (0..study.plan.points.len()).map(|at| point(assessment, study, at)).collect();
    let loads: Vec<SupplyLoad> = (0..study.plan.rows.len()).map(|at| load(study, at, found)).collect();
    let supply = study.plan.supply;
    let pictures = supply_drawings(&SupplyRequest {
        id: &supply.id,
        words: &source_words(study),
        battery: &battery_words(study),
        feed: &feed_words(study),
        transformer: study.mains.as_ref().is_some_and(|mains| mains.gives == library::Current::Alternating),
        points: &points,
        loads: &loads,
        width_mm: ACROSS,
        heights_mm: HEIGHTS,
    });
    let count = pictures.len();
    let alt = |at: usize| {
        let part = if count == 1 { String::new() } else { format!(", drawing {} of {count}", at + 1) };
        let named: Vec<&str> = points.iter().map(|point| point.name.as_str()).collect();
        let named = crate::words::listed(&named, 12);
        format!("Supply {}{part}: points {named}; volts and loads stand in the tables", supply.id.value)
    };
    pictures.into_iter().enumerate().map(|(at, picture)| Figure::new(picture, alt(at))).collect()
}

fn source_words(study: &Study) -> Vec<String> {
    let supply = study.plan.supply;
    let Some(profile) = study.plan.profile else { return vec!["no profile named".to_owned()] };
    let mut words = vec![supply.profile.as_ref().map_or(String::new(), |id| id.value.clone())];
    words.push(format!("holds {}", profile.volts.shown()));
    words.push(format!("gives {}", profile.limit.shown(3)));
    words.push(format!("stops at {}", Volts(study.cut_off).shown(3)));
    words
}

fn battery_words(study: &Study) -> Vec<String> {
    let Some(battery) = &study.battery else { return Vec::new() };
    let bank = &battery.bank;
    let mut words = vec![format!("{}, {:.1}\u{2009}Ah", Volts(bank.volts()).shown(2), bank.capacity_ah())];
    if bank.in_series * bank.strings > 1 {
        words.push(format!("{} in series, {} in parallel", bank.in_series, bank.strings));
    }
    if let Some(fuse) = study.plan.supply.fuse {
        words.push(format!("fuse {}", fuse.shown(2)));
    }
    words.push("red to +, black to \u{2212}".to_owned());
    words
}

fn feed_words(study: &Study) -> Vec<String> {
    let outlet = &study.plan.supply.outlet;
    let mut words = Vec::new();
    if let Some(mains) = &study.mains {
        words.push(mains.profile.clone());
        words.push(format!(
            "{}, needs {:.0} {}",
            mains.gives.word().to_uppercase(),
            mains.needed_va,
            va(mains)
        ));
    }
    if !outlet.is_empty() {
        words.push(outlet.clone());
    }
    words
}

/// Apparent power, or power where it is direct current.
pub fn va(mains: &supply::Mains) -> &'static str {
    if mains.gives == library::Current::Direct { "W" } else { "VA" }
}

fn solved(condition: &Option<Result<Solved, Collapsed>>) -> Option<&Solved> {
    condition.as_ref()?.as_ref().ok()
}

fn point(assessment: &Assessment, study: &Study, at: usize) -> SupplyPoint {
    let point = &study.plan.points[at];
    let what = match point.way {
        Way::Terminals => "terminals",
        Way::Output => "output",
        Way::Module => "module",
        Way::Aux => "auxiliary output",
        Way::Relay => "contact",
        Way::Run(_) | Way::Leg => "",
    };
    SupplyPoint {
        name: point.name.clone(),
        parent: point.parent,
        way: way(assessment, study, at, point),
        what: what.to_owned(),
        volts: volts(study, at),
    }
}

/// Volts of a point at rest, in alarm and in the last alarm minute.
pub fn volts(study: &Study, at: usize) -> [String; 3] {
    let on_mains = |condition: &Option<Result<Solved, Collapsed>>| match condition {
        None => String::new(),
        Some(Err(_)) => "collapses".to_owned(),
        Some(Ok(solved)) => between(solved.volts[at]),
    };
    let last = study.last_minute.as_ref().map_or(String::new(), |volts| last_minute(study, volts[at]));
    [on_mains(&study.standby), on_mains(&study.alarm), last]
}

/// In words at the end at which the battery does not last.
pub fn last_minute(study: &Study, (low, high): Between) -> String {
    let (low_solves, high_solves) = study.last_minute_solves();
    let end = |volts: f64, solves: bool| match (volts > 0.0, solves) {
        (true, _) => format!("{volts:.2}"),
        (false, true) => "off".to_owned(),
        (false, false) => "collapse".to_owned(),
    };
    let (low, high) = (end(low, low_solves), end(high, high_solves));
    if low == high { low } else { format!("{low} to {high}") }
}

/// `25 m of 18 AWG, 1 joint; 1.04 to 1.22 ohm; in alarm 0.41 A and 0.43 V lost`.
fn way(assessment: &Assessment, study: &Study, at: usize, point: &Point) -> String {
    let mut parts = Vec::new();
    if let Way::Run(run) = &point.way {
        let units = units(assessment);
        let mut words = match run.conductor {
            RunConductor::Cable { length, gauge } => {
                format!("{} of {}", length.shown_in(units), gauge.shown_in(units))
            }
            RunConductor::Measured(_) => "measured".to_owned(),
        };
        if run.cores > 1 {
            words.push_str(&format!(", {} cores a leg", run.cores));
        }
        if run.joints > 0 {
            words.push_str(&format!(", {}", crate::words::counted(run.joints as usize, "joint", "joints")));
        }
        parts.push(words);
    }
    if point.ohms.hi().0 > 0.0 {
        parts.push(point.ohms.shown());
    }
    if let Some(alarm) = solved(&study.alarm).filter(|_| point.ohms.hi().0 > 0.0) {
        parts.push(format!(
            "in alarm {}, {:.2}\u{2009}V lost",
            Amperes(alarm.amperes[at]).shown(3),
            alarm.drop[at]
        ));
    }
    parts.join("; ")
}

fn load(study: &Study, at: usize, found: &[&Finding]) -> SupplyLoad {
    let (row, result) = (&study.plan.rows[at], &study.loads[at]);
    let name = load_name(study, at);
    let words = if row.count == 1 { name.clone() } else { format!("{} \u{d7} {name}", row.count) };
    let fails = result.ok == Some(false);
    let start = format!("{} at {} has", row.name, row.at_name);
    let numbered = found.iter().filter(|finding| finding.severity > job::Severity::Note);
    let number = numbered.zip(1_usize..).find(|(finding, _)| finding.text.starts_with(&start));
    let mut needs = row.minimum.map_or(String::new(), |least| format!("needs {}", least.shown(3)));
    if fails {
        needs = format!("{needs}; {}", shortest(study, at));
    } else if row.shed {
        needs = if needs.is_empty() {
            "dropped on battery".to_owned()
        } else {
            format!("{needs}; dropped on battery")
        };
    } else if !row.told {
        "nobody has said what it draws".clone_into(&mut needs);
    }
    SupplyLoad {
        point: row.at,
        words,
        needs,
        fails: fails.then(|| number.map_or(String::new(), |(_, number)| number.to_string())),
    }
}

/// The load's name as people call it.
pub fn load_name(study: &Study, at: usize) -> String {
    let row = &study.plan.rows[at];
    match (row.name.is_empty(), &row.profile) {
        (false, _) => row.name.clone(),
        (true, Some(profile)) => profile.clone(),
        (true, None) => "a load without a name".to_owned(),
    }
}

/// Its least volts with the condition in which it has them.
fn shortest(study: &Study, at: usize) -> String {
    let (row, result) = (&study.plan.rows[at], &study.loads[at]);
    let conditions = [
        ("at rest", result.standby),
        ("in alarm", result.alarm),
        ("on a full battery", result.full),
        ("in the last minute", result.last_minute),
    ];
    let least = conditions
        .into_iter()
        .filter_map(|(when, volts)| Some((when, volts?.0)))
        .min_by(|one, other| one.1.total_cmp(&other.1));
    match least {
        Some((when, volts)) if volts <= 0.0 => format!("nothing left {when}"),
        Some((when, volts)) if row.minimum.is_some_and(|least| volts < least.0) => {
            format!("has {volts:.2}\u{2009}V {when}")
        }
        _ => "its volts collapse".to_owned(),
    }
}

/// What is drawn of each limit; none where nothing has one.
pub fn budgets(study: &Study, width_mm: f64) -> Option<Figure> {
    if study.budgets.is_empty() {
        return None;
    }
    let bars: Vec<BudgetBar> = study.budgets.iter().map(|one| bar(study, one)).collect();
    let title = format!("What is drawn of each limit of supply {}", study.plan.supply.id.value);
    let alt: Vec<String> = bars.iter().map(|bar| format!("{}: {}", bar.name, bar.words)).collect();
    Some(Figure::new(budget_bars(&title, &bars, width_mm), alt.join("; ")))
}

fn bar(study: &Study, budget: &Budget) -> BudgetBar {
    let most = budget.limit.most;
    let share = |amperes: f64| amperes / most.0.max(1e-9);
    let flows = |amperes: f64| {
        if amperes.is_finite() { Amperes(amperes).shown(3) } else { "collapses".to_owned() }
    };
    let over = if budget.holds() { "" } else { ": too much" };
    BudgetBar {
        name: format!("{} ({})", study.plan.points[budget.point].name, budget.limit.of.word()),
        rest: share(budget.standby_a),
        alarm: share(budget.alarm_a),
        words: format!(
            "{} at rest, {} in alarm, of {}{over}",
            flows(budget.standby_a),
            flows(budget.alarm_a),
            most.shown(3)
        ),
        holds: budget.holds(),
    }
}

/// Every point from the terminals on, each followed by what hangs on it and what it feeds.
pub(crate) fn point_rows(assessment: &Assessment, study: &Study, found: &[&Finding]) -> Vec<PointRow> {
    let points = &study.plan.points;
    let mut left = if points.is_empty() { Vec::new() } else { vec![(0, 0)] };
    let mut rows = Vec::new();
    while let Some((at, depth)) = left.pop() {
        let SupplyPoint { name, way, what, volts, .. } = point(assessment, study, at);
        let here = (0..study.plan.rows.len()).filter(|row| study.plan.rows[*row].at == at);
        let loads = here.map(|row| load(study, row, found)).map(|load| LoadRow {
            what: load.words,
            needs: load.needs,
            fails: load.fails.is_some(),
        });
        rows.push(PointRow { depth, name, what, way, volts, loads: loads.collect() });
        let fed = (1..points.len()).rev().filter(|next| points[*next].parent == at && *next != at);
        left.extend(fed.map(|next| (next, depth + 1)));
    }
    rows
}

/// A discharge of the battery.
pub fn discharge(study: &Study, run: &RuleRun, temperature: (f64, f64), width_mm: f64) -> Figure {
    let samples = |discharge: &Discharge| -> Vec<(f64, f64)> {
        discharge.curve.iter().map(|sample| (sample.hours, sample.volts)).collect()
    };
    let (aged, new) = (samples(&run.low), samples(&run.high));
    let aged_words =
        format!("aged to {:.0} %, {:.0}\u{2009}\u{b0}C", 100.0 * supply::AGED_SHARE, temperature.0);
    let new_words = format!("new, {:.0}\u{2009}\u{b0}C", temperature.1);
    let title = format!("Discharge of the battery of supply {}", study.plan.supply.id.value);
    let picture = discharge_picture(&DischargeRequest {
        title: &title,
        aged: Curve { samples: &aged, words: &aged_words },
        new: Curve { samples: &new, words: &new_words },
        cut_off: study.cut_off,
        standby_h: run.standby_h,
        alarm_min: run.alarm_min,
        width_mm,
    });
    let alt =
        format!("{title}: volts over hours at rest and minutes in alarm, down to {:.2} V", study.cut_off);
    Figure::new(picture, alt)
}
