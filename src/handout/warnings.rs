//! Scores that a maker will not manage: two in one place, or too near to each other or to an edge.

use super::model::{PieceWork, Score};
use crate::diagnostic::Diagnostic;
use crate::length::Length;
use crate::project::{Axis, Maker, Project};

/// How near a score may come to an edge or to another one: 1/8 in (worked out by hand, no source).
const LEAST: Length = Length::from_inch_fraction(1, 8);

/// Returns a warning for each piece with scores that do not rise, or lie nearer than 1/8 in to an edge or to each other, where any of
/// them is made by hand.
#[must_use]
pub fn warnings(project: &Project) -> Vec<Diagnostic> {
    let works = super::piece_work::pieces(project);
    let works = works.iter();
    works.flat_map(|work| of_piece(project, work)).collect()
}

fn of_piece(project: &Project, work: &PieceWork) -> Vec<Diagnostic> {
    let piece = &project.pieces[work.piece];
    let by_hand = |score: &&Score| {
        let mut makers = score.operations.iter().map(|i| piece.operations[*i].by);
        makers.any(|by| by == Maker::Hand)
    };
    let mut found = Vec::new();
    for axis in [Axis::X, Axis::Y] {
        let on_axis: Vec<&Score> = work
            .scores
            .iter()
            .filter(|score| super::axis_of(score.fence) == axis)
            .filter(by_hand)
            .collect();
        let (width, height) = work.scored_size();
        let size = match axis {
            Axis::X => width,
            Axis::Y => height,
        };
        let first = at_edges(project, work, &on_axis, size);
        found.extend(first.or_else(|| at_each_other(project, work, &on_axis)));
    }
    found
}

fn at_edges(
    project: &Project,
    work: &PieceWork,
    scores: &[&Score],
    size: Length,
) -> Option<Diagnostic> {
    let from_edge = |score: &Score| score.at.min(size - score.at);
    let score = scores.iter().find(|score| from_edge(score) < LEAST)?;
    let what = format!("score {} at {}", score.number, show(project, score.at));
    let near = show(project, from_edge(score));
    Some(warning(
        project,
        work,
        &format!("{what}, {near} from an edge"),
    ))
}

fn at_each_other(project: &Project, work: &PieceWork, scores: &[&Score]) -> Option<Diagnostic> {
    let pairs = scores.iter().enumerate();
    let mut pairs = pairs.flat_map(|(i, a)| scores[..i].iter().map(move |b| (*b, *a)));
    let (b, a) = pairs.find(|(b, a)| a.at - b.at < LEAST && share_a_stretch(a, b))?;
    let shown = |score: &Score| format!("{} at {}", score.number, show(project, score.at));
    let apart = show(project, a.at - b.at);
    Some(warning(
        project,
        work,
        &format!("scores {} and {}, {apart} apart", shown(b), shown(a)),
    ))
}

/// Whether two scores run beside each other anywhere.
fn share_a_stretch(a: &Score, b: &Score) -> bool {
    match (a.span, b.span) {
        (Some((a_from, a_to)), Some((b_from, b_to))) => a_from < b_to && b_from < a_to,
        (None, _) | (_, None) => true,
    }
}

fn show(project: &Project, length: Length) -> String {
    length.display(project.job.lengths)
}

fn warning(project: &Project, work: &PieceWork, what: &str) -> Diagnostic {
    let piece = &project.pieces[work.piece];
    let id = &piece.id;
    let least = show(project, LEAST);
    Diagnostic::warning(
        "handout.scores-close",
        format!("piece \"{id}\" has {what}: less than {least}"),
    )
    .at(&piece.origin)
    .hint(format!(
        "paper tears there, and no groove holds it: keep {least} between scores and to the edge, or let the machine crease it"
    ))
}
