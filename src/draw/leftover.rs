//! Offcuts worth keeping, as pictures and proofs show them: a dashed frame with their size.

use kurbo::{Point, Rect, Shape};

use super::text::{Align, TextLine};
use crate::drawing::{Colour, Drawing, Item, Paint, Stroke};
use crate::length::Length;
use crate::plan::Leftover;
use crate::project::Project;

const INK: Colour = Colour::rgb(0x7a, 0x74, 0x69);
const LINE_MM: f64 = 0.2;
const DASHES_MM: [f64; 2] = [1.0, 1.6];
const TEXT_MM: f64 = 3.0;

/// Room between the frame and what is inside it.
const INSET_MM: f64 = 2.0;

/// A rectangle's path has no curves to approximate.
const EXACT: f64 = 0.1;

/// Returns the frames in the sheet frame; a little inside, so that they are told from cuts.
pub(super) fn frames<'a>(leftovers: impl Iterator<Item = &'a Leftover>) -> Drawing {
    let frame = |leftover: &Leftover| Item::Stroke {
        path: framed(leftover.area).to_path(EXACT),
        stroke: Stroke {
            dash_mm: DASHES_MM.to_vec(),
            ..Stroke::solid(LINE_MM)
        },
        paint: Paint::flat(INK),
    };
    Drawing {
        items: leftovers.map(frame).collect(),
    }
}

/// Returns the sizes, each in the top left corner of its frame as `seen` brings it into view.
pub(super) fn sizes<'a>(
    project: &Project,
    leftovers: impl Iterator<Item = &'a Leftover>,
    seen: kurbo::Affine,
) -> Drawing {
    let show = |mm: f64| Length::nearest_mm(mm).display(project.job.lengths);
    let line = |leftover: &Leftover| {
        let (width_mm, height_mm) = (leftover.area.width(), leftover.area.height());
        let text = format!("offcut {} x {}", show(width_mm), show(height_mm));
        let frame = seen.transform_rect_bbox(framed(leftover.area));
        let start = Point::new(frame.x0 + INSET_MM, frame.y0 + INSET_MM + TEXT_MM);
        TextLine::shortened(&text, TEXT_MM, frame.width() - 2.0 * INSET_MM).at(
            start,
            Align::Left,
            INK,
        )
    };
    Drawing {
        items: leftovers.map(line).collect(),
    }
}

fn framed(area: Rect) -> Rect {
    area.inflate(-INSET_MM / 2.0, -INSET_MM / 2.0)
}
