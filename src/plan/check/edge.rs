//! Whether pieces lie on an offcut that is no rectangle, and as far from its edge as they shall.

use kurbo::{BezPath, Rect, Shape};

use super::super::Sheet;
use super::ALLOWED_MM;
use super::places::Piece;
use crate::geometry::Outline;
use crate::geometry::distance::distance_mm;
use crate::geometry::overlap::overlaps;
use crate::math::COINCIDENT_MM;
use crate::project::Project;

/// Width of the frame around the offcut that stands for all that is not paper.
const FRAME_MM: f64 = 10.0;

/// A rectangle's path has no curves to approximate.
const EXACT: f64 = 0.1;

/// Pieces lie on the paper and keep the gap from its edge; nothing is printed on it.
pub(super) fn inside(project: &Project, sheet: &Sheet, pieces: &[Piece<'_>]) -> Vec<String> {
    let Some(outline) = project.stocks[sheet.stock].edge_seen(sheet.front_is) else {
        return Vec::new();
    };
    let gap_mm = project.job.gap.to_mm();
    let beside = beside(&outline);
    let mut found = Vec::new();
    for piece in pieces {
        for absent in &beside {
            let is_over = overlaps(&piece.outline, absent, ALLOWED_MM);
            let far_mm = distance_mm(&piece.outline, absent, ALLOWED_MM / 4.0);
            if is_over || far_mm < gap_mm - ALLOWED_MM {
                found.push(format!(
                    "{} is {far_mm:.4} mm from the edge of the offcut, not {gap_mm:.4} mm",
                    piece.id
                ));
            }
        }
    }
    if sheet.front.is_some() || sheet.back.is_some() {
        found.push("an offcut with an outline is printed".to_owned());
    }
    found
}

/// What is not paper: a frame around the outline, and its holes.
pub(in super::super) fn beside(outline: &Outline) -> Vec<Outline> {
    let around: Rect = outline.bounds().inflate(FRAME_MM, FRAME_MM);
    let mut frame = around.to_path(EXACT);
    frame.extend(outline.outer());
    let whole = |path: &BezPath| {
        Outline::new(path, COINCIDENT_MM).expect("rings of an outline are simple and apart")
    };
    let mut absent = vec![whole(&frame)];
    absent.extend(outline.holes().iter().map(whole));
    absent
}
