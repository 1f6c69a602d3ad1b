//! Does every load get its volts and its hours?
//!
//! # Where to start
//! [`study()`] answers for one supply of a job: volts of every point and load on mains, on a full battery and in the last
//! alarm minute, budgets, ampere-hours by rule with their working, the battery by physics with its curves, charger, mains
//! side, conductors that do. [`findings()`] says it in words. [`smoke_loop()`] is a two-wire smoke circuit under power.
//! Below them [`Tree`] and [`Solver`] know no job: points, ohms, loads, and the greatest solution.
//!
//! # What this crate leaves out
//! How an input reads a circuit, and what a lost supply does to it, belong to `circuit`; which supply point hangs on which
//! to [`job::Feeding`]. It reads no files and no clock. Listing is never computed.

mod cell;
mod condition;
mod discharge;
mod findings;
mod mains;
mod plan;
mod rows;
mod rule;
mod size;
mod smoke;
mod solve;
mod study;
mod tree;

pub use cell::{
    AGED_RESISTANCE, AGED_SHARE, DISCHARGE_TABLE, FULL_VOLTS, History, POLARISATION, Rate, SELF_DISCHARGE,
    TABLE_CAPACITY, TEMPERATURE_RATES_H, TEMPERATURE_TABLE, rested_volts, temperature_share,
};
pub use condition::{Collapsed, Solved, Source, solve};
pub use discharge::{
    Bank, Discharge, Ended, Ends, Load, MOST_HOURS, Sample, State, discharge, hours_to_cut_off,
};
pub use findings::{findings, smoke_findings};
pub use mains::{Mains, Terminal, mains, terminals};
pub use plan::{Case, End, Limit, LimitOf, Plan, Point, Row, RowFrom, Way};
pub use rule::{
    Asked, CHARGE_FACTOR, LocalFigure, LocalWord, Recharged, Ruled, asked, recharge_hours, recharged, ruled,
    worst_current,
};
pub use size::{Demand, RunChoice, Sizing, sizing};
pub use smoke::{Head, SmokeLoop, smoke_loop};
pub use solve::{Balance, Collapse, Solver, bearable_share};
pub use study::{BatteryResult, Between, Budget, LoadResult, RuleRun, Study, in_series, study};
pub use tree::{Draw, Tree};
