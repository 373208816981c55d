//! Sizes and weights of letters, and a line set in them.

use kurbo::{Affine, Point};

use crate::drawing::{Colour, Item, Paint, Weight};
use crate::font::{self, Face};

/// Black, for what is read first.
pub(in crate::draw) const INK: Colour = Colour::BLACK;

/// Dark grey, for what stands back: 8.9 to 1 against white by the contrast formula of WCAG 2.
pub(in crate::draw) const GREY: Colour = Colour::rgb(0x4a, 0x4a, 0x4a);

/// From baseline to baseline, in ems.
const LEADING_EM: f64 = 1.35;

/// The same for titles and headings, which are large.
const TIGHT_LEADING_EM: f64 = 1.2;

/// What stands for a character that the font lacks.
const UNKNOWN: char = '?';

/// Size and weight of letters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::draw) struct Letter {
    /// Em size.
    pub(in crate::draw) size_mm: f64,
    weight: Weight,
}

impl Letter {
    /// 11 pt are 3.881 mm; no text is smaller.
    pub(in crate::draw) const BODY: Self = Self::new(3.9, Weight::Regular);
    pub(in crate::draw) const STRONG: Self = Self::new(3.9, Weight::Bold);
    pub(in crate::draw) const SUBHEADING: Self = Self::new(4.7, Weight::Bold);
    pub(in crate::draw) const HEADING: Self = Self::new(6.2, Weight::Bold);
    pub(in crate::draw) const TITLE: Self = Self::new(9.6, Weight::Bold);

    const fn new(size_mm: f64, weight: Weight) -> Self {
        Self { size_mm, weight }
    }

    /// From baseline to baseline.
    pub(in crate::draw) fn leading_mm(self) -> f64 {
        let em = if self.size_mm > Self::SUBHEADING.size_mm {
            TIGHT_LEADING_EM
        } else {
            LEADING_EM
        };
        em * self.size_mm
    }

    /// From the top of a line to its baseline: what the leading leaves is shared by both sides of letters that reach 0.75 em up
    /// and 0.25 em down.
    pub(in crate::draw) fn drop_mm(self) -> f64 {
        0.75 * self.size_mm + (self.leading_mm() - self.size_mm) / 2.0
    }

    /// Length of a line of text along its baseline.
    pub(in crate::draw) fn width_mm(self, text: &str) -> f64 {
        font::width_mm(&Face::of(self.weight), &shown(text), self.size_mm)
    }

    /// Sets a line level, its baseline starting at `start`.
    pub(in crate::draw) fn at(self, text: &str, start: impl Into<Point>, colour: Colour) -> Item {
        self.placed(text, Affine::translate(start.into().to_vec2()), colour)
    }

    /// Sets a line level about the middle `x_mm`.
    pub(in crate::draw) fn about(self, text: &str, middle: Point, colour: Colour) -> Item {
        let start = (middle.x - self.width_mm(text) / 2.0, middle.y);
        self.at(text, start, colour)
    }

    /// Sets a line; `matrix` maps the start of its baseline and its frame (x along it, y down) to the surrounding space.
    pub(in crate::draw) fn placed(self, text: &str, matrix: Affine, colour: Colour) -> Item {
        let paint = Paint::flat(colour);
        let run = font::run(
            &Face::of(self.weight),
            &shown(text),
            self.size_mm,
            matrix,
            paint,
        );
        Item::Glyphs(run.expect("what the font lacks was replaced"))
    }

    /// Sets a line level and fills what follows it up to `x_mm` with spaces, evenly, so that whoever takes the text out of the page gets
    /// one line for a row of a table.
    pub(in crate::draw) fn at_with_spaces(self, text: &str, start: Point, x_mm: f64) -> Item {
        let mut item = self.at(text, start, INK);
        let face = Face::of(self.weight);
        if let (Item::Glyphs(run), Some(space)) = (&mut item, face.glyph(' ')) {
            let from_mm = self.width_mm(text);
            let gap_mm = x_mm - start.x - from_mm;
            let space_mm = face.advance_em(space) * self.size_mm;
            let count = spaces(gap_mm, space_mm);
            for i in 0..count {
                run.text.push(' ');
                run.glyphs.push(crate::drawing::PlacedGlyph {
                    glyph: space,
                    x_mm: from_mm + gap_mm * f64::from(i) / f64::from(count),
                });
            }
        }
        item
    }
}

/// How many spaces fill a gap; at least two, so that columns are told from words.
fn spaces(gap_mm: f64, space_mm: f64) -> u32 {
    let mut count = 2;
    while f64::from(count + 1) * space_mm <= gap_mm {
        count += 1;
    }
    count
}

/// Returns the text as the font can show it: in NFC, with one stand-in for each character that it lacks.
pub(super) fn shown(text: &str) -> String {
    let lacking = font::missing(&Face::carried(), text);
    let normal = font::normalise(text);
    if lacking.is_empty() {
        return normal;
    }
    normal
        .chars()
        .map(|c| if lacking.contains(&c) { UNKNOWN } else { c })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_has_11_points_or_more() {
        // A point is 1/72 in, an inch 25.4 mm: 11 pt are 3.8806 mm.
        for letter in [
            Letter::BODY,
            Letter::STRONG,
            Letter::SUBHEADING,
            Letter::HEADING,
            Letter::TITLE,
        ] {
            assert!(letter.size_mm >= 11.0 * 25.4 / 72.0);
        }
    }

    #[test]
    fn grey_keeps_a_contrast_of_7_to_1() {
        // Relative luminance and contrast of WCAG 2.1: for 0x4a, ((74/255 + 0.055)/1.055)^2.4 = 0.0685.
        let share = f64::from(GREY.red) / 255.0;
        let luminance = libm::pow((share + 0.055) / 1.055, 2.4);
        assert!(1.05 / (luminance + 0.05) >= 7.0);
    }

    #[test]
    fn lines_are_as_wide_as_the_advances_of_the_font() {
        // Read from the font's hmtx table: H 1518, i 528 of 2048 units.
        let width_mm = Letter::BODY.width_mm("Hi");
        assert!((width_mm - (1518.0 + 528.0) / 2048.0 * 3.9).abs() < 1e-9);
    }

    #[test]
    fn what_the_font_lacks_becomes_a_question_mark() {
        assert_eq!(shown("a🌱b\t"), "a?b?");
        assert_eq!(shown("Żółw"), "Żółw");
    }

    #[test]
    fn a_gap_between_columns_is_filled_with_spaces() {
        // A space advances 532 of 2048 units, 1.013 mm at 3.9 mm: nine of them fit into 10 mm beyond the text.
        let end_mm = Letter::BODY.width_mm("Tray") + 10.0;
        let Item::Glyphs(run) = Letter::BODY.at_with_spaces("Tray", Point::ORIGIN, end_mm) else {
            panic!()
        };
        assert_eq!(run.text, format!("Tray{}", " ".repeat(9)));
        assert_eq!(run.glyphs.len(), 13);
    }
}
