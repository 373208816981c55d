//! How a piece is cut, in words.

use super::model::PieceWork;
use super::words::{self, sized};
use crate::diagnostic::{counted, listed};
use crate::project::{CutBy, Maker, OperationKind, Project, StockSide, ToolKind};

/// Returns how a piece is cut: how many of it, how large, from what, by what.
pub(super) fn cutting(project: &Project, work: &PieceWork) -> Option<String> {
    let piece = &project.pieces[work.piece];
    let style = project.job.lengths;
    let name = words::piece(project, piece);
    let (first, then) = how(project, work);
    let first_size = sized(work.rough.unwrap_or(work.size), style);
    let count = work.per_copy;
    let mut text = format!(
        "Cut {count} {name}: {first_size} from {}, {first}.",
        project.stock_names(work.piece)
    );
    if !project.stocks[piece.stock].has_faces_alike() {
        let side = match piece.shows {
            StockSide::A => "face A",
            StockSide::B => "face B",
        };
        text.push_str(&format!(" Its front is {side} of the paper."));
    }
    if let Some(then) = then {
        text.push_str(&format!(" {then}"));
    }
    if let Some(inner) = inner_cuts(project, work) {
        text.push_str(&format!(" {inner}"));
    }
    Some(text)
}

/// What cuts it first, and what gives it its shape.
fn how(project: &Project, work: &PieceWork) -> (String, Option<String>) {
    let piece = &project.pieces[work.piece];
    let first = match (project.job.cut_by, piece.cut_by) {
        (CutBy::Machine, Maker::Machine) => "by machine",
        (CutBy::Trimmer, Maker::Machine | Maker::Hand | Maker::Die) => "with the trimmer",
        (CutBy::Machine, Maker::Hand | Maker::Die) => "with a knife along a metal rule",
    };
    let finished = sized(work.size, project.job.lengths);
    let shape = if let Some(finish) = &piece.finish {
        let tool = &project.tools[finish.tool];
        let how = match tool.kind {
            ToolKind::Die { .. } => "Cut its shape with",
            ToolKind::Punch { .. } | ToolKind::Embosser { .. } | ToolKind::ScoringBoard { .. } => {
                "Punch its shape with"
            }
        };
        Some(format!("{how} {}: {finished} in the end.", tool.name))
    } else if work.layer.as_ref().is_some_and(|layer| layer.trim_flush) {
        Some(format!("It is trimmed to {finished} once it is glued."))
    } else if !work.is_rectangle {
        match piece.cut_by {
            Maker::Machine => None,
            Maker::Hand => Some("Cut its shape with scissors or a knife, by the template.".into()),
            Maker::Die => Some("Cut its shape with its die.".into()),
        }
    } else {
        None
    };
    (first.to_owned(), shape)
}

/// What else is cut by hand or by a die.
fn inner_cuts(project: &Project, work: &PieceWork) -> Option<String> {
    let piece = &project.pieces[work.piece];
    let nouns: Vec<&str> = piece
        .operations
        .iter()
        .filter(|operation| operation.by != Maker::Machine)
        .filter_map(|operation| cut_noun(operation.kind))
        .collect();
    let texts: Vec<String> = ["hole", "slit", "half cut", "perforation"]
        .into_iter()
        .map(|noun| (noun, nouns.iter().filter(|n| **n == noun).count()))
        .filter(|(_, count)| *count > 0)
        .map(|(noun, count)| counted(u32::try_from(count).unwrap_or(u32::MAX), noun))
        .collect();
    (!texts.is_empty()).then(|| format!("Make {} by the template.", listed(&texts)))
}

/// What a cut that is not the outline's is called; `None` where nothing is cut.
const fn cut_noun(kind: OperationKind) -> Option<&'static str> {
    match kind {
        OperationKind::Hole => Some("hole"),
        OperationKind::Cut => Some("slit"),
        OperationKind::PartialCut => Some("half cut"),
        OperationKind::Perforation { .. } => Some("perforation"),
        OperationKind::Crease { .. } | OperationKind::Line => None,
    }
}

/// Whether anything of a piece is cut with a blade by hand, the trimmer aside.
pub(super) fn needs_a_blade(project: &Project, work: &PieceWork) -> bool {
    let piece = &project.pieces[work.piece];
    let is_shaped = !work.is_rectangle && piece.finish.is_none() && piece.cut_by == Maker::Hand;
    let is_straight_by_hand = project.job.cut_by == CutBy::Machine && piece.cut_by == Maker::Hand;
    let is_trimmed = work.layer.as_ref().is_some_and(|layer| layer.trim_flush);
    let mut operations = piece.operations.iter();
    is_shaped
        || is_straight_by_hand
        || is_trimmed
        || operations.any(|o| o.by == Maker::Hand && cut_noun(o.kind).is_some())
}

/// Whether a machine cuts anything of a piece.
pub(super) fn is_cut_by_machine(project: &Project, work: &PieceWork) -> bool {
    let piece = &project.pieces[work.piece];
    project.job.cut_by == CutBy::Machine
        && (piece.cut_by == Maker::Machine
            || piece.operations.iter().any(|o| o.by == Maker::Machine))
}
