//! Whether outlines lie over each other.
//!
//! Boxes first, then upright rectangles exactly, then `i_overlay` on the flattened outlines: n log n for n sides.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::scale::FixedScaleFloatOverlay;

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
    (a.is_rectangle() && b.is_rectangle()) || thickest_common_mm(a, b, tolerance_mm) > tolerance_mm
}

/// Thickness of the thickest part that both outlines cover.
fn thickest_common_mm(a: &Outline, b: &Outline, tolerance_mm: f64) -> f64 {
    let polygons = |outline: &Outline| to_polygons(outline, FLATTENING_SHARE * tolerance_mm);
    let shapes = polygons(a)
        .overlay_with_fixed_scale_as::<i64>(
            &polygons(b),
            OverlayRule::Intersect,
            FillRule::NonZero,
            STEPS_PER_MM,
        )
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
        let card = rectangle(60.0, 40.0).unwrap();
        assert!(overlaps(&card, &dot, TOLERANCE_MM));
        // It fills the hole to the last edge, and not more.
        assert!(!overlaps(
            &frame,
            &at(&rectangle(40.0, 20.0).unwrap(), 10.0, 10.0),
            TOLERANCE_MM
        ));
    }
}
