//! An entry of evidence: one line of JSON, kept as it came.

use serde_json::{Map, Value};

use crate::error::StoreError;

/// Lines longer than this are none of ours, in bytes.
pub const LONGEST_LINE: usize = 64 * 1024;

/// The keys that every entry has; `data` holds all others.
const OWN: [&str; 7] = ["kind", "id", "at", "author", "instrument", "about", "words"];

/// What was observed. Never edited; a correction is a new one.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Entry {
    /// Made by whoever observed it: the same id twice is one entry.
    pub id: String,
    /// When, RFC 3339.
    pub at: String,
    /// Who.
    pub author: String,
    /// The instrument; empty when none was used.
    pub instrument: String,
    /// `reading`, `trip`, `note`, `signal` and what else comes; `unreadable` for a line that is no JSON object.
    pub kind: String,
    /// A circuit's tag, an enclosure's id; empty for the whole job.
    pub about: String,
    /// What was observed, in a sentence.
    pub words: String,
    /// Every other key, as a JSON object.
    pub data: String,
}

impl Entry {
    /// The entry as one line of JSON, without its line end.
    ///
    /// # Errors
    /// Data that is no object or holds a key of the entry's own; more than [`LONGEST_LINE`]; no id.
    pub fn line(&self) -> Result<String, StoreError> {
        let refused =
            |text: &str, accept| Err(StoreError::refused(format!("the entry `{}`", self.id), text, accept));
        let Ok(Value::Object(data)) = serde_json::from_str::<Value>(&self.data) else {
            return refused("its data is no JSON object", "an object, `{}` for none");
        };
        if OWN.iter().any(|own| data.contains_key(*own)) {
            return refused(
                "its data holds a key that is the entry's own",
                "other keys than kind, id, at, author, instrument, about, words",
            );
        }
        check_id(&self.id)?;
        let own = [&self.kind, &self.id, &self.at, &self.author, &self.instrument, &self.about, &self.words];
        let mut line = String::from("{");
        for (key, value) in OWN.iter().zip(own) {
            if line.len() > 1 {
                line.push(',');
            }
            line.push_str(&format!("\"{key}\":{}", Value::from(value.as_str())));
        }
        for (key, value) in &data {
            line.push_str(&format!(",{}:{value}", Value::from(key.as_str())));
        }
        line.push('}');
        if line.len() > LONGEST_LINE {
            return refused("it is longer than 64 kB", "a shorter one, or several");
        }
        Ok(line)
    }

    /// Whether both observe the same. When is left out: an entry that is sent again may have been stamped anew.
    #[must_use]
    pub fn says_the_same(&self, other: &Self) -> bool {
        let data = |entry: &Self| serde_json::from_str::<Value>(&entry.data).ok();
        let plain = |entry: &Self| Self { at: String::new(), data: String::new(), ..entry.clone() };
        plain(self) == plain(other) && (self.data == other.data || data(self) == data(other))
    }

    /// What a kept line says; `id` is the one that it is kept under, since a receiver's lines bring none.
    #[must_use]
    pub fn of_line(id: &str, line: &str) -> Self {
        let Ok(Value::Object(mut object)) = serde_json::from_str::<Value>(line) else {
            return Self {
                id: id.to_owned(),
                kind: "unreadable".to_owned(),
                words: line.to_owned(),
                data: "{}".to_owned(),
                ..Self::default()
            };
        };
        let mut take = |key: &str| taken(&mut object, key);
        let mut entry = Self {
            id: id.to_owned(),
            at: take("at"),
            author: take("author"),
            instrument: take("instrument"),
            kind: take("kind"),
            about: take("about"),
            words: take("words"),
            data: String::new(),
        };
        take("id");
        if entry.words.is_empty() {
            let said = object.get("signal").and_then(|signal| signal.get("words")).or(object.get("row"));
            entry.words = said.and_then(Value::as_str).unwrap_or_default().to_owned();
        }
        entry.data = Value::Object(object).to_string();
        entry
    }
}

/// A text that is taken out of an object; what is no text stays in it.
fn taken(object: &mut Map<String, Value>, key: &str) -> String {
    match object.get(key) {
        Some(Value::String(_)) => match object.remove(key) {
            Some(Value::String(text)) => text,
            _ => String::new(),
        },
        _ => String::new(),
    }
}

/// The id that a line brings itself; none for a receiver's line, and for one that is no JSON object.
pub(crate) fn id_of(line: &str) -> Option<String> {
    let json: Value = serde_json::from_str(line).ok()?;
    let id = json.get("id")?.as_str()?;
    check_id(id).ok().map(|()| id.to_owned())
}

/// Refuses what may not be an id: ids stand in paths and in file names.
pub(crate) fn check_id(id: &str) -> Result<(), StoreError> {
    let fits = |letter: char| letter.is_ascii_alphanumeric() || letter == '-' || letter == '_';
    if id.is_empty() || id.len() > 64 || !id.chars().all(fits) {
        let shown: String = id.chars().take(64).collect();
        let text = "it is no id";
        return Err(StoreError::refused(
            format!("`{shown}`"),
            text,
            "1 to 64 letters a to z, digits, - and _",
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn an_entry_and_its_line_are_the_same(
            id in "[A-Za-z0-9_-]{1,64}",
            (at, author, instrument, kind) in (".*", ".*", ".*", ".*"),
            (about, words) in (".*", "\\PC+"),
            (key, value) in ("x-.*", ".*"),
        ) {
            let data = Value::Object(Map::from_iter([(key, Value::from(value))])).to_string();
            let entry = Entry { id: id.clone(), at, author, instrument, kind, about, words, data };
            let line = entry.line().unwrap();
            prop_assert!(!line.contains('\n'));
            prop_assert_eq!(Entry::of_line(&id, &line), entry);
            prop_assert_eq!(id_of(&line), Some(id));
        }

        #[test]
        fn any_line_is_some_entry(line in ".*") {
            prop_assert_eq!(Entry::of_line("x", &line).id, "x");
        }
    }

    #[test]
    fn data_cannot_say_who_or_when() {
        let entry = Entry { id: "a".to_owned(), data: "{\"author\":\"x\"}".to_owned(), ..Entry::default() };
        assert!(matches!(entry.line(), Err(StoreError::Refused { .. })));
    }

    #[test]
    fn a_received_signal_says_its_words() {
        let line = "{\"kind\":\"signal\",\"way\":\"received\",\"at\":\"2026-03-14T10:00:00Z\",\"signal\":{\"words\":\"burglary\"}}";
        let entry = Entry::of_line("line-1", line);
        assert_eq!((entry.kind.as_str(), entry.words.as_str()), ("signal", "burglary"));
        assert!(entry.data.contains("\"way\":\"received\""));
    }
}
