//! The likelihood of a story for nominal resistors: line and resistors integrated out, never maximised.

mod thirds;

pub(crate) use thirds::Thirds;

use crate::level::{Level, Parts};
use crate::line::LineLaw;
use crate::rule::{GAUSS_2, GAUSS_3, GAUSS_4};
use crate::sight::Kernel;
use crate::story::Mix;

/// Into so many parts a first resistor is cut when only its share in something across shows.
const CUTS: usize = 2;
/// Places of less than this share of the heaviest are left out.
const FAINT: f64 = 1e-8;
/// So many places stand for all where a rough value does.
const THIN: usize = 12;
/// Corners of curves that are heeded; more come only from very many readings of one circuit, and change little.
const MOST_CORNERS: usize = 64;

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

/// Places of the parts, with every inner reading's density from the constant, the line and the first resistor there.
struct Grid {
    spots: Vec<Spot>,
    /// For each inner reading, at each spot.
    without: Vec<Vec<f64>>,
}

/// A story with its first resistor given.
pub(crate) struct First<'a> {
    ground: &'a Ground<'a>,
    nominal: f64,
    /// Readings that depend on a second or third resistor.
    inner: Vec<&'a Mix>,
    fine: Grid,
    /// A few places that stand for all, for what hardly matters.
    thin: Grid,
    /// The likelihood when no inner level can show what was read.
    alone: f64,
    /// What a likelihood has to reach to matter, and to be worth the fine grid.
    stakes: Stakes,
    /// All weight of the fine grid, and the most that each inner reading is without inner levels.
    total: f64,
    without_most: Vec<f64>,
}

/// Places of the line with their weights.
#[derive(Clone, Debug)]
pub(crate) struct Places {
    fine: Vec<(f64, f64)>,
    few: Vec<(f64, f64)>,
}

/// Neighbours put together, two and two.
fn together(places: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let pair = |pair: &[(f64, f64)]| {
        let weight: f64 = pair.iter().map(|(_, weight)| weight).sum();
        (pair.iter().map(|(s, part)| s * part).sum::<f64>() / weight, weight)
    };
    places.chunks(2).map(pair).collect()
}

/// What a likelihood is held against.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Stakes {
    /// Below this it changes nothing.
    pub(crate) least: f64,
    /// Below this a rough value does.
    pub(crate) rough: f64,
    /// Pairs of a second and a third resistor of less than this are not looked at one by one.
    pub(crate) pairs: f64,
}

impl Ground<'_> {
    fn ends(&self, nominal: f64) -> (f64, f64) {
        (nominal * (1.0 - self.tolerance), nominal * (1.0 + self.tolerance))
    }

    /// The likelihood where no resistor is in it.
    pub(crate) fn bare(&self, mixes: &[Mix]) -> f64 {
        let kernels: Vec<_> =
            mixes.iter().filter(|mix| has(mix, Level::Line)).filter_map(|mix| mix.kernel).collect();
        let places = self.line.places(&kernels);
        if kernels.is_empty() {
            return mixes.iter().map(|mix| mix.base).product();
        }
        places
            .into_iter()
            .map(|(s, weight)| weight * mixes.iter().map(|mix| plain(mix, s, 0.0)).product::<f64>())
            .sum()
    }

    /// Places of the line for a story: close together where a reading may be of the line alone. The second list is for
    /// what a rough value does.
    pub(crate) fn places(&self, mixes: &[Mix]) -> Places {
        let lines =
            mixes.iter().filter(|mix| has(mix, Level::Line) && self.can(Level::Line, mix, 0.0, 0.0, 0.0));
        let kernels: Vec<Kernel> = lines.filter_map(|mix| mix.kernel).collect();
        let fine = self.line.places(&kernels);
        let few = if kernels.is_empty() { together(&fine) } else { fine.clone() };
        Places { fine, few }
    }

    /// The story with a first resistor, at the places of its line.
    pub(crate) fn first<'a>(
        &'a self,
        nominal: f64,
        mixes: &'a [Mix],
        places: &Places,
        stakes: Stakes,
    ) -> First<'a> {
        let places = if stakes.rough.is_finite() { &places.fine } else { &places.few };
        let possible = |mix: &&Mix| has(mix, Level::First) && self.can(Level::First, mix, nominal, 0.0, 0.0);
        let firsts: Vec<Kernel> = mixes.iter().filter(possible).filter_map(|mix| mix.kernel).collect();
        let curved = mixes.iter().any(|mix| has(mix, Level::Across) || has(mix, Level::Ends));
        let inner_too = mixes.iter().any(|mix| mix.terms.iter().any(|(_, level)| level.is_inner()));
        let (lo, hi) = self.ends(nominal);
        let mut spots = Vec::new();
        let mut corners: Vec<f64> = Vec::new();
        for &(s, weight) in places {
            corners.clear();
            corners.extend([lo, hi]);
            for kernel in &firsts {
                corners.extend(kernel.corners().into_iter().map(|at| at - s).filter(|r| *r > lo && *r < hi));
            }
            if firsts.is_empty() && !curved && !inner_too {
                // Nothing depends on the resistor.
                spots.push(Spot { weight, s, r: nominal });
                continue;
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
                    _ if !stakes.rough.is_finite() => &GAUSS_2,
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
        let most = spots.iter().fold(0.0, |most: f64, spot| most.max(spot.weight));
        spots.retain(|spot| spot.weight > most * FAINT);
        let fine = Grid::new(spots, &inner);
        let alone = fine.sum(|at| fine.without.iter().map(|without| without[at]).product());
        let thin = Grid::new(if inner.is_empty() { Vec::new() } else { thinned(&fine.spots) }, &inner);
        let total = fine.sum(|_| 1.0);
        let most = |without: &Vec<f64>| without.iter().fold(0.0, |most: f64, density| most.max(*density));
        let without_most = fine.without.iter().map(most).collect();
        First { ground: self, nominal, inner, fine, thin, alone, stakes, total, without_most }
    }

    /// No likelihood with this first resistor is larger, the others being between two nominal values.
    pub(crate) fn bound(&self, nominal: f64, others: (f64, f64), mixes: &[Mix]) -> f64 {
        let most = |mix: &Mix| {
            let Some(kernel) = mix.kernel else { return mix.base };
            let able = |level: Level| self.can_within(level, mix, nominal, others, others);
            let share: f64 = mix.terms.iter().filter(|(_, level)| able(*level)).map(|(share, _)| share).sum();
            mix.base + share * kernel.at(kernel.shown)
        };
        mixes.iter().map(most).product()
    }

    /// Whether a level can show what was read, whatever the parts are within their limits.
    fn can(&self, level: Level, mix: &Mix, r: f64, a: f64, t: f64) -> bool {
        self.can_within(level, mix, r, (a, a), (t, t))
    }

    /// The same with the second and the third resistor between two nominal values each.
    fn can_within(&self, level: Level, mix: &Mix, r: f64, a: (f64, f64), t: (f64, f64)) -> bool {
        let Some(kernel) = mix.kernel else { return false };
        let (s_lo, s_hi) = self.line.ends();
        let low = 1.0 - self.tolerance;
        let high = 1.0 + self.tolerance;
        let leads = self.line.leads_mean();
        let least = level.ohms(&Parts { s: s_lo, r: r * low, a: a.0 * low, t: t.0 * low, leads });
        let most = level.ohms(&Parts { s: s_hi, r: r * high, a: a.1 * high, t: t.1 * high, leads });
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

impl Grid {
    fn new(spots: Vec<Spot>, inner: &[&Mix]) -> Self {
        let without =
            inner.iter().map(|mix| spots.iter().map(|spot| plain(mix, spot.s, spot.r)).collect()).collect();
        Self { spots, without }
    }

    /// Sum over all spots of weight times what stands there.
    fn sum(&self, there: impl Fn(usize) -> f64) -> f64 {
        self.spots.iter().enumerate().map(|(at, spot)| spot.weight * there(at)).sum()
    }
}

/// Neighbouring spots put together.
fn thinned(spots: &[Spot]) -> Vec<Spot> {
    let each = spots.len().div_ceil(THIN).max(1);
    let together = |spots: &[Spot]| {
        let weight: f64 = spots.iter().map(|spot| spot.weight).sum();
        let mean =
            |of: fn(&Spot) -> f64| spots.iter().map(|spot| spot.weight * of(spot)).sum::<f64>() / weight;
        Spot { weight, s: mean(|spot| spot.s), r: mean(|spot| spot.r) }
    };
    spots.chunks(each).map(together).collect()
}

impl First<'_> {
    /// The likelihood when what lies beyond the first resistor cannot show what was read.
    pub(crate) fn alone(&self) -> f64 {
        self.alone
    }

    /// The likelihood with a second resistor; none where it makes no difference to [`First::alone`].
    pub(crate) fn second(&self, nominal: f64) -> Option<f64> {
        if self.inner.is_empty() {
            return None;
        }
        let group = self.able(nominal, 0.0, &|level| level.has_second() && !level.has_third());
        if group.is_empty() {
            return None;
        }
        let grid = self.grid(&group)?;
        let each = self.seconds(grid, nominal, &group);
        Some(self.sum(grid, &group, &[], &each, &[]))
    }

    /// Inner readings that a level of the wanted kind can show with these values.
    fn able(&self, a: f64, t: f64, wanted: &dyn Fn(Level) -> bool) -> Vec<usize> {
        let can = |mix: &Mix| {
            mix.terms
                .iter()
                .any(|(_, level)| wanted(*level) && self.ground.can(*level, mix, self.nominal, a, t))
        };
        (0..self.inner.len()).filter(|at| can(self.inner[*at])).collect()
    }

    /// The grid that is worth it where these readings may be shown by inner levels; none where nothing is.
    fn grid(&self, group: &[usize]) -> Option<&Grid> {
        let bound = self.most(group);
        if bound < self.stakes.least {
            None
        } else if bound < self.stakes.rough {
            Some(&self.thin)
        } else {
            Some(&self.fine)
        }
    }

    /// No likelihood is larger where these readings may be shown by inner levels.
    fn most(&self, group: &[usize]) -> f64 {
        let most = |at: usize| {
            let mix = self.inner[at];
            let without = self.without_most[at];
            let Some(kernel) = mix.kernel.filter(|_| group.contains(&at)) else { return without };
            let share: f64 =
                mix.terms.iter().filter(|(_, level)| level.is_inner()).map(|(share, _)| share).sum();
            without + share * kernel.at(kernel.shown)
        };
        self.total * (0..self.inner.len()).map(most).product::<f64>()
    }

    /// Sum over the spots of the product of all inner readings, two groups of which were integrated already.
    fn sum(&self, grid: &Grid, one: &[usize], other: &[usize], each: &[f64], more: &[f64]) -> f64 {
        let rest: Vec<usize> =
            (0..self.inner.len()).filter(|at| !one.contains(at) && !other.contains(at)).collect();
        grid.sum(|at| {
            let rest: f64 = rest.iter().map(|mix| grid.without[*mix][at]).product();
            rest * each[at] * more.get(at).copied().unwrap_or(1.0)
        })
    }

    /// At each spot: the product of some inner readings, a second (or third) resistor integrated out.
    fn seconds(&self, grid: &Grid, nominal: f64, group: &[usize]) -> Vec<f64> {
        let leads = self.ground.line.leads_mean();
        let straight = group.len() == 1
            && self.inner[group[0]]
                .terms
                .iter()
                .all(|(_, level)| !level.is_inner() || straight(*level).is_some());
        let spots = grid.spots.iter().enumerate();
        spots
            .map(|(at, spot)| {
                if straight {
                    self.closed(grid, at, nominal, group[0])
                } else {
                    let parts = Parts { s: spot.s, r: spot.r, a: 0.0, t: 0.0, leads };
                    self.numeric(grid, at, nominal, &parts, group)
                }
            })
            .collect()
    }

    /// One reading whose levels rise straight with the resistor: a difference of two integrals of its curve.
    fn closed(&self, grid: &Grid, at: usize, nominal: f64, reading: usize) -> f64 {
        let (lo, hi) = self.ground.ends(nominal);
        let spot = &grid.spots[at];
        let mix = self.inner[reading];
        let mut sum = grid.without[reading][at];
        let Some(kernel) = mix.kernel else { return sum };
        for (share, level) in &mix.terms {
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
    fn numeric(&self, grid: &Grid, at: usize, nominal: f64, parts: &Parts, group: &[usize]) -> f64 {
        let (lo, hi) = self.ground.ends(nominal);
        let mut corners = [0.0; MOST_CORNERS];
        let mut count = 2;
        corners[0] = lo;
        corners[1] = hi;
        for mix in group.iter().map(|reading| self.inner[*reading]) {
            let Some(kernel) = mix.kernel else { continue };
            for (_, level) in mix.terms.iter().filter(|(_, level)| level.is_inner()) {
                for corner in kernel.corners() {
                    if let Some(a) =
                        as_second(*level).second_for(corner, parts).filter(|a| *a > lo && *a < hi)
                        && count < corners.len()
                    {
                        corners[count] = a;
                        count += 1;
                    }
                }
            }
        }
        let corners = &mut corners[..count];
        corners.sort_unstable_by(f64::total_cmp);
        let mut sum = 0.0;
        for pair in corners.windows(2) {
            let width = (pair[1] - pair[0]) / (hi - lo);
            for (place, weight) in GAUSS_3 {
                let parts = Parts { a: pair[0] + (pair[1] - pair[0]) * place, ..*parts };
                let all = group.iter().map(|reading| self.at(grid, at, *reading, &parts));
                sum += weight * width * all.product::<f64>();
            }
        }
        sum
    }

    /// One inner reading with all parts given.
    fn at(&self, grid: &Grid, at: usize, reading: usize, parts: &Parts) -> f64 {
        let mix = self.inner[reading];
        let mut density = grid.without[reading][at];
        let Some(kernel) = mix.kernel else { return density };
        for (share, level) in mix.terms.iter().filter(|(_, level)| level.is_inner()) {
            let level = if parts.t > 0.0 { *level } else { as_second(*level) };
            density += share * kernel.at(level.ohms(parts));
        }
        density
    }
}

/// A third resistor alone is integrated as a second one is.
fn as_second(level: Level) -> Level {
    if level == Level::Third { Level::Steps(1) } else { level }
}

fn straight(level: Level) -> Option<f64> {
    as_second(level).slope()
}
