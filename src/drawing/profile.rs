//! The ICC colour profile of a picture: what it is called, and whether its colours are those of sRGB.
//!
//! Places and types are those of ICC.1:2010 (profile version 4.3): 7.2 header, 7.3 tag table, 10.5 `curv`, 10.13 `mluc`, 10.15 `para`,
//! 10.27 `XYZ `; `desc` is 6.5.17 of ICC.1:2001-04 (version 2).

use super::{AssetContent, Rows};

/// A colour profile that fits its picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Profile {
    /// Its name, or nothing.
    pub name: String,
    /// Whether its colours are those of sRGB, as far as eyes tell.
    pub is_srgb: bool,
    /// The profile itself.
    pub bytes: Vec<u8>,
    /// 1 (grey) or 3 (colours).
    pub components: u8,
}

impl AssetContent {
    /// Returns the colour profile that the picture's file holds; `None` if there is none, or one that cannot be of this picture.
    #[must_use]
    pub fn profile(&self) -> Option<Profile> {
        match self {
            Self::Png { bytes, .. } => {
                let rows = Rows::open(bytes).ok()?;
                read(&rows.profile()?, rows.form().components)
            }
            Self::Jpeg {
                bytes, components, ..
            } => read(&of_jpeg(bytes)?, *components),
            Self::Vector(_) => None,
        }
    }
}

/// Name of the segments that hold a profile, their marker, and the one that ends what stands before the pixels (ICC.1:2010, B.4;
/// ITU-T T.81, table B.1).
const SEGMENT: &[u8] = b"ICC_PROFILE\0";
const APP2: u8 = 0xe2;
const START_OF_SCAN: u8 = 0xda;

/// Puts the parts of a JPEG file's profile together.
fn of_jpeg(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut parts: Vec<(u8, &[u8])> = Vec::new();
    let mut at = 2;
    loop {
        while bytes.get(at..at + 2)? == [0xff, 0xff] {
            at += 1;
        }
        let marker = *bytes.get(at + 1)?;
        if bytes[at] != 0xff || marker == START_OF_SCAN {
            break;
        }
        let length = usize::from(two(bytes, at + 2)?);
        let held = bytes.get(at + 4..at + 2 + length)?;
        if marker == APP2
            && let Some([number, _, part @ ..]) = held.strip_prefix(SEGMENT)
        {
            parts.push((*number, part));
        }
        at += 2 + length;
    }
    parts.sort_by_key(|(number, _)| *number);
    let whole: Vec<u8> = parts
        .iter()
        .flat_map(|(_, part)| part.iter().copied())
        .collect();
    (!whole.is_empty()).then_some(whole)
}

const HEADER_BYTES: usize = 128;
/// The classes that say how the samples of a picture look: of displays, inputs, outputs, and spaces.
const CLASSES: [&[u8; 4]; 4] = [b"mntr", b"scnr", b"prtr", b"spac"];
/// Red, green and blue of sRGB in the connection space: IEC 61966-2-1 adapted to D50, as in the profile of the ICC itself.
const SRGB: [(&[u8; 4], [f64; 3]); 3] = [
    (b"rXYZ", [0.4360, 0.2225, 0.0139]),
    (b"gXYZ", [0.3851, 0.7169, 0.0971]),
    (b"bXYZ", [0.1431, 0.0606, 0.7141]),
];
/// Light of the middle level: ((0.5 + 0.055) / 1.055) to the power of 2.4, by IEC 61966-2-1.
const SRGB_MIDDLE: f64 = 0.2140;
/// How far light may be from it: a power of 2.2 is taken as the same, one of 1.8 is not.
const SAME: f64 = 0.01;

/// Reads a profile; `None` if it is damaged, or of a picture with another number of colours.
fn read(bytes: &[u8], components: u8) -> Option<Profile> {
    let size = four(bytes, 0)?;
    if size < HEADER_BYTES || size > bytes.len() || bytes.get(36..40)? != b"acsp" {
        return None;
    }
    let space: &[u8] = if components == 1 { b"GRAY" } else { b"RGB " };
    let is_of_pictures = CLASSES.iter().any(|class| bytes[12..16] == **class);
    // Documents of this version take profiles up to 4 (ISO 32000-1, 8.6.5.5).
    if !is_of_pictures || bytes[8] > 4 || bytes[16..20] != *space {
        return None;
    }
    let name = tag(bytes, *b"desc").and_then(text).unwrap_or_default();
    let is_srgb = name.contains("sRGB") || has_srgb_colours(bytes, components);
    Some(Profile {
        name,
        is_srgb,
        bytes: bytes[..size].to_vec(),
        components,
    })
}

fn has_srgb_colours(bytes: &[u8], components: u8) -> bool {
    let is_bent = |name| {
        let light = tag(bytes, name).and_then(light_of_the_middle);
        light.is_some_and(|light| (light - SRGB_MIDDLE).abs() < SAME)
    };
    if components == 1 {
        return is_bent(*b"kTRC");
    }
    let is_same = |(name, wanted): &(&[u8; 4], [f64; 3])| {
        let found = tag(bytes, **name).and_then(xyz);
        found.is_some_and(|found| found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < SAME))
    };
    SRGB.iter().all(is_same) && [*b"rTRC", *b"gTRC", *b"bTRC"].into_iter().all(is_bent)
}

fn two(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..at + 2)?.try_into().ok()?))
}

fn four(bytes: &[u8], at: usize) -> Option<usize> {
    let four = bytes.get(at..at.checked_add(4)?)?.try_into().ok()?;
    usize::try_from(u32::from_be_bytes(four)).ok()
}

/// A number with 16 bits behind the point.
fn fixed(bytes: &[u8], at: usize) -> Option<f64> {
    let four = bytes.get(at..at + 4)?.try_into().ok()?;
    Some(f64::from(i32::from_be_bytes(four)) / 65536.0)
}

/// What a tag holds.
fn tag(bytes: &[u8], name: [u8; 4]) -> Option<&[u8]> {
    let count = four(bytes, HEADER_BYTES)?;
    let mut entries = bytes.get(HEADER_BYTES + 4..)?.chunks_exact(12).take(count);
    let entry = entries.find(|entry| entry[..4] == name)?;
    let (offset, size) = (four(entry, 4)?, four(entry, 8)?);
    bytes.get(offset..offset.checked_add(size)?)
}

fn text(held: &[u8]) -> Option<String> {
    let text = match held.get(..4)? {
        b"desc" => {
            let count = four(held, 8)?;
            String::from_utf8_lossy(held.get(12..count.checked_add(12)?)?).into_owned()
        }
        b"mluc" => {
            let (length, offset) = (four(held, 20)?, four(held, 24)?);
            let units = held
                .get(offset..offset.checked_add(length)?)?
                .chunks_exact(2);
            let units = units.map(|unit| u16::from_be_bytes([unit[0], unit[1]]));
            char::decode_utf16(units)
                .map(|c| c.unwrap_or(char::REPLACEMENT_CHARACTER))
                .collect()
        }
        _ => return None,
    };
    Some(text.trim_end_matches('\0').trim().to_owned())
}

fn xyz(held: &[u8]) -> Option<[f64; 3]> {
    (held.get(..4)? == b"XYZ ").then_some(())?;
    Some([fixed(held, 8)?, fixed(held, 12)?, fixed(held, 16)?])
}

/// The light, from 0 to 1, of the middle of all levels.
fn light_of_the_middle(held: &[u8]) -> Option<f64> {
    match held.get(..4)? {
        b"curv" => match four(held, 8)? {
            0 => Some(0.5),
            1 => Some(libm::pow(0.5, f64::from(two(held, 12)?) / 256.0)),
            count => {
                let at = |index: usize| Some(f64::from(two(held, 12 + 2 * index)?) / 65535.0);
                let (below, above) = ((count - 1) / 2, count / 2);
                Some((at(below)? + at(above)?) / 2.0)
            }
        },
        b"para" => {
            let power = fixed(held, 12)?;
            match two(held, 8)? {
                0 => Some(libm::pow(0.5, power)),
                // The middle lies above the straight part of all these, as far as they are used for pictures.
                1..=4 => Some(libm::pow(fixed(held, 16)? * 0.5 + fixed(held, 20)?, power)),
                _ => None,
            }
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A profile built by hand after ICC.1:2010.
    fn profile(space: [u8; 4], tags: &[(&[u8; 4], Vec<u8>)]) -> Vec<u8> {
        let mut bytes = vec![0; HEADER_BYTES];
        bytes[8] = 4;
        bytes[12..16].copy_from_slice(b"mntr");
        bytes[16..20].copy_from_slice(&space);
        bytes[36..40].copy_from_slice(b"acsp");
        let whole = |n: usize| u32::try_from(n).unwrap().to_be_bytes();
        bytes.extend(whole(tags.len()));
        let mut at = bytes.len() + 12 * tags.len();
        for (name, held) in tags {
            bytes.extend(*name);
            bytes.extend(whole(at));
            bytes.extend(whole(held.len()));
            at += held.len();
        }
        tags.iter().for_each(|(_, held)| bytes.extend(held));
        let size = whole(bytes.len());
        bytes[..4].copy_from_slice(&size);
        bytes
    }

    #[expect(clippy::cast_possible_truncation, reason = "numbers near one")]
    fn colour(xyz: [f64; 3]) -> Vec<u8> {
        let mut held = b"XYZ \0\0\0\0".to_vec();
        held.extend(
            xyz.iter()
                .flat_map(|n| ((n * 65536.0).round() as i32).to_be_bytes()),
        );
        held
    }

    fn power(by_256: u16) -> Vec<u8> {
        let mut held = b"curv\0\0\0\0\0\0\0\x01".to_vec();
        held.extend(by_256.to_be_bytes());
        held
    }

    fn named(name: &str) -> Vec<u8> {
        let mut held = b"mluc\0\0\0\0\0\0\0\x01\0\0\0\x0cenUS".to_vec();
        held.extend(u32::try_from(2 * name.len()).unwrap().to_be_bytes());
        held.extend(28_u32.to_be_bytes());
        held.extend(name.encode_utf16().flat_map(u16::to_be_bytes));
        held
    }

    fn rgb(name: &str, colours: [[f64; 3]; 3], by_256: u16) -> Vec<u8> {
        let [red, green, blue] = colours.map(colour);
        profile(
            *b"RGB ",
            &[
                (b"desc", named(name)),
                (b"rXYZ", red),
                (b"gXYZ", green),
                (b"bXYZ", blue),
                (b"rTRC", power(by_256)),
                (b"gTRC", power(by_256)),
                (b"bTRC", power(by_256)),
            ],
        )
    }

    const SRGB_COLOURS: [[f64; 3]; 3] = [
        [0.4361, 0.2225, 0.0139],
        [0.3851, 0.7169, 0.0971],
        [0.1431, 0.0606, 0.7141],
    ];
    /// Display P3 in D50, after SMPTE RP 431-2 and its usual adaptation.
    const P3_COLOURS: [[f64; 3]; 3] = [
        [0.5151, 0.2412, -0.0011],
        [0.2919, 0.6922, 0.0419],
        [0.1572, 0.0666, 0.7841],
    ];

    #[test]
    fn srgb_is_known_by_its_colours_whatever_its_name() {
        // 563 / 256 is 2.2; 461 / 256 is 1.8.
        let found = read(&rgb("c2", SRGB_COLOURS, 563), 3).unwrap();
        assert_eq!((found.name.as_str(), found.is_srgb), ("c2", true));
        assert!(
            !read(&rgb("Display P3", P3_COLOURS, 563), 3)
                .unwrap()
                .is_srgb
        );
        assert!(!read(&rgb("softer", SRGB_COLOURS, 461), 3).unwrap().is_srgb);
        assert!(
            read(&profile(*b"GRAY", &[(b"kTRC", power(563))]), 1)
                .unwrap()
                .is_srgb
        );
        assert!(
            !read(&profile(*b"GRAY", &[(b"kTRC", power(256))]), 1)
                .unwrap()
                .is_srgb
        );
    }

    #[test]
    fn a_profile_of_version_2_has_its_name_in_plain_letters() {
        let mut held = b"desc\0\0\0\0\0\0\0\x08".to_vec();
        held.extend(b"Old RGB\0");
        let found = read(&profile(*b"RGB ", &[(b"desc", held)]), 3).unwrap();
        assert_eq!((found.name.as_str(), found.is_srgb), ("Old RGB", false));
    }

    #[test]
    fn a_profile_that_does_not_fit_or_is_cut_off_is_none() {
        let whole = rgb("Display P3", P3_COLOURS, 563);
        assert_eq!(read(&whole, 1), None);
        for length in 0..whole.len() {
            assert_eq!(read(&whole[..length], 3), None, "{length}");
        }
    }

    #[test]
    fn the_parts_of_a_profile_in_a_jpeg_are_put_in_order() {
        let whole = rgb("Display P3", P3_COLOURS, 563);
        let (first, second) = whole.split_at(200);
        let mut file = vec![0xff, 0xd8];
        for (number, part) in [(2, second), (1, first)] {
            file.extend([0xff, APP2]);
            file.extend(u16::try_from(part.len() + 16).unwrap().to_be_bytes());
            file.extend(SEGMENT);
            file.extend([number, 2]);
            file.extend(part);
        }
        file.extend([0xff, START_OF_SCAN]);
        assert_eq!(of_jpeg(&file), Some(whole));
        assert_eq!(of_jpeg(&[0xff, 0xd8, 0xff, START_OF_SCAN]), None);
    }
}
