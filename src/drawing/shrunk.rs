//! Pictures of pixels made smaller, row by row.
//!
//! Each new pixel is the mean of the area it covers of the old ones, colours weighed by their alpha. Areas are whole numbers: an old
//! pixel is as wide as the new picture has pixels across, a new one as the old picture has, and the same down. So sums are exact, and no
//! more than two rows are ever in memory.

use std::io::Write;

use png::{BitDepth, ColorType, DecodingError, Encoder, Info};

use super::{PixelForm, Rows};

/// Returns the picture with this size as 8-bit rows under each other, given to `keep` one by one.
///
/// # Errors
/// If the file is damaged.
///
/// # Panics
/// If the new size has no pixels, or more across or down than the old one.
pub fn shrink(
    mut rows: Rows<'_>,
    (width_px, height_px): (u32, u32),
    mut keep: impl FnMut(&[u8]),
) -> Result<(), DecodingError> {
    let old = rows.form();
    assert!(
        (1..=old.width_px).contains(&width_px) && (1..=old.height_px).contains(&height_px),
        "the new size is no larger"
    );
    let new = PixelForm {
        width_px,
        height_px,
        ..old
    };
    let mut sums = Sums::new(old, new);
    let mut across = vec![0; sums.sums.len()];
    let mut done = vec![0; new.row_bytes()];
    let (step, full) = (u64::from(height_px), u64::from(old.height_px));
    // How much of the new row is still to come.
    let mut room = full;
    while let Some(row) = rows.next_row()? {
        sums.across(row, &mut across);
        let here = step.min(room);
        sums.add(&across, here);
        room -= here;
        if room == 0 {
            sums.finish(&mut done);
            keep(&done);
            sums.add(&across, step - here);
            room = full - (step - here);
        }
    }
    Ok(())
}

/// A new row as far as it is known.
struct Sums {
    old: PixelForm,
    new: PixelForm,
    /// For each channel of each new pixel; colours are multiplied by their alpha.
    sums: Vec<u64>,
}

impl Sums {
    fn new(old: PixelForm, new: PixelForm) -> Self {
        let sums = vec![0; new.row_bytes()];
        Self { old, new, sums }
    }

    /// Sums an old row up across.
    fn across(&self, row: &[u8], across: &mut [u64]) {
        across.fill(0);
        let channels = self.old.channels();
        let (step, full) = (u64::from(self.new.width_px), u64::from(self.old.width_px));
        let (mut at, mut room) = (0, full);
        for pixel in row.chunks_exact(channels) {
            let here = step.min(room);
            self.add_pixel(pixel, here, &mut across[at..at + channels]);
            room -= here;
            if room == 0 {
                at += channels;
                if here < step {
                    self.add_pixel(pixel, step - here, &mut across[at..at + channels]);
                }
                room = full - (step - here);
            }
        }
    }

    fn add_pixel(&self, pixel: &[u8], weight: u64, sums: &mut [u64]) {
        match (self.old.has_alpha, pixel.split_last()) {
            (true, Some((alpha, colours))) => {
                let weight = weight * u64::from(*alpha);
                for (sum, colour) in sums.iter_mut().zip(colours) {
                    *sum += weight * u64::from(*colour);
                }
                sums[colours.len()] += weight;
            }
            (true | false, _) => {
                for (sum, colour) in sums.iter_mut().zip(pixel) {
                    *sum += weight * u64::from(*colour);
                }
            }
        }
    }

    fn add(&mut self, across: &[u64], weight: u64) {
        for (sum, across) in self.sums.iter_mut().zip(across) {
            *sum += across * weight;
        }
    }

    /// Writes the row and begins the next one.
    fn finish(&mut self, row: &mut [u8]) {
        let area = self.old.pixels();
        let channels = self.new.channels();
        let pixels = self.sums.chunks_exact_mut(channels);
        for (sums, pixel) in pixels.zip(row.chunks_exact_mut(channels)) {
            let whole = match self.new.has_alpha {
                true => {
                    let alpha = sums[channels - 1];
                    pixel[channels - 1] = mean(alpha, area);
                    alpha
                }
                false => area,
            };
            let colours = usize::from(self.new.components);
            for (sum, colour) in sums[..colours].iter().zip(&mut *pixel) {
                *colour = mean(*sum, whole);
            }
            sums.fill(0);
        }
    }
}

/// The nearest whole number; 0 of nothing, since what cannot be seen has no colour.
fn mean(sum: u64, of: u64) -> u8 {
    let rounded = (sum + of / 2).checked_div(of).unwrap_or(0);
    u8::try_from(rounded).expect("a mean of bytes is a byte")
}

/// Returns rows of 8-bit samples as a plain PNG file: not interlaced, and nothing in it but pixels and the colour profile.
///
/// # Errors
/// If what gives the rows does.
///
/// # Panics
/// If the rows are not those that the form says.
pub fn png_file<E>(
    form: PixelForm,
    profile: Option<Vec<u8>>,
    give: impl FnOnce(&mut dyn FnMut(&[u8])) -> Result<(), E>,
) -> Result<Vec<u8>, E> {
    let mut file = Vec::new();
    let mut info = Info::with_size(form.width_px, form.height_px);
    info.color_type = match (form.components, form.has_alpha) {
        (1, false) => ColorType::Grayscale,
        (1, true) => ColorType::GrayscaleAlpha,
        (_, false) => ColorType::Rgb,
        (_, true) => ColorType::Rgba,
    };
    info.bit_depth = BitDepth::Eight;
    info.icc_profile = profile.map(Into::into);
    let encoder = Encoder::with_info(&mut file, info);
    let written = "memory takes every byte, and the rows are those of the form";
    let mut writer = encoder.and_then(Encoder::write_header).expect(written);
    let mut stream = writer.stream_writer().expect(written);
    let given = give(&mut |row| stream.write_all(row).expect(written));
    if given.is_ok() {
        stream.finish().expect(written);
    } else {
        drop(stream);
    }
    drop(writer);
    given.map(|()| file)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shrunk(form: PixelForm, rows: &[&[u8]], size: (u32, u32)) -> Vec<u8> {
        let file = png_file(form, None, |keep| {
            rows.iter().for_each(|row| keep(row));
            Ok::<_, ()>(())
        })
        .unwrap();
        let mut found = Vec::new();
        shrink(Rows::open(&file).unwrap(), size, |row| found.extend(row)).unwrap();
        found
    }

    fn form(width_px: u32, height_px: u32, components: u8, has_alpha: bool) -> PixelForm {
        PixelForm {
            width_px,
            height_px,
            components,
            has_alpha,
        }
    }

    #[test]
    fn a_new_pixel_is_the_mean_of_the_area_it_covers() {
        // Three pixels on two: each covers one and a half, (60 + 90/2) / 1.5 = 70 and (90/2 + 240) / 1.5 = 190.
        assert_eq!(
            shrunk(form(3, 1, 1, false), &[&[60, 90, 240]], (2, 1)),
            [70, 190]
        );
        // The same down.
        let column: [&[u8]; 3] = [&[60], &[90], &[240]];
        assert_eq!(shrunk(form(1, 3, 1, false), &column, (1, 2)), [70, 190]);
        // Four by two on one: the mean of all.
        let rows: [&[u8]; 2] = [&[0, 10, 20, 30], &[40, 50, 60, 70]];
        assert_eq!(shrunk(form(4, 2, 1, false), &rows, (1, 1)), [35]);
        // The same size changes nothing.
        assert_eq!(shrunk(form(4, 2, 1, false), &rows, (4, 2)), rows.concat());
    }

    #[test]
    fn what_cannot_be_seen_colours_nothing() {
        // Red opaque beside clear green: half as opaque, and still red. Beside half clear blue: (255 * 255 + 0) / (255 + 128) red.
        let row: &[u8] = &[255, 0, 0, 255, 0, 255, 0, 0, 255, 0, 0, 255, 0, 0, 255, 128];
        let found = shrunk(form(4, 1, 3, true), &[row], (2, 1));
        // 255 * 255 / 383 = 169.8, 255 * 128 / 383 = 85.2, (255 + 128) / 2 = 191.5.
        assert_eq!(found, [255, 0, 0, 128, 170, 0, 85, 192]);
    }

    /// Against Pillow 13, whose `reduce` averages four by five pixels.
    #[test]
    fn grain_comes_out_as_another_library_averages_it() {
        let grain = include_bytes!("../../tests/data/pictures/grain.png");
        let wanted = include_bytes!("../../tests/data/pictures/grain-smaller.png");
        let mut found = Vec::new();
        shrink(Rows::open(grain).unwrap(), (15, 8), |row| {
            found.extend_from_slice(row);
        })
        .unwrap();
        let mut rows = Rows::open(wanted).unwrap();
        let mut wanted = Vec::new();
        while let Some(row) = rows.next_row().unwrap() {
            wanted.extend_from_slice(row);
        }
        assert_eq!(found.len(), wanted.len());
        let most = found.iter().zip(&wanted).map(|(a, b)| a.abs_diff(*b)).max();
        assert!(most <= Some(1), "{most:?}");
    }
}
