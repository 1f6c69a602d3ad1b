//! Volts, collapse, limits.

use job::{RunConductor, Severity};
use library::{Kind, Library};
use quantity::{Amperes, Interval, Volts, Written};

use super::Say;
use crate::condition::{Collapsed, Solved};
use crate::plan::{LimitOf, Way};
use crate::study::{Between, Study};

pub(super) fn put(say: &mut Say, library: &Library, study: &Study) {
    collapse(say, study);
    for row in 0..study.loads.len() {
        load(say, study, row);
    }
    limits(say, study);
    modules(say, library, study);
}

/// Modules whose auxiliary volts belong to another nominal voltage than the supply's.
fn modules(say: &mut Say, library: &Library, study: &Study) {
    let Some(supply) = study.plan.profile else { return };
    for row in &study.plan.rows {
        let profile = row.profile.as_ref().and_then(|id| library.profiles.get(id.as_str()));
        let Some(Kind::Module(module)) = profile.map(|profile| &profile.kind) else { continue };
        let Some(aux) = module.aux else { continue };
        if behind_aux(study, row.at) || nominal(aux.volts) == nominal(supply.volts) {
            continue;
        }
        say.push(
            Severity::Check,
            "module-volts",
            format!(
                "The auxiliary output of {} has {}; supply {} gives {}.",
                named(&row.name),
                aux.volts.shown(),
                study.plan.supply.id.value,
                supply.volts.shown()
            ),
            "Before power: look up in its manual what it takes. Only a module that changes the volts itself may hang here.",
        );
    }
}

/// How many times 12 V.
fn nominal(volts: Interval<Volts>) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "volts of equipment")]
    let twelves = (volts.hi().0 / 12.0).max(1.0) as u32;
    twelves
}

fn behind_aux(study: &Study, mut at: usize) -> bool {
    while at != 0 && !matches!(study.plan.points[at].way, Way::Aux) {
        at = study.plan.points[at].parent;
    }
    at != 0
}

fn collapse(say: &mut Say, study: &Study) {
    let conditions = [
        ("on mains at rest", &study.standby),
        ("on mains in alarm", &study.alarm),
        ("on a full battery at rest", &study.full_standby),
        ("on a full battery in alarm", &study.full_alarm),
    ];
    let collapsed = |condition: &Option<Result<Solved, Collapsed>>| match condition {
        Some(Err(collapsed)) => Some(*collapsed),
        _ => None,
    };
    let all: Vec<(&str, Collapsed)> =
        conditions.iter().filter_map(|(when, condition)| Some((*when, collapsed(condition)?))).collect();
    let Some((when, first)) = all.first() else { return };
    let point = &study.plan.points[first.point].name;
    let more = if all.len() > 1 { format!(" So it is in {} conditions.", all.len()) } else { String::new() };
    say.push(
        Severity::Fix,
        "collapse",
        format!(
            "{}, the loads at and beyond {point} want more than the cable can deliver: their volts collapse. At most {:.0} % of all loads could be carried.{more}",
            capital(when),
            100.0 * first.share
        ),
        change(study),
    );
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn load(say: &mut Say, study: &Study, row: usize) {
    let (result, row) = (&study.loads[row], &study.plan.rows[row]);
    if !row.told {
        say.push(
            Severity::Check,
            "load-draws-nothing",
            format!("Nobody has said what {} at {} draws.", named(&row.name), row.at_name),
            "Give the load its `device` or its `standby` and `alarm`; a sounder its [[device]] with a profile.",
        );
    }
    let Some(minimum) = row.minimum else { return };
    let short = |volts: Option<Between>| volts.filter(|volts| volts.0 > 0.0 && volts.0 < minimum.0);
    let conditions = [
        ("at rest on mains", result.standby),
        ("in alarm on mains", result.alarm),
        ("in alarm on a full battery", result.full),
        ("in the last alarm minute, on an aged battery at its coldest", result.last_minute),
    ];
    let failing: Vec<(&str, Between)> =
        conditions.iter().filter_map(|(when, volts)| Some((*when, short(*volts)?))).collect();
    let lowest = failing.iter().min_by(|one, other| one.1.0.total_cmp(&other.1.0));
    let Some(&(when, volts)) = lowest else { return };
    let only_last = failing.len() == 1 && when.starts_with("in the last");
    let last = if only_last { " A battery with more ampere-hours helps too." } else { "" };
    say.push(
        Severity::Fix,
        "load-under-volts",
        format!(
            "{} at {} has {} {when}; it needs {}.",
            named(&row.name),
            row.at_name,
            Volts(volts.0).shown(4),
            minimum.shown(3)
        ),
        format!("{}{last}", change(study)),
    );
}

fn named(name: &str) -> String {
    if name.is_empty() { "a load without a name".to_owned() } else { name.to_owned() }
}

/// Which run to change, and into what.
pub(super) fn change(study: &Study) -> String {
    let sizing = &study.sizing;
    let named = |point: usize| {
        let made = &study.plan.points[point];
        format!("{} to {}", study.plan.points[made.parent].name, made.name)
    };
    let Some(first) = sizing.first.map(|at| &sizing.runs[at]) else {
        return if sizing.on_the_way.is_empty() {
            "No cable is in the way: a supply with more volts at the end of its battery, or a load that needs less."
                .to_owned()
        } else {
            "No conductor does: put a supply nearer to the loads, its 0 V joined where the manuals ask for it."
                .to_owned()
        };
    };
    let run = named(first.point);
    let thicker = |first: &crate::RunChoice| {
        first.smallest.filter(|gauge| grows(study, first.point, *gauge)).map(quantity::Gauge::written)
    };
    match (first.doubled_does, thicker(first)) {
        (true, Some(gauge)) => format!("Change the run {run} first: double its cores, or pull {gauge}."),
        (true, None) => format!("Change the run {run} first: double its cores."),
        (false, Some(gauge)) => format!("Change the run {run} first: {gauge} does; doubling alone does not."),
        (false, None) => {
            let other = sizing.runs.iter().find(|choice| choice.doubled_does || thicker(choice).is_some());
            match (other, sizing.together) {
                (Some(other), _) => {
                    let gauge = thicker(other).unwrap_or("its cores doubled".to_owned());
                    format!("The run {} in {gauge} does.", named(other.point))
                }
                (None, Some(gauge)) => {
                    let all: Vec<String> = sizing.on_the_way.iter().map(|&point| named(point)).collect();
                    format!(
                        "No single run does. Begin with {run}; all of these in {} do: {}.",
                        gauge.written(),
                        all.join(", ")
                    )
                }
                (None, None) => format!(
                    "Doubling the run {run} helps most and is not enough: put a supply nearer to the loads."
                ),
            }
        }
    }
}

/// Whether a conductor is thicker than what is there.
fn grows(study: &Study, point: usize, gauge: quantity::Gauge) -> bool {
    match &study.plan.points[point].way {
        Way::Run(run) => match run.conductor {
            RunConductor::Cable { gauge: old, .. } => gauge.area() > old.area(),
            RunConductor::Measured(_) => false,
        },
        _ => false,
    }
}

fn limits(say: &mut Say, study: &Study) {
    for budget in study.budgets.iter().filter(|budget| !budget.holds()) {
        let name = &study.plan.points[budget.point].name;
        let worst = budget.standby_a.max(budget.alarm_a);
        let drawn = if worst.is_finite() {
            format!("{} are drawn", Amperes(worst).shown(3))
        } else {
            "more is wanted than can flow".to_owned()
        };
        let most = budget.limit.most.shown(3);
        let (code, text, remedy) = match budget.limit.of {
            LimitOf::Supply => (
                "supply-overloaded",
                format!("{drawn} from supply {name}, which gives at most {most}."),
                "Take loads off it or fit a larger one.",
            ),
            LimitOf::Output => (
                "output-overloaded",
                format!("{drawn} from output {name}, which gives at most {most}."),
                "Move loads to another output, or feed them through a relay from the supply's terminals.",
            ),
            LimitOf::Aux => (
                "aux-overloaded",
                format!("{drawn} from {name}, which gives at most {most}."),
                "Feed the detectors from the supply itself.",
            ),
            LimitOf::Contact => (
                "contact-overloaded",
                format!("{drawn} through the contact of {name}, which switches at most {most}."),
                "Put a relay with a stronger contact between.",
            ),
        };
        say.push(Severity::Fix, code, capital(&text), remedy);
    }
}
