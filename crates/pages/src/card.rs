//! The card of one pair at the survey: condition, digits, unit; what that makes of it at once; the next reading.

use assess::clear::Wanted;
use assess::identify_one;
use identify::{Candidate, Pair, Pass, Survey, is_contradicted, plan, remarks, title};
use job::{Change, Circuit, Place, TableRef};
use maud::{Markup, html};
use quantity::Written;

use crate::answer::{Answer, Content, said};
use crate::card_form::{conditions, display, keys, letters};
use crate::changes::Act;
use crate::circuit::make_page;
use crate::clear::{in_the_way, is_foreign, refuses, wanted, why_not};
use crate::clock;
use crate::frame::{Open, Page, Tab, WROTE, having_written, tag_head};
use crate::survey::{clear_form, clearances, taken_back};
use crate::typed::{Asked, UNITS, data, reading, when_word};
use crate::world::Entry;

/// Candidates that the card shows.
const CANDIDATES_SHOWN: usize = 3;
/// For so many seconds a trip of another pair is told here.
const TRIP_S: i64 = 180;
/// The card.
pub(crate) fn page(open: &Open, tag: &str) -> Answer {
    card(open, tag, None)
}

/// The card with what was sent of it and is not kept, and why.
fn card(open: &Open, tag: &str, sent: Option<(&Asked, &str)>) -> Answer {
    let Some(at) = place_of(open, tag) else { return make_page(open, tag, Tab::Survey) };
    let job = open.job();
    let circuit = &job.circuits[at];
    let surveyed = open.surveyed();
    let survey = surveyed.survey();
    let clearances = clearances(open);
    let blocked = why_not(circuit, &clearances);
    let (usual, usual_unit) = match wanted(circuit, &clearances) {
        Some(first) => (when_word(first.when()), unit_of(&first)),
        None => (asked_first(survey, at), ""),
    };
    let when = match (open.request.asked("when"), sent) {
        (_, Some((sent, _))) if !sent.when.is_empty() => sent.when.to_owned(),
        ("", _) => usual,
        (word, _) => word.to_owned(),
    };
    // Another quantity begins in its usual unit; what only one reading wanted stays with that one.
    let unit = match (open.request.asked("unit"), sent) {
        (_, Some((sent, _))) => sent.unit,
        (word @ ("kohm" | "ohm"), _) if usual_unit.is_empty() => word,
        (word @ ("Vac" | "Vdc"), _) if usual_unit.starts_with('V') && !is_foreign(circuit) => word,
        _ => usual_unit,
    };
    let said = survey.map(|survey| of_survey(open, survey, at, circuit));
    let body = html! {
        div.card {
            @if let Some((_, says)) = sent {
                p.answer.wrong role="alert" { (says) }
                p.quiet { "Nothing was kept yet; what you typed stands below." }
            }
            @if let Some(says) = &blocked {
                // What stands against the pair itself is said below; no press for the whole strip takes it away.
                // In one line, so that condition and display are in sight; the rest is behind it.
                @let (head, rest) = says.split_once(": ").unwrap_or((says, ""));
                details.stop-line {
                    summary { (crate::frame::mark("stop")) " " (head) }
                    p { (view::words::capital(rest)) }
                }
                @if !is_foreign(circuit) {
                    (clear_form(open, circuit.ends_in.as_ref().map_or("", |id| &id.value), Some(circuit)))
                }
            }
            (walker(open, tag))
            form.reading method="post" action=(open.path(&["survey", tag])) data-live="#weigh" data-from=(open.path(&["survey", tag, "weigh"])) {
                (open.form_fields())
                (before(open, survey, at))
                (conditions(&when, sent.map(|(sent, _)| sent)))
                (display(unit, sent.map_or("", |(sent, _)| sent.shown)))
                div id="weigh" aria-live="polite" { @if let Some(said) = &said { (said) } }
                (keys(open, unit))
            }
            (readings(open, circuit))
        }
    };
    let mut page = Page::new(Tab::Survey, format!("Pair {tag}"), body);
    page.head = Some(tag_head(&circuit.tag, &facts(open, circuit, at)));
    page.notes = notes(open, circuit);
    page.awake = true;
    if sent.is_some() {
        page.status = 400;
    }
    page.answer(open)
}

/// What whoever walks has tripped last, where that was a moment ago; of this pair, whenever it was.
fn walker(open: &Open, tag: &str) -> Markup {
    let trips = |about: &str| open.world.evidence(open.id, "trip", about, 0, 1).pop();
    let is_new = |trip: &Entry| {
        let age = clock::seconds_between(&trip.at, &open.request.at);
        trip.about == tag || age.is_some_and(|age| age <= TRIP_S)
    };
    let trip = trips("").filter(is_new).or_else(|| trips(tag)).filter(|trip| taken_back(trip).is_empty());
    html! {
        div.fresh data-fresh="walker" {
            @if let Some(trip) = trip {
                p.trip data-trip=(trip.id) {
                    strong { "Tripped now: " }
                    @if trip.about == tag { (trip.words) }
                    @else { a href=(format!("{}?when=tripped", open.path(&["survey", &trip.about]))) { (trip.words) } }
                    " " time datetime=(trip.at) { (open.time(&trip.at)) }
                }
            }
        }
    }
}

/// What the pair that was kept a moment ago came to, where this is the next one.
fn before(open: &Open, survey: Option<&Survey>, at: usize) -> Markup {
    let tag = open.request.asked("of");
    let place = place_of(open, tag).filter(|place| *place != at);
    let pair = place.and_then(|place| survey?.pairs.iter().find(|pair| pair.circuit == place));
    html! {
        @if let (Some(pair), Some(survey)) = (pair, survey) {
            p.before { a href=(open.path(&["survey", tag])) { (tag) } ": " (in_a_sentence(survey, pair)) }
        }
    }
}

/// The unit that a reading before ohms begins in.
fn unit_of(wanted: &Wanted) -> &'static str {
    match wanted {
        Wanted::VoltsAc(_) => "Vac",
        Wanted::VoltsDc(_) => "Vdc",
        Wanted::Amps(_) => "mA",
        Wanted::Earth(_) => "Mohm",
    }
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

fn facts(open: &Open, circuit: &Circuit, at: usize) -> Markup {
    let ends = circuit
        .ends_in
        .as_ref()
        .map_or("no enclosure named yet".to_owned(), |id| format!("ends in {}", id.value));
    let was = if circuit.was.is_empty() { String::new() } else { format!(", was {}", circuit.was) };
    let of = open.job().circuits.len();
    html! {
        span.fact { @if circuit.place.is_empty() { span.quiet { "Nobody has said where it goes" } } @else { (view::words::capital(&circuit.place)) } } " "
        span.fact.quiet { "pair " (at + 1) " of " (of) ", " (ends) (was) } " "
        a.sheet-link href=(open.path(&["c", &circuit.tag])) { "Its sheet" }
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
        section { h2 { "To another pair" } (crate::tag::tag_form(open)) }
    }
}

fn notes(open: &Open, circuit: &Circuit) -> Markup {
    let photos: Vec<_> =
        open.world.photos(open.id).into_iter().filter(|photo| photo.about == circuit.tag.value).collect();
    html! {
        @if !photos.is_empty() {
            section { h2 { "Photos" } @for photo in &photos { (crate::record::picture(open, photo)) } }
        }
        (letters())
        section {
            h2 { "Safety" }
            p { "First contact with an unknown pair: a rated meter on its highest AC range, both legs to earth. More than 1 V, or a leg to earth: no ohms are read. Over 50 V AC or 120 V DC it is an electrician's." }
        }
    }
}

/// What is known of a pair, as the card says it, and what is read of it next: the survey knows best, but for what has to be
/// known before any ohms.
fn of_survey(open: &Open, survey: &Survey, at: usize, circuit: &Circuit) -> Markup {
    let first = wanted(circuit, &clearances(open));
    let pair = survey.pairs.iter().find(|pair| pair.circuit == at);
    html! {
        @match pair {
            Some(pair) => (known(survey, pair)),
            None => p.answer {
                "Nobody has read this pair yet."
                @if first.is_none() { " Lift it off its terminals and read it at rest." }
            },
        }
        @match (&first, pair) {
            (Some(first), _) => { h2 { "Next reading" } p { (view::words::capital(&first.words())) ", before any ohms." } },
            (None, Some(pair)) => (next(pair)),
            (None, None) => {},
        }
        @if let Some(pair) = pair { (remarked(open, survey, pair)) }
    }
}

/// The reading that tells most.
fn next(pair: &Pair) -> Markup {
    let next = pair.next.as_ref().filter(|_| pair.evidence.refusal().is_none());
    html! { @if let Some(next) = next { h2 { "Next reading" } p { (next.why) } } }
}

/// One pair: in a sentence, with its candidates.
fn known(survey: &Survey, pair: &Pair) -> Markup {
    html! {
        @if let Some(refusal) = pair.evidence.refusal() {
            p.answer { (crate::frame::mark("stop")) " " (refusal.text()) }
            p { (refusal.remedy()) }
        } @else {
            p.answer { (in_a_sentence(survey, pair)) }
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
    }
}

/// What else there is to say of it.
fn remarked(open: &Open, survey: &Survey, pair: &Pair) -> Markup {
    let refused = pair.evidence.refusal();
    let settled = pair.ranking.settled && !is_contradicted(survey, pair);
    html! {
        @for remark in remarks(survey, pair) {
            @if refused.is_none_or(|refusal| !remark.starts_with(&refusal.text())) { p.remark { (remark) } }
        }
        @if settled && survey.job.circuits[pair.circuit].network.is_none() {
            p.quiet { "What is settled counts at once; " a href=(open.path(&["c", &survey.job.circuits[pair.circuit].tag])) { "its sheet" } " writes it into the job." }
        }
    }
}

/// What a pair is taken for, or why nothing can be said of it.
fn in_a_sentence(survey: &Survey, pair: &Pair) -> String {
    if let Some(refusal) = pair.evidence.refusal() {
        return refusal.text();
    }
    match pair.ranking.all.first() {
        Some(first) if pair.ranking.settled && !is_contradicted(survey, pair) => {
            format!("Settled: {}.", candidate_words(first))
        }
        Some(first) => format!("Most likely: {}.", candidate_words(first)),
        None => "Nothing can be said of it yet.".to_owned(),
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
    let circuit = &open.job().circuits[at];
    let fragment = match reading(&asked, circuit) {
        Ok(Some((reading, _))) if refuses(circuit, &reading, &clearances(open)).is_some() => {
            let says = refuses(circuit, &reading, &clearances(open)).unwrap_or_default();
            html! { p.answer { (crate::frame::mark("stop")) " " (says) } p.quiet { "Keep would write nothing." } }
        }
        Ok(Some((reading, _))) => {
            let mut job = open.job().clone();
            job.circuits[at].found.push(reading);
            match identify_one(before, &job, open.desk.library(), at) {
                Some(survey) => of_survey(open, &survey, at, &job.circuits[at]),
                None => html! {},
            }
        }
        Ok(None) => of_survey(open, before, at, circuit),
        Err(says) => html! { p.answer { (says) } },
    };
    said(Content::Html(fragment.into_string()))
}

/// Keeps a reading: in the job, and as evidence.
pub(crate) fn keep(open: &Open, tag: &str) -> Answer {
    let here = open.path(&["survey", tag]);
    let Some(at) = place_of(open, tag) else { return make_page(open, tag, Tab::Survey) };
    let circuit = &open.job().circuits[at];
    // A scanner that types, with the display under its hand.
    if crate::tag::is_code(open.request.field("shown").trim()) {
        return crate::tag::by_code(open, open.request.field("shown"));
    }
    let asked = Asked::of(&open.request.form);
    let (reading, plain) = match reading(&asked, circuit) {
        Ok(Some(both)) => both,
        Ok(None) => {
            let says = "No digits came along. Type what the meter shows, or press over range.";
            return card(open, tag, Some((&asked, says)));
        }
        Err(says) => return card(open, tag, Some((&asked, &says))),
    };
    if open.world.change(open.id, open.request.field("id")).is_none()
        && let Some(says) = refuses(circuit, &reading, &clearances(open))
    {
        return card(open, tag, Some((&asked, &says)));
    }
    let words = view::circuit::reading(&reading);
    let change = Change {
        at: Place::Entry(TableRef::named("circuit", tag), "found".to_owned(), circuit.found.len()),
        from: None,
        to: Some(plain.clone()),
    };
    let unit = crate::place::encoded(asked.unit);
    let mut with_it = circuit.clone();
    with_it.found.push(reading.clone());
    let then = match open.request.field("then") {
        // Nothing is tripped on a pair with foreign volts: first they are looked for again.
        "trip" if in_the_way(&with_it).is_some() => here.clone(),
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
        data: data(&plain, &asked.words(), &open.job().meter.accuracy_written()),
    });
    act.answer(open)
}

/// Leads to the card of the pair to go on with, or to the room where there is none.
pub(crate) fn onward(open: &Open, after: &str) -> Answer {
    let next = place_of(open, after).and_then(|at| next_pair(open, at));
    let unit = open.request.asked("unit");
    let unit = UNITS.iter().find(|one| one.word == unit).map_or("", |one| one.word);
    let to = match next {
        Some(next) => {
            format!("{}?unit={unit}&of={}", open.path(&["survey", &next]), crate::place::encoded(after))
        }
        None => open.path(&["survey"]),
    };
    let wrote = open.request.asked(WROTE);
    said(Content::Redirect(if wrote.is_empty() { to } else { having_written(&to, wrote) }))
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
