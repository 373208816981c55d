//! Compares a cut file with the sheets that are cut with it.

use kurbo::Rect;

use super::compare::{PlannedPath, check_path, mm, point, size};
use super::marks;
use super::plan::PlannedSheet;
use super::svg::{CutFound, CutPathFound, read_svg};
use super::trace::{bounds, map};
use super::verdict::{FileVerdict, Finding, Tally};

/// Compares the cut file `name` with `sheets`: all that are cut with it, the one whose ids it bears first.
pub(super) fn check(
    name: &str,
    bytes: &[u8],
    extent_mm: Option<[f64; 2]>,
    sheets: &[&PlannedSheet<'_>],
) -> FileVerdict {
    let mut tally = Tally::new(name);
    match read_svg(bytes) {
        Err(error) => tally.add(Finding::new(
            "verify.unreadable",
            format!("the file {error}"),
        )),
        Ok(found) => check_found(&mut tally, &found, extent_mm, sheets),
    }
    tally.finish()
}

fn check_found(
    tally: &mut Tally,
    found: &CutFound,
    extent_mm: Option<[f64; 2]>,
    sheets: &[&PlannedSheet<'_>],
) {
    for problem in &found.problems {
        tally.add(Finding::new(
            "verify.content",
            format!("the file {problem}"),
        ));
    }
    check_size(tally, found, extent_mm);
    let Some((first, rest)) = sheets.split_first() else {
        return;
    };
    let planned = in_cut_order(tally, first);
    check_operations(tally, found, &planned);
    check_order(tally, found, &planned);
    check_references(tally, found, first);
    for sheet in rest {
        check_sharing(tally, &planned, sheet);
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

/// The planned operations of the cut file in the file's frame and order.
fn in_cut_order(tally: &mut Tally, sheet: &PlannedSheet<'_>) -> Vec<PlannedPath> {
    let cut_from_sheet = map(sheet
        .entry
        .cut_from_sheet
        .unwrap_or([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]));
    let mut planned = Vec::new();
    for id in &sheet.entry.cut_order {
        if let Some(operation) = sheet.operation(id) {
            planned.push(PlannedPath {
                path: cut_from_sheet * &operation.path,
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

fn with_id<'f>(found: &'f CutFound, id: &str) -> Vec<&'f CutPathFound> {
    let xml_id = xml_id(id);
    found
        .paths
        .iter()
        .filter(|path| path.id.as_deref() == Some(&xml_id))
        .collect()
}

fn check_operations(tally: &mut Tally, found: &CutFound, planned: &[PlannedPath]) {
    for operation in planned {
        match with_id(found, &operation.id)[..] {
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
    for path in &found.paths {
        let is_planned = |id: &str| planned.iter().any(|operation| xml_id(&operation.id) == id);
        if path.layer != Some("reference") && !path.id.as_deref().is_some_and(is_planned) {
            tally.add(extra(path));
        }
    }
}

/// A planned path that is not in the file.
pub(super) fn missing(planned: &PlannedPath) -> Finding {
    let at = bounds(&planned.path).unwrap_or_default();
    let what = format!("{} is missing, top left corner", planned.name);
    Finding::numbers("verify.missing", &what, point(at.origin()), "nothing").about(&planned.id)
}

fn extra(path: &CutPathFound) -> Finding {
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
    let ids: Vec<String> = planned
        .iter()
        .map(|operation| xml_id(&operation.id))
        .collect();
    let order: Vec<usize> = found
        .paths
        .iter()
        .filter_map(|path| ids.iter().position(|id| path.id.as_deref() == Some(id)))
        .collect();
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

fn check_references(tally: &mut Tally, found: &CutFound, sheet: &PlannedSheet<'_>) {
    let cut_from_sheet = map(sheet
        .entry
        .cut_from_sheet
        .unwrap_or([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]));
    let names = ["ref-top-left", "ref-bottom-right"];
    for mark in &sheet.entry.marks {
        let at = with_id(found, &mark.id)
            .first()
            .and_then(|path| bounds(&path.path));
        marks::check_mark(tally, mark, cut_from_sheet, at);
    }
    for (name, is_at_origin) in [(names[0], true), (names[1], false)] {
        let at = with_id(found, name)
            .first()
            .and_then(|path| bounds(&path.path));
        check_reference_line(tally, name, at, found, is_at_origin);
    }
    for path in found
        .paths
        .iter()
        .filter(|path| path.layer == Some("reference"))
    {
        let id = path.id.as_deref().unwrap_or_default();
        if !names.contains(&id) && !sheet.entry.marks.iter().any(|mark| mark.id == id) {
            tally.add(extra(path));
        }
    }
}

/// A reference line must touch its corner of the file, since some cutters place by the bounds of what is drawn.
fn check_reference_line(
    tally: &mut Tally,
    name: &str,
    at: Option<Rect>,
    found: &CutFound,
    is_at_origin: bool,
) {
    let Some(at) = at else {
        let message = format!("the reference line {name} is missing");
        return tally.add(Finding::new("verify.missing", message).about(name));
    };
    let (planned, corner) = if is_at_origin {
        (kurbo::Point::ORIGIN, at.origin())
    } else {
        let planned = kurbo::Point::new(found.width_mm, found.height_mm);
        (planned, kurbo::Point::new(at.x1, at.y1))
    };
    let off_mm = super::trace::between(planned, corner);
    if !tally.measure(off_mm) {
        let what = format!("corner of the reference line {name}, off by {}", mm(off_mm));
        let finding = Finding::numbers("verify.moved", &what, point(planned), point(corner));
        tally.add(finding.about(name).off_by(off_mm));
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
