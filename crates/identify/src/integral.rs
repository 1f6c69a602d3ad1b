//! The likelihood of a story for nominal resistors: line and resistors integrated out, never maximised.

use crate::level::{Level, Parts};
use crate::line::LineLaw;
use crate::rule::{GAUSS_2, GAUSS_3, GAUSS_4};
use crate::story::Mix;

/// Into so many parts a first resistor is cut when only its share in something across shows.
const CUTS: usize = 3;

/// What all circuits of a job have in common.
#[derive(Clone, Debug)]
pub(crate) struct Ground<'a> {
    pub(crate) line: &'a LineLaw,
    /// A resistor lies evenly within this share of its nominal value.
    pub(crate) tolerance: f64,
}

/// A place in line and first resistor, with its weight and all readings that depend on nothing else in it.
#[derive(Clone, Copy, Debug)]
struct Spot {
    weight: f64,
    s: f64,
    r: f64,
}

/// A story with its first resistor given.
pub(crate) struct First<'a> {
    ground: &'a Ground<'a>,
    nominal: f64,
    spots: Vec<Spot>,
    /// Readings that depend on a second or third resistor, with what they are without it at each spot.
    inner: Vec<Inner<'a>>,
    /// The likelihood when no inner level can show what was read.
    alone: f64,
}

struct Inner<'a> {
    mix: &'a Mix,
    /// At each spot: the constant, and the levels of line and first resistor.
    without: Vec<f64>,
}

impl Ground<'_> {
    fn ends(&self, nominal: f64) -> (f64, f64) {
        (nominal * (1.0 - self.tolerance), nominal * (1.0 + self.tolerance))
    }

    /// The likelihood where no resistor is in it.
    pub(crate) fn bare(&self, mixes: &[Mix]) -> f64 {
        let kernels: Vec<_> = mixes.iter().filter(|mix| has(mix, Level::Line)).filter_map(|mix| mix.kernel).collect();
        let places = self.line.places(&kernels);
        if kernels.is_empty() {
            return mixes.iter().map(|mix| mix.base).product();
        }
        places
            .into_iter()
            .map(|(s, weight)| weight * mixes.iter().map(|mix| plain(mix, s, 0.0)).product::<f64>())
            .sum()
    }

    /// The story with a first resistor.
    pub(crate) fn first<'a>(&'a self, nominal: f64, mixes: &'a [Mix]) -> First<'a> {
        let possible = |level: Level, mix: &Mix| self.can(level, mix, nominal, 0.0, 0.0);
        let of = |level: Level| {
            let mixes = mixes.iter().filter(move |mix| has(mix, level) && possible(level, mix));
            mixes.filter_map(|mix| mix.kernel).collect::<Vec<_>>()
        };
        let (lines, firsts) = (of(Level::Line), of(Level::First));
        let curved = mixes.iter().any(|mix| has(mix, Level::Across) || has(mix, Level::Ends));
        let (lo, hi) = self.ends(nominal);
        let mut spots = Vec::new();
        let mut corners: Vec<f64> = Vec::new();
        for (s, weight) in self.line.places(&lines) {
            corners.clear();
            corners.extend([lo, hi]);
            for kernel in &firsts {
                corners.extend(kernel.corners().into_iter().map(|at| at - s).filter(|r| *r > lo && *r < hi));
            }
            if firsts.is_empty() && curved {
                corners.extend((1..CUTS).map(|cut| lo + (hi - lo) * cut as f64 / CUTS as f64));
            }
            corners.sort_by(f64::total_cmp);
            for pair in corners.windows(2) {
                let (from, to) = (pair[0], pair[1]);
                let middle = s + (from + to) / 2.0;
                let narrow = firsts.iter().any(|kernel| kernel.at(middle) > 0.0);
                let rule: &[(f64, f64)] = match (narrow, firsts.is_empty()) {
                    (true, _) => &GAUSS_3,
                    (false, true) => &GAUSS_4,
                    (false, false) => &GAUSS_2,
                };
                for (at, part) in rule {
                    let r = from + (to - from) * at;
                    spots.push(Spot { weight: weight * part * (to - from) / (hi - lo), s, r });
                }
            }
        }
        let (inner, outer): (Vec<&Mix>, Vec<&Mix>) =
            mixes.iter().partition(|mix| mix.terms.iter().any(|(_, level)| level.is_inner()));
        for spot in &mut spots {
            spot.weight *= outer.iter().map(|mix| plain(mix, spot.s, spot.r)).product::<f64>();
        }
        spots.retain(|spot| spot.weight > 0.0);
        let inner: Vec<Inner> = inner
            .into_iter()
            .map(|mix| Inner { mix, without: spots.iter().map(|spot| plain(mix, spot.s, spot.r)).collect() })
            .collect();
        let alone = spots
            .iter()
            .enumerate()
            .map(|(at, spot)| spot.weight * inner.iter().map(|inner| inner.without[at]).product::<f64>())
            .sum();
        First { ground: self, nominal, spots, inner, alone }
    }

    /// Whether a level can show what was read, whatever the parts are within their limits.
    fn can(&self, level: Level, mix: &Mix, r: f64, a: f64, t: f64) -> bool {
        let Some(kernel) = mix.kernel else { return false };
        let (s_lo, s_hi) = self.line.ends();
        let low = 1.0 - self.tolerance;
        let high = 1.0 + self.tolerance;
        let leads = self.line.leads_mean();
        let least = level.ohms(&Parts { s: s_lo, r: r * low, a: a * low, t: t * low, leads });
        let most = level.ohms(&Parts { s: s_hi, r: r * high, a: a * high, t: t * high, leads });
        most > kernel.shown - kernel.outer && least < kernel.shown + kernel.outer
    }
}

/// Whether a reading may have been taken at a level.
fn has(mix: &Mix, wanted: Level) -> bool {
    mix.terms.iter().any(|(_, level)| *level == wanted)
}

/// A reading's density from the constant, the line and the first resistor.
fn plain(mix: &Mix, s: f64, r: f64) -> f64 {
    let Some(kernel) = mix.kernel else { return mix.base };
    let term = |(share, level): &(f64, Level)| match level {
        Level::Line => share * kernel.at(s),
        Level::First => share * kernel.at(s + r),
        _ => 0.0,
    };
    mix.base + mix.terms.iter().map(term).sum::<f64>()
}

impl First<'_> {
    /// The likelihood when what lies beyond the first resistor cannot show what was read.
    pub(crate) fn alone(&self) -> f64 {
        self.alone
    }

    /// The likelihood with a second resistor; none where it makes no difference to [`First::alone`].
    pub(crate) fn second(&self, nominal: f64) -> Option<f64> {
        let mixes: Vec<&Inner> = self.able(nominal, 0.0, &|level| level.has_second() && !level.has_third());
        if mixes.is_empty() {
            return None;
        }
        let each = self.seconds(nominal, &mixes);
        Some(self.sum(&mixes, &[], &each, &[]))
    }

    /// The likelihoods with a second and a third resistor of every pair of `values` that makes a difference: places
    /// in `values` of the second and the third (none: whatever it is) and the likelihood.
    pub(crate) fn thirds(&self, values: &[f64]) -> Vec<(Option<usize>, Option<usize>, f64)> {
        let seconds: Vec<(usize, Vec<&Inner>)> = values
            .iter()
            .map(|value| self.able(*value, 0.0, &|level| level.has_second() && !level.has_third()))
            .enumerate()
            .filter(|(_, mixes)| !mixes.is_empty())
            .collect();
        let thirds: Vec<(usize, Vec<&Inner>)> = values
            .iter()
            .map(|value| self.able(0.0, *value, &|level| level == Level::Third))
            .enumerate()
            .filter(|(_, mixes)| !mixes.is_empty())
            .collect();
        let each_second: Vec<Vec<f64>> =
            seconds.iter().map(|(at, mixes)| self.seconds(values[*at], mixes)).collect();
        let each_third: Vec<Vec<f64>> =
            thirds.iter().map(|(at, mixes)| self.seconds(values[*at], mixes)).collect();
        let mut found = Vec::new();
        for ((at, mixes), each) in seconds.iter().zip(&each_second) {
            found.push((Some(*at), None, self.sum(mixes, &[], each, &[])));
        }
        for ((at, mixes), each) in thirds.iter().zip(&each_third) {
            found.push((None, Some(*at), self.sum(mixes, &[], each, &[])));
        }
        for ((second, mixes), each) in seconds.iter().zip(&each_second) {
            for ((third, more), other) in thirds.iter().zip(&each_third) {
                found.push((Some(*second), Some(*third), self.sum(mixes, more, each, other)));
            }
        }
        found.extend(self.alls(values));
        found
    }

    /// Pairs of values that a reading with both contacts moved can show: the one case that needs both at once.
    fn alls(&self, values: &[f64]) -> Vec<(Option<usize>, Option<usize>, f64)> {
        let mut found = Vec::new();
        if !self.inner.iter().any(|inner| has(inner.mix, Level::All)) {
            return found;
        }
        for (second, a) in values.iter().enumerate() {
            for (third, t) in values.iter().enumerate() {
                if self.able(*a, *t, &|level| level == Level::All).is_empty() {
                    continue;
                }
                let likelihood =
                    self.spots.iter().enumerate().map(|(at, spot)| spot.weight * self.both(at, *a, *t)).sum();
                found.push((Some(second), Some(third), likelihood));
            }
        }
        found
    }

    /// All inner readings at one spot, second and third resistor integrated together.
    fn both(&self, at: usize, a: f64, t: f64) -> f64 {
        let spot = self.spots[at];
        let (from, to) = self.ground.ends(t);
        let mut corners = vec![from, to];
        for inner in &self.inner {
            if let Some(kernel) = inner.mix.kernel.filter(|_| has(inner.mix, Level::Third)) {
                corners.extend(kernel.corners().map(|x| x - spot.s - spot.r).into_iter().filter(|t| *t > from && *t < to));
            }
        }
        corners.sort_by(f64::total_cmp);
        let mut sum = 0.0;
        for pair in corners.windows(2) {
            for (place, weight) in GAUSS_4 {
                let t = pair[0] + (pair[1] - pair[0]) * place;
                let parts = Parts { s: spot.s, r: spot.r, a: 0.0, t, leads: self.ground.line.leads_mean() };
                let all: Vec<&Inner> = self.inner.iter().collect();
                sum += weight * (pair[1] - pair[0]) / (to - from) * self.numeric(at, a, &parts, &all);
            }
        }
        sum
    }

    /// Inner readings that a level of the wanted kind can show with these values.
    fn able(&self, a: f64, t: f64, wanted: &dyn Fn(Level) -> bool) -> Vec<&Inner<'_>> {
        let can = |inner: &&Inner| {
            inner.mix.terms.iter().any(|(_, level)| {
                wanted(*level) && self.ground.can(*level, inner.mix, self.nominal, a, t)
            })
        };
        self.inner.iter().filter(can).collect()
    }

    /// Sum over the spots of the product of all inner readings, two groups of which were integrated already.
    fn sum(&self, one: &[&Inner], other: &[&Inner], each: &[f64], more: &[f64]) -> f64 {
        let is = |group: &[&Inner], inner: &Inner| group.iter().any(|member| std::ptr::eq(*member, inner));
        let rest: Vec<&Inner> =
            self.inner.iter().filter(|inner| !is(one, inner) && !is(other, inner)).collect();
        let at_spot = |(at, spot): (usize, &Spot)| {
            let rest: f64 = rest.iter().map(|inner| inner.without[at]).product();
            spot.weight * rest * each[at] * more.get(at).copied().unwrap_or(1.0)
        };
        self.spots.iter().enumerate().map(at_spot).sum()
    }

    /// At each spot: the product of some inner readings, a second (or third) resistor integrated out.
    fn seconds(&self, nominal: f64, mixes: &[&Inner]) -> Vec<f64> {
        let leads = self.ground.line.leads_mean();
        let spots = self.spots.iter().enumerate();
        let straight = mixes.len() == 1
            && mixes[0].mix.terms.iter().all(|(_, level)| !level.is_inner() || straight(*level).is_some());
        spots
            .map(|(at, spot)| {
                if straight {
                    self.closed(at, nominal, mixes[0])
                } else {
                    let parts = Parts { s: spot.s, r: spot.r, a: 0.0, t: 0.0, leads };
                    self.numeric(at, nominal, &parts, mixes)
                }
            })
            .collect()
    }

    /// One reading whose levels rise straight with the resistor: a difference of two integrals of its curve.
    fn closed(&self, at: usize, nominal: f64, inner: &Inner) -> f64 {
        let (lo, hi) = self.ground.ends(nominal);
        let spot = &self.spots[at];
        let mut sum = inner.without[at];
        let Some(kernel) = inner.mix.kernel else { return sum };
        for (share, level) in &inner.mix.terms {
            let Some(slope) = straight(*level) else { continue };
            let base = match level {
                Level::Second => spot.s,
                Level::Near => self.ground.line.leads_mean(),
                _ => spot.s + spot.r,
            };
            let within = kernel.below(base + slope * hi) - kernel.below(base + slope * lo);
            sum += share * within / (slope * (hi - lo));
        }
        sum
    }

    /// Several readings, or one whose level bends: summed piece by piece between the corners of their curves.
    fn numeric(&self, at: usize, nominal: f64, parts: &Parts, mixes: &[&Inner]) -> f64 {
        let (lo, hi) = self.ground.ends(nominal);
        let mut corners = [0.0; 64];
        let mut count = 2;
        corners[0] = lo;
        corners[1] = hi;
        for inner in mixes {
            let Some(kernel) = inner.mix.kernel else { continue };
            for (_, level) in &inner.mix.terms {
                for corner in kernel.corners() {
                    if let Some(a) = as_second(*level).second_for(corner, parts).filter(|a| *a > lo && *a < hi)
                        && count < corners.len()
                    {
                        corners[count] = a;
                        count += 1;
                    }
                }
            }
        }
        let corners = &mut corners[..count];
        corners.sort_by(f64::total_cmp);
        let mut sum = 0.0;
        for pair in corners.windows(2) {
            let width = (pair[1] - pair[0]) / (hi - lo);
            for (place, weight) in GAUSS_3 {
                let a = pair[0] + (pair[1] - pair[0]) * place;
                let parts = Parts { a, ..*parts };
                let all = mixes.iter().map(|inner| {
                    let Some(kernel) = inner.mix.kernel else { return inner.without[at] };
                    let levels = inner.mix.terms.iter().filter(|(_, level)| level.is_inner());
                    let levels = levels.map(|(share, level)| match level {
                        Level::Third if parts.t > 0.0 => share * kernel.at(level.ohms(&parts)),
                        level => share * kernel.at(as_second(*level).ohms(&parts)),
                    });
                    inner.without[at] + levels.sum::<f64>()
                });
                sum += weight * width * all.product::<f64>();
            }
        }
        sum
    }
}

/// A third resistor alone is integrated as a second one is.
fn as_second(level: Level) -> Level {
    if level == Level::Third { Level::Steps(1) } else { level }
}

fn straight(level: Level) -> Option<f64> {
    as_second(level).slope()
}
