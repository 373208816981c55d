//! The user's raster pictures, decoded, turned upright and scaled.

use image::metadata::Orientation;
use image::{DynamicImage, ImageBuffer, ImageFormat, imageops};
use kurbo::{Affine, Vec2};
use resvg::tiny_skia::{IntSize, Pixmap};

use super::skia;
use crate::drawing::{AssetContent, Rows, shrink};
use crate::math::hypot;

/// As many pixels of a picture for each one of the canvas leave its scaling to a finer filter.
const ENOUGH: u32 = 3;

/// A size in whole pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct SizePx {
    width: u32,
    height: u32,
}

impl SizePx {
    /// Size on the canvas of a picture whose unit square is mapped by `unit_to_px`.
    pub(super) fn of_unit_square(unit_to_px: Affine) -> Self {
        let [a, b, c, d, _, _] = unit_to_px.as_coeffs();
        let long = |side: Vec2| skia::whole_px(hypot(side.x, side.y).ceil());
        Self {
            width: long(Vec2::new(a, b)),
            height: long(Vec2::new(c, d)),
        }
    }
}

/// Returns the picture upright and no finer than `wanted`, so that painting it skips no pixels.
///
/// # Panics
/// If `content` is a vector picture or does not decode.
pub(super) fn scaled(content: &AssetContent, wanted: SizePx) -> Pixmap {
    let pixels = premultiplied(coarse(content, wanted));
    let (width, height) = (
        wanted.width.min(pixels.width()),
        wanted.height.min(pixels.height()),
    );
    let size = IntSize::from_wh(width, height).expect("a picture has at least one pixel");
    // A tent filter never overshoots, so that no colour comes out stronger than its own alpha.
    let pixels = imageops::resize(&pixels, width, height, imageops::FilterType::Triangle);
    Pixmap::from_vec(pixels.into_raw(), size).expect("four bytes for each pixel")
}

/// Returns the picture as seen, with no more than [`ENOUGH`] pixels for each wanted one across and down, so that a large one is never
/// whole in memory.
fn coarse(content: &AssetContent, wanted: SizePx) -> DynamicImage {
    let AssetContent::Png { bytes, .. } = content else {
        return upright(content);
    };
    let known = "load has decoded this picture before";
    let rows = Rows::open(bytes).expect(known);
    let form = rows.form();
    let enough = (
        form.width_px.min(wanted.width.saturating_mul(ENOUGH)),
        form.height_px.min(wanted.height.saturating_mul(ENOUGH)),
    );
    let mut samples = Vec::new();
    shrink(rows, enough, |row| samples.extend_from_slice(row)).expect(known);
    let (width, height) = enough;
    let picture = match (form.components, form.has_alpha) {
        (1, false) => ImageBuffer::from_raw(width, height, samples).map(DynamicImage::ImageLuma8),
        (1, true) => ImageBuffer::from_raw(width, height, samples).map(DynamicImage::ImageLumaA8),
        (_, false) => ImageBuffer::from_raw(width, height, samples).map(DynamicImage::ImageRgb8),
        (_, true) => ImageBuffer::from_raw(width, height, samples).map(DynamicImage::ImageRgba8),
    };
    picture.expect("as many rows as asked for")
}

/// Returns the picture as seen.
///
/// # Panics
/// If `content` is a vector picture or does not decode.
pub(in crate::emit) fn upright(content: &AssetContent) -> DynamicImage {
    let decode = |bytes: &[u8], format| {
        image::load_from_memory_with_format(bytes, format)
            .expect("load has decoded this picture before")
    };
    match content {
        AssetContent::Png { bytes, .. } => decode(bytes, ImageFormat::Png),
        AssetContent::Jpeg {
            bytes, orientation, ..
        } => {
            let mut picture = decode(bytes, ImageFormat::Jpeg);
            picture.apply_orientation(
                Orientation::from_exif(*orientation).unwrap_or(Orientation::NoTransforms),
            );
            picture
        }
        AssetContent::Vector(_) => unreachable!("a vector picture is painted, not decoded"),
    }
}

/// Returns the pixels with each colour multiplied by its alpha, as the rasteriser wants them.
fn premultiplied(picture: DynamicImage) -> image::RgbaImage {
    let mut pixels = picture.into_rgba8();
    for pixel in pixels.pixels_mut() {
        let alpha = u16::from(pixel.0[3]);
        for channel in &mut pixel.0[..3] {
            let product = u16::from(*channel) * alpha;
            *channel = u8::try_from((product + 127) / 255)
                .expect("a product of two bytes over 255 is a byte");
        }
    }
    pixels
}
