//! Changes as JSON: `[{"table":"circuit","id":"C07","key":"network","from":null,"to":"2.2k"}]`.

use job::{Change, NewValue, TABLES, TableRef};
use serde_json::{Map, Value, json};

/// A list of changes as JSON.
pub(crate) fn written(changes: &[Change]) -> Value {
    Value::Array(changes.iter().map(one).collect())
}

fn one(change: &Change) -> Value {
    let mut object = Map::new();
    let (table, id) = match &change.table {
        TableRef::Single(table) => (*table, None),
        TableRef::Named(table, id) => (*table, Some(id)),
    };
    object.insert("table".to_owned(), json!(table));
    if let Some(id) = id {
        object.insert("id".to_owned(), json!(id));
    }
    object.insert("key".to_owned(), json!(change.key));
    object.insert("from".to_owned(), value(change.from.as_ref()));
    object.insert("to".to_owned(), value(change.to.as_ref()));
    Value::Object(object)
}

fn value(value: Option<&NewValue>) -> Value {
    match value {
        None => Value::Null,
        Some(NewValue::Text(text)) => json!(text),
        Some(NewValue::Integer(number)) => json!(number),
        Some(NewValue::Bool(value)) => json!(value),
    }
}

/// The changes of a list; none when it is no such list.
pub(crate) fn read(json: &Value) -> Option<Vec<Change>> {
    json.as_array()?.iter().map(read_one).collect()
}

fn read_one(json: &Value) -> Option<Change> {
    let named = json.get("table")?.as_str()?;
    let (table, _) = TABLES.iter().find(|(name, _)| *name == named)?;
    let table = match json.get("id") {
        None => TableRef::Single(table),
        Some(id) => TableRef::Named(table, id.as_str()?.to_owned()),
    };
    let key = json.get("key")?.as_str()?.to_owned();
    Some(Change { table, key, from: read_value(json.get("from")?)?, to: read_value(json.get("to")?)? })
}

fn read_value(json: &Value) -> Option<Option<NewValue>> {
    Some(match json {
        Value::Null => None,
        Value::String(text) => Some(NewValue::Text(text.clone())),
        Value::Number(number) => Some(NewValue::Integer(number.as_i64()?)),
        Value::Bool(value) => Some(NewValue::Bool(*value)),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn some_value() -> impl Strategy<Value = Option<NewValue>> {
        prop_oneof![
            Just(None),
            ".*".prop_map(|text| Some(NewValue::Text(text))),
            any::<i64>().prop_map(|number| Some(NewValue::Integer(number))),
            any::<bool>().prop_map(|value| Some(NewValue::Bool(value))),
        ]
    }

    proptest! {
        #[test]
        fn what_is_written_is_read(
            (at, id, key) in (0..TABLES.len(), proptest::option::of(".*"), ".*"),
            (from, to) in (some_value(), some_value()),
        ) {
            let table = match id {
                None => TableRef::Single(TABLES[at].0),
                Some(id) => TableRef::Named(TABLES[at].0, id),
            };
            let change = Change { table, key, from, to };
            prop_assert_eq!(read(&written(std::slice::from_ref(&change))), Some(vec![change]));
        }
    }
}
