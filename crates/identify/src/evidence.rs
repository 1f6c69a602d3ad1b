//! What the readings of one circuit say of every hypothesis, before anything is known of the building.

use library::{Habits, Wiring};
use quantity::MeterError;

use crate::integral::{Ground, Places, Stakes, Thirds};
use crate::line::LineLaw;
use crate::look::Looks;
use crate::odd;
use crate::refusal;
use crate::story::{Story, stories};

/// The instrument is as its data sheet says, or three times worse.
pub(crate) const SCALES: [f64; 2] = [1.0, 3.0];
/// No resistor.
pub(crate) const NONE: u8 = u8::MAX;
/// Any value of those that no hypothesis with the same other values names: readings do not tell them apart.
pub(crate) const ANY: u8 = u8::MAX - 1;
/// Hypotheses of less than this share of the best are left out; a building's habit lifts none by more than 1e4.
const NEGLIGIBLE: f64 = 1e-11;
/// Of hypotheses of less than this share of the best a rough likelihood does (an error of a few percent).
const ROUGH: f64 = 1e-4;
/// Pairs of a second and a third resistor of less than this share of the best are not told apart.
const PAIRS: f64 = 1e-6;

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
    /// Of `like`, what comes from stories with a T-tap.
    pub(crate) tapped: f64,
}

impl Hypothesis {
    /// What is left where nothing at all can show the readings. It is worth the same under every habit and every scale
    /// of the instrument: such a circuit says nothing of the building.
    const UNLIKE_ANY: Self = Self {
        wiring: Wiring::UnlikeAny,
        values: [NONE; 3],
        like: [1.0; 2],
        pulls: [(NONE, 1.0), (NONE, 0.0)],
        near: None,
        unfed: 0.0,
        tapped: 0.0,
    };
}

/// What the readings of one circuit say.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Evidence {
    pub(crate) looks: Looks,
    pub(crate) hypotheses: Vec<Hypothesis>,
    /// Why its ohms are not used; none where they are.
    pub(crate) refusal: Option<refusal::Refusal>,
}

impl Evidence {
    /// Why the ohms of the pair are not used; none where they are.
    #[must_use]
    pub fn refusal(&self) -> Option<&refusal::Refusal> {
        self.refusal.as_ref()
    }
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
        if hypotheses.is_empty() {
            hypotheses.push(Hypothesis::UNLIKE_ANY);
        }
        Evidence { looks, hypotheses, refusal }
    }

    /// Share of a second value beside a first one.
    pub(crate) fn beside(&self, first: usize, second: usize) -> f64 {
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
    tapped: f64,
}

impl Sum {
    fn add(&mut self, story: &Story, scale: usize, likelihood: f64) {
        let likelihood = story.share * likelihood;
        self.like[scale] += likelihood;
        if scale == 0 {
            self.near += if story.near == Some(true) { likelihood } else { 0.0 };
            self.unfed += if story.unfed { likelihood } else { 0.0 };
            self.tapped += if story.tapped { likelihood } else { 0.0 };
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
        let mut touched = vec![false; spaces];
        let mut placed = false;
        for (at, scale) in SCALES.into_iter().enumerate() {
            for story in self.stories(wiring, scale) {
                placed |= story.near.is_some();
                self.story(wiring, &story, at, share, (&mut sums, &mut touched));
            }
        }
        self.put_all(wiring, share, (&sums, &touched), placed);
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
        self.stakes_against(self.best[scale], scale, share)
    }

    fn stakes_against(&self, best: f64, scale: usize, share: f64) -> Stakes {
        let best = best / share.max(1e-12);
        // A worse instrument is seldom: a rough likelihood does for it.
        let rough = if scale == 0 { best * ROUGH } else { f64::INFINITY };
        Stakes { least: best * NEGLIGIBLE, rough, pairs: best * PAIRS }
    }

    /// One story's likelihood for every set of values.
    fn story(
        &self,
        wiring: Wiring,
        story: &Story,
        scale: usize,
        share: f64,
        (sums, touched): (&mut [Sum], &mut [bool]),
    ) {
        let ground = self.ground();
        let values = &self.setting.values;
        let count = values.len();
        if sums.len() == 1 && wiring.resistors() == 0 {
            return sums[0].add(story, scale, ground.bare(&story.mixes));
        }
        let places = ground.places(&story.mixes);
        let stakes = self.stakes(scale, share * story.share);
        for (at, value) in values.iter().enumerate() {
            let bound = ground.bound(*value, self.others(wiring, at), &story.mixes);
            if bound < stakes.least {
                continue;
            }
            // What hardly matters is computed roughly from the beginning.
            let rough = if bound < stakes.rough { f64::INFINITY } else { stakes.rough };
            let stakes = Stakes { rough, ..stakes };
            let first = ground.first(*value, &story.mixes, &places, stakes);
            match wiring {
                Wiring::NcStepped | Wiring::TwoEnds => {
                    sums[at].add(story, scale, first.second(*value).unwrap_or(first.alone()));
                }
                Wiring::NcTwoResistor | Wiring::NoTwoResistor | Wiring::NcDoubled => {
                    let from = if wiring == Wiring::NcDoubled { at + 1 } else { 0 };
                    for second in from..count {
                        let likelihood = first.second(values[second]);
                        touched[at * count + second] |= likelihood.is_some();
                        sums[at * count + second].add(story, scale, likelihood.unwrap_or(first.alone()));
                    }
                }
                _ => sums[at].add(story, scale, first.alone()),
            }
        }
    }

    /// Between which nominal values the other resistors of a circuit lie.
    fn others(&self, wiring: Wiring, first: usize) -> (f64, f64) {
        let values = &self.setting.values;
        let (least, most) = (values[0], values[values.len() - 1]);
        match wiring {
            Wiring::NcStepped | Wiring::TwoEnds => (values[first], values[first]),
            Wiring::NcDoubled => (values[(first + 1).min(values.len() - 1)], most),
            _ => (least, most),
        }
    }

    /// Likelihoods of a class become hypotheses.
    fn put_all(&mut self, wiring: Wiring, share: f64, (sums, touched): (&[Sum], &[bool]), placed: bool) {
        let count = self.setting.values.len();
        let index = |at: usize| u8::try_from(at).unwrap_or(NONE);
        for (at, sum) in sums.iter().enumerate() {
            let (first, second) = (at / count, at % count);
            let none = (NONE, 0.0);
            match wiring {
                Wiring::NcTwoResistor | Wiring::NoTwoResistor => {
                    // The first of those that no reading tells apart stands for all of them.
                    let row = &touched[first * count..(first + 1) * count];
                    let stands_for = |at: usize| at == second || !(row[second] || row[at]);
                    if (0..second).any(stands_for) {
                        continue;
                    }
                    let beside: f64 = (0..count)
                        .filter(|at| stands_for(*at))
                        .map(|at| self.setting.beside(first, at))
                        .sum();
                    let second = if row[second] { index(second) } else { ANY };
                    let values = [index(first), second, NONE];
                    self.put(wiring, values, share * beside, *sum, [(index(first), 1.0), none], placed);
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
        let others = self.others(Wiring::ThreeResistor, 0);
        // The likeliest first resistor first: what is found of it makes most of the others negligible.
        let ground = self.ground();
        let bound = |first: usize| {
            let bounds = all[0]
                .iter()
                .map(|story| story.share * ground.bound(self.setting.values[first], others, &story.mixes));
            bounds.fold(0.0, f64::max)
        };
        let mut firsts: Vec<(usize, f64)> = (0..count).map(|first| (first, bound(first))).collect();
        firsts.sort_by(|one, other| other.1.total_cmp(&one.1));
        let places: Vec<Vec<Places>> = all
            .iter()
            .map(|stories| stories.iter().map(|story| ground.places(&story.mixes)).collect())
            .collect();
        for (first, _) in firsts {
            let mut told: Vec<(usize, &Story, Thirds)> = Vec::new();
            let mut best = self.best;
            for (scale, stories) in all.iter().enumerate() {
                for (story, places) in stories.iter().zip(&places[scale]) {
                    let stakes = self.stakes_against(best[scale], scale, share * story.share);
                    if let Some(thirds) = self.three_story(first, (story, places), stakes) {
                        let beside = |at: usize| self.setting.beside(first, at);
                        let pairs =
                            thirds.pair.iter().map(|(one, other, like)| like * beside(*one) * beside(*other));
                        best[scale] = best[scale].max(share * story.share * pairs.fold(0.0, f64::max));
                        told.push((scale, story, thirds));
                    }
                }
            }
            self.three_with(first, share, &told, placed);
        }
    }

    /// Hypotheses of three resistors with the first given; values that no reading tells apart stand together.
    fn three_with(&mut self, first: usize, share: f64, told: &[(usize, &Story, Thirds)], placed: bool) {
        let count = self.setting.values.len();
        let mut seconds = vec![false; count];
        let mut thirds = vec![false; count];
        for (_, _, of) in told {
            of.second.iter().for_each(|(at, _)| seconds[*at] = true);
            of.third.iter().for_each(|(at, _)| thirds[*at] = true);
            of.pair.iter().for_each(|(second, third, _)| (seconds[*second], thirds[*third]) = (true, true));
        }
        let choices = |listed: &[bool]| -> Vec<(Option<usize>, f64)> {
            let beside = |at: usize| self.setting.beside(first, at);
            let each = (0..count).filter(|at| listed[*at]).map(|at| (Some(at), beside(at)));
            let rest: f64 = (0..count).filter(|at| !listed[*at]).map(beside).sum();
            each.chain([(None, rest)]).filter(|(_, share)| *share > 0.0).collect()
        };
        let (seconds, thirds) = (choices(&seconds), choices(&thirds));
        let index = |at: Option<usize>| at.map_or(ANY, |at| u8::try_from(at).unwrap_or(NONE));
        for (second, beside) in &seconds {
            for (third, other) in &thirds {
                let mut sum = Sum::default();
                for (scale, story, of) in told {
                    sum.add(story, *scale, of.of(*second, *third));
                }
                let share = share * beside * other;
                if matters(sum.like.map(|like| like * share), self.best) {
                    let values = [index(Some(first)), index(*second), index(*third)];
                    let pulls = [(index(Some(first)), 1.0), (NONE, 0.0)];
                    self.put(Wiring::ThreeResistor, values, share, sum, pulls, placed);
                }
            }
        }
    }

    /// One story with one first resistor; none where it is negligible.
    fn three_story(
        &self,
        first: usize,
        (story, places): (&Story, &Places),
        stakes: Stakes,
    ) -> Option<Thirds> {
        let ground = self.ground();
        let values = &self.setting.values;
        let bound = ground.bound(values[first], self.others(Wiring::ThreeResistor, first), &story.mixes);
        if bound < stakes.least {
            return None;
        }
        let rough = if bound < stakes.rough { f64::INFINITY } else { stakes.rough };
        let stakes = Stakes { rough, ..stakes };
        let given = ground.first(values[first], &story.mixes, places, stakes);
        Some(given.thirds(values, &|at| self.setting.beside(first, at)))
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
        let (unfed, tapped) = (part(sum.unfed), part(sum.tapped));
        self.hypotheses.push(Hypothesis { wiring, values, like, pulls, near, unfed, tapped });
    }
}
