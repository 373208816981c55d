//! A small job whose files are written here by hand, without the program's own drawing and writing: two herb packets with a
//! picture each and a coloured back, and two long row markers with a hole, on one letter sheet.

mod pdf;
mod svg;

use serde_json::{Value, json};

use crate::damage::Files;

/// Letter: 8 1/2 x 11 in at 25.4 mm.
pub(crate) const PAPER_MM: (f64, f64) = (215.9, 279.4);

/// The back of a sheet turned left to right: x' = 215.9 - x.
pub(crate) const BACK: [f64; 6] = [-1.0, 0.0, 0.0, 1.0, 215.9, 0.0];

pub(crate) const IDENTITY: [f64; 6] = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];

/// Digests are only compared as text, so any will do.
pub(crate) const BASIL: &str = "ba511ba511ba511ba511ba511ba511ba511ba511ba511ba511ba511ba511ba51";
pub(crate) const DILL: &str = "d111d111d111d111d111d111d111d111d111d111d111d111d111d111d111d111";

/// The whole folder.
pub(crate) fn folder() -> Files {
    let plan = plan();
    let text = serde_json::to_string_pretty(&plan).unwrap();
    Files::from([
        ("plan.json".to_owned(), text.into_bytes()),
        ("cut-01.svg".to_owned(), svg::cut_file(&plan["sheets"][0])),
        ("print.pdf".to_owned(), pdf::print(&plan["sheets"][0])),
        ("proof.pdf".to_owned(), pdf::proof(&plan["sheets"][0])),
        ("sheet-01.png".to_owned(), picture(850, 1100)),
        ("sheet-01-back.png".to_owned(), picture(850, 1100)),
    ])
}

/// A white picture.
pub(crate) fn picture(width_px: u32, height_px: u32) -> Vec<u8> {
    let mut bytes = std::io::Cursor::new(Vec::new());
    image::RgbImage::from_pixel(width_px, height_px, image::Rgb([255; 3]))
        .write_to(&mut bytes, image::ImageFormat::Png)
        .unwrap();
    bytes.into_inner()
}

pub(crate) fn plan() -> Value {
    let placements = [
        packet(1, 20.0),
        packet(2, 90.0),
        row(1, 160.0),
        row(2, 185.0),
    ];
    let contents: Vec<Value> = placements
        .iter()
        .map(|placement| json!({"id": placement["id"], "edition": "", "artwork": placement["artwork"]}))
        .collect();
    let mark = |id: &str, x: f64, y: f64, quadrants: &str| json!({"id": id, "x_mm": x, "y_mm": y, "diameter_mm": 6.0, "quadrants": quadrants, "face": "front"});
    let tick = |id: &str, kind: &str, from: [f64; 2], to: [f64; 2]| json!({"id": id, "kind": kind, "face": "front", "from_mm": from, "to_mm": to});
    json!({
        "format": "sheetwright-plan/1",
        "job": "Plant swap",
        "cut_extent_mm": [PAPER_MM.0, PAPER_MM.1],
        "sheets": [{
            "stock": "oat",
            "front_is": "a",
            "paper": {"name": "na_letter_8.5x11in", "width_mm": PAPER_MM.0, "height_mm": PAPER_MM.1},
            "runs": 1,
            "print_page": 1,
            "proof_page": 1,
            "picture": "sheet-01.png",
            "cut_file": "cut-01.svg",
            "cut_face_up": "front",
            "cut_from_sheet": IDENTITY,
            "cut_order": [
                "packet#1.crease-1", "packet#2.crease-1", "row/marker#1.hole-1", "row/marker#2.hole-1",
                "packet#1.outline", "packet#2.outline", "row/marker#1.outline", "row/marker#2.outline",
            ],
            "prints": [{"front": 1, "back": 2, "copies": [1, 2], "times": 1, "contents": contents}],
            "front": {"page_from_sheet": IDENTITY},
            "back": {"page_from_sheet": BACK},
            "marks": [
                mark("m1", 30.0, 130.0, "one"), mark("m2", 140.0, 130.0, "two-adjacent"), mark("m3", 30.0, 220.0, "three"),
            ],
            "ticks": [
                tick("t1", "crease", [17.0, 40.0], [12.0, 40.0]), tick("t2", "crop", [20.0, 103.5], [20.0, 108.5]),
            ],
            "caption_box_mm": [20.0, 240.0, 120.0, 8.0],
            "usable_box_mm": [6.0, 6.0, 203.9, 267.4],
            "placements": placements,
        }],
        "unplaced": [],
        "hand_work": [],
        "usage": {
            "area_used_percent": 32.5, "sheets": 1, "lower_bound_sheets": 1, "search": "finished", "by_stock": [],
            "marks_cost": null,
        },
    })
}

/// A packet of 50 x 80 mm with a crease 20 mm below its top edge.
fn packet(copy: u32, x: f64) -> Value {
    let id = format!("packet#{copy}");
    let outline = rectangle(x, 20.0, 50.0, 80.0);
    let (file, sha256) = if copy == 1 {
        ("basil.svg", BASIL)
    } else {
        ("dill.png", DILL)
    };
    // The picture is wider than the packet by the bleed of 3 mm on each side.
    let place = [56.0, 0.0, 0.0, 86.0, x - 3.0, 17.0];
    json!({
        "id": id, "piece": "packet", "copy": copy, "x_mm": x, "y_mm": 20.0, "turn_deg": 0.0, "face_down": false,
        "path": outline,
        "outline_mm": [[x, 20.0], [x + 50.0, 20.0], [x + 50.0, 100.0], [x, 100.0]],
        "operations": [
            {"id": format!("{id}.crease-1"), "kind": "crease", "fold": "mountain", "by": "machine",
             "path": format!("M {x:.6} 40.000000 L {:.6} 40.000000", x + 50.0)},
            {"id": format!("{id}.outline"), "kind": "cut", "by": "machine", "path": outline},
        ],
        "artwork": [
            {"face": "front", "box_mm": [x - 3.0, 17.0, 56.0, 86.0], "matrix": place, "places": [place], "sha256": sha256,
             "file": file, "colour": null, "clip": rectangle(x - 3.0, 17.0, 56.0, 86.0)},
            {"face": "back", "box_mm": [x - 3.0, 17.0, 56.0, 86.0], "matrix": null, "places": [], "sha256": null,
             "file": null, "colour": "#a3b18a", "clip": rectangle(x - 3.0, 17.0, 56.0, 86.0)},
        ],
    })
}

/// A row marker of 20 x 250 mm with a hole of 6 mm near its top.
fn row(copy: u32, x: f64) -> Value {
    let id = format!("row/marker#{copy}");
    let outline = rectangle(x, 12.0, 20.0, 250.0);
    json!({
        "id": id, "piece": "row/marker", "copy": copy, "x_mm": x, "y_mm": 12.0, "turn_deg": 0.0, "face_down": false,
        "path": outline,
        "outline_mm": [[x, 12.0], [x + 20.0, 12.0], [x + 20.0, 262.0], [x, 262.0]],
        "operations": [
            {"id": format!("{id}.hole-1"), "kind": "hole", "by": "machine", "path": circle(x + 10.0, 22.0, 3.0)},
            {"id": format!("{id}.outline"), "kind": "cut", "by": "machine", "path": outline},
        ],
        "artwork": [],
    })
}

pub(crate) fn rectangle(x: f64, y: f64, width: f64, height: f64) -> String {
    let (right, bottom) = (x + width, y + height);
    format!("M {x:.6} {y:.6} L {right:.6} {y:.6} L {right:.6} {bottom:.6} L {x:.6} {bottom:.6} Z")
}

/// Four cubics; handles of 0.5523 radii are the usual ones for a quarter circle.
pub(crate) fn circle(x: f64, y: f64, r: f64) -> String {
    let h = 0.552_285 * r;
    let curve = |a: (f64, f64), b: (f64, f64), c: (f64, f64)| {
        let points = [a, b, c].map(|(dx, dy)| format!("{:.6} {:.6}", x + dx, y + dy));
        format!(" C {}", points.join(" "))
    };
    [
        format!("M {:.6} {y:.6}", x + r),
        curve((r, h), (h, r), (0.0, r)),
        curve((-h, r), (-r, h), (-r, 0.0)),
        curve((-r, -h), (-h, -r), (0.0, -r)),
        curve((h, -r), (r, -h), (r, 0.0)),
        " Z".to_owned(),
    ]
    .concat()
}

/// The operation of an id.
pub(crate) fn operation<'s>(sheet: &'s Value, id: &str) -> &'s Value {
    let placements = sheet["placements"].as_array().unwrap().iter();
    placements
        .flat_map(|placement| placement["operations"].as_array().unwrap())
        .find(|operation| operation["id"] == id)
        .unwrap()
}
