//! Texts with columns of a list named in them.

use super::code;

/// What is wrong with a list or a text, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Wrong {
    pub(super) code: &'static str,
    pub(super) message: String,
    pub(super) hint: String,
}

/// A mistake, as a result.
pub(super) fn wrong<T>(
    code: &'static str,
    message: String,
    hint: impl Into<String>,
) -> Result<T, Wrong> {
    let hint = hint.into();
    Err(Wrong {
        code,
        message,
        hint,
    })
}

/// A text with columns named in it, as in `Table {Table}`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Template {
    parts: Vec<Part>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
enum Part {
    Plain(String),
    Column(String),
}

/// One text that is set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Text {
    /// The line of the list that it comes from.
    pub(super) line: Option<u32>,
    /// As written; blank where a row says nothing.
    pub(super) text: String,
}

impl Template {
    /// Reads a text: columns stand in braces, braces themselves are doubled.
    pub(super) fn parse(text: &str) -> Result<Self, Wrong> {
        let mut parts = Vec::new();
        let mut plain = String::new();
        let mut rest = text;
        while let Some(at) = rest.find(['{', '}']) {
            plain += &rest[..at];
            let (brace, after) = rest[at..].split_at(1);
            if after.starts_with(brace) {
                plain += brace;
                rest = &after[1..];
                continue;
            }
            let end = after.find(['{', '}', '\n']);
            let column = end.filter(|end| brace == "{" && after[*end..].starts_with('}'));
            let Some(end) = column.filter(|end| !after[..*end].trim().is_empty()) else {
                let message = format!("a brace in \"{}\" holds no column", one_line(text));
                let hint = "write {Name} for the column Name of the list, and {{ or }} for a brace that is printed";
                return wrong(code::WORDS_TEXT, message, hint);
            };
            parts.push(Part::Plain(std::mem::take(&mut plain)));
            parts.push(Part::Column(after[..end].trim().to_owned()));
            rest = &after[end + 1..];
        }
        plain += rest;
        parts.push(Part::Plain(plain));
        Ok(Self { parts })
    }

    /// Whether it names any columns.
    pub(super) fn names_columns(&self) -> bool {
        self.columns().next().is_some()
    }

    /// The columns that it names, as often as it does.
    pub(super) fn columns(&self) -> impl Iterator<Item = &str> {
        self.parts.iter().filter_map(|part| match part {
            Part::Column(column) => Some(column.as_str()),
            Part::Plain(_) => None,
        })
    }

    /// Says what a row has.
    pub(super) fn filled<'c>(&self, cell: impl Fn(&str) -> &'c str) -> String {
        let part = |part: &Part| match part {
            Part::Plain(plain) => plain.clone(),
            Part::Column(column) => cell(column).to_owned(),
        };
        self.parts.iter().map(part).collect()
    }

    /// The text of every copy where there is no list; an error if it names a column.
    pub(super) fn alone(&self) -> Result<Text, Wrong> {
        if let Some(column) = self.columns().next() {
            let message = format!("text names the column \"{column}\", but no list");
            let hint =
                "write from = \"names.csv\" beside it, or {{ and }} for braces that are printed";
            return wrong(code::WORDS_COLUMN, message, hint);
        }
        Ok(Text {
            line: None,
            text: self.filled(|_| ""),
        })
    }
}

/// A text as messages and files name it.
pub(super) fn one_line(text: &str) -> String {
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    lines.join(" / ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn braces_are_columns_unless_they_are_doubled() {
        assert_eq!(
            Template::parse("{{{ Name }}}, {{}}")
                .unwrap()
                .filled(|_| "Zoë"),
            "{Zoë}, {}"
        );
        for text in ["{", "}", "{}", "{ }", "a {b", "a} b", "{a\nb}", "{a{b}"] {
            assert!(Template::parse(text).is_err(), "{text}");
        }
        assert_eq!(
            Template::parse("a {{b}}").unwrap().alone().unwrap().text,
            "a {b}"
        );
        assert!(Template::parse("a {b}").unwrap().alone().is_err());
    }
}
