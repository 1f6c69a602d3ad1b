//! Forms in the rooms where people look for them: words on standby, longer ways, the van, the station's list, weights.

mod dom;
mod hand;
mod shelf;

use dom::Form;
use hand::{Desk, EMPTY, html, text};
use shelf::EXAMPLE;

const SUPPLIES: &str = "/j/y/supplies";
const EQUIPMENT: &str = "/j/y/equipment";
const KIT: &str = "/j/y/kit";
const CUT_OVER: &str = "/j/y/cut-over";

/// The form of a table that stands once.
fn single(desk: &Desk, path: &str, table: &str) -> Form {
    let all = dom::forms(html(&desk.0.get(path)));
    let found = all.into_iter().find(|form| form.field("table") == table && form.field("do") == "write");
    found.unwrap_or_else(|| panic!("no form of {table} in {path}"))
}

/// Refused, with the reason in the field's own box, and what was typed still in it.
fn refused(desk: &Desk, form: &Form, key: &str, says: &str) {
    let before = desk.text();
    let answer = desk.send(form);
    assert_eq!(answer.status, 400, "{says}");
    assert!(answer.writes.is_empty());
    let page = html(&answer);
    let wrong = page
        .split("<div class=\"field\">")
        .find(|field| field.contains(&format!("name=\"{key}\"")) && field.contains("aria-invalid=\"true\""));
    let wrong = wrong.unwrap_or_else(|| panic!("{key} is not marked: {}", text(&answer)));
    let told = dom::page(wrong).text.replace('\n', " ");
    assert!(told.contains(says), "{says}: {told}");
    let typed = form.field(key);
    let again = dom::forms(page);
    assert!(again.iter().any(|again| again.field(key) == typed), "{key} still says {typed}");
    assert_eq!(desk.text(), before);
}

#[test]
fn each_is_written_said_and_taken_back_where_people_look_for_it() {
    let desk = Desk::of(EXAMPLE);
    let mut made = Vec::new();
    let mut take = |form: Form, path: &str, says: &str| {
        let id = form.field("id").to_owned();
        let answer = desk.send(&form);
        assert_eq!(
            answer.status,
            303,
            "{}",
            if answer.status == 303 { String::new() } else { text(&answer) }
        );
        let pages::Content::Redirect(to) = &answer.content else { panic!("led on") };
        assert!(to.starts_with(path), "back to {path}: {to}");
        let shown = text(&desk.0.get(to));
        assert!(shown.contains(says), "{says}: {shown}");
        made.push(id);
    };
    let standby = desk
        .form(SUPPLIES, "Add this word on standby")
        .with("k-rules", "us-intrusion-commercial")
        .with("k-supply", "P1")
        .with("k-hours", "1440 min")
        .with("k-factor", "1.25")
        .with("k-reason", "letter of the authority, 2026-11-20");
    take(standby, SUPPLIES, "Word on standby added: of which rule set us-intrusion-commercial");
    let longer = desk
        .form(EQUIPMENT, "Add this longer way")
        .with("k-from", "E2")
        .with("k-to", "E1")
        .with("k-length", "82 ft")
        .with("k-minutes", "40");
    take(
        longer,
        EQUIPMENT,
        "Longer way added: cables that end in E2, can be made longer to E1, by so much 82 ft",
    );
    let van = desk
        .form(KIT, "Add this part in the van")
        .with("k-part", "fuse")
        .with("k-value", "3.15 A")
        .with("k-count", "4");
    take(van, KIT, "Part in the van added: part fuse, its value 3.15 A, pieces, or metres 4.");
    take(
        single(&desk, EQUIPMENT, "history")
            .with("k-code", "Signal")
            .with("k-order", "day-first")
            .with("k-shift", "300 min"),
        EQUIPMENT,
        "List of the station",
    );
    take(
        single(&desk, CUT_OVER, "cutover.weights").with("k-smoke", "20").with("k-hold-up", "0"),
        CUT_OVER,
        "Weights: hold-up, smoke detection written.",
    );
    take(
        single(&desk, CUT_OVER, "cutover.weights").with("k-smoke", "30"),
        CUT_OVER,
        "Weights: smoke detection is 30.",
    );
    let written = desk.text();
    for line in [
        "hours = \"1440 min\"",
        "length = \"82 ft\"",
        "value = \"3.15 A\"",
        "shift = \"300 min\"",
        "smoke = 30",
    ] {
        assert!(written.contains(line), "{line}\n{written}");
    }
    let job = job::Job::read(&document::Source::new("job.toml", written.as_str())).expect("a job");
    assert_eq!(job.cutover.weights.len(), 2);
    assert!((job.extensions[0].length.0 - 24.99).abs() < 0.01, "82 ft are 24.99 m");
    for id in made.iter().rev() {
        assert_eq!(desk.undo(id).status, 303, "{id}");
    }
    assert_eq!(desk.text(), EXAMPLE);
}

#[test]
fn what_cannot_be_taken_is_said_beside_its_field() {
    let desk = Desk::of(EXAMPLE);
    let standby = || desk.form(SUPPLIES, "Add this word on standby").with("k-rules", "us-fire");
    refused(
        &desk,
        &standby().with("k-hours", "24"),
        "k-reason",
        "Who said so, on what paper, when is needed.",
    );
    let standby = || standby().with("k-reason", "a letter");
    refused(&desk, &standby().with("k-hours", "24"), "k-hours", "24");
    refused(&desk, &standby().with("k-factor", "20"), "k-factor", "Accepted: ");
    refused(&desk, &standby().with("k-take", "premises-1922"), "k-take", "premises-1922");
    refused(&desk, &standby().with("k-supply", "P9"), "k-supply", "P9");
    let van = || desk.form(KIT, "Add this part in the van").with("k-count", "4");
    refused(&desk, &van(), "k-part", "Part is needed.");
    refused(&desk, &van().with("k-part", "resistor"), "k-value", "Its value is needed.");
    refused(
        &desk,
        &van().with("k-part", "resistor").with("k-value", "2 A"),
        "k-value",
        "no unit of a resistance",
    );
    refused(&desk, &van().with("k-part", "ferrule").with("k-value", "2 A"), "k-value", "has no value");
    refused(
        &desk,
        &van().with("k-part", "ferrule").with("k-count", "many"),
        "k-count",
        "Accepted: a whole number",
    );
    let longer = || desk.form(EQUIPMENT, "Add this longer way").with("k-from", "E2").with("k-to", "E1");
    refused(&desk, &longer(), "k-length", "By so much is needed.");
    refused(&desk, &longer().with("k-length", "25"), "k-length", "25");
    refused(&desk, &longer().with("k-length", "25 m").with("k-to", "E9"), "k-to", "E9");
    refused(&desk, &single(&desk, CUT_OVER, "cutover.weights").with("k-smoke", "2000"), "k-smoke", "1000");
    refused(&desk, &single(&desk, EQUIPMENT, "history").with("k-shift", "27 h"), "k-shift", "27 h");
    // Entries of lists that were there before say it beside the field too.
    refused(
        &desk,
        &desk
            .form(EQUIPMENT, "Add this run of cable")
            .with("k-from", "P1")
            .with("k-to", "J99")
            .with("k-cable", "25"),
        "k-cable",
        "25",
    );
}

#[test]
fn an_empty_job_says_what_counts_where_nothing_is_written() {
    let desk = Desk::of(EMPTY);
    for (path, says) in [
        (SUPPLIES, "None: the rule sets' own hours and margins count."),
        (EQUIPMENT, "None: a circuit gets its input where its cable ends."),
        (KIT, "Nothing written yet: the usual resistors are taken to be in it, uncounted."),
        (CUT_OVER, "none of your own: the labour table's count"),
    ] {
        let shown = text(&desk.0.get(path));
        assert!(shown.contains(says), "{says}: {shown}");
    }
    let van = desk
        .form(KIT, "Add this part in the van")
        .with("k-part", "ferrule")
        .with("k-count", "9")
        .with("id", "v");
    desk.take(&van);
    assert_eq!(desk.text(), format!("{EMPTY}\n[[van]]\npart = \"ferrule\"\ncount = 9\n"));
    desk.undo("v");
    assert_eq!(desk.text(), EMPTY);
}

/// A remark in the job belongs to whoever wrote it: changing the hours of a word leaves it.
#[test]
fn a_changed_entry_keeps_its_remarks_and_a_clash_is_shown() {
    let job = format!(
        "{EMPTY}rules = [\"us-fire\"]\n\n[[standby]] # by telephone\nrules = \"us-fire\"\nhours = \"24 h\" # asked twice\nreason = \"a letter\"\n"
    );
    let desk = Desk::of(&job);
    let seen = desk.form(SUPPLIES, "Write this word on standby");
    let mut change = seen.clone().with("k-hours", "60 h").with("id", "c");
    change.fields.retain(|(name, _)| name != "out");
    desk.take(&change);
    assert_eq!(desk.text(), job.replace("24 h", "60 h"));
    let mut late = seen.with("k-hours", "72 h").with("id", "late");
    late.fields.retain(|(name, _)| name != "out");
    let clash = desk.send(&late);
    assert_eq!(clash.status, 409);
    assert!(text(&clash).contains("60 h") && text(&clash).contains("72 h"), "{}", text(&clash));
    desk.undo("c");
    assert_eq!(desk.text(), job);
}

#[test]
fn weights_in_a_table_of_their_own_stay_there() {
    let job = format!("{EMPTY}\n[cutover]\ncrew = 2\n\n[cutover.weights]\nsmoke = 20\n");
    let desk = Desk::of(&job);
    desk.take(&single(&desk, CUT_OVER, "cutover.weights").with("k-heat", "5").with("id", "w"));
    let job_then = job::Job::read(&document::Source::new("job.toml", desk.text().as_str())).expect("a job");
    assert_eq!(job_then.cutover.weights.len(), 2, "{}", desk.text());
    desk.take(
        &single(&desk, CUT_OVER, "cutover.weights").with("k-heat", "").with("k-smoke", "").with("id", "x"),
    );
    let job_then = job::Job::read(&document::Source::new("job.toml", desk.text().as_str())).expect("a job");
    assert!(job_then.cutover.weights.is_empty(), "{}", desk.text());
    desk.undo("x");
    desk.undo("w");
    assert_eq!(desk.text(), job);
}

#[test]
fn a_supply_and_an_enclosure_take_their_words_along() {
    let job = format!(
        "{EMPTY}rules = [\"us-fire\"]\n\n[[enclosure]]\nid = \"E1\"\n[[enclosure]]\nid = \"E2\"\n[[supply]]\nid = \"P1\"\n[[supply]]\nid = \"P2\"\n[[standby]]\nrules = \"us-fire\"\nsupply = \"P1\"\nreason = \"a\"\n[[standby]]\nrules = \"us-fire\"\nsupply = [\"P1\", \"P2\"]\nreason = \"b\"\n[[extension]]\nfrom = \"E2\"\nto = \"E1\"\nlength = \"9 m\"\n[[extension]]\nfrom = \"E1\"\nto = \"E2\"\nlength = \"9 m\"\n"
    );
    let desk = Desk::of(&job);
    let ask = desk.send(&desk.form(EQUIPMENT, "Take supply P1 out"));
    let says = text(&ask);
    assert!(
        says.contains("A word on standby of us-fire names it.") && says.contains("for it goes with it."),
        "{says}"
    );
    desk.take(&dom::form(html(&ask), "Take P1 out").with("id", "p"));
    assert_eq!(desk.text().matches("[[standby]]").count(), 1, "{}", desk.text());
    assert!(desk.text().contains("supply = [\"P2\"]"), "{}", desk.text());
    let ask = desk.send(&desk.form(EQUIPMENT, "Take enclosure E2 out"));
    assert!(text(&ask).contains("The longer way from E2 to E1 goes with it."), "{}", text(&ask));
    desk.take(&dom::form(html(&ask), "Take E2 out, and its name").with("id", "e"));
    assert!(!desk.text().contains("[[extension]]"), "{}", desk.text());
    desk.undo("e");
    desk.undo("p");
    assert_eq!(desk.text(), job);
}

/// Two windows: one takes an entry out that stands before the one that the other changes.
#[test]
fn an_entry_is_found_by_what_it_says() {
    let job =
        format!("{EMPTY}\n[[van]]\npart = \"label\"\ncount = 1\n\n[[van]]\npart = \"ferrule\"\ncount = 2\n");
    let desk = Desk::of(&job);
    let all = dom::forms(html(&desk.0.get(KIT)));
    let of = |at: &str| all.iter().find(|form| form.field("at") == at).expect("the entry's form").clone();
    let mut second = of("1").with("k-count", "3").with("id", "s");
    second.fields.retain(|(name, _)| name != "out");
    let mut first = of("0").with("id", "f");
    first.fields.push(("out".to_owned(), "yes".to_owned()));
    desk.take(&first);
    desk.take(&second);
    assert!(desk.text().contains("count = 3") && !desk.text().contains("label"), "{}", desk.text());
    // Taken back later: it stands where it stood.
    assert_eq!(desk.undo("f").status, 303);
    assert_eq!(desk.text(), job.replace("count = 2", "count = 3"));
}
