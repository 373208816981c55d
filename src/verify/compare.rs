//! Comparing one planned path with one found path, and saying what is wrong in the maker's words.

use kurbo::{BezPath, Point, Rect, Vec2};

use super::deviation::{Deviation, deviation};
use super::motion::{Cause, Motion};
use super::trace::{between, bounds, box_distance};
use super::verdict::{Finding, Tally};
use crate::math::VERIFY_MM;

/// A path of the plan, in the frame of the file that should hold it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct PlannedPath {
    /// The plan's id of the operation, tick or, for artwork, the piece.
    pub(super) id: String,
    /// What findings call it.
    pub(super) name: String,
    /// What is done or drawn there: `crease`, `cut`, `tick`, `artwork`.
    pub(super) kind: String,
    /// Where.
    pub(super) path: BezPath,
}

/// Counts the comparison of `planned` with `found` and notes a finding if they differ.
///
/// `others` are the planned paths that `found` may have been mixed up with.
pub(super) fn check_path(
    tally: &mut Tally,
    planned: &PlannedPath,
    found: &BezPath,
    others: &[PlannedPath],
) {
    let deviation = deviation(&planned.path, found);
    let is_within = tally.measure(deviation.distance_mm.unwrap_or(0.0));
    if let Some((planned_mm, found_mm)) = deviation.lengths_mm {
        let what = format!("{} is drawn twice or with gaps, length", planned.name);
        let finding = Finding::numbers("verify.shape", &what, mm(planned_mm), mm(found_mm));
        tally.add(finding.about(&planned.id));
    } else if deviation.distance_mm.is_none() {
        tally.add(incomparable(planned, found));
    } else if !is_within {
        let finding = mixed_up(planned, found, others)
            .unwrap_or_else(|| explained(&deviation, planned, found));
        tally.add(finding.off_by(deviation.distance_mm.unwrap_or(f64::MAX)));
    }
}

/// A planned path that is not in the file.
pub(super) fn missing(planned: &PlannedPath) -> Finding {
    let at = bounds(&planned.path).unwrap_or_default();
    let what = format!("{} is missing, top left corner", planned.name);
    Finding::numbers("verify.missing", &what, point(at.origin()), "nothing").about(&planned.id)
}

fn incomparable(planned: &PlannedPath, found: &BezPath) -> Finding {
    let (p, f) = (bounds(&planned.path), bounds(found));
    let what = format!("{} has another shape, size", planned.name);
    Finding::numbers("verify.shape", &what, size_of(p), size_of(f)).about(&planned.id)
}

/// Finds the other planned path of the same kind that lies where this one was found.
fn mixed_up(planned: &PlannedPath, found: &BezPath, others: &[PlannedPath]) -> Option<Finding> {
    let found_box = bounds(found)?;
    let other = others.iter().find(|other| {
        other.name != planned.name
            && other.kind == planned.kind
            && bounds(&other.path).is_some_and(|b| box_distance(b, found_box) <= VERIFY_MM)
            && deviation(&other.path, found)
                .distance_mm
                .is_some_and(|mm| mm <= VERIFY_MM)
    })?;
    let what = format!("{} lies where {} is planned", planned.name, other.name);
    let at = |path: &BezPath| point(bounds(path).unwrap_or_default().origin());
    Some(Finding::numbers("verify.swapped", &what, at(&planned.path), at(found)).about(&planned.id))
}

fn explained(deviation: &Deviation, planned: &PlannedPath, found: &BezPath) -> Finding {
    let (Some(planned_box), Some(found_box)) = (bounds(&planned.path), bounds(found)) else {
        return incomparable(planned, found);
    };
    let pairs = if deviation.pairs.is_empty() {
        box_corners(planned_box)
            .into_iter()
            .zip(box_corners(found_box))
            .collect()
    } else {
        deviation.pairs.clone()
    };
    difference(&planned.name, &pairs, planned_box, found_box).about(&planned.id)
}

/// Says how found points differ from planned ones; the boxes give the numbers.
pub(super) fn difference(
    what: &str,
    pairs: &[(Point, Point)],
    planned: Rect,
    found: Rect,
) -> Finding {
    let motion = Motion::fit(pairs);
    match motion.map(|motion| (motion.cause(), motion)) {
        Some((Cause::Moved, motion)) => {
            let what = format!("{what} is moved by {}, top left corner", way(motion.shift));
            Finding::numbers(
                "verify.moved",
                &what,
                point(planned.origin()),
                point(found.origin()),
            )
        }
        Some((Cause::Scaled, motion)) => {
            let what = format!("{what} is scaled to {:.4} %, size", 100.0 * motion.scale);
            Finding::numbers(
                "verify.scaled",
                &what,
                size_of(Some(planned)),
                size_of(Some(found)),
            )
        }
        Some((Cause::Turned, motion)) => {
            let turn = format!("{:.4} deg", motion.turn_deg.abs());
            let side = if motion.turn_deg < 0.0 {
                "anticlockwise"
            } else {
                "clockwise"
            };
            let what = format!("{what} is turned {side}");
            Finding::numbers("verify.turned", &what, "0 deg", turn)
        }
        Some((Cause::Mirrored, _)) => {
            Finding::numbers("verify.mirrored", what, "as seen", "mirrored")
        }
        None => {
            let (p, f) = worst(pairs);
            let what = format!("{what} has another shape, point");
            Finding::numbers("verify.shape", &what, point(p), point(f))
        }
    }
}

fn worst(pairs: &[(Point, Point)]) -> (Point, Point) {
    let far = |pair: &(Point, Point)| between(pair.0, pair.1);
    pairs
        .iter()
        .copied()
        .max_by(|a, b| far(a).total_cmp(&far(b)))
        .unwrap_or_default()
}

fn box_corners(b: Rect) -> [Point; 4] {
    [(b.x0, b.y0), (b.x1, b.y0), (b.x1, b.y1), (b.x0, b.y1)].map(Point::from)
}

/// A length as findings spell it.
pub(super) fn mm(length_mm: f64) -> String {
    format!("{length_mm:.4} mm")
}

/// A point as findings spell it.
pub(super) fn point(p: Point) -> String {
    format!("x {:.4}, y {:.4} mm", p.x, p.y)
}

/// A width and height as findings spell it.
pub(super) fn size(width_mm: f64, height_mm: f64) -> String {
    format!("{width_mm:.4} x {height_mm:.4} mm")
}

fn size_of(b: Option<Rect>) -> String {
    b.map_or_else(|| "nothing".to_owned(), |b| size(b.width(), b.height()))
}

fn way(shift: Vec2) -> String {
    let side = if shift.x < 0.0 { "left" } else { "right" };
    let height = if shift.y < 0.0 { "up" } else { "down" };
    format!(
        "{:.4} mm {side} and {:.4} mm {height}",
        shift.x.abs(),
        shift.y.abs()
    )
}
