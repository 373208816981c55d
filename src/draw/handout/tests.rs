//! The pages of a small tray in two papers, from values made by hand.

use std::collections::BTreeMap;

use kurbo::{Affine, Point, Rect, Shape};

use super::super::page::Page;
use super::super::typeset::Letter;
use super::*;
use crate::drawing::{Drawing, Item};
use crate::handout::{
    BagLabels, Cost, Glueing, GrooveFit, KitLine, LayerOn, Outlay, Score, WorkStep,
};
use crate::length::Length;
use crate::load;
use crate::plan::{Effort, PlanOptions};
use crate::project::{Caution, Edge, Face, Fold, Price, Pricing, When};

/// A blank of 6 5/16 x 5 1/8 in with two scores, and a label that is mounted on it.
const TRAY: &str = r#"
sheetwright = 1
[job]
name = "Seed tray"
copies = 24
cut_by = "trimmer"
show_lengths = "inch fractions"
date = "2027-04-17"
[[stock]]
id = "bark"
name = "Bark card"
format = "letter"
caliper = "0.3 mm"
[[piece]]
id = "tray"
name = "Tray"
stock = "bark"
shape = { kind = "rectangle", width = "6 5/16 in", height = "5 1/8 in" }
per_copy = 2
[[piece.operation]]
kind = "crease"
at_x = "1 3/8 in"
fold = "mountain"
[[piece.operation]]
kind = "crease"
at_y = "1 in"
fold = "valley"
[[piece]]
id = "label"
name = "Label"
stock = "bark"
[piece.mount]
on = "tray"
reveal = "1 in"
"#;

fn project(text: &str) -> Project {
    let none = BTreeMap::new();
    load::project("project.toml", text, &none, &load::Options::default())
        .unwrap()
        .value
}

fn planned(project: &Project) -> JobPlan {
    let options = PlanOptions {
        effort: Effort::Quick,
        ..PlanOptions::default()
    };
    crate::plan::plan(project, &options).value
}

fn inch(sixteenths: i64) -> Length {
    Length::from_inch_fraction(sixteenths, 16)
}

fn score(number: u32, fence: Edge, at: i64, fold: Fold) -> Score {
    Score {
        number,
        operations: vec![number as usize - 1],
        fence,
        at: inch(at),
        off: Length::ZERO,
        span: None,
        fold,
        folds_to_deg: 90,
        again: false,
        groove: None,
    }
}

fn work(piece: usize, per_copy: u32, size: (i64, i64)) -> PieceWork {
    PieceWork {
        piece,
        per_copy,
        wanted: per_copy * 24,
        have: 0,
        size: (inch(size.0), inch(size.1)),
        rough: None,
        is_rectangle: true,
        scores: Vec::new(),
        scored_face: Face::Front,
        by_fence: true,
        treated: Vec::new(),
        layer: None,
    }
}

fn step(number: u32, text: &str) -> WorkStep {
    WorkStep {
        number,
        text: text.to_owned(),
        piece: Some(0),
        assembly: None,
        own: None,
        when: When::InClass,
        minutes: Some(5),
    }
}

fn euro(hundredths: u64) -> Price {
    Price {
        hundredths,
        currency: "EUR".into(),
    }
}

fn handed() -> Handout {
    let mut again = score(2, Edge::Top, 16, Fold::Valley);
    again.again = true;
    let tray = PieceWork {
        scores: vec![score(1, Edge::Left, 22, Fold::Mountain), again],
        ..work(0, 2, (101, 82))
    };
    let label = PieceWork {
        layer: Some(LayerOn {
            on: 0,
            panel: None,
            shows: [inch(16); 4],
            standoff: Length::ZERO,
            trim_flush: false,
        }),
        ..work(1, 1, (69, 50))
    };
    let outlay = Outlay {
        materials: euro(120),
        minutes: Some(40),
        work: Some(euro(800)),
        overhead: None,
        asks: Some(euro(2300)),
    };
    Handout {
        style: LengthStyle::InchFractions,
        pieces: vec![tray, label],
        gluing: vec![Glueing {
            number: 1,
            assembly: None,
            from_piece: 0,
            to_piece: 0,
            from: "tray, tab-1".into(),
            from_face: Face::Front,
            to: "tray, left".into(),
            to_face: Face::Back,
            with: None,
        }],
        steps: vec![step(1, "Cut the tray."), step(2, "Score it.")],
        tools: vec!["bone folder".into()],
        shopping: Vec::new(),
        cost: Some(Cost {
            one: outlay.clone(),
            all: outlay,
            copies: 24,
            unpriced: Vec::new(),
        }),
        no_cost: None,
        kit: vec![KitLine {
            name: "Tray".into(),
            of: Some("Bark card".into()),
            each: "2".into(),
            edition: None,
        }],
        labels: vec![BagLabels {
            edition: 0,
            title: "Seed tray".into(),
            edition_name: None,
            bags: 24,
            holds: vec!["2 x Tray, Bark card".into()],
        }],
        fit_tests: Vec::new(),
        cautions: vec![Caution::Blades],
    }
}

fn lesson(project: &Project, handout: &Handout) -> Document {
    instructions(project, &planned(project), handout)
}

/// Calls `see` with every item and the map to the page.
fn over(drawing: &Drawing, see: &mut dyn FnMut(&Item)) {
    for item in &drawing.items {
        see(item);
        match item {
            Item::Tagged { inner, .. } | Item::Clip { inner, .. } => over(inner, see),
            Item::Fill { .. } | Item::Stroke { .. } | Item::Picture { .. } | Item::Glyphs(_) => {}
        }
    }
}

fn over_page(page: &Page, see: &mut dyn FnMut(&Item)) {
    for layer in &page.layers {
        assert_eq!(layer.matrix, Affine::IDENTITY);
        over(&layer.drawing, see);
    }
}

/// The words of all pages, those on one baseline as one line, with single spaces.
fn lines(document: &Document) -> Vec<String> {
    let mut found: Vec<(usize, i64, String)> = Vec::new();
    for (i, page) in document.pages.iter().enumerate() {
        over_page(page, &mut |item| {
            let Item::Glyphs(run) = item else { return };
            let y_mm = run.matrix.as_coeffs()[5];
            #[expect(clippy::cast_possible_truncation, reason = "a page is 300 mm high")]
            let key = (y_mm * 100.0).round() as i64;
            match found.last_mut() {
                Some(last) if last.0 == i && last.1 == key => last.2 += &run.text,
                Some(_) | None => found.push((i, key, run.text.clone())),
            }
        });
    }
    let spaced = |text: &String| text.split_whitespace().collect::<Vec<_>>().join(" ");
    found.iter().map(|(_, _, text)| spaced(text)).collect()
}

fn assert_line(document: &Document, wanted: &str) {
    let lines = lines(document);
    assert!(
        lines.iter().any(|l| l.contains(wanted)),
        "{wanted}: {lines:#?}"
    );
}

/// Everything lies inside 7 3/4 x 10 1/2 in about the middle of its page.
fn assert_inside(document: &Document) {
    for page in &document.pages {
        let middle = Point::new(page.width_mm / 2.0, page.height_mm / 2.0);
        let inside = Rect::from_center_size(middle, (7.75 * 25.4, 10.5 * 25.4));
        for layer in &page.layers {
            let filled = filled(&layer.drawing).unwrap_or(inside);
            assert_eq!(inside.union(filled), inside, "{}", page.label);
        }
    }
}

fn filled(drawing: &Drawing) -> Option<Rect> {
    let unit = Rect::new(0.0, 0.0, 1.0, 1.0);
    let boxes = drawing.items.iter().filter_map(|item| match item {
        Item::Fill { path, .. } => Some(path.bounding_box()),
        Item::Stroke { path, stroke, .. } => {
            let half_mm = stroke.width_mm / 2.0;
            Some(path.bounding_box().inflate(half_mm, half_mm))
        }
        Item::Clip { path, inner, .. } => {
            filled(inner).map(|inner| inner.intersect(path.bounding_box()))
        }
        Item::Picture { places, .. } => {
            let boxes = places.iter().map(|p| p.transform_rect_bbox(unit));
            boxes.reduce(|a, b| a.union(b))
        }
        Item::Glyphs(run) => {
            let width_mm =
                Letter::BODY.width_mm(run.text.trim_end()) * run.size_mm / Letter::BODY.size_mm;
            let letters = Rect::new(0.0, -0.75 * run.size_mm, width_mm, 0.25 * run.size_mm);
            Some(run.matrix.transform_rect_bbox(letters))
        }
        Item::Tagged { inner, .. } => filled(inner),
    });
    boxes.reduce(|a, b| a.union(b))
}

#[test]
fn the_cut_list_has_a_piece_on_each_line() {
    let document = lesson(&project(TRAY), &handed());
    assert_line(
        &document,
        "A Tray 2 Bark card 6 5/16 x 5 1/8 in either side",
    );
    assert_line(
        &document,
        "B Label 1 Bark card 4 5/16 x 3 1/8 in either side",
    );
}

#[test]
fn the_scoring_list_has_a_score_on_each_line() {
    let document = lesson(&project(TRAY), &handed());
    assert_line(&document, "Score it with this face up: front.");
    assert_line(
        &document,
        "score 1 from the left edge at 1 3/8 in mountain 90° once",
    );
    assert_line(
        &document,
        "score 2 from the top edge at 1 in valley 90° twice",
    );
    assert_line(&document, "score it again after embossing");
    assert_line(
        &document,
        "Turn the piece, the same face up: now the top edge lies at the fence.",
    );
}

#[test]
fn grooves_of_a_board_are_told() {
    let mut handout = handed();
    handout.pieces[0].scores[0].groove = Some(GrooveFit::Between {
        nearest: inch(20),
        off: inch(2),
    });
    handout.pieces[0].scores[1].groove = Some(GrooveFit::FromFarEnd { at: inch(66) });
    let document = lesson(&project(TRAY), &handout);
    assert_line(
        &document,
        "score 1 from the left edge at 1 3/8 in mountain 90° once no groove",
    );
    assert_line(
        &document,
        "Where the board has no groove, score along a metal",
    );
    assert_line(
        &document,
        "the board does not reach there: turn the piece end for end",
    );
}

#[test]
fn layers_gluing_steps_and_cost_are_told() {
    let document = lesson(&project(TRAY), &handed());
    assert_line(&document, "B Label on A Tray: glued flat");
    assert_line(&document, "leaves a border of 1 in all round");
    assert_line(
        &document,
        "1. tray: glue the outside of tab-1 to the inside of left",
    );
    assert_line(&document, "Step 2in class · 5 min");
    assert_line(&document, "price to ask 23.00 EUR 23.00 EUR");
    assert_line(
        &document,
        "Local rules and the advice of licensed trades come before",
    );
    assert_line(&document, "inch edition");
    assert_line(&document, "2027-04-17");
    assert_line(&document, &format!("page 1 of {}", document.pages.len()));
}

#[test]
fn a_piece_that_fits_half_a_page_is_drawn_at_true_size_and_others_smaller() {
    // 6 5/16 in are 160.3 mm, with sizes and distances beside it more than the 184.85 mm that a page holds: 1:2. The label of 4 5/16 in is
    // 109.5 mm wide and 79.4 mm high.
    let document = lesson(&project(TRAY), &handed());
    let mut widths: Vec<(String, f64)> = Vec::new();
    for page in &document.pages {
        over_page(page, &mut |item| {
            let Item::Tagged { tag, inner } = item else {
                return;
            };
            if tag.kind == "piece-drawing" {
                let stroked_mm = filled(inner).unwrap().width();
                widths.push((tag.id.clone(), stroked_mm - 0.25 * 1.4));
            }
        });
    }
    let wanted = [
        ("tray", 101.0 / 16.0 * 25.4 / 2.0),
        ("label", 69.0 / 16.0 * 25.4),
    ];
    assert_eq!(widths.len(), 2);
    for ((id, found), (piece, width_mm)) in widths.iter().zip(wanted) {
        assert_eq!(id, piece);
        assert!((found - width_mm).abs() < 1e-6, "{id}: {found}");
    }
    assert_line(&document, "drawn 1:2, front up");
    assert_line(&document, "drawn 1:1, front up");
}

#[test]
fn all_text_has_11_points_or_more_and_lies_inside_letter_and_a4() {
    let document = lesson(&project(TRAY), &handed());
    assert!(document.pages.len() > 2);
    for page in &document.pages {
        over_page(page, &mut |item| {
            if let Item::Glyphs(run) = item {
                let em_mm = run.size_mm * run.matrix.determinant().abs().sqrt();
                assert!(em_mm >= 11.0 * 25.4 / 72.0, "{}", run.text);
            }
        });
    }
    assert_inside(&document);
}

#[test]
fn forty_steps_long_words_and_long_terms_stay_inside() {
    let mut project = project(TRAY);
    let word = "beetroot".repeat(40);
    project.lesson.title = format!("{word} {word}");
    project.lesson.by = Some(word.clone());
    project.lesson.terms = Some(format!("{word} ").repeat(20));
    project.lesson.about = Some("About beans. ".repeat(300));
    let mut handout = handed();
    handout.steps = (1..=40)
        .map(|n| step(n, &format!("Fold {word} in. ").repeat(3)))
        .collect();
    handout.pieces[0].scores = (1..=60)
        .map(|n| {
            let mut score = score(1, Edge::Left, i64::from(n), Fold::Valley);
            score.number = n;
            score
        })
        .collect();
    handout.tools.push(word.clone());
    handout.gluing[0].from = word;
    assert_inside(&lesson(&project, &handout));
    assert_inside(&kit(&project, &planned(&project), &handout).unwrap());
}

#[test]
fn a_round_hole_is_told_by_its_width_and_place() {
    let hole = "fold = \"valley\"\n[[piece.operation]]\nkind = \"hole\"\nat = \"1 in, 2 in\"\ndiameter = \"1/4 in\"\n";
    let project = project(&TRAY.replace("fold = \"valley\"\n", hole));
    let document = lesson(&project, &handed());
    assert_line(
        &document,
        "hole: 1/4 in across, its middle 1 in from the left and 2 in from the",
    );
}

#[test]
fn an_outline_is_named_by_its_page_and_a_stack_by_what_holds_it() {
    let mut handout = handed();
    handout.pieces[0].is_rectangle = false;
    handout.gluing[0].with = Some("Adhesive strip".to_owned());
    let document = lesson(&project(TRAY), &handout);
    assert_line(&document, "outer size; outline: templates.pdf, page 1");
    assert_line(
        &document,
        "glue the outside of tab-1 to the inside of left, with Adhesive strip",
    );
}

#[test]
fn the_price_is_told_with_how_it_is_made() {
    let mut project = project(TRAY);
    project.lesson.pricing = Some(Pricing {
        per_hour: euro(1200),
        overhead_percent: 15,
        multiple_hundredths: 250,
        origin: project.job.origin.clone(),
    });
    let document = lesson(&project, &handed());
    assert_line(
        &document,
        "price = (paper and other things + work + overhead) x 2.5;",
    );
}

#[test]
fn a_heading_stands_above_something() {
    let document = lesson(&project(TRAY), &handed());
    let titles = [
        "Cut list, for one",
        "Scoring list",
        "Layers",
        "Gluing order",
        "Steps",
        "Please mind",
        "Cost",
        "Check rule",
    ];
    for page in &document.pages {
        let contents = &page.layers[0].drawing;
        let low = |wanted: &dyn Fn(&str) -> bool| {
            let mut lowest = f64::NEG_INFINITY;
            over(contents, &mut |item| {
                if let Item::Glyphs(run) = item
                    && wanted(&run.text)
                {
                    lowest = lowest.max(run.matrix.as_coeffs()[5]);
                }
            });
            lowest
        };
        assert!(
            low(&|t| titles.contains(&t)) < low(&|t| !titles.contains(&t)),
            "{}",
            page.label
        );
    }
}

#[test]
fn a_kit_has_a_label_for_each_copy_and_none_is_for_a_single_one() {
    let many = project(TRAY);
    let document = kit(&many, &planned(&many), &handed()).unwrap();
    for number in [1, 24] {
        assert_line(&document, &format!("bag {number} of 24"));
    }
    assert_line(&document, "2 Tray Bark card");
    assert_line(&document, "2 x Tray, Bark card");
    assert_inside(&document);
    let one = project(&TRAY.replace("copies = 24", "copies = 1"));
    assert_eq!(kit(&one, &planned(&one), &handed()), None);
}

#[test]
fn the_same_values_give_the_same_pages() {
    let project = project(TRAY);
    assert_eq!(lesson(&project, &handed()), lesson(&project, &handed()));
}
