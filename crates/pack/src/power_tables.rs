//! The tables of supplies, of the survey, of what is programmed and told to the station.

use assess::Assessment;
use supply::{Between, Study};

use crate::sheets::signals::{room, wanted};
use crate::tables::{Cell, Table};

/// All of them; a table without rows only where it is to be filled in.
pub(crate) fn more_tables(assessment: &Assessment) -> Vec<Table> {
    let mut tables = Vec::new();
    if !assessment.supplies.is_empty() {
        tables.extend([loads(assessment), points(assessment), battery(assessment)]);
    }
    tables.push(survey(assessment));
    if wanted(assessment) {
        tables.extend(signals(assessment));
    }
    tables
}

/// Both ends; empty where there is no such condition.
fn ends(volts: Option<Between>) -> [Cell; 2] {
    [volts.map(|volts| volts.0).into(), volts.map(|volts| volts.1).into()]
}

fn supply_id(study: &Study) -> Cell {
    study.plan.supply.id.as_str().into()
}

fn loads(assessment: &Assessment) -> Table {
    let mut rows = Vec::new();
    for study in &assessment.supplies {
        for (row, result) in study.plan.rows.iter().zip(&study.loads) {
            let mut cells = vec![
                supply_id(study),
                row.at_name.as_str().into(),
                row.name.as_str().into(),
                Cell::Number(f64::from(row.count)),
                row.minimum.map(|least| least.0).into(),
            ];
            for volts in [result.standby, result.alarm, result.full, result.last_minute] {
                cells.extend(ends(volts));
            }
            cells.push(result.ok.map_or("", |ok| if ok { "right" } else { "short" }).into());
            rows.push(cells);
        }
    }
    Table {
        name: "loads",
        columns: vec![
            "supply",
            "at",
            "load",
            "count",
            "needs_v",
            "rest_lo_v",
            "rest_hi_v",
            "alarm_lo_v",
            "alarm_hi_v",
            "full_battery_alarm_lo_v",
            "full_battery_alarm_hi_v",
            "last_minute_lo_v",
            "last_minute_hi_v",
            "verdict",
        ],
        rows,
    }
}

fn points(assessment: &Assessment) -> Table {
    let mut rows = Vec::new();
    for study in &assessment.supplies {
        let solved = |condition: &Option<Result<supply::Solved, supply::Collapsed>>, at: usize| {
            condition
                .as_ref()?
                .as_ref()
                .ok()
                .map(|solved| (solved.volts[at], solved.amperes[at], solved.drop[at]))
        };
        for (at, point) in study.plan.points.iter().enumerate() {
            let alarm = solved(&study.alarm, at);
            let from = if at == 0 { "" } else { study.plan.points[point.parent].name.as_str() };
            let mut cells = vec![
                supply_id(study),
                point.name.as_str().into(),
                from.into(),
                Some(point.ohms.lo().0).into(),
                Some(point.ohms.hi().0).into(),
            ];
            cells.extend(ends(solved(&study.standby, at).map(|(volts, ..)| volts)));
            cells.extend(ends(alarm.map(|(volts, ..)| volts)));
            cells.extend(ends(study.last_minute.as_ref().map(|last| last[at])));
            cells.push(alarm.map(|(_, amperes, _)| amperes).into());
            cells.push(alarm.map(|(.., drop)| drop).into());
            rows.push(cells);
        }
    }
    Table {
        name: "volts",
        columns: vec![
            "supply",
            "point",
            "from",
            "lo_ohm",
            "hi_ohm",
            "rest_lo_v",
            "rest_hi_v",
            "alarm_lo_v",
            "alarm_hi_v",
            "last_minute_lo_v",
            "last_minute_hi_v",
            "alarm_a",
            "alarm_lost_v",
        ],
        rows,
    }
}

fn battery(assessment: &Assessment) -> Table {
    let mut rows = Vec::new();
    for study in &assessment.supplies {
        let battery = study.battery.as_ref();
        for (at, rule) in study.rules.iter().enumerate() {
            rows.push(vec![
                supply_id(study),
                rule.rules.as_str().into(),
                rule.rule.as_str().into(),
                rule.edition.as_str().into(),
                rule.clause.as_str().into(),
                rule.source.as_str().into(),
                if rule.remembered { "from memory" } else { "" }.into(),
                rule.system.word().into(),
                Some(rule.standby_h()).into(),
                Some(rule.alarm_min).into(),
                Some(rule.standby_a).into(),
                Some(rule.alarm_a).into(),
                Some(rule.factor()).into(),
                Some(rule.required_ah).into(),
                battery.map(|battery| battery.bank.capacity_ah()).into(),
                battery.map(|battery| battery.hours.0).into(),
                if study.governing == Some(at) { "counts" } else { "" }.into(),
                rule.working.join("; ").into(),
            ]);
        }
    }
    Table {
        name: "battery",
        columns: vec![
            "supply",
            "rules",
            "rule",
            "edition",
            "clause",
            "source",
            "mark",
            "alarm",
            "standby_h",
            "alarm_min",
            "standby_a",
            "alarm_a",
            "factor",
            "required_ah",
            "fitted_ah",
            "hours_aged_cold",
            "counts",
            "working",
        ],
        rows,
    }
}

/// Its heads are those that a filled-in sheet is read back by.
fn survey(assessment: &Assessment) -> Table {
    let sheet = identify::Sheet::of(assessment.job);
    Table {
        name: "survey",
        columns: identify::Column::ALL.map(identify::Column::title).to_vec(),
        rows: sheet.rows.into_iter().map(|row| row.into_iter().map(Cell::from).collect()).collect(),
    }
}

fn signals(assessment: &Assessment) -> Vec<Table> {
    let job = assessment.job;
    let room = room(assessment);
    let programmed = signal::Sheet::of(job, room).tables();
    let mut all: Vec<(&'static str, signal::Table)> =
        ["programming", "areas", "users", "call_order"].into_iter().zip(programmed).collect();
    if job.station.is_some() {
        let told = signal::station::StationSheet::of(job, room).tables();
        all.extend(["station", "station_zones"].into_iter().zip(told));
    }
    all.push(("calls", signal::calls::table(&signal::calls::of(job, &[]))));
    all.retain(|(_, table)| !table.rows.is_empty());
    let made = |(name, table): (&'static str, signal::Table)| Table {
        name,
        columns: table.columns,
        rows: table.rows.into_iter().map(|row| row.into_iter().map(Cell::from).collect()).collect(),
    };
    all.into_iter().map(made).collect()
}
