//! The rows of a supply's drawing: a way, a point, its loads, and so on down the tree.

use crate::supply_picture::{LINE, SupplyRequest, TEXT};
use crate::text_width::{Face, broken};

/// From a line to one that branches from it, and the most that all of them take together.
const INDENT: f64 = 7.0;
const INDENTS: f64 = 24.0;

/// One row.
pub(crate) struct Row {
    /// The line on which it stands.
    pub(crate) x: f64,
    pub(crate) kind: Kind,
    pub(crate) height: f64,
    /// Lines to its left that go past it.
    pub(crate) through: Vec<f64>,
    /// Where a way branches from; none where it leads straight down.
    pub(crate) branches_from: Option<f64>,
    /// Whether a line comes from above and goes on below.
    pub(crate) from_above: bool,
    pub(crate) goes_down: bool,
}

/// What stands on a row, its words broken into lines.
pub(crate) enum Kind {
    Way(Vec<String>),
    Point { at: usize, lines: Vec<String> },
    Load { at: usize, lines: Vec<String> },
}

/// The tree made ready to be walked.
struct Tree {
    /// Of every point: its place among the lines, and the points that it feeds, the one with most behind it last.
    levels: Vec<usize>,
    fed: Vec<Vec<usize>>,
    loads: Vec<Vec<usize>>,
}

/// Every row from the terminals on.
pub(crate) fn rows(request: &SupplyRequest, left: f64, right: f64) -> Vec<Row> {
    let tree = Tree::new(request);
    let deepest = tree.levels.iter().copied().max().unwrap_or(0);
    let indent = INDENT.min(INDENTS / deepest.max(1) as f64);
    let x = |level: usize| left + level as f64 * indent;
    let mut all = Vec::new();
    // Lines that are still open, by level.
    let mut open = vec![false; deepest + 2];
    let mut left_over = if request.points.is_empty() { Vec::new() } else { vec![0] };
    while let Some(at) = left_over.pop() {
        let point = &request.points[at];
        let level = tree.levels[at];
        let parent = if at == 0 { 0 } else { point.parent };
        let straight = at > 0 && tree.levels[parent] == level;
        let through = |open: &[bool]| -> Vec<f64> { (0..level).filter(|&one| open[one]).map(x).collect() };
        if straight {
            open[level] = false;
        }
        let room = right - x(level);
        if at > 0 {
            let lines = if point.way.is_empty() { Vec::new() } else { text(&point.way, room - 3.0) };
            let height = if lines.is_empty() { 2.0 } else { 2.4 + lines.len() as f64 * LINE };
            let branches_from = (!straight).then(|| x(tree.levels[parent]));
            all.push(Row {
                x: x(level),
                height,
                through: through(&open),
                branches_from,
                from_above: true,
                goes_down: true,
                kind: Kind::Way(lines),
            });
        }
        let (fed, loads) = (&tree.fed[at], &tree.loads[at]);
        let lines = broken(&point.name, Face::Lettering, 3.0, room - 4.0);
        all.push(Row {
            x: x(level),
            height: 2.4 + lines.len() as f64 * LINE,
            through: through(&open),
            branches_from: None,
            from_above: at > 0,
            goes_down: !fed.is_empty() || !loads.is_empty(),
            kind: Kind::Point { at, lines },
        });
        for (place, &load) in loads.iter().enumerate() {
            let lines = text(&request.loads[load].words, room - 11.0);
            let least = if request.loads[load].fails.is_some() { 6.6 } else { 4.4 };
            all.push(Row {
                x: x(level),
                height: (1.4 + lines.len() as f64 * LINE).max(least),
                through: through(&open),
                branches_from: None,
                from_above: true,
                goes_down: !fed.is_empty() || place + 1 < loads.len(),
                kind: Kind::Load { at: load, lines },
            });
        }
        open[level] = !fed.is_empty();
        left_over.extend(fed.iter().rev());
    }
    all
}

fn text(words: &str, room: f64) -> Vec<String> {
    broken(words, TEXT.face, TEXT.size, room)
}

impl Tree {
    fn new(request: &SupplyRequest) -> Self {
        let count = request.points.len();
        let parent = |at: usize| request.points[at].parent.min(at.saturating_sub(1));
        let mut behind = vec![1_usize; count];
        for at in (1..count).rev() {
            behind[parent(at)] += behind[at];
        }
        let mut fed = vec![Vec::new(); count];
        for at in 1..count {
            fed[parent(at)].push(at);
        }
        let mut levels = vec![0; count];
        for at in 0..count {
            // The last of those with most behind them goes straight down, under all others.
            let most = fed[at].iter().enumerate().max_by_key(|(_, child)| behind[**child]);
            if let Some(most) = most.map(|(place, _)| place) {
                let child = fed[at].remove(most);
                fed[at].push(child);
            }
            let last = fed[at].len();
            for (place, child) in fed[at].clone().into_iter().enumerate() {
                levels[child] = levels[at] + usize::from(place + 1 < last);
            }
        }
        let mut loads = vec![Vec::new(); count];
        for (at, load) in request.loads.iter().enumerate() {
            if let Some(here) = loads.get_mut(load.point) {
                here.push(at);
            }
        }
        Self { levels, fed, loads }
    }
}
