//! How far marks are from where they were meant to be.

use kurbo::{Point, Size, Vec2};

/// Where a mark was meant to be, and how far from there it is; both in millimetres on the sheet, seen from the front.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MarkError {
    /// Where it was meant to be.
    pub at: Point,
    /// From there to where it is.
    pub off: Vec2,
}

/// The errors of many marks in a few numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MarkSummary {
    /// Root of the mean square, in millimetres.
    pub rms_mm: f64,
    /// The largest, in millimetres.
    pub worst_mm: f64,
    /// Where that is.
    pub worst_at: Point,
}

impl MarkSummary {
    /// Returns the summary, or `None` without marks.
    #[must_use]
    pub fn of(marks: &[MarkError]) -> Option<Self> {
        let worst = marks
            .iter()
            .max_by(|a, b| a.off.hypot2().total_cmp(&b.off.hypot2()))?;
        let squares: f64 = marks.iter().map(|m| m.off.hypot2()).sum();
        Some(Self {
            rms_mm: (squares / marks.len() as f64).sqrt(),
            worst_mm: worst.off.hypot2().sqrt(),
            worst_at: worst.at,
        })
    }
}

/// Returns where on a page a point lies, in words: `lower right`, `middle`.
#[must_use]
pub fn place_words(at: Point, page: Size) -> &'static str {
    let third = |place: f64, side: f64| {
        if place < side / 3.0 {
            0
        } else if place <= side * 2.0 / 3.0 {
            1
        } else {
            2
        }
    };
    const WORDS: [[&str; 3]; 3] = [
        ["upper left", "upper middle", "upper right"],
        ["left", "middle", "right"],
        ["lower left", "lower middle", "lower right"],
    ];
    WORDS[third(at.y, page.height)][third(at.x, page.width)]
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 3-4-5 and 0-1: the root of (25 + 1) / 2.
    #[test]
    fn a_summary_names_the_worst_mark() {
        let mark = |x, y, dx, dy| MarkError {
            at: Point::new(x, y),
            off: Vec2::new(dx, dy),
        };
        let marks = [mark(10.0, 290.0, 3.0, -4.0), mark(100.0, 150.0, 0.0, 1.0)];
        let summary = MarkSummary::of(&marks).unwrap();
        assert!((summary.rms_mm - 13.0_f64.sqrt()).abs() < 1e-12);
        assert!((summary.worst_mm - 5.0).abs() < 1e-12);
        let page = Size::new(210.0, 297.0);
        assert_eq!(place_words(summary.worst_at, page), "lower left");
        assert_eq!(place_words(marks[1].at, page), "middle");
        assert!(MarkSummary::of(&[]).is_none());
    }
}
