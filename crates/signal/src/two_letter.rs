//! The two-letter codes (DC-03), as they stand inside DC-09: `[#acct|Nri1/BA012^REAR DOOR^|Atext]`.
//!
//! Senders differ: slashes left out, numbers padded or missing, text before a code. What can be read is read.

use crate::contact_id::account;

/// One event of a message.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Event<'m> {
    /// `N` new, `O` old (sent again).
    pub block: u8,
    /// What was said before the code in its block, and holds for it.
    pub modifiers: Modifiers<'m>,
    /// Two upper-case letters.
    pub code: [u8; 2],
    /// The number behind the code: zone, user, area; as it came.
    pub number: Option<&'m [u8]>,
    /// The value behind `*`.
    pub value: Option<&'m [u8]>,
    /// The text between `^`.
    pub text: Option<&'m [u8]>,
}

/// A modifier: two lower-case letters and a value.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Modifier<'m> {
    /// `ri` area, `id` user, `pi` peripheral, `ti` time, `da` date ...
    pub name: [u8; 2],
    /// As it came.
    pub value: &'m [u8],
}

/// The modifiers that hold for an event; the latest of a name counts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Modifiers<'m> {
    all: [Modifier<'m>; MOST],
    count: usize,
}

/// DC-03 has about a dozen; one too many takes the place of the last.
const MOST: usize = 12;

impl<'m> Modifiers<'m> {
    const NONE: Self = Self { all: [Modifier { name: [0; 2], value: b"" }; MOST], count: 0 };

    /// In the order in which they came.
    pub fn iter(&self) -> impl Iterator<Item = &Modifier<'m>> {
        self.all[..self.count].iter()
    }

    /// The value of a name.
    #[must_use]
    pub fn get(&self, name: [u8; 2]) -> Option<&'m [u8]> {
        self.iter().find(|modifier| modifier.name == name).map(|modifier| modifier.value)
    }

    fn put(&mut self, modifier: Modifier<'m>) {
        if let Some(known) = self.all[..self.count].iter_mut().find(|known| known.name == modifier.name) {
            *known = modifier;
            return;
        }
        self.count = (self.count + 1).min(MOST);
        self.all[self.count - 1] = modifier;
    }
}

/// The events of one message's data, read as they are asked for.
#[derive(Clone, Copy, Debug)]
pub struct Events<'m> {
    /// The account in the data, without `#`; it may differ from the header's, and some leave it out.
    pub account: Option<&'m [u8]>,
    /// Blocks not yet begun.
    blocks: &'m [u8],
    /// The rest of the block at hand.
    rest: &'m [u8],
    block: u8,
    modifiers: Modifiers<'m>,
    /// A text that stood before its code.
    waiting: Option<&'m [u8]>,
}

impl<'m> Events<'m> {
    /// Begins to read the data of a message.
    #[must_use]
    pub fn read(data: &'m [u8]) -> Self {
        let (account, blocks) = account(data);
        Self { account, blocks, rest: b"", block: 0, modifiers: Modifiers::NONE, waiting: None }
    }

    /// The text of the first `A` block.
    #[must_use]
    pub fn ascii(&self) -> Option<&'m [u8]> {
        let mut blocks = self.blocks;
        while !blocks.is_empty() {
            let block;
            (block, blocks) = part(blocks, b'|');
            if let Some(text) = block.strip_prefix(b"A") {
                return Some(text);
            }
        }
        None
    }
}

impl<'m> Iterator for Events<'m> {
    type Item = Event<'m>;

    fn next(&mut self) -> Option<Event<'m>> {
        loop {
            if self.rest.is_empty() {
                if self.blocks.is_empty() {
                    return None;
                }
                let block;
                (block, self.blocks) = part(self.blocks, b'|');
                if let Some((letter @ (b'N' | b'O'), rest)) = block.split_first().map(|(l, rest)| (*l, rest))
                {
                    self.block = letter;
                    self.rest = rest;
                    self.modifiers = Modifiers::NONE;
                    self.waiting = None;
                }
                continue;
            }
            if let Some(event) = self.step() {
                return Some(event);
            }
        }
    }
}

impl<'m> Events<'m> {
    /// Takes one modifier, one text, one code or one sign that is none of these from the block.
    fn step(&mut self) -> Option<Event<'m>> {
        match *self.rest {
            [b'^', ..] => {
                let (text, rest) = quoted(self.rest);
                self.waiting = Some(text);
                self.rest = rest;
                None
            }
            [one @ b'a'..=b'z', other @ b'a'..=b'z', ..] => {
                let behind = &self.rest[2..];
                let end = (0..behind.len()).find(|&at| ends_value(&behind[at..])).unwrap_or(behind.len());
                self.modifiers.put(Modifier { name: [one, other], value: &behind[..end] });
                self.rest = &behind[end..];
                None
            }
            [one @ b'A'..=b'Z', other @ b'A'..=b'Z', ..] => {
                self.rest = &self.rest[2..];
                Some(self.event([one, other]))
            }
            _ => {
                self.rest = &self.rest[1..];
                None
            }
        }
    }

    fn event(&mut self, code: [u8; 2]) -> Event<'m> {
        let (number, rest) = number(self.rest);
        let mut event = Event {
            block: self.block,
            modifiers: self.modifiers,
            code,
            number: (!number.is_empty()).then_some(number),
            value: None,
            text: self.waiting.take(),
        };
        self.rest = rest;
        if let Some(behind) = self.rest.strip_prefix(b"*") {
            let end = behind.iter().position(|octet| matches!(octet, b'/' | b'^')).unwrap_or(behind.len());
            event.value = Some(&behind[..end]);
            self.rest = &behind[end..];
        }
        if self.rest.first() == Some(&b'^') {
            let (text, rest) = quoted(self.rest);
            event.text = Some(text);
            self.rest = rest;
        }
        event
    }
}

/// A modifier's value goes up to a slash, a text, a code, or the next modifier.
fn ends_value(rest: &[u8]) -> bool {
    match rest {
        [b'/' | b'^', ..] => true,
        [one, other, ..] => {
            (one.is_ascii_uppercase() && other.is_ascii_uppercase())
                || (one.is_ascii_lowercase() && other.is_ascii_lowercase())
        }
        _ => false,
    }
}

/// The digits behind a code: decimal as printed, or hex. A letter that begins the next code is not the number's.
fn number(rest: &[u8]) -> (&[u8], &[u8]) {
    let is_digit = |octet: &u8| matches!(octet, b'0'..=b'9' | b'A'..=b'F');
    let mut end = rest.iter().position(|octet| !is_digit(octet)).unwrap_or(rest.len());
    let in_next_code = |at: usize| rest.get(at).is_some_and(u8::is_ascii_uppercase);
    if end > 0 && in_next_code(end) && in_next_code(end - 1) {
        end -= 1;
    }
    rest.split_at(end)
}

/// The text between `^` and what follows; without a second `^` the text is all that is left.
fn quoted(rest: &[u8]) -> (&[u8], &[u8]) {
    let inner = &rest[1..];
    match inner.iter().position(|&octet| octet == b'^') {
        Some(end) => (&inner[..end], &inner[end + 1..]),
        None => (inner, b""),
    }
}

/// Up to a sign that stands in no text, and what follows it.
fn part(rest: &[u8], sign: u8) -> (&[u8], &[u8]) {
    let mut in_text = false;
    for (at, &octet) in rest.iter().enumerate() {
        if octet == b'^' {
            in_text = !in_text && rest[at + 1..].contains(&b'^');
        } else if octet == sign && !in_text {
            return (&rest[..at], &rest[at + 1..]);
        }
    }
    (rest, b"")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(data: &str) -> String {
        let text = |octets: &[u8]| String::from_utf8_lossy(octets).into_owned();
        let events = Events::read(data.as_bytes());
        let ascii = events.ascii().map(|ascii| format!(" A={}", text(ascii))).unwrap_or_default();
        let told: Vec<String> = events
            .map(|event| {
                let modifiers: Vec<String> =
                    event.modifiers.iter().map(|m| format!("{}{}", text(&m.name), text(m.value))).collect();
                let more =
                    [event.number, event.value, event.text].map(|more| more.map_or("-".to_owned(), text));
                format!(
                    "{}[{}]{} {}",
                    char::from(event.block),
                    modifiers.join(","),
                    text(&event.code),
                    more.join(" ")
                )
            })
            .collect();
        told.join("; ") + &ascii
    }

    #[test]
    fn what_senders_write_is_read() {
        for (data, wanted) in [
            ("#12345A|NFA129", "N[]FA 129 - -"),
            ("#4401|Nri1/BA012", "N[ri1]BA 012 - -"),
            ("#4401|Nri1BA12", "N[ri1]BA 12 - -"),
            ("#4401|Nri2/TA7^LID / SWITCH|2^", "N[ri2]TA 7 - LID / SWITCH|2"),
            ("#4401|NRP", "N[]RP - - -"),
            ("#0000|Nri0/RP0000", "N[ri0]RP 0000 - -"),
            ("#4401|Nri1/BA3/BR3", "N[ri1]BA 3 - -; N[ri1]BR 3 - -"),
            ("#4401|Nri1/BA3BR3", "N[ri1]BA 3 - -; N[ri1]BR 3 - -"),
            ("#1234|NRR|Atest", "N[]RR - - - A=test"),
            ("|Nri1/id7/OP7", "N[ri1,id7]OP 7 - -"),
            ("#1|Nti10:23/ri1/BA1/ri2/BA2", "N[ti10:23,ri1]BA 1 - -; N[ti10:23,ri2]BA 2 - -"),
            ("#1|Nri1^HALL^BA1|Ori3FA1F*45C", "N[ri1]BA 1 - HALL; O[ri3]FA 1F 45C -"),
            ("#1|NBA1^no end", "N[]BA 1 - no end"),
            ("#1|X1|E2", ""),
            ("#1|Nri", ""),
            ("", ""),
        ] {
            assert_eq!(said(data), wanted, "{data}");
        }
    }
}
