//! The kit: the answer, the list with its reasons, working time by enclosure, what makes the price a range.

use assess::kit::{Outfit, Spread};
use drawing::{padded, width, wrapped};
use kit::{Group, Line, Time, Unit, by_place};

use super::page::Page;
use super::{finding, quotation};

/// Columns of needed, spare, van, order and price, with a blank before each.
const COUNTS: [usize; 5] = [9, 6, 5, 6, 19];
/// Places that one reason lists.
const MOST_PLACES: usize = 8;

/// Puts the whole report.
pub(crate) fn put(page: &mut Page, outfit: &Outfit) {
    page.paragraph(0, &assess::kit::answer(outfit));
    let amount = |price: kit::Price| quotation::amount(outfit, price);
    for group in Group::ALL {
        let lines: Vec<&Line> = outfit.kit.lines.iter().filter(|line| line.item.group == group).collect();
        if !lines.is_empty() {
            list(page, outfit, group, &lines);
        }
    }
    work(page, outfit);
    page.heading("Price");
    quotation::bill(page, outfit);
    spread(page, outfit, &amount);
    if !outfit.second_visit.is_empty() {
        page.heading("What forces a second visit, unless it is settled before");
        for reason in &outfit.second_visit {
            page.hanging("  ", 4, reason);
        }
    }
    quotation::options(page, outfit, quotation::Reader::Technician);
    quotation::texts(page, "To be said with it", &outfit.quotation.cautions);
    if !outfit.findings.is_empty() {
        page.heading("To settle first");
        finding::put(page, &outfit.findings, true);
    }
}

fn list(page: &mut Page, outfit: &Outfit, group: Group, lines: &[&Line]) {
    page.gap();
    let name = page.columns() - COUNTS.iter().sum::<usize>();
    if group.is_sold() {
        let heads = ["needed", "spare", "van", "order", "price"].map(str::to_owned);
        page.line(&row(&padded(group.title(), name), &heads));
    } else {
        page.line(group.title());
    }
    for line in lines {
        let mut words = named(line, page.columns()).into_iter();
        let first = words.next().unwrap_or_default();
        if group.is_sold() {
            let van = if line.uncounted { "yes".to_owned() } else { line.from_van.to_string() };
            let cells = [
                counted(line),
                line.spares.to_string(),
                van,
                line.to_order.to_string(),
                line.price.map_or_else(|| "not given".to_owned(), kit::Price::written),
            ];
            page.line(&row(&padded(&first, name), &cells));
        } else {
            page.line(&first);
        }
        for more in words {
            page.line(&more);
        }
        let mut reasons: Vec<String> = outfit.feet(line).into_iter().collect();
        reasons.extend(line.reasons().iter().map(|(why, places)| reason(why, places)));
        page.parts(6, &reasons);
    }
}

/// The name of a line, wrapped into its column.
fn named(line: &Line, columns: usize) -> Vec<String> {
    let item = &line.item;
    let name = match (item.group.is_sold(), item.value.is_empty()) {
        (true, true) if item.group == Group::SmallParts => item.what.clone(),
        (true, true) => format!("{} ({})", item.what, item.part),
        (true, false) => format!("{} {}", item.what, item.value),
        (false, _) => match item.what.as_str() {
            "" => item.part.clone(),
            what => format!("{}: {what}", item.part),
        },
    };
    let room = if item.group.is_sold() { columns - COUNTS.iter().sum::<usize>() - 3 } else { columns - 6 };
    let lines = wrapped(&name, room);
    let indented =
        |(at, line): (usize, String)| if at == 0 { format!("  {line}") } else { format!("    {line}") };
    lines.into_iter().enumerate().map(indented).collect()
}

fn counted(line: &Line) -> String {
    let unit = if line.item.unit == Unit::Metre { " m" } else { "" };
    format!("{}{unit}", line.needed.written())
}

fn row(name: &str, cells: &[String; 5]) -> String {
    let mut row = name.to_owned();
    for (cell, columns) in cells.iter().zip(COUNTS) {
        row.push_str(&" ".repeat(columns.saturating_sub(width(cell)).max(1)));
        row.push_str(cell);
    }
    row
}

fn reason(why: &str, places: &[&str]) -> String {
    let named = |place: &&str| if *place == "job" { "the job".to_owned() } else { (*place).to_owned() };
    let mut text: Vec<String> = places.iter().take(MOST_PLACES).map(named).collect();
    let more = places.len().saturating_sub(MOST_PLACES);
    if more > 0 {
        let last = text.pop().unwrap_or_default();
        text.push(format!("{last} and {more} more"));
    }
    format!("{why}: {}", text.join(", "))
}

fn work(page: &mut Page, outfit: &Outfit) {
    page.heading("Working time, all technicians together");
    for (enclosure, rows) in by_place(&outfit.work) {
        let sum = rows.iter().fold(Time::NONE, |sum, row| sum.plus(row.time));
        page.gap();
        let name = if enclosure == "site" { "the site" } else { enclosure };
        page.line(&format!("{name}: {}", sum.written()));
        let table: Vec<Vec<String>> = rows
            .iter()
            .map(|row| vec![row.count.written(), row.time.written(), row.what.to_owned()])
            .collect();
        page.table(2, &table);
    }
}

fn spread(page: &mut Page, outfit: &Outfit, amount: &dyn Fn(kit::Price) -> String) {
    if outfit.spread.is_empty() {
        return;
    }
    page.heading("What makes it a range");
    for Spread { cause, places, adds, seconds, .. } in &outfit.spread {
        let time = Time::seconds(*seconds, *seconds);
        let adds = match (adds.hundredths() > 0, *seconds > 0) {
            (true, true) => format!("up to {}, {}", amount(kit::Price::exact(*adds)), time.written()),
            (true, false) => format!("up to {}", amount(kit::Price::exact(*adds))),
            (false, _) => format!("up to {}", time.written()),
        };
        let named: Vec<&str> = places.iter().map(String::as_str).filter(|place| *place != "job").collect();
        let place = if named.is_empty() { String::new() } else { format!(" ({})", reason_places(&named)) };
        page.hanging("  ", 4, &format!("{}{place}: {adds}.", cause.text()));
        page.hanging("    → ", 6, cause.narrowed_by());
    }
}

fn reason_places(places: &[&str]) -> String {
    let text: Vec<&str> = places.iter().take(MOST_PLACES).copied().collect();
    let more = places.len().saturating_sub(MOST_PLACES);
    if more > 0 { format!("{} and {more} more", text.join(", ")) } else { text.join(", ") }
}
