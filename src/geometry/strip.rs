//! The strip: a rectangle whose ends may have their corners snipped off, as tabs to be glued have.

use super::Outline;
use super::shape::{ShapeError, polygon, require_sizes};
use crate::math::COINCIDENT_MM;

/// The two corners cut off one end of a strip, both alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Snip {
    /// How far each cut reaches in from the long edge.
    pub across_mm: f64,
    /// How far each cut reaches back from the end.
    pub along_mm: f64,
}

/// Returns a strip lying along x, with the corners at its left and right end snipped off where asked.
///
/// # Errors
///
/// Returns a [`ShapeError`] if a side is not greater than zero or the snips would meet.
pub fn strip(
    length_mm: f64,
    width_mm: f64,
    left: Option<Snip>,
    right: Option<Snip>,
) -> Result<Outline, ShapeError> {
    require_sizes(&[length_mm, width_mm])?;
    for snip in [left, right].into_iter().flatten() {
        require_sizes(&[snip.across_mm, snip.along_mm])?;
        require_room(2.0 * snip.across_mm, width_mm)?;
    }
    let along = |snip: Option<Snip>| snip.map_or(0.0, |s| s.along_mm);
    require_room(along(left) + along(right), length_mm)?;
    let (l, w) = (length_mm, width_mm);
    let mut corners = Vec::new();
    match left {
        None => corners.push((0.0, 0.0)),
        Some(s) => corners.extend([(0.0, s.across_mm), (s.along_mm, 0.0)]),
    }
    match right {
        None => corners.extend([(l, 0.0), (l, w)]),
        Some(s) => corners.extend([
            (l - s.along_mm, 0.0),
            (l, s.across_mm),
            (l, w - s.across_mm),
            (l - s.along_mm, w),
        ]),
    }
    match left {
        None => corners.push((0.0, w)),
        Some(s) => corners.extend([(s.along_mm, w), (0.0, w - s.across_mm)]),
    }
    Ok(polygon(&corners))
}

fn require_room(reach_mm: f64, limit_mm: f64) -> Result<(), ShapeError> {
    // A nanometre more than fits is rounding of an angle, as where two snips are to meet in a point.
    if reach_mm > limit_mm + COINCIDENT_MM {
        return Err(ShapeError::SnipTooLarge { reach_mm, limit_mm });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use kurbo::{Point, Rect};

    use super::*;

    #[test]
    fn a_snipped_strip_loses_two_triangles_at_each_snipped_end() {
        // 1/16 in at 45 degrees on both ends: four triangles of 1.5875² / 2.
        let snip = Snip {
            across_mm: 1.5875,
            along_mm: 1.5875,
        };
        let both = strip(187.325, 63.5, Some(snip), Some(snip)).unwrap();
        let area_mm2 = 187.325 * 63.5 - 2.0 * 1.5875 * 1.5875;
        assert!((both.area_mm2() - area_mm2).abs() <= 1e-9);
        assert_eq!(both.outer().segments().count(), 8);
        assert_eq!(both.bounds(), Rect::new(0.0, 0.0, 187.325, 63.5));
        let left = strip(187.325, 63.5, Some(snip), None).unwrap();
        assert!(!left.contains(Point::new(0.5, 0.5)) && left.contains(Point::new(187.0, 0.5)));
        assert_eq!(left.outer().segments().count(), 6);
        assert!(strip(187.325, 63.5, None, None).unwrap().is_rectangle());
    }

    #[test]
    fn snips_that_would_meet_are_refused_and_a_pointed_end_is_not() {
        let half = Snip {
            across_mm: 10.0,
            along_mm: 5.0,
        };
        assert_eq!(
            strip(100.0, 20.0, Some(half), None)
                .unwrap()
                .outer()
                .segments()
                .count(),
            5
        );
        assert_eq!(
            strip(100.0, 19.0, Some(half), None),
            Err(ShapeError::SnipTooLarge {
                reach_mm: 20.0,
                limit_mm: 19.0
            })
        );
        assert!(strip(9.0, 20.0, Some(half), Some(half)).is_err());
    }
}
