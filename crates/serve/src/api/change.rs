//! Changes as JSON.

use std::borrow::Cow;
use std::fmt;

use document::Plain;
use job::{Change, Place, TableRef};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::de::{MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// One value from this to that. Made where the value stands as `from` says, whatever else has changed meanwhile.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(deny_unknown_fields)]
pub(crate) struct ChangeJson {
    /// The kind of the table, as `site` or `circuit`.
    table: String,
    /// Which one, where there are many: its id, tag or number.
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<String>,
    /// The key in it; the whole table where none is given. Entries of `standby`, `van` and `extension`, which have no name, are
    /// those of the lists of these keys in the table `job`; weights of a cut-over are keys of the table `cutover.weights`.
    #[serde(skip_serializing_if = "Option::is_none")]
    key: Option<String>,
    /// The entry of the list under the key, from 0; the whole list where none is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 1_000_000))]
    entry: Option<usize>,
    /// What stands there; null: nothing.
    from: Option<ValueJson>,
    /// What shall stand there; null: nothing.
    to: Option<ValueJson>,
}

/// A value of the job file.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(untagged)]
enum ValueJson {
    /// `true` or `false`.
    Bool(bool),
    /// A whole number.
    Integer(#[schemars(range(min = -9_007_199_254_740_991_i64, max = 9_007_199_254_740_991_i64))] i64),
    /// A number with a decimal point.
    Number(f64),
    /// Text; a date is text too.
    Text(String),
    /// A list.
    List(Vec<ValueJson>),
    /// A table.
    Table(KeysJson),
}

/// The keys of a table, in their order.
#[derive(Debug)]
struct KeysJson(Vec<(String, ValueJson)>);

impl Serialize for KeysJson {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.0.iter().map(|(key, value)| (key, value)))
    }
}

impl<'de> Deserialize<'de> for KeysJson {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Keys;
        impl<'de> Visitor<'de> for Keys {
            type Value = KeysJson;

            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("an object")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<KeysJson, A::Error> {
                let mut keys = Vec::new();
                while let Some(entry) = map.next_entry()? {
                    keys.push(entry);
                }
                Ok(KeysJson(keys))
            }
        }
        from.deserialize_map(Keys)
    }
}

impl JsonSchema for KeysJson {
    fn schema_name() -> Cow<'static, str> {
        "KeysJson".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let value = generator.subschema_for::<ValueJson>();
        schemars::json_schema!({ "type": "object", "additionalProperties": value })
    }
}

impl ChangeJson {
    /// The change.
    pub(crate) fn change(self) -> Change {
        let table = match self.id {
            None => TableRef::Single(self.table),
            Some(id) => TableRef::Named(self.table, id),
        };
        let at = match (self.key, self.entry) {
            (None, _) => Place::Table(table),
            (Some(key), None) => Place::Key(table, key),
            (Some(key), Some(entry)) => Place::Entry(table, key, entry),
        };
        Change { at, from: self.from.map(ValueJson::plain), to: self.to.map(ValueJson::plain) }
    }

    /// The twin of a change.
    pub(crate) fn of(change: &Change) -> Self {
        let (table, id) = match change.at.table() {
            TableRef::Single(table) => (table.clone(), None),
            TableRef::Named(table, id) => (table.clone(), Some(id.clone())),
        };
        let (key, entry) = match &change.at {
            Place::Table(_) => (None, None),
            Place::Key(_, key) => (Some(key.clone()), None),
            Place::Entry(_, key, entry) => (Some(key.clone()), Some(*entry)),
        };
        let value = |plain: &Option<Plain>| plain.as_ref().map(ValueJson::of);
        Self { table, id, key, entry, from: value(&change.from), to: value(&change.to) }
    }
}

impl ValueJson {
    fn plain(self) -> Plain {
        match self {
            Self::Bool(value) => Plain::Bool(value),
            Self::Integer(number) => Plain::Integer(number),
            Self::Number(number) => Plain::Number(number),
            Self::Text(text) => Plain::Text(text),
            Self::List(items) => Plain::List(items.into_iter().map(Self::plain).collect()),
            Self::Table(KeysJson(keys)) => {
                Plain::Table(keys.into_iter().map(|(key, value)| (key, value.plain())).collect())
            }
        }
    }

    fn of(plain: &Plain) -> Self {
        match plain {
            Plain::Text(text) => Self::Text(text.clone()),
            Plain::Integer(number) => Self::Integer(*number),
            Plain::Number(number) => Self::Number(*number),
            Plain::Bool(value) => Self::Bool(*value),
            Plain::Written(written) => Self::Text(written.clone()),
            Plain::List(items) => Self::List(items.iter().map(Self::of).collect()),
            Plain::Table(keys) => Self::Table(KeysJson(
                keys.iter().map(|(key, plain)| (key.clone(), Self::of(plain))).collect(),
            )),
        }
    }
}
