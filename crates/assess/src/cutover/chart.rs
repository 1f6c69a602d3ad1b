//! What a chart of the cut-over shows: days of work, rows of bars, the levels under them; for every face.

use cutover::{Act, Plan};

use super::{Clock, Cutover};

/// So many modules have a row for each preparation.
const MODULES_APART: usize = 4;

/// One bar in minutes, and whether circuits, and fire circuits, are without protection in it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ChartBar {
    /// Its beginning.
    pub from: u32,
    /// Its end.
    pub to: u32,
    /// Circuits are without protection.
    pub dead: bool,
    /// Fire circuits are.
    pub fire: bool,
}

/// A row of a chart.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ChartRow {
    /// What it is about.
    pub name: String,
    /// Its bars.
    pub bars: Vec<ChartBar>,
}

/// A day with work in it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ChartDay {
    /// Its first minute of work.
    pub from: u32,
    /// Its last.
    pub to: u32,
    /// The day in words.
    pub label: String,
}

impl Cutover<'_> {
    /// Days with work in them, each from its first to its last minute; a night without protection is drawn too.
    #[must_use]
    pub fn days(&self) -> Vec<ChartDay> {
        let Ok(plan) = &self.plan else { return Vec::new() };
        let mut days: Vec<(u32, u32, u32)> = Vec::new();
        for task in plan.tasks.iter().filter(|task| task.end > task.start) {
            let day = Clock::day_of(task.start);
            match days.iter_mut().find(|(known, ..)| *known == day) {
                Some((_, from, to)) => (*from, *to) = ((*from).min(task.start), (*to).max(task.end)),
                None => days.push((day, task.start, task.end)),
            }
        }
        days.sort_unstable();
        let label = |(day, from, to)| ChartDay { from, to, label: self.clock.day(day) };
        days.into_iter().map(label).collect()
    }

    /// Few rows: each preparation, the circuits of each module together, fire circuits apart, closing work together.
    #[must_use]
    pub fn rows_by_module(&self) -> Vec<ChartRow> {
        let Ok(plan) = &self.plan else { return Vec::new() };
        // Many modules have a row each for all that is done to them before.
        let together = self.problem.modules.len() > MODULES_APART;
        let made_ready = |name: String| match name.split_once(' ') {
            Some((what, _)) if together && what != "account" => format!("{what} made ready"),
            _ => name,
        };
        let mut rows: Vec<ChartRow> = Vec::new();
        for task in &plan.tasks {
            let bar = ChartBar { from: task.start, to: task.end, dead: false, fire: false };
            match task.act {
                Act::Prepare(..) => put(&mut rows, made_ready(self.name(task.act)), bar),
                Act::Finish(..) => put(&mut rows, "closing".to_owned(), bar),
                Act::Wake(_) => put(&mut rows, self.name(task.act), ChartBar { dead: true, ..bar }),
                Act::Move(line) | Act::Lift(line) | Act::Land(line) | Act::Prove(line) => {
                    let one = &self.problem.lines[line];
                    let module = &self.problem.modules[one.module].tag;
                    let name =
                        if one.fire { "fire circuits".to_owned() } else { format!("{module} circuits") };
                    put(&mut rows, name, ChartBar { dead: true, fire: one.fire, ..bar });
                }
                _ => {}
            }
        }
        rows
    }

    /// A row a circuit, from when to when it is without protection; in the order of the lifting.
    #[must_use]
    pub fn rows_by_circuit(&self) -> Vec<ChartRow> {
        let Ok(plan) = &self.plan else { return Vec::new() };
        let mut order: Vec<usize> = (0..plan.dead.len()).collect();
        order.sort_by_key(|line| plan.dead[*line]);
        let row = |line: usize| {
            let (from, to) = plan.dead[line];
            let fire = self.problem.lines[line].fire;
            let circuit = self.circuits[line];
            let name = format!("{} {}", circuit.tag.value, circuit.place);
            ChartRow { name: name.trim_end().to_owned(), bars: vec![ChartBar { from, to, dead: true, fire }] }
        };
        order.into_iter().map(row).collect()
    }

    /// From when on how many circuits are without protection and what they weigh, at that time of the day.
    #[must_use]
    pub fn levels(&self) -> Vec<(u32, usize, u64)> {
        let of = |plan: &Plan| plan.curve.iter().map(|level| (level.at, level.count, level.weight)).collect();
        self.plan.as_ref().map_or(Vec::new(), of)
    }
}

fn put(rows: &mut Vec<ChartRow>, name: String, bar: ChartBar) {
    match rows.iter_mut().find(|row| row.name == name) {
        Some(row) => row.bars.push(bar),
        None => rows.push(ChartRow { name, bars: vec![bar] }),
    }
}
