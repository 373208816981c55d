//! Picture files: stored once and untouched, seen the right way up.

use std::{fs, io::Cursor};

use image::{DynamicImage, ImageFormat, Luma, LumaA, Rgb, RgbImage, Rgba, imageops};
use kurbo::Affine;
use sheetwright::drawing::{
    Asset, AssetContent, AssetIndex, Colour, Drawing, Gradient, GradientStop, Item, Paint,
};

use super::{assert_near, colour_at, fill, rectangle, written};
use crate::tool::{RENDERERS, Renderer, run};

const CARD_MM: [f64; 2] = [120.0, 80.0];
const CARD_DPI: u32 = 150;

/// Corners as seen: top left, top right, bottom left, bottom right.
const CORNERS: [[u8; 3]; 4] = [[200, 30, 30], [30, 160, 40], [40, 60, 200], [240, 200, 20]];

/// Two by two squares of 32 pixels.
fn bed() -> RgbImage {
    RgbImage::from_fn(64, 64, |x, y| {
        Rgb(CORNERS[usize::from(x >= 32) + 2 * usize::from(y >= 32)])
    })
}

fn encoded(picture: impl Into<DynamicImage>, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    picture.into().write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

fn asset(path: &str, content: AssetContent) -> Asset {
    Asset {
        path: path.into(),
        sha256: "5eed".repeat(16),
        aspect: 1.0,
        content,
    }
}

fn jpeg(picture: impl Into<DynamicImage>, components: u8, orientation: u8) -> Asset {
    let picture = picture.into();
    let (width_px, height_px) = (picture.width(), picture.height());
    let bytes = encoded(picture, ImageFormat::Jpeg);
    let content = AssetContent::Jpeg {
        bytes,
        width_px,
        height_px,
        components,
        orientation,
    };
    asset("bed.jpg", content)
}

fn png(picture: impl Into<DynamicImage>) -> Asset {
    let picture = picture.into();
    let (width_px, height_px) = (picture.width(), picture.height());
    let bytes = encoded(picture, ImageFormat::Png);
    let content = AssetContent::Png {
        bytes,
        width_px,
        height_px,
    };
    asset("bed.png", content)
}

fn square(x_mm: f64, y_mm: f64, side_mm: f64) -> Affine {
    Affine::new([side_mm, 0.0, 0.0, side_mm, x_mm, y_mm])
}

fn shown(index: usize, places: Vec<Affine>) -> Item {
    Item::Picture {
        asset: AssetIndex(index),
        places,
    }
}

#[test]
fn a_jpeg_is_embedded_byte_for_byte_and_once() {
    let grey = DynamicImage::from(bed()).into_luma8();
    let assets = [jpeg(bed(), 3, 1), jpeg(grey, 1, 6)];
    let items = vec![
        shown(0, vec![square(5.0, 5.0, 30.0), square(40.0, 5.0, 30.0)]),
        shown(1, vec![square(75.0, 5.0, 30.0)]),
        shown(0, vec![square(5.0, 40.0, 30.0)]),
    ];
    let file = written("jpeg", CARD_MM, items, &assets);
    let root = format!("{}-image", file.path);
    run("pdfimages", &["-all", &file.path, &root]);
    let mut found: Vec<Vec<u8>> = (0..4)
        .map(|number| fs::read(format!("{root}-{number:03}.jpg")).unwrap())
        .collect();
    // One line for each place in the order of the page.
    assert!(found.remove(3) == found[0] && found[1] == found[0]);
    let file_of = |asset: &Asset| match &asset.content {
        AssetContent::Jpeg { bytes, .. } => bytes.clone(),
        AssetContent::Png { .. } | AssetContent::Vector(_) => unreachable!("both are JPEGs"),
    };
    assert!(found[0] == file_of(&assets[0]) && found[2] == file_of(&assets[1]));
    let unpacked = file.unpacked();
    assert_eq!(unpacked.matches("/Filter /DCTDecode").count(), 2);
    assert_eq!(
        unpacked
            .matches(&format!("/SheetwrightSource ({})", "5eed".repeat(16)))
            .count(),
        2
    );
}

/// The profile was written by hand after ICC.1:2010 and is taken by `LittleCMS`, which calls it "Wide leaf green".
#[test]
fn the_colour_profile_of_a_picture_is_handed_on_untouched() {
    let profile = include_bytes!("../../data/pictures/wide-leaf-green.icc");
    let jpeg = include_bytes!("../../data/pictures/other-colours.jpg");
    let png = include_bytes!("../../data/pictures/other-colours.png");
    let (width_px, height_px) = (48, 32);
    let assets = [
        asset(
            "leaf.jpg",
            AssetContent::Jpeg {
                bytes: jpeg.to_vec(),
                width_px,
                height_px,
                components: 3,
                orientation: 1,
            },
        ),
        asset(
            "leaf.png",
            AssetContent::Png {
                bytes: png.to_vec(),
                width_px,
                height_px,
            },
        ),
        self::jpeg(bed(), 3, 1),
    ];
    for leaf in &assets[..2] {
        let found = leaf.content.profile().unwrap();
        assert_eq!(
            (found.name.as_str(), found.is_srgb),
            ("Wide leaf green", false)
        );
    }
    let items = (0..3).map(|i| shown(i, vec![square(5.0 + 30.0 * [0.0, 1.0, 2.0][i], 5.0, 24.0)]));
    let file = written("profile", CARD_MM, items.collect(), &assets);
    let document = lopdf::Document::load(&file.path).unwrap();
    let images: Vec<_> = document
        .objects
        .values()
        .filter_map(|object| object.as_stream().ok())
        .filter(|stream| {
            stream
                .dict
                .get(b"Subtype")
                .is_ok_and(|kind| kind.as_name().ok() == Some(b"Image"))
        })
        .collect();
    assert_eq!(images.len(), 3);
    let spaces = images
        .iter()
        .filter_map(|image| image.dict.get(b"ColorSpace").ok()?.as_array().ok());
    let spaces: Vec<_> = spaces.collect();
    // Both pictures share the stream; the third is of sRGB, as pages are.
    assert_eq!((spaces.len(), spaces[0]), (2, spaces[1]));
    assert_eq!(spaces[0][0].as_name().unwrap(), b"ICCBased");
    let stored = document
        .get_object(spaces[0][1].as_reference().unwrap())
        .unwrap();
    let stored = stored.as_stream().unwrap();
    assert_eq!(
        stored
            .decompressed_content()
            .unwrap_or_else(|_| stored.content.clone()),
        profile
    );
    assert_eq!(stored.dict.get(b"N").unwrap().as_i64().unwrap(), 3);
    assert!(images.iter().any(|image| image.content == jpeg));
}

#[test]
fn every_exif_orientation_is_seen_upright() {
    // What has to be done to the stored picture to see it upright, undone (EXIF 2.3, tag 0x0112).
    let turn = |picture: &RgbImage, orientation| match orientation {
        2 => imageops::flip_horizontal(picture),
        3 => imageops::rotate180(picture),
        4 => imageops::flip_vertical(picture),
        5 => imageops::flip_horizontal(&imageops::rotate90(picture)),
        6 => imageops::rotate270(picture),
        7 => imageops::flip_horizontal(&imageops::rotate270(picture)),
        8 => imageops::rotate90(picture),
        _ => picture.clone(),
    };
    let assets: Vec<Asset> = (1..=8).map(|o| jpeg(turn(&bed(), o), 3, o)).collect();
    let corner = |index: usize| {
        let (column, row) = ([0.0, 1.0, 2.0, 3.0][index % 4], [0.0, 1.0][index / 4]);
        (5.0 + 28.0 * column, 5.0 + 35.0 * row)
    };
    let items = (0..8).map(|index| {
        let (x_mm, y_mm) = corner(index);
        shown(index, vec![square(x_mm, y_mm, 24.0)])
    });
    let file = written("orientations", CARD_MM, items.collect(), &assets);
    for renderer in RENDERERS {
        let picture = file.picture(renderer, CARD_DPI);
        for index in 0..8 {
            let (x_mm, y_mm) = corner(index);
            let quarters = [(6.0, 6.0), (18.0, 6.0), (6.0, 18.0), (18.0, 18.0)];
            for ((dx, dy), want) in quarters.into_iter().zip(CORNERS) {
                let found = colour_at(&picture, CARD_DPI, x_mm + dx, y_mm + dy);
                let what = format!("{renderer:?}, orientation {}, {dx} {dy}", index + 1);
                assert_near(found, want, 12, &what);
            }
        }
    }
}

#[test]
fn every_kind_of_png_keeps_its_colours_and_its_transparency() {
    let veil = |alpha: u8| image::RgbaImage::from_pixel(4, 4, Rgba([200, 40, 80, alpha]));
    let grey = image::GrayAlphaImage::from_pixel(4, 4, LumaA([60, 102]));
    let deep = image::ImageBuffer::from_pixel(4, 4, Rgb([0x8080_u16, 0x20FF, 0xFFFF]));
    let plain = image::GrayImage::from_pixel(4, 4, Luma([90]));
    let assets = [
        png(bed()),
        png(veil(255)),
        png(veil(51)),
        png(grey),
        png(deep),
        png(plain),
    ];
    let back = fill(
        rectangle(0.0, 0.0, 120.0, 80.0),
        Paint::flat(Colour::rgb(0, 100, 0)),
    );
    let places = [
        (5.0, 5.0),
        (45.0, 5.0),
        (85.0, 5.0),
        (5.0, 45.0),
        (45.0, 45.0),
        (85.0, 45.0),
    ];
    let pictures = places.iter().enumerate();
    let pictures = pictures.map(|(index, (x, y))| shown(index, vec![square(*x, *y, 30.0)]));
    let file = written(
        "pngs",
        CARD_MM,
        std::iter::once(back).chain(pictures).collect(),
        &assets,
    );

    // Alpha 51 is 0.2 of 255: 0.2 * (200, 40, 80) + 0.8 * (0, 100, 0) = (40, 88, 16). Alpha 102 is 0.4: 24 + 0.6 * below.
    // 0x8080 is 128 of 255, 0x20FF = 8447 is 32.87.
    let middles = [
        [200, 40, 80],
        [40, 88, 16],
        [24, 84, 24],
        [128, 33, 255],
        [90, 90, 90],
    ];
    for renderer in RENDERERS {
        let picture = file.picture(renderer, CARD_DPI);
        for ((x, y), want) in places[1..].iter().zip(middles) {
            let found = colour_at(&picture, CARD_DPI, x + 15.0, y + 15.0);
            assert_near(found, want, 1, &format!("{renderer:?} at {x}, {y}"));
        }
        for ((dx, dy), want) in [(7.0, 7.0), (23.0, 7.0), (7.0, 23.0), (23.0, 23.0)]
            .into_iter()
            .zip(CORNERS)
        {
            let found = colour_at(&picture, CARD_DPI, 5.0 + dx, 5.0 + dy);
            assert_near(found, want, 0, &format!("{renderer:?}, {dx} {dy}"));
        }
    }
    // Six pictures; the two with a veil carry a mask, the opaque one does not.
    let list = run("pdfimages", &["-list", &file.path]);
    let kinds = |kind: &str| {
        list.lines()
            .filter(|line| line.split_whitespace().nth(2) == Some(kind))
            .count()
    };
    assert_eq!((kinds("image"), kinds("smask")), (6, 2), "{list}");
}

/// A leaf in the unit square: a green left half, a gradient from black at the top to white at the bottom on the right.
fn leaf() -> Asset {
    let stops = [(0.0, Colour::BLACK), (1.0, Colour::WHITE)];
    let gradient = Gradient {
        stops: stops
            .map(|(offset, colour)| GradientStop { offset, colour })
            .to_vec(),
        matrix: Affine::IDENTITY,
    };
    let fade = Paint::Linear {
        from: (0.0, 0.0).into(),
        to: (0.0, 1.0).into(),
        gradient,
    };
    let items = vec![
        fill(
            rectangle(-1.0, 0.0, 0.5, 1.0),
            Paint::flat(Colour::rgb(20, 140, 60)),
        ),
        fill(rectangle(0.5, 0.0, 2.0, 1.0), fade),
    ];
    asset("leaf.svg", AssetContent::Vector(Drawing { items }))
}

#[test]
fn a_vector_picture_placed_24_times_is_stored_once_and_seen_24_times() {
    let corners: Vec<(f64, f64)> = (0..24)
        .map(|n| (4.0 + 19.0 * f64::from(n % 6), 4.0 + 19.0 * f64::from(n / 6)))
        .collect();
    let places = corners.iter().map(|(x, y)| square(*x, *y, 15.0)).collect();
    let file = written("leaves", CARD_MM, vec![shown(0, places)], &[leaf()]);
    let unpacked = file.unpacked();
    assert_eq!(unpacked.matches("/Subtype /Form").count(), 1);
    assert_eq!(unpacked.matches("/X1 Do").count(), 24);
    assert!(unpacked.contains(&format!("/SheetwrightSource ({})", "5eed".repeat(16))));
    assert!(!unpacked.contains("/PatternType 1"));
    for renderer in RENDERERS {
        let picture = file.picture(renderer, CARD_DPI);
        let at = |x: f64, y: f64| colour_at(&picture, CARD_DPI, x, y);
        for (x, y) in &corners {
            assert_near(
                at(x + 4.0, y + 7.0),
                [20, 140, 60],
                1,
                &format!("{renderer:?} at {x}, {y}"),
            );
            // A quarter down: 63.75 of 255; three quarters: 191.25.
            assert_near(
                at(x + 11.0, y + 3.75),
                [64; 3],
                4,
                &format!("{renderer:?} at {x}, {y}"),
            );
            assert_near(
                at(x + 11.0, y + 11.25),
                [191; 3],
                4,
                &format!("{renderer:?} at {x}, {y}"),
            );
            // What reaches beyond the unit square is not seen.
            assert_eq!(at(x - 1.0, y + 7.0), [255; 3], "{renderer:?} at {x}, {y}");
            assert_eq!(at(x + 16.0, y + 7.0), [255; 3], "{renderer:?} at {x}, {y}");
        }
    }
}

#[test]
fn a_turned_vector_picture_takes_its_gradient_along() {
    // A quarter turn clockwise as seen: the picture's top is on the right of the box x 20..60, y 20..60.
    let turned = Affine::new([0.0, 40.0, -40.0, 0.0, 60.0, 20.0]);
    let file = written("turned", CARD_MM, vec![shown(0, vec![turned])], &[leaf()]);
    for renderer in RENDERERS {
        let picture = file.picture(renderer, CARD_DPI);
        for (x_mm, y_mm, want) in [
            (40.0, 30.0, [20, 140, 60]),
            (50.0, 50.0, [64; 3]),
            (30.0, 50.0, [191; 3]),
        ] {
            let found = colour_at(&picture, CARD_DPI, x_mm, y_mm);
            assert_near(found, want, 4, &format!("{renderer:?} at {x_mm}, {y_mm}"));
        }
    }
}

#[test]
fn a_picture_may_show_another_picture() {
    let sheet = Drawing {
        items: vec![shown(1, vec![Affine::new([0.5, 0.0, 0.0, 1.0, 0.5, 0.0])])],
    };
    let assets = [asset("sheet.svg", AssetContent::Vector(sheet)), png(bed())];
    let file = written(
        "nested",
        CARD_MM,
        vec![shown(0, vec![square(10.0, 10.0, 60.0)])],
        &assets,
    );
    let picture = file.picture(Renderer::Mupdf, CARD_DPI);
    assert_near(
        colour_at(&picture, CARD_DPI, 45.0, 20.0),
        CORNERS[0],
        0,
        "top left",
    );
    assert_near(
        colour_at(&picture, CARD_DPI, 65.0, 60.0),
        CORNERS[3],
        0,
        "bottom right",
    );
    assert_eq!(colour_at(&picture, CARD_DPI, 30.0, 30.0), [255; 3]);
}
