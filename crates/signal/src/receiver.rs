//! The receiver's protocol without sockets: one piece in, what it says and what to answer out.

use std::fmt;

use crate::body::{Body, NoBody};
use crate::cipher::{Key, Keys};
use crate::clock::{Gmt, Stamp};
use crate::contact_id::{self, ContactId};
use crate::cut::Piece;
use crate::frame::{Broken, Frame, MOST_OCTETS};
use crate::repeats::Repeats;
use crate::two_letter::Events;
use crate::words::side;
use crate::write::{self, Header};

/// What became of a piece.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Outcome {
    /// Acknowledged.
    Ack,
    /// Refused for its time; ours was sent.
    Nak,
    /// Received, and not understood.
    Duh,
    /// Not answered.
    Ignored,
    /// A receiver's frame: read, and not answered.
    Ok,
}

impl Outcome {
    /// The word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Ack => "ack",
            Self::Nak => "nak",
            Self::Duh => "duh",
            Self::Ignored => "ignored",
            Self::Ok => "ok",
        }
    }
}

/// Why a message was not acknowledged.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
#[non_exhaustive]
pub enum Why {
    /// It is no frame.
    Broken(Broken),
    /// It is encrypted and there is no key for its account.
    NoKey,
    /// Decrypted it makes no sense: another key, or no whole number of blocks.
    WrongKey,
    /// It is encrypted and holds no time.
    NoTime,
    /// Its time lies outside the window.
    Time {
        /// Message minus receiver, in seconds.
        off_s: i64,
    },
    /// What stands in the brackets is not of the form.
    Form(NoBody),
    /// The token is none that this receiver knows.
    UnknownId,
    /// The data is not what the token promises.
    Data,
}

impl fmt::Display for Why {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Broken(why) => write!(out, "not answered: {why}"),
            Self::NoKey => out.write_str("not answered: encrypted, and no key was given for it"),
            Self::WrongKey => out.write_str("not answered: cannot be decrypted; is it another key?"),
            Self::NoTime => out.write_str("refused: encrypted and without a time, which is required"),
            Self::Time { off_s } => write!(
                out,
                "refused: the sender's clock is {} s {} (20 s ahead to 40 s behind are taken); ours was sent",
                off_s.abs(),
                side(*off_s)
            ),
            Self::Form(NoBody::NoBracket) => out.write_str("not understood: a bracket is not closed"),
            Self::Form(NoBody::Trailing) => {
                out.write_str("not understood: something that is no time follows the last bracket")
            }
            Self::UnknownId => out.write_str("not understood: a kind of message that is not known here"),
            Self::Data => out.write_str("not understood: the data is not of its format"),
        }
    }
}

/// What a message holds.
#[derive(Clone, Copy, Debug)]
pub enum Payload<'m> {
    /// `ADM-CID`
    ContactId(ContactId<'m>),
    /// `SIA-DCS`: its data, which [`Events::read`] takes apart.
    TwoLetter(&'m [u8]),
    /// `NULL`, `XNM`
    Supervision,
    /// A receiver's own frame.
    Reply,
    /// Nothing that could be read.
    None,
}

/// One piece as it was understood.
#[derive(Clone, Copy, Debug)]
pub struct Heard<'m> {
    /// What became of it.
    pub outcome: Outcome,
    /// Its header, where that could be read.
    pub frame: Option<Frame<'m>>,
    /// Its content in clear, where that could be read.
    pub body: Option<Body<'m>>,
    /// What it holds.
    pub payload: Payload<'m>,
    /// It was sent before: acknowledged, and counted once.
    pub duplicate: bool,
    /// Why it was not acknowledged.
    pub why: Option<Why>,
    /// The sender's clock minus ours, in seconds, where the message holds a time.
    pub clock_off_s: Option<i64>,
}

/// A reply in its own room: the longest (`*ACK` with a receiver number and 16 digits of account) has 116 octets.
#[derive(Clone, Debug)]
pub struct Reply {
    octets: [u8; 128],
    length: usize,
}

impl Default for Reply {
    fn default() -> Self {
        Self { octets: [0; 128], length: 0 }
    }
}

impl Reply {
    /// What to send; empty: nothing.
    #[must_use]
    pub fn octets(&self) -> &[u8] {
        &self.octets[..self.length]
    }

    fn write(&mut self, write: impl FnOnce(&mut [u8]) -> Result<&[u8], write::TooLong>) {
        self.length = write(&mut self.octets).map_or(0, <[u8]>::len);
    }
}

/// A test receiver: keys, the memory of repeats, and a source of pads.
#[derive(Debug)]
pub struct Receiver {
    keys: Keys,
    repeats: Repeats,
    pads: u64,
    clear: Box<[u8; MOST_OCTETS / 2]>,
}

impl Receiver {
    /// A receiver with these keys. `seed` begins the row of pseudo-random pads.
    #[must_use]
    pub fn new(keys: Keys, seed: u64) -> Self {
        Self { keys, repeats: Repeats::default(), pads: seed, clear: Box::new([0; MOST_OCTETS / 2]) }
    }

    /// Reads one piece that came at `now` and writes what to answer into `reply`.
    pub fn hear<'m>(&'m mut self, piece: Piece<'m>, now: Gmt, reply: &mut Reply) -> Heard<'m> {
        reply.length = 0;
        let octets = match piece {
            Piece::Frame(octets) => octets,
            Piece::Broken(why, _) => return Heard::ignored(None, Why::Broken(why)),
        };
        let frame = match Frame::read_any_sequence(octets) {
            Ok(frame) => frame,
            Err(why) => return Heard::ignored(None, Why::Broken(why)),
        };
        if !frame.has_sequence() {
            let body = if frame.encrypted { None } else { Body::read(frame.content).ok() };
            return Heard { body, ..Heard::ignored(Some(frame), Why::Broken(Broken::Sequence)) };
        }
        let Self { keys, repeats, pads, clear } = self;
        let key = if frame.encrypted { keys.of(frame.account) } else { None };
        if frame.is_reply() {
            return heard_reply(frame, key, &mut clear[..]);
        }
        let body = if frame.encrypted {
            match opened(&frame, key, &mut clear[..], now) {
                Ok(body) => body,
                Err(heard) => {
                    if heard.outcome == Outcome::Nak {
                        reply.write(|into| write::nak(into, Stamp { at: now }));
                    }
                    return *heard;
                }
            }
        } else {
            match Body::read(frame.content) {
                Ok(body) => body,
                Err(why) => {
                    reply.write(|into| duh(into, &frame));
                    return Heard { outcome: Outcome::Duh, ..Heard::ignored(Some(frame), Why::Form(why)) };
                }
            }
        };
        let (payload, why) = payload(&frame, &body);
        let mut heard = Heard {
            outcome: Outcome::Ack,
            frame: Some(frame),
            body: Some(body),
            payload,
            duplicate: false,
            why,
            clock_off_s: body.stamp.map(|stamp| stamp.at.0 - now.0),
        };
        if why.is_some() {
            heard.outcome = Outcome::Duh;
            reply.write(|into| duh(into, &frame));
            return heard;
        }
        if !matches!(payload, Payload::Supervision) {
            heard.duplicate = repeats.has_come(&frame, body.data, now);
        }
        reply.write(|into| ack(into, &frame, key, now, pads));
        heard
    }
}

impl<'m> Heard<'m> {
    /// The account in the data, where it is another than the header's: whose signal it is cannot be known, and it is
    /// tied to nothing. Leading zeros make no other account.
    #[must_use]
    pub fn other_account(&self) -> Option<&'m [u8]> {
        let header = self.frame?.account;
        let data = match self.payload {
            Payload::ContactId(event) => event.account,
            Payload::TwoLetter(data) => contact_id::account(data).0,
            _ => None,
        };
        data.filter(|data| significant(data) != significant(header))
    }

    fn ignored(frame: Option<Frame<'m>>, why: Why) -> Self {
        Self {
            outcome: Outcome::Ignored,
            frame,
            body: None,
            payload: Payload::None,
            duplicate: false,
            why: Some(why),
            clock_off_s: None,
        }
    }
}

/// An account without its leading zeros.
fn significant(account: &[u8]) -> &[u8] {
    let zeros = account.iter().take_while(|digit| **digit == b'0').count();
    &account[zeros..]
}

/// The content of an encrypted message, or why it is not acknowledged.
fn opened<'m>(
    frame: &Frame<'m>,
    key: Option<&Key>,
    clear: &'m mut [u8],
    now: Gmt,
) -> Result<Body<'m>, Box<Heard<'m>>> {
    let ignored = |why| Box::new(Heard::ignored(Some(*frame), why));
    let key = key.ok_or_else(|| ignored(Why::NoKey))?;
    let opened = key.open(frame.content, clear).ok_or_else(|| ignored(Why::WrongKey))?;
    let body = Body::read_padded(opened).map_err(|_| ignored(Why::WrongKey))?;
    // What another key makes of a message ends in no time; by luck it may still end in a bracket.
    let (payload, _) = payload(frame, &body);
    let refused = |why| {
        let heard = Heard::ignored(Some(*frame), why);
        let off = body.stamp.map(|stamp| stamp.at.0 - now.0);
        Box::new(Heard { outcome: Outcome::Nak, body: Some(body), payload, clock_off_s: off, ..heard })
    };
    match body.stamp {
        None => Err(refused(Why::NoTime)),
        Some(stamp) if !stamp.in_window(now) => Err(refused(Why::Time { off_s: stamp.at.0 - now.0 })),
        Some(_) => Ok(body),
    }
}

/// A reply frame is read as far as that goes, and never answered.
fn heard_reply<'m>(frame: Frame<'m>, key: Option<&Key>, clear: &'m mut [u8]) -> Heard<'m> {
    let body = match (frame.encrypted, key) {
        (false, _) => Body::read(frame.content).ok(),
        (true, Some(key)) => key.open(frame.content, clear).and_then(|opened| Body::read_padded(opened).ok()),
        (true, None) => None,
    };
    Heard {
        outcome: Outcome::Ok,
        frame: Some(frame),
        body,
        payload: Payload::Reply,
        duplicate: false,
        why: None,
        clock_off_s: None,
    }
}

fn payload<'m>(frame: &Frame<'m>, body: &Body<'m>) -> (Payload<'m>, Option<Why>) {
    match frame.id {
        b"ADM-CID" => match ContactId::read(body.data) {
            Some(event) => (Payload::ContactId(event), None),
            None => (Payload::None, Some(Why::Data)),
        },
        b"SIA-DCS" => {
            let mut events = Events::read(body.data);
            if events.ascii().is_some() || events.next().is_some() {
                (Payload::TwoLetter(body.data), None)
            } else {
                (Payload::None, Some(Why::Data))
            }
        }
        b"NULL" | b"XNM" => (Payload::Supervision, None),
        _ => (Payload::None, Some(Why::UnknownId)),
    }
}

fn duh<'b>(into: &'b mut [u8], frame: &Frame<'_>) -> Result<&'b [u8], write::TooLong> {
    write::clear(into, &Header::answering(frame, b"DUH"), b"", b"", None)
}

fn ack<'b>(
    into: &'b mut [u8],
    frame: &Frame<'_>,
    key: Option<&Key>,
    now: Gmt,
    pads: &mut u64,
) -> Result<&'b [u8], write::TooLong> {
    let header = Header::answering(frame, b"ACK");
    match key {
        Some(key) if frame.encrypted => {
            write::encrypted(into, &header, b"", b"", Stamp { at: now }, key, &mut || pad(pads))
        }
        _ => write::clear(into, &header, b"", b"", None),
    }
}

/// The next pseudo-random octet (SplitMix64, constants from memory; nothing hangs on its quality but that a
/// message's first block differs from the last one's).
pub fn pad(state: &mut u64) -> u8 {
    *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut mixed = *state;
    mixed = (mixed ^ mixed >> 30).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94D0_49BB_1331_11EB);
    (mixed ^ mixed >> 31).to_be_bytes()[0]
}
