//! Pixels as a PNG file.

use png::{BitDepth, ColorType, Encoder, PixelDimensions, Unit};
use resvg::tiny_skia::Pixmap;

use super::skia;

/// Metres in an inch.
const INCH_M: f64 = 0.0254;

/// Returns the file: 8-bit colour without alpha, `dpi` stated as whole pixels to the metre.
pub(super) fn png_file(pixels: &Pixmap, dpi: f64) -> Vec<u8> {
    let colours: Vec<u8> = pixels
        .pixels()
        .iter()
        .flat_map(|p| [p.red(), p.green(), p.blue()])
        .collect();
    let per_metre = skia::whole_px(dpi / INCH_M);
    let mut file = Vec::new();
    let mut encoder = Encoder::new(&mut file, pixels.width(), pixels.height());
    encoder.set_color(ColorType::Rgb);
    encoder.set_depth(BitDepth::Eight);
    encoder.set_pixel_dims(Some(PixelDimensions {
        xppu: per_metre,
        yppu: per_metre,
        unit: Unit::Meter,
    }));
    encoder
        .write_header()
        .and_then(|mut writer| writer.write_image_data(&colours))
        .expect("writing to memory cannot fail, and there are three bytes for each pixel");
    file
}
