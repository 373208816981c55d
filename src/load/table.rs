//! A table of the file, read key by key.
//!
//! A [`Table`] remembers which keys were asked for; [`Table::close`] reports those that nobody asked for. So no table
//! lists its keys a second time, but for a few that are often misplaced.

use std::cell::RefCell;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::code;
use super::mistakes::Mistakes;
use super::value::Value;
use crate::diagnostic::Origin;

/// Keys that are easily written into the wrong table, with the header they belong under.
const HOMES: &[(&str, &[&str])] = &[
    (
        "[job]",
        &[
            "copies",
            "spares",
            "best",
            "rows",
            "gap",
            "marks",
            "turn_over",
            "show_lengths",
            "printer",
            "cutter",
            "trimmer",
        ],
    ),
    (
        "[[stock]]",
        &[
            "format",
            "orientation",
            "caliper",
            "grammage",
            "on_hand",
            "price",
        ],
    ),
    ("[[piece]]", &["per_copy", "shows", "pattern_up", "turns"]),
    (
        "[piece.shape]",
        &["width", "height", "size", "diameter", "panels"],
    ),
    (
        "[piece.mount]",
        &["on", "reveal", "anchor", "offset", "plies", "standoff"],
    ),
    (
        "[[piece.artwork]]",
        &[
            "colour", "file", "pattern", "repeat", "bleed", "text", "font",
        ],
    ),
];

/// Tables whose keys are not looked for elsewhere: those of other files than projects, and those that share words with others.
const STRANGERS: [&str; 18] = [
    "offcut",
    "booked",
    "part",
    "part.piece",
    "assembly",
    "assembly.member",
    "assembly.joint",
    "assembly.free",
    "instructions",
    "instructions.price",
    "step",
    "tool",
    "supply",
    "piece.treat",
    "part.piece.treat",
    "piece.finish",
    "part.piece.finish",
    "piece.finish.also",
];

/// One table and the keys asked for so far.
#[derive(Debug)]
pub(super) struct Table<'a> {
    mistakes: &'a Mistakes<'a>,
    entries: &'a DeTable<'a>,
    key_path: String,
    span: Range<usize>,
    asked: RefCell<Vec<&'static str>>,
}

impl<'a> Table<'a> {
    pub(super) fn new(
        mistakes: &'a Mistakes<'a>,
        entries: &'a DeTable<'a>,
        key_path: String,
        span: Range<usize>,
    ) -> Self {
        Self {
            mistakes,
            entries,
            key_path,
            span,
            asked: RefCell::default(),
        }
    }

    /// Returns a table without any keys in this one's place.
    pub(super) fn bare(&self, empty: &'a DeTable<'a>) -> Self {
        let (path, span) = (self.key_path.clone(), self.span.clone());
        Self::new(self.mistakes, empty, path, span)
    }

    pub(super) fn mistakes(&self) -> &'a Mistakes<'a> {
        self.mistakes
    }

    /// Where the table's header stands.
    pub(super) fn origin(&self) -> Origin {
        self.mistakes.origin(&self.key_path, self.span.clone())
    }

    /// Where a key's value stands, or the table if it has no such key.
    pub(super) fn origin_of(&self, key: &'static str) -> Origin {
        self.value(key)
            .map_or_else(|| self.origin(), |value| value.origin())
    }

    /// Whether the file gives the key, rightly or not.
    pub(super) fn has(&self, key: &'static str) -> bool {
        self.entry(key).is_some()
    }

    /// Counts keys as known that are not read, since another key settles what they would.
    pub(super) fn know(&self, keys: &[&'static str]) {
        let mut asked = self.asked.borrow_mut();
        for key in keys {
            if !asked.contains(key) {
                asked.push(key);
            }
        }
    }

    /// Reads a key that may be left out. `None` if it is, and if its value is wrong, which is then recorded.
    pub(super) fn optional<T>(
        &self,
        key: &'static str,
        read: impl FnOnce(&Value<'a>) -> Option<T>,
    ) -> Option<T> {
        self.value(key).and_then(|value| read(&value))
    }

    /// Reads a key that must be there; `example` is what to type if it is not.
    pub(super) fn required<T>(
        &self,
        key: &'static str,
        example: &str,
        read: impl FnOnce(&Value<'a>) -> Option<T>,
    ) -> Option<T> {
        match self.value(key) {
            Some(value) => read(&value),
            None => self.missing(key, example),
        }
    }

    /// Records that a key is missing.
    pub(super) fn missing<T>(&self, key: &str, example: &str) -> Option<T> {
        if self.mistakes.is_slip(&self.key_path, key) {
            return None;
        }
        let message = format!("{} has no {key}", self.name());
        self.mistakes.fail(
            code::KEY_MISSING,
            &self.origin(),
            message,
            format!("add {example}"),
        )
    }

    /// Records that `key` must not stand beside another.
    pub(super) fn conflict(&self, key: &'static str, because: &str, hint: &str) {
        let origin = self.origin_of(key);
        self.mistakes.fail::<()>(
            code::KEY_CONFLICT,
            &origin,
            format!("{key} {because}"),
            hint,
        );
    }

    /// Reads a list of tables, written `[[key]]`; empty if there is none.
    pub(super) fn tables(&self, key: &'static str) -> Vec<Self> {
        let Some(value) = self.value(key) else {
            return Vec::new();
        };
        let wrong = || {
            value.wrong_type::<()>(
                "a list of tables",
                &format!("write [[{}]]", plain(&self.path_of(key))),
            );
            Vec::new()
        };
        let DeValue::Array(list) = value.get() else {
            return wrong();
        };
        let mut tables = Vec::new();
        for (i, item) in list.iter().enumerate() {
            let DeValue::Table(entries) = item.get_ref() else {
                return wrong();
            };
            let path = format!("{}[{}]", self.path_of(key), i + 1);
            tables.push(Table::new(self.mistakes, entries, path, item.span()));
        }
        tables
    }

    /// Reads a table, written `[key]`.
    pub(super) fn table(&self, key: &'static str) -> Option<Self> {
        let value = self.value(key)?;
        match value.get() {
            DeValue::Table(_) => value.table(),
            DeValue::String(_)
            | DeValue::Integer(_)
            | DeValue::Float(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_)
            | DeValue::Array(_) => {
                value.wrong_type("a table", &format!("write [{}]", plain(&self.path_of(key))))
            }
        }
    }

    /// Returns every key with its place and value, for a table whose keys are ids.
    pub(super) fn pairs(&self) -> Vec<(&'a str, Origin, Value<'a>)> {
        let pair = |(key, value): (&'a Spanned<DeString<'a>>, &'a Spanned<DeValue<'a>>)| {
            let name = key.get_ref().as_ref();
            let path = self.path_of(name);
            let origin = self.mistakes.origin(&path, key.span());
            (
                name,
                origin,
                Value::new(self.mistakes, name.to_owned(), path, value),
            )
        };
        self.entries.iter().map(pair).collect()
    }

    /// Reports the keys that nobody asked for.
    pub(super) fn close(&self) {
        let asked = self.asked.borrow();
        for (key, _) in self.entries {
            let name = key.get_ref().as_ref();
            if asked.contains(&name) {
                continue;
            }
            let hint = match self.home_of(name) {
                Some(home) => format!("write it under {home}"),
                None => match nearest(name, asked.iter().copied()) {
                    Some(near) => self.slip(near),
                    None => format!("leave it out; the keys here are {}", asked.join(", ")),
                },
            };
            self.unknown(name, key.span(), hint);
        }
    }

    /// Reports a key that is not known as this one misspelt, if this one is missing and one is so near to it. For tables of which the
    /// other keys cannot be read without it.
    pub(super) fn is_misspelt(&self, key: &'static str) -> bool {
        if self.has(key) {
            return false;
        }
        let is_near = |name: &str| nearest(name, std::iter::once(key)).is_some();
        let mut entries = self.entries.iter();
        let found = entries.find(|(name, _)| is_near(name.get_ref().as_ref()));
        if let Some((name, _)) = found {
            self.unknown(name.get_ref().as_ref(), name.span(), self.slip(key));
        }
        found.is_some()
    }

    /// Says what was meant, and that nobody need miss it.
    fn slip(&self, meant: &str) -> String {
        self.mistakes.slipped(&self.key_path, meant);
        format!("write {meant}")
    }

    fn unknown(&self, name: &str, span: Range<usize>, hint: String) {
        let origin = self.mistakes.origin(&self.path_of(name), span);
        let message = format!("{} has no key {name}", self.name());
        self.mistakes
            .fail::<()>(code::KEY_UNKNOWN, &origin, message, hint);
    }

    /// Returns the header of the other table that a key belongs to.
    fn home_of(&self, key: &str) -> Option<&'static str> {
        let (home, _) = HOMES.iter().find(|(_, keys)| keys.contains(&key))?;
        let here = plain(&self.key_path);
        let is_here = home.trim_matches(['[', ']']) == here;
        (!is_here && !STRANGERS.contains(&here.as_str())).then_some(home)
    }

    /// How messages name the table.
    pub(super) fn name(&self) -> String {
        if self.key_path.is_empty() {
            "the file".to_owned()
        } else {
            self.key_path.clone()
        }
    }

    fn path_of(&self, key: &str) -> String {
        if self.key_path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.key_path)
        }
    }

    fn value(&self, key: &'static str) -> Option<Value<'a>> {
        self.know(&[key]);
        self.peek(key)
    }

    /// Returns a value that is read in full elsewhere.
    pub(super) fn peek(&self, key: &'static str) -> Option<Value<'a>> {
        let value = self.entry(key)?;
        Some(Value::new(
            self.mistakes,
            key.to_owned(),
            self.path_of(key),
            value,
        ))
    }

    fn entry(&self, key: &str) -> Option<&'a Spanned<DeValue<'a>>> {
        self.entries
            .iter()
            .find(|(name, _)| name.get_ref() == key)
            .map(|(_, value)| value)
    }
}

/// Words that makers also use, each with the one that files have for it.
const SYNONYMS: &[(&str, &str)] = &[
    ("fold", "crease"),
    ("slit", "cut"),
    ("perf", "perforation"),
    ("kiss-cut", "partial-cut"),
    ("punch", "hole"),
    ("middle", "centre"),
    ("square", "rectangle"),
    ("hexagon", "polygon"),
    ("glued", "stuck"),
    ("glue", "stuck"),
];

/// Returns the name that was most likely meant: another word for the same, or one with a slip for every three characters at
/// most, since more would join unrelated words.
pub(super) fn nearest<'n>(wrong: &str, names: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    let names: Vec<_> = names.collect();
    let synonym = SYNONYMS.iter().find(|(other, _)| *other == wrong);
    if let Some(meant) = synonym.and_then(|(_, word)| names.iter().find(|name| *name == word)) {
        return Some(meant);
    }
    let most = wrong.chars().count().div_ceil(3);
    // A word of another length that begins with another letter is hardly a slip for this one, as "shape" is none for "have".
    let is_like = |name: &str| {
        name.chars().next() == wrong.chars().next() || name.chars().count() == wrong.chars().count()
    };
    let allowed = |name: &str| match is_like(name) {
        true => most,
        false => most.saturating_sub(1).max(1),
    };
    names
        .into_iter()
        .map(|name| (strsim::damerau_levenshtein(wrong, name), name))
        .filter(|(distance, name)| *distance <= allowed(name))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

/// Returns a key path without list positions, as table headers are written.
fn plain(key_path: &str) -> String {
    let mut depth = 0;
    key_path
        .chars()
        .filter(|c| {
            depth += i32::from(*c == '[');
            let keep = depth == 0;
            depth -= i32::from(*c == ']');
            keep
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_key_and_a_stranger_does_not() {
        let keys = ["width", "height", "radius"];
        assert_eq!(nearest("widht", keys.into_iter()), Some("width"));
        assert_eq!(nearest("hight", keys.into_iter()), Some("height"));
        assert_eq!(nearest("colour", keys.into_iter()), None);
        assert_eq!(nearest("shape", ["have"].into_iter()), None);
    }

    #[test]
    fn another_word_for_the_same_comes_before_a_slip() {
        // Two letters part "fold" from "hole", as many as a slip may have.
        let kinds = ["cut", "crease", "hole"];
        assert_eq!(nearest("fold", kinds.into_iter()), Some("crease"));
        assert_eq!(nearest("fold", ["cut", "hole"].into_iter()), Some("hole"));
    }

    #[test]
    fn headers_are_written_without_positions() {
        assert_eq!(plain("piece[12].shape"), "piece.shape");
    }
}
