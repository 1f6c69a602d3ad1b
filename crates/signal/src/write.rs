//! Frames written: replies and messages, into a buffer of the caller's.

use crate::cipher::{BLOCK, Key, MOST_PAD};
use crate::clock::Stamp;
use crate::frame::{CR, Frame, LF, MOST_OCTETS, crc};

/// The buffer is too small, or the content is longer than a frame can be.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[error("a frame of more than {MOST_OCTETS} octets")]
pub struct TooLong;

/// Whom a message is from and how it is numbered.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Header<'h> {
    /// The token without its star.
    pub id: &'h [u8],
    /// Four decimal digits.
    pub sequence: &'h [u8],
    /// The receiver's number, where one is used.
    pub receiver: Option<&'h [u8]>,
    /// The account's prefix.
    pub prefix: &'h [u8],
    /// The account.
    pub account: &'h [u8],
}

impl<'h> Header<'h> {
    /// The header of a reply: everything as received, but the token.
    #[must_use]
    pub fn answering(frame: &Frame<'h>, id: &'h [u8]) -> Self {
        Self {
            id,
            sequence: frame.sequence,
            receiver: frame.receiver,
            prefix: frame.prefix,
            account: frame.account,
        }
    }
}

/// The pad's pseudo-random octets: any but `|`, `[` and `]`.
pub type Pad<'p> = &'p mut dyn FnMut() -> u8;

/// A frame in clear: `data` without its closing bracket, extended fields as they shall stand (`[..][..]`).
///
/// # Errors
/// [`TooLong`]
pub fn clear<'b>(
    into: &'b mut [u8],
    header: &Header<'_>,
    data: &[u8],
    fields: &[u8],
    stamp: Option<Stamp>,
) -> Result<&'b [u8], TooLong> {
    let mut pen = Pen::begin(into)?;
    pen.header(header, false)?;
    pen.put(data)?;
    pen.put(b"]")?;
    pen.put(fields)?;
    if let Some(stamp) = stamp {
        pen.put(&stamp.octets())?;
    }
    pen.end()
}

/// A frame encrypted from behind the opening bracket on. The time is required.
///
/// # Errors
/// [`TooLong`]
pub fn encrypted<'b>(
    into: &'b mut [u8],
    header: &Header<'_>,
    data: &[u8],
    fields: &[u8],
    stamp: Stamp,
    key: &Key,
    pad: Pad<'_>,
) -> Result<&'b [u8], TooLong> {
    let mut secret = [0_u8; MOST_OCTETS / 2];
    let rest = 1 + data.len() + 1 + fields.len() + Stamp::OCTETS;
    // A whole block of pad where the rest fits already.
    let pads = MOST_PAD - rest % BLOCK;
    let all = secret.get_mut(..pads + rest).ok_or(TooLong)?;
    let (padding, mut open) = all.split_at_mut(pads);
    for octet in padding {
        *octet = pad();
        while matches!(octet, b'|' | b'[' | b']') {
            *octet = octet.wrapping_add(1);
        }
    }
    for part in [b"|", data, b"]", fields, &stamp.octets()] {
        let (here, behind) = open.split_at_mut(part.len());
        here.copy_from_slice(part);
        open = behind;
    }
    let all = &mut secret[..pads + rest];
    key.encrypt(all);
    let mut pen = Pen::begin(into)?;
    pen.header(header, true)?;
    for &octet in &*all {
        pen.put(&[HEX[usize::from(octet >> 4)], HEX[usize::from(octet & 15)]])?;
    }
    pen.end()
}

/// NAK: the sender's clock is wrong, and here is ours. Never encrypted; as six implementations write it.
///
/// # Errors
/// [`TooLong`]
pub fn nak(into: &mut [u8], now: Stamp) -> Result<&[u8], TooLong> {
    let mut pen = Pen::begin(into)?;
    pen.put(b"\"NAK\"0000R0L0A0[]")?;
    pen.put(&now.octets())?;
    pen.end()
}

const HEX: &[u8; 16] = b"0123456789ABCDEF";
/// LF, checksum, length.
const HEAD: usize = 1 + 4 + 4;

/// Writes a frame's content, then its head.
struct Pen<'b> {
    into: &'b mut [u8],
    at: usize,
}

impl<'b> Pen<'b> {
    fn begin(into: &'b mut [u8]) -> Result<Self, TooLong> {
        if into.len() <= HEAD { Err(TooLong) } else { Ok(Self { into, at: HEAD }) }
    }

    fn put(&mut self, octets: &[u8]) -> Result<(), TooLong> {
        let end = self.at + octets.len();
        self.into.get_mut(self.at..end).ok_or(TooLong)?.copy_from_slice(octets);
        self.at = end;
        Ok(())
    }

    fn header(&mut self, header: &Header<'_>, star: bool) -> Result<(), TooLong> {
        self.put(if star { b"\"*" } else { b"\"" })?;
        self.put(header.id)?;
        self.put(b"\"")?;
        self.put(header.sequence)?;
        if let Some(receiver) = header.receiver {
            self.put(b"R")?;
            self.put(receiver)?;
        }
        self.put(b"L")?;
        self.put(header.prefix)?;
        self.put(b"#")?;
        self.put(header.account)?;
        self.put(b"[")
    }

    fn end(mut self) -> Result<&'b [u8], TooLong> {
        let content = &self.into[HEAD..self.at];
        let length = u16::try_from(content.len()).ok().filter(|length| *length <= 0x0FFF).ok_or(TooLong)?;
        let crc = crc(content);
        self.put(&[CR])?;
        self.into[0] = LF;
        for (at, value) in [(1, crc), (5, length)] {
            for (digit, place) in self.into[at..at + 4].iter_mut().zip([12, 8, 4, 0]) {
                *digit = HEX[usize::from(value >> place & 15)];
            }
        }
        Ok(&self.into[..self.at])
    }
}
