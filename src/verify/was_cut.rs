//! Where a machine cuts what a cut file asks for, by the cutter's profile as the plan states it.
//!
//! As with printed pages, what was found in the file is moved to where it is cut before it is compared with the plan.

use kurbo::{Affine, Point};

use super::compare::point;
use super::plan::PlannedSheet;
use super::reference::{BOTTOM_RIGHT, TOP_LEFT};
use super::svg::CutFound;
use super::trace::{between, bounds};
use super::verdict::{Finding, Tally};
use crate::math::VERIFY_MM;
use crate::plan::file::CutterEntry;

/// Moves all that is cut, and the marks, to where the profile says that it is cut. The reference lines and the edge of an offcut show
/// where the file and the paper lie and stay.
pub(super) fn cut(found: &mut CutFound, cutter: Option<&CutterEntry>, sheet: &PlannedSheet<'_>) {
    let Some(cutter) = cutter else { return };
    let map = Affine::new(cutter.cut_from_file);
    let edge = sheet.edge.as_ref().map(|edge| edge.id.as_str());
    for path in &mut found.paths {
        let id = path.id.as_deref();
        let stays =
            id == Some(TOP_LEFT) || id == Some(BOTTOM_RIGHT) || (id.is_some() && id == edge);
        if !stays {
            path.path.apply_affine(map);
        }
    }
}

/// Checks that everything lies within the file's size: some programs place a drawing by its bounds.
pub(super) fn check_extent(tally: &mut Tally, found: &CutFound) {
    for path in &found.paths {
        let drawn = bounds(&path.path).unwrap_or_default();
        let beyond_mm = (-drawn.x0)
            .max(-drawn.y0)
            .max(drawn.x1 - found.width_mm)
            .max(drawn.y1 - found.height_mm);
        tally.count();
        if beyond_mm > VERIFY_MM {
            let id = path.id.as_deref().unwrap_or("a path without an id");
            let what = format!("{id} leaves the file's size by {beyond_mm:.4} mm, top left corner");
            let finding =
                Finding::numbers("verify.page-box", &what, "inside", point(drawn.origin()));
            tally.add(finding.about(id).off_by(beyond_mm));
        }
    }
}

/// Checks that the map of each sheet to its cut file undoes what the profile says.
pub(super) fn check_plan(
    tally: &mut Tally,
    cutter: Option<&CutterEntry>,
    sheets: &[PlannedSheet<'_>],
) {
    let Some(cutter) = cutter else { return };
    let cut_from_file = Affine::new(cutter.cut_from_file);
    for sheet in sheets {
        let Some(stated) = sheet.entry.cut_from_sheet else {
            continue;
        };
        let paper = sheet.paper();
        let corners = [
            paper.origin(),
            Point::new(paper.x1, paper.y0),
            Point::new(paper.x1, paper.y1),
            Point::new(paper.x0, paper.y1),
        ];
        for corner in corners {
            let planned = sheet.file_from_sheet() * corner;
            let cut = cut_from_file * (Affine::new(stated) * corner);
            let off_mm = between(planned, cut);
            if !tally.measure(off_mm) {
                let what = format!(
                    "the map of sheet {} to its cut file does not undo what the profile says, corner of the sheet",
                    sheet.number
                );
                let finding = Finding::numbers("verify.plan", &what, point(planned), point(cut));
                return tally.add(finding.off_by(off_mm));
            }
        }
    }
}
