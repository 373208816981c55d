//! The cut file.

use serde_json::Value;

use super::{PAPER_MM, circle, operation};

pub(crate) fn cut_file(sheet: &Value) -> Vec<u8> {
    let (width, height) = PAPER_MM;
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\">\n"
    );
    text.push_str("<title>Plant swap, cut-01</title>\n");
    text.push_str(&references(sheet));
    for layer in ["crease", "hole", "cut"] {
        text.push_str(&format!(
            "<g id=\"{layer}\" fill=\"none\" stroke=\"#3c3a40\">\n"
        ));
        for id in sheet["cut_order"].as_array().unwrap() {
            let operation = operation(sheet, id.as_str().unwrap());
            if operation["kind"] == layer {
                let xml_id = id.as_str().unwrap().replace('/', ".").replace('#', "_");
                text.push_str(&path(&xml_id, operation["path"].as_str().unwrap()));
            }
        }
        text.push_str("</g>\n");
    }
    text.push_str("</svg>\n");
    text.into_bytes()
}

fn references(sheet: &Value) -> String {
    let (width, height) = PAPER_MM;
    let mut text = "<g id=\"reference\" fill=\"none\" stroke=\"#96928a\">\n".to_owned();
    text.push_str(&path("ref-top-left", "M 0 0 L 3 0"));
    text.push_str(&path(
        "ref-bottom-right",
        &format!("M {} {height} L {width} {height}", width - 3.0),
    ));
    for mark in sheet["marks"].as_array().unwrap() {
        let (x, y) = (
            mark["x_mm"].as_f64().unwrap(),
            mark["y_mm"].as_f64().unwrap(),
        );
        let (left, right, top, bottom) = (x - 1.8, x + 1.8, y - 1.8, y + 1.8);
        let cross = format!("M {left} {y} L {right} {y} M {x} {top} L {x} {bottom}");
        text.push_str(&path(
            mark["id"].as_str().unwrap(),
            &format!("{} {cross}", circle(x, y, 3.0)),
        ));
    }
    text.push_str("</g>\n");
    text
}

/// Coordinates as cut files have them: four decimals.
fn path(id: &str, d: &str) -> String {
    let d = crate::damage::svg::mapped(d, |x, y| (x, y));
    format!(
        "<path id=\"{id}\" d=\"{}\"><title>{id}</title></path>\n",
        d.trim()
    )
}
