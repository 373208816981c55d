//! Straight and cubic path segments: flattening, and where they cross a line.
//!
//! Only sums, products and square roots are used here, which every machine computes alike; kurbo's own flattening and cubic
//! solver call the platform's `pow`, `cbrt` and `sin`.

use kurbo::common::solve_quadratic;
use kurbo::{CubicBez, ParamCurve, PathSeg, Point, Vec2};

/// More pieces than a curve as long as the largest outline needs at the finest tolerance in use.
const MOST_PIECES: u32 = 100_000;

/// Bisections that bring a parameter from 1 below the spacing of `f64` numbers near 1 (2^-52).
const BISECTIONS: u32 = 54;

/// Appends points along `segment`, without its start but with its end, so that the straight lines between them stay within
/// `tolerance_mm` of the curve.
pub(super) fn flatten_into(segment: PathSeg, tolerance_mm: f64, points: &mut Vec<Point>) {
    if let PathSeg::Line(line) = segment {
        points.push(line.p1);
        return;
    }
    let cubic = segment.to_cubic();
    let pieces = even_pieces(cubic, tolerance_mm);
    for i in 1..pieces {
        points.push(cubic.eval(f64::from(i) / f64::from(pieces)));
    }
    points.push(cubic.p3);
}

/// Returns into how many equal steps of its parameter a cubic must be cut so that the chords stay within `tolerance_mm`.
///
/// The classical bound: in n equal steps a cubic departs from its chords by at most 6/8 of the largest second difference of
/// its control points, over n².
pub(super) fn even_pieces(c: CubicBez, tolerance_mm: f64) -> u32 {
    let first = (c.p0.to_vec2() - 2.0 * c.p1.to_vec2() + c.p2.to_vec2()).hypot2();
    let second = (c.p1.to_vec2() - 2.0 * c.p2.to_vec2() + c.p3.to_vec2()).hypot2();
    let needed = (0.75 * first.max(second).sqrt() / tolerance_mm).sqrt();
    let mut pieces = 1;
    while f64::from(pieces) < needed && pieces < MOST_PIECES {
        pieces += 1;
    }
    pieces
}

/// An infinite line with a direction: points are told by how far along it and how far across it they lie.
#[derive(Debug, Clone, Copy)]
pub(super) struct ScanLine {
    origin: Point,
    direction: Vec2,
}

/// On which side of a [`ScanLine`] the points count that lie exactly on it.
#[derive(Debug, Clone, Copy)]
pub(super) enum OnLine {
    /// With those whose distance across is positive.
    WithPositive,
    /// With those whose distance across is negative.
    WithNegative,
}

impl ScanLine {
    /// The line x = `x_mm`, running down; positions along it are plain y.
    pub(super) fn vertical(x_mm: f64) -> Self {
        Self {
            origin: Point::new(x_mm, 0.0),
            direction: Vec2::new(0.0, 1.0),
        }
    }

    /// The line y = `y_mm`, running right; positions along it are plain x.
    pub(super) fn horizontal(y_mm: f64) -> Self {
        Self {
            origin: Point::new(0.0, y_mm),
            direction: Vec2::new(1.0, 0.0),
        }
    }

    /// The line from `from` through `to`; positions along it count from `from`. `None` if the two are one point.
    pub(super) fn through(from: Point, to: Point) -> Option<Self> {
        let way = to - from;
        let length_mm = way.hypot2().sqrt();
        (length_mm > 0.0).then(|| Self {
            origin: from,
            direction: way / length_mm,
        })
    }

    /// Position of `point` along the line, in mm.
    pub(super) fn along(&self, point: Point) -> f64 {
        self.direction.dot(point - self.origin)
    }

    fn across(&self, point: Point) -> f64 {
        self.direction.cross(point - self.origin)
    }

    /// Appends the positions along the line at which `segment` changes sides.
    ///
    /// A segment that only touches the line adds none or two, so that counting along a closed ring always comes out even.
    pub(super) fn crossings_into(&self, segment: PathSeg, rule: OnLine, positions: &mut Vec<f64>) {
        match segment {
            PathSeg::Line(line) => {
                let (from, to) = (self.across(line.p0), self.across(line.p1));
                if rule.is_positive(from) != rule.is_positive(to) {
                    let start = self.along(line.p0);
                    let end = self.along(line.p1);
                    positions.push(start + (end - start) * (from / (from - to)));
                }
            }
            PathSeg::Quad(_) | PathSeg::Cubic(_) => {
                self.cubic_crossings_into(segment.to_cubic(), rule, positions);
            }
        }
    }

    fn cubic_crossings_into(&self, cubic: CubicBez, rule: OnLine, positions: &mut Vec<f64>) {
        let [p0, p1, p2, p3] = [cubic.p0, cubic.p1, cubic.p2, cubic.p3].map(|p| self.across(p));
        let (d0, d1, d2) = (p1 - p0, p2 - p1, p3 - p2);
        let mut stops = vec![0.0];
        stops.extend(
            solve_quadratic(d0, 2.0 * (d1 - d0), d0 - 2.0 * d1 + d2)
                .into_iter()
                .filter(|t| *t > 0.0 && *t < 1.0),
        );
        stops.push(1.0);
        for stop in stops.windows(2) {
            let (mut low, mut high) = (stop[0], stop[1]);
            let starts_positive = rule.is_positive(self.across(cubic.eval(low)));
            if starts_positive == rule.is_positive(self.across(cubic.eval(high))) {
                continue;
            }
            for _ in 0..BISECTIONS {
                let middle = low.midpoint(high);
                if rule.is_positive(self.across(cubic.eval(middle))) == starts_positive {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            positions.push(self.along(cubic.eval(high)));
        }
    }
}

impl OnLine {
    fn is_positive(self, across_mm: f64) -> bool {
        match self {
            Self::WithPositive => across_mm >= 0.0,
            Self::WithNegative => across_mm > 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Line;

    use super::*;

    #[test]
    fn flattening_a_parabola_stays_within_tolerance() {
        // y = x² / 10 from x = -10 to 10 as a cubic: the chord over a step h of x departs by h² / 40.
        let arch = CubicBez::new(
            (-10.0, 10.0),
            (-10.0 / 3.0, -10.0 / 3.0),
            (10.0 / 3.0, -10.0 / 3.0),
            (10.0, 10.0),
        );
        for tolerance in [1.0, 0.1, 0.005] {
            let mut points = vec![arch.p0];
            flatten_into(PathSeg::Cubic(arch), tolerance, &mut points);
            for pair in points.windows(2) {
                let step = pair[1].x - pair[0].x;
                assert!(step * step / 40.0 <= tolerance * (1.0 + 1e-9));
            }
            // No wasteful steps either: one fewer would break the bound (20 / n)² / 40 <= tolerance.
            let fewest = (20.0 / (40.0 * tolerance).sqrt()).ceil();
            assert!(f64::from(u32::try_from(points.len() - 1).unwrap()) <= fewest + 1.0);
        }
    }

    #[test]
    fn a_cubic_is_crossed_where_its_polynomial_says() {
        // x = 3t - 3t² + t³ = 1 - (1 - t)³ and y = t³ at t = 1/2: (7/8, 1/8).
        let c = CubicBez::new((0.0, 0.0), (1.0, 0.0), (1.0, 0.0), (1.0, 1.0));
        let mut found = Vec::new();
        ScanLine::vertical(0.875).crossings_into(
            PathSeg::Cubic(c),
            OnLine::WithPositive,
            &mut found,
        );
        assert_eq!(found.len(), 1);
        assert!((found[0] - 0.125).abs() < 1e-12);
    }

    #[test]
    fn touching_at_a_turning_point_counts_evenly() {
        // y = 4t(1 - t) has its top at 1.
        let c = CubicBez::new((0.0, 0.0), (1.0, 4.0 / 3.0), (2.0, 4.0 / 3.0), (3.0, 0.0));
        for y in [1.0 - 1e-15, 1.0, 1.0 + 1e-15] {
            for rule in [OnLine::WithPositive, OnLine::WithNegative] {
                let mut found = Vec::new();
                ScanLine::horizontal(y).crossings_into(PathSeg::Cubic(c), rule, &mut found);
                assert_eq!(found.len() % 2, 0, "{y} {rule:?}");
            }
        }
    }

    #[test]
    fn positions_along_a_slanted_line_are_lengths() {
        // From (0, 0) through (3, 4): the wall x = 6 is met at (6, 8), ten away.
        let line = ScanLine::through(Point::ORIGIN, Point::new(3.0, 4.0)).unwrap();
        let mut found = Vec::new();
        let wall = PathSeg::Line(Line::new((6.0, 0.0), (6.0, 20.0)));
        line.crossings_into(wall, OnLine::WithPositive, &mut found);
        assert_eq!(found.len(), 1);
        assert!((found[0] - 10.0).abs() < 1e-12);
    }
}
