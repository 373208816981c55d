use kurbo::{Affine, BezPath, Point, Rect, Shape};
use resvg::tiny_skia::{Pixmap, Transform};

use super::write;
use crate::draw::page::{Page, PageLayer};
use crate::drawing::{
    Asset, AssetContent, AssetIndex, Colour, Drawing, FillRule, Gradient, GradientStop, Item,
    Paint, Stroke, Tag,
};
use crate::emit::png;
use crate::font::{self, Face};

const RUST: Colour = Colour::rgb(160, 90, 40);

fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> BezPath {
    Rect::new(x0, y0, x1, y1).to_path(0.1)
}

fn fill(path: BezPath, paint: Paint) -> Item {
    Item::Fill {
        path,
        rule: FillRule::EvenOdd,
        paint,
    }
}

fn page(items: Vec<Item>) -> Page {
    Page {
        label: "Beans & peas".into(),
        width_mm: 30.0,
        height_mm: 20.0,
        layers: vec![PageLayer {
            name: "Object",
            step: None,
            matrix: Affine::translate((1.0, 0.5)),
            drawing: Drawing { items },
        }],
    }
}

fn gradient() -> Gradient {
    let stop = |offset, grey| GradientStop {
        offset,
        colour: Colour::rgb(grey, grey, 200),
    };
    Gradient {
        stops: vec![stop(0.0, 10), stop(1.0, 220)],
        matrix: Affine::scale(2.0),
    }
}

/// The left half of a picture in pixels is dark.
fn pixels(format: image::ImageFormat) -> Vec<u8> {
    let picture = image::RgbImage::from_fn(40, 20, |x, _| {
        image::Rgb([if x < 20 { 20 } else { 200 }; 3])
    });
    let mut file = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut file, format).unwrap();
    file.into_inner()
}

/// One of everything that a page can hold.
fn everything() -> (Page, Vec<Asset>) {
    let asset = |content| Asset {
        path: "art/leek".into(),
        sha256: String::new(),
        aspect: 1.0,
        content,
    };
    let vector = Drawing {
        items: vec![
            fill(
                rectangle(0.0, 0.0, 1.0, 1.0),
                Paint::Linear {
                    from: Point::ORIGIN,
                    to: Point::new(0.5, 0.0),
                    gradient: gradient(),
                },
            ),
            Item::Clip {
                path: rectangle(0.25, 0.25, 0.75, 0.75),
                rule: FillRule::NonZero,
                inner: Drawing {
                    items: vec![fill(rectangle(0.0, 0.0, 0.5, 1.0), Paint::flat(RUST))],
                },
            },
        ],
    };
    let assets = vec![
        asset(AssetContent::Vector(vector)),
        asset(AssetContent::Png {
            bytes: pixels(image::ImageFormat::Png),
            width_px: 40,
            height_px: 20,
        }),
        asset(AssetContent::Jpeg {
            bytes: pixels(image::ImageFormat::Jpeg),
            width_px: 40,
            height_px: 20,
            components: 3,
            orientation: 6,
        }),
    ];
    let skewed = |x_mm: f64| Affine::new([6.0, 2.0, -1.0, 5.0, x_mm, 1.0]);
    let picture = |asset, x_mm| Item::Picture {
        asset: AssetIndex(asset),
        places: vec![skewed(x_mm), skewed(x_mm) * Affine::translate((0.0, 1.1))],
    };
    let run = font::run(
        &Face::carried(),
        "Żyto",
        3.0,
        Affine::translate((2.0, 18.0)),
        Paint::flat(Colour::BLACK),
    );
    let items = vec![
        picture(0, 2.0),
        picture(1, 10.0),
        picture(2, 18.0),
        Item::Glyphs(run.unwrap()),
        Item::Stroke {
            path: rectangle(1.0, 13.0, 26.0, 15.0),
            stroke: Stroke {
                dash_mm: vec![2.0, 1.0],
                ..Stroke::solid(0.5)
            },
            paint: Paint::flat(RUST),
        },
        Item::Tagged {
            tag: Tag {
                kind: "panel",
                id: "tin/lid:front".into(),
            },
            inner: Drawing {
                items: vec![fill(
                    rectangle(12.0, 10.0, 28.0, 18.0),
                    Paint::Solid {
                        colour: RUST,
                        opacity: 0.4,
                    },
                )],
            },
        },
        fill(
            rectangle(14.0, 16.0, 20.0, 19.0),
            Paint::Radial {
                focus: Point::new(8.5, 8.5),
                centre: Point::new(8.5, 8.5),
                radius: 1.5,
                gradient: gradient(),
            },
        ),
    ];
    (page(items), assets)
}

#[test]
fn a_page_looks_as_its_picture_in_pixels() {
    let (mut page, assets) = everything();
    // The renderer is built without pictures in pixels.
    let is_raster = |item: &Item| matches!(item, Item::Picture { asset, .. } if asset.0 > 0);
    page.layers[0].drawing.items.retain(|item| !is_raster(item));
    let text = write(&page, &assets);
    let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
    let mut drawn = Pixmap::new(600, 400).unwrap();
    drawn.fill(resvg::tiny_skia::Color::WHITE);
    let scale = 600.0 / tree.size().width();
    resvg::render(
        &tree,
        Transform::from_scale(scale, scale),
        &mut drawn.as_mut(),
    );
    // 20 px/mm; edges may be smoothed another way.
    let own = image::load_from_memory(&png::write(&page, &assets, 508.0))
        .unwrap()
        .into_rgb8();
    assert_eq!(own.dimensions(), (600, 400));
    let differ = own.pixels().zip(drawn.pixels()).filter(|(a, b)| {
        let channels = [b.red(), b.green(), b.blue()];
        a.0.iter().zip(channels).any(|(x, y)| x.abs_diff(y) > 24)
    });
    let share = differ.count() as f64 / 240_000.0;
    assert!(share < 0.01, "{share}");
}

/// The bytes that base64 text stands for (RFC 4648, section 4).
fn decoded(text: &str) -> Vec<u8> {
    let alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let (mut bytes, mut bits, mut count) = (Vec::new(), 0_u32, 0);
    for letter in text.trim_end_matches('=').chars() {
        let six = u32::try_from(alphabet.find(letter).unwrap()).unwrap();
        (bits, count) = (bits << 6 | six, count + 6);
        if count >= 8 {
            count -= 8;
            bytes.push(u8::try_from(bits >> count & 255).unwrap());
        }
    }
    bytes
}

#[test]
fn pictures_in_pixels_are_in_the_file_upright_and_once() {
    let (page, assets) = everything();
    let text = write(&page, &assets);
    let document = roxmltree::Document::parse(&text).unwrap();
    let images: Vec<Vec<u8>> = document
        .descendants()
        .filter(|n| n.tag_name().name() == "image")
        .map(|n| {
            decoded(
                n.attribute("href")
                    .unwrap()
                    .split_once("base64,")
                    .unwrap()
                    .1,
            )
        })
        .collect();
    assert_eq!(images.len(), 2);
    // The first is the user's file.
    assert_eq!(images[0], pixels(image::ImageFormat::Png));
    // Exif orientation 6 has the stored left side at the top: 40 x 20 pixels become 20 x 40, dark above.
    let turned = image::load_from_memory(&images[1]).unwrap().into_rgb8();
    assert_eq!(turned.dimensions(), (20, 40));
    assert!(turned.get_pixel(10, 5).0[0] < 60 && turned.get_pixel(10, 35).0[0] > 160);
}

#[test]
fn a_file_refers_to_nothing_outside() {
    let (page, assets) = everything();
    let text = write(&page, &assets);
    let document = roxmltree::Document::parse(&text).unwrap();
    let mut links = 0;
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        for attribute in node.attributes().filter(|a| a.name() == "href") {
            links += 1;
            let inside = attribute.value().strip_prefix('#');
            let is_there = inside.is_some_and(|id| {
                document
                    .descendants()
                    .any(|n| n.attribute("id") == Some(id))
            });
            assert!(
                is_there || attribute.value().starts_with("data:image/"),
                "{}",
                attribute.value()
            );
        }
    }
    // Two places of three pictures, two of which are pixels.
    assert_eq!(links, 8);
}

#[test]
fn what_is_tagged_is_a_group_of_its_kind_titled_by_its_id() {
    let (page, assets) = everything();
    let text = write(&page, &assets);
    let document = roxmltree::Document::parse(&text).unwrap();
    let panel = document
        .descendants()
        .find(|n| n.attribute("data-kind") == Some("panel"))
        .unwrap();
    let title = panel.first_element_child().unwrap();
    assert_eq!(
        (title.tag_name().name(), title.text().map(str::trim)),
        ("title", Some("tin/lid:front"))
    );
    let path = title.next_sibling_element().unwrap();
    assert_eq!(path.attribute("fill-opacity"), Some("0.4"));
}
