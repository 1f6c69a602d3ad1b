//! Changes as JSON: `[{"table":"circuit","id":"C07","key":"network","from":null,"to":"2.2k"}]`.
//!
//! A value is itself where JSON has its like; a table keeps the order of its keys, as `{"keys":[["tag","C07"]]}`, and
//! what JSON has no like of is `{"written":"2026-03-14"}` or `{"number":"inf"}`.

use document::Plain;
use job::{Change, Place, TableRef};
use serde_json::{Map, Value, json};

/// A list of changes as JSON.
pub(crate) fn written(changes: &[Change]) -> Value {
    Value::Array(changes.iter().map(one).collect())
}

fn one(change: &Change) -> Value {
    let mut object = Map::new();
    let mut put = |key: &str, value: Value| object.insert(key.to_owned(), value);
    match change.at.table() {
        TableRef::Single(table) => put("table", json!(table)),
        TableRef::Named(table, id) => {
            put("id", json!(id));
            put("table", json!(table))
        }
    };
    match &change.at {
        Place::Table(_) => {}
        Place::Key(_, key) => {
            put("key", json!(key));
        }
        Place::Entry(_, key, at) => {
            put("key", json!(key));
            put("entry", json!(at));
        }
    }
    put("from", change.from.as_ref().map_or(Value::Null, value));
    put("to", change.to.as_ref().map_or(Value::Null, value));
    Value::Object(object)
}

fn value(plain: &Plain) -> Value {
    match plain {
        Plain::Text(text) => json!(text),
        Plain::Integer(number) => json!(number),
        Plain::Number(number) if number.is_finite() => json!(number),
        Plain::Number(number) => json!({ "number": number.to_string() }),
        Plain::Bool(value) => json!(value),
        Plain::Written(written) => json!({ "written": written }),
        Plain::List(items) => Value::Array(items.iter().map(value).collect()),
        Plain::Table(keys) => {
            let keys = keys.iter().map(|(key, plain)| json!([key, value(plain)]));
            json!({ "keys": keys.collect::<Vec<_>>() })
        }
    }
}

/// The changes of a list; none when it is no such list.
pub(crate) fn read(json: &Value) -> Option<Vec<Change>> {
    json.as_array()?.iter().map(read_one).collect()
}

fn read_one(json: &Value) -> Option<Change> {
    let text = |key: &str| json.get(key).map(|text| text.as_str().map(str::to_owned));
    let table = text("table")??;
    let table = match text("id") {
        None => TableRef::Single(table),
        Some(id) => TableRef::Named(table, id?),
    };
    let at = match (text("key"), json.get("entry")) {
        (None, _) => Place::Table(table),
        (Some(key), None) => Place::Key(table, key?),
        (Some(key), Some(at)) => Place::Entry(table, key?, usize::try_from(at.as_u64()?).ok()?),
    };
    Some(Change { at, from: read_value(json.get("from")?)?, to: read_value(json.get("to")?)? })
}

/// None for what is no value; within, none for null.
fn read_value(json: &Value) -> Option<Option<Plain>> {
    if json.is_null() { Some(None) } else { plain(json).map(Some) }
}

fn plain(json: &Value) -> Option<Plain> {
    Some(match json {
        Value::Null => return None,
        Value::String(text) => Plain::Text(text.clone()),
        Value::Number(number) => match number.as_i64() {
            Some(number) => Plain::Integer(number),
            None => Plain::Number(number.as_f64()?),
        },
        Value::Bool(value) => Plain::Bool(*value),
        Value::Array(items) => Plain::List(items.iter().map(plain).collect::<Option<_>>()?),
        Value::Object(object) => match (object.get("written"), object.get("number"), object.get("keys")) {
            (Some(written), ..) => Plain::Written(written.as_str()?.to_owned()),
            (_, Some(number), _) => Plain::Number(number.as_str()?.parse().ok()?),
            (.., keys) => Plain::Table(keys?.as_array()?.iter().map(key).collect::<Option<_>>()?),
        },
    })
}

fn key(json: &Value) -> Option<(String, Plain)> {
    match json.as_array()?.as_slice() {
        [key, value] => Some((key.as_str()?.to_owned(), plain(value)?)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn some_plain() -> impl Strategy<Value = Plain> {
        let leaf = prop_oneof![
            ".*".prop_map(Plain::Text),
            any::<i64>().prop_map(Plain::Integer),
            prop_oneof![
                any::<f64>().prop_filter("equal to itself", |number| !number.is_nan()),
                Just(f64::INFINITY)
            ]
            .prop_map(Plain::Number),
            any::<bool>().prop_map(Plain::Bool),
            ".*".prop_map(Plain::Written),
        ];
        leaf.prop_recursive(3, 12, 4, |inner| {
            prop_oneof![
                proptest::collection::vec(inner.clone(), 0..4).prop_map(Plain::List),
                proptest::collection::vec((".*", inner), 0..4).prop_map(Plain::Table),
            ]
        })
    }

    fn some_place() -> impl Strategy<Value = Place> {
        let table = (".*", proptest::option::of(".*")).prop_map(|(table, id)| match id {
            None => TableRef::Single(table),
            Some(id) => TableRef::Named(table, id),
        });
        (table, proptest::option::of((".*", proptest::option::of(0_usize..99)))).prop_map(|(table, key)| {
            match key {
                None => Place::Table(table),
                Some((key, None)) => Place::Key(table, key),
                Some((key, Some(at))) => Place::Entry(table, key, at),
            }
        })
    }

    proptest! {
        #[test]
        fn what_is_written_is_read(
            at in some_place(),
            from in proptest::option::of(some_plain()),
            to in proptest::option::of(some_plain()),
        ) {
            let change = Change { at, from, to };
            let text = written(std::slice::from_ref(&change)).to_string();
            prop_assert_eq!(read(&serde_json::from_str(&text).unwrap()), Some(vec![change]));
        }
    }
}
