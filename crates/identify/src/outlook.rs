//! What a reading not yet taken is expected to show, candidate by candidate, and how much it would tell.
//!
//! Outcomes are put into cells of 2 % of ohms, over range and restless. What was read already is used: a level that
//! was seen will be seen again, so that reading it twice tells nothing.

use crate::candidate::Candidate;
use crate::evidence::{Evidence, NONE, Setting};
use crate::level::{Level, Parts};
use crate::look::{Asked, Look};
use crate::odd;
use crate::sight::{Said, Sight};
use crate::story::{Fixed, both, outcomes};

/// Cells are this wide by logarithm.
const CELL: f64 = 0.02;
/// The first cell begins here; below is nothing that a meter tells from a short.
const FLOOR: f64 = 0.2;
/// Cells of ohms, up to 60 Mohm.
const OHMS: usize = 976;
pub(crate) const OPEN: usize = OHMS;
pub(crate) const RESTLESS: usize = OHMS + 1;
pub(crate) const CELLS: usize = OHMS + 2;

/// Shares by cell; only cells that hold something.
pub(crate) type Outlook = Vec<(usize, f64)>;

/// A part with how far it may be off.
#[derive(Clone, Copy)]
struct About {
    value: f64,
    off: f64,
}

/// The cell of a resistance.
pub(crate) fn cell(ohms: f64) -> usize {
    let steps = libm::log(ohms.max(FLOOR) / FLOOR) / CELL;
    // Rounded down; never negative.
    (steps as usize).min(OHMS - 1)
}

/// The middle of a cell, in ohm.
pub(crate) fn ohms_of(cell: usize) -> f64 {
    FLOOR * libm::exp((cell as f64 + 0.5) * CELL)
}

/// What a reading would show if a candidate is true.
pub(crate) fn outlook(
    setting: &Setting,
    evidence: &Evidence,
    sights: &[Sight],
    candidate: &Candidate,
    asked: &Look,
) -> Outlook {
    let mut outlook = Outlook::new();
    if odd::is_odd(candidate.wiring) {
        for expected in odd::expected(candidate.wiring, &evidence.looks.ohms, sights, &asked.asked) {
            put_expected(&expected, &mut outlook);
        }
        return outlook;
    }
    let known = Known::new(setting, evidence, sights, candidate);
    let near = candidate.near.unwrap_or(setting.habits.place.near);
    let trips = evidence.looks.ohms.iter().filter(|look| matches!(look.asked, Asked::Trip { .. })).count();
    for (is_near, near) in both(near) {
        for (is_unfed, unfed) in both(candidate.unfed) {
            for (is_tapped, tapped) in both(candidate.tapped) {
                let fixed = Fixed { near: is_near, unfed: is_unfed, tapped: is_tapped, moved: 0 };
                let share = near * unfed * tapped;
                let outcomes = outcomes(candidate.wiring, asked, &fixed, trips, setting.habits);
                for (of_level, level) in outcomes.levels {
                    known.put(level, share * of_level, &mut outlook);
                }
                if let Some((of_spread, (lo, hi))) = outcomes.spread {
                    put_range(lo, hi, share * of_spread, &mut outlook);
                }
            }
        }
    }
    outlook
}

/// Parts of a candidate as far as its readings tell, and levels that were seen.
struct Known {
    parts: [About; 4],
    /// The line where it is all that is read.
    line: About,
    seen: Vec<(Level, f64, f64)>,
    leads: f64,
    /// The longest line that there is.
    longest: f64,
    percent: f64,
    digits: f64,
}

impl Known {
    fn new(setting: &Setting, evidence: &Evidence, sights: &[Sight], candidate: &Candidate) -> Self {
        let tolerance = setting.habits.spread.resistor.0;
        let (lo, hi) = (setting.habits.spread.cable.lo().0, setting.habits.spread.cable.hi().0);
        let leads = setting.line.leads_mean();
        let line =
            About { value: (lo + hi) / 2.0 + setting.habits.spread.joints.0 + leads, off: (hi - lo) / 2.0 };
        let resistor = |slot: usize| match candidate.values[slot] {
            NONE => About { value: 0.0, off: 0.0 },
            value => {
                let value = setting.values[usize::from(value)];
                About { value, off: value * tolerance }
            }
        };
        let (mut first, mut second) = (resistor(0), resistor(1));
        match candidate.wiring {
            // The format lists the larger first; here the first is the smaller.
            library::Wiring::NcDoubled => std::mem::swap(&mut first, &mut second),
            library::Wiring::NcStepped => second = first,
            _ => {}
        }
        let mut known = Self {
            parts: [line, first, second, resistor(2)],
            line,
            seen: Vec::new(),
            leads,
            longest: setting.line.ends().1,
            percent: setting.meter.percent.0,
            digits: f64::from(setting.meter.digits) + 0.5,
        };
        let fixed = Fixed {
            near: candidate.near.is_some_and(|near| near > 0.5),
            unfed: candidate.unfed > 0.5,
            tapped: candidate.tapped > 0.5,
            moved: 0,
        };
        for (at, (look, sight)) in evidence.looks.ohms.iter().zip(sights).enumerate() {
            if let Said::Value(kernel) = sight.said {
                let levels = outcomes(candidate.wiring, look, &fixed, at, setting.habits).levels;
                known.see(&levels, kernel.shown, kernel.outer);
            }
        }
        known.learn();
        known
    }

    /// A level that a reading was most likely taken at.
    fn see(&mut self, levels: &[(f64, Level)], shown: f64, reach: f64) {
        // A line longer than usual explains what is a little more.
        let longer = self.longest - self.line.value - self.line.off;
        let fits = |level: Level| {
            let (ohms, off) = self.about(level);
            shown >= ohms - off - reach && shown <= ohms + off + reach + longer.max(0.0)
        };
        let fitting = levels.iter().filter(|(_, level)| *level != Level::Open && fits(*level));
        if let Some((_, level)) = fitting.max_by(|one, other| one.0.total_cmp(&other.0)) {
            self.seen.push((*level, shown, reach));
        }
    }

    /// Parts follow from levels that were seen.
    fn learn(&mut self) {
        let seen = |wanted: Level| {
            let found = self.seen.iter().find(|(level, _, _)| *level == wanted);
            found.map(|(_, shown, reach)| About { value: *shown, off: *reach })
        };
        let [mut line, mut first, mut second, mut third] = self.parts;
        if let Some(read) = seen(Level::Line) {
            line = read;
            self.line = read;
        }
        if let Some(read) = seen(Level::First) {
            // Line and resistor together are known; which of them is off does not matter in line.
            first = About { value: read.value - line.value, off: read.off };
            line.off = 0.0;
        }
        if let Some(read) = seen(Level::Second) {
            second = About { value: read.value - line.value, off: read.off };
        }
        if let Some(read) = seen(Level::Steps(1)) {
            second = About { value: read.value - line.value - first.value, off: read.off + first.off };
        }
        if let Some(read) = seen(Level::Third) {
            third = About { value: read.value - line.value - first.value, off: read.off + first.off };
        }
        if let Some(read) = seen(Level::Near) {
            second = About { value: read.value - self.leads, off: read.off };
        }
        self.parts = [line, first, second, third];
    }

    /// Ohms of a level and how far they may be off.
    fn about(&self, level: Level) -> (f64, f64) {
        if level == Level::Line {
            return (self.line.value, self.line.off);
        }
        let [line, first, second, third] = self.parts;
        let at = |sign: f64| {
            let part = |about: About| (about.value + sign * about.off).max(0.0);
            let parts =
                Parts { s: part(line), r: part(first), a: part(second), t: part(third), leads: self.leads };
            level.ohms(&parts)
        };
        let (low, high) = (at(-1.0), at(1.0));
        ((low + high) / 2.0, (high - low) / 2.0)
    }

    fn put(&self, level: Level, share: f64, outlook: &mut Outlook) {
        if level == Level::Open {
            outlook.push((OPEN, share));
            return;
        }
        let seen = self.seen.iter().find(|(seen, _, _)| *seen == level);
        if let Some((_, shown, _)) = seen {
            outlook.push((cell(*shown), share));
            return;
        }
        let (ohms, off) = self.about(level);
        let reach = off + self.percent * ohms + self.digits * digit(ohms);
        put_range((ohms - reach).max(FLOOR), ohms + reach, share, outlook);
    }
}

/// A last digit as a meter of 6000 counts has it.
fn digit(ohms: f64) -> f64 {
    [0.1, 1.0, 10.0, 100.0, 1e3].into_iter().find(|step| ohms < step * 6000.0).unwrap_or(1e4)
}

fn put_expected(expected: &odd::Expected, outlook: &mut Outlook) {
    let fresh = expected.share * (1.0 - expected.again);
    outlook.push((OPEN, fresh * expected.open));
    outlook.push((RESTLESS, fresh * expected.restless));
    for (share, (lo, hi)) in expected.ranges {
        put_range(lo.max(FLOOR), *hi, fresh * share, outlook);
    }
    let again = expected.share * expected.again;
    match expected.shown {
        Some(Said::Open) => outlook.push((OPEN, again)),
        Some(Said::Unstable) => outlook.push((RESTLESS, again)),
        Some(Said::Value(kernel)) => outlook.push((cell(kernel.shown), again)),
        None => {}
    }
}

/// A share spread evenly over the cells of a range.
fn put_range(lo: f64, hi: f64, share: f64, outlook: &mut Outlook) {
    let (from, to) = (cell(lo), cell(hi));
    let each = share / (to - from + 1) as f64;
    outlook.extend((from..=to).map(|cell| (cell, each)));
}
