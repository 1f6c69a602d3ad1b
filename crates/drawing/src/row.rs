//! One row of a lane: the live leg first, then the return leg, then dimensions, then branches below.

use crate::block::{Lying, Standing, VALUE, lying, standing};
use crate::chain::{End, Item};
use crate::label::{Wish, letter};
use crate::lane::{HOME, LEAD, Lane, Layout, Places, Spot, TAP, TURN, is_lone};
use crate::run::{DIMENSION, Drawn, dimension, legs};
use crate::svg::{Anchor, Dash, Sheet, Stroke};

/// From the return leg to its dimension line.
const TO_DIMENSION: f64 = 5.6;

/// The marks at a row's two ends, where the pair comes from another row or goes on in one.
pub(crate) struct Turns {
    pub(crate) enter: Option<String>,
    pub(crate) leave: Option<String>,
}

/// An item that was given its place along the legs.
struct Placed<'i> {
    item: &'i Item,
    from: f64,
    to: f64,
    shape: Shape,
}

/// What an item looks like.
enum Shape {
    Run(Drawn),
    /// In the live leg; it is drawn already.
    Live,
    Return(Lying),
    Standing(Standing),
    Plain,
}

/// The part of a row up to a home run, with one live leg.
struct Segment<'i> {
    placed: Vec<Placed<'i>>,
    from: f64,
    live: f64,
    /// What its parts in the live leg take below it.
    below: f64,
    /// Where the home run at its end comes back.
    home_back: Option<f64>,
}

struct Row<'i> {
    sheet: Sheet,
    places: Places,
    segments: Vec<Segment<'i>>,
}

impl Layout<'_> {
    pub(crate) fn row(&self, items: &[Item], from: f64, depth: usize, turns: &Turns) -> Lane {
        let mut row = Row { sheet: Sheet::default(), places: Places::default(), segments: Vec::new() };
        let start = if turns.enter.is_some() { from + TURN } else { from };
        self.live_legs(items, start, depth, &mut row);
        let back = row.back(self.gap);
        row.pair(back);
        row.turns(from, back, turns);
        row.dimensions(back);
        self.taps(&mut row, back, depth);
        Lane { sheet: row.sheet, back, places: row.places }
    }

    /// Everything in the live leg, names included; each segment below the home run before it.
    fn live_legs<'i>(&self, items: &'i [Item], from: f64, depth: usize, row: &mut Row<'i>) {
        let mut x = from;
        let mut floor = None;
        let new = |x| Segment { placed: Vec::new(), from: x, live: 0.0, below: 0.0, home_back: None };
        let mut segment = new(x);
        let mut upper = Upper::default();
        for item in items {
            if let Item::Home(inner) = item {
                let home = self.lane(inner, x + HOME, depth + 1);
                let done = std::mem::replace(&mut segment, new(x));
                self.close(done, std::mem::take(&mut upper), Some(home), &mut floor, row);
                continue;
            }
            let shape = self.shape(item, x, &mut upper);
            let to = x + self.length(item);
            segment.below = segment.below.max(upper.below);
            segment.placed.push(Placed { item, from: x, to, shape });
            x = to;
        }
        self.close(segment, upper, None, &mut floor, row);
    }

    fn shape(&self, item: &Item, x: f64, upper: &mut Upper) -> Shape {
        match item {
            Item::Run { element } => Shape::Run(self.scale.drawn(&self.parts, *element)),
            Item::Along { block, returns: true } => Shape::Return(lying(block, &self.parts, false)),
            Item::Along { block, .. } => {
                let lying = lying(block, &self.parts, true);
                let at = x + LEAD;
                let cloud = block.elements().iter().any(|element| self.clouded.contains(element));
                let clear = if cloud { 3.4 } else { 0.4 };
                let wishes = lying.names.into_iter();
                upper.wishes.extend(wishes.map(|(along, text)| Wish {
                    x: at + along,
                    top: -lying.above - clear,
                    text,
                }));
                let spots = lying.spots.into_iter();
                upper.places.parts.extend(spots.map(|(element, area)| (element, area.moved(at, 0.0))));
                upper.sheet.absorb(lying.sheet, at, 0.0);
                upper.below = upper.below.max(lying.below);
                Shape::Live
            }
            Item::Rung(block) | Item::End(End::Part(block)) => {
                let standing = standing(block, &self.parts, !is_lone(block));
                let name = block.first().filter(|_| is_lone(block)).map(|first| self.parts.name(first));
                if let Some(text) = name.filter(|name| !name.is_empty()) {
                    upper.wishes.push(Wish { x: x + LEAD + standing.left, top: -1.2, text });
                }
                Shape::Standing(standing)
            }
            Item::Tap(_) | Item::Home(_) | Item::End(_) => Shape::Plain,
        }
    }

    /// Letters a segment's names, clear of the home run at its end, and puts it in its place.
    fn close<'i>(
        &self,
        mut segment: Segment<'i>,
        mut upper: Upper,
        home: Option<Lane>,
        floor: &mut Option<f64>,
        row: &mut Row<'i>,
    ) {
        let home = home.map(|home| {
            let bottom = home.sheet.area().map_or(0.0, |area| area.bottom_mm);
            upper.sheet.absorb(home.sheet, 0.0, 0.0);
            upper.places.absorb(home.places, 0.0);
            (home.back, bottom)
        });
        // Behind a home run, what stands between the legs to the left comes down beside this segment.
        let left = if row.segments.is_empty() { self.left } else { segment.from + 0.3 };
        letter(&mut upper.sheet, upper.wishes, left, self.right);
        let top = upper.sheet.area().map_or(0.0, |area| area.top_mm.min(0.0));
        segment.live = floor.map_or(0.0, |floor| floor + 4.0 - top);
        if let Some((back, bottom)) = home {
            segment.home_back = Some(segment.live + back);
            *floor = Some(segment.live + bottom);
        }
        row.sheet.absorb(upper.sheet, 0.0, segment.live);
        row.places.absorb(upper.places, segment.live);
        row.segments.push(segment);
    }

    /// Branches hang below everything, the rightmost highest, so that no lead crosses another branch.
    fn taps(&self, row: &mut Row, back: f64, depth: usize) {
        let mut all: Vec<(f64, f64, &[Item])> = Vec::new();
        for segment in &row.segments {
            for placed in &segment.placed {
                if let Item::Tap(inner) = placed.item {
                    all.push((placed.from, segment.live, inner));
                }
            }
        }
        for (x, live, inner) in all.into_iter().rev() {
            let lane = self.lane(inner, x + TAP, depth + 1);
            let bottom = row.sheet.area().map_or(back, |area| area.bottom_mm);
            let top = lane.sheet.area().map_or(0.0, |area| area.top_mm.min(0.0));
            let dy = bottom + 3.0 - top;
            let leads = [(x + 2.0, back, dy + lane.back), (x + 4.5, live, dy)];
            for (lead, from, to) in leads {
                row.sheet.dot((lead, from));
                row.sheet.line(&[(lead, from), (lead, to), (x + TAP, to)], Stroke::OUTLINE);
            }
            row.sheet.absorb(lane.sheet, 0.0, dy);
            row.places.absorb(lane.places, dy);
        }
    }
}

/// What stands in and above a live leg.
#[derive(Default)]
struct Upper {
    sheet: Sheet,
    places: Places,
    wishes: Vec<Wish>,
    below: f64,
}

impl Row<'_> {
    /// Where the return leg lies: far enough down for everything between the legs.
    fn back(&self, gap: f64) -> f64 {
        let last = self.segments.last().map_or(0.0, |segment| segment.live);
        let mut back = last + gap;
        for segment in &self.segments {
            let mut above_return: f64 = 0.0;
            for placed in &segment.placed {
                match &placed.shape {
                    Shape::Standing(standing) => back = back.max(segment.live + standing.height + 3.0),
                    Shape::Return(lying) => above_return = above_return.max(lying.above),
                    _ => {}
                }
            }
            back = back.max(segment.live + segment.below + above_return + 3.0);
        }
        back
    }

    /// The legs, and everything between them and in the return leg.
    fn pair(&mut self, back: f64) {
        let mut from_home = None;
        for at in 0..self.segments.len() {
            let live = self.segments[at].live;
            let from = self.segments[at].from;
            if let Some(home_back) = from_home {
                self.sheet
                    .line(&[(from + HOME, home_back), (from, home_back), (from, live)], Stroke::OUTLINE);
            }
            from_home = self.segments[at].home_back;
            let mut after_run = None;
            let placed = std::mem::take(&mut self.segments[at].placed);
            for one in &placed {
                if let Some(first) = one.item.first() {
                    let own = if matches!(one.shape, Shape::Run(_)) {
                        4.0_f64.min((one.to - one.from) / 3.0)
                    } else {
                        LEAD / 2.0
                    };
                    let x = after_run.unwrap_or(one.from + own);
                    self.places.ahead.push((first, Spot { x, live, back }));
                }
                after_run = None;
                if let Shape::Run(drawn) = &one.shape {
                    after_run = Some(f64::midpoint(one.from, one.to));
                    legs(&mut self.sheet, drawn, one.from, live, back);
                } else {
                    self.part(one, live, back);
                }
            }
            self.segments[at].placed = placed;
            if let Some(home_back) = from_home {
                let end = self.segments[at].placed.last().map_or(from, |last| last.to);
                self.sheet.line(&[(end, live), (end + HOME, live)], Stroke::OUTLINE);
                let _ = home_back;
            }
        }
    }

    fn part(&mut self, one: &Placed, live: f64, back: f64) {
        let (from, to) = (one.from, one.to);
        let plain = |sheet: &mut Sheet, y: f64| sheet.line(&[(from, y), (to, y)], Stroke::OUTLINE);
        match (&one.shape, one.item) {
            (Shape::Return(lying), _) => {
                plain(&mut self.sheet, live);
                self.sheet.line(&[(from, back), (from + LEAD, back)], Stroke::OUTLINE);
                self.sheet.line(&[(to - LEAD, back), (to, back)], Stroke::OUTLINE);
                self.sheet.absorb(lying.sheet.clone(), from + LEAD, back);
                let spots = lying.spots.iter();
                self.places
                    .parts
                    .extend(spots.map(|(element, area)| (*element, area.moved(from + LEAD, back))));
            }
            (Shape::Live, _) => {
                plain(&mut self.sheet, back);
                self.sheet.line(&[(from, live), (from + LEAD, live)], Stroke::OUTLINE);
                self.sheet.line(&[(to - LEAD, live), (to, live)], Stroke::OUTLINE);
            }
            (Shape::Standing(standing), item) => self.standing(one, standing, item, live, back),
            (_, Item::End(end)) => self.end(end, from, live, back),
            _ => {
                plain(&mut self.sheet, live);
                plain(&mut self.sheet, back);
            }
        }
    }

    fn standing(&mut self, one: &Placed, standing: &Standing, item: &Item, live: f64, back: f64) {
        let axis = one.from + LEAD + standing.left;
        let ends = matches!(item, Item::End(_));
        let to = if ends { axis } else { one.to };
        for y in [live, back] {
            self.sheet.line(&[(one.from, y), (to, y)], Stroke::OUTLINE);
            if !ends {
                self.sheet.dot((axis, y));
            }
        }
        let top = live + (back - live - standing.height) / 2.0;
        self.sheet.line(&[(axis, live), (axis, top)], Stroke::OUTLINE);
        self.sheet.line(&[(axis, top + standing.height), (axis, back)], Stroke::OUTLINE);
        self.sheet.absorb(standing.sheet.clone(), axis, top);
        let spots = standing.spots.iter();
        self.places.parts.extend(spots.map(|(element, area)| (*element, area.moved(axis, top))));
    }

    fn end(&mut self, end: &End, from: f64, live: f64, back: f64) {
        let x = from + LEAD;
        let stroke = match end {
            End::Unknown => Stroke::OUTLINE.dashed(Dash::Dashed),
            _ => Stroke::OUTLINE,
        };
        for y in [live, back] {
            self.sheet.line(&[(from, y), (x, y)], stroke);
            if *end == End::Open {
                self.sheet.circle((x, y), 0.7, Some(Stroke::OUTLINE), Some(crate::svg::Colour::Paper));
            }
        }
        match end {
            End::Joined => self.sheet.line(&[(x, live), (x, back)], Stroke::OUTLINE),
            End::Unknown => {
                self.sheet.text((x + 0.5, f64::midpoint(live, back) + 1.0), "?", VALUE, Anchor::Middle);
            }
            _ => {}
        }
    }

    /// Circles with a letter where the pair goes on in another row.
    fn turns(&mut self, from: f64, back: f64, turns: &Turns) {
        let mut circle = |x: f64, y: f64, name: &str| {
            self.sheet.circle((x, y), 2.0, Some(Stroke::DIMENSION), None);
            let size = if name.len() > 1 { 2.2 } else { 2.8 };
            self.sheet.text((x, y + 0.95), name, crate::svg::Type::lettering(size), Anchor::Middle);
        };
        if let (Some(name), Some(first)) = (&turns.enter, self.segments.first()) {
            for y in [first.live, back] {
                circle(from + 2.0, y, name);
            }
        }
        if let (Some(name), Some(last)) = (&turns.leave, self.segments.last()) {
            let end = last.placed.last().map_or(last.from, |placed| placed.to);
            for y in [last.live, back] {
                circle(end + 3.0, y, name);
            }
        }
        let mut stubs = Vec::new();
        if let (Some(_), Some(first)) = (&turns.enter, self.segments.first()) {
            stubs.extend([first.live, back].map(|y| (from + 4.0, from + TURN, y)));
        }
        if let (Some(_), Some(last)) = (&turns.leave, self.segments.last()) {
            let end = last.placed.last().map_or(last.from, |placed| placed.to);
            stubs.extend([last.live, back].map(|y| (end, end + 1.0, y)));
        }
        for (from, to, y) in stubs {
            self.sheet.line(&[(from, y), (to, y)], Stroke::OUTLINE);
        }
    }

    fn dimensions(&mut self, back: f64) {
        let mut under: f64 = 0.0;
        let runs = self.segments.iter().flat_map(|segment| &segment.placed);
        for placed in runs {
            if let Shape::Return(lying) = &placed.shape {
                under = under.max(lying.below);
            }
        }
        let y = back + TO_DIMENSION.max(under + DIMENSION.size);
        for segment in &self.segments {
            for placed in &segment.placed {
                if let Shape::Run(drawn) = &placed.shape {
                    dimension(&mut self.sheet, drawn, placed.from, back, y);
                }
            }
        }
    }
}
