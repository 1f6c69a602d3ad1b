//! A TOML text as located values: every key and value with its place, every error at once.
//!
//! # Where to start
//! [`Source`] holds a text and knows its lines. [`Document::parse`] reads its syntax;
//! [`Document::root`] opens it as a [`Table`], whose getters hand out [`Located`] values and put what
//! they cannot read into a [`Problems`] list. [`Source::complaint`] turns a problem into line, column
//! and the line itself.
//!
//! # What this crate leaves out
//! It knows no key of any format, reads no files, and nothing in it stops at the first error.

mod literal;
mod located;
mod measure;
mod nesting;
mod plain;
mod problem;
mod shape;
mod source;
mod spelling;
mod syntax;
mod table;
mod value;

pub use located::Located;
pub use plain::{Plain, key_literal};
pub use problem::{MOST_PROBLEMS, Misread, Problem, Problems};
pub use shape::{Entry, Shape};
pub use source::{Complaint, MOST_BYTES, Place, Source};
pub use spelling::{list, nearest};
pub use syntax::Document;
pub use table::{Key, Table};
pub use value::Value;
