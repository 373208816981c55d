//! Every sheet format against `tests/data/paper_sizes.json`, and against the rules that the series follow.

use std::collections::BTreeSet;

use serde_json::Value;
use sheetwright::length::{Length, Size};
use sheetwright::paper::{Format, FormatKind, Standard, find, formats, holding};

fn table() -> Value {
    serde_json::from_str(include_str!("../data/paper_sizes.json")).unwrap()
}

/// Returns the row's format: by its PWG name, or by its everyday name where none is registered.
fn format_of(row: &Value) -> &'static Format {
    let name = row["pwg_name"].as_str().or(row["name"].as_str()).unwrap();
    find(name).unwrap_or_else(|| panic!("no format is called {name}"))
}

fn sides_nm(format: &Format) -> [i64; 2] {
    [format.short_side(), format.long_side()].map(|side| side.length().nm())
}

/// Returns how far `nm` is from a fraction of a millimetre such as `2159/10`, in nanometres.
fn deviation_nm(nm: i64, mm: &str) -> f64 {
    let (numerator, denominator) = mm.split_once('/').unwrap_or((mm, "1"));
    let (numerator, denominator): (i128, i128) =
        (numerator.parse().unwrap(), denominator.parse().unwrap());
    let difference = i128::from(nm) * denominator - numerator * 1_000_000;
    difference.abs() as f64 / denominator as f64
}

#[test]
fn every_size_of_the_table_is_met_to_half_a_nanometre() {
    let table = table();
    let rows = table["sizes"].as_array().unwrap();
    assert_eq!(rows.len(), 87);
    for row in rows {
        let format = format_of(row);
        for (nm, key) in sides_nm(format).into_iter().zip(["width_mm", "height_mm"]) {
            let deviation = deviation_nm(nm, row[key].as_str().unwrap());
            assert!(
                deviation <= 0.5,
                "{}: {key} is off by {deviation} nm",
                format.name()
            );
        }
        if let Some(pwg_name) = row["pwg_name"].as_str() {
            assert_eq!(format.name(), pwg_name);
        }
    }
}

#[test]
fn every_format_has_a_row_in_the_table() {
    let table = table();
    let known: BTreeSet<_> = table["sizes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| format_of(row).name())
        .collect();
    let ours: BTreeSet<_> = formats().iter().map(Format::name).collect();
    assert_eq!(ours, known);
    assert_eq!(formats().len(), ours.len(), "no two formats share a name");
}

#[test]
fn the_standard_named_is_the_one_in_the_table() {
    for row in table()["sizes"].as_array().unwrap() {
        let (format, source) = (format_of(row), row["source"].as_str().unwrap());
        let standard = format.standard();
        // Letter, Ledger and the 4 x 6 pad stand in the table twice, once under each source.
        let is_second_row = match standard {
            Standard::AsmeY141 => source.starts_with("PWG"),
            Standard::Pwg51011 => source.starts_with("common practice") && row["name"] == "Pad 4x6",
            Standard::Iso216
            | Standard::Iso217
            | Standard::Iso269
            | Standard::JisP0138
            | Standard::CommonPractice => false,
        };
        assert!(
            source.contains(standard.title()) || is_second_row,
            "{}: {source}",
            format.name()
        );
    }
}

#[test]
fn iso_sizes_follow_the_published_closed_form() {
    // Short side of number n, in mm: An = floor(1000 · 2^(-n/2 - 1/4) + 0.2), Bn = floor(1000 · 2^(-n/2) + 0.2),
    // Cn = floor(1000 · 2^(-n/2 - 1/8) + 0.2); a formula widely published beside the halving rule.
    for (letter, offset) in [("a", 0.25), ("b", 0.0), ("c", 0.125)] {
        for number in 0..=10_u32 {
            let format = find(&format!("{letter}{number}")).unwrap();
            let exponent = -f64::from(number) / 2.0 - offset;
            let want_mm = (1000.0 * libm::exp2(exponent) + 0.2).floor();
            assert!(
                (format.short_side().to_mm() - want_mm).abs() < 1e-9,
                "{}",
                format.name()
            );
        }
    }
}

#[test]
fn the_next_size_is_the_long_side_halved_and_rounded_down() {
    // ISO 216, ISO 269, JIS P 0138 by rule; ISO 217 by its sizes.
    for (letters, last) in [
        ("a", 10),
        ("b", 10),
        ("c", 10),
        ("jis b", 10),
        ("ra", 4),
        ("sra", 4),
    ] {
        for number in 1..=last {
            let [larger, smaller] =
                [number - 1, number].map(|n| sides_nm(find(&format!("{letters}{n}")).unwrap()));
            assert_eq!(smaller[1], larger[0], "{letters}{number}");
            assert_eq!(
                smaller[0],
                larger[1] / 2 / 1_000_000 * 1_000_000,
                "{letters}{number}"
            );
        }
    }
    // The two that are often printed wrong: half of 707 mm is 353, half of 1297 mm is 648.
    assert_eq!(find("B4").unwrap().name(), "iso_b4_250x353mm");
    assert_eq!(find("C1").unwrap().name(), "iso_c1_648x917mm");
}

#[test]
fn asme_sheets_double_from_letter_to_e() {
    // ASME Y14.1: each sheet is two of the one before, side by side.
    for pair in ["ansi a", "ansi b", "ansi c", "ansi d", "ansi e"].windows(2) {
        let [smaller, larger] = [pair[0], pair[1]].map(|name| sides_nm(find(name).unwrap()));
        assert_eq!(larger, [smaller[1], 2 * smaller[0]], "{}", pair[1]);
    }
}

#[test]
fn trimmed_iso_sheets_have_the_tolerance_of_their_sides() {
    let table = table();
    let steps = table["iso_216_tolerance"].as_array().unwrap();
    let expected_mm = |side_mm: f64| {
        let step = steps
            .iter()
            .find(|step| step["up_to_mm"].as_f64().is_none_or(|most| side_mm <= most));
        step.unwrap()["plus_minus_mm"].as_f64().unwrap()
    };
    for format in formats() {
        let Some(tolerance) = format.tolerance() else {
            assert_ne!(format.standard(), Standard::Iso216);
            continue;
        };
        assert_eq!(format.standard(), Standard::Iso216);
        for (side, tolerance) in [format.short_side(), format.long_side()]
            .into_iter()
            .zip(tolerance)
        {
            assert_eq!(
                tolerance.to_mm().to_bits(),
                expected_mm(side.to_mm()).to_bits(),
                "{}",
                format.name()
            );
        }
    }
    // Two read off by hand: A4 is 208 to 212 by 295 to 299 mm, A5's short side of 148 mm falls under the first step.
    let um = |name| {
        find(name)
            .unwrap()
            .tolerance()
            .unwrap()
            .map(|side| side.length().nm() / 1_000)
    };
    assert_eq!(um("A4"), [2_000, 2_000]);
    assert_eq!(um("A5"), [1_500, 2_000]);
}

#[test]
fn sizes_in_points_are_those_of_the_page_boxes() {
    // 1 pt = 1/72 in: 210 / 25.4 · 72 = 595.275 59, 297 / 25.4 · 72 = 841.889 76, 8.5 · 72 = 612, 12 · 72 = 864.
    let cases = [
        ("A4", [595.2756, 841.8898]),
        ("Letter", [612.0, 792.0]),
        ("12x12in", [864.0, 864.0]),
        ("6x6in", [432.0, 432.0]),
    ];
    for (name, want_pt) in cases {
        let format = find(name).unwrap();
        for (side, want_pt) in [format.short_side(), format.long_side()]
            .into_iter()
            .zip(want_pt)
        {
            assert!(
                (side.to_mm() / 25.4 * 72.0 - want_pt).abs() < 5e-5,
                "{name}"
            );
        }
    }
}

#[test]
fn names_follow_the_form_of_pwg_5101_1() {
    // `class_word_SHORTxLONGunit`: mm for iso, jis, jpn and om, inches for na and oe; custom has either.
    for format in formats() {
        let parts: Vec<_> = format.name().split('_').collect();
        let [class, word, size] = parts[..] else {
            panic!("{} has not three parts", format.name())
        };
        let (unit, mm) = if size.ends_with("mm") {
            ("mm", 1.0)
        } else {
            ("in", 25.4)
        };
        match class {
            "iso" | "jis" | "jpn" | "om" => assert_eq!(unit, "mm", "{}", format.name()),
            "na" | "oe" => assert_eq!(unit, "in", "{}", format.name()),
            other => assert_eq!(other, "custom"),
        }
        assert!(
            word.bytes()
                .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
        );
        let (short, long) = size.strip_suffix(unit).unwrap().split_once('x').unwrap();
        for (text, side) in [(short, format.short_side()), (long, format.long_side())] {
            assert!(
                (text.parse::<f64>().unwrap() * mm - side.to_mm()).abs() < 1e-9,
                "{}",
                format.name()
            );
            assert!(
                !(text.contains('.') && text.ends_with('0')),
                "{} has a closing zero",
                format.name()
            );
        }
        assert!(format.short_side() <= format.long_side());
    }
}

#[test]
fn the_nearest_sheet_is_the_smallest_that_holds_the_piece_either_way_round() {
    let inches = |n, d| Size::new(Length::from_inch_fraction(n, d)).unwrap();
    let first = |width, height| holding(width, height).first().map(|format| format.name());
    // By hand from the table: 8 1/4 x 10 3/4 in is 209.55 x 273.05 mm; of the sheets that hold it A4 has 62 370 mm²,
    // Letter 60 322.
    assert_eq!(
        first(inches(33, 4), inches(43, 4)),
        Some("na_letter_8.5x11in")
    );
    assert_eq!(
        first(inches(43, 4), inches(33, 4)),
        Some("na_letter_8.5x11in")
    );
    // 12 x 12 in exactly: 92 903 mm²; B4, A3 and Tabloid are too narrow or larger.
    assert_eq!(
        first(inches(12, 1), inches(12, 1)),
        Some("custom_pad_12x12in")
    );
    assert_eq!(first(inches(100, 1), inches(1, 1)), None);
    assert!(
        holding(inches(1, 1), inches(1, 1))
            .iter()
            .all(|format| format.kind() == FormatKind::Sheet)
    );
}

#[test]
fn a_row_for_other_programs_carries_millimetres_and_the_standard() {
    let row = serde_json::to_value(find("a5").unwrap().row()).unwrap();
    let want = serde_json::json!({
        "name": "iso_a5_148x210mm", "common_names": ["A5"], "kind": "sheet", "width_mm": 148.0, "height_mm": 210.0,
        "standard": "ISO 216", "tolerance_mm": [1.5, 2.0],
    });
    assert_eq!(row, want);
    let letter = serde_json::to_value(find("letter").unwrap().row()).unwrap();
    assert_eq!(letter["width_mm"], 215.9);
    assert_eq!(letter["tolerance_mm"], Value::Null);
}
