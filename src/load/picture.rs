//! The keys of a picture in `[[piece.artwork]]`.

use kurbo::{Rect, Size as Extent};

use super::asset::Library;
use super::code;
use super::money::percent;
use super::picture_dress::{Crop, Dress, Mirror, dress};
use super::picture_edge::Edge;
use super::table::Table;
use super::value::Value;
use crate::drawing::AssetIndex;
use crate::geometry::Pose;
use crate::length::{Length, Size};
use crate::project::PictureBox;

/// Quarter turns clockwise.
pub(super) const TURNS: &[(&str, u8)] =
    &[("0 deg", 0), ("90 deg", 1), ("180 deg", 2), ("270 deg", 3)];
const FITS: &[(&str, Fit)] = &[("fill", Fit::Fill), ("whole", Fit::Whole)];
const MIRRORS: &[(&str, Mirror)] = &[
    ("left-right", Mirror::LeftRight),
    ("top-bottom", Mirror::TopBottom),
];
const EDGES: &[(&str, Edge)] = &[
    ("none", Edge::None),
    ("mirror", Edge::Mirror),
    ("stretch", Edge::Stretch),
];
/// The keys that only a picture has.
pub(super) const KEYS: [&str; 9] = [
    "width", "at", "turn", "repeat", "fit", "crop", "mirror", "focus", "edge",
];

/// A picture as asked for.
#[derive(Debug, Clone)]
pub(super) struct Picture {
    /// The file's picture, and its height divided by its width.
    source: (AssetIndex, f64),
    pub(super) dress: Dress,
    /// The picture as it is dressed.
    pub(super) asset: AssetIndex,
    /// Height divided by width.
    aspect: f64,
    sizing: Sizing,
    pub(super) edge: Edge,
    quarters: u8,
    pub(super) is_repeated: bool,
}

/// What a picture's size and place follow from.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Sizing {
    /// A size as typed, and where the turned box has its top left corner, from that of the face's box; centred if not given.
    Typed {
        width: Size,
        height: Size,
        at: Option<(Length, Length)>,
    },
    /// Its face or panel. The focus lies in the picture as it is dressed, from 0 to 1 across and down.
    Fitted { fit: Fit, focus: Option<Focus> },
}

/// The point of a picture as seen upright that stays in view, in percent from the left and from the top.
type Focus = (u32, u32);

/// How a picture follows its face or panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Fit {
    /// It covers it, and what is over is cut off.
    Fill,
    /// All of it lies inside.
    Whole,
}

/// Reads a picture; keys that are not given stay as in `base`.
pub(super) fn read(
    table: &Table<'_>,
    library: &Library<'_>,
    base: Option<&Picture>,
) -> Option<Picture> {
    table.know(&KEYS);
    let source = match base {
        Some(base) if !table.has("file") => Some(base.source),
        _ => table.optional("file", |v| library.picture(v)),
    };
    let dressed = read_dress(table, base);
    let sizing = read_sizing(table, base);
    let quarters = table
        .optional("turn", |v| v.choice(TURNS))
        .or(base.map(|b| b.quarters));
    let repeat = table
        .optional("repeat", Value::boolean)
        .or(base.map(|b| b.is_repeated))
        .unwrap_or(false);
    let edge = table
        .optional("edge", |v| v.choice(EDGES))
        .or(base.map(|b| b.edge))
        .unwrap_or(Edge::None);
    let (source, worn, sizing) = (source?, dressed?, sizing?);
    if repeat && edge != Edge::None {
        table.conflict(
            "edge",
            "stands beside repeat, which leaves no end",
            "leave edge out",
        );
        return None;
    }
    if edge == Edge::Stretch && library.is_vector(source.0) {
        let message = "a picture of vectors has no pixels at its edge that could be stretched";
        let at = table.origin_of("edge");
        let hint = "write edge = \"mirror\", or draw it larger";
        return table
            .mistakes()
            .fail(code::ARTWORK_EDGE, &at, message, hint);
    }
    let (asset, aspect) = dress(library, source, worn);
    let sizing = match sizing {
        Asked::Typed(width, at) => Sizing::Typed {
            width,
            height: height(table, width, aspect)?,
            at,
        },
        Asked::Fitted(fit, focus) => Sizing::Fitted { fit, focus },
    };
    if repeat && matches!(sizing, Sizing::Fitted { .. }) {
        let because = "stands beside repeat, which needs a width";
        table.conflict("fit", because, "leave one of them out");
        return None;
    }
    Some(Picture {
        source,
        dress: worn,
        asset,
        aspect,
        sizing,
        edge,
        quarters: quarters.unwrap_or(0),
        is_repeated: repeat,
    })
}

fn read_dress(table: &Table<'_>, base: Option<&Picture>) -> Option<Dress> {
    let base = base.map(|base| base.dress).unwrap_or_default();
    let crop = match table.has("crop") {
        true => read_crop(&table.table("crop")?),
        false => Some(base.crop),
    };
    let mirror = match table.has("mirror") {
        true => table.optional("mirror", |v| v.choice(MIRRORS)).map(Some),
        false => Some(base.mirror),
    };
    Some(Dress {
        crop: crop?,
        mirror: mirror?,
    })
}

/// Reads how much of each side is cut away.
fn read_crop(table: &Table<'_>) -> Option<Crop> {
    let side = |key| match table.has(key) {
        true => table.optional(key, |v| percent(v, 99)),
        false => Some(0),
    };
    let (left, right) = (side("left"), side("right"));
    let (top, bottom) = (side("top"), side("bottom"));
    table.know(&["left", "right", "top", "bottom"]);
    table.close();
    let crop = Crop {
        left: left?,
        right: right?,
        top: top?,
        bottom: bottom?,
    };
    for (one, other, sum) in [
        ("left", "right", crop.left + crop.right),
        ("top", "bottom", crop.top + crop.bottom),
    ] {
        if sum >= 100 {
            let message =
                format!("crop takes {sum} % away from {one} and {other}, which leaves nothing");
            let hint = format!(
                "write percentages for {one} and {other} that make less than 100 % together"
            );
            return table
                .mistakes()
                .fail(code::NUMBER_RANGE, &table.origin(), message, hint);
        }
    }
    Some(crop)
}

/// A size or a fit, before the picture's proportions are known.
enum Asked {
    Typed(Size, Option<(Length, Length)>),
    Fitted(Fit, Option<Focus>),
}

fn read_sizing(table: &Table<'_>, base: Option<&Picture>) -> Option<Asked> {
    let fitted = match base.map(|base| base.sizing) {
        Some(Sizing::Fitted { fit, focus }) => Some((fit, focus)),
        Some(Sizing::Typed { .. }) | None => None,
    };
    if table.has("fit") || (fitted.is_some() && !table.has("width")) {
        return read_fitted(table, fitted);
    }
    if table.has("focus") {
        table.conflict(
            "focus",
            "says nothing without a fit",
            "write fit = \"fill\" beside it",
        );
        return None;
    }
    let (width, at) = match base.map(|base| base.sizing) {
        Some(Sizing::Typed { width, at, .. }) => (Some(width), at),
        Some(Sizing::Fitted { .. }) | None => (None, None),
    };
    let width = match width {
        Some(width) if !table.has("width") => Some(width),
        _ => table.required(
            "width",
            "width = \"2 1/4 in\" or fit = \"fill\"",
            Value::size,
        ),
    };
    let at = table.optional("at", Value::point).or(at);
    Some(Asked::Typed(width?, at))
}

fn read_fitted(table: &Table<'_>, base: Option<(Fit, Option<Focus>)>) -> Option<Asked> {
    for key in ["width", "at"] {
        if table.has(key) {
            table.conflict(
                key,
                "stands beside a fit, which it follows from",
                &format!("leave {key} out"),
            );
            return None;
        }
    }
    let fit = match base {
        Some((fit, _)) if !table.has("fit") => Some(fit),
        _ => table.optional("fit", |v| v.choice(FITS)),
    };
    let focus = match table.has("focus") {
        true => table.optional("focus", read_focus).map(Some),
        false => Some(base.and_then(|(_, focus)| focus)),
    };
    let (fit, focus) = (fit?, focus?);
    if fit == Fit::Whole && table.has("focus") {
        table.conflict(
            "focus",
            "says nothing where the whole picture is seen",
            "leave focus out, or write fit = \"fill\"",
        );
        return None;
    }
    Some(Asked::Fitted(fit, focus))
}

/// Reads `50 %, 30 %`: across and down.
fn read_focus(value: &Value<'_>) -> Option<Focus> {
    let text = value.raw_text()?;
    let share = |text: &str| {
        let number = text.trim().strip_suffix('%')?.trim().parse::<u32>().ok()?;
        (number <= 100).then_some(number)
    };
    let both = text
        .split_once(',')
        .and_then(|(across, down)| Some((share(across)?, share(down)?)));
    both.or_else(|| {
        let message = format!(
            "{} is no place in a picture",
            value.typed(&format!("\"{text}\""))
        );
        let hint = format!(
            "write {}, in percent across and down",
            value.typed("\"50 %, 30 %\"")
        );
        value.fail(code::NUMBER_SPELLING, message, hint)
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
    /// The picture of the file.
    pub(super) const fn source(&self) -> AssetIndex {
        self.source.0
    }

    /// Whether its size and place follow from its face or panel.
    pub(super) const fn is_fitted(&self) -> bool {
        matches!(self.sizing, Sizing::Fitted { .. })
    }

    /// Its width as typed.
    pub(super) const fn width(&self) -> Option<Size> {
        match self.sizing {
            Sizing::Typed { width, .. } => Some(width),
            Sizing::Fitted { .. } => None,
        }
    }

    /// Returns the box of the turned picture in the frame of a face or panel with these bounds; one that fills covers `reach`.
    pub(super) fn turned_box(&self, bounds: Rect, reach: Rect) -> Rect {
        match self.sizing {
            Sizing::Typed { width, height, at } => {
                let extent = self.turned(Extent::new(width.to_mm(), height.to_mm()));
                let (left, top) = match at {
                    Some((x, y)) => (x.to_mm(), y.to_mm()),
                    None => (
                        (bounds.width() - extent.width) / 2.0,
                        (bounds.height() - extent.height) / 2.0,
                    ),
                };
                Rect::new(left, top, left + extent.width, top + extent.height)
            }
            Sizing::Fitted { fit, focus } => {
                let frame = bounds.with_origin((0.0, 0.0));
                let target = match (fit, self.edge) {
                    (Fit::Fill, Edge::None) => reach,
                    (Fit::Fill, Edge::Mirror | Edge::Stretch) | (Fit::Whole, _) => frame,
                };
                let focus = self.turned_focus(focus.unwrap_or((50, 50)));
                fitted(
                    self.turned(Extent::new(1.0, self.aspect)),
                    target,
                    fit,
                    focus,
                )
            }
        }
    }

    fn turned(&self, extent: Extent) -> Extent {
        match self.quarters.is_multiple_of(2) {
            true => extent,
            false => Extent::new(extent.height, extent.width),
        }
    }

    /// The focus in the turned box, from 0 to 1.
    fn turned_focus(&self, (across, down): Focus) -> (f64, f64) {
        let (x, y) = self
            .dress
            .seen(f64::from(across) / 100.0, f64::from(down) / 100.0);
        match self.quarters {
            0 => (x, y),
            1 => (1.0 - y, x),
            2 => (1.0 - x, 1.0 - y),
            _ => (y, 1.0 - x),
        }
    }

    /// Returns the picture's box on a face or panel with these bounds.
    pub(super) fn place(&self, bounds: Rect, reach: Rect) -> PictureBox {
        let turned = self.turned_box(bounds, reach);
        let (width, height) = match self.sizing {
            Sizing::Typed { width, height, .. } => (width, height),
            Sizing::Fitted { .. } => {
                let own = self.turned(turned.size());
                (nearest(own.width), nearest(own.height))
            }
        };
        PictureBox {
            asset: self.asset,
            width,
            height,
            pose: Pose::in_quarters(self.quarters, turned),
        }
    }
}

/// A length up to a nanometre; at least that.
pub(super) fn nearest(length_mm: f64) -> Size {
    let length = Length::nearest_mm(length_mm).max(Length::from_nm(1));
    Size::new(length).expect("a nanometre or more")
}

/// Returns the box of a picture with these proportions in, or over, a target. The focus, from 0 to 1 in the picture, comes as near to
/// the middle of the target as a picture that covers it lets it.
fn fitted(proportions: Extent, target: Rect, fit: Fit, (x, y): (f64, f64)) -> Rect {
    let across = target.width() / proportions.width;
    let down = target.height() / proportions.height;
    match fit {
        Fit::Whole => {
            let extent = proportions * across.min(down);
            Rect::from_center_size(target.center(), extent)
        }
        Fit::Fill => {
            let extent = proportions * across.max(down);
            let start = |low: f64, high: f64, length: f64, focus: f64| {
                ((low + high) / 2.0 - focus * length)
                    .min(low)
                    .max(high - length)
            };
            let left = start(target.x0, target.x1, extent.width, x);
            let top = start(target.y0, target.y1, extent.height, y);
            Rect::from_origin_size((left, top), extent)
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
                source: (AssetIndex(0), 1.5),
                dress: Dress::default(),
                asset: AssetIndex(0),
                aspect: 1.5,
                sizing: Sizing::Typed {
                    width: size(40),
                    height: size(60),
                    at: Some((Length::from_mm(5), Length::from_mm(7))),
                },
                edge: Edge::None,
                quarters,
                is_repeated: false,
            };
            let face = Rect::new(0.0, 0.0, 100.0, 100.0);
            let unit = picture.place(face, face).unit_to_face();
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

    #[test]
    fn a_picture_that_fills_shows_its_focus_as_near_to_the_middle_as_it_can() {
        // 3 : 1 on 60 x 40 is 120 x 40, 60 too wide: its middle would cut off 30 at either side.
        let target = Rect::new(0.0, 0.0, 60.0, 40.0);
        let fill = |x: f64| fitted(Extent::new(3.0, 1.0), target, Fit::Fill, (x, 0.5)).x0;
        assert!((fill(0.5) + 30.0).abs() < 1e-12);
        // A focus at a third lies 40 from its left: 10 too far right of the middle is 10 to the left.
        assert!((fill(1.0 / 3.0) + 10.0).abs() < 1e-12);
        // At either end there is nothing more to show.
        assert_eq!((fill(0.0), fill(1.0)), (0.0, -60.0));
        // Whole it is 60 x 20, in the middle.
        let whole = fitted(Extent::new(3.0, 1.0), target, Fit::Whole, (0.0, 0.0));
        assert_eq!(whole, Rect::new(0.0, 10.0, 60.0, 30.0));
    }
}
