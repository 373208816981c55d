//! How far a fitted map may be wrong, anywhere on the sheet.

use kurbo::Point;

/// Radius, in standard deviations of one coordinate, that holds 95 % of a plane error that is equally wide in both directions:
/// the square root of -2 ln 0.05, the 95 % point of the Rayleigh distribution.
pub const RADIUS_95: f64 = 2.447_746_830_680_816;

/// The covariances of the six entries of an affine map, which are two independent rows: one makes x, one makes y.
///
/// Each row's error at a point is `(dx, dy, 1)` times the errors of its three entries, with `dx` and `dy` counted from
/// [`about`](Self::about), where the third entry is the shift of that very point. Symmetric matrices in the order
/// `[xx, xy, yy, x1, y1, 11]`; the units follow from millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// The point that the entries are counted from, in the frame that the map starts from.
    pub about: Point,
    /// Covariance of the row that makes x.
    pub x: [f64; 6],
    /// Covariance of the row that makes y.
    pub y: [f64; 6],
}

impl Spread {
    /// A map that is known for certain.
    pub const NONE: Self = Self {
        about: Point::ZERO,
        x: [0.0; 6],
        y: [0.0; 6],
    };

    /// Returns the same with all variances multiplied.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self {
            about: self.about,
            x: self.x.map(|v| v * factor),
            y: self.y.map(|v| v * factor),
        }
    }

    /// Returns the same knowledge with its entries counted from another point.
    #[must_use]
    pub fn counted_from(&self, about: Point) -> Self {
        let (dx, dy) = (about.x - self.about.x, about.y - self.about.y);
        let row = |[xx, xy, yy, x1, y1, one]: [f64; 6]| {
            let (to_x, to_y) = (xx * dx + xy * dy, xy * dx + yy * dy);
            let shift = to_x * dx + to_y * dy + 2.0 * (x1 * dx + y1 * dy) + one;
            [xx, xy, yy, x1 + to_x, y1 + to_y, shift]
        };
        Self {
            about,
            x: row(self.x),
            y: row(self.y),
        }
    }

    /// Returns what is known of the sum of two maps that err independently of each other, counted from this one's point.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        let other = other.counted_from(self.about);
        let sum = |a: [f64; 6], b: [f64; 6]| std::array::from_fn(|i| a[i] + b[i]);
        Self {
            about: self.about,
            x: sum(self.x, other.x),
            y: sum(self.y, other.y),
        }
    }

    /// Returns the variances of x and of y at a point, in square millimetres.
    #[must_use]
    pub fn variances_mm2(&self, at: Point) -> (f64, f64) {
        let (dx, dy) = (at.x - self.about.x, at.y - self.about.y);
        let variance = |[xx, xy, yy, x1, y1, one]: [f64; 6]| {
            xx * dx * dx + 2.0 * xy * dx * dy + yy * dy * dy + 2.0 * (x1 * dx + y1 * dy) + one
        };
        (variance(self.x), variance(self.y))
    }

    /// Returns the radius in millimetres that the map's error at a point stays within 19 times in 20.
    ///
    /// # Examples
    ///
    /// ```
    /// use kurbo::Point;
    /// use sheetwright::fit::Spread;
    ///
    /// // A shift known to 0.1 mm, a scale and a turn known to 1 in 1000.
    /// let row = [1e-6, 0.0, 1e-6, 0.0, 0.0, 0.01];
    /// let spread = Spread { about: Point::new(100.0, 100.0), x: row, y: row };
    /// // 2.4477 x 0.1 at the centre; 2.4477 x the root of 0.01 + 0.01 at 100 mm from it.
    /// assert!((spread.r95_mm(Point::new(100.0, 100.0)) - 0.2448).abs() < 1e-4);
    /// assert!((spread.r95_mm(Point::new(200.0, 100.0)) - 0.3462).abs() < 1e-4);
    /// ```
    #[must_use]
    pub fn r95_mm(&self, at: Point) -> f64 {
        let (x, y) = self.variances_mm2(at);
        RADIUS_95 * ((x + y) / 2.0).max(0.0).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a row `[1, 0, 0, 0, 0, 1]` about 0 errs at x = 3 by 1 x 9 + 1 = 10; counted from 3 its shift has just that, and goes
    /// with the slope by 3.
    #[test]
    fn counting_from_another_point_changes_no_error() {
        let row = [1.0, 0.0, 0.0, 0.0, 0.0, 1.0];
        let spread = Spread {
            about: Point::ZERO,
            x: row,
            y: [4.0, 1.0, 9.0, 0.5, -0.5, 2.0],
        };
        let moved = spread.counted_from(Point::new(3.0, 5.0));
        for (got, want) in moved.x.into_iter().zip([1.0, 0.0, 0.0, 3.0, 0.0, 10.0]) {
            assert!((got - want).abs() < 1e-12, "{:?}", moved.x);
        }
        for at in [Point::ZERO, Point::new(3.0, 5.0), Point::new(-2.0, 7.0)] {
            let (a, b) = (spread.variances_mm2(at), moved.variances_mm2(at));
            assert!(
                (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9,
                "{a:?} {b:?}"
            );
        }
    }

    #[test]
    fn independent_errors_add_as_variances() {
        let row = [0.0, 0.0, 0.0, 0.0, 0.0, 9.0];
        let one = Spread {
            about: Point::ZERO,
            x: row,
            y: row,
        };
        let other = Spread {
            about: Point::new(8.0, 1.0),
            x: row.map(|v| v * 16.0 / 9.0),
            y: [0.0; 6],
        };
        // 9 + 16 in x, 9 in y.
        let (x, y) = one.plus(&other).variances_mm2(Point::new(50.0, 50.0));
        assert!(
            (x - 25.0).abs() < 1e-12 && (y - 9.0).abs() < 1e-12,
            "{x} {y}"
        );
    }
}
