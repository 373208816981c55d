//! Checks pictures in pixels: they open, and have the proportions of their sheet or page.

use std::io::Cursor;

use image::{ImageFormat, ImageReader, Limits};

use super::plan::PlannedSheet;
use super::verdict::{FileVerdict, Finding, Tally};

/// Pixels along a side at most: a sheet of 1 m at 600 dpi.
const MOST_PX: u32 = 24_000;

/// Bytes that a picture may take when opened.
const MOST_BYTES: u64 = 1 << 30;

/// Checks the picture of a sheet.
pub(super) fn check(name: &str, bytes: &[u8], sheet: &PlannedSheet<'_>) -> FileVerdict {
    let paper = sheet.paper();
    check_page(name, bytes, [paper.width(), paper.height()])
}

/// Checks the picture of a page of this width and height.
pub(super) fn check_page(name: &str, bytes: &[u8], page_mm: [f64; 2]) -> FileVerdict {
    let mut tally = Tally::new(name);
    tally.count();
    match decode(bytes) {
        Err(error) => tally.add(unreadable(&error)),
        Ok(pixels) => check_proportions(&mut tally, pixels, page_mm),
    }
    tally.finish()
}

fn unreadable(error: &str) -> Finding {
    let message = format!("the picture cannot be opened: {error}");
    Finding::new("verify.unreadable", message)
}

fn decode(bytes: &[u8]) -> Result<(u32, u32), String> {
    let mut limits = Limits::default();
    limits.max_image_width = Some(MOST_PX);
    limits.max_image_height = Some(MOST_PX);
    limits.max_alloc = Some(MOST_BYTES);
    let mut reader = ImageReader::with_format(Cursor::new(bytes), ImageFormat::Png);
    reader.limits(limits);
    let picture = reader.decode().map_err(|error| error.to_string())?;
    Ok((picture.width(), picture.height()))
}

fn check_proportions(tally: &mut Tally, (width_px, height_px): (u32, u32), page_mm: [f64; 2]) {
    let [width_mm, height_mm] = page_mm;
    let planned_width_px = f64::from(height_px) * width_mm / height_mm;
    let planned_height_px = f64::from(width_px) * height_mm / width_mm;
    let off_px = (f64::from(width_px) - planned_width_px)
        .abs()
        .min((f64::from(height_px) - planned_height_px).abs());
    tally.count();
    // One pixel is what rounding both sides to whole pixels can take.
    if off_px > 1.0 {
        let planned = format!("{planned_width_px:.1} x {height_px} pixels");
        let found = format!("{width_px} x {height_px} pixels");
        tally.add(Finding::numbers(
            "verify.page-box",
            "proportions of the picture",
            planned,
            found,
        ));
    }
}
