//! Compares `proof.pdf` with the plan.

use kurbo::Affine;

use super::artwork;
use super::compare::{PlannedPath, check_path, missing};
use super::marks::{self, OnPage};
use super::page::{PageCheck, check_layer, check_whole, open};
use super::pdf::found::{PdfFound, Tagged};
use super::plan::PlannedSheet;
use super::verdict::{FileVerdict, Tally};

/// The file's name.
pub(super) const NAME: &str = "proof.pdf";

/// Layers with drawings for people that stand for nothing in the plan: bleed edges, offcuts to keep, names of pieces, the legend, and
/// the cuts of a trimmer with their numbers, which are read from the cut list.
const FREE_LAYERS: [&str; 5] = ["Bleed", "Offcuts", "Names", "Trims", "Caption"];

/// Compares every page.
pub(super) fn check(bytes: &[u8], sheets: &[PlannedSheet<'_>]) -> FileVerdict {
    let mut tally = Tally::new(NAME);
    let pages = sheets
        .iter()
        .map(|sheet| sheet.entry.proof_page)
        .max()
        .unwrap_or(0);
    if let Some(found) = open(&mut tally, bytes, pages) {
        for sheet in sheets {
            check_page(&mut tally, &found, sheet);
        }
    }
    tally.finish()
}

fn check_page(tally: &mut Tally, found: &PdfFound, sheet: &PlannedSheet<'_>) {
    let entry = sheet.entry;
    let Some(mut page) = PageCheck::start(tally, found, entry.proof_page, sheet.paper()) else {
        return;
    };
    if let Some(edge) = &sheet.edge {
        let found = page.take_one(tally, &edge.kind, &edge.id);
        check_operation(tally, edge, found, &[], "Paper");
    }
    if let Some(run) = sheet.runs.first() {
        artwork::check(
            tally,
            &mut page,
            &artwork::on_page(run, "front", Affine::IDENTITY),
        );
    }
    let operations = entry
        .placements
        .iter()
        .flat_map(|placement| &placement.operations);
    for (planned, operation) in sheet.operations.iter().zip(operations) {
        let layer = proof_layer(&planned.kind, operation.fold.as_deref());
        let found = page.take_one(tally, &planned.kind, &planned.id);
        check_operation(tally, planned, found, &sheet.operations, layer);
    }
    let on_page = OnPage {
        faces: &["front", "back"],
        page_from_sheet: Affine::IDENTITY,
    };
    marks::check(tally, &mut page, entry, on_page);
    page.take("caption", "caption");
    page.finish(tally, &FREE_LAYERS);
}

/// The layer of `proof.pdf` that an operation stands on.
fn proof_layer(kind: &str, fold: Option<&str>) -> &'static str {
    match (kind, fold) {
        ("crease", Some("mountain")) => "Reverse creasing",
        ("crease", _) => "Creasing",
        ("perforation", _) => "Perforating",
        ("partial-cut", _) => "Partial cutting",
        ("hole", _) => "Punching",
        ("cut", _) => "Cutting",
        _ => "Line",
    }
}

/// Compares the strokes of an operation or edge.
fn check_operation(
    tally: &mut Tally,
    planned: &PlannedPath,
    found: Option<&Tagged>,
    all: &[PlannedPath],
    layer: &str,
) {
    let Some(found) = found else {
        return tally.add(missing(planned));
    };
    check_path(tally, planned, &found.strokes(), all);
    check_layer(tally, found, layer);
    check_whole(tally, found);
}
