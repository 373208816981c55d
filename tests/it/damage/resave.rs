//! The same files as other programs would save them.

use std::path::PathBuf;
use std::process::Command;
use std::sync::atomic::{AtomicU32, Ordering};

use svgtypes::SimplePathSegment;

use super::svg::{Element, escaped, segments};

/// Ways of `qpdf` to save a PDF again: readable, packed, and with its content streams written anew.
pub(crate) const QPDF_WAYS: [&[&str]; 3] = [
    &["--qdf"],
    &["--object-streams=generate"],
    &[
        "--normalize-content=y",
        "--coalesce-contents",
        "--stream-data=compress",
    ],
];

static RUNS: AtomicU32 = AtomicU32::new(0);

/// A PDF saved again by `qpdf`, which the tests need.
pub(crate) fn qpdf(pdf: &[u8], way: &[&str]) -> Vec<u8> {
    let number = RUNS.fetch_add(1, Ordering::Relaxed);
    let file = |name: &str| -> PathBuf {
        std::env::temp_dir().join(format!(
            "sheetwright-{}-{number}-{name}.pdf",
            std::process::id()
        ))
    };
    let (before, after) = (file("before"), file("after"));
    std::fs::write(&before, pdf).unwrap();
    let status = Command::new("qpdf")
        .args(way)
        .args([&before, &after])
        .status();
    assert!(status.expect("qpdf is installed").success(), "qpdf {way:?}");
    let saved = std::fs::read(&after).unwrap();
    std::fs::remove_file(before).unwrap();
    std::fs::remove_file(after).unwrap();
    saved
}

/// A cut file with a prefix, other white space, attributes the other way round, relative path data, and everything shifted by a
/// transform that the coordinates make up for.
pub(crate) fn svg(svg: &[u8]) -> Vec<u8> {
    let mut root = Element::read(svg);
    root.each(&mut |element| {
        if let Some(d) = element.attribute("d").map(relative) {
            element.set("d", d);
        }
    });
    let mut inside = Element {
        name: "g".to_owned(),
        attributes: vec![(
            "transform".to_owned(),
            "matrix(0.5 0 0 0.5 40 30)".to_owned(),
        )],
        text: String::new(),
        children: Vec::new(),
    };
    std::mem::swap(&mut inside.children, &mut root.children);
    root.children.push(inside);
    let mut text = "<?xml version='1.0'?>\n<!-- saved again -->\n".to_owned();
    write(&root, &mut text, 0);
    text.into_bytes()
}

/// The point that `matrix(0.5 0 0 0.5 40 30)` takes to (x, y).
fn before(x: f64, y: f64) -> (f64, f64) {
    ((x - 40.0) * 2.0, (y - 30.0) * 2.0)
}

fn relative(d: &str) -> String {
    let mut text = String::new();
    let (mut at, mut start) = ((0.0, 0.0), (0.0, 0.0));
    let spell = |at: (f64, f64), x: f64, y: f64| {
        let (x, y) = before(x, y);
        format!("{:.5},{:.5}", x - at.0, y - at.1)
    };
    for segment in segments(d) {
        let (spelled, to) = match segment {
            SimplePathSegment::MoveTo { x, y } => {
                start = before(x, y);
                (format!("m{}", spell(at, x, y)), start)
            }
            SimplePathSegment::LineTo { x, y } => (format!("l{}", spell(at, x, y)), before(x, y)),
            SimplePathSegment::CurveTo {
                x1,
                y1,
                x2,
                y2,
                x,
                y,
            } => (
                format!(
                    "c{} {} {}",
                    spell(at, x1, y1),
                    spell(at, x2, y2),
                    spell(at, x, y)
                ),
                before(x, y),
            ),
            SimplePathSegment::Quadratic { x1, y1, x, y } => (
                format!("q{} {}", spell(at, x1, y1), spell(at, x, y)),
                before(x, y),
            ),
            SimplePathSegment::ClosePath => ("z".to_owned(), start),
        };
        text.push_str(&spelled);
        at = to;
    }
    text
}

fn write(element: &Element, text: &mut String, depth: usize) {
    let indent = "\t".repeat(depth);
    text.push_str(&format!("{indent}<s:{}", element.name));
    for (name, value) in element.attributes.iter().rev() {
        text.push_str(&format!("\n{indent}\t{name} = '{}'", escaped(value)));
    }
    if depth == 0 {
        text.push_str(" xmlns:s='http://www.w3.org/2000/svg'");
    }
    if element.children.is_empty() && element.text.is_empty() {
        return text.push_str("/>\n");
    }
    text.push_str(&format!(">{}\n", escaped(&element.text)));
    for child in &element.children {
        write(child, text, depth + 1);
    }
    text.push_str(&format!("{indent}</s:{}>\n", element.name));
}
