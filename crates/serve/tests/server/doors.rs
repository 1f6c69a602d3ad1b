//! The doors for programs hold the rules of the pages; names, and the reader's clock.

use crate::common::{Answer, EXAMPLE, Server};
use serde_json::{Value, json};

const SMALL: &str = "format = 1\n[[enclosure]]\nid = \"E1\"\n[[circuit]]\ntag = \"C01\"\nends_in = \"E1\"\n";
const CHANGES: &str = "/api/v1/jobs/yard/changes";

fn read(server: &Server, id: &str, at: usize, when: &str, key: &str, shown: &str) -> Answer {
    let to = json!({ "when": when, key: shown });
    let change = json!({ "table": "circuit", "id": "C01", "key": "found", "entry": at, "from": Value::Null, "to": to });
    server.json("POST", CHANGES, &json!({ "id": id, "changes": [change] }))
}

#[test]
fn no_ohms_through_a_door_of_a_pair_that_nobody_knows_to_be_clear() {
    let server = Server::start();
    server.keep("yard", SMALL);
    let refused = read(&server, "r1", 0, "rest", "ohms", "2.2k");
    assert_eq!(refused.status, 422);
    let says = refused.as_json()["errors"][0]["text"].as_str().unwrap().to_owned();
    assert!(says.contains("No ohms of C01 yet") && says.contains("volts DC from each leg"), "{says}");
    // Its own volts and earth, one after the other.
    let steps = [
        ("rest", "volts_ac", "0.1 V"),
        ("rest", "volts_dc", "0.02 V"),
        ("earth", "volts_ac", "0.3 V"),
        ("earth", "volts_dc", "0.1 V"),
        ("earth", "ohms", "open"),
        ("rest", "ohms", "2.2k"),
    ];
    for (at, (when, key, shown)) in steps.into_iter().enumerate() {
        if at < 5 {
            assert_eq!(read(&server, "no", at, "rest", "ohms", "2.2k").status, 422, "before {when} {key}");
        }
        let kept = read(&server, &format!("s{at}"), at, when, key, shown);
        assert_eq!(kept.status, 200, "{}", kept.text());
    }
    // Volts of later stop it, and volts of later still free it.
    assert_eq!(read(&server, "v1", 6, "rest", "volts_ac", "12 V").status, 200);
    assert_eq!(read(&server, "r2", 7, "rest", "ohms", "2.2k").status, 422);
    assert_eq!(read(&server, "v2", 7, "rest", "volts_ac", "0.2 V").status, 200);
    assert_eq!(read(&server, "r2", 8, "rest", "ohms", "2.21k").status, 200);
    // In one set of changes each is judged by those before it; a circuit that comes with readings too.
    let circuit = json!({ "tag": "C02", "ends_in": "E1", "found": [{ "when": "rest", "ohms": "4.7k" }] });
    let new = |id: &str| {
        let change = json!({ "table": "circuit", "id": "C02", "from": Value::Null, "to": circuit });
        server.json("POST", CHANGES, &json!({ "id": id, "changes": [change] }))
    };
    assert_eq!(new("c2").status, 422);
    let clear = json!({ "kind": "strip-clear", "about": "E1", "words": "All clear.", "pairs": ["C01", "C02"], "except": [] });
    assert_eq!(server.json("POST", "/api/v1/jobs/yard/evidence", &clear).status, 201);
    // A pair that was not there when the entry was written was not looked at, whatever the entry names.
    assert_eq!(new("c2").status, 422);
    let bare = json!({ "table": "circuit", "id": "C02", "from": Value::Null, "to": { "tag": "C02", "ends_in": "E1" } });
    assert_eq!(server.json("POST", CHANGES, &json!({ "id": "c2", "changes": [bare] })).status, 200);
    let reading = |id: &str| {
        let to = json!({ "when": "rest", "ohms": "4.7k" });
        let change = json!({ "table": "circuit", "id": "C02", "key": "found", "entry": 0, "from": Value::Null, "to": to });
        server.json("POST", CHANGES, &json!({ "id": id, "changes": [change] })).status
    };
    assert_eq!(reading("c2-rest"), 422);
    assert_eq!(server.json("POST", "/api/v1/jobs/yard/evidence", &clear).status, 201);
    assert_eq!(reading("c2-rest"), 200);
    // A whole text is somebody's file: it is taken as it is.
    let text = server.get("/api/v1/jobs/yard").as_json();
    let more = format!(
        "{}\n[[circuit]]\ntag = \"C03\"\nfound = [ {{ when = \"rest\", ohms = \"1k\" }} ]\n",
        text["text"].as_str().unwrap()
    );
    let put = server.json("PUT", "/api/v1/jobs/yard", &json!({ "version": text["version"], "text": more }));
    assert_eq!(put.status, 200, "{}", put.text());
}

#[test]
fn what_a_change_took_away_is_put_back_without_being_asked_again() {
    let server = Server::start();
    server.keep("yard", &format!("{SMALL}found = [ {{ when = \"rest\", ohms = \"2.2k\" }} ]\n"));
    let gone = json!({ "table": "circuit", "id": "C01", "key": "found", "entry": 0, "from": { "when": "rest", "ohms": "2.2k" }, "to": Value::Null });
    assert_eq!(server.json("POST", CHANGES, &json!({ "id": "g", "changes": [gone] })).status, 200);
    let back = |id: &str, takes_back: &str, ohms: &str| {
        let change = json!({ "table": "circuit", "id": "C01", "key": "found", "entry": 0, "from": Value::Null, "to": { "when": "rest", "ohms": ohms } });
        server
            .json("POST", CHANGES, &json!({ "id": id, "changes": [change], "takes_back": takes_back }))
            .status
    };
    assert_eq!(back("b1", "", "2.2k"), 422);
    assert_eq!(back("b2", "g", "2.3k"), 422);
    assert_eq!(back("b3", "g", "2.2k"), 200);
}

#[test]
fn what_takes_a_change_back_is_its_inverse_and_a_tag_can_be_changed() {
    let server = Server::start();
    server.keep("yard", &format!("{SMALL}found = [ {{ when = \"rest\", ohms = \"2.2k\" }} ]\n"));
    let key = |of: &str, key: &str, from: Value, to: Value| json!({ "table": "circuit", "id": of, "key": key, "from": from, "to": to });
    let send = |id: &str, takes_back: &str, change: &Value| {
        let sent = json!({ "id": id, "changes": [change], "takes_back": takes_back });
        server.json("POST", CHANGES, &sent)
    };
    let place = key("C01", "place", Value::Null, json!("yard"));
    let none = send("p", "nothing", &place);
    assert_eq!(none.status, 422);
    assert!(none.text().contains("no change of this job"), "{}", none.text());
    assert_eq!(send("p", "", &place).status, 200);
    // Its ohms came with a file: another tag is no new reading.
    let renamed = send("t", "", &key("C01", "tag", json!("C01"), json!("C09")));
    assert_eq!(renamed.status, 200, "{}", renamed.text());
    let other = key("C09", "place", json!("yard"), json!("barn"));
    assert_eq!(send("b", "p", &other).status, 422);
    assert_eq!(
        send("b", "p", &key("C01", "place", json!("yard"), Value::Null)).status,
        422,
        "by its old tag"
    );
    let work = json!({ "id": "p", "kind": "work", "about": "C01", "words": "Done." });
    assert_eq!(server.json("POST", "/api/v1/jobs/yard/evidence", &work).status, 201);
    let back = send("b", "p", &key("C09", "place", json!("yard"), Value::Null));
    assert_eq!(back.status, 200, "{}", back.text());
    // The evidence keeps both, and what the tag was.
    let kept = server.get("/api/v1/jobs/yard/evidence").text();
    for said in ["\"takes_back\": \"p\"", "\"kind\": \"called\"", "\"was\": \"C01\""] {
        assert!(kept.contains(said), "{said}: {kept}");
    }
}

#[test]
fn what_was_taken_back_already_is_said_with_what_did_it() {
    let server = Server::start();
    server.keep("yard", SMALL);
    let table = json!({ "tag": "C09", "place": "hall" });
    let send = |id: &str, takes_back: &str, from: &Value, to: &Value| {
        let change = json!({ "table": "circuit", "id": "C09", "from": from, "to": to });
        server.json("POST", CHANGES, &json!({ "id": id, "changes": [change], "takes_back": takes_back }))
    };
    assert_eq!(send("in", "", &Value::Null, &table).status, 200);
    assert_eq!(send("out", "", &table, &Value::Null).status, 200);
    assert_eq!(send("back", "out", &Value::Null, &table).status, 200);
    // Sent again it is the same; with an id of its own it comes too late.
    assert_eq!(send("back", "out", &Value::Null, &table).status, 200);
    let late = send("late", "out", &Value::Null, &table);
    assert_eq!(late.status, 409, "{}", late.text());
    assert!(late.text().contains("by the change `back` of "), "{}", late.text());
    // What took it back can be taken back, and then the first one again.
    assert_eq!(send("again", "back", &table, &Value::Null).status, 200);
    assert_eq!(send("late", "out", &Value::Null, &table).status, 200);
}

#[test]
fn no_ohms_as_evidence_of_a_pair_that_nobody_knows_to_be_clear() {
    let server = Server::start();
    server.keep("yard", SMALL);
    let path = "/api/v1/jobs/yard/evidence";
    let send = |about: &str, key: &str| {
        let entry = json!({ "id": "r", "kind": "reading", "about": about, "words": "read", "when": "rest", key: "2.2k" });
        server.json("POST", path, &entry)
    };
    let refused = send("C01", "ohms");
    assert_eq!(refused.status, 422);
    assert!(refused.text().contains("No ohms of C01 yet"), "{}", refused.text());
    assert_eq!(send("C07", "ohms").status, 422);
    let clear = json!({ "kind": "strip-clear", "about": "E1", "words": "All clear.", "pairs": ["C01"], "except": [] });
    assert_eq!(server.json("POST", path, &clear).status, 201);
    assert_eq!(send("C01", "ohms").status, 201);
    // Sent again it is written already, whatever holds since.
    let none = json!({ "kind": "strip-clear", "about": "E1", "words": "Not clear.", "pairs": [], "except": ["C01"] });
    assert_eq!(server.json("POST", path, &none).status, 201);
    assert_eq!(send("C01", "ohms").status, 200);
}

#[test]
fn photos_have_doors_of_their_own() {
    let server = Server::start();
    server.keep("yard", SMALL);
    let mut jpeg = Vec::new();
    image::codecs::jpeg::JpegEncoder::new(&mut jpeg)
        .encode(&[90; 64 * 48 * 3], 64, 48, image::ExtendedColorType::Rgb8)
        .unwrap();
    let path = "/api/v1/jobs/yard/photos";
    let send = |query: &str, kind: &str, bytes: &[u8]| {
        server.ask("POST", &format!("{path}{query}"), &[("content-type", kind)], bytes)
    };
    assert_eq!(send("?id=p1&about=C01", "image/jpeg", &jpeg).status, 201);
    let again = send("?id=p1&about=C01", "image/jpeg", &jpeg);
    assert_eq!((again.status, again.as_json()["new"].clone()), (200, json!(false)));
    assert_eq!(send("?id=p1&about=C02", "image/jpeg", &jpeg).status, 409);
    assert_eq!(send("?id=a%2Fb", "image/jpeg", &jpeg).status, 422);
    assert_eq!(send("", "image/jpeg", b"<svg/>").status, 415);
    assert_eq!(send("", "application/json", b"{}").status, 415);
    assert_eq!(send("", "image/jpeg", b"").status, 415);
    let listed = server.get(path).as_json();
    assert_eq!(listed["photos"].as_array().unwrap().len(), 1);
    assert_eq!(
        (listed["photos"][0]["id"].clone(), listed["photos"][0]["about"].clone()),
        (json!("p1"), json!("C01"))
    );
    let photo = server.get(&format!("{path}/p1"));
    assert_eq!((photo.status, photo.header("content-type")), (200, "image/jpeg"));
    assert_eq!(photo.body, server.get("/j/yard/photo/p1").body);
    assert_eq!(server.get(&format!("{path}/p2")).status, 404);
    assert_eq!(server.get("/api/v1/jobs/barn/photos").status, 404);
}

#[test]
fn words_of_a_query_are_those_of_the_command() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    for (door, status) in [
        ("allocate?nodes=0", 422),
        ("allocate?nodes=2000001", 422),
        ("allocate?time_limit=soon", 422),
        ("allocate?time_limit=0s", 200),
        ("allocate?compare=barn", 404),
        ("allocate?write=true", 422),
        ("cutover?way=sideways", 422),
        ("cutover?nodes=0", 200),
        ("kit?date=2026-13-01", 422),
        ("kit?date=2026-12-01&quotation=true", 422),
    ] {
        assert_eq!(server.get(&format!("/api/v1/jobs/yard/{door}")).status, status, "{door}");
    }
    for door in ["allocate", "cutover", "kit"] {
        assert_eq!(server.get(&format!("/api/v1/jobs/barn/{door}")).status, 404, "{door}");
    }
}

#[test]
fn a_name_is_given_once_and_stands_beside_every_change() {
    let server = Server::start();
    server.keep("yard", SMALL);
    let form = ("content-type", "application/x-www-form-urlencoded");
    let named =
        server.ask("POST", "/who", &[form], "who=Zo%C3%AB+%3Cb%3E&back=%2Fj%2Fyard%2Frecord".as_bytes());
    assert_eq!(named.status, 303);
    let cookie = named.header("set-cookie").to_owned();
    assert!(
        cookie.starts_with("who=Zo%C3%AB%20%3Cb%3E; Path=/; ") && cookie.contains("HttpOnly"),
        "{cookie}"
    );
    let own = ("cookie", cookie.split(';').next().unwrap());
    let note = |cookie: (&str, &str), words: &str| {
        let body = format!("words={words}&back=%2F");
        assert_eq!(server.ask("POST", "/j/yard/note", &[form, cookie], body.as_bytes()).status, 303);
        server.get("/api/v1/jobs/yard/evidence").as_json()["entries"][0]["entry"]["author"].clone()
    };
    assert_eq!(note(own, "one"), json!("Zoë <b>"));
    let add = server.ask("POST", "/j/yard/circuits", &[form, own], b"tag=C07");
    assert_eq!(add.status, 303, "{}", add.text());
    assert_eq!(server.get(CHANGES).as_json()["versions"][0]["author"], "Zoë <b>");
    // What steers a terminal, turns text around, is too long or no text is no name.
    let long = format!("who={}", "a".repeat(61));
    for wrong in ["who=a%E2%80%AEb", "who=a%0Ab", "who=%FF", "who=%", "who=", long.as_str()] {
        assert_eq!(note(("cookie", wrong), "two"), json!("A. Person"), "{wrong}");
    }
    let forgotten = server.ask("POST", "/who", &[form, own], b"who=&back=%2F");
    assert!(forgotten.header("set-cookie").contains("Max-Age=0"), "{}", forgotten.head);
    assert_eq!(server.ask("POST", "/who", &[form], b"who=a%E2%81%A7").status, 400);
}

/// What is written now is shown by the reader's clock, west and east of everything and at a quarter of an hour too.
#[test]
fn times_are_those_of_the_readers_clock() {
    let server = Server::start();
    server.keep("yard", SMALL);
    let entry = json!({ "id": "e1", "kind": "note", "words": "seen", "at": "2026-02-28T23:40:00Z" });
    assert_eq!(server.json("POST", "/api/v1/jobs/yard/evidence", &entry).status, 201);
    // 2026-02-28 23:40 UTC is 18:40 at -05:00 and 05:25 of the next day, 1 March, at +05:45 (by hand). The day stands there
    // as it does in the same year and in any later one.
    for (ahead, this_year, later) in [
        ("-300", "28 Feb 18:40", "2026-02-28 18:40"),
        ("345", "1 Mar 05:25", "2026-03-01 05:25"),
        ("0", "28 Feb 23:40", "2026-02-28 23:40"),
        // What is no zone: the times say whose they are.
        ("99999", "28 Feb 23:40 UTC", "2026-02-28 23:40 UTC"),
        ("x", "28 Feb 23:40 UTC", "2026-02-28 23:40 UTC"),
    ] {
        let cookie = format!("ahead={ahead}; sheet=night");
        let page = server.ask("GET", "/j/yard/record", &[("cookie", &cookie)], b"").text();
        let stands = |text: &str| page.contains(&format!("datetime=\"2026-02-28T23:40:00Z\">{text}</time>"));
        assert!(stands(this_year) || stands(later), "{ahead}: {this_year}");
    }
}

/// A whole text through the door tells nothing of what became of which pair.
#[test]
fn a_safety_entry_does_not_cover_what_a_whole_text_puts_in() {
    let server = Server::start();
    let other = "[[circuit]]\ntag = \"C02\"\nends_in = \"E1\"\nplace = \"attic\"\n";
    server.keep("yard", &format!("{SMALL}place = \"hall\"\n{other}"));
    let evidence = "/api/v1/jobs/yard/evidence";
    let clear = json!({ "kind": "strip-clear", "about": "E1", "words": "All clear.", "pairs": ["C01", "C02"], "except": [] });
    assert_eq!(server.json("POST", evidence, &clear).status, 201);
    let put = |id: &str, change: &dyn Fn(&str) -> String| {
        let now = server.get("/api/v1/jobs/yard").as_json();
        let text = change(now["text"].as_str().unwrap());
        server.json("PUT", "/api/v1/jobs/yard", &json!({ "id": id, "version": now["version"], "text": text }))
    };
    let ohms = |id: &str, about: &str| {
        let entry = json!({ "id": id, "kind": "reading", "about": about, "words": "read", "when": "rest", "ohms": "2.2k" });
        server.json("POST", evidence, &entry)
    };
    assert_eq!(put("t1", &|text| text.replace("C01", "C09")).status, 200);
    assert_eq!(put("t2", &|text| text.replace("C09", "C01").replace("hall", "cellar")).status, 200);
    let refused = ohms("r1", "C01");
    assert_eq!(refused.status, 422);
    assert!(
        refused.text().contains("the whole text of the job was written anew since"),
        "{}",
        refused.text()
    );
    assert_eq!(read(&server, "r2", 0, "rest", "ohms", "2.2k").status, 422, "by the door for changes neither");
    assert_eq!(ohms("r3", "C02").status, 201);
    // What the entry says now stands there as an entry, once for a text that is sent twice.
    let entries = || server.get(evidence).as_json()["entries"].as_array().unwrap().clone();
    let count = entries().len();
    let newest = entries().into_iter().find(|entry| entry["entry"]["kind"] == "strip-clear").unwrap();
    assert_eq!(newest["entry"]["pairs"], json!(["C02"]));
    assert_eq!(newest["entry"]["in_doubt"], json!(["C01", "C09"]));
    assert_eq!(put("t3", &|text| format!("{text}# looked through\n")).status, 200);
    assert_eq!(entries().len(), count, "nothing of a pair was changed");
    assert_eq!(server.json("POST", evidence, &clear).status, 201);
    assert_eq!(ohms("r1", "C01").status, 201);
}

#[test]
fn what_changes_nothing_makes_no_version_and_a_byte_order_mark_goes() {
    let server = Server::start();
    server.keep("yard", SMALL);
    let same = json!({ "table": "circuit", "id": "C01", "key": "tag", "from": "C01", "to": "C01" });
    let made = server.json("POST", CHANGES, &json!({ "id": "same", "changes": [same] }));
    assert_eq!((made.status, &made.as_json()["version"]), (200, &json!(1)), "{}", made.text());
    let text = format!("\u{feff}{SMALL}# more\n");
    let put = server.json("PUT", "/api/v1/jobs/yard", &json!({ "version": 1, "text": text }));
    assert_eq!(put.status, 200, "{}", put.text());
    assert_eq!(server.get("/api/v1/jobs/yard").as_json()["text"], format!("{SMALL}# more\n"));
}

#[test]
fn a_photo_that_cannot_be_taken_keeps_its_job_in_view() {
    let server = Server::start();
    server.keep("yard", SMALL);
    assert_eq!(
        server
            .ask("POST", "/api/v1/jobs/yard/photos?about=C77", &[("content-type", "image/jpeg")], b"x")
            .status,
        422
    );
    assert_eq!(server.get("/api/v1/jobs/yard/kit?date=2026-02-30").status, 422);
    let part = |name: &str, value: &str| {
        format!("--b\r\ncontent-disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n")
    };
    let mut body = format!("{}{}", part("about", "C01"), part("back", "/j/yard/c/C01")).into_bytes();
    body.extend(b"--b\r\ncontent-disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n\xff\xd8\xff\r\n--b--\r\n");
    let kind = [("content-type", "multipart/form-data; boundary=b")];
    let refused = server.ask("POST", "/j/yard/photo", &kind, &body);
    assert_eq!(refused.status, 415, "{}", refused.text());
    for part in ["href=\"/j/yard/survey\"", "href=\"/j/yard/c/C01\"", "C01"] {
        assert!(refused.text().contains(part), "{part}: {}", refused.text());
    }
}
