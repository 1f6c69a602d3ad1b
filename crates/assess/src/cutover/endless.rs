//! What does not come back: circuits that a swap leaves without an input, home runs whose second input nobody named; and when
//! the account is on test.

use std::collections::BTreeSet;

use cutover::{Act, Level, Out, Outage, Plan, Presence, Problem, Unprotected, Way};
use job::{Circuit, Display, Duty, Job, Output, Reading, Shown, When};
use network::Part;

use super::Cutover;
use super::tasks::{Piece, Work};
use crate::assess::Assessment;

/// The rules count within this many minutes.
const DAY: u32 = 24 * 60;

/// Something that is without protection and has no end in the plan.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Endless {
    /// The circuit's tag.
    pub tag: String,
    /// What is gone, in words: the tag, or the runs of it that have no input.
    pub what: String,
    /// Whether it belongs to the fire alarm.
    pub fire: bool,
    /// Why it does not come back.
    pub why: Why,
    /// Without protection since this minute.
    pub since: u32,
    /// Counted by itself from this minute on; until then its whole circuit is.
    counted: u32,
    /// What a minute weighs while nobody is in, and while people are.
    weights: [u32; 2],
}

/// Why something does not come back.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Why {
    /// A swap takes the old panel away, and it has no input.
    NoInput,
    /// Home runs without an input: the rest of the circuit comes back.
    InPart,
    /// Side by side it stays on the old panel, and a core that it shares with these circuits goes over: their tags in a list.
    Core(String),
}

/// One thing without protection at a moment.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Gone {
    /// The circuit's tag, or what part of it.
    pub what: String,
    /// Since when.
    pub since: u32,
}

/// Whether it is left behind: something may hang on it, and no output of the job drives it.
///
/// A spare pair is one that somebody drew as wire alone, open or joined at its end, and that was not read as something else.
/// Without a drawing nobody knows: a normally open button without a resistor reads over range too. A pair of the fire alarm or
/// of sounders is never taken for a spare one.
pub(crate) fn stays_behind(job: &Job, circuit: &Circuit) -> bool {
    let bare = |part: &Part| matches!(part, Part::Wire(_) | Part::Core(_) | Part::Joined | Part::Open);
    let drawn_as_spare = circuit.network.as_ref().is_some_and(|network| {
        let parts = || network.elements().iter().map(|element| &element.part);
        parts().all(bare) && !(parts().any(|part| matches!(part, Part::Open)) && reads_as_closed(circuit))
    });
    // Whatever is drawn: what feeds it was not meant by the drawing.
    let counts = !drawn_as_spare
        || crate::clear::in_the_way(circuit).is_some()
        || is_fire(circuit)
        || circuit.duty == Some(Duty::Sounder);
    counts && output_of(job, circuit).is_none()
}

/// Whether the pair, as nobody touched its far end, was read last as anything but over range.
fn reads_as_closed(circuit: &Circuit) -> bool {
    let untouched = |when: &When| when.is_of_pair() && !matches!(when, When::Joined | When::Opened);
    let newest = |at: usize| {
        let when = &circuit.found[at].when;
        !circuit.found[at + 1..].iter().any(|later| later.when == *when && has_ohms(later))
    };
    let found = circuit.found.iter().enumerate();
    found.filter(|(at, reading)| untouched(&reading.when) && newest(*at)).any(|(_, reading)| {
        reading.shown.iter().any(|shown| matches!(shown, Shown::Ohms(display) if *display != Display::Open))
    })
}

fn has_ohms(reading: &Reading) -> bool {
    reading.shown.iter().any(|shown| matches!(shown, Shown::Ohms(_)))
}

/// Whether it stays because nobody knows what hangs on it.
pub(crate) fn is_unknown(circuit: &Circuit) -> bool {
    circuit.network.is_none() && circuit.duty.is_none()
}

/// The output that drives a sounder circuit: its `drives` says the circuit's tag.
#[must_use]
pub fn output_of<'a>(job: &'a Job, circuit: &Circuit) -> Option<&'a Output> {
    if circuit.duty != Some(Duty::Sounder) {
        return None;
    }
    let says = |output: &&Output| {
        let mut words =
            output.drives.split(|letter: char| !(letter.is_alphanumeric() || matches!(letter, '-' | '_')));
        words.any(|word| word == circuit.tag.value)
    };
    job.outputs.iter().find(says)
}

pub(crate) fn is_fire(circuit: &Circuit) -> bool {
    circuit.duty.is_some_and(Duty::is_fire)
}

/// Finds what has no end, and counts it in the plan's curve and outage.
pub(crate) fn count(assessment: &Assessment, work: &Work, plan: &mut Plan) -> Vec<Endless> {
    let Some(first) = plan.first_lift else { return Vec::new() };
    let mut all = Vec::new();
    if work.way == Way::Swap {
        for circuit in work.left_out.iter().filter(|circuit| stays_behind(assessment.job, circuit)) {
            let tag = circuit.tag.value.clone();
            all.push(Endless {
                what: tag.clone(),
                tag,
                fire: is_fire(circuit),
                why: Why::NoInput,
                since: first,
                counted: first,
                weights: weights(assessment, circuit),
            });
        }
    }
    all.extend(tied(assessment, work, plan));
    for ((circuit, remedy), (since, back)) in work.circuits.iter().zip(&work.remedies).zip(&plan.dead) {
        let runs = remedy.as_ref().map_or(1, |remedy| remedy.runs);
        if let Some(open) = super::words::open_runs(circuit, runs) {
            all.push(Endless {
                tag: circuit.tag.value.clone(),
                what: format!("{} {open}", circuit.tag.value),
                fire: is_fire(circuit),
                why: Why::InPart,
                since: *since,
                counted: *back,
                weights: weights(assessment, circuit),
            });
        }
    }
    if !all.is_empty() {
        plan.curve = curve(&work.problem, plan, &all);
        outage(&work.problem, plan, &all);
    }
    all
}

/// Circuits that stay on the old panel while a core of theirs goes over with another.
fn tied(assessment: &Assessment, work: &Work, plan: &Plan) -> Vec<Endless> {
    let lose = |(left, lines): &(usize, Vec<usize>)| {
        let circuit = work.left_out[*left];
        if work.way == Way::Swap || !stays_behind(assessment.job, circuit) {
            return None;
        }
        let since = lines.iter().filter_map(|line| plan.dead.get(*line)).map(|(from, _)| *from).min()?;
        let tag = circuit.tag.value.clone();
        let with: BTreeSet<usize> = lines.iter().copied().collect();
        Some(Endless {
            what: tag.clone(),
            tag,
            fire: is_fire(circuit),
            why: Why::Core(tags(with.into_iter().map(|line| work.circuits[line]))),
            since,
            counted: since,
            weights: weights(assessment, circuit),
        })
    };
    work.tied.iter().filter_map(lose).collect()
}

fn weights(assessment: &Assessment, circuit: &Circuit) -> [u32; 2] {
    let duty = circuit.duty.unwrap_or(Duty::Intrusion);
    let own = assessment.job.cutover.weights.get(&duty).copied();
    let weight = assessment.library.working_time().weight(duty.word());
    [
        own.or(weight.map(|weight| weight.empty)).unwrap_or(1),
        own.or(weight.map(|weight| weight.occupied)).unwrap_or(1),
    ]
}

/// The engine's curve with what has no end on top, from when on it counts.
fn curve(problem: &Problem, plan: &Plan, all: &[Endless]) -> Vec<Level> {
    let first = plan.first_lift.unwrap_or(0);
    let edges = problem.windows.iter().flat_map(|window| [window.from, window.to]);
    let mut moments: Vec<u32> = edges.filter(|at| (first..=plan.end).contains(at)).collect();
    moments.extend(plan.curve.iter().map(|level| level.at));
    moments.extend(all.iter().map(|one| one.counted));
    moments.sort_unstable();
    moments.dedup();
    let mut before = (0, 0);
    let mut levels = Vec::new();
    for at in moments {
        let known = plan.curve.iter().rev().find(|level| level.at <= at);
        let occupied = problem
            .windows
            .iter()
            .any(|window| (window.from..window.to).contains(&at) && window.presence == Presence::Occupied);
        let here = || all.iter().filter(|one| one.counted <= at);
        let level = Level {
            at,
            count: known.map_or(0, |level| level.count) + here().count(),
            weight: known.map_or(0, |level| level.weight)
                + here().map(|one| u64::from(one.weights[usize::from(occupied)])).sum::<u64>(),
        };
        if (level.count, level.weight) != before || plan.curve.iter().any(|known| known.at == at) {
            before = (level.count, level.weight);
            levels.push(level);
        }
    }
    levels
}

/// A fire circuit without end is out for every one of the 24 h that follow.
fn outage(problem: &Problem, plan: &mut Plan, all: &[Endless]) {
    let mut outs = plan.outage.intervals.clone();
    let fire = all.iter().filter(|one| one.fire);
    outs.extend(fire.map(|one| Out { from: one.since, to: plan.end.max(one.since + DAY) }));
    plan.outage = Outage::new(&outs);
    if let Some(limit) = problem.limit {
        plan.over_limit = plan.over_limit.max(plan.outage.worst.saturating_sub(limit));
    }
}

/// Stretches of the hours: those that touch are one.
pub(crate) fn stretches(problem: &Problem) -> Vec<(u32, u32)> {
    let mut all: Vec<(u32, u32)> = Vec::new();
    for window in &problem.windows {
        match all.last_mut() {
            Some(last) if last.1 == window.from => last.1 = window.to,
            _ => all.push((window.from, window.to)),
        }
    }
    all
}

/// When the account is on test: from the call to the call that ends it, and off test whenever nobody is at work.
pub(crate) fn on_test(work: &Work, plan: &Plan) -> Vec<(u32, u32)> {
    let is = |act: Act, piece: Piece| match act {
        Act::Prepare(stage, chain, at) => work.before[stage][chain][at] == piece,
        Act::Finish(stage, chain, at) => work.after[stage][chain][at] == piece,
        _ => false,
    };
    let on = plan.tasks.iter().find(|task| is(task.act, Piece::OnTest));
    let Some(on) = on.map(|task| task.start) else { return Vec::new() };
    let off = plan.tasks.iter().find(|task| is(task.act, Piece::OffTest));
    let off = off.map_or(plan.end, |task| task.end);
    let mut spans = Vec::new();
    for (from, to) in stretches(&work.problem) {
        let here = |task: &&cutover::Planned| {
            task.end > task.start && task.start >= on && task.end <= off && (from..to).contains(&task.start)
        };
        let begin = plan.tasks.iter().filter(here).map(|task| task.start).min();
        let end = plan.tasks.iter().filter(here).map(|task| task.end).max();
        spans.extend(begin.zip(end));
    }
    spans
}

impl Cutover<'_> {
    /// Fire circuits that are left out: side by side they stay on the old panel, in a swap they are dead without end.
    pub fn fire_left(&self) -> impl Iterator<Item = &Circuit> {
        self.left_out.iter().copied().filter(|circuit| is_fire(circuit))
    }

    /// Whether the fire alarm, or a part of it, goes out of service.
    #[must_use]
    pub fn fire_goes_out(&self) -> bool {
        self.fire().next().is_some()
            || (self.way == Way::Swap && self.fire_left().next().is_some())
            || self.endless.iter().any(|one| one.fire)
    }

    /// Circuits that keep the old panel in service, side by side: all that are left out but spare pairs.
    #[must_use]
    pub fn stay(&self) -> Vec<&Circuit> {
        let stays = |circuit: &&Circuit| self.way == Way::SideBySide && stays_behind(self.job, circuit);
        self.left_out.iter().copied().filter(stays).collect()
    }

    /// What is without protection in a minute, each with since when; what has no end is among it.
    #[must_use]
    pub fn gone_at(&self, minute: u32) -> Vec<Gone> {
        let Ok(plan) = &self.plan else { return Vec::new() };
        let of = |one: Unprotected| Gone { what: self.problem.lines[one.line].tag.clone(), since: one.since };
        let mut all: Vec<Gone> = plan.unprotected_at(minute).into_iter().map(of).collect();
        let endless = self.endless.iter().filter(|one| one.counted <= minute);
        all.extend(endless.map(|one| Gone { what: one.what.clone(), since: one.since }));
        all
    }

    /// Moments in which something changes, with how many circuits are without protection from there on: the curve, and the
    /// account on and off test.
    #[must_use]
    pub fn moments(&self) -> Vec<(u32, usize)> {
        let Ok(plan) = &self.plan else { return Vec::new() };
        if plan.curve.is_empty() {
            return Vec::new();
        }
        let mut all: Vec<u32> = plan.curve.iter().map(|level| level.at).collect();
        all.extend(self.on_test.iter().flat_map(|(on, off)| [*on, *off]));
        all.sort_unstable();
        all.dedup();
        let count =
            |at: u32| plan.curve.iter().rev().find(|level| level.at <= at).map_or(0, |level| level.count);
        all.into_iter().map(|at| (at, count(at))).collect()
    }

    /// Since when the account is on test, where it is in this minute.
    #[must_use]
    pub fn on_test_since(&self, minute: u32) -> Option<u32> {
        self.on_test.iter().find(|(on, off)| (*on..*off).contains(&minute)).map(|(on, _)| *on)
    }

    /// The end of an outage in words: a circuit that does not come back has none.
    #[must_use]
    pub fn out_until(&self, out: &Out) -> String {
        let open = |one: &Endless| one.fire && (out.from..out.to).contains(&one.since);
        if self.endless.iter().any(open) {
            return "no end in this plan".to_owned();
        }
        self.clock.written(out.to)
    }

    /// How long an outage is in words.
    #[must_use]
    pub fn out_length(&self, out: &Out) -> String {
        let open = |one: &Endless| one.fire && (out.from..out.to).contains(&one.since);
        if self.endless.iter().any(open) {
            return "without end".to_owned();
        }
        super::clock::length(out.to - out.from)
    }
}

/// Tags in a list: `C01, C02`.
pub(crate) fn tags<'c>(circuits: impl IntoIterator<Item = &'c Circuit>) -> String {
    let all: Vec<&str> = circuits.into_iter().map(|circuit| circuit.tag.as_str()).collect();
    all.join(", ")
}
