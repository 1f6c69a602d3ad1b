//! The answer in a sentence, the same on every face.

use super::Outfit;

/// `23 kinds of parts go along, 9 of them to be ordered; 41 to 68 h of work; 4321.00 to 6888.00 dollars.`
#[must_use]
pub fn answer(outfit: &Outfit) -> String {
    with_caveat(outfit, goes_along(outfit))
}

fn with_caveat(outfit: &Outfit, said: String) -> String {
    match &outfit.caveat {
        Some(caveat) => format!("{caveat} {said}"),
        None => said,
    }
}

fn goes_along(outfit: &Outfit) -> String {
    let sold: Vec<&::kit::Line> = outfit.kit.lines.iter().filter(|line| line.item.group.is_sold()).collect();
    if sold.is_empty() {
        return "Nothing to take along yet: the job names no circuit and no equipment.".to_owned();
    }
    let to_order = sold.iter().filter(|line| line.to_order > 0).count();
    let kinds = if sold.len() == 1 {
        "1 kind of part goes".to_owned()
    } else {
        format!("{} kinds of parts go", sold.len())
    };
    let order = match to_order {
        0 => "none to be ordered".to_owned(),
        count if count == sold.len() => "to be ordered".to_owned(),
        count => format!("{count} of them to be ordered"),
    };
    format!("{kinds} along, {order}; {} of work; {}.", outfit.bill.time.written(), price(outfit))
}

/// `For Orchard Row: from 4321.00 to 6888.00 dollars, 41 to 68 h of work, as far as the survey goes.`
#[must_use]
pub fn quoted(outfit: &Outfit, site: &str) -> String {
    let said = format!(
        "Quotation for {site}: {}, {} of work, as far as the survey goes.",
        price(outfit),
        outfit.bill.time.written()
    );
    with_caveat(outfit, said)
}

/// The price with its currency, and what it is without.
fn price(outfit: &Outfit) -> String {
    let sum = outfit.bill.total.written();
    let sum = format!("{sum} {}", outfit.currency).trim_end().to_owned();
    match (outfit.bill.labour.is_none(), outfit.kit.without_price().count()) {
        (true, _) => format!("{sum} without working time, which has no price"),
        (false, 0) => sum,
        (false, 1) => format!("{sum} without one line that has no price"),
        (false, many) => format!("{sum} without {many} lines that have no price"),
    }
}
