//! Work without choices: preparation, lifting, closing. Each chain goes to the technician who is free first.
//!
//! The order is the caller's and not one of durations: with a fixed order and no precedence between chains, a further
//! technician or a shorter task never makes the stage end later.

use crate::calendar::Calendar;
use crate::problem::{Chain, NoPlan, Task};

/// Start of every task of every chain.
pub(crate) type Starts = Vec<Vec<u32>>;

/// One stage after the other: the starts of every stage, and the end of the last.
pub(crate) fn stages(
    calendar: &Calendar,
    crew: u16,
    from: u32,
    stages: &[Vec<Chain>],
) -> Result<(Vec<Starts>, u32), NoPlan> {
    let mut all = Vec::with_capacity(stages.len());
    let mut at = from;
    for chains in stages {
        let chains: Vec<&[Task]> = chains.iter().map(|chain| chain.tasks.as_slice()).collect();
        let (starts, end) = stage(calendar, crew, at, &chains)?;
        all.push(starts);
        at = end;
    }
    Ok((all, at))
}

/// Places chains from a minute on; their starts, and the end of the last.
pub(crate) fn stage(
    calendar: &Calendar,
    crew: u16,
    from: u32,
    chains: &[&[Task]],
) -> Result<(Starts, u32), NoPlan> {
    let mut free = vec![from; usize::from(crew)];
    let mut starts = Vec::with_capacity(chains.len());
    let mut end = from;
    for chain in chains {
        let who = (0..free.len()).min_by_key(|&who| (free[who], who)).unwrap_or(0);
        let mut own = Vec::with_capacity(chain.len());
        for task in *chain {
            let start = calendar
                .fits(free[who], task.minutes)
                .ok_or_else(|| NoPlan::HoursRunOut { tag: task.tag.clone() })?;
            free[who] = start + task.minutes;
            own.push(start);
        }
        end = end.max(free[who]);
        starts.push(own);
    }
    Ok((starts, end))
}
