//! Whether ohms may be read of a pair: the rule of `assess`, by the safety entries of this job.

use assess::clear::{Clearance, Wanted, followed, refuses_reading, why_no_ohms};
use job::{Change, Circuit, Job, Reading};

use crate::frame::Open;
use crate::request::Request;
use crate::world::{Entry, World};

pub(crate) use assess::clear::{in_the_way, is_foreign};

fn of(entries: &[Entry]) -> Vec<Clearance> {
    Clearance::newest(entries.iter().map(|entry| (entry.about.as_str(), entry.data.as_str())))
}

/// Why no ohms may be read of a pair, and what to do; none where they may.
pub(crate) fn why_not(circuit: &Circuit, clearances: &[Entry]) -> Option<String> {
    why_no_ohms(circuit, &of(clearances))
}

/// The same for one reading: volts may always be read, a leg to earth once the volts are known.
pub(crate) fn refuses(circuit: &Circuit, reading: &Reading, clearances: &[Entry]) -> Option<String> {
    refuses_reading(circuit, reading, &of(clearances))
}

/// The reading to take next of a pair whose ohms may not be read yet.
pub(crate) fn wanted(circuit: &Circuit, clearances: &[Entry]) -> Option<Wanted> {
    assess::clear::wanted(circuit, &of(clearances))
}

/// Which circuits ohms may be read of, in the order of the job.
pub(crate) fn clear(open: &Open, clearances: &[Entry]) -> Vec<bool> {
    let clearances = of(clearances);
    open.job().circuits.iter().map(|circuit| why_no_ohms(circuit, &clearances).is_none()).collect()
}

/// Whether a pair's own volts and legs say that ohms may be read of it, whatever ohms it has already.
pub(crate) fn is_read_by_itself(circuit: &Circuit) -> bool {
    let mut circuit = circuit.clone();
    let is_ohms = |reading: &Reading| reading.shown.iter().any(|shown| matches!(shown, job::Shown::Ohms(_)));
    circuit.found.retain(|reading| reading.is_to_earth() || !is_ohms(reading));
    why_no_ohms(&circuit, &[]).is_none()
}

/// The entries that go along with a change, so that being clear or left out stays with the cable and not with its tag.
pub(crate) fn anew(open: &Open, (id, what): (&str, &str), after: &Job, changes: &[Change]) -> Vec<Entry> {
    let known = crate::survey::clearances(open);
    let anew = followed(open.job(), after, changes, &of(&known));
    going_on(open.request, (id, what), &known, anew)
}

/// The same of a whole new text; `before` is none where the old one cannot be read.
pub(crate) fn written_anew(
    (world, request, job): (&dyn World, &Request, &str),
    (id, what): (&str, &str),
    before: Option<&Job>,
    after: &Job,
) -> Vec<Entry> {
    let known = crate::survey::clearances_of(world, job);
    let anew = assess::clear::written_anew(before, after, &of(&known));
    going_on(request, (id, what), &known, anew)
}

fn going_on(
    request: &Request,
    (id, what): (&str, &str),
    known: &[Entry],
    anew: Vec<Clearance>,
) -> Vec<Entry> {
    let entry = |(at, clearance): (usize, Clearance)| {
        let before = known.iter().find(|entry| entry.about == clearance.strip)?;
        Some(Entry {
            id: format!("{id}-strip{at}"),
            at: request.at.clone(),
            author: request.author.clone(),
            words: clearance.words(what),
            data: clearance.data(&before.data),
            ..before.clone()
        })
    };
    anew.into_iter().enumerate().filter_map(entry).collect()
}

/// What evidence calls the meter of a job.
pub(crate) fn meter(job: &Job) -> String {
    if job.meter_name.is_empty() { "meter".to_owned() } else { job.meter_name.clone() }
}
