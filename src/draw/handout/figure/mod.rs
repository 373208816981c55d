//! Each piece drawn to a stated scale, as it lies while it is scored: outline and creases by line kind, treated areas hatched, panels
//! named, and the positions of all scores.
//!
//! `hatch` says what is hatched and how, `place` finds room for words, `rail` sets positions along an edge, `dimension` the sizes. A drawing
//! with its words is one block and never splits.

mod details;
mod dimension;
mod hatch;
mod panels;
mod place;
mod rail;

use kurbo::{Affine, BezPath, Rect, Shape, Vec2};

pub(super) use hatch::{Hatch, hatched, treated};

use super::super::line_kind::LineKind;
use super::super::typeset::{Block, INK, Look, WIDTH_MM, paragraph, stack};
use super::picture::tagged;
use super::{MEASURE_MM, Told, key, section, subsection, words};
use crate::drawing::{Item, Paint, Stroke, moved_all};
use crate::geometry::mirror_about_x;
use crate::handout::PieceWork;
use crate::length::Length;
use crate::plan::operation_names;
use crate::project::{Edge, Face, OperationKind, Piece};

/// Scales of drawings, the largest first.
const SCALES: [(f64, &str); 9] = [
    (1.0, "1:1"),
    (0.5, "1:2"),
    (0.4, "1:2.5"),
    (1.0 / 3.0, "1:3"),
    (0.25, "1:4"),
    (0.2, "1:5"),
    (0.1, "1:10"),
    (0.05, "1:20"),
    (0.02, "1:50"),
];

/// Half a page less what stands above a drawing: how high it may be with its sizes, so that two stand on a page.
const HALF_PAGE_MM: f64 = 98.0;

/// Returns the drawings of all pieces, after what their lines mean.
pub(super) fn blocks(told: Told<'_>) -> Vec<Block> {
    if told.handout.pieces.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![section("The pieces, drawn to scale")];
    blocks.extend(key::blocks(told));
    for work in &told.handout.pieces {
        blocks.extend(piece(told, work));
    }
    blocks
}

fn piece(told: Told<'_>, work: &PieceWork) -> Vec<Block> {
    let (scale, drawing) = figure(told, work);
    let mut facts = vec![format!(
        "drawn {scale}, {} up",
        words::face(told.project, work.piece, work.scored_face)
    )];
    facts.extend(cut_first(told, work));
    facts.extend(details::facts(told, work));
    facts.extend(work.treated.iter().map(|t| t.words.clone()));
    let facts = facts
        .iter()
        .flat_map(|f| paragraph(f, Look::body(MEASURE_MM)));
    vec![
        subsection(&told.lettered(work.piece)),
        stack(facts.collect()).with_next(),
        drawing.before(2.5),
    ]
}

/// What makes a piece of the larger one that is drawn.
fn cut_first(told: Told<'_>, work: &PieceWork) -> Option<String> {
    let piece = told.piece(work);
    let (rough, style) = (work.rough?, told.handout.style);
    let (rough, size) = (words::size(rough, style), words::size(work.size, style));
    Some(match &piece.finish {
        Some(finish) => {
            let tool = &told.project.tools[finish.tool].name;
            format!("cut to {rough} first, the thin broken line; then {tool} makes it {size}")
        }
        None => format!("drawn as it is cut, {rough}; {size} once it is glued and trimmed flush"),
    })
}

/// A piece as it is drawn.
#[derive(Debug, Clone, Copy)]
struct Seen<'a> {
    told: Told<'a>,
    work: &'a PieceWork,
    piece: &'a Piece,
    /// The piece frame to the drawing's, whose origin is the top left corner of the piece's box.
    map: Affine,
    width_mm: f64,
    height_mm: f64,
}

impl Seen<'_> {
    fn bounds(&self) -> Rect {
        Rect::new(0.0, 0.0, self.width_mm, self.height_mm)
    }

    fn outline(&self) -> BezPath {
        self.map * self.piece.outline.path()
    }

    /// Width and height of what is drawn: of the rough piece, where a tool or trimming makes it smaller.
    fn drawn_size(&self) -> (Length, Length) {
        self.work.rough.unwrap_or(self.work.size)
    }

    /// The box of what is scored, on the drawing.
    fn scored_bounds(&self) -> Rect {
        match &self.piece.finish {
            Some(finish) => boxed(&(self.map * finish.finished.path())),
            None => self.bounds(),
        }
    }

    /// An edge of the piece as the drawing shows it.
    fn edge(&self, edge: Edge) -> Edge {
        match (self.work.scored_face, edge) {
            (Face::Back, Edge::Left) => Edge::Right,
            (Face::Back, Edge::Right) => Edge::Left,
            (Face::Front | Face::Back, _) => edge,
        }
    }
}

/// Draws a piece at the largest scale at which it keeps to half a page.
fn figure(told: Told<'_>, work: &PieceWork) -> (&'static str, Block) {
    let mut last = None;
    for (scale, name) in SCALES {
        let seen = seen(told, work, scale);
        if seen.width_mm > WIDTH_MM || seen.height_mm > HALF_PAGE_MM {
            continue;
        }
        let (filled, items) = drawn(&seen);
        let is_fitting = filled.width() <= WIDTH_MM && filled.height() <= HALF_PAGE_MM;
        last = Some((name, filled, items, seen));
        if is_fitting {
            break;
        }
    }
    let Some((name, filled, items, seen)) = last else {
        return ("", Block::default());
    };
    let left_mm = ((WIDTH_MM - filled.width()) / 2.0).clamp(0.0, 10.0);
    let by = Vec2::new(left_mm - filled.x0, 0.0 - filled.y0);
    let mut block = Block::new(moved_all(&items, by), filled.height());
    let key = panels::named(&seen).1;
    if !key.is_empty() {
        let below = paragraph(&key.join(" · "), Look::body(MEASURE_MM));
        let mut parts = vec![block];
        parts.extend(
            below
                .into_iter()
                .enumerate()
                .map(|(i, line)| line.before(if i == 0 { 2.0 } else { 0.0 })),
        );
        block = stack(parts);
    }
    (name, block)
}

fn seen<'a>(told: Told<'a>, work: &'a PieceWork, scale: f64) -> Seen<'a> {
    let piece = told.piece(work);
    let bounds = piece.outline.bounds();
    let turned = match work.scored_face {
        Face::Front => Affine::IDENTITY,
        Face::Back => mirror_about_x(bounds.center().x),
    };
    let map = Affine::scale(scale) * Affine::translate(-bounds.origin().to_vec2()) * turned;
    Seen {
        told,
        work,
        piece,
        map,
        width_mm: bounds.width() * scale,
        height_mm: bounds.height() * scale,
    }
}

/// Everything of a drawing, with the box that it fills.
fn drawn(seen: &Seen<'_>) -> (Rect, Vec<Item>) {
    let mut items = Vec::new();
    for (hatch, area) in treated(seen.told, seen.work) {
        items.extend(hatched(&(seen.map * area), hatch));
    }
    let is_mirrored = seen.work.scored_face == Face::Back;
    let lines = lines(seen.piece, seen.map, !is_mirrored);
    items.push(tagged("piece-drawing", seen.piece.id.clone(), lines));
    let (rails, mut filled) = rail::rails(seen);
    items.extend(rails);
    items.extend(panels::named(seen).0);
    let (sizes, of_sizes) = dimension::sizes(seen);
    items.extend(sizes);
    filled = filled.union(of_sizes);
    (filled, items)
}

/// Outline and operations of a piece in black, each tagged with its name, as seen from the front or from the back.
pub(super) fn lines(piece: &Piece, map: Affine, is_front: bool) -> Vec<Item> {
    let named = piece.operations.iter().zip(operation_names(piece));
    let mut items: Vec<Item> = named
        .map(|(operation, name)| {
            let kind = kind(operation.kind, is_front);
            let mut stroke = stroke(kind);
            if let OperationKind::Perforation { cut, gap } = operation.kind {
                let scale = map.determinant().abs().sqrt();
                stroke.dash_mm = vec![cut.to_mm() * scale, gap.to_mm() * scale];
            }
            let line = line(map * operation.path.clone(), stroke);
            tagged(
                operation.kind.name(),
                format!("{}.{name}", piece.id),
                vec![line],
            )
        })
        .collect();
    let outline = |kind: LineKind| line(map * piece.outline.path(), stroke(kind));
    let own = match piece.finish {
        Some(_) => outline(LineKind::Rough),
        None => outline(LineKind::Cut),
    };
    items.push(tagged("cut", format!("{}.outline", piece.id), vec![own]));
    if let Some(finish) = &piece.finish {
        let cut = line(map * finish.finished.path(), stroke(LineKind::Cut));
        let id = format!("{}.finished", piece.id);
        items.push(tagged("finished", id, vec![cut]));
    }
    items
}

fn line(path: BezPath, stroke: Stroke) -> Item {
    Item::Stroke {
        path,
        stroke,
        paint: Paint::flat(INK),
    }
}

/// The line kind's stroke, a little heavier than on proofs, for eyes at a table.
pub(super) fn stroke(kind: LineKind) -> Stroke {
    let stroke = kind.stroke();
    Stroke {
        width_mm: stroke.width_mm * 1.4,
        ..stroke
    }
}

fn kind(kind: OperationKind, is_front: bool) -> LineKind {
    let seen = LineKind::of_kind(kind);
    if is_front {
        seen
    } else {
        seen.seen_from_behind()
    }
}

/// All kinds of lines that a piece has, seen from a face.
pub(super) fn line_kinds(piece: &Piece, face: Face) -> Vec<LineKind> {
    let kinds = piece.operations.iter();
    kinds.map(|o| kind(o.kind, face == Face::Front)).collect()
}

/// The box of a path; nothing for an empty one.
fn boxed(path: &BezPath) -> Rect {
    path.bounding_box()
}
