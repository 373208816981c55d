//! Lines of words on template pages: never smaller than 11 pt, always black.

use kurbo::Point;

use crate::draw::text::{Align, TextLine};
use crate::drawing::{Colour, Item, Weight};

/// Em size of all words: 11 pt are 3.881 mm.
pub(super) const TEXT_MM: f64 = 3.9;
/// From baseline to baseline.
pub(super) const LEADING_MM: f64 = 5.2;
/// From the top of a line to its baseline.
pub(super) const DROP_MM: f64 = 3.9;
/// Height of a capital.
pub(super) const CAPITAL_MM: f64 = 0.714 * TEXT_MM;

/// Some words of one weight.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Words {
    pub(super) text: String,
    pub(super) weight: Weight,
}

impl Words {
    pub(super) fn plain(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            weight: Weight::Regular,
        }
    }

    pub(super) fn bold(text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            weight: Weight::Bold,
        }
    }

    pub(super) fn width_mm(&self) -> f64 {
        TextLine::weighted(&self.text, TEXT_MM, self.weight).width_mm()
    }

    /// Sets the words level, their baseline starting at `start`.
    pub(super) fn at(&self, start: Point) -> Item {
        let line = TextLine::weighted(&self.text, TEXT_MM, self.weight);
        line.at(start, Align::Left, Colour::BLACK)
    }

    /// The same words in lines no wider than `widest_mm`; a single word that is wider stands alone.
    pub(super) fn broken(&self, widest_mm: f64) -> Vec<Self> {
        let mut lines: Vec<Self> = Vec::new();
        for word in self.text.split(' ') {
            let longer = lines.last().map(|line| Self {
                text: format!("{} {word}", line.text),
                weight: self.weight,
            });
            match (lines.last_mut(), longer) {
                (Some(last), Some(longer)) if longer.width_mm() <= widest_mm => *last = longer,
                (Some(_) | None, _) => lines.push(Self {
                    text: word.to_owned(),
                    weight: self.weight,
                }),
            }
        }
        lines
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_11_points_or_more() {
        // A point is 1/72 in, an inch 25.4 mm: 11 pt are 3.8806 mm.
        const { assert!(TEXT_MM >= 11.0 * 25.4 / 72.0) };
    }

    #[test]
    fn a_line_takes_as_many_words_as_fit() {
        // From the font's hmtx table: H 1518, space 532 of 2048 units. At 3.9 mm "HH HH" takes (4 x 1518 + 532) / 2048 x 3.9 = 12.576.
        let texts = |widest_mm: f64| -> Vec<String> {
            let lines = Words::plain("HH HH HH").broken(widest_mm);
            lines.into_iter().map(|line| line.text).collect()
        };
        assert_eq!(texts(12.58), ["HH HH", "HH"]);
        assert_eq!(texts(12.57), ["HH", "HH", "HH"]);
        assert_eq!(texts(1.0), ["HH", "HH", "HH"]);
    }
}
