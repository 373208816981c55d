//! What a maker should know of a trimmer's job before the first cut.

use super::{Caution, Cut, CutList, Guide, scale};
use crate::diagnostic::Diagnostic;
use crate::length::Length;
use crate::plan::Sheet;
use crate::project::{CutBy, Project};

/// Returns a warning for each piece whose size the fence cannot be set to, each stock that needs longer cuts than the trimmer makes,
/// each printed sheet without a tick where one is needed, and each offcut whose box has no paper edge all round.
pub(in crate::plan) fn warnings(project: &Project, sheets: &[Sheet]) -> Vec<Diagnostic> {
    if project.job.cut_by == CutBy::Machine {
        return Vec::new();
    }
    let mut found: Vec<Diagnostic> = (0..project.pieces.len())
        .filter(|piece| !project.pieces[*piece].fills_sheet)
        .filter_map(|piece| off_scale(project, piece))
        .collect();
    for (number, sheet) in (1..).zip(sheets) {
        if let Some(list) = &sheet.cut_list {
            found.extend(too_long(project, number, sheet, list));
            found.extend(without_tick(project, number, sheet, list));
            found.extend(from_no_edge(project, number, sheet));
        }
    }
    found
}

fn off_scale(project: &Project, piece: usize) -> Option<Diagnostic> {
    let piece = &project.pieces[piece];
    let bounds = piece.outline.bounds();
    let show = |length: Length| length.display(project.job.lengths);
    let sides = [bounds.width(), bounds.height()].map(Length::nearest_mm);
    let off = sides.map(|side| {
        let nearest = scale::nearest(&project.trimmer, side)?;
        (nearest != side).then_some((side, nearest))
    });
    let off: Vec<String> = off
        .into_iter()
        .flatten()
        .map(|(side, nearest)| {
            let (by, way) = if nearest > side {
                (nearest - side, "more")
            } else {
                (side - nearest, "less")
            };
            let (side, nearest, by) = (show(side), show(nearest), show(by));
            format!("{side} is not on it, the nearest setting, {nearest}, is {by} {way}")
        })
        .collect();
    let division = show(project.trimmer.division?.length());
    (!off.is_empty()).then(|| {
        let text = format!(
            "piece \"{}\" does not fit the trimmer's scale of {division}: {}",
            piece.id,
            off.join("; ")
        );
        Diagnostic::warning("plan.off-scale", text)
            .at(&piece.origin)
            .hint("choose a size on the scale, or set the fence by a ruler")
    })
}

/// The first cut of a sheet that no stroke is long enough for.
fn too_long(project: &Project, number: u32, sheet: &Sheet, list: &CutList) -> Option<Diagnostic> {
    let is_long = |cut: &&Cut| cut.cautions.contains(&Caution::BeyondReach);
    let cut = list.cuts.iter().find(is_long)?;
    let show = |length: Length| length.display(project.job.lengths);
    let text = format!(
        "cut {} of sheet {number} is {} long, the trimmer reaches {}",
        cut.number,
        show(Length::nearest_mm(cut.length_mm)),
        show(project.trimmer.reach.length())
    );
    let stock = &project.stocks[sheet.stock];
    Some(
        Diagnostic::warning("plan.beyond-reach", text)
            .at(&stock.origin)
            .hint("make this cut with a knife along a metal rule"),
    )
}

fn without_tick(
    project: &Project,
    number: u32,
    sheet: &Sheet,
    list: &CutList,
) -> Option<Diagnostic> {
    let cut = list.cuts.iter().find(|cut| cut.guide == Guide::Print)?;
    let text = format!(
        "sheet {number} has no room for a tick at cut {}, which brings it in line with the print",
        cut.number
    );
    let stock = &project.stocks[sheet.stock];
    Some(
        Diagnostic::warning("plan.no-tick", text)
            .at(&stock.origin)
            .hint("cut along the edge of the printed pieces"),
    )
}

/// A sheet whose fences count from the box of an offcut, which may have no edge there.
fn from_no_edge(project: &Project, number: u32, sheet: &Sheet) -> Option<Diagnostic> {
    let stock = &project.stocks[sheet.stock];
    let edge = stock.edge_seen(sheet.front_is)?;
    if edge.is_rectangle() {
        return None;
    }
    let text = format!(
        "the cuts of sheet {number} are measured from the box around offcut \"{}\", whose own edge may lie elsewhere",
        stock.id
    );
    Some(
        Diagnostic::warning("plan.no-edge", text)
            .at(&stock.origin)
            .hint("draw the first cuts on it as its picture shows them, and cut these by eye"),
    )
}
