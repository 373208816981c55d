//! Other lengths in the spelling of a text that was read.

use std::ops::Range;

use super::parse::{split_point, split_size};
use super::quantity::Spelling;
use super::written::Written;
use super::{Length, LengthStyle, LengthUnit};

/// Decimals of a millimetre that are written: a tenth of a micrometre.
const MM_DECIMALS: u32 = 4;

/// One length of a text, such as the height in `5 1/2 x 8 1/2 in`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TypedLength {
    /// How long it is.
    pub length: Length,
    /// Its own unit, or that of the text's last number where it has none.
    pub unit: LengthUnit,
}

/// What parts the lengths of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parted {
    /// As in a size, `5 1/2 x 8 1/2 in`; a single length is one, too.
    ByTimes,
    /// As in a point, `1 in, -2 in`.
    ByComma,
}

/// Returns the text with other lengths in it, each in the unit it had; all else stays. `None` if the text does not read as lengths.
///
/// What was typed in feet is written in inches.
///
/// # Examples
///
/// ```
/// use sheetwright::length::{Parted, respelled};
///
/// let doubled = |text, parted| respelled(text, parted, |typed| typed.length * 2).unwrap();
/// assert_eq!(doubled("2 1/4 in", Parted::ByTimes), "4 1/2 in");
/// assert_eq!(doubled("5 1/2 x 8.25 in", Parted::ByTimes), "11 x 16.5 in");
/// assert_eq!(doubled("-57,5 mm, 3 cm", Parted::ByComma), "-115 mm, 6 cm");
/// ```
pub fn respelled(
    text: &str,
    parted: Parted,
    mut change: impl FnMut(TypedLength) -> Length,
) -> Option<String> {
    let mut respelled = String::new();
    let mut kept_to = 0;
    for part in parts(text, parted)? {
        let new = change(part.typed);
        respelled += &text[kept_to..part.range.start];
        respelled += &part.spelled(new);
        kept_to = part.range.end;
    }
    respelled += &text[kept_to..];
    Some(respelled)
}

/// Returns the lengths of a text, as many as there are. `None` if it does not read as lengths, or if one has no unit.
#[must_use]
pub fn typed_lengths(text: &str, parted: Parted) -> Option<Vec<TypedLength>> {
    let parts = parts(text, parted)?;
    Some(parts.into_iter().map(|part| part.typed).collect())
}

/// A length and where it stands, sign included, its unit only if that is spelled anew.
struct Part<'t> {
    typed: TypedLength,
    written: Written<'t>,
    range: Range<usize>,
}

fn parts(text: &str, parted: Parted) -> Option<Vec<Part<'_>>> {
    let texts = match parted {
        Parted::ByTimes => split_size(text),
        Parted::ByComma => split_point(text),
    };
    let mut written = Vec::new();
    for part in texts {
        written.push((part, Written::read(part).ok()?));
    }
    let (_, last) = written.last()?;
    let last_unit = last.unit;
    let mut found = Vec::new();
    for (part, written) in written {
        let unit = written.unit.or(last_unit)?;
        let length = written.settle(Some(unit)).ok()?;
        let typed = TypedLength { length, unit };
        let number = if typed.unit == LengthUnit::Foot || written.whole_feet != 0 {
            part.trim()
        } else {
            written.quantity.text
        };
        let start = offset_in(text, part);
        let end = offset_in(text, number) + number.len();
        let start = start + (part.len() - part.trim_start().len());
        found.push(Part {
            typed,
            written,
            range: start..end,
        });
    }
    Some(found)
}

/// Where a slice of a text begins in it.
fn offset_in(text: &str, part: &str) -> usize {
    part.as_ptr().addr() - text.as_ptr().addr()
}

impl Part<'_> {
    fn spelled(&self, new: Length) -> String {
        let inches = |style| new.display(style).trim_end_matches(" in").to_owned();
        let number = match self.typed.unit {
            LengthUnit::Foot => return new.display(LengthStyle::InchFractions),
            LengthUnit::Inch if self.written.whole_feet != 0 => {
                return new.display(LengthStyle::InchFractions);
            }
            LengthUnit::Inch if self.written.quantity.text.contains('.') => {
                inches(LengthStyle::InchDecimals)
            }
            LengthUnit::Inch => inches(LengthStyle::InchFractions),
            LengthUnit::Millimetre => new.decimal(LengthUnit::Millimetre, MM_DECIMALS),
            LengthUnit::Centimetre => new.decimal(LengthUnit::Centimetre, MM_DECIMALS + 1),
            LengthUnit::Metre => new.decimal(LengthUnit::Metre, MM_DECIMALS + 3),
            LengthUnit::Point => new.decimal(LengthUnit::Point, MM_DECIMALS),
        };
        match self.written.quantity.spelling {
            Spelling::DecimalComma => number.replace('.', ","),
            Spelling::Plain | Spelling::Fraction => number,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn half_more(text: &str, parted: Parted) -> String {
        let more = |typed: TypedLength| Length::from_nm(typed.length.nm() * 3 / 2);
        respelled(text, parted, more).unwrap()
    }

    #[test]
    fn all_but_the_numbers_stays_as_typed() {
        // By hand: 2 1/4 x 3/2 = 27/8 = 3 3/8; 1 ft 2 in is 14 in, 21 in with half more.
        for (text, want) in [
            ("2 1/4 in", "3 3/8 in"),
            ("2-1/4\"", "3 3/8\""),
            ("2.25in", "3.375in"),
            ("57,15 mm", "85,725 mm"),
            ("60 x 40 x 20 mm", "90 x 60 x 30 mm"),
            ("60 mm  by 4 cm", "90 mm  by 6 cm"),
            ("1' 2\"", "21 in"),
            ("2 ft", "36 in"),
            ("36 pt", "54 pt"),
        ] {
            assert_eq!(half_more(text, Parted::ByTimes), want, "{text}");
        }
        for (text, want) in [
            ("1 in, -2 in", "1 1/2 in, -3 in"),
            ("57,5; 3 mm", "86,25; 4.5 mm"),
        ] {
            assert_eq!(half_more(text, Parted::ByComma), want, "{text}");
        }
    }

    #[test]
    fn what_was_written_reads_as_the_new_lengths() {
        for text in ["5 1/2 x 8 1/2 in", "1' 2\" x 30 mm", "3/8 x .5 x 1.25 in"] {
            let before = typed_lengths(text, Parted::ByTimes).unwrap();
            let text = half_more(text, Parted::ByTimes);
            let after = typed_lengths(&text, Parted::ByTimes).unwrap();
            for (before, after) in before.iter().zip(after) {
                assert_eq!(after.length.nm(), before.length.nm() * 3 / 2, "{text}");
            }
        }
    }

    #[test]
    fn other_texts_have_no_lengths() {
        for text in ["", "oat", "12", "3 x in", "5 in x"] {
            assert_eq!(typed_lengths(text, Parted::ByTimes), None, "{text}");
        }
    }
}
