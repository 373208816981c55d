//! A picture of a printed sheet: grey, and small enough to hold.

use std::io::Cursor;

use image::metadata::Orientation;
use image::{ColorType, DynamicImage, GrayImage, ImageDecoder, ImageFormat, ImageReader, Limits};
use kurbo::Point;

use super::density;
use crate::diagnostic::Diagnostic;

/// An A4 sheet at 1200 dpi has 139 million pixels.
const MOST_PIXELS: u64 = 150_000_000;
/// What decoding may take: the largest picture in three colours of 16 bits.
const MOST_BYTES: u64 = 6 * MOST_PIXELS;
/// No file is larger than the largest picture without compression.
const MOST_FILE_BYTES: usize = 900_000_000;

/// A grey picture as it is seen, 8 bits to the pixel, 0 black.
///
/// Positions are pixels with the origin at the top left *corner*, x right, y down: the first pixel's centre is (0.5, 0.5).
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    grey: GrayImage,
    dpi: Option<f64>,
}

impl Picture {
    /// Reads a PNG, JPEG or TIFF file. Colours become their luma over white, 16 bits become 8.
    ///
    /// # Errors
    ///
    /// Returns a diagnostic if the bytes are no such file, are damaged, or hold more than 150 million pixels.
    pub fn decode(bytes: &[u8]) -> Result<Self, Diagnostic> {
        if bytes.len() > MOST_FILE_BYTES {
            return Err(too_large(format!(
                "the file has {} MB, more than {}",
                bytes.len() / 1_000_000,
                MOST_FILE_BYTES / 1_000_000
            )));
        }
        let mut reader = ImageReader::new(Cursor::new(bytes));
        let format = image::guess_format(bytes).map_err(|_| other_kind())?;
        if ![ImageFormat::Png, ImageFormat::Jpeg, ImageFormat::Tiff].contains(&format) {
            return Err(other_kind());
        }
        reader.set_format(format);
        let mut limits = Limits::default();
        limits.max_alloc = Some(MOST_BYTES);
        reader.limits(limits);
        let mut decoder = reader.into_decoder().map_err(|_| damaged())?;
        let (width_px, height_px) = decoder.dimensions();
        check_size(width_px, height_px)?;
        let exif = decoder.exif_metadata().ok().flatten();
        let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
        let colour = decoder.color_type();
        if decoder.total_bytes() > MOST_BYTES {
            return Err(too_large(
                "it needs more than 900 MB when unpacked".to_owned(),
            ));
        }
        let length = usize::try_from(decoder.total_bytes()).map_err(|_| damaged())?;
        let mut samples = vec![0; length];
        decoder.read_image(&mut samples).map_err(|_| damaged())?;
        let grey = to_grey(samples, colour).ok_or_else(other_kind)?;
        let grey = GrayImage::from_raw(width_px, height_px, grey).ok_or_else(damaged)?;
        let mut seen = DynamicImage::ImageLuma8(grey);
        seen.apply_orientation(orientation);
        Ok(Self {
            grey: seen.into_luma8(),
            dpi: density::tagged_dpi(bytes, exif.as_deref()),
        })
    }

    /// Returns a picture of the given rows of grey values, or `None` if they are not width times height values.
    #[must_use]
    pub fn from_grey(width_px: u32, height_px: u32, grey: Vec<u8>) -> Option<Self> {
        let is_full = u64::try_from(grey.len()) == Ok(u64::from(width_px) * u64::from(height_px));
        let grey = GrayImage::from_raw(width_px, height_px, grey).filter(|_| is_full)?;
        check_size(width_px, height_px).ok()?;
        Some(Self { grey, dpi: None })
    }

    /// Returns the same picture with another word on how many pixels an inch has.
    #[must_use]
    pub fn with_dpi(mut self, dpi: Option<f64>) -> Self {
        self.dpi = dpi.filter(|dpi| density::is_plausible(*dpi));
        self
    }

    /// Returns the width in pixels.
    #[must_use]
    pub fn width_px(&self) -> u32 {
        self.grey.width()
    }

    /// Returns the height in pixels.
    #[must_use]
    pub fn height_px(&self) -> u32 {
        self.grey.height()
    }

    /// Returns the pixels to the inch that the file states, which may be a lie.
    #[must_use]
    pub fn dpi(&self) -> Option<f64> {
        self.dpi
    }

    /// Returns the grey values.
    #[must_use]
    pub fn grey(&self) -> &GrayImage {
        &self.grey
    }

    /// Is `true` for a position that has four pixels around it.
    pub(super) fn holds(&self, at: Point) -> bool {
        at.x >= 0.5
            && at.y >= 0.5
            && at.x < f64::from(self.width_px()) - 0.5
            && at.y < f64::from(self.height_px()) - 0.5
    }

    /// Returns the grey value between the pixels around a position, or `None` outside the picture.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a position inside the picture is positive and far below the range"
    )]
    pub(super) fn value_at(&self, at: Point) -> Option<f64> {
        if !self.holds(at) {
            return None;
        }
        let (x, y) = (at.x - 0.5, at.y - 0.5);
        let (column, row) = (x as usize, y as usize);
        let (dx, dy) = (x - x.floor(), y - y.floor());
        let width = self.grey.width() as usize;
        let start = row * width + column;
        let pixels = self.grey.as_raw();
        let value = |i: usize| f64::from(pixels[i]);
        let top = value(start) * (1.0 - dx) + value(start + 1) * dx;
        let bottom = value(start + width) * (1.0 - dx) + value(start + width + 1) * dx;
        Some(top * (1.0 - dy) + bottom * dy)
    }
}

fn check_size(width_px: u32, height_px: u32) -> Result<(), Diagnostic> {
    let pixels = u64::from(width_px) * u64::from(height_px);
    if pixels == 0 {
        return Err(damaged());
    }
    if pixels > MOST_PIXELS {
        return Err(too_large(format!(
            "the picture has {width_px} x {height_px} pixels, more than {} million",
            MOST_PIXELS / 1_000_000
        )));
    }
    Ok(())
}

/// Turns samples into grey values within the same memory, or returns `None` for samples that are not whole numbers.
fn to_grey(samples: Vec<u8>, colour: ColorType) -> Option<Vec<u8>> {
    let channels = usize::from(colour.channel_count());
    match usize::from(colour.bytes_per_pixel()) / channels {
        1 if channels == 1 => Some(samples),
        bytes @ 1..=2 => Some(pack(samples, channels, bytes)),
        _ => None,
    }
}
/// Writes each pixel's grey value over the samples before it: reading is always ahead of writing.
fn pack(mut samples: Vec<u8>, channels: usize, bytes: usize) -> Vec<u8> {
    let high = if bytes == 2 && cfg!(target_endian = "little") {
        1
    } else {
        0
    };
    let pixels = samples.len() / (channels * bytes);
    for pixel in 0..pixels {
        let start = pixel * channels * bytes + high;
        let sample = |i: usize| u32::from(samples[start + i * bytes]);
        let luma = if channels < 3 {
            sample(0)
        } else {
            // ITU-R BT.601, 2.5.1: 0.299 R + 0.587 G + 0.114 B.
            (299 * sample(0) + 587 * sample(1) + 114 * sample(2) + 500) / 1000
        };
        let seen = if channels.is_multiple_of(2) {
            let alpha = sample(channels - 1);
            (luma * alpha + 255 * (255 - alpha) + 127) / 255
        } else {
            luma
        };
        samples[pixel] = u8::try_from(seen).unwrap_or(u8::MAX);
    }
    samples.truncate(pixels);
    samples.shrink_to_fit();
    samples
}

fn too_large(message: String) -> Diagnostic {
    Diagnostic::error("scan.too-large", message)
        .hint("scan at 300 or 600 dpi, in grey; more pixels do not measure better")
}

fn other_kind() -> Diagnostic {
    Diagnostic::error("scan.kind", "the file is no PNG, JPEG or TIFF picture")
        .hint("save the scan as PNG or TIFF in grey, or as JPEG of the best quality")
}

fn damaged() -> Diagnostic {
    Diagnostic::error(
        "scan.damaged",
        "the picture is damaged: it cannot be decoded",
    )
    .hint("scan the sheet again, or save the picture again from the program that shows it")
}

#[cfg(test)]
mod tests {
    use image::{DynamicImage, ImageBuffer, Luma, LumaA, Rgb, Rgba};

    use super::*;

    fn encoded(image: &DynamicImage, format: ImageFormat) -> Vec<u8> {
        let mut out = Cursor::new(Vec::new());
        image.write_to(&mut out, format).unwrap();
        out.into_inner()
    }

    fn first_grey(image: &DynamicImage) -> u8 {
        let picture = Picture::decode(&encoded(image, ImageFormat::Png)).unwrap();
        picture.grey().as_raw()[0]
    }

    #[test]
    fn colours_become_their_luma_over_white() {
        let rgb = |pixel| DynamicImage::ImageRgb8(ImageBuffer::from_pixel(3, 2, Rgb(pixel)));
        // ITU-R BT.601: 0.299 x 255 = 76.2, 0.587 x 255 = 149.7, 0.114 x 255 = 29.1.
        assert_eq!(first_grey(&rgb([255, 0, 0])), 76);
        assert_eq!(first_grey(&rgb([0, 255, 0])), 150);
        assert_eq!(first_grey(&rgb([0, 0, 255])), 29);
        let clear = ImageBuffer::from_pixel(3, 2, Rgba([0, 0, 0, 0]));
        assert_eq!(first_grey(&DynamicImage::ImageRgba8(clear)), 255);
        // A fifth of black over white: 255 x 0.8 = 204.
        let thin = ImageBuffer::from_pixel(3, 2, LumaA([0, 51]));
        assert_eq!(first_grey(&DynamicImage::ImageLumaA8(thin)), 204);
    }

    #[test]
    fn samples_of_16_bits_keep_their_high_byte() {
        let deep = ImageBuffer::from_pixel(3, 2, Luma([0x80_ff_u16]));
        assert_eq!(first_grey(&DynamicImage::ImageLuma16(deep)), 0x80);
        let deep = ImageBuffer::from_pixel(3, 2, Rgb([0x40_00_u16; 3]));
        assert_eq!(first_grey(&DynamicImage::ImageRgb16(deep)), 0x40);
    }

    #[test]
    fn all_three_kinds_of_file_are_read_and_others_are_not() {
        let grey = DynamicImage::ImageLuma8(ImageBuffer::from_fn(16, 8, |x, _| {
            Luma([if x < 8 { 0 } else { 255 }])
        }));
        for format in [ImageFormat::Png, ImageFormat::Jpeg, ImageFormat::Tiff] {
            let picture = Picture::decode(&encoded(&grey, format)).unwrap();
            assert_eq!((picture.width_px(), picture.height_px()), (16, 8));
            assert!(picture.grey().as_raw()[0] < 20 && picture.grey().as_raw()[15] > 235);
        }
        let other = Picture::decode(b"%PDF-1.7 no picture").unwrap_err();
        assert_eq!(other.code, "scan.kind");
    }

    #[test]
    fn a_file_cut_short_or_overwritten_is_refused_and_never_panics() {
        let grey = DynamicImage::ImageLuma8(ImageBuffer::from_fn(40, 40, |x, y| {
            Luma([u8::try_from((x * 7 + y * 13) % 256).unwrap()])
        }));
        for format in [ImageFormat::Png, ImageFormat::Jpeg, ImageFormat::Tiff] {
            let whole = encoded(&grey, format);
            for end in (0..whole.len()).step_by(7) {
                let _ = Picture::decode(&whole[..end]);
                let mut broken = whole.clone();
                broken[end] ^= 0x55;
                let _ = Picture::decode(&broken);
            }
            assert!(Picture::decode(&whole[..whole.len() / 3]).is_err());
        }
    }

    #[test]
    fn a_picture_of_more_than_150_million_pixels_is_refused_before_it_is_unpacked() {
        // A PNG header that claims 20 000 x 20 000 pixels of grey (PNG specification, 11.2.1), with its CRC.
        let mut header = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
        header.extend(20_000_u32.to_be_bytes().repeat(2));
        header.extend([8, 0, 0, 0, 0]);
        let crc = crc32(&header[12..]);
        header.extend(crc.to_be_bytes());
        header.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e");
        let refused = Picture::decode(&header).unwrap_err();
        assert_eq!(refused.code, "scan.too-large", "{refused:?}");
        assert!(refused.message.contains("20000 x 20000"), "{refused:?}");
    }

    /// PNG specification, annex D.
    fn crc32(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(u32::MAX, |crc, byte| {
            (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
                (crc >> 1) ^ (0xedb8_8320 & (crc & 1).wrapping_neg())
            })
        })
    }

    #[test]
    fn values_between_pixels_are_means_weighted_by_distance() {
        let picture = Picture::from_grey(2, 2, vec![0, 100, 40, 220]).unwrap();
        assert_eq!(picture.value_at(Point::new(0.5, 0.5)), Some(0.0));
        assert_eq!(picture.value_at(Point::new(1.0, 0.5)), Some(50.0));
        // The mean of all four: 360 / 4.
        assert_eq!(picture.value_at(Point::new(1.0, 1.0)), Some(90.0));
        assert_eq!(picture.value_at(Point::new(1.5, 1.0)), None);
        assert_eq!(picture.value_at(Point::new(f64::NAN, 1.0)), None);
        assert_eq!(Picture::from_grey(2, 2, vec![0; 5]), None);
    }
}
