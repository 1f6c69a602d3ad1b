//! The tables of the kit, its work and its quotation. Money and time stand as from and to, units in the headings.

use assess::Assessment;
use assess::kit::Outfit;
use kit::{Price, Time, Unit};

use crate::tables::{Cell, Table};

/// All of them; none where there is nothing to take along.
pub(crate) fn kit_tables(assessment: &Assessment, year: Option<i32>) -> Vec<Table> {
    let outfit = assess::kit::planned_kit(assessment, year);
    if !outfit.kit.lines.iter().any(|line| line.item.group.is_sold()) {
        return Vec::new();
    }
    vec![list(&outfit), reasons(&outfit), work(&outfit), quotation(&outfit), options(&outfit)]
}

fn count(count: u32) -> Cell {
    Cell::Number(f64::from(count))
}

/// Whole hundredths, far below 2^53: the cell shows what was summed.
fn money(price: Option<Price>) -> [Cell; 2] {
    let cell = |amount: quantity::Money| Cell::Number(amount.hundredths() as f64 / 100.0);
    price.map_or([Cell::Empty, Cell::Empty], |price| [cell(price.lo()), cell(price.hi())])
}

fn minutes(time: Option<Time>) -> [Cell; 2] {
    let cell = |seconds: u64| Cell::Number(seconds as f64 / 60.0);
    time.map_or([Cell::Empty, Cell::Empty], |time| [cell(time.lo()), cell(time.hi())])
}

fn list(outfit: &Outfit) -> Table {
    let row = |line: &kit::Line| {
        let item = &line.item;
        let mut cells: Vec<Cell> = vec![
            item.group.word().into(),
            item.part.as_str().into(),
            item.value.as_str().into(),
            item.what.as_str().into(),
            if item.unit == Unit::Metre { "metre" } else { "piece" }.into(),
            count(line.needed.lo()),
            count(line.needed.hi()),
            count(line.spares),
            if line.uncounted { "not counted".into() } else { count(line.from_van) },
            count(line.to_order),
        ];
        cells.extend(money(line.price_each));
        cells.extend(money(line.price));
        cells.extend(minutes(Some(line.time).filter(|time| *time != Time::NONE)));
        cells
    };
    Table {
        name: "kit",
        columns: vec![
            "group",
            "part",
            "value",
            "what",
            "unit",
            "needed_from",
            "needed_to",
            "spares",
            "from_van",
            "to_order",
            "price_each_from",
            "price_each_to",
            "price_from",
            "price_to",
            "fitting_from_min",
            "fitting_to_min",
        ],
        rows: outfit.kit.lines.iter().map(row).collect(),
    }
}

fn reasons(outfit: &Outfit) -> Table {
    let mut rows = Vec::new();
    for line in &outfit.kit.lines {
        for need in &line.needs {
            rows.push(vec![
                line.item.part.as_str().into(),
                line.item.value.as_str().into(),
                need.place.as_str().into(),
                count(need.count.lo()),
                count(need.count.hi()),
                need.why.as_str().into(),
            ]);
        }
    }
    Table { name: "kit_reasons", columns: vec!["part", "value", "for", "from", "to", "why"], rows }
}

fn work(outfit: &Outfit) -> Table {
    let row = |work: &kit::Work| {
        let mut cells: Vec<Cell> = vec![
            work.enclosure.as_str().into(),
            work.task.into(),
            work.what.as_str().into(),
            work.place.as_str().into(),
            count(work.count.lo()),
            count(work.count.hi()),
        ];
        cells.extend(minutes(Some(work.time)));
        cells
    };
    Table {
        name: "work",
        columns: vec!["enclosure", "task", "what", "for", "from", "to", "from_min", "to_min"],
        rows: outfit.work.iter().map(row).collect(),
    }
}

fn quotation(outfit: &Outfit) -> Table {
    let bill = &outfit.bill;
    let mut rows = Vec::new();
    let parts = [
        ("parts", Some(bill.parts)),
        ("margin on parts", Some(bill.margin)),
        ("working time", bill.labour),
        ("travel", Some(bill.travel)),
        ("second visit", Some(bill.second_visit)),
        ("sum", Some(bill.total)),
    ];
    for (what, price) in parts {
        let mut cells: Vec<Cell> = vec!["price".into(), what.into()];
        cells.extend(money(price));
        cells.push(outfit.currency.as_str().into());
        rows.push(cells);
    }
    for one in &outfit.spread {
        let mut cells: Vec<Cell> = vec!["why it is a range".into(), one.cause.text().into()];
        cells.push(Cell::Empty);
        cells.push(money(Some(Price::exact(one.adds)))[1].clone());
        cells.push(one.cause.narrowed_by().into());
        rows.push(cells);
    }
    let words = &outfit.quotation;
    for (kind, texts) in [
        ("in it", &words.scope),
        ("not in it", &words.exclusions),
        ("also offered", &words.offered),
        ("what it stands on", &words.assumptions),
        ("to be said with it", &words.cautions),
    ] {
        for text in texts {
            rows.push(vec![kind.into(), text.as_str().into(), Cell::Empty, Cell::Empty, Cell::Empty]);
        }
    }
    Table { name: "quotation", columns: vec!["kind", "what", "from", "to", "remark"], rows }
}

fn options(outfit: &Outfit) -> Table {
    let mut rows = Vec::new();
    for one in &outfit.options {
        for offer in &one.offers {
            let mut cells: Vec<Cell> = vec![
                one.tag.as_str().into(),
                one.matter.into(),
                offer.way.word().into(),
                offer.text.as_str().into(),
            ];
            cells.extend(money(offer.price));
            cells.extend(minutes(offer.time));
            cells.push(if offer.in_price { "yes" } else { "no" }.into());
            rows.push(cells);
        }
    }
    Table {
        name: "options",
        columns: vec![
            "tag",
            "matter",
            "way",
            "what",
            "price_from",
            "price_to",
            "from_min",
            "to_min",
            "in_the_sum",
        ],
        rows,
    }
}
