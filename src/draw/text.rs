//! Lines of text, measured before they are placed.

use kurbo::{Affine, Point};

use crate::drawing::{Colour, Item, Paint, Weight};
use crate::font::{self, Face};

/// Where a line of text lies from its anchor point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    Left,
    Right,
}

/// A line of text in the carried font, measured.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct TextLine {
    text: String,
    size_mm: f64,
    width_mm: f64,
    weight: Weight,
}

impl TextLine {
    /// Returns the whole text at an em size.
    pub(super) fn new(text: &str, size_mm: f64) -> Self {
        Self::weighted(text, size_mm, Weight::Regular)
    }

    /// Returns the whole text in a weight at an em size.
    pub(super) fn weighted(text: &str, size_mm: f64, weight: Weight) -> Self {
        Self {
            text: text.to_owned(),
            size_mm,
            width_mm: font::width_mm(&Face::of(weight), text, size_mm),
            weight,
        }
    }

    /// Returns as much of the text as is at most `widest_mm` wide, with an ellipsis for what is left out.
    pub(super) fn shortened(text: &str, size_mm: f64, widest_mm: f64) -> Self {
        let whole = Self::new(text, size_mm);
        if whole.width_mm <= widest_mm {
            return whole;
        }
        let ends = text.char_indices().map(|(i, _)| i).rev();
        ends.map(|end| {
            Self::new(
                &format!(
                    "{}…",
                    text[..end].trim_end_matches(|c: char| !c.is_alphanumeric())
                ),
                size_mm,
            )
        })
        .find(|line| line.width_mm <= widest_mm)
        .unwrap_or_else(|| Self::new("", size_mm))
    }

    pub(super) fn width_mm(&self) -> f64 {
        self.width_mm
    }

    #[cfg(test)]
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// Places the line level, its baseline at `anchor`.
    pub(super) fn at(self, anchor: Point, align: Align, colour: Colour) -> Item {
        let back_mm = match align {
            Align::Left => 0.0,
            Align::Right => self.width_mm,
        };
        self.placed(Affine::translate((anchor.x - back_mm, anchor.y)), colour)
    }

    /// Places the line; `matrix` maps the start of the baseline and its frame (x along it, y down) to the surrounding space.
    ///
    /// # Panics
    /// If a character is not in the carried font: `load` refuses those in a project, and our own words have none.
    pub(super) fn placed(self, matrix: Affine, colour: Colour) -> Item {
        let run = font::run(
            &Face::of(self.weight),
            &self.text,
            self.size_mm,
            matrix,
            Paint::flat(colour),
        );
        Item::Glyphs(run.expect("text was checked against the font when it was read"))
    }
}

/// Joins `phrases` with middle dots into at most `lines` lines no wider than `widest_mm`; the last one takes what is left, shortened.
pub(super) fn flowed(
    phrases: &[String],
    size_mm: f64,
    widest_mm: f64,
    lines: usize,
) -> Vec<TextLine> {
    let fits = |text: &str| TextLine::new(text, size_mm).width_mm <= widest_mm;
    let mut texts: Vec<String> = Vec::new();
    for phrase in phrases {
        let is_last_line = texts.len() == lines;
        match texts.last_mut() {
            Some(line) if is_last_line || fits(&format!("{line} · {phrase}")) => {
                line.push_str(" · ");
                line.push_str(phrase);
            }
            Some(_) | None => texts.push(phrase.clone()),
        }
    }
    texts
        .iter()
        .map(|text| TextLine::shortened(text, size_mm, widest_mm))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_that_fits_is_kept_whole() {
        // Noto Sans: H advances 1518 of 2048 units, so ten of them at 2 mm are 14.82 mm.
        let line = TextLine::shortened("HHHHHHHHHH", 2.0, 14.9);
        assert_eq!(line.text(), "HHHHHHHHHH");
        assert!(
            (line.width_mm() - 14.824).abs() < 0.001,
            "{}",
            line.width_mm()
        );
    }

    #[test]
    fn a_line_that_is_too_long_ends_in_an_ellipsis_and_fits() {
        let line = TextLine::shortened(
            "Plant-swap morning of the Long Meadow Garden Club",
            2.1,
            30.0,
        );
        assert!(line.width_mm() <= 30.0, "{}", line.width_mm());
        assert!(
            line.text().starts_with("Plant-swap") && line.text().ends_with('…'),
            "{}",
            line.text()
        );
        let longer = TextLine::shortened(
            "Plant-swap morning of the Long Meadow Garden Club",
            2.1,
            32.0,
        );
        assert!(longer.text().len() > line.text().len());
    }

    #[test]
    fn nothing_is_written_where_not_even_an_ellipsis_fits() {
        assert_eq!(TextLine::shortened("leek", 2.0, 0.5).text(), "");
    }

    #[test]
    fn phrases_fill_lines_and_the_last_line_takes_the_rest() {
        let phrases = [
            "print at 100 %",
            "sheet 1 of 2",
            "front",
            "print this page 6 times",
            "cut with cut-01.svg",
        ]
        .map(str::to_owned);
        let all = flowed(&phrases[..4], 2.0, 200.0, 2);
        assert_eq!(all.len(), 1);
        assert_eq!(
            all[0].text(),
            "print at 100 % · sheet 1 of 2 · front · print this page 6 times"
        );
        let narrow = flowed(&phrases, 2.0, 30.0, 2);
        assert_eq!(narrow.len(), 2);
        assert_eq!(narrow[0].text(), "print at 100 % · sheet 1 of 2");
        let last = narrow[1].text();
        assert!(
            last.starts_with("front · print") && last.ends_with('…'),
            "{last}"
        );
        assert!(narrow.iter().all(|line| line.width_mm() <= 30.0));
    }

    #[test]
    fn right_aligned_text_ends_at_its_anchor() {
        let line = TextLine::new("4 in", 2.0);
        let width_mm = line.width_mm();
        let Item::Glyphs(run) = line.at(Point::new(50.0, 7.0), Align::Right, Colour::BLACK) else {
            panic!()
        };
        assert!((run.matrix.as_coeffs()[4] + width_mm - 50.0).abs() < 1e-12);
        assert!((run.matrix.as_coeffs()[5] - 7.0).abs() < 1e-12);
    }
}
