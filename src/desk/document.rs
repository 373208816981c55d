//! The project file as JSON, and JSON from a form as changes to the file.

use serde::Deserialize;
use serde_json::{Map, Value};

use crate::load::{Change, Given, Step};

/// A TOML text as JSON; `None` while it is none. Days become text.
pub(super) fn to_json(text: &str) -> Option<Value> {
    let table: toml::Table = text.parse().ok()?;
    Some(table_to_json(table))
}

fn table_to_json(table: toml::Table) -> Value {
    let entries = table.into_iter().map(|(key, v)| (key, value_to_json(v)));
    Value::Object(entries.collect())
}

fn value_to_json(value: toml::Value) -> Value {
    match value {
        toml::Value::String(text) => text.into(),
        toml::Value::Integer(number) => number.into(),
        toml::Value::Float(number) => number.into(),
        toml::Value::Boolean(flag) => flag.into(),
        toml::Value::Datetime(day) => day.to_string().into(),
        toml::Value::Array(items) => items.into_iter().map(value_to_json).collect(),
        toml::Value::Table(table) => table_to_json(table),
    }
}

/// One step down, as the page has it: a key or a position from 0.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum AskedStep {
    Item(usize),
    Key(String),
}

/// One change, as the page has it: a place, and just one of what is done there.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AskedChange {
    at: Vec<AskedStep>,
    set: Option<Value>,
    add: Option<Value>,
    #[serde(default)]
    remove: bool,
    move_to: Option<usize>,
}

/// The changes in the words of `load`; what is wrong with one otherwise.
pub(super) fn changes(asked: Vec<AskedChange>) -> Result<Vec<Change>, String> {
    asked.into_iter().map(change).collect()
}

fn change(asked: AskedChange) -> Result<Change, String> {
    let steps: Vec<Step> = asked.at.into_iter().map(to_step).collect();
    if steps.is_empty() {
        return Err("a change names no place".to_owned());
    }
    match (asked.set, asked.add, asked.remove, asked.move_to) {
        (Some(value), None, false, None) => given(value).map(|value| Change::Set { steps, value }),
        (None, Some(value), false, None) => given(value).map(|value| Change::Add { steps, value }),
        (None, None, true, None) => Ok(Change::Remove { steps }),
        (None, None, false, Some(to)) => Ok(Change::Move { steps, to }),
        _ => Err("a change has one of set, add, remove and move_to".to_owned()),
    }
}

fn to_step(step: AskedStep) -> Step {
    match step {
        AskedStep::Item(position) => Step::Item(position),
        AskedStep::Key(key) => Step::Key(key),
    }
}

fn given(value: Value) -> Result<Given, String> {
    Ok(match value {
        Value::Null => return Err("TOML knows no null: remove the key".to_owned()),
        Value::Bool(flag) => Given::Flag(flag),
        Value::Number(number) => match number.as_i64() {
            Some(whole) => Given::Whole(whole),
            None => Given::Real(number.as_f64().unwrap_or_default()),
        },
        Value::String(text) => Given::Text(text),
        Value::Array(items) => Given::List(items.into_iter().map(given).collect::<Result<_, _>>()?),
        Value::Object(entries) => Given::Table(table(entries)?),
    })
}

/// Keys in the order that files have them: what a thing is called and what it is of come first.
fn table(entries: Map<String, Value>) -> Result<Vec<(String, Given)>, String> {
    const FIRST: [&str; 8] = [
        "id",
        "name",
        "kind",
        "construction",
        "format",
        "stock",
        "piece",
        "shape",
    ];
    let place = |key: &str| FIRST.iter().position(|first| *first == key);
    let read = entries
        .into_iter()
        .map(|(key, value)| Ok((key, given(value)?)));
    let mut read = read.collect::<Result<Vec<_>, String>>()?;
    read.sort_by_key(|(key, _)| place(key).unwrap_or(FIRST.len()));
    Ok(read)
}

/// A key path of a diagnostic with positions from 0, as the page counts them: `piece[1].id` becomes `piece[0].id`.
pub(super) fn key_from_zero(key_path: &str) -> String {
    let mut parts = key_path.split('[');
    let mut key = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        match part.split_once(']') {
            Some((position, rest)) => {
                let from_zero = position.parse::<usize>().map(|p| p.saturating_sub(1));
                let position = from_zero.map_or_else(|_| position.to_owned(), |p| p.to_string());
                key += &format!("[{position}]{rest}");
            }
            None => key += &format!("[{part}"),
        }
    }
    key
}

/// What stands at a key path with positions from 0.
pub(super) fn at<'a>(doc: &'a Value, key: &str) -> Option<&'a Value> {
    let mut found = doc;
    for part in key.split(['.', '[']) {
        found = match part.strip_suffix(']') {
            Some(position) => found.get(position.parse::<usize>().ok()?)?,
            None => found.get(part)?,
        };
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::load;

    fn read(value: Value) -> Result<Vec<Change>, String> {
        changes(serde_json::from_value(value).unwrap())
    }

    #[test]
    fn a_file_becomes_json_and_what_is_none_becomes_nothing() {
        let text = "a = 1\nday = 2027-04-17\n[[b]]\nc = { d = [true, 1.5] }\n";
        let want = json!({ "a": 1, "day": "2027-04-17", "b": [{ "c": { "d": [true, 1.5] } }] });
        assert_eq!(to_json(text), Some(want));
        assert_eq!(to_json("a = "), None);
    }

    #[test]
    fn changes_of_a_form_change_the_file() {
        let edits = json!([
            { "at": ["piece", 0, "count"], "set": 4 },
            { "at": ["piece"], "add": { "shape": { "kind": "rectangle" }, "count": 2, "id": "lid" } },
            { "at": ["job", "spares"], "remove": true },
        ]);
        let text = "[job]\nspares = 1\n[[piece]]\nid = \"base\"\n";
        let changed = load::change(text, &read(edits).unwrap()).unwrap();
        assert_eq!(
            changed,
            "[job]\n[[piece]]\nid = \"base\"\ncount = 4\n\n[[piece]]\nid = \"lid\"\nshape = { kind = \"rectangle\" }\ncount = 2\n"
        );
    }

    #[test]
    fn a_change_that_is_none_or_two_is_refused() {
        for wrong in [
            json!([{ "at": ["a"] }]),
            json!([{ "at": ["a"], "set": 1, "remove": true }]),
            json!([{ "at": [], "set": 1 }]),
            json!([{ "at": ["a"], "set": [null] }]),
        ] {
            assert!(read(wrong.clone()).is_err(), "{wrong}");
        }
    }

    #[test]
    fn positions_are_counted_from_zero_for_the_page() {
        assert_eq!(
            key_from_zero("piece[2].shape.panels[1]"),
            "piece[1].shape.panels[0]"
        );
        assert_eq!(key_from_zero("job.name"), "job.name");
        let doc = json!({ "piece": [{ "id": "a" }, { "id": "b" }] });
        assert_eq!(at(&doc, "piece[1].id"), Some(&json!("b")));
        assert_eq!(at(&doc, "piece[2].id"), None);
    }
}
