//! Compares register marks and ticks with the plan.

use kurbo::{Affine, Point, Rect, Shape};

use super::compare::{PlannedPath, check_path, missing, mm, point, size};
use super::page::{PageCheck, check_layer, check_whole};
use super::pdf::found::{Paint, Tagged};
use super::trace::between;
use super::verdict::{Finding, Tally};
use crate::plan::file::{MarkEntry, SheetEntry, TickEntry};

/// Which faces a page shows, and where.
#[derive(Debug, Clone, Copy)]
pub(super) struct OnPage<'a> {
    /// `front`, `back` or both.
    pub(super) faces: &'a [&'a str],
    /// The sheet frame to the page frame.
    pub(super) page_from_sheet: Affine,
}

/// Compares marks and ticks.
pub(super) fn check(
    tally: &mut Tally,
    page: &mut PageCheck<'_>,
    sheet: &SheetEntry,
    on_page: OnPage<'_>,
) {
    let marks = sheet
        .marks
        .iter()
        .filter(|mark| on_page.faces.contains(&mark.face.as_str()));
    for mark in marks {
        let found = page.take_one(tally, "mark", &mark.id);
        check_mark(
            tally,
            mark,
            on_page.page_from_sheet,
            found.and_then(Tagged::ink_box),
        );
        if let Some(found) = found {
            check_layer(tally, found, "Marks");
            check_whole(tally, found);
            check_quadrants(tally, mark, found, on_page.page_from_sheet);
        }
    }
    let ticks = sheet
        .ticks
        .iter()
        .filter(|tick| on_page.faces.contains(&tick.face.as_str()));
    let ticks: Vec<PlannedPath> = ticks
        .map(|tick| tick_path(tick, on_page.page_from_sheet))
        .collect();
    for tick in &ticks {
        let found = page.take_one(tally, "tick", &tick.id);
        check_tick(tally, tick, found.map(Tagged::strokes).as_ref(), &ticks);
        if let Some(found) = found {
            check_layer(tally, found, "Ticks");
            check_whole(tally, found);
        }
    }
}

/// Compares a mark with the box around what was found for it, in the file's frame.
pub(super) fn check_mark(
    tally: &mut Tally,
    mark: &MarkEntry,
    file_from_sheet: Affine,
    found: Option<Rect>,
) {
    let centre = file_from_sheet * Point::new(mark.x_mm, mark.y_mm);
    let Some(found) = found else {
        let what = format!("register mark {} is missing, centre", mark.id);
        return tally.add(
            Finding::numbers("verify.missing", &what, point(centre), "nothing").about(&mark.id),
        );
    };
    let off_mm = between(centre, found.center());
    if !tally.measure(off_mm) {
        let what = format!(
            "register mark {} is moved by {}, centre",
            mark.id,
            mm(off_mm)
        );
        let finding = Finding::numbers("verify.moved", &what, point(centre), point(found.center()));
        tally.add(finding.about(&mark.id).off_by(off_mm));
    }
    check_diameter(tally, mark, file_from_sheet, found);
}

fn check_diameter(tally: &mut Tally, mark: &MarkEntry, file_from_sheet: Affine, found: Rect) {
    // The box of a mapped circle is as wide as the map's row is long.
    let [a, b, c, d, ..] = file_from_sheet.as_coeffs();
    let width_mm = mark.diameter_mm * crate::math::hypot(a, c);
    let height_mm = mark.diameter_mm * crate::math::hypot(b, d);
    let off_mm = (found.width() - width_mm)
        .abs()
        .max((found.height() - height_mm).abs());
    if !tally.measure(off_mm) {
        let what = format!("register mark {} is scaled, size", mark.id);
        let (planned, found) = (
            size(width_mm, height_mm),
            size(found.width(), found.height()),
        );
        tally.add(
            Finding::numbers("verify.scaled", &what, planned, found)
                .about(&mark.id)
                .off_by(off_mm),
        );
    }
}

/// A tick as a path in the file's frame.
fn tick_path(tick: &TickEntry, file_from_sheet: Affine) -> PlannedPath {
    let at = |[x, y]: [f64; 2]| Point::new(x, y);
    let mut path = kurbo::BezPath::new();
    path.move_to(file_from_sheet * at(tick.from_mm));
    path.line_to(file_from_sheet * at(tick.to_mm));
    PlannedPath {
        id: tick.id.clone(),
        name: format!("{} tick {}", tick.kind, tick.id),
        kind: "tick".to_owned(),
        path,
    }
}

/// Compares a tick with the strokes found for it.
fn check_tick(
    tally: &mut Tally,
    planned: &PlannedPath,
    found: Option<&kurbo::BezPath>,
    all: &[PlannedPath],
) {
    match found {
        Some(found) => check_path(tally, planned, found, all),
        None => tally.add(missing(planned)),
    }
}

/// Share of a mark's radius, right and down, at which a quadrant is looked at: inside the ring and beside the cross.
const LOOK_AT: f64 = 0.28;

/// Quadrants clockwise as seen, the first one right of and below the centre.
const QUADRANTS: [(f64, f64); 4] = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];

/// The filled quadrants tell marks apart, whichever way the sheet lies.
fn check_quadrants(tally: &mut Tally, mark: &MarkEntry, found: &Tagged, page_from_sheet: Affine) {
    let reach_mm = LOOK_AT * mark.diameter_mm / 2.0;
    let is_filled = QUADRANTS.map(|(x, y)| {
        let at = page_from_sheet * Point::new(mark.x_mm + x * reach_mm, mark.y_mm + y * reach_mm);
        found.items.iter().any(|item| is_inked(&item.what, at))
    });
    tally.count();
    let class = class_of(is_filled);
    if class != mark.quadrants {
        let what = format!("filled quadrants of register mark {}", mark.id);
        tally.add(
            Finding::numbers("verify.content", &what, mark.quadrants.as_str(), class)
                .about(&mark.id),
        );
    }
}

fn is_inked(paint: &Paint, at: Point) -> bool {
    let Paint::Fill {
        path, is_even_odd, ..
    } = paint
    else {
        return false;
    };
    let winding = path.winding(at);
    if *is_even_odd {
        winding % 2 != 0
    } else {
        winding != 0
    }
}

fn class_of(is_filled: [bool; 4]) -> &'static str {
    match is_filled.iter().filter(|filled| **filled).count() {
        0 => "empty",
        1 => "one",
        2 if is_filled[0] == is_filled[2] => "two-opposite",
        2 => "two-adjacent",
        3 => "three",
        _ => "full",
    }
}
