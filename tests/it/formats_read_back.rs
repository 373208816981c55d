//! A page of every sheet format, written and read back by two other programs, against `tests/data/paper_sizes.json`.

use std::collections::BTreeMap;

use serde_json::Value;
use sheetwright::draw::page::{Document, Duplex, Page};
use sheetwright::emit::pdf::{Streams, write};
use sheetwright::paper::{Format, find, formats};

use crate::tool::{PdfFile, run};

/// Points in a millimetre: 72 to the inch of 25.4 mm.
const PT_PER_MM: f64 = 72.0 / 25.4;

/// The width and height that the table gives for a format, in points.
fn sizes_pt() -> BTreeMap<&'static str, [f64; 2]> {
    let table: Value = serde_json::from_str(include_str!("../data/paper_sizes.json")).unwrap();
    let rows = table["sizes"].as_array().unwrap();
    rows.iter()
        .map(|row| {
            let name = row["pwg_name"].as_str().or(row["name"].as_str()).unwrap();
            let sides = ["width_mm", "height_mm"];
            let sides_pt = sides.map(|side| fraction(row[side].as_str().unwrap()) * PT_PER_MM);
            (find(name).unwrap().name(), sides_pt)
        })
        .collect()
}

/// The value of `210` or `2159/10`.
fn fraction(text: &str) -> f64 {
    let (numerator, denominator) = text.split_once('/').unwrap_or((text, "1"));
    numerator.parse::<f64>().unwrap() / denominator.parse::<f64>().unwrap()
}

/// One upright page for each format, in a file of its own for each reader.
fn every_format(reader: &str) -> PdfFile {
    let pages = formats().iter().map(|format| Page {
        label: format.name().to_owned(),
        width_mm: format.short_side().to_mm(),
        height_mm: format.long_side().to_mm(),
        layers: Vec::new(),
    });
    let document = Document {
        title: "Sheet formats".to_owned(),
        author: None,
        pages: pages.collect(),
        duplex: Duplex::Simplex,
    };
    PdfFile::checked(
        &format!("formats-{reader}"),
        &write(&document, &[], Streams::Packed),
    )
}

/// How far a number of a page box may be from what it stands for, in points: half of the fourth decimal that is written, and half a
/// step of the 24 bits that the number had before. For the largest sheet that is 0.1 µm.
fn rounding_pt(number_pt: f64) -> f64 {
    0.000_05 + number_pt / f64::from(1 << 24)
}

/// Fails unless a corner of a page is where it should be, in points, when the reader shows numbers to `shown_pt`.
fn assert_corner(format: &Format, place: &str, found: [f64; 2], want: [f64; 2], shown_pt: f64) {
    let is_near =
        |(found, want): (f64, f64)| (found - want).abs() <= shown_pt / 2.0 + rounding_pt(want);
    assert!(
        found.into_iter().zip(want).all(is_near),
        "{}, {place}: found {found:?} pt, the table has {want:?} pt",
        format.name()
    );
}

#[test]
fn a_page_of_every_format_has_the_tables_size_in_poppler() {
    let file = every_format("poppler");
    let last = formats().len().to_string();
    let info = run("pdfinfo", &["-f", "1", "-l", &last, "-box", &file.path]);
    for (number, format) in (1..).zip(formats()) {
        let number = number.to_string();
        for name in ["MediaBox:", "CropBox:", "BleedBox:", "TrimBox:", "ArtBox:"] {
            let words = info.lines().find_map(|line| {
                let words: Vec<_> = line.split_whitespace().collect();
                (words.len() == 7 && words[..3] == ["Page", &number, name]).then_some(words)
            });
            let words = words.unwrap();
            let corner = |i: usize| [i, i + 1].map(|i| words[i].parse::<f64>().unwrap());
            // Two decimals of a point: 3.5 µm, which leaves 1.8 µm either way.
            let place = format!("{name} in poppler");
            assert_corner(format, &place, corner(3), [0.0, 0.0], 0.01);
            assert_corner(format, &place, corner(5), sizes_pt()[format.name()], 0.01);
        }
    }
}

#[test]
fn a_page_of_every_format_has_the_tables_size_in_qpdf() {
    let file = every_format("qpdf");
    // The exit code is 3 after a warning and fails the test then too.
    let text = run(
        "qpdf",
        &[
            "--json=2",
            "--json-key=pages",
            "--json-key=qpdf",
            &file.path,
        ],
    );
    let read: Value = serde_json::from_str(&text).unwrap();
    let pages = read["pages"].as_array().unwrap();
    assert_eq!(pages.len(), formats().len());
    for (format, page) in formats().iter().zip(pages) {
        let object = format!("obj:{}", page["object"].as_str().unwrap());
        let page = &read["qpdf"][1][object]["value"];
        for name in ["/MediaBox", "/CropBox", "/BleedBox", "/TrimBox"] {
            let corners: Vec<f64> = page[name]
                .as_array()
                .unwrap()
                .iter()
                .map(|corner| corner.as_f64().unwrap())
                .collect();
            // qpdf gives numbers digit for digit.
            let place = format!("{name} in qpdf");
            assert_eq!(corners.len(), 4);
            assert_corner(format, &place, [corners[0], corners[1]], [0.0, 0.0], 0.0);
            let size_pt = sizes_pt()[format.name()];
            assert_corner(format, &place, [corners[2], corners[3]], size_pt, 0.0);
        }
        assert!(page.get("/Rotate").is_none() && page.get("/UserUnit").is_none());
    }
}
