//! Reading lengths, sizes and points as makers write them.
//!
//! A text is read in two steps: [`Written`] holds what it says (a sign, an exact number, perhaps a unit), then a unit is
//! settled and the number becomes nanometres. So a size can borrow the unit of its last number, and mistakes of form are
//! found before a missing unit is.

use super::written::Written;
use super::{Length, LengthError, LengthUnit};

impl Length {
    /// Reads a length that cannot be negative.
    ///
    /// Accepts inches with fractions (`2 1/4 in`, `2-1/4"`, `2¼″`), decimals (`2.25in`, `57,15 mm`), feet and inches
    /// (`1' 2"`), and the units in, ft, mm, cm, m and pt. A bare number is taken in `default_unit` if there is one. What is
    /// no whole nanometre rounds half to even.
    ///
    /// # Errors
    ///
    /// Returns the [`LengthError`] for a text that has no single reading.
    ///
    /// # Examples
    ///
    /// ```
    /// use sheetwright::length::{Length, LengthUnit};
    /// assert_eq!(Length::parse("2 1/4", Some(LengthUnit::Inch))?.nm(), 57_150_000);
    /// let wrong = Length::parse("2.1/4", Some(LengthUnit::Inch)).unwrap_err();
    /// assert_eq!(wrong.hint(), "write \"2 1/4 in\" or \"2.1 in\"");
    /// # Ok::<(), sheetwright::length::LengthError>(())
    /// ```
    pub fn parse(text: &str, default_unit: Option<LengthUnit>) -> Result<Self, LengthError> {
        let written = Written::read(text)?;
        if written.is_negative {
            return Err(LengthError::Negative(text.trim().into()));
        }
        written.settle(default_unit)
    }

    /// Reads a length that may start with a minus, such as an offset or an overhang.
    ///
    /// # Errors
    ///
    /// Returns the [`LengthError`] for a text that has no single reading.
    pub fn parse_signed(text: &str, default_unit: Option<LengthUnit>) -> Result<Self, LengthError> {
        Written::read(text)?.settle(default_unit)
    }
}

/// Reads a size such as `5 1/2 x 8 1/2 in`: two lengths parted by `x`, `×` or `by`, in the order written.
///
/// A unit on the last number covers both.
///
/// # Errors
///
/// Returns the [`LengthError`] of the first length that is wrong, or of the size as a whole.
pub fn parse_pair(
    text: &str,
    default_unit: Option<LengthUnit>,
) -> Result<(Length, Length), LengthError> {
    let parts = split_size(text);
    if text.trim().is_empty() {
        return Err(LengthError::Empty);
    }
    if parts.len() > 1 && parts.iter().any(|part| part.trim().is_empty()) {
        return Err(LengthError::UnfinishedSize(text.trim().into()));
    }
    let [first, second] = parts[..] else {
        return Err(LengthError::NotTwoLengths(parts.len()));
    };
    let written = [Written::read(first)?, Written::read(second)?];
    if written.iter().any(|one| one.is_negative) {
        return Err(LengthError::Negative(text.trim().into()));
    }
    settle_both(text, written, default_unit)
}

/// Reads the sizes of a thing such as `90 x 60 x 35 mm`: one length or several, parted as in [`parse_pair`], in the order written.
///
/// The unit of the last number covers those before it that have none.
///
/// # Errors
///
/// Returns the [`LengthError`] of the first length that is wrong, or of the sizes as a whole.
///
/// # Examples
///
/// ```
/// use sheetwright::length::{Length, parse_sizes};
/// let box_mm = [90, 60, 35].map(Length::from_mm);
/// assert_eq!(parse_sizes("90 x 60 x 35 mm", None)?, box_mm);
/// # Ok::<(), sheetwright::length::LengthError>(())
/// ```
pub fn parse_sizes(
    text: &str,
    default_unit: Option<LengthUnit>,
) -> Result<Vec<Length>, LengthError> {
    let parts = split_size(text);
    if text.trim().is_empty() {
        return Err(LengthError::Empty);
    }
    if parts.len() > 1 && parts.iter().any(|part| part.trim().is_empty()) {
        return Err(LengthError::UnfinishedSize(text.trim().into()));
    }
    let written: Vec<_> = parts
        .into_iter()
        .map(Written::read)
        .collect::<Result<_, _>>()?;
    if written.iter().any(|one| one.is_negative) {
        return Err(LengthError::Negative(text.trim().into()));
    }
    let unit = written.last().and_then(|last| last.unit).or(default_unit);
    if unit.is_none() && written.iter().any(|one| one.unit.is_none()) {
        return Err(LengthError::NoUnit(text.trim().into()));
    }
    written.into_iter().map(|one| one.settle(unit)).collect()
}

/// Reads a point such as `1 in, -2 in`: two signed coordinates parted by a semicolon, or by a comma that no digit both
/// precedes and follows (`57,5 mm, 3 mm` has one decimal comma and one parting comma).
///
/// A unit on the last number covers both.
///
/// # Errors
///
/// Returns the [`LengthError`] of the first coordinate that is wrong, or of the point as a whole.
pub fn parse_point(
    text: &str,
    default_unit: Option<LengthUnit>,
) -> Result<(Length, Length), LengthError> {
    if text.trim().is_empty() {
        return Err(LengthError::Empty);
    }
    let parts = split_point(text);
    let [first, second] = parts[..] else {
        return Err(LengthError::NotTwoCoordinates(parts.len()));
    };
    settle_both(
        text,
        [Written::read(first)?, Written::read(second)?],
        default_unit,
    )
}

/// Returns whether a text is a length, a size or a point of which a part is given in inches or feet.
///
/// # Examples
///
/// ```
/// use sheetwright::length::is_in_inches;
/// assert!(is_in_inches("5 1/2 x 8 1/2 in") && is_in_inches("57 mm, -2 in"));
/// assert!(!is_in_inches("57 mm") && !is_in_inches("5 in a row"));
/// ```
#[must_use]
pub fn is_in_inches(text: &str) -> bool {
    let is_so = |part: &str| {
        let unit = Written::read(part).ok().and_then(|written| written.unit);
        unit.is_some_and(LengthUnit::is_imperial)
    };
    let are_read = |parts: &[&str]| parts.iter().all(|part| Written::read(part).is_ok());
    [split_size(text), split_point(text)]
        .iter()
        .any(|parts| are_read(parts) && parts.iter().any(|part| is_so(part)))
}

fn settle_both(
    text: &str,
    [first, second]: [Written<'_>; 2],
    default_unit: Option<LengthUnit>,
) -> Result<(Length, Length), LengthError> {
    // With `5 in x 8` the 8 must not fall back to another unit than the 5.
    let fallback = if first.unit.is_some() {
        None
    } else {
        default_unit
    };
    let unit = second.unit.or(fallback);
    if first.unit.is_none() && unit.is_none() {
        return Err(LengthError::NoUnit(text.trim().into()));
    }
    Ok((first.settle(unit)?, second.settle(unit)?))
}

pub(super) fn split_size(text: &str) -> Vec<&str> {
    let mut parts = Vec::new();
    let mut start = 0;
    let mut before = None;
    for (at, c) in text.char_indices() {
        let is_pixel = matches!(before, Some('p' | 'P'));
        let width = match c {
            '×' => c.len_utf8(),
            'x' | 'X' if !is_pixel => 1,
            'b' | 'B' if text[at + 1..].starts_with(['y', 'Y']) => 2,
            _ => 0,
        };
        if width > 0 {
            parts.push(&text[start..at]);
            start = at + width;
        }
        before = Some(c);
    }
    parts.push(&text[start..]);
    parts
}

pub(super) fn split_point(text: &str) -> Vec<&str> {
    if text.contains(';') {
        return text.split(';').collect();
    }
    let is_digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let mut parts = Vec::new();
    let mut start = 0;
    for (at, _) in text.match_indices(',') {
        let is_decimal =
            is_digit(text[..at].chars().next_back()) && is_digit(text[at + 1..].chars().next());
        if !is_decimal {
            parts.push(&text[start..at]);
            start = at + 1;
        }
    }
    parts.push(&text[start..]);
    parts
}
