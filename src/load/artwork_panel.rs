//! The key `panel` of artwork: pictures measured on a panel as it stands in the finished object.

use kurbo::{Affine, Point, Rect};

use super::code;
use super::panel::{self, ShapePanel};
use super::shape::Shape;
use super::value::Value;
use crate::geometry::{Pose, mirror_about_x};
use crate::math::Angle;
use crate::project::Face;

/// The upright frame of a panel on one face: its origin is the top left corner of the panel's box, as it stands.
#[derive(Debug, Clone)]
pub(super) struct PanelFrame {
    pub(super) name: String,
    pub(super) bounds: Rect,
    to_face: Pose,
}

/// Reads the panel that artwork is measured on, as it stands in the finished object.
pub(super) fn read(
    value: &Value<'_>,
    face: Face,
    piece_id: &str,
    shape: &Shape,
) -> Option<PanelFrame> {
    let name = value.raw_text()?;
    match shape.panels.iter().find(|panel| panel.name == name) {
        Some(panel) => Some(PanelFrame::new(panel, face, shape.outline.bounds())),
        None => {
            let message = format!("piece \"{piece_id}\" has no panel \"{name}\"");
            let hint = panel::hint(&shape.panels, name, str::to_owned).unwrap_or_else(|| {
                "name it under [[piece.panel]], or leave panel out to measure on the whole piece"
                    .to_owned()
            });
            value.fail(code::ARTWORK_PANEL, message, hint)
        }
    }
}

impl PanelFrame {
    fn new(panel: &ShapePanel, face: Face, piece: Rect) -> Self {
        let up = panel.up.unwrap_or(Angle::ZERO);
        // From behind, what leans clockwise leans the other way.
        let (turn, to_face) = match face {
            Face::Front => (up, Affine::IDENTITY),
            Face::Back => (
                Angle::from_deg(360.0 - up.deg()),
                mirror_about_x(piece.center().x),
            ),
        };
        let turned = Pose {
            turn,
            ..Pose::identity()
        };
        let upright = turned.to_affine().inverse() * to_face;
        let corners = panel
            .corners_mm()
            .into_iter()
            .map(|corner| upright * corner);
        let bounds = corners
            .map(|corner| Rect::from_points(corner, corner))
            .reduce(|all, corner| all.union(corner))
            .unwrap_or_default();
        let origin = turned.to_affine() * bounds.origin();
        Self {
            name: panel.name.clone(),
            bounds: bounds.with_origin(Point::ORIGIN),
            to_face: Pose {
                turn,
                ..Pose::at(origin.x, origin.y)
            },
        }
    }

    /// Returns a pose in this frame as one in the frame of the face.
    pub(super) fn on_face(&self, pose: Pose) -> Pose {
        let origin = self.to_face.to_affine() * Point::new(pose.x_mm, pose.y_mm);
        Pose {
            turn: Angle::from_deg((self.to_face.turn.deg() + pose.turn.deg()) % 360.0),
            ..Pose::at(origin.x, origin.y)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::shape::rectangle;

    /// The middle panel of a card of 100 x 60 mm, from 20 to 70 across, which stands on its left edge.
    fn frame(face: Face) -> PanelFrame {
        let region = rectangle(50.0, 60.0).unwrap();
        let region = region.transformed(Affine::translate((20.0, 0.0)));
        let right_is_up = Some(Angle::from_deg(90.0));
        let middle = Point::new(40.0, 30.0);
        let panel = ShapePanel::of_region("wall".to_owned(), right_is_up, middle, &region);
        PanelFrame::new(&panel, face, Rect::new(0.0, 0.0, 100.0, 60.0))
    }

    #[test]
    fn what_is_right_of_the_corner_as_it_stands_is_below_it_on_the_net() {
        let front = frame(Face::Front);
        assert_eq!(front.bounds, Rect::new(0.0, 0.0, 60.0, 50.0));
        // 10 to the right is 10 down the net from its top, 5 down is 5 to the left of its right edge.
        let pose = front.on_face(Pose::at(10.0, 5.0));
        assert_eq!((pose.x_mm, pose.y_mm, pose.turn.deg()), (65.0, 10.0, 90.0));
    }

    #[test]
    fn from_behind_the_panel_leans_the_other_way() {
        let back = frame(Face::Back);
        // Seen from behind it lies from 30 to 80, and its left edge is up: 10 to the right is 10 up from the bottom.
        let pose = back.on_face(Pose::at(10.0, 5.0));
        assert_eq!((pose.x_mm, pose.y_mm, pose.turn.deg()), (35.0, 50.0, 270.0));
    }
}
