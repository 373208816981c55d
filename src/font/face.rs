//! Reading glyphs and measures from the carried font.

use kurbo::{BezPath, Point};
use ttf_parser::{GlyphId, OutlineBuilder};

use crate::drawing::Weight;

/// The carried font: Noto Sans 1.04 in one of its weights, with Latin, Greek, Cyrillic, fractions and arrows.
///
/// Both weights show the same characters, each with glyph numbers of its own.
///
/// Measures are in em, the size of the text; on a line of 3 mm text, 1 em is 3 mm.
///
/// # Examples
///
/// ```
/// use sheetwright::font::Face;
///
/// let face = Face::carried();
/// let glyph = face.glyph('H').unwrap();
/// assert!((face.advance_em(glyph) - 0.741).abs() < 0.001);
/// assert_eq!(face.glyph('\u{1F331}'), None); // a seedling emoji
/// ```
#[derive(Debug, Clone)]
pub struct Face {
    face: ttf_parser::Face<'static>,
    units_per_em: f64,
    weight: Weight,
}

impl Face {
    /// Returns the regular weight. Nothing is copied; keep it where many glyphs are looked up.
    #[must_use]
    pub fn carried() -> Self {
        Self::of(Weight::Regular)
    }

    /// Returns the font in this weight. Nothing is copied.
    #[must_use]
    pub fn of(weight: Weight) -> Self {
        let face = ttf_parser::Face::parse(Self::file(weight), 0)
            .expect("the carried font is well formed, as the tests show");
        Self {
            units_per_em: f64::from(face.units_per_em()),
            face,
            weight,
        }
    }

    /// Returns the whole font file of a weight.
    #[must_use]
    pub fn file(weight: Weight) -> &'static [u8] {
        match weight {
            Weight::Regular => ttf_noto_sans::REGULAR,
            Weight::Bold => ttf_noto_sans::BOLD,
        }
    }

    /// Returns which weight it is.
    #[must_use]
    pub fn weight(&self) -> Weight {
        self.weight
    }

    /// Returns the number of the glyph that shows `character`; `None` for what the font lacks and for control characters.
    #[must_use]
    pub fn glyph(&self, character: char) -> Option<u16> {
        if character.is_control() {
            return None;
        }
        self.face.glyph_index(character).map(|glyph| glyph.0)
    }

    /// Returns how far the pen moves on after `glyph`, in em; zero for a number the font does not have.
    #[must_use]
    pub fn advance_em(&self, glyph: u16) -> f64 {
        f64::from(self.face.glyph_hor_advance(GlyphId(glyph)).unwrap_or(0)) / self.units_per_em
    }

    /// Returns how far letters reach above the baseline, accents included, in em.
    #[must_use]
    pub fn ascent_em(&self) -> f64 {
        f64::from(self.face.ascender()) / self.units_per_em
    }

    /// Returns how far letters reach below the baseline, in em, as a positive number.
    #[must_use]
    pub fn descent_em(&self) -> f64 {
        -f64::from(self.face.descender()) / self.units_per_em
    }

    /// Returns the height of a plain capital above the baseline, in em.
    #[must_use]
    pub fn cap_height_em(&self) -> f64 {
        let capital = self
            .face
            .capital_height()
            .expect("the carried font states it, as the tests show");
        f64::from(capital) / self.units_per_em
    }

    /// Returns the outline of `glyph` in em, y down, the pen's start on the baseline at the origin.
    ///
    /// Lines, cubic curves and closes, to be filled by the non-zero rule. Empty for a space.
    #[must_use]
    pub fn outline(&self, glyph: u16) -> BezPath {
        outline_em(&self.face, glyph)
    }
}

/// Returns the outline of a glyph in em, y down, the pen's start on the baseline at the origin.
pub(super) fn outline_em(face: &ttf_parser::Face<'_>, glyph: u16) -> BezPath {
    let mut pen = Pen {
        path: BezPath::new(),
        at: Point::ORIGIN,
        units_per_em: f64::from(face.units_per_em()),
    };
    // `None` only says that there is nothing to draw.
    let _ = face.outline_glyph(GlyphId(glyph), &mut pen);
    pen.path
}

/// Farthest that a point of a glyph may lie from its start, in the font's units: what is farther was spoilt.
const FARTHEST_UNITS: f64 = 1e6;

/// Turns the font's units, y up, into em, y down.
struct Pen {
    path: BezPath,
    at: Point,
    units_per_em: f64,
}

impl Pen {
    fn point(&self, x: f32, y: f32) -> Point {
        let sound = |units: f32| match units.is_finite() {
            true => f64::from(units).clamp(-FARTHEST_UNITS, FARTHEST_UNITS),
            false => 0.0,
        };
        Point::new(
            sound(x) / self.units_per_em,
            0.0 - sound(y) / self.units_per_em,
        )
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.path.move_to(self.at);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.path.line_to(self.at);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (handle, to) = (self.point(x1, y1), self.point(x, y));
        self.path.curve_to(
            self.at.lerp(handle, 2.0 / 3.0),
            to.lerp(handle, 2.0 / 3.0),
            to,
        );
        self.at = to;
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.at = self.point(x, y);
        self.path
            .curve_to(self.point(x1, y1), self.point(x2, y2), self.at);
    }

    fn close(&mut self) {
        self.path.close_path();
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Shape;

    use super::*;

    // Numbers below were read from the font file's own tables (head, hhea, OS/2, hmtx, glyf) with a separate reader written
    // for that purpose, not with this one: 2048 units in an em.

    #[test]
    fn measures_are_those_of_the_file() {
        for weight in [Weight::Regular, Weight::Bold] {
            let face = Face::of(weight);
            for (found, units) in [
                (face.ascent_em(), 2189.0),
                (face.descent_em(), 600.0),
                (face.cap_height_em(), 1462.0),
            ] {
                assert!((found * 2048.0 - units).abs() < 1e-9, "{found}");
            }
        }
    }

    #[test]
    fn advances_are_those_of_the_file() {
        for (character, regular, bold) in [
            ('A', 1309.0, 1413.0),
            ('H', 1518.0, 1567.0),
            ('i', 528.0, 625.0),
            (' ', 532.0, 532.0),
            ('Ż', 1171.0, 1186.0),
            ('½', 1618.0, 1804.0),
            ('Ж', 1749.0, 1931.0),
        ] {
            for (weight, units) in [(Weight::Regular, regular), (Weight::Bold, bold)] {
                let face = Face::of(weight);
                let advance = face.advance_em(face.glyph(character).unwrap());
                assert!(
                    (advance * 2048.0 - units).abs() < 1e-9,
                    "{character} {weight:?}: {advance}"
                );
            }
        }
    }

    #[test]
    fn both_weights_show_the_same_characters() {
        // What a project says is checked against the regular weight when it is read, and may then be set in either.
        let [regular, bold] = [Weight::Regular, Weight::Bold].map(Face::of);
        for character in (0..=u32::from(char::MAX)).filter_map(char::from_u32) {
            let is_shown = |face: &Face| face.glyph(character).is_some();
            assert_eq!(is_shown(&regular), is_shown(&bold), "{character:?}");
        }
    }

    #[test]
    fn outlines_stand_on_the_baseline_with_y_down() {
        // A regular H fills x 199 to 1317 and y 0 to 1462; the accented Ż is composed of two glyphs and reaches 1847 up.
        for (weight, character, x0, x1, top) in [
            (Weight::Regular, 'H', 199.0, 1317.0, 1462.0),
            (Weight::Regular, 'Ż', 78.0, 1092.0, 1847.0),
            (Weight::Bold, 'H', 184.0, 1382.0, 1462.0),
            (Weight::Bold, 'Ż', 49.0, 1137.0, 1894.0),
        ] {
            let face = Face::of(weight);
            let b = face.outline(face.glyph(character).unwrap()).bounding_box();
            let found = [b.x0 * 2048.0, b.x1 * 2048.0, -b.y0 * 2048.0, b.y1 * 2048.0];
            for (found, want) in found.iter().zip([x0, x1, top, 0.0]) {
                assert!(
                    (found - want).abs() < 1e-6,
                    "{character}: {found} is not {want}"
                );
            }
        }
        let face = Face::carried();
        assert!(face.outline(face.glyph(' ').unwrap()).is_empty());
    }

    #[test]
    fn control_characters_have_no_glyph_even_where_the_font_maps_them() {
        let face = Face::carried();
        for control in ['\r', '\n', '\t', '\u{7f}'] {
            assert_eq!(face.glyph(control), None);
        }
    }
}
