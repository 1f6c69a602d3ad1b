//! One frame: `<LF><CRC><0LLL><"id"><seq>[R..]L..#..[...<CR>`.
//!
//! Source of every rule: ANSI/SIA DC-09 as far as it is in public text, collected for this project with marks
//! of how each was seen; see `docs/signals.md`.

use std::fmt;

use ::crc::{CRC_16_ARC, Crc, Table};

/// The most octets that a frame can have: LF, CRC, length, 0FFF of content, CR.
pub const MOST_OCTETS: usize = 1 + 4 + 4 + MOST_CONTENT + 1;
/// `0LLL` holds three hex digits.
const MOST_CONTENT: usize = 0x0FFF;

pub(crate) const LF: u8 = b'\n';
pub(crate) const CR: u8 = b'\r';

/// CRC-16/ARC: x^16 + x^15 + x^2 + 1, reflected, start 0, no final xor; `123456789` gives BB3D.
static CRC: Crc<u16, Table<16>> = Crc::<u16, Table<16>>::new(&CRC_16_ARC);

/// The checksum of a frame's content (from the first quote to the octet before CR).
#[must_use]
pub fn crc(octets: &[u8]) -> u16 {
    CRC.checksum(octets)
}

/// A frame whose checksum and length are right and whose header can be read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Frame<'m> {
    /// The token in quotes without its star: `SIA-DCS`, `ADM-CID`, `NULL`, `ACK` ...
    pub id: &'m [u8],
    /// Whether a star stood before it: what follows the bracket is encrypted.
    pub encrypted: bool,
    /// Four digits, `0001` to `9999`; `0000` with NULL and NAK.
    pub sequence: &'m [u8],
    /// The receiver's number, if one was sent.
    pub receiver: Option<&'m [u8]>,
    /// The account's prefix: `0` when there is none; some senders leave even that out.
    pub prefix: &'m [u8],
    /// The account; empty in a reply that has none.
    pub account: &'m [u8],
    /// Everything behind the opening bracket, up to CR.
    pub content: &'m [u8],
    /// Checksum or length were spelled in lower case: read, but not what the standard writes.
    pub lower_case: bool,
    /// The checksum came as two octets, as the first edition was read by some.
    pub binary_crc: bool,
}

/// Why octets are no frame that may be answered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum Broken {
    /// Octets before a line feed.
    NoStart,
    /// A line feed, and no carriage return before the next one or the end.
    NoEnd,
    /// More than [`MOST_OCTETS`].
    TooLong,
    /// Checksum or length are no hex digits, or no quote follows them.
    NoHead,
    /// The length is not that of what came.
    Length {
        /// What the frame says.
        said: u16,
        /// What came.
        came: usize,
    },
    /// The checksum is not that of what came.
    Crc {
        /// What the frame says.
        said: u16,
        /// What came gives.
        came: u16,
    },
    /// The token in quotes is empty, too long, or has no end.
    NoId,
    /// The sequence is not four decimal digits.
    Sequence,
    /// `R` without one to six digits 0-9 A-F.
    ReceiverNumber,
    /// No `L`, or more than six digits, or others than 0-9 A-F.
    Prefix,
    /// No `#` with 3 to 16 digits 0-9 A-F.
    Account,
    /// No bracket behind the account.
    NoBracket,
}

impl fmt::Display for Broken {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoStart => out.write_str("octets without a line feed in front: no frame begins here"),
            Self::NoEnd => out.write_str("no carriage return at the end: not all of it came"),
            Self::TooLong => write!(out, "more than {MOST_OCTETS} octets: longer than a frame can be"),
            Self::NoHead => {
                out.write_str("no four hex digits of checksum, four of length and a quote at the start")
            }
            Self::Length { said, came } => write!(out, "the length says {said} octets, {came} came"),
            Self::Crc { said, came } => {
                write!(out, "the checksum says {said:04X}, what came gives {came:04X}")
            }
            Self::NoId => out.write_str("the token in quotes cannot be read"),
            Self::Sequence => out.write_str("the sequence is not four decimal digits"),
            Self::ReceiverNumber => {
                out.write_str("the receiver number is not R with one to six digits 0-9 A-F")
            }
            Self::Prefix => out.write_str("the account prefix is not L with up to six digits 0-9 A-F"),
            Self::Account => out.write_str("the account is not # with 3 to 16 digits 0-9 A-F"),
            Self::NoBracket => out.write_str("no bracket behind the account"),
        }
    }
}

impl<'m> Frame<'m> {
    /// Reads the octets from LF to CR, both included. Nothing in them is trusted: the length is compared, never
    /// used.
    ///
    /// # Errors
    /// See [`Broken`]; such octets are not answered.
    pub fn read(octets: &'m [u8]) -> Result<Self, Broken> {
        let frame = Self::read_any_sequence(octets)?;
        if frame.has_sequence() { Ok(frame) } else { Err(Broken::Sequence) }
    }

    /// Whether the sequence is four decimal digits. Hex digits are a known fault of senders: such a message is not
    /// answered, but a technician should hear whose it is.
    pub(crate) fn has_sequence(&self) -> bool {
        self.sequence.iter().all(u8::is_ascii_digit)
    }

    /// The same with hex digits in the sequence.
    pub(crate) fn read_any_sequence(octets: &'m [u8]) -> Result<Self, Broken> {
        let inner = octets.strip_prefix(&[LF]).ok_or(Broken::NoStart)?;
        let inner = inner.strip_suffix(&[CR]).ok_or(Broken::NoEnd)?;
        if octets.len() > MOST_OCTETS {
            return Err(Broken::TooLong);
        }
        let head = Head::read(inner)?;
        if usize::from(head.length) != head.content.len() {
            return Err(Broken::Length { said: head.length, came: head.content.len() });
        }
        let came = crc(head.content);
        if came != head.crc {
            return Err(Broken::Crc { said: head.crc, came });
        }
        let mut frame = Self::of_content(head.content)?;
        frame.lower_case = head.lower_case;
        frame.binary_crc = head.binary;
        Ok(frame)
    }

    /// Whether this is what a receiver sends: never answered.
    #[must_use]
    pub fn is_reply(&self) -> bool {
        matches!(self.id, b"ACK" | b"NAK" | b"DUH" | b"RSP")
    }

    fn of_content(content: &'m [u8]) -> Result<Self, Broken> {
        let rest = content.strip_prefix(b"\"").ok_or(Broken::NoHead)?;
        let quote = rest.iter().take(MOST_ID + 2).position(|&octet| octet == b'"').ok_or(Broken::NoId)?;
        let (id, rest) = (&rest[..quote], &rest[quote + 1..]);
        let encrypted = id.first() == Some(&b'*');
        let id = if encrypted { &id[1..] } else { id };
        if id.is_empty() || !id.iter().all(|octet| octet.is_ascii_graphic()) {
            return Err(Broken::NoId);
        }
        let (sequence, rest) = rest.split_at_checked(4).ok_or(Broken::Sequence)?;
        if !sequence.iter().all(u8::is_ascii_hexdigit) {
            return Err(Broken::Sequence);
        }
        let mut frame = Self {
            id,
            encrypted,
            sequence,
            receiver: None,
            prefix: b"",
            account: b"",
            content: b"",
            lower_case: false,
            binary_crc: false,
        };
        if frame.is_reply() {
            frame.header_of_reply(rest)?
        } else {
            frame.header(rest)?
        }
        Ok(frame)
    }

    fn header(&mut self, rest: &'m [u8]) -> Result<(), Broken> {
        let mut rest = rest;
        if let Some(behind) = rest.strip_prefix(b"R") {
            let (digits, behind) = digits(behind);
            if !(1..=6).contains(&digits.len()) {
                return Err(Broken::ReceiverNumber);
            }
            self.receiver = Some(digits);
            rest = behind;
        }
        let (prefix, rest) = digits(rest.strip_prefix(b"L").ok_or(Broken::Prefix)?);
        if prefix.len() > 6 {
            return Err(Broken::Prefix);
        }
        let (account, rest) = digits(rest.strip_prefix(b"#").ok_or(Broken::Account)?);
        if !(3..=16).contains(&account.len()) {
            return Err(Broken::Account);
        }
        self.prefix = prefix;
        self.account = account;
        self.content = rest.strip_prefix(b"[").ok_or(Broken::NoBracket)?;
        Ok(())
    }

    /// Replies are met with `R0L0A0`, `L0R0A0` and `R0L0`: any order, and an `A` for the `#`.
    fn header_of_reply(&mut self, rest: &'m [u8]) -> Result<(), Broken> {
        let mut rest = rest;
        loop {
            let Some((&sign, behind)) = rest.split_first() else { return Err(Broken::NoBracket) };
            if sign == b'[' {
                self.content = behind;
                return Ok(());
            }
            let (digits, behind) = digits(behind);
            match sign {
                b'R' if digits.len() <= 6 => self.receiver = Some(digits),
                b'L' if digits.len() <= 6 => self.prefix = digits,
                b'#' | b'A' if digits.len() <= 16 => self.account = digits,
                _ => return Err(Broken::NoBracket),
            }
            rest = behind;
        }
    }
}

/// The longest token that is read; those of the standard have up to seven characters.
const MOST_ID: usize = 32;

/// What stands before the first quote.
struct Head<'m> {
    crc: u16,
    length: u16,
    content: &'m [u8],
    lower_case: bool,
    binary: bool,
}

impl<'m> Head<'m> {
    fn read(inner: &'m [u8]) -> Result<Self, Broken> {
        let binary = is_binary(inner);
        let (crc, rest) = inner.split_at_checked(if binary { 2 } else { 4 }).ok_or(Broken::NoHead)?;
        let (length, content) = rest.split_at_checked(4).ok_or(Broken::NoHead)?;
        let crc_said = match *crc {
            [high, low] => Some(u16::from_be_bytes([high, low])),
            _ => hex(crc),
        };
        let (Some(crc_said), Some(length_said)) = (crc_said, hex(length)) else {
            return Err(Broken::NoHead);
        };
        if length[0] != b'0' {
            return Err(if content.len() > MOST_CONTENT { Broken::TooLong } else { Broken::NoHead });
        }
        if content.first() != Some(&b'"') {
            return Err(Broken::NoHead);
        }
        let lower = |digits: &[u8]| digits.iter().any(u8::is_ascii_lowercase);
        Ok(Self {
            crc: crc_said,
            length: length_said,
            content,
            lower_case: (!binary && lower(crc)) || lower(length),
            binary,
        })
    }
}

/// Whether the checksum stands as two octets: a quote after six octets and none after eight. What follows LF
/// is shown.
pub(crate) fn is_binary(inner: &[u8]) -> bool {
    inner.get(8) != Some(&b'"')
        && inner.get(6) == Some(&b'"')
        && inner.get(2) == Some(&b'0')
        && inner[3..6].iter().all(u8::is_ascii_hexdigit)
}

/// Four hex digits of either case.
fn hex(digits: &[u8]) -> Option<u16> {
    let mut value = 0_u16;
    for &digit in digits {
        value = value << 4 | u16::from(nibble(digit)?);
    }
    Some(value)
}

/// The value of a hex digit of either case.
pub(crate) fn nibble(digit: u8) -> Option<u8> {
    match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'A'..=b'F' => Some(digit - b'A' + 10),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    }
}

/// The digits 0-9 A-F at the start, and what follows.
fn digits(octets: &[u8]) -> (&[u8], &[u8]) {
    let is_digit = |octet: &u8| matches!(octet, b'0'..=b'9' | b'A'..=b'F');
    let end = octets.iter().position(|octet| !is_digit(octet)).unwrap_or(octets.len());
    octets.split_at(end)
}
