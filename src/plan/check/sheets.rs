//! Numbers of pieces, copies and sheets.

use super::super::{JobPlan, Sheet};
use super::broken;
use crate::diagnostic::Diagnostic;
use crate::project::Project;

/// Every piece is placed as often as asked for and not there already, or named among what found no place; spares come besides, as many as the plan says
/// and no more than are wished for.
pub(super) fn counts(project: &Project, plan: &JobPlan) -> Vec<Diagnostic> {
    let copies: u64 = project.editions.iter().map(|e| u64::from(e.copies)).sum();
    let spares: u64 = project.editions.iter().map(|e| u64::from(e.spares)).sum();
    let mut found = Vec::new();
    for (index, piece) in project.pieces.iter().enumerate() {
        let on_sheets: u64 = plan
            .sheets
            .iter()
            .map(|s| u64::from(s.runs) * count(s, index))
            .sum();
        let left: u64 = plan
            .unplaced
            .iter()
            .filter(|u| u.piece == index)
            .map(|u| u64::from(u.count))
            .sum();
        let editions = 0..project.editions.len();
        let there: u64 = editions.map(|e| u64::from(project.there(e, index))).sum();
        let wanted = copies * u64::from(piece.per_copy) - there;
        let wished = spares * u64::from(piece.per_copy);
        let spare: u64 = plan
            .spares
            .iter()
            .filter(|s| s.piece == index)
            .map(|s| u64::from(s.placed))
            .sum();
        if on_sheets + left != wanted + spare || spare > wished {
            let id = &piece.id;
            found.push(broken(&format!(
                "{wanted} of \"{id}\" are wanted and {wished} spares welcome, {on_sheets} are placed, {spare} of them spare, \
                 and {left} left over"
            )));
        }
    }
    found
}

fn count(sheet: &Sheet, piece: usize) -> u64 {
    sheet.placements.iter().filter(|p| p.piece == piece).count() as u64
}

/// No more sheets are used than there are.
pub(super) fn stock_limits(project: &Project, plan: &JobPlan) -> Vec<Diagnostic> {
    let over = project
        .stocks
        .iter()
        .enumerate()
        .filter_map(|(index, stock)| {
            let used: u64 = plan
                .sheets
                .iter()
                .filter(|s| s.stock == index)
                .map(|s| u64::from(s.runs))
                .sum();
            let most = u64::from(stock.on_hand?);
            (used > most).then(|| {
                broken(&format!(
                    "{used} sheets of \"{}\" are used, {most} are on hand",
                    stock.id
                ))
            })
        });
    over.collect()
}

/// Runs add up, and each says what lies at every place.
pub(super) fn runs(sheet: &Sheet) -> Vec<String> {
    let mut found = Vec::new();
    let times: u64 = sheet.prints.iter().map(|p| u64::from(p.times)).sum();
    if times != u64::from(sheet.runs) || sheet.prints.is_empty() {
        found.push(format!("{} runs are planned, {times} printed", sheet.runs));
    }
    for run in &sheet.prints {
        if run.contents.len() != sheet.placements.len() {
            found.push(format!(
                "{} places hold {} pieces",
                sheet.placements.len(),
                run.contents.len()
            ));
        }
        if run.front.is_some() != sheet.front.is_some()
            || run.back.is_some() != sheet.back.is_some()
        {
            found.push("a printed face has no page, or a page no printed face".to_owned());
        }
    }
    found
}
