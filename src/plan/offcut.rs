//! What can be used of an offcut that is no rectangle.
//!
//! Its edge was measured by hand, and a blade that runs along it tears the paper, so pieces keep the job's gap from it, as from each
//! other. A machine uses all the rest. Whoever works with a trimmer first cuts the offcut to the largest upright rectangle in it.

use kurbo::{PathEl, Point, Rect};

use super::demand::Kind;
use super::place::{Area, Shape, nm_above, nm_below};
use crate::geometry::offset::offset;
use crate::geometry::{FreeSpace, Outline, common, shape};
use crate::length::Length;
use crate::math::FLATTEN_MM;
use crate::project::{CutBy, Project};

/// Grid of the largest rectangle in an offcut, between its corners.
const STEP_MM: f64 = 1.0;

/// Outlines of more corners are curves, whose corners are no places to cut from.
const MOST_CORNERS: usize = 100;

/// Where padded parts may lie, in the sheet frame.
#[derive(Debug, Clone)]
pub(super) struct Room {
    pub(super) area: Area,
    /// If that is not the whole area.
    pub(super) outline: Option<Shape>,
}

/// Returns where padded parts may lie on the offcut `stock`, whose box leaves them `limit`.
pub(super) fn room(project: &Project, outline: &Outline, kinds: &[&Kind], limit: Area) -> Room {
    let slack = kinds.iter().map(|k| k.slack).min().unwrap_or(Length::ZERO);
    let from_edge_mm = (project.job.gap - slack).to_mm() + doubt_mm(outline);
    let inward = offset(outline, -from_edge_mm);
    let limit_outline = shape::rectangle_over(limit.to_rect_mm()).ok();
    let parts = inward
        .iter()
        .flat_map(|part| limit_outline.iter().flat_map(|l| common(part, l)));
    let largest = parts.max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()));
    let room = largest.and_then(|part| match project.job.cut_by {
        CutBy::Machine => Some(Room {
            area: inside(part.bounds()),
            outline: Some(to_shape(&part)),
        }),
        CutBy::Trimmer => largest_rectangle(&part).map(|rectangle| Room {
            area: inside(rectangle),
            outline: None,
        }),
    });
    room.unwrap_or(Room {
        area: Area::from_edges(limit.x_nm, limit.y_nm, limit.x_nm, limit.y_nm),
        outline: None,
    })
}

/// By how much straight sides may run outside a curved edge that they stand in for.
fn doubt_mm(outline: &Outline) -> f64 {
    let is_curve = |element: &PathEl| matches!(element, PathEl::CurveTo(..) | PathEl::QuadTo(..));
    if outline.path().elements().iter().any(is_curve) {
        // Once when it is moved, once when it is cut to its limits.
        2.0 * FLATTEN_MM
    } else {
        0.0
    }
}

fn largest_rectangle(outline: &Outline) -> Option<Rect> {
    let corners = outline.flattened(FLATTEN_MM).concat();
    let exact: Vec<Rect> = if corners.len() <= MOST_CORNERS {
        corners.iter().map(|p| Rect::from_points(*p, *p)).collect()
    } else {
        Vec::new()
    };
    let mut space = FreeSpace::new(outline.bounds(), &exact, STEP_MM);
    space.take_outside(outline);
    space.largest((0.0, 0.0))
}

fn inside(bounds: Rect) -> Area {
    Area::from_edges(
        nm_above(bounds.x0),
        nm_above(bounds.y0),
        nm_below(bounds.x1),
        nm_below(bounds.y1),
    )
}

fn to_shape(outline: &Outline) -> Shape {
    let corner = |p: &Point| [Length::nearest_mm(p.x).nm(), Length::nearest_mm(p.y).nm()];
    let mut rings = outline
        .flattened(FLATTEN_MM)
        .into_iter()
        .map(|ring| ring.iter().map(corner).collect());
    Shape {
        outer: rings.next().expect("an outline has an outer ring"),
        holes: rings.collect(),
    }
}
