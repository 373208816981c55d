//! Whether outlines lie over each other or inside each other.
//!
//! Boxes first, then upright rectangles exactly, then `i_overlay` on the flattened outlines: n log n for n sides.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::scale::FixedScaleFloatOverlay;
use kurbo::Rect;

use super::Outline;
use super::polygon::{STEPS_PER_MM, thickness_mm, to_polygons};

/// Flattening takes this part of the tolerance, once for each outline, and leaves the rest to the shapes.
const FLATTENING_SHARE: f64 = 0.25;

/// Returns whether two outlines lie over each other in a part thicker than `tolerance_mm`; sharing an edge is not enough.
///
/// A piece that lies in another one's hole does not overlap it. The thickness of a part is twice its area over the length of
/// its edge: the width of a sliver.
///
/// # Examples
///
/// ```
/// use kurbo::Affine;
/// use sheetwright::geometry::{overlap::overlaps, shape::circle};
///
/// let dot = circle(10.0).unwrap();
/// let beside = |dx| dot.transformed(Affine::translate((dx, 0.0)));
/// assert!(!overlaps(&dot, &beside(10.0), 0.001));
/// assert!(overlaps(&dot, &beside(9.9), 0.001));
/// ```
#[must_use]
pub fn overlaps(a: &Outline, b: &Outline, tolerance_mm: f64) -> bool {
    let common = a.bounds().intersect(b.bounds());
    if common.width().min(common.height()) <= tolerance_mm {
        return false;
    }
    (a.is_rectangle() && b.is_rectangle())
        || thickest_mm(a, b, OverlayRule::Intersect, tolerance_mm) > tolerance_mm
}

/// Returns whether `inner` lies inside `outer` but for parts no thicker than `tolerance_mm`, thickness as in [`overlaps`].
#[must_use]
pub fn encloses(outer: &Outline, inner: &Outline, tolerance_mm: f64) -> bool {
    let room = outer.bounds().inflate(tolerance_mm, tolerance_mm);
    if !covers(room, inner.bounds()) {
        return false;
    }
    outer.is_rectangle()
        || thickest_mm(inner, outer, OverlayRule::Difference, tolerance_mm) <= tolerance_mm
}

fn covers(outer: Rect, inner: Rect) -> bool {
    outer.x0 <= inner.x0 && outer.y0 <= inner.y0 && outer.x1 >= inner.x1 && outer.y1 >= inner.y1
}

fn thickest_mm(a: &Outline, b: &Outline, rule: OverlayRule, tolerance_mm: f64) -> f64 {
    let polygons = |outline: &Outline| to_polygons(outline, FLATTENING_SHARE * tolerance_mm);
    let shapes = polygons(a)
        .overlay_with_fixed_scale_as::<i64>(&polygons(b), rule, FillRule::NonZero, STEPS_PER_MM)
        .expect("outlines lie within a hundred metres");
    shapes
        .iter()
        .map(|shape| thickness_mm(shape))
        .fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use kurbo::{Affine, BezPath};

    use super::*;
    use crate::geometry::shape::{circle, rectangle};

    const TOLERANCE_MM: f64 = 0.001;

    fn outline(text: &str) -> Outline {
        Outline::new(&BezPath::from_svg(text).unwrap(), 0.001).unwrap()
    }

    fn at(outline: &Outline, x_mm: f64, y_mm: f64) -> Outline {
        outline.transformed(Affine::translate((x_mm, y_mm)))
    }

    #[test]
    fn sharing_an_edge_is_no_overlap_and_a_hundredth_is() {
        let card = rectangle(60.0, 40.0).unwrap();
        let triangle = outline("M0 0 L60 0 L0 40 Z");
        let other_half = outline("M60 0 V40 H0 Z");
        assert!(!overlaps(&card, &at(&card, 60.0, 0.0), TOLERANCE_MM));
        assert!(overlaps(&card, &at(&card, 59.99, 0.0), TOLERANCE_MM));
        assert!(!overlaps(&triangle, &other_half, TOLERANCE_MM));
        assert!(overlaps(
            &triangle,
            &at(&other_half, -0.01, 0.0),
            TOLERANCE_MM
        ));
        assert!(
            overlaps(&card, &card, TOLERANCE_MM) && overlaps(&triangle, &triangle, TOLERANCE_MM)
        );
    }

    #[test]
    fn boxes_may_overlap_where_shapes_do_not() {
        let triangle = outline("M0 0 L60 0 L0 40 Z");
        assert!(!overlaps(
            &triangle,
            &at(&rectangle(10.0, 10.0).unwrap(), 45.0, 25.0),
            TOLERANCE_MM
        ));
    }

    #[test]
    fn a_piece_in_a_hole_is_apart_and_a_piece_inside_is_not() {
        let frame = outline("M0 0 H60 V40 H0 Z M10 10 H50 V30 H10 Z");
        let dot = at(&circle(10.0).unwrap(), 25.0, 15.0);
        assert!(!overlaps(&frame, &dot, TOLERANCE_MM));
        assert!(!encloses(&frame, &dot, TOLERANCE_MM));
        let card = rectangle(60.0, 40.0).unwrap();
        assert!(overlaps(&card, &dot, TOLERANCE_MM) && encloses(&card, &dot, TOLERANCE_MM));
        assert!(!encloses(&dot, &card, TOLERANCE_MM));
        // It fills the hole to the last edge, and not more.
        assert!(!overlaps(
            &frame,
            &at(&rectangle(40.0, 20.0).unwrap(), 10.0, 10.0),
            TOLERANCE_MM
        ));
    }

    #[test]
    fn an_offcut_of_any_shape_holds_what_fits_and_no_more() {
        // An L of 60 x 60 with arms of 20.
        let scrap = outline("M0 0 H20 V40 H60 V60 H0 Z");
        let strip = rectangle(20.0, 60.0).unwrap();
        assert!(encloses(&scrap, &strip, TOLERANCE_MM));
        assert!(!encloses(&scrap, &at(&strip, 0.01, 0.0), TOLERANCE_MM));
        assert!(!encloses(
            &scrap,
            &rectangle(30.0, 30.0).unwrap(),
            TOLERANCE_MM
        ));
        // A circle of 20 in the corner touches three edges.
        assert!(encloses(
            &scrap,
            &at(&circle(20.0).unwrap(), 0.0, 40.0),
            TOLERANCE_MM
        ));
    }
}
