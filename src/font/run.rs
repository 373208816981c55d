//! Setting a line of text.

use kurbo::Affine;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use super::Face;
use crate::drawing::{GlyphRun, Paint, PlacedGlyph};

/// Characters that a text needs and the font lacks.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MissingGlyphs {
    /// Each once, in order of their first appearance.
    pub characters: Vec<char>,
}

/// Returns a character as a message names it: quoted, with its code point, which stands alone where there is nothing to see.
///
/// # Examples
///
/// ```
/// use sheetwright::font::named;
///
/// assert_eq!(named('豆'), "\"豆\" (U+8C46)");
/// assert_eq!(named('\u{307}'), "U+0307"); // an accent would join the quotation mark
/// ```
#[must_use]
pub fn named(character: char) -> String {
    let code_point = format!("U+{:04X}", u32::from(character));
    if character.is_control() || is_combining_mark(character) {
        code_point
    } else {
        format!("\"{character}\" ({code_point})")
    }
}

/// Returns the text in NFC, so that a letter and its accent are one character wherever Unicode has one for them.
#[must_use]
pub fn normalise(text: &str) -> String {
    text.nfc().collect()
}

/// Returns the characters of `text`, once brought to NFC, that cannot be shown: those without a glyph, and accents that
/// found no letter to join, since nothing here would place them over it. Each once, in order of appearance.
///
/// # Examples
///
/// ```
/// use sheetwright::font::{Face, missing};
///
/// let face = Face::carried();
/// assert_eq!(missing(&face, "Żółw, 2¼ × ⅛ in"), []);
/// assert_eq!(missing(&face, "Z\u{307}"), []); // one character in NFC: Ż
/// assert_eq!(missing(&face, "q\u{307}"), ['\u{307}']);
/// ```
#[must_use]
pub fn missing(face: &Face, text: &str) -> Vec<char> {
    let mut found = Vec::new();
    for character in text.nfc() {
        let is_shown = face.glyph(character).is_some() && !is_combining_mark(character);
        if !is_shown && !found.contains(&character) {
            found.push(character);
        }
    }
    found
}

/// Returns the length of a line of `text` along its baseline in mm, at an em of `size_mm`.
///
/// Characters the font lacks count nothing; [`run`] refuses them.
#[must_use]
pub fn width_mm(face: &Face, text: &str, size_mm: f64) -> f64 {
    text.nfc()
        .filter_map(|c| face.glyph(c))
        .map(|glyph| face.advance_em(glyph) * size_mm)
        .sum()
}

/// Returns `text` set on one line in the weight of `face`, the baseline along x from the origin of text space, at an em of `size_mm`.
///
/// `matrix` maps text space (mm, y down) to the surrounding space.
///
/// # Errors
///
/// Returns [`MissingGlyphs`] with all characters that cannot be shown.
pub fn run(
    face: &Face,
    text: &str,
    size_mm: f64,
    matrix: Affine,
    paint: Paint,
) -> Result<GlyphRun, MissingGlyphs> {
    let characters = missing(face, text);
    if !characters.is_empty() {
        return Err(MissingGlyphs { characters });
    }
    let text = normalise(text);
    let mut x_mm = 0.0;
    let mut glyphs = Vec::new();
    for glyph in text.chars().filter_map(|c| face.glyph(c)) {
        glyphs.push(PlacedGlyph { glyph, x_mm });
        x_mm += face.advance_em(glyph) * size_mm;
    }
    Ok(GlyphRun {
        weight: face.weight(),
        text,
        size_mm,
        glyphs,
        matrix,
        paint,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Colour;

    fn set(text: &str) -> Result<GlyphRun, MissingGlyphs> {
        run(
            &Face::carried(),
            text,
            4.0,
            Affine::IDENTITY,
            Paint::flat(Colour::BLACK),
        )
    }

    #[test]
    fn polish_greek_cyrillic_and_fractions_have_all_glyphs() {
        let text = "Żółw Ωμέγα Жук 2¼ ⅛";
        assert_eq!(missing(&Face::carried(), text), []);
        assert_eq!(set(text).unwrap().glyphs.len(), text.chars().count());
    }

    #[test]
    fn what_the_font_lacks_is_named_once_each() {
        let error = set("a🌱b豆🌱\n").unwrap_err();
        assert_eq!(error.characters, ['🌱', '豆', '\n']);
        assert_eq!(
            error.characters.into_iter().map(named).collect::<Vec<_>>(),
            ["\"🌱\" (U+1F331)", "\"豆\" (U+8C46)", "U+000A"]
        );
    }

    #[test]
    fn letters_and_accents_are_joined_before_they_are_set() {
        let joined = set("Z\u{307}o\u{301}").unwrap();
        assert_eq!(joined.text, "Żó");
        assert_eq!(joined.glyphs, set("Żó").unwrap().glyphs);
        // The font has a glyph for the accent alone, but nobody here would place it.
        assert!(Face::carried().glyph('\u{301}').is_some());
        assert_eq!(set("q\u{301}").unwrap_err().characters, ['\u{301}']);
    }

    #[test]
    fn each_glyph_starts_where_the_advances_before_it_end() {
        // A 1309, H 1518, i 528 of 2048 units, read from the file's hmtx table; 4 mm text.
        let line = set("AHi").unwrap();
        let starts: Vec<f64> = line.glyphs.iter().map(|g| g.x_mm).collect();
        for (found, units) in starts.iter().zip([0.0, 1309.0, 1309.0 + 1518.0]) {
            assert!((found - units * 4.0 / 2048.0).abs() < 1e-12, "{starts:?}");
        }
        let whole = width_mm(&Face::carried(), "AHi", 4.0);
        assert!((whole - (1309.0 + 1518.0 + 528.0) * 4.0 / 2048.0).abs() < 1e-12);
    }
}
