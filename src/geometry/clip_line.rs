//! The parts of a straight line that lie on a piece: how a crease is run from edge to edge.
//!
//! One pass over the outline's segments, then a sort of the few crossings. Curves are crossed by bisection, true to far
//! below a nanometre.

use kurbo::{Line, Point};

use super::Outline;
use super::curve::{OnLine, ScanLine};
use crate::math::COINCIDENT_MM;

/// Returns the parts of the line x = `x_mm` on the piece, from the top down.
///
/// A stretch that only runs along the edge of the piece, or of a hole, is not on the piece.
///
/// # Examples
///
/// ```
/// use kurbo::Line;
/// use sheetwright::geometry::{clip_line::clip_vertical, shape::rectangle};
///
/// let strip = rectangle(100.0, 20.0).unwrap();
/// assert_eq!(clip_vertical(&strip, 25.0), [Line::new((25.0, 0.0), (25.0, 20.0))]);
/// assert_eq!(clip_vertical(&strip, 100.0), []);
/// ```
#[must_use]
pub fn clip_vertical(outline: &Outline, x_mm: f64) -> Vec<Line> {
    spans(outline, ScanLine::vertical(x_mm))
        .into_iter()
        .map(|(from, to)| Line::new((x_mm, from), (x_mm, to)))
        .collect()
}

/// Returns the parts of the line y = `y_mm` on the piece, from left to right; otherwise as [`clip_vertical`].
#[must_use]
pub fn clip_horizontal(outline: &Outline, y_mm: f64) -> Vec<Line> {
    spans(outline, ScanLine::horizontal(y_mm))
        .into_iter()
        .map(|(from, to)| Line::new((from, y_mm), (to, y_mm)))
        .collect()
}

/// Returns the parts of a segment on the piece, in the segment's direction; otherwise as [`clip_vertical`].
#[must_use]
pub fn clip_segment(outline: &Outline, segment: Line) -> Vec<Line> {
    let Some(line) = ScanLine::through(segment.p0, segment.p1) else {
        return Vec::new();
    };
    let length_mm = line.along(segment.p1);
    let point_at = |along_mm: f64| -> Point {
        if along_mm <= 0.0 {
            segment.p0
        } else if along_mm >= length_mm {
            segment.p1
        } else {
            segment.p0.lerp(segment.p1, along_mm / length_mm)
        }
    };
    shared(&spans(outline, line), &[(0.0, length_mm)])
        .into_iter()
        .map(|(from, to)| Line::new(point_at(from), point_at(to)))
        .collect()
}

/// From and to, as positions along a line in mm.
type Span = (f64, f64);

/// What lies inside on both sides of the line; along an edge one side is outside.
fn spans(outline: &Outline, line: ScanLine) -> Vec<Span> {
    let beside = |rule: OnLine| -> Vec<Span> {
        let mut positions = Vec::new();
        for segment in outline.segments() {
            line.crossings_into(segment, rule, &mut positions);
        }
        positions.sort_by(f64::total_cmp);
        positions
            .chunks_exact(2)
            .map(|pair| (pair[0], pair[1]))
            .collect()
    };
    shared(&beside(OnLine::WithPositive), &beside(OnLine::WithNegative))
}

/// The stretches that both sorted lists cover, without those shorter than a nanometre.
///
/// Stretches that touch are one: at a corner that the line passes, the lists of its two sides break, the paper does not.
fn shared(a: &[Span], b: &[Span]) -> Vec<Span> {
    let (mut i, mut j) = (0, 0);
    let mut found: Vec<Span> = Vec::new();
    while i < a.len() && j < b.len() {
        let (from, to) = (a[i].0.max(b[j].0), a[i].1.min(b[j].1));
        if to - from > COINCIDENT_MM {
            match found.last_mut() {
                Some(last) if from - last.1 <= COINCIDENT_MM => last.1 = to,
                _ => found.push((from, to)),
            }
        }
        if a[i].1 < b[j].1 {
            i += 1;
        } else {
            j += 1;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use kurbo::BezPath;

    use super::*;
    use crate::geometry::shape::{circle, rectangle};

    fn outline(text: &str) -> Outline {
        Outline::new(&BezPath::from_svg(text).unwrap(), 0.001).unwrap()
    }

    #[test]
    fn a_chord_of_a_circle_follows_pythagoras() {
        // Circle of 50 about (25, 25), 15 off its middle: half chord 20. The eight cubics lie at most 4.3e-6 r outside.
        let chords = clip_vertical(&circle(50.0).unwrap(), 40.0);
        assert_eq!(chords.len(), 1);
        assert!(
            (chords[0].p0.y - 5.0).abs() < 2e-4 && (chords[0].p1.y - 45.0).abs() < 2e-4,
            "{chords:?}"
        );
        // Through the middle it is a diameter.
        let widest = clip_horizontal(&circle(50.0).unwrap(), 25.0);
        assert!(
            widest[0].p0.x.abs() < 1e-12 && (widest[0].p1.x - 50.0).abs() < 1e-12,
            "{widest:?}"
        );
    }

    #[test]
    fn a_parabola_is_cut_where_its_equation_says() {
        // y = 4t(1 - t) · 3 over x = 30 t: at t = 1/4, x = 7.5, y = 2.25.
        let arch = outline("M0 0 C10 4 20 4 30 0 Z");
        let spans = clip_horizontal(&arch, 2.25);
        assert_eq!(spans.len(), 1);
        assert!(
            (spans[0].p0.x - 7.5).abs() < 1e-9 && (spans[0].p1.x - 22.5).abs() < 1e-9,
            "{spans:?}"
        );
    }

    #[test]
    fn holes_interrupt_the_line() {
        let frame = outline("M0 0 H60 V40 H0 Z M10 10 H50 V30 H10 Z");
        assert_eq!(
            clip_vertical(&frame, 30.0),
            [
                Line::new((30.0, 0.0), (30.0, 10.0)),
                Line::new((30.0, 30.0), (30.0, 40.0))
            ]
        );
    }

    #[test]
    fn corners_are_passed_without_a_gap_or_a_ghost() {
        // A diamond: the line through two corners, and the lines that only touch one.
        let diamond = outline("M10 0 L20 10 L10 20 L0 10 Z");
        assert_eq!(
            clip_horizontal(&diamond, 10.0),
            [Line::new((0.0, 10.0), (20.0, 10.0))]
        );
        assert_eq!(clip_horizontal(&diamond, 0.0), []);
        assert_eq!(clip_horizontal(&diamond, 20.0), []);
    }

    #[test]
    fn a_line_that_passes_a_corner_of_the_edge_is_one_stroke() {
        // A wall of 40 with a glue flap at each end: the flap's slanted shoulder ends on the line from its left.
        let wall = outline("M20 0 H60 V40 H20 L10 36 V14 L20 10 Z");
        let fold = Line::new((20.0, 10.0), (20.0, 40.0));
        assert_eq!(clip_vertical(&wall, 20.0), [fold]);
        // Two flaps that meet on the line.
        let flaps = outline("M20 0 H60 V40 H20 L10 36 V24 L20 20 L10 16 V4 Z");
        let fold = Line::new((20.0, 0.0), (20.0, 40.0));
        assert_eq!(clip_vertical(&flaps, 20.0), [fold]);
        assert_eq!(clip_segment(&flaps, fold), [fold]);
    }

    #[test]
    fn running_along_an_edge_is_not_on_the_piece() {
        for x in [0.0, 60.0] {
            assert_eq!(clip_vertical(&rectangle(60.0, 40.0).unwrap(), x), []);
        }
        // A step: along its inner edge only the part below, through solid paper, counts.
        let step = outline("M0 0 H20 V10 H40 V30 H0 Z");
        assert_eq!(
            clip_vertical(&step, 20.0),
            [Line::new((20.0, 10.0), (20.0, 30.0))]
        );
        // And along the edge of a hole.
        let frame = outline("M0 0 H60 V40 H0 Z M10 10 H50 V30 H10 Z");
        assert_eq!(
            clip_vertical(&frame, 10.0),
            [
                Line::new((10.0, 0.0), (10.0, 10.0)),
                Line::new((10.0, 30.0), (10.0, 40.0))
            ]
        );
    }

    #[test]
    fn a_slanted_segment_is_cut_at_both_edges_and_keeps_its_own_ends() {
        // Slope 3/4 through the left edge at (0, 0)... leaves the 40 x 20 box at y = 20, x = 80/3.
        let card = rectangle(40.0, 20.0).unwrap();
        let parts = clip_segment(&card, Line::new((-8.0, -6.0), (40.0, 30.0)));
        assert_eq!(parts.len(), 1);
        assert!((parts[0].p0 - Point::ORIGIN).hypot2() < 1e-18);
        assert!((parts[0].p1 - Point::new(80.0 / 3.0, 20.0)).hypot2() < 1e-18);
        let inside = Line::new((5.1, 5.2), (31.3, 17.4));
        assert_eq!(clip_segment(&card, inside), [inside]);
        assert_eq!(clip_segment(&card, Line::new((5.0, 5.0), (5.0, 5.0))), []);
        assert_eq!(
            clip_segment(&card, Line::new((50.0, 0.0), (50.0, 20.0))),
            []
        );
    }
}
