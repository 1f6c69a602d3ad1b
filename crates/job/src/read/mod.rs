//! From a text to a [`Job`]: every table, every default, every error.

mod allocating;
mod circuit;
mod cutover;
mod equipment;
mod office;
mod reading;
mod site;
mod station;
mod supply;

pub use reading::is_device_name;

use document::{Document, Located, Problem, Source, Table, Value};

use crate::keys;
use crate::model::{DefaultUsed, Job};
use crate::name::good_id;

impl Job {
    /// Reads a job file (`docs/format.md`, section 1) and checks every reference inside it.
    ///
    /// # Errors
    /// Everything that is wrong with the file, in the order of the text.
    pub fn read(source: &Source) -> Result<Self, Vec<Problem>> {
        Self::read_and(source, |_| Vec::new())
    }

    /// The same, with what somebody else knows of it: whether the library has what the job names. `check` is
    /// shown the job as far as it could be read, so that every error comes at once.
    ///
    /// # Errors
    /// Everything that is wrong with the file and everything that `check` finds, in the order of the text.
    pub fn read_and(
        source: &Source,
        check: impl FnOnce(&Self) -> Vec<Problem>,
    ) -> Result<Self, Vec<Problem>> {
        let document = Document::parse(source);
        let root = document.root("", keys::JOB);
        format_number(&root);
        let mut defaults = Vec::new();
        let job = Self {
            site: site::site(&root, &mut defaults),
            fire: site::fire(&root, &mut defaults),
            standing: site::standing(&root),
            meter: site::meter(&root, &mut defaults),
            meter_name: site::meter_name(&root),
            assume: site::assume(&root, &mut defaults),
            panel: site::panel(&root),
            enclosures: equipment::enclosures(&root),
            modules: equipment::modules(&root),
            devices: equipment::devices(&root),
            circuits: circuit::circuits(&root),
            cables: supply::cables(&root),
            supplies: supply::supplies(&root),
            standby: supply::standby(&root),
            outputs: equipment::outputs(&root),
            station: station::station(&root),
            areas: station::areas(&root),
            users: station::users(&root),
            history: station::history(&root),
            rates: office::rates(&root),
            van: office::van(&root),
            quotation: office::quotation(&root),
            allocate: allocating::terms(&root),
            extensions: allocating::extensions(&root),
            cutover: cutover::cutover(&root),
            defaults,
        };
        crate::check::references(&job, &unread(&root, &job), document.problems());
        for problem in check(&job) {
            document.problems().report(problem.span, problem.text, problem.accept);
        }
        if document.problems().is_empty() { Ok(job) } else { Err(document.into_problems()) }
    }
}

/// The kinds of tables of which some could not be read: what refers to one of those may well be right.
fn unread(root: &Table<'_>, job: &Job) -> Vec<document::Key> {
    let read = [
        ("enclosure", job.enclosures.len()),
        ("module", job.modules.len()),
        ("circuit", job.circuits.len()),
        ("supply", job.supplies.len()),
    ];
    read.into_iter().filter(|(key, read)| root.how_many(key) != *read).map(|(key, _)| key).collect()
}

/// `format = 1`: the only one there is.
fn format_number(root: &Table<'_>) {
    if let Some(value) = root.required("format") {
        let _ = value.whole(1, 1);
    }
}

/// A text that may be left out, without its place.
fn words(table: &Table<'_>, key: document::Key) -> String {
    table.text(key).map_or(String::new(), |text| text.value)
}

/// The id of a table, which must be there; one that cannot be read leaves the table out.
fn id(table: &Table<'_>, key: document::Key) -> Option<Located<String>> {
    table.required(key)?.read("M1", |text| good_id(text).map(str::to_owned))
}

/// The id of another table.
fn reference(table: &Table<'_>, key: document::Key) -> Option<Located<String>> {
    table.read(key, "M1", |text| good_id(text).map(str::to_owned))
}

/// A whole number of a key as `u32`, with limits.
fn count(table: &Table<'_>, key: document::Key, least: u32, most: u32) -> Option<u32> {
    let number = table.whole(key, i64::from(least), i64::from(most))?;
    u32::try_from(number.value).ok()
}

/// A value or its default, which is then noted.
fn or_default<T>(
    value: Option<Located<T>>,
    defaults: &mut Vec<DefaultUsed>,
    key: &str,
    written: &str,
    default: T,
) -> T {
    if let Some(value) = value {
        return value.value;
    }
    defaults.push(DefaultUsed { key: key.to_owned(), value: written.to_owned() });
    default
}

/// One value or a list of values.
fn one_or_more<'d>(value: &Value<'d>) -> Vec<Value<'d>> {
    if value.is_list() { value.list().unwrap_or_default() } else { vec![value.clone()] }
}
