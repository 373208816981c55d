//! An affine map in words: two scales, a turn, a shear and a shift.

use kurbo::{Affine, Point, Vec2};

use super::Spread;
use crate::math::{atan2, hypot, sin_cos};

/// Half the width, in standard deviations, of the band that holds 95 % of a single number: the 97.5 % point of the normal
/// distribution.
pub const BAND_95: f64 = 1.959_963_984_540_054;

/// An affine map as `turn x [[1 + scale_x, shear], [0, 1 + scale_y]]`, with its shift at a centre.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Terms {
    /// How much wider, as a share: 0.01 is 1 % too wide.
    pub scale_x: f64,
    /// How much higher, as a share.
    pub scale_y: f64,
    /// How far the left and right edges lean out of square, in radians.
    pub shear_rad: f64,
    /// How far the top edge is turned, clockwise as seen, in radians.
    pub turn_rad: f64,
    /// How far the centre is shifted, in millimetres.
    pub shift: Vec2,
}

impl Terms {
    /// Returns the terms of a map about a centre.
    #[must_use]
    pub fn of(map: Affine, centre: Point) -> Self {
        let [a, b, c, d, ..] = map.as_coeffs();
        let along = hypot(a, b);
        let (cos, sin) = (a / along, b / along);
        Self {
            scale_x: along - 1.0,
            scale_y: cos * d - sin * c - 1.0,
            shear_rad: cos * c + sin * d,
            turn_rad: atan2(b, a),
            shift: map * centre - centre,
        }
    }

    /// Returns the map that has these terms about a centre.
    #[must_use]
    pub fn to_map(&self, centre: Point) -> Affine {
        let (sin, cos) = sin_cos(self.turn_rad);
        let (x, y) = (1.0 + self.scale_x, 1.0 + self.scale_y);
        let linear = Affine::new([
            cos * x,
            sin * x,
            cos * self.shear_rad - sin * y,
            sin * self.shear_rad + cos * y,
            0.0,
            0.0,
        ]);
        let shift = centre + self.shift - linear * centre;
        Affine::translate(shift) * linear
    }

    /// Returns how far each term may be off 19 times in 20, to first order, for a map known as well as `spread` says.
    #[must_use]
    pub fn within_95(map: Affine, spread: &Spread, centre: Point) -> Self {
        let [m00, m10, ..] = map.as_coeffs();
        let terms = Self::of(map, centre);
        let (sin, cos) = sin_cos(terms.turn_rad);
        let wide = 1.0 + terms.scale_x;
        // How much the turn grows with m00 and with m10.
        let turn = (-m10 / (wide * wide), m00 / (wide * wide));
        let (tall, lean) = (1.0 + terms.scale_y, terms.shear_rad);
        let spread = spread.counted_from(centre);
        let band = |x: (f64, f64), y: (f64, f64)| {
            BAND_95
                * (quadratic(&spread.x, x) + quadratic(&spread.y, y))
                    .max(0.0)
                    .sqrt()
        };
        let one = |row: &[f64; 6]| BAND_95 * row[5].max(0.0).sqrt();
        Self {
            scale_x: band((m00 / wide, 0.0), (m10 / wide, 0.0)),
            scale_y: band((-lean * turn.0, -sin), (-lean * turn.1, cos)),
            turn_rad: band((turn.0, 0.0), (turn.1, 0.0)),
            shear_rad: band((tall * turn.0, cos), (tall * turn.1, sin)),
            shift: Vec2::new(one(&spread.x), one(&spread.y)),
        }
    }
}

/// Variance of `a` times the first plus `b` times the second entry of a row.
fn quadratic([xx, xy, yy, ..]: &[f64; 6], (a, b): (f64, f64)) -> f64 {
    xx * a * a + 2.0 * xy * a * b + yy * b * b
}

#[cfg(test)]
mod tests {
    use super::*;

    const CENTRE: Point = Point::new(105.0, 148.5);

    /// Each uncertainty is the error that moving one entry at a time by its deviation makes, added as squares.
    #[test]
    fn uncertainties_follow_small_changes_of_the_entries() {
        let terms = Terms {
            scale_x: 0.02,
            scale_y: -0.03,
            turn_rad: 0.04,
            shear_rad: 0.03,
            shift: Vec2::new(1.0, 2.0),
        };
        let map = terms.to_map(CENTRE);
        let sigmas = [1e-6, 3e-6, 2e-6, 4e-6];
        let spread = Spread {
            about: CENTRE,
            x: [1e-12, 0.0, 4e-12, 0.0, 0.0, 0.01],
            y: [9e-12, 0.0, 16e-12, 0.0, 0.0, 0.04],
        };
        let moved = |entry: usize, by: f64| {
            let mut coefficients = map.as_coeffs();
            coefficients[entry] += by;
            Terms::of(Affine::new(coefficients), CENTRE)
        };
        let band = |term: fn(&Terms) -> f64| {
            let squares = (0..4).map(|i| {
                let change = term(&moved(i, sigmas[i])) - term(&moved(i, -sigmas[i]));
                (change / 2.0).powi(2)
            });
            BAND_95 * squares.sum::<f64>().sqrt()
        };
        let within = Terms::within_95(map, &spread, CENTRE);
        for (found, expected) in [
            (within.scale_x, band(|p| p.scale_x)),
            (within.scale_y, band(|p| p.scale_y)),
            (within.turn_rad, band(|p| p.turn_rad)),
            (within.shear_rad, band(|p| p.shear_rad)),
            (within.shift.x, BAND_95 * 0.1),
            (within.shift.y, BAND_95 * 0.2),
        ] {
            assert!((found / expected - 1.0).abs() < 1e-4, "{found} {expected}");
        }
    }
}
