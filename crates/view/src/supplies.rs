//! A supply's drawing: its tree with volts at every point, what is drawn of each limit, its findings; its battery's
//! sheet behind it.

use assess::Assessment;
use quantity::{Amperes, Written};
use serde::Serialize;
use supply::Study;

use crate::battery::{BatterySheet, battery_sheet};
use crate::circuit::{Note, notes};
use crate::figures::{ACROSS, Figure, ON_A_PHONE};
use crate::power_figures::{budgets, point_rows, tree};
use crate::words::{capital, counted, findings_of, listed};

/// One supply.
#[derive(Serialize)]
pub struct SupplySheet {
    /// Its id.
    pub id: String,
    /// What its profile calls it.
    pub title: String,
    /// Where it hangs.
    pub place: String,
    /// The answer in a sentence or two.
    pub answer: String,
    /// Its tree, on as many drawings as it takes.
    pub figures: Vec<Figure>,
    /// What is drawn of each limit.
    pub budgets: Option<Figure>,
    /// The same, as wide as a phone.
    #[serde(skip)]
    pub budgets_narrow: Option<Figure>,
    /// Its points with their volts, in the order of the tree.
    #[serde(skip)]
    pub points: Vec<PointRow>,
    /// What was found, the heaviest first.
    pub notes: Vec<Note>,
    /// Runs with the smallest conductor that does, where a load is short of volts.
    pub runs: Vec<[String; 3]>,
    /// Terminal, what lands on it, what to mind.
    pub terminals: Vec<[String; 3]>,
    /// Its battery's sheet.
    pub battery: Option<BatterySheet>,
}

/// A point of the tree.
pub struct PointRow {
    /// How many points lie between it and the terminals, itself counted.
    pub depth: usize,
    /// Its name.
    pub name: String,
    /// What it is; empty for a plain point.
    pub what: String,
    /// The way that leads here; empty for what has no length.
    pub way: String,
    /// Volts at rest, in alarm and in the last alarm minute; empty where nothing could be computed.
    pub volts: [String; 3],
    /// What hangs on it.
    pub loads: Vec<LoadRow>,
}

/// So many like loads at one point.
pub struct LoadRow {
    /// What they are.
    pub what: String,
    /// The volts that they need and what they are short of, or nothing.
    pub needs: String,
    /// Whether they are short of volts.
    pub fails: bool,
}

/// Every supply, in the order of the job.
pub fn supply_sheets(assessment: &Assessment) -> Vec<SupplySheet> {
    assessment.supplies.iter().map(|study| supply_sheet(assessment, study)).collect()
}

/// One supply.
#[must_use]
pub fn supply_sheet(assessment: &Assessment, study: &Study) -> SupplySheet {
    let supply = study.plan.supply;
    let found = findings_of(assessment, &supply.id);
    let profile = supply.profile.as_ref().and_then(|id| assessment.library.profiles.get(id.as_str()));
    let enclosure = supply.enclosure.as_ref();
    let known =
        enclosure.and_then(|id| assessment.job.enclosures.iter().find(|known| known.id.value == id.value));
    let place = match (enclosure, known) {
        (Some(id), Some(known)) if !known.place.is_empty() => {
            format!("Enclosure {}, {}", id.value, known.place)
        }
        (Some(id), _) => format!("Enclosure {}", id.value),
        (None, _) => "In no enclosure yet".to_owned(),
    };
    SupplySheet {
        id: supply.id.value.clone(),
        title: profile.map_or_else(|| "Profile not named".to_owned(), |profile| profile.title.clone()),
        answer: answer(study),
        figures: tree(assessment, study, &found),
        budgets: budgets(study, ACROSS),
        budgets_narrow: budgets(study, ON_A_PHONE),
        points: point_rows(assessment, study, &found),
        notes: notes(&found),
        runs: runs(study),
        terminals: study
            .terminals
            .iter()
            .map(|terminal| [terminal.name.clone(), terminal.lands.clone(), capital(&terminal.mind)])
            .collect(),
        battery: battery_sheet(assessment, study),
        place,
    }
}

fn answer(study: &Study) -> String {
    if study.plan.profile.is_none() {
        return "The job names no profile for this supply, so its volts are not known.".to_owned();
    }
    let short: Vec<String> = (0..study.loads.len())
        .filter(|&row| study.loads[row].ok == Some(false))
        .map(|row| {
            let of = &study.plan.rows[row];
            format!("{} at {}", crate::power_figures::load_name(study, row), of.at_name)
        })
        .collect();
    let over = study.budgets.iter().filter(|budget| !budget.holds()).count();
    let loads = match short.len() {
        0 if study.loads.is_empty() => "Nobody has said what hangs on this supply.".to_owned(),
        0 => format!(
            "Every load has its volts, at rest, in alarm and in the last alarm minute; {} flow at rest and {} in alarm.",
            Amperes(study.standby_a).shown(3),
            Amperes(study.alarm_a).shown(3)
        ),
        1 => format!("One load is short of volts: {}.", short[0]),
        many => format!("{many} loads are short of volts: {}.", listed(&short, 3)),
    };
    match over {
        0 => loads,
        over => {
            let gives = if over == 1 { "gives" } else { "give" };
            format!("{loads} {} {gives} more than allowed.", counted(over, "output", "outputs"))
        }
    }
}

fn runs(study: &Study) -> Vec<[String; 3]> {
    let sizing = &study.sizing;
    if sizing.short_v <= 0.0 {
        return Vec::new();
    }
    let row = |choice: &supply::RunChoice| {
        let point = &study.plan.points[choice.point];
        let doubled = if choice.doubled_does {
            "does".to_owned()
        } else if choice.short_doubled_v.is_finite() {
            format!("still {:.2}\u{2009}V short", choice.short_doubled_v)
        } else {
            "still collapses".to_owned()
        };
        [
            format!("{} to {}", study.plan.points[point.parent].name, point.name),
            choice.smallest.map_or("no size does".to_owned(), quantity::Gauge::written),
            doubled,
        ]
    };
    // Where nothing does, the finding says so.
    let helps = |choice: &&supply::RunChoice| choice.smallest.is_some() || choice.doubled_does;
    sizing.runs.iter().filter(helps).map(row).collect()
}
