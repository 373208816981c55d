//! The isometric view: from the front, the right and above.
//!
//! Axes are 30 degrees off the level and their lengths are true: x runs to the lower right, y to the upper right, z up (an isometric drawing
//! after ISO 5456-3, which draws the three axes 120 degrees apart at one scale).

use kurbo::{Affine, Point};

use crate::geometry::space::{Rigid, Vec3};

/// Sine of 30 degrees.
const SIN_30: f64 = 0.5;

/// Cosine of 30 degrees.
fn cos_30() -> f64 {
    0.75_f64.sqrt()
}

/// Returns where a point of the object's frame is seen, in millimetres, y down.
pub(super) fn seen(point: Vec3) -> Point {
    Point::new(
        (point.x + point.y) * cos_30(),
        (point.x - point.y) * SIN_30 - point.z,
    )
}

/// Returns how near the viewer a point is, in millimetres; larger is nearer.
pub(super) fn nearness_mm(point: Vec3) -> f64 {
    (point.x - point.y + point.z) / 3.0_f64.sqrt()
}

/// Returns the map of the plane z = 0 of a placed piece frame to what is seen of it.
pub(super) fn map_of(place: &Rigid) -> Affine {
    let origin = seen(place.shift);
    let along = |axis: Vec3| seen(place.direct(axis));
    let (x, y) = (along(Vec3::x()), along(Vec3::y()));
    Affine::new([x.x, x.y, y.x, y.y, origin.x, origin.y])
}

/// How near a plane is, by where it is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Depth {
    x: f64,
    y: f64,
    at_origin_mm: f64,
}

impl Depth {
    /// Returns that of a placed piece frame's plane; `map` is its [`map_of`].
    pub(super) fn of(place: &Rigid, map: Affine) -> Self {
        let inverse = map.inverse();
        let nearness = |p: Point| {
            let flat = inverse * p;
            nearness_mm(place.apply(Vec3::new(flat.x, flat.y, 0.0)))
        };
        let at_origin_mm = nearness(Point::ORIGIN);
        Self {
            x: nearness(Point::new(1.0, 0.0)) - at_origin_mm,
            y: nearness(Point::new(0.0, 1.0)) - at_origin_mm,
            at_origin_mm,
        }
    }

    /// How near it is where it is seen at `point`.
    pub(super) fn at(&self, point: Point) -> f64 {
        self.x * point.x + self.y * point.y + self.at_origin_mm
    }

    /// How much nearer than another plane.
    pub(super) fn less(&self, other: &Self) -> Self {
        Self {
            x: self.x - other.x,
            y: self.y - other.y,
            at_origin_mm: self.at_origin_mm - other.at_origin_mm,
        }
    }

    /// The two directions it changes by most and not at all, length 1; `None` for a plane seen parallel to the picture.
    pub(super) fn slope(&self) -> Option<(kurbo::Vec2, f64)> {
        let steep = kurbo::Vec2::new(self.x, self.y);
        let length = crate::math::hypot(steep.x, steep.y);
        (length > 1e-9).then(|| (steep / length, -self.at_origin_mm / length))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::Angle;

    /// By hand: cos 30 = 0.866025, sin 30 = 0.5; 10 mm along x go 8.66025 to the right and 5 down, along y 8.66025 to the right and 5 up,
    /// along z 10 up.
    #[test]
    fn the_axes_are_seen_thirty_degrees_off_the_level() {
        for (point, want) in [
            (Vec3::new(10.0, 0.0, 0.0), (8.660_254, 5.0)),
            (Vec3::new(0.0, 10.0, 0.0), (8.660_254, -5.0)),
            (Vec3::new(0.0, 0.0, 10.0), (0.0, -10.0)),
            (Vec3::new(10.0, -10.0, 10.0), (0.0, 0.0)),
        ] {
            let got = seen(point);
            assert!(
                (got.x - want.0).abs() < 1e-6 && (got.y - want.1).abs() < 1e-6,
                "{point}: {got}"
            );
        }
    }

    /// A wall that stands on the x axis and looks to the front: 20 mm right and 30 mm up on it are seen at 17.3205, 10 - 30.
    #[test]
    fn a_wall_is_seen_through_the_map_of_its_plane() {
        let wall = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(270.0));
        let map = map_of(&wall);
        // The piece's y runs down the wall.
        let got = map * Point::new(20.0, -30.0);
        assert!(
            crate::math::hypot(got.x - 17.320_508, got.y + 20.0) < 1e-6,
            "{got}"
        );
        // x - y + z = 20 - 0 + 30, over the root of 3.
        let depth = Depth::of(&wall, map).at(got);
        assert!((depth - 50.0 / 3.0_f64.sqrt()).abs() < 1e-9);
    }
}
