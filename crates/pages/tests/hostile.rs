//! Markup in every field of a job and of a request stays text.

mod dom;
mod shelf;

use pages::{Content, Method};
use proptest::prelude::*;
use shelf::Shelf;

/// Rooms with everything that a job may say.
const ROOMS: [&str; 20] = [
    "/",
    "/j/h/circuits",
    "/j/h/c/TAG",
    "/j/h/survey",
    "/j/h/survey/TAG",
    "/j/h/walk",
    "/j/h/supplies",
    "/j/h/s/P1",
    "/j/h/inputs",
    "/j/h/inputs/divide",
    "/j/h/inputs/compare",
    "/j/h/equipment",
    "/j/h/text",
    "/j/h/kit",
    "/j/h/record",
    "/j/h/c/TAG/play",
    "/j/h/survey/TAG/weigh?shown=2&unit=kohm",
    "/j/h/readings",
    "/j/h/walk?tag=TAG&pressed=TAG",
    "/j/h/survey/TAG?of=TAG&when=TAG&unit=TAG",
];

/// Pieces that have broken out of pages elsewhere.
fn hostile() -> impl Strategy<Value = String> {
    let pieces = prop::sample::select(vec![
        "<script>alert(1)</script>",
        "\"><img src=x onerror=alert(1)>",
        "' onmouseover='x",
        "</title>",
        "</textarea>",
        "<!--",
        "-->",
        "<svg/onload=x>",
        "&lt;",
        "&#x3c;b&#x3e;",
        "javascript:x",
        "]]>",
        "\u{202e}",
        "\u{0}x",
        "%3Cb%3E",
        "{{7*7}}",
        "</option></select><b>",
        "<base href=//e.example>",
        "\u{2028}",
        "'\"`",
        "x",
    ]);
    prop::collection::vec(pieces, 1..4)
        .prop_map(|pieces| format!("x{}x", pieces.concat().replace('\u{0}', "")))
}

fn quoted(text: &str) -> String {
    document::Plain::Text(text.to_owned()).literal()
}

/// As much of it as the format takes for an id.
fn name_of(text: &str) -> String {
    text.chars().filter(|letter| !job::is_unseen(*letter)).take(64).collect::<String>().trim().to_owned()
}

/// The same for a tag, which has no slash in it.
fn tag_of(text: &str) -> String {
    name_of(&text.replace('/', ""))
}

/// A job that says `text` wherever it can.
fn job(text: &str) -> String {
    let (tag, id) = (quoted(&tag_of(text)), quoted(&name_of(text)));
    let text = quoted(text);
    format!(
        r#"format = 1
[site]
name = {text}
[fire]
decision = {text}
[standing]
access = {text}
[panel]
path_out = {text}
[[enclosure]]
id = {id}
place = {text}
[[module]]
id = "M1"
enclosure = {id}
profile = "input-12"
[[device]]
id = "door"
place = {text}
access = {text}
[[circuit]]
tag = {tag}
place = {text}
was = {text}
ends_in = {id}
network = "wire:10m - nc:door - 2.2k"
found = [{{ when = "rest", ohms = "5.6k" }}]
input = "M1.1"
name = {text}
[[circuit]]
tag = "C2"
other = {text}
[[supply]]
id = "P1"
enclosure = {id}
profile = "psu-12v-2a"
battery = "vrla-12v-7ah"
outlet = {text}
loads = [{{ at = "P1", name = {text}, standby = "10 mA", alarm = "10 mA" }}]
"#
    )
}

/// Nothing of what was said has become an element or an attribute.
fn is_tame(target: &str, html: &str) -> Result<(), TestCaseError> {
    let page = dom::page(html);
    let parts = ["img", "base", "b", "iframe", "object", "embed"];
    for element in &page.elements {
        prop_assert!(!parts.contains(&element.name.as_str()), "{target}: <{}>", element.name);
        for (name, value) in &element.attributes {
            prop_assert!(!name.starts_with("on"), "{target}: {name}={value}");
            if matches!(name.as_str(), "href" | "src" | "action") {
                prop_assert!(value.starts_with('/') || value.starts_with('#'), "{target}: {name}={value}");
                prop_assert!(!value.starts_with("//"), "{target}: {name}={value}");
            }
        }
        if element.name == "script" {
            prop_assert!(element.attribute("src").is_some_and(|src| src.starts_with("/a/")), "{target}");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn what_a_job_says_stays_text(text in hostile()) {
        let shelf = Shelf::new();
        shelf.put("h", &job(&text));
        prop_assert!(matches!(shelf.get("/j/h/assess.json").content, Content::Json(_)), "the job reads");
        let tag: String = tag_of(&text).bytes().map(|byte| format!("%{byte:02X}")).collect();
        for room in ROOMS {
            let target = room.replace("TAG", &tag);
            let answer = shelf.get(&target);
            prop_assert!(answer.status < 500);
            if let Content::Html(html) = answer.content {
                is_tame(&target, &html)?;
                if room == "/j/h/c/TAG" {
                    prop_assert_eq!(answer.status, 200, "{}", html);
                }
            }
        }
    }

    #[test]
    fn what_a_request_says_stays_text(text in hostile()) {
        let shelf = Shelf::new();
        shelf.put("h", &job("plain"));
        for path in ["/", "/new", "/sheet", "/j/h/change", "/j/h/undo", "/j/h/note", "/j/h/walk", "/j/h/strip", "/j/h/circuits",
            "/j/h/survey/plain", "/j/h/c/plain", "/j/h/c/plain/remedy", "/j/h/c/plain/play", "/j/h/survey/plain/weigh", "/j/h/photo",
            "/j/h/tag", "/j/h/readings", "/j/x",
            "/j/h/equipment", "/j/h/text", "/j/h/kit", "/j/h/inputs/divide", "/j/h/inputs/compare"] {
            for method in [Method::Get, Method::Post] {
                let mut request = shelf.request(method, path);
                let names = ["q", "from", "only", "when", "shown", "unit", "device", "trip", "fault", "at", "r2", "tag", "place",
                    "duty", "words", "about", "back", "table", "of", "key", "was", "to", "change", "text", "strip", "except",
                    "name", "as", "id", "do", "list", "stood", "out", "seen", "way", "then", "version", "k-id", "k-place", "was-place", "code", "rows", "pressed", "over"];
                let all: Vec<(String, String)> = names.iter().map(|name| ((*name).to_owned(), text.clone())).collect();
                request.query.clone_from(&all);
                request.form = all;
                let answer = shelf.ask(&request);
                prop_assert!(answer.status < 500);
                // Words that a form of equipment knows, with everything else hostile.
                if path == "/j/h/equipment" && method == Method::Post {
                    for (does, table, of) in [("add", "module", ""), ("write", "enclosure", "plain"), ("write", "meter", ""), ("entry", "supply", "P1"), ("remove", "module", "M1"), ("rename", "circuit", "plain"), ("remove", "enclosure", "plain")] {
                        let known = [("do", does), ("table", table), ("of", of), ("list", "loads")];
                        for (name, value) in &mut request.form {
                            if let Some((_, known)) = known.iter().find(|(known, _)| known == name) { *value = (*known).to_owned(); }
                        }
                        if let Content::Html(html) = shelf.ask(&request).content { is_tame(path, &html)?; }
                    }
                }
                match answer.content {
                    Content::Html(html) => is_tame(path, &html)?,
                    Content::Redirect(to) => prop_assert!(to.starts_with('/') && !to.starts_with("//") && !to.contains(['\r', '\n']), "{}", to),
                    _ => {}
                }
            }
        }
        // What a photo's code and the cells of a sheet say; the name of its file too.
        let cell = text.replace('"', "\"\"");
        let sheet = format!("Tag,Place,Device,At rest,Note,{}\n\"{cell}\",\"{cell}\",\"{cell}\",\"{cell}\",\"{cell}\",\"{cell}\"\n", "Odd");
        let good = format!("Tag,Place,Note\n\"{cell}\",\"{cell}\",\"{cell}\"\n");
        let codes = format!("{text}\nloopwright:{text}/C01\nloopwright:h/{text}");
        for (path, bytes) in [("/j/h/tag", &codes), ("/j/h/tag", &text), ("/j/h/readings", &sheet), ("/j/h/readings", &good), ("/new", &good)] {
            let mut request = shelf.request(Method::Post, path);
            request.form = [("as", "sheet"), ("name", text.as_str())].map(|(key, value)| (key.to_owned(), value.to_owned())).to_vec();
            request.upload = Some(pages::Upload { field: "sheet".to_owned(), name: text.clone(), bytes: bytes.clone().into_bytes() });
            let answer = shelf.ask(&request);
            prop_assert!(answer.status < 500);
            match answer.content {
                Content::Html(html) => is_tame(path, &html)?,
                Content::Redirect(to) => prop_assert!(to.starts_with('/') && !to.starts_with("//") && !to.contains(['\r', '\n']), "{}", to),
                _ => {}
            }
        }
        // What was written down is shown, and stays text there too.
        for room in ["/", "/j/h/record", "/j/h/walk"] {
            if let Content::Html(html) = shelf.get(room).content { is_tame(room, &html)?; }
        }
    }
}
