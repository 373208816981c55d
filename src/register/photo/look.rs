//! Marks and edges found in the photo itself.

use kurbo::{Point, Size};

use super::{KnownSheet, PhotoMark, PhotoMarks, PhotoSeen, judge, measure};
use crate::diagnostic::{Diagnostic, Warned};
use crate::plan::Mark;
use crate::scan::{
    EdgeFault, Identified, Kind, Picture, ScaleHint, find_targets, identify, sheet_edges,
};

/// Share of the picture's long side that the sheet's long side takes, or thereabouts; half and one and a half times as much is found, too.
const FILLED: f64 = 0.8;

/// Finds the marks of a sheet in a photo, and measures where they are on the sheet. The marks are given where they were planned, seen as the
/// face that was photographed lies, from the sheet's top left corner.
///
/// Returns their ids in the order of [`PhotoMarks::on_sheet`] as well.
///
/// # Errors
///
/// The marks or the edges cannot be found, or [`measure`] refuses.
pub fn look(
    picture: &Picture,
    marks: &[Mark],
    sheet: KnownSheet,
) -> Result<(Vec<String>, Warned<PhotoMarks>), Diagnostic> {
    let size_px = Size::new(
        f64::from(picture.width_px()),
        f64::from(picture.height_px()),
    );
    let px_per_mm = FILLED * size_px.max_side() / sheet.size.max_side();
    let targets = find_targets(picture, ScaleHint::PxPerMm(px_per_mm));
    let found =
        identify(&targets, marks, Kind::Photo).map_err(|refusal| refusal.to_diagnostic())?;
    let seen = PhotoSeen {
        picture_px: size_px,
        marks: found_marks(&found),
        edges: edges(picture, &found, sheet.size)?,
    };
    let ids = found.found.iter().map(|one| one.mark.id.clone()).collect();
    Ok((ids, measure(&seen, sheet)?))
}

fn found_marks(found: &Identified) -> Vec<PhotoMark> {
    let px_per_mm = found.px_per_mm();
    let marks = found.found.iter().map(|one| PhotoMark {
        plan: one.mark.centre,
        diameter_mm: one.mark.diameter_mm,
        centre_px: one.target.centre,
        sigma_px: one.sigma_mm * px_per_mm,
    });
    marks.collect()
}

/// Points of all four edges, or which of them are not in the picture.
fn edges(
    picture: &Picture,
    found: &Identified,
    sheet: Size,
) -> Result<Vec<Vec<Point>>, Diagnostic> {
    let all = sheet_edges(picture, &found.picture_from_page, sheet, Kind::Photo).sides;
    let is_outside = |fault: Option<EdgeFault>| match fault {
        Some(EdgeFault::Outside) => true,
        Some(EdgeFault::Unseen | EdgeFault::Scattered { .. }) | None => false,
    };
    if all.iter().any(|edge| is_outside(edge.fault)) {
        return Err(judge::cropped());
    }
    Ok(all
        .into_iter()
        .map(|edge| {
            if edge.fault.is_none() {
                edge.points
            } else {
                Vec::new()
            }
        })
        .collect())
}
