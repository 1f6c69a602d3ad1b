//! One geometry, two pens: how a job's pictures are laid out, apart from what they are drawn with.
//!
//! # Where to start
//! On paper: [`circuit_picture`] draws a pair to scale with its symbols and the checker's marks
//! ([`circuit_pictures`] several states of one, to one scale), [`band_picture`] what an input sees,
//! [`terminal_drawing`] what lands on a module (with [`input_rows`] from the job), [`supply_drawings`] a supply's tree,
//! [`budget_bars`] what is drawn of each limit, [`discharge_picture`] its battery, [`tag`](fn@tag) a cable's tag. Each returns a [`Picture`]: an SVG in millimetres. [`door_schedule`] is plain rows.
//!
//! [`time_picture`] draws a cut-over's bars with what is without protection.
//!
//! With characters: [`time_chart`] draws the same. [`BandPicture`] lays bands and readings out on the same ohm [`Spot`] scale, which every
//! page of a job shares; [`strip`](fn@strip) draws it. [`ladder`](fn@ladder) draws a network as two legs with
//! its parts, and [`sentence`](fn@sentence) says it in words.
//!
//! # What this crate leaves out
//! It computes no reading and judges nothing: it takes plain numbers and names. It writes nowhere.

mod area;
mod band_picture;
mod bands;
mod block;
mod budget_bars;
mod canvas;
mod chain;
mod circuit_picture;
mod discharge_picture;
mod hatch;
mod label;
mod ladder;
mod lane;
mod mark;
mod ohm_sheet;
mod part;
mod parts;
mod row;
mod run;
mod scale;
mod sentence;
mod strip;
mod supply_picture;
mod supply_rows;
mod supply_source;
mod svg;
mod symbol;
mod tag;
mod terminal_rows;
mod terminals;
mod text;
mod text_width;
mod time_picture;
mod timeline;

pub use area::Area;
pub use band_picture::{BandRequest, BandStrip, Measured, Predicted, band_picture};
pub use bands::{Band, BandPicture, Bar, BarKind, Edge, Plumb, Strip};
pub use budget_bars::{BudgetBar, budget_bars};
pub use circuit_picture::{
    CheckMark, CircuitRequest, MarkPlace, MarkSign, circuit_picture, circuit_pictures,
};
pub use discharge_picture::{Curve, DischargeRequest, discharge_picture};
pub use ladder::ladder;
pub use scale::{SCALE_FROM, SCALE_TO, Spot};
pub use sentence::sentence;
pub use strip::{StripLines, axis, least_width, strip};
pub use supply_picture::{SupplyLoad, SupplyPoint, SupplyRequest, supply_drawings};
pub use svg::{Lettering, Picture};
pub use tag::{TagRequest, site_slug, tag, tag_code};
pub use terminal_rows::{DoorRow, InputRow, door_schedule, input_rows};
pub use terminals::{SupplyEnd, TerminalRequest, terminal_drawing};
pub use text::{clean, clipped, padded, width, wrapped};
pub use text_width::{Face, broken, text_width};
pub use time_picture::time_picture;
pub use timeline::{TimeBar, TimeRequest, TimeRow, TimeSpan, TimeTone, time_chart};
