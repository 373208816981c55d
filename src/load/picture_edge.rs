//! What is seen beyond the end of a picture, up to the outer outline of the bleed: the picture in a mirror, or its last pixels stretched.
//!
//! All of it becomes one vector picture of the face, or of a panel with its bleed. What lies farther out is painted first and reaches
//! a hair under what lies nearer, so that no paper shows in a seam.

use kurbo::{Affine, Rect, Shape, Vec2};

use super::asset::Library;
use super::code;
use super::picture::{Picture, nearest};
use super::picture_strip::{Strips, strips};
use super::table::Table;
use crate::drawing::{Drawing, FillRule, Item};
use crate::geometry::{Pose, unit_square_onto};
use crate::project::PictureBox;

/// How far a part reaches under the next one: half a printer's dot, and too little to be seen as a shift.
const UNDER_MM: f64 = 0.02;
/// Most times that a picture is seen in a mirror on one face.
const MOST_MIRRORED: f64 = 400.0;

/// What is seen beyond the end of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Edge {
    /// The paper.
    None,
    /// The picture in a mirror, and that in a mirror again.
    Mirror,
    /// Its last pixels.
    Stretch,
}

/// Where a picture lies in the frame of its face or panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Around {
    /// The face, or the panel as it stands; its origin is its top left corner.
    pub(super) bounds: Rect,
    /// The box of what is printed: with the bleed.
    pub(super) reach: Rect,
    /// Whether it ends at the panel and its bleed, where nothing else cuts it off.
    pub(super) is_panel: bool,
}

/// Returns the place of a picture with what is seen beyond its end.
pub(super) fn place(library: &Library<'_>, picture: &Picture, around: Around) -> PictureBox {
    let plain = picture.place(around.bounds, around.reach);
    let is_cut = around.is_panel && picture.is_fitted();
    if picture.is_repeated || (picture.edge == Edge::None && !is_cut) {
        return plain;
    }
    let to_frame = plain.unit_to_face();
    let turned = picture.turned_box(around.bounds, around.reach);
    let mut items = match picture.edge {
        Edge::None => Vec::new(),
        Edge::Mirror => mirrored(picture, turned, to_frame, around.reach),
        Edge::Stretch => stretched(library, picture, to_frame, around.reach),
    };
    items.push(Item::Picture {
        asset: picture.asset,
        places: vec![to_frame],
    });
    whole(library, picture, items, around.reach)
}

/// The items as one picture of an area.
fn whole(library: &Library<'_>, picture: &Picture, items: Vec<Item>, area: Rect) -> PictureBox {
    let to_unit = unit_square_onto(area).inverse();
    let inner = crate::drawing::moved(&Drawing { items }, to_unit);
    let seen = Item::Clip {
        path: Rect::new(0.0, 0.0, 1.0, 1.0).to_path(0.1),
        rule: FillRule::NonZero,
        inner,
    };
    let drawing = Drawing { items: vec![seen] };
    let aspect = area.height() / area.width();
    PictureBox {
        asset: library.drawn(&library.path(picture.asset), drawing, aspect),
        width: nearest(area.width()),
        height: nearest(area.height()),
        pose: Pose::at(area.x0, area.y0),
    }
}

/// Refuses a picture that would be seen in more mirrors than are drawn.
pub(super) fn refuse_many(table: &Table<'_>, turned: Rect, area: Rect) -> Option<()> {
    let seen = seen(turned, area);
    if seen <= MOST_MIRRORED {
        return Some(());
    }
    let message =
        format!("the picture would be seen in {seen:.0} mirrors, more than {MOST_MIRRORED:.0}");
    let hint = "print it larger, or repeat it with repeat = true";
    let at = table.origin_of("edge");
    table
        .mistakes()
        .fail(code::ARTWORK_EDGE, &at, message, hint)
}

/// How many times a picture is seen on an area.
fn seen(turned: Rect, area: Rect) -> f64 {
    let count = |(first, last): (f64, f64)| last - first + 1.0;
    count(range(turned.x0, turned.x1, area.x0, area.x1))
        * count(range(turned.y0, turned.y1, area.y0, area.y1))
}

/// First and last position of the copies of a stretch that meet another one; the stretch itself is 0.
fn range(from: f64, to: f64, low: f64, high: f64) -> (f64, f64) {
    let length = to - from;
    // Each copy has moved a hair towards the picture.
    let slack = UNDER_MM * (1.0 + (high - low) / length);
    let first = ((low - slack - from) / length).floor().min(0.0);
    let last = ((high + slack - from) / length).ceil() - 1.0;
    (first, last.max(0.0))
}

/// The picture in mirrors on all sides, the farthest first.
fn mirrored(picture: &Picture, turned: Rect, to_frame: Affine, area: Rect) -> Vec<Item> {
    let columns = range(turned.x0, turned.x1, area.x0, area.x1);
    let rows = range(turned.y0, turned.y1, area.y0, area.y1);
    let all = |(first, last): (f64, f64)| {
        std::iter::successors(Some(first), |at| Some(at + 1.0)).take_while(move |at| *at <= last)
    };
    let mut copies: Vec<(f64, f64)> = all(rows)
        .flat_map(|row| all(columns).map(move |column| (column, row)))
        .filter(|(column, row)| column.abs() + row.abs() > 0.5)
        .collect();
    copies.sort_by(|a, b| {
        let far = |(column, row): &(f64, f64)| column.abs() + row.abs();
        far(b).total_cmp(&far(a))
    });
    let along = |at: f64, from: f64, length: f64| {
        let shift = -UNDER_MM * at;
        match at.rem_euclid(2.0) < 0.5 {
            true => (1.0, at * length + shift),
            false => (-1.0, 2.0 * from + (at + 1.0) * length + shift),
        }
    };
    let places = copies.into_iter().map(|(column, row)| {
        let (a, e) = along(column, turned.x0, turned.width());
        let (d, f) = along(row, turned.y0, turned.height());
        Affine::new([a, 0.0, 0.0, d, e, f]) * to_frame
    });
    vec![Item::Picture {
        asset: picture.asset,
        places: places.collect(),
    }]
}

/// The last pixels of the picture up to the end of the area: first the corners, then the sides.
fn stretched(library: &Library<'_>, picture: &Picture, to_frame: Affine, area: Rect) -> Vec<Item> {
    let source_to_frame = to_frame * picture.dress.map();
    let kept = picture.dress.crop.kept();
    let Strips { corners, sides } = strips(library, picture.source(), picture.dress.crop);
    let area = source_to_frame.inverse().transform_rect_bbox(area);
    let [a, b, c, d, _, _] = source_to_frame.as_coeffs();
    let under = Vec2::new(
        UNDER_MM / crate::math::hypot(a, b),
        UNDER_MM / crate::math::hypot(c, d),
    );
    let (left, right) = ((area.x0, kept.x0 + under.x), (kept.x1 - under.x, area.x1));
    let (top, bottom) = ((area.y0, kept.y0 + under.y), (kept.y1 - under.y, area.y1));
    let (across, down) = ((kept.x0, kept.x1), (kept.y0, kept.y1));
    let spot = |(x0, x1): (f64, f64), (y0, y1): (f64, f64)| {
        let is_beyond = x1 - x0 > 2.0 * under.x && y1 - y0 > 2.0 * under.y;
        is_beyond.then(|| source_to_frame * unit_square_onto(Rect::new(x0, y0, x1, y1)))
    };
    let spots = [
        (corners[0], spot(left, top)),
        (corners[1], spot(right, top)),
        (corners[2], spot(left, bottom)),
        (corners[3], spot(right, bottom)),
        (sides[0], spot(left, down)),
        (sides[1], spot(right, down)),
        (sides[2], spot(across, top)),
        (sides[3], spot(across, bottom)),
    ];
    spots
        .into_iter()
        .filter_map(|(asset, place)| {
            Some(Item::Picture {
                asset,
                places: vec![place?],
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn copies_reach_as_far_as_the_area_and_no_farther() {
        // 10 wide from 20 to 30, on 0.5 to 54.5: two to the left, two and a half to the right, which makes three.
        assert_eq!(range(20.0, 30.0, 0.5, 54.5), (-2.0, 3.0));
        // A picture that covers it all is alone, and so is one that is larger.
        assert_eq!(range(-0.1, 55.1, 0.0, 55.0), (0.0, 0.0));
        // One that ends with the area is alone only if nothing has moved away from its end.
        assert_eq!(range(-40.0, 80.0, 0.0, 55.0), (0.0, 0.0));
        // Six times across, three times down.
        let small = Rect::new(20.0, 0.0, 30.0, 10.0);
        let count = seen(small, Rect::new(0.5, -0.5, 54.5, 19.5));
        assert!((count - 18.0).abs() < 1e-9, "{count}");
    }
}
