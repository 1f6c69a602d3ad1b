//! Every page of a job, and what a press on it changes: from a request to an answer, without a socket.
//!
//! # Where to start
//! [`answer`] takes what a browser asks, in a [`World`] that somebody else keeps, and gives a page back together with
//! what is to be written down. A [`Desk`] is one version of a job,
//! [`Assessed`] and [`Surveyed`] what the engines say of it.
//! [`assets`] are the styles, scripts and letters.
//!
//! # What this crate leaves out
//! No sockets, files, clock or chance: time, author and a fresh id come in with the request, and what is to be kept goes
//! out with the answer. Nothing is remembered between two requests. It computes no reading: every number and verdict is the engines' own.

mod answer;
mod assets;
mod card;
mod card_form;
mod changes;
mod checked;
mod circuit;
mod circuits;
mod clear;
mod clock;
mod compare;
mod cutover;
mod desk;
mod divide;
mod divided;
mod equipment;
mod frame;
mod inputs;
mod kit;
mod lines;
mod list;
mod place;
mod play;
mod record;
mod request;
mod sheet;
mod sheet_plan;
mod sheet_told;
mod supplies;
mod survey;
mod tag;
mod text;
mod twice;
mod typed;
mod undo;
mod walk;
mod who;
mod world;

pub use answer::{Answer, Content, Remember, Sheet, Write, answer};
pub use assets::{Asset, assets};
pub use checked::checked_by;
pub use desk::{Assessed, CutOver, Desk, KitOf, Summary, Surveyed};
pub use divided::{Compared, Divided};
pub use request::{Method, Request, Upload};
pub use who::{LONGEST_NAME, name_of};
pub use world::{Changed, Codes, Entry, JobRow, Jobs, Kept, Photo, Refused, Table, World};
