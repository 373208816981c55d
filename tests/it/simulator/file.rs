//! Pictures as files, with what they say of their resolution.

use image::codecs::jpeg::{JpegEncoder, PixelDensity, PixelDensityUnit};
use image::{ExtendedColorType, GrayImage, ImageEncoder};

/// Returns a grey PNG; it states its resolution if one is given.
pub(crate) fn png(picture: &GrayImage, dpi: Option<f64>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, picture.width(), picture.height());
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_compression(png::Compression::Fast);
    if let Some(dpi) = dpi {
        let per_metre = (dpi / 0.0254).round() as u32;
        encoder.set_pixel_dims(Some(png::PixelDimensions {
            xppu: per_metre,
            yppu: per_metre,
            unit: png::Unit::Meter,
        }));
    }
    let mut writer = encoder.write_header().expect("memory takes all");
    writer
        .write_image_data(picture.as_raw())
        .expect("there is a byte for each pixel");
    writer.finish().expect("memory takes all");
    bytes
}

/// Returns a JPEG in colour, its paper a little warm and its ink a little blue; it states its resolution if one is given.
pub(crate) fn jpeg(picture: &GrayImage, dpi: Option<f64>, quality: u8) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, quality);
    if let Some(dpi) = dpi {
        encoder.set_pixel_density(PixelDensity {
            density: (dpi.round() as u16, dpi.round() as u16),
            unit: PixelDensityUnit::Inches,
        });
    }
    let tint = |grey: u8| {
        let warm = u16::from(grey) * 244 / 255 + 6;
        [grey, grey, warm.min(255) as u8]
    };
    let colours: Vec<u8> = picture.as_raw().iter().flat_map(|g| tint(*g)).collect();
    encoder
        .write_image(
            &colours,
            picture.width(),
            picture.height(),
            ExtendedColorType::Rgb8,
        )
        .expect("memory takes all");
    bytes
}
