//! A stream of octets cut into frames: at LF ... CR, whatever any length says.

use crate::frame::{Broken, CR, LF, MOST_OCTETS, is_binary};

/// One piece of a stream.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Piece<'m> {
    /// From LF to CR, both included; not yet read.
    Frame(&'m [u8]),
    /// Octets that are no frame, and why.
    Broken(Broken, &'m [u8]),
}

/// One connection's cutter: keeps the beginning of a frame until the rest comes, at most [`MOST_OCTETS`] of it.
#[derive(Debug, Default)]
pub struct Cutter {
    kept: Vec<u8>,
    /// How many of them were searched for an end already: a frame that comes octet by octet is read once.
    searched: usize,
    /// Octets are thrown away until the next LF; said once.
    lost: bool,
}

impl Cutter {
    /// Takes the octets of one read, and hands out every piece that is whole. Allocates only when a frame comes in
    /// parts.
    pub fn take(&mut self, read: &[u8], mut each: impl FnMut(Piece<'_>)) {
        if self.kept.is_empty() {
            let rest = self.cut(read, 0, &mut each);
            self.kept.extend_from_slice(rest);
        } else {
            let mut all = std::mem::take(&mut self.kept);
            all.extend_from_slice(read);
            let rest = self.cut(&all, self.searched, &mut each).len();
            if rest > 0 {
                all.drain(..all.len() - rest);
                // One long read must not be paid for by a connection that then falls silent.
                all.shrink_to(MOST_OCTETS);
                self.kept = all;
            }
        }
        self.searched = if self.kept.len() < KNOWN { 0 } else { self.kept.len() };
    }

    /// No more will come: what was kept is an unfinished frame.
    pub fn end(&mut self, mut each: impl FnMut(Piece<'_>)) {
        let kept = std::mem::take(&mut self.kept);
        if !kept.is_empty() {
            each(Piece::Broken(Broken::NoEnd, &kept));
        }
        self.lost = false;
    }

    /// Whether the beginning of a frame waits for its rest.
    #[must_use]
    pub fn waits(&self) -> bool {
        !self.kept.is_empty()
    }

    /// Hands out whole pieces; what is left begins with LF or is nothing. The first `searched` octets hold no end.
    fn cut<'m>(&mut self, octets: &'m [u8], searched: usize, each: &mut impl FnMut(Piece<'_>)) -> &'m [u8] {
        let mut rest = octets;
        let mut searched = searched;
        while let Some(&first) = rest.first() {
            if first != LF {
                rest = self.skip(rest, each);
                continue;
            }
            self.lost = false;
            match end(rest, std::mem::take(&mut searched)) {
                Some(at) if rest[at] == CR => {
                    each(Piece::Frame(&rest[..=at]));
                    rest = &rest[at + 1..];
                }
                Some(at) => {
                    // A line feed alone is a blank like any other.
                    if at > 1 {
                        each(Piece::Broken(Broken::NoEnd, &rest[..at]));
                    }
                    rest = &rest[at..];
                }
                None if rest.len() >= MOST_OCTETS => {
                    let (long, behind) = rest.split_at(MOST_OCTETS);
                    each(Piece::Broken(Broken::TooLong, long));
                    self.lost = true;
                    rest = behind;
                }
                None => return rest,
            }
        }
        rest
    }

    /// Goes on to the next LF. A NUL behind CR is met in the field, and nobody needs to hear of blanks.
    fn skip<'m>(&mut self, octets: &'m [u8], each: &mut impl FnMut(Piece<'_>)) -> &'m [u8] {
        let end = octets.iter().position(|&octet| octet == LF).unwrap_or(octets.len());
        let (skipped, rest) = octets.split_at(end);
        if !self.lost && !skipped.iter().all(|octet| matches!(octet, 0 | b' ' | &CR)) {
            self.lost = true;
            each(Piece::Broken(Broken::NoStart, skipped));
        }
        rest
    }
}

/// So many octets of a frame tell how its checksum came; no frame is shorter.
const KNOWN: usize = 10;

/// Where the frame that begins here ends: its CR, or the next LF. A checksum of two octets may hold either.
fn end(frame: &[u8], searched: usize) -> Option<usize> {
    if frame.len() < KNOWN {
        return None;
    }
    let from = if is_binary(&frame[1..]) { 3 } else { 1 }.max(searched.min(MOST_OCTETS));
    let found =
        frame.get(from..)?.iter().take(MOST_OCTETS - from).position(|&octet| octet == CR || octet == LF);
    found.map(|at| at + from)
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONE: &[u8] = b"\n0E6A0013\"NULL\"0000L0#4401[]\r";

    fn pieces(reads: &[&[u8]]) -> Vec<String> {
        let mut cutter = Cutter::default();
        let mut pieces = Vec::new();
        let mut each = |piece: Piece<'_>| {
            pieces.push(match piece {
                Piece::Frame(frame) => format!("frame {}", frame.len()),
                Piece::Broken(why, octets) => format!("{why:?} {}", octets.len()),
            });
        };
        for read in reads {
            cutter.take(read, &mut each);
        }
        cutter.end(&mut each);
        pieces
    }

    #[test]
    fn frames_are_cut_however_they_come() {
        let two = [ONE, b"\0", ONE].concat();
        assert_eq!(pieces(&[&two]), ["frame 29", "frame 29"]);
        let octets: Vec<&[u8]> = two.chunks(1).collect();
        assert_eq!(pieces(&octets), ["frame 29", "frame 29"]);
        // Found by the fuzzer: a checksum of two octets that holds LF or CR, cut in the middle of it.
        for first in [b'\x0a', b'\x0d', b'\x0e'] {
            let binary = [b"\n".as_slice(), &[first], b"\x6a0013\"NULL\"0000L0#4401[]\r"].concat();
            assert_eq!(pieces(&[&binary]), ["frame 27"]);
            assert_eq!(pieces(&binary.chunks(1).collect::<Vec<_>>()), ["frame 27"]);
        }
    }

    #[test]
    fn what_is_no_frame_is_said_once_and_the_next_frame_is_found() {
        let late = [b"hello", &ONE[..20], ONE].concat();
        assert_eq!(pieces(&[&late]), ["NoStart 5", "NoEnd 20", "frame 29"]);
        assert_eq!(pieces(&[b"a", b"b", b"c", ONE]), ["NoStart 1", "frame 29"]);
        let long = [b"\n".as_slice(), &[b'x'; 5000]].concat();
        assert_eq!(pieces(&[&long, &long[1..], ONE]), ["TooLong 4105", "frame 29"]);
        assert_eq!(pieces(&[&[&long, ONE].concat()]), ["TooLong 4105", "frame 29"]);
        assert_eq!(pieces(&[b"\n\n", ONE]), ["frame 29"]);
    }

    #[test]
    fn no_more_than_one_frame_is_kept() {
        let mut cutter = Cutter::default();
        let mut broken = 0;
        cutter.take(b"\n", |_| ());
        for _ in 0..10_000 {
            cutter.take(b"xxxxx", |_| broken += 1);
            assert!(cutter.kept.len() < MOST_OCTETS && cutter.kept.capacity() <= 4 * MOST_OCTETS);
        }
        assert_eq!(broken, 1);
    }
}
