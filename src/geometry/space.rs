//! Places in space: where a flat panel lies in the folded object.
//!
//! Frames are right-handed. A piece lies in its frame with x to the right, y down and z away from whoever looks at its front, so the front
//! face looks along -z and z = 0 is the middle of the paper. An object stands in its frame with x to the right, y to the back and z up,
//! seen by a maker who sits in front of it.

use nalgebra::{Matrix3, Vector3};

use crate::math::Angle;

/// A point or a direction in space, in millimetres.
pub type Vec3 = Vector3<f64>;

/// A rigid motion: a turn, then a shift. It never mirrors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rigid {
    /// The turn, a rotation matrix.
    pub turn: Matrix3<f64>,
    /// The shift in millimetres.
    pub shift: Vec3,
}

impl Rigid {
    /// No motion.
    #[must_use]
    pub fn identity() -> Self {
        Self {
            turn: Matrix3::identity(),
            shift: Vec3::zeros(),
        }
    }

    /// Returns the shift by these millimetres.
    #[must_use]
    pub fn shift(x_mm: f64, y_mm: f64, z_mm: f64) -> Self {
        Self {
            turn: Matrix3::identity(),
            shift: Vec3::new(x_mm, y_mm, z_mm),
        }
    }

    /// Returns the turn about the line through `point` along `axis`, by the right hand: thumb along the axis, fingers in the turn.
    /// Exact at quarter turns about an axis of the frame.
    ///
    /// # Panics
    ///
    /// Panics if `axis` has no length.
    #[must_use]
    pub fn about(point: Vec3, axis: Vec3, angle: Angle) -> Self {
        let length = axis.dot(&axis).sqrt();
        assert!(length > 0.0, "an axis must have a length");
        let u = axis / length;
        let (sin, cos) = angle.sin_cos();
        let cross = u.cross_matrix();
        // Rodrigues' formula.
        let turn = Matrix3::identity() + cross * sin + cross * cross * (1.0 - cos);
        Self {
            turn,
            shift: point - turn * point,
        }
    }

    /// Returns where a point comes to lie.
    #[must_use]
    pub fn apply(&self, point: Vec3) -> Vec3 {
        self.turn * point + self.shift
    }

    /// Returns where a direction points afterwards.
    #[must_use]
    pub fn direct(&self, direction: Vec3) -> Vec3 {
        self.turn * direction
    }

    /// Returns this motion after `first`.
    #[must_use]
    pub fn after(&self, first: &Self) -> Self {
        Self {
            turn: self.turn * first.turn,
            shift: self.turn * first.shift + self.shift,
        }
    }

    /// Returns the motion back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let turn = self.turn.transpose();
        Self {
            turn,
            shift: -(turn * self.shift),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_turn_about_z_brings_right_to_back() {
        let turn = Rigid::about(Vec3::zeros(), Vec3::z() * 3.0, Angle::from_deg(90.0));
        assert_eq!(
            turn.apply(Vec3::new(2.0, 0.0, 5.0)),
            Vec3::new(0.0, 2.0, 5.0)
        );
    }

    #[test]
    fn a_turn_about_a_line_leaves_the_line_and_its_inverse_undoes_it() {
        let point = Vec3::new(10.0, 0.0, 0.0);
        let turn = Rigid::about(point, Vec3::y(), Angle::from_deg(90.0));
        assert_eq!(
            turn.apply(Vec3::new(10.0, 7.0, 0.0)),
            Vec3::new(10.0, 7.0, 0.0)
        );
        // By the right hand about +y, +x goes to -z.
        assert_eq!(
            turn.apply(Vec3::new(30.0, 0.0, 0.0)),
            Vec3::new(10.0, 0.0, -20.0)
        );
        let there = turn.after(&Rigid::shift(1.0, 2.0, 3.0));
        let back = there
            .inverse()
            .after(&there)
            .apply(Vec3::new(4.0, 5.0, 6.0));
        assert!((back - Vec3::new(4.0, 5.0, 6.0)).norm() < 1e-12);
    }
}
