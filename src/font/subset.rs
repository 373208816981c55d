//! The part of the font that a file embeds.

use std::collections::{BTreeMap, BTreeSet};

use sha2::{Digest, Sha256};

use super::Face;
use crate::drawing::Weight;

/// A font file with only the glyphs a document uses.
///
/// It has no character table: a PDF addresses its glyphs by number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Subset {
    /// The font file.
    pub bytes: Vec<u8>,
    /// Glyph numbers of the whole font to those of the subset, for every glyph asked for and for the missing-glyph box, 0.
    pub glyphs: BTreeMap<u16, u16>,
    /// The font's name for a PDF: six capitals that stand for the content, a plus sign, and `NotoSans` or `NotoSans-Bold`
    /// (ISO 32000-1, 9.6.4).
    pub name: String,
}

/// Returns the carried font of this weight cut down to `glyphs`; the same glyphs give the same bytes.
///
/// # Panics
///
/// Panics on a number that is none of the font's: take them from [`Face::glyph`] of the same weight.
#[must_use]
pub fn subset(weight: Weight, glyphs: &BTreeSet<u16>) -> Subset {
    let wanted: Vec<u16> = glyphs.iter().copied().collect();
    let remapper = subsetter::GlyphRemapper::new_from_glyphs_sorted(&wanted);
    let bytes = subsetter::subset(Face::file(weight), 0, &remapper)
        .expect("the carried font is well formed and holds the glyphs it named");
    let numbered = std::iter::once(0).chain(wanted).map(|old| {
        (
            old,
            remapper.get(old).expect("every glyph was given a number"),
        )
    });
    Subset {
        glyphs: numbered.collect(),
        name: format!("{}+{}", tag(&bytes), name(weight)),
        bytes,
    }
}

const fn name(weight: Weight) -> &'static str {
    match weight {
        Weight::Regular => "NotoSans",
        Weight::Bold => "NotoSans-Bold",
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

    const WEIGHTS: [Weight; 2] = [Weight::Regular, Weight::Bold];

    fn glyphs(weight: Weight, text: &str) -> BTreeSet<u16> {
        let face = Face::of(weight);
        text.chars().map(|c| face.glyph(c).unwrap()).collect()
    }

    #[test]
    fn a_subset_is_small_and_keeps_outlines_and_advances() {
        for weight in WEIGHTS {
            let wanted = glyphs(weight, "Żółw Ωμέγα Жук 2¼ ⅛");
            let part = subset(weight, &wanted);
            let whole = Face::file(weight);
            let bytes = part.bytes.len();
            assert!(bytes < whole.len() / 10, "{bytes} bytes");
            let whole = ttf_parser::Face::parse(whole, 0).unwrap();
            // The subset has no character table and no OS/2 table, which a reader of PDF fonts does not need.
            let read = ttf_parser::Face::parse(&part.bytes, 0).unwrap();
            assert_eq!(part.glyphs.len(), wanted.len() + 1);
            for (old, new) in &part.glyphs {
                let (old, new) = (ttf_parser::GlyphId(*old), ttf_parser::GlyphId(*new));
                assert_eq!(whole.glyph_hor_advance(old), read.glyph_hor_advance(new));
                assert_eq!(whole.glyph_bounding_box(old), read.glyph_bounding_box(new));
            }
        }
    }

    #[test]
    fn the_name_follows_the_content_and_the_pdf_rule() {
        for (weight, called) in WEIGHTS.into_iter().zip(["NotoSans", "NotoSans-Bold"]) {
            let [some, more, again] =
                ["Żuk", "Żuki", "kuŻ"].map(|text| subset(weight, &glyphs(weight, text)));
            assert_ne!(some.name, more.name);
            let (tag, name) = some.name.split_once('+').unwrap();
            assert!(tag.len() == 6 && tag.bytes().all(|b| b.is_ascii_uppercase()));
            assert_eq!(name, called);
            assert_eq!(some, again);
        }
    }

    #[test]
    fn no_glyphs_leave_the_missing_glyph_box_alone() {
        for weight in WEIGHTS {
            let part = subset(weight, &BTreeSet::new());
            assert_eq!(part.glyphs, BTreeMap::from([(0, 0)]));
        }
    }
}
