//! Clips: which one belongs to artwork, and which ones hide nothing.

use std::rc::Rc;

use kurbo::{BezPath, Rect, Shape};

use super::trace::bounds;
use crate::math::VERIFY_MM;

/// Share of its box that a rectangle fills but for rounding.
const FULL_SHARE: f64 = 1.0 - 1e-6;

/// Whether `clip` is an upright rectangle around all of `inside`, so that it hides nothing of it.
pub(super) fn is_around(clip: &BezPath, inside: Rect) -> bool {
    bounds(clip).is_some_and(|outer| {
        let outer_grown = outer.inflate(VERIFY_MM, VERIFY_MM);
        clip.area().abs() >= FULL_SHARE * outer.area() && outer_grown.union(inside) == outer_grown
    })
}

/// The clip that shapes artwork planned inside `planned`: the smallest. `Err` with the number of clips that cut into it if there
/// is more than one, `Ok(None)` if there is none.
pub(super) fn shaping(clips: &[Rc<BezPath>], planned: Rect) -> Result<Option<&Rc<BezPath>>, usize> {
    let area = |clip: &Rc<BezPath>| bounds(clip).map_or(0.0, |b| b.area());
    let smallest = clips.iter().min_by(|a, b| area(a).total_cmp(&area(b)));
    let others_cutting = clips
        .iter()
        .filter(|clip| smallest.is_some_and(|smallest| !Rc::ptr_eq(clip, smallest)))
        .filter(|clip| !is_around(clip, planned))
        .count();
    if others_cutting > 0 {
        Err(others_cutting + 1)
    } else {
        Ok(smallest)
    }
}

/// Whether two lists hold the very same clips.
pub(super) fn are_same(a: &[Rc<BezPath>], b: &[Rc<BezPath>]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| Rc::ptr_eq(a, b))
}
