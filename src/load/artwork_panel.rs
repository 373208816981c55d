//! The key `panel` of artwork: pictures measured on a panel as it stands in the finished object.

use kurbo::{Affine, Point, Rect};

use super::code;
use super::panel::{self, ShapePanel};
use super::shape::Shape;
use super::table::Table;
use super::value::Value;
use crate::diagnostic::Diagnostic;
use crate::geometry::{Pose, mirror_about_x};
use crate::length::Length;
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

/// How far a picture runs on over the edges of its panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Overhang {
    picture: Rect,
    panel: Rect,
    beyond_mm: f64,
    /// By what it must be made smaller to lie on the panel with its bleed; `None` if it need only be moved.
    pub(super) fits: Option<f64>,
}

impl Overhang {
    /// Returns by how much a picture's box reaches beyond a panel and the bleed round it; `None` if it does not. Both in the panel's
    /// upright frame, in millimetres.
    pub(super) fn of(picture: Rect, panel: Rect, bleed_mm: f64) -> Option<Self> {
        let may = panel.with_origin(Point::ORIGIN).inset(bleed_mm);
        let beyond = [
            may.x0 - picture.x0,
            picture.x1 - may.x1,
            may.y0 - picture.y0,
            picture.y1 - may.y1,
        ];
        let beyond_mm = beyond.into_iter().fold(0.0, f64::max);
        let by = (may.width() / picture.width()).min(may.height() / picture.height());
        (beyond_mm > LEAST_OVERHANG_MM).then_some(Self {
            picture,
            panel,
            beyond_mm: beyond_mm + bleed_mm,
            fits: (by < 1.0).then_some(by),
        })
    }

    /// Tells it of the artwork in a table; `width_mm` is the greatest width that would fit, if it is too large.
    pub(super) fn warn(&self, table: &Table<'_>, panel: &str, width_mm: Option<f64>) {
        let mistakes = table.mistakes();
        let style = mistakes.length_style();
        let show = |mm: f64| Length::from_um(Length::nearest_mm(mm).nm() / 1000).told(style);
        let size = |r: Rect| format!("{} x {}", show(r.width()), show(r.height()));
        let message = format!(
            "the picture is {}, and the panel \"{panel}\" {}: it runs on over an edge of the panel by {}",
            size(self.picture),
            size(self.panel),
            show(self.beyond_mm)
        );
        let (key, hint) = match width_mm.map(|mm| Length::nearest_mm(mm).down_to_ruler(style)) {
            Some(most) if most > Length::ZERO => (
                "width",
                format!("write width = \"{}\" or less, so that it ends with its bleed", most.display(style)),
            ),
            Some(_) | None => (
                "at",
                "leave at out, which puts it in the middle, or leave panel out if it is meant to run on".to_owned(),
            ),
        };
        let warning = Diagnostic::warning(code::ARTWORK_OVERHANG, message);
        mistakes.push(warning.at(&table.origin_of(key)).hint(hint));
    }
}

/// Less than this beyond an edge is a matter of rounding.
const LEAST_OVERHANG_MM: f64 = 0.05;

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
    fn what_reaches_beyond_panel_and_bleed_is_told_with_the_size_that_would_fit() {
        // A panel of 60 x 35 and 3 of bleed: a picture of 80 x 40 in its middle is 10 too wide at either side, 7 beyond the bleed, and fits at
        // 66/80 of its size, since 41/40 is more than enough.
        let panel = Rect::new(0.0, 0.0, 60.0, 35.0);
        let found = Overhang::of(Rect::new(-10.0, -2.5, 70.0, 37.5), panel, 3.0).unwrap();
        assert!(
            (found.beyond_mm - 10.0).abs() < 1e-9 && (found.fits.unwrap() - 0.825).abs() < 1e-9
        );
        assert_eq!(
            Overhang::of(Rect::new(-3.0, -3.0, 63.0, 38.0), panel, 3.0),
            None
        );
        // Small enough, but 7 too far to the right, of which 3 are bleed.
        let moved = Overhang::of(Rect::new(47.0, 0.0, 67.0, 20.0), panel, 3.0).unwrap();
        assert!((moved.beyond_mm - 7.0).abs() < 1e-9 && moved.fits.is_none());
    }

    #[test]
    fn from_behind_the_panel_leans_the_other_way() {
        let back = frame(Face::Back);
        // Seen from behind it lies from 30 to 80, and its left edge is up: 10 to the right is 10 up from the bottom.
        let pose = back.on_face(Pose::at(10.0, 5.0));
        assert_eq!((pose.x_mm, pose.y_mm, pose.turn.deg()), (35.0, 50.0, 270.0));
    }
}
