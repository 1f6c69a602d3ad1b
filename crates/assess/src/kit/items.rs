//! What lines are of: items, their price and spares, what the van carries.

use ::kit::{Group, Item, Price, Spare, Stock, Terms, Unit};
use library::{Kind, Profile, SmallPart};
use quantity::{Gauge, Money, Ohms, SquareMillimetres, Written};

use crate::Assessment;

/// Up to here it is signal cable, above it supply cable (20 AWG is 0.52 mm2; common practice, no source).
const SIGNAL_MOST: SquareMillimetres = SquareMillimetres(0.55);

/// The word of a device of which nobody has named the profile.
const UNKNOWN: &str = "device";

/// A small part without a value.
pub(super) fn small(part: SmallPart) -> Item {
    of_value(part, String::new())
}

/// A resistor.
pub(super) fn resistor(ohms: Ohms) -> Item {
    of_value(SmallPart::Resistor, ohms.written())
}

/// A metre of cable.
pub(super) fn cable(gauge: Gauge) -> Item {
    let part = if gauge.area() <= SIGNAL_MOST { SmallPart::CableSignal } else { SmallPart::CablePower };
    of_value(part, gauge.written())
}

/// A small part of a value.
pub(super) fn of_value(part: SmallPart, value: String) -> Item {
    let group = match part {
        SmallPart::Resistor | SmallPart::Link => Group::Resistors,
        SmallPart::CableSignal | SmallPart::CablePower => Group::Cable,
        _ => Group::SmallParts,
    };
    let unit = if group == Group::Cable { Unit::Metre } else { Unit::Piece };
    Item { group, part: part.word().to_owned(), value, what: part.title().to_owned(), unit }
}

/// A piece of equipment or a device, by its profile.
pub(super) fn of_profile(profile: &Profile) -> Item {
    let group = match profile.kind {
        Kind::Detector(_) | Kind::Sounder(_) => Group::Devices,
        _ => Group::Equipment,
    };
    Item {
        group,
        part: profile.id.clone(),
        value: String::new(),
        what: profile.title.clone(),
        unit: Unit::Piece,
    }
}

/// A device of which nobody has named the profile.
pub(super) fn unknown_device(name: &str) -> Item {
    Item {
        group: Group::Devices,
        part: UNKNOWN.to_owned(),
        value: name.to_owned(),
        what: "detector or contact in place of".to_owned(),
        unit: Unit::Piece,
    }
}

/// A tool, or something to be arranged.
pub(super) fn plain(group: Group, part: &str, value: &str, what: &str) -> Item {
    Item { group, part: part.to_owned(), value: value.to_owned(), what: what.to_owned(), unit: Unit::Piece }
}

/// What an item costs and how many spares go with it.
pub(super) fn terms(assessment: &Assessment, item: &Item) -> Terms {
    let library = assessment.library;
    if let Some(part) = SmallPart::ALL.iter().find(|part| part.word() == item.part) {
        let terms = library.working_time().part(*part);
        let spare = Spare { share: terms.spare, least: terms.spare_least };
        return Terms { price: Some(Price::exact(terms.price)), spare };
    }
    if item.part == UNKNOWN {
        return Terms { price: between_named(assessment), spare: Spare::default() };
    }
    let given = library.profiles.get(&item.part).map(|profile| profile.price).filter(|price| *price > 0.0);
    Terms { price: given.map(|price| Price::exact(money(price))), spare: Spare::default() }
}

/// A device that nobody has named costs between the cheapest and the dearest that the job names.
fn between_named(assessment: &Assessment) -> Option<Price> {
    let devices = assessment.job.devices.iter().filter_map(|device| device.profile.as_ref());
    let profiles = devices.filter_map(|id| assessment.library.profiles.get(id.as_str()));
    let prices = profiles.map(|profile| profile.price).filter(|price| *price > 0.0);
    prices.map(|price| Price::exact(money(price))).reduce(Price::hull)
}

/// A profile's price in whole hundredths.
fn money(price: f64) -> Money {
    #[expect(clippy::cast_possible_truncation, reason = "a profile's price is at most 1e9")]
    let hundredths = (price * 100.0).round() as i64;
    Money::of_hundredths(hundredths)
}

/// What the van carries: the job's own list, else the resistors that the office's habits name, uncounted.
pub(super) fn stock(assessment: &Assessment) -> Vec<Stock> {
    let van = &assessment.job.van;
    if !van.is_empty() {
        return van
            .iter()
            .map(|stock| Stock {
                part: stock.part.value.clone(),
                value: stock.value.map(job::StockValue::written).unwrap_or_default(),
                count: Some(stock.count),
            })
            .collect();
    }
    let habits = assessment.library.habits.get("default");
    let carried = habits.map_or(&[][..], |habits| &habits.van).iter();
    carried
        .map(|ohms| Stock { part: SmallPart::Resistor.word().to_owned(), value: ohms.written(), count: None })
        .collect()
}
