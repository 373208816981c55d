//! A machine cuts: from the sheet's corner, or brought into register by the marks.

use kurbo::{Point, Size};

use super::assumed;
use super::variance::{Variance, square_of};
use super::{CutWay, Misfit, Share, Source, is_cut, printed_faces};
use crate::fit::{self, MapFit, Pair};
use crate::math::FLATTEN_MM;
use crate::plan::Sheet;
use crate::plan::reach::known;
use crate::project::{CutterCalibration, Face, Project};

/// Returns the ways of cutting: by the marks only where every sheet with something printed to cut has some.
pub(super) fn ways(project: &Project, sheets: &[Sheet]) -> Vec<Misfit> {
    let mut corner: Option<Misfit> = None;
    let mut marks: Option<Misfit> = None;
    let mut all_marked = true;
    for sheet in sheets {
        let register = register(sheet);
        for (face, at) in printed_points(project, sheet) {
            worst(&mut corner, from_corner(project, sheet, face, at));
            match &register {
                Some(fit) => worst(&mut marks, by_marks(project, sheet, fit, (face, at))),
                None => all_marked = false,
            }
        }
    }
    let marks = marks.filter(|_| all_marked);
    corner.into_iter().chain(marks).collect()
}

/// The map that the marks of a sheet give when they are read by eye; `None` without marks.
fn register(sheet: &Sheet) -> Option<MapFit> {
    let pairs = sheet
        .marks
        .iter()
        .map(|mark| Pair::new(mark.centre, mark.centre).with_sigma(assumed::MARK_SIGMA_MM));
    fit::affine(&pairs.collect::<Vec<_>>()).ok()
}

/// The corners of everything that is printed and cut, in the sheet frame. Errors grow outwards, so the worst place is one of them.
fn printed_points(project: &Project, sheet: &Sheet) -> Vec<(Face, Point)> {
    let mut found = Vec::new();
    for (index, placement) in sheet.placements.iter().enumerate() {
        let piece = &project.pieces[placement.piece];
        if !is_cut(project, piece) {
            continue;
        }
        let lies = piece.outline.transformed(placement.pose.to_affine());
        let corners: Vec<Point> = lies.flattened(FLATTEN_MM).into_iter().flatten().collect();
        for face in printed_faces(sheet, index) {
            found.extend(corners.iter().map(|corner| (face, *corner)));
        }
    }
    found
}

fn worst(kept: &mut Option<Misfit>, other: Misfit) {
    if kept
        .as_ref()
        .is_none_or(|kept| kept.within_mm < other.within_mm)
    {
        *kept = Some(other);
    }
}

fn misfit(way: CutWay, parts: &[(Source, Variance, bool)]) -> Misfit {
    let all = parts
        .iter()
        .fold(Variance::default(), |sum, (_, part, _)| sum + *part);
    let shares = parts.iter().map(|(of, part, is_assumed)| Share {
        of: *of,
        within_mm: part.r95_mm(),
        is_assumed: *is_assumed,
    });
    Misfit {
        way,
        within_mm: all.r95_mm(),
        shares: shares.collect(),
    }
}

fn from_corner(project: &Project, sheet: &Sheet, face: Face, at: Point) -> Misfit {
    let size = Size::new(sheet.width_mm, sheet.height_mm);
    let (printer, is_assumed) = printer(project, size, face, at);
    // What is assumed of a printer nothing is known of holds for each sheet, however it is fed.
    let feed_mm = if is_assumed { 0.0 } else { assumed::FEED_MM };
    let loading = Variance::within(feed_mm, feed_mm) + laying(size, at);
    let (start, repeat) = cutter(project, at);
    misfit(
        CutWay::FromCorner,
        &[
            (Source::Printer, printer, is_assumed),
            (Source::Loading, loading, true),
            (
                Source::Cutter,
                start + repeat,
                project.cutter.calibration.is_none(),
            ),
        ],
    )
}

fn by_marks(
    project: &Project,
    sheet: &Sheet,
    register: &MapFit,
    (face, at): (Face, Point),
) -> Misfit {
    let marks = Variance::new(register.unit_spread.variances_mm2(at));
    let (_, repeat) = cutter(project, at);
    let is_assumed = project.cutter.calibration.is_none();
    let mut parts = vec![
        (Source::Marks, marks, true),
        (Source::Cutter, repeat, is_assumed),
    ];
    if face == Face::Back && sheet.front.is_some() {
        let size = Size::new(sheet.width_mm, sheet.height_mm);
        let (sides, is_assumed) = between_sides(project, size, at);
        parts.insert(0, (Source::Printer, sides, is_assumed));
    }
    misfit(CutWay::ByMarks, &parts)
}

/// What is not known of the back against the front, which bears the marks.
fn between_sides(project: &Project, size: Size, at: Point) -> (Variance, bool) {
    let is_known = |face| known(project, size, face).map().is_some();
    if is_known(Face::Front) && is_known(Face::Back) {
        let [(front, _), (back, _)] =
            [Face::Front, Face::Back].map(|face| printer(project, size, face, at));
        return (front + back, false);
    }
    let (dx, dy) = (at.x - size.width / 2.0, at.y - size.height / 2.0);
    let shifted = Variance::within(assumed::SIDES_MM, assumed::SIDES_MM);
    let turned = Variance::within(assumed::SIDES_RAD * dy, assumed::SIDES_RAD * dx);
    let scaled = Variance::within(assumed::SIDES_SCALE * dx, assumed::SIDES_SCALE * dy);
    (shifted + turned + scaled, true)
}

/// What is not known of where the printer puts a point, and whether that is assumed.
pub(super) fn printer(project: &Project, size: Size, face: Face, at: Point) -> (Variance, bool) {
    if let Some(map) = known(project, size, face).map() {
        let on_page = map.sheet_from_page.inverse() * at;
        return (Variance::new(map.spread.variances_mm2(on_page)), false);
    }
    // Paper guides centre the sheet (common practice, no source), so that a scale grows from its middle. Sheets are fed by their
    // short edge.
    let (dx, dy) = (at.x - size.width / 2.0, at.y - size.height / 2.0);
    let scaled = Variance::within(assumed::PRINT_SCALE * dx, assumed::PRINT_SCALE * dy);
    let put = if size.width > size.height {
        Variance::within(assumed::PRINT_ALONG_MM, assumed::PRINT_ACROSS_MM)
    } else {
        Variance::within(assumed::PRINT_ACROSS_MM, assumed::PRINT_ALONG_MM)
    };
    (scaled + put, true)
}

/// A sheet laid against its corner: shifted, and turned by what its longer edge may lie askew.
fn laying(size: Size, at: Point) -> Variance {
    let square = square_of(assumed::LAYING_MM);
    let length_mm = size.width.max(size.height);
    let (x, y) = (at.x / length_mm, at.y / length_mm);
    Variance {
        x: square * (1.0 + y * y),
        y: square * (1.0 + x * x),
    }
}

/// Where the machine starts, and how it differs from one cut to the next.
fn cutter(project: &Project, at: Point) -> (Variance, Variance) {
    let repeat = Variance::of_sigma(repeat_mm(project.cutter.calibration.as_ref()));
    let start = match &project.cutter.calibration {
        Some(known) => Variance::new(known.spread.variances_mm2(at)),
        None => Variance::within(assumed::START_MM, assumed::START_MM),
    };
    (start, repeat)
}

/// The standard deviation of one coordinate from one cut to the next.
pub(super) fn repeat_mm(calibration: Option<&CutterCalibration>) -> f64 {
    calibration.map_or(assumed::REPEAT_SIGMA_MM, |known| known.repeat_mm)
}

#[cfg(test)]
mod tests {
    use serde_json::Value;

    use super::*;

    const VECTORS: &str = include_str!("../../../tests/data/registration-vectors.json");

    fn number(value: &Value) -> f64 {
        value.as_f64().unwrap()
    }

    fn points(value: &Value) -> Vec<Point> {
        let list = value.as_array().unwrap().iter();
        list.map(|p| Point::new(number(&p[0]), number(&p[1])))
            .collect()
    }

    /// Case `predict-affine-6` of the check values (numpy): six marks, each read to 0.05 mm, and a cutter of 0.10 mm.
    #[test]
    fn reading_the_marks_and_cutting_add_up_as_the_check_values_say() {
        let all: Value = serde_json::from_str(VECTORS).unwrap();
        let mut cases = all["cases"].as_array().unwrap().iter();
        let case = cases.find(|c| c["id"] == "predict-affine-6").unwrap();
        let marks = points(&case["nominal"]).into_iter();
        let pairs: Vec<Pair> = marks.map(|at| Pair::new(at, at).with_sigma(0.05)).collect();
        let register = fit::affine(&pairs).unwrap();
        let wanted = case["r95_with_cutter"].as_array().unwrap().iter();
        for (at, want) in points(&case["points"]).into_iter().zip(wanted) {
            let marks = Variance::new(register.unit_spread.variances_mm2(at));
            let parts = [
                (Source::Marks, marks, true),
                (Source::Cutter, Variance::of_sigma(0.10), true),
            ];
            let found = misfit(CutWay::ByMarks, &parts).within_mm;
            assert!((found - number(want)).abs() < 1e-6, "{found} {want}");
        }
    }

    /// By hand: at the far corner of a Letter sheet a turn moves x by 0.5 mm x 279.4 / 279.4 and y by 0.5 mm x 215.9 / 279.4.
    #[test]
    fn a_sheet_laid_askew_is_off_most_at_its_far_corner() {
        let letter = Size::new(215.9, 279.4);
        let near = laying(letter, Point::ORIGIN);
        assert!((near.x - square_of(0.5)).abs() < 1e-12 && (near.y - near.x).abs() < 1e-12);
        let far = laying(letter, Point::new(215.9, 279.4));
        assert!((far.x - square_of(0.5) - square_of(0.5)).abs() < 1e-12);
        assert!((far.y - square_of(0.5) - square_of(0.5 * 215.9 / 279.4)).abs() < 1e-12);
    }
}
