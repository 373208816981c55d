//! Whether offcuts that are to be kept are whole paper.

use kurbo::Rect;

use super::super::trimmer::Holds;
use super::super::{Leftover, Sheet};
use super::ALLOWED_MM;
use super::edge::beside;
use super::places::Piece;
use crate::geometry::distance::distance_mm;
use crate::geometry::overlap::overlaps;
use crate::geometry::{Outline, shape};
use crate::project::Project;

/// Offcuts of a sheet lie on its paper, keep the gap from every piece, and are clear of each other and of bleed.
pub(super) fn whole(
    project: &Project,
    sheet: &Sheet,
    leftovers: &[&Leftover],
    pieces: &[Piece<'_>],
) -> Vec<String> {
    let gap_mm = project.job.gap.to_mm();
    let paper = Rect::new(0.0, 0.0, sheet.width_mm, sheet.height_mm);
    let paper = paper.inflate(ALLOWED_MM, ALLOWED_MM);
    let edge = project.stocks[sheet.stock].edge_seen(sheet.front_is);
    let absent = edge.map_or(Vec::new(), |edge| beside(&edge));
    let mut found = Vec::new();
    for (i, leftover) in leftovers.iter().enumerate() {
        let offcut = outline_of(leftover.area);
        let mut expect = |is_clear: bool, of: &str| {
            if !is_clear {
                let (w, h) = (leftover.area.width(), leftover.area.height());
                found.push(format!(
                    "the offcut of {w:.3} x {h:.3} mm is not clear of {of}"
                ));
            }
        };
        expect(paper.contains_rect(leftover.area), "the sheet's edge");
        for absent in &absent {
            expect(!overlaps(&offcut, absent, ALLOWED_MM), "the paper's edge");
        }
        for other in &leftovers[..i] {
            expect(
                !overlaps(&offcut, &outline_of(other.area), ALLOWED_MM),
                "another offcut",
            );
        }
        if let Some(list) = &sheet.cut_list {
            let mut waste = list.parts.iter().filter(|p| p.holds == Holds::Waste);
            let is_whole = waste.any(|part| {
                let room = part.area.inflate(ALLOWED_MM, ALLOWED_MM);
                room.contains_rect(leftover.area)
            });
            expect(is_whole, "the cuts");
        }
        for piece in pieces {
            let is_apart = !overlaps(&offcut, &piece.outline, ALLOWED_MM)
                && distance_mm(&offcut, &piece.outline, ALLOWED_MM / 4.0) >= gap_mm - ALLOWED_MM;
            let is_clean = !piece
                .with_bleed
                .iter()
                .any(|o| overlaps(&offcut, o, ALLOWED_MM));
            expect(is_apart && is_clean, piece.id);
        }
    }
    found
}

fn outline_of(area: Rect) -> Outline {
    shape::rectangle_over(area).expect("an offcut has a size")
}
