//! Glyphs put together from others: how many a font would draw for one of them.
//!
//! A font's glyphs may be made of glyphs that are made of glyphs. A spoilt or hostile file can so ask for billions of parts; whoever draws
//! them would never come back.

use ttf_parser::{Face, GlyphId, Tag};

/// Most parts of one glyph. An accented letter has two or three.
const MOST_PARTS: u64 = 1_000;

/// Most glyphs within glyphs.
const DEEPEST: u32 = 32;

/// Flags of a component (OpenType, glyf): what follows, and how long it is.
const WORDS: u16 = 0x0001;
const SCALE: u16 = 0x0008;
const MORE: u16 = 0x0020;
const TWO_SCALES: u16 = 0x0040;
const MATRIX: u16 = 0x0080;

/// Returns whether every glyph of a TrueType font is made of few enough parts; true for fonts of another kind.
pub(super) fn are_few(face: &Face<'_>) -> bool {
    let Some(glyphs) = Glyphs::of(face) else {
        return true;
    };
    let mut known = vec![None; usize::from(face.number_of_glyphs())];
    (0..face.number_of_glyphs()).all(|glyph| glyphs.parts(glyph, 0, &mut known) <= MOST_PARTS)
}

struct Glyphs<'a> {
    data: &'a [u8],
    places: &'a [u8],
    is_long: bool,
}

impl<'a> Glyphs<'a> {
    fn of(face: &Face<'a>) -> Option<Self> {
        let table = |name| face.raw_face().table(Tag::from_bytes(name));
        Some(Self {
            data: table(b"glyf")?,
            places: table(b"loca")?,
            is_long: word(table(b"head")?, 50)? != 0,
        })
    }

    /// How many plain glyphs a glyph comes to; more than any number if it is made of itself.
    fn parts(&self, glyph: u16, depth: u32, known: &mut [Option<u64>]) -> u64 {
        if let Some(Some(parts)) = known.get(usize::from(glyph)) {
            return *parts;
        }
        if depth > DEEPEST {
            return u64::MAX;
        }
        let mut parts: u64 = 1;
        for component in self.components(GlyphId(glyph)) {
            parts = parts.saturating_add(self.parts(component, depth + 1, known));
            if parts > MOST_PARTS {
                break;
            }
        }
        if let Some(known) = known.get_mut(usize::from(glyph)) {
            *known = Some(parts);
        }
        parts
    }

    /// The glyphs that a glyph is put together from.
    fn components(&self, glyph: GlyphId) -> Vec<u16> {
        self.read(glyph).unwrap_or_default()
    }

    fn read(&self, GlyphId(glyph): GlyphId) -> Option<Vec<u16>> {
        let at = usize::from(glyph);
        let (from, to) = if self.is_long {
            let long = |at: usize| {
                let high = word(self.places, 4 * at)?;
                let low = word(self.places, 4 * at + 2)?;
                usize::try_from(u32::from(high) << 16 | u32::from(low)).ok()
            };
            (long(at)?, long(at + 1)?)
        } else {
            let short = |at: usize| Some(2 * usize::from(word(self.places, 2 * at)?));
            (short(at)?, short(at + 1)?)
        };
        let own = self.data.get(from..to)?;
        let mut found = Vec::new();
        // A negative number of contours says that it is put together.
        if word(own, 0)? < 0x8000 {
            return Some(found);
        }
        let mut at = 10;
        while let (Some(flags), Some(glyph)) = (word(own, at), word(own, at + 2)) {
            found.push(glyph);
            at += 4 + if flags & WORDS != 0 { 4 } else { 2 };
            at += match flags & (SCALE | TWO_SCALES | MATRIX) {
                0 => 0,
                kind if kind & SCALE != 0 => 2,
                kind if kind & TWO_SCALES != 0 => 4,
                _ => 8,
            };
            if flags & MORE == 0 {
                break;
            }
        }
        Some(found)
    }
}

/// The two bytes at a place, the high one first.
fn word(bytes: &[u8], at: usize) -> Option<u16> {
    let pair = bytes.get(at..at.checked_add(2)?)?;
    Some(u16::from_be_bytes([pair[0], pair[1]]))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bomb: glyph `n` is made of glyph `n + 1`, twice, for thirty glyphs: 2^29 parts.
    #[test]
    fn a_glyph_made_of_glyphs_made_of_glyphs_is_counted_and_not_drawn() {
        let count: u16 = 30;
        let (mut data, mut places) = (Vec::new(), vec![0_u8, 0]);
        for glyph in 0..count {
            let inner = glyph + 1;
            data.extend([0xff, 0xff, 0, 0, 0, 0, 0, 0, 0, 0]);
            for flags in [MORE, 0] {
                data.extend(flags.to_be_bytes());
                data.extend(inner.to_be_bytes());
                data.extend([0, 0]);
            }
            let half = u16::try_from(data.len() / 2).unwrap();
            places.extend(half.to_be_bytes());
        }
        let glyphs = Glyphs {
            data: &data,
            places: &places,
            is_long: false,
        };
        assert_eq!(glyphs.components(GlyphId(3)), [4, 4]);
        let mut known = vec![None; 30];
        assert!(glyphs.parts(0, 0, &mut known) > MOST_PARTS);
        // The last is made of two that are not there; one before, of two such.
        assert_eq!(glyphs.parts(29, 0, &mut vec![None; 30]), 3);
        assert_eq!(glyphs.parts(28, 0, &mut vec![None; 30]), 7);
    }

    #[test]
    fn the_carried_font_is_made_of_few_parts_each() {
        use crate::drawing::Weight;
        for weight in [Weight::Regular, Weight::Bold] {
            let face = Face::parse(super::super::Face::file(weight), 0).unwrap();
            let glyphs = Glyphs::of(&face).unwrap();
            let accented = face.glyph_index('Ż').unwrap();
            assert_eq!(glyphs.components(accented).len(), 2);
            assert!(are_few(&face));
        }
    }
}
