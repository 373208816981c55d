//! Cuts every sheet of the plan by its own list: do the pieces come out, on plain paper and on a print that lies askew?
//!
//! On a printed sheet the whole print is moved by [`SHIFT_MM`] on the paper, as a printer may do it. Cuts to ticks go with the print,
//! fences count from whatever edge they are laid at, and each piece must come out in line with its own print.

use std::collections::BTreeMap;

use kurbo::{Rect, Vec2};

use super::compare::mm;
use super::plan::PlannedSheet;
use super::trace::bounds;
use super::verdict::{Finding, Tally};
use crate::plan::file::TrimmerCutEntry;

/// How far a print may lie from its place (common practice, no source: home printers feed sheets to a millimetre).
const SHIFT_MM: Vec2 = Vec2::new(1.0, 0.5);

/// A part on the table, by its edges on the paper.
type Table<'p> = BTreeMap<&'p str, Rect>;

/// Replays the cuts of a sheet; a sheet without any is cut otherwise, or not at all.
pub(super) fn check(tally: &mut Tally, sheet: &PlannedSheet<'_>) {
    let cuts = &sheet.entry.trimmer_cuts;
    if cuts.is_empty() {
        return;
    }
    let is_printed = sheet.entry.front.is_some() || sheet.entry.back.is_some();
    let shifts = [Vec2::ZERO, if is_printed { SHIFT_MM } else { Vec2::ZERO }];
    for shift in shifts {
        match replay(sheet, shift) {
            Ok(table) => check_pieces(tally, sheet, &table, shift),
            Err(why) => {
                tally.count();
                let message = format!(
                    "the cut list of sheet {} cannot be followed: {why}",
                    sheet.number
                );
                tally.add(Finding::new("verify.plan", message));
            }
        }
    }
}

/// What lies on the table in the end if the print lies `shift` away from its place.
fn replay<'p>(sheet: &PlannedSheet<'p>, shift: Vec2) -> Result<Table<'p>, String> {
    let mut table = Table::from([("sheet", sheet.paper())]);
    for cut in &sheet.entry.trimmer_cuts {
        let said = |what: &str| format!("cut {} of {} {what}", cut.step, cut.of);
        let part = table
            .remove(cut.of.as_str())
            .ok_or_else(|| said("needs a part that is not there"))?;
        let at_mm =
            blade_mm(sheet, cut, part, shift).ok_or_else(|| said("has nothing to go by"))?;
        let (mut near, mut far) = (part, part);
        let is_inside = match cut.axis.as_str() {
            "x" => {
                (near.x1, far.x0) = (at_mm, at_mm);
                part.x0 < at_mm && at_mm < part.x1
            }
            "y" => {
                (near.y1, far.y0) = (at_mm, at_mm);
                part.y0 < at_mm && at_mm < part.y1
            }
            _ => return Err(said("has no axis")),
        };
        if !is_inside {
            return Err(said("misses its part"));
        }
        for (name, leaf) in cut.leaves.iter().zip([near, far]) {
            if table.insert(name, leaf).is_some() {
                return Err(said("leaves a name that is taken"));
            }
        }
    }
    Ok(table)
}

/// Where the blade comes down on the paper.
fn blade_mm(
    sheet: &PlannedSheet<'_>,
    cut: &TrimmerCutEntry,
    part: Rect,
    shift: Vec2,
) -> Option<f64> {
    let with_print = match cut.axis.as_str() {
        "x" => shift.x,
        "y" => shift.y,
        _ => return None,
    };
    match (cut.by.as_str(), cut.fence_mm, cut.from_edge.as_deref()) {
        ("fence", Some(fence_mm), Some(edge)) => match (cut.axis.as_str(), edge) {
            ("x", "left") => Some(part.x0 + fence_mm),
            ("x", "right") => Some(part.x1 - fence_mm),
            ("y", "top") => Some(part.y0 + fence_mm),
            ("y", "bottom") => Some(part.y1 - fence_mm),
            _ => None,
        },
        ("tick", None, None) => {
            let ticks = cut.ticks.iter().map(|id| {
                let tick = sheet.entry.ticks.iter().find(|tick| tick.id == *id)?;
                let [x, y] = tick.from_mm;
                Some(if cut.axis == "x" { x } else { y })
            });
            let places: Option<Vec<f64>> = ticks.collect();
            places?.first().map(|at| at + with_print)
        }
        ("print", None, None) => Some(cut.at_mm + with_print),
        _ => None,
    }
}

/// Every piece lies on the table, cut to its outline or to a rectangle round it.
fn check_pieces(tally: &mut Tally, sheet: &PlannedSheet<'_>, table: &Table<'_>, shift: Vec2) {
    for (placement, outline) in sheet.entry.placements.iter().zip(&sheet.outlines) {
        let whole = sheet.entry.trimmer_cuts.is_empty().then(|| sheet.paper());
        let Some(found) = table.get(placement.id.as_str()).copied().or(whole) else {
            tally.count();
            let message = format!("the cut list never frees {}", placement.id);
            tally.add(Finding::new("verify.plan", message).about(&placement.id));
            continue;
        };
        let wanted = bounds(outline).unwrap_or_default() + shift;
        let outside = [
            wanted.x0 - found.x0,
            wanted.y0 - found.y0,
            found.x1 - wanted.x1,
            found.y1 - wanted.y1,
        ];
        let is_final = is_cut_to_size(sheet, &placement.id);
        let off_mm = outside
            .iter()
            .map(|mm| if is_final { mm.abs() } else { (-mm).max(0.0) })
            .fold(0.0, f64::max);
        if !tally.measure(off_mm) {
            let spell = |b: Rect| format!("{} x {}", mm(b.width()), mm(b.height()));
            let what = format!("what the cut list makes of {}", placement.id);
            let finding = Finding::numbers("verify.plan", &what, spell(wanted), spell(found));
            tally.add(finding.about(&placement.id).off_by(off_mm));
        }
    }
}

/// Whether nothing is left to do at the outline of a piece: a rectangle that is cut by hand.
fn is_cut_to_size(sheet: &PlannedSheet<'_>, id: &str) -> bool {
    let outline = format!("{id}.outline");
    let operations = sheet
        .entry
        .placements
        .iter()
        .flat_map(|placement| &placement.operations);
    let is_by_hand = operations
        .filter(|o| o.id == outline)
        .any(|o| o.by == "hand");
    is_by_hand
        && sheet
            .operation(&outline)
            .is_some_and(|o| is_rectangle(&o.path))
}

fn is_rectangle(path: &kurbo::BezPath) -> bool {
    let Some(b) = bounds(path) else { return false };
    let near = |a: f64, b: f64| (a - b).abs() < crate::math::COINCIDENT_MM;
    path.segments().all(|segment| {
        let kurbo::PathSeg::Line(line) = segment else {
            return false;
        };
        let on = |at: f64, from: f64, to: f64| near(from, at) && near(to, at);
        on(b.x0, line.p0.x, line.p1.x)
            || on(b.x1, line.p0.x, line.p1.x)
            || on(b.y0, line.p0.y, line.p1.y)
            || on(b.y1, line.p0.y, line.p1.y)
    })
}
