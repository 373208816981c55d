//! Checks that `plan.json` agrees with itself, so that the other files are not measured against a broken plan.

use std::collections::{BTreeMap, BTreeSet};

use kurbo::{BezPath, Point, Rect};

use super::compare::{mm, point};
use super::deviation::{deviation, reach};
use super::edge;
use super::leftovers;
use super::plan::{NAME, PlannedSheet};
use super::printed;
use super::trace::{bounds, corners, length, runs};
use super::trimmer;
use super::verdict::{FileVerdict, Finding, Tally};
use super::was_cut;
use crate::math::FLATTEN_MM;
use crate::plan::file::{NicksEntry, PlacementEntry, PlanFile, SheetEntry};

/// What [`deviation`] may be off itself when it takes curves for lines, and the rounding of the plan.
const FLATTENING_DOUBT_MM: f64 = 0.001;

/// Checks the plan.
pub(super) fn check(plan: &PlanFile, sheets: &[PlannedSheet<'_>]) -> FileVerdict {
    let mut tally = Tally::new(NAME);
    for sheet in sheets {
        check_ids(&mut tally, sheet);
        check_runs(&mut tally, sheet);
        for (placement, outline) in sheet.entry.placements.iter().zip(&sheet.outlines) {
            check_placement(&mut tally, sheet, placement, outline);
            edge::check_on_paper(&mut tally, sheet, &placement.id, outline);
        }
        trimmer::check(&mut tally, sheet);
    }
    printed::check_plan(&mut tally, plan.printer.as_ref(), sheets);
    was_cut::check_plan(&mut tally, plan.cutter.as_ref(), sheets);
    leftovers::check_plan(&mut tally, plan, sheets);
    check_pages(&mut tally, plan);
    check_copies(&mut tally, plan);
    tally.finish()
}

fn numbers(what: &str, planned: String, found: String) -> Finding {
    Finding::numbers("verify.plan", what, planned, found)
}

fn check_ids(tally: &mut Tally, sheet: &PlannedSheet<'_>) {
    let ids: BTreeSet<&str> = sheet
        .operations
        .iter()
        .map(|operation| operation.id.as_str())
        .collect();
    tally.count();
    if ids.len() != sheet.operations.len() {
        let message = format!("sheet {} has operations of the same id", sheet.number);
        tally.add(Finding::new("verify.plan", message));
    }
    let by_machine = sheet
        .entry
        .placements
        .iter()
        .flat_map(|placement| &placement.operations);
    let mut by_machine: Vec<&str> = by_machine
        .filter(|operation| operation.by == "machine")
        .map(|operation| operation.id.as_str())
        .collect();
    let mut ordered: Vec<&str> = sheet.entry.cut_order.iter().map(String::as_str).collect();
    by_machine.sort_unstable();
    ordered.sort_unstable();
    tally.count();
    if by_machine != ordered {
        let count = |ids: &[&str]| format!("{} operations", ids.len());
        let what = format!(
            "the cut order of sheet {} is not what the machine does",
            sheet.number
        );
        tally.add(numbers(&what, count(&by_machine), count(&ordered)));
    }
}

fn check_runs(tally: &mut Tally, sheet: &PlannedSheet<'_>) {
    let entry = sheet.entry;
    let times: u64 = entry.prints.iter().map(|run| u64::from(run.times)).sum();
    tally.count();
    if times != u64::from(entry.runs) {
        let what = format!("runs of sheet {} and the sum of `times`", sheet.number);
        tally.add(numbers(&what, entry.runs.to_string(), times.to_string()));
    }
    for run in &entry.prints {
        tally.count();
        if run.contents.len() != entry.placements.len() {
            let what = format!(
                "pieces on sheet {} and contents of one of its runs",
                sheet.number
            );
            tally.add(numbers(
                &what,
                entry.placements.len().to_string(),
                run.contents.len().to_string(),
            ));
        }
        tally.count();
        if !run.copies.is_sorted_by(|a, b| a < b) {
            let message = format!("copies of sheet {} do not rise", sheet.number);
            tally.add(Finding::new("verify.plan", message));
        }
        for (placement, content) in entry.placements.iter().zip(&run.contents) {
            tally.count();
            let piece = content.id.split('#').next().unwrap_or_default();
            if piece != placement.piece {
                let what = format!("piece at the place of {}", placement.id);
                tally.add(
                    numbers(&what, placement.piece.clone(), piece.to_owned()).about(&content.id),
                );
            }
        }
    }
}

fn check_placement(
    tally: &mut Tally,
    sheet: &PlannedSheet<'_>,
    placement: &PlacementEntry,
    outline: &BezPath,
) {
    check_flattened(tally, placement, outline);
    check_outline_cut(tally, sheet, placement, outline);
    check_inside(tally, &placement.id, outline, sheet.paper(), "the paper");
    let [x, y, width, height] = sheet.entry.usable_box_mm;
    let usable = Rect::new(x, y, x + width, y + height);
    check_inside(tally, &placement.id, outline, usable, "the usable box");
}

/// The ring with the largest box: the outer one.
fn outer_ring(path: &BezPath) -> BezPath {
    let area = |ring: &BezPath| bounds(ring).map_or(0.0, |b| b.area());
    runs(path)
        .iter()
        .map(|run| BezPath::from_path_segments(run.segments.iter().copied()))
        .max_by(|a, b| area(a).total_cmp(&area(b)))
        .unwrap_or_default()
}

fn check_flattened(tally: &mut Tally, placement: &PlacementEntry, path: &BezPath) {
    let mut flattened = BezPath::new();
    for (i, [x, y]) in placement.outline_mm.iter().enumerate() {
        let to = Point::new(*x, *y);
        if i == 0 {
            flattened.move_to(to);
        } else {
            flattened.line_to(to);
        }
    }
    if !flattened.is_empty() {
        flattened.close_path();
    }
    let Some(off_mm) = deviation(&outer_ring(path), &flattened).distance_mm else {
        let message = format!(
            "the flattened outline of {} cannot be compared with its path",
            placement.id
        );
        return tally.add(Finding::new("verify.plan", message).about(&placement.id));
    };
    // Flattening may take up FLATTEN_MM itself: only what is beyond is a deviation.
    tally.measure((off_mm - FLATTEN_MM).max(0.0));
    if off_mm > FLATTEN_MM + FLATTENING_DOUBT_MM {
        let what = format!("the flattened outline of {} leaves its path", placement.id);
        let finding = numbers(&what, format!("at most {}", mm(FLATTEN_MM)), mm(off_mm));
        tally.add(finding.about(&placement.id).off_by(off_mm));
    }
}

/// The cut of the outline runs on the placement's path, and all round its outer ring.
fn check_outline_cut(
    tally: &mut Tally,
    sheet: &PlannedSheet<'_>,
    placement: &PlacementEntry,
    path: &BezPath,
) {
    let id = format!("{}.outline", placement.id);
    let Some(cut) = sheet.operation(&id) else {
        let message = format!("{} has no cut of its outline", placement.id);
        return tally.add(Finding::new("verify.plan", message).about(&placement.id));
    };
    let ring = outer_ring(path);
    let entry = placement.operations.iter().find(|o| o.id == id);
    let nicks = entry.and_then(|o| o.nicks);
    // In the middle of a nick the ring is half a nick away from the cut.
    let left_mm = nicks.map_or(0.0, |nicks| nicks.length_mm / 2.0);
    let away = |part, whole| reach(part, whole).unwrap_or(f64::MAX);
    let off_mm = away(&cut.path, path).max(away(&ring, &cut.path) - left_mm);
    check_nicks(tally, &id, nicks, &ring, &cut.path);
    if !tally.measure(off_mm) {
        let at = |path: &BezPath| point(bounds(path).unwrap_or_default().origin());
        let what = format!("the cut {id} leaves the outline of its piece, top left corner");
        tally.add(
            numbers(&what, at(path), at(&cut.path))
                .about(&id)
                .off_by(off_mm),
        );
    }
}

/// What holds a piece that is not said to be held.
const NO_NICKS: NicksEntry = NicksEntry {
    count: 0,
    length_mm: 0.0,
};

/// As many nicks as planned are left standing, and all of them together are as long as planned.
fn check_nicks(
    tally: &mut Tally,
    id: &str,
    nicks: Option<NicksEntry>,
    ring: &BezPath,
    cut: &BezPath,
) {
    let parts = runs(cut).len();
    let Some(nicks) = nicks.or_else(|| (parts > 1).then_some(NO_NICKS)) else {
        return;
    };
    let length_mm = |path: &BezPath| -> f64 {
        let runs = runs(path);
        runs.iter().map(|run| length(&corners(run))).sum()
    };
    let wanted_mm = f64::from(nicks.count) * nicks.length_mm;
    let wanted = nicks.count.max(1);
    tally.count();
    if parts != wanted as usize {
        let what = format!("parts of the cut {id}, one from each nick to the next");
        tally.add(numbers(&what, wanted.to_string(), parts.to_string()).about(id));
    }
    let left_mm = length_mm(ring) - length_mm(cut);
    if !tally.measure((left_mm - wanted_mm).abs()) {
        let what = format!("what the cut {id} leaves of its outline");
        tally.add(numbers(&what, mm(wanted_mm), mm(left_mm)).about(id));
    }
}

fn check_inside(tally: &mut Tally, id: &str, path: &BezPath, area: Rect, name: &str) {
    let found = bounds(path).unwrap_or_default();
    let beyond_mm = (area.x0 - found.x0)
        .max(area.y0 - found.y0)
        .max(found.x1 - area.x1)
        .max(found.y1 - area.y1)
        .max(0.0);
    tally.count();
    if beyond_mm > crate::math::VERIFY_MM {
        let spell = |b: Rect| format!("{} to {}", point(b.origin()), point(Point::new(b.x1, b.y1)));
        let what = format!("{id} leaves {name}");
        tally.add(
            numbers(&what, spell(area), spell(found))
                .about(id)
                .off_by(beyond_mm),
        );
    }
}

/// The printed pages are numbered from 1 without gaps.
fn check_pages(tally: &mut Tally, plan: &PlanFile) {
    let runs = plan.sheets.iter().flat_map(|sheet| &sheet.prints);
    let mut pages: Vec<u32> = runs
        .flat_map(|run| [run.front, run.back])
        .flatten()
        .collect();
    pages.sort_unstable();
    tally.count();
    let wrong = (1..).zip(&pages).find(|(planned, found)| planned != *found);
    if let Some((planned, found)) = wrong {
        tally.add(numbers(
            "page numbers of print.pdf",
            planned.to_string(),
            found.to_string(),
        ));
    }
}

/// As many copies come out as are wanted, each with the same number of each piece; nothing can be said if some are left over. Of a copy
/// all of whose pieces are there already nothing comes out.
fn check_copies(tally: &mut Tally, plan: &PlanFile) {
    if !plan.unplaced.is_empty() {
        return;
    }
    let found: BTreeSet<u64> = plan.sheets.iter().flat_map(copies_of).collect();
    let wanted = u64::from(plan.copies);
    tally.count();
    if (found.len() as u64) < wanted && plan.there.is_empty() {
        tally.add(numbers(
            "copies that come out of the sheets",
            format!("at least {wanted}"),
            found.len().to_string(),
        ));
    }
    let last = found.last().copied().unwrap_or(0);
    check_pieces(tally, plan, if wanted > 0 { wanted } else { last.max(1) });
}

/// What there is of each piece besides its spares, with what was there already, is a multiple of the copies.
fn check_pieces(tally: &mut Tally, plan: &PlanFile, copies: u64) {
    let mut pieces: BTreeMap<&str, u64> = BTreeMap::new();
    for sheet in &plan.sheets {
        for placement in &sheet.placements {
            *pieces.entry(&placement.piece).or_default() += u64::from(sheet.runs);
        }
    }
    for (piece, count) in pieces {
        let spares = plan.spares.iter().filter(|s| s.piece == piece);
        let spares: u64 = spares.map(|s| u64::from(s.placed)).sum();
        let there = plan.there.iter().filter(|t| t.piece == piece);
        let there: u64 = there.map(|t| u64::from(t.count)).sum();
        let wanted = count.saturating_sub(spares).saturating_add(there);
        tally.count();
        if wanted % copies != 0 || wanted == 0 {
            let planned = format!("a multiple of {copies}");
            let what = format!("how many {piece} there are, spares left out");
            tally.add(numbers(&what, planned, wanted.to_string()).about(piece));
        }
    }
}

fn copies_of(sheet: &SheetEntry) -> impl Iterator<Item = u64> + '_ {
    sheet
        .prints
        .iter()
        .flat_map(|run| &run.copies)
        .map(|copy| u64::from(*copy))
}
