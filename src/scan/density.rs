//! How many pixels to the inch a picture's file claims to have.
//!
//! PNG keeps it in `pHYs` (PNG specification, 11.3.4.3), JPEG in the JFIF header (ECMA TR/98, 10.1) or in EXIF, and TIFF and EXIF in
//! the tags 282 `XResolution`, 283 `YResolution` and 296 `ResolutionUnit` (TIFF 6.0, section 8).

use crate::length::MM_PER_INCH;

const PNG_START: usize = 8;
/// Files that tell less or more were not written by a scanner or a camera.
const PLAUSIBLE_DPI: std::ops::RangeInclusive<f64> = 20.0..=9600.0;
/// Across and down may differ by rounding to whole pixels per centimetre.
const SAME: f64 = 0.02;

const X_RESOLUTION: u16 = 282;
const Y_RESOLUTION: u16 = 283;
const RESOLUTION_UNIT: u16 = 296;

/// Is `true` for a density that a scanner or camera could have.
pub(super) fn is_plausible(dpi: f64) -> bool {
    PLAUSIBLE_DPI.contains(&dpi)
}

/// Returns the pixels to the inch that the file states; `exif` is the block that its decoder found.
pub(super) fn tagged_dpi(bytes: &[u8], exif: Option<&[u8]>) -> Option<f64> {
    let stated = if bytes.starts_with(b"\x89PNG") {
        png(bytes)
    } else if bytes.starts_with(b"\xff\xd8") {
        jfif(bytes)
    } else {
        tiff(bytes)
    };
    let (x, y) = stated.or_else(|| exif.and_then(tiff))?;
    let is_square = (x - y).abs() <= SAME * x;
    (is_plausible(x) && is_square).then_some(x)
}

fn png(bytes: &[u8]) -> Option<(f64, f64)> {
    let mut at = PNG_START;
    loop {
        let length = usize::try_from(big_u32(bytes, at)?).ok()?;
        let kind = bytes.get(at + 4..at + 8)?;
        let data = at + 8;
        if kind == b"pHYs" {
            let is_metre = *bytes.get(data + 8)? == 1;
            let per_inch = |at| Some(f64::from(big_u32(bytes, at)?) * MM_PER_INCH / 1000.0);
            return is_metre
                .then_some(())
                .and_then(|()| Some((per_inch(data)?, per_inch(data + 4)?)));
        }
        if kind == b"IDAT" {
            return None;
        }
        at = data.checked_add(length)?.checked_add(4)?;
    }
}

fn jfif(bytes: &[u8]) -> Option<(f64, f64)> {
    let mut at = 2;
    loop {
        let [mark, kind] = *bytes.get(at..at + 2)? else {
            return None;
        };
        // The scan begins at 0xDA; no header stands behind it.
        if mark != 0xff || kind == 0xda {
            return None;
        }
        let length = usize::from(big_u16(bytes, at + 2)?);
        let data = bytes.get(at + 4..)?;
        if kind == 0xe0 && data.starts_with(b"JFIF\0") {
            let (x, y) = (f64::from(big_u16(data, 8)?), f64::from(big_u16(data, 10)?));
            return match *data.get(7)? {
                1 => Some((x, y)),
                2 => Some((x * MM_PER_INCH / 10.0, y * MM_PER_INCH / 10.0)),
                _ => None,
            };
        }
        at += 2 + length;
    }
}

/// Reads the first directory of a TIFF file or an EXIF block.
fn tiff(bytes: &[u8]) -> Option<(f64, f64)> {
    let is_little = match bytes.get(..4)? {
        b"II*\0" => true,
        b"MM\0*" => false,
        _ => return None,
    };
    let file = Ordered { bytes, is_little };
    let directory = usize::try_from(file.u32(4)?).ok()?;
    let (mut x, mut y, mut unit_in) = (None, None, 1.0);
    for entry in 0..usize::from(file.u16(directory)?) {
        let at = directory + 2 + 12 * entry;
        match file.u16(at)? {
            X_RESOLUTION => x = file.ratio(at + 8),
            Y_RESOLUTION => y = file.ratio(at + 8),
            RESOLUTION_UNIT if file.u16(at + 8)? == 3 => unit_in = MM_PER_INCH / 10.0,
            RESOLUTION_UNIT if file.u16(at + 8)? == 1 => return None,
            _ => {}
        }
    }
    let x = x? * unit_in;
    Some((x, y.map_or(x, |y| y * unit_in)))
}

struct Ordered<'a> {
    bytes: &'a [u8],
    is_little: bool,
}

impl Ordered<'_> {
    fn u16(&self, at: usize) -> Option<u16> {
        let pair = self.bytes.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if self.is_little {
            u16::from_le_bytes(pair)
        } else {
            u16::from_be_bytes(pair)
        })
    }

    fn u32(&self, at: usize) -> Option<u32> {
        let four = self.bytes.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if self.is_little {
            u32::from_le_bytes(four)
        } else {
            u32::from_be_bytes(four)
        })
    }

    /// Reads the fraction whose place stands at `at`.
    fn ratio(&self, at: usize) -> Option<f64> {
        let place = usize::try_from(self.u32(at)?).ok()?;
        let (above, below) = (self.u32(place)?, self.u32(place.checked_add(4)?)?);
        (below > 0).then(|| f64::from(above) / f64::from(below))
    }
}

fn big_u16(bytes: &[u8], at: usize) -> Option<u16> {
    let pair = bytes.get(at..at.checked_add(2)?)?.try_into().ok()?;
    Some(u16::from_be_bytes(pair))
}

fn big_u32(bytes: &[u8], at: usize) -> Option<u32> {
    let four = bytes.get(at..at.checked_add(4)?)?.try_into().ok()?;
    Some(u32::from_be_bytes(four))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chunk(kind: [u8; 4], data: &[u8]) -> Vec<u8> {
        let mut out = u32::try_from(data.len()).unwrap().to_be_bytes().to_vec();
        out.extend(kind);
        out.extend(data);
        out.extend([0; 4]);
        out
    }

    fn png_with(data: &[u8]) -> Vec<u8> {
        let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
        out.extend(chunk(*b"IHDR", &[0; 13]));
        out.extend(chunk(*b"pHYs", data));
        out.extend(chunk(*b"IDAT", &[]));
        out
    }

    fn tiff_with(is_little: bool, unit: u16) -> Vec<u8> {
        let two = |v: u16| {
            if is_little {
                v.to_le_bytes()
            } else {
                v.to_be_bytes()
            }
        };
        let four = |v: u32| {
            if is_little {
                v.to_le_bytes()
            } else {
                v.to_be_bytes()
            }
        };
        let mut out = if is_little {
            b"II".to_vec()
        } else {
            b"MM".to_vec()
        };
        out.extend(two(42));
        out.extend(four(8));
        out.extend(two(2));
        for (tag, kind, value) in [
            (282, 5, four(38).to_vec()),
            (296, 3, [two(unit), two(0)].concat()),
        ] {
            out.extend(two(tag));
            out.extend(two(kind));
            out.extend(four(1));
            out.extend(value);
        }
        out.extend(four(0));
        out.extend(four(1200));
        out.extend(four(2));
        out
    }

    #[test]
    fn a_png_of_11811_pixels_to_the_metre_has_300_to_the_inch() {
        let mut data = 11_811_u32.to_be_bytes().repeat(2);
        data.push(1);
        let dpi = tagged_dpi(&png_with(&data), None).unwrap();
        assert!((dpi - 299.9994).abs() < 1e-4, "{dpi}");
        data[8] = 0;
        assert_eq!(tagged_dpi(&png_with(&data), None), None);
    }

    #[test]
    fn a_jpeg_states_its_density_by_the_inch_or_the_centimetre() {
        let jpeg = |unit, density: u16| {
            let mut out = b"\xff\xd8\xff\xe0\x00\x10JFIF\0\x01\x02".to_vec();
            out.push(unit);
            out.extend(density.to_be_bytes().repeat(2));
            out.extend([0, 0, 0xff, 0xda]);
            out
        };
        assert_eq!(tagged_dpi(&jpeg(1, 600), None), Some(600.0));
        assert_eq!(tagged_dpi(&jpeg(2, 100), None), Some(254.0));
        assert_eq!(tagged_dpi(&jpeg(0, 1), None), None);
        assert_eq!(
            tagged_dpi(&jpeg(0, 1), Some(&tiff_with(false, 2))),
            Some(600.0)
        );
    }

    #[test]
    fn a_tiff_states_its_density_in_either_byte_order() {
        for is_little in [false, true] {
            assert_eq!(tagged_dpi(&tiff_with(is_little, 2), None), Some(600.0));
            assert_eq!(tagged_dpi(&tiff_with(is_little, 3), None), Some(1524.0));
            assert_eq!(tagged_dpi(&tiff_with(is_little, 1), None), None);
        }
    }

    #[test]
    fn a_file_cut_short_anywhere_states_nothing_or_the_same() {
        let mut data = 11_811_u32.to_be_bytes().repeat(2);
        data.push(1);
        for whole in [png_with(&data), tiff_with(true, 2)] {
            let stated = tagged_dpi(&whole, None);
            for end in 0..whole.len() {
                let part = tagged_dpi(&whole[..end], None);
                assert!(part.is_none() || part == stated);
            }
        }
    }

    #[test]
    fn a_density_of_1_or_of_two_kinds_is_none() {
        let mut data = 39_u32.to_be_bytes().repeat(2);
        data.push(1);
        assert_eq!(tagged_dpi(&png_with(&data), None), None);
        let mut data = [11_811_u32.to_be_bytes(), 5_906_u32.to_be_bytes()].concat();
        data.push(1);
        assert_eq!(tagged_dpi(&png_with(&data), None), None);
    }
}
