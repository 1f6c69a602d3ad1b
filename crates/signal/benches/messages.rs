//! How fast messages are read on one core, and that nothing is allocated meanwhile (no `alloc` lines are printed).

use std::fmt::Write;

use divan::counter::ItemsCount;
use divan::{AllocProfiler, Bencher, black_box};
use signal::{Gmt, Key, Keys, Outcome, Piece, Receiver, Reply, Stamp, write};

#[global_allocator]
static COUNTED: AllocProfiler = AllocProfiler::system();

const MESSAGES: usize = 1000;

fn main() {
    divan::main();
}

/// Frames in clear, all different.
fn frames(id: &str, data: impl Fn(usize) -> String) -> Vec<Vec<u8>> {
    let frame = |at: usize| {
        let mut sequence = String::new();
        let _ = write!(sequence, "{:04}", at % 9999 + 1);
        let header = write::Header {
            id: id.as_bytes(),
            sequence: sequence.as_bytes(),
            receiver: None,
            prefix: b"0",
            account: b"4401",
        };
        let mut into = [0; 256];
        write::clear(&mut into, &header, data(at).as_bytes(), b"", None).expect("it fits").to_vec()
    };
    (0..MESSAGES).map(frame).collect()
}

fn contact_id() -> Vec<Vec<u8>> {
    frames("ADM-CID", |at| format!("#4401|1131 01 {:03}", at % 1000))
}

fn two_letter() -> Vec<Vec<u8>> {
    frames("SIA-DCS", |at| format!("#4401|Nri1/BA{:03}^REAR DOOR^", at % 1000))
}

/// A clear message to its fields and its event: frame, checksum, length, header, content, code.
#[divan::bench]
fn clear_message_parsed(bencher: Bencher<'_, '_>) {
    let frames = contact_id();
    bencher.counter(ItemsCount::new(MESSAGES)).bench(|| {
        let mut zones = 0_usize;
        for octets in &frames {
            let frame = signal::Frame::read(black_box(octets)).expect("a frame");
            let body = signal::Body::read(frame.content).expect("a body");
            let event = signal::ContactId::read(body.data).expect("an event");
            zones += usize::from(event.number[2]);
        }
        zones
    });
}

/// The same with two-letter codes.
#[divan::bench]
fn clear_two_letter_parsed(bencher: Bencher<'_, '_>) {
    let frames = two_letter();
    bencher.counter(ItemsCount::new(MESSAGES)).bench(|| {
        let mut numbers = 0_usize;
        for octets in &frames {
            let frame = signal::Frame::read(black_box(octets)).expect("a frame");
            let body = signal::Body::read(frame.content).expect("a body");
            let events = signal::Events::read(body.data);
            numbers += events.filter_map(|event| event.number).map(<[u8]>::len).sum::<usize>();
        }
        numbers
    });
}

/// Cut out of a stream, read, looked up among repeats, answered.
#[divan::bench]
fn clear_message_answered(bencher: Bencher<'_, '_>) {
    let stream = contact_id().concat();
    let mut receiver = Receiver::new(Keys::default(), 1);
    let mut cutter = signal::Cutter::default();
    bencher.counter(ItemsCount::new(MESSAGES)).bench_local(|| {
        let mut reply = Reply::default();
        let mut octets = 0;
        cutter.take(black_box(&stream), |piece| {
            receiver.hear(piece, Gmt(0), &mut reply);
            octets += reply.octets().len();
        });
        octets
    });
}

/// Decrypted, read, answered encrypted.
#[divan::bench(args = [32, 48, 64])]
fn encrypted_message_answered(bencher: Bencher<'_, '_>, digits: usize) {
    let key = Key::read(&"0123456789ABCDEF".repeat(4)[..digits]).expect("a key");
    let header =
        write::Header { id: b"ADM-CID", sequence: b"0001", receiver: None, prefix: b"0", account: b"4401" };
    let mut into = [0; 512];
    let stamp = Stamp { at: Gmt(0) };
    let frame = write::encrypted(&mut into, &header, b"#4401|1131 01 003", b"", stamp, &key, &mut || b'p');
    let frame = frame.expect("it fits").to_vec();
    let mut receiver = Receiver::new(Keys::from(key), 1);
    bencher.counter(ItemsCount::new(1_usize)).bench_local(|| {
        let mut reply = Reply::default();
        let heard = receiver.hear(Piece::Frame(black_box(&frame)), Gmt(0), &mut reply);
        assert_eq!(heard.outcome, Outcome::Ack);
        reply.octets().len()
    });
}
