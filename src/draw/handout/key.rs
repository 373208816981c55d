//! What lines and hatchings of the drawings mean.

use kurbo::{Point, Rect, Shape};

use super::super::line_kind::LineKind;
use super::super::typeset::{Block, INK, Letter};
use super::Told;
use super::figure::{Hatch, hatched, line_kinds, treated};
use super::picture::sample;
use crate::project::{Edge, Fold};

const SAMPLE_MM: f64 = 16.0;
const WORDS_MM: f64 = 20.0;
const PITCH_MM: f64 = 6.0;

/// One entry for each kind of line and hatching that some piece has.
pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    let mut kinds: Vec<LineKind> = vec![LineKind::Cut];
    let mut hatches: Vec<Hatch> = Vec::new();
    for work in &told.handout.pieces {
        let piece = told.piece(work);
        kinds.extend(line_kinds(piece, work.scored_face));
        kinds.extend(piece.finish.as_ref().map(|_| LineKind::Rough));
        hatches.extend(treated(told, work).into_iter().map(|t| t.0));
    }
    kinds.sort_unstable();
    kinds.dedup();
    hatches.sort_unstable();
    hatches.dedup();
    let lines = kinds.into_iter().map(line_entry);
    let mut blocks: Vec<Block> = lines.chain(hatches.into_iter().map(hatch_entry)).collect();
    let lengths = distances(told);
    if told.handout.pieces.iter().any(|w| !w.scores.is_empty()) {
        blocks.push(entry(Vec::new(), lengths));
    }
    // A key stands on the page of the first drawing.
    for block in &mut blocks {
        block.keeps_next = true;
    }
    blocks
}

/// From which edges the distances beside a drawing are measured.
fn distances(told: Told<'_>) -> &'static str {
    let scores = told.handout.pieces.iter().flat_map(|w| &w.scores);
    let is_usual = |edge: Edge| match edge {
        Edge::Left | Edge::Top => true,
        Edge::Right | Edge::Bottom => false,
    };
    if scores.map(|score| score.fence).all(is_usual) {
        "numbers above: from the left edge; numbers at the left: from the top edge, as on the scoring list"
    } else {
        "numbers above: from the left or right edge; at the left: from the top or bottom: the one with a thick line"
    }
}

fn line_entry(kind: LineKind) -> Block {
    let middle = Point::new(0.0, PITCH_MM / 2.0);
    let text = match kind {
        LineKind::Valley => format!(
            "{}: the crease sinks away from you, seen from the face drawn",
            Fold::Valley.name()
        ),
        LineKind::Mountain => format!(
            "{}: the crease rises towards you, seen from the face drawn",
            Fold::Mountain.name()
        ),
        LineKind::Cut
        | LineKind::Hole
        | LineKind::PartialCut
        | LineKind::Perforation
        | LineKind::Line
        | LineKind::Rough => kind.label().to_owned(),
    };
    entry(vec![sample(kind, middle, SAMPLE_MM)], &text)
}

fn hatch_entry(hatch: Hatch) -> Block {
    let patch = Rect::new(0.0, 0.6, SAMPLE_MM, PITCH_MM - 0.6).to_path(0.1);
    entry(hatched(&patch, hatch), &hatch.label())
}

fn entry(mut items: Vec<crate::drawing::Item>, text: &str) -> Block {
    let baseline_mm = PITCH_MM / 2.0 + 0.35 * Letter::BODY.size_mm;
    let x_mm = if items.is_empty() { 0.0 } else { WORDS_MM };
    items.push(Letter::BODY.at(text, (x_mm, baseline_mm), INK));
    Block::new(items, PITCH_MM)
}
