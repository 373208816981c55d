//! Generated patterns on pieces: laid as asked for, stored once, proved like any artwork.

use std::collections::BTreeMap;

use kurbo::{Affine, Rect};
use sheetwright::draw::{self, BookPaper};
use sheetwright::drawing::{AssetContent, AssetIndex, Drawing, Item, Paint};
use sheetwright::job;
use sheetwright::load::Options;
use sheetwright::pattern;
use sheetwright::project::{ArtworkFill, Project, Reads};

use crate::made::made_of;

const HEAD: &str = r##"
sheetwright = 1
[job]
name = "Swap morning"
copies = 24
cut_by = "machine"
bleed = "3 mm"
[[stock]]
id = "white"
format = "a4"
face_a = "printable"
[[piece]]
id = "label"
stock = "white"
shape = { kind = "rectangle", width = "60 mm", height = "40 mm" }
[[piece.artwork]]
pattern = "stripe"
colours = ["#ffffff", "#556b2f"]
"##;

fn read(keys: &str) -> Project {
    let text = format!("{HEAD}{keys}");
    let none = BTreeMap::<String, Vec<u8>>::new();
    let read = job::check("project.toml", &text, &none, &Options::default());
    read.unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value
}

/// The boxes of all that is filled in a picture, in the frame of the face, the ground first.
fn filled(project: &Project) -> Vec<Rect> {
    let ArtworkFill::Picture(picture) = &project.pieces[0].artwork[0].fill else {
        panic!("a pattern is a picture of its face");
    };
    let mut found = Vec::new();
    gather(project, picture.asset, picture.unit_to_face(), &mut found);
    found
}

fn gather(project: &Project, asset: AssetIndex, to_face: Affine, found: &mut Vec<Rect>) {
    let AssetContent::Vector(drawing) = &project.assets[asset.0].content else {
        panic!("a pattern is made of vector pictures");
    };
    walk(project, drawing, to_face, found);
}

fn walk(project: &Project, drawing: &Drawing, to_face: Affine, found: &mut Vec<Rect>) {
    for item in &drawing.items {
        match item {
            Item::Fill { path, .. } => {
                found.push(kurbo::Shape::bounding_box(&(to_face * path.clone())));
            }
            Item::Picture { asset, places } => {
                for place in places {
                    gather(project, *asset, to_face * *place, found);
                }
            }
            Item::Clip { inner, .. } => walk(project, inner, to_face, found),
            Item::Stroke { .. } | Item::Glyphs(_) | Item::Tagged { .. } => {
                panic!("patterns are fills")
            }
        }
    }
}

fn lefts(boxes: &[Rect]) -> Vec<f64> {
    boxes.iter().map(|b| (b.x0 * 1e6).round() / 1e6).collect()
}

/// By hand: stripes of 6 mm every 12, the middle of one at 30, the middle of the face: lefts at 27 + 12 n. The face with four times its bleed
/// reaches from -12 to 72, so the first begins at -9 (one that ends at -15 is out) and the last at 63.
#[test]
fn stripes_begin_in_the_middle_of_the_face() {
    let project = read("repeat = \"12 mm\"");
    let boxes = filled(&project);
    assert_eq!(boxes[0], Rect::new(-12.0, -12.0, 72.0, 52.0));
    assert_eq!(
        lefts(&boxes[1..]),
        [-9.0, 3.0, 15.0, 27.0, 39.0, 51.0, 63.0]
    );
    assert_eq!(project.pieces[0].artwork[0].reads, Reads::Stripe);
}

/// By hand: the stripe of this set comes again every 10 mm and is half of it wide; the middle of one lies at 30, so lefts are 27.5 + 10 n, the
/// first that reaches past -12 at -12.5, the last before 72 at 67.5.
#[test]
fn in_a_set_a_pattern_has_the_repeat_and_weight_of_the_set() {
    let project = read("set = \"potting-shed\"");
    let lefts = lefts(&filled(&project)[1..]);
    let by_hand: Vec<f64> = (-4..=4).map(|n| 27.5 + 10.0 * f64::from(n)).collect();
    assert_eq!(lefts, by_hand);
}

/// By hand: 60 mm hold 4.6 repeats of 13 mm; five of 12 mm fill them, the first stripe's middle at the left edge and the last one's at the
/// right edge, 6 mm wide less a thirteenth.
#[test]
fn a_repeat_comes_out_whole_from_corner_to_corner() {
    let project = read("repeat = \"13 mm\"\nstart = \"corner\"\nwhole_within = \"8 %\"");
    let boxes = filled(&project);
    let middles: Vec<f64> = boxes[1..].iter().map(|b| b.center().x.round()).collect();
    assert_eq!(middles, [-12.0, 0.0, 12.0, 24.0, 36.0, 48.0, 60.0, 72.0]);
    assert!(boxes[1..].iter().all(|b| (b.width() - 6.0).abs() < 1e-9));
}

/// By hand: shifted by 2 mm to the right from the left edge, stripes lie from -1 to 5, 11 to 17 and so on; in a mirror at the left edge the
/// first is seen again from -5 to 1.
#[test]
fn beyond_an_edge_the_pattern_is_seen_in_a_mirror() {
    let project = read(
        "repeat = \"12 mm\"\nstart = \"corner\"\noffset = \"2 mm, 0 mm\"\nmirror_at = [\"left\"]",
    );
    let boxes = filled(&project);
    let second_ground = boxes
        .iter()
        .skip(1)
        .position(|b| b.height() < 100.0)
        .unwrap()
        + 1;
    assert_eq!(boxes[second_ground], Rect::new(-12.0, -12.0, 0.0, 52.0));
    let mut mirrored = lefts(&boxes[second_ground + 1..]);
    mirrored.sort_by(f64::total_cmp);
    // Stripes from 11 to 17 and from -1 to 5, in the mirror.
    assert_eq!(mirrored, [-17.0, -5.0]);
}

/// What points up on a piece of paper turned clockwise by 90 degrees points right: stripes across.
#[test]
fn a_quarter_turn_lays_stripes_across() {
    let project = read("repeat = \"12 mm\"\nangle = \"90 deg\"");
    let boxes = filled(&project);
    assert!(
        boxes[1..]
            .iter()
            .all(|b| b.width() > 100.0 && (b.height() - 6.0).abs() < 1e-9)
    );
}

/// One picture of a stripe and one of the face, whatever the number of pieces and sheets; and the proof of the files holds.
#[test]
fn a_pattern_is_stored_once_and_proved_like_a_picture() {
    let project = read("repeat = \"2 mm\"");
    assert_eq!(project.assets.len(), 2);
    let made = made_of(&project);
    let pdf = lopdf::Document::load_mem(&made.files["print.pdf"]).unwrap();
    let forms = pdf.objects.values().filter(|object| {
        let stream = object.as_stream().ok();
        let subtype = stream.and_then(|s| s.dict.get(b"Subtype").ok()?.as_name().ok());
        subtype == Some(b"Form".as_slice())
    });
    assert_eq!(forms.count(), 2);
}

fn words_of(drawing: &Drawing, found: &mut String) {
    for item in &drawing.items {
        match item {
            Item::Glyphs(run) => {
                found.push_str(&run.text);
                found.push(' ');
            }
            Item::Clip { inner, .. } | Item::Tagged { inner, .. } => words_of(inner, found),
            Item::Fill { .. } | Item::Stroke { .. } | Item::Picture { .. } => {}
        }
    }
}

/// A4 is 210 x 297 mm (ISO 216), letter 215.9 x 279.4 mm; both books name all there is, and are the same whenever they are made.
#[test]
fn the_book_of_swatches_names_every_pattern_and_palette() {
    for (paper, size) in [
        (BookPaper::A4, (210.0, 297.0)),
        (BookPaper::Letter, (215.9, 279.4)),
    ] {
        let (book, assets) = draw::swatch_book(paper);
        let mut words = String::new();
        for page in &book.pages {
            assert!(
                (page.width_mm - size.0).abs() < 1e-9 && (page.height_mm - size.1).abs() < 1e-9
            );
            for layer in &page.layers {
                words_of(&layer.drawing, &mut words);
            }
        }
        for kind in pattern::KINDS {
            assert!(
                words.contains(&format!("\"{}\"", kind.name)),
                "{}",
                kind.name
            );
        }
        for palette in pattern::PALETTES {
            assert!(words.contains(palette.name), "{}", palette.name);
        }
        // Every pattern has a motif at least in each palette.
        assert!(assets.len() >= pattern::KINDS.len() * pattern::PALETTES.len());
    }
    let book = job::swatch_book(BookPaper::A4);
    assert_eq!(book, job::swatch_book(BookPaper::A4));
    let pdf = lopdf::Document::load_mem(&book["patterns.pdf"]).unwrap();
    assert_eq!(pdf.get_pages().len() + 1, book.len());
}

/// With a palette, colours may be named by what they are for; without colours a pattern takes the first ones.
#[test]
fn colours_come_from_a_palette_by_their_roles() {
    let palette = pattern::palette_named("damson").unwrap();
    let text = HEAD.replace(
        "colours = [\"#ffffff\", \"#556b2f\"]",
        "palette = \"damson\"\ncolours = [\"soft\", \"ink\"]",
    );
    let none = BTreeMap::<String, Vec<u8>>::new();
    let project = job::check("project.toml", &text, &none, &Options::default())
        .unwrap()
        .value;
    let mut paints = Vec::new();
    for asset in &project.assets {
        let AssetContent::Vector(drawing) = &asset.content else {
            panic!("a pattern is made of vector pictures");
        };
        let fills = drawing.items.iter().filter_map(|item| match item {
            Item::Fill { paint, .. } => Some(paint.clone()),
            Item::Picture { .. }
            | Item::Clip { .. }
            | Item::Stroke { .. }
            | Item::Glyphs(_)
            | Item::Tagged { .. } => None,
        });
        paints.extend(fills);
    }
    assert!(paints.contains(&Paint::flat(palette.soft)));
    assert!(paints.contains(&Paint::flat(palette.ink)));
}
