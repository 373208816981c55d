//! What other programs find in the documents that are written.

use kurbo::{Affine, BezPath, Rect, Shape};
use sheetwright::{
    draw::page::{Document, Duplex, Page, PageLayer},
    drawing::{Asset, Colour, Drawing, FillRule, Item, Paint},
    emit::pdf::{self, Streams},
};

use crate::tool::PdfFile;

mod page;
mod paint;
mod picture;
mod text;

/// US Letter, 8.5 x 11 in.
const LETTER_MM: [f64; 2] = [215.9, 279.4];

fn layer(name: &'static str, items: Vec<Item>) -> PageLayer {
    PageLayer {
        name,
        step: None,
        matrix: Affine::IDENTITY,
        drawing: Drawing { items },
    }
}

fn page(label: &str, [width_mm, height_mm]: [f64; 2], layers: Vec<PageLayer>) -> Page {
    Page {
        label: label.into(),
        width_mm,
        height_mm,
        layers,
    }
}

fn document(pages: Vec<Page>) -> Document {
    Document {
        title: "Plant-swap morning".into(),
        author: None,
        pages,
        duplex: Duplex::Simplex,
    }
}

/// Writes and checks a document of one page with one layer.
fn written(test: &str, size_mm: [f64; 2], items: Vec<Item>, assets: &[Asset]) -> PdfFile {
    let document = document(vec![page(
        "seed packets",
        size_mm,
        vec![layer("artwork", items)],
    )]);
    PdfFile::checked(test, &pdf::write(&document, assets, Streams::Packed))
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

fn black() -> Paint {
    Paint::flat(Colour::BLACK)
}

/// Returns the colour at a place of a picture of a page.
fn colour_at(picture: &image::RgbImage, resolution_dpi: u32, x_mm: f64, y_mm: f64) -> [u8; 3] {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place on the page is a pixel of its picture"
    )]
    let pixel = |mm: f64| (mm / 25.4 * f64::from(resolution_dpi)).floor() as u32;
    picture.get_pixel(pixel(x_mm), pixel(y_mm)).0
}

/// Fails unless two colours differ by at most `levels` in each component.
fn assert_near(found: [u8; 3], want: [u8; 3], levels: u8, what: &str) {
    let is_near = found.iter().zip(want).all(|(f, w)| f.abs_diff(w) <= levels);
    assert!(is_near, "{what}: found {found:?}, want {want:?}");
}
