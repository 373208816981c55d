//! Elliptical arcs as cubic curves.
//!
//! Each cubic spans at most 45 degrees. Its handles are 4/3 tan(span / 4) radii long, which puts the middle of the cubic on
//! the arc too; at 45 degrees the curve then lies at most 4.3e-6 radii outside the arc (0.1 µm on a circle of 50 mm).

use kurbo::{Affine, BezPath, PathEl, Point, Vec2};

use crate::math::{Angle, atan2, tan};

/// Widest span of one cubic, in degrees.
const WIDEST_DEG: f64 = 45.0;

/// Appends a circle's arc of `span_deg` (positive: clockwise as seen with y down), mapped by `circle_to_path`, to a path that
/// stands at the arc's start. The circle has radius 1 about the origin.
pub(super) fn arc_into(path: &mut BezPath, circle_to_path: Affine, start_deg: f64, span_deg: f64) {
    let mut pieces = 1;
    // The small allowance keeps a span that is 45 degrees but for rounding in one piece.
    while f64::from(pieces) * WIDEST_DEG < span_deg.abs() - 1e-9 {
        pieces += 1;
    }
    let step_deg = span_deg / f64::from(pieces);
    let handle = 4.0 / 3.0 * tan(step_deg.to_radians() / 4.0);
    let on_circle = |deg: f64| {
        let (sin, cos) = Angle::from_deg(deg).sin_cos();
        (Point::new(cos, sin), handle * Vec2::new(-sin, cos))
    };
    let (mut from, mut leaving) = on_circle(start_deg);
    for i in 1..=pieces {
        let (to, arriving) = on_circle(start_deg + f64::from(i) * step_deg);
        path.curve_to(
            circle_to_path * (from + leaving),
            circle_to_path * (to - arriving),
            circle_to_path * to,
        );
        (from, leaving) = (to, arriving);
    }
}

/// Which way an arc runs, as seen with y down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// As the hands of a clock.
    Clockwise,
    /// Against them.
    CounterClockwise,
}

impl Way {
    /// Returns the other way.
    #[must_use]
    pub const fn back(self) -> Self {
        match self {
            Self::Clockwise => Self::CounterClockwise,
            Self::CounterClockwise => Self::Clockwise,
        }
    }
}

/// Appends the shorter arc of a circle from where the path stands to `to`; a half circle where the radius just reaches, and where it
/// does not.
///
/// # Panics
///
/// Panics if the path is empty: it stands nowhere.
pub fn arc_to(path: &mut BezPath, to: Point, radius_mm: f64, way: Way) {
    let from = path.elements().last().and_then(PathEl::end_point);
    let from = from.expect("a path that is drawn on stands somewhere");
    let arc = EndpointArc {
        radii: Vec2::new(radius_mm, radius_mm),
        axis_deg: 0.0,
        is_large: false,
        is_clockwise: way == Way::Clockwise,
    };
    endpoint_arc_into(path, from, to, arc);
}

/// Radii, slant and flags of an SVG arc command.
#[derive(Debug, Clone, Copy)]
pub(super) struct EndpointArc {
    /// Radii along the ellipse's own axes.
    pub(super) radii: Vec2,
    /// Turn of the ellipse's x axis in degrees, clockwise as seen.
    pub(super) axis_deg: f64,
    /// Whether the longer way round is meant.
    pub(super) is_large: bool,
    /// Whether the arc runs clockwise as seen.
    pub(super) is_clockwise: bool,
}

/// Appends the arc from `from`, where the path stands, to `to`.
///
/// Follows the conversion from endpoint to centre form in SVG 2, appendix B.2.4, with the out-of-range rules of B.2.5: a zero
/// radius is a straight line, radii that cannot reach are scaled up.
pub(super) fn endpoint_arc_into(path: &mut BezPath, from: Point, to: Point, arc: EndpointArc) {
    let (rx, ry) = (arc.radii.x.abs(), arc.radii.y.abs());
    if (to - from).hypot2() <= 0.0 {
        return;
    }
    if rx <= 0.0 || ry <= 0.0 {
        path.line_to(to);
        return;
    }
    let (sin, cos) = Angle::from_deg(arc.axis_deg).sin_cos();
    // From page axes to the frame in which the ellipse is a circle of radius 1.
    let to_circle = |v: Vec2| Vec2::new((cos * v.x + sin * v.y) / rx, (cos * v.y - sin * v.x) / ry);
    let half_chord = to_circle((to - from) / 2.0);
    let half_sq = half_chord.hypot2();
    let growth = half_sq.sqrt().max(1.0);
    let half_chord = half_chord / growth;
    let rise = ((1.0 - half_chord.hypot2()).max(0.0) / half_chord.hypot2()).sqrt();
    let side = if arc.is_large == arc.is_clockwise {
        -1.0
    } else {
        1.0
    };
    let centre_from_middle = side * rise * Vec2::new(-half_chord.y, half_chord.x);
    let start = -half_chord - centre_from_middle;
    let end = half_chord - centre_from_middle;
    let start_deg = atan2(start.y, start.x).to_degrees();
    let turn_deg = atan2(start.cross(end), start.dot(end)).to_degrees();
    let span_deg = match (arc.is_clockwise, turn_deg < 0.0) {
        (true, true) => turn_deg + 360.0,
        (false, false) => turn_deg - 360.0,
        (true, false) | (false, true) => turn_deg,
    };
    if !(start_deg.is_finite() && span_deg.is_finite()) {
        // Only sizes beyond any paper overflow here; their outline is refused for its reach.
        path.line_to(to);
        return;
    }
    let (rx, ry) = (rx * growth, ry * growth);
    let linear = Affine::new([cos * rx, sin * rx, -sin * ry, cos * ry, 0.0, 0.0]);
    let centre = from.midpoint(to) + (linear * centre_from_middle.to_point()).to_vec2();
    arc_into(
        path,
        linear.then_translate(centre.to_vec2()),
        start_deg,
        span_deg,
    );
    end_exactly(path, to);
}

/// Replaces the last point, which rounding has moved by a few units in the last place.
fn end_exactly(path: &mut BezPath, to: Point) {
    if let Some(PathEl::CurveTo(_, _, end)) = path.elements_mut().last_mut() {
        *end = to;
    }
}

#[cfg(test)]
mod tests {
    use kurbo::{ParamCurve, PathSeg};

    use super::*;

    fn arc(from: (f64, f64), to: (f64, f64), arc: EndpointArc) -> BezPath {
        let mut path = BezPath::new();
        path.move_to(from);
        endpoint_arc_into(&mut path, from.into(), to.into(), arc);
        path
    }

    const QUARTER: EndpointArc = EndpointArc {
        radii: Vec2::new(10.0, 10.0),
        axis_deg: 0.0,
        is_large: false,
        is_clockwise: true,
    };

    fn points(path: &BezPath) -> Vec<Point> {
        path.segments()
            .flat_map(|s: PathSeg| (0..=16).map(move |i| s.eval(f64::from(i) / 16.0)))
            .collect()
    }

    #[test]
    fn a_full_circle_is_eight_cubics_within_five_millionths() {
        let mut path = BezPath::new();
        path.move_to((1.0, 0.0));
        arc_into(&mut path, Affine::IDENTITY, 0.0, 360.0);
        assert_eq!(path.segments().count(), 8);
        for p in points(&path) {
            let departure = crate::math::hypot(p.x, p.y) - 1.0;
            assert!((-1e-12..5e-6).contains(&departure), "{departure}");
        }
    }

    #[test]
    fn the_four_flag_pairs_bend_four_ways() {
        // From (10, 0) to (0, 10) with r = 10 there are two circles: about (0, 0) and about (10, 10). With y down, the
        // clockwise short way is the one about (0, 0).
        for (is_large, is_clockwise, centre) in [
            (false, true, (0.0, 0.0)),
            (true, false, (0.0, 0.0)),
            (false, false, (10.0, 10.0)),
            (true, true, (10.0, 10.0)),
        ] {
            let path = arc(
                (10.0, 0.0),
                (0.0, 10.0),
                EndpointArc {
                    is_large,
                    is_clockwise,
                    ..QUARTER
                },
            );
            let pieces = if is_large { 6 } else { 2 };
            assert_eq!(path.segments().count(), pieces);
            for p in points(&path) {
                let r = crate::math::hypot(p.x - centre.0, p.y - centre.1);
                assert!((r - 10.0).abs() < 1e-4, "{is_large} {is_clockwise} {p:?}");
            }
        }
    }

    #[test]
    fn a_path_is_drawn_on_by_the_short_way_round() {
        // From (10, 0) to (0, 10) clockwise with y down is a quarter about the origin; back the other way is the same quarter.
        let mut path = BezPath::new();
        path.move_to((10.0, 0.0));
        arc_to(&mut path, Point::new(0.0, 10.0), 10.0, Way::Clockwise);
        arc_to(
            &mut path,
            Point::new(10.0, 0.0),
            10.0,
            Way::Clockwise.back(),
        );
        for p in points(&path) {
            assert!((crate::math::hypot(p.x, p.y) - 10.0).abs() < 1e-4);
        }
        assert_eq!(path.segments().count(), 4);
    }

    #[test]
    fn radii_too_short_to_reach_are_scaled_up() {
        // A chord of 40 with radius 10 becomes a half circle of radius 20.
        let path = arc((0.0, 0.0), (40.0, 0.0), QUARTER);
        for p in points(&path) {
            assert!((crate::math::hypot(p.x - 20.0, p.y) - 20.0).abs() < 2e-4);
        }
        // Clockwise with y down, from left to right, goes over the top.
        assert!(points(&path).iter().all(|p| p.y < 1e-9));
    }

    #[test]
    fn a_turned_ellipse_keeps_its_equation() {
        // Radii 20 and 10 turned by 30 degrees, centre at the origin: ends on the axes of the ellipse.
        let (sin, cos) = Angle::from_deg(30.0).sin_cos();
        let from = (20.0 * cos, 20.0 * sin);
        let to = (-10.0 * sin, 10.0 * cos);
        let turned = EndpointArc {
            radii: Vec2::new(20.0, 10.0),
            axis_deg: 30.0,
            ..QUARTER
        };
        for p in points(&arc(from, to, turned)) {
            let (u, v) = (cos * p.x + sin * p.y, cos * p.y - sin * p.x);
            assert!((u * u / 400.0 + v * v / 100.0 - 1.0).abs() < 2e-5);
        }
    }

    #[test]
    fn a_zero_radius_is_a_straight_line_and_no_way_is_nothing() {
        let flat = EndpointArc {
            radii: Vec2::new(0.0, 10.0),
            ..QUARTER
        };
        assert_eq!(arc((0.0, 0.0), (5.0, 5.0), flat).to_svg(), "M0,0 L5,5");
        assert_eq!(arc((5.0, 5.0), (5.0, 5.0), QUARTER).segments().count(), 0);
    }
}
