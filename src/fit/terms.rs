//! An affine map in words: two scales, a turn, a shear and a shift.

use kurbo::{Affine, Point, Vec2};

use crate::math::{atan2, hypot, sin_cos};

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
}
