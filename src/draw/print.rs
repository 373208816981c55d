//! The pages of `print.pdf`: artwork, marks, ticks and captions, and nothing that is to be cut away later.

use std::collections::BTreeMap;

use super::artwork::artwork;
use super::caption::caption_with_rule;
use super::furniture::{self, marks, ticks};
use super::page::{Document, Duplex, Page, PageLayer};
use super::words::{self, SheetNumber};
use crate::drawing::{Colour, Drawing, Item, Paint, Stroke};
use crate::plan::{JobPlan, Placement, PrintRun, Sheet};
use crate::project::{Face, Project, TurnOver};

/// Width of the line that scissors follow.
const HAND_LINE_MM: f64 = 0.1;

/// Returns the pages in the order of the plan's page numbers.
pub(super) fn print_document(project: &Project, plan: &JobPlan) -> Document {
    let mut pages: BTreeMap<u32, Page> = BTreeMap::new();
    for (position, sheet) in plan.sheets.iter().enumerate() {
        let number = SheetNumber {
            number: position + 1,
            of: plan.sheets.len(),
        };
        for run in &sheet.prints {
            for (face, page_number) in [(Face::Front, run.front), (Face::Back, run.back)] {
                let Some(page_number) = page_number else {
                    continue;
                };
                pages.insert(page_number, print_page(project, sheet, number, run, face));
            }
        }
    }
    Document {
        title: project.job.name.clone(),
        author: None,
        pages: pages.into_values().collect(),
        duplex: duplex(project.job.turn_over, plan),
    }
}

fn print_page(
    project: &Project,
    sheet: &Sheet,
    number: SheetNumber,
    run: &PrintRun,
    face: Face,
) -> Page {
    let printed = match face {
        Face::Front => sheet.front,
        Face::Back => sheet.back,
    };
    let printed = printed.expect("a page is planned only for a printed face");
    let on_sheet = |name, drawing| PageLayer {
        name,
        step: None,
        matrix: printed.page_from_sheet,
        drawing,
    };
    let mut layers = vec![on_sheet(
        "Artwork",
        artwork(project, &sheet.placements, &run.contents, face),
    )];
    if furniture::marked_face(sheet) == face {
        layers.push(on_sheet("Marks", marks(sheet)));
    }
    layers.push(on_sheet(
        "Ticks",
        ticks(sheet.ticks.iter().filter(|t| t.face == face)),
    ));
    if project.job.hand_lines && furniture::marked_face(sheet) == face {
        layers.push(on_sheet(
            "Hand lines",
            hand_lines(project, &sheet.placements),
        ));
    }
    if let Some(band) = sheet.caption {
        let words = words::on_print_page(project, sheet, number, run, face);
        layers.push(PageLayer {
            name: "Caption",
            step: None,
            matrix: printed.page_from_face,
            drawing: caption_with_rule(band, &words),
        });
    }
    Page {
        label: words::page_label(project, sheet, number, face),
        width_mm: sheet.width_mm,
        height_mm: sheet.height_mm,
        layers: layers
            .into_iter()
            .filter(|l| !l.drawing.items.is_empty())
            .collect(),
    }
}

/// Lines to cut along, on one face only: the two faces never meet to a hair.
fn hand_lines(project: &Project, placements: &[Placement]) -> Drawing {
    let line = |placement: &Placement| Item::Stroke {
        path: furniture::outline(project, placement),
        stroke: Stroke::solid(HAND_LINE_MM),
        paint: Paint::flat(Colour::BLACK),
    };
    Drawing {
        items: placements.iter().map(line).collect(),
    }
}

/// The turn about the vertical middle line is about the long edge of an upright sheet and the short edge of a lying one.
///
/// A document has one setting: the first sheet with two printed faces decides.
fn duplex(turn_over: TurnOver, plan: &JobPlan) -> Duplex {
    let two_sided = plan.sheets.iter().find(|s| {
        s.prints
            .iter()
            .any(|p| p.front.is_some() && p.back.is_some())
    });
    let Some(sheet) = two_sided else {
        return Duplex::Simplex;
    };
    let is_lying = sheet.width_mm > sheet.height_mm;
    match (turn_over, is_lying) {
        (TurnOver::LeftRight, false) | (TurnOver::TopBottom, true) => Duplex::LongEdge,
        (TurnOver::LeftRight, true) | (TurnOver::TopBottom, false) => Duplex::ShortEdge,
    }
}
