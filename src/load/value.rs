//! A value of the file, read as what its key wants.

use std::ops::{Range, RangeInclusive};

use toml::Spanned;
use toml::de::DeValue;

use super::code;
use super::mistakes::Mistakes;
use super::table::{Table, nearest};
use crate::diagnostic::Origin;
use crate::font::{self, Face};
use crate::length::{Length, LengthError, Size, parse_pair, parse_point, parse_sizes};

/// Longest length of a project: far beyond any sheet, and small enough for sums of many.
pub(super) const LONGEST: Length = Length::from_mm(10_000);

/// Longest roll of ribbon, tape or film: a kilometre.
const LONGEST_ROLL: Length = Length::from_mm(1_000_000);

/// One value and the key it belongs to.
#[derive(Debug)]
pub(super) struct Value<'a> {
    mistakes: &'a Mistakes<'a>,
    /// The key, or the key with a position for an item of a list.
    key: String,
    key_path: String,
    value: &'a Spanned<DeValue<'a>>,
}

impl<'a> Value<'a> {
    pub(super) fn new(
        mistakes: &'a Mistakes<'a>,
        key: String,
        key_path: String,
        value: &'a Spanned<DeValue<'a>>,
    ) -> Self {
        Self {
            mistakes,
            key,
            key_path,
            value,
        }
    }

    pub(super) fn get(&self) -> &'a DeValue<'a> {
        self.value.get_ref()
    }

    pub(super) fn key(&self) -> &str {
        &self.key
    }

    pub(super) fn mistakes(&self) -> &'a Mistakes<'a> {
        self.mistakes
    }

    pub(super) fn origin(&self) -> Origin {
        self.mistakes.origin(&self.key_path, self.span())
    }

    fn span(&self) -> Range<usize> {
        self.value.span()
    }

    /// Returns the value as it is spelled in the file.
    pub(super) fn source(&self) -> &'a str {
        self.mistakes.source(self.span())
    }

    /// Records an error at this value.
    pub(super) fn fail<T>(
        &self,
        code: &'static str,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Option<T> {
        self.mistakes.fail(code, &self.origin(), message, hint)
    }

    /// Records that the value is of the wrong kind.
    pub(super) fn wrong_type<T>(&self, wanted: &str, hint: &str) -> Option<T> {
        let found = match self.get() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) => "a whole number",
            DeValue::Float(_) => "a number with decimals",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let message = format!("{} is {found} where {wanted} is wanted", self.key);
        self.fail(code::KEY_TYPE, message, hint)
    }

    /// Returns how the value is typed: with its key, or alone in a list.
    pub(super) fn typed(&self, value: &str) -> String {
        if self.key.ends_with(']') {
            value.to_owned()
        } else {
            format!("{} = {value}", self.key)
        }
    }

    /// Reads any text as it stands.
    pub(super) fn raw_text(&self) -> Option<&'a str> {
        match self.get() {
            DeValue::String(text) => Some(text.as_ref()),
            DeValue::Integer(_)
            | DeValue::Float(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_) => {
                let quoted = format!("\"{}\"", self.source());
                self.wrong_type("text", &format!("write {}", self.typed(&quoted)))
            }
            DeValue::Array(_) | DeValue::Table(_) => {
                self.wrong_type("text", &format!("write {}", self.typed("\"...\"")))
            }
        }
    }

    /// Reads text for people, in NFC: not empty, and printable with the carried font.
    pub(super) fn words(&self) -> Option<String> {
        self.printable(self.raw_text()?.trim())
    }

    /// Reads text for people like [`words`](Self::words); line ends in the file count as spaces, since lines are broken on the page.
    pub(super) fn sentences(&self) -> Option<String> {
        let words: Vec<_> = self.raw_text()?.split_whitespace().collect();
        self.printable(&words.join(" "))
    }

    fn printable(&self, text: &str) -> Option<String> {
        let text = font::normalise(text);
        if text.is_empty() {
            let message = format!("{} is empty", self.key);
            let hint = format!("write {}", self.typed("\"...\""));
            return self.fail(code::TEXT_EMPTY, message, hint);
        }
        let missing = font::missing(&Face::carried(), &text);
        if let Some(first) = missing.first() {
            let message = format!(
                "{} has the character {}, which the font cannot print",
                self.key,
                font::named(*first)
            );
            let hint = "write it in Latin, Greek or Cyrillic letters";
            return self.fail(code::TEXT_MISSING_GLYPH, message, hint);
        }
        Some(text)
    }

    pub(super) fn is_text(&self) -> bool {
        matches!(self.get(), DeValue::String(_))
    }

    pub(super) fn boolean(&self) -> Option<bool> {
        match self.get() {
            DeValue::Boolean(is) => Some(*is),
            DeValue::String(_)
            | DeValue::Integer(_)
            | DeValue::Float(_)
            | DeValue::Datetime(_)
            | DeValue::Array(_)
            | DeValue::Table(_) => {
                let hint = format!("write {} or {}", self.typed("true"), self.typed("false"));
                self.wrong_type("true or false", &hint)
            }
        }
    }

    /// Reads a whole number of a range.
    pub(super) fn whole(&self, range: RangeInclusive<u32>) -> Option<u32> {
        let (least, most) = (range.start(), range.end());
        let hint = format!("write a whole number from {least} to {most}");
        let integer = match self.get() {
            DeValue::Integer(integer) => integer,
            DeValue::String(text) => {
                let number = text.trim().parse::<u32>().ok();
                let hint = match number.filter(|n| range.contains(n)) {
                    Some(number) => format!("write {}", self.typed(&number.to_string())),
                    None => hint,
                };
                return self.wrong_type("a whole number", &hint);
            }
            DeValue::Float(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_)
            | DeValue::Array(_)
            | DeValue::Table(_) => return self.wrong_type("a whole number", &hint),
        };
        let number = i128::from_str_radix(integer.as_str(), integer.radix()).ok();
        let number = number.and_then(|n| u32::try_from(n).ok());
        if let Some(number) = number.filter(|n| range.contains(n)) {
            return Some(number);
        }
        let typed = self.typed(self.source());
        let message = format!("{typed} is outside {least} to {most}");
        self.fail(code::NUMBER_RANGE, message, hint)
    }

    /// Reads a number of a range; `hint` is what to do if it lies outside.
    pub(super) fn decimal(&self, range: RangeInclusive<f64>, hint: &str) -> Option<f64> {
        let example = format!("write {}", self.typed("0.25"));
        let number = match self.get() {
            DeValue::Integer(whole) => i128::from_str_radix(whole.as_str(), whole.radix())
                .ok()
                .and_then(|n| n.to_string().parse::<f64>().ok()),
            DeValue::Float(number) => number.as_str().parse::<f64>().ok(),
            DeValue::String(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_)
            | DeValue::Array(_)
            | DeValue::Table(_) => return self.wrong_type("a number", &example),
        };
        if let Some(number) = number.filter(|n| range.contains(n)) {
            return Some(number);
        }
        let typed = self.typed(self.source());
        let message = format!("{typed} is outside {} to {}", range.start(), range.end());
        self.fail(code::NUMBER_RANGE, message, hint)
    }

    /// Reads one word of a set.
    pub(super) fn choice<T: Copy>(&self, choices: &[(&'static str, T)]) -> Option<T> {
        let text = self.raw_text()?;
        if let Some((_, found)) = choices.iter().find(|(word, _)| *word == text) {
            return Some(*found);
        }
        let quoted = |word: &str| format!("\"{word}\"");
        let words: Vec<_> = choices.iter().map(|(word, _)| quoted(word)).collect();
        let message = format!(
            "{} is none of {}",
            self.typed(&quoted(text)),
            words.join(", ")
        );
        let hint = match nearest(text, choices.iter().map(|(word, _)| *word)) {
            Some(near) => format!("write {}", self.typed(&quoted(near))),
            None => format!("write {}", self.typed(&words.join(" or "))),
        };
        self.fail(code::VALUE_CHOICE, message, hint)
    }

    /// Reads a length that may be negative.
    pub(super) fn signed_length(&self) -> Option<Length> {
        let text = self.length_text("2 1/4 in")?;
        let length = self.sound(Length::parse_signed(text, None))?;
        self.within_reach(length)
    }

    /// Reads a length that is zero or more.
    pub(super) fn length(&self) -> Option<Length> {
        let text = self.length_text("2 1/4 in")?;
        let length = self.sound(Length::parse(text, None))?;
        self.within_reach(length)
    }

    /// Reads a length greater than zero.
    pub(super) fn size(&self) -> Option<Size> {
        let length = self.length()?;
        self.above_zero(length)
    }

    /// Reads the length of a whole roll, greater than zero.
    pub(super) fn roll(&self) -> Option<Size> {
        let text = self.length_text("5 m")?;
        let length = self.sound(Length::parse(text, None))?;
        self.above_zero(self.within(length, LONGEST_ROLL)?)
    }

    /// Reads two lengths greater than zero, such as `5 1/2 x 8 1/2 in`.
    pub(super) fn pair(&self) -> Option<(Size, Size)> {
        let text = self.length_text("5 1/2 x 8 1/2 in")?;
        let (first, second) = self.sound(parse_pair(text, None))?;
        let size = |length| self.above_zero(self.within_reach(length)?);
        Some((size(first)?, size(second)?))
    }

    /// Reads one length or several, such as `90 x 60 x 35 mm`, each greater than zero.
    pub(super) fn sizes(&self) -> Option<Vec<Length>> {
        let text = self.length_text("90 x 60 x 35 mm")?;
        let sizes = self.sound(parse_sizes(text, None))?;
        let size = |length: &Length| Some(self.above_zero(self.within_reach(*length)?)?.length());
        sizes.iter().map(size).collect()
    }

    /// Reads two signed coordinates, such as `1 in, 2 in`.
    pub(super) fn point(&self) -> Option<(Length, Length)> {
        let text = self.length_text("1 in, 2 in")?;
        let (x, y) = self.sound(parse_point(text, None))?;
        Some((self.within_reach(x)?, self.within_reach(y)?))
    }

    /// Reads a number of degrees, such as `45 deg`.
    pub(super) fn degrees(&self) -> Option<f64> {
        let text = self.raw_text()?;
        let number = text
            .trim()
            .trim_end_matches('°')
            .trim_end_matches("deg")
            .trim_end();
        let has_unit = number.len() < text.trim().len();
        match number.parse::<f64>() {
            Ok(deg) if has_unit && deg.is_finite() => Some(deg),
            _ => {
                let message = format!(
                    "{} is no angle in degrees",
                    self.typed(&format!("\"{text}\""))
                );
                self.fail(
                    code::NUMBER_SPELLING,
                    message,
                    format!("write {}", self.typed("\"45 deg\"")),
                )
            }
        }
    }

    /// Reads a list; its items are named by their position from 1.
    pub(super) fn list(&self, example: &str) -> Option<Vec<Self>> {
        let DeValue::Array(items) = self.get() else {
            return self.wrong_type("a list", &format!("write {}", self.typed(example)));
        };
        let item = |(i, value)| {
            let key = format!("{}[{}]", self.key, i + 1);
            Value::new(
                self.mistakes,
                key,
                format!("{}[{}]", self.key_path, i + 1),
                value,
            )
        };
        Some(items.iter().enumerate().map(item).collect())
    }

    /// Returns the table that the value is, or `None` if it is none.
    pub(super) fn table(&self) -> Option<Table<'a>> {
        match self.get() {
            DeValue::Table(entries) => Some(Table::new(
                self.mistakes,
                entries,
                self.key_path.clone(),
                self.span(),
            )),
            DeValue::String(_)
            | DeValue::Integer(_)
            | DeValue::Float(_)
            | DeValue::Boolean(_)
            | DeValue::Datetime(_)
            | DeValue::Array(_) => None,
        }
    }

    /// Returns the text of a length; a bare number lacks its unit.
    fn length_text(&self, example: &str) -> Option<&'a str> {
        match self.get() {
            DeValue::String(text) => Some(text.as_ref()),
            DeValue::Integer(_) | DeValue::Float(_) => {
                let number = self.source();
                let with = |unit: &str| self.typed(&format!("\"{number} {unit}\""));
                let hint = format!("write {} or {}", with("mm"), with("in"));
                let message = format!("{} has no unit", self.typed(number));
                self.fail(code::LENGTH_NO_UNIT, message, hint)
            }
            DeValue::Boolean(_) | DeValue::Datetime(_) | DeValue::Array(_) | DeValue::Table(_) => {
                let hint = format!("write {}", self.typed(&format!("\"{example}\"")));
                self.wrong_type("a length", &hint)
            }
        }
    }

    fn sound<T>(&self, read: Result<T, LengthError>) -> Option<T> {
        match read {
            Ok(value) => Some(value),
            Err(error) => {
                let code = if matches!(error, LengthError::NoUnit(_)) {
                    code::LENGTH_NO_UNIT
                } else if matches!(error, LengthError::Negative(_)) {
                    code::LENGTH_NEGATIVE
                } else {
                    code::LENGTH_SPELLING
                };
                self.fail(
                    code,
                    format!("{}: {}", self.key, error.message()),
                    error.hint(),
                )
            }
        }
    }

    /// Refuses a length beyond [`LONGEST`], as typed or as it follows from other values.
    pub(super) fn within_reach(&self, length: Length) -> Option<Length> {
        self.within(length, LONGEST)
    }

    fn within(&self, length: Length, longest: Length) -> Option<Length> {
        if length.abs() <= longest {
            return Some(length);
        }
        let show = |length| self.mistakes.show(length);
        let message = format!(
            "{} comes to {}, more than {}",
            self.key,
            show(length),
            show(longest)
        );
        self.fail(code::NUMBER_RANGE, message, "check the number and its unit")
    }

    fn above_zero(&self, length: Length) -> Option<Size> {
        Size::new(length).or_else(|| {
            let typed = self.typed(self.source());
            let hint = format!(
                "write a length above {} for {}",
                self.mistakes.show(Length::ZERO),
                self.key
            );
            self.fail(code::LENGTH_ZERO, format!("{typed} is zero"), hint)
        })
    }
}
