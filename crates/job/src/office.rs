//! What the office adds to a job: its rates, what its van carries, what stands on its quotation.

use document::Located;
use quantity::{Amperes, Gauge, Hours, Money, Ohms, Ratio, Written};

/// `[rates]`: what the office charges, in a currency of its own.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Rates {
    /// The currency's word, as it stands behind an amount; empty when not given.
    pub currency: String,
    /// An hour of one technician.
    pub hour: Option<Money>,
    /// How many technicians come; default 1.
    pub crew: Option<u32>,
    /// Working hours of a day on site; default 8 h.
    pub day: Option<Hours>,
    /// Travel, for each day of the crew.
    pub travel: Option<Money>,
    /// Coming back another day, all in.
    pub second_visit: Option<Money>,
    /// Put on the price of parts; default 0 %.
    pub margin: Option<Ratio>,
    /// What is to be said of tax; empty when not given.
    pub tax: String,
    /// How many days a quotation holds; default 30.
    pub valid_days: Option<u32>,
}

/// `[[van]]`: a part that the van carries.
#[derive(Clone, PartialEq, Debug)]
pub struct VanStock {
    /// A small part's word, or a profile's id.
    pub part: Located<String>,
    /// Of which value, where the part has one.
    pub value: Option<StockValue>,
    /// How many, or how many metres.
    pub count: u32,
}

/// What tells two parts of one kind apart.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum StockValue {
    /// A resistor.
    Ohms(Ohms),
    /// A fuse.
    Amperes(Amperes),
    /// A cable.
    Gauge(Gauge),
}

impl StockValue {
    /// As a person writes it.
    #[must_use]
    pub fn written(self) -> String {
        match self {
            Self::Ohms(ohms) => ohms.written(),
            Self::Amperes(amperes) => amperes.written(),
            Self::Gauge(gauge) => gauge.written(),
        }
    }
}

/// `[quotation]`: the office's own words.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct QuotationWords {
    /// Whom it is for; empty when not given.
    pub customer: String,
    /// Who makes it; empty when not given.
    pub from: String,
    /// What is to be done, beyond what the job itself says.
    pub scope: Vec<String>,
    /// What is not in it, beyond what the job itself says.
    pub exclusions: Vec<String>,
    /// What else is offered.
    pub options: Vec<String>,
}
