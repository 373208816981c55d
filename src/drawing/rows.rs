//! A PNG file row by row, as the plain 8-bit samples that pages hold.
//!
//! Only a file that is stored interlaced is ever whole in memory, and then at one byte for each sample.

use std::io::Cursor;

use png::{
    BitDepth, ColorType, Decoder, DecodingError, Info, InterlaceInfo, Limits, Reader,
    Transformations, expand_interlaced_row,
};

/// Memory that rows and chunks beside the pixels may take.
const MOST_BYTES: usize = 64 * 1024 * 1024;

/// Exponent from samples to light of the screens and printers that samples without a profile are meant for (PNG, third edition,
/// 13.13, "decoder gamma handling"): a power that is close to sRGB.
const DISPLAY_EXPONENT: f64 = 2.2;

/// How many pixels a picture has, and of what each consists.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PixelForm {
    /// Pixels across.
    pub width_px: u32,
    /// Pixels down.
    pub height_px: u32,
    /// 1 (grey) or 3 (red, green, blue).
    pub components: u8,
    /// Whether a byte of alpha follows the components, 255 is opaque.
    pub has_alpha: bool,
}

impl PixelForm {
    /// Returns the bytes of a pixel.
    #[must_use]
    pub fn channels(self) -> usize {
        usize::from(self.components) + usize::from(self.has_alpha)
    }

    /// Returns the bytes of a row.
    ///
    /// # Panics
    /// If a row does not fit into memory.
    #[must_use]
    pub fn row_bytes(self) -> usize {
        let pixels = usize::try_from(self.width_px).expect("a row fits into memory");
        pixels * self.channels()
    }

    /// Returns how many pixels there are.
    #[must_use]
    pub fn pixels(self) -> u64 {
        u64::from(self.width_px) * u64::from(self.height_px)
    }
}

/// The rows of a PNG file from the top: palettes expanded, small and large samples brought to 8 bits, a stated gamma undone.
pub struct Rows<'f> {
    reader: Reader<Cursor<&'f [u8]>>,
    form: PixelForm,
    is_wide: bool,
    /// The byte for each level from 0 to 65535.
    tones: Vec<u8>,
    row: Vec<u8>,
    /// The whole picture, if it is stored interlaced, once the first row was asked for.
    whole: Option<Vec<u8>>,
    next: u32,
}

impl std::fmt::Debug for Rows<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Rows")
            .field("form", &self.form)
            .field("next", &self.next)
            .finish_non_exhaustive()
    }
}

impl<'f> Rows<'f> {
    /// Reads what stands before the pixels.
    ///
    /// # Errors
    /// If that is no PNG file.
    pub fn open(file: &'f [u8]) -> Result<Self, DecodingError> {
        let limits = Limits { bytes: MOST_BYTES };
        let mut decoder = Decoder::new_with_limits(Cursor::new(file), limits);
        decoder.set_transformations(Transformations::EXPAND);
        decoder.set_ignore_text_chunk(true);
        let reader = decoder.read_info()?;
        let (colour, depth) = reader.output_color_type();
        let (components, has_alpha) = match colour {
            ColorType::Grayscale => (1, false),
            ColorType::GrayscaleAlpha => (1, true),
            ColorType::Rgb => (3, false),
            ColorType::Rgba => (3, true),
            ColorType::Indexed => unreachable!("palettes are expanded"),
        };
        let info = reader.info();
        let form = PixelForm {
            width_px: info.width,
            height_px: info.height,
            components,
            has_alpha,
        };
        let tones = tones(info);
        Ok(Self {
            reader,
            form,
            is_wide: depth == BitDepth::Sixteen,
            tones,
            row: Vec::new(),
            whole: None,
            next: 0,
        })
    }

    /// How many pixels there are, and of what each consists.
    #[must_use]
    pub const fn form(&self) -> PixelForm {
        self.form
    }

    /// The colour profile as the file holds it.
    #[must_use]
    pub fn profile(&self) -> Option<Vec<u8>> {
        let profile = self.reader.info().icc_profile.as_ref()?;
        Some(profile.to_vec())
    }

    /// Whether the file's own samples are these rows, so that its pixels can be taken as they are.
    #[must_use]
    pub fn is_plain(&self) -> bool {
        let info = self.reader.info();
        let is_named = matches!(info.color_type, ColorType::Grayscale | ColorType::Rgb);
        let is_kept = (0..=u16::MAX).all(|level| self.tones[usize::from(level)] == byte(level));
        is_named
            && is_kept
            && info.bit_depth == BitDepth::Eight
            && info.trns.is_none()
            && !info.interlaced
    }

    /// Whether all pixels are in memory once a row was read.
    #[must_use]
    pub fn is_interlaced(&self) -> bool {
        self.reader.info().interlaced
    }

    /// Returns the next row, or `None` after the last one.
    ///
    /// # Errors
    /// If the file is damaged.
    pub fn next_row(&mut self) -> Result<Option<&[u8]>, DecodingError> {
        if self.next == self.form.height_px {
            // A file that breaks off behind its last row is damaged as well.
            self.reader.next_row()?;
            return Ok(None);
        }
        if self.is_interlaced() {
            if self.whole.is_none() {
                self.whole = Some(self.read_whole()?);
            }
            let bytes = self.form.row_bytes();
            let start = usize::try_from(self.next).expect("a row of a picture in memory") * bytes;
            self.next += 1;
            return Ok(self
                .whole
                .as_deref()
                .map(|whole| &whole[start..start + bytes]));
        }
        self.row.clear();
        let Some(row) = self.reader.next_row()? else {
            return Ok(None);
        };
        bring_to_bytes(
            row.data(),
            self.is_wide,
            self.form,
            &self.tones,
            &mut self.row,
        );
        self.next += 1;
        Ok(Some(&self.row))
    }

    fn read_whole(&mut self) -> Result<Vec<u8>, DecodingError> {
        let stride = self.form.row_bytes();
        let rows = usize::try_from(self.form.height_px).expect("rows of a picture in memory");
        let bits = u8::try_from(8 * self.form.channels()).expect("a pixel has four bytes at most");
        let mut whole = vec![0; stride * rows];
        while let Some(part) = self.reader.next_interlaced_row()? {
            self.row.clear();
            bring_to_bytes(
                part.data(),
                self.is_wide,
                self.form,
                &self.tones,
                &mut self.row,
            );
            match part.interlace() {
                InterlaceInfo::Adam7(place) => {
                    expand_interlaced_row(&mut whole, stride, &self.row, place, bits);
                }
                InterlaceInfo::Null(_) => unreachable!("the picture is stored interlaced"),
            }
        }
        Ok(whole)
    }
}

/// Adds samples of 8 or 16 bits as bytes.
fn bring_to_bytes(samples: &[u8], is_wide: bool, form: PixelForm, tones: &[u8], row: &mut Vec<u8>) {
    let (components, channels) = (usize::from(form.components), form.channels());
    let level = |sample: &[u8]| u16::from_be_bytes([sample[0], sample[sample.len() - 1]]);
    let sample_bytes = if is_wide { 2 } else { 1 };
    for (index, sample) in samples.chunks_exact(sample_bytes).enumerate() {
        let level = level(sample);
        row.push(match index % channels < components {
            true => tones[usize::from(level)],
            false => byte(level),
        });
    }
}

/// Returns the byte to store for each level: as it is, unless the file says that its samples are meant for another exponent.
fn tones(info: &Info<'_>) -> Vec<u8> {
    let has_colour_space = info.srgb.is_some()
        || info.icc_profile.is_some()
        || info.coding_independent_code_points.is_some();
    let file_gamma = info
        .gama_chunk
        .map(|gamma| f64::from(gamma.into_value()))
        .filter(|gamma| *gamma > 0.0 && !has_colour_space);
    let levels = 0..=u16::MAX;
    match file_gamma {
        None => levels.map(byte).collect(),
        Some(gamma) => {
            let exponent = 1.0 / (gamma * DISPLAY_EXPONENT);
            levels.map(|level| bent(level, exponent)).collect()
        }
    }
}

/// Returns the nearest of 256 levels.
fn byte(level: u16) -> u8 {
    let rounded = (u32::from(level) * 255 + 32767) / 65535;
    u8::try_from(rounded).expect("65535 * 255 / 65535 is 255")
}

fn bent(level: u16, exponent: f64) -> u8 {
    let light = libm::pow(f64::from(level) / 65535.0, exponent) * 65535.0;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a power of 0 to 1 is from 0 to 1"
    )]
    byte(light.round() as u16)
}

#[cfg(test)]
mod tests {
    use png::{Encoder, ScaledFloat};

    use super::*;

    fn file(
        colour: ColorType,
        depth: BitDepth,
        data: &[u8],
        edit: impl FnOnce(&mut Info<'_>),
    ) -> Vec<u8> {
        let mut info = Info::with_size(2, 1);
        info.color_type = colour;
        info.bit_depth = depth;
        edit(&mut info);
        let mut bytes = Vec::new();
        let mut writer = Encoder::with_info(&mut bytes, info)
            .unwrap()
            .write_header()
            .unwrap();
        writer.write_image_data(data).unwrap();
        writer.finish().unwrap();
        bytes
    }

    /// The only row of a file.
    fn row(file: &[u8]) -> (u8, bool, Vec<u8>) {
        let mut rows = Rows::open(file).unwrap();
        let form = rows.form();
        let row = rows.next_row().unwrap().unwrap().to_vec();
        assert_eq!(rows.next_row().unwrap(), None);
        (form.components, form.has_alpha, row)
    }

    #[test]
    fn sixteen_bits_are_rounded_to_eight() {
        // 0x8080 = 128 * 257 is exactly 128; 0x80FF = 33023 is 128.49 of 255; 0xFFFF is 255.
        let data = [0x80, 0x80, 0xFF, 0xFF, 0, 0, 0x80, 0xFF, 0, 0x7F, 0, 0x81];
        let found = row(&file(ColorType::Rgb, BitDepth::Sixteen, &data, |_| {}));
        // 0x007F = 127 / 257 = 0.49, 0x0081 = 129 / 257 = 0.502.
        assert_eq!(found, (3, false, vec![128, 255, 0, 128, 0, 1]));
    }

    #[test]
    fn palettes_and_their_transparency_are_expanded() {
        let data = [0b1000_0000];
        let found = row(&file(ColorType::Indexed, BitDepth::One, &data, |info| {
            info.palette = Some(vec![10, 20, 30, 200, 100, 50].into());
            info.trns = Some(vec![255, 64].into());
        }));
        assert_eq!(found, (3, true, vec![200, 100, 50, 64, 10, 20, 30, 255]));
    }

    #[test]
    fn small_greys_are_spread_over_the_range() {
        let grey = row(&file(
            ColorType::Grayscale,
            BitDepth::Two,
            &[0b0110_0000],
            |_| {},
        ));
        // Two bits: 1/3 and 2/3 of 255.
        assert_eq!(grey, (1, false, vec![85, 170]));
    }

    #[test]
    fn a_stated_gamma_is_undone_unless_a_colour_space_overrules_it() {
        let gamma = |value: f32| {
            move |info: &mut Info<'_>| info.source_gamma = Some(ScaledFloat::new(value))
        };
        let linear = file(ColorType::Grayscale, BitDepth::Eight, &[0, 55], gamma(1.0));
        // (55/255) ^ (1/2.2) = exp(ln(0.215686) / 2.2) = exp(-0.697163) = 0.497996; times 255 = 126.99.
        assert_eq!(row(&linear).2, [0, 127]);

        let usual = file(
            ColorType::Grayscale,
            BitDepth::Eight,
            &[55, 200],
            gamma(0.45455),
        );
        assert_eq!(row(&usual).2, [55, 200]);
    }

    /// The files were written by hand after the PNG specification (third edition, 8.1), 13 x 11 pixels of 16 bits with alpha.
    #[test]
    fn an_interlaced_picture_has_the_rows_of_the_same_one_stored_in_rows() {
        let all = |file: &[u8]| {
            let mut rows = Rows::open(file).unwrap();
            let mut all = Vec::new();
            while let Some(row) = rows.next_row().unwrap() {
                all.push(row.to_vec());
            }
            (rows.is_interlaced(), all)
        };
        let woven = all(include_bytes!("../../tests/data/pictures/interlaced.png"));
        let plain = all(include_bytes!("../../tests/data/pictures/in-rows.png"));
        assert_eq!((woven.0, plain.0), (true, false));
        assert_eq!((plain.1.len(), plain.1[0].len()), (11, 13 * 4));
        assert_eq!(woven.1, plain.1);
    }

    #[test]
    fn a_file_that_breaks_off_anywhere_in_its_pixels_is_damaged() {
        let whole = include_bytes!("../../tests/data/pictures/in-rows.png");
        let pixels = whole.windows(4).position(|name| name == b"IDAT").unwrap();
        let end = whole.windows(4).position(|name| name == b"IEND").unwrap();
        let reads = |file: &[u8]| {
            let mut rows = Rows::open(file)?;
            while rows.next_row()?.is_some() {}
            Ok::<_, DecodingError>(())
        };
        assert!(reads(whole).is_ok());
        for length in pixels..end - 8 {
            assert!(reads(&whole[..length]).is_err(), "{length} bytes");
        }
        let broken_off = include_bytes!("../../tests/projects/bad/files/broken-off.png");
        assert!(reads(broken_off).is_err());
    }
}
