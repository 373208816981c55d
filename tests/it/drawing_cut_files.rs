use std::collections::BTreeSet;

use kurbo::{Affine, Shape};
use sheetwright::draw::page::CutSheet;
use sheetwright::geometry::mirror_about_x;
use sheetwright::plan::JobPlan;
use sheetwright::project::{Edge, Face, Project, Reads, StockFace, StockSide};
use sheetwright::{draw, emit};

use crate::drawing_sample::{LETTER_MM, plan, project};

fn only_sheet() -> CutSheet {
    let mut files = draw::cut_sheets(&project(), &plan());
    assert_eq!(files.len(), 1);
    let (name, sheet) = files.remove(0);
    assert_eq!(name, "cut-01.svg");
    sheet
}

#[test]
fn layers_stand_in_cutting_order_after_the_reference() {
    let sheet = only_sheet();
    let names: Vec<&str> = sheet.layers.iter().map(|l| l.name).collect();
    assert_eq!(
        names,
        [
            "reference",
            "line",
            "crease",
            "perforation",
            "partial-cut",
            "hole",
            "cut"
        ]
    );
    assert!(sheet.layers.iter().all(|l| !l.paths.is_empty()));
}

#[test]
fn reference_lines_fix_the_extent_in_two_corners() {
    let sheet = only_sheet();
    let bounds = |id: &str| {
        let path = sheet.layers[0].paths.iter().find(|p| p.id == id).unwrap();
        path.path.bounding_box()
    };
    let (first, last) = (bounds("ref-top-left"), bounds("ref-bottom-right"));
    for (found, want) in [
        (first.x0, 0.0),
        (first.x1, 3.0),
        (first.y0, 0.0),
        (last.x0, LETTER_MM.0 - 3.0),
        (last.x1, LETTER_MM.0),
        (last.y1, LETTER_MM.1),
    ] {
        assert!((found - want).abs() < 1e-12, "{first:?} {last:?}");
    }
}

#[test]
fn all_files_of_a_job_share_the_extent() {
    let mut plan = plan();
    // A second, smaller sheet with a cut file of its own.
    let mut small = plan.sheets[0].clone();
    (small.width_mm, small.height_mm) = (152.4, 152.4);
    small.cut.as_mut().unwrap().file = "cut-02.svg".into();
    plan.sheets.push(small);
    let files = draw::cut_sheets(&project(), &plan);
    assert_eq!(files.len(), 2);
    for (_, sheet) in &files {
        assert!(
            (sheet.width_mm - LETTER_MM.0).abs() < 1e-12
                && (sheet.height_mm - LETTER_MM.1).abs() < 1e-12
        );
        assert!(sheet.note.contains("215.9 x 279.4 mm"), "{}", sheet.note);
    }
}

#[test]
fn sheets_that_share_a_file_write_it_once() {
    let mut plan = plan();
    plan.sheets.push(plan.sheets[0].clone());
    assert_eq!(draw::cut_sheets(&project(), &plan).len(), 1);
    plan.cut_extent_mm = None;
    assert!(draw::cut_sheets(&project(), &plan).is_empty());
}

fn note_of(project: &Project, plan: &JobPlan) -> String {
    draw::cut_sheets(project, plan)[0].1.note.clone()
}

#[test]
fn a_bought_paper_says_which_of_its_patterns_lies_up() {
    let pattern = |name: &str| StockFace::Patterned {
        name: name.to_owned(),
        reads: Reads::Free,
        up: Edge::Top,
    };
    let (mut project, mut plan) = (project(), plan());
    let stock = &mut project.stocks[plan.sheets[0].stock];
    (stock.face_a, stock.face_b) = (pattern("bean rows"), pattern("dots"));
    plan.sheets[0].front_is = StockSide::B;
    assert!(note_of(&project, &plan).contains("(dots up)"));
    plan.sheets[0].cut.as_mut().unwrap().face_up = Face::Back;
    assert!(note_of(&project, &plan).contains("(bean rows up)"));
    project.stocks[plan.sheets[0].stock].face_a = StockFace::Printable;
    assert!(note_of(&project, &plan).contains("(dots down)"));
}

#[test]
fn paths_stand_as_planned_in_the_plans_order() {
    let plan = plan();
    let sheet = only_sheet();
    let setup = plan.sheets[0].cut.as_ref().unwrap();
    let planned: Vec<_> = setup
        .order
        .iter()
        .map(|s| &plan.sheets[0].placements[s.placement].operations[s.operation])
        .collect();
    let written: Vec<_> = sheet.layers[1..].iter().flat_map(|l| &l.paths).collect();
    assert_eq!(written.len(), planned.len());
    for (written, planned) in written.iter().zip(planned) {
        assert_eq!((&written.id, &written.path), (&planned.id, &planned.path));
    }
}

#[test]
fn a_sheet_that_lies_face_down_is_cut_mirrored() {
    let mut plan = plan();
    let setup = plan.sheets[0].cut.as_mut().unwrap();
    setup.face_up = Face::Back;
    setup.cut_from_sheet = mirror_about_x(LETTER_MM.0 / 2.0);
    let (_, sheet) = &draw::cut_sheets(&project(), &plan)[0];
    assert!(sheet.note.contains("Lay the back up"), "{}", sheet.note);
    let mark = sheet.layers[0].paths.iter().find(|p| p.id == "m1").unwrap();
    // Mark m1 at x = 16 mm: 215.9 - 16 = 199.9 mm.
    assert!((mark.path.bounding_box().center().x - 199.9).abs() < 1e-9);
    let outline = &plan.sheets[0].placements[0].operations[2];
    let written = sheet
        .layers
        .last()
        .unwrap()
        .paths
        .iter()
        .find(|p| p.id == outline.id)
        .unwrap();
    let mirror = Affine::new([-1.0, 0.0, 0.0, 1.0, 215.9, 0.0]);
    let (found, want) = (
        written.path.bounding_box(),
        mirror.transform_rect_bbox(outline.path.bounding_box()),
    );
    assert!(
        (found.x0 - want.x0).abs() < 1e-9 && (found.x1 - want.x1).abs() < 1e-9,
        "{found:?} {want:?}"
    );
}

#[test]
fn a_file_keeps_to_the_part_of_svg_that_every_importer_reads() {
    let text = emit::svg::write(&only_sheet());
    assert!(!text.contains("DOCTYPE"));
    let document = roxmltree::Document::parse(&text).unwrap();
    let mut ids = BTreeSet::new();
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        let name = node.tag_name().name();
        let allowed: &[&str] = match name {
            "svg" => &["width", "height", "viewBox"],
            "g" => &["id", "fill", "stroke", "stroke-width"],
            "path" => &["id", "d"],
            "title" | "desc" => &[],
            other => panic!("<{other}>"),
        };
        for attribute in node.attributes() {
            assert!(
                allowed.contains(&attribute.name()),
                "{name} {}",
                attribute.name()
            );
        }
        if let Some(id) = node.attribute("id") {
            assert!(ids.insert(id.to_owned()), "{id} twice");
            assert!(!id.contains(['/', '#']), "{id}");
        }
        if let Some(data) = node.attribute("d") {
            assert!(
                data.chars()
                    .filter(char::is_ascii_alphabetic)
                    .all(|c| "MLCZ".contains(c)),
                "{data}"
            );
        }
        if name == "g" {
            let title = node.first_element_child().unwrap();
            assert_eq!(
                (title.tag_name().name(), title.text()),
                ("title", node.attribute("id"))
            );
            assert_eq!(node.attribute("fill"), Some("none"));
        }
    }
    assert!(ids.contains("packet.body_1.crease-2"));
}

#[test]
fn no_line_has_a_pure_colour() {
    // Red, green, blue, cyan, magenta, yellow and black are commands to some machines (common practice, no source): their channels
    // are all 0 or 255. Ours keep away from both ends, and no two layers look alike.
    let sheet = only_sheet();
    let mut seen = BTreeSet::new();
    for layer in &sheet.layers {
        let c = layer.colour;
        assert!(
            [c.red, c.green, c.blue]
                .iter()
                .all(|v| (0x20..0xe0).contains(v)),
            "{}: {c:?}",
            layer.name
        );
        assert!(
            seen.insert(c.to_hex()),
            "{} looks like another layer",
            layer.name
        );
    }
}

#[test]
fn the_same_sheet_gives_the_same_text() {
    assert_eq!(
        emit::svg::write(&only_sheet()),
        emit::svg::write(&only_sheet())
    );
}
