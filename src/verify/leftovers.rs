//! Compares `leftovers.toml` with the plan, and the plan's offcuts with its pieces.

use kurbo::{BezPath, Rect, Shape};
use serde::Deserialize;

use super::compare::{mm, point, size};
use super::edge::{holds, points, rings};
use super::plan::{NAME as PLAN, PlannedSheet};
use super::verdict::{FileVerdict, Finding, Tally};
use crate::length::parse_pair;
use crate::math::VERIFY_MM;
use crate::plan::file::{LeftoverEntry, PlanFile};

/// The file's name.
pub(super) const NAME: &str = "leftovers.toml";

/// A rectangle's path has no curves to approximate.
const EXACT: f64 = 0.1;

#[derive(Debug, Deserialize)]
struct File {
    offcut: Vec<Offcut>,
}

#[derive(Debug, Deserialize)]
struct Offcut {
    of: String,
    size: String,
    sheets: u32,
    on_sheet: u32,
}

/// Compares the file, row by row.
pub(super) fn check(bytes: &[u8], plan: &PlanFile) -> FileVerdict {
    let mut tally = Tally::new(NAME);
    let text = std::str::from_utf8(bytes).map_err(|_| "is no UTF-8 text".to_owned());
    match text.and_then(|text| toml::from_str::<File>(text).map_err(|e| e.message().to_owned())) {
        Err(error) => tally.add(Finding::new(
            "verify.unreadable",
            format!("the offcuts cannot be read: {error}"),
        )),
        Ok(file) => {
            let rows = |count: usize| format!("{count} offcuts");
            tally.count();
            if file.offcut.len() != plan.leftovers.len() {
                let (planned, found) = (rows(plan.leftovers.len()), rows(file.offcut.len()));
                tally.add(Finding::numbers(
                    "verify.offcut",
                    "the list",
                    planned,
                    found,
                ));
            }
            for (planned, found) in plan.leftovers.iter().zip(&file.offcut) {
                check_row(&mut tally, planned, found);
            }
        }
    }
    tally.finish()
}

fn check_row(tally: &mut Tally, planned: &LeftoverEntry, found: &Offcut) {
    let what = format!("offcut of {} on sheet {}", planned.of, planned.sheet);
    let words = |of: &str, sheet: u32, count: u32| format!("{count} of {of} from sheet {sheet}");
    let (as_planned, as_found) = (
        words(&planned.of, planned.sheet, planned.count),
        words(&found.of, found.on_sheet, found.sheets),
    );
    tally.count();
    if as_planned != as_found {
        tally.add(Finding::numbers(
            "verify.offcut",
            &what,
            as_planned,
            as_found,
        ));
    }
    check_size(tally, &what, planned, &found.size);
}

/// Compares a size as it is spelled with the offcut's box.
fn check_size(tally: &mut Tally, what: &str, planned: &LeftoverEntry, spelled: &str) {
    let Ok((width, height)) = parse_pair(spelled, None) else {
        let message = format!("the size of the {what} cannot be read: \"{spelled}\"");
        return tally.add(Finding::new("verify.unreadable", message));
    };
    let (found_mm, [_, _, width_mm, height_mm]) = ((width.to_mm(), height.to_mm()), planned.box_mm);
    let off_mm = (width_mm - found_mm.0)
        .abs()
        .max((height_mm - found_mm.1).abs());
    if !tally.measure(off_mm) {
        let (planned, found) = (size(width_mm, height_mm), size(found_mm.0, found_mm.1));
        let what = format!("size of the {what}");
        tally.add(Finding::numbers("verify.offcut", &what, planned, found).off_by(off_mm));
    }
}

/// Checks that an offcut of the plan is paper that no piece was cut from.
pub(super) fn check_plan(tally: &mut Tally, plan: &PlanFile, sheets: &[PlannedSheet<'_>]) {
    for leftover in &plan.leftovers {
        let [x, y, width, height] = leftover.box_mm;
        let area = Rect::new(x, y, x + width, y + height);
        let number = leftover.sheet as usize;
        let Some(sheet) = number.checked_sub(1).and_then(|i| sheets.get(i)) else {
            let message = format!("{PLAN} names an offcut of sheet {number}, which it has not");
            tally.add(Finding::new("verify.plan", message));
            continue;
        };
        let what = format!("offcut of {} on sheet {number}", leftover.of);
        check_size(tally, &what, leftover, &leftover.size);
        tally.count();
        if let Some(what) = in_the_way(sheet, area) {
            let what = format!(
                "the offcut of sheet {number} at {} is cut into by {what}",
                point(area.origin())
            );
            tally.add(Finding::numbers("verify.plan", &what, "whole", mm(width)));
        }
    }
}

/// What an offcut is not clear of.
fn in_the_way(sheet: &PlannedSheet<'_>, area: Rect) -> Option<String> {
    // What only touches is no cut.
    let inner = area.inflate(-VERIFY_MM, -VERIFY_MM);
    let offcut = rings(&inner.to_path(EXACT));
    let meets = |path: &BezPath| {
        let other = rings(path);
        points(&other).any(|at| holds(&offcut, at)) || points(&offcut).any(|at| holds(&other, at))
    };
    if !sheet.paper().contains_rect(inner) {
        return Some("the edge of the sheet".to_owned());
    }
    if let Some(edge) = &sheet.edge {
        let edge = rings(&edge.path);
        if points(&offcut).any(|at| !holds(&edge, at)) || points(&edge).any(|at| holds(&offcut, at))
        {
            return Some("the edge of the paper".to_owned());
        }
    }
    let pieces = sheet.entry.placements.iter().zip(&sheet.outlines);
    pieces
        .filter(|(_, outline)| meets(outline))
        .map(|(placement, _)| placement.id.clone())
        .next()
}
