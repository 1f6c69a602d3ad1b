//! Windows, changes and what is kept: through pages, through the doors for programs, and side by side.

use std::io::{BufRead, BufReader, Write};
use std::time::Duration;

use crate::common::{EXAMPLE, Server};
use assess::wire::{AllocationJson, AssessmentJson, CutoverJson, IdentifyJson, KitJson};
use serde_json::{Value, json};

fn set_name(id: &str, from: &Value, to: &str) -> Value {
    json!({ "id": id, "changes": [{ "table": "site", "key": "name", "from": from, "to": to }] })
}

#[test]
fn the_example_is_one_press_away() {
    let server = Server::start();
    let first = server.get("/");
    assert_eq!(first.status, 200);
    assert!(first.text().contains("value=\"example\""));
    let made = server.form("/new", &[("id", "demo1"), ("as", "example")]);
    assert_eq!(made.status, 303);
    let place = made.header("location").to_owned();
    let again = server.form("/new", &[("id", "demo1"), ("as", "example")]);
    assert_eq!(again.status, 303, "the same press twice");
    for room in ["survey", "circuits", "supplies", "record"] {
        assert_eq!(server.get(&format!("{place}/{room}")).status, 200, "{room}");
    }
    let rows = server.get("/api/v1/jobs").as_json();
    assert_eq!(rows["jobs"][0]["circuits"], 36);
    let answer = || server.get("/api/v1/jobs").as_json()["jobs"][0]["answer"].as_str().unwrap().to_owned();
    let said = (0..200).map(|_| answer()).find(|answer| {
        std::thread::sleep(Duration::from_millis(50));
        !answer.is_empty()
    });
    assert!(said.unwrap().contains("25 of 36"));
}

#[test]
fn what_was_made_from_an_old_version_is_refused_and_loses_nothing() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let path = "/api/v1/jobs/yard";
    let text = |note: &str| format!("{EXAMPLE}\n# {note}\n");
    let first = server.json("PUT", path, &json!({ "version": 1, "id": "p1", "text": text("one") }));
    assert_eq!((first.status, first.as_json()["version"].clone()), (200, json!(2)));
    let stale = server.json("PUT", path, &json!({ "version": 1, "id": "p2", "text": text("two") }));
    assert_eq!(stale.status, 409);
    assert!(stale.as_json()["errors"][0]["text"].as_str().unwrap().contains("version 2"));
    let again = server.json("PUT", path, &json!({ "version": 1, "id": "p1", "text": text("one") }));
    assert_eq!((again.status, again.as_json()["version"].clone()), (200, json!(2)), "the same twice is one");
    let kept = server.get(path).as_json();
    assert_eq!((kept["version"].clone(), kept["text"].as_str().unwrap()), (json!(2), text("one").as_str()));
    let broken =
        server.json("PUT", path, &json!({ "version": 2, "text": "format = 1\n[site]\nnmae = \"x\"\n" }));
    assert_eq!(broken.status, 422);
    assert_eq!(broken.as_json()["errors"][0]["line"], 3);
}

#[test]
fn changes_of_different_values_both_stand_and_of_the_same_value_one() {
    let server = Server::start();
    server.keep("yard", "format = 1\n[site]\nname = \"Yard\" # as people say\n[[circuit]]\ntag = \"C01\"\n");
    let path = "/api/v1/jobs/yard/changes";
    let name = json!("Yard");
    assert_eq!(server.json("POST", path, &set_name("c1", &name, "Mill Lane")).status, 200);
    // Made from the same old page, about something else.
    let place = json!({ "id": "c2", "changes": [
        { "table": "circuit", "id": "C01", "key": "place", "from": Value::Null, "to": "elsewhere" }] });
    let other = server.json("POST", path, &place);
    assert_eq!(other.status, 200, "{}", other.text());
    let text = server.get("/api/v1/jobs/yard").as_json()["text"].clone();
    assert!(text.as_str().unwrap().contains("name = \"Mill Lane\" # as people say"), "{text}");
    assert!(text.as_str().unwrap().contains("place = \"elsewhere\""), "{text}");
    // Made from the same old page, about the same.
    let late = server.json("POST", path, &set_name("c3", &name, "Barn"));
    assert_eq!(late.status, 409);
    assert!(late.as_json()["errors"][0]["text"].as_str().unwrap().contains("Mill Lane"), "{}", late.text());
    let versions = server.get(path).as_json();
    let ids: Vec<&str> =
        versions["versions"].as_array().unwrap().iter().map(|one| one["id"].as_str().unwrap()).collect();
    assert_eq!(ids, ["c2", "c1", "first"]);
    assert_eq!(versions["versions"][1]["changes"][0]["to"], "Mill Lane");
}

#[test]
fn many_windows_at_once_lose_nothing() {
    let server = Server::start();
    server.keep("yard", "format = 1\n");
    let circuit = |at: usize| {
        json!({ "id": format!("new-{at}"), "changes": [{ "table": "circuit", "id": format!("C{at:02}"),
            "from": Value::Null, "to": { "tag": format!("C{at:02}"), "place": format!("room {at}") } }] })
    };
    std::thread::scope(|scope| {
        for at in 0..24 {
            let server = &server;
            scope.spawn(move || {
                for _ in 0..50 {
                    let answer = server.json("POST", "/api/v1/jobs/yard/changes", &circuit(at));
                    match answer.status {
                        200 => return,
                        503 => {}
                        other => panic!("{other}: {}", answer.text()),
                    }
                }
                panic!("never");
            });
        }
    });
    let kept = server.get("/api/v1/jobs/yard").as_json();
    assert_eq!(kept["version"], 25);
    for at in 0..24 {
        assert!(kept["text"].as_str().unwrap().contains(&format!("\"room {at}\"")), "{at}");
    }
}

#[test]
fn another_window_hears_of_a_change() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    server.keep("barn", EXAMPLE);
    let mut stream = server.connect();
    let head = format!("GET /j/yard/events HTTP/1.1\r\nhost: {}\r\n\r\n", server.address);
    stream.write_all(head.as_bytes()).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(5))).unwrap();
    let mut lines = BufReader::new(stream).lines();
    let mut next = || loop {
        let line = lines.next().unwrap().unwrap();
        if let Some(data) = line.strip_prefix("data: ") {
            return data.to_owned();
        }
    };
    assert_eq!(next(), "1");
    let entry = json!({ "id": "e1", "kind": "note", "words": "seen" });
    assert_eq!(server.json("POST", "/api/v1/jobs/barn/evidence", &entry).status, 201);
    assert_eq!(server.json("POST", "/api/v1/jobs/yard/evidence", &entry).status, 201);
    assert_eq!(next(), "1", "evidence is a change too");
    let name = json!("Orchard Row Veterinary Hospital");
    assert_eq!(server.json("POST", "/api/v1/jobs/yard/changes", &set_name("c1", &name, "Mill")).status, 200);
    assert_eq!(next(), "2");
    // Open windows do not keep the server from stopping.
    server.stop().unwrap();
}

#[test]
fn windows_have_an_end() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let head = format!("GET /j/yard/events HTTP/1.1\r\nhost: {}\r\n\r\n", server.address);
    let windows: Vec<_> = (0..64)
        .map(|_| {
            let mut stream = server.connect();
            stream.write_all(head.as_bytes()).unwrap();
            let mut lines = BufReader::new(stream);
            let mut line = String::new();
            lines.read_line(&mut line).unwrap();
            assert!(line.contains("200"), "{line}");
            lines
        })
        .collect();
    assert_eq!(server.get("/j/yard/events").status, 503);
    drop(windows);
    assert!((0..50).any(|_| {
        std::thread::sleep(Duration::from_millis(50));
        let mut stream = server.connect();
        stream.write_all(head.as_bytes()).unwrap();
        let mut line = String::new();
        BufReader::new(stream).read_line(&mut line).unwrap();
        line.contains("200")
    }));
}

#[test]
fn evidence_comes_once_and_stays() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let path = "/api/v1/jobs/yard/evidence";
    let entry = json!({ "id": "e1", "kind": "reading", "about": "C01", "words": "2.21 kohm at rest", "ohms": 2210,
        "at": "2026-03-14T09:26:53Z", "instrument": "meter 7" });
    assert_eq!(server.json("POST", path, &entry).status, 201);
    let other = server.json("POST", path, &json!({ "id": "e1", "kind": "note", "words": "something else" }));
    assert_eq!(other.status, 409);
    let again = server.json("POST", path, &entry);
    assert_eq!((again.status, again.as_json()["new"].clone()), (200, json!(false)));
    let kept = server.get(path).as_json();
    let mut expected = entry.clone();
    expected["author"] = json!("A. Person");
    assert_eq!((kept["of"].clone(), kept["entries"][0]["entry"].clone()), (json!(1), expected));
    assert_eq!(server.get(&format!("{path}?kind=trip")).as_json()["entries"], json!([]));
    assert_eq!(
        server.json("POST", path, &json!({ "kind": "note", "words": "x", "at": "yesterday" })).status,
        422
    );
    assert_eq!(server.json("POST", "/api/v1/jobs/barn/evidence", &entry).status, 404);
    let lines = server.get("/j/yard/evidence.jsonl").text();
    assert_eq!(lines.lines().count(), 1);
    assert!(lines.contains("\"ohms\":2210"));
}

#[test]
fn a_photo_is_kept_without_what_came_with_it() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let mut jpeg = Vec::new();
    image::codecs::jpeg::JpegEncoder::new(&mut jpeg)
        .encode(&[200; 64 * 48 * 3], 64, 48, image::ExtendedColorType::Rgb8)
        .unwrap();
    jpeg.splice(2..2, b"\xff\xe1\0\x14Exif\0\0SECRET PLACE".to_vec());
    let mut body = Vec::new();
    for (name, value) in [("id", "photo1"), ("about", "C01")] {
        body.extend(
            format!("--x\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n").bytes(),
        );
    }
    body.extend(b"--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"IMG.jpg\"\r\nContent-Type: image/jpeg\r\n\r\n");
    body.extend(&jpeg);
    body.extend(b"\r\n--x--\r\n");
    let form = ("content-type", "multipart/form-data; boundary=x");
    let sent = server.ask("POST", "/j/yard/photo", &[form], &body);
    assert_eq!(sent.status, 303, "{}", sent.text());
    let photo = server.get("/j/yard/photo/photo1");
    assert_eq!((photo.status, photo.header("content-type")), (200, "image/jpeg"));
    assert!(photo.body.starts_with(b"\xff\xd8"));
    assert!(!photo.body.windows(6).any(|part| part == b"SECRET"));
    assert_eq!(server.get("/j/barn/photo/photo1").status, 404);
}

#[test]
fn documents_and_assets_come_as_files() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let pack = server.get("/j/yard/pack/pack.pdf?paper=letter");
    assert_eq!(
        (pack.status, pack.text().as_str(), pack.header("content-type")),
        (200, "letter 36 change 1 checked \"\"", "application/pdf")
    );
    assert_eq!(pack.header("content-disposition"), "inline; filename=\"yard-pack.pdf\"");
    assert_eq!(server.get("/j/yard/pack/tags.pdf").status, 404, "this packer makes none");
    let asset = pages::assets().iter().find(|asset| asset.media_type.starts_with("text/css")).unwrap();
    let plain = server.get(asset.path);
    assert_eq!((plain.status, plain.body.as_slice()), (200, asset.bytes));
    assert!(plain.header("cache-control").contains("immutable"));
    let packed = server.ask("GET", asset.path, &[("accept-encoding", "gzip")], b"");
    assert_eq!(packed.header("content-encoding"), "gzip");
    assert!(packed.body.len() < asset.bytes.len());
    let known = server.ask("GET", asset.path, &[("if-none-match", plain.header("etag"))], b"");
    assert_eq!((known.status, known.body.len()), (304, 0));
    let head = server.ask("HEAD", "/j/yard/circuits", &[], b"");
    assert_eq!((head.status, head.body.len()), (200, 0));
}

#[test]
fn what_is_under_way_is_finished_before_the_server_stops() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let address = server.address;
    let asking = std::thread::spawn(move || {
        let mut stream = std::net::TcpStream::connect(address).unwrap();
        let body = json!({ "id": "late", "kind": "note", "words": "seen" }).to_string();
        let head = format!(
            "POST /api/v1/jobs/yard/evidence HTTP/1.1\r\nhost: {address}\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n",
            body.len()
        );
        stream.write_all(head.as_bytes()).unwrap();
        std::thread::sleep(Duration::from_millis(400));
        stream.write_all(body.as_bytes()).unwrap();
        let mut line = String::new();
        BufReader::new(stream).read_line(&mut line).unwrap();
        line
    });
    std::thread::sleep(Duration::from_millis(150));
    server.stop().unwrap();
    assert!(asking.join().unwrap().starts_with("HTTP/1.1 201"));
    assert!(std::net::TcpStream::connect(address).is_err());
}

#[test]
fn the_description_of_the_doors_is_as_it_was_read() {
    let server = Server::start();
    let described = server.get("/api/openapi.json").as_json();
    assert_eq!(described, serve::api_description());
    // What the engines say has schemas of its own, which `loopwright schema` prints.
    let engines = [
        AssessmentJson::schema(),
        IdentifyJson::schema(),
        AllocationJson::schema(),
        CutoverJson::schema(),
        KitJson::schema(),
    ];
    let own = ["AssessmentJson", "IdentifyJson", "AllocationJson", "CutoverJson", "KitJson"];
    let theirs: Vec<&String> = engines
        .iter()
        .filter_map(|schema| schema["$defs"].as_object())
        .flat_map(|defs| defs.keys())
        .collect();
    let mut described = described;
    let schemas = described["components"]["schemas"].as_object_mut().unwrap();
    schemas.retain(|name, _| !theirs.contains(&name) && !own.contains(&name.as_str()));
    insta::assert_snapshot!("openapi", serde_json::to_string_pretty(&described).unwrap());
}

#[test]
fn four_readers_of_different_pairs_are_never_refused() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let before = EXAMPLE.matches("4.71k").count();
    std::thread::scope(|scope| {
        let reading = |writer: usize| {
            let (server, path) = (&server, format!("/j/yard/survey/C0{}", writer + 1));
            move || {
                for at in 0..12 {
                    let id = format!("w{writer}-{at}");
                    let fields = [
                        ("id", id.as_str()),
                        ("when", "rest"),
                        ("shown", "4.71"),
                        ("unit", "kohm"),
                        ("then", "next"),
                    ];
                    let answer = server.form(&path, &fields);
                    assert_eq!(answer.status, 303, "{}", answer.text());
                }
            }
        };
        let all: Vec<_> = (0..4).map(|writer| scope.spawn(reading(writer))).collect();
        for one in all {
            one.join().unwrap();
        }
    });
    let kept = server.get("/api/v1/jobs/yard").as_json();
    assert_eq!(kept["version"], 49);
    assert_eq!(kept["text"].as_str().unwrap().matches("4.71k").count(), before + 48);
    assert_eq!(server.get("/api/v1/jobs/yard/evidence?kind=reading").as_json()["of"], 48);
    // The list says what it comes to, a little later.
    let said = (0..200).any(|_| {
        std::thread::sleep(Duration::from_millis(50));
        let rows = server.get("/api/v1/jobs").as_json();
        !rows["jobs"][0]["answer"].as_str().unwrap().is_empty()
    });
    assert!(said);
}

#[test]
fn an_id_with_other_content_is_refused_and_what_stands_is_shown() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let path = "/api/v1/jobs/yard/evidence";
    let note = |words: &str, kind: &str| json!({ "id": "n1", "kind": kind, "about": "C01", "words": words });
    assert_eq!(server.json("POST", path, &note("rust", "note")).status, 201);
    let again = server.json("POST", path, &note("rust", "note"));
    assert_eq!((again.status, again.as_json()["new"].clone()), (200, json!(false)));
    for other in [note("dust", "note"), note("rust", "reading")] {
        let other = server.json("POST", path, &other);
        assert_eq!(other.status, 409, "{}", other.text());
        assert!(other.as_json()["errors"][0]["text"].as_str().unwrap().contains("rust"));
    }
    // A reading under the note's id: neither half of it is written.
    let fields = |id| [("id", id), ("when", "rest"), ("shown", "4.71"), ("unit", "kohm")];
    assert_eq!(server.form("/j/yard/survey/C02", &fields("n1")).status, 409);
    assert_eq!(server.get("/api/v1/jobs/yard").as_json()["version"], 1);
    assert_eq!(server.form("/j/yard/survey/C02", &fields("r1")).status, 303);
    assert_eq!(server.form("/j/yard/survey/C02", &fields("r1")).status, 303, "the same twice is one");
    let other = [("id", "r1"), ("when", "rest"), ("shown", "9.9"), ("unit", "kohm")];
    let other = server.form("/j/yard/survey/C02", &other);
    assert_eq!(other.status, 409);
    assert!(other.text().contains("4.71"), "{}", other.text());
    assert_eq!(server.get("/api/v1/jobs/yard").as_json()["version"], 2);
}
