//! The scanner's own error, told from the printer's as far as the scans allow.
//!
//! A scanner stretches by a little along its bed, by another little along its line of sensors, and may not be square: a symmetric
//! strain `E` of three numbers, since its turn drops out with the sheet's. What is `u . E . u` longer along a direction `u` of the
//! glass is longer by that share for every print. Each scan gives the printer's scale across and down, each times the scanner's
//! along the direction that the sheet lay in, and the sheet's corner, sheared by the scanner. Rule readings give the printer's scale
//! or the scanner's alone. All are linear in logarithms and are solved together, with what is believed of a scanner that nobody
//! measured as one more reading of each of its numbers.
//!
//! The readings are taken as exact beside that belief, so that two scans give the ratio of the printer's scales by the closed form
//! (`fit::TurnedScans`): the belief fills in only what the readings leave open. Covariances come from a second run with the
//! readings' own errors.

use kurbo::Vec2;
use nalgebra::{DMatrix, DVector, Matrix3, Vector3};

use crate::project::Axis;
use crate::scan::{KNOWN_STRETCH_SD, SHEAR_SD_RAD, STRETCH_SD};

/// Relative error that readings are solved with: small beside any belief, large beside rounding.
const EXACT: f64 = 1e-7;

/// Equations are divided by their errors, all far below 1, so that a direction that moves them by less than this is not in them.
const LEAST_SINGULAR: f64 = 1e-3;

/// What is believed of the scanner before its pictures are looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Belief {
    /// Factor along the picture's rows and its columns, 1 if nothing is known.
    pub scale: [f64; 2],
    /// Standard deviation of either factor.
    pub stretch_sd: f64,
    /// Standard deviation of its squareness, in radians.
    pub shear_sd_rad: f64,
}

impl Belief {
    /// A scanner that nobody measured.
    pub const UNKNOWN: Self = Self {
        scale: [1.0, 1.0],
        stretch_sd: STRETCH_SD,
        shear_sd_rad: SHEAR_SD_RAD,
    };

    /// Returns a scanner that shows lengths this many times as long as they are, along the picture's rows and its columns.
    #[must_use]
    pub const fn measured(along_rows: f64, along_columns: f64) -> Self {
        Self {
            scale: [along_rows, along_columns],
            stretch_sd: KNOWN_STRETCH_SD,
            shear_sd_rad: SHEAR_SD_RAD,
        }
    }
}

/// One scan of one print's face, as far as it tells about scales.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Which print and side: looks at the same one share the printer's scales.
    pub face: usize,
    /// Which sheet: looks at the same one share its corner.
    pub sheet: usize,
    /// Unit vectors of the glass across the sheet's left and its top edge.
    pub across: [Vec2; 2],
    /// Printed over nominal length across and down, as scanned.
    pub scale: [f64; 2],
    /// Standard deviation of either.
    pub scale_sd: [f64; 2],
    /// What the sheet's corner is wider than a right angle, in radians as scanned.
    pub corner_rad: f64,
    /// Its standard deviation.
    pub corner_sd_rad: f64,
}

/// A length that was measured without the scanner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RuleReading {
    /// A printed length over its nominal one.
    Printed {
        /// Which print and side.
        face: usize,
        /// Along which side of the page.
        axis: Axis,
        /// Measured over nominal length.
        ratio: f64,
        /// Its standard deviation.
        sd: f64,
    },
    /// A true length that is in a scan, such as the sheet's width: what the scanner shows over what it is.
    Shown {
        /// Unit vector of the glass along it.
        along: Vec2,
        /// Shown over true length.
        ratio: f64,
        /// Its standard deviation.
        sd: f64,
    },
}

/// The scanner's strain with its covariance, as natural logarithms of factors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scanner {
    strain: Vector3<f64>,
    covariance: Matrix3<f64>,
}

impl Scanner {
    /// Returns the factor that lengths along a unit vector of the glass are shown with.
    #[must_use]
    pub fn factor_along(&self, direction: Vec2) -> f64 {
        libm::exp(strain_row(direction).dot(&self.strain))
    }

    /// Returns the standard deviation of the mean of the factors along these unit vectors.
    #[must_use]
    pub fn mean_sd(&self, directions: &[Vec2]) -> f64 {
        let count = directions.len().max(1) as f64;
        let sum: Vector3<f64> = directions.iter().map(|d| strain_row(*d)).sum();
        let row = sum / count;
        row.dot(&(self.covariance * row)).max(0.0).sqrt()
    }

    /// Returns the standard deviation of the ratio of the factors along two unit vectors.
    #[must_use]
    pub fn ratio_sd(&self, one: Vec2, other: Vec2) -> f64 {
        let row = strain_row(one) - strain_row(other);
        row.dot(&(self.covariance * row)).max(0.0).sqrt()
    }

    /// Returns by how much the angle between the picture's rows and columns is shown wider, in radians, and its standard deviation.
    #[must_use]
    pub fn shear_rad(&self) -> (f64, f64) {
        (self.strain[2], self.covariance[(2, 2)].max(0.0).sqrt())
    }
}

/// Coefficients of `u . E . u` in the strain `(along rows, along columns, shear)`.
fn strain_row(u: Vec2) -> Vector3<f64> {
    Vector3::new(u.x * u.x, u.y * u.y, u.x * u.y)
}

/// Coefficients of `2 a . E . b`.
fn shear_row(a: Vec2, b: Vec2) -> Vector3<f64> {
    Vector3::new(2.0 * a.x * b.x, 2.0 * a.y * b.y, a.x * b.y + a.y * b.x)
}

/// Returns the scanner by everything that tells of it.
#[must_use]
pub fn scanner(belief: &Belief, looks: &[Look], readings: &[RuleReading]) -> Scanner {
    let all = Equations::of(belief, looks, readings);
    let (strain, _) = all.solve(Trust::Exact);
    let (_, covariance) = all.solve(Trust::Stated);
    Scanner { strain, covariance }
}

/// With which errors the scans' own readings are solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Trust {
    Exact,
    Stated,
}

/// One equation: the strain's coefficients, one more unknown with its coefficient 1, the value, and its standard deviation.
struct Equation {
    strain: Vector3<f64>,
    other: Option<usize>,
    value: f64,
    sd: f64,
    is_scanned: bool,
}

/// Unknowns: the strain; then two scales for each face; then one corner for each sheet.
struct Equations {
    rows: Vec<Equation>,
    unknowns: usize,
}

impl Equations {
    fn of(belief: &Belief, looks: &[Look], readings: &[RuleReading]) -> Self {
        let faces = looks.iter().map(|l| l.face + 1).max().unwrap_or(0);
        let sheets = looks.iter().map(|l| l.sheet + 1).max().unwrap_or(0);
        let first_corner = 3 + 2 * faces;
        let mut rows = belief_rows(belief);
        for look in looks {
            for axis in 0..2 {
                rows.push(Equation {
                    strain: strain_row(look.across[axis]),
                    other: Some(3 + 2 * look.face + axis),
                    value: libm::log(look.scale[axis]),
                    sd: look.scale_sd[axis] / look.scale[axis],
                    is_scanned: true,
                });
            }
            rows.push(Equation {
                strain: -shear_row(look.across[0], look.across[1]),
                other: Some(first_corner + look.sheet),
                value: look.corner_rad,
                sd: look.corner_sd_rad,
                is_scanned: true,
            });
        }
        rows.extend(readings.iter().map(reading_row));
        Self {
            rows,
            unknowns: first_corner + sheets,
        }
    }

    /// Solves for all unknowns and returns the strain with its covariance.
    fn solve(&self, trust: Trust) -> (Vector3<f64>, Matrix3<f64>) {
        let mut design = DMatrix::zeros(self.rows.len(), self.unknowns);
        let mut right = DVector::zeros(self.rows.len());
        for (i, row) in self.rows.iter().enumerate() {
            let sd = match trust {
                Trust::Exact if row.is_scanned => EXACT,
                Trust::Exact | Trust::Stated => row.sd.max(EXACT),
            };
            for k in 0..3 {
                design[(i, k)] = row.strain[k] / sd;
            }
            if let Some(other) = row.other {
                design[(i, other)] = 1.0 / sd;
            }
            right[i] = row.value / sd;
        }
        let inverse = design
            .pseudo_inverse(LEAST_SINGULAR)
            .expect("the cutoff is above zero");
        let solution = &inverse * right;
        let covariance = &inverse * inverse.transpose();
        (
            solution.fixed_rows::<3>(0).into_owned(),
            covariance.fixed_view::<3, 3>(0, 0).into_owned(),
        )
    }
}

fn belief_rows(belief: &Belief) -> Vec<Equation> {
    let row = |position: usize, value: f64, sd: f64| {
        let mut strain = Vector3::zeros();
        strain[position] = 1.0;
        Equation {
            strain,
            other: None,
            value,
            sd,
            is_scanned: false,
        }
    };
    vec![
        row(0, libm::log(belief.scale[0]), belief.stretch_sd),
        row(1, libm::log(belief.scale[1]), belief.stretch_sd),
        row(2, 0.0, belief.shear_sd_rad),
    ]
}

fn reading_row(reading: &RuleReading) -> Equation {
    let (strain, other, ratio, sd) = match *reading {
        RuleReading::Printed {
            face,
            axis,
            ratio,
            sd,
        } => {
            let position = match axis {
                Axis::X => 0,
                Axis::Y => 1,
            };
            (Vector3::zeros(), Some(3 + 2 * face + position), ratio, sd)
        }
        RuleReading::Shown { along, ratio, sd } => (strain_row(along), None, ratio, sd),
    };
    Equation {
        strain,
        other,
        value: libm::log(ratio),
        sd: sd / ratio,
        is_scanned: false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RIGHT: Vec2 = Vec2::new(1.0, 0.0);
    const DOWN: Vec2 = Vec2::new(0.0, 1.0);

    fn look(face: usize, across: [Vec2; 2], scale: [f64; 2]) -> Look {
        Look {
            face,
            sheet: face,
            across,
            scale,
            scale_sd: [0.000_03; 2],
            corner_rad: 0.0,
            corner_sd_rad: 0.000_05,
        }
    }

    /// Case `two-scans` of the registration vectors (numpy): X0, Y0, X90, Y90, and the two ratios.
    #[test]
    fn two_scans_give_the_ratios_of_the_vector() {
        let looks = [
            look(0, [RIGHT, DOWN], [1.004_704_2, 0.993_904_68]),
            look(0, [DOWN, -RIGHT], [1.002_596_85, 0.995_993_76]),
        ];
        let found = scanner(&Belief::UNKNOWN, &looks, &[]);
        let (fx, fy) = (found.factor_along(RIGHT), found.factor_along(DOWN));
        assert!((fx / fy - 1.002_101_892).abs() < 5e-10, "{}", fx / fy);
        let (px, py) = (1.004_704_2 / fx, 0.993_904_68 / fy);
        assert!((px / py - 1.008_745_476).abs() < 5e-10, "{}", px / py);
        // Both scans give the same printer.
        assert!((1.002_596_85 / fy - px).abs() < 1e-9 && (0.995_993_76 / fx - py).abs() < 1e-9);
    }

    /// By hand: two equal beliefs of 0.075 %; one direction is known to that, the mean of both to its root-half, whatever the turn.
    #[test]
    fn one_scan_leaves_the_whole_belief_and_two_leave_the_common_factor() {
        let one = [look(0, [RIGHT, DOWN], [1.01, 0.99])];
        let found = scanner(&Belief::UNKNOWN, &one, &[]);
        assert!((found.factor_along(RIGHT) - 1.0).abs() < 1e-9);
        assert!((found.mean_sd(&[RIGHT]) - 0.000_75).abs() < 1e-7);
        let two = [one[0], look(0, [DOWN, -RIGHT], [1.008, 0.992])];
        let found = scanner(&Belief::UNKNOWN, &two, &[]);
        assert!((found.mean_sd(&[RIGHT, DOWN]) - 0.000_530_3).abs() < 1e-6);
        // The difference is known to what the scans' scales are: four readings of 0.003 %.
        assert!(found.ratio_sd(RIGHT, DOWN) < 0.000_04);
    }

    /// By hand: the printer is right, the scanner shows both ways 0.1 % long; a rule says so with half the belief's deviation, and by
    /// weights 4 to 1 four fifths of it are believed.
    #[test]
    fn a_rule_reading_moves_the_common_factor_by_its_weight() {
        let looks = [
            look(0, [RIGHT, DOWN], [1.001, 1.001]),
            look(0, [DOWN, -RIGHT], [1.001, 1.001]),
        ];
        let common_sd = STRETCH_SD / 2.0_f64.sqrt();
        let reading = RuleReading::Printed {
            face: 0,
            axis: Axis::X,
            ratio: 1.0,
            sd: common_sd / 2.0,
        };
        let found = scanner(&Belief::UNKNOWN, &looks, &[reading]);
        let common = (found.factor_along(RIGHT) * found.factor_along(DOWN)).sqrt();
        assert!(((common - 1.0) / 0.001 - 0.8).abs() < 0.001, "{common}");
    }

    #[test]
    fn the_true_width_of_the_sheet_gives_the_scanner_along_it() {
        let looks = [look(0, [RIGHT, DOWN], [1.003, 0.999])];
        let reading = RuleReading::Shown {
            along: RIGHT,
            ratio: 1.001,
            sd: 0.000_01,
        };
        let found = scanner(&Belief::UNKNOWN, &looks, &[reading]);
        assert!((found.factor_along(RIGHT) - 1.001).abs() < 1e-6);
        assert!((found.factor_along(DOWN) - 1.0).abs() < 1e-6);
        assert!((found.mean_sd(&[DOWN]) - STRETCH_SD).abs() < 1e-7);
    }

    /// Truth by construction: a sheet whose corner is 0.4 mrad too wide on a scanner 0.5 mrad out of square, scanned upright and a
    /// quarter turn on: the corner is shown 0.5 mrad narrower and then wider.
    #[test]
    fn two_scans_tell_the_scanners_squareness_from_the_sheets() {
        let mut upright = look(0, [RIGHT, DOWN], [1.0, 1.0]);
        upright.corner_rad = 0.000_4 - 0.000_5;
        let mut turned = look(0, [DOWN, -RIGHT], [1.0, 1.0]);
        turned.corner_rad = 0.000_4 + 0.000_5;
        let (shear, sd) = scanner(&Belief::UNKNOWN, &[upright, turned], &[]).shear_rad();
        assert!((shear - 0.000_5).abs() < 1e-6, "{shear}");
        assert!(sd < 0.000_05, "{sd}");
    }

    /// Truth by construction, by exact matrices rather than by the linear form: a strained square turned by any angle.
    #[test]
    fn a_strain_is_found_again_from_scans_at_odd_turns() {
        let (ex, ey, shear) = (0.001_2, -0.000_7, 0.000_4);
        let seen = |angle_deg: f64| {
            let (sin, cos) = crate::math::Angle::from_deg(angle_deg).sin_cos();
            let shown = |v: Vec2| Vec2::new((1.0 + ex) * v.x + shear * v.y, (1.0 + ey) * v.y);
            let (down, right) = (shown(Vec2::new(-sin, cos)), shown(Vec2::new(cos, sin)));
            // Across the left edge: at right angles to the shown direction down.
            let left = Vec2::new(down.y, -down.x).normalize();
            let top = Vec2::new(-right.y, right.x).normalize();
            let mut look = look(
                0,
                [left, top],
                [right.dot(left) * 1.004, down.dot(top) * 0.997],
            );
            look.corner_rad = libm::asin(left.dot(top));
            look
        };
        let looks = [seen(2.0), seen(91.0), seen(136.0)];
        let reading = RuleReading::Printed {
            face: 0,
            axis: Axis::X,
            ratio: 1.004,
            sd: 1e-6,
        };
        let found = scanner(&Belief::UNKNOWN, &looks, &[reading]);
        assert!((found.factor_along(RIGHT) - 1.0 - ex).abs() < 4e-6);
        assert!((found.factor_along(DOWN) - 1.0 - ey).abs() < 4e-6);
        assert!(
            (found.shear_rad().0 - shear).abs() < 4e-6,
            "{:?}",
            found.shear_rad()
        );
    }

    #[test]
    fn a_measured_scanner_is_believed_to_its_last_digit() {
        let looks = [look(0, [RIGHT, DOWN], [1.01, 0.99])];
        let found = scanner(&Belief::measured(1.0012, 0.9993), &looks, &[]);
        assert!((found.factor_along(RIGHT) - 1.0012).abs() < 1e-9);
        assert!((found.factor_along(DOWN) - 0.9993).abs() < 1e-9);
        assert!((found.mean_sd(&[RIGHT]) - KNOWN_STRETCH_SD).abs() < 1e-8);
    }
}
