//! Words set as their script asks for: kerned, marks over their letters, from right to left where it runs that way.

use std::fmt;
use std::ops::Range;

use kurbo::{BezPath, Vec2};
use rustybuzz::{Direction, Script, UnicodeBuffer};
use unicode_bidi::BidiInfo;
use unicode_script::UnicodeScript;

use super::face::outline_em;
use super::{Face, MissingGlyphs, composite, normalise};
use crate::drawing::Weight;

/// Height of a capital in em where a font does not say it or says what cannot be: that of most text faces, from memory.
const USUAL_CAP_EM: f64 = 0.7;
/// How far letters reach below the baseline in em, where a font does not say it.
const USUAL_DESCENT_EM: f64 = 0.25;

/// A font in which words can be set: the carried one, or a file of the maker's.
///
/// Measures are in em, the size of the words.
///
/// # Examples
///
/// ```
/// use sheetwright::drawing::Weight;
/// use sheetwright::font::Shaper;
///
/// let sans = Shaper::carried(Weight::Regular);
/// let (line, apart) = (sans.shape("AV").unwrap(), [sans.shape("A").unwrap(), sans.shape("V").unwrap()]);
/// // A V moves into the slope of an A.
/// assert!(line.width_em < apart[0].width_em + apart[1].width_em);
/// assert_eq!(sans.shape("豆").unwrap_err().characters, ['豆']);
/// ```
#[derive(Clone)]
pub struct Shaper<'a> {
    face: rustybuzz::Face<'a>,
    units_per_em: f64,
}

/// Why a file is no font that words can be set in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FontFault {
    /// Occurs with a file that is no TrueType or OpenType font, or a damaged one.
    Unreadable,
    /// Occurs with a collection of fonts in one file.
    Collection,
    /// Occurs with a font packed for web pages.
    Web,
    /// Occurs with a font that holds pictures of its letters instead of outlines.
    NoOutlines,
    /// Occurs with a font whose letters are put together from thousands of parts.
    Intricate,
}

/// One line of words, set.
#[derive(Debug, Clone, PartialEq)]
pub struct ShapedLine {
    /// The words, in NFC.
    pub text: String,
    /// From left to right.
    pub glyphs: Vec<ShapedGlyph>,
    /// How far the pen moves on.
    pub width_em: f64,
}

/// One glyph of a [`ShapedLine`].
#[derive(Debug, Clone, PartialEq)]
pub struct ShapedGlyph {
    /// Its number in the font.
    pub glyph: u16,
    /// The characters of the text that it stands for, alone or with its neighbours.
    pub of: Range<usize>,
    /// Where it starts, from the start of the line's baseline; y down, in em.
    pub at: Vec2,
}

impl Shaper<'static> {
    /// Returns the carried font in this weight.
    #[must_use]
    pub fn carried(weight: Weight) -> Self {
        Self::of_file(Face::file(weight))
            .expect("the carried font is well formed, as the tests show")
    }
}

impl<'a> Shaper<'a> {
    /// Returns the font that a file holds.
    ///
    /// # Errors
    ///
    /// Returns a [`FontFault`] if words cannot be set in it.
    pub fn of_file(bytes: &'a [u8]) -> Result<Self, FontFault> {
        match bytes.get(..4) {
            Some(b"ttcf") => return Err(FontFault::Collection),
            Some(b"wOFF" | b"wOF2") => return Err(FontFault::Web),
            Some(_) | None => {}
        }
        let face = rustybuzz::Face::from_slice(bytes, 0).ok_or(FontFault::Unreadable)?;
        let tables = face.tables();
        if tables.glyf.is_none() && tables.cff.is_none() && tables.cff2.is_none() {
            return Err(FontFault::NoOutlines);
        }
        if !composite::are_few(face.as_ref()) {
            return Err(FontFault::Intricate);
        }
        Ok(Self {
            units_per_em: f64::from(face.as_ref().units_per_em()),
            face,
        })
    }

    /// Returns the height of a plain capital above the baseline, in em.
    #[must_use]
    pub fn cap_height_em(&self) -> f64 {
        let stated = self.face.capital_height().map(f64::from);
        let stated = stated.map(|units| units / self.units_per_em);
        stated
            .filter(|em| (0.2..1.5).contains(em))
            .unwrap_or(USUAL_CAP_EM)
    }

    /// Returns how far letters reach below the baseline, in em, as a positive number.
    #[must_use]
    pub fn descent_em(&self) -> f64 {
        let stated = -f64::from(self.face.descender()) / self.units_per_em;
        match (0.0..1.5).contains(&stated) {
            true => stated,
            false => USUAL_DESCENT_EM,
        }
    }

    /// Returns the outline of `glyph` in em, y down, the pen's start on the baseline at the origin.
    #[must_use]
    pub fn outline(&self, glyph: u16) -> BezPath {
        outline_em(self.face.as_ref(), glyph)
    }

    /// Sets a line of words.
    ///
    /// # Errors
    ///
    /// Returns [`MissingGlyphs`] with all characters that the font cannot show; those that control a machine are never shown.
    pub fn shape(&self, line: &str) -> Result<ShapedLine, MissingGlyphs> {
        let text = normalise(line);
        let controls = text.chars().filter(|c| c.is_control());
        let mut absent: Vec<char> = controls.collect();
        let mut glyphs = Vec::new();
        let mut pen_em = Vec2::ZERO;
        for piece in pieces(&text) {
            self.set(&text, &piece, &mut pen_em, &mut glyphs, &mut absent);
        }
        let mut characters = Vec::new();
        for character in absent {
            if !characters.contains(&character) {
                characters.push(character);
            }
        }
        if !characters.is_empty() {
            return Err(MissingGlyphs { characters });
        }
        Ok(ShapedLine {
            text,
            glyphs,
            width_em: pen_em.x,
        })
    }

    fn set(
        &self,
        text: &str,
        piece: &Piece,
        pen_em: &mut Vec2,
        glyphs: &mut Vec<ShapedGlyph>,
        absent: &mut Vec<char>,
    ) {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(&text[piece.range.clone()]);
        buffer.set_direction(piece.direction);
        if let Some(script) = piece.script {
            buffer.set_script(script);
        }
        let set = rustybuzz::shape(&self.face, &[], buffer);
        let start = |cluster: u32| piece.range.start + usize::try_from(cluster).unwrap_or(0);
        let mut starts: Vec<usize> = set.glyph_infos().iter().map(|i| start(i.cluster)).collect();
        starts.sort_unstable();
        let em = |units: i32| f64::from(units) / self.units_per_em;
        for (info, place) in set.glyph_infos().iter().zip(set.glyph_positions()) {
            let from = start(info.cluster);
            let next = starts.iter().find(|start| **start > from);
            let of = from..next.copied().unwrap_or(piece.range.end);
            let glyph = u16::try_from(info.glyph_id).unwrap_or(0);
            if glyph == 0 {
                absent.extend(self.absent(&text[of.clone()]));
            }
            let offset = Vec2::new(em(place.x_offset), -em(place.y_offset));
            glyphs.push(ShapedGlyph {
                glyph,
                of,
                at: *pen_em + offset,
            });
            *pen_em += Vec2::new(em(place.x_advance), -em(place.y_advance));
        }
    }

    /// The characters without a glyph among those that come out as a missing one; all of them if each has one by itself.
    fn absent(&self, characters: &str) -> Vec<char> {
        let has_none = |c: &char| self.face.glyph_index(*c).is_none_or(|glyph| glyph.0 == 0);
        let without: Vec<char> = characters.chars().filter(has_none).collect();
        match without.is_empty() {
            true => characters.chars().collect(),
            false => without,
        }
    }
}

impl fmt::Debug for Shaper<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Shaper")
            .field("units_per_em", &self.units_per_em)
            .finish_non_exhaustive()
    }
}

/// A stretch of text in one direction and one script.
#[derive(Debug, PartialEq)]
struct Piece {
    range: Range<usize>,
    direction: Direction,
    /// `None` where nothing in it tells, as in figures.
    script: Option<Script>,
}

/// The pieces of a line, as they stand from left to right.
fn pieces(text: &str) -> Vec<Piece> {
    let order = BidiInfo::new(text, None);
    let mut pieces = Vec::new();
    for paragraph in &order.paragraphs {
        let (levels, runs) = order.visual_runs(paragraph, paragraph.range.clone());
        for run in runs {
            let is_rightwards = levels[run.start].is_ltr();
            let mut own = by_script(text, run, is_rightwards);
            if !is_rightwards {
                own.reverse();
            }
            pieces.append(&mut own);
        }
    }
    pieces
}

/// Parts a stretch where the script changes; signs, figures and marks belong to what stands before them.
fn by_script(text: &str, run: Range<usize>, is_rightwards: bool) -> Vec<Piece> {
    let direction = match is_rightwards {
        true => Direction::LeftToRight,
        false => Direction::RightToLeft,
    };
    let mut pieces: Vec<Piece> = Vec::new();
    for (at, character) in text[run.clone()].char_indices() {
        let at = run.start + at;
        let end = at + character.len_utf8();
        let script = own_script(character);
        match pieces.last_mut() {
            Some(last) if script.is_none() || last.script.is_none() || last.script == script => {
                last.range.end = end;
                last.script = last.script.or(script);
            }
            Some(_) | None => pieces.push(Piece {
                range: at..end,
                direction,
                script,
            }),
        }
    }
    pieces
}

fn own_script(character: char) -> Option<Script> {
    use unicode_script::Script as Named;
    let script = character.script();
    if matches!(script, Named::Common | Named::Inherited | Named::Unknown) {
        return None;
    }
    let tag = script.short_name().as_bytes().try_into().ok()?;
    Script::from_iso15924_tag(ttf_parser::Tag::from_bytes(tag))
}

#[cfg(test)]
mod tests {
    use kurbo::Shape;
    use rand_pcg::Pcg32;
    use rand_pcg::rand_core::Rng;

    use super::*;

    // A part of DejaVu Sans 2.37 with a few Arabic, Hebrew and Latin letters, made with fontTools (`pyftsubset`).
    const JOINED: &[u8] = include_bytes!("../../tests/data/fonts/joined-letters.ttf");

    // Advances, kerning pairs, anchors and substitutions were read from the fonts' tables with fontTools; 2048 units in an em.

    #[test]
    fn widths_are_the_advances_and_the_kerning_of_the_file() {
        for (weight, text, units) in [
            (Weight::Regular, "AV", 1309.0 + 1229.0 - 40.0),
            (Weight::Regular, "To", 1139.0 + 1239.0 - 70.0),
            (Weight::Regular, "Table 3", 6934.0 - 80.0),
            (Weight::Regular, "Γαύ", 3588.0 - 70.0),
            (Weight::Regular, "Sweet basil", 10761.0),
            (Weight::Bold, "AV", 1413.0 + 1331.0 - 40.0),
            (Weight::Bold, "TOP", 1186.0 + 1630.0 + 1286.0 - 20.0),
        ] {
            let line = Shaper::carried(weight).shape(text).unwrap();
            assert!(
                (line.width_em * 2048.0 - units).abs() < 1e-9,
                "{text}: {line:?}"
            );
        }
    }

    #[test]
    fn an_accent_without_a_letter_of_its_own_stands_where_the_anchors_meet() {
        // From the start of the letter: its anchor less that of the mark. A dot above on q, an acute on Q, which is taller.
        let sans = Shaper::carried(Weight::Regular);
        for (text, x, y) in [
            ("q\u{307}", 570.0, -30.0),
            ("x\u{301}", 520.0 + 629.0, 0.0),
            ("Q\u{301}", 800.0 + 629.0, 1540.0 - 1200.0),
        ] {
            let line = sans.shape(text).unwrap();
            let mark = line.glyphs[1].at * 2048.0;
            assert!(
                (mark - Vec2::new(x, -y)).hypot2() < 1e-12,
                "{text}: {line:?}"
            );
        }
        // Where Unicode has one character for both, it is one glyph.
        assert_eq!(sans.shape("Z\u{307}").unwrap(), sans.shape("Ż").unwrap());
    }

    #[test]
    fn arabic_letters_join_and_run_from_right_to_left() {
        // Seen from the left: meem alone, since alef joins nothing after it; lam and alef in one; seen as it begins a word.
        let font = Shaper::of_file(JOINED).unwrap();
        let line = font.shape("سلام").unwrap();
        let glyphs: Vec<u16> = line.glyphs.iter().map(|g| g.glyph).collect();
        assert_eq!(glyphs, [10, 21, 11]);
        let whole = &line.glyphs[1].of;
        assert_eq!(&line.text[whole.clone()], "لا");
    }

    #[test]
    fn a_line_with_hebrew_in_it_is_read_from_both_sides() {
        // Unicode's bidirectional algorithm: after A the Hebrew runs leftwards, and a figure after it stands at its left.
        let font = Shaper::of_file(JOINED).unwrap();
        let line = font.shape("A אב 1").unwrap();
        let seen: String = line
            .glyphs
            .iter()
            .map(|g| &line.text[g.of.clone()])
            .collect();
        assert_eq!(seen, "A 1 בא");
        let starts: Vec<f64> = line.glyphs.iter().map(|g| g.at.x * 1000.0).collect();
        // Advances in thousandths: A 600, space 300, 1 500, bet 800.
        for (found, want) in starts
            .iter()
            .zip([0.0, 600.0, 900.0, 1400.0, 1700.0, 2500.0])
        {
            assert!((found - want).abs() < 1e-9, "{starts:?}");
        }
    }

    #[test]
    fn what_a_font_lacks_is_named_and_so_are_controls() {
        let sans = Shaper::carried(Weight::Regular);
        let missing = sans.shape("a🌱b豆🌱\t").unwrap_err().characters;
        assert_eq!(missing, ['\t', '🌱', '豆']);
        assert!(sans.shape("").unwrap().glyphs.is_empty());
        let font = Shaper::of_file(JOINED).unwrap();
        assert_eq!(font.shape("AZ").unwrap_err().characters, ['Z']);
    }

    #[test]
    fn files_that_are_no_fonts_are_told_apart() {
        let fault = |bytes: &[u8]| Shaper::of_file(bytes).unwrap_err();
        assert_eq!(fault(b""), FontFault::Unreadable);
        assert_eq!(fault(b"PNG"), FontFault::Unreadable);
        assert_eq!(fault(b"wOF2\0\0\0\0"), FontFault::Web);
        assert_eq!(fault(b"ttcf\0\0\0\0"), FontFault::Collection);
    }

    /// A thousand spoilt files: cut off anywhere, or with some of their bytes changed. Whatever can be read must be set and drawn.
    #[test]
    fn spoilt_fonts_are_refused_or_set_and_never_bring_the_reader_down() {
        let mut random = Pcg32::new(7, 11);
        let mut set = 0;
        for n in 0..1000_u32 {
            let mut bytes = JOINED.to_vec();
            let mut below = |n: usize| usize::try_from(random.next_u32()).unwrap() % n;
            if n % 4 == 0 {
                bytes.truncate(below(bytes.len()));
            } else {
                for _ in 0..=below(24) {
                    // Half of the changes in the tables' places and heads, where they do most.
                    let reach = if below(2) == 0 { bytes.len() } else { 400 };
                    let at = below(reach);
                    bytes[at] ^= 1 << below(8);
                }
            }
            let Ok(font) = Shaper::of_file(&bytes) else {
                continue;
            };
            assert!(font.cap_height_em() > 0.0 && font.descent_em() >= 0.0);
            for text in ["AV 1", "سلام A אב", "q\u{307}"] {
                let Ok(line) = font.shape(text) else {
                    continue;
                };
                set += 1;
                for glyph in &line.glyphs {
                    let drawn = font.outline(glyph.glyph).bounding_box();
                    assert!(drawn.is_finite() && glyph.at.is_finite(), "{n}: {line:?}");
                }
            }
        }
        assert!(set > 200, "{set}");
    }
}
