//! The project's message vectors (`dc09-vectors.jsonl`, made by a generator that shares no code with this crate
//! and cross-checked by a second decoder): outcome, reply and every field that is read out. A vector that is
//! marked not sure may come out in any of the ways that its line accepts.

use std::borrow::Cow;

use serde_json::{Value, json};
use signal::{Cutter, Gmt, Heard, Key, Keys, Outcome, Payload, Piece, Receiver, Reply, decoded};

const VECTORS: &str = include_str!("dc09-vectors.jsonl");

fn octets(hex: &Value) -> Vec<u8> {
    let hex = hex.as_str().expect("hex digits");
    (0..hex.len())
        .step_by(2)
        .map(|at| u8::from_str_radix(&hex[at..at + 2], 16).expect("a hex octet"))
        .collect()
}

fn text(octets: &[u8]) -> Cow<'_, str> {
    decoded(octets)
}

/// What was heard, in the words of the vectors.
fn fields(heard: &Heard<'_>) -> Value {
    let Some(frame) = heard.frame else { return Value::Null };
    let mut fields = json!({
        "id": text(frame.id),
        "encrypted": frame.encrypted,
        "seq": text(frame.sequence),
        "rcvr": frame.receiver.map(text),
        "pref": text(frame.prefix),
        "acct": text(frame.account),
    });
    let Some(body) = heard.body else { return fields };
    fields["data"] = json!(text(body.data));
    let stamp = body.stamp.map(|stamp| stamp.octets());
    fields["timestamp"] = json!(stamp.map(|stamp| text(&stamp[1..]).into_owned()));
    let field = |field: signal::ExtendedField<'_>| json!({ "id": char::from(field.letter), "value": text(field.value) });
    fields["xdata"] = body.fields().map(field).collect();
    match heard.payload {
        Payload::ContactId(event) => {
            fields["cid"] = json!({
                "acct": event.account.map(text),
                "q": event.qualifier.digit(),
                "code": text(&event.code),
                "group": text(&event.area),
                "zone": text(&event.number),
            });
        }
        Payload::TwoLetter(data) => {
            let events = signal::Events::read(data);
            let told: Vec<Value> = events
                .map(|event| {
                    let modifiers = event.modifiers.iter();
                    let modifiers = modifiers.map(|m| (text(&m.name).into_owned(), json!(text(m.value))));
                    json!({
                        "func": char::from(event.block),
                        "mods": Value::Object(modifiers.collect()),
                        "code": text(&event.code),
                        "addr": event.number.map(text),
                        "text": event.text.map(text),
                    })
                })
                .collect();
            fields["sia"] = json!({ "acct": events.account.map(text), "events": told });
        }
        _ => {}
    }
    fields
}

/// A reply frame as the vectors describe an encrypted one.
fn reply_fields(octets: &[u8], key: Keys, now: Gmt) -> Value {
    let mut reader = Receiver::new(key, 1);
    let mut none = Reply::default();
    let heard = reader.hear(Piece::Frame(octets), now, &mut none);
    assert_eq!(heard.outcome, Outcome::Ok);
    assert!(none.octets().is_empty(), "a reply is not answered");
    fields(&heard)
}

fn same_reply(name: &str, wanted: &Value, sent: &[u8], keys: &Keys, now: Gmt) {
    if wanted.is_null() {
        return;
    }
    if wanted["encrypted"] == json!(false) {
        assert_eq!(sent, octets(&wanted["wire_hex"]), "{name}");
        return;
    }
    let got = reply_fields(sent, keys.clone(), now);
    for (key, value) in wanted.as_object().expect("a reply") {
        assert_eq!(&got[key], value, "{name}: {key} of the reply");
    }
    assert_eq!(got["data"], json!(""), "{name}");
}

/// Runs a vector whose octets come in such chunks.
fn run(vector: &Value, chunk: usize) {
    let name = vector["name"].as_str().expect("a name");
    let now = Gmt::read(vector["now"].as_str().expect("a time")).expect("RFC 3339");
    let common = vector["key_hex"].as_str().map(|key| Key::read(key).expect("a key"));
    let keys = common.map(Keys::from).unwrap_or_default();
    let mut receiver = Receiver::new(keys.clone(), 7);
    let mut results: Vec<(String, Value, Vec<u8>, bool)> = Vec::new();
    let mut each = |piece: Piece<'_>| {
        let mut reply = Reply::default();
        let heard = receiver.hear(piece, now, &mut reply);
        results.push((
            heard.outcome.word().to_owned(),
            fields(&heard),
            reply.octets().to_vec(),
            heard.duplicate,
        ));
    };
    let mut cutter = Cutter::default();
    for part in octets(&vector["wire_hex"]).chunks(chunk) {
        cutter.take(part, &mut each);
    }
    cutter.end(&mut each);
    let expect = &vector["expect"];
    if let Some(frames) = expect["frames"].as_array() {
        assert_eq!(results.len(), frames.len(), "{name}");
        for (frame, (outcome, got, sent, duplicate)) in frames.iter().zip(&results) {
            assert_eq!(&frame["outcome"], outcome, "{name}");
            assert_eq!(&frame["duplicate"], duplicate, "{name}");
            assert_eq!(&frame["fields"], got, "{name}");
            same_reply(name, &frame["reply"], sent, &keys, now);
        }
        return;
    }
    let [(outcome, got, sent, _)] = &results[..] else { panic!("{name}: {} pieces", results.len()) };
    let acceptable: Vec<&Value> = vector["acceptable"].as_array().expect("a list").iter().collect();
    assert!(acceptable.contains(&&json!(outcome)), "{name}: {outcome}");
    assert_eq!(sent.is_empty(), ["ignored", "ok"].contains(&outcome.as_str()), "{name}");
    let as_expected = &expect["outcome"] == outcome;
    assert!(as_expected || vector["sure"] == json!(false), "{name}");
    if as_expected {
        same_reply(name, &expect["reply"], sent, &keys, now);
        if got.is_null() {
            return;
        }
        for (key, value) in expect["fields"].as_object().into_iter().flatten() {
            assert_eq!(&got[key], value, "{name}: {key}");
        }
    }
}

#[test]
fn every_vector() {
    let mut count = 0;
    for line in VECTORS.lines() {
        let vector: Value = serde_json::from_str(line).expect("a JSON object");
        for chunk in [1, 7, 10_000] {
            run(&vector, chunk);
        }
        count += 1;
    }
    assert_eq!(count, 44);
}

#[test]
fn the_expected_way_is_taken_wherever_it_is_not_sure_either() {
    for line in VECTORS.lines() {
        let mut vector: Value = serde_json::from_str(line).expect("a JSON object");
        vector["sure"] = json!(true);
        run(&vector, 10_000);
    }
}
