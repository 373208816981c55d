//! Sheet formats under their PWG 5101.1 names, with the standard each size comes from.
//!
//! Sizes are exact: millimetres for ISO and JIS, inches for North America, never whole points. Reading order: this file for
//! what a [`Format`] is, `table.rs` for the formats there are, `lookup.rs` for finding one.

mod lookup;
mod table;

use serde::Serialize;

use crate::length::{Length, LengthUnit, Size};

pub use lookup::{find, holding, nearest_name};
pub use table::formats;

/// A named size of paper, without an orientation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Format {
    name: String,
    common_names: Vec<String>,
    short: Size,
    long: Size,
    standard: Standard,
    kind: FormatKind,
}

/// Where the size of a format comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standard {
    /// ISO 216, the A and B series.
    Iso216,
    /// ISO 217, untrimmed sheets of the RA and SRA series.
    Iso217,
    /// ISO 269, envelopes and the C series.
    Iso269,
    /// JIS P 0138, the Japanese B series.
    JisP0138,
    /// ASME Y14.1, sheets A to E.
    AsmeY141,
    /// The self-describing media names of PWG 5101.1, where no other standard gives the size.
    Pwg51011,
    /// No standard: the size the trade sells, or one that a project declares.
    CommonPractice,
}

impl Standard {
    /// Returns the standard as it is cited.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Iso216 => "ISO 216",
            Self::Iso217 => "ISO 217",
            Self::Iso269 => "ISO 269",
            Self::JisP0138 => "JIS P 0138",
            Self::AsmeY141 => "ASME Y14.1",
            Self::Pwg51011 => "PWG 5101.1",
            Self::CommonPractice => "common practice, no standard",
        }
    }
}

/// What a format is made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FormatKind {
    /// Paper to print on and cut from.
    Sheet,
    /// A finished envelope.
    Envelope,
}

impl Format {
    /// Returns the format of a sheet whose size the project declares.
    ///
    /// Its name is `custom_WORD_SHORTxLONG` and the unit: inches if both sides are whole sixty-fourths of an inch, else
    /// millimetres. Letters and digits of `word` are kept in lower case, anything else becomes a hyphen. The sides come in
    /// either order; which way round the sheet lies is for the caller to keep.
    ///
    /// # Examples
    ///
    /// ```
    /// use sheetwright::length::{Size, parse_pair};
    /// use sheetwright::paper::Format;
    /// let (width, height) = parse_pair("12 1/2 x 12 in", None)?;
    /// let (width, height) = (Size::new(width).unwrap(), Size::new(height).unwrap());
    /// assert_eq!(Format::custom("Oat pad", width, height).name(), "custom_oat-pad_12x12.5in");
    /// # Ok::<(), sheetwright::length::LengthError>(())
    /// ```
    #[must_use]
    pub fn custom(word: &str, one_side: Size, other_side: Size) -> Self {
        let on_inch_grid = [one_side, other_side]
            .iter()
            .all(|side| side.length().is_inch_fraction());
        let unit = if on_inch_grid {
            LengthUnit::Inch
        } else {
            LengthUnit::Millimetre
        };
        let prefix = format!("custom_{}", custom_word(word));
        Self::named(
            &prefix,
            unit,
            [one_side, other_side],
            Standard::CommonPractice,
            FormatKind::Sheet,
        )
    }

    /// Returns the format `prefix_SHORTxLONG` and the unit, without everyday names.
    fn named(
        prefix: &str,
        unit: LengthUnit,
        sides: [Size; 2],
        standard: Standard,
        kind: FormatKind,
    ) -> Self {
        let [one, other] = sides;
        let (short, long) = (one.min(other), one.max(other));
        let size = size_text(short, long, unit);
        Self {
            name: format!("{prefix}_{size}"),
            common_names: Vec::new(),
            short,
            long,
            standard,
            kind,
        }
    }

    /// Returns the PWG 5101.1 name, such as `iso_a4_210x297mm`; `custom_...` where none is registered.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Returns the names that people use, the usual one first; none for a size that a project declares.
    #[must_use]
    pub fn common_names(&self) -> &[String] {
        &self.common_names
    }

    /// Returns the shorter side.
    #[must_use]
    pub const fn short_side(&self) -> Size {
        self.short
    }

    /// Returns the longer side, equal to the shorter one on a square sheet.
    #[must_use]
    pub const fn long_side(&self) -> Size {
        self.long
    }

    /// Returns where the size comes from.
    #[must_use]
    pub const fn standard(&self) -> Standard {
        self.standard
    }

    /// Returns what the format is made for.
    #[must_use]
    pub const fn kind(&self) -> FormatKind {
        self.kind
    }

    /// Returns by how much the short and the long side of a real sheet may differ from the format, either way, or `None` if
    /// no published tolerance is known.
    #[must_use]
    pub fn tolerance(&self) -> Option<[Size; 2]> {
        match self.standard {
            Standard::Iso216 => Some([iso_216_tolerance(self.short), iso_216_tolerance(self.long)]),
            Standard::Iso217
            | Standard::Iso269
            | Standard::JisP0138
            | Standard::AsmeY141
            | Standard::Pwg51011
            | Standard::CommonPractice => None,
        }
    }

    /// Returns the format as a row of the printed list.
    #[must_use]
    pub fn row(&self) -> FormatRow<'_> {
        FormatRow {
            name: &self.name,
            common_names: &self.common_names,
            kind: self.kind,
            width_mm: self.short.to_mm(),
            height_mm: self.long.to_mm(),
            standard: self.standard.title(),
            tolerance_mm: self.tolerance().map(|sides| sides.map(Size::to_mm)),
        }
    }
}

/// One format in a list for other programs, portrait.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormatRow<'a> {
    /// PWG 5101.1 name.
    pub name: &'a str,
    /// Everyday names, the usual one first.
    pub common_names: &'a [String],
    /// What the format is made for.
    pub kind: FormatKind,
    /// Short side in millimetres.
    pub width_mm: f64,
    /// Long side in millimetres.
    pub height_mm: f64,
    /// The standard as it is cited.
    pub standard: &'static str,
    /// Tolerance of the short and of the long side in millimetres, either way; `null` if none is known.
    pub tolerance_mm: Option<[f64; 2]>,
}

/// Returns the tolerance of ISO 216 on one side of a trimmed sheet: 1.5 mm up to 150 mm, 2 mm up to 600 mm, 3 mm above.
///
/// From public summaries of the standard; its own text was not seen.
fn iso_216_tolerance(side: Size) -> Size {
    let um = if side.length() <= Length::from_mm(150) {
        1_500
    } else if side.length() <= Length::from_mm(600) {
        2_000
    } else {
        3_000
    };
    size(Length::from_um(um))
}

/// Returns `8.5x11in` or `210x297mm`.
fn size_text(short: Size, long: Size, unit: LengthUnit) -> String {
    // Six decimals write every nanometre and every sixty-fourth of an inch.
    let side = |size: Size| size.length().decimal(unit, 6);
    format!("{}x{}{}", side(short), side(long), unit.symbol())
}

fn custom_word(word: &str) -> String {
    let kept: String = word
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        })
        .collect();
    let parts: Vec<_> = kept.split('-').filter(|part| !part.is_empty()).collect();
    if parts.is_empty() {
        "sheet".into()
    } else {
        parts.join("-")
    }
}

/// Returns a length of this program's own tables as a size.
fn size(length: Length) -> Size {
    Size::new(length).expect("the sizes in the tables are greater than zero")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn custom_names_are_lower_case_with_the_short_side_first() {
        let (twelve, twelve_and_a_half) = (
            Length::from_inch_fraction(12, 1),
            Length::from_inch_fraction(25, 2),
        );
        let cases = [
            (
                "Oat pad",
                [twelve_and_a_half, twelve],
                "custom_oat-pad_12x12.5in",
            ),
            (
                "  Kräuter/Beet  ",
                [Length::from_mm(300), Length::from_mm(200)],
                "custom_kr-uter-beet_200x300mm",
            ),
            (
                "ž",
                [Length::from_um(57_150), Length::from_mm(90)],
                "custom_sheet_57.15x90mm",
            ),
            (
                "slip",
                [Length::from_inch_fraction(1, 64), twelve],
                "custom_slip_0.015625x12in",
            ),
        ];
        for (word, [one, other], name) in cases {
            assert_eq!(Format::custom(word, size(one), size(other)).name(), name);
        }
    }

    #[test]
    fn iso_216_tolerances_step_at_150_and_600_mm() {
        let cases = [
            (150_000, 1_500),
            (150_001, 2_000),
            (600_000, 2_000),
            (600_001, 3_000),
        ];
        for (side, tolerance) in cases {
            assert_eq!(
                iso_216_tolerance(size(Length::from_um(side))),
                size(Length::from_um(tolerance))
            );
        }
    }
}
