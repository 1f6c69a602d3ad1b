//! The hours in which work may be done, minute by minute.

/// Whether people are in the building.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Presence {
    /// People are in: they notice an intruder, and a fire.
    Occupied,
    /// Nobody is in: sounders may be tried.
    Empty,
}

impl Presence {
    /// The word in job files and JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Occupied => "occupied",
            Self::Empty => "empty",
        }
    }
}

/// Hours in which work may be done: from `from` to before `to`, in minutes from the job's start.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Window {
    /// Its first minute.
    pub from: u32,
    /// The minute after its last.
    pub to: u32,
    /// Whether people are in.
    pub presence: Presence,
}

impl Window {
    /// Its length in minutes.
    #[must_use]
    pub fn minutes(self) -> u32 {
        self.to - self.from
    }
}

/// The hours as tables: what is asked of every minute thousands of times.
#[derive(Debug)]
pub(crate) struct Calendar {
    windows: Vec<Window>,
    /// Minutes with people in before each minute, one entry more than there are minutes.
    occupied: Vec<u32>,
    /// The first open minute at or after each; `u32::MAX`: none.
    open: Vec<u32>,
    /// The end of the stretch that an open minute lies in; windows that touch are one stretch.
    end: Vec<u32>,
    /// Presence in each open minute.
    presence: Vec<Option<Presence>>,
}

impl Calendar {
    pub(crate) fn new(windows: &[Window]) -> Self {
        let last = windows.last().map_or(0, |window| window.to) as usize;
        let mut presence = vec![None; last];
        for window in windows {
            presence[window.from as usize..window.to as usize].fill(Some(window.presence));
        }
        let mut occupied = Vec::with_capacity(last + 1);
        let mut sum = 0;
        occupied.push(0);
        for minute in &presence {
            sum += u32::from(*minute == Some(Presence::Occupied));
            occupied.push(sum);
        }
        let (mut open, mut end) = (vec![u32::MAX; last], vec![0; last]);
        let (mut next, mut stretch) = (u32::MAX, 0);
        for minute in (0..last).rev() {
            let now = u32::try_from(minute).unwrap_or(u32::MAX);
            if presence[minute].is_some() {
                if minute + 1 == last || presence[minute + 1].is_none() {
                    stretch = now + 1;
                }
                next = now;
                end[minute] = stretch;
            }
            open[minute] = next;
        }
        Self { windows: windows.to_vec(), occupied, open, end, presence }
    }

    pub(crate) fn windows(&self) -> &[Window] {
        &self.windows
    }

    /// The minute after the last open one.
    pub(crate) fn horizon(&self) -> u32 {
        self.windows.last().map_or(0, |window| window.to)
    }

    /// The first open minute at or after this one.
    pub(crate) fn open_at(&self, minute: u32) -> Option<u32> {
        self.open.get(minute as usize).copied().filter(|open| *open != u32::MAX)
    }

    /// The end of the stretch that an open minute lies in.
    pub(crate) fn stretch_end(&self, minute: u32) -> u32 {
        self.end[minute as usize]
    }

    /// Presence in a minute; none when no work may be done.
    pub(crate) fn presence(&self, minute: u32) -> Option<Presence> {
        self.presence.get(minute as usize).copied().flatten()
    }

    /// The longest stretch; of one presence, the longest window of it.
    pub(crate) fn longest(&self, presence: Option<Presence>) -> u32 {
        match presence {
            None => (0..self.horizon())
                .filter(|&minute| minute == 0 || self.presence(minute - 1).is_none())
                .filter(|&minute| self.presence(minute).is_some())
                .map(|minute| self.stretch_end(minute) - minute)
                .max()
                .unwrap_or(0),
            Some(wanted) => {
                let of = self.windows.iter().filter(|window| window.presence == wanted);
                of.map(|window| window.minutes()).max().unwrap_or(0)
            }
        }
    }

    /// The first minute at or after this one from which so many minutes are open without a break.
    pub(crate) fn fits(&self, from: u32, minutes: u32) -> Option<u32> {
        let mut start = self.open_at(from)?;
        while start + minutes > self.stretch_end(start) {
            start = self.open_at(self.stretch_end(start))?;
        }
        Some(start)
    }

    /// When so many open minutes have gone by; the horizon where there are fewer.
    pub(crate) fn after_open(&self, from: u32, minutes: u32) -> u32 {
        let (mut at, mut left) = (from, minutes);
        while left > 0 {
            let Some(open) = self.open_at(at) else { return self.horizon().max(from) };
            let step = left.min(self.stretch_end(open) - open);
            left -= step;
            at = open + step;
        }
        at
    }

    /// Minutes from `from` to `to` with people in, and without.
    pub(crate) fn split(&self, from: u32, to: u32) -> (u64, u64) {
        let before = |minute: u32| {
            let last = self.occupied.len() - 1;
            self.occupied[(minute as usize).min(last)]
        };
        let occupied = before(to) - before(from);
        (u64::from(occupied), u64::from(to - from - occupied))
    }

    /// What a circuit of these weights costs while it is dead from `from` to `to`.
    pub(crate) fn cost(&self, occupied_weight: u32, weight: u32, from: u32, to: u32) -> u64 {
        let (occupied, empty) = self.split(from, to);
        occupied * u64::from(occupied_weight) + empty * u64::from(weight)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn calendar() -> Calendar {
        Calendar::new(&[
            Window { from: 10, to: 20, presence: Presence::Occupied },
            Window { from: 20, to: 25, presence: Presence::Empty },
            Window { from: 40, to: 60, presence: Presence::Empty },
        ])
    }

    #[test]
    fn windows_that_touch_are_one_stretch() {
        let calendar = calendar();
        assert_eq!(calendar.fits(0, 15), Some(10));
        assert_eq!(calendar.fits(11, 15), Some(40));
        assert_eq!(calendar.fits(0, 21), None);
        assert_eq!(calendar.longest(None), 20);
        assert_eq!(calendar.longest(Some(Presence::Occupied)), 10);
    }

    #[test]
    fn minutes_with_people_in_are_counted_apart() {
        assert_eq!(calendar().split(0, 30), (10, 20));
        assert_eq!(calendar().cost(1, 4, 18, 22), 2 + 8);
        assert_eq!(calendar().split(50, 100), (0, 50));
    }
}
