//! What is pinned stays where it is put.

use super::super::{JobPlan, Placement};
use super::{ALLOWED_MM, broken};
use crate::diagnostic::Diagnostic;
use crate::project::{Pin, Project};

/// Turns are planned in thousandths of a degree.
const ALLOWED_DEG: f64 = 0.0005;

/// Each pinned piece lies on its sheet, which there is once, turned and shifted as the pin says.
pub(super) fn kept(project: &Project, plan: &JobPlan) -> Vec<Diagnostic> {
    let missing = project.pins.iter().filter_map(|pin| {
        let id = id(project, pin);
        let number = pin.sheet as usize - 1;
        let mut of_stock = plan.sheets.iter().filter(|s| s.stock == pin.stock);
        let sheet = of_stock.nth(number).filter(|s| s.runs == 1);
        let placed = sheet.and_then(|s| s.placements.iter().find(|p| p.id == id));
        let is_kept =
            placed.is_some_and(|placed| placed.is_pinned && lies_as(project, pin, placed));
        (!is_kept).then(|| broken(&format!("{id} is not where it is pinned")))
    });
    let pinned = plan.sheets.iter().flat_map(|s| &s.placements);
    let others = pinned.filter(|p| p.is_pinned).filter(|placed| {
        let is_declared = |pin: &Pin| placed.id == id(project, pin);
        !project.pins.iter().any(is_declared)
    });
    let others = others.map(|placed| broken(&format!("{} is pinned by nobody", placed.id)));
    missing.chain(others).collect()
}

fn id(project: &Project, pin: &Pin) -> String {
    let piece = &project.pieces[pin.piece];
    let part = if piece.per_copy > 1 {
        format!(".{}", pin.part)
    } else {
        String::new()
    };
    format!("{}#{}{part}", piece.id, pin.copy)
}

fn lies_as(project: &Project, pin: &Pin, placed: &Placement) -> bool {
    let outline = &project.pieces[pin.piece].outline;
    let lies = outline.transformed(placed.pose.to_affine()).bounds();
    (lies.x0 - pin.x.to_mm()).abs() <= ALLOWED_MM
        && (lies.y0 - pin.y.to_mm()).abs() <= ALLOWED_MM
        && (placed.pose.turn.deg() - pin.turn.deg()).abs() <= ALLOWED_DEG
}
