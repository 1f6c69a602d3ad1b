//! What `cutover` prints for people: the answer, what has to be settled before, the running order, who is unprotected
//! when, the chart, and with `--all` the method statement.

use assess::{ChartBar, Cutover, Step};
use drawing::{TimeBar, TimeRequest, TimeRow, TimeSpan, TimeTone, time_chart};

use super::finding;
use super::page::Page;

/// Blanks in front of tables.
const INDENT: usize = 2;
/// Tags that a line lists.
const MOST_TAGS: usize = 10;

/// Puts the whole report.
pub(crate) fn put(page: &mut Page, cutover: &Cutover, all: bool) {
    page.paragraph(0, &cutover.answer());
    if !cutover.job.cutover.notes.is_empty() {
        page.paragraph(0, &cutover.job.cutover.notes);
    }
    finding::put(page, &cutover.findings, all);
    impairment(page, cutover);
    order(page, cutover);
    unprotected(page, cutover);
    chart(page, cutover);
    dummies(page, cutover);
    if all {
        method(page, cutover);
    } else {
        page.gap();
        page.paragraph(0, "--all prints the method statement, step by step, each with its proof.");
    }
}

/// Every rule with its clause, and what the plan does.
fn impairment(page: &mut Page, cutover: &Cutover) {
    if !cutover.fire_goes_out() {
        return;
    }
    page.heading("Fire alarm out of service");
    let Ok(plan) = &cutover.plan else { return };
    for out in &plan.outage.intervals {
        let (from, to) = (cutover.clock.written(out.from), cutover.out_until(out));
        let within = plan.outage.within_day_from(out.from);
        page.paragraph(
            INDENT,
            &format!("{from} to {to}: {}; within 24 h from there {within} min", cutover.out_length(out)),
        );
    }
    if let Some(limit) = &cutover.limit {
        page.paragraph(INDENT, &format!("limit {} min within 24 h: {}", limit.minutes, limit.clause));
    }
    let rows: Vec<Vec<String>> = cutover
        .rules
        .iter()
        .map(|rule| vec![rule.after_written(), rule.clause.clone(), rule.words.clone()])
        .collect();
    page.table(INDENT, &rows);
}

/// Everything in its order.
fn order(page: &mut Page, cutover: &Cutover) {
    let all = cutover.order();
    if all.is_empty() {
        return;
    }
    page.heading("Running order");
    let mut day = None;
    let mut rows: Vec<Vec<String>> = Vec::new();
    let flush = |page: &mut Page, rows: &mut Vec<Vec<String>>| page.table(INDENT, &std::mem::take(rows));
    for row in all {
        if day != Some(row.day) {
            flush(page, &mut rows);
            page.paragraph(INDENT, &cutover.clock.day(row.day));
            day = Some(row.day);
        }
        let time = assess::Clock::time(row.from);
        let until =
            if row.to == row.from { String::new() } else { format!("to {}", assess::Clock::time(row.to)) };
        let who: Vec<String> = row.who.iter().map(|who| format!("T{who}")).collect();
        rows.push(vec![time, until, who.join(" "), row.what, row.place]);
    }
    flush(page, &mut rows);
}

/// From when on what is without protection.
fn unprotected(page: &mut Page, cutover: &Cutover) {
    let moments = cutover.moments();
    if moments.is_empty() {
        return;
    }
    page.heading("Without protection, and since when");
    let mut rows = Vec::new();
    for (at, count) in moments {
        let now = cutover.gone_at(at);
        let since = |since: u32| {
            let time = if assess::Clock::day_of(since) == assess::Clock::day_of(at) {
                assess::Clock::time(since)
            } else {
                cutover.clock.written(since)
            };
            if since == at { String::new() } else { format!(" since {time}") }
        };
        let one = |one: &assess::Gone| format!("{}{}", one.what, since(one.since));
        let mut tags: Vec<String> = now.iter().take(MOST_TAGS).map(one).collect();
        if now.len() > MOST_TAGS {
            tags.push(format!("and {} more", now.len() - MOST_TAGS));
        }
        let tags = if tags.is_empty() { "nothing".to_owned() } else { tags.join(", ") };
        let on_test = cutover.on_test_since(at);
        let on_test = on_test.map_or(String::new(), |from| format!("account on test{}", since(from)));
        rows.push(vec![cutover.clock.written(at), count.to_string(), tags, on_test]);
    }
    page.table(INDENT, &rows);
}

/// Bars over time, and the exposure under them.
fn chart(page: &mut Page, cutover: &Cutover) {
    let days: Vec<TimeSpan> = cutover
        .days()
        .into_iter()
        .map(|day| TimeSpan { from: day.from, to: day.to, label: day.label })
        .collect();
    if days.is_empty() {
        return;
    }
    let rows: Vec<TimeRow> = cutover
        .rows_by_module()
        .into_iter()
        .map(|row| TimeRow { name: row.name, bars: row.bars.iter().map(bar).collect() })
        .collect();
    // Weights are small whole numbers.
    let levels: Vec<(u32, f64)> =
        cutover.levels().iter().map(|(at, _, weight)| (*at, *weight as f64)).collect();
    page.heading("When  (░ work, █ circuits without protection, ▓ fire circuits)");
    let request = TimeRequest {
        title: "",
        spans: &days,
        rows: &rows,
        levels: &levels,
        level_words: "exposure, weight",
        width_mm: 0.0,
    };
    for line in time_chart(&request, page.columns()) {
        page.line(&line);
    }
}

fn bar(bar: &ChartBar) -> TimeBar {
    let tone = match (bar.dead, bar.fire) {
        (_, true) => TimeTone::Fire,
        (true, false) => TimeTone::Dead,
        (false, false) => TimeTone::Work,
    };
    TimeBar { from: bar.from, to: bar.to, tone }
}

fn dummies(page: &mut Page, cutover: &Cutover) {
    if cutover.dummies.is_empty() {
        return;
    }
    page.heading("Dummy resistors on the old terminals, each on the list until it is out");
    let row = |dummy: &assess::Dummy| vec![dummy.tag.clone(), dummy.was.clone(), dummy.text.clone()];
    let rows: Vec<Vec<String>> = cutover.dummies.iter().map(row).collect();
    page.table(INDENT, &rows);
}

fn method(page: &mut Page, cutover: &Cutover) {
    page.heading("Method statement");
    for step in &cutover.steps {
        let Step { number, place, act, proof, undoes, caution, .. } = step;
        let place = if place == "job" { String::new() } else { format!("{place}: ") };
        page.hanging(&format!("{number:4}  "), 6, &format!("[ ] {place}{act}"));
        page.hanging("        seen: ", 14, proof);
        if !undoes.is_empty() {
            page.hanging("        undo: ", 14, undoes);
        }
        if !caution.is_empty() {
            page.hanging("        mind: ", 14, caution);
        }
    }
}
