//! Does every load get its volts and its hours?
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
    Asked, CHARGE_FACTOR, Recharged, Ruled, asked, recharge_hours, recharged, ruled, worst_current,
};
pub use size::{Demand, RunChoice, Sizing, sizing};
pub use smoke::{Head, SmokeLoop, smoke_loop};
pub use solve::{Balance, Collapse, Solver, bearable_share};
pub use study::{BatteryResult, Between, Budget, LoadResult, RuleRun, Study, study};
pub use tree::{Draw, Tree};
