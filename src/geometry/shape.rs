//! The common outlines but the [strip](super::strip), each in its piece frame with its bounding box at (0, 0).
//!
//! Curves are cubics of at most 45 degrees, so a circle has eight; they lie at most 4.3e-6 radii outside the true circle.

use kurbo::{Affine, BezPath, Point, Rect};

use super::Outline;
use super::arc::arc_into;
use super::ring::closed_rings;
use crate::math::{Angle, COINCIDENT_MM};

/// Why a shape cannot be made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShapeError {
    /// Can occur if a size is not greater than zero.
    NoSize {
        /// The size, in mm.
        size_mm: f64,
    },
    /// Can occur if rounded corners would meet.
    RadiusTooLarge {
        /// The radius asked for, in mm.
        radius_mm: f64,
        /// Half the shorter side, in mm.
        limit_mm: f64,
    },
    /// Can occur if a polygon has fewer than three corners.
    TooFewCorners {
        /// The number asked for.
        corners: u32,
    },
    /// Can occur if the snips of a strip would meet, across it or along it.
    SnipTooLarge {
        /// How far they reach together, in mm.
        reach_mm: f64,
        /// The strip's size in that direction, in mm.
        limit_mm: f64,
    },
}

/// Returns the rectangle of this size.
///
/// # Errors
///
/// Returns [`ShapeError::NoSize`] if a side is not greater than zero.
pub fn rectangle(width_mm: f64, height_mm: f64) -> Result<Outline, ShapeError> {
    require_sizes(&[width_mm, height_mm])?;
    Ok(polygon(&[
        (0.0, 0.0),
        (width_mm, 0.0),
        (width_mm, height_mm),
        (0.0, height_mm),
    ]))
}

/// Returns the rectangle as an outline where it lies.
///
/// # Errors
///
/// Returns [`ShapeError::NoSize`] if a side is not greater than zero.
pub fn rectangle_over(area_mm: Rect) -> Result<Outline, ShapeError> {
    let upright = rectangle(area_mm.width(), area_mm.height())?;
    Ok(upright.transformed(Affine::translate(area_mm.origin().to_vec2())))
}

/// Returns the rectangle of this size with all corners rounded.
///
/// # Errors
///
/// Returns a [`ShapeError`] if a side is not greater than zero, or the radius negative or more than half the shorter side.
pub fn rounded_rectangle(
    width_mm: f64,
    height_mm: f64,
    radius_mm: f64,
) -> Result<Outline, ShapeError> {
    require_sizes(&[width_mm, height_mm])?;
    let limit_mm = width_mm.min(height_mm) / 2.0;
    if radius_mm > limit_mm {
        return Err(ShapeError::RadiusTooLarge {
            radius_mm,
            limit_mm,
        });
    }
    if radius_mm < COINCIDENT_MM {
        return rectangle(width_mm, height_mm);
    }
    let (right, bottom) = (width_mm - radius_mm, height_mm - radius_mm);
    let corners = [
        (right, radius_mm, 270.0),
        (right, bottom, 0.0),
        (radius_mm, bottom, 90.0),
        (radius_mm, radius_mm, 180.0),
    ];
    let mut path = BezPath::new();
    path.move_to((radius_mm, 0.0));
    for (x, y, start_deg) in corners {
        let (sin, cos) = Angle::from_deg(start_deg).sin_cos();
        path.line_to((x + radius_mm * cos, y + radius_mm * sin));
        arc_into(
            &mut path,
            Affine::new([radius_mm, 0.0, 0.0, radius_mm, x, y]),
            start_deg,
            90.0,
        );
    }
    path.close_path();
    Ok(known_ring(&path))
}

/// Returns the circle of this diameter.
///
/// # Errors
///
/// Returns [`ShapeError::NoSize`] if the diameter is not greater than zero.
pub fn circle(diameter_mm: f64) -> Result<Outline, ShapeError> {
    ellipse(diameter_mm, diameter_mm)
}

/// Returns the upright ellipse of this size.
///
/// # Errors
///
/// Returns [`ShapeError::NoSize`] if a side is not greater than zero.
pub fn ellipse(width_mm: f64, height_mm: f64) -> Result<Outline, ShapeError> {
    require_sizes(&[width_mm, height_mm])?;
    let (rx, ry) = (width_mm / 2.0, height_mm / 2.0);
    let mut path = BezPath::new();
    path.move_to((width_mm, ry));
    arc_into(
        &mut path,
        Affine::new([rx, 0.0, 0.0, ry, rx, ry]),
        0.0,
        360.0,
    );
    path.close_path();
    Ok(known_ring(&path))
}

/// Returns the regular polygon with its corners on a circle of `diameter_mm`, the first corner straight up.
///
/// The bounding box, not the circle, is moved to (0, 0).
///
/// # Errors
///
/// Returns a [`ShapeError`] if there are fewer than three corners or the diameter is not greater than zero.
pub fn regular_polygon(corners: u32, diameter_mm: f64) -> Result<Outline, ShapeError> {
    require_sizes(&[diameter_mm])?;
    if corners < 3 {
        return Err(ShapeError::TooFewCorners { corners });
    }
    let on_circle: Vec<Point> = (0..corners)
        .map(|i| {
            let (sin, cos) = Angle::from_deg(360.0 * f64::from(i) / f64::from(corners)).sin_cos();
            Point::new(diameter_mm / 2.0 * sin, diameter_mm / 2.0 * -cos)
        })
        .collect();
    let left = on_circle.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
    let top = on_circle.iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let moved: Vec<(f64, f64)> = on_circle.iter().map(|p| (p.x - left, p.y - top)).collect();
    Ok(polygon(&moved))
}

pub(super) fn require_sizes(sizes_mm: &[f64]) -> Result<(), ShapeError> {
    match sizes_mm
        .iter()
        .find(|size| !(size.is_finite() && **size > 0.0))
    {
        None => Ok(()),
        Some(size) => Err(ShapeError::NoSize { size_mm: *size }),
    }
}

pub(super) fn polygon(corners: &[(f64, f64)]) -> Outline {
    let mut path = BezPath::new();
    path.move_to(corners[0]);
    for corner in &corners[1..] {
        path.line_to(*corner);
    }
    path.close_path();
    known_ring(&path)
}

/// An outline that is simple by construction; corners that fall together become one.
fn known_ring(path: &BezPath) -> Outline {
    let rings =
        closed_rings(path, COINCIDENT_MM).expect("a closed path of finite points within reach");
    Outline::from_rings(&rings[0], &[])
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use kurbo::Rect;

    use super::*;
    use crate::geometry::strip::{Snip, strip};

    fn assert_near(a: f64, b: f64, tolerance: f64) {
        assert!((a - b).abs() <= tolerance, "{a} is not {b}");
    }

    #[test]
    fn a_rectangle_has_exact_corners_and_area() {
        // 2 1/2 x 7 3/8 in.
        let r = rectangle(187.325, 63.5).unwrap();
        assert_eq!(r.bounds(), Rect::new(0.0, 0.0, 187.325, 63.5));
        assert!(r.is_rectangle());
        assert_near(r.area_mm2(), 187.325 * 63.5, 1e-9);
    }

    #[test]
    fn area_of_a_circle_is_pi_r_squared_within_a_hundred_thousandth() {
        let c = circle(50.0).unwrap();
        assert_near(c.area_mm2() / (PI * 625.0), 1.0, 1e-5);
        assert_eq!(c.outer().segments().count(), 8);
        assert_eq!(c.bounds(), Rect::new(0.0, 0.0, 50.0, 50.0));
        assert!(!c.is_rectangle());
    }

    #[test]
    fn area_of_an_ellipse_is_pi_a_b() {
        let e = ellipse(60.0, 40.0).unwrap();
        assert_near(e.area_mm2() / (PI * 30.0 * 20.0), 1.0, 1e-5);
        assert_eq!(e.bounds(), Rect::new(0.0, 0.0, 60.0, 40.0));
    }

    #[test]
    fn a_rounded_rectangle_loses_four_corners() {
        // Each corner square of r² keeps a quarter circle: w h - (4 - π) r².
        let r = rounded_rectangle(60.0, 40.0, 5.0).unwrap();
        assert_near(r.area_mm2(), 2400.0 - (4.0 - PI) * 25.0, 1e-3);
        assert_eq!(r.bounds(), Rect::new(0.0, 0.0, 60.0, 40.0));
        assert_eq!(r.outer().segments().count(), 12);
        // Half the side: the straight parts at the ends vanish.
        assert_eq!(
            rounded_rectangle(60.0, 40.0, 20.0)
                .unwrap()
                .outer()
                .segments()
                .count(),
            10
        );
        assert!(rounded_rectangle(60.0, 40.0, 0.0).unwrap().is_rectangle());
        assert_eq!(
            rounded_rectangle(60.0, 40.0, 20.5),
            Err(ShapeError::RadiusTooLarge {
                radius_mm: 20.5,
                limit_mm: 20.0
            })
        );
    }

    #[test]
    fn a_hexagon_stands_on_a_corner_and_a_square_on_its_tip() {
        // Corners on a circle of 20: flat to flat 20 cos 30, area 3√3/2 · 10².
        let hexagon = regular_polygon(6, 20.0).unwrap();
        assert_near(hexagon.bounds().width(), 10.0 * 3.0_f64.sqrt(), 1e-12);
        assert_near(hexagon.bounds().height(), 20.0, 1e-12);
        assert_near(hexagon.area_mm2(), 150.0 * 3.0_f64.sqrt(), 1e-9);
        assert_eq!((hexagon.bounds().x0, hexagon.bounds().y0), (0.0, 0.0));
        // A square on its tip: half the square of its diagonal.
        assert_near(regular_polygon(4, 20.0).unwrap().area_mm2(), 200.0, 1e-9);
        // A triangle, point up: its top is the middle of the width, its height 3/4 of the diameter.
        let triangle = regular_polygon(3, 40.0).unwrap();
        assert_near(triangle.bounds().height(), 30.0, 1e-12);
        let tip = triangle.flattened(1.0)[0]
            .iter()
            .copied()
            .min_by(|a, b| a.y.total_cmp(&b.y))
            .unwrap();
        assert_near(tip.x, triangle.bounds().width() / 2.0, 1e-12);
        assert_eq!(
            regular_polygon(2, 40.0).unwrap_err(),
            ShapeError::TooFewCorners { corners: 2 }
        );
    }

    #[test]
    fn sizes_must_be_positive() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(rectangle(bad, 10.0).is_err());
            assert!(circle(bad).is_err());
            assert!(regular_polygon(5, bad).is_err());
        }
    }

    #[test]
    fn every_shape_passes_the_outline_checks_and_runs_clockwise() {
        let snip = Snip {
            across_mm: 3.0,
            along_mm: 4.0,
        };
        let shapes = [
            rectangle(60.0, 40.0),
            rounded_rectangle(60.0, 40.0, 20.0),
            circle(6.0),
            ellipse(60.0, 4.0),
            regular_polygon(7, 30.0),
            strip(100.0, 20.0, Some(snip), Some(snip)),
        ];
        for shape in shapes {
            let shape = shape.unwrap();
            assert_eq!(Outline::new(&shape.path(), 0.001), Ok(shape));
        }
    }
}
