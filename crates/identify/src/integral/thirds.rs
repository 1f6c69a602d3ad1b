//! A second and a third resistor beside a first one.

use super::{First, has};
use crate::level::{Level, Parts};
use crate::rule::GAUSS_4;

/// Likelihoods by places of the second and the third resistor in a list of values; those not listed make no difference.
#[derive(Clone, Debug, Default)]
pub(crate) struct Thirds {
    pub(crate) neither: f64,
    pub(crate) second: Vec<(usize, f64)>,
    pub(crate) third: Vec<(usize, f64)>,
    pub(crate) pair: Vec<(usize, usize, f64)>,
}

impl Thirds {
    /// The likelihood of a pair; none stands for every value that is not listed anywhere.
    pub(crate) fn of(&self, second: Option<usize>, third: Option<usize>) -> f64 {
        let single = |list: &[(usize, f64)], at: Option<usize>| {
            list.iter().find(|(value, _)| Some(*value) == at).map(|(_, likelihood)| *likelihood)
        };
        let pair = self.pair.iter().find(|(one, other, _)| (Some(*one), Some(*other)) == (second, third));
        pair.map(|(_, _, likelihood)| *likelihood)
            .or_else(|| single(&self.second, second))
            .or_else(|| single(&self.third, third))
            .unwrap_or(self.neither)
    }
}

impl First<'_> {
    /// What second and third resistors make of it, for every value that makes a difference.
    pub(crate) fn thirds(&self, values: &[f64], beside: &dyn Fn(usize) -> f64) -> Thirds {
        let grid = if self.stakes.rough.is_finite() { &self.fine } else { &self.thin };
        let of = |wanted: &dyn Fn(Level) -> bool| -> Vec<(usize, Vec<usize>, Vec<f64>)> {
            let groups = values.iter().enumerate().map(|(at, value)| (at, self.able(*value, *value, wanted)));
            let groups = groups.filter(|(_, group)| !group.is_empty());
            groups
                .map(|(at, group)| {
                    let each = self.seconds(grid, values[at], &group);
                    (at, group, each)
                })
                .collect()
        };
        let seconds = of(&|level| level.has_second() && !level.has_third());
        let thirds = of(&|level| level == Level::Third);
        let mut found = Thirds { neither: self.alone, ..Thirds::default() };
        for (at, group, each) in &seconds {
            found.second.push((*at, self.sum(grid, group, &[], each, &[])));
        }
        for (at, group, each) in &thirds {
            found.third.push((*at, self.sum(grid, group, &[], each, &[])));
        }
        for (second, group, each) in &seconds {
            for (third, other, more) in &thirds {
                found.pair.push((*second, *third, self.sum(grid, group, other, each, more)));
            }
        }
        self.alls(values, beside, &mut found);
        found
    }

    /// Pairs of values that a reading with both contacts moved can show: the one case that needs both at once.
    fn alls(&self, values: &[f64], beside: &dyn Fn(usize) -> f64, found: &mut Thirds) {
        if !self.inner.iter().any(|mix| has(mix, Level::All)) {
            return;
        }
        let total = self.total;
        let tops: Vec<(f64, f64)> = (0..self.inner.len())
            .map(|at| {
                let kernel = self.inner[at].kernel;
                (self.without_most[at], kernel.map_or(0.0, |kernel| kernel.at(kernel.shown)))
            })
            .collect();
        let most: f64 = tops.iter().map(|(without, top)| without + top).product::<f64>() * total;
        let besides: Vec<f64> = (0..values.len()).map(beside).collect();
        let largest = besides.iter().copied().fold(0.0, f64::max);
        for (second, a) in
            values.iter().enumerate().filter(|(at, _)| most * besides[*at] * largest > self.stakes.pairs)
        {
            for (third, t) in values.iter().enumerate() {
                let mut bound = total * besides[second] * besides[third];
                if most * besides[second] * besides[third] <= self.stakes.pairs {
                    continue;
                }
                let mut any = false;
                for (mix, (without, top)) in self.inner.iter().zip(&tops) {
                    let able = |(_, level): &&(f64, Level)| {
                        level.is_inner() && self.ground.can(*level, mix, self.nominal, *a, *t)
                    };
                    let share: f64 = mix.terms.iter().filter(able).map(|(share, _)| share).sum();
                    any |= share > 0.0 && has(mix, Level::All);
                    bound *= without + share * top;
                }
                if any && bound > self.stakes.pairs {
                    let likelihood = self.thin.sum(|at| self.both(at, *a, *t));
                    found.pair.retain(|(one, other, _)| (*one, *other) != (second, third));
                    found.pair.push((second, third, likelihood));
                }
            }
        }
    }

    /// All inner readings at one spot of the thin grid, second and third resistor integrated together.
    fn both(&self, at: usize, a: f64, t: f64) -> f64 {
        let spot = self.thin.spots[at];
        let (from, to) = self.ground.ends(t);
        let mut corners = vec![from, to];
        for mix in &self.inner {
            if let Some(kernel) = mix.kernel.filter(|_| has(mix, Level::Third)) {
                let thirds = kernel.corners().map(|ohms| ohms - spot.s - spot.r);
                corners.extend(thirds.into_iter().filter(|t| *t > from && *t < to));
            }
        }
        corners.sort_by(f64::total_cmp);
        let all: Vec<usize> = (0..self.inner.len()).collect();
        let mut sum = 0.0;
        for pair in corners.windows(2) {
            for (place, weight) in GAUSS_4 {
                let t = pair[0] + (pair[1] - pair[0]) * place;
                let parts = Parts { s: spot.s, r: spot.r, a: 0.0, t, leads: self.ground.line.leads_mean() };
                let inner = match (self.inner.as_slice(), self.inner[0].kernel) {
                    ([only], Some(kernel)) => {
                        let share: f64 = only
                            .terms
                            .iter()
                            .map(|(share, level)| if *level == Level::All { *share } else { 0.0 })
                            .sum();
                        let (lo, hi) = self.ground.ends(a);
                        let base = spot.s + spot.r + t;
                        let within = kernel.below(base + hi) - kernel.below(base + lo);
                        self.thin.without[0][at] + share * within / (hi - lo)
                    }
                    _ => self.numeric(&self.thin, at, a, &parts, &all),
                };
                sum += weight * (pair[1] - pair[0]) / (to - from) * inner;
            }
        }
        sum
    }
}
