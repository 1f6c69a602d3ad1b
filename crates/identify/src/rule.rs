//! Gauss's places and weights on 0 to 1 (Abramowitz and Stegun, table 25.4, from memory; a test integrates powers).

pub(crate) const GAUSS_2: [(f64, f64); 2] = [(0.211_324_865_405_187_1, 0.5), (0.788_675_134_594_812_9, 0.5)];

pub(crate) const GAUSS_3: [(f64, f64); 3] =
    [(0.112_701_665_379_258_3, 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.887_298_334_620_741_7, 5.0 / 18.0)];

pub(crate) const GAUSS_4: [(f64, f64); 4] = [
    (0.069_431_844_202_973_71, 0.173_927_422_568_726_9),
    (0.330_009_478_207_571_9, 0.326_072_577_431_273_1),
    (0.669_990_521_792_428_1, 0.326_072_577_431_273_1),
    (0.930_568_155_797_026_3, 0.173_927_422_568_726_9),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// A rule of n places is exact for powers up to 2n - 1: the integral of x^k from 0 to 1 is 1 / (k + 1).
    #[test]
    fn powers() {
        let rules: [&[(f64, f64)]; 3] = [&GAUSS_2, &GAUSS_3, &GAUSS_4];
        for rule in rules {
            for power in 0..i32::try_from(2 * rule.len()).unwrap() {
                let sum: f64 = rule.iter().map(|(at, weight)| weight * at.powi(power)).sum();
                assert!((sum - 1.0 / f64::from(power + 1)).abs() < 1e-14, "{power}");
            }
        }
    }
}
