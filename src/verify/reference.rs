//! Compares what a cut file holds besides cuts: register marks, the edge of an offcut, and the two lines that fix its extent.

use kurbo::{Affine, Point, Rect};

use super::compare::{PlannedPath, check_path, missing, mm, point};
use super::cut_file::extra;
use super::marks::check_mark;
use super::plan::PlannedSheet;
use super::svg::CutFound;
use super::trace::{between, bounds};
use super::verdict::{Finding, Tally};

/// Name of the layer that is not cut.
pub(super) const REFERENCE: &str = "reference";

/// Ids of the lines in opposite corners.
pub(super) const TOP_LEFT: &str = "ref-top-left";
pub(super) const BOTTOM_RIGHT: &str = "ref-bottom-right";

/// The box of the first path with this XML id.
fn box_of(found: &CutFound, id: &str) -> Option<Rect> {
    let path = found
        .paths
        .iter()
        .find(|path| path.id.as_deref() == Some(id))?;
    bounds(&path.path)
}

/// Compares the marks, the edge and the reference lines.
pub(super) fn check(tally: &mut Tally, found: &CutFound, sheet: &PlannedSheet<'_>) {
    for mark in &sheet.entry.marks {
        check_mark(
            tally,
            mark,
            sheet.file_from_sheet(),
            box_of(found, &mark.id),
        );
    }
    if let Some(edge) = &sheet.edge {
        check_edge(tally, found, edge, sheet.file_from_sheet());
    }
    let extent = Point::new(found.width_mm, found.height_mm);
    check_corner(
        tally,
        TOP_LEFT,
        Point::ORIGIN,
        box_of(found, TOP_LEFT).map(|line| line.origin()),
    );
    let corner = box_of(found, BOTTOM_RIGHT).map(|line| Point::new(line.x1, line.y1));
    check_corner(tally, BOTTOM_RIGHT, extent, corner);
    for path in found
        .paths
        .iter()
        .filter(|path| path.layer == Some(REFERENCE))
    {
        let id = path.id.as_deref().unwrap_or_default();
        let is_mark = sheet.entry.marks.iter().any(|mark| mark.id == id);
        let is_edge = sheet.edge.as_ref().is_some_and(|edge| edge.id == id);
        if !is_mark && !is_edge && id != TOP_LEFT && id != BOTTOM_RIGHT {
            tally.add(extra(path));
        }
    }
}

fn check_edge(tally: &mut Tally, found: &CutFound, edge: &PlannedPath, file_from_sheet: Affine) {
    let planned = PlannedPath {
        path: file_from_sheet * &edge.path,
        ..edge.clone()
    };
    let mut drawn = found
        .paths
        .iter()
        .filter(|path| path.id.as_deref() == Some(planned.id.as_str()));
    match (drawn.next(), drawn.next()) {
        (None, _) => tally.add(missing(&planned)),
        (Some(path), None) => check_path(tally, &planned, &path.path, &[]),
        (Some(path), Some(_)) => tally.add(extra(path)),
    }
}

/// A reference line must touch its corner of the file, since some programs place a drawing by its bounds.
fn check_corner(tally: &mut Tally, name: &str, planned: Point, found: Option<Point>) {
    let Some(found) = found else {
        let message = format!("the reference line {name} is missing");
        return tally.add(Finding::new("verify.missing", message).about(name));
    };
    let off_mm = between(planned, found);
    if !tally.measure(off_mm) {
        let what = format!(
            "the reference line {name} is off its corner by {}",
            mm(off_mm)
        );
        let finding = Finding::numbers("verify.moved", &what, point(planned), point(found));
        tally.add(finding.about(name).off_by(off_mm));
    }
}
