//! What is done to each kind of piece: how many, how large, where it is scored, what is done to its areas, what it lies on.

use super::layer::layer_on;
use super::model::PieceWork;
use super::scores::{scored_face, scores};
use super::treatments::treated;
use crate::geometry::Outline;
use crate::length::Length;
use crate::project::{Piece, Project};

/// Returns what is done to every kind of piece, in project order.
pub(super) fn pieces(project: &Project) -> Vec<PieceWork> {
    let work = (0..project.pieces.len()).map(|index| piece_work(project, index));
    work.collect()
}

fn piece_work(project: &Project, index: usize) -> PieceWork {
    let piece = &project.pieces[index];
    let outline = piece.finished();
    let face = scored_face(piece);
    let (scores, by_fence) = scores(project, piece, outline, face);
    let (size, rough) = sizes(piece);
    let wanted = wanted(project, piece);
    PieceWork {
        piece: index,
        per_copy: piece.per_copy,
        wanted,
        have: there_already(project, index),
        size,
        rough,
        is_rectangle: outline.is_rectangle(),
        scores,
        scored_face: face,
        by_fence,
        treated: treated(project, piece),
        layer: layer_on(project, index),
    }
}

/// Width and height of the finished box, and those it is cut to first where they are others.
fn sizes(piece: &Piece) -> ((Length, Length), Option<(Length, Length)>) {
    let (width, height) = box_size(&piece.outline);
    if let Some(finish) = &piece.finish {
        return (box_size(&finish.finished), Some((width, height)));
    }
    let oversize = piece.mount.as_ref().map_or(Length::ZERO, |m| m.oversize);
    if oversize > Length::ZERO {
        let finished = (width - oversize * 2, height - oversize * 2);
        return (finished, Some((width, height)));
    }
    ((width, height), None)
}

fn box_size(outline: &Outline) -> (Length, Length) {
    let bounds = outline.bounds();
    (side(bounds.width()), side(bounds.height()))
}

/// A side of a box. The boxes of curves are right to a fraction of a micrometre; a size that was meant so lies on a ruler.
fn side(side_mm: f64) -> Length {
    let side = Length::nearest_mm(side_mm);
    let steps = [Length::from_inch_fraction(1, 64), Length::from_um(10)];
    let on_ruler = steps.map(|step| {
        let count = (side.nm() + step.nm() / 2).div_euclid(step.nm());
        step * count
    });
    let is_meant = |ruler: &Length| (*ruler - side).abs() < Length::from_um(1);
    on_ruler.into_iter().find(is_meant).unwrap_or(side)
}

/// How many all wanted copies need.
fn wanted(project: &Project, piece: &Piece) -> u32 {
    let copies: u32 = project.editions.iter().map(|e| e.copies).sum();
    copies.saturating_mul(piece.per_copy)
}

/// How many there are before anything is cut: made before, or left by the passes of a die that other pieces need anyway.
fn there_already(project: &Project, index: usize) -> u32 {
    let editions = 0..project.editions.len();
    editions.map(|edition| project.there(edition, index)).sum()
}

impl PieceWork {
    /// Returns the width and height that it has while it is scored: before it is glued and trimmed flush.
    ///
    /// Widths between scores add up to these.
    #[must_use]
    pub fn scored_size(&self) -> (Length, Length) {
        let is_trimmed_later = self.layer.as_ref().is_some_and(|layer| layer.trim_flush);
        self.rough.filter(|_| is_trimmed_later).unwrap_or(self.size)
    }
}
