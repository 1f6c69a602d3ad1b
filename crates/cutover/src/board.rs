//! Who is busy when: technicians in each minute.

use crate::calendar::Calendar;

/// How many technicians are busy in each minute.
#[derive(Clone, Debug)]
pub(crate) struct Board {
    busy: Vec<u16>,
    crew: u16,
}

impl Board {
    pub(crate) fn new(calendar: &Calendar, crew: u16) -> Self {
        Self { busy: vec![0; calendar.horizon() as usize], crew }
    }

    /// Technicians free in a minute.
    pub(crate) fn free(&self, minute: u32) -> u16 {
        self.crew - self.busy.get(minute as usize).copied().unwrap_or(self.crew)
    }

    /// The first start at or after `from` at which so many technicians are free for so long, inside one stretch and
    /// ending no later than `until`.
    pub(crate) fn earliest(
        &self,
        calendar: &Calendar,
        from: u32,
        until: u32,
        minutes: u32,
        crew: u16,
    ) -> Option<u32> {
        let mut start = from;
        loop {
            start = calendar.fits(start, minutes)?;
            if start + minutes > until {
                return None;
            }
            let span = &self.busy[start as usize..(start + minutes) as usize];
            match span.iter().rposition(|busy| busy + crew > self.crew) {
                None => return Some(start),
                Some(at) => start += u32::try_from(at).unwrap_or(u32::MAX) + 1,
            }
        }
    }

    pub(crate) fn take(&mut self, start: u32, minutes: u32, crew: u16) {
        for busy in &mut self.busy[start as usize..(start + minutes) as usize] {
            *busy += crew;
        }
    }

    pub(crate) fn give_back(&mut self, start: u32, minutes: u32, crew: u16) {
        for busy in &mut self.busy[start as usize..(start + minutes) as usize] {
            *busy -= crew;
        }
    }
}
