//! A network as it is written: pieces with a sign between each two, brackets as pieces of their own.
//!
//! This is the form that is parsed, printed and edited; [`crate::Network`] compiles it for computing.
//! Nothing here recurses along a line of pieces, only into brackets, which are at most
//! [`MAX_BRACKETS`] deep.

use crate::Element;

/// The most elements that a network may have.
pub const MAX_ELEMENTS: usize = 2_000;

/// The deepest that brackets may stand in one another.
pub const MAX_BRACKETS: usize = 64;

/// How a piece stands to everything that follows it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sign {
    /// `-`: in line with it.
    InLine,
    /// `|`: across it.
    Across,
}

/// One piece: an element, or a bracket.
#[derive(Clone, PartialEq, Debug)]
pub enum Piece {
    /// An element.
    Element(Element),
    /// A bracket of more than one piece.
    Bracket(Sketch),
}

/// Pieces from the terminals outwards; there is one sign fewer than there are pieces, and at least one piece.
#[derive(Clone, PartialEq, Debug)]
pub struct Sketch {
    pieces: Vec<Piece>,
    signs: Vec<Sign>,
}

impl Sketch {
    /// A sketch of one piece.
    #[must_use]
    pub fn one(piece: Piece) -> Self {
        Self { pieces: vec![unwrapped(piece)], signs: Vec::new() }
    }

    /// Without a bracket that stands around the whole.
    #[must_use]
    pub fn bare(mut self) -> Self {
        if self.pieces.len() == 1
            && let Some(Piece::Bracket(inner)) =
                self.pieces.pop_if(|piece| matches!(piece, Piece::Bracket(_)))
        {
            return inner.bare();
        }
        self
    }

    /// Adds a piece at the far end.
    pub fn push(&mut self, sign: Sign, piece: Piece) {
        self.signs.push(sign);
        self.pieces.push(unwrapped(piece));
    }

    /// Takes the piece at the far end off, leaving the sign before it for [`push_last`](Self::push_last); none
    /// when there is only one.
    pub fn pop(&mut self) -> Option<Piece> {
        if self.pieces.len() < 2 { None } else { self.pieces.pop() }
    }

    /// Puts a piece behind the sign that [`pop`](Self::pop) left.
    pub fn push_last(&mut self, piece: Piece) {
        if self.signs.len() < self.pieces.len() {
            self.signs.push(Sign::InLine);
        }
        self.pieces.push(unwrapped(piece));
    }

    /// Changes the brackets of this level.
    pub fn for_each_bracket(&mut self, change: &mut dyn FnMut(&mut Sketch)) {
        for piece in &mut self.pieces {
            if let Piece::Bracket(inner) = piece {
                change(inner);
            }
        }
        for piece in &mut self.pieces {
            let lone = std::mem::replace(piece, Piece::Element(Element::new(crate::Part::Open)));
            *piece = unwrapped(lone);
        }
    }

    /// Puts a piece before all others, next to the terminals.
    #[must_use]
    pub fn behind(mut self, piece: Piece, sign: Sign) -> Self {
        self.pieces.insert(0, unwrapped(piece));
        self.signs.insert(0, sign);
        self
    }

    /// The pieces, each with the sign that follows it; none after the last.
    pub fn pieces(&self) -> impl Iterator<Item = (&Piece, Option<Sign>)> {
        self.pieces.iter().enumerate().map(|(at, piece)| (piece, self.signs.get(at).copied()))
    }

    /// How many pieces stand at this level.
    #[must_use]
    pub fn len(&self) -> usize {
        self.pieces.len()
    }

    /// Never: a sketch has at least one piece.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.pieces.is_empty()
    }

    /// Takes out the piece at `at` with the sign that follows it (before it, for the last); none when it is
    /// the only one.
    #[must_use]
    pub fn without(mut self, at: usize) -> Option<Self> {
        if self.pieces.len() < 2 || at >= self.pieces.len() {
            return None;
        }
        self.pieces.remove(at);
        let sign = if at < self.signs.len() { at } else { at - 1 };
        self.signs.remove(sign);
        Some(self)
    }

    /// Changes elements one by one, in the order of the text.
    pub fn for_each_element(&mut self, change: &mut dyn FnMut(&mut Element)) {
        for piece in &mut self.pieces {
            match piece {
                Piece::Element(element) => change(element),
                Piece::Bracket(inner) => inner.for_each_element(change),
            }
        }
    }

    /// The notation's text, in its one printed form.
    #[must_use]
    pub fn written(&self) -> String {
        let mut out = String::new();
        self.write(&mut out);
        out
    }

    fn write(&self, out: &mut String) {
        for (piece, sign) in self.pieces() {
            match piece {
                Piece::Element(element) => element.write(out),
                Piece::Bracket(inner) => {
                    out.push('(');
                    inner.write(out);
                    out.push(')');
                }
            }
            match sign {
                Some(Sign::InLine) => out.push_str(" - "),
                Some(Sign::Across) => out.push_str(" | "),
                None => {}
            }
        }
    }
}

fn unwrapped(piece: Piece) -> Piece {
    match piece {
        Piece::Bracket(mut inner) if inner.pieces.len() == 1 => unwrapped(inner.pieces.swap_remove(0)),
        other => other,
    }
}
