//! What the chunks of a WebP file say before anything is decoded (RFC 9649, 2.3 to 2.7).

/// A WebP file's header.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct WebpHeader {
    /// Pixels across, as stored.
    pub(super) width_px: u32,
    /// Pixels down, as stored.
    pub(super) height_px: u32,
    /// Whether it holds more than one picture.
    pub(super) is_animated: bool,
}

/// Bytes of a chunk's name and length.
const BEFORE_BYTES: usize = 8;
/// Bit of the first byte of an extended header that stands for an animation.
const ANIMATION: u8 = 0b0000_0010;
/// What the pixels of a lossy picture begin with, behind the three bytes of the frame tag (RFC 6386, 9.1).
const KEY_FRAME: [u8; 3] = [0x9d, 0x01, 0x2a];
/// What the pixels of a lossless picture begin with (RFC 9649, 3.4).
const LOSSLESS: u8 = 0x2f;
/// Sides have 14 bits.
const SIDE: u32 = 0x3fff;

/// Whether the file is a RIFF container of that kind.
pub(super) fn is_webp(bytes: &[u8]) -> bool {
    bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP")
}

/// Returns the header, or `None` if there are no pixels, or if they are of another size than the header says.
pub(super) fn read_header(bytes: &[u8]) -> Option<WebpHeader> {
    let mut rest = bytes.get(12..)?;
    let mut extended = None;
    loop {
        let (name, held, next) = chunk(rest)?;
        let size = match name {
            b"VP8X" => {
                let header = read_extended(held)?;
                if header.is_animated {
                    return Some(header);
                }
                extended = Some(header);
                None
            }
            b"VP8 " => Some(read_lossy(held)?),
            b"VP8L" => Some(read_lossless(held)?),
            _ => None,
        };
        if let Some((width_px, height_px)) = size {
            let stored = WebpHeader {
                width_px,
                height_px,
                is_animated: false,
            };
            return Some(stored).filter(|stored| extended.is_none_or(|said| said == *stored));
        }
        rest = next;
    }
}

/// The first chunk: its name, what is in it as far as it is there, and what follows.
fn chunk(bytes: &[u8]) -> Option<(&[u8; 4], &[u8], &[u8])> {
    let (before, behind) = bytes.split_at_checked(BEFORE_BYTES)?;
    let (name, length) = before.split_first_chunk::<4>()?;
    let length = usize::try_from(u32::from_le_bytes(length.try_into().ok()?)).ok()?;
    let held = &behind[..length.min(behind.len())];
    let next = behind.get(length + length % 2..).unwrap_or_default();
    Some((name, held, next))
}

fn read_extended(held: &[u8]) -> Option<WebpHeader> {
    let three = |at: usize| {
        let bytes = held.get(at..at + 3)?;
        Some(u32::from_le_bytes([bytes[0], bytes[1], bytes[2], 0]))
    };
    Some(WebpHeader {
        width_px: three(4)? + 1,
        height_px: three(7)? + 1,
        is_animated: held.first()? & ANIMATION != 0,
    })
}

fn read_lossy(held: &[u8]) -> Option<(u32, u32)> {
    let is_key_frame = held.first()? & 1 == 0 && held.get(3..6)? == KEY_FRAME;
    let side = |at: usize| {
        let bytes = held.get(at..at + 2)?;
        Some(u32::from(u16::from_le_bytes([bytes[0], bytes[1]])) & SIDE)
    };
    Some((side(6)?, side(8)?)).filter(|_| is_key_frame)
}

fn read_lossless(held: &[u8]) -> Option<(u32, u32)> {
    let (signature, behind) = held.split_first()?;
    let bits = u32::from_le_bytes(behind.get(..4)?.try_into().ok()?);
    Some(((bits & SIDE) + 1, ((bits >> 14) & SIDE) + 1)).filter(|_| *signature == LOSSLESS)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(chunks: &[(&[u8; 4], &[u8])]) -> Vec<u8> {
        let mut body = b"WEBP".to_vec();
        for (name, held) in chunks {
            body.extend(*name);
            body.extend(u32::try_from(held.len()).unwrap().to_le_bytes());
            body.extend(*held);
            body.extend(vec![0; held.len() % 2]);
        }
        let mut file = b"RIFF".to_vec();
        file.extend(u32::try_from(body.len()).unwrap().to_le_bytes());
        file.extend(body);
        file
    }

    fn header(width_px: u32, height_px: u32, is_animated: bool) -> WebpHeader {
        WebpHeader {
            width_px,
            height_px,
            is_animated,
        }
    }

    /// 300 x 200: 14 bits each in two bytes, the upper two bits are a scale.
    const LOSSY: [u8; 10] = [0x10, 0, 0, 0x9d, 0x01, 0x2a, 0x2c, 0x41, 0xc8, 0];
    /// 299 and 199 in 14 bits each, behind the signature: 299 | 199 << 14 = 0x31C12B.
    const LOSSLESS: [u8; 5] = [0x2f, 0x2b, 0xc1, 0x31, 0];

    #[test]
    fn both_kinds_of_pixels_say_their_size() {
        for (name, held) in [(b"VP8 ", &LOSSY[..]), (b"VP8L", &LOSSLESS[..])] {
            let found = read_header(&file(&[(name, held)]));
            assert_eq!(found, Some(header(300, 200, false)));
        }
    }

    #[test]
    fn an_extended_header_must_agree_with_the_pixels() {
        let extended = |flags, width: u8| [flags, 0, 0, 0, width, 1, 0, 199, 0, 0];
        let whole = file(&[
            (b"VP8X", &extended(0, 43)),
            (b"ICCP", &[1, 2, 3]),
            (b"VP8L", &LOSSLESS),
        ]);
        assert_eq!(read_header(&whole), Some(header(300, 200, false)));
        let other = file(&[(b"VP8X", &extended(0, 44)), (b"VP8L", &LOSSLESS)]);
        assert_eq!(read_header(&other), None);
        let film = file(&[(b"VP8X", &extended(ANIMATION, 43))]);
        assert_eq!(read_header(&film), Some(header(300, 200, true)));
    }

    #[test]
    fn every_cut_off_header_is_refused() {
        let whole = file(&[(b"VP8L", &LOSSLESS)]);
        for length in 0..whole.len() - 1 {
            assert_eq!(read_header(&whole[..length]), None, "{length} bytes");
        }
    }
}
