//! How the two faces of a sheet are seen: the maps and the margins that follow from turning a sheet over.

use kurbo::{Affine, Size};

use crate::geometry::mirror_about_x;
use crate::project::{Edges, Face, TurnOver};

/// Returns the map from the sheet frame (front view) to the view of `face`, which is its own inverse.
pub(super) fn face_from_sheet(face: Face, sheet: Size, turn_over: TurnOver) -> Affine {
    match (face, turn_over) {
        (Face::Front, _) => Affine::IDENTITY,
        (Face::Back, TurnOver::LeftRight) => mirror_about_x(sheet.width / 2.0),
        (Face::Back, TurnOver::TopBottom) => Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, sheet.height]),
    }
}

/// Returns the bands at the edges of `face`, given as seen from it, as they lie in the sheet frame; and the other way round.
pub(super) fn edges_in_sheet<T: Copy>(
    edges: Edges<T>,
    face: Face,
    turn_over: TurnOver,
) -> Edges<T> {
    match (face, turn_over) {
        (Face::Front, _) => edges,
        (Face::Back, TurnOver::LeftRight) => Edges {
            left: edges.right,
            right: edges.left,
            ..edges
        },
        (Face::Back, TurnOver::TopBottom) => Edges {
            top: edges.bottom,
            bottom: edges.top,
            ..edges
        },
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::*;

    /// By hand, on Letter: (20, 30) is 215.9 - 20 = 195.9 from the left of a back turned like a page, and 279.4 - 30 = 249.4
    /// from the top of one turned head over heels.
    #[test]
    fn the_back_is_mirrored_the_way_the_sheet_is_turned() {
        let letter = Size::new(215.9, 279.4);
        let back =
            |turn_over| face_from_sheet(Face::Back, letter, turn_over) * Point::new(20.0, 30.0);
        assert!((back(TurnOver::LeftRight) - Point::new(195.9, 30.0)).hypot2() < 1e-18);
        assert!((back(TurnOver::TopBottom) - Point::new(20.0, 249.4)).hypot2() < 1e-18);
    }

    #[test]
    fn margins_change_places_like_the_edges() {
        let edges = Edges {
            top: 1,
            right: 2,
            bottom: 3,
            left: 4,
        };
        let seen = |turn_over| edges_in_sheet(edges, Face::Back, turn_over);
        assert_eq!(
            seen(TurnOver::LeftRight),
            Edges {
                top: 1,
                right: 4,
                bottom: 3,
                left: 2
            }
        );
        assert_eq!(
            seen(TurnOver::TopBottom),
            Edges {
                top: 3,
                right: 2,
                bottom: 1,
                left: 4
            }
        );
    }
}
