//! The kinds of lines on a proof, with their names.

use kurbo::{Point, Rect, Vec2};

use super::caption::{FIRST_BASELINE_MM, PITCH_MM, TEXT_MM, lines_in};
use super::line_kind::LineKind;
use super::text::{Align, TextLine};
use crate::drawing::{Colour, Drawing, Item, Paint};

const SAMPLE_MM: f64 = 10.5;
const COLUMN_MM: f64 = 32.0;

/// From a baseline up to the sample of a line: half the height of small letters.
const SAMPLE_RISE_MM: f64 = 0.6;

/// A legend in a band.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Legend {
    kinds: Vec<LineKind>,
    rows: usize,
}

impl Legend {
    /// Returns a legend of these kinds, each once, for a band of this height.
    pub(super) fn new(mut kinds: Vec<LineKind>, height_mm: f64) -> Self {
        kinds.sort_unstable();
        kinds.dedup();
        Self {
            kinds,
            rows: lines_in(height_mm),
        }
    }

    pub(super) fn width_mm(&self) -> f64 {
        (0..self.kinds.len().div_ceil(self.rows))
            .map(|_| COLUMN_MM)
            .sum()
    }

    /// Returns the legend with its top left corner where `band` has it.
    pub(super) fn draw(&self, band: Rect) -> Drawing {
        let mut items = Vec::new();
        let mut left_mm = band.x0;
        for column in self.kinds.chunks(self.rows) {
            let mut baseline_mm = band.y0 + FIRST_BASELINE_MM;
            for kind in column {
                items.extend(entry(*kind, Point::new(left_mm, baseline_mm)));
                baseline_mm += PITCH_MM;
            }
            left_mm += COLUMN_MM;
        }
        Drawing { items }
    }
}

fn entry(kind: LineKind, start: Point) -> [Item; 2] {
    let path = kind.sample(start - Vec2::new(0.0, SAMPLE_RISE_MM), SAMPLE_MM);
    let line = Item::Stroke {
        path,
        stroke: kind.stroke(),
        paint: Paint::flat(kind.colour()),
    };
    let after = Point::new(start.x + SAMPLE_MM + 1.0, start.y);
    [
        line,
        TextLine::new(kind.label(), TEXT_MM).at(after, Align::Left, Colour::BLACK),
    ]
}
