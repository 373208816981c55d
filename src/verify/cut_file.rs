//! Compares a cut file with the sheets that are cut with it.

use std::collections::BTreeMap;

use super::compare::{PlannedPath, check_path, missing, point, size};
use super::edge;
use super::plan::PlannedSheet;
use super::reference::{self, REFERENCE};
use super::svg::{CutFound, CutPathFound, read_svg};
use super::trace::bounds;
use super::verdict::{FileVerdict, Finding, Tally};
use super::was_cut;
use crate::plan::file::PlanFile;

/// Compares the cut file `name` with `sheets`: all that are cut with it, the one whose ids it bears first.
pub(super) fn check(
    name: &str,
    bytes: &[u8],
    plan: &PlanFile,
    sheets: &[&PlannedSheet<'_>],
) -> FileVerdict {
    let mut tally = Tally::new(name);
    match read_svg(bytes) {
        Err(error) => tally.add(Finding::new(
            "verify.unreadable",
            format!("the file {error}"),
        )),
        Ok(found) => check_found(&mut tally, found, plan, sheets),
    }
    tally.finish()
}

fn check_found(
    tally: &mut Tally,
    mut found: CutFound,
    plan: &PlanFile,
    sheets: &[&PlannedSheet<'_>],
) {
    for problem in &found.problems {
        tally.add(Finding::new(
            "verify.content",
            format!("the file {problem}"),
        ));
    }
    check_size(tally, &found, plan.cut_extent_mm);
    was_cut::check_extent(tally, &found);
    let Some((first, rest)) = sheets.split_first() else {
        return;
    };
    was_cut::cut(&mut found, plan.cutter.as_ref(), first);
    let planned = in_cut_order(tally, first);
    check_operations(tally, &found, &planned);
    check_order(tally, &found, &planned);
    reference::check(tally, &found, first);
    for sheet in rest {
        check_sharing(tally, &planned, sheet);
        edge::check_sharing(tally, first, sheet);
    }
}

fn check_size(tally: &mut Tally, found: &CutFound, extent_mm: Option<[f64; 2]>) {
    let Some([width_mm, height_mm]) = extent_mm else {
        return;
    };
    let off_mm = (found.width_mm - width_mm)
        .abs()
        .max((found.height_mm - height_mm).abs());
    if !tally.measure(off_mm) {
        let (planned, found) = (
            size(width_mm, height_mm),
            size(found.width_mm, found.height_mm),
        );
        let finding = Finding::numbers("verify.page-box", "size of the file", planned, found);
        tally.add(finding.off_by(off_mm));
    }
}

/// The planned operations of the cut file where they are cut, in the file's frame and order.
fn in_cut_order(tally: &mut Tally, sheet: &PlannedSheet<'_>) -> Vec<PlannedPath> {
    let file_from_sheet = sheet.file_from_sheet();
    let mut planned = Vec::new();
    for id in &sheet.entry.cut_order {
        if let Some(operation) = sheet.operation(id) {
            planned.push(PlannedPath {
                path: file_from_sheet * &operation.path,
                ..operation.clone()
            });
        } else {
            let message =
                format!("the plan's cut order names {id}, which is no operation of the sheet");
            tally.add(Finding::new("verify.plan", message).about(id));
        }
    }
    planned
}

/// The XML id that stands for an id of the plan: `tin/lid#3` is `tin.lid_3`.
fn xml_id(id: &str) -> String {
    id.replace('/', ".").replace('#', "_")
}

fn check_operations(tally: &mut Tally, found: &CutFound, planned: &[PlannedPath]) {
    let mut by_id: BTreeMap<&str, Vec<&CutPathFound>> = BTreeMap::new();
    for path in &found.paths {
        by_id
            .entry(path.id.as_deref().unwrap_or_default())
            .or_default()
            .push(path);
    }
    for operation in planned {
        match by_id
            .remove(xml_id(&operation.id).as_str())
            .unwrap_or_default()[..]
        {
            [] => tally.add(missing(operation)),
            [path] => {
                check_path(tally, operation, &path.path, planned);
                check_layer(tally, operation, path);
            }
            [..] => {
                let message = format!("{} stands in the file more than once", operation.id);
                tally.add(Finding::new("verify.extra", message).about(&operation.id));
            }
        }
    }
    for path in by_id.into_values().flatten() {
        if path.layer != Some(REFERENCE) {
            tally.add(extra(path));
        }
    }
}

/// A path that is not in the plan.
pub(super) fn extra(path: &CutPathFound) -> Finding {
    let at = point(bounds(&path.path).unwrap_or_default().origin());
    let id = path.id.as_deref().unwrap_or("a path without an id");
    Finding::numbers(
        "verify.extra",
        &format!("{id} is not in the plan, top left corner"),
        "nothing",
        at,
    )
    .about(id)
}

fn check_layer(tally: &mut Tally, planned: &PlannedPath, found: &CutPathFound) {
    tally.count();
    let layer = found.layer.unwrap_or("none");
    if layer != planned.kind {
        let what = format!("layer of {}", planned.id);
        tally.add(
            Finding::numbers("verify.layer", &what, planned.kind.as_str(), layer)
                .about(&planned.id),
        );
    }
}

fn check_order(tally: &mut Tally, found: &CutFound, planned: &[PlannedPath]) {
    let ids = planned.iter().map(|operation| xml_id(&operation.id));
    let steps: BTreeMap<String, usize> = ids.zip(0..).collect();
    let found_ids = found.paths.iter().filter_map(|path| path.id.as_deref());
    let order: Vec<usize> = found_ids.filter_map(|id| steps.get(id).copied()).collect();
    tally.count();
    if let Some(step) = (1..order.len()).find(|i| order[*i] < order[*i - 1]) {
        let (late, early) = (&planned[order[step]], &planned[order[step - 1]]);
        let what = format!("{} is cut after {}, step", late.id, early.id);
        let number = |step: usize| format!("{} of {}", step + 1, planned.len());
        tally.add(
            Finding::numbers("verify.order", &what, number(order[step]), number(step))
                .about(&late.id),
        );
    }
}

/// A sheet that shares the file must ask for the same paths in the same order, whatever its ids.
fn check_sharing(tally: &mut Tally, planned: &[PlannedPath], sheet: &PlannedSheet<'_>) {
    let own = in_cut_order(tally, sheet);
    tally.count();
    if own.len() != planned.len() {
        let count = |paths: &[PlannedPath]| format!("{} operations", paths.len());
        let what = format!("sheet {} shares the file", sheet.number);
        return tally.add(Finding::numbers(
            "verify.plan",
            &what,
            count(&own),
            count(planned),
        ));
    }
    for (own, shared) in own.iter().zip(planned) {
        check_path(tally, own, &shared.path, &[]);
    }
}
