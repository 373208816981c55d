use std::collections::BTreeSet;

use kurbo::{Affine, Rect, Shape};
use sheetwright::draw::page::{Duplex, Page, PageLayer, ProcessStep};
use sheetwright::drawing::{Drawing, Item, Tag};
use sheetwright::project::{Face, TurnOver};
use sheetwright::{draw, emit};

use crate::drawing_sample::{LETTER_MM, plan, project};

/// All tags of a drawing, outer before inner.
fn tags(drawing: &Drawing) -> Vec<Tag> {
    let mut found = Vec::new();
    for item in &drawing.items {
        match item {
            Item::Tagged { tag, inner } => {
                found.push(tag.clone());
                found.extend(tags(inner));
            }
            Item::Clip { inner, .. } => found.extend(tags(inner)),
            Item::Fill { .. } | Item::Stroke { .. } | Item::Picture { .. } | Item::Glyphs(_) => {}
        }
    }
    found
}

fn layer<'a>(page: &'a Page, name: &str) -> &'a PageLayer {
    page.layers.iter().find(|l| l.name == name).unwrap()
}

fn names(page: &Page) -> Vec<&str> {
    page.layers.iter().map(|l| l.name).collect()
}

fn words(drawing: &Drawing) -> String {
    let mut found = String::new();
    for item in &drawing.items {
        match item {
            Item::Glyphs(run) => found.push_str(&format!("{}\n", run.text)),
            Item::Tagged { inner, .. } | Item::Clip { inner, .. } => found.push_str(&words(inner)),
            Item::Fill { .. } | Item::Stroke { .. } | Item::Picture { .. } => {}
        }
    }
    found
}

fn strokes(drawing: &Drawing) -> usize {
    drawing
        .items
        .iter()
        .map(|item| match item {
            Item::Stroke { .. } => 1,
            Item::Tagged { inner, .. } | Item::Clip { inner, .. } => strokes(inner),
            Item::Fill { .. } | Item::Picture { .. } | Item::Glyphs(_) => 0,
        })
        .sum()
}

#[test]
fn a_printed_face_is_a_page_of_the_sheets_size_with_its_layers() {
    let document = draw::print_document(&project(), &plan());
    let [front, back] = &document.pages[..] else {
        panic!("two pages")
    };
    assert_eq!(names(front), ["Artwork", "Marks", "Ticks", "Caption"]);
    assert_eq!(names(back), ["Artwork", "Ticks", "Caption"]);
    for page in [front, back] {
        assert!(
            (page.width_mm - LETTER_MM.0).abs() < 1e-12
                && (page.height_mm - LETTER_MM.1).abs() < 1e-12
        );
    }
    let ids: Vec<String> = tags(&layer(front, "Artwork").drawing)
        .into_iter()
        .map(|t| format!("{} {}", t.kind, t.id))
        .collect();
    let [one, two] = ["artwork packet/body#1", "artwork packet/body#2"];
    assert_eq!(ids, [one, one, two, two]);
    assert_eq!(tags(&layer(back, "Artwork").drawing).len(), 2);
}

#[test]
fn a_back_page_mirrors_what_belongs_to_the_sheet_but_not_its_caption() {
    let document = draw::print_document(&project(), &plan());
    let back = &document.pages[1];
    // x' = 215.9 - x.
    let mirror = Affine::new([-1.0, 0.0, 0.0, 1.0, 215.9, 0.0]);
    for name in ["Artwork", "Ticks"] {
        let found = layer(back, name).matrix.as_coeffs();
        assert!(
            found
                .iter()
                .zip(mirror.as_coeffs())
                .all(|(a, b)| (a - b).abs() < 1e-9),
            "{name}: {found:?}"
        );
    }
    assert_eq!(layer(back, "Caption").matrix, Affine::IDENTITY);
}

#[test]
fn printed_artwork_carries_no_cut_line() {
    let mut project = project();
    for page in draw::print_document(&project, &plan()).pages {
        assert_eq!(strokes(&layer(&page, "Artwork").drawing), 0);
        assert!(!names(&page).contains(&"Hand lines"));
    }
    project.job.hand_lines = true;
    let document = draw::print_document(&project, &plan());
    let lines = &layer(&document.pages[0], "Hand lines").drawing.items;
    assert_eq!(lines.len(), 7);
    for line in lines {
        let Item::Stroke { stroke, .. } = line else {
            panic!("{line:?}")
        };
        assert!((stroke.width_mm - 0.1).abs() < 1e-12);
    }
    assert!(
        !names(&document.pages[1]).contains(&"Hand lines"),
        "once, on the front"
    );
}

#[test]
fn a_caption_says_what_the_page_is_and_how_to_print_it() {
    let document = draw::print_document(&project(), &plan());
    let front = words(&layer(&document.pages[0], "Caption").drawing);
    for phrase in [
        "Plant-swap morning",
        "oat card",
        "sheet 1 of 1",
        "front",
        "print at 100 %",
        "print this page 3 times",
        "left to right for page 2",
    ] {
        assert!(front.contains(phrase), "{phrase} in {front}");
    }
    assert!(front.contains("100 mm") && front.contains("4 in"));
    assert!(words(&layer(&document.pages[1], "Caption").drawing).contains("back of page 1"));
    let kinds: Vec<&str> = tags(&layer(&document.pages[0], "Caption").drawing)
        .iter()
        .map(|t| t.kind)
        .collect();
    assert_eq!(kinds, ["caption", "rule"]);
}

#[test]
fn a_long_job_name_is_shortened_inside_the_band() {
    let mut project = project();
    project.job.name = "Plant-swap morning of the garden club, second edition with bulbs, herbs and all vegetables".into();
    let document = draw::print_document(&project, &plan());
    let text = words(&layer(&document.pages[0], "Caption").drawing);
    assert!(
        text.starts_with("Plant-swap morning") && text.lines().next().unwrap().ends_with('…'),
        "{text}"
    );
    assert!(text.contains("print at 100 %"));
}

#[test]
fn turning_left_to_right_is_about_the_long_edge_of_an_upright_sheet() {
    let (mut project, mut plan) = (project(), plan());
    let duplex = |project: &_, plan: &_| draw::print_document(project, plan).duplex;
    assert_eq!(duplex(&project, &plan), Duplex::LongEdge);
    project.job.turn_over = TurnOver::TopBottom;
    assert_eq!(duplex(&project, &plan), Duplex::ShortEdge);
    (plan.sheets[0].width_mm, plan.sheets[0].height_mm) = (279.4, 215.9);
    assert_eq!(duplex(&project, &plan), Duplex::LongEdge);
    project.job.turn_over = TurnOver::LeftRight;
    assert_eq!(duplex(&project, &plan), Duplex::ShortEdge);
    plan.sheets[0].prints[0].back = None;
    assert_eq!(duplex(&project, &plan), Duplex::Simplex);
}

#[test]
fn marks_are_printed_on_the_face_that_lies_up_on_the_cutter() {
    let mut plan = plan();
    plan.sheets[0].cut.as_mut().unwrap().face_up = Face::Back;
    let document = draw::print_document(&project(), &plan);
    assert!(!names(&document.pages[0]).contains(&"Marks"));
    let ids: Vec<String> = tags(&layer(&document.pages[1], "Marks").drawing)
        .into_iter()
        .map(|t| t.id)
        .collect();
    assert_eq!(ids, ["m1", "m2", "m3", "m4", "m5", "m6"]);
}

#[test]
fn a_proof_shows_every_operation_once_on_the_layer_of_its_step() {
    let (project, plan) = (project(), plan());
    let document = draw::proof_document(&project, &plan);
    let [page] = &document.pages[..] else {
        panic!("one page")
    };
    // Types after ISO 19593-1, group Structural, as listed in the open PDF model: a valley is pressed from the front.
    let steps = [
        ("Line", None, "line"),
        ("Creasing", Some(ProcessStep::Creasing), "crease"),
        (
            "Reverse creasing",
            Some(ProcessStep::ReverseCreasing),
            "crease",
        ),
        ("Perforating", Some(ProcessStep::Perforating), "perforation"),
        (
            "Partial cutting",
            Some(ProcessStep::PartialCutting),
            "partial-cut",
        ),
        ("Punching", Some(ProcessStep::Punching), "hole"),
        ("Cutting", Some(ProcessStep::Cutting), "cut"),
    ];
    let mut found = BTreeSet::new();
    for (name, step, kind) in steps {
        let layer = layer(page, name);
        assert_eq!(layer.step, step);
        for tag in tags(&layer.drawing) {
            assert_eq!(tag.kind, kind);
            assert!(found.insert(tag.id.clone()), "{} twice", tag.id);
        }
    }
    let planned: BTreeSet<String> = plan.sheets[0]
        .placements
        .iter()
        .flat_map(|p| &p.operations)
        .map(|o| o.id.clone())
        .collect();
    assert_eq!(found, planned);
    assert_eq!(layer(page, "Bleed").step, Some(ProcessStep::Bleed));
    assert_eq!(layer(page, "Bleed").drawing.items.len(), 4);
    let valleys: Vec<String> = tags(&layer(page, "Creasing").drawing)
        .into_iter()
        .map(|t| t.id)
        .collect();
    assert_eq!(
        valleys,
        [
            "packet/body#1.crease-1",
            "packet/body#2.crease-1",
            "band#1.crease-1"
        ]
    );
}

#[test]
fn a_proof_names_its_pieces_and_its_lines() {
    let document = draw::proof_document(&project(), &plan());
    let names = words(&layer(&document.pages[0], "Names").drawing);
    assert_eq!(names.lines().count(), 7);
    assert!(names.contains(" #2") && names.contains("#4"), "{names}");
    let caption = words(&layer(&document.pages[0], "Caption").drawing);
    for kind in [
        "cut",
        "hole",
        "partial cut",
        "perforation",
        "valley crease",
        "mountain crease",
        "drawn line",
    ] {
        assert!(caption.lines().any(|l| l == kind), "{kind} in {caption}");
    }
}

#[test]
fn a_proof_without_a_planned_caption_puts_one_where_no_piece_lies() {
    let mut plan = plan();
    plan.sheets[0].caption = None;
    // As on a sheet that is only cut: all of it is usable.
    plan.sheets[0].usable = Rect::new(0.0, 0.0, LETTER_MM.0, LETTER_MM.1);
    let document = draw::proof_document(&project(), &plan);
    let mut lowest_mm: f64 = 0.0;
    for operation in plan.sheets[0].placements.iter().flat_map(|p| &p.operations) {
        lowest_mm = lowest_mm.max(operation.path.bounding_box().y1);
    }
    let Item::Tagged { inner, .. } = &layer(&document.pages[0], "Caption").drawing.items[0] else {
        panic!()
    };
    for item in &inner.items {
        let Item::Glyphs(run) = item else {
            panic!("{item:?}")
        };
        let baseline_mm = run.matrix.as_coeffs()[5];
        assert!(
            baseline_mm - run.size_mm > lowest_mm && baseline_mm < LETTER_MM.1 - 6.35,
            "{baseline_mm}"
        );
    }
}

#[test]
fn pictures_have_the_proportions_of_the_sheet() {
    // 110 px to the inch: 8.5 x 110 = 935, 11 x 110 = 1210.
    let (project, plan) = (project(), plan());
    let pictures = draw::pictures(&project, &plan);
    let names: Vec<&str> = pictures.iter().map(|(name, _)| name.as_str()).collect();
    assert_eq!(names, ["sheet-01.png", "sheet-01-back.png"]);
    for (_, page) in &pictures {
        let file = emit::png::write(page, &project.assets, 110.0);
        let picture = image::load_from_memory(&file).unwrap().into_rgb8();
        assert_eq!(picture.dimensions(), (935, 1210));
    }
}

#[test]
fn a_picture_shows_artwork_bright_and_bleed_pale() {
    let (project, plan) = (project(), plan());
    let (_, page) = &draw::pictures(&project, &plan)[0];
    let picture = image::load_from_memory(&emit::png::write(page, &project.assets, 254.0))
        .unwrap()
        .into_rgb8();
    // Ten pixels to the millimetre. The packet's outline starts at (26, 27); its bleed runs 2 mm further.
    let inside = picture.get_pixel(300, 1000).0;
    assert_eq!(inside, [0xcf, 0xe0, 0xb4]);
    let bleed = picture.get_pixel(250, 1000).0;
    let paper = picture.get_pixel(230, 1000).0;
    for channel in 0..3 {
        // 65 % paper over 35 % artwork.
        let want = 0.35 * f64::from(inside[channel]) + 0.65 * f64::from(paper[channel]);
        assert!(
            (f64::from(bleed[channel]) - want).abs() <= 1.5,
            "{bleed:?} {paper:?}"
        );
    }
    let unprinted = picture.get_pixel(1000, 1500).0;
    assert!(unprinted != paper, "a label has a tint of its own");
}

#[test]
fn the_same_plan_gives_the_same_drawings_and_files() {
    let (project, plan) = (project(), plan());
    assert_eq!(
        draw::print_document(&project, &plan),
        draw::print_document(&project, &plan)
    );
    assert_eq!(
        draw::proof_document(&project, &plan),
        draw::proof_document(&project, &plan)
    );
    let write = || {
        let (_, page) = &draw::pictures(&project, &plan)[0];
        emit::png::write(page, &project.assets, 60.0)
    };
    assert_eq!(write(), write());
}
