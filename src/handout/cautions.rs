//! Tools to have at hand and cautions, as they follow from the work, besides the maker's own.

use std::collections::BTreeSet;

use super::cut_words::{is_cut_by_machine, needs_a_blade};
use super::model::{Glueing, PieceWork};
use super::score_words::has_creases;
use crate::project::{Caution, CutBy, Project, ToolKind, TreatmentKind};

/// Returns the tools to have at hand, each once: those that follow from the work, then the maker's own.
pub(super) fn tools(project: &Project, pieces: &[PieceWork], gluing: &[Glueing]) -> Vec<String> {
    let mut tools: Vec<String> = Vec::new();
    let is_any = |what: fn(&Project, &PieceWork) -> bool| pieces.iter().any(|w| what(project, w));
    match project.job.cut_by {
        CutBy::Trimmer => tools.push("trimmer".to_owned()),
        CutBy::Machine if is_any(is_cut_by_machine) => tools.push("cutting machine".to_owned()),
        CutBy::Machine => {}
    }
    if is_any(needs_a_blade) {
        tools.push("craft knife, metal rule and cutting mat".to_owned());
    }
    let has_board = project.tools.iter().any(|tool| match tool.kind {
        ToolKind::ScoringBoard { .. } => true,
        ToolKind::Embosser { .. } | ToolKind::Punch { .. } | ToolKind::Die { .. } => false,
    });
    tools.extend(project.tools.iter().map(|tool| tool.name.clone()));
    if is_any(has_creases) {
        if !has_board {
            tools.push("rule and scoring tool".to_owned());
        }
        tools.push("bone folder".to_owned());
    }
    if !gluing.is_empty() && !has_adhesive(project, pieces) {
        tools.push("glue".to_owned());
    }
    tools.extend(project.lesson.tools.iter().cloned());
    let mut seen = BTreeSet::new();
    tools.retain(|tool| seen.insert(tool.to_lowercase()));
    tools
}

/// Whether the project says what something is glued with.
fn has_adhesive(project: &Project, pieces: &[PieceWork]) -> bool {
    let is_glue = |name: &str| name.to_lowercase().split(' ').any(|word| word == "glue");
    if project.supplies.iter().any(|s| is_glue(&s.name)) {
        return true;
    }
    pieces.iter().any(|work| {
        let treatments = project.pieces[work.piece].treatments.iter();
        let mut kinds = treatments.map(|treatment| &treatment.kind);
        kinds.any(|kind| matches!(kind, TreatmentKind::Glued { with: Some(_) }))
    })
}

/// Returns what is printed as a caution: what follows from the work, and what the maker asks for.
pub(super) fn cautions(
    project: &Project,
    pieces: &[PieceWork],
    gluing: &[Glueing],
) -> Vec<Caution> {
    let is_any = |what: fn(&Project, &PieceWork) -> bool| pieces.iter().any(|w| what(project, w));
    let follow = [
        (Caution::Blades, is_any(needs_a_blade)),
        (Caution::Trimmers, project.job.cut_by == CutBy::Trimmer),
        (Caution::HeatCutting, is_any(is_cut_by_machine)),
        (Caution::Glue, !gluing.is_empty()),
    ];
    let follow = follow.into_iter().filter(|(_, is_so)| *is_so);
    let mut cautions: BTreeSet<Caution> = follow.map(|(caution, _)| caution).collect();
    cautions.extend(&project.lesson.cautions);
    cautions.into_iter().collect()
}
