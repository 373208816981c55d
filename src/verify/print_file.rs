//! Compares `print.pdf` with the plan.

use std::collections::BTreeSet;

use kurbo::Affine;

use super::artwork;
use super::caption;
use super::compare::{PlannedPath, check_path, point};
use super::marks::{self, OnPage};
use super::page::{PageCheck, open};
use super::pdf::found::{Paint, PdfFound};
use super::plan::{PlannedRun, PlannedSheet};
use super::printed;
use super::trace::{bounds, box_distance};
use super::verdict::{FileVerdict, Finding, Tally};
use crate::plan::file::PrinterEntry;

/// The file's name.
pub(super) const NAME: &str = "print.pdf";

/// Layer with the lines that scissors follow.
const HAND_LINES: &str = "Hand lines";

/// How many pages the plan prints.
pub(super) fn planned_pages(sheets: &[PlannedSheet<'_>]) -> u32 {
    let runs = sheets.iter().flat_map(|sheet| &sheet.entry.prints);
    runs.flat_map(|run| [run.front, run.back])
        .flatten()
        .max()
        .unwrap_or(0)
}

/// Compares every page, as it comes out on the paper where the printer's errors were measured.
pub(super) fn check(
    bytes: &[u8],
    sheets: &[PlannedSheet<'_>],
    printer: Option<&PrinterEntry>,
) -> FileVerdict {
    let mut tally = Tally::new(NAME);
    if let Some(mut found) = open(&mut tally, bytes, planned_pages(sheets)) {
        let printed = printed::print(&mut found, printer, sheets);
        for sheet in sheets {
            for run in &sheet.runs {
                check_face(&mut tally, &found, &printed, sheet, run, "front");
                check_face(&mut tally, &found, &printed, sheet, run, "back");
            }
        }
    }
    tally.finish()
}

fn check_face(
    tally: &mut Tally,
    found: &PdfFound,
    moved: &BTreeSet<u32>,
    sheet: &PlannedSheet<'_>,
    run: &PlannedRun<'_>,
    face: &str,
) {
    let (number, printed) = if face == "front" {
        (run.entry.front, &sheet.entry.front)
    } else {
        (run.entry.back, &sheet.entry.back)
    };
    let Some(number) = number else {
        return;
    };
    let Some(mut page) = PageCheck::start(tally, found, number, sheet.paper()) else {
        return;
    };
    let Some(printed) = printed else {
        let message = format!(
            "the plan prints the {face} of sheet {} without a map to its page",
            sheet.number
        );
        return tally.add(Finding::new("verify.plan", message));
    };
    let page_from_sheet = if moved.contains(&number) {
        printed::turned(sheet, face, printed.page_from_sheet)
    } else {
        Affine::new(printed.page_from_sheet)
    };
    artwork::check(
        tally,
        &mut page,
        &artwork::on_page(run, face, page_from_sheet),
    );
    marks::check(
        tally,
        &mut page,
        sheet.entry,
        OnPage {
            faces: &[face],
            page_from_sheet,
        },
    );
    caption::check(tally, &mut page, sheet.entry);
    check_hand_lines(tally, &page, sheet, page_from_sheet);
    page.finish(tally, &[HAND_LINES]);
}

/// Hand lines are not tagged: each must be the outline of a placed piece.
fn check_hand_lines(
    tally: &mut Tally,
    page: &PageCheck<'_>,
    sheet: &PlannedSheet<'_>,
    page_from_sheet: Affine,
) {
    let pieces = sheet.entry.placements.iter().zip(&sheet.outlines);
    let outlines: Vec<PlannedPath> = pieces
        .map(|(placement, outline)| PlannedPath {
            id: placement.id.clone(),
            name: format!("hand line of {}", placement.id),
            kind: "hand line".to_owned(),
            path: page_from_sheet * outline,
        })
        .collect();
    for loose in page.loose() {
        if loose.layer.as_deref() == Some(HAND_LINES) {
            check_hand_line(tally, &loose.what, &outlines);
        }
    }
}

fn check_hand_line(tally: &mut Tally, line: &Paint, outlines: &[PlannedPath]) {
    let found = line.ink_box().unwrap_or_default();
    let off_mm =
        |outline: &&PlannedPath| bounds(&outline.path).map_or(f64::MAX, |b| box_distance(b, found));
    // No two pieces lie in the same place, so the nearest outline is the one meant.
    let nearest = outlines
        .iter()
        .min_by(|a, b| off_mm(a).total_cmp(&off_mm(b)));
    match (line, nearest) {
        (Paint::Stroke { path, .. }, Some(outline)) => check_path(tally, outline, path, &[]),
        (
            Paint::Stroke { .. }
            | Paint::Fill { .. }
            | Paint::Picture { .. }
            | Paint::Text(_)
            | Paint::Shading,
            _,
        ) => {
            let what = "a drawing among the hand lines that is no outline, top left corner";
            tally.add(Finding::numbers(
                "verify.extra",
                what,
                "nothing",
                point(found.origin()),
            ));
        }
    }
}
