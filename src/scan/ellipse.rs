//! Ellipses fitted to points all around them.
//!
//! The conic is fitted by least squares with the trace of its quadratic part held, `(x² + y²) + p (x² - y²) + 2 q x y + d x + e y + f`,
//! which no turn or shift of the points changes (Gander, Golub and Strebel, "Least-squares fitting of circles and ellipses", BIT 34,
//! 1994, section 4). It favours small ellipses where only a part of the edge is seen; callers refuse those.

use kurbo::{Point, Vec2};
use nalgebra::{SMatrix, SVector};

/// Points farther from the ellipse than this many standard deviations are left out.
const TRIM_SIGMAS: f64 = 2.5;
/// Rounds of leaving points out; the set hardly changes after the second.
const TRIM_ROUNDS: usize = 4;
/// Median of the absolute value of a normal variable of standard deviation 1, inverted.
const SIGMA_PER_MAD: f64 = 1.4826;
/// Scatter in pixels below which nothing is left out: the points agree as well as numbers can.
const LEAST_SCATTER_PX: f64 = 0.01;

/// An ellipse: the points `centre + shape u` of all unit vectors u, with a symmetric matrix `[[xx, xy], [xy, yy]]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ellipse {
    pub(super) centre: Point,
    pub(super) xx: f64,
    pub(super) xy: f64,
    pub(super) yy: f64,
}

/// An ellipse with the points it was fitted to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct FittedEllipse {
    pub(super) ellipse: Ellipse,
    /// Root of the mean squared distance of the points that were kept, in pixels.
    pub(super) scatter_px: f64,
    pub(super) kept: usize,
}

impl Ellipse {
    /// Fits an ellipse to at least six points, or returns `None` if they lie on none.
    pub(super) fn fit(points: &[Point]) -> Option<Self> {
        if points.len() < 6 {
            return None;
        }
        let count = f64::from(u32::try_from(points.len()).ok()?);
        let middle = (points.iter().map(|p| p.to_vec2()).sum::<Vec2>() / count).to_point();
        let size = (points.iter().map(|p| (*p - middle).hypot2()).sum::<f64>() / count).sqrt();
        if size <= 0.0 || !size.is_finite() {
            return None;
        }
        let mut normal = SMatrix::<f64, 5, 5>::zeros();
        let mut right = SVector::<f64, 5>::zeros();
        for point in points {
            let Vec2 { x, y } = (*point - middle) / size;
            let row = SVector::<f64, 5>::new(x * x - y * y, 2.0 * x * y, x, y, 1.0);
            normal += row * row.transpose();
            right -= row * (x * x + y * y);
        }
        let found = normal.cholesky()?.solve(&right);
        Self::from_conic(
            [found[0], found[1], found[2], found[3], found[4]],
            middle,
            size,
        )
    }

    /// Fits, leaves out what lies far off, and fits again; what was left out may come back.
    pub(super) fn fit_trimmed(points: &[Point]) -> Option<FittedEllipse> {
        let mut kept = points.to_vec();
        let mut ellipse = Self::fit(&kept)?;
        for _ in 0..TRIM_ROUNDS {
            let away = |p: &Point| ellipse.distance_px(*p).abs();
            let mut sorted: Vec<f64> = points.iter().map(away).collect();
            sorted.sort_by(f64::total_cmp);
            let sigma = (sorted[sorted.len() / 2] * SIGMA_PER_MAD).max(LEAST_SCATTER_PX);
            let near: Vec<Point> = points
                .iter()
                .copied()
                .filter(|p| away(p) <= TRIM_SIGMAS * sigma)
                .collect();
            let is_settled = near == kept;
            kept = near;
            if is_settled {
                break;
            }
            ellipse = Self::fit(&kept)?;
        }
        let count = f64::from(u32::try_from(kept.len()).ok()?);
        let squares: f64 = kept.iter().map(|p| ellipse.distance_px(*p).powi(2)).sum();
        Some(FittedEllipse {
            ellipse,
            scatter_px: (squares / count).sqrt(),
            kept: kept.len(),
        })
    }

    /// Turns `(1 + p) x² + 2 q x y + (1 - p) y² + d x + e y + f = 0` about `middle`, in units of `size`, into an ellipse.
    fn from_conic([p, q, d, e, f]: [f64; 5], middle: Point, size: f64) -> Option<Self> {
        let uneven = (p * p + q * q).sqrt();
        if uneven.is_nan() || uneven >= 1.0 {
            return None;
        }
        let determinant = 1.0 - uneven * uneven;
        let x = -((1.0 - p) * d - q * e) / (2.0 * determinant);
        let y = -((1.0 + p) * e - q * d) / (2.0 * determinant);
        let square = (1.0 + p) * x * x + 2.0 * q * x * y + (1.0 - p) * y * y - f;
        if square.is_nan() || square <= 0.0 {
            return None;
        }
        // The matrix's inverse root has its eigenvectors, and the inverse roots of its eigenvalues 1 + m and 1 - m.
        let radius = square.sqrt() * size;
        let (short, long) = (1.0 / (1.0 + uneven).sqrt(), 1.0 / (1.0 - uneven).sqrt());
        let (mean, half) = ((short + long) / 2.0, (short - long) / 2.0);
        let (along, across) = if uneven > 0.0 {
            (half * p / uneven, half * q / uneven)
        } else {
            (0.0, 0.0)
        };
        Some(Self {
            centre: middle + Vec2::new(x, y) * size,
            xx: (mean + along) * radius,
            xy: across * radius,
            yy: (mean - along) * radius,
        })
    }

    /// Returns the point in the direction of a unit vector, at `radii` times the ellipse.
    pub(super) fn point(&self, unit: Vec2, radii: f64) -> Point {
        self.centre + self.arm(unit) * radii
    }

    /// Returns the vector from the centre to the edge in the direction of a unit vector.
    pub(super) fn arm(&self, unit: Vec2) -> Vec2 {
        Vec2::new(
            self.xx * unit.x + self.xy * unit.y,
            self.xy * unit.x + self.yy * unit.y,
        )
    }

    /// Returns the long and the short half axis, in that order.
    pub(super) fn half_axes_px(&self) -> (f64, f64) {
        let mean = (self.xx + self.yy) / 2.0;
        let half = (((self.xx - self.yy) / 2.0).powi(2) + self.xy * self.xy).sqrt();
        (mean + half, mean - half)
    }

    /// Returns the mean of the half axes.
    pub(super) fn radius_px(&self) -> f64 {
        (self.xx + self.yy) / 2.0
    }

    /// Returns how far a point lies outside the edge along its ray from the centre, negative inside.
    pub(super) fn distance_px(&self, point: Point) -> f64 {
        let Vec2 { x, y } = point - self.centre;
        let determinant = self.xx * self.yy - self.xy * self.xy;
        let unit = Vec2::new(self.yy * x - self.xy * y, self.xx * y - self.xy * x) / determinant;
        let radii = unit.hypot2().sqrt();
        if radii > 0.0 {
            (x * x + y * y).sqrt() * (1.0 - 1.0 / radii)
        } else {
            -self.radius_px()
        }
    }

    /// Returns the ellipse about the same centre that is `factor` times as large.
    pub(super) fn resized(&self, factor: f64) -> Self {
        Self {
            centre: self.centre,
            ..self.scaled(factor)
        }
    }

    /// Returns the ellipse in a picture that is `factor` times as large.
    pub(super) fn scaled(&self, factor: f64) -> Self {
        Self {
            centre: (self.centre.to_vec2() * factor).to_point(),
            xx: self.xx * factor,
            xy: self.xy * factor,
            yy: self.yy * factor,
        }
    }
}

/// Returns `count` unit vectors evenly around, the first to the right, clockwise as seen.
pub(super) fn rays(count: u32) -> impl Iterator<Item = Vec2> {
    (0..count).map(move |i| {
        let turn_rad = std::f64::consts::TAU * f64::from(i) / f64::from(count);
        let (sin, cos) = crate::math::sin_cos(turn_rad);
        Vec2::new(cos, sin)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Points on the ellipse with half axes 20 and 10 that is turned so that its long axis points along (0.8, 0.6).
    fn turned(count: u32) -> Vec<Point> {
        rays(count)
            .map(|u| {
                let (long, short) = (20.0 * u.x, 10.0 * u.y);
                Point::new(
                    100.25 + 0.8 * long - 0.6 * short,
                    50.5 + 0.6 * long + 0.8 * short,
                )
            })
            .collect()
    }

    #[test]
    fn points_on_an_ellipse_give_that_ellipse() {
        let ellipse = Ellipse::fit(&turned(24)).unwrap();
        assert!((ellipse.centre - Point::new(100.25, 50.5)).hypot2() < 1e-18);
        let (long, short) = ellipse.half_axes_px();
        assert!((long - 20.0).abs() < 1e-9 && (short - 10.0).abs() < 1e-9);
        // By hand: R diag(20, 10) Rᵀ with R = [[0.8, -0.6], [0.6, 0.8]] is [[16.4, 4.8], [4.8, 13.6]].
        for (got, want) in [(ellipse.xx, 16.4), (ellipse.xy, 4.8), (ellipse.yy, 13.6)] {
            assert!((got - want).abs() < 1e-9, "{got} is not {want}");
        }
    }

    #[test]
    fn a_point_that_is_far_off_is_left_out() {
        let mut points = turned(48);
        points[7] += Vec2::new(4.0, -3.0);
        let fitted = Ellipse::fit_trimmed(&points).unwrap();
        assert_eq!(fitted.kept, 47);
        assert!((fitted.ellipse.centre - Point::new(100.25, 50.5)).hypot2() < 1e-16);
    }

    #[test]
    fn distances_are_counted_outwards_along_the_ray() {
        let circle = Ellipse {
            centre: Point::new(5.0, 5.0),
            xx: 3.0,
            xy: 0.0,
            yy: 3.0,
        };
        // The 3-4-5 triangle.
        assert!((circle.distance_px(Point::new(8.0, 9.0)) - 2.0).abs() < 1e-12);
        assert!((circle.distance_px(Point::new(5.0, 6.0)) + 2.0).abs() < 1e-12);
        assert!((circle.distance_px(circle.centre) + 3.0).abs() < 1e-12);
    }

    #[test]
    fn a_line_a_point_and_a_hyperbola_are_no_ellipses() {
        let line: Vec<Point> = (0..20).map(|i| Point::new(f64::from(i), 2.0)).collect();
        assert_eq!(Ellipse::fit(&line), None);
        assert_eq!(Ellipse::fit(&[Point::new(1.0, 1.0); 9]), None);
        let hyperbola: Vec<Point> = (1..20)
            .flat_map(|i| {
                let x = f64::from(i) / 4.0;
                [Point::new(x, 1.0 / x), Point::new(-x, -1.0 / x)]
            })
            .collect();
        assert_eq!(Ellipse::fit(&hyperbola), None);
    }
}
