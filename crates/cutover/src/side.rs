//! Side by side: a circuit is dead only while it moves, so what counts is in which hours it does.

use crate::block::{Block, pack};
use crate::board::Board;
use crate::calendar::{Calendar, Presence, Window};
use crate::outage::{Out, Outage};
use crate::plan::{Act, Middle};
use crate::problem::{Line, NoPlan, Problem};

/// What is moved in one go: a circuit, or a block of fire circuits with the whole crew.
#[derive(Clone, Debug)]
struct Item {
    /// Every move while people are in, and while nobody is: what shares a core is ordered by what it weighs then.
    moves: [Vec<Moved>; 2],
    minutes: u32,
    crew: u16,
    /// What it costs while people are in, and while nobody is; none where it may not be done.
    cost: [Option<u64>; 2],
}

/// One circuit's move, in minutes from the start of its item.
#[derive(Clone, Copy, Debug)]
struct Moved {
    line: usize,
    /// From when it is dead: the first lift of those who share a core with it.
    out: u32,
    start: u32,
    end: u32,
}

impl Item {
    /// Groups, each from its minute on; done in these hours, or in any.
    fn new(
        problem: &Problem,
        groups: &[(&Group, u32)],
        minutes: u32,
        crew: u16,
        hours: Option<Presence>,
    ) -> Self {
        let kinds = [Presence::Occupied, Presence::Empty];
        let moves = kinds.map(|presence| {
            groups.iter().flat_map(|(group, start)| group.moved(problem, presence, *start)).collect()
        });
        let cost = kinds.map(|presence| {
            let one = |moved: &Moved| {
                problem.lines[moved.line].rate(Some(presence)) * u64::from(moved.end - moved.out)
            };
            let own: &Vec<Moved> = &moves[usize::from(presence == Presence::Empty)];
            hours.is_none_or(|hours| hours == presence).then(|| own.iter().map(one).sum())
        });
        Self { moves, minutes, crew, cost }
    }

    fn cost(&self, presence: Presence) -> Option<u64> {
        self.cost[usize::from(presence == Presence::Empty)]
    }

    /// Its moves when it begins in such a minute.
    fn moves(&self, presence: Option<Presence>) -> &[Moved] {
        &self.moves[usize::from(presence != Some(Presence::Occupied))]
    }

    fn size(&self) -> (u32, u16, [Option<u64>; 2]) {
        (self.minutes, self.crew, self.cost)
    }

    /// What it costs in a window, where it may be done there and is not longer than it.
    fn in_window(&self, window: Window) -> Option<u64> {
        self.cost(window.presence).filter(|_| window.minutes() >= self.minutes)
    }
}

/// Circuits that share a core; most circuits are alone.
#[derive(Clone, Debug)]
struct Group {
    lines: Vec<usize>,
    minutes: u32,
    crew: u16,
    fire: bool,
}

impl Group {
    /// In the order of the first of each.
    fn all(problem: &Problem) -> Vec<Self> {
        let mut groups: Vec<Self> = Vec::new();
        for (at, line) in problem.lines.iter().enumerate() {
            let shares =
                |group: &&mut Self| line.core.is_some() && problem.lines[group.lines[0]].core == line.core;
            match groups.iter_mut().find(shares) {
                Some(group) => {
                    group.lines.push(at);
                    group.minutes += line.moves();
                    group.crew = group.crew.max(line.crew);
                    group.fire |= line.fire;
                }
                None => groups.push(Self {
                    lines: vec![at],
                    minutes: line.moves(),
                    crew: line.crew,
                    fire: line.fire,
                }),
            }
        }
        groups
    }

    /// One after the other: fire first, then the most weight a minute.
    fn moved(&self, problem: &Problem, presence: Presence, from: u32) -> Vec<Moved> {
        let mut lines = self.lines.clone();
        lines.sort_by(|a, b| {
            let (a, b) = (&problem.lines[*a], &problem.lines[*b]);
            let rate = |line: &Line| line.rate(Some(presence));
            let dense = (rate(b) * u64::from(a.moves())).cmp(&(rate(a) * u64::from(b.moves())));
            b.fire.cmp(&a.fire).then(dense)
        });
        let mut end = from;
        let one = |line: usize| {
            let start = end;
            end += problem.lines[line].moves();
            Moved { line, out: from, start, end }
        };
        lines.into_iter().map(one).collect()
    }
}

/// The start of every item.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Found {
    over: u32,
    cost: u64,
    /// The window in which the last move ends.
    last: usize,
    starts: Vec<u32>,
}

/// The middle of a plan side by side.
pub(crate) fn solve(problem: &Problem, calendar: &Calendar, ready: u32) -> Result<Middle, NoPlan> {
    let windows: Vec<Window> = calendar
        .windows()
        .iter()
        .map(|window| Window { from: window.from.max(ready), ..*window })
        .filter(|window| window.from < window.to)
        .collect();
    let groups = Group::all(problem);
    let (fire, others): (Vec<Group>, Vec<Group>) = groups.into_iter().partition(|group| group.fire);
    let (blocks, mut block_proven) = blocks(problem, calendar, &fire)?;
    // What is not fire and shares a core with it lengthens the block, and might stand at its end: not tried.
    block_proven &= fire.iter().all(|group| group.lines.iter().all(|line| problem.lines[*line].fire));
    let parts = blocks.len();
    let alone = |group: &Group| Item::new(problem, &[(group, 0)], group.minutes, group.crew, None);
    let mut items: Vec<Item> = others.iter().map(alone).collect();
    items.extend(blocks);
    for item in &items {
        fits_somewhere(problem, calendar, item)?;
    }
    let tag = || problem.lines.first().map_or(String::new(), |line| line.tag.clone());
    let bound = bound(problem.crew, &windows, &items).ok_or_else(|| NoPlan::HoursRunOut { tag: tag() })?;
    let mut search =
        Search { problem, calendar, windows: &windows, items: &items, left: problem.nodes, best: None };
    search.lists();
    if search.best.as_ref().is_none_or(|best| best.cost > bound || best.over > 0 && parts > 1) {
        search.prove(bound);
    }
    let spent = problem.nodes - search.left;
    let ended = search.left > 0;
    let best = search.best.ok_or_else(|| NoPlan::HoursRunOut { tag: tag() })?;
    let mut work = Vec::new();
    let mut dead = vec![(0, 0); problem.lines.len()];
    for (item, start) in items.iter().zip(&best.starts) {
        for moved in item.moves(calendar.presence(*start)) {
            let line = &problem.lines[moved.line];
            work.push((Act::Move(moved.line), start + moved.start, line.moves(), line.crew));
            dead[moved.line] = (start + moved.out, start + moved.end);
        }
    }
    let exact = best.cost <= bound || (ended && parts <= 1 && block_proven);
    Ok(Middle {
        work,
        dead,
        bound,
        proven: exact && (best.over == 0 || (parts <= 1 && block_proven)),
        nodes: spent,
        stopped: !ended,
        over_limit: best.over,
        fire_in_parts: parts > 1,
    })
}

/// The fire circuits in one block, with what shares a core with them; in several where one is longer than any hours for
/// it. And whether it is the shortest.
fn blocks(problem: &Problem, calendar: &Calendar, fire: &[Group]) -> Result<(Vec<Item>, bool), NoPlan> {
    let longest = match problem.fire_hours {
        Some(presence) => calendar.longest(Some(presence)),
        None => calendar.longest(Some(Presence::Empty)).max(calendar.longest(Some(Presence::Occupied))),
    };
    let packed = |groups: &[&Group]| {
        let tasks: Vec<(u32, u16)> = groups.iter().map(|group| (group.minutes, group.crew)).collect();
        pack(&tasks, problem.crew, problem.nodes / 4)
    };
    let mut blocks: Vec<(Vec<&Group>, Block)> = Vec::new();
    let mut proven = true;
    let fire: Vec<&Group> = fire.iter().collect();
    let (whole, exact) = packed(&fire);
    if fire.is_empty() {
        return Ok((Vec::new(), true));
    }
    if whole.minutes <= longest {
        proven = exact;
        blocks.push((fire, whole));
    } else {
        let mut part: Vec<&Group> = Vec::new();
        for group in fire {
            if group.minutes > longest {
                let tag = problem.lines[group.lines[0]].tag.clone();
                return Err(NoPlan::TooLong { tag, minutes: group.minutes, longest });
            }
            part.push(group);
            if packed(&part).0.minutes > longest {
                part.pop();
                let (block, _) = packed(&part);
                blocks.push((std::mem::replace(&mut part, vec![group]), block));
            }
        }
        let (block, _) = packed(&part);
        blocks.push((part, block));
    }
    let item = |(groups, block): (Vec<&Group>, Block)| {
        let placed: Vec<(&Group, u32)> = groups.into_iter().zip(block.starts).collect();
        Item::new(problem, &placed, block.minutes, problem.crew, problem.fire_hours)
    };
    Ok((blocks.into_iter().map(item).collect(), proven))
}

/// Every item must be no longer than some window for it.
fn fits_somewhere(problem: &Problem, calendar: &Calendar, item: &Item) -> Result<(), NoPlan> {
    let may = calendar.windows().iter().filter(|window| item.cost(window.presence).is_some());
    let longest = may.map(|window| window.minutes()).max().unwrap_or(0);
    if item.minutes <= longest {
        return Ok(());
    }
    let tag = item.moves[0].first().map_or(String::new(), |moved| problem.lines[moved.line].tag.clone());
    Err(NoPlan::TooLong { tag, minutes: item.minutes, longest })
}

/// No plan costs less: each item in its cheaper hours, as far as those hold so much work. None where some item fits nowhere.
fn bound(crew: u16, windows: &[Window], items: &[Item]) -> Option<u64> {
    let kinds = [Presence::Occupied, Presence::Empty];
    let best = |item: &Item, kind: Presence| {
        let of = windows.iter().filter(|window| window.presence == kind);
        of.filter_map(|window| item.in_window(*window)).min()
    };
    let mut least = 0;
    let mut savings: [Vec<(u64, u64)>; 2] = [Vec::new(), Vec::new()];
    for item in items {
        match kinds.map(|kind| best(item, kind)) {
            [None, None] => return None,
            [Some(only), None] | [None, Some(only)] => least += only,
            [Some(occupied), Some(empty)] => {
                least += occupied.max(empty);
                let work = u64::from(item.minutes) * u64::from(item.crew);
                savings[usize::from(empty < occupied)].push((occupied.abs_diff(empty), work));
            }
        }
    }
    for (kind, mut savings) in kinds.into_iter().zip(savings) {
        let of = windows.iter().filter(|window| window.presence == kind);
        let mut room: u64 = of.map(|window| u64::from(window.minutes()) * u64::from(crew)).sum();
        savings.sort_by(|a, b| (b.0 * a.1).cmp(&(a.0 * b.1)));
        for (saved, work) in savings {
            let share = work.min(room);
            room -= share;
            // Rounded up: the bound may only be too low.
            least -= (saved * share).div_ceil(work.max(1));
        }
    }
    Some(least)
}

struct Search<'s> {
    problem: &'s Problem,
    calendar: &'s Calendar,
    windows: &'s [Window],
    items: &'s [Item],
    left: u64,
    best: Option<Found>,
}

impl Search<'_> {
    /// The usual orders: as written with fire last, then what gains most by its hours first, then the longest first.
    fn lists(&mut self) {
        let as_written: Vec<usize> = (0..self.items.len()).collect();
        let gain = |at: usize| match self.items[at].cost {
            [Some(occupied), Some(empty)] => occupied.abs_diff(empty),
            _ => u64::MAX,
        };
        let mut by_gain = as_written.clone();
        by_gain.sort_by(|a, b| {
            let work = |at: usize| u128::from(self.items[at].minutes) * u128::from(self.items[at].crew);
            (u128::from(gain(*b)) * work(*a)).cmp(&(u128::from(gain(*a)) * work(*b)))
        });
        let mut by_length = as_written.clone();
        by_length.sort_by_key(|at| std::cmp::Reverse((self.items[*at].crew, self.items[*at].minutes)));
        let fire_first = as_written.iter().rev().copied().collect();
        for order in [as_written, by_length, by_gain, fire_first] {
            self.left = self.left.saturating_sub(order.len() as u64);
            if let Some(found) = self.listed(&order) {
                self.offer(found);
            }
        }
    }

    /// Every item in its cheapest hours that still have room, the earliest of them.
    fn listed(&self, order: &[usize]) -> Option<Found> {
        let mut board = Board::new(self.calendar, self.problem.crew);
        let mut starts = vec![0; self.items.len()];
        for &at in order {
            let item = &self.items[at];
            let mut places: Vec<(u64, Window)> =
                self.windows.iter().filter_map(|window| Some((item.in_window(*window)?, *window))).collect();
            places.sort_by_key(|(cost, window)| (*cost, window.from));
            let start = places.into_iter().find_map(|(_, window)| {
                board.earliest(self.calendar, window.from, window.to, item.minutes, item.crew)
            })?;
            board.take(start, item.minutes, item.crew);
            starts[at] = start;
        }
        Some(self.judged(starts))
    }

    fn judged(&self, starts: Vec<u32>) -> Found {
        let (mut cost, mut end) = (0, 0);
        let mut outs = Vec::new();
        for (item, start) in self.items.iter().zip(&starts) {
            end = end.max(start + item.minutes);
            let presence = self.calendar.presence(*start);
            cost += presence.and_then(|presence| item.cost(presence)).unwrap_or(0);
            let fire = item.moves(presence).iter().filter(|moved| self.problem.lines[moved.line].fire);
            outs.extend(fire.map(|moved| Out { from: start + moved.out, to: start + moved.end }));
        }
        let over = self.problem.limit.map_or(0, |limit| Outage::new(&outs).worst.saturating_sub(limit));
        let last = self.windows.iter().position(|window| end <= window.to).unwrap_or(self.windows.len());
        Found { over, cost, last, starts }
    }

    fn offer(&mut self, found: Found) {
        let better = |best: &Found| (found.over, found.cost, found.last) < (best.over, best.cost, best.last);
        if self.best.as_ref().is_none_or(better) {
            self.best = Some(found);
        }
    }

    fn prove(&mut self, bound: u64) {
        let mut placing = Placing {
            board: Board::new(self.calendar, self.problem.crew),
            starts: vec![None; self.items.len()],
            cost: 0,
        };
        self.branch(&mut placing, 0, 0, bound);
    }

    /// Places items window by window, none before the one placed last; every subset of them in every window.
    fn branch(&mut self, placing: &mut Placing, window: usize, from: u32, bound: u64) {
        if placing.starts.iter().all(Option::is_some) {
            let starts = placing.starts.iter().map(|start| start.unwrap_or(0)).collect();
            self.offer(self.judged(starts));
            return;
        }
        if window == self.windows.len() || !self.may_win(placing, window) {
            return;
        }
        let here = self.windows[window];
        let mut tried = Vec::new();
        for (at, item) in self.items.iter().enumerate() {
            if placing.starts[at].is_some() || tried.contains(&item.size()) {
                continue;
            }
            let Some(cost) = item.in_window(here) else { continue };
            tried.push(item.size());
            let earliest = from.max(here.from);
            let Some(start) =
                placing.board.earliest(self.calendar, earliest, here.to, item.minutes, item.crew)
            else {
                continue;
            };
            if self.left == 0 || self.best.as_ref().is_some_and(|best| best.over == 0 && best.cost <= bound) {
                return;
            }
            self.left -= 1;
            placing.board.take(start, item.minutes, item.crew);
            placing.starts[at] = Some(start);
            placing.cost += cost;
            self.branch(placing, window, start, bound);
            placing.cost -= cost;
            placing.starts[at] = None;
            placing.board.give_back(start, item.minutes, item.crew);
        }
        self.branch(placing, window + 1, 0, bound);
    }

    /// Whether what is left can still end cheaper than the best.
    fn may_win(&self, placing: &Placing, window: usize) -> bool {
        let mut least = placing.cost;
        for (item, start) in self.items.iter().zip(&placing.starts) {
            if start.is_none() {
                let costs = self.windows[window..].iter().filter_map(|window| item.in_window(*window));
                match costs.min() {
                    Some(cost) => least += cost,
                    None => return false,
                }
            }
        }
        self.best.as_ref().is_none_or(|best| best.over > 0 && self.items.len() > 1 || least < best.cost)
    }
}

/// Items being placed.
struct Placing {
    board: Board,
    starts: Vec<Option<u32>>,
    cost: u64,
}
