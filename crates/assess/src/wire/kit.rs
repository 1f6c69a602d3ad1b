//! The serialisable twins of a kit and its quotation: money in hundredths, working time in seconds, all from what to what.

use ::kit::{Bill, Count, Line, Price, Time, Unit, Work};
use schemars::JsonSchema;
use serde::Serialize;

use super::FindingJson;
use crate::kit::{CircuitOptions, Offer, Outfit, Quotation, Spread};

/// What `kit --json` prints.
#[derive(Serialize, JsonSchema, Debug)]
pub struct KitJson {
    /// Why the price is not that of the whole job; null where it is.
    caveat: Option<String>,
    /// The currency's word; empty where nobody has said.
    currency: String,
    /// By group, and inside one in the order in which they were first needed.
    lines: Vec<LineJson>,
    /// Every piece of work.
    work: Vec<WorkJson>,
    bill: BillJson,
    /// What makes it a range, the widest first.
    spread: Vec<SpreadJson>,
    /// What forces a second visit unless it is settled before.
    second_visit: Vec<String>,
    /// Circuits that do not do as they are, in the order of the job.
    options: Vec<OptionsJson>,
    quotation: QuotationJson,
    findings: Vec<FindingJson>,
}

/// From what to what.
#[derive(Serialize, JsonSchema, Debug)]
pub struct CountJson {
    lo: u32,
    hi: u32,
}

/// Hundredths of the currency, from what to what.
#[derive(Serialize, JsonSchema, Debug)]
pub struct PriceJson {
    lo: i64,
    hi: i64,
}

/// Seconds, from what to what.
#[derive(Serialize, JsonSchema, Debug)]
pub struct TimeJson {
    lo: u64,
    hi: u64,
}

/// One line of the list.
#[derive(Serialize, JsonSchema, Debug)]
pub struct LineJson {
    /// `equipment`, `resistors`, `cable`, `small-parts`, `devices`, `tools` or `access`.
    group: &'static str,
    /// A small part's word, a profile's id, or a tool's name.
    part: String,
    /// Of which value or conductor; empty where there is but one.
    value: String,
    what: String,
    /// `piece` or `metre`.
    unit: &'static str,
    needed: CountJson,
    spares: u32,
    from_van: u32,
    to_order: u32,
    /// The van carries it, and nobody has counted how many.
    uncounted: bool,
    /// Of one; null where nobody has given it.
    price_each_hundredths: Option<PriceJson>,
    /// Of what is needed.
    price_hundredths: Option<PriceJson>,
    /// To fit what is needed.
    time_s: TimeJson,
    needs: Vec<NeedJson>,
}

/// Why so many are needed.
#[derive(Serialize, JsonSchema, Debug)]
pub struct NeedJson {
    count: CountJson,
    /// A circuit's tag, an enclosure, a supply, a module, a device, or `job`.
    #[serde(rename = "for")]
    place: String,
    why: String,
}

/// One piece of work.
#[derive(Serialize, JsonSchema, Debug)]
pub struct WorkJson {
    /// A task of the labour table, or `access`.
    task: &'static str,
    what: String,
    /// At which it is counted; `site` where it belongs to none.
    enclosure: String,
    #[serde(rename = "for")]
    place: String,
    count: CountJson,
    time_s: TimeJson,
}

/// What it comes to, in hundredths of the currency.
#[derive(Serialize, JsonSchema, Debug)]
pub struct BillJson {
    parts_hundredths: PriceJson,
    margin_hundredths: PriceJson,
    /// Of all technicians together.
    time_s: TimeJson,
    /// Null where nobody has said what an hour costs.
    labour_hundredths: Option<PriceJson>,
    /// Days on site: fewest and most.
    days: DaysJson,
    travel_hundredths: PriceJson,
    second_visit_hundredths: PriceJson,
    total_hundredths: PriceJson,
}

/// From what to what.
#[derive(Serialize, JsonSchema, Debug)]
pub struct DaysJson {
    lo: u64,
    hi: u64,
}

/// What one cause can add to the least.
#[derive(Serialize, JsonSchema, Debug)]
pub struct SpreadJson {
    /// In kebab-case; never changed once shipped.
    cause: &'static str,
    text: &'static str,
    narrowed_by: &'static str,
    /// How the customer comes to know.
    known_by: &'static str,
    #[serde(rename = "where")]
    places: Vec<String>,
    /// Without margin.
    parts_hundredths: i64,
    seconds: u64,
    /// Parts with margin, and labour.
    adds_hundredths: i64,
}

/// What is offered for one circuit.
#[derive(Serialize, JsonSchema, Debug)]
pub struct OptionsJson {
    tag: String,
    matter: &'static str,
    /// For whoever may not know terminals and resistors.
    plain_matter: &'static str,
    offers: Vec<OfferJson>,
}

/// One offer.
#[derive(Serialize, JsonSchema, Debug)]
pub struct OfferJson {
    /// `keep`, `replace` or `rewire`.
    way: &'static str,
    text: String,
    /// For whoever may not know terminals and resistors.
    plain: String,
    /// Null where it cannot be done, or nobody can say.
    time_s: Option<TimeJson>,
    /// Null where it cannot be done, or a price is missing.
    price_hundredths: Option<PriceJson>,
    /// The price of the whole holds it.
    in_price: bool,
}

/// The words of a quotation.
#[derive(Serialize, JsonSchema, Debug)]
pub struct QuotationJson {
    customer: String,
    from: String,
    scope: Vec<String>,
    exclusions: Vec<String>,
    offered: Vec<String>,
    assumptions: Vec<String>,
    cautions: Vec<String>,
    tax: String,
    valid_days: u32,
}

impl KitJson {
    /// The twin of an outfit.
    #[must_use]
    pub fn new(outfit: &Outfit) -> Self {
        Self {
            caveat: outfit.caveat.clone(),
            currency: outfit.currency.clone(),
            lines: outfit.kit.lines.iter().map(line).collect(),
            work: outfit.work.iter().map(work).collect(),
            bill: bill(&outfit.bill),
            spread: outfit.spread.iter().map(spread).collect(),
            second_visit: outfit.second_visit.clone(),
            options: outfit.options.iter().map(options).collect(),
            quotation: quotation(&outfit.quotation),
            findings: outfit.findings.iter().map(FindingJson::new).collect(),
        }
    }

    /// The JSON Schema of `kit --json`.
    #[must_use]
    pub fn schema() -> serde_json::Value {
        schemars::schema_for!(Self).to_value()
    }
}

fn count(count: Count) -> CountJson {
    CountJson { lo: count.lo(), hi: count.hi() }
}

fn price(price: Price) -> PriceJson {
    PriceJson { lo: price.lo().hundredths(), hi: price.hi().hundredths() }
}

fn time(time: Time) -> TimeJson {
    TimeJson { lo: time.lo(), hi: time.hi() }
}

fn line(line: &Line) -> LineJson {
    let needs = line.needs.iter();
    LineJson {
        group: line.item.group.word(),
        part: line.item.part.clone(),
        value: line.item.value.clone(),
        what: line.item.what.clone(),
        unit: match line.item.unit {
            Unit::Piece => "piece",
            Unit::Metre => "metre",
        },
        needed: count(line.needed),
        spares: line.spares,
        from_van: line.from_van,
        to_order: line.to_order,
        uncounted: line.uncounted,
        price_each_hundredths: line.price_each.map(price),
        price_hundredths: line.price.map(price),
        time_s: time(line.time),
        needs: needs
            .map(|need| NeedJson {
                count: count(need.count),
                place: need.place.clone(),
                why: need.why.clone(),
            })
            .collect(),
    }
}

fn work(work: &Work) -> WorkJson {
    WorkJson {
        task: work.task,
        what: work.what.clone(),
        enclosure: work.enclosure.clone(),
        place: work.place.clone(),
        count: count(work.count),
        time_s: time(work.time),
    }
}

fn bill(bill: &Bill) -> BillJson {
    BillJson {
        parts_hundredths: price(bill.parts),
        margin_hundredths: price(bill.margin),
        time_s: time(bill.time),
        labour_hundredths: bill.labour.map(price),
        days: DaysJson { lo: bill.days.0, hi: bill.days.1 },
        travel_hundredths: price(bill.travel),
        second_visit_hundredths: price(bill.second_visit),
        total_hundredths: price(bill.total),
    }
}

fn spread(spread: &Spread) -> SpreadJson {
    SpreadJson {
        cause: spread.cause.word(),
        text: spread.cause.text(),
        narrowed_by: spread.cause.narrowed_by(),
        known_by: spread.cause.known_by(),
        places: spread.places.clone(),
        parts_hundredths: spread.parts.hundredths(),
        seconds: spread.seconds,
        adds_hundredths: spread.adds.hundredths(),
    }
}

fn options(options: &CircuitOptions) -> OptionsJson {
    let offer = |offer: &Offer| OfferJson {
        way: offer.way.word(),
        text: offer.text.clone(),
        plain: offer.plain.clone(),
        time_s: offer.time.map(time),
        price_hundredths: offer.price.map(price),
        in_price: offer.in_price,
    };
    OptionsJson {
        tag: options.tag.clone(),
        matter: options.matter,
        plain_matter: options.plain_matter,
        offers: options.offers.iter().map(offer).collect(),
    }
}

fn quotation(words: &Quotation) -> QuotationJson {
    QuotationJson {
        customer: words.customer.clone(),
        from: words.from.clone(),
        scope: words.scope.clone(),
        exclusions: words.exclusions.clone(),
        offered: words.offered.clone(),
        assumptions: words.assumptions.clone(),
        cautions: words.cautions.clone(),
        tax: words.tax.clone(),
        valid_days: words.valid_days,
    }
}
