//! PNG and JPEG pictures: decoded once, to know that they can be, within limits.

use std::io::Cursor;

use image::{ImageDecoder, ImageError, ImageFormat, ImageReader, Limits};

use super::asset::Fault;
use super::{code, jpeg};
use crate::drawing::AssetContent;

/// More than a 13 x 19 in sheet at 500 pixels to the inch.
const MOST_PIXELS: u64 = 64_000_000;
/// Memory that decoding may take: 64 megapixels of 16-bit RGBA.
const MOST_BYTES: u64 = 512 * 1024 * 1024;

const PNG_MAGIC: &[u8] = b"\x89PNG\r\n\x1a\n";
const JPEG_MAGIC: &[u8] = b"\xff\xd8\xff";
const GZIP_MAGIC: &[u8] = b"\x1f\x8b";

/// Reads a PNG file; returns it with its height divided by its width.
pub(super) fn read_png(path: &str, bytes: &[u8]) -> Result<(AssetContent, f64), Fault> {
    refuse_other_kind(path, bytes, "PNG", PNG_MAGIC)?;
    let (width_px, height_px) = decode(path, bytes, ImageFormat::Png)?;
    let content = AssetContent::Png {
        bytes: bytes.to_vec(),
        width_px,
        height_px,
    };
    Ok((content, f64::from(height_px) / f64::from(width_px)))
}

/// Reads a JPEG file; returns it with its height divided by its width, both as seen.
pub(super) fn read_jpeg(path: &str, bytes: &[u8]) -> Result<(AssetContent, f64), Fault> {
    refuse_other_kind(path, bytes, "JPEG", JPEG_MAGIC)?;
    let header = jpeg::read_header(bytes).ok_or_else(|| damaged(path, "its header is broken"))?;
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
    let (width_px, height_px) = decode(path, bytes, ImageFormat::Jpeg)?;
    // EXIF 2.3, tag 274: orientations 5 to 8 swap the sides.
    let (across, down) = if header.orientation >= 5 {
        (height_px, width_px)
    } else {
        (width_px, height_px)
    };
    let content = AssetContent::Jpeg {
        bytes: bytes.to_vec(),
        width_px,
        height_px,
        components: header.components,
        orientation: header.orientation,
    };
    Ok((content, f64::from(down) / f64::from(across)))
}

/// Refuses bytes that are not of the kind the file's name says.
pub(super) fn refuse_other_kind(
    path: &str,
    bytes: &[u8],
    wanted: &str,
    magic: &[u8],
) -> Result<(), Fault> {
    if !magic.is_empty() && bytes.starts_with(magic) {
        return Ok(());
    }
    let found = if bytes.is_empty() {
        "an empty file"
    } else if bytes.starts_with(PNG_MAGIC) {
        "a PNG file"
    } else if bytes.starts_with(JPEG_MAGIC) {
        "a JPEG file"
    } else if bytes.starts_with(GZIP_MAGIC) {
        "a compressed file"
    } else if magic.is_empty() {
        return Ok(());
    } else {
        "no picture of that kind"
    };
    let message = format!("\"{path}\" should be {wanted} by its name, but is {found}");
    let hint = format!("save the picture as {wanted}, or correct the end of its name");
    Err(Fault::new(code::ASSET_KIND, message, hint))
}

/// Decodes the picture to know that it can be, and returns its pixels across and down.
fn decode(path: &str, bytes: &[u8], format: ImageFormat) -> Result<(u32, u32), Fault> {
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
    let decoder = reader.into_decoder().map_err(|e| wrong(&e))?;
    let (width_px, height_px) = decoder.dimensions();
    let pixels = u64::from(width_px) * u64::from(height_px);
    if pixels > MOST_PIXELS {
        let size = format!("has {width_px} x {height_px} pixels, more than 64 million");
        return Err(too_large(path, &size));
    }
    if pixels == 0 {
        return Err(damaged(path, "it has no pixels"));
    }
    image::DynamicImage::from_decoder(decoder).map_err(|e| wrong(&e))?;
    Ok((width_px, height_px))
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
