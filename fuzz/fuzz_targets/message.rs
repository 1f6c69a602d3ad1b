//! Any octets, in any portions, as what a sender sends: every piece is heard, a reply is a frame that is read back
//! and never answered, and what comes in portions is heard as what comes whole.
#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use signal::{Codes, Cutter, Frame, Gmt, Key, Keys, Outcome, Payload, Piece, Receiver, Reply};

const KEY: &str = "0123456789ABCDEF0123456789ABCDEF";
/// The clock of the message vectors.
const NOW: Gmt = Gmt(1_773_480_413);

/// What was heard, in a form that can be compared.
fn heard(octets: &[u8], portion: usize) -> Vec<(Outcome, String, usize)> {
    let key = Key::read(KEY).expect("a key");
    let mut receiver = Receiver::new(Keys::from(key.clone()), 1);
    let mut reader = Receiver::new(Keys::from(key), 1);
    // Read once: the tables are not what is tried here.
    static CODES: OnceLock<Codes> = OnceLock::new();
    let codes = CODES.get_or_init(Codes::embedded);
    let mut all = Vec::new();
    let mut each = |piece: Piece<'_>| {
        let mut reply = Reply::default();
        let heard = receiver.hear(piece, NOW, &mut reply);
        let words = signal::words::of(&heard, codes);
        assert!(!words.is_empty() && !words.chars().any(char::is_control), "{words:?}");
        let answered = matches!(heard.outcome, Outcome::Ack | Outcome::Nak | Outcome::Duh);
        assert_eq!(answered, !reply.octets().is_empty());
        if answered {
            let frame = Frame::read(reply.octets()).expect("what we send is a frame");
            assert!(frame.is_reply());
            let mut none = Reply::default();
            assert_eq!(reader.hear(Piece::Frame(reply.octets()), NOW, &mut none).outcome, Outcome::Ok);
            assert!(none.octets().is_empty());
        }
        if let Some(body) = heard.body {
            assert!(body.fields().count() <= octets.len());
        }
        if let Payload::TwoLetter(data) = heard.payload {
            assert!(signal::Events::read(data).count() <= data.len());
        }
        all.push((heard.outcome, words, reply.octets().len()));
    };
    let mut cutter = Cutter::default();
    for part in octets.chunks(portion.max(1)) {
        cutter.take(part, &mut each);
    }
    cutter.end(&mut each);
    all
}

/// Octets as they are, and the same as a frame's content, so that the fuzzer need not find a checksum.
fuzz_target!(|octets: &[u8]| {
    let Some((&portion, octets)) = octets.split_first() else { return };
    let whole = heard(octets, octets.len());
    assert_eq!(heard(octets, usize::from(portion)), whole);
    if octets.len() <= 0x0FFF && !octets.contains(&b'\r') && !octets.contains(&b'\n') {
        let head = format!("\n{:04X}{:04X}", signal::crc(octets), octets.len());
        let frame = [head.as_bytes(), octets, b"\r"].concat();
        heard(&frame, frame.len());
    }
});
