//! A [`Page`] as a PNG picture.
//!
//! `canvas` paints a display list in pixels; `skia` spells paths and paints for the rasteriser; `picture` decodes and scales
//! the user's pictures; `encode` writes the file; `ink` counts how much a page takes. Pixels are square and the file states its resolution.

mod canvas;
mod encode;
mod ink;
pub(super) mod picture;
mod skia;

use kurbo::Affine;

use crate::draw::page::Page;
use crate::drawing::Asset;
use crate::length::MM_PER_INCH;
use canvas::Canvas;

pub use ink::{InkCover, ink_cover};

/// Returns the PNG file of `page` on white, `dpi` pixels to the inch; `assets` are those the page's drawings index.
///
/// The picture is as many whole pixels wide and high as comes nearest to the page's size.
///
/// # Panics
/// If the page is too large for the memory at this resolution, or an asset that `load` accepted does not decode.
#[must_use]
pub fn write(page: &Page, assets: &[Asset], dpi: f64) -> Vec<u8> {
    let px_per_mm = dpi / MM_PER_INCH;
    let mut canvas = Canvas::new(
        page.width_mm * px_per_mm,
        page.height_mm * px_per_mm,
        assets,
    );
    for layer in &page.layers {
        canvas.paint(&layer.drawing, Affine::scale(px_per_mm) * layer.matrix);
    }
    encode::png_file(canvas.pixels(), dpi)
}

#[cfg(test)]
mod tests;
