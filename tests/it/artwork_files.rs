//! Pictures and outlines from files: what is kept of them, and what is refused.

use std::io::Cursor;

use image::{DynamicImage, ImageFormat};
use kurbo::{Affine, Point, Rect, Shape};
use sheetwright::diagnostic::Diagnostic;
use sheetwright::drawing::{Asset, AssetContent, Drawing, Item, Paint};
use sheetwright::load::{AssetError, Assets, Options, project};
use sheetwright::project::Project;

/// One file, whatever its name.
struct OneFile<'b>(&'b [u8]);

impl Assets for OneFile<'_> {
    fn read(&self, _: &str) -> Result<Vec<u8>, AssetError> {
        Ok(self.0.to_vec())
    }
}

/// Reads a project of one piece with this text after its id and stock.
fn read(piece: &str, bytes: &[u8]) -> Result<Project, Vec<Diagnostic>> {
    let text = format!(
        r#"
sheetwright = 1
[job]
name = "Swap morning"
copies = 1
cut_by = "machine"
[[stock]]
id = "white"
format = "a4"
face_a = "printable"
[[piece]]
id = "card"
stock = "white"
{piece}
"#
    );
    project("project.toml", &text, &OneFile(bytes), &Options::default()).map(|read| read.value)
}

fn picture(name: &str, bytes: &[u8]) -> Result<Asset, String> {
    let piece = format!(
        r#"shape = {{ kind = "rectangle", size = "100 x 100 mm" }}
artwork = [{{ file = "{name}", width = "40 mm" }}]"#
    );
    match read(&piece, bytes) {
        Ok(mut project) => Ok(project.assets.remove(0)),
        Err(mistakes) => Err(mistakes[0].message.clone()),
    }
}

fn drawing(svg: &str) -> (Drawing, f64) {
    let asset = picture("leaf.svg", svg.as_bytes()).unwrap();
    match asset.content {
        AssetContent::Vector(drawing) => (drawing, asset.aspect),
        AssetContent::Png { .. } | AssetContent::Jpeg { .. } => {
            panic!("an SVG file is a vector picture")
        }
    }
}

fn refused(name: &str, bytes: impl AsRef<[u8]>) -> String {
    picture(name, bytes.as_ref()).unwrap_err()
}

/// The area of a filled item whose picture box is `width` by `height`.
fn area(item: &Item, width: f64, height: f64) -> f64 {
    let Item::Fill { path, .. } = item else {
        panic!("no filled area: {item:?}")
    };
    (Affine::scale_non_uniform(width, height) * path.clone())
        .area()
        .abs()
}

fn encoded(width: u32, height: u32, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    DynamicImage::new_rgb8(width, height)
        .write_to(&mut bytes, format)
        .unwrap();
    bytes.into_inner()
}

/// The same JPEG file with an EXIF segment that holds an orientation.
fn oriented(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
    let length = u16::try_from(exif.len() + 2).unwrap().to_be_bytes();
    [&jpeg[..2], &[0xff, 0xe1], &length, &exif, &jpeg[2..]].concat()
}

#[test]
fn a_jpeg_is_kept_byte_for_byte_and_seen_as_its_orientation_says() {
    let upright = encoded(60, 40, ImageFormat::Jpeg);
    // EXIF: 1 is upright, 3 upside down, 6 and 8 lie on their side.
    for (orientation, aspect) in [
        (1, 40.0 / 60.0),
        (3, 40.0 / 60.0),
        (6, 60.0 / 40.0),
        (8, 60.0 / 40.0),
    ] {
        let file = oriented(&upright, orientation);
        let asset = picture("bulbs.jpg", &file).unwrap();
        assert!(
            (asset.aspect - aspect).abs() < 1e-12,
            "{orientation}: {}",
            asset.aspect
        );
        let AssetContent::Jpeg {
            bytes,
            width_px,
            height_px,
            components,
            orientation: found,
        } = asset.content
        else {
            panic!("a JPEG file");
        };
        assert_eq!(
            (width_px, height_px, components, found),
            (60, 40, 3, orientation)
        );
        assert_eq!(bytes, file);
    }
}

#[test]
fn a_png_gives_its_height_by_its_width() {
    let project = read(
        r#"shape = { kind = "rectangle", size = "100 x 100 mm" }
artwork = [{ file = "bulbs.png", width = "40 mm", turn = "90 deg" }]"#,
        &encoded(80, 20, ImageFormat::Png),
    )
    .unwrap();
    let sheetwright::project::ArtworkFill::Picture(placed) = &project.pieces[0].artwork[0].fill
    else {
        panic!("a picture was declared");
    };
    // 40 mm wide and 10 mm high; on its side 10 by 40 mm, in the middle of 100 by 100 mm.
    assert_eq!((placed.width.to_mm(), placed.height.to_mm()), (40.0, 10.0));
    let seen = placed
        .unit_to_face()
        .transform_rect_bbox(Rect::new(0.0, 0.0, 1.0, 1.0));
    assert_eq!(seen, Rect::new(45.0, 30.0, 55.0, 70.0));
}

/// The pixels of a picture that is kept as PNG, and those of a PNG file.
fn pixels(bytes: &[u8]) -> image::RgbaImage {
    image::load_from_memory_with_format(bytes, ImageFormat::Png)
        .unwrap()
        .into_rgba8()
}

fn kept_pixels(name: &str, file: &[u8]) -> (image::RgbaImage, f64) {
    let asset = picture(name, file).unwrap();
    let AssetContent::Png { bytes, .. } = &asset.content else {
        panic!("a WebP file is kept as PNG");
    };
    (pixels(bytes), asset.aspect)
}

/// The files and what they look like were written by Pillow 13 with libwebp.
#[test]
fn a_webp_is_kept_with_the_pixels_that_another_decoder_sees() {
    let (found, aspect) = kept_pixels(
        "swap.webp",
        include_bytes!("../data/pictures/lossless.webp"),
    );
    assert_eq!(
        found,
        pixels(include_bytes!("../data/pictures/lossless.png"))
    );
    assert!((aspect - 16.0 / 24.0).abs() < 1e-12);

    // Lossy pictures are decoded to the same levels, but colours are spread over neighbours by a rule that decoders may choose.
    let (found, _) = kept_pixels("swap.webp", include_bytes!("../data/pictures/lossy.webp"));
    let wanted = pixels(include_bytes!("../data/pictures/lossy.png"));
    let off = found
        .iter()
        .zip(wanted.iter())
        .map(|(a, b)| a.abs_diff(*b))
        .max();
    assert!(off <= Some(2), "{off:?}");
}

#[test]
fn a_webp_lies_as_its_orientation_says() {
    // EXIF 2.3, orientation 6: the stored first row is the right side of what is seen.
    let (found, aspect) = kept_pixels("swap.webp", include_bytes!("../data/pictures/turned.webp"));
    assert_eq!(found, pixels(include_bytes!("../data/pictures/turned.png")));
    assert!((aspect - 24.0 / 16.0).abs() < 1e-12);
}

#[test]
fn a_film_and_a_webp_of_more_pixels_than_it_says_are_refused() {
    let film = include_bytes!("../data/pictures/film.webp");
    assert_eq!(
        refused("swap.webp", film),
        "\"swap.webp\" is a film, not a picture"
    );
    // RFC 9649, 3.4: 14 bits each of width and height less one behind the signature of lossless pixels; all set is 16384 x 16384.
    let mut bomb = include_bytes!("../data/pictures/lossless.webp").to_vec();
    let at = bomb.windows(4).position(|name| name == b"VP8L").unwrap();
    bomb[at + 9..at + 12].fill(0xff);
    bomb[at + 12] |= 0x0f;
    let message = refused("swap.webp", &bomb);
    assert_eq!(
        message,
        "\"swap.webp\" has 16384 x 16384 pixels, more than 64 million"
    );
    assert!(refused("swap.png", film).ends_with("but is a WebP file"));
}

/// By hand: 400 x 300 pixels on 4 x 3 in are 100 to the inch; at 200 they are 2 in wide. Twice as many lie on 2 in.
#[test]
fn a_picture_with_too_few_pixels_is_told_with_the_size_at_which_it_is_sharp() {
    let warnings = |width: &str, file: &[u8]| {
        let text = format!(
            r#"
sheetwright = 1
[job]
name = "Swap morning"
copies = 1
cut_by = "machine"
[[stock]]
id = "white"
format = "letter"
face_a = "printable"
[[piece]]
id = "card"
stock = "white"
shape = {{ kind = "rectangle", size = "5 x 5 in" }}
artwork = [{{ file = "bulbs.png", width = "{width}" }}]
"#
        );
        let read = project("project.toml", &text, &OneFile(file), &Options::default()).unwrap();
        read.warnings
    };
    let file = encoded(400, 300, ImageFormat::Png);
    let told = warnings("4 in", &file);
    assert_eq!(told.len(), 1);
    assert_eq!(
        told[0].message,
        "\"bulbs.png\" is printed with 100 pixels to the inch, fewer than 200, and will look soft"
    );
    assert_eq!(
        told[0].hints,
        [
            "it is sharp up to a width of 2 in; print it smaller, or take it with 800 x 600 pixels or more"
        ]
    );
    assert!(warnings("2 in", &file).is_empty());
    // A JPEG that lies on its side: 400 stored columns are 400 rows as seen, 300 across 3 in.
    let turned = oriented(&encoded(400, 300, ImageFormat::Jpeg), 6);
    let asset = picture("bulbs.jpg", &turned).unwrap();
    assert_eq!(asset.content.pixels_as_seen(), Some((300, 400)));
}

#[test]
fn the_digest_of_a_file_is_its_sha_256() {
    // FIPS 180-4 names the function; the value is that of the system's sha256sum for these 85 bytes.
    let svg =
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 3"><path d="M0 0H2V3Z"/></svg>"#;
    let asset = picture("leaf.svg", svg.as_bytes()).unwrap();
    assert_eq!(
        asset.sha256,
        "9e7ac487a152f0019bb9c2ea98905280078b8f0972662f904dcaf4a14e5e9842"
    );
}

#[test]
fn an_svg_picture_fills_the_unit_square_whatever_its_units() {
    // The rectangle covers the right half of 40 x 60 units, by a transform and behind a viewBox that starts off the origin.
    let (drawing, aspect) = drawing(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="10 10 40 60">
            <g transform="translate(10 10) scale(2)"><rect x="10" width="10" height="30" fill="#a3b18a" fill-opacity="0.5"/></g>
        </svg>"##,
    );
    assert!((aspect - 1.5).abs() < 1e-6);
    let [Item::Fill { path, paint, .. }] = drawing.items.as_slice() else {
        panic!("{drawing:?}")
    };
    let bounds = path.bounding_box();
    let wanted = Rect::new(0.5, 0.0, 1.0, 1.0);
    for (found, wanted) in [
        (bounds.x0, wanted.x0),
        (bounds.y0, wanted.y0),
        (bounds.x1, wanted.x1),
        (bounds.y1, wanted.y1),
    ] {
        assert!((found - wanted).abs() < 1e-6, "{bounds:?}");
    }
    let Paint::Solid { colour, opacity } = paint else {
        panic!("{paint:?}")
    };
    assert_eq!(
        (colour.to_hex().as_str(), (opacity * 100.0).round()),
        ("#a3b18a", 50.0)
    );
}

#[test]
fn a_stroke_becomes_the_area_it_covers() {
    // A line of 30 by 2 units with square ends adds 2 in length; one with round ends a circle of diameter 2. A thousandth of
    // a square unit on an edge of 66 units is far below a printer's dot.
    for (cap, wanted) in [
        ("butt", 60.0),
        ("square", 64.0),
        ("round", 60.0 + std::f64::consts::PI),
    ] {
        let (drawing, _) = drawing(&format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 60">
                <path d="M5 30H35" fill="none" stroke="black" stroke-width="2" stroke-linecap="{cap}"/>
            </svg>"#
        ));
        let found = area(&drawing.items[0], 40.0, 60.0);
        assert!((found - wanted).abs() < 1e-3, "{cap}: {found}");
    }
    // Three dashes of 6 units and gaps of 6 on 30 units.
    let (dashed, _) = drawing(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 60">
            <path d="M5 30H35" fill="none" stroke="black" stroke-width="2" stroke-dasharray="6"/>
        </svg>"#,
    );
    let found = area(&dashed.items[0], 40.0, 60.0);
    assert!((found - 36.0).abs() < 1e-3, "{found}");
}

#[test]
fn a_clip_path_and_a_gradient_land_where_they_are_drawn() {
    let (drawing, _) = drawing(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">
            <clipPath id="half"><rect width="50" height="50"/></clipPath>
            <linearGradient id="dusk"><stop offset="0.25" stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>
            <g transform="translate(50 0)" clip-path="url(#half)"><rect width="40" height="50" fill="url(#dusk)"/></g>
        </svg>"##,
    );
    let [Item::Clip { path, inner, .. }] = drawing.items.as_slice() else {
        panic!("{drawing:?}")
    };
    assert!(
        (path.bounding_box().x0 - 0.5).abs() < 1e-6 && (path.bounding_box().x1 - 1.0).abs() < 1e-6
    );
    let [
        Item::Fill {
            paint: Paint::Linear { from, to, gradient },
            ..
        },
    ] = inner.items.as_slice()
    else {
        panic!("{inner:?}")
    };
    // The rectangle runs from x = 50 to 90 of 100, and the gradient over all of it.
    let (start, end) = (gradient.matrix * *from, gradient.matrix * *to);
    let near = |a: Point, x: f64| (a.x - x).abs() < 1e-6;
    assert!(near(start, 0.5) && near(end, 0.9), "{start:?} {end:?}");
    let stops: Vec<_> = gradient
        .stops
        .iter()
        .map(|stop| (stop.offset, stop.colour.to_hex()))
        .collect();
    let [red, blue] = ["#ff0000", "#0000ff"].map(str::to_owned);
    assert_eq!(stops, [(0.0, red.clone()), (0.25, red), (1.0, blue)]);
}

#[test]
fn what_cannot_be_kept_of_an_svg_picture_is_refused_by_name() {
    let svg = |inner: &str| {
        format!(r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 60">{inner}</svg>"#)
    };
    let rect = |attributes: &str| format!(r#"<rect width="40" height="60" {attributes}/>"#);
    let cases = [
        (svg("<text>Basil</text>"), "<text>"),
        (
            svg(r#"<image href="photo.png" width="9" height="9"/>"#),
            "<image>",
        ),
        (
            svg(r#"<use href="other.svg#leaf"/>"#),
            "<use> with a link out of the file",
        ),
        (
            svg(&format!(
                r#"<mask id="fog">{}</mask>{}"#,
                rect(r#"fill="white""#),
                rect("mask=\"url(#fog)\"")
            )),
            "the mask \"fog\"",
        ),
        (
            svg(&format!(
                r#"<filter id="mist"><feGaussianBlur stdDeviation="2"/></filter>{}"#,
                rect("filter=\"url(#mist)\"")
            )),
            "the filter \"mist\"",
        ),
        (
            svg(&format!(
                r#"<pattern id="rows" width="4" height="4" patternUnits="userSpaceOnUse">{}</pattern>{}"#,
                r#"<rect width="2" height="2"/>"#,
                rect("fill=\"url(#rows)\"")
            )),
            "the pattern \"rows\"",
        ),
        (
            svg(&rect("style=\"mix-blend-mode:multiply\"")),
            "mix-blend-mode",
        ),
        (
            svg(&format!(
                r#"<g id="pair" opacity="0.5">{}{}</g>"#,
                rect(""),
                rect("x=\"4\"")
            )),
            "the group opacity \"pair\"",
        ),
        (
            svg(&format!(
                r#"<linearGradient id="fade"><stop stop-color="red"/><stop offset="1" stop-opacity="0"/></linearGradient>{}"#,
                rect("fill=\"url(#fade)\"")
            )),
            "the gradient \"fade\" with a see-through stop",
        ),
        (
            r#"<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0H9V9Z"/></svg>"#.to_owned(),
            "neither a viewBox",
        ),
    ];
    for (file, what) in cases {
        let message = refused("leaf.svg", &file);
        assert!(message.contains(what), "{message}\n{file}");
    }
}

#[test]
fn one_see_through_area_passes_its_opacity_on() {
    let (drawing, _) = drawing(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 60">
            <rect width="40" height="60" opacity="0.5" fill-opacity="0.5"/>
        </svg>"#,
    );
    let [
        Item::Fill {
            paint: Paint::Solid { opacity, .. },
            ..
        },
    ] = drawing.items.as_slice()
    else {
        panic!("{drawing:?}")
    };
    assert!((opacity - 0.25).abs() < 0.01, "{opacity}");
}

#[test]
fn files_made_to_hurt_are_refused() {
    let svg = |dtd: &str, inner: &str| {
        format!(
            r#"<!DOCTYPE svg [{dtd}]><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9">{inner}</svg>"#
        )
    };
    let mut entities = r#"<!ENTITY a0 "<path d='M0 0H9V9Z'/>">"#.to_owned();
    let mut uses = r#"<path id="u0" d="M0 0H9V9Z"/>"#.to_owned();
    for i in 1..30 {
        let last = i - 1;
        entities += &format!(r#"<!ENTITY a{i} "&a{last};&a{last};">"#);
        uses += &format!(r##"<g id="u{i}"><use href="#u{last}"/><use href="#u{last}"/></g>"##);
    }
    let external = r#"<!ENTITY secret SYSTEM "file:///etc/hostname">"#;
    let cases = [
        (
            "leaf.svg",
            svg(&entities, "&a29;").into_bytes(),
            "no sound SVG file",
        ),
        ("leaf.svg", svg("", &uses).into_bytes(), "no sound SVG file"),
        (
            "leaf.svg",
            svg(external, "<title>&secret;</title><path d='M0 0H9V9Z'/>").into_bytes(),
            "no sound SVG file",
        ),
        (
            "leaf.svg",
            vec![0x1f, 0x8b, 8, 0, 0, 0, 0, 0],
            "is a compressed file",
        ),
        ("leaf.svg", encoded(2, 2, ImageFormat::Png), "is a PNG file"),
        ("leaf.svg", vec![0xff, 0xfe, 0x3c, 0x00], "not UTF-8"),
        ("leaf.png", Vec::new(), "is an empty file"),
        (
            "leaf.png",
            encoded(9001, 9001, ImageFormat::Png),
            "has 9001 x 9001 pixels, more than 64 million",
        ),
        (
            "leaf.jpg",
            vec![0; 64_000_001],
            "has 65 MB, more than 64 MB",
        ),
        (
            "leaf.jpg",
            encoded(60, 40, ImageFormat::Jpeg)[..30].to_vec(),
            "is damaged",
        ),
    ];
    for (name, bytes, what) in cases {
        let message = refused(name, bytes);
        assert!(message.contains(what), "{what}: {message}");
    }
}

fn outline(svg: &str, keys: &str) -> Result<Project, Vec<Diagnostic>> {
    read(
        &format!(r#"shape = {{ kind = "svg", file = "leaf.svg"{keys} }}"#),
        svg.as_bytes(),
    )
}

fn size(project: &Project) -> (f64, f64) {
    let bounds = project.pieces[0].outline.bounds();
    let round = |mm: f64| (mm * 1e6).round() / 1e6;
    (round(bounds.width()), round(bounds.height()))
}

#[test]
fn an_svg_outline_has_its_true_size() {
    // One unit of the viewBox is half a millimetre. A quarter turn lays the 40 x 20 shape on its side.
    let svg = |shape: &str| {
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="5cm" height="1.5cm" viewBox="0 0 100 30"><g transform="rotate(90 7 7)">{shape}</g></svg>"#
        )
    };
    for shape in [
        r#"<rect x="3" y="4" width="40" height="20"/>"#,
        r#"<rect x="3" y="4" width="40" height="20" rx="4"/>"#,
        r#"<ellipse cx="20" cy="10" rx="20" ry="10"/>"#,
        r#"<polygon points="0,0 40,0 40,20"/>"#,
        r#"<path d="M0 0h40v20z"/>"#,
    ] {
        let project = outline(&svg(shape), "").unwrap();
        assert_eq!(size(&project), (10.0, 20.0), "{shape}");
        assert_eq!(
            project.pieces[0].outline.bounds().origin(),
            Point::ORIGIN,
            "{shape}"
        );
    }
    let circle = r#"<circle cx="50" cy="15" r="10"/>"#;
    assert_eq!(size(&outline(&svg(circle), "").unwrap()), (10.0, 10.0));
    // Scaled to a width, whatever the file says: 2 in.
    assert_eq!(
        size(&outline(&svg(circle), r#", width = "2 in""#).unwrap()),
        (50.8, 50.8)
    );
}

#[test]
fn an_svg_outline_is_found_by_its_id() {
    let svg = r#"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="20mm" viewBox="0 0 60 20">
        <circle id="pea" cx="10" cy="10" r="5"/><rect id="bean" x="30" width="20" height="8"/></svg>"#;
    assert_eq!(
        size(&outline(svg, r#", element = "bean""#).unwrap()),
        (20.0, 8.0)
    );
    let message = outline(svg, r#", element = "leek""#).unwrap_err()[0].clone();
    assert_eq!(
        message.message,
        "\"leaf.svg\" has no element with the id \"leek\""
    );
    assert_eq!(message.hints, ["the shapes in it are \"pea\", \"bean\""]);
}
