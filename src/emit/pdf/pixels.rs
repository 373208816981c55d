//! A PNG file as the packed 8-bit samples a document stores.
//!
//! The pixels of a PNG file are packed as a document may have them: each row filtered, all of them deflated (ISO 32000-1, 7.4.4.4,
//! predictor 15). So they are taken as they are where nothing else is to be done to them.

use crate::drawing::{PixelForm, Rows, png_file};

/// What comes before the first chunk of a PNG file.
const SIGNATURE_BYTES: usize = 8;
/// Length and name before what a chunk holds, and the check value behind it.
const BEFORE_BYTES: usize = 8;
const BEHIND_BYTES: usize = 4;

/// The samples of a picture, row by row from the top.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Pixels {
    /// Pixels across.
    pub(super) width_px: u32,
    /// Pixels down.
    pub(super) height_px: u32,
    /// 1 (grey) or 3 (red, green, blue).
    pub(super) components: u8,
    /// One byte for each component of each pixel, packed.
    pub(super) colour: Vec<u8>,
    /// One byte for each pixel, 255 is opaque, packed; nothing if every pixel is.
    pub(super) alpha: Option<Vec<u8>>,
}

impl Pixels {
    /// Takes a file that is known to decode.
    pub(super) fn of(file: &[u8]) -> Self {
        let rows = open(file);
        let form = rows.form();
        let colour = match rows.is_plain() {
            true => packed(file),
            false => {
                let count = usize::from(form.components);
                plane(file, form.components, move |pixel| &pixel[..count])
            }
        };
        let is_clear = form.has_alpha && has_clear(file);
        let alpha = is_clear.then(|| plane(file, 1, |pixel| &pixel[pixel.len() - 1..]));
        Self {
            width_px: form.width_px,
            height_px: form.height_px,
            components: form.components,
            colour,
            alpha,
        }
    }
}

fn open(file: &[u8]) -> Rows<'_> {
    Rows::open(file).expect("the file is known to decode")
}

fn each_row(file: &[u8], mut see: impl FnMut(&[u8])) {
    let mut rows = open(file);
    while let Some(row) = rows.next_row().expect("the file is known to decode") {
        see(row);
    }
}

fn has_clear(file: &[u8]) -> bool {
    let channels = open(file).form().channels();
    let mut found = false;
    each_row(file, |row| {
        found |= row
            .chunks_exact(channels)
            .any(|pixel| pixel[channels - 1] < u8::MAX);
    });
    found
}

/// Some channels of each pixel, packed.
fn plane(file: &[u8], components: u8, take: impl Fn(&[u8]) -> &[u8]) -> Vec<u8> {
    let whole = open(file).form();
    let form = PixelForm {
        components,
        has_alpha: false,
        ..whole
    };
    let mut taken = Vec::new();
    let Ok(made) = png_file(form, None, |keep| {
        each_row(file, |row| {
            taken.clear();
            for pixel in row.chunks_exact(whole.channels()) {
                taken.extend_from_slice(take(pixel));
            }
            keep(&taken);
        });
        Ok::<_, std::convert::Infallible>(())
    });
    packed(&made)
}

/// What the chunks with pixels of a PNG file hold, one behind the other.
fn packed(file: &[u8]) -> Vec<u8> {
    let mut pixels = Vec::new();
    let mut rest = &file[SIGNATURE_BYTES..];
    while let Some((before, behind)) = rest.split_at_checked(BEFORE_BYTES) {
        let (length, name) = before.split_at(4);
        let length = length
            .iter()
            .fold(0, |length, byte| (length << 8) | usize::from(*byte));
        let Some((held, next)) = behind.split_at_checked(length) else {
            break;
        };
        if name == b"IDAT" {
            pixels.extend_from_slice(held);
        }
        rest = next.get(BEHIND_BYTES..).unwrap_or_default();
    }
    pixels
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(components: u8, has_alpha: bool, rows: &[&[u8]]) -> Vec<u8> {
        let form = PixelForm {
            width_px: 2,
            height_px: u32::try_from(rows.len()).unwrap(),
            components,
            has_alpha,
        };
        let made = png_file(form, None, |keep| {
            rows.iter().for_each(|row| keep(row));
            Ok::<_, ()>(())
        });
        made.unwrap()
    }

    fn grey(rows: &[&[u8]]) -> Vec<u8> {
        packed(&file(1, false, rows))
    }

    #[test]
    fn colours_and_alpha_are_stored_apart_and_an_opaque_mask_is_dropped() {
        let opaque = Pixels::of(&file(1, true, &[&[7, 255, 9, 255]]));
        assert_eq!((opaque.colour, opaque.alpha), (grey(&[&[7, 9]]), None));

        let veiled = Pixels::of(&file(1, true, &[&[7, 254, 9, 255], &[1, 0, 2, 3]]));
        assert_eq!(veiled.colour, grey(&[&[7, 9], &[1, 2]]));
        assert_eq!(veiled.alpha, Some(grey(&[&[254, 255], &[0, 3]])));
    }

    #[test]
    fn plain_pixels_are_taken_as_the_file_has_them() {
        let mut file = Vec::new();
        let mut encoder = png::Encoder::new(&mut file, 2, 1);
        encoder.set_color(png::ColorType::Rgb);
        let mut writer = encoder.write_header().unwrap();
        // By this way of writing there is one chunk of pixels.
        writer.write_image_data(&[1, 2, 3, 4, 5, 6]).unwrap();
        writer.finish().unwrap();
        let at = file.windows(4).position(|w| w == b"IDAT").unwrap();
        let length = usize::from(file[at - 1]);
        assert_eq!(Pixels::of(&file).colour, file[at + 4..at + 4 + length]);
    }
}
