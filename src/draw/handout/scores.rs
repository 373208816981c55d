//! The scoring list: each score on a line, as it is set at the fence.

use super::super::typeset::{Block, Cell, Look, Row, Table, WIDTH_MM, paragraph, stack, table};
use super::{MEASURE_MM, Told, section, subsection, words};
use crate::handout::{GrooveFit, PieceWork, Score};
use crate::length::Length;
use crate::project::{Edge, OperationKind};

/// From a main heading to the first one below it.
const BELOW_SECTION_MM: f64 = 1.5;
/// What the words of the list mean.
const FENCE: &str = "Scores are set from one edge of the piece, which lies at the fence: the stop of a scoring board, or a ruler taped to the table.";
const FOLDS_BY: &str = "\"Folds by\" says how far the paper turns from flat: by 90° it stands upright, by 180° it lies flat on itself.";
const NO_GROOVE: &str = "Where the board has no groove, score along a metal rule.";

pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    let scored: Vec<&PieceWork> = told
        .handout
        .pieces
        .iter()
        .filter(|w| is_scored(told, w))
        .collect();
    if scored.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![section("Scoring list")];
    let has_board = scored
        .iter()
        .flat_map(|w| &w.scores)
        .any(|s| s.groove.is_some());
    let words = if has_board {
        [FENCE, FOLDS_BY, NO_GROOVE].join(" ")
    } else {
        [FENCE, FOLDS_BY].join(" ")
    };
    blocks.extend(paragraph(&words, Look::body(MEASURE_MM)));
    for (i, work) in scored.into_iter().enumerate() {
        let mut own = piece(told, work);
        if let Some(heading) = own.first_mut().filter(|_| i == 0) {
            heading.before_mm = BELOW_SECTION_MM;
        }
        blocks.extend(own);
    }
    blocks
}

fn is_scored(told: Told<'_>, work: &PieceWork) -> bool {
    let operations = &told.piece(work).operations;
    let is_crease = |kind: OperationKind| match kind {
        OperationKind::Crease { .. } => true,
        OperationKind::Cut
        | OperationKind::Perforation { .. }
        | OperationKind::PartialCut
        | OperationKind::Hole
        | OperationKind::Line => false,
    };
    !work.scores.is_empty() || operations.iter().any(|o| is_crease(o.kind))
}

fn piece(told: Told<'_>, work: &PieceWork) -> Vec<Block> {
    let face = words::face(told.project, work.piece, work.scored_face);
    let up = format!("Score it with this face up: {face}.");
    let mut blocks = vec![subsection(&told.lettered(work.piece))];
    let line = |text: &str| stack(paragraph(text, Look::body(MEASURE_MM))).with_next();
    blocks.push(line(&up));
    if !work.by_fence {
        blocks.push(line(&not_along(told, work)));
    }
    if work.scores.is_empty() {
        if let Some(last) = blocks.last_mut() {
            last.keeps_next = false;
        }
        return blocks;
    }
    if let Some(rounded) = rounded(told, work) {
        blocks.push(line(&rounded));
    }
    let has_board = work.scores.iter().any(|s| s.groove.is_some());
    let mut head = vec!["Score", "Set", "Fold", "Folds by", "Times"];
    if has_board {
        head.push("Board");
    }
    let mut rows = Vec::new();
    let mut fence = work.scores.first().map(|s| s.fence);
    for score in &work.scores {
        if fence != Some(score.fence) {
            rows.push(turn(score.fence));
            fence = Some(score.fence);
        }
        rows.push(row(told, score, has_board));
    }
    let scores = Table {
        head: head.into_iter().map(str::to_owned).collect(),
        rows,
    };
    blocks.extend(table(&scores, WIDTH_MM));
    blocks
}

/// Where another edge comes to the fence.
fn turn(fence: Edge) -> Row {
    Row {
        cells: Vec::new(),
        notes: vec![format!(
            "Turn the piece, the same face up: now the {} edge lies at the fence.",
            fence.name()
        )],
    }
}

fn row(told: Told<'_>, score: &Score, has_board: bool) -> Row {
    let at = score.at.display(told.handout.style);
    let set = format!("from the {} edge at {at}", score.fence.name());
    let when = if score.again { "twice" } else { "once" };
    let mut cells = vec![
        Cell::strong(format!("score {}", score.number)),
        Cell::plain(set),
        Cell::plain(score.fold.name()),
        Cell::plain(format!("{}°", score.folds_to_deg)),
        Cell::plain(when),
    ];
    if has_board {
        cells.push(Cell::plain(board(score)));
    }
    Row {
        cells,
        notes: notes(told, score),
    }
}

const fn board(score: &Score) -> &'static str {
    match score.groove {
        None => "",
        Some(GrooveFit::InGroove) => "in a groove",
        Some(GrooveFit::Between { .. }) => "no groove",
        Some(GrooveFit::FromFarEnd { .. }) => "from the far end",
        Some(GrooveFit::BeyondReach) => "by rule",
    }
}

fn notes(told: Told<'_>, score: &Score) -> Vec<String> {
    let style = told.handout.style;
    let mut notes = Vec::new();
    if score.again {
        notes.push("score it again after embossing".to_owned());
    }
    if let Some((from, to)) = score.span {
        let edge = match score.fence {
            Edge::Left | Edge::Right => "top",
            Edge::Top | Edge::Bottom => "left",
        };
        notes.push(format!(
            "only from {} to {}, measured from the {edge} edge",
            from.display(style),
            to.display(style)
        ));
    }
    match score.groove {
        Some(GrooveFit::FromFarEnd { at }) => notes.push(format!(
            "the board does not reach there: turn the piece end for end and set {}",
            at.display(style)
        )),
        Some(GrooveFit::BeyondReach) => {
            notes.push("the board does not reach there: score along a metal rule".to_owned());
        }
        Some(GrooveFit::InGroove | GrooveFit::Between { .. }) | None => {}
    }
    notes
}

/// Where the creases are that no fence guides.
fn not_along(told: Told<'_>, work: &PieceWork) -> String {
    let page = told
        .template_pages
        .get(work.piece)
        .and_then(|pages| pages.first());
    let template = page.map_or_else(
        || "the template".to_owned(),
        |page| format!("templates.pdf, page {page}"),
    );
    format!(
        "Not all creases lie along an edge: mark the others from {template}, or score them through it."
    )
}

/// How far distances were rounded, told once.
fn rounded(told: Told<'_>, work: &PieceWork) -> Option<String> {
    let most = work.scores.iter().map(|score| score.off.abs()).max()?;
    (most > Length::ZERO).then(|| {
        format!(
            "Set the distances as they stand: they are rounded to the rule by {} at most, which the fit allows for.",
            most.display(told.handout.style)
        )
    })
}
