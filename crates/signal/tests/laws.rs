//! Laws: what is written is read back, however it is cut; no octets at all make the receiver answer what it did not
//! understand.

use proptest::prelude::*;
use signal::write::{self, Header};
use signal::{Cutter, Gmt, Key, Keys, Outcome, Piece, Receiver, Reply, Stamp};

const NOW: Gmt = Gmt(1_773_480_413);

/// Everything but what ends a data field, a frame, or begins one.
fn data() -> impl Strategy<Value = Vec<u8>> {
    let octet = any::<u8>().prop_filter("no sign of the frame", |octet| !b"[]\r\n".contains(octet));
    proptest::collection::vec(octet, 0..300)
}

fn hex(digits: usize) -> impl Strategy<Value = String> {
    proptest::string::string_regex(&format!("[0-9A-F]{{{digits}}}")).expect("a pattern")
}

proptest! {
    #[test]
    fn what_is_written_is_read(
        data in data(),
        account in "[0-9A-F]{3,16}",
        prefix in "[0-9A-F]{1,6}",
        receiver in proptest::option::of("[0-9A-F]{1,6}"),
        sequence in 0..10_000_u32,
        key in proptest::option::of(prop_oneof![hex(32), hex(48), hex(64)]),
        off in -40..=20_i64,
        portion in 1..200_usize,
        pads in any::<u64>(),
    ) {
        let sequence = format!("{sequence:04}");
        let header = Header {
            id: b"NULL",
            sequence: sequence.as_bytes(),
            receiver: receiver.as_deref().map(str::as_bytes),
            prefix: prefix.as_bytes(),
            account: account.as_bytes(),
        };
        let stamp = Stamp { at: Gmt(NOW.0 + off) };
        let key = key.map(|key| Key::read(&key).expect("a key"));
        let mut into = [0; signal::MOST_OCTETS];
        let mut pads = pads;
        let fields = b"[IHall]";
        let frame = match &key {
            Some(key) => {
                write::encrypted(&mut into, &header, &data, fields, stamp, key, &mut || signal::pad(&mut pads))
            }
            None => write::clear(&mut into, &header, &data, fields, Some(stamp)),
        };
        let frame = frame.expect("it fits");
        let mut receiver = Receiver::new(key.clone().map(Keys::from).unwrap_or_default(), 3);
        let mut cutter = Cutter::default();
        let mut count = 0;
        let mut replies = Vec::new();
        for part in frame.chunks(portion) {
            cutter.take(part, |piece| {
                let mut reply = Reply::default();
                let heard = receiver.hear(piece, NOW, &mut reply);
                assert_eq!(heard.outcome, Outcome::Ack, "{:?}", heard.why);
                let body = heard.body.expect("a body");
                assert_eq!(body.data, &data[..]);
                assert_eq!(body.stamp, Some(stamp));
                assert_eq!(body.fields().count(), 1);
                let read = heard.frame.expect("a header");
                assert_eq!(read.account, account.as_bytes());
                assert_eq!(read.prefix, prefix.as_bytes());
                assert_eq!(read.receiver, header.receiver);
                assert_eq!(read.sequence, sequence.as_bytes());
                replies.extend_from_slice(reply.octets());
                count += 1;
            });
        }
        prop_assert_eq!(count, 1);
        // The reply is a frame that a sender reads, and that no receiver answers.
        let mut none = Reply::default();
        let heard = receiver.hear(Piece::Frame(&replies), NOW, &mut none);
        prop_assert_eq!(heard.outcome, Outcome::Ok);
        prop_assert!(none.octets().is_empty());
    }

    #[test]
    fn no_octets_break_it(octets in proptest::collection::vec(any::<u8>(), 0..400), portion in 1..50_usize) {
        let mut receiver = Receiver::new(Keys::default(), 3);
        let mut cutter = Cutter::default();
        let mut reply = Reply::default();
        for part in octets.chunks(portion) {
            cutter.take(part, |piece| {
                receiver.hear(piece, NOW, &mut reply);
            });
        }
        cutter.end(|piece| {
            receiver.hear(piece, NOW, &mut reply);
        });
        prop_assert!(reply.octets().is_empty(), "a checksum by luck");
    }

    #[test]
    fn one_octet_changed_is_not_answered(at in 0..39_usize, other in any::<u8>()) {
        let mut frame = b"\nBF2B0027\"ADM-CID\"0400L0#4401[#4401|1131 01 005]\r".to_vec();
        prop_assume!(at < frame.len() && frame[at] != other && !frame[at].eq_ignore_ascii_case(&other));
        frame[at] = other;
        let mut receiver = Receiver::new(Keys::default(), 3);
        let mut reply = Reply::default();
        let heard = receiver.hear(Piece::Frame(&frame), NOW, &mut reply);
        prop_assert_eq!(heard.outcome, Outcome::Ignored);
    }
}
