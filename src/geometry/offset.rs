//! Growing and shrinking outlines.
//!
//! `i_overlay` moves every side and joins the moved sides at their mitres; curves are flattened first.
//! n log n for n flattened sides. Upright rectangles skip all this and stay exact.
//!
//! A mitre longer than four times the distance, at a corner sharper than 29 degrees, is cut off, as in [`drawing`]'s
//! strokes. `i_overlay`'s own integer arithmetic is used for the construction: it is the same on every machine.
//!
//! [`drawing`]: crate::drawing::Stroke::miter_limit

use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};

use kurbo::{CubicBez, ParamCurve, PathSeg, Point, Vec2};

use super::Outline;
use super::curve::even_pieces;
use super::polygon::{Polygon, STEPS_PER_MM, from_polygons, to_polygon};
use super::ring::without_repeats;
use super::shape::rectangle_over;
use crate::math::{COINCIDENT_MM, FLATTEN_MM};

/// Sharpest corner whose mitre is kept, in degrees: 2 asin(1 / 4).
const SHARPEST_MITRE_DEG: f64 = 28.955;

/// Flattest corner that gets a mitre, in degrees; flatter ones are cut across, which takes off less than a millionth of the
/// distance (1 - cos 0.05°).
const FLATTEST_MITRE_DEG: f64 = 0.1;

/// Longest side of a flattened arc in its radii: it keeps within r (1 - cos 0.025), a 3200th of the radius, of the arc.
const ARC_STEP_RADIANS: f64 = 0.05;

/// How often a step along a curve is halved at most; only a cusp, a corner within a curve, asks for more.
const MOST_HALVINGS: u32 = 6;

/// Returns `outline` with every edge moved outwards by `distance_mm`, or inwards if that is negative.
///
/// Moving inwards may leave several outlines or none. Corners stay corners; holes shrink as the outline grows. Curves come
/// back as straight sides within [`FLATTEN_MM`] of the true curve, with corners on whole nanometres.
///
/// # Panics
///
/// Panics on a distance of more than some ten kilometres.
///
/// # Examples
///
/// ```
/// use kurbo::Rect;
/// use sheetwright::geometry::{offset::offset, shape::rectangle};
///
/// let bleed = offset(&rectangle(60.0, 40.0).unwrap(), 3.0);
/// assert_eq!(bleed[0].bounds(), Rect::new(-3.0, -3.0, 63.0, 43.0));
/// ```
#[must_use]
pub fn offset(outline: &Outline, distance_mm: f64) -> Vec<Outline> {
    if distance_mm.abs() <= COINCIDENT_MM {
        return vec![outline.clone()];
    }
    if outline.is_rectangle() {
        return offset_rectangle(outline, distance_mm).into_iter().collect();
    }
    moved(
        outline,
        distance_mm,
        LineJoin::Miter(SHARPEST_MITRE_DEG.to_radians()),
    )
}

/// Returns all points at most `distance_mm` away from `outline`: like [`offset`], but around its corners run arcs.
///
/// The arcs come back as straight sides, inside the true arcs by at most [`FLATTEN_MM`] for distances up to 16 mm.
///
/// # Panics
///
/// Panics on a distance of more than some ten kilometres.
#[must_use]
pub fn surroundings(outline: &Outline, distance_mm: f64) -> Vec<Outline> {
    if distance_mm <= COINCIDENT_MM {
        return vec![outline.clone()];
    }
    moved(outline, distance_mm, LineJoin::Round(ARC_STEP_RADIANS))
}

fn moved(outline: &Outline, distance_mm: f64, join: LineJoin<f64>) -> Vec<Outline> {
    let style = OutlineStyle::new(distance_mm)
        .line_join(join)
        .miter_min_turn(FLATTEST_MITRE_DEG.to_radians());
    flattened_for(outline, distance_mm)
        .outline_fixed_scale_as::<i64>(&style, STEPS_PER_MM)
        .expect("an outline lies within a hundred metres, and so does any distance asked for")
        .iter()
        .filter_map(|shape| from_polygons(shape))
        .collect()
}

/// Flattens so finely that the mitres between the sides of a curve, once moved, stay within [`FLATTEN_MM`] of the moved curve.
fn flattened_for(outline: &Outline, distance_mm: f64) -> Vec<Polygon> {
    outline
        .rings()
        .map(|ring| {
            let mut corners = Vec::new();
            for segment in ring.segments() {
                moved_smoothly_into(segment, distance_mm, &mut corners);
            }
            to_polygon(&without_repeats(corners))
        })
        .collect()
}

fn moved_smoothly_into(segment: PathSeg, distance_mm: f64, corners: &mut Vec<Point>) {
    if let PathSeg::Line(line) = segment {
        corners.push(line.p1);
        return;
    }
    let cubic = segment.to_cubic();
    let (from, to) = end_directions(cubic);
    let pieces = even_pieces(cubic, FLATTEN_MM);
    let mut stops: Vec<f64> = (0..=pieces)
        .map(|i| f64::from(i) / f64::from(pieces))
        .collect();
    for _ in 0..MOST_HALVINGS {
        let points: Vec<Point> = stops.iter().map(|t| cubic.eval(*t)).collect();
        let last = points.len() - 1;
        let is_sharp = |i: usize| {
            let error_mm = match i {
                0 => sideways_mm(from, points[1] - points[0], distance_mm),
                _ if i == last => sideways_mm(to, points[last] - points[last - 1], distance_mm),
                _ => mitre_excess_mm(points[i - 1], points[i], points[i + 1], distance_mm),
            };
            error_mm > FLATTEN_MM
        };
        let mut finer = vec![stops[0]];
        for (i, step) in stops.windows(2).enumerate() {
            if is_sharp(i) || is_sharp(i + 1) {
                finer.push(step[0].midpoint(step[1]));
            }
            finer.push(step[1]);
        }
        if finer.len() == stops.len() {
            break;
        }
        stops = finer;
    }
    corners.extend(stops[1..].iter().map(|t| cubic.eval(*t)));
}

/// How much farther than the distance the mitre at `corner` reaches: by 1 / cos(turn / 2) - 1 distances where the moved sides
/// part, not at all where they run into each other.
fn mitre_excess_mm(before: Point, corner: Point, after: Point, distance_mm: f64) -> f64 {
    let (a, b) = (corner - before, after - corner);
    // Rings run clockwise around paper, so a turn to the right is a corner of the paper.
    if a.cross(b) * distance_mm <= 0.0 {
        return 0.0;
    }
    let cos_turn = a.dot(b) / (a.hypot2() * b.hypot2()).sqrt();
    distance_mm.abs() * (1.0 / f64::midpoint(1.0, cos_turn).sqrt() - 1.0)
}

/// Where a curve heads at its start and at its end; a handle of no length leaves that to the next one.
fn end_directions(cubic: CubicBez) -> (Vec2, Vec2) {
    let CubicBez { p0, p1, p2, p3 } = cubic;
    let first = |ways: [Vec2; 3]| {
        ways.into_iter()
            .find(|v| v.hypot2() > 0.0)
            .unwrap_or(Vec2::ZERO)
    };
    (
        first([p1 - p0, p2 - p0, p3 - p0]),
        first([p3 - p2, p3 - p1, p3 - p0]),
    )
}

/// How far from its true place the end of a curve is moved if its last chord stands in for its direction there. At a corner the
/// mitre carries that error on.
fn sideways_mm(tangent: Vec2, chord: Vec2, distance_mm: f64) -> f64 {
    let sine = tangent.cross(chord) / (tangent.hypot2() * chord.hypot2()).sqrt();
    (distance_mm * sine).abs()
}

fn offset_rectangle(outline: &Outline, distance_mm: f64) -> Option<Outline> {
    rectangle_over(outline.bounds().inflate(distance_mm, distance_mm)).ok()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use kurbo::{BezPath, Point, Rect};
    use proptest::prelude::*;

    use super::*;
    use crate::geometry::path_data::parse_path_data;
    use crate::geometry::shape::{circle, rectangle, regular_polygon, rounded_rectangle};
    use crate::math::hypot;

    fn outline(text: &str) -> Outline {
        Outline::new(&BezPath::from_svg(text).unwrap(), 0.001).unwrap()
    }

    fn corners(outline: &Outline) -> Vec<Point> {
        outline.flattened(1.0)[0].clone()
    }

    fn has_corner(outline: &Outline, x: f64, y: f64) -> bool {
        corners(outline)
            .iter()
            .any(|p| hypot(p.x - x, p.y - y) < 2e-6)
    }

    #[test]
    fn a_3_4_5_triangle_grows_to_its_mitres() {
        // Inradius 1, so growing by 1 doubles it about its incentre (1, 1): (-1, -1), (7, -1), (-1, 5).
        let grown = offset(&outline("M0 0 L4 0 L0 3 Z"), 1.0);
        assert_eq!(grown.len(), 1);
        for (x, y) in [(-1.0, -1.0), (7.0, -1.0), (-1.0, 5.0)] {
            assert!(has_corner(&grown[0], x, y), "{:?}", corners(&grown[0]));
        }
        assert_eq!(corners(&grown[0]).len(), 3);
        // And shrinking by 1/2 halves it; by 1 nothing is left.
        let shrunk = offset(&outline("M0 0 L4 0 L0 3 Z"), -0.5);
        assert!(
            has_corner(&shrunk[0], 0.5, 0.5)
                && has_corner(&shrunk[0], 2.5, 0.5)
                && has_corner(&shrunk[0], 0.5, 2.0)
        );
        assert_eq!(offset(&outline("M0 0 L4 0 L0 3 Z"), -1.01), []);
    }

    #[test]
    fn rectangles_stay_exact() {
        let card = rectangle(63.5, 187.325).unwrap();
        let layer = offset(&card, -3.175);
        assert_eq!(
            layer[0].bounds(),
            Rect::new(3.175, 3.175, 63.5 - 3.175, 187.325 - 3.175)
        );
        assert!(layer[0].is_rectangle());
        assert_eq!(offset(&card, -31.75), []);
        assert_eq!(offset(&card, 0.0), [card]);
    }

    #[test]
    fn a_hole_shrinks_as_the_outline_grows() {
        // 60 x 40 with a 40 x 20 hole, grown by 2: 64 x 44 less 36 x 16. A hole of 2 x 2 is closed by 2.
        let frame = outline("M0 0 H60 V40 H0 Z M10 10 H50 V30 H10 Z");
        let grown = offset(&frame, 2.0);
        assert!((grown[0].area_mm2() - (64.0 * 44.0 - 36.0 * 16.0)).abs() < 1e-3);
        let closed = offset(&outline("M0 0 H60 V40 H0 Z M10 10 H12 V12 H10 Z"), 2.0);
        assert!(closed[0].holes().is_empty());
        // Shrunk by 4, the hole grows to 48 x 28 in a 52 x 32 card.
        let shrunk = offset(&frame, -4.0);
        assert!((shrunk[0].area_mm2() - (52.0 * 32.0 - 48.0 * 28.0)).abs() < 1e-3);
    }

    #[test]
    fn shrinking_a_dumb_bell_leaves_two_parts() {
        let bell = outline("M0 0 H20 V9 H40 V0 H60 V20 H40 V11 H20 V20 H0 Z");
        let parts = offset(&bell, -2.0);
        assert_eq!(parts.len(), 2);
        for part in parts {
            assert!((part.area_mm2() - 16.0 * 16.0).abs() < 1e-3);
        }
    }

    #[test]
    fn a_grown_circle_is_a_circle_within_the_flattening_tolerance() {
        for (diameter, distance) in [(50.0, 3.0), (50.0, -20.0), (6.0, 10.0)] {
            let grown = offset(&circle(diameter).unwrap(), distance);
            let r = diameter / 2.0;
            for p in corners(&grown[0]) {
                let departure = hypot(p.x - r, p.y - r) - (r + distance);
                assert!(
                    departure.abs() <= FLATTEN_MM,
                    "{diameter} {distance}: {departure}"
                );
            }
            assert!(
                (grown[0].area_mm2() / (PI * (r + distance) * (r + distance)) - 1.0).abs()
                    < 4.0 * FLATTEN_MM / (r + distance)
            );
        }
    }

    #[test]
    fn a_corner_between_a_side_and_a_curve_keeps_its_mitre() {
        // A half disc of radius 10 under a straight side: the curve starts square to the side, so the mitres of 3 stand 3 beside and
        // 3 above its ends.
        let half_disc = Outline::new(
            &parse_path_data("M 0 0 H 20 A 10 10 0 0 1 0 0 Z", 1.0).unwrap(),
            0.001,
        )
        .unwrap();
        let grown = offset(&half_disc, 3.0);
        for (x, y) in [(23.0, -3.0), (-3.0, -3.0)] {
            let nearest_mm = corners(&grown[0])
                .iter()
                .map(|p| hypot(p.x - x, p.y - y))
                .fold(f64::MAX, f64::min);
            assert!(
                nearest_mm <= FLATTEN_MM,
                "({x}, {y}) is missed by {nearest_mm} mm"
            );
        }
    }

    #[test]
    fn corners_of_60_degrees_keep_their_mitre_and_needles_are_cut_off() {
        // An equal-sided triangle's mitre is twice the distance: corner on a circle of 20 + 2 · 3.
        let grown = offset(&regular_polygon(3, 40.0).unwrap(), 3.0);
        assert_eq!(corners(&grown[0]).len(), 3);
        assert!((grown[0].bounds().height() - (30.0 + 3.0 + 6.0)).abs() < 1e-5);
        // A needle of 2 asin(1/10) = 11.5 degrees would reach 10 times as far.
        let needle = offset(&outline("M0 0 L0 20 L99.5 10 Z"), 1.0);
        assert!(
            needle[0].bounds().x1 < 99.5 + 4.0 && needle[0].bounds().x1 > 99.5 + 0.9,
            "{:?}",
            needle[0].bounds()
        );
    }

    #[test]
    fn surroundings_of_a_square_have_round_corners() {
        // By hand: 20 x 20 and a strip of 3 along each side and a disc of radius 3 from the corners: 400 + 240 + 9 pi.
        let around = surroundings(&rectangle(20.0, 20.0).unwrap(), 3.0);
        assert_eq!(around.len(), 1);
        assert!((around[0].area_mm2() - (640.0 + 9.0 * PI)).abs() < FLATTEN_MM * 6.0 * PI);
        assert_eq!(around[0].bounds(), Rect::new(-3.0, -3.0, 23.0, 23.0));
        for p in corners(&around[0]) {
            let (dx, dy) = (
                (-p.x).max(p.x - 20.0).max(0.0),
                (-p.y).max(p.y - 20.0).max(0.0),
            );
            let off_mm = hypot(dx, dy) - 3.0;
            assert!(off_mm.abs() < 1e-5, "{p:?} is {off_mm} mm off");
        }
    }

    #[test]
    fn surroundings_leave_out_the_middle_of_a_large_hole() {
        // 60 x 40 with a hole of 40 x 20, grown by 2 all round: the hole is 36 x 16, its corners stay.
        let grown = surroundings(&outline("M0 0 H60 V40 H0 Z M10 10 H50 V30 H10 Z"), 2.0);
        let around = 60.0 * 40.0 + 2.0 * 2.0 * 100.0 + 4.0 * PI;
        assert!((grown[0].area_mm2() - (around - 36.0 * 16.0)).abs() < FLATTEN_MM * 4.0 * PI);
    }

    proptest! {
        #[test]
        fn out_then_in_returns_to_the_rectangle(w in 1.0..500.0_f64, h in 1.0..500.0_f64, d in 0.1..10.0_f64) {
            let start = rectangle(w, h).unwrap();
            let back = offset(&offset(&start, d)[0], -d);
            let (a, b) = (back[0].bounds(), start.bounds());
            prop_assert!((a.x0 - b.x0).abs() < 1e-9 && (a.y1 - b.y1).abs() < 1e-9);
            prop_assert!(back[0].is_rectangle());
        }

        #[test]
        fn out_then_in_returns_to_the_rounded_shape(w in 30.0..200.0_f64, h in 30.0..200.0_f64, r in 2.0..15.0_f64, d in 0.1..5.0_f64) {
            let start = rounded_rectangle(w, h, r).unwrap();
            let back = offset(&offset(&start, d)[0], -d);
            prop_assert_eq!(back.len(), 1);
            let edge_mm = 2.0 * (w + h);
            prop_assert!((back[0].area_mm2() - start.area_mm2()).abs() < FLATTEN_MM * edge_mm);
            let (a, b) = (back[0].bounds(), start.bounds());
            prop_assert!((a.x0 - b.x0).abs() < 1e-5 && (a.x1 - b.x1).abs() < 1e-5 && (a.y1 - b.y1).abs() < 1e-5);
        }
    }
}
