//! A PNG file as the plain 8-bit samples a document stores.

use std::io::Cursor;

use png::{BitDepth, ColorType, Decoder, Info, Limits, Transformations};

/// Exponent from samples to light of the screens and printers that samples without a profile are meant for (PNG, third edition,
/// 13.13, "decoder gamma handling"): a power that is close to sRGB.
const DISPLAY_EXPONENT: f64 = 2.2;

/// The samples of a picture, row by row from the top.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Pixels {
    /// Pixels across.
    pub(super) width_px: u32,
    /// Pixels down.
    pub(super) height_px: u32,
    /// 1 (grey) or 3 (red, green, blue).
    pub(super) components: u8,
    /// One byte for each component of each pixel.
    pub(super) colour: Vec<u8>,
    /// One byte for each pixel, 255 is opaque; nothing if every pixel is.
    pub(super) alpha: Option<Vec<u8>>,
}

impl Pixels {
    /// Decodes a file that is known to decode.
    pub(super) fn decode(file: &[u8]) -> Self {
        // Whoever took the file in has limited its size.
        let no_limits = Limits { bytes: usize::MAX };
        let mut decoder = Decoder::new_with_limits(Cursor::new(file), no_limits);
        decoder.set_transformations(Transformations::EXPAND);
        let mut reader = decoder.read_info().expect("the file is known to decode");
        let size = reader
            .output_buffer_size()
            .expect("the picture fits into memory");
        let mut samples = vec![0; size];
        let frame = reader
            .next_frame(&mut samples)
            .expect("the file is known to decode");
        samples.truncate(frame.buffer_size());

        let (components, has_alpha) = match frame.color_type {
            ColorType::Grayscale => (1, false),
            ColorType::GrayscaleAlpha => (1, true),
            ColorType::Rgb => (3, false),
            ColorType::Rgba => (3, true),
            ColorType::Indexed => unreachable!("palettes are expanded"),
        };
        let levels = levels(&samples, frame.bit_depth);
        let mut pixels = Self {
            width_px: frame.width,
            height_px: frame.height,
            components,
            colour: Vec::new(),
            alpha: None,
        };
        pixels.take(levels, has_alpha, &tones(reader.info()));
        pixels
    }

    fn take(&mut self, levels: impl Iterator<Item = u16>, has_alpha: bool, tones: &[u8]) {
        let components = usize::from(self.components);
        let channels = components + usize::from(has_alpha);
        let mut alpha = Vec::new();
        for (index, level) in levels.enumerate() {
            if index % channels < components {
                self.colour.push(tones[usize::from(level)]);
            } else {
                alpha.push(byte(level));
            }
        }
        self.alpha = alpha.iter().any(|a| *a < u8::MAX).then_some(alpha);
    }
}

/// Returns samples of 8 or 16 bits as levels from 0 to 65535.
fn levels(samples: &[u8], depth: BitDepth) -> impl Iterator<Item = u16> {
    let sample_bytes = if depth == BitDepth::Sixteen { 2 } else { 1 };
    samples
        .chunks_exact(sample_bytes)
        .map(move |sample| u16::from_be_bytes([sample[0], sample[sample_bytes - 1]]))
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

    #[test]
    fn sixteen_bits_are_rounded_to_eight() {
        // 0x8080 = 128 * 257 is exactly 128; 0x80FF = 33023 is 128.49 of 255; 0xFFFF is 255.
        let data = [0x80, 0x80, 0xFF, 0xFF, 0, 0, 0x80, 0xFF, 0, 0x7F, 0, 0x81];
        let pixels = Pixels::decode(&file(ColorType::Rgb, BitDepth::Sixteen, &data, |_| {}));
        // 0x007F = 127 / 257 = 0.49, 0x0081 = 129 / 257 = 0.502.
        assert_eq!(pixels.colour, [128, 255, 0, 128, 0, 1]);
        assert_eq!((pixels.components, pixels.alpha), (3, None));
    }

    #[test]
    fn palettes_and_their_transparency_are_expanded() {
        let data = [0b1000_0000];
        let pixels = Pixels::decode(&file(ColorType::Indexed, BitDepth::One, &data, |info| {
            info.palette = Some(vec![10, 20, 30, 200, 100, 50].into());
            info.trns = Some(vec![255, 64].into());
        }));
        assert_eq!(pixels.colour, [200, 100, 50, 10, 20, 30]);
        assert_eq!(pixels.alpha, Some(vec![64, 255]));
    }

    #[test]
    fn small_greys_are_spread_over_the_range_and_an_opaque_mask_is_dropped() {
        let grey = Pixels::decode(&file(
            ColorType::Grayscale,
            BitDepth::Two,
            &[0b0110_0000],
            |_| {},
        ));
        // Two bits: 1/3 and 2/3 of 255.
        assert_eq!((grey.components, grey.colour), (1, vec![85, 170]));

        let data = [7, 255, 9, 255];
        let opaque = Pixels::decode(&file(
            ColorType::GrayscaleAlpha,
            BitDepth::Eight,
            &data,
            |_| {},
        ));
        assert_eq!((opaque.colour, opaque.alpha), (vec![7, 9], None));

        let data = [7, 254, 9, 255];
        let veiled = Pixels::decode(&file(
            ColorType::GrayscaleAlpha,
            BitDepth::Eight,
            &data,
            |_| {},
        ));
        assert_eq!(
            (veiled.colour, veiled.alpha),
            (vec![7, 9], Some(vec![254, 255]))
        );
    }

    #[test]
    fn a_stated_gamma_is_undone_unless_a_colour_space_overrules_it() {
        let gamma = |value: f32| {
            move |info: &mut Info<'_>| info.source_gamma = Some(ScaledFloat::new(value))
        };
        let linear = file(ColorType::Grayscale, BitDepth::Eight, &[0, 55], gamma(1.0));
        // (55/255) ^ (1/2.2) = exp(ln(0.215686) / 2.2) = exp(-0.697163) = 0.497996; times 255 = 126.99.
        assert_eq!(Pixels::decode(&linear).colour, [0, 127]);

        let usual = file(
            ColorType::Grayscale,
            BitDepth::Eight,
            &[55, 200],
            gamma(0.45455),
        );
        assert_eq!(Pixels::decode(&usual).colour, [55, 200]);
    }
}
