//! How well print and cut meet, and whether bleed, gap and reveals cover it.
//!
//! Errors that have nothing to do with each other add up by their squares: what is left of the printer's error once it is made up for,
//! how the sheet is laid, and the machine or the blade. What was not measured is taken from `assumed`. `machine` and `trimmer` go
//! through the sheets and keep the worst printed point of a cut; `needs` compares that with what the project has. What moves all
//! points of a sheet alike is not told apart from what moves one, and damp paper, which may grow by 0.3 %, is left out: print and cut
//! within the hour. Pieces that are cut by scissors or a die are left out, too.

mod assumed;
mod machine;
mod needs;
mod trimmer;
mod variance;

pub(super) use needs::warnings;

use super::Sheet;
use super::trimmer::is_cut_to_size;
use crate::length::Length;
use crate::project::{CutBy, Face, Maker, Piece, Project};

/// How well print and cut of a job meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// Each way of cutting, the surest last; empty where nothing that is printed is cut by machine or trimmer.
    pub ways: Vec<Misfit>,
    /// The narrowest bleed of what is printed to the edge of a piece, and the piece's position in the project's list.
    pub bleed: Option<(Length, usize)>,
    /// The gap, and how far two cuts may come nearer 19 times in 20, in millimetres; `None` where no two cuts lie beside each other.
    pub gap: Option<(Length, f64)>,
    /// The narrowest reveal with the position of its piece, and how far a layer may be off 19 times in 20, in millimetres.
    pub reveal: Option<(Length, usize, f64)>,
}

/// How far print and cut may miss each other in one way of cutting.
#[derive(Debug, Clone, PartialEq)]
pub struct Misfit {
    /// How it is cut.
    pub way: CutWay,
    /// Stays within this 19 times in 20, at the worst place, in millimetres.
    pub within_mm: f64,
    /// What it consists of there.
    pub shares: Vec<Share>,
}

/// A way of cutting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CutWay {
    /// By machine, from the sheet's corner.
    FromCorner,
    /// By machine, brought into register by the printed marks.
    ByMarks,
    /// By hand with a trimmer.
    ByHand,
}

/// What one thing adds to a misfit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// What.
    pub of: Source,
    /// By itself it stays within this 19 times in 20, in millimetres.
    pub within_mm: f64,
    /// Whether it was measured or is taken for usual.
    pub is_assumed: bool,
}

/// What makes print and cut miss each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// Where the printer puts the page, or what is left of that after it is made up for.
    Printer,
    /// How the sheet is fed and laid.
    Loading,
    /// How well the marks are read.
    Marks,
    /// The cutting machine.
    Cutter,
    /// Eye, fence and blade.
    Trimmer,
}

impl Budget {
    /// The surest way of cutting.
    #[must_use]
    pub fn best(&self) -> Option<&Misfit> {
        self.ways.last()
    }
}

/// Returns the budget of a job; `None` where nothing printed is cut, and no layer leaves a reveal.
pub(super) fn budget(project: &Project, sheets: &[Sheet]) -> Option<Budget> {
    let ways = match project.job.cut_by {
        CutBy::Machine => machine::ways(project, sheets),
        CutBy::Trimmer => trimmer::way(project, sheets).into_iter().collect(),
    };
    let budget = Budget {
        bleed: needs::narrowest_bleed(project, sheets).filter(|_| !ways.is_empty()),
        gap: needs::gap(project, sheets),
        reveal: needs::narrowest_reveal(project, sheets),
        ways,
    };
    (!budget.ways.is_empty() || budget.reveal.is_some()).then_some(budget)
}

/// The faces of a sheet on which the piece at a place is printed, on any of the physical sheets.
fn printed_faces(sheet: &Sheet, placement: usize) -> impl Iterator<Item = Face> + '_ {
    [Face::Front, Face::Back].into_iter().filter(move |face| {
        let contents = sheet
            .prints
            .iter()
            .filter_map(|run| run.contents.get(placement));
        contents
            .flat_map(|content| &content.artwork)
            .any(|layer| layer.face == *face)
    })
}

/// Whether the outline of a piece is cut in the way of the job, not by scissors or a die.
fn is_cut(project: &Project, piece: &Piece) -> bool {
    match project.job.cut_by {
        CutBy::Machine => piece.cut_by == Maker::Machine,
        CutBy::Trimmer => is_cut_to_size(piece),
    }
}
