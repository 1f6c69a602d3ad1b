//! The card of one pair at the survey: condition, digits, unit; what that makes of it at once; the next reading.

use assess::identify_one;
use document::Plain;
use identify::{Candidate, Pair, Pass, Survey, is_contradicted, plan, remarks, title};
use job::{Change, Circuit, Place, Reading, Shown, TableRef, When};
use maud::{Markup, html};
use quantity::Written;

use crate::answer::{Answer, Content, said};
use crate::changes::Act;
use crate::circuit::make_page;
use crate::clear::{refuses, why_not};
use crate::frame::{Open, Page, Tab, tag_head};
use crate::survey::{clear_form, clearances, taken_back};
use crate::world::Entry;

/// Candidates that the card shows.
const CANDIDATES_SHOWN: usize = 3;
/// Conditions that stand in the bar; the others are behind `more`.
const USUAL: [(&str, &str); 3] = [("rest", "at rest"), ("tripped", "tripped"), ("reversed", "reversed")];
/// The others.
const MORE: [(&str, &str); 7] = [
    ("joined", "joined at the far device"),
    ("opened", "opened at the far device"),
    ("after 60 s", "after a minute"),
    ("earth-a", "first leg to earth"),
    ("earth-b", "second leg to earth"),
    ("earth", "either leg to earth"),
    ("live", "live at the old terminals"),
];
/// Units, with the key that they belong to and what stands behind the digits in the file.
const UNITS: [(&str, &str, &str, &str); 5] = [
    ("kohm", "kΩ", "ohms", "k"),
    ("ohm", "Ω", "ohms", " ohm"),
    ("Mohm", "MΩ", "ohms", "M"),
    ("Vdc", "V DC", "volts_dc", " V"),
    ("Vac", "V AC", "volts_ac", " V"),
];
/// What a person writes for over range.
const OPEN_WORDS: [&str; 4] = ["open", "ol", "o.l", "over range"];

/// The card.
pub(crate) fn page(open: &Open, tag: &str) -> Answer {
    let Some(at) = place_of(open, tag) else { return make_page(open, tag, Tab::Survey) };
    let job = open.job();
    let circuit = &job.circuits[at];
    let surveyed = open.surveyed();
    let survey = surveyed.survey();
    let when = match open.request.asked("when") {
        "" => asked_first(survey, at),
        word => word.to_owned(),
    };
    let said = survey.map(|survey| of_survey(open, survey, at));
    let blocked = why_not(circuit, &clearances(open));
    let walker = open.world.evidence(open.id, "trip", &circuit.tag, 0, 1);
    let body = html! {
        div.card {
            @if let Some(says) = &blocked {
                p.answer { (crate::frame::mark("stop")) " " (says) }
                (clear_form(open, circuit.ends_in.as_ref().map_or("", |id| &id.value), Some(circuit)))
            }
            div.fresh data-fresh="walker" {
                @if let Some(trip) = walker.first().filter(|trip| taken_back(trip).is_empty()) {
                    p.trip data-trip=(trip.id) { strong { "Tripped now: " } (trip.words) " " time datetime=(trip.at) { (open.time(&trip.at)) } }
                }
            }
            form.reading method="post" action=(open.path(&["survey", tag])) data-live="#weigh" data-from=(open.path(&["survey", tag, "weigh"])) {
                (open.form_fields())
                (conditions(&when))
                (display(open))
                div id="weigh" aria-live="polite" { @if let Some(said) = &said { (said) } }
                (keys(open))
            }
            (readings(open, circuit))
        }
    };
    let mut page = Page::new(Tab::Survey, format!("Pair {tag}"), body);
    page.head = Some(tag_head(&circuit.tag, &facts(open, circuit)));
    page.beside = format!("pair {} of {}", at + 1, job.circuits.len());
    page.notes = notes(open, circuit);
    page.awake = true;
    page.answer(open)
}

/// The condition that is asked for next: rest as long as nobody read it, else what tells most.
fn asked_first(survey: Option<&Survey>, at: usize) -> String {
    let pair = survey.and_then(|survey| survey.pairs.iter().find(|pair| pair.circuit == at));
    let Some(pair) = pair else { return "rest".to_owned() };
    match pair.next.as_ref().map(|next| next.reading.act.word()) {
        Some("volts") | None => "rest".to_owned(),
        Some(word) => word.to_owned(),
    }
}

/// The circuit's place in the job.
pub(crate) fn place_of(open: &Open, tag: &str) -> Option<usize> {
    open.job().circuits.iter().position(|circuit| circuit.tag.value == tag)
}

fn facts(open: &Open, circuit: &Circuit) -> Markup {
    let ends = circuit
        .ends_in
        .as_ref()
        .map_or("no enclosure named yet".to_owned(), |id| format!("ends in {}", id.value));
    let was = if circuit.was.is_empty() { String::new() } else { format!(", was {}", circuit.was) };
    html! {
        @if circuit.place.is_empty() { span.quiet { "Nobody has said where it goes" } } @else { (view::words::capital(&circuit.place)) }
        br;
        span.quiet { (ends) (was) } " "
        a.inline href=(open.path(&["c", &circuit.tag])) { "Its sheet" }
    }
}

fn conditions(when: &str) -> Markup {
    let usual = USUAL.iter().any(|(word, _)| *word == when);
    let known = usual || MORE.iter().any(|(word, _)| *word == when);
    let when = if known { when } else { "rest" };
    let radio = |word: &str, words: &str| {
        html! {
            label.choice { input type="radio" name="when" value=(word) checked[word == when]; span { (words) } }
        }
    };
    html! {
        fieldset.conditions {
            legend.hidden { "Condition" }
            div.bar { @for (word, words) in USUAL { (radio(word, words)) } }
            details open[known && !usual] {
                summary { "more" }
                div.more {
                    @for (word, words) in MORE { (radio(word, words)) }
                    label for="device" { "What was tripped, if you know its name" }
                    input id="device" name="device" autocomplete="off" autocapitalize="off" spellcheck="false" placeholder="as door or hall_pir";
                    label.choice { input type="checkbox" name="fed" value="yes"; span { "Detectors had their supply" } }
                }
            }
        }
    }
}

fn display(open: &Open) -> Markup {
    let unit = match open.request.asked("unit") {
        "" => "kohm",
        unit => unit,
    };
    html! {
        div.display {
            label.hidden for="shown" { "What the meter shows" }
            input id="shown" name="shown" inputmode="decimal" autocomplete="off" autocapitalize="off" enterkeyhint="done" placeholder="0.00" data-pad="yes" required;
            button.back type="button" data-key="back" hidden data-script="yes" aria-label="Take the last digit off" { "\u{232b}" }
            label.hidden for="unit" { "Unit" }
            select id="unit" name="unit" {
                @for (word, words, ..) in UNITS { option value=(word) selected[word == unit] { (words) } }
            }
        }
    }
}

/// The number pad, and the two presses. Without script the phone's own pad is there.
fn keys(open: &Open) -> Markup {
    html! {
        div.keys {
            div.pad hidden data-script="yes" role="group" aria-label="Number pad" {
                @for key in ["7", "8", "9", "4", "5", "6", "1", "2", "3", "open", "0", "."] {
                    button type="button" data-key=(key) { (key) }
                }
            }
            div.presses {
                button type="submit" name="then" value="trip" { "Keep, trip next" }
                button.strong type="submit" name="then" value="next" { "Keep" span data-shown="yes" {} }
                button type="submit" name="over" value="open" formnovalidate data-plain="yes" { "Keep: over range" }
                a.button href=(open.path(&["survey"])) { "Leave it" }
            }
        }
    }
}

/// What was read of it, with the way to correct it.
fn readings(open: &Open, circuit: &Circuit) -> Markup {
    html! {
        @if !circuit.found.is_empty() {
            section {
                h2 { "Read so far" }
                ul.plain { @for reading in &circuit.found { li { (view::circuit::reading(reading)) } } }
                p.quiet { "A wrong one is taken back under Changes; the evidence keeps both." }
            }
        }
        (crate::record::photo_form(open, &circuit.tag))
    }
}

fn notes(open: &Open, circuit: &Circuit) -> Markup {
    let photos: Vec<_> =
        open.world.photos(open.id).into_iter().filter(|photo| photo.about == circuit.tag.value).collect();
    html! {
        @if !photos.is_empty() {
            section { h2 { "Photos" } @for photo in &photos { (crate::record::picture(open, photo)) } }
        }
        section {
            h2 { "Safety" }
            p { "First contact with an unknown pair: a rated meter on its highest AC range, both legs to earth. More than 1 V, or a leg to earth: no ohms are read. Over 50 V AC or 120 V DC it is an electrician's." }
        }
    }
}

/// What is known of a pair, as the card says it.
fn of_survey(open: &Open, survey: &Survey, at: usize) -> Markup {
    match survey.pairs.iter().find(|pair| pair.circuit == at) {
        Some(pair) => known(open, survey, pair),
        None => {
            html! { p.answer { "Nobody has read this pair yet. Lift it off its terminals and read it at rest." } }
        }
    }
}

/// One pair: in a sentence, its candidates, remarks, the next reading.
fn known(open: &Open, survey: &Survey, pair: &Pair) -> Markup {
    let refused = pair.evidence.refusal();
    let settled = pair.ranking.settled && !is_contradicted(survey, pair);
    let first = pair.ranking.all.first();
    html! {
        @if let Some(refusal) = refused {
            p.answer { (crate::frame::mark("stop")) " " (refusal.text()) }
            p { (refusal.remedy()) }
        } @else {
            p.answer {
                @match first {
                    Some(first) if settled => { "Settled: " (candidate_words(first)) "." }
                    Some(first) => { "Most likely: " (candidate_words(first)) "." }
                    None => "Nothing can be said of it yet.",
                }
            }
            ul.candidates {
                @for candidate in pair.ranking.listed().iter().take(CANDIDATES_SHOWN) {
                    li {
                        span { (candidate_words(candidate)) }
                        span.number-right { (percent(candidate.probability)) }
                        meter min="0" max="1" value=(format!("{:.3}", candidate.probability)) aria-label=(candidate_words(candidate)) {}
                    }
                }
            }
        }
        @if let Some(next) = pair.next.as_ref().filter(|_| refused.is_none()) {
            h2 { "Next reading" }
            p { (next.why) }
        }
        @for remark in remarks(survey, pair) {
            @if refused.is_none_or(|refusal| !remark.starts_with(&refusal.text())) { p.remark { (remark) } }
        }
        @if settled && survey.job.circuits[pair.circuit].network.is_none() {
            p.quiet { "What is settled counts at once; " a href=(open.path(&["c", &survey.job.circuits[pair.circuit].tag])) { "its sheet" } " writes it into the job." }
        }
    }
}

/// Wiring and values.
pub(crate) fn candidate_words(candidate: &Candidate) -> String {
    let values: Vec<String> = candidate.resistors.iter().map(|ohms| ohms.shown(2)).collect();
    let values = if values.is_empty() { String::new() } else { format!(": {}", values.join(", ")) };
    let unfed = if candidate.unfed > 0.5 { " (hanging open for want of a supply)" } else { "" };
    format!("{}{values}{unfed}", title(candidate.wiring))
}

/// Never rounded up to certainty, nor down to none.
fn percent(probability: f64) -> String {
    format!("{:.1}\u{2009}%", (probability * 100.0).clamp(0.1, 99.9))
}

/// What the digits that are being typed would make of the pair.
pub(crate) fn weigh(open: &Open, tag: &str) -> Answer {
    let Some(at) = place_of(open, tag) else { return said(Content::Html(String::new())) };
    let surveyed = open.surveyed();
    let Some(before) = surveyed.survey() else { return said(Content::Html(String::new())) };
    let asked = Asked::of(&open.request.query);
    let fragment = match reading(&asked, &open.job().circuits[at]) {
        Ok(Some((reading, _))) => {
            let mut job = open.job().clone();
            job.circuits[at].found.push(reading);
            match identify_one(before, &job, open.desk.library(), at) {
                Some(survey) => of_survey(open, &survey, at),
                None => html! {},
            }
        }
        Ok(None) => of_survey(open, before, at),
        Err(says) => html! { p.answer { (says) } },
    };
    said(Content::Html(fragment.into_string()))
}

/// What a form says of a reading.
struct Asked<'a> {
    when: &'a str,
    device: &'a str,
    fed: bool,
    shown: &'a str,
    unit: &'a str,
}

impl<'a> Asked<'a> {
    fn of(fields: &'a [(String, String)]) -> Self {
        let of =
            |name: &str| fields.iter().find(|(key, _)| key == name).map_or("", |(_, value)| value.trim());
        let shown = if of("over") == "open" { "open" } else { of("shown") };
        Self { when: of("when"), device: of("device"), fed: of("fed") == "yes", shown, unit: of("unit") }
    }
}

/// The reading as a job would read it, and as it stands in the file; none while nothing is typed.
fn reading(asked: &Asked, circuit: &Circuit) -> Result<Option<(Reading, Plain)>, String> {
    if asked.shown.is_empty() {
        return Ok(None);
    }
    let unit = if asked.unit.is_empty() { UNITS[0].0 } else { asked.unit };
    let Some((_, _, key, behind)) = UNITS.iter().find(|(word, ..)| *word == unit) else {
        let all: Vec<&str> = UNITS.iter().map(|(word, ..)| *word).collect();
        return Err(format!("{unit} is no unit of a reading. Accepted: {}.", all.join(", ")));
    };
    let lower = asked.shown.to_lowercase();
    let typed = match lower.as_str() {
        word if OPEN_WORDS.contains(&word) => "open".to_owned(),
        "unstable" => lower,
        digits if digits.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.' || byte == b',') => {
            // A phone's pad has a comma where its language has one.
            format!("{}{behind}", digits.replace(',', "."))
        }
        _ => asked.shown.to_owned(),
    };
    let when = match (asked.when, asked.device) {
        ("tripped", device) if !device.is_empty() => device.to_owned(),
        ("", _) => "rest".to_owned(),
        (when, _) => when.to_owned(),
    };
    // Volts at rest have a key of their own; a device is no condition of theirs.
    let mut entry = vec![("when".to_owned(), Plain::Text(when)), ((*key).to_owned(), Plain::Text(typed))];
    if asked.fed {
        entry.push(("fed".to_owned(), Plain::Bool(true)));
    }
    let plain = Plain::Table(entry);
    let text = format!(
        "format = 1\n[[circuit]]\ntag = {}\nfound = [{}]\n",
        Plain::Text(circuit.tag.value.clone()).literal(),
        plain.literal()
    );
    match job::Job::read(&document::Source::new("", text)) {
        Ok(mut job) => {
            let reading = job.circuits.pop().and_then(|mut circuit| circuit.found.pop());
            Ok(reading.map(|reading| (reading, plain)))
        }
        Err(problems) => {
            let problem = problems.first();
            let says = problem.map_or("This cannot be read.".to_owned(), |problem| {
                format!(
                    "{}. Accepted: {}.",
                    view::words::capital(&problem.text),
                    problem.accept.trim_end_matches('.')
                )
            });
            Err(says)
        }
    }
}

/// Keeps a reading: in the job, and as evidence.
pub(crate) fn keep(open: &Open, tag: &str) -> Answer {
    let here = open.path(&["survey", tag]);
    let Some(at) = place_of(open, tag) else { return make_page(open, tag, Tab::Survey) };
    let circuit = &open.job().circuits[at];
    let asked = Asked::of(&open.request.form);
    let (reading, plain) = match reading(&asked, circuit) {
        Ok(Some(both)) => both,
        Ok(None) => {
            let accept = "Type what the meter shows, or press over range.";
            return crate::frame::refused(open.request, "No digits came along.", accept, &here);
        }
        Err(says) => return crate::frame::refused(open.request, &says, "", &here),
    };
    if open.world.change(open.id, open.request.field("id")).is_none()
        && let Some(says) = refuses(circuit, &reading, &clearances(open))
    {
        return crate::frame::refused(open.request, &says, "", &here);
    }
    let words = view::circuit::reading(&reading);
    let change = Change {
        at: Place::Entry(TableRef::named("circuit", tag), "found".to_owned(), circuit.found.len()),
        from: None,
        to: Some(plain.clone()),
    };
    let unit = crate::place::encoded(asked.unit);
    let then = match open.request.field("then") {
        "trip" => format!("{here}?when=tripped&unit={unit}"),
        // Which pair that is takes a survey of the whole job: found out by the page, after the reading is kept.
        "next" => format!("{}?after={}&unit={unit}", open.path(&["survey"]), crate::place::encoded(tag)),
        _ => format!("{here}?unit={unit}"),
    };
    let mut act = Act::new(format!("{tag}: {words}."), vec![change], then);
    let id = match open.request.field("id") {
        "" => open.request.fresh_id.clone(),
        id => id.to_owned(),
    };
    act.entries.push(Entry {
        id,
        at: open.request.at.clone(),
        author: open.request.author.clone(),
        instrument: crate::clear::meter(open.job()),
        kind: "reading".to_owned(),
        about: tag.to_owned(),
        words: format!("{tag}: {words}."),
        data: data(&plain, &open.job().meter.accuracy_written()),
    });
    act.answer(open)
}

/// The keys of a reading as JSON, and how well the meter reads.
fn data(plain: &Plain, accuracy: &str) -> String {
    fn json(plain: &Plain) -> serde_json::Value {
        match plain {
            Plain::Table(entries) => entries.iter().map(|(key, value)| (key.clone(), json(value))).collect(),
            Plain::Bool(value) => (*value).into(),
            Plain::Text(text) => text.clone().into(),
            other => other.literal().into(),
        }
    }
    let mut data = json(plain);
    data["accuracy"] = accuracy.into();
    data.to_string()
}

/// Leads to the card of the pair to go on with, or to the room where there is none.
pub(crate) fn onward(open: &Open, after: &str) -> Answer {
    let next = place_of(open, after).and_then(|at| next_pair(open, at));
    let unit = open.request.asked("unit");
    let unit = UNITS.iter().find(|(word, ..)| *word == unit).map_or("", |(word, ..)| word);
    said(Content::Redirect(match next {
        Some(next) => format!("{}?unit={unit}", open.path(&["survey", &next])),
        None => open.path(&["survey"]),
    }))
}

/// The pair to go on with: the next of the plan behind this one, in the same pass.
fn next_pair(open: &Open, at: usize) -> Option<String> {
    let surveyed = open.surveyed();
    let job = open.job();
    let survey = surveyed.survey()?;
    let tasks = plan(survey);
    let pass = tasks.iter().find(|task| task.circuit != at).map_or(Pass::Strip, |task| task.pass);
    let others = || tasks.iter().filter(|task| task.circuit != at && task.pass == pass);
    let next = match pass {
        // Along the strip the order is the job's; the one behind comes before those left out earlier.
        Pass::Strip => others().find(|task| task.circuit > at).or_else(|| others().next()),
        _ => others().next(),
    };
    next.map(|task| job.circuits[task.circuit].tag.value.clone())
}

/// A reading as an entry of `found`.
pub(crate) fn written(reading: &Reading) -> Plain {
    let when = match &reading.when {
        When::Rest => "rest".to_owned(),
        When::Tripped => "tripped".to_owned(),
        When::Device(name) => name.clone(),
        When::Reversed => "reversed".to_owned(),
        When::Joined => "joined".to_owned(),
        When::Opened => "opened".to_owned(),
        When::Earth => "earth".to_owned(),
        When::EarthA => "earth-a".to_owned(),
        When::EarthB => "earth-b".to_owned(),
        When::Core(core) => format!("core {core}"),
        When::After(time) => format!("after {}", time.written()),
        When::Live => "live".to_owned(),
    };
    let mut entry = vec![("when".to_owned(), Plain::Text(when))];
    for shown in &reading.shown {
        let key = match shown {
            Shown::Ohms(_) => "ohms",
            Shown::VoltsDc(_) => "volts_dc",
            Shown::VoltsAc(_) => "volts_ac",
            Shown::Amps(_) => "amps",
        };
        entry.push((key.to_owned(), Plain::Text(identify::as_typed(shown))));
    }
    if reading.fed {
        entry.push(("fed".to_owned(), Plain::Bool(true)));
    }
    Plain::Table(entry)
}
