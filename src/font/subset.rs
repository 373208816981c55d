//! The part of the font that a file embeds.

use std::collections::{BTreeMap, BTreeSet};

use sha2::{Digest, Sha256};

use super::Face;

/// A font file with only the glyphs a document uses.
///
/// It has no character table: a PDF addresses its glyphs by number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Subset {
    /// The font file.
    pub bytes: Vec<u8>,
    /// Glyph numbers of the whole font to those of the subset, for every glyph asked for and for the missing-glyph box, 0.
    pub glyphs: BTreeMap<u16, u16>,
    /// The font's name for a PDF: six capitals that stand for the content, a plus sign and `NotoSans` (ISO 32000-1, 9.6.4).
    pub name: String,
}

/// Returns the carried font cut down to `glyphs`; the same glyphs give the same bytes.
///
/// # Panics
///
/// Panics on a number that is none of the font's: take them from [`Face::glyph`].
#[must_use]
pub fn subset(glyphs: &BTreeSet<u16>) -> Subset {
    let wanted: Vec<u16> = glyphs.iter().copied().collect();
    let remapper = subsetter::GlyphRemapper::new_from_glyphs_sorted(&wanted);
    let bytes = subsetter::subset(Face::file(), 0, &remapper)
        .expect("the carried font is well formed and holds the glyphs it named");
    let numbered = std::iter::once(0).chain(wanted).map(|old| {
        (
            old,
            remapper.get(old).expect("every glyph was given a number"),
        )
    });
    Subset {
        glyphs: numbered.collect(),
        name: format!("{}+NotoSans", tag(&bytes)),
        bytes,
    }
}

fn tag(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .take(6)
        .map(|byte| char::from(b'A' + byte % 26))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn glyphs(text: &str) -> BTreeSet<u16> {
        let face = Face::carried();
        text.chars().map(|c| face.glyph(c).unwrap()).collect()
    }

    #[test]
    fn a_subset_is_small_and_keeps_outlines_and_advances() {
        let wanted = glyphs("Żółw Ωμέγα Жук 2¼ ⅛");
        let part = subset(&wanted);
        assert!(
            part.bytes.len() < Face::file().len() / 10,
            "{} bytes",
            part.bytes.len()
        );
        let whole = ttf_parser::Face::parse(Face::file(), 0).unwrap();
        // The subset has no character table and no OS/2 table, which a reader of PDF fonts does not need.
        let read = ttf_parser::Face::parse(&part.bytes, 0).unwrap();
        assert_eq!(part.glyphs.len(), wanted.len() + 1);
        for (old, new) in &part.glyphs {
            let (old, new) = (ttf_parser::GlyphId(*old), ttf_parser::GlyphId(*new));
            assert_eq!(whole.glyph_hor_advance(old), read.glyph_hor_advance(new));
            assert_eq!(whole.glyph_bounding_box(old), read.glyph_bounding_box(new));
        }
    }

    #[test]
    fn the_name_follows_the_content_and_the_pdf_rule() {
        let (some, more) = (subset(&glyphs("Żuk")), subset(&glyphs("Żuki")));
        assert_ne!(some.name, more.name);
        let (tag, name) = some.name.split_once('+').unwrap();
        assert!(tag.len() == 6 && tag.bytes().all(|b| b.is_ascii_uppercase()));
        assert_eq!(name, "NotoSans");
        assert_eq!(some, subset(&glyphs("kuŻ")));
    }

    #[test]
    fn no_glyphs_leave_the_missing_glyph_box_alone() {
        assert_eq!(subset(&BTreeSet::new()).glyphs, BTreeMap::from([(0, 0)]));
    }
}
