//! The running order as people tick it: every task in its time, and the account off test for every night between.

use super::{Clock, Cutover};

/// One line of the running order.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct OrderRow {
    /// The day that it belongs to, from 0.
    pub day: u32,
    /// Its first minute.
    pub from: u32,
    /// The minute after its last; its first for what takes no time.
    pub to: u32,
    /// Technicians, from 1; empty for what nobody does alone.
    pub who: Vec<u16>,
    /// What is done.
    pub what: String,
    /// The input and the place of its circuit; empty for others.
    pub place: String,
}

impl Cutover<'_> {
    /// Everything in its order; the method statement says the same of the account before and after each night.
    #[must_use]
    pub fn order(&self) -> Vec<OrderRow> {
        let Ok(plan) = &self.plan else { return Vec::new() };
        let task = |task: &cutover::Planned| OrderRow {
            day: Clock::day_of(task.start),
            from: task.start,
            to: task.end,
            who: task.who.clone(),
            what: self.name(task.act),
            place: self.place(task.act),
        };
        let mut all: Vec<OrderRow> = plan.tasks.iter().map(task).collect();
        for pair in self.on_test.windows(2) {
            let ((_, off), (on, _)) = (pair[0], pair[1]);
            // What ends in the evening stands above, whatever begins at the same minute below.
            let at = all.iter().rposition(|row| row.from < off && row.to <= off).map_or(0, |at| at + 1);
            all.insert(at, said(off.saturating_sub(1), off, OFF));
            let at = all.iter().position(|row| row.from >= on && row.what != OFF).unwrap_or(all.len());
            all.insert(at, said(on, on, ON));
        }
        all
    }
}

const OFF: &str = "account off test, true signals sent; what is unprotected signed for";
const ON: &str = "account on test again, people told";

/// What is said at a moment; `day_at` is a minute of its day.
fn said(day_at: u32, at: u32, what: &str) -> OrderRow {
    OrderRow {
        day: Clock::day_of(day_at),
        from: at,
        to: at,
        who: Vec::new(),
        what: what.to_owned(),
        place: String::new(),
    }
}
