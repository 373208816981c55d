//! The edge of a piece: one closed simple ring, with holes.

use kurbo::{Affine, BezPath, ParamCurve, ParamCurveExtrema, PathSeg, Point, Rect};

use super::OutlineError;
use super::crossing::first_meeting;
use super::curve::{OnLine, ScanLine};
use super::ring::{
    closed_rings, flattened_ring, reversed, reversed_ring, ring_path, signed_area_mm2,
};
use crate::math::{COINCIDENT_MM, FLATTEN_MM};

/// One closed ring that neither crosses nor touches itself, with holes that lie inside it and meet nothing.
///
/// Millimetres, y down. The outer ring runs clockwise as seen, holes the other way. Rings hold straight lines and cubic
/// curves; each starts with a move and ends with a close. Whoever holds an `Outline` need not check any of this again.
///
/// # Examples
///
/// ```
/// use kurbo::BezPath;
/// use sheetwright::geometry::Outline;
///
/// let path = BezPath::from_svg("M0 0 H60 V40 H0 Z M10 10 V30 H50 V10 Z").unwrap();
/// let frame = Outline::new(&path, 0.01).unwrap();
/// assert_eq!(frame.area_mm2(), 60.0 * 40.0 - 40.0 * 20.0);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    outer: BezPath,
    holes: Vec<BezPath>,
    bounds: Rect,
}

impl Outline {
    /// Returns the outline that `path` draws; its largest subpath is the outer ring, all others must be holes in it.
    ///
    /// A subpath whose end misses its start by at most `tolerance_mm` is closed by moving its end. Crossings are looked for
    /// on the curves flattened to that tolerance, [`FLATTEN_MM`] at most.
    ///
    /// # Errors
    ///
    /// Returns an [`OutlineError`] with the place in mm if the path is no such outline.
    pub fn new(path: &BezPath, tolerance_mm: f64) -> Result<Self, OutlineError> {
        let mut rings = closed_rings(path, tolerance_mm)?;
        for ring in &mut rings {
            if signed_area_mm2(ring.iter().copied()).abs() <= tolerance_mm * tolerance_mm {
                return Err(OutlineError::NoArea { at: start(ring) });
            }
        }
        let area = |ring: &Vec<PathSeg>| signed_area_mm2(ring.iter().copied()).abs();
        rings.sort_by(|a, b| area(b).total_cmp(&area(a)));
        refuse_meetings(&rings, tolerance_mm.min(FLATTEN_MM))?;
        let Some((outer, holes)) = rings.split_first() else {
            return Err(OutlineError::Empty);
        };
        for (i, hole) in holes.iter().enumerate() {
            if !encloses(outer, start(hole)) {
                return Err(OutlineError::SeveralOuters { at: start(hole) });
            }
            if holes[..i]
                .iter()
                .any(|larger| encloses(larger, start(hole)))
            {
                return Err(OutlineError::PieceInHole { at: start(hole) });
            }
        }
        Ok(Self::from_rings(outer, holes))
    }

    /// Returns the outline of rings known to be simple, apart and nested; directions are put right here.
    pub(super) fn from_rings(outer: &[PathSeg], holes: &[Vec<PathSeg>]) -> Self {
        let directed = |ring: &[PathSeg], is_outer: bool| {
            if (signed_area_mm2(ring.iter().copied()) > 0.0) == is_outer {
                ring_path(ring)
            } else {
                ring_path(&reversed_ring(ring))
            }
        };
        Self {
            outer: directed(outer, true),
            holes: holes.iter().map(|hole| directed(hole, false)).collect(),
            bounds: bounds(outer.iter().copied()),
        }
    }

    /// Returns all rings as one path, the outer one first.
    #[must_use]
    pub fn path(&self) -> BezPath {
        let mut path = self.outer.clone();
        for hole in &self.holes {
            path.extend(hole.iter());
        }
        path
    }

    /// Returns the outer ring.
    #[must_use]
    pub fn outer(&self) -> &BezPath {
        &self.outer
    }

    /// Returns the holes, the largest first.
    #[must_use]
    pub fn holes(&self) -> &[BezPath] {
        &self.holes
    }

    /// Returns the smallest upright box around the outline; curves count by their true extremes.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        self.bounds
    }

    /// Returns the area of the piece, holes taken off, in mm².
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        signed_area_mm2(self.segments())
    }

    /// Returns the corners of the polygons that stand in for the rings, the outer one first.
    ///
    /// Every corner lies on the outline, and the straight lines between them stay within `tolerance_mm` of it. The first
    /// corner is not repeated at the end.
    #[must_use]
    pub fn flattened(&self, tolerance_mm: f64) -> Vec<Vec<Point>> {
        self.rings()
            .map(|ring| flattened_ring(ring.segments(), tolerance_mm))
            .collect()
    }

    /// Returns whether `point` lies on the piece, not outside it and not in a hole.
    ///
    /// True to the curves. A point within a few nanometres of the edge may count as either.
    #[must_use]
    pub fn contains(&self, point: Point) -> bool {
        self.bounds
            .inflate(COINCIDENT_MM, COINCIDENT_MM)
            .contains(point)
            && encloses_point(self.segments(), point)
    }

    /// Returns whether the outline is an upright rectangle without holes, which is then its [`bounds`](Self::bounds).
    #[must_use]
    pub fn is_rectangle(&self) -> bool {
        let b = self.bounds;
        let near = |a: f64, b: f64| (a - b).abs() <= COINCIDENT_MM;
        let on_side = |segment: PathSeg| {
            let PathSeg::Line(line) = segment else {
                return false;
            };
            let (p, q) = (line.p0, line.p1);
            [b.x0, b.x1].iter().any(|x| near(p.x, *x) && near(q.x, *x))
                || [b.y0, b.y1].iter().any(|y| near(p.y, *y) && near(q.y, *y))
        };
        self.holes.is_empty() && self.outer.segments().all(on_side)
    }

    /// Returns the outline mapped by `map`, which must be rigid: turns, shifts and mirrorings.
    #[must_use]
    pub fn transformed(&self, map: Affine) -> Self {
        let is_mirroring = map.determinant() < 0.0;
        let moved = |ring: &BezPath| {
            let ring = map * ring;
            if is_mirroring { reversed(&ring) } else { ring }
        };
        let outer = moved(&self.outer);
        Self {
            bounds: bounds(outer.segments()),
            outer,
            holes: self.holes.iter().map(moved).collect(),
        }
    }

    /// The outer ring, then the holes.
    pub(super) fn rings(&self) -> impl Iterator<Item = &BezPath> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// All segments of all rings.
    pub(super) fn segments(&self) -> impl Iterator<Item = PathSeg> {
        self.rings().flat_map(BezPath::segments)
    }
}

fn start(ring: &[PathSeg]) -> Point {
    ring[0].start()
}

fn bounds(ring: impl IntoIterator<Item = PathSeg>) -> Rect {
    ring.into_iter()
        .map(|s| s.bounding_box())
        .reduce(|a, b| a.union(b))
        .unwrap_or(Rect::ZERO)
}

fn refuse_meetings(rings: &[Vec<PathSeg>], tolerance_mm: f64) -> Result<(), OutlineError> {
    let polygons: Vec<_> = rings
        .iter()
        .map(|ring| flattened_ring(ring.iter().copied(), tolerance_mm))
        .collect();
    match first_meeting(&polygons) {
        None => Ok(()),
        Some(meeting) if meeting.is_within_one_ring => {
            Err(OutlineError::SelfCrossing { at: meeting.at })
        }
        Some(meeting) => Err(OutlineError::SubpathsMeet { at: meeting.at }),
    }
}

fn encloses(ring: &[PathSeg], point: Point) -> bool {
    encloses_point(ring.iter().copied(), point)
}

/// Counts how often the rings are crossed on the way in from the left.
fn encloses_point(segments: impl IntoIterator<Item = PathSeg>, point: Point) -> bool {
    let line = ScanLine::horizontal(point.y);
    let mut positions = Vec::new();
    for segment in segments {
        line.crossings_into(segment, OnLine::WithPositive, &mut positions);
    }
    positions.iter().filter(|x| **x < point.x).count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Pose;
    use crate::math::Angle;

    fn outline(text: &str) -> Result<Outline, OutlineError> {
        Outline::new(&BezPath::from_svg(text).unwrap(), 0.01)
    }

    fn near(a: Point, b: (f64, f64)) -> bool {
        (a.x - b.0).abs() < 1e-6 && (a.y - b.1).abs() < 1e-6
    }

    #[test]
    fn direction_is_put_right_whatever_was_drawn() {
        let clockwise = outline("M0 0 H60 V40 H0 Z M10 10 H50 V30 H10 Z").unwrap();
        let other = outline("M0 0 V40 H60 V0 Z M10 10 V30 H50 V10 Z").unwrap();
        for o in [clockwise, other] {
            assert!((signed_area_mm2(o.outer().segments()) - 2400.0).abs() < 1e-9);
            assert!((signed_area_mm2(o.holes()[0].segments()) + 800.0).abs() < 1e-9);
            assert!((o.area_mm2() - 1600.0).abs() < 1e-9);
        }
    }

    #[test]
    fn rejects_open_outline_with_gap_size() {
        // From (3, 4) back to (0, 0) are 5 mm.
        let error = outline("M0 0 H10 V10 L3 4").unwrap_err();
        assert!(matches!(error, OutlineError::Open { gap_mm, .. } if (gap_mm - 5.0).abs() < 1e-12));
        assert_eq!(
            error.message(|length_mm| format!("{length_mm:.1} mm")),
            "the outline is open: it ends at 3.0 mm, 4.0 mm, which is 5.0 mm from its start at 0.0 mm, 0.0 mm"
        );
    }

    #[test]
    fn closes_a_gap_below_tolerance() {
        let o = outline("M0 0 H10 V10 H0 V0.005").unwrap();
        assert!(o.is_rectangle());
        assert_eq!(o.outer().segments().count(), 4);
    }

    #[test]
    fn rejects_a_bow_tie_with_its_crossing() {
        let error = outline("M0 0 L10 10 L10 0 L0 8 Z").unwrap_err();
        // y = x meets y = 8 - 0.8 x at x = 8 / 1.8.
        let OutlineError::SelfCrossing { at } = error else {
            panic!("{error:?}")
        };
        assert!(near(at, (8.0 / 1.8, 8.0 / 1.8)));
    }

    #[test]
    fn rejects_curves_that_cross_themselves() {
        // A loop: x = t(1-t)(..) doubles back.
        let error = outline("M0 0 C30 20 -20 20 10 0 L10 -5 L0 -5 Z").unwrap_err();
        assert!(
            matches!(error, OutlineError::SelfCrossing { at } if (at.x - 5.0).abs() < 0.01),
            "{error:?}"
        );
    }

    #[test]
    fn rejects_a_spur_that_runs_back_over_itself() {
        let error = outline("M0 0 H10 V10 H20 H10 H0 Z").unwrap_err();
        assert!(
            matches!(error, OutlineError::SelfCrossing { .. }),
            "{error:?}"
        );
    }

    #[test]
    fn rejects_a_figure_of_eight_that_touches_in_one_point() {
        let error = outline("M0 0 L10 10 L20 0 V20 L10 10 L0 20 Z").unwrap_err();
        assert!(
            matches!(error, OutlineError::SelfCrossing { at } if near(at, (10.0, 10.0))),
            "{error:?}"
        );
    }

    #[test]
    fn rejects_two_pieces_touching_holes_loose_pieces_and_flat_ones() {
        use OutlineError as E;
        type Check = fn(&E) -> bool;
        let cases: [(&str, Check); 6] = [
            (
                "M0 0 H10 V10 H0 Z M20 0 H25 V5 H20 Z",
                |e| matches!(e, E::SeveralOuters { at } if near(*at, (20.0, 0.0))),
            ),
            ("M0 0 H10 V10 H0 Z M0 2 H5 V5 H0 Z", |e| {
                matches!(e, E::SubpathsMeet { .. })
            }),
            ("M0 0 H10 V10 H0 Z M8 2 H15 V5 H8 Z", |e| {
                matches!(e, E::SubpathsMeet { .. })
            }),
            (
                "M0 0 H30 V30 H0 Z M5 5 H25 V25 H5 Z M10 10 H20 V20 H10 Z",
                |e| matches!(e, E::PieceInHole { .. }),
            ),
            ("M0 0 H10 H0 Z", |e| matches!(e, E::NoArea { .. })),
            ("M0 0 H2e5 V10 Z", |e| matches!(e, E::OutOfReach { .. })),
        ];
        for (text, is_expected) in cases {
            let error = outline(text).unwrap_err();
            assert!(is_expected(&error), "{text}: {error:?}");
            assert!(!error.message(|mm| mm.to_string()).is_empty() && !error.hint().is_empty());
        }
        assert_eq!(outline("M3 3").unwrap_err(), E::Empty);
    }

    #[test]
    fn bounds_follow_the_curve_and_not_its_handles() {
        // y = 4t(1 - t) · 3 peaks at 3 with handles at 4.
        let o = outline("M0 0 C10 4 20 4 30 0 Z").unwrap();
        let b = o.bounds();
        assert!((b.y1 - 3.0).abs() < 1e-12 && b.y0.abs() < 1e-12 && (b.x1 - 30.0).abs() < 1e-12);
    }

    #[test]
    fn quadratic_curves_are_raised_to_cubics_of_the_same_area() {
        // Archimedes: the segment of a parabola is 2/3 of base times height; Q peaks at half its handle's height.
        let o = outline("M0 0 Q15 12 30 0 Z").unwrap();
        assert!((o.area_mm2() - 2.0 / 3.0 * 30.0 * 6.0).abs() < 1e-9);
    }

    #[test]
    fn contains_tells_holes_and_curves_apart() {
        let o = outline("M0 0 C10 4 20 4 30 0 V-20 H0 Z M10 -15 H20 V-5 H10 Z").unwrap();
        for (point, inside) in [
            ((15.0, 2.999), true),
            ((15.0, 3.001), false),
            ((15.0, -10.0), false),
            ((5.0, -10.0), true),
            ((-1.0, -10.0), false),
            ((5.0, -5.0), true),
            ((25.0, -15.0), true),
        ] {
            assert_eq!(
                o.contains(Point::new(point.0, point.1)),
                inside,
                "{point:?}"
            );
        }
    }

    #[test]
    fn a_rectangle_is_known_even_with_points_along_its_sides() {
        assert!(outline("M0 0 H30 H60 V40 H0 Z").unwrap().is_rectangle());
        assert!(!outline("M0 0 H60 V40 H1 L0 39 Z").unwrap().is_rectangle());
        assert!(
            !outline("M0 0 H60 V40 H0 Z M5 5 H9 V9 H5 Z")
                .unwrap()
                .is_rectangle()
        );
    }

    #[test]
    fn mirroring_and_turning_keep_area_and_direction() {
        let o = outline("M0 0 L40 0 L0 30 Z M5 5 H10 V10 H5 Z").unwrap();
        let pose = Pose {
            turn: Angle::from_deg(90.0),
            mirrored: true,
            ..Pose::at(100.0, 50.0)
        };
        let moved = o.transformed(pose.to_affine());
        assert!((moved.area_mm2() - o.area_mm2()).abs() < 1e-9);
        assert!(moved.area_mm2() > 0.0);
        // (40, 0) -> (-40, 0) -> (0, -40) -> (100, 10); (0, 30) -> (-30, 0) -> (70, 50).
        assert_eq!(moved.bounds(), Rect::new(70.0, 10.0, 100.0, 50.0));
    }
}
