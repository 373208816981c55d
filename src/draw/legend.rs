//! The kinds of lines on a proof, with their names.

use kurbo::{BezPath, Point, Rect};

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
    let y_mm = start.y - SAMPLE_RISE_MM;
    let mut path = BezPath::new();
    for (from, to) in sample(kind) {
        path.move_to((start.x + from, y_mm));
        path.line_to((start.x + to, y_mm));
    }
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

/// A perforation's gaps come from its path, so its sample has gaps, too.
fn sample(kind: LineKind) -> &'static [(f64, f64)] {
    match kind {
        LineKind::Perforation => &[
            (0.0, 1.5),
            (2.25, 3.75),
            (4.5, 6.0),
            (6.75, 8.25),
            (9.0, SAMPLE_MM),
        ],
        LineKind::Cut
        | LineKind::Hole
        | LineKind::PartialCut
        | LineKind::Valley
        | LineKind::Mountain
        | LineKind::Line => &[(0.0, SAMPLE_MM)],
    }
}
