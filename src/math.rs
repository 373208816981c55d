//! Portable trigonometry, angles that are exact at quarter turns, and the tolerances of the whole program.
//!
//! `f64::sin` and its siblings call the platform's library and differ in the last digit from one machine to the next, which
//! would break the promise "same input, same bytes". Everything here goes through `libm`, which is the same everywhere.
//! Square roots need no wrapper: IEEE 754 fixes `f64::sqrt` to the last bit.

/// Largest distance in mm between a curve and the straight segments that stand in for it.
///
/// Half of [`VERIFY_MM`], so that flattening alone can never use up the proof's tolerance; an eighth of a 600 dpi printer dot.
pub const FLATTEN_MM: f64 = 0.005;

/// Largest distance in mm between a planned edge and the same edge read back from a written file.
///
/// A quarter of a 600 dpi printer dot (25.4 / 600 = 0.042 mm) and a tenth of what a good trimmer holds (0.1 mm, common
/// practice, no source), yet hundreds of times the rounding of the files (4 decimals of a point = 0.000 04 mm).
pub const VERIFY_MM: f64 = 0.01;

/// Distance in mm below which two points are one point.
///
/// One nanometre, the grid of [`Length`](crate::length::Length); arithmetic on a 1 m sheet errs by less than a
/// thousandth of it.
pub const COINCIDENT_MM: f64 = 1e-6;

const FULL_TURN_DEG: f64 = 360.0;
const QUARTER_TURN_DEG: f64 = 90.0;

/// Returns the tangent of an angle in radians.
#[must_use]
pub fn tan(angle_rad: f64) -> f64 {
    libm::tan(angle_rad)
}

/// Returns the sine and the cosine of an angle in radians, in that order.
#[must_use]
pub fn sin_cos(angle_rad: f64) -> (f64, f64) {
    (libm::sin(angle_rad), libm::cos(angle_rad))
}

/// Returns the direction of the vector `(x, y)` in radians, from -π to π, counted from the x axis towards the y axis.
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Returns the length of the vector `(x, y)`.
#[must_use]
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}

/// Returns `value` rounded to the nearest of `steps_per_unit` equal steps, halves away from zero.
///
/// # Examples
///
/// ```
/// use sheetwright::math::round_to;
/// assert_eq!(round_to(12.345_678, 1000), 12.346); // millimetres to whole micrometres
/// ```
#[must_use]
pub fn round_to(value: f64, steps_per_unit: u32) -> f64 {
    let steps = f64::from(steps_per_unit);
    (value * steps).round() / steps
}

/// A turn in degrees, kept from 0 up to but not including 360.
///
/// In the y-down frames of this program a growing angle turns clockwise as seen.
///
/// # Examples
///
/// ```
/// use sheetwright::math::Angle;
/// let turn = Angle::from_deg(-90.0);
/// assert_eq!(turn.deg(), 270.0);
/// assert_eq!(turn.sin_cos(), (-1.0, 0.0)); // exact, not -1.8e-16
/// ```
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Angle {
    deg: f64,
}

impl Angle {
    /// No turn.
    pub const ZERO: Self = Self { deg: 0.0 };

    /// Returns the turn by `deg` degrees, brought into 0 to 360.
    ///
    /// # Panics
    ///
    /// Panics if `deg` is not finite; a reader of numbers refuses those.
    #[must_use]
    pub fn from_deg(deg: f64) -> Self {
        assert!(deg.is_finite(), "an angle must be a finite number");
        let turn = deg.rem_euclid(FULL_TURN_DEG);
        // A tiny negative turn rounds up to a whole one.
        let deg = if turn < FULL_TURN_DEG { turn } else { 0.0 };
        Self { deg: deg.abs() }
    }

    /// Returns the turn in degrees, at least 0 and less than 360.
    #[must_use]
    pub fn deg(self) -> f64 {
        self.deg
    }

    /// Returns the sine and the cosine, in that order; exact at every multiple of 90 degrees.
    #[must_use]
    pub fn sin_cos(self) -> (f64, f64) {
        let quarters = (self.deg / QUARTER_TURN_DEG).round();
        let rest = (self.deg - quarters * QUARTER_TURN_DEG).to_radians();
        let (sin, cos) = sin_cos(rest);
        if quarters < 0.5 {
            (sin, cos)
        } else if quarters < 1.5 {
            (cos, 0.0 - sin)
        } else if quarters < 2.5 {
            (0.0 - sin, 0.0 - cos)
        } else if quarters < 3.5 {
            (0.0 - cos, sin)
        } else {
            (sin, cos)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quarter_turns_are_exact() {
        let expected: [(f64, f64); 4] = [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)];
        for (quarter, want) in (0..8).zip(expected.iter().cycle()) {
            let turn = Angle::from_deg(f64::from(quarter) * 90.0);
            let (sin, cos) = turn.sin_cos();
            assert_eq!(
                (sin.to_bits(), cos.to_bits()),
                (want.0.to_bits(), want.1.to_bits()),
                "{turn:?}"
            );
        }
    }

    #[test]
    fn sines_of_common_angles_match_their_closed_forms() {
        // sin 30 = 1/2, sin 45 = √2/2, sin 60 = √3/2, sin 18 = (√5 - 1)/4, turned into the other quadrants by symmetry.
        let closed = [
            (30.0, 0.5),
            (45.0, 2.0_f64.sqrt() / 2.0),
            (60.0, 3.0_f64.sqrt() / 2.0),
            (18.0, (5.0_f64.sqrt() - 1.0) / 4.0),
        ];
        for (deg, want) in closed {
            for (turned, sign) in [
                (deg, 1.0),
                (180.0 - deg, 1.0),
                (180.0 + deg, -1.0),
                (360.0 - deg, -1.0),
            ] {
                let (sin, cos) = Angle::from_deg(turned).sin_cos();
                assert!((sin - sign * want).abs() < 2e-16, "sin {turned} = {sin}");
                assert!((sin * sin + cos * cos - 1.0).abs() < 4e-16);
            }
        }
    }

    #[test]
    fn angles_are_kept_below_a_whole_turn() {
        let cases = [
            (0.0, 0.0),
            (-0.0, 0.0),
            (360.0, 0.0),
            (-90.0, 270.0),
            (725.5, 5.5),
            (-1e-300, 0.0),
        ];
        for (given, want) in cases {
            assert_eq!(
                Angle::from_deg(given).deg().to_bits(),
                f64::to_bits(want),
                "{given}"
            );
        }
    }

    #[test]
    fn plain_functions_agree_with_right_triangles() {
        // The 3-4-5 triangle, and the half square.
        assert_eq!(hypot(3.0, 4.0).to_bits(), 5.0_f64.to_bits());
        assert!((atan2(1.0, 1.0) - std::f64::consts::FRAC_PI_4).abs() < 1e-16);
        assert!((tan(atan2(3.0, 4.0)) - 0.75).abs() < 1e-15);
        let (sin, cos) = sin_cos(atan2(3.0, 4.0));
        assert!((sin - 0.6).abs() < 1e-15 && (cos - 0.8).abs() < 1e-15);
    }

    #[test]
    fn rounding_goes_to_the_nearest_step() {
        for (value, want) in [(0.123_456, 0.123), (-0.1239, -0.124), (7.0, 7.0)] {
            assert_eq!(round_to(value, 1000).to_bits(), f64::to_bits(want));
        }
    }

    #[test]
    #[should_panic(expected = "finite")]
    fn an_infinite_angle_is_a_bug() {
        let _ = Angle::from_deg(f64::INFINITY);
    }
}
