//! The kit to tick, the working time by enclosure, what it costs, and the quotation.

use ::kit::{Group, Line, Price, Sum, Time, Unit, by_place};
use assess::Assessment;
use assess::kit::{CircuitOptions, Offer, Outfit, Spread};
use serde::Serialize;

use crate::findings::{FindingRow, rows_of};
use crate::words::listed;

/// Places that a reason names.
const PLACES_NAMED: usize = 24;

/// All that is said of a kit.
#[derive(Serialize)]
pub struct KitSheets {
    /// In a sentence or two.
    pub answer: String,
    /// Why the price is not that of the whole job; empty where it is.
    pub caveat: String,
    /// The list, group by group.
    pub groups: Vec<GroupTable>,
    /// What is to be settled first.
    pub findings: Vec<FindingRow>,
    /// Working time in a sentence.
    pub time: String,
    /// Working time, enclosure by enclosure.
    pub enclosures: Vec<Enclosure>,
    /// What forces a second visit.
    pub second_visit: Vec<String>,
    /// What makes the price a range, for whoever does the work: cause with its places, what it adds, what narrows it.
    pub causes: Vec<[String; 3]>,
    /// What can be done, circuit by circuit, for whoever does the work.
    pub choices: Vec<OptionRows>,
    /// What the customer gets.
    pub quotation: QuotationSheet,
}

/// One group of the list.
#[derive(Serialize)]
pub struct GroupTable {
    /// Its name.
    pub title: &'static str,
    /// Whether it is bought, and so has a van and an order.
    pub sold: bool,
    /// Its lines.
    pub rows: Vec<KitRow>,
}

/// One line of the list.
#[derive(Serialize)]
pub struct KitRow {
    /// What it is, with its value.
    pub what: String,
    /// The profile's id, where it has one.
    pub part: String,
    /// From how many to how many.
    pub needed: String,
    /// Spares on top.
    pub spare: String,
    /// What the van carries.
    pub van: String,
    /// What is to be ordered.
    pub order: String,
    /// Of what is needed.
    pub price: String,
    /// To fit what is needed; empty where nothing is said of it.
    pub time: String,
    /// Reasons, each with its places.
    pub why: Vec<String>,
}

/// Work at one enclosure.
#[derive(Serialize)]
pub struct Enclosure {
    /// Its name.
    pub title: String,
    /// All of it.
    pub sum: String,
    /// What, how many, how long, for whom.
    pub rows: Vec<[String; 4]>,
}

/// What the customer gets.
#[derive(Serialize)]
pub struct QuotationSheet {
    /// In a sentence or two.
    pub answer: String,
    /// For whom, from whom, when, how long.
    pub facts: Vec<[String; 2]>,
    /// What is in it.
    pub scope: Vec<String>,
    /// What, amount, remark.
    pub price: Vec<[String; 3]>,
    /// What is said of tax.
    pub tax: String,
    /// Cause, what it adds, what narrows it.
    pub spread: Vec<[String; 3]>,
    /// Circuit by circuit.
    pub options: Vec<OptionRows>,
    /// What is offered beside it.
    pub offered: Vec<String>,
    /// What is not in it.
    pub exclusions: Vec<String>,
    /// What it stands on.
    pub assumptions: Vec<String>,
    /// What is to be said with it.
    pub cautions: Vec<String>,
}

/// What is offered for one circuit.
#[derive(Serialize)]
pub struct OptionRows {
    /// The circuit.
    pub tag: String,
    /// Where it goes.
    pub place: String,
    /// What is the matter with it.
    pub matter: &'static str,
    /// Way, what, price, time, whether it is in the sum.
    pub rows: Vec<[String; 5]>,
}

/// The sheets; none where there is nothing to take along.
///
/// * `year`: of the visit; `date`: of the quotation, as it is to be written.
pub fn kit_sheets(assessment: &Assessment, year: Option<i32>, date: &str) -> Option<KitSheets> {
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
        caveat: outfit.caveat.clone().unwrap_or_default(),
        groups: Group::ALL.into_iter().filter_map(|group| group_table(&outfit, group)).collect(),
        findings: rows_of(&outfit.findings, |_| true),
        time: format!(
            "{} of work, all technicians together; {} on site for {crew}. Travel is not in it.",
            outfit.bill.time.written(),
            days(&outfit)
        ),
        enclosures: by_place(&outfit.work).iter().map(|(place, rows)| enclosure(place, rows)).collect(),
        quotation: quotation(assessment, &outfit, date),
        causes: outfit.spread.iter().map(|one| cause(&outfit, one)).collect(),
        choices: outfit.options.iter().map(|one| options(&outfit, one, Reader::Technician)).collect(),
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
        price: line.price.map_or_else(|| "not given".to_owned(), Price::written),
        time: if line.time == Time::NONE { String::new() } else { line.time.written() },
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
        options: outfit.options.iter().map(|one| options(outfit, one, Reader::Customer)).collect(),
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
    let sum = if bill.labour.is_some() || bill.time == Time::NONE { "sum" } else { "sum, without work" };
    rows.push((sum.to_owned(), amount(outfit, bill.total), String::new()));
    rows.into_iter().map(|(what, amount, remark)| [what, amount, remark]).collect()
}

/// Who reads it: the customer's paper names no resistor.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Reader {
    /// Whoever does the work.
    Technician,
    /// Whoever pays for it.
    Customer,
}

/// What makes the price a range, with the places where it does and what would narrow it.
fn cause(outfit: &Outfit, one: &Spread) -> [String; 3] {
    let places: Vec<&str> = one.places.iter().map(String::as_str).filter(|place| *place != "job").collect();
    let named =
        if places.is_empty() { String::new() } else { format!(" ({})", listed(&places, PLACES_NAMED)) };
    let time = Time::seconds(one.seconds, one.seconds).written();
    let adds = match (one.adds.hundredths() > 0, one.seconds > 0) {
        (true, true) => format!("up to {}, {time}", amount(outfit, Price::exact(one.adds))),
        (true, false) => format!("up to {}", amount(outfit, Price::exact(one.adds))),
        (false, _) => format!("up to {time}"),
    };
    [format!("{}{named}", one.cause.text()), adds, one.cause.narrowed_by().to_owned()]
}

fn options(outfit: &Outfit, one: &CircuitOptions, reader: Reader) -> OptionRows {
    let row = |offer: &Offer| {
        let price = match (offer.price, offer.time) {
            (Some(price), _) => amount(outfit, price),
            (None, Some(_)) => "a price is missing".to_owned(),
            (None, None) => "no price".to_owned(),
        };
        let time = offer.time.map(Time::written).unwrap_or_default();
        let inside = if offer.in_price { "in the sum" } else { "" };
        let text = if reader == Reader::Technician { &offer.text } else { &offer.plain };
        [offer.way.word().to_owned(), text.clone(), price, time, inside.to_owned()]
    };
    OptionRows {
        tag: one.tag.clone(),
        place: one.place.clone(),
        matter: if reader == Reader::Technician { one.matter } else { one.plain_matter },
        rows: one.offers.iter().map(row).collect(),
    }
}
