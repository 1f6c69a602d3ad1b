//! Rates, van, quotation.

use document::{Key, Located, Table};
use quantity::{Amperes, Hours, Money, Ohms, Ratio};

use super::{count, reference, words};
use crate::keys;
use crate::office::{QuotationWords, Rates, StockValue, VanStock};

/// More people than this are no crew of one van.
const MOST_CREW: u32 = 100;
/// A van that carries more than this of one part is a warehouse.
const MOST_CARRIED: u32 = 100_000;

pub(super) fn rates(root: &Table<'_>) -> Option<Rates> {
    let table = root.table("rates", keys::RATES)?;
    let table = &table;
    Some(Rates {
        currency: words(table, "currency"),
        hour: money(table, "hour"),
        crew: count(table, "crew", 1, MOST_CREW),
        day: table.quantity_within("day", Hours(0.25), Hours(24.0)).map(|day| day.value),
        travel: money(table, "travel"),
        second_visit: money(table, "second_visit"),
        margin: table.quantity::<Ratio>("margin").map(|margin| margin.value),
        tax: words(table, "tax"),
        valid_days: count(table, "valid_days", 1, 3650),
    })
}

pub(super) fn van(root: &Table<'_>) -> Vec<VanStock> {
    let stock = |table: &Table<'_>| {
        let part = reference(table, "part");
        if part.is_none() && !table.has("part") {
            let _ = table.required("part");
        }
        let carried = count(table, "count", 0, MOST_CARRIED);
        if carried.is_none() && !table.has("count") {
            let _ = table.required("count");
        }
        let value = part.as_ref().and_then(|part| value(table, part));
        Some(VanStock { part: part?, value, count: carried? })
    };
    root.tables("van", keys::VAN).iter().filter_map(stock).collect()
}

/// Resistors are told apart by ohms, fuses by amperes, cable by its conductor; other parts have no value.
fn value(table: &Table<'_>, part: &Located<String>) -> Option<StockValue> {
    let wanted = match part.as_str() {
        "resistor" => {
            let ohms = table.quantity_within::<Ohms>("value", Ohms(0.1), Ohms(1e8));
            ohms.map(|ohms| StockValue::Ohms(ohms.value))
        }
        "fuse" => {
            let amperes = table.quantity_within::<Amperes>("value", Amperes(0.01), Amperes(100.0));
            amperes.map(|amperes| StockValue::Amperes(amperes.value))
        }
        "cable-signal" | "cable-power" => table.gauge("value").map(|gauge| StockValue::Gauge(gauge.value)),
        _ => {
            if let Some(span) = table.key_span("value") {
                table.problems().report(
                    span,
                    format!("`{}` has no value", part.value),
                    "a value for resistor (`2.2k`), fuse (`5 A`), cable-signal and cable-power (`22 AWG`) alone",
                );
            }
            return None;
        }
    };
    if wanted.is_none() && !table.has("value") {
        let _ = table.required("value");
    }
    wanted
}

pub(super) fn quotation(root: &Table<'_>) -> Option<QuotationWords> {
    let table = root.table("quotation", keys::QUOTATION)?;
    let table = &table;
    let texts = |key: Key| table.texts(key).into_iter().map(|text| text.value).collect();
    Some(QuotationWords {
        customer: words(table, "customer"),
        from: words(table, "from"),
        scope: texts("scope"),
        exclusions: texts("exclusions"),
        options: texts("options"),
    })
}

/// An amount in the office's own currency.
pub(super) fn money(table: &Table<'_>, key: Key) -> Option<Money> {
    let number = table.number(key, 0.0, 1e7)?;
    let money = Money::of_number(number.value);
    if money.is_none() {
        table.problems().report(number.span, "more than two decimals", "an amount as `95` or `95.50`");
    }
    money
}
