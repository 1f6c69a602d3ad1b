//! What is on this pair of wires, where its resistor sits, and which reading to take next.
//!
//! # Where to start
//! [`Setting::evidence`] weighs the readings of one circuit, [`Building::learn`] lets all circuits speak together,
//! [`survey()`] says what is then known of each and what to do next.
//!
//! # What this crate leaves out
//! It reads no files, knows no input and no module: what the new equipment makes of a circuit is the circuit engine's.

mod building;
mod candidate;
mod display;
mod evidence;
#[cfg(test)]
mod exact;
mod integral;
mod known;
mod leave;
mod level;
mod line;
mod live;
mod look;
mod next;
mod odd;
mod outlook;
mod plan;
mod refusal;
mod remark;
mod rule;
mod sheet;
mod sight;
mod story;
mod survey;
mod testimony;
mod words;
mod written;

pub use building::Building;
pub use candidate::{Candidate, LISTED, Place, Ranking, SETTLED};
pub use display::{NoDisplay, WrittenDown};
pub use evidence::{Evidence, Setting};
pub use known::{as_typed, merge};
pub use leave::{Left, LeftOpen, before_leaving, second_visit};
pub use live::OldBoard;
pub use look::Spot;
pub use next::{Act, Choice, Next, next, options};
pub use plan::{Pass, Task, plan};
pub use refusal::Refusal;
pub use remark::{is_contradicted, remarks};
pub use sheet::{
    Column, Heads, Sheet, SheetProblem, SheetReading, SheetTrouble, cell_name, heads, read_sheet,
    survey_sheet,
};
pub use survey::{Breaker, OneByOne, Pair, SharedCore, Survey, Workers, survey, survey_one};
pub use testimony::{Agreement, Statement, for_and_against, statements};
pub use words::title;
pub use written::{devices, how_known, network_of};
