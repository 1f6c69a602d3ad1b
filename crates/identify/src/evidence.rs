//! What the readings of one circuit say of every hypothesis, before anything is known of the building.

use library::{Habits, Wiring};
use quantity::MeterError;

use crate::integral::{Ground, Stakes};
use crate::line::LineLaw;
use crate::look::Looks;
use crate::odd;
use crate::refusal;
use crate::story::{Story, stories};

/// The instrument is as its data sheet says, or three times worse.
pub(crate) const SCALES: [f64; 2] = [1.0, 3.0];
/// No resistor.
pub(crate) const NONE: u8 = u8::MAX;
/// Hypotheses of less than this share of the best are left out; a building's habit moves none by more than 1e4.
const NEGLIGIBLE: f64 = 1e-14;
/// Of hypotheses of less than this share of the best a rough likelihood does (an error of a few percent).
const ROUGH: f64 = 1e-5;

/// What the engine works with: one job's instrument and one office's habits.
#[derive(Clone, Debug)]
pub struct Setting<'a> {
    pub(crate) habits: &'a Habits,
    pub(crate) meter: MeterError,
    pub(crate) line: LineLaw,
    /// Nominal values, rising, and their shares.
    pub(crate) values: Vec<f64>,
    pub(crate) weights: Vec<f64>,
}

/// One wiring with nominal resistor values, and what the readings say of it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(crate) struct Hypothesis {
    pub(crate) wiring: Wiring,
    /// Places in the list of values, in the order of the format; [`NONE`] where there is none.
    pub(crate) values: [u8; 3],
    /// For each scale of the instrument: share of the class, of values that do not follow the building, times the
    /// likelihood.
    pub(crate) like: [f64; 2],
    /// Values that follow the building's habit, each with its factor; the prior is the sum.
    pub(crate) pulls: [(u8, f64); 2],
    /// Of `like`, what comes from stories in which the resistor sits before the far device; none where none says.
    pub(crate) near: Option<f64>,
    /// Of `like`, what comes from stories in which it hangs open for want of a supply.
    pub(crate) unfed: f64,
}

/// What the readings of one circuit say.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Evidence {
    pub(crate) looks: Looks,
    pub(crate) hypotheses: Vec<Hypothesis>,
    /// Why its ohms are not used; none where they are.
    pub(crate) refusal: Option<refusal::Refusal>,
}

impl<'a> Setting<'a> {
    /// From habits and the instrument of the survey.
    #[must_use]
    pub fn new(habits: &'a Habits, meter: MeterError) -> Self {
        let line = LineLaw::new(&habits.spread, &meter);
        let values = habits.resistor.iter().map(|(ohms, _)| ohms.0).collect();
        let weights = habits.resistor.iter().map(|(_, weight)| *weight).collect();
        Self { habits, meter, line, values, weights }
    }

    /// What the readings of a circuit say of every hypothesis.
    #[must_use]
    pub fn evidence(&self, circuit: &job::Circuit) -> Evidence {
        self.weigh(Looks::of(circuit))
    }

    pub(crate) fn weigh(&self, mut looks: Looks) -> Evidence {
        let refusal = refusal::of(&looks);
        if refusal.as_ref().is_some_and(|refusal| refusal.refuses_ohms()) {
            looks.ohms.clear();
        }
        let mut found = Found { setting: self, looks: &looks, hypotheses: Vec::new(), best: [0.0; 2] };
        let listed = |wiring: &Wiring| self.habits.wiring.iter().find(|(class, _)| class == wiring);
        // Three resistors last: most of its many hypotheses are then known to be negligible.
        let order = Wiring::ALL.into_iter().filter(|wiring| *wiring != Wiring::ThreeResistor);
        for wiring in order.chain([Wiring::ThreeResistor]) {
            if let Some((_, share)) = listed(&wiring) {
                let volts = odd::of_volts(wiring, looks.volts_dc, looks.volts_ac, looks.volts_restless);
                found.class(wiring, share * volts);
            }
        }
        let best = found.best;
        let mut hypotheses = found.hypotheses;
        hypotheses.retain(|hypothesis| matters(hypothesis.like, best));
        Evidence { looks, hypotheses, refusal }
    }

    /// Share of a second value beside a first one.
    fn beside(&self, first: usize, second: usize) -> f64 {
        let equal = self.habits.building.pair_equal;
        (1.0 - equal) * self.weights[second] + if first == second { equal } else { 0.0 }
    }
}

/// Whether a hypothesis is not negligible against the best, for any scale.
fn matters(like: [f64; 2], best: [f64; 2]) -> bool {
    like.iter().zip(best).any(|(like, best)| *like > best * NEGLIGIBLE)
}

/// Hypotheses in the making.
struct Found<'s> {
    setting: &'s Setting<'s>,
    looks: &'s Looks,
    hypotheses: Vec<Hypothesis>,
    /// The best so far, for each scale.
    best: [f64; 2],
}

/// The likelihoods of one hypothesis so far.
#[derive(Clone, Copy, Default)]
struct Sum {
    like: [f64; 2],
    near: f64,
    unfed: f64,
}

impl Sum {
    fn add(&mut self, story: &Story, scale: usize, likelihood: f64) {
        let likelihood = story.share * likelihood;
        self.like[scale] += likelihood;
        if scale == 0 {
            self.near += if story.near == Some(true) { likelihood } else { 0.0 };
            self.unfed += if story.unfed { likelihood } else { 0.0 };
        }
    }
}

impl Found<'_> {
    /// Every hypothesis of a class.
    fn class(&mut self, wiring: Wiring, share: f64) {
        if odd::is_odd(wiring) {
            let mut sum = Sum::default();
            for (at, scale) in SCALES.into_iter().enumerate() {
                let setting = self.setting;
                let sights = self.looks.sights(&setting.meter, setting.habits.reading.wrong, scale);
                sum.like[at] = odd::likelihood(wiring, &self.looks.ohms, &sights);
            }
            return self.put(wiring, [NONE; 3], share, sum, [(NONE, 1.0), (NONE, 0.0)], false);
        }
        let count = self.setting.values.len();
        let spaces = match wiring {
            Wiring::ThreeResistor => return self.three(share),
            Wiring::NcTwoResistor | Wiring::NoTwoResistor | Wiring::NcDoubled => count * count,
            Wiring::NcBare | Wiring::NoBare | Wiring::OpenPair | Wiring::ShortedPair => 1,
            _ => count,
        };
        let mut sums = vec![Sum::default(); spaces];
        let mut placed = false;
        for (at, scale) in SCALES.into_iter().enumerate() {
            for story in self.stories(wiring, scale) {
                placed |= story.near.is_some();
                self.story(wiring, &story, at, share, &mut sums);
            }
        }
        self.put_all(wiring, share, &sums, placed);
    }

    fn stories(&self, wiring: Wiring, scale: f64) -> Vec<Story> {
        let setting = self.setting;
        let sights = self.looks.sights(&setting.meter, setting.habits.reading.wrong, scale);
        stories(wiring, &self.looks.ohms, &sights, setting.habits)
    }

    fn ground(&self) -> Ground<'_> {
        Ground { line: &self.setting.line, tolerance: self.setting.habits.spread.resistor.0 }
    }

    /// What a likelihood of a story must reach to matter.
    fn stakes(&self, scale: usize, share: f64) -> Stakes {
        let best = self.best[scale] / share.max(1e-12);
        Stakes { least: best * NEGLIGIBLE, rough: best * ROUGH }
    }

    /// One story's likelihood for every set of values.
    fn story(&self, wiring: Wiring, story: &Story, scale: usize, share: f64, sums: &mut [Sum]) {
        let ground = self.ground();
        let values = &self.setting.values;
        let count = values.len();
        if sums.len() == 1 && wiring.resistors() == 0 {
            return sums[0].add(story, scale, ground.bare(&story.mixes));
        }
        for (at, value) in values.iter().enumerate() {
            let first = ground.first(*value, &story.mixes, self.stakes(scale, share * story.share));
            match wiring {
                Wiring::NcStepped | Wiring::TwoEnds => {
                    sums[at].add(story, scale, first.second(*value).unwrap_or(first.alone()));
                }
                Wiring::NcTwoResistor | Wiring::NoTwoResistor | Wiring::NcDoubled => {
                    let from = if wiring == Wiring::NcDoubled { at + 1 } else { 0 };
                    for second in from..count {
                        let likelihood = first.second(values[second]).unwrap_or(first.alone());
                        sums[at * count + second].add(story, scale, likelihood);
                    }
                }
                _ => sums[at].add(story, scale, first.alone()),
            }
        }
    }

    /// Likelihoods of a class become hypotheses.
    fn put_all(&mut self, wiring: Wiring, share: f64, sums: &[Sum], placed: bool) {
        let count = self.setting.values.len();
        let index = |at: usize| u8::try_from(at).unwrap_or(NONE);
        for (at, sum) in sums.iter().enumerate() {
            let (first, second) = (at / count, at % count);
            let none = (NONE, 0.0);
            match wiring {
                Wiring::NcTwoResistor | Wiring::NoTwoResistor => {
                    let share = share * self.setting.beside(first, second);
                    let values = [index(first), index(second), NONE];
                    self.put(wiring, values, share, *sum, [(index(first), 1.0), none], placed);
                }
                Wiring::NcDoubled if first < second => {
                    // Drawn one after the other, never the same: either may have been the first.
                    let weights = &self.setting.weights;
                    let after = |one: usize, other: usize| weights[other] / (1.0 - weights[one]).max(1e-12);
                    let pulls = [(index(first), after(first, second)), (index(second), after(second, first))];
                    self.put(wiring, [index(second), index(first), NONE], share, *sum, pulls, placed);
                }
                Wiring::NcDoubled => {}
                Wiring::TwoEnds => {
                    let values = [index(at), index(at), NONE];
                    self.put(wiring, values, share, *sum, [(index(at), 1.0), none], placed);
                }
                _ if wiring.resistors() == 0 => {
                    self.put(wiring, [NONE; 3], share, *sum, [(NONE, 1.0), none], placed);
                }
                _ => {
                    let values = [index(at), NONE, NONE];
                    self.put(wiring, values, share, *sum, [(index(at), 1.0), none], placed);
                }
            }
        }
    }

    /// Three resistors: only what a reading tells apart is computed one by one.
    fn three(&mut self, share: f64) {
        let count = self.setting.values.len();
        let all: Vec<Vec<Story>> =
            SCALES.into_iter().map(|scale| self.stories(Wiring::ThreeResistor, scale)).collect();
        let placed = all.iter().flatten().any(|story| story.near.is_some());
        for first in 0..count {
            let mut sums = vec![Sum::default(); count * count];
            let mut any = false;
            for (scale, stories) in all.iter().enumerate() {
                for story in stories {
                    any |= self.three_story(first, story, scale, share, &mut sums);
                }
            }
            let index = |at: usize| u8::try_from(at).unwrap_or(NONE);
            for (at, sum) in sums.iter().enumerate() {
                let (second, third) = (at / count, at % count);
                let share = share * self.setting.beside(first, second) * self.setting.beside(first, third);
                if any && matters(sum.like.map(|like| like * share), self.best) {
                    let values = [index(first), index(second), index(third)];
                    let pulls = [(index(first), 1.0), (NONE, 0.0)];
                    self.put(Wiring::ThreeResistor, values, share, *sum, pulls, placed);
                }
            }
        }
    }

    /// One story with one first resistor; whether it says anything.
    fn three_story(&self, first: usize, story: &Story, scale: usize, share: f64, sums: &mut [Sum]) -> bool {
        let ground = self.ground();
        let values = &self.setting.values;
        let count = values.len();
        let stakes = self.stakes(scale, share * story.share);
        let bound = story.share * ground.bound(values[first], &story.mixes);
        if bound * share < self.best[scale] * NEGLIGIBLE {
            return false;
        }
        let given = ground.first(values[first], &story.mixes, stakes);
        let mut likelihoods = vec![given.alone(); count * count];
        for (second, third, likelihood) in given.thirds(values) {
            let seconds = second.map_or(0..count, |at| at..at + 1);
            for second in seconds {
                let thirds = third.map_or(0..count, |at| at..at + 1);
                for third in thirds {
                    likelihoods[second * count + third] = likelihood;
                }
            }
        }
        for (sum, likelihood) in sums.iter_mut().zip(&likelihoods) {
            sum.add(story, scale, *likelihood);
        }
        true
    }

    fn put(
        &mut self,
        wiring: Wiring,
        values: [u8; 3],
        share: f64,
        sum: Sum,
        pulls: [(u8, f64); 2],
        placed: bool,
    ) {
        let like = sum.like.map(|like| like * share);
        let part = |of: f64| if sum.like[0] > 0.0 { of / sum.like[0] } else { 0.0 };
        for (best, like) in self.best.iter_mut().zip(like) {
            *best = best.max(like);
        }
        let near = placed.then(|| part(sum.near));
        self.hypotheses.push(Hypothesis { wiring, values, like, pulls, near, unfed: part(sum.unfed) });
    }
}
