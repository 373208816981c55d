//! Where pictures come to lie that fill a face, are cropped, mirrored, or go on beyond their end. All places are worked out by hand.

use std::collections::BTreeMap;
use std::io::Cursor;

use image::{ImageFormat, Rgb, RgbImage};
use kurbo::{Affine, Point, Rect};
use sheetwright::drawing::{AssetContent, AssetIndex, Drawing, Item};
use sheetwright::load::{Options, project};
use sheetwright::project::{ArtworkFill, PictureBox, Project};

/// 300 x 100 pixels: red rises from left to right, green from top to bottom.
fn bulbs() -> RgbImage {
    RgbImage::from_fn(300, 100, |x, y| {
        Rgb([
            u8::try_from(x * 255 / 299).unwrap(),
            u8::try_from(y * 255 / 99).unwrap(),
            9,
        ])
    })
}

/// A project of one card, 60 x 40 mm with 3 mm of bleed, with this artwork and what stands behind it.
fn read(artwork: &str) -> Project {
    read_of("kind = \"rectangle\", size = \"60 x 40 mm\"", artwork)
}

/// The same of another shape.
fn read_of(shape: &str, artwork: &str) -> Project {
    let mut png = Cursor::new(Vec::new());
    bulbs().write_to(&mut png, ImageFormat::Png).unwrap();
    let files = BTreeMap::from([("bulbs.png".to_owned(), png.into_inner())]);
    let text = format!(
        r#"
sheetwright = 1
[job]
name = "Swap morning"
cut_by = "machine"
bleed = "3 mm"
[[edition]]
id = "plain"
copies = 1
[[stock]]
id = "white"
format = "a4"
face_a = "printable"
face_b = "printable"
[[piece]]
id = "card"
stock = "white"
shape = {{ {shape} }}
[[piece.artwork]]
file = "bulbs.png"
{artwork}
"#
    );
    let read = project("project.toml", &text, &files, &Options::default());
    read.unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value
}

fn placed(fill: &ArtworkFill) -> &PictureBox {
    match fill {
        ArtworkFill::Picture(picture) | ArtworkFill::Repeat(picture) => picture,
        ArtworkFill::Flat(_) | ArtworkFill::Each(_) => panic!("a picture was declared"),
    }
}

/// Every picture of pixels that is seen, in the order of painting, with the way from its unit square to the face and the box it is seen in.
fn seen(project: &Project, fill: &ArtworkFill) -> Vec<(AssetIndex, Affine, Rect)> {
    let picture = placed(fill);
    let everywhere = Rect::new(-1e6, -1e6, 1e6, 1e6);
    let mut found = Vec::new();
    walk(
        project,
        picture.asset,
        picture.unit_to_face(),
        everywhere,
        &mut found,
    );
    found
}

fn walk(
    project: &Project,
    asset: AssetIndex,
    to_face: Affine,
    clip: Rect,
    found: &mut Vec<(AssetIndex, Affine, Rect)>,
) {
    match &project.assets[asset.0].content {
        AssetContent::Png { .. } | AssetContent::Jpeg { .. } => {
            let own = to_face.transform_rect_bbox(Rect::new(0.0, 0.0, 1.0, 1.0));
            found.push((asset, to_face, own.intersect(clip)));
        }
        AssetContent::Vector(drawing) => walk_drawing(project, drawing, to_face, clip, found),
    }
}

fn walk_drawing(
    project: &Project,
    drawing: &Drawing,
    to_face: Affine,
    clip: Rect,
    found: &mut Vec<(AssetIndex, Affine, Rect)>,
) {
    for item in &drawing.items {
        match item {
            Item::Picture { asset, places } => {
                for place in places {
                    walk(project, *asset, to_face * *place, clip, found);
                }
            }
            Item::Clip { path, inner, .. } => {
                let inside = kurbo::Shape::bounding_box(&(to_face * path.clone()));
                walk_drawing(project, inner, to_face, clip.intersect(inside), found);
            }
            Item::Tagged { .. } | Item::Fill { .. } | Item::Stroke { .. } | Item::Glyphs(_) => {
                panic!("{item:?}")
            }
        }
    }
}

/// The pixels across that are seen at a point of the face, as a share from 0 to 1 of the picture's width and height.
fn at(found: &[(AssetIndex, Affine, Rect)], x: f64, y: f64) -> Option<(usize, Point)> {
    let here = Point::new(x, y);
    let top = found
        .iter()
        .rev()
        .find(|(_, _, seen)| seen.contains(here))?;
    Some((top.0.0, top.1.inverse() * here))
}

#[track_caller]
fn assert_near(found: Rect, wanted: Rect) {
    let off = [
        found.x0 - wanted.x0,
        found.y0 - wanted.y0,
        found.x1 - wanted.x1,
        found.y1 - wanted.y1,
    ];
    // A nanometre, to which sizes are kept.
    assert!(
        off.iter().all(|off| off.abs() < 1.1e-6),
        "{found:?} {wanted:?}"
    );
}

fn only(project: &Project) -> (Affine, Rect) {
    let found = seen(project, &project.pieces[0].artwork[0].fill);
    assert_eq!(found.len(), 1);
    (found[0].1, found[0].2)
}

#[test]
fn a_picture_that_fills_covers_face_and_bleed_and_keeps_its_focus_in_view() {
    // 66 x 46 mm by a picture of 3 to 1: 138 x 46 mm, 36 over at either side.
    let (_, seen) = only(&read("fit = \"fill\""));
    assert_near(seen, Rect::new(-39.0, -3.0, 99.0, 43.0));
    // A focus a third from the left lies 46 mm from it: the middle of the face is at 30, so it starts at -16.
    let (_, seen) = only(&read("fit = \"fill\"\nfocus = \"33 %, 50 %\""));
    assert_near(
        seen,
        Rect::new(30.0 - 0.33 * 138.0, -3.0, 168.0 - 0.33 * 138.0, 43.0),
    );
    // At its right end nothing is left to show.
    let (_, seen) = only(&read("fit = \"fill\"\nfocus = \"100 %, 0 %\""));
    assert_near(seen, Rect::new(-75.0, -3.0, 63.0, 43.0));
    // On its side, 1 to 3: 66 x 198 mm. What is at the left of the picture is up then, and in focus.
    let (_, seen) = only(&read(
        "fit = \"fill\"\nturn = \"90 deg\"\nfocus = \"0 %, 50 %\"",
    ));
    assert_near(seen, Rect::new(-3.0, -3.0, 63.0, 195.0));
}

#[test]
fn a_whole_picture_lies_in_the_middle_of_the_face() {
    let (_, seen) = only(&read("fit = \"whole\""));
    assert_near(seen, Rect::new(0.0, 10.0, 60.0, 30.0));
    let (_, seen) = only(&read("fit = \"whole\"\nturn = \"270 deg\""));
    assert_near(
        seen,
        Rect::new(30.0 - 20.0 / 3.0, 0.0, 30.0 + 20.0 / 3.0, 40.0),
    );
}

#[test]
fn a_cropped_picture_has_the_width_that_is_typed() {
    // Half of 3 to 1 across and half down are 3 to 1 again: 30 x 10 mm at 5, 6; the whole would be 60 x 20 from 5 - 12 and 6.
    let card = read(
        "width = \"30 mm\"\nat = \"5 mm, 6 mm\"\ncrop = { left = \"20 %\", right = \"30 %\", bottom = \"50 %\" }",
    );
    let (to_face, seen) = only(&card);
    assert_near(seen, Rect::new(5.0, 6.0, 35.0, 16.0));
    assert_near(
        to_face.transform_rect_bbox(Rect::new(0.0, 0.0, 1.0, 1.0)),
        Rect::new(-7.0, 6.0, 53.0, 26.0),
    );
    // Pixels to the inch are those of the whole: 300 on 60 mm.
    let picture = placed(&card.pieces[0].artwork[0].fill);
    let per_inch =
        sheetwright::drawing::pixels_per_inch(&card.assets, picture.asset, picture.unit_to_face());
    assert!((per_inch.unwrap() - 300.0 / 60.0 * 25.4).abs() < 1e-6);
}

#[test]
fn a_mirrored_picture_has_its_left_at_the_right() {
    let card = read(
        "width = \"30 mm\"\nat = \"5 mm, 6 mm\"\nmirror = \"left-right\"\ncrop = { left = \"50 %\" }",
    );
    let (to_face, seen) = only(&card);
    // The right half, 3 to 2: 30 x 20 mm, and its own right end is at the left.
    assert_near(seen, Rect::new(5.0, 6.0, 35.0, 26.0));
    let end = to_face * Point::new(1.0, 0.0);
    assert!((end - Point::new(5.0, 6.0)).hypot2() < 1e-12);
    // A repeated one repeats what is left.
    let tiled = read("width = \"30 mm\"\nrepeat = true\ncrop = { left = \"50 %\" }");
    let box_ = placed(&tiled.pieces[0].artwork[0].fill);
    assert_eq!((box_.width.to_mm(), box_.height.to_mm()), (30.0, 20.0));
}

#[test]
fn beyond_its_end_a_picture_is_seen_in_mirrors() {
    // 36 x 12 mm in the middle of 60 x 40: from 12, 14 to 48, 26, and the bleed ends 3 mm beyond the face.
    let card = read("width = \"36 mm\"\nedge = \"mirror\"");
    let found = seen(&card, &card.pieces[0].artwork[0].fill);
    let main = found.last().unwrap();
    assert_near(main.2, Rect::new(12.0, 14.0, 48.0, 26.0));
    for (beyond, inside) in [
        // As far to the left of the end as to the right of it.
        (Point::new(5.0, 20.0), Point::new(19.0, 20.0)),
        (Point::new(61.0, 20.0), Point::new(35.0, 20.0)),
        // Beyond a corner, in both mirrors.
        (Point::new(-2.9, 10.0), Point::new(26.9, 18.0)),
        // In the mirror of the mirror: 13 up from the upper end is 1 down from the lower end, which is 1 up from the top of the picture's copy.
        (Point::new(30.0, 1.0), Point::new(30.0, 25.0)),
        (Point::new(30.0, -2.0), Point::new(30.0, 22.0)),
    ] {
        let (_, mirrored) =
            at(&found, beyond.x, beyond.y).expect("something is seen up to the end of the bleed");
        let wanted = main.1.inverse() * inside;
        let off = main.1 * mirrored - inside;
        // Each copy reaches a fiftieth of a millimetre under the next.
        assert!(
            off.x.abs() < 0.045 && off.y.abs() < 0.045,
            "{beyond}: {mirrored} {wanted}"
        );
    }
    // No paper shows anywhere up to the bleed's outer outline, along the seams neither.
    for i in 0..=660 {
        for y in [-2.999, 2.0, 13.99, 14.0, 20.0, 26.0, 26.01, 42.999] {
            let x = -2.999 + f64::from(i) * 0.09997;
            assert!(at(&found, x, y).is_some(), "{x} {y}");
        }
    }
}

#[test]
fn beyond_its_end_the_last_pixels_of_a_picture_are_stretched() {
    // Cropped to the right half and mirrored, it ends at the right with pixels 150 to 299 from left to right.
    let card = read(
        "width = \"36 mm\"\nedge = \"stretch\"\ncrop = { left = \"50 %\" }\nmirror = \"left-right\"",
    );
    let found = seen(&card, &card.pieces[0].artwork[0].fill);
    // 3 to 2: 36 x 24 mm from 12, 8 to 48, 32. The picture itself is painted last.
    assert_near(found.last().unwrap().2, Rect::new(12.0, 8.0, 48.0, 32.0));
    let colour = |x: f64, y: f64| {
        let (asset, place) =
            at(&found, x, y).expect("something is seen up to the end of the bleed");
        let AssetContent::Png {
            bytes,
            width_px,
            height_px,
        } = &card.assets[asset].content
        else {
            panic!("pixels");
        };
        let picture = image::load_from_memory(bytes).unwrap().into_rgb8();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a pixel of the picture"
        )]
        let pixel = |share: f64, pixels: u32| ((share * f64::from(pixels)) as u32).min(pixels - 1);
        picture
            .get_pixel(pixel(place.x, *width_px), pixel(place.y, *height_px))
            .0
    };
    let file = bulbs();
    // The left end is the file's last column, the right end the one after its middle; 12.1 of 24 mm down is row 50.
    assert_eq!(colour(-2.9, 20.1), file.get_pixel(299, 50).0);
    assert_eq!(colour(62.9, 20.1), file.get_pixel(150, 50).0);
    // Above, 30 mm is the middle of the right half, which is column 225 (or the one before it, at the border of two).
    assert!(
        [224, 225]
            .map(|x| file.get_pixel(x, 0).0)
            .contains(&colour(30.0, -2.9))
    );
    assert!(
        [224, 225]
            .map(|x| file.get_pixel(x, 99).0)
            .contains(&colour(30.0, 42.9))
    );
    // Corners have the colour of the corner.
    assert_eq!(colour(-2.0, -2.0), file.get_pixel(299, 0).0);
    assert_eq!(colour(61.0, 42.0), file.get_pixel(150, 99).0);
}

#[test]
fn with_an_edge_a_picture_fills_the_face_alone() {
    let card = read("fit = \"fill\"\nedge = \"mirror\"");
    let found = seen(&card, &card.pieces[0].artwork[0].fill);
    // 60 x 40 by 120 x 40, 30 over at either side; what is over is there already, above and below a mirror is needed.
    let main = found.last().unwrap();
    assert_near(
        main.1.transform_rect_bbox(Rect::new(0.0, 0.0, 1.0, 1.0)),
        Rect::new(-30.0, 0.0, 90.0, 40.0),
    );
    let (_, above) = at(&found, 30.0, -2.0).unwrap();
    assert!((above.y - 0.05).abs() < 0.001, "{above}");
}

#[test]
fn the_corners_of_a_sharp_piece_are_filled_too() {
    // A right angle standing on its point: the mitre of 3 mm of bleed reaches 3 times the square root of 2 beyond it.
    let kite = read_of(
        "kind = \"path\", data = \"M 30 0 L 60 30 L 30 60 L 0 30 Z\", unit = \"mm\"",
        "fit = \"fill\"",
    );
    let beyond = 3.0 * std::f64::consts::SQRT_2;
    let found = seen(&kite, &kite.pieces[0].artwork[0].fill);
    let box_ = found[0]
        .1
        .transform_rect_bbox(Rect::new(0.0, 0.0, 1.0, 1.0));
    assert!(
        (box_.y0 + beyond).abs() < 1e-5 && (box_.y1 - 60.0 - beyond).abs() < 1e-5,
        "{box_:?}"
    );
}

#[test]
fn an_edition_changes_what_it_names_and_keeps_the_rest() {
    let job = read(
        r#"fit = "fill"
crop = { left = "50 %" }
[[edition]]
id = "whole"
copies = 1
[[edition.artwork]]
piece = "card"
artwork = 1
fit = "whole"
[[edition]]
id = "small"
copies = 1
[[edition.artwork]]
piece = "card"
artwork = 1
width = "30 mm"
mirror = "top-bottom""#,
    );
    let swap = |edition: usize| &job.editions[edition].artwork_swaps[0].instead.fill;
    // The right half is 3 to 2, as the face is.
    let found = seen(&job, swap(1));
    assert_near(found[0].2, Rect::new(0.0, 0.0, 60.0, 40.0));
    let found = seen(&job, swap(2));
    assert_near(found[0].2, Rect::new(15.0, 10.0, 45.0, 30.0));
    // The top of the file is at the bottom.
    assert!((found[0].1 * Point::new(1.0, 0.0) - Point::new(45.0, 30.0)).hypot2() < 1e-12);
}
