//! A plane seen from anywhere: straight lines stay straight.

use kurbo::{Affine, Point};
use nalgebra::{Matrix2, Matrix3, Vector3};

/// A map of one plane to another that keeps straight lines straight, as a matrix on `(x, y, 1)` whose last entry is 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography {
    rows: Matrix3<f64>,
}

impl Homography {
    /// Returns the map of a matrix by rows, or `None` where it sends the origin to infinity or is no number.
    #[must_use]
    pub fn new(rows: [[f64; 3]; 3]) -> Option<Self> {
        Self::from_matrix(Matrix3::from_fn(|i, j| rows[i][j]))
    }

    pub(super) fn from_matrix(matrix: Matrix3<f64>) -> Option<Self> {
        let scale = matrix[(2, 2)];
        let rows = matrix / scale;
        let is_number = scale.abs() > 0.0 && rows.iter().all(|v| v.is_finite());
        is_number.then_some(Self { rows })
    }

    /// Returns the affine map as one of these.
    #[must_use]
    pub fn from_affine(map: Affine) -> Self {
        let [a, b, c, d, e, f] = map.as_coeffs();
        Self {
            rows: Matrix3::new(a, c, e, b, d, f, 0.0, 0.0, 1.0),
        }
    }

    /// Returns the matrix by rows.
    #[must_use]
    pub fn rows(&self) -> [[f64; 3]; 3] {
        std::array::from_fn(|i| std::array::from_fn(|j| self.rows[(i, j)]))
    }

    /// Returns where a point goes; not finite on the line that goes to infinity.
    #[must_use]
    pub fn apply(&self, at: Point) -> Point {
        let to = self.rows * Vector3::new(at.x, at.y, 1.0);
        Point::new(to[0] / to[2], to[1] / to[2])
    }

    /// Returns the map back, or `None` where the plane was seen from its edge.
    #[must_use]
    pub fn inverse(&self) -> Option<Self> {
        self.rows.try_inverse().and_then(Self::from_matrix)
    }

    /// Returns this map followed by another, or `None` where that sends the origin to infinity.
    #[must_use]
    pub fn then(&self, next: &Self) -> Option<Self> {
        Self::from_matrix(next.rows * self.rows)
    }

    /// Returns the affine map that this is nearest around a point, by its derivatives there.
    #[must_use]
    pub fn near(&self, at: Point) -> Affine {
        let (to, slope) = (self.apply(at), self.slope(at));
        let [a, b, c, d] = [slope[(0, 0)], slope[(1, 0)], slope[(0, 1)], slope[(1, 1)]];
        Affine::translate(to.to_vec2())
            * Affine::new([a, b, c, d, 0.0, 0.0])
            * Affine::translate(-at.to_vec2())
    }

    fn slope(&self, at: Point) -> Matrix2<f64> {
        let below = (self.rows * Vector3::new(at.x, at.y, 1.0))[2];
        let to = self.apply(at);
        let entry = |row: usize, column: usize, value: f64| {
            (self.rows[(row, column)] - value * self.rows[(2, column)]) / below
        };
        Matrix2::new(
            entry(0, 0, to.x),
            entry(0, 1, to.x),
            entry(1, 0, to.y),
            entry(1, 1, to.y),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: (10, 20) goes to (2 x 10 + 1, 20) / (1 + 0.1) = (19.0909, 18.1818).
    #[test]
    fn points_are_divided_by_their_depth_and_come_back() {
        let map = Homography::new([[2.0, 0.0, 1.0], [0.0, 1.0, 0.0], [0.01, 0.0, 1.0]]).unwrap();
        let to = map.apply(Point::new(10.0, 20.0));
        assert!((to.x - 21.0 / 1.1).abs() < 1e-12 && (to.y - 20.0 / 1.1).abs() < 1e-12);
        let back = map.inverse().unwrap().apply(to);
        assert!((back.x - 10.0).abs() < 1e-9 && (back.y - 20.0).abs() < 1e-9);
        let both = map.then(&map.inverse().unwrap()).unwrap();
        assert!((both.apply(to).x - to.x).abs() < 1e-9);
    }

    /// d/dx of (2x + 1)/(1 + 0.01x) at 0 is 2 - 0.01 = 1.99, and of y/(1 + 0.01x) at (0, 20) is -0.2.
    #[test]
    fn the_affine_map_nearby_has_the_slopes_worked_out_by_hand() {
        let map = Homography::new([[2.0, 0.0, 1.0], [0.0, 1.0, 0.0], [0.01, 0.0, 1.0]]).unwrap();
        let [a, b, c, d, ..] = map.near(Point::new(0.0, 20.0)).as_coeffs();
        for (got, want) in [(a, 1.99), (b, -0.2), (c, 0.0), (d, 1.0)] {
            assert!((got - want).abs() < 1e-12, "{got} {want}");
        }
    }
}
