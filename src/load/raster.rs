//! PNG, JPEG and WebP pictures: decoded once, to know that they can be, within limits.

use std::io::Cursor;

use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageError, ImageFormat, ImageReader, Limits};

use super::asset::Fault;
use super::{code, jpeg, webp};
use crate::drawing::{AssetContent, PixelForm, Rows, png_file};

/// More than a 13 x 19 in sheet at 500 pixels to the inch.
const MOST_PIXELS: u64 = 64_000_000;
/// Memory that decoding may take: 64 megapixels of 16-bit RGBA.
const MOST_BYTES: u64 = 512 * 1024 * 1024;

/// Memory that the file and the pixels of an interlaced picture may take together.
const MOST_WOVEN_BYTES: u64 = 384_000_000;

const PNG_MAGIC: &[u8] = b"\x89PNG\r\n\x1a\n";
const JPEG_MAGIC: &[u8] = b"\xff\xd8\xff";
const GZIP_MAGIC: &[u8] = b"\x1f\x8b";

/// Reads a PNG file; returns it with its height divided by its width.
pub(super) fn read_png(path: &str, bytes: Vec<u8>) -> Result<(AssetContent, f64), Fault> {
    refuse_other_kind(path, &bytes, "PNG")?;
    let broken = |_| damaged(path, "it cannot be decoded");
    let mut rows = Rows::open(&bytes).map_err(broken)?;
    let form = rows.form();
    refuse_size(path, form.width_px, form.height_px)?;
    if rows.is_interlaced() {
        refuse_woven(path, bytes.len(), form)?;
    }
    while rows.next_row().map_err(broken)?.is_some() {}
    Ok(kept_png(bytes, form.width_px, form.height_px))
}

/// Reads a WebP file, which no document can hold: it is kept as a PNG file of the same pixels, as seen; returns that with its height
/// divided by its width.
pub(super) fn read_webp(path: &str, bytes: Vec<u8>) -> Result<(AssetContent, f64), Fault> {
    refuse_other_kind(path, &bytes, "WebP")?;
    let header = webp::read_header(&bytes).ok_or_else(|| damaged(path, "its header is broken"))?;
    if header.is_animated {
        let message = format!("\"{path}\" is a film, not a picture");
        let hint = "save one of its pictures as a file of its own";
        return Err(Fault::new(code::ASSET_KIND, message, hint));
    }
    refuse_size(path, header.width_px, header.height_px)?;
    let (picture, profile) = decode(path, &bytes, ImageFormat::WebP)?;
    drop(bytes);
    let form = PixelForm {
        width_px: picture.width(),
        height_px: picture.height(),
        components: 3,
        has_alpha: picture.color().has_alpha(),
    };
    let samples = picture.as_bytes();
    let kept = png_file(form, profile, |keep| {
        samples.chunks_exact(form.row_bytes()).for_each(keep);
        Ok(())
    })?;
    Ok(kept_png(kept, form.width_px, form.height_px))
}

fn kept_png(bytes: Vec<u8>, width_px: u32, height_px: u32) -> (AssetContent, f64) {
    let content = AssetContent::Png {
        bytes,
        width_px,
        height_px,
    };
    (content, f64::from(height_px) / f64::from(width_px))
}

/// Reads a JPEG file; returns it with its height divided by its width, both as seen.
pub(super) fn read_jpeg(path: &str, bytes: Vec<u8>) -> Result<(AssetContent, f64), Fault> {
    refuse_other_kind(path, &bytes, "JPEG")?;
    let header = jpeg::read_header(&bytes).ok_or_else(|| damaged(path, "its header is broken"))?;
    if header.components == 4 {
        let message = format!("\"{path}\" is a CMYK picture");
        return Err(Fault::new(
            code::ASSET_CMYK,
            message,
            "save it as RGB; a home printer makes its own inks of that",
        ));
    }
    if !header.is_plain || !matches!(header.components, 1 | 3) {
        return Err(damaged(
            path,
            "it is no baseline or progressive JPEG of 8 bits with 1 or 3 colours",
        ));
    }
    let (picture, _) = decode(path, &bytes, ImageFormat::Jpeg)?;
    let (width_px, height_px) = (picture.width(), picture.height());
    // EXIF 2.3, tag 274: orientations 5 to 8 swap the sides.
    let (across, down) = if header.orientation >= 5 {
        (height_px, width_px)
    } else {
        (width_px, height_px)
    };
    let content = AssetContent::Jpeg {
        bytes,
        width_px,
        height_px,
        components: header.components,
        orientation: header.orientation,
    };
    Ok((content, f64::from(down) / f64::from(across)))
}

/// Refuses bytes that are not of the kind the file's name says.
pub(super) fn refuse_other_kind(path: &str, bytes: &[u8], wanted: &str) -> Result<(), Fault> {
    let found = match kind_of(bytes) {
        Some((kind, _)) if kind == wanted => return Ok(()),
        Some((_, found)) => found,
        // An SVG file is text, and its own reader knows what is wrong with it.
        None if wanted == "SVG" => return Ok(()),
        None => "no picture of that kind",
    };
    let message = format!("\"{path}\" should be {wanted} by its name, but is {found}");
    let hint = format!("save the picture as {wanted}, or correct the end of its name");
    Err(Fault::new(code::ASSET_KIND, message, hint))
}

/// The kind of a file by its first bytes, and in words.
fn kind_of(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    if bytes.is_empty() {
        Some(("", "an empty file"))
    } else if bytes.starts_with(PNG_MAGIC) {
        Some(("PNG", "a PNG file"))
    } else if bytes.starts_with(JPEG_MAGIC) {
        Some(("JPEG", "a JPEG file"))
    } else if webp::is_webp(bytes) {
        Some(("WebP", "a WebP file"))
    } else if bytes.starts_with(GZIP_MAGIC) {
        Some(("", "a compressed file"))
    } else {
        None
    }
}

/// Decodes a picture that needs to be in memory for that, as seen but for the orientation of a JPEG file, which is kept in it; returns
/// it with its colour profile.
fn decode(
    path: &str,
    bytes: &[u8],
    format: ImageFormat,
) -> Result<(DynamicImage, Option<Vec<u8>>), Fault> {
    let wrong = |error: &ImageError| match error {
        ImageError::Limits(_) => too_large(path, "needs more than 512 MB to decode"),
        ImageError::Decoding(_)
        | ImageError::Encoding(_)
        | ImageError::Parameter(_)
        | ImageError::Unsupported(_)
        | ImageError::IoError(_) => damaged(path, "it cannot be decoded"),
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_BYTES);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|e| wrong(&e))?;
    let (width_px, height_px) = decoder.dimensions();
    refuse_size(path, width_px, height_px)?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let profile = decoder.icc_profile().ok().flatten();
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|e| wrong(&e))?;
    if format != ImageFormat::Jpeg {
        picture.apply_orientation(orientation);
    }
    Ok((picture, profile))
}

/// An interlaced picture has to be whole in memory beside its file, one byte for each sample.
fn refuse_woven(path: &str, file_bytes: usize, form: PixelForm) -> Result<(), Fault> {
    let samples = form.pixels() * u64::try_from(form.channels()).unwrap_or(u64::MAX);
    let bytes = samples.saturating_add(u64::try_from(file_bytes).unwrap_or(u64::MAX));
    if bytes <= MOST_WOVEN_BYTES {
        return Ok(());
    }
    let mb = |bytes: u64| bytes.div_ceil(1_000_000);
    let message = format!(
        "\"{path}\" is stored interlaced and would take {} MB to put together, more than {} MB",
        mb(bytes),
        mb(MOST_WOVEN_BYTES)
    );
    let hint = "save it without interlacing";
    Err(Fault::new(code::ASSET_TOO_LARGE, message, hint))
}

fn refuse_size(path: &str, width_px: u32, height_px: u32) -> Result<(), Fault> {
    let pixels = u64::from(width_px) * u64::from(height_px);
    if pixels > MOST_PIXELS {
        let size = format!("has {width_px} x {height_px} pixels, more than 64 million");
        return Err(too_large(path, &size));
    }
    if pixels == 0 {
        return Err(damaged(path, "it has no pixels"));
    }
    Ok(())
}

fn too_large(path: &str, how: &str) -> Fault {
    let hint = "save it smaller; 300 pixels to the inch are enough in print";
    Fault::new(code::ASSET_TOO_LARGE, format!("\"{path}\" {how}"), hint)
}

fn damaged(path: &str, why: &str) -> Fault {
    let hint = "open it in a picture editor and save it again";
    Fault::new(
        code::ASSET_DAMAGED,
        format!("\"{path}\" is damaged: {why}"),
        hint,
    )
}
