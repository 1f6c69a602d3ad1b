//! Messages sent again: acknowledged again, counted once.

use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hasher};

use crate::clock::Gmt;
use crate::frame::Frame;

/// A sender repeats what was not acknowledged, so only its last few messages can come again. The same number
/// with the same data after this time is a new message. How long senders go on is not in the public text; from
/// memory: a few minutes.
const MEMORY_S: i64 = 300;
/// How many of a sender's last messages are remembered.
const LAST: usize = 4;
/// Accounts in one half of the memory. With both halves full, some 3 MB.
const MOST_ACCOUNTS: usize = 16_384;

/// What came lately, by account and prefix. Bounded: accounts not heard of for long are forgotten first.
#[derive(Debug, Default)]
pub(crate) struct Repeats {
    young: BTreeMap<Sender, Last>,
    old: BTreeMap<Sender, Last>,
}

/// Account and prefix: at most 16 and 6 octets.
type Sender = [u8; 24];

#[derive(Clone, Copy, Debug, Default)]
struct Last {
    messages: [Option<(u64, Gmt)>; LAST],
    next: usize,
}

impl Repeats {
    /// Whether a message came before: same account, prefix and sequence, and the same data. NULL with 0000 is
    /// never a repeat. Checksums are not compared: a repeat that is encrypted has a new pad and a new time.
    pub(crate) fn has_come(&mut self, frame: &Frame<'_>, data: &[u8], now: Gmt) -> bool {
        let sender = sender(frame);
        let mut mark = DefaultHasher::new();
        mark.write(frame.id);
        mark.write(frame.sequence);
        mark.write(data);
        let mark = mark.finish();
        if let Some(last) = self.young.get_mut(&sender) {
            return last.has_come(mark, now);
        }
        if self.young.len() >= MOST_ACCOUNTS {
            self.old = std::mem::take(&mut self.young);
        }
        let mut last = self.old.remove(&sender).unwrap_or_default();
        let has_come = last.has_come(mark, now);
        self.young.insert(sender, last);
        has_come
    }
}

impl Last {
    fn has_come(&mut self, mark: u64, now: Gmt) -> bool {
        for (known, at) in self.messages.iter_mut().flatten() {
            if *known == mark && (0..=MEMORY_S).contains(&(now.0 - at.0)) {
                *at = now;
                return true;
            }
        }
        self.messages[self.next] = Some((mark, now));
        self.next = (self.next + 1) % LAST;
        false
    }
}

fn sender(frame: &Frame<'_>) -> Sender {
    let mut sender = [0; 24];
    for (place, octet) in sender[..16].iter_mut().zip(frame.account) {
        *place = *octet;
    }
    for (place, octet) in sender[16..].iter_mut().zip(frame.prefix) {
        *place = *octet;
    }
    sender
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(octets: &[u8]) -> Frame<'_> {
        Frame::read(octets).expect("it is one")
    }

    #[test]
    fn only_the_same_message_soon_after_is_a_repeat() {
        let one = frame(b"\nBF2B0027\"ADM-CID\"0400L0#4401[#4401|1131 01 005]\r");
        let mut repeats = Repeats::default();
        assert!(!repeats.has_come(&one, b"a", Gmt(0)));
        assert!(repeats.has_come(&one, b"a", Gmt(5)));
        assert!(!repeats.has_come(&one, b"b", Gmt(5)));
        assert!(repeats.has_come(&one, b"a", Gmt(6)));
        assert!(!repeats.has_come(&one, b"a", Gmt(6 + MEMORY_S + 1)));
    }

    #[test]
    fn a_flood_of_accounts_fills_no_memory() {
        let mut repeats = Repeats::default();
        let one = frame(b"\nBF2B0027\"ADM-CID\"0400L0#4401[#4401|1131 01 005]\r");
        for number in 0..100_000_u32 {
            let account = number.to_string();
            repeats.has_come(&Frame { account: account.as_bytes(), ..one }, b"a", Gmt(0));
        }
        assert!(repeats.young.len() <= MOST_ACCOUNTS && repeats.old.len() <= MOST_ACCOUNTS);
        assert!(repeats.has_come(&Frame { account: b"99999", ..one }, b"a", Gmt(1)));
    }
}
