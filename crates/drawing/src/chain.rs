//! A network as it is drawn: what stands along the two legs, between them, and on pairs of its own.

use network::{Conductor, Element, Network, Part, Piece, Sign, Sketch};

/// A bracket of more elements than this is drawn as a pair of its own, even without cable in it.
const MAX_BLOCK: usize = 12;

/// Parts without cable between them, drawn in one place.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Block {
    /// An element, by its place in the network's list.
    One(usize),
    /// One after the other.
    Series(Vec<Block>),
    /// Side by side.
    Parallel(Vec<Block>),
}

/// What stands on a pair, from the terminals outwards.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum Item {
    /// A length of cable; none where nobody has measured it.
    Run { element: Option<usize> },
    /// Parts in one of the legs.
    Along { block: Block, returns: bool },
    /// Parts between the legs.
    Rung(Block),
    /// A branch with cable of its own, across the pair.
    Tap(Vec<Item>),
    /// A pair that goes out and comes back, in line.
    Home(Vec<Item>),
    /// The end of the pair.
    End(End),
}

/// How a pair ends.
#[derive(Clone, PartialEq, Debug)]
pub(crate) enum End {
    /// Its cores are joined.
    Joined,
    /// Nothing joins them.
    Open,
    /// A part closes it.
    Part(Block),
    /// Nobody knows.
    Unknown,
}

impl Block {
    /// The first element in the order of the text.
    pub(crate) fn first(&self) -> Option<usize> {
        match self {
            Self::One(element) => Some(*element),
            Self::Series(blocks) | Self::Parallel(blocks) => blocks.iter().filter_map(Self::first).min(),
        }
    }

    /// Every element.
    pub(crate) fn elements(&self) -> Vec<usize> {
        match self {
            Self::One(element) => vec![*element],
            Self::Series(blocks) | Self::Parallel(blocks) => blocks.iter().flat_map(Self::elements).collect(),
        }
    }
}

impl Item {
    /// The first element in the order of the text.
    pub(crate) fn first(&self) -> Option<usize> {
        match self {
            Self::Run { element } => *element,
            Self::Along { block, .. } | Self::Rung(block) | Self::End(End::Part(block)) => block.first(),
            Self::Tap(items) | Self::Home(items) => items.iter().find_map(Self::first),
            Self::End(_) => None,
        }
    }
}

/// The items of a network; of none, a pair that nobody knows.
pub(crate) fn items(network: Option<&Network>) -> Vec<Item> {
    let Some(network) = network else { return vec![Item::Run { element: None }, Item::End(End::Unknown)] };
    let mut next = 0;
    let mut items = level(network.sketch(), &mut next);
    if !network.elements().iter().any(Element::is_cable) {
        items.insert(0, Item::Run { element: None });
    }
    items
}

/// How many items stand before the first cable: parts at the module's own terminals.
pub(crate) fn at_terminals(items: &[Item]) -> usize {
    let cable = |item: &Item| matches!(item, Item::Run { .. } | Item::Tap(_) | Item::Home(_) | Item::End(_));
    items.iter().position(cable).unwrap_or(0)
}

fn level(sketch: &Sketch, next: &mut usize) -> Vec<Item> {
    let mut items = Vec::new();
    let mut sketch = sketch;
    loop {
        let mut inner = None;
        for (piece, sign) in sketch.pieces() {
            match (piece, sign) {
                (Piece::Bracket(bracket), None) => inner = Some(bracket),
                (Piece::Element(element), None) => last(element, next, &mut items),
                (piece, Some(sign)) => items.push(item(piece, sign, next)),
            }
        }
        // A bracket at the end is what the pair goes on with.
        let Some(bracket) = inner else { return items };
        sketch = bracket;
    }
}

fn item(piece: &Piece, sign: Sign, next: &mut usize) -> Item {
    match piece {
        Piece::Element(element) => {
            let at = took(next);
            match (sign, element.is_cable()) {
                (Sign::InLine, true) => Item::Run { element: Some(at) },
                (Sign::InLine, false) => Item::Along { block: Block::One(at), returns: element.returns },
                (Sign::Across, true) => {
                    Item::Tap(vec![Item::Run { element: Some(at) }, Item::End(End::Joined)])
                }
                (Sign::Across, false) => Item::Rung(Block::One(at)),
            }
        }
        Piece::Bracket(inner) => {
            let before = *next;
            let (count, cabled, returns) = census(inner);
            if cabled || count > MAX_BLOCK {
                let items = level(inner, next);
                return if sign == Sign::InLine { Item::Home(items) } else { Item::Tap(items) };
            }
            *next = before;
            let block = block(inner, next);
            match sign {
                Sign::InLine => Item::Along { block, returns },
                Sign::Across => Item::Rung(block),
            }
        }
    }
}

fn last(element: &Element, next: &mut usize, items: &mut Vec<Item>) {
    let at = took(next);
    let end = match &element.part {
        Part::Wire(_) | Part::Core(_) => {
            items.push(Item::Run { element: Some(at) });
            End::Joined
        }
        Part::Contact { .. } | Part::Joint(_) => {
            items.push(Item::Along { block: Block::One(at), returns: element.returns });
            End::Joined
        }
        Part::Joined => End::Joined,
        Part::Open => End::Open,
        _ => End::Part(Block::One(at)),
    };
    items.push(Item::End(end));
}

fn took(next: &mut usize) -> usize {
    *next += 1;
    *next - 1
}

/// How many elements a bracket has, whether cable is among them, whether all are in the return leg.
fn census(sketch: &Sketch) -> (usize, bool, bool) {
    let mut open = vec![sketch];
    let (mut count, mut cabled, mut returns) = (0, false, true);
    while let Some(level) = open.pop() {
        for (piece, _) in level.pieces() {
            match piece {
                Piece::Element(element) => {
                    count += 1;
                    cabled |= element.is_cable();
                    returns &= element.returns;
                }
                Piece::Bracket(inner) => open.push(inner),
            }
        }
    }
    (count, cabled, returns)
}

/// A bracket without cable: at most [`MAX_BLOCK`] elements, so it may call itself.
fn block(sketch: &Sketch, next: &mut usize) -> Block {
    let mut pieces: Vec<(Block, Option<Sign>)> = Vec::new();
    for (piece, sign) in sketch.pieces() {
        let made = match piece {
            Piece::Element(_) => Block::One(took(next)),
            Piece::Bracket(inner) => block(inner, next),
        };
        pieces.push((made, sign));
    }
    let Some((mut rest, _)) = pieces.pop() else { return Block::Series(Vec::new()) };
    while let Some((piece, sign)) = pieces.pop() {
        rest = match (sign, rest) {
            (Some(Sign::Across), Block::Parallel(mut blocks)) => {
                blocks.insert(0, piece);
                Block::Parallel(blocks)
            }
            (Some(Sign::Across), rest) => Block::Parallel(vec![piece, rest]),
            (_, Block::Series(mut blocks)) => {
                blocks.insert(0, piece);
                Block::Series(blocks)
            }
            (_, rest) => Block::Series(vec![piece, rest]),
        };
    }
    rest
}

/// The cable of a run.
pub(crate) fn conductor(network: Option<&Network>, element: Option<usize>) -> Option<(&Conductor, bool)> {
    match &network?.elements().get(element?)?.part {
        Part::Wire(conductor) => Some((conductor, false)),
        Part::Core(conductor) => Some((conductor, true)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Vec<Item> {
        items(Some(&Network::parse(text).expect("the notation")))
    }

    fn one(at: usize) -> Block {
        Block::One(at)
    }

    #[test]
    fn parts_in_line_across_and_at_the_end() {
        let made = of("wire:30m - no:a | nc:b - 4.7k");
        let expected = [
            Item::Run { element: Some(0) },
            Item::Rung(one(1)),
            Item::Along { block: one(2), returns: false },
            Item::End(End::Part(one(3))),
        ];
        assert_eq!(made, expected);
    }

    #[test]
    fn brackets_are_blocks_taps_or_home_runs() {
        let made = of("(wire:2m - nc:a) - (no:b - 470 ohm) | (wire:1m - no:c) | (nc:d | 1k) - 2.2k");
        assert!(matches!(&made[0], Item::Home(items) if items.len() == 3));
        assert_eq!(made[1], Item::Rung(Block::Series(vec![one(2), one(3)])));
        assert!(matches!(&made[2], Item::Tap(items) if items[0] == Item::Run { element: Some(4) }));
        assert_eq!(made[3], Item::Along { block: Block::Parallel(vec![one(6), one(7)]), returns: false });
        assert_eq!(made.len(), 5);
    }

    #[test]
    fn a_circuit_without_cable_has_a_run_that_nobody_measured() {
        assert_eq!(of("nc:a - 2.2k")[0], Item::Run { element: None });
        assert_eq!(items(None).len(), 2);
    }
}
