//! Each piece's drawing at the scale that is stated beside it, as its scored face shows it.

use kurbo::{Affine, BezPath, Point, Rect};

use super::super::compare::{PlannedPath, check_path, missing, size};
use super::super::deviation::reach;
use super::super::page::check_whole;
use super::super::pdf::found::{PageFound, PdfFound, Tagged};
use super::super::pieces::{PlannedPiece, check_dashes};
use super::super::trace::{between, bounds, corners, runs};
use super::super::verdict::{Finding, Tally};
use crate::plan::file::{HandoutEntry, PieceWorkEntry, ShownLength};

/// What a drawing is tagged as.
const DRAWING: &str = "piece-drawing";

/// A drawing with what belongs to it.
#[derive(Debug)]
struct Drawing<'f> {
    page: u32,
    parts: Vec<&'f Tagged>,
}

impl Drawing<'_> {
    fn part(&self, kind: &str, id: &str) -> Vec<&Tagged> {
        let parts = self.parts.iter().copied();
        parts
            .filter(|tagged| tagged.kind == kind && tagged.id == id)
            .collect()
    }
}

fn drawings<'f>(found: &'f PdfFound, piece: &str) -> Vec<Drawing<'f>> {
    let on_page = |(number, page): (u32, &'f PageFound)| {
        let tagged = page.tagged.iter().enumerate();
        let own = tagged.filter(|(_, tagged)| tagged.kind == DRAWING && tagged.id == piece);
        let whole = own.map(|(at, _)| {
            let parts = page.tagged.iter().filter(|part| part.within == Some(at));
            Drawing {
                page: number,
                parts: parts.collect(),
            }
        });
        whole.collect::<Vec<_>>()
    };
    (1..).zip(&found.pages).flat_map(on_page).collect()
}

/// Compares the drawing of one piece; `laid` is the piece as sheets have it, `None` if none is cut.
pub(super) fn check(
    tally: &mut Tally,
    found: &PdfFound,
    entry: &PieceWorkEntry,
    laid: Option<&PlannedPiece>,
    scale: Option<f64>,
) {
    let drawings = drawings(found, &entry.piece);
    let [drawing] = drawings.as_slice() else {
        let what = format!("drawings of {}", entry.name);
        let code = if drawings.is_empty() {
            "verify.missing"
        } else {
            "verify.extra"
        };
        let count = drawings.len().to_string();
        return tally.add(Finding::numbers(code, &what, "1", count).about(&entry.piece));
    };
    tally.on_page(drawing.page);
    for part in &drawing.parts {
        check_whole(tally, part);
    }
    let Some(scale) = scale else {
        let message = format!("no scale is stated at the drawing of {}", entry.name);
        return tally.add(Finding::new("verify.words", message).about(&entry.piece));
    };
    let outline = format!("{}.outline", entry.piece);
    let outline = drawing.part("cut", &outline);
    let Some(ink) = outline
        .first()
        .and_then(|outline| bounds(&outline.strokes()))
    else {
        let message = format!("the drawing of {} has no outline", entry.name);
        return tally.add(Finding::new("verify.missing", message).about(&entry.piece));
    };
    check_size(tally, entry, ink, scale);
    if let Some(laid) = laid {
        check_lines(tally, entry, drawing, laid, (ink, scale));
    }
}

/// The size that is written beside it, at the scale: what it is cut to first, where a punch or trimming makes it smaller.
fn check_size(tally: &mut Tally, entry: &PieceWorkEntry, ink: Rect, scale: f64) {
    let drawn = entry.rough.as_ref().unwrap_or(&entry.size);
    let what = format!("size of the drawing of {} at its scale", entry.name);
    check_box(tally, entry, (&what, drawn), ink, scale);
}

fn check_box(
    tally: &mut Tally,
    entry: &PieceWorkEntry,
    (what, sides): (&str, &[ShownLength; 2]),
    ink: Rect,
    scale: f64,
) {
    let [width_mm, height_mm] = [&sides[0], &sides[1]].map(|side| side.mm * scale);
    let off_mm = (ink.width() - width_mm)
        .abs()
        .max((ink.height() - height_mm).abs());
    if !tally.measure(off_mm) {
        let (planned, found) = (size(width_mm, height_mm), size(ink.width(), ink.height()));
        let finding = Finding::numbers("verify.scaled", what, planned, found);
        tally.add(finding.about(&entry.piece).off_by(off_mm));
    }
}

fn check_lines(
    tally: &mut Tally,
    entry: &PieceWorkEntry,
    drawing: &Drawing<'_>,
    laid: &PlannedPiece,
    (ink, scale): (Rect, f64),
) {
    let is_behind = entry.scored_face == "back";
    let whole = bounds(&laid.outline.path).unwrap_or_default();
    let turned = if is_behind {
        Affine::new([-1.0, 0.0, 0.0, 1.0, whole.x0 + whole.x1, 0.0])
    } else {
        Affine::IDENTITY
    };
    let to_origin = Affine::translate(-whole.origin().to_vec2()) * turned;
    let page_from_piece =
        Affine::translate(ink.origin().to_vec2()) * Affine::scale(scale) * to_origin;
    let on = |planned: &PlannedPath| PlannedPath {
        path: page_from_piece * &planned.path,
        ..planned.clone()
    };
    let all: Vec<PlannedPath> = laid.lines.iter().map(on).collect();
    let lines = all.iter().zip(&laid.dashes);
    // What is cut first and made smaller by a tool is a broken line, with what the tool makes inside it.
    let finished = drawing
        .parts
        .iter()
        .copied()
        .find(|part| part.kind == "finished");
    let of_outline = if finished.is_some() { 2 } else { 0 };
    check_finished(tally, entry, finished, scale);
    for (planned, dashes) in lines.chain([(&on(&laid.outline), &of_outline)]) {
        let found = drawing.part(&planned.kind, &planned.id);
        let Some(first) = found.first() else {
            tally.add(missing(planned));
            continue;
        };
        if found.len() > 1 {
            let message = format!("{} is drawn {} times", planned.name, found.len());
            tally.add(Finding::new("verify.extra", message).about(&planned.id));
        }
        if planned.kind == "perforation" {
            check_perforation(tally, planned, first);
            continue;
        }
        check_path(tally, planned, &first.strokes(), &all);
        check_dashes(tally, first, as_seen(&planned.kind, *dashes, is_behind));
    }
    let known = |part: &&Tagged| {
        let mut lines = laid.lines.iter().chain([&laid.outline]);
        let is_finished = part.kind == "finished" && entry.rough.is_some();
        !is_finished && !lines.any(|line| line.kind == part.kind && line.id == part.id)
    };
    for part in drawing.parts.iter().copied().filter(known) {
        let message = format!("{} {} is not planned in this drawing", part.kind, part.id);
        tally.add(Finding::new("verify.extra", message).about(&part.id));
    }
}

/// What a tool makes of a piece, by its size.
fn check_finished(tally: &mut Tally, entry: &PieceWorkEntry, found: Option<&Tagged>, scale: f64) {
    let is_trimmed = entry.layer.as_ref().is_some_and(|layer| layer.trim_flush);
    if entry.rough.is_none() || is_trimmed {
        return;
    }
    let Some(ink) = found.and_then(|finished| bounds(&finished.strokes())) else {
        let message = format!(
            "the drawing of {} does not show what a tool makes of it",
            entry.name
        );
        return tally.add(Finding::new("verify.missing", message).about(&entry.piece));
    };
    let what = format!("size of what a tool makes of {}, at its scale", entry.name);
    check_box(tally, entry, (&what, &entry.size), ink, scale);
}

/// A perforation is planned cut by cut and drawn as a line of dashes: all cuts lie on the line, which ends within a gap of them.
fn check_perforation(tally: &mut Tally, planned: &PlannedPath, found: &Tagged) {
    let cuts: Vec<Vec<Point>> = runs(&planned.path).iter().map(corners).collect();
    let gaps = cuts
        .windows(2)
        .filter_map(|pair| Some(between(*pair[0].last()?, *pair[1].first()?)));
    let gap_mm = gaps.fold(0.0, f64::max);
    let line = found.strokes();
    let off_mm = reach(&planned.path, &line).unwrap_or(f64::MAX);
    let beyond_mm = reach(&line, &planned.path).unwrap_or(f64::MAX) - gap_mm;
    if !tally.measure(off_mm.max(beyond_mm)) {
        let spell =
            |path: &BezPath| bounds(path).map_or_else(String::new, |b| size(b.width(), b.height()));
        let what = format!("{} lies elsewhere, box", planned.name);
        let finding = Finding::numbers("verify.moved", &what, spell(&planned.path), spell(&line));
        tally.add(finding.about(&planned.id).off_by(off_mm.max(beyond_mm)));
    }
    check_dashes(tally, found, 2);
}

/// Lengths in the pattern of a line: seen from behind, mountains are valleys.
const fn as_seen(kind: &str, dashes: usize, is_behind: bool) -> usize {
    match (is_behind && matches!(kind.as_bytes(), b"crease"), dashes) {
        (true, 2) => 4,
        (true, 4) => 2,
        (_, same) => same,
    }
}

/// Drawings of pieces that the plan does not have.
pub(super) fn check_extra(tally: &mut Tally, found: &PdfFound, handout: &HandoutEntry) {
    for (number, page) in (1..).zip(&found.pages) {
        tally.on_page(number);
        let drawn = page.tagged.iter().filter(|tagged| tagged.kind == DRAWING);
        for tagged in drawn {
            tally.count();
            if handout.pieces.iter().all(|entry| entry.piece != tagged.id) {
                let message = format!("the drawing of {} is not planned", tagged.id);
                tally.add(Finding::new("verify.extra", message).about(&tagged.id));
            }
        }
    }
}
