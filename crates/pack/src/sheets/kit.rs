//! The kit to tick, the working time by enclosure, and the quotation.

use assess::Assessment;
use assess::kit::{CircuitOptions, Offer, Outfit};
use kit::{Group, Line, Price, Sum, Time, Unit, by_place};
use serde::Serialize;

use crate::sheets::findings::{FindingRow, rows_of};
use crate::words::listed;

/// Places that a reason names.
const PLACES_NAMED: usize = 24;

/// All three sheets.
#[derive(Serialize)]
pub(crate) struct KitSheets {
    answer: String,
    groups: Vec<GroupTable>,
    findings: Vec<FindingRow>,
    /// Working time in a sentence.
    time: String,
    enclosures: Vec<Enclosure>,
    second_visit: Vec<String>,
    quotation: QuotationSheet,
}

/// One group of the list.
#[derive(Serialize)]
struct GroupTable {
    title: &'static str,
    /// Whether it is bought, and so has a van and an order.
    sold: bool,
    rows: Vec<KitRow>,
}

#[derive(Serialize)]
struct KitRow {
    what: String,
    part: String,
    needed: String,
    spare: String,
    van: String,
    order: String,
    /// Reasons, each with its places.
    why: Vec<String>,
}

/// Work at one enclosure.
#[derive(Serialize)]
struct Enclosure {
    title: String,
    sum: String,
    /// What, how many, how long, for whom.
    rows: Vec<[String; 4]>,
}

/// What the customer gets.
#[derive(Serialize)]
struct QuotationSheet {
    answer: String,
    facts: Vec<[String; 2]>,
    scope: Vec<String>,
    /// What, amount, remark.
    price: Vec<[String; 3]>,
    tax: String,
    /// Cause, what it adds, what narrows it.
    spread: Vec<[String; 3]>,
    options: Vec<OptionRows>,
    offered: Vec<String>,
    exclusions: Vec<String>,
    assumptions: Vec<String>,
    cautions: Vec<String>,
}

/// What is offered for one circuit.
#[derive(Serialize)]
struct OptionRows {
    tag: String,
    place: String,
    matter: &'static str,
    /// Way, what, price, time, whether it is in the sum.
    rows: Vec<[String; 5]>,
}

/// The sheets; none where there is nothing to take along.
pub(crate) fn kit_sheets(assessment: &Assessment, year: Option<i32>, date: &str) -> Option<KitSheets> {
    let outfit = assess::kit::planned_kit(assessment, year);
    if !outfit.kit.lines.iter().any(|line| line.item.group.is_sold()) {
        return None;
    }
    let crew = match outfit.rates.crew {
        1 => "one technician".to_owned(),
        many => format!("{many} technicians"),
    };
    Some(KitSheets {
        answer: assess::kit::answer(&outfit),
        groups: Group::ALL.into_iter().filter_map(|group| group_table(&outfit, group)).collect(),
        findings: rows_of(&outfit.findings, |_| true),
        time: format!(
            "{} of work, all technicians together; {} on site for {crew}. Travel is not in it.",
            outfit.bill.time.written(),
            days(&outfit)
        ),
        enclosures: by_place(&outfit.work).iter().map(|(place, rows)| enclosure(place, rows)).collect(),
        quotation: quotation(assessment, &outfit, date),
        second_visit: outfit.second_visit,
    })
}

fn group_table(outfit: &Outfit, group: Group) -> Option<GroupTable> {
    let lines = outfit.kit.lines.iter().filter(|line| line.item.group == group);
    let rows: Vec<KitRow> = lines.map(|line| kit_row(outfit, line)).collect();
    (!rows.is_empty()).then(|| GroupTable { title: group.title(), sold: group.is_sold(), rows })
}

fn kit_row(outfit: &Outfit, line: &Line) -> KitRow {
    let item = &line.item;
    let what = if item.group.is_sold() {
        format!("{} {}", item.what, item.value).trim_end().to_owned()
    } else if item.what.is_empty() {
        item.part.clone()
    } else {
        format!("{}: {}", item.part, item.what)
    };
    let named = item.group == Group::Equipment || (item.group == Group::Devices && item.value.is_empty());
    let unit = if item.unit == Unit::Metre { " m" } else { "" };
    KitRow {
        what: crate::words::capital(&what),
        part: if named { item.part.clone() } else { String::new() },
        needed: format!("{}{unit}", line.needed.written()),
        spare: line.spares.to_string(),
        van: if line.uncounted { "yes".to_owned() } else { line.from_van.to_string() },
        order: line.to_order.to_string(),
        why: outfit
            .feet(line)
            .into_iter()
            .chain(
                line.reasons()
                    .into_iter()
                    .map(|(why, places)| format!("{why}: {}", listed(&named_places(&places), PLACES_NAMED))),
            )
            .collect(),
    }
}

fn named_places<'p>(places: &[&'p str]) -> Vec<&'p str> {
    places.iter().map(|place| if *place == "job" { "the job" } else { place }).collect()
}

fn enclosure(place: &str, rows: &[Sum]) -> Enclosure {
    let row = |sum: &Sum| {
        let places = listed(&named_places(&sum.places), PLACES_NAMED);
        [sum.what.to_owned(), sum.count.written(), sum.time.written(), places]
    };
    let all = rows.iter().fold(Time::NONE, |all, sum| all.plus(sum.time));
    let title = if place == "site" { "The site as a whole".to_owned() } else { format!("Enclosure {place}") };
    Enclosure { title, sum: all.written(), rows: rows.iter().map(row).collect() }
}

fn days(outfit: &Outfit) -> String {
    match outfit.bill.days {
        (1, 1) => "1 day".to_owned(),
        (few, many) if few == many => format!("{many} days"),
        (few, many) => format!("{few} to {many} days"),
    }
}

fn amount(outfit: &Outfit, price: Price) -> String {
    format!("{} {}", price.written(), outfit.currency).trim_end().to_owned()
}

fn quotation(assessment: &Assessment, outfit: &Outfit, date: &str) -> QuotationSheet {
    let words = &outfit.quotation;
    let name = assessment.job.site.name.as_str();
    let site = if name.is_empty() { "a site without a name" } else { name };
    let facts = [
        ("for", words.customer.clone()),
        ("from", words.from.clone()),
        ("date", date.to_owned()),
        ("holds for", format!("{} days from that date", words.valid_days)),
    ];
    let spread = outfit.spread.iter().map(|one| {
        let adds = format!("up to {}", amount(outfit, Price::exact(one.adds)));
        [one.cause.text().to_owned(), adds, one.cause.known_by().to_owned()]
    });
    QuotationSheet {
        answer: assess::kit::quoted(outfit, site),
        facts: facts
            .into_iter()
            .filter(|(_, text)| !text.is_empty())
            .map(|(what, text)| [what.to_owned(), text])
            .collect(),
        scope: words.scope.clone(),
        price: price(outfit),
        tax: if words.tax.is_empty() { "Nothing is said of tax.".to_owned() } else { words.tax.clone() },
        spread: spread.collect(),
        options: outfit.options.iter().map(|one| options(outfit, one)).collect(),
        offered: words.offered.clone(),
        exclusions: words.exclusions.clone(),
        assumptions: words.assumptions.clone(),
        cautions: words.cautions.clone(),
    }
}

fn price(outfit: &Outfit) -> Vec<[String; 3]> {
    let bill = &outfit.bill;
    let labour = bill.labour.map_or_else(|| "not given".to_owned(), Price::written);
    let mut rows = vec![
        ("parts".to_owned(), bill.parts.written(), String::new()),
        ("on parts".to_owned(), bill.margin.written(), "margin".to_owned()),
        ("working time".to_owned(), labour, bill.time.written()),
        ("travel".to_owned(), bill.travel.written(), format!("{} on site", days(outfit))),
        ("second visit".to_owned(), bill.second_visit.written(), "only if something forces it".to_owned()),
    ];
    rows.retain(|(_, amount, _)| *amount != Price::NOTHING.written());
    rows.push(("sum".to_owned(), amount(outfit, bill.total), String::new()));
    rows.into_iter().map(|(what, amount, remark)| [what, amount, remark]).collect()
}

fn options(outfit: &Outfit, one: &CircuitOptions) -> OptionRows {
    let row = |offer: &Offer| {
        let price = match (offer.price, offer.time) {
            (Some(price), _) => amount(outfit, price),
            (None, Some(_)) => "a price is missing".to_owned(),
            (None, None) => "no price".to_owned(),
        };
        let time = offer.time.map(Time::written).unwrap_or_default();
        let inside = if offer.in_price { "in the sum" } else { "" };
        [offer.way.word().to_owned(), offer.plain.clone(), price, time, inside.to_owned()]
    };
    OptionRows {
        tag: one.tag.clone(),
        place: one.place.clone(),
        matter: one.plain_matter,
        rows: one.offers.iter().map(row).collect(),
    }
}
