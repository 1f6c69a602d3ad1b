//! Every way that pages offer, followed: none leads nowhere, every page is HTML by the standard, nothing stands in it that a
//! strict content security policy would refuse.

mod dom;
mod shelf;

use std::collections::{BTreeMap, BTreeSet};

use pages::{Content, Method, assets};
use shelf::{EXAMPLE, Shelf};

/// Paths that whoever serves the pages answers itself.
const OF_SERVE: [&str; 4] = ["/pack/", "/photo/", "/events", "/evidence.jsonl"];

/// Follows everything from a path on.
fn crawl(shelf: &Shelf, from: &str) -> BTreeMap<String, String> {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    let mut told: BTreeSet<String> = BTreeSet::from([from.to_owned()]);
    let mut left = vec![from.to_owned()];
    while let Some(target) = left.pop() {
        let answer = shelf.get(&target);
        let html = match answer.content {
            Content::Html(html) => html,
            Content::Redirect(to) => {
                if told.insert(to.clone()) {
                    left.push(to);
                }
                continue;
            }
            _ => continue,
        };
        assert_eq!(answer.status, 200, "{target}");
        let page = dom::page(&html);
        assert_eq!(page.errors, Vec::<String>::new(), "{target}");
        for element in &page.elements {
            let to = match element.name.as_str() {
                "a" => element.attribute("href"),
                "link" => element.attribute("href"),
                "script" | "img" => element.attribute("src"),
                "form" if element.attribute("method") == Some("get") => element.attribute("action"),
                _ => None,
            };
            let Some(to) = to else { continue };
            let is_asset = assets().iter().any(|asset| asset.path == to);
            if to.starts_with('#') || is_asset || OF_SERVE.iter().any(|part| to.contains(part)) {
                continue;
            }
            assert!(to.starts_with('/') && !to.starts_with("/a/"), "{target} leads to {to}");
            let to = to.split('#').next().unwrap_or(to).to_owned();
            if told.insert(to.clone()) {
                left.push(to);
            }
        }
        seen.insert(target, html);
    }
    seen
}

#[test]
fn no_way_leads_nowhere_and_every_page_is_html_by_the_standard() {
    let shelf = Shelf::new();
    shelf.put("orchard-row", EXAMPLE);
    shelf.post("/j/orchard-row/note", &[("words", "The attic key hangs at reception.")]);
    shelf.post("/j/orchard-row/walk", &[("tag", "C05")]);
    let seen = crawl(&shelf, "/");
    // 36 circuits with a sheet and a card each, the rooms, the list and what belongs to them.
    assert!(seen.len() > 36 * 2 + 10, "{}", seen.len());
    for (target, html) in &seen {
        let page = dom::page(html);
        let mut ids = BTreeSet::new();
        for element in &page.elements {
            for (name, value) in &element.attributes {
                assert!(!name.starts_with("on") && name != "style", "{target}: {name}={value}");
                if name == "id" {
                    assert!(ids.insert(value.clone()), "{target}: two of id {value}");
                }
            }
            assert_ne!(element.name, "style", "{target}");
            let loads = element.name == "script" && element.attribute("src").is_some();
            assert!(element.name != "script" || loads, "{target}: an inline script");
        }
        // A page has presses; options of a command line help nobody there.
        let option = page.text.split_whitespace().find(|word| {
            word.strip_prefix("--")
                .is_some_and(|name| name.starts_with(|letter: char| letter.is_ascii_lowercase()))
        });
        assert_eq!(option, None, "{target}");
        let headings = page.elements.iter().filter(|element| element.name == "h1").count();
        assert_eq!(headings, 1, "{target}");
    }
}

#[test]
fn every_label_and_every_described_part_is_there() {
    let shelf = Shelf::new();
    shelf.put("orchard-row", EXAMPLE);
    for (target, html) in crawl(&shelf, "/j/orchard-row/c/C06") {
        let page = dom::page(&html);
        let ids: BTreeSet<&str> =
            page.elements.iter().filter_map(|element| element.attribute("id")).collect();
        for element in &page.elements {
            for name in ["for", "aria-labelledby"] {
                if let Some(of) = element.attribute(name) {
                    assert!(ids.contains(of), "{target}: {name}={of}");
                }
            }
            if let Some(live) = element.attribute("data-live") {
                assert!(ids.contains(live.trim_start_matches('#')), "{target}: {live}");
            }
        }
    }
}

#[test]
fn what_is_not_there_says_so() {
    let shelf = Shelf::new();
    shelf.put("orchard-row", EXAMPLE);
    for target in ["/j/none", "/j/orchard-row/none", "/none", "/j/orchard-row/s/P9", "/j/orchard-row/c/C99/x"]
    {
        assert_eq!(shelf.get(target).status, 404, "{target}");
    }
    // A tag that nobody has seen is an offer to make its circuit.
    let answer = shelf.get("/j/orchard-row/c/C99");
    let Content::Html(html) = answer.content else { panic!("a page") };
    assert_eq!(answer.status, 404);
    assert!(html.contains("Make circuit C99"));
    for target in ["/j/orchard-row/undo", "/j/orchard-row/strip", "/j/orchard-row/change"] {
        assert_eq!(shelf.get(target).status, 405, "{target}");
    }
    assert_eq!(shelf.ask(&shelf.request(Method::Post, "/j/orchard-row/record")).status, 405);
}

/// Scripts and styles and the page itself, as they come over the line: a first look at a circuit costs less than 100 kB.
#[test]
fn a_first_load_is_small() {
    use std::io::Write as _;
    let shelf = Shelf::new();
    shelf.put("orchard-row", EXAMPLE);
    let packed = |bytes: &[u8]| {
        let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
        encoder.write_all(bytes).expect("into memory");
        encoder.finish().expect("into memory").len()
    };
    let common: usize = assets()
        .iter()
        .filter(|asset| asset.media_type != "font/woff2")
        .map(|asset| packed(asset.bytes))
        .sum();
    for (target, html) in crawl(&shelf, "/j/orchard-row/circuits") {
        let all = common + packed(html.as_bytes());
        assert!(all < 100_000, "{target}: {all}");
    }
    let fonts: usize =
        assets().iter().filter(|asset| asset.media_type == "font/woff2").map(|asset| asset.bytes.len()).sum();
    assert!(fonts < 100_000, "{fonts}");
}
