//! How a piece is scored and folded, in words.

use super::model::{PieceWork, Score};
use super::words;
use crate::diagnostic::listed;
use crate::length::LengthStyle;
use crate::project::{Face, Fold, Maker, OperationKind, Project};

/// The heaviest paper, in grams per square metre, that folds well towards either side of a score: many makers score on the inside, and
/// under this both work (common practice, no source).
const EITHER_SIDE_GSM: f64 = 250.0;

/// Returns how a piece is scored: which face up, from which edge, when it is turned. `None` where nothing is.
pub(super) fn scoring(project: &Project, work: &PieceWork) -> Option<String> {
    let piece = &project.pieces[work.piece];
    if !has_creases(project, work) {
        return None;
    }
    let name = words::piece(project, piece);
    let face = work.scored_face.name();
    let mut text = if are_made(project, work, Maker::Machine) {
        format!("The machine creases {name}. By hand, lay it {face} up.")
    } else if are_made(project, work, Maker::Die) {
        format!("The die creases {name}. By hand, lay it {face} up.")
    } else {
        format!("Score {name}: lay it {face} up.")
    };
    for (i, group) in work.scores.chunk_by(|a, b| a.fence == b.fence).enumerate() {
        let fence = group[0].fence.name();
        let turn = match i {
            0 => "Put the",
            _ => "Turn it a quarter and put the",
        };
        let at: Vec<String> = group
            .iter()
            .map(|score| set(score, project.job.lengths))
            .collect();
        let at = listed(&at);
        text.push_str(&format!(
            " {turn} {fence} edge at the fence: score at {at}."
        ));
    }
    match free_creases(project, work).count() {
        0 => {}
        1 => {
            text.push_str(
                " Score the crease without a number by the template: no fence guides it.",
            );
        }
        n => text.push_str(&format!(
            " Score the {n} creases without a number by the template: no fence guides them."
        )),
    }
    if is_heavy_and_folds_both_ways(project, work) {
        text.push_str(" In paper this heavy, turn it over to score the valleys.");
    }
    Some(text)
}

/// `20 mm (1)`, with where it ends if it does not run from edge to edge.
fn set(score: &Score, style: LengthStyle) -> String {
    let at = score.at.display(style);
    let number = score.number;
    match score.span {
        None => format!("{at} ({number})"),
        Some((from, to)) => {
            let (from, to) = (from.display(style), to.display(style));
            format!("{at} ({number}, from {from} to {to} only)")
        }
    }
}

/// Returns which scores are made again after embossing.
pub(super) fn again(project: &Project, work: &PieceWork) -> Option<String> {
    let numbers = numbers(work.scores.iter().filter(|score| score.again));
    let name = words::piece(project, &project.pieces[work.piece]);
    (!numbers.is_empty()).then(|| {
        let noun = if numbers.len() == 1 {
            "score"
        } else {
            "scores"
        };
        format!(
            "{name}: embossing pressed them flat, so make {noun} {} again.",
            listed(&numbers)
        )
    })
}

/// Returns how a piece is folded, as the scored face shows it.
pub(super) fn folding(project: &Project, work: &PieceWork) -> Option<String> {
    if !has_creases(project, work) {
        return None;
    }
    let name = words::piece(project, &project.pieces[work.piece]);
    let face = work.scored_face.name();
    let folds = |fold: Fold| {
        let mut at = numbers(work.scores.iter().filter(|score| score.fold == fold));
        match free_creases(project, work).filter(|f| *f == fold).count() {
            0 => {}
            1 => at.push("the crease without a number".to_owned()),
            n => at.push(format!("the {n} creases without a number")),
        }
        listed(&at)
    };
    let (mountains, valleys) = (folds(Fold::Mountain), folds(Fold::Valley));
    let mut text = format!("Fold {name}, {face} up:");
    let mut ways = Vec::new();
    if !mountains.is_empty() {
        ways.push(format!("away from you at {mountains} (mountain)"));
    }
    if !valleys.is_empty() {
        ways.push(format!("towards you at {valleys} (valley)"));
    }
    text.push_str(&format!(" {}. Press each fold.", ways.join(", ")));
    Some(text)
}

fn numbers<'a>(scores: impl Iterator<Item = &'a Score>) -> Vec<String> {
    scores.map(|score| score.number.to_string()).collect()
}

/// Position, direction as the front shows it, and maker of each crease.
fn creases<'a>(
    project: &'a Project,
    work: &PieceWork,
) -> impl Iterator<Item = (usize, Fold, Maker)> + use<'a> {
    let operations = project.pieces[work.piece].operations.iter().enumerate();
    operations.filter_map(|(i, operation)| match operation.kind {
        OperationKind::Crease { fold } => Some((i, fold, operation.by)),
        OperationKind::Cut
        | OperationKind::Hole
        | OperationKind::Perforation { .. }
        | OperationKind::PartialCut
        | OperationKind::Line => None,
    })
}

/// How the creases that have no number in the scoring list fold, as the scored face shows it.
fn free_creases(project: &Project, work: &PieceWork) -> impl Iterator<Item = Fold> {
    let is_free = |i: usize| !work.scores.iter().any(|s| s.operations.contains(&i));
    let free = creases(project, work).filter(move |(i, ..)| is_free(*i));
    free.map(|(_, fold, _)| match work.scored_face {
        Face::Front => fold,
        Face::Back => fold.from_behind(),
    })
}

/// Whether a piece is creased at all.
pub(super) fn has_creases(project: &Project, work: &PieceWork) -> bool {
    creases(project, work).next().is_some()
}

fn are_made(project: &Project, work: &PieceWork, maker: Maker) -> bool {
    creases(project, work).all(|(_, _, by)| by == maker)
}

fn is_heavy_and_folds_both_ways(project: &Project, work: &PieceWork) -> bool {
    let stock = &project.stocks[project.pieces[work.piece].stock];
    let has = |wanted: Fold| creases(project, work).any(|(_, fold, _)| fold == wanted);
    stock.grammage_gsm.is_some_and(|gsm| gsm > EITHER_SIDE_GSM)
        && has(Fold::Mountain)
        && has(Fold::Valley)
}
