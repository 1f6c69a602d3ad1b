//! Quantities as a person writes them, with narrower limits where a key has them.

use quantity::{Gauge, Interval, Written, WrittenError};

use crate::located::Located;
use crate::problem::Misread;
use crate::table::{Key, Table};
use crate::value::Value;

impl Value<'_> {
    /// One quantity with its unit.
    #[must_use]
    pub fn quantity<Q: Written>(&self) -> Option<Located<Q>> {
        self.measured(quantity::parse::<Q>, |_| Ok(()))
    }

    /// One quantity with its unit, from `least` to `most`.
    #[must_use]
    pub fn quantity_within<Q: Written>(&self, least: Q, most: Q) -> Option<Located<Q>> {
        self.measured(quantity::parse::<Q>, |value| within(Interval::exact(*value), least, most))
    }

    /// A range (`a to b`), a value with a tolerance (`5 V 2 %`) or a value alone.
    #[must_use]
    pub fn interval<Q: Written>(&self) -> Option<Located<Interval<Q>>> {
        self.measured(quantity::parse_interval::<Q>, |_| Ok(()))
    }

    /// As [`interval`](Value::interval), with both ends from `least` to `most`.
    #[must_use]
    pub fn interval_within<Q: Written>(&self, least: Q, most: Q) -> Option<Located<Interval<Q>>> {
        self.measured(quantity::parse_interval::<Q>, |value| within(*value, least, most))
    }

    /// Reads a text with its unit and checks the value; a bare number is told what unit it lacks.
    fn measured<T>(
        &self,
        parse: impl Fn(&str) -> Result<T, WrittenError>,
        check: impl Fn(&T) -> Result<(), Misread>,
    ) -> Option<Located<T>> {
        if self.is_text() {
            return self.read("", |text| {
                let value = parse(text)?;
                check(&value)?;
                Ok(value)
            });
        }
        let accept = parse("").err().map_or(String::new(), |error| error.accept);
        self.wrong_kind(&format!("in quotes: {accept}"))
    }
}

impl Table<'_> {
    /// See [`Value::quantity`].
    #[must_use]
    pub fn quantity<Q: Written>(&self, key: Key) -> Option<Located<Q>> {
        self.value(key)?.quantity()
    }

    /// See [`Value::quantity_within`].
    #[must_use]
    pub fn quantity_within<Q: Written>(&self, key: Key, least: Q, most: Q) -> Option<Located<Q>> {
        self.value(key)?.quantity_within(least, most)
    }

    /// See [`Value::interval`].
    #[must_use]
    pub fn interval<Q: Written>(&self, key: Key) -> Option<Located<Interval<Q>>> {
        self.value(key)?.interval()
    }

    /// See [`Value::interval_within`].
    #[must_use]
    pub fn interval_within<Q: Written>(&self, key: Key, least: Q, most: Q) -> Option<Located<Interval<Q>>> {
        self.value(key)?.interval_within(least, most)
    }

    /// A conductor, as `22 AWG` or `0.5 mm2`.
    #[must_use]
    pub fn gauge(&self, key: Key) -> Option<Located<Gauge>> {
        self.value(key)?.measured(Gauge::parse, |_| Ok(()))
    }
}

fn within<Q: Written>(value: Interval<Q>, least: Q, most: Q) -> Result<(), Misread> {
    if least <= value.lo() && value.hi() <= most {
        return Ok(());
    }
    Err(Misread::whole("out of range", format!("{} to {}", least.written(), most.written())))
}
