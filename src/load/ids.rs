//! The ids that a file declares.

use super::code;
use super::mistakes::Mistakes;
use super::table::{Table, nearest};
use super::value::Value;
use crate::diagnostic::{Diagnostic, Origin};

/// The ids of all things of one kind, by position in the file.
#[derive(Debug)]
pub(super) struct Ids {
    kind: &'static str,
    declared: Vec<Option<(String, Origin)>>,
}

impl Ids {
    /// Reads the id of each table, which must be spelled as ids are and be there once only.
    pub(super) fn gather(kind: &'static str, tables: &[Table<'_>]) -> Self {
        let mut ids = Self {
            kind,
            declared: Vec::new(),
        };
        for table in tables {
            let read = table.required("id", &format!("id = \"{}\"", example(kind)), |value| {
                let id = spelled(value, kind)?;
                ids.refuse_second(&id, value);
                Some((id, value.origin()))
            });
            ids.declared.push(read);
        }
        ids
    }

    /// Adds a thing that another table brings along; its id must be none that is declared.
    pub(super) fn add(&mut self, made: Option<(String, Origin)>, mistakes: &Mistakes<'_>) {
        if let Some((id, origin)) = &made
            && let Some((_, by)) = self.declared.iter().flatten().find(|(own, _)| own == id)
            && by.key_path.starts_with(self.kind)
        {
            let mut part = id.split('/');
            let by_part = format!("a piece of part \"{}\"", part.next().unwrap_or(id));
            mistakes.push(taken(id, &by_part, by, origin));
        }
        self.declared.push(made);
    }

    /// The id of the thing at a position; empty where it could not be read.
    pub(super) fn get(&self, position: usize) -> String {
        self.declared[position]
            .as_ref()
            .map_or_else(String::new, |(id, _)| id.clone())
    }

    /// Returns the position of an id, if it is one of them.
    pub(super) fn position(&self, id: &str) -> Option<usize> {
        self.names().position(|name| name == Some(id))
    }

    /// How many things there are, those without a readable id included.
    pub(super) const fn len(&self) -> usize {
        self.declared.len()
    }

    /// Reads an id that must be declared, and returns its position.
    pub(super) fn find(&self, value: &Value<'_>) -> Option<usize> {
        self.find_text(value.mistakes(), &value.origin(), value.raw_text()?)
    }

    /// Returns the position of an id that stands at a place of the file.
    pub(super) fn find_text(
        &self,
        mistakes: &Mistakes<'_>,
        origin: &Origin,
        id: &str,
    ) -> Option<usize> {
        self.position(id).or_else(|| {
            let known: Vec<_> = self.names().flatten().collect();
            if known.is_empty() || known.len() < self.declared.len() {
                // It may be one of those that could not be read, which are reported already.
                return None;
            }
            let hint = match nearest(id, known.iter().copied()) {
                Some(near) => format!("write \"{near}\""),
                None => format!("the {} are {}", plural(self.kind), quoted(&known)),
            };
            let message = format!("no {} has the id \"{id}\"", self.kind);
            mistakes.fail(code::ID_UNKNOWN, origin, message, hint)
        })
    }

    /// Reports ids that a thing of another kind has, where both kinds are looked for together.
    pub(super) fn refuse_those_of(&self, others: &Self, mistakes: &Mistakes<'_>) {
        for (id, origin) in self.declared.iter().flatten() {
            let mut declared = others.declared.iter().flatten();
            if let Some((_, by)) = declared.find(|(other, _)| other == id) {
                mistakes.push(taken(id, &format!("a {}", others.kind), origin, by));
            }
        }
    }

    /// Returns the ids of two kinds that are looked for together, under the second one's name.
    pub(super) fn followed_by(&self, second: &Self) -> Self {
        let both = self.declared.iter().chain(&second.declared);
        Self {
            kind: second.kind,
            declared: both.cloned().collect(),
        }
    }

    fn names(&self) -> impl Iterator<Item = Option<&str>> {
        self.declared
            .iter()
            .map(|one| one.as_ref().map(|(id, _)| id.as_str()))
    }

    fn refuse_second(&self, id: &str, value: &Value<'_>) {
        let earlier = self
            .declared
            .iter()
            .flatten()
            .find(|(other, _)| other == id);
        if let Some((_, origin)) = earlier {
            let by = format!("another {}", self.kind);
            value
                .mistakes()
                .push(taken(id, &by, &value.origin(), origin));
        }
    }
}

/// Says that an id is taken.
pub(super) fn taken(id: &str, by: &str, origin: &Origin, earlier: &Origin) -> Diagnostic {
    Diagnostic::error(
        code::ID_DUPLICATE,
        format!("the id \"{id}\" is taken by {by}"),
    )
    .at(origin)
    .related(earlier, "taken here")
    .hint(format!("write another id, like \"{id}-2\""))
}

/// Reads an id: `a-z`, `0-9` and `-`, starting with a letter; a piece's may hold one `/`.
pub(super) fn spelled(value: &Value<'_>, kind: &str) -> Option<String> {
    let text = value.raw_text()?;
    let parts: Vec<_> = text.split('/').collect();
    let most_parts = if kind == "piece" { 2 } else { 1 };
    let is_id = |part: &&str| {
        part.starts_with(|c: char| c.is_ascii_lowercase())
            && part
                .chars()
                .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
    };
    if parts.len() <= most_parts && parts.iter().all(is_id) {
        return Some(text.to_owned());
    }
    let message = format!(
        "\"{text}\" is no {kind} id: ids have a to z, 0 to 9 and -, and start with a letter"
    );
    value.fail(
        code::ID_SPELLING,
        message,
        format!("write {}", value.typed(&format!("\"{}\"", repaired(text)))),
    )
}

/// Returns an id as near to the text as can be.
fn repaired(text: &str) -> String {
    let plain: String = text
        .to_lowercase()
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect();
    let plain = plain.trim_matches('-');
    if plain.starts_with(|c: char| c.is_ascii_lowercase()) {
        plain.to_owned()
    } else {
        format!("n{plain}")
    }
}

fn example(kind: &str) -> &'static str {
    match kind {
        "stock" => "oat",
        "piece" => "packet",
        "offcut" => "oat-1",
        "part" => "tin",
        "assembly" => "box",
        "tool" => "board",
        "supply" => "ribbon",
        _ => "sage",
    }
}

fn plural(kind: &str) -> String {
    match kind.strip_suffix('y') {
        Some(stem) => format!("{stem}ies"),
        None => format!("{kind}s"),
    }
}

fn quoted(names: &[&str]) -> String {
    let quoted: Vec<_> = names.iter().map(|name| format!("\"{name}\"")).collect();
    quoted.join(", ")
}
