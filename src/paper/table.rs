//! The formats there are: series worked out by their rule, the rest row by row.

use std::sync::LazyLock;

use super::{Format, FormatKind, Standard, size};
use crate::length::{Length, LengthUnit, Size};

static FORMATS: LazyLock<Vec<Format>> = LazyLock::new(|| {
    SERIES
        .iter()
        .flat_map(Series::formats)
        .chain(single_formats())
        .collect()
});

/// Returns every format that has a name: series by series, then North American, photo and craft formats, then envelopes.
#[must_use]
pub fn formats() -> &'static [Format] {
    &FORMATS
}

/// Formats made from one another by halving the long side.
struct Series {
    /// Class and letters of the PWG name, before the number.
    prefix: &'static str,
    /// Everyday name before the number.
    letters: &'static str,
    /// Short and long side of number 0 in millimetres.
    largest_mm: [i64; 2],
    last_number: u32,
    standard: Standard,
    kind: FormatKind,
}

const SERIES: [Series; 6] = [
    Series {
        prefix: "iso_a",
        letters: "A",
        largest_mm: [841, 1189],
        last_number: 10,
        standard: Standard::Iso216,
        kind: FormatKind::Sheet,
    },
    Series {
        prefix: "iso_b",
        letters: "B",
        largest_mm: [1000, 1414],
        last_number: 10,
        standard: Standard::Iso216,
        kind: FormatKind::Sheet,
    },
    Series {
        prefix: "iso_c",
        letters: "C",
        largest_mm: [917, 1297],
        last_number: 10,
        standard: Standard::Iso269,
        kind: FormatKind::Envelope,
    },
    Series {
        prefix: "iso_ra",
        letters: "RA",
        largest_mm: [860, 1220],
        last_number: 4,
        standard: Standard::Iso217,
        kind: FormatKind::Sheet,
    },
    Series {
        prefix: "iso_sra",
        letters: "SRA",
        largest_mm: [900, 1280],
        last_number: 4,
        standard: Standard::Iso217,
        kind: FormatKind::Sheet,
    },
    Series {
        prefix: "jis_b",
        letters: "JIS B",
        largest_mm: [1030, 1456],
        last_number: 10,
        standard: Standard::JisP0138,
        kind: FormatKind::Sheet,
    },
];

impl Series {
    fn formats(&self) -> impl Iterator<Item = Format> {
        let [short, long] = self.largest_mm;
        // The next format: the long side halved, rounded down to a whole millimetre (ISO 216, ISO 269, JIS P 0138; the sheets
        // of ISO 217 follow the same rule).
        let sides = std::iter::successors(Some([short, long]), |[short, long]| {
            Some([long / 2, *short])
        });
        (0..=self.last_number).zip(sides).map(|(number, sides)| {
            let prefix = format!("{}{number}", self.prefix);
            let sides = sides.map(|side| size(Length::from_mm(side)));
            let format = Format::named(
                &prefix,
                LengthUnit::Millimetre,
                sides,
                self.standard,
                self.kind,
            );
            Format {
                common_names: vec![format!("{}{number}", self.letters)],
                ..format
            }
        })
    }
}

/// The short and the long side of a single format.
#[derive(Clone, Copy)]
enum Sides {
    /// In millimetres.
    Mm([i64; 2]),
    /// In eighths of an inch.
    Eighths([i64; 2]),
}

impl Sides {
    const fn unit(self) -> LengthUnit {
        match self {
            Self::Mm(_) => LengthUnit::Millimetre,
            Self::Eighths(_) => LengthUnit::Inch,
        }
    }

    fn sizes(self) -> [Size; 2] {
        match self {
            Self::Mm(sides) => sides.map(|mm| size(Length::from_mm(mm))),
            Self::Eighths(sides) => {
                sides.map(|eighths| size(Length::from_inch_fraction(eighths, 8)))
            }
        }
    }
}

/// PWG name before the size, everyday names, sides.
type Row = (&'static str, &'static [&'static str], Sides);

const fn inches(short: i64, long: i64) -> Sides {
    Sides::Eighths([8 * short, 8 * long])
}

/// Sheets A to E.
const ASME_SHEETS: [Row; 5] = [
    (
        "na_letter",
        &["Letter", "US Letter", "ANSI A", "Pad 8.5x11"],
        Sides::Eighths([68, 88]),
    ),
    (
        "na_ledger",
        &["Tabloid", "Ledger", "ANSI B"],
        inches(11, 17),
    ),
    ("na_c", &["ANSI C"], inches(17, 22)),
    ("na_d", &["ANSI D"], inches(22, 34)),
    ("na_e", &["ANSI E"], inches(34, 44)),
];

const PWG_SHEETS: [Row; 14] = [
    (
        "na_legal",
        &["Legal", "US Legal"],
        Sides::Eighths([68, 112]),
    ),
    (
        "na_invoice",
        &["Half Letter", "Statement", "Invoice"],
        Sides::Eighths([44, 68]),
    ),
    ("na_executive", &["Executive"], Sides::Eighths([58, 84])),
    // Some lists call 8 x 10.5 in by this name; PWG 5101.1 has 8 x 10.
    ("na_govt-letter", &["Government Letter"], inches(8, 10)),
    ("na_arch-a", &["Arch A"], inches(9, 12)),
    ("na_arch-b", &["Arch B"], inches(12, 18)),
    ("na_super-b", &["Super B"], inches(13, 19)),
    ("na_index-3x5", &["Index 3x5"], inches(3, 5)),
    (
        "na_index-4x6",
        &["Index 4x6", "Photo 4x6", "Pad 4x6"],
        inches(4, 6),
    ),
    ("na_index-5x8", &["Index 5x8"], inches(5, 8)),
    ("na_5x7", &["Photo 5x7", "Pad 5x7"], inches(5, 7)),
    (
        "oe_photo-l",
        &["Photo 3.5x5", "Photo L"],
        Sides::Eighths([28, 40]),
    ),
    ("om_small-photo", &["Photo 100x150"], Sides::Mm([100, 150])),
    (
        "jpn_hagaki",
        &["Hagaki", "Japanese postcard"],
        Sides::Mm([100, 148]),
    ),
];

/// Pads that craft shops sell. A sold 12 x 12 often carries a labelled strip besides: such a sheet is a custom size.
const CRAFT_PADS: [Row; 3] = [
    ("custom_pad", &["Pad 12x12"], inches(12, 12)),
    ("custom_pad", &["Pad 8x8"], inches(8, 8)),
    ("custom_pad", &["Pad 6x6"], inches(6, 6)),
];

const ISO_ENVELOPES: [Row; 3] = [
    ("iso_dl", &["DL", "Envelope DL"], Sides::Mm([110, 220])),
    (
        "iso_c6c5",
        &["C6/C5", "Envelope C6/C5"],
        Sides::Mm([114, 229]),
    ),
    (
        "iso_c7c6",
        &["C7/C6", "Envelope C7/C6"],
        Sides::Mm([81, 162]),
    ),
];

const PWG_ENVELOPES: [Row; 3] = [
    (
        "na_number-10",
        &["Envelope #10", "#10"],
        Sides::Eighths([33, 76]),
    ),
    (
        "na_monarch",
        &["Envelope Monarch"],
        Sides::Eighths([31, 60]),
    ),
    ("na_a2", &["Envelope A2"], Sides::Eighths([35, 46])),
];

const TRADE_ENVELOPES: [Row; 2] = [
    (
        "custom_envelope-a6",
        &["Envelope A6"],
        Sides::Eighths([38, 52]),
    ),
    (
        "custom_envelope-a7",
        &["Envelope A7"],
        Sides::Eighths([42, 58]),
    ),
];

fn single_formats() -> impl Iterator<Item = Format> {
    let groups: [(&[Row], Standard, FormatKind); 6] = [
        (&ASME_SHEETS, Standard::AsmeY141, FormatKind::Sheet),
        (&PWG_SHEETS, Standard::Pwg51011, FormatKind::Sheet),
        (&CRAFT_PADS, Standard::CommonPractice, FormatKind::Sheet),
        (&ISO_ENVELOPES, Standard::Iso269, FormatKind::Envelope),
        (&PWG_ENVELOPES, Standard::Pwg51011, FormatKind::Envelope),
        (
            &TRADE_ENVELOPES,
            Standard::CommonPractice,
            FormatKind::Envelope,
        ),
    ];
    groups.into_iter().flat_map(|(rows, standard, kind)| {
        rows.iter().map(move |(prefix, names, sides)| {
            let format = Format::named(prefix, sides.unit(), sides.sizes(), standard, kind);
            Format {
                common_names: names.iter().map(|name| (*name).to_owned()).collect(),
                ..format
            }
        })
    })
}
