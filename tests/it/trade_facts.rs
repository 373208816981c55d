//! Two facts that makers check a layout tool against. Common practice, no source.

use std::collections::BTreeMap;

use sheetwright::length::Length;
use sheetwright::load::{Options, project};

const PROJECT: &str = r#"
sheetwright = 1

[job]
name = "Check values"
copies = 1
cut_by = "trimmer"

[[stock]]
id = "oat"
format = "letter"

[[piece]]
id = "strip"
stock = "oat"
shape = { kind = "strip", across = "2 1/2 in", length = "7 3/8 in", creases_at = ["3/8 in", "7/8 in", "2 3/4 in", "3 1/4 in", "5 1/8 in", "7 in"] }

[[piece]]
id = "layer"
stock = "oat"
mount = { on = "strip:3", reveal = "1/8 in" }
"#;

#[test]
fn a_creased_strip_has_its_seven_panels_and_an_even_reveal_its_layer() {
    let read = project(
        "project.toml",
        PROJECT,
        &BTreeMap::new(),
        &Options::default(),
    )
    .unwrap();
    let [strip, layer] = read.value.pieces.as_slice() else {
        panic!("{:?}", read.value.pieces)
    };
    let inches =
        |numerator, denominator| Length::from_inch_fraction(numerator, denominator).to_mm();
    let is = |found: f64, wanted: f64| (found - wanted).abs() < 1e-9;

    let panels: Vec<f64> = strip
        .panels
        .iter()
        .map(|panel| panel.bounds_mm.width())
        .collect();
    let wanted = [(3, 8), (1, 2), (15, 8), (1, 2), (15, 8), (15, 8), (3, 8)];
    assert_eq!(panels.len(), wanted.len());
    for (found, (numerator, denominator)) in panels.iter().zip(wanted) {
        assert!(is(*found, inches(numerator, denominator)), "{panels:?}");
    }

    // Panel 3 lies from 7/8 in, is 1 7/8 in long and 2 1/2 in across; the layer is 1 5/8 x 2 1/4 in.
    let bounds = layer.outline.bounds();
    assert!(
        is(bounds.width(), inches(13, 8)) && is(bounds.height(), inches(9, 4)),
        "{bounds:?}"
    );
    let pose = layer.mount.as_ref().unwrap().pose;
    let left = pose.x_mm - inches(7, 8);
    let right = inches(11, 4) - pose.x_mm - bounds.width();
    let (top, bottom) = (pose.y_mm, inches(5, 2) - pose.y_mm - bounds.height());
    for shown in [left, right, top, bottom] {
        assert!(is(shown, inches(1, 8)), "{left} {right} {top} {bottom}");
    }
}
