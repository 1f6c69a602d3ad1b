//! Cable: supply runs to change, and circuits that end in another enclosure than their module's.

use ::kit::Count;
use job::{Job, RunConductor, Severity};
use library::{SmallPart, Task};
use quantity::{Gauge, Interval, Metres};
use supply::{Sizing, Study, Way};

use super::causes::Cause;
use super::collector::{Collector, SITE};
use super::items::{cable, small};

/// Runs of every supply, then extensions.
pub(super) fn collect(collector: &mut Collector) {
    for study in &collector.assessment.supplies {
        for (point, gauge) in changes(study) {
            one_run(collector, study, point, gauge);
        }
    }
    extensions(collector);
}

/// Which runs get which conductor: the one to change first, else all on the way at once; none: doubled as it is.
pub(super) fn changes(study: &Study) -> Vec<(usize, Option<Gauge>)> {
    let Sizing { runs, first, together, on_the_way, .. } = &study.sizing;
    if let Some(gauge) = together {
        return on_the_way.iter().map(|point| (*point, Some(*gauge))).collect();
    }
    first.map(|at| (runs[at].point, runs[at].smallest)).into_iter().collect()
}

fn one_run(collector: &mut Collector, study: &Study, point: usize, gauge: Option<Gauge>) {
    let Way::Run(run) = &study.plan.points[point].way else { return };
    let id = study.plan.supply.id.as_str();
    let enclosure = study.plan.supply.enclosure.as_ref().map_or(SITE, |enclosure| enclosure.as_str());
    let place = format!("{} to {}", run.from.value, run.to.value);
    let (length, own) = match run.conductor {
        RunConductor::Cable { length, gauge } => (length, gauge),
        RunConductor::Measured(_) => {
            collector.find(
                Severity::Check,
                id,
                "kit-run-length",
                format!("The run {place} has to be changed, and nobody has measured how long it is."),
                "Measure the way, and write the run as a length with its conductor.",
            );
            collector.second.push(format!("the run {place} has no length"));
            return;
        }
    };
    let metres = whole_metres(length);
    let cause = (metres.lo() < metres.hi()).then_some(Cause::Length);
    let why = match gauge {
        Some(_) => "supply run, so that every load has its volts",
        None => "supply run doubled, so that every load has its volts",
    };
    let item = cable(gauge.unwrap_or(own));
    let part = Some((item.part.clone(), item.value.clone()));
    collector.need(item, metres, &place, why, cause);
    collector.need(small(SmallPart::GelJoint), Count::exact(4), &place, "both ends of a changed run", None);
    collector.work_of(Task::Cable, enclosure, &place, metres, cause, part);
}

/// A circuit whose cable ends in another enclosure than that of its module, and not beside it.
fn extensions(collector: &mut Collector) {
    let job = collector.assessment.job;
    for (circuit, found) in job.circuits.iter().zip(&collector.as_found.circuits) {
        // A plan says where a cable will end; what it takes is counted from where it was found to end.
        let Some(ends_in) = found.ends_in.as_ref().filter(|_| circuit.input.is_some()) else { continue };
        let enclosure = collector.enclosure(circuit);
        if enclosure == super::collector::SITE || stands_with(job, &enclosure) == stands_with(job, ends_in) {
            continue;
        }
        let tag = circuit.tag.as_str();
        let known = job.extensions.iter().find(|one| {
            stands_with(job, &one.from) == stands_with(job, ends_in)
                && stands_with(job, &one.to) == stands_with(job, &enclosure)
        });
        let (metres, cause) = match known {
            Some(one) => (whole_metres(Interval::exact(one.length)), None),
            None => (whole_metres(collector.labour.allowance.extension), Some(Cause::Length)),
        };
        let item = cable(circuit.gauge.unwrap_or(job.assume.cable));
        let part = Some((item.part.clone(), item.value.clone()));
        let why = format!("from {} to {enclosure}", ends_in.value);
        collector.need(item, metres, tag, &why, cause);
        collector.need(
            small(SmallPart::GelJoint),
            Count::exact(2),
            tag,
            "where its cable is lengthened",
            None,
        );
        match known.and_then(|one| one.minutes) {
            Some(minutes) => collector.took(Task::Cable, &enclosure, tag, metres, minutes, part),
            None => collector.work_of(Task::Cable, &enclosure, tag, metres, cause, part),
        }
    }
}

/// The enclosure that an enclosure hangs beside; itself where it hangs alone.
fn stands_with<'j>(job: &'j Job, id: &'j str) -> &'j str {
    let enclosure = job.enclosures.iter().find(|enclosure| enclosure.id.value == id);
    enclosure.and_then(|enclosure| enclosure.beside.as_ref()).map_or(id, |beside| beside.as_str())
}

/// A length in whole metres, up.
pub(super) fn whole_metres(length: Interval<Metres>) -> Count {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1e9")]
    // A millionth of a metre is rounding: 25 m are 25, not 26.
    let up = |metres: Metres| (metres.0 - 1e-6).ceil().clamp(0.0, 1e9) as u32;
    Count::between(up(length.lo()), up(length.hi()))
}
