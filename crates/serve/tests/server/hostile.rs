//! What does not come from a page of ours, is too large, or is no request at all.

use std::io::{Read, Write};
use std::time::{Duration, Instant};

use crate::common::{EXAMPLE, Server, encoded};
use serde_json::json;

#[test]
fn only_our_own_name_is_answered() {
    let server = Server::start();
    let port = server.address.port();
    for host in [format!("127.0.0.1:{port}"), format!("localhost:{port}"), format!("[::1]:{port}")] {
        assert_eq!(server.ask("GET", "/", &[("host", &host)], b"").status, 200, "{host}");
    }
    for host in
        [format!("example.org:{port}"), "127.0.0.1".to_owned(), format!("127.0.0.1.example.org:{port}")]
    {
        for path in ["/", "/api/v1/jobs", "/events", "/a/x.css"] {
            assert_eq!(server.ask("GET", path, &[("host", &host)], b"").status, 421, "{host} {path}");
        }
    }
    let absolute =
        format!("GET http://example.org/ HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\nconnection: close\r\n\r\n");
    assert_eq!(server.raw(absolute.as_bytes()).status, 421);
    assert_eq!(server.raw(b"GET / HTTP/1.0\r\n\r\n").status, 421);
}

#[test]
fn another_sites_page_changes_and_reads_nothing() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let kind = ("content-type", "application/x-www-form-urlencoded");
    let as_json = ("content-type", "application/json");
    let entry = json!({ "kind": "note", "words": "from elsewhere" }).to_string();
    for site in [
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
        ("origin", "http://example.org"),
        ("origin", "null"),
    ] {
        assert_eq!(server.ask("POST", "/new", &[kind, site], b"id=x1&as=example").status, 403);
        let path = "/api/v1/jobs/yard/evidence";
        assert_eq!(server.ask("POST", path, &[as_json, site], entry.as_bytes()).status, 403);
        assert_eq!(server.ask("GET", "/api/v1/jobs/yard", &[site], b"").status, 403);
        assert_eq!(server.ask("GET", "/j/yard/events", &[site], b"").status, 403);
    }
    // A form of another site cannot call what it sends JSON.
    for kind in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x", ""] {
        let sent =
            server.ask("POST", "/api/v1/jobs/yard/evidence", &[("content-type", kind)], entry.as_bytes());
        assert_eq!(sent.status, 415, "{kind}");
    }
    assert_eq!(server.get("/api/v1/jobs").as_json()["of"], 1);
    assert_eq!(server.get("/api/v1/jobs/yard/evidence").as_json()["of"], 0);
    let asked = [("access-control-request-method", "POST"), ("origin", "http://example.org")];
    let answer = server.ask("OPTIONS", "/api/v1/jobs", &asked, b"");
    assert_eq!((answer.status, answer.header("access-control-allow-origin")), (403, ""));
}

#[test]
fn every_answer_says_what_a_browser_may_do_with_it() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let asset = pages::assets()[0].path;
    for path in
        ["/", "/nowhere", "/j/yard/circuits", "/api/v1/jobs", "/api/nowhere", "/j/yard/pack/pack.pdf", asset]
    {
        let answer = server.get(path);
        let policy = answer.header("content-security-policy");
        assert!(policy.contains("default-src 'none'") && policy.contains("frame-ancestors 'none'"), "{path}");
        assert!(!policy.contains("unsafe"), "{path}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("cross-origin-resource-policy"), "same-origin", "{path}");
        assert_eq!(answer.header("cross-origin-opener-policy"), "same-origin", "{path}");
        assert_eq!(answer.header("access-control-allow-origin"), "", "{path}");
    }
}

#[test]
fn paths_lead_nowhere_but_to_what_is_kept() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let paths = [
        "/../../etc/passwd",
        "/j/..%2f..%2fetc%2fpasswd",
        "/j/yard/photo/..%2f..%2fjobs.db",
        "/j/yard/pack/..%2fjobs.db",
        "/a/../../jobs.db",
        "/j/yard/pack/passwd",
        "/%2e%2e/jobs.db",
        "//example.org/",
        "/j/%00",
        "/j/yard%00/circuits",
        "/j/%ff%fe",
        "/%",
        "/api/v1/jobs/%2e%2e",
        "/api/v1/jobs/yard/../../../x",
        "/api//v1/jobs",
        "/j/yard/c/%3Cscript%3E",
        "/j/yard\\..\\x",
    ];
    for path in paths {
        let answer = server.get(path);
        assert!((400..=404).contains(&answer.status), "{path}: {}", answer.status);
        assert!(!answer.text().contains("root:") && !answer.text().contains("SQLite format"), "{path}");
        assert!(!answer.text().contains("<script>"), "{path}");
    }
}

#[test]
fn what_is_too_large_is_refused_and_the_server_goes_on() {
    let server = Server::start();
    let large = vec![b'a'; 21 * 1024 * 1024];
    let kind = ("content-type", "application/x-www-form-urlencoded");
    assert_eq!(server.ask("POST", "/new", &[kind], &large).status, 413);
    // Told to be small, or not told at all, and then it goes on and on.
    let mut stream = server.connect();
    let head = format!(
        "POST /new HTTP/1.1\r\nhost: {}\r\ntransfer-encoding: chunked\r\ncontent-type: application/x-www-form-urlencoded\r\n\r\n",
        server.address
    );
    stream.write_all(head.as_bytes()).unwrap();
    let chunk = [b"100000\r\n".as_slice(), &vec![b'a'; 0x10_0000], b"\r\n"].concat();
    let broke_off = (0..40).any(|_| stream.write_all(&chunk).is_err());
    let mut said = String::new();
    let _ = stream.read_to_string(&mut said);
    assert!(broke_off || said.starts_with("HTTP/1.1 413"), "{said}");
    let head = format!("GET / HTTP/1.1\r\nhost: {}\r\nx: {}\r\n\r\n", server.address, "y".repeat(70_000));
    assert!(matches!(server.raw(head.as_bytes()).status, 0 | 431));
    let many: String = (0..200).map(|at| format!("x-{at}: 1\r\n")).collect();
    let head = format!("GET / HTTP/1.1\r\nhost: {}\r\n{many}\r\n", server.address);
    assert!(matches!(server.raw(head.as_bytes()).status, 0 | 431));
    let path = format!("/j/{}", "x".repeat(20_000));
    assert!(matches!(server.get(&path).status, 0 | 404 | 414 | 431));
    let fields = "a=1&".repeat(3000);
    assert_eq!(server.ask("POST", "/new", &[kind], fields.as_bytes()).status, 413);
    assert_eq!(server.get("/").status, 200);
}

#[test]
fn what_is_no_request_is_no_harm() {
    let server = Server::start();
    for octets in [
        &b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03"[..],
        b"GET\r\n\r\n",
        b"GET / HTTP/9.9\r\n\r\n",
        b"\0\0\0\0\r\n\r\n",
        b"POST /new HTTP/1.1\r\nhost: x\r\ncontent-length: 5\r\ncontent-length: 6\r\n\r\nabcdef",
        b"POST /new HTTP/1.1\r\nhost: x\r\ncontent-length: -1\r\n\r\n",
        b"POST /new HTTP/1.1\r\nhost: x\r\ntransfer-encoding: chunked\r\n\r\nzz\r\n",
    ] {
        let status = server.raw(octets).status;
        assert!(status == 0 || (400..=505).contains(&status), "{status}");
    }
    for method in ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "BREW"] {
        let answer = server.ask(method, "/", &[], b"");
        assert_eq!((answer.status, answer.header("allow")), (405, "GET, HEAD, POST"), "{method}");
    }
    assert_eq!(server.ask("DELETE", "/api/v1/jobs", &[], b"").header("allow"), "GET, POST");
    assert_eq!(server.get("/").status, 200);
    // A line of the log cannot be made to look like two.
    let _ = server.get("/%0a%1b[31mat=2026");
    let lines = server.log.lock().unwrap();
    assert!(
        lines.iter().all(|line| line.starts_with("at=") && !line.contains(['\n', '\u{1b}'])),
        "{lines:?}"
    );
}

#[test]
fn wrong_forms_and_wrong_files_are_refused_with_a_reason() {
    let server = Server::start();
    server.keep("yard", EXAMPLE);
    let part = |head: &str, body: &str| {
        format!("--x\r\nContent-Disposition: form-data; {head}\r\n\r\n{body}\r\n--x--\r\n")
    };
    let form = ("content-type", "multipart/form-data; boundary=x");
    type Case<'a> = (&'a str, &'a [(&'a str, &'a str)], String, u16);
    let cases: [Case<'_>; 5] = [
        ("/j/yard/note", &[("content-type", "text/xml")], "<a/>".to_owned(), 415),
        ("/j/yard/note", &[form], "no parts at all".to_owned(), 400),
        ("/j/yard/note", &[form], part("name=\"a\"", "\u{fffd}").replace("--x--", "--"), 400),
        ("/j/yard/note", &[("content-type", "application/x-www-form-urlencoded")], "a=%ff".to_owned(), 400),
        ("/api/v1/jobs", &[("content-type", "application/json")], "{\"text\":".to_owned(), 400),
    ];
    for (path, headers, body, status) in cases {
        let answer = server.ask("POST", path, headers, body.as_bytes());
        assert_eq!(answer.status, status, "{path} {body}: {}", answer.text());
        assert!(answer.text().len() > 40, "{path} {body}: a reason");
    }
    let fake = part("name=\"photo\"; filename=\"x.jpg\"", "\u{0}\u{1}not a picture");
    let fake = fake
        .replace("\r\n--x--", "\r\n--x\r\nContent-Disposition: form-data; name=\"id\"\r\n\r\np1\r\n--x--");
    let answer = server.ask("POST", "/j/yard/photo", &[form], fake.as_bytes());
    assert!((400..=422).contains(&answer.status), "{}", answer.text());
}

#[test]
fn markup_comes_back_as_text() {
    let server = Server::start();
    let nasty = "<script>alert(1)</script><img src=x onerror=alert(1)>\"'&";
    let text = format!(
        "format = 1\n[site]\nname = {}\n[[circuit]]\ntag = \"C01\"\nplace = {}\n",
        json!(nasty),
        json!(nasty)
    );
    server.keep("yard", &text);
    let entry =
        json!({ "kind": "note", "words": nasty, "about": nasty, "instrument": nasty, "author": nasty });
    assert_eq!(server.json("POST", "/api/v1/jobs/yard/evidence", &entry).status, 201);
    let search = format!("/?search={}", encoded(nasty));
    for path in [
        "/",
        "/j/yard/circuits",
        "/j/yard/survey",
        "/j/yard/survey/C01",
        "/j/yard/c/C01",
        "/j/yard/record",
        &search,
    ] {
        let page = server.get(path);
        assert_eq!(page.status, 200, "{path}");
        assert!(!page.text().contains("<script>alert") && !page.text().contains("<img src=x"), "{path}");
    }
}

#[test]
fn a_slow_sender_holds_nobody_else_up() {
    let server = Server::start();
    let slow: Vec<_> = (0..40)
        .map(|_| {
            let mut stream = server.connect();
            let _ = stream.write_all(b"POST /new HTTP/1.1\r\nhost: ");
            stream
        })
        .collect();
    let begun = Instant::now();
    for _ in 0..20 {
        assert_eq!(server.get("/").status, 200);
    }
    assert!(begun.elapsed() < Duration::from_secs(5));
    drop(slow);
    server.stop().unwrap();
}
