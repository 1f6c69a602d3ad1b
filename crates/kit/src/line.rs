//! The list: a line an item, with its reasons.

use crate::count::Count;
use crate::need::{Item, Need, Stock, Terms};
use crate::price::Price;
use crate::time::Time;
use crate::work::Work;

/// The list of what goes along.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Kit {
    /// By group, and inside one in the order in which they were first needed.
    pub lines: Vec<Line>,
}

/// One line of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// Of what.
    pub item: Item,
    /// How many are needed.
    pub needed: Count,
    /// How many more are carried.
    pub spares: u32,
    /// How many of needed and spare are in the van.
    pub from_van: u32,
    /// How many must be ordered.
    pub to_order: u32,
    /// Whether the van carries it and nobody has counted how many.
    pub uncounted: bool,
    /// Price of one; none where nobody has given it.
    pub price_each: Option<Price>,
    /// Price of what is needed: spares are carried, and charged only where they are used.
    pub price: Option<Price>,
    /// Working time to fit what is needed.
    pub time: Time,
    /// Every need that stands on this line.
    pub needs: Vec<Need>,
}

impl Kit {
    /// A line for each item that is needed; nothing of which none may be needed.
    #[must_use]
    pub fn of(needs: Vec<Need>, terms: &dyn Fn(&Item) -> Terms, stock: &[Stock], work: &[Work]) -> Self {
        let mut lines: Vec<Line> = Vec::new();
        for need in needs.into_iter().filter(|need| need.count.hi() > 0) {
            match need.item.is_one_of(&lines) {
                Some(at) => {
                    // One ladder does for two devices; one module does not for two.
                    let sold = need.item.group.is_sold();
                    let needed = lines[at].needed;
                    lines[at].needed = if sold { needed.plus(need.count) } else { needed.most(need.count) };
                    lines[at].needs.push(need);
                }
                None => lines.push(Line::of(need)),
            }
        }
        lines.sort_by_key(|line| line.item.group);
        for line in &mut lines {
            line.priced(terms(&line.item));
            line.stocked(stock);
            line.time = work
                .iter()
                .filter(|work| work.fits(&line.item))
                .fold(Time::NONE, |sum, work| sum.plus(work.time));
        }
        Self { lines }
    }

    /// The price of all that is needed, as far as prices are given.
    #[must_use]
    pub fn price(&self) -> Price {
        self.lines.iter().filter_map(|line| line.price).fold(Price::NOTHING, Price::plus)
    }

    /// Lines that are sold and have no price.
    pub fn without_price(&self) -> impl Iterator<Item = &Line> {
        self.lines.iter().filter(|line| line.item.group.is_sold() && line.price.is_none())
    }
}

impl Line {
    fn of(need: Need) -> Self {
        Self {
            item: need.item.clone(),
            needed: need.count,
            spares: 0,
            from_van: 0,
            to_order: 0,
            uncounted: false,
            price_each: None,
            price: None,
            time: Time::NONE,
            needs: vec![need],
        }
    }

    fn priced(&mut self, terms: Terms) {
        if !self.item.group.is_sold() {
            return;
        }
        self.price_each = terms.price;
        self.price = terms.price.map(|price| price.times(self.needed));
        self.spares = terms.spare.of(self.needed.hi());
    }

    /// What the van has of what is carried; the rest is to be ordered.
    fn stocked(&mut self, stock: &[Stock]) {
        if !self.item.group.is_sold() {
            return;
        }
        let carried = self.needed.hi().saturating_add(self.spares);
        let here =
            stock.iter().filter(|stock| stock.part == self.item.part && stock.value == self.item.value);
        let mut in_van: u32 = 0;
        for stock in here {
            match stock.count {
                Some(count) => in_van = in_van.saturating_add(count),
                None => self.uncounted = true,
            }
        }
        self.from_van = if self.uncounted { carried } else { carried.min(in_van) };
        self.to_order = carried - self.from_van;
    }

    /// Places that need it, each once, in the order in which they came.
    #[must_use]
    pub fn places(&self) -> Vec<&str> {
        let mut places: Vec<&str> = Vec::new();
        for need in &self.needs {
            if !places.contains(&need.place.as_str()) {
                places.push(&need.place);
            }
        }
        places
    }

    /// Its reasons, each once with its places: `at the end: C06, C07`.
    #[must_use]
    pub fn reasons(&self) -> Vec<(&str, Vec<&str>)> {
        let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
        for need in &self.needs {
            match reasons.iter_mut().find(|(why, _)| *why == need.why) {
                Some((_, places)) if !places.contains(&need.place.as_str()) => places.push(&need.place),
                Some(_) => {}
                None => reasons.push((&need.why, vec![&need.place])),
            }
        }
        reasons
    }
}
