//! How sheets are cut: by which file, which face up, in which order; and what is left to hand and die.

use std::collections::BTreeMap;

use super::face_map::face_from_sheet;
use super::nesting::depths;
use super::order::order;
use super::reach::cut_from_sheet;
use super::sheet::is_laid_alike;
use super::{CutSetup, HandWork, Sheet};
use crate::project::{Face, Maker, Project};

/// Completes the sheets with the way they are cut by machine. Sheets of equal size with the same pieces in the same places share a
/// cut file.
pub(super) fn set_up(project: &Project, sheets: &mut [Sheet]) {
    let mut files = 0;
    for index in 0..sheets.len() {
        let (before, rest) = sheets.split_at_mut(index);
        let sheet = &mut rest[0];
        let depths = depths(project, &sheet.placements);
        let steps = order(&mut sheet.placements, &depths);
        if steps.is_empty() {
            continue;
        }
        let face_up = if sheet.back.is_some() && sheet.front.is_none() {
            Face::Back
        } else {
            Face::Front
        };
        let shared = before
            .iter()
            .filter(|other| is_cut_alike(project, other, sheet))
            .find_map(|s| s.cut.as_ref());
        let shared = shared
            .filter(|cut| cut.face_up == face_up)
            .map(|cut| cut.file.clone());
        let file = shared.unwrap_or_else(|| {
            files += 1;
            format!("cut-{files:02}.svg")
        });
        let size = kurbo::Size::new(sheet.width_mm, sheet.height_mm);
        sheet.cut = Some(CutSetup {
            file,
            face_up,
            cut_from_sheet: cut_from_sheet(project, size, face_up),
            file_from_sheet: face_from_sheet(face_up, size, project.job.turn_over),
            order: steps,
        });
    }
}

/// Whether two sheets hold the same shapes in the same places, and the same edge and marks, which the cut file repeats.
fn is_cut_alike(project: &Project, a: &Sheet, b: &Sheet) -> bool {
    let edge = |s: &Sheet| project.stocks[s.stock].edge_seen(s.front_is);
    is_laid_alike(a, b) && edge(a) == edge(b) && a.marks == b.marks
}

/// Returns width and height that hold every cut file.
pub(super) fn extent_mm(sheets: &[Sheet]) -> Option<(f64, f64)> {
    let cut = sheets
        .iter()
        .filter(|s| s.cut.is_some())
        .map(|s| (s.width_mm, s.height_mm));
    cut.reduce(|a, b| (a.0.max(b.0), a.1.max(b.1)))
}

/// Returns what is done by hand or by a die, in the order of pieces; the outline of a piece first.
pub(super) fn hand_work(project: &Project, sheets: &[Sheet]) -> Vec<HandWork> {
    let mut made: BTreeMap<usize, u32> = BTreeMap::new();
    for sheet in sheets {
        for placement in &sheet.placements {
            // What becomes of a sheet that is printed all over is the maker's own affair.
            if !project.pieces[placement.piece].fills_sheet {
                *made.entry(placement.piece).or_default() += sheet.runs;
            }
        }
    }
    let work = made.into_iter().flat_map(|(index, times)| {
        let piece = &project.pieces[index];
        let outline = (None, piece.cut_by);
        let operations = piece
            .operations
            .iter()
            .enumerate()
            .map(|(i, o)| (Some(i), o.by));
        std::iter::once(outline)
            .chain(operations)
            .map(move |(operation, by)| HandWork {
                piece: index,
                operation,
                by,
                times,
            })
    });
    work.filter(|w| w.by != Maker::Machine).collect()
}
