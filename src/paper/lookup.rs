//! Finding a format by its name or by what has to fit on it.

use super::{Format, FormatKind, formats, size_text};
use crate::length::{LengthUnit, Size};

/// Returns the format of that name: its PWG 5101.1 name, an everyday name or its bare size, in any case and with or without
/// spaces, hyphens and the like.
///
/// A plain `A2`, `A6` or `A7` is the ISO sheet; the North American envelope is `Envelope A2`.
///
/// # Examples
///
/// ```
/// use sheetwright::paper::find;
/// let letter = find("letter").unwrap();
/// assert_eq!(letter.name(), "na_letter_8.5x11in");
/// assert_eq!(find("NA_LETTER_8.5x11in"), Some(letter));
/// assert_eq!(find("8.5 x 11 in"), Some(letter));
/// assert_eq!(find("leter"), None);
/// ```
#[must_use]
pub fn find(name: &str) -> Option<&'static Format> {
    let wanted = key(name);
    formats()
        .iter()
        .find(|format| names(format).any(|name| key(&name) == wanted))
}

/// Returns the everyday name most like an unknown one, or `None` if nothing is near.
///
/// # Examples
///
/// ```
/// use sheetwright::paper::nearest_name;
/// assert_eq!(nearest_name("leter"), Some("Letter"));
/// assert_eq!(nearest_name("cucumber"), None);
/// ```
#[must_use]
pub fn nearest_name(name: &str) -> Option<&'static str> {
    let wanted = key(name);
    // One slip for every three characters: more would join unrelated words.
    let most_slips = wanted.chars().count().div_ceil(3);
    formats()
        .iter()
        .flat_map(Format::common_names)
        .map(|known| {
            (
                strsim::damerau_levenshtein(&key(known), &wanted),
                known.as_str(),
            )
        })
        .filter(|(slips, _)| *slips <= most_slips)
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, known)| known)
}

/// Returns the sheet formats that hold a piece of that size, upright or turned by a quarter, smallest area first; envelopes
/// are left out.
///
/// # Examples
///
/// ```
/// use sheetwright::length::{Length, Size};
/// use sheetwright::paper::holding;
/// let [width, height] = [290, 200].map(|mm| Size::new(Length::from_mm(mm)).unwrap());
/// assert_eq!(holding(width, height)[0].name(), "iso_a4_210x297mm");
/// ```
#[must_use]
pub fn holding(width: Size, height: Size) -> Vec<&'static Format> {
    let (short, long) = (width.min(height), width.max(height));
    let holds = |format: &&Format| {
        format.kind() == FormatKind::Sheet
            && format.short_side() >= short
            && format.long_side() >= long
    };
    let mut found: Vec<_> = formats().iter().filter(holds).collect();
    found.sort_by_key(|format| {
        i128::from(format.short_side().length().nm()) * i128::from(format.long_side().length().nm())
    });
    found
}

/// Returns every text that stands for the format.
fn names(format: &Format) -> impl Iterator<Item = String> {
    let sizes = [LengthUnit::Inch, LengthUnit::Millimetre]
        .into_iter()
        .filter(|unit| format.name().ends_with(unit.symbol()))
        .map(|unit| size_text(format.short_side(), format.long_side(), unit));
    std::iter::once(format.name().to_owned())
        .chain(format.common_names().iter().cloned())
        .chain(sizes)
}

/// Returns what two spellings of one name have in common: letters, digits and points, in lower case.
fn key(name: &str) -> String {
    let name = name
        .trim()
        .to_lowercase()
        .replace('×', "x")
        .replace(['"', '″', '”'], "in");
    name.chars()
        .filter(|c| c.is_alphanumeric() || *c == '.')
        .collect()
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;

    #[test]
    fn no_name_stands_for_two_formats() {
        let mut owner = BTreeMap::new();
        for format in formats() {
            for name in names(format) {
                let other = owner.insert(key(&name), format.name());
                assert!(
                    other.is_none_or(|other| other == format.name()),
                    "{name}: {other:?} and {}",
                    format.name()
                );
            }
        }
    }

    #[test]
    fn spaces_case_and_signs_do_not_matter() {
        let cases = [
            ("a4", "iso_a4_210x297mm"),
            (" A 4 ", "iso_a4_210x297mm"),
            ("210 × 297 mm", "iso_a4_210x297mm"),
            ("12x12in", "custom_pad_12x12in"),
            ("12 x 12\"", "custom_pad_12x12in"),
            ("6x6in", "custom_pad_6x6in"),
            ("LEGAL", "na_legal_8.5x14in"),
            ("tabloid", "na_ledger_11x17in"),
            ("index 4x6", "na_index-4x6_4x6in"),
            ("jis-b5", "jis_b5_182x257mm"),
            ("c6c5", "iso_c6c5_114x229mm"),
            ("#10", "na_number-10_4.125x9.5in"),
            ("a2", "iso_a2_420x594mm"),
            ("envelope a2", "na_a2_4.375x5.75in"),
        ];
        for (name, want) in cases {
            assert_eq!(find(name).map(Format::name), Some(want), "{name}");
        }
    }

    #[test]
    fn a_slip_of_the_pen_gets_the_nearest_name() {
        let cases = [
            ("lettre", "Letter"),
            ("tabliod", "Tabloid"),
            ("indx 4x6", "Index 4x6"),
            ("A44", "A4"),
        ];
        for (slip, want) in cases {
            assert_eq!(find(slip), None);
            assert_eq!(nearest_name(slip), Some(want), "{slip}");
        }
        assert_eq!(nearest_name(""), None);
    }
}
