//! How long fire circuits are out, counted as the rules count it: added up within any 24 h.

/// The minutes of a day and night.
const DAY: u32 = 24 * 60;

/// One time without protection, from `from` to before `to`, in minutes from the job's start.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Out {
    /// When it began.
    pub from: u32,
    /// When it ended.
    pub to: u32,
}

/// When any fire circuit was out.
///
/// The strict reading: the alarm counts as out while any one of its circuits is, and the clock starts when the first
/// is lifted.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Outage {
    /// In rising order, none touching another.
    pub intervals: Vec<Out>,
    /// The most minutes within any 24 h.
    pub worst: u32,
    /// The beginning of the 24 h in which that is; none where nothing was out.
    pub worst_from: Option<u32>,
}

impl Outage {
    /// Adds times up, in whatever order they come.
    #[must_use]
    pub fn new(times: &[Out]) -> Self {
        let mut times: Vec<Out> = times.iter().copied().filter(|out| out.from < out.to).collect();
        times.sort_unstable();
        let mut intervals: Vec<Out> = Vec::new();
        for out in times {
            match intervals.last_mut() {
                Some(last) if out.from <= last.to => last.to = last.to.max(out.to),
                _ => intervals.push(out),
            }
        }
        // The sum over a sliding 24 h is piecewise linear: its greatest value lies where they begin with an interval
        // or end with one.
        let begins = intervals.iter().map(|out| out.from);
        let ends = intervals.iter().map(|out| out.to.saturating_sub(DAY));
        let mut worst = (0, None);
        for from in begins.chain(ends) {
            let sum = within(&intervals, from);
            if sum > worst.0 {
                worst = (sum, Some(from));
            }
        }
        Self { intervals, worst: worst.0, worst_from: worst.1 }
    }

    /// Minutes within the 24 h that begin at `from`.
    #[must_use]
    pub fn within_day_from(&self, from: u32) -> u32 {
        within(&self.intervals, from)
    }
}

fn within(intervals: &[Out], from: u32) -> u32 {
    let end = from + DAY;
    intervals.iter().map(|out| out.to.min(end).saturating_sub(out.from.max(from))).sum()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn two_evenings_within_a_day_add_up() {
        let out = Outage::new(&[Out { from: 0, to: 150 }, Out { from: 1300, to: 1420 }]);
        assert_eq!((out.worst, out.worst_from), (270, Some(0)));
    }

    #[test]
    fn what_lies_further_apart_does_not() {
        let out = Outage::new(&[Out { from: 0, to: 150 }, Out { from: 1590, to: 1700 }]);
        assert_eq!(out.worst, 150);
    }

    proptest! {
        /// Against a count minute by minute over every 24 h.
        #[test]
        fn no_day_and_night_holds_more(times in proptest::collection::vec((0u32..4000, 0u32..900), 0..8)) {
            let times: Vec<Out> = times.into_iter().map(|(from, long)| Out { from, to: from + long }).collect();
            let outage = Outage::new(&times);
            let out = |minute: u32| times.iter().any(|out| (out.from..out.to).contains(&minute));
            let minutes: Vec<u32> = (0..8000).map(|minute| u32::from(out(minute))).collect();
            let mut sum: u32 = minutes[..1440].iter().sum();
            let mut worst = sum;
            for from in 0..minutes.len() - 1440 {
                sum = sum + minutes[from + 1440] - minutes[from];
                worst = worst.max(sum);
            }
            prop_assert_eq!(outage.worst, worst);
            prop_assert_eq!(outage.worst, outage.worst_from.map_or(0, |from| outage.within_day_from(from)));
        }
    }
}
