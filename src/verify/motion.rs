//! What happened to a path that is not where it was planned: moved, turned, scaled or mirrored.
//!
//! The similarity that takes the planned points nearest to the found ones, by least squares: with points as complex numbers
//! about their centroids it is the factor a = sum(conj(p) f) / sum(|p|²), whose size is the scale and whose direction is the
//! turn; a mirrored copy is fitted the same way to the conjugates of the planned points.

use kurbo::{Point, Vec2};

use super::trace::between;
use crate::math::{VERIFY_MM, atan2, hypot};

/// Effect in mm at a path's rim below which a turn or scale is rounding: a re-saved file may keep 3 decimals of a
/// millimetre, which moves each point by up to 0.0007 mm.
const ROUNDING_MM: f64 = 0.002;

/// Share of the deviation that a similarity must explain to be named as its cause: all but a twentieth.
const UNEXPLAINED_SHARE: f64 = 0.05;

/// A similarity that takes a planned path to the found one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Motion {
    /// Shift of the middle of the points, right and down, in millimetres.
    pub(super) shift: Vec2,
    /// Found size over planned size.
    pub(super) scale: f64,
    /// Clockwise as seen, from -180 to 180; of a mirrored path, the turn after mirroring left to right.
    pub(super) turn_deg: f64,
    /// Whether the path is mirrored.
    pub(super) is_mirrored: bool,
    /// Farthest planned point from the middle, in millimetres.
    radius_mm: f64,
}

/// What to call a difference.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Cause {
    /// Shifted only.
    Moved,
    /// Larger or smaller.
    Scaled,
    /// Turned, perhaps shifted.
    Turned,
    /// Mirrored.
    Mirrored,
}

impl Motion {
    /// Fits a motion to planned and found points; `None` if no similarity explains the difference.
    pub(super) fn fit(pairs: &[(Point, Point)]) -> Option<Self> {
        let farthest = pairs
            .iter()
            .map(|(p, f)| between(*p, *f))
            .fold(0.0, f64::max);
        let allowed = VERIFY_MM
            .max(UNEXPLAINED_SHARE * farthest)
            .min(farthest / 2.0);
        let plain = Fit::new(pairs, 1.0)?;
        let best = if plain.residual_mm(pairs) <= allowed {
            plain
        } else {
            let mirrored = Fit::new(pairs, -1.0)?;
            (mirrored.residual_mm(pairs) <= allowed).then_some(mirrored)?
        };
        Some(best.motion(pairs))
    }

    /// The difference's name: the strongest that stands out from rounding.
    pub(super) fn cause(&self) -> Cause {
        let scale_mm = (self.scale - 1.0).abs() * self.radius_mm;
        let turn_mm = self.turn_deg.to_radians().abs() * self.radius_mm;
        if self.is_mirrored {
            Cause::Mirrored
        } else if turn_mm > scale_mm && turn_mm > ROUNDING_MM {
            Cause::Turned
        } else if scale_mm > ROUNDING_MM {
            Cause::Scaled
        } else {
            Cause::Moved
        }
    }
}

struct Fit {
    from: Vec2,
    to: Vec2,
    /// The complex factor: x + iy.
    factor: Vec2,
    /// 1, or -1 for conjugated planned points, which mirrors left to right.
    side: f64,
}

impl Fit {
    fn new(pairs: &[(Point, Point)], side: f64) -> Option<Self> {
        let (from, to) = centroids(pairs)?;
        let (mut dot, mut cross, mut square) = (0.0, 0.0, 0.0);
        for (planned, found) in pairs {
            let (p, f) = (sided(planned.to_vec2() - from, side), found.to_vec2() - to);
            dot += p.dot(f);
            cross += p.cross(f);
            square += p.hypot2();
        }
        let factor = Vec2::new(dot, cross) / square;
        (square > 0.0 && factor.is_finite()).then_some(Self {
            from,
            to,
            factor,
            side,
        })
    }

    fn image(&self, planned: Point) -> Point {
        let p = sided(planned.to_vec2() - self.from, self.side);
        let a = self.factor;
        (self.to + Vec2::new(a.x * p.x - a.y * p.y, a.x * p.y + a.y * p.x)).to_point()
    }

    fn residual_mm(&self, pairs: &[(Point, Point)]) -> f64 {
        pairs
            .iter()
            .map(|(planned, found)| between(self.image(*planned), *found))
            .fold(0.0, f64::max)
    }

    fn motion(&self, pairs: &[(Point, Point)]) -> Motion {
        let middle = self.from.to_point();
        Motion {
            shift: self.to - self.from,
            scale: hypot(self.factor.x, self.factor.y),
            turn_deg: atan2(self.factor.y, self.factor.x).to_degrees(),
            is_mirrored: self.side < 0.0,
            radius_mm: pairs
                .iter()
                .map(|(p, _)| between(*p, middle))
                .fold(0.0, f64::max),
        }
    }
}

fn centroids(pairs: &[(Point, Point)]) -> Option<(Vec2, Vec2)> {
    let count = f64::from(u32::try_from(pairs.len()).ok().filter(|n| *n > 0)?);
    let sums = pairs.iter().fold((Vec2::ZERO, Vec2::ZERO), |sums, (p, f)| {
        (sums.0 + p.to_vec2(), sums.1 + f.to_vec2())
    });
    Some((sums.0 / count, sums.1 / count))
}

fn sided(v: Vec2, side: f64) -> Vec2 {
    Vec2::new(side * v.x, v.y)
}

#[cfg(test)]
mod tests {
    use kurbo::Affine;

    use super::*;

    fn after(map: Affine) -> Motion {
        let planned = [(10.0, 10.0), (260.0, 10.0), (260.0, 110.0), (10.0, 90.0)].map(Point::from);
        let pairs = planned.map(|p| (p, map * p));
        Motion::fit(&pairs).unwrap()
    }

    #[test]
    fn a_shift_is_called_moved_with_its_size() {
        let motion = after(Affine::translate((0.02, -0.5)));
        assert_eq!(motion.cause(), Cause::Moved);
        assert!((motion.shift.x - 0.02).abs() < 1e-9 && (motion.shift.y + 0.5).abs() < 1e-9);
    }

    #[test]
    fn a_ten_thousandth_of_250_mm_is_called_scaled() {
        let motion = after(Affine::scale(1.0001));
        assert_eq!(motion.cause(), Cause::Scaled);
        assert!((motion.scale - 1.0001).abs() < 1e-9);
    }

    #[test]
    fn a_half_turn_is_called_turned_by_180_degrees() {
        // A half turn about (135, 55): x' = 270 - x, y' = 110 - y.
        let motion = after(Affine::new([-1.0, 0.0, 0.0, -1.0, 270.0, 110.0]));
        assert_eq!(motion.cause(), Cause::Turned);
        assert!((motion.turn_deg.abs() - 180.0).abs() < 1e-9);
    }

    #[test]
    fn a_mirror_image_is_called_mirrored() {
        assert_eq!(
            after(Affine::new([-1.0, 0.0, 0.0, 1.0, 270.0, 0.0])).cause(),
            Cause::Mirrored
        );
    }

    #[test]
    fn a_bent_shape_is_explained_by_no_motion() {
        let planned = [(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0)].map(Point::from);
        let mut pairs = planned.map(|p| (p, p));
        pairs[2].1.x += 5.0;
        assert_eq!(Motion::fit(&pairs), None);
    }
}
