//! The part that two outlines share.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::scale::FixedScaleFloatOverlay;

use super::Outline;
use super::polygon::{STEPS_PER_MM, from_polygons, to_polygons};
use crate::math::FLATTEN_MM;

/// Returns what both outlines cover, the largest part first; nothing if they lie apart or only touch.
///
/// Curves come back as straight sides within [`FLATTEN_MM`] of the true curve, with corners on whole nanometres.
///
/// # Panics
///
/// Panics on outlines that reach farther than a hundred kilometres.
#[must_use]
pub fn common(a: &Outline, b: &Outline) -> Vec<Outline> {
    let shapes = to_polygons(a, FLATTEN_MM)
        .overlay_with_fixed_scale_as::<i64>(
            &to_polygons(b, FLATTEN_MM),
            OverlayRule::Intersect,
            FillRule::NonZero,
            STEPS_PER_MM,
        )
        .expect("outlines lie within a hundred metres");
    let mut parts: Vec<Outline> = shapes
        .iter()
        .filter_map(|shape| from_polygons(shape))
        .collect();
    parts.sort_by(|a, b| b.area_mm2().total_cmp(&a.area_mm2()));
    parts
}

#[cfg(test)]
mod tests {
    use kurbo::{Affine, BezPath, Rect};

    use super::*;
    use crate::geometry::shape::rectangle;

    #[test]
    fn a_card_over_the_notch_of_a_u_shares_its_two_legs() {
        // Legs of 10 and 20 mm; the card covers 15 mm of their length.
        let u = Outline::new(
            &BezPath::from_svg("M0 0 H10 V30 H40 V0 H60 V50 H0 Z").unwrap(),
            0.001,
        );
        let card = rectangle(60.0, 15.0).unwrap();
        let parts = common(
            &u.unwrap(),
            &card.transformed(Affine::translate((0.0, 5.0))),
        );
        let boxes: Vec<Rect> = parts.iter().map(Outline::bounds).collect();
        assert_eq!(
            boxes,
            [
                Rect::new(40.0, 5.0, 60.0, 20.0),
                Rect::new(0.0, 5.0, 10.0, 20.0)
            ]
        );
    }

    #[test]
    fn cards_side_by_side_share_nothing() {
        let card = rectangle(60.0, 40.0).unwrap();
        let beside = card.transformed(Affine::translate((60.0, 0.0)));
        assert_eq!(common(&card, &beside), []);
    }
}
