//! Where a piece lies on a sheet.

use kurbo::{Affine, Rect};

use crate::math::Angle;

/// A placement of a piece's frame on a sheet: turned over, turned, then shifted.
///
/// Both frames are in millimetres, y down. The piece is first mirrored left to right about its own origin if
/// [`mirrored`](Self::mirrored), then turned about its origin, then shifted.
///
/// # Examples
///
/// ```
/// use kurbo::Point;
/// use sheetwright::geometry::Pose;
/// use sheetwright::math::Angle;
///
/// let pose = Pose { turn: Angle::from_deg(90.0), ..Pose::at(100.0, 20.0) };
/// // A quarter turn clockwise takes what pointed right to pointing down.
/// assert_eq!(pose.to_affine() * Point::new(30.0, 0.0), Point::new(100.0, 50.0));
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Where the piece's origin lies, from the sheet's left edge.
    pub x_mm: f64,
    /// Where the piece's origin lies, from the sheet's top edge.
    pub y_mm: f64,
    /// Clockwise as seen, about the piece's origin.
    pub turn: Angle,
    /// Whether the piece is seen from behind: x is negated before the turn.
    pub mirrored: bool,
}

impl Pose {
    /// Returns the pose that changes nothing.
    #[must_use]
    pub fn identity() -> Self {
        Self::at(0.0, 0.0)
    }

    /// Returns the pose of an upright piece whose origin lies at this place of the sheet.
    #[must_use]
    pub fn at(x_mm: f64, y_mm: f64) -> Self {
        Self {
            x_mm,
            y_mm,
            turn: Angle::ZERO,
            mirrored: false,
        }
    }

    /// Returns the pose that turns an upright box with its corner in the origin by quarters clockwise, and brings it to lie as `turned`.
    #[must_use]
    pub fn in_quarters(quarters: u8, turned: Rect) -> Self {
        let (across, down) = (turned.width(), turned.height());
        // Where the corner comes to lie.
        let (x, y) = match quarters % 4 {
            0 => (0.0, 0.0),
            1 => (across, 0.0),
            2 => (across, down),
            _ => (0.0, down),
        };
        Self {
            turn: Angle::from_deg(90.0 * f64::from(quarters)),
            ..Self::at(turned.x0 + x, turned.y0 + y)
        }
    }

    /// Returns the map from the piece's frame to the sheet's; its entries are exact at quarter turns.
    #[must_use]
    pub fn to_affine(self) -> Affine {
        let (sin, cos) = self.turn.sin_cos();
        // Subtracting from zero, since negating a zero would give -0.
        let along_x = if self.mirrored {
            [0.0 - cos, 0.0 - sin]
        } else {
            [cos, sin]
        };
        Affine::new([along_x[0], along_x[1], 0.0 - sin, cos, self.x_mm, self.y_mm])
    }
}

/// Returns the map from the unit square, y down, onto a box.
#[must_use]
pub fn unit_square_onto(bounds: Rect) -> Affine {
    Affine::new([
        bounds.width(),
        0.0,
        0.0,
        bounds.height(),
        bounds.x0,
        bounds.y0,
    ])
}

/// Returns the map that swaps left and right about the vertical line at `x_mm`.
#[must_use]
pub fn mirror_about_x(x_mm: f64) -> Affine {
    Affine::new([-1.0, 0.0, 0.0, 1.0, 2.0 * x_mm, 0.0])
}

#[cfg(test)]
mod tests {
    use kurbo::Point;
    use proptest::prelude::*;

    use super::*;

    fn turned(deg: f64, mirrored: bool) -> Affine {
        Pose {
            turn: Angle::from_deg(deg),
            mirrored,
            ..Pose::identity()
        }
        .to_affine()
    }

    #[test]
    fn quarter_turns_have_exact_entries() {
        let bits = |entries: [f64; 6]| entries.map(f64::to_bits);
        for (deg, want) in [
            (90.0, [0.0, 1.0, -1.0, 0.0, 0.0, 0.0]),
            (180.0, [-1.0, 0.0, 0.0, -1.0, 0.0, 0.0]),
            (270.0, [0.0, -1.0, 1.0, 0.0, 0.0, 0.0]),
        ] {
            assert_eq!(bits(turned(deg, false).as_coeffs()), bits(want), "{deg}");
        }
        for deg in [0.0, 90.0, 180.0, 270.0] {
            for entry in turned(deg, true).as_coeffs() {
                assert!(entry.to_bits() != (-0.0_f64).to_bits(), "-0 at {deg}");
            }
        }
    }

    #[test]
    fn positive_turn_is_clockwise_with_y_down() {
        // A tip pointing up (0, -1) points right after a quarter turn clockwise.
        assert_eq!(
            turned(90.0, false) * Point::new(0.0, -1.0),
            Point::new(1.0, 0.0)
        );
    }

    #[test]
    fn a_mirrored_piece_is_turned_over_before_it_is_turned() {
        // (3, 0) -> mirrored (-3, 0) -> a quarter turn clockwise points left to up: (0, -3).
        assert_eq!(
            turned(90.0, true) * Point::new(3.0, 0.0),
            Point::new(0.0, -3.0)
        );
    }

    #[test]
    fn mirroring_keeps_the_line_and_swaps_its_sides() {
        // Halfway across a 215.9 mm wide sheet.
        let mirror = mirror_about_x(107.95);
        assert_eq!(mirror * Point::new(0.0, 7.0), Point::new(215.9, 7.0));
        assert_eq!(mirror * Point::new(107.95, 7.0), Point::new(107.95, 7.0));
    }

    proptest! {
        #[test]
        fn going_to_the_sheet_and_back_returns_the_point(
            x in -400.0..400.0_f64, y in -400.0..400.0_f64, dx in -400.0..400.0_f64, dy in -400.0..400.0_f64,
            deg in 0.0..360.0_f64, mirrored: bool,
        ) {
            let pose = Pose { turn: Angle::from_deg(deg), mirrored, ..Pose::at(dx, dy) };
            let there = pose.to_affine();
            let back = there.inverse() * (there * Point::new(x, y));
            prop_assert!((back.x - x).abs() < 1e-9 && (back.y - y).abs() < 1e-9);
        }
    }
}
