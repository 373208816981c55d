//! The TOML of one file: read whole, or refused with all its syntax errors.

use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::code;
use super::mistakes::Mistakes;
use super::table::Table;
use crate::length::{Length, LengthError, LengthStyle, LengthUnit, is_in_inches};

/// A file without syntax errors.
#[derive(Debug)]
pub(super) struct Document<'a> {
    root: Spanned<DeTable<'a>>,
}

impl<'a> Document<'a> {
    /// Reads the text; after a syntax error nothing can be said about meaning, since parts of the file are then made up.
    pub(super) fn parse(mistakes: &Mistakes<'a>) -> Option<Self> {
        let (root, errors) = DeTable::parse_recoverable(mistakes.text());
        for error in &errors {
            let span = error.span().unwrap_or(0..0);
            let hint = hint(mistakes.line(&span));
            let origin = mistakes.origin("", span);
            mistakes.fail::<()>(code::TOML_SYNTAX, &origin, error.message(), hint);
        }
        errors.is_empty().then_some(Self { root })
    }

    /// Returns the outermost table.
    pub(super) fn root<'t>(&'t self, mistakes: &'t Mistakes<'t>) -> Table<'t> {
        let start: Range<usize> = 0..0;
        Table::new(mistakes, self.root.get_ref(), String::new(), start)
    }

    /// How lengths are shown where the file does not say: in inch fractions if it gives any length, or the unit of a path,
    /// in inches, else in millimetres.
    pub(super) fn lengths_as_typed(&self) -> LengthStyle {
        if self
            .root
            .get_ref()
            .values()
            .any(|v| has_inches(v.get_ref()))
        {
            LengthStyle::InchFractions
        } else {
            LengthStyle::Millimetres
        }
    }
}

fn has_inches(value: &DeValue<'_>) -> bool {
    match value {
        DeValue::String(text) => text == "in" || is_in_inches(text),
        DeValue::Array(list) => list.iter().any(|v| has_inches(v.get_ref())),
        DeValue::Table(table) => table.values().any(|v| has_inches(v.get_ref())),
        DeValue::Integer(_) | DeValue::Float(_) | DeValue::Boolean(_) | DeValue::Datetime(_) => {
            false
        }
    }
}

/// Guesses from the line what was meant.
fn hint(line: &str) -> String {
    match line.split_once('=') {
        Some((key, value)) if !value.contains(['"', '\'']) && !value.trim().is_empty() => {
            let (key, value) = (key.trim(), value.trim());
            match unit_for(value) {
                Some(unit) => format!(
                    "write a length in quotes with its unit, like {key} = \"{value} {}\"",
                    unit.symbol()
                ),
                None => format!("write text in quotes, like {key} = \"{value}\""),
            }
        }
        Some((_, value)) if value.matches('"').count() % 2 == 1 => {
            "close the text with another quote".to_owned()
        }
        Some(_) => "write a value after the =, like name = \"Herb packets\"".to_owned(),
        None if line.trim_start().starts_with('[') => {
            "close the header, like [job] or [[piece]]".to_owned()
        }
        None => "write lines of the form key = value, headers like [job], and comments after #"
            .to_owned(),
    }
}

/// Returns the unit with which a text is a length, if that is all it lacks.
fn unit_for(text: &str) -> Option<LengthUnit> {
    if !matches!(Length::parse(text, None), Err(LengthError::NoUnit(_))) {
        return None;
    }
    [LengthUnit::Millimetre, LengthUnit::Inch]
        .into_iter()
        .find(|unit| Length::parse(text, Some(*unit)).is_ok())
}

/// Checks that a file is of the kind and version this program reads.
pub(super) fn check_version(
    table: &Table<'_>,
    key: &'static str,
    version: u32,
    kind: &str,
) -> Option<()> {
    let found = table.required(key, &format!("{key} = {version} as the first line"), |v| {
        v.whole(0..=u32::MAX)
    })?;
    if found == version {
        return Some(());
    }
    let message = format!(
        "this is {kind} of version {found}, and version {version} is the one that can be read"
    );
    let hint = format!("write {key} = {version} if the file follows it");
    table
        .mistakes()
        .fail(code::FILE_VERSION, &table.origin_of(key), message, hint)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn style_of(text: &str) -> LengthStyle {
        let mistakes = Mistakes::new("project.toml", text);
        Document::parse(&mistakes).unwrap().lengths_as_typed()
    }

    #[test]
    fn a_file_without_inches_is_shown_in_millimetres() {
        let metric =
            "name = \"5 in a row\"\n[[piece]]\nsize = \"57 x 89 mm\"\nat = \"1 cm, -2 mm\"";
        assert_eq!(style_of(metric), LengthStyle::Millimetres);
        for inches in [
            "panels = [\"10 mm\", \"3/8 in\"]",
            "[piece.shape]\nsize = \"2 1/4 x 3 in\"",
            "at = \"57 mm, -2 in\"",
            "width = '1\u{2032} 2\u{2033}'",
            "unit = \"in\"",
        ] {
            assert_eq!(style_of(inches), LengthStyle::InchFractions, "{inches}");
        }
    }
}
