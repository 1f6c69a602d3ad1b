//! The cut-over at this minute: what is under way and what is without protection, by the plan and the reader's clock.

mod shelf;

use pages::{Content, Method, answer};
use shelf::{EXAMPLE, NOW, Shelf};

fn sheet(start: &str, at: &str, ahead_min: impl Into<Option<i32>>) -> String {
    let shelf = Shelf::new();
    shelf.put("o", &format!("{EXAMPLE}\n[cutover]\nstart = \"{start}\"\n"));
    let mut request = shelf.request(Method::Get, "/j/o/cut-over");
    (request.at, request.ahead_min) = (at.to_owned(), ahead_min.into());
    match answer(&shelf, &request).content {
        Content::Html(html) => html,
        other => panic!("{other:?}"),
    }
}

/// The part that says this minute; it stands before the answer.
fn minute(html: &str) -> &str {
    let from = html.find("Now, by the plan").expect("this minute");
    assert!(from < html.find("class=\"answer\"").expect("the answer"));
    let to = html[from..].find("</section>").expect("its end");
    &html[from..from + to]
}

#[test]
fn the_minute_stands_at_the_top_and_says_what_has_no_protection() {
    let html = sheet("2026-11-23 08:00", NOW, 0);
    let now = minute(&html);
    // The unprotected list of the same plan: C08 and C09 share a core, both lie open from 14:03 until C08 is back at 14:23.
    for says in [
        "2026-11-24 14:22",
        "2 circuits are",
        "C08",
        "C09",
        "14:03",
        "The account is on test.",
        "until 14:23",
        "C08 moved and proven",
    ] {
        assert!(now.contains(says), "{says}: {now}");
    }
    // The second day of the running order is open, the others are not.
    let days: Vec<&str> = html.matches("<details class=\"printed\"").collect();
    assert!(days.len() > 4, "{}", days.len());
    let open = html.find("<details class=\"printed\" open>").expect("one day open");
    assert_eq!(html.matches("<details class=\"printed\" open>").count(), 1);
    assert!(html[open..].find("2026-11-24: ").is_some_and(|at| at < 80), "{}", &html[open..open + 120]);
}

#[test]
fn the_readers_clock_counts_and_nights_and_ends_are_said() {
    // 14:22 UTC is 09:22 five hours behind: preparing work, everything still protected.
    let html = sheet("2026-11-23 08:00", NOW, -300);
    assert!(minute(&html).contains("Nothing is without protection."), "{}", minute(&html));
    // At night nobody works, and the account is off test.
    let html = sheet("2026-11-23 08:00", "2026-11-24T23:00:00Z", 0);
    let night = minute(&html);
    assert!(night.contains("The account is off test.") && !night.contains("under way"), "{night}");
    assert!(night.contains("Next, 2026-11-25 08:00: account on test again"), "{night}");
    let html = sheet("2026-12-01 08:00", NOW, 0);
    assert!(minute(&html).contains("The work begins 2026-12-01 08:00."), "{}", minute(&html));
    let html = sheet("2026-11-02 08:00", NOW, 0);
    let after = minute(&html);
    assert!(after.contains("By the plan the work ended 2026-11-05"), "{after}");
    // What has no end is still gone.
    assert!(after.contains("C18 run 2") && after.contains("2026-11-04"), "{after}");
}

#[test]
fn without_a_date_there_is_no_minute_and_the_sheet_says_how_to_get_one() {
    let shelf = Shelf::new();
    shelf.put("o", EXAMPLE);
    let Content::Html(html) = shelf.get("/j/o/cut-over").content else { panic!("a page") };
    assert!(!html.contains("Now, by the plan") && html.contains("When it begins"));
}

#[test]
fn the_fire_alarm_comes_first_with_what_is_used_and_what_is_asked() {
    // The plan's own table says from when on it is out.
    let plan = sheet("2026-11-23 08:00", NOW, 0);
    let table = &plan[plan.find("id=\"fire\"").expect("the fire alarm goes out")..];
    let at = table.find(">2026-11-").expect("from when");
    let (day, time) = (&table[at + 1..at + 11], &table[at + 12..at + 17]);
    let (hour, min) = time.split_once(':').expect("a time");
    // Some minutes later, within the same hour.
    let min = (min.parse::<u32>().expect("minutes") + 5).min(59);
    let html = sheet("2026-11-23 08:00", &format!("{day}T{hour}:{min:02}:00Z"), 0);
    let now = minute(&html);
    let fire = now.find(&format!("The fire alarm is out since {time}, ")).expect(now);
    assert!(now[fire..].contains(" of 240 min used within 24 h (NFPA 101, 9.6.1.6)."), "{now}");
    assert!(now[fire..].contains("fire department and fire code official told at once"), "{now}");
    assert!(now[fire..].contains("after 240 min, NFPA 101, 9.6.1.6"), "{now}");
    let first = now.find("(fire)").expect("a circuit of it with its duty");
    assert!(now.find("other circuit").is_none_or(|other| first < other), "{now}");
    assert!(now.find("Intrusion: ").is_none_or(|other| first < other), "{now}");
}

/// Without script nobody tells the sheet the clock on site: it says by which clock it speaks.
#[test]
fn a_minute_by_no_known_clock_says_that_it_is_utc() {
    let html = sheet("2026-11-23 08:00", NOW, None);
    let now = minute(&html);
    assert!(now.contains("2026-11-24 14:22 UTC"), "{now}");
    assert!(now.contains("not by the clock on site"), "{now}");
    assert!(!minute(&sheet("2026-11-23 08:00", NOW, 0)).contains("not by the clock on site"));
}
