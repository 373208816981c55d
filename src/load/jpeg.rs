//! What the segments before the first scan of a JPEG file say: colours, coding, and the EXIF orientation.
//!
//! Markers are those of ITU-T T.81, table B.1; the orientation is tag 274 of the first image file directory of a TIFF
//! structure, as EXIF stores it in segment APP1.

/// A JPEG file's header.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct JpegHeader {
    /// Number of colours of each pixel.
    pub(super) components: u8,
    /// Whether the coding is baseline, extended sequential or progressive with Huffman codes, of 8 bits.
    pub(super) is_plain: bool,
    /// EXIF orientation 1 to 8; 1 where none is given.
    pub(super) orientation: u8,
}

const APP1: u8 = 0xe1;
const START_OF_SCAN: u8 = 0xda;
const END_OF_IMAGE: u8 = 0xd9;
const ORIENTATION_TAG: u16 = 274;

/// Returns the header, or `None` if there is no frame before the first scan.
pub(super) fn read_header(bytes: &[u8]) -> Option<JpegHeader> {
    let mut orientation = 1;
    let mut at = 2;
    loop {
        while *bytes.get(at)? == 0xff && *bytes.get(at + 1)? == 0xff {
            at += 1;
        }
        if bytes[at] != 0xff {
            return None;
        }
        let marker = bytes[at + 1];
        if matches!(marker, START_OF_SCAN | END_OF_IMAGE) {
            return None;
        }
        let length = usize::from(u16::from_be_bytes([
            *bytes.get(at + 2)?,
            *bytes.get(at + 3)?,
        ]));
        let segment = bytes.get(at + 4..at + 2 + length)?;
        if marker == APP1 {
            orientation = exif_orientation(segment).unwrap_or(orientation);
        }
        if is_frame(marker) {
            return Some(JpegHeader {
                components: *segment.get(5)?,
                is_plain: matches!(marker, 0xc0..=0xc2) && segment[0] == 8,
                orientation,
            });
        }
        at += 2 + length;
    }
}

/// Start of frame: C0 to CF without the tables C4 (Huffman), C8 (reserved) and CC (arithmetic).
fn is_frame(marker: u8) -> bool {
    matches!(marker, 0xc0..=0xcf) && !matches!(marker, 0xc4 | 0xc8 | 0xcc)
}

fn exif_orientation(segment: &[u8]) -> Option<u8> {
    let tiff = segment.strip_prefix(b"Exif\0\0")?;
    let is_little = match tiff.get(..4)? {
        b"II*\0" => true,
        b"MM\0*" => false,
        _ => return None,
    };
    let two = |at: usize| {
        let pair = [*tiff.get(at)?, *tiff.get(at + 1)?];
        Some(if is_little {
            u16::from_le_bytes(pair)
        } else {
            u16::from_be_bytes(pair)
        })
    };
    let four = |at: usize| {
        let quad = tiff.get(at..at + 4)?.try_into().ok()?;
        let value = if is_little {
            u32::from_le_bytes(quad)
        } else {
            u32::from_be_bytes(quad)
        };
        usize::try_from(value).ok()
    };
    let directory = four(4)?;
    let entries = usize::from(two(directory)?);
    (0..entries)
        .map(|i| directory + 2 + 12 * i)
        .find(|entry| two(*entry) == Some(ORIENTATION_TAG))
        .and_then(|entry| two(entry + 8))
        .and_then(|value| u8::try_from(value).ok())
        .filter(|value| (1..=8).contains(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Start of image, an EXIF segment built by hand after TIFF 6.0, then a start of frame.
    fn file(is_little: bool, orientation: u16, frame: u8, components: u8) -> Vec<u8> {
        let two = |n: u16| {
            if is_little {
                n.to_le_bytes()
            } else {
                n.to_be_bytes()
            }
        };
        let four = |n: u32| {
            if is_little {
                n.to_le_bytes()
            } else {
                n.to_be_bytes()
            }
        };
        let mut tiff = if is_little {
            b"II*\0".to_vec()
        } else {
            b"MM\0*".to_vec()
        };
        tiff.extend(four(8));
        tiff.extend(two(2));
        for (tag, value) in [(256_u16, 40_u16), (ORIENTATION_TAG, orientation)] {
            tiff.extend(two(tag));
            tiff.extend(two(3));
            tiff.extend(four(1));
            tiff.extend(two(value));
            tiff.extend(two(0));
        }
        tiff.extend(four(0));
        let mut bytes = vec![0xff, 0xd8, 0xff, APP1];
        bytes.extend(u16::try_from(tiff.len() + 8).unwrap().to_be_bytes());
        bytes.extend(b"Exif\0\0");
        bytes.extend(tiff);
        // A fill byte, a Huffman table, then the frame.
        bytes.extend([0xff, 0xff, 0xc4, 0, 3, 0]);
        bytes.extend([0xff, frame, 0, 9, 8, 0, 40, 0, 60, components, 1]);
        bytes
    }

    #[test]
    fn the_orientation_is_found_in_either_byte_order() {
        for is_little in [true, false] {
            let header = read_header(&file(is_little, 6, 0xc0, 3)).unwrap();
            assert_eq!(
                (header.orientation, header.components, header.is_plain),
                (6, 3, true)
            );
        }
    }

    #[test]
    fn an_orientation_that_means_nothing_is_upright() {
        for orientation in [0, 9, 700] {
            assert_eq!(
                read_header(&file(true, orientation, 0xc2, 1))
                    .unwrap()
                    .orientation,
                1
            );
        }
    }

    #[test]
    fn colours_and_coding_are_told_apart() {
        assert_eq!(read_header(&file(true, 1, 0xc0, 4)).unwrap().components, 4);
        for lossless_or_arithmetic in [0xc3, 0xc9] {
            assert!(
                !read_header(&file(true, 1, lossless_or_arithmetic, 3))
                    .unwrap()
                    .is_plain
            );
        }
    }

    #[test]
    fn every_cut_off_file_is_refused() {
        let whole = file(true, 6, 0xc0, 3);
        for length in 0..whole.len() - 1 {
            assert_eq!(read_header(&whole[..length]), None, "{length} bytes");
        }
    }
}
