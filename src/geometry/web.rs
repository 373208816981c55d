//! Narrow webs: the thin strips of paper between two cuts that tear while cutting or weeding.
//!
//! The boundary is flattened; a web is where two of its sides, not neighbours, come nearest to each other with paper between
//! them, and sliding along either side only leads farther apart. That leaves out tips and rounded ends, which narrow
//! steadily to nothing. n log n for n sides, plus the pairs of sides within the limit of each other.

use kurbo::{Line, Point, Rect};

use super::Outline;
use super::crossing::{box_of, sides};
use super::distance::{nearest_points, side_distance_mm};
use super::sweep::visit_near;
use crate::math::{COINCIDENT_MM, FLATTEN_MM};

/// Returns the narrowest web below `limit_mm`: its width in mm and the middle of it.
///
/// Curves count as flattened to [`FLATTEN_MM`]. The width of a long even strip counts, the taper of a tip does not.
#[must_use]
pub fn narrowest_web(outline: &Outline, limit_mm: f64) -> Option<(f64, Point)> {
    let rings: Vec<Vec<Line>> = outline
        .flattened(FLATTEN_MM)
        .iter()
        .map(|p| sides(p).collect())
        .collect();
    let places: Vec<(usize, usize)> = rings
        .iter()
        .enumerate()
        .flat_map(|(ring, sides)| (0..sides.len()).map(move |i| (ring, i)))
        .collect();
    let boxes: Vec<Rect> = places
        .iter()
        .map(|(ring, i)| box_of(rings[*ring][*i]))
        .collect();
    let mut narrowest: Option<(f64, Point)> = None;
    visit_near(&boxes, limit_mm, |i, j| {
        let below_mm = narrowest.map_or(limit_mm, |(width_mm, _)| width_mm);
        let pair = (Side::new(&rings, places[i]), Side::new(&rings, places[j]));
        narrowest = web_between(pair.0, pair.1)
            .filter(|(width_mm, middle)| *width_mm < below_mm && outline.contains(*middle))
            .or(narrowest);
        Some(narrowest.map_or(limit_mm, |(width_mm, _)| width_mm))
    });
    narrowest
}

/// A side of a flattened ring, with the sides before and after it.
#[derive(Debug, Clone, Copy)]
struct Side {
    line: Line,
    before: Line,
    after: Line,
}

impl Side {
    fn new(rings: &[Vec<Line>], (ring, i): (usize, usize)) -> Self {
        let sides = &rings[ring];
        Self {
            line: sides[i],
            before: sides[(i + sides.len() - 1) % sides.len()],
            after: sides[(i + 1) % sides.len()],
        }
    }

    /// Whether going on beyond this side's ends leads no nearer to `other` than `width_mm`, met on this side at `at`.
    fn is_nearest_to(&self, other: Line, at: Point, width_mm: f64) -> bool {
        let holds = |end: Point, next: Line| {
            (at - end).hypot2() > COINCIDENT_MM * COINCIDENT_MM
                || side_distance_mm(next, other) >= width_mm - COINCIDENT_MM
        };
        holds(self.line.p0, self.before) && holds(self.line.p1, self.after)
    }
}

fn web_between(a: Side, b: Side) -> Option<(f64, Point)> {
    let (p, q) = middle_of_facing(a.line, b.line).unwrap_or_else(|| nearest_points(a.line, b.line));
    let width_mm = (q - p).hypot2().sqrt();
    let is_web = width_mm > COINCIDENT_MM
        && a.is_nearest_to(b.line, p, width_mm)
        && b.is_nearest_to(a.line, q, width_mm);
    is_web.then(|| (width_mm, p.midpoint(q)))
}

/// For parallel sides that face each other over a stretch at least as long as they are apart: the middle of it on each.
///
/// Every point of the stretch is as near as its ends, where the next side may close it off. A shorter stretch is no strip:
/// opposite sides of a flattened small circle face each other like that.
fn middle_of_facing(a: Line, b: Line) -> Option<(Point, Point)> {
    let way = a.p1 - a.p0;
    let length_mm = way.hypot2().sqrt();
    let along = way / length_mm;
    let rise_mm = along.cross(b.p1 - b.p0);
    if rise_mm.abs() > COINCIDENT_MM {
        return None;
    }
    let (s, t) = (along.dot(b.p0 - a.p0), along.dot(b.p1 - a.p0));
    let (from, to) = (s.min(t).max(0.0), s.max(t).min(length_mm));
    if to - from < along.cross(b.p0 - a.p0).abs().max(COINCIDENT_MM) {
        return None;
    }
    let middle = from.midpoint(to);
    let p = a.p0 + along * middle;
    Some((p, b.p0.lerp(b.p1, (middle - s) / (t - s))))
}

#[cfg(test)]
mod tests {
    use kurbo::BezPath;

    use super::*;
    use crate::geometry::shape::{circle, ellipse, rectangle, regular_polygon, rounded_rectangle};
    use crate::math::hypot;

    fn outline(text: &str) -> Outline {
        Outline::new(&BezPath::from_svg(text).unwrap(), 0.001).unwrap()
    }

    fn assert_web(outline: &Outline, limit_mm: f64, want: Option<(f64, f64, f64)>) {
        let found = narrowest_web(outline, limit_mm);
        let is_right = match (found, want) {
            (None, None) => true,
            (Some((width, at)), Some((w, x, y))) => {
                (width - w).abs() < 0.01 && hypot(at.x - x, at.y - y) < 0.1
            }
            (Some(_), None) | (None, Some(_)) => false,
        };
        assert!(is_right, "{found:?}");
    }

    #[test]
    fn a_hole_near_the_edge_leaves_a_web() {
        // A 3 mm hole whose right side is 0.6 mm from the edge at x = 60, its middle at y = 20.
        let tag = outline("M0 0 H60 V40 H0 Z M56.4 20 a1.5 1.5 0 0 1 3 0 a1.5 1.5 0 0 1 -3 0 Z");
        assert_web(&tag, 1.0, Some((0.6, 59.7, 20.0)));
        assert_web(&tag, 0.5, None);
    }

    #[test]
    fn two_holes_leave_a_web_between_them() {
        // Circles of 4 with centres (10, 10) and (13, 14), 5 apart: 1 mm between, about (11.5, 12).
        let hole = |x: f64, y: f64| format!("M{} {y} a2 2 0 0 1 4 0 a2 2 0 0 1 -4 0 Z", x - 2.0);
        let card = outline(&format!(
            "M0 0 H30 V30 H0 Z {} {}",
            hole(10.0, 10.0),
            hole(13.0, 14.0)
        ));
        assert_web(&card, 1.5, Some((1.0, 11.5, 12.0)));
        assert_web(&card, 0.9, None);
    }

    #[test]
    fn an_hourglass_has_its_web_at_the_waist() {
        let glass = outline("M0 0 H20 L10.4 20 L20 40 H0 L9.6 20 Z");
        assert_web(&glass, 1.0, Some((0.8, 10.0, 20.0)));
    }

    #[test]
    fn a_thin_strip_is_a_web_all_along() {
        let strip = rectangle(50.0, 0.7).unwrap();
        assert_web(&strip, 1.0, Some((0.7, 25.0, 0.35)));
        // A bridge of 0.8 between two panels.
        let bridged = outline("M0 0 H20 V9.6 H30 V0 H50 V20 H30 V10.4 H20 V20 H0 Z");
        let (width, at) = narrowest_web(&bridged, 1.0).unwrap();
        assert!((width - 0.8).abs() < 1e-9 && (at.y - 10.0).abs() < 1e-9);
        assert!((20.0..=30.0).contains(&at.x), "{at:?}");
    }

    #[test]
    fn a_slit_is_a_gap_and_no_web() {
        let slit = outline("M0 0 H20 V10 H20.4 V0 H40 V30 H0 Z");
        assert_web(&slit, 1.0, None);
    }

    #[test]
    fn tips_rounded_ends_and_plain_shapes_have_no_web() {
        for shape in [
            rectangle(60.0, 40.0),
            circle(50.0),
            circle(0.8),
            ellipse(60.0, 4.0),
            rounded_rectangle(60.0, 40.0, 0.3),
            regular_polygon(3, 30.0),
            regular_polygon(100, 10.0),
        ] {
            assert_web(&shape.unwrap(), 1.0, None);
        }
        assert_web(&outline("M0 0 L0 6 L60 3 Z"), 1.0, None);
        // A blunt tip: its end is a side of 0.4, its flanks are 0.4 apart there and spread.
        assert_web(&outline("M0 0 L0 6 L60 3.2 L60 2.8 Z"), 1.0, None);
    }

    #[test]
    fn a_round_waist_is_measured_between_its_curves() {
        // Two bites of radius 20 into a 40 x 41 card from left and right, centres at x = -0.25 and 40.75 on y = 20.
        let text = "M0 0 H41 V5 A20 20 0 0 0 41 35 V40 H0 V35 A20 20 0 0 0 0 5 Z";
        // Half chord 15, so each bite is 20 - sqrt(400 - 225) deep: 6.771; left 41 - 13.542 = 27.458.
        assert_web(&outline(text), 28.0, Some((27.458, 20.5, 20.0)));
        assert_web(&outline(text), 27.0, None);
    }
}
