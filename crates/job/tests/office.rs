//! Rates, van and quotation: read as written, and every refusal at its place.

mod common;

use common::{expect, good};
use job::StockValue;
use quantity::{Money, Ohms, Ratio};

#[test]
fn what_the_office_types_in() {
    let job = good(
        r#"
format = 1
[rates]
currency = "dollars"
hour = 95.50
crew = 2
day = "8 h"
travel = 60
second_visit = 180
margin = "15 %"
tax = "sales tax is not in it"
valid_days = 45
[[van]]
part = "resistor"
value = "2.2k"
count = 40
[[van]]
part = "input-12"
count = 1
[quotation]
customer = "the practice"
scope = ["new control equipment"]
"#,
    );
    let rates = job.rates.expect("rates");
    assert_eq!(rates.hour, Some(Money::of_hundredths(9_550)));
    assert_eq!((rates.crew, rates.valid_days), (Some(2), Some(45)));
    assert_eq!(rates.margin, Some(Ratio(0.15)));
    assert_eq!(job.van[0].value, Some(StockValue::Ohms(Ohms(2200.0))));
    assert_eq!((job.van[1].part.as_str(), job.van[1].value, job.van[1].count), ("input-12", None, 1));
    assert_eq!(job.quotation.expect("words").scope, ["new control equipment"]);
    let least = good("format = 1");
    assert!(least.rates.is_none() && least.van.is_empty() && least.quotation.is_none());
}

#[test]
fn what_the_office_may_not_type_in() {
    expect(
        r#"
format = 1
[rates]
hour = 95.555
       ^more than two decimals
crew = 0
       ^out of range
day = "8"
       ^the unit of `8` is missing
margin = 15
         ^rates.margin is a number
vat = 1
^unknown key `vat`
[[van]]
part = "resistor"
value = "5 A"
           ^`A` is no unit of a resistance
count = 3
[[van]]
part = "label"
value = "2.2k"
^`label` has no value
count = 3
"#,
    );
}
