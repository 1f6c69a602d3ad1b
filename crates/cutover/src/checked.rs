//! What must hold before anything is searched.

use crate::calendar::Calendar;
use crate::problem::{NoPlan, Problem, Way};

/// Weights beyond this would let sums run over; no duty weighs so much.
const HEAVIEST: u32 = 1_000_000;
/// A year in minutes: longer hours than any cut-over has.
const LONGEST: u32 = 366 * 24 * 60;

pub(crate) fn checked(problem: &Problem) -> Result<Calendar, NoPlan> {
    let wrong = |what: String| Err(NoPlan::Wrong { what });
    if problem.crew == 0 {
        return Err(NoPlan::CrewTooSmall { tag: "any work".to_owned(), wanted: 1, crew: 0 });
    }
    if problem.windows.is_empty() {
        return Err(NoPlan::NoHours);
    }
    let mut last = 0;
    for window in &problem.windows {
        if window.from < last || window.to <= window.from || window.to > LONGEST {
            return wrong(format!("hours {} to {} min are out of order", window.from, window.to));
        }
        last = window.to;
    }
    for line in &problem.lines {
        if line.module >= problem.modules.len() {
            return wrong(format!("{} goes to a module that is not there", line.tag));
        }
        if line.weight > HEAVIEST || line.weight_occupied > HEAVIEST {
            return wrong(format!("{} weighs more than {HEAVIEST}", line.tag));
        }
        if line.crew > problem.crew {
            let tag = line.tag.clone();
            return Err(NoPlan::CrewTooSmall { tag, wanted: line.crew, crew: problem.crew });
        }
    }
    let calendar = Calendar::new(&problem.windows);
    for (tag, minutes) in pieces(problem) {
        if minutes == 0 {
            return wrong(format!("{tag} takes no time"));
        }
        let longest = calendar.longest(None);
        if minutes > longest {
            return Err(NoPlan::TooLong { tag: tag.to_owned(), minutes, longest });
        }
    }
    Ok(calendar)
}

/// Every piece of work that must lie in one stretch.
fn pieces(problem: &Problem) -> Vec<(&str, u32)> {
    let chains = problem.before.iter().chain(&problem.after).flatten().flat_map(|chain| &chain.tasks);
    let mut pieces: Vec<(&str, u32)> = chains.map(|task| (task.tag.as_str(), task.minutes)).collect();
    for line in &problem.lines {
        let parts = match problem.way {
            Way::SideBySide => vec![problem.moves_with(line)],
            Way::Swap => vec![line.lift, line.land, line.prove],
        };
        pieces.extend(parts.into_iter().map(|minutes| (line.tag.as_str(), minutes)));
        if line.crew == 0 {
            pieces.push((line.tag.as_str(), 0));
        }
    }
    if problem.way == Way::Swap {
        let used = |at: usize| problem.lines.iter().any(|line| line.module == at);
        let modules = problem.modules.iter().enumerate().filter(|(at, _)| used(*at));
        pieces.extend(modules.map(|(_, module)| (module.tag.as_str(), module.wake)));
    }
    pieces
}
