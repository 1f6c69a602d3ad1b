//! The quotation: scope, price as a range, options, exclusions, what it stands on, a place to sign.

use assess::Assessment;
use assess::kit::{Offer, Outfit};
use kit::Price;

use super::page::Page;

/// Who reads it: the customer's paper names no resistor.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reader {
    /// Whoever does the work.
    Technician,
    /// Whoever pays for it.
    Customer,
}

/// An amount with the office's currency.
pub(crate) fn amount(outfit: &Outfit, price: Price) -> String {
    format!("{} {}", price.written(), outfit.currency).trim_end().to_owned()
}

/// Puts the whole quotation.
pub(crate) fn put(page: &mut Page, assessment: &Assessment, outfit: &Outfit, date: &str) {
    let words = &outfit.quotation;
    let site = match assessment.job.site.name.as_str() {
        "" => "a site without a name",
        name => name,
    };
    page.paragraph(0, &assess::kit::quoted(outfit, site));
    page.gap();
    for (what, who) in [("For", &words.customer), ("From", &words.from)] {
        if !who.is_empty() {
            page.line(&format!("{what:<6}{who}"));
        }
    }
    page.line(&format!("Date  {date}"));
    page.line(&format!("Holds for {} days from that date.", words.valid_days));
    texts(page, "In it", &words.scope);
    page.heading("Price");
    bill(page, outfit);
    let tax = if words.tax.is_empty() { "Nothing is said of tax." } else { words.tax.as_str() };
    page.paragraph(2, tax);
    let causes: Vec<String> = outfit
        .spread
        .iter()
        .map(|one| {
            let adds = amount(outfit, Price::exact(one.adds));
            format!("{}: up to {adds}. Known by {}.", one.cause.text(), one.cause.known_by())
        })
        .collect();
    texts(page, "Why it is a range", &causes);
    options(page, outfit, Reader::Customer);
    texts(page, "Also offered", &words.offered);
    texts(page, "Not in it", &words.exclusions);
    texts(page, "What it stands on", &words.assumptions);
    texts(page, "To be said with it", &words.cautions);
    page.heading("Signed");
    page.gap();
    let line = "_".repeat(26);
    page.line(&format!("  for the customer {line}  date ____________"));
    page.gap();
    page.line(&format!("  for the office   {line}  date ____________"));
}

/// The sum and its parts.
pub(crate) fn bill(page: &mut Page, outfit: &Outfit) {
    let bill = &outfit.bill;
    let days = match bill.days {
        (1, 1) => "1 day".to_owned(),
        (least, most) if least == most => format!("{most} days"),
        (least, most) => format!("{least} to {most} days"),
    };
    let crew = outfit.rates.crew;
    let people = if crew == 1 { "1 technician".to_owned() } else { format!("{crew} technicians") };
    let labour = bill.labour.map_or_else(|| "not given".to_owned(), Price::written);
    let mut rows = vec![
        vec!["parts".to_owned(), bill.parts.written(), String::new()],
        vec!["on parts".to_owned(), bill.margin.written(), "margin".to_owned()],
        vec!["working time".to_owned(), labour, bill.time.written()],
        vec!["travel".to_owned(), bill.travel.written(), format!("{days} on site, {people}")],
        vec![
            "second visit".to_owned(),
            bill.second_visit.written(),
            "only if something forces it".to_owned(),
        ],
    ];
    rows.retain(|row| row[1] != Price::NOTHING.written());
    rows.push(vec!["sum".to_owned(), amount(outfit, bill.total), String::new()]);
    page.table(2, &rows);
}

/// Keep, replace or rewire, circuit by circuit.
pub(crate) fn options(page: &mut Page, outfit: &Outfit, reader: Reader) {
    if outfit.options.is_empty() {
        return;
    }
    page.heading("Options, circuit by circuit");
    for one in &outfit.options {
        page.gap();
        let place = if one.place.is_empty() { String::new() } else { format!(", {}", one.place) };
        let matter = match reader {
            Reader::Technician => one.matter,
            Reader::Customer => one.plain_matter,
        };
        page.paragraph(2, &format!("{}{place}: {matter}.", one.tag));
        for offer in &one.offers {
            let head = format!("    {:<8}", offer.way.word());
            page.hanging(&head, 12, &offered(outfit, offer, reader));
        }
    }
}

fn offered(outfit: &Outfit, offer: &Offer, reader: Reader) -> String {
    let text = match reader {
        Reader::Technician => &offer.text,
        Reader::Customer => &offer.plain,
    };
    let price = offer.price.map(|price| amount(outfit, price));
    let time = offer.time.map(kit::Time::written);
    let said = match (price, time) {
        (Some(price), Some(time)) => format!("{price}, {time}"),
        (None, Some(time)) => format!("{time}; a price is missing"),
        (Some(price), None) => price,
        (None, None) => "No price".to_owned(),
    };
    let inside = if offer.in_price { " In the sum above." } else { "" };
    format!("{text} {said}.{inside}")
}

pub(crate) fn texts(page: &mut Page, heading: &str, texts: &[String]) {
    if texts.is_empty() {
        return;
    }
    page.heading(heading);
    for text in texts {
        page.hanging("  ", 4, text);
    }
}
