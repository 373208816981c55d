use image::{ImageFormat, Rgb, RgbImage};
use kurbo::{Affine, BezPath, Point, Rect, Shape};

use super::write;
use crate::draw::page::{Page, PageLayer};
use crate::drawing::{
    Asset, AssetContent, AssetIndex, Colour, Drawing, FillRule, Gradient, GradientStop, Item,
    Paint, Stroke,
};
use crate::font::{self, Face};

/// Ten pixels to the millimetre.
const DPI: f64 = 254.0;

const RUST: Colour = Colour::rgb(160, 90, 40);
const WHITE: Rgb<u8> = Rgb([255, 255, 255]);

fn page(items: Vec<Item>) -> Page {
    let layer = PageLayer {
        name: "Artwork",
        step: None,
        matrix: Affine::IDENTITY,
        drawing: Drawing { items },
    };
    Page {
        label: "test".into(),
        width_mm: 30.0,
        height_mm: 20.0,
        layers: vec![layer],
    }
}

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> BezPath {
    Rect::new(x0, y0, x1, y1).to_path(0.1)
}

fn fill(path: BezPath, paint: Paint) -> Item {
    Item::Fill {
        path,
        rule: FillRule::NonZero,
        paint,
    }
}

fn painted(items: Vec<Item>, assets: &[Asset]) -> RgbImage {
    let file = write(&page(items), assets, DPI);
    image::load_from_memory_with_format(&file, ImageFormat::Png)
        .unwrap()
        .into_rgb8()
}

fn rust() -> Rgb<u8> {
    Rgb([RUST.red, RUST.green, RUST.blue])
}

#[test]
fn a_rectangle_ends_at_the_pixel_its_millimetres_say() {
    // 10 px/mm: x from 10 to 20.5 mm is pixels 100 to 204, y from 5 to 8 mm is 50 to 79.
    let picture = painted(
        vec![fill(rectangle(10.0, 5.0, 20.5, 8.0), Paint::flat(RUST))],
        &[],
    );
    assert_eq!(picture.dimensions(), (300, 200));
    for (x, y, inside) in [
        (99, 60, false),
        (100, 60, true),
        (204, 60, true),
        (205, 60, false),
        (150, 49, false),
        (150, 50, true),
        (150, 79, true),
        (150, 80, false),
    ] {
        let want = if inside { rust() } else { WHITE };
        assert_eq!(*picture.get_pixel(x, y), want, "at {x}, {y}");
    }
}

#[test]
fn the_file_states_its_resolution() {
    // 254 dpi = 10 px/mm = 10 000 px/m (PNG specification, pHYs: pixels per metre, unit 1).
    let file = write(&page(vec![]), &[], DPI);
    let reader = png::Decoder::new(std::io::Cursor::new(file))
        .read_info()
        .unwrap();
    let dims = reader.info().pixel_dims.unwrap();
    assert_eq!(
        (dims.xppu, dims.yppu, dims.unit),
        (10_000, 10_000, png::Unit::Meter)
    );
}

#[test]
fn a_layer_is_seen_through_its_matrix() {
    // Mirrored about the middle of a 30 mm page, 10..20.5 becomes 9.5..20.
    let mut mirrored = page(vec![fill(
        rectangle(10.0, 5.0, 20.5, 8.0),
        Paint::flat(RUST),
    )]);
    mirrored.layers[0].matrix = Affine::new([-1.0, 0.0, 0.0, 1.0, 30.0, 0.0]);
    let file = write(&mirrored, &[], DPI);
    let picture = image::load_from_memory(&file).unwrap().into_rgb8();
    for (x, inside) in [(94, false), (95, true), (199, true), (200, false)] {
        assert_eq!(*picture.get_pixel(x, 60) == rust(), inside, "at {x}");
    }
}

#[test]
fn nested_clips_leave_what_is_inside_both() {
    let all = Drawing {
        items: vec![fill(rectangle(0.0, 0.0, 30.0, 20.0), Paint::flat(RUST))],
    };
    let clip = |path, inner| Item::Clip {
        path,
        rule: FillRule::NonZero,
        inner,
    };
    let inner = Drawing {
        items: vec![clip(rectangle(10.0, 0.0, 30.0, 20.0), all)],
    };
    let picture = painted(vec![clip(rectangle(0.0, 0.0, 15.0, 10.0), inner)], &[]);
    for (x, y, inside) in [
        (99, 50, false),
        (100, 50, true),
        (149, 99, true),
        (150, 50, false),
        (120, 100, false),
    ] {
        assert_eq!(*picture.get_pixel(x, y) == rust(), inside, "at {x}, {y}");
    }
}

#[test]
fn a_dashed_line_has_its_gaps() {
    let mut line = BezPath::new();
    line.move_to((0.0, 10.0));
    line.line_to((30.0, 10.0));
    let stroke = Stroke {
        dash_mm: vec![4.0, 2.0],
        ..Stroke::solid(1.0)
    };
    let picture = painted(
        vec![Item::Stroke {
            path: line,
            stroke,
            paint: Paint::flat(RUST),
        }],
        &[],
    );
    for (x, inside) in [(20, true), (50, false), (80, true), (110, false)] {
        assert_eq!(*picture.get_pixel(x, 100) == rust(), inside, "at {x}");
    }
    assert_eq!(*picture.get_pixel(20, 94), WHITE);
    assert_eq!(*picture.get_pixel(20, 105), WHITE);
}

#[test]
fn gradients_run_between_their_points() {
    let stop = |offset, grey| GradientStop {
        offset,
        colour: Colour::rgb(grey, grey, grey),
    };
    let gradient = Gradient {
        stops: vec![stop(0.0, 0), stop(1.0, 200)],
        matrix: Affine::IDENTITY,
    };
    let linear = Paint::Linear {
        from: Point::new(0.0, 0.0),
        to: Point::new(20.0, 0.0),
        gradient: gradient.clone(),
    };
    let picture = painted(vec![fill(rectangle(0.0, 0.0, 30.0, 20.0), linear)], &[]);
    // Half way (x = 10 mm) half of 200; the end colour goes on beyond 20 mm.
    for (x, want) in [(0, 0_i32), (100, 100), (200, 200), (290, 200)] {
        let grey = i32::from(picture.get_pixel(x, 10).0[0]);
        assert!((grey - want).abs() <= 2, "{grey} at {x}");
    }
    let (focus, centre) = (Point::new(10.0, 10.0), Point::new(10.0, 10.0));
    let radial = Paint::Radial {
        focus,
        centre,
        radius: 8.0,
        gradient,
    };
    let picture = painted(vec![fill(rectangle(0.0, 0.0, 30.0, 20.0), radial)], &[]);
    for (x, want) in [(100, 0_i32), (140, 100), (180, 200), (280, 200)] {
        let grey = i32::from(picture.get_pixel(x, 100).0[0]);
        assert!((grey - want).abs() <= 3, "{grey} at {x}");
    }
}

/// Left half black, right half light grey.
fn halves(width_px: u32, height_px: u32) -> RgbImage {
    RgbImage::from_fn(width_px, height_px, |x, _| {
        if x < width_px / 2 {
            Rgb([0, 0, 0])
        } else {
            Rgb([200, 200, 200])
        }
    })
}

fn file_of(picture: &RgbImage, format: ImageFormat) -> Vec<u8> {
    let mut file = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut file, format).unwrap();
    file.into_inner()
}

fn asset(content: AssetContent, aspect: f64) -> Asset {
    Asset {
        path: "art/leek".into(),
        sha256: String::new(),
        aspect,
        content,
    }
}

/// The picture as seen fills x 5 to 15, y 4 to 14 mm.
fn placed() -> Item {
    let place = Affine::new([10.0, 0.0, 0.0, 10.0, 5.0, 4.0]);
    Item::Picture {
        asset: AssetIndex(0),
        places: vec![place],
    }
}

#[test]
fn a_png_fills_its_unit_square() {
    let bytes = file_of(&halves(40, 40), ImageFormat::Png);
    let content = AssetContent::Png {
        bytes,
        width_px: 40,
        height_px: 40,
    };
    let picture = painted(vec![placed()], &[asset(content, 1.0)]);
    for (x, y, want) in [
        (49, 90, 255),
        (51, 90, 0),
        (90, 90, 0),
        (110, 90, 200),
        (148, 138, 200),
        (151, 90, 255),
    ] {
        assert_eq!(picture.get_pixel(x, y).0[0], want, "at {x}, {y}");
    }
}

#[test]
fn a_fine_picture_is_averaged_not_sampled() {
    // Black and white columns of one pixel, eight times finer than the canvas: half of 255 everywhere.
    let stripes = RgbImage::from_fn(800, 8, |x, _| if x % 2 == 0 { Rgb([0; 3]) } else { WHITE });
    let content = AssetContent::Png {
        bytes: file_of(&stripes, ImageFormat::Png),
        width_px: 800,
        height_px: 8,
    };
    let picture = painted(vec![placed()], &[asset(content, 1.0)]);
    for x in 55..145 {
        let grey = i32::from(picture.get_pixel(x, 90).0[0]);
        assert!((grey - 127).abs() <= 3, "{grey} at {x}");
    }
}

#[test]
fn a_jpeg_is_turned_as_its_orientation_says() {
    // Exif orientation 6: the stored left side is the top of the picture as seen; 8: the bottom; 3: the right.
    for (orientation, x, y) in [(1, 60, 90), (3, 140, 90), (6, 100, 50), (8, 100, 130)] {
        let bytes = file_of(&halves(32, 32), ImageFormat::Jpeg);
        let content = AssetContent::Jpeg {
            bytes,
            width_px: 32,
            height_px: 32,
            components: 3,
            orientation,
        };
        let picture = painted(vec![placed()], &[asset(content, 1.0)]);
        let dark = picture.get_pixel(x, y).0[0];
        let opposite = picture.get_pixel(200 - x, 180 - y).0[0];
        assert!(
            dark < 20 && (180..220).contains(&opposite),
            "{orientation}: {dark} {opposite}"
        );
    }
}

#[test]
fn a_vector_asset_is_painted_at_every_place() {
    let content = AssetContent::Vector(Drawing {
        items: vec![fill(rectangle(0.0, 0.0, 0.5, 1.0), Paint::flat(RUST))],
    });
    let place = |x_mm| Affine::new([10.0, 0.0, 0.0, 10.0, x_mm, 4.0]);
    let item = Item::Picture {
        asset: AssetIndex(0),
        places: vec![place(0.0), place(12.0)],
    };
    let picture = painted(vec![item], &[asset(content, 1.0)]);
    for (x, inside) in [
        (10, true),
        (49, true),
        (50, false),
        (119, false),
        (120, true),
        (169, true),
        (170, false),
    ] {
        assert_eq!(*picture.get_pixel(x, 90) == rust(), inside, "at {x}");
    }
}

#[test]
fn text_is_painted_with_the_carried_font() {
    // Noto Sans, glyf table: H spans x 199..1317 of 2048 units and is 1462 high. At 20 mm its left edge lies at 1.943 mm, its right
    // at 12.861 mm, its top 14.277 mm above the baseline.
    let matrix = Affine::translate((5.0, 18.0));
    let run = font::run(
        &Face::carried(),
        "H",
        20.0,
        matrix,
        Paint::flat(Colour::BLACK),
    )
    .unwrap();
    let picture = painted(vec![Item::Glyphs(run)], &[]);
    let dark = |x, y| picture.get_pixel(x, y).0[0] < 128;
    let left = (0..300).find(|x| dark(*x, 170)).unwrap();
    let right = (0..300).rev().find(|x| dark(*x, 170)).unwrap();
    let top = (0..200).find(|y| dark(left + 2, *y)).unwrap();
    let bottom = (0..200).rev().find(|y| dark(left + 2, *y)).unwrap();
    assert_eq!((left, right, top, bottom), (69, 178, 37, 179));
}

#[test]
fn the_same_page_gives_the_same_bytes() {
    let bytes = file_of(&halves(40, 40), ImageFormat::Png);
    let assets = [asset(
        AssetContent::Png {
            bytes,
            width_px: 40,
            height_px: 40,
        },
        1.0,
    )];
    let page = page(vec![
        placed(),
        fill(rectangle(1.1, 1.2, 3.3, 4.7), Paint::flat(RUST)),
    ]);
    assert_eq!(write(&page, &assets, 110.0), write(&page, &assets, 110.0));
}
