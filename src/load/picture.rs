//! The keys of a picture in `[[piece.artwork]]`.

use kurbo::Rect;

use super::asset::Library;
use super::table::Table;
use super::value::Value;
use crate::drawing::AssetIndex;
use crate::geometry::Pose;
use crate::length::{Length, Size};
use crate::math::Angle;
use crate::project::PictureBox;

/// Quarter turns clockwise.
pub(super) const TURNS: &[(&str, u8)] =
    &[("0 deg", 0), ("90 deg", 1), ("180 deg", 2), ("270 deg", 3)];
/// The keys that only a picture has.
pub(super) const KEYS: [&str; 4] = ["width", "at", "turn", "repeat"];

/// A picture as asked for.
#[derive(Debug, Clone)]
pub(super) struct Picture {
    asset: AssetIndex,
    pub(super) width: Size,
    height: Size,
    /// Height divided by width.
    aspect: f64,
    /// Where the turned box has its top left corner, from that of the face's box; centred if not given.
    at: Option<(Length, Length)>,
    quarters: u8,
    pub(super) is_repeated: bool,
}

/// Reads a picture; keys that are not given stay as in `base`.
pub(super) fn read(
    table: &Table<'_>,
    library: &Library<'_>,
    base: Option<&Picture>,
) -> Option<Picture> {
    let picture = match base {
        Some(base) if !table.has("file") => Some((base.asset, base.aspect)),
        _ => table.optional("file", |v| library.picture(v)),
    };
    let sizes = match base {
        Some(base) if !table.has("width") => Some(base.width),
        _ => table.required("width", "width = \"2 1/4 in\"", Value::size),
    };
    let at = table
        .optional("at", Value::point)
        .or(base.and_then(|b| b.at));
    let quarters = table
        .optional("turn", |v| v.choice(TURNS))
        .or(base.map(|b| b.quarters));
    let repeat = table
        .optional("repeat", Value::boolean)
        .or(base.map(|b| b.is_repeated));
    let ((asset, aspect), width) = (picture?, sizes?);
    Some(Picture {
        asset,
        width,
        height: height(table, width, aspect)?,
        aspect,
        at,
        quarters: quarters.unwrap_or(0),
        is_repeated: repeat.unwrap_or(false),
    })
}

fn height(table: &Table<'_>, width: Size, aspect: f64) -> Option<Size> {
    let height = Length::nearest_mm(width.to_mm() * aspect);
    let in_reach = |value: &Value<'_>| value.within_reach(height);
    if table.has("width") {
        table.optional("width", in_reach)?;
    }
    // A picture has a pixel of height at least; a nanometre stands for less than that.
    Size::new(height.max(Length::from_nm(1)))
}

impl Picture {
    /// Returns the box of the turned picture in the frame of a face with these bounds.
    pub(super) fn turned_box(&self, bounds: Rect) -> Rect {
        let (w, h) = (self.width.to_mm(), self.height.to_mm());
        let (across, down) = if self.quarters.is_multiple_of(2) {
            (w, h)
        } else {
            (h, w)
        };
        let (left, top) = match self.at {
            Some((x, y)) => (x.to_mm(), y.to_mm()),
            None => (
                (bounds.width() - across) / 2.0,
                (bounds.height() - down) / 2.0,
            ),
        };
        Rect::new(left, top, left + across, top + down)
    }

    /// Returns the picture's box on a face or panel with these bounds.
    pub(super) fn place(&self, bounds: Rect) -> PictureBox {
        let turned = self.turned_box(bounds);
        let (across, down) = (turned.width(), turned.height());
        // Where the picture's own top left corner lies in its turned box.
        let (x, y) = match self.quarters {
            0 => (0.0, 0.0),
            1 => (across, 0.0),
            2 => (across, down),
            _ => (0.0, down),
        };
        PictureBox {
            asset: self.asset,
            width: self.width,
            height: self.height,
            pose: Pose {
                turn: Angle::from_deg(90.0 * f64::from(self.quarters)),
                ..Pose::at(turned.x0 + x, turned.y0 + y)
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::*;

    #[test]
    fn a_turned_picture_has_its_box_where_it_was_asked_for() {
        // A 40 x 60 mm picture on a 100 x 100 mm face, its turned box at (5, 7).
        let size = |mm| Size::new(Length::from_mm(mm)).unwrap();
        for (quarters, right, bottom) in [
            (0, 45.0, 67.0),
            (1, 65.0, 47.0),
            (2, 45.0, 67.0),
            (3, 65.0, 47.0),
        ] {
            let picture = Picture {
                asset: AssetIndex(0),
                width: size(40),
                height: size(60),
                aspect: 1.5,
                at: Some((Length::from_mm(5), Length::from_mm(7))),
                quarters,
                is_repeated: false,
            };
            let unit = picture
                .place(Rect::new(0.0, 0.0, 100.0, 100.0))
                .unit_to_face();
            let corners =
                [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(|c| unit * Point::from(c));
            let found = corners
                .iter()
                .fold(Rect::from_points(corners[0], corners[1]), |r, p| {
                    r.union_pt(*p)
                });
            assert_eq!(
                found,
                Rect::new(5.0, 7.0, right, bottom),
                "{quarters} quarters"
            );
        }
    }
}
