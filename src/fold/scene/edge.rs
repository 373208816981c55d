//! The lines around what is seen: cut edges, creases by kind, and none where a surface only bends.

use kurbo::{Line, ParamCurve, Point};

use super::facet::Side;
use crate::fold::leaf::{Leaf, flattened};
use crate::geometry::space::Vec3;
use crate::math::hypot;
use crate::project::{Face, Fold, Operation, OperationKind, Project};

/// How far a line may lie off another one that it runs along, in millimetres.
const ALONG_MM: f64 = 0.05;

/// Pieces of lines shorter than this are left out, in millimetres.
const SHORTEST_MM: f64 = 0.02;

/// What a line around a panel is, as seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeKind {
    /// The paper ends there, or turns out of sight.
    Cut,
    /// It is folded there.
    Crease(Fold),
    /// It bends there without a crease and goes on: no line is seen.
    Bend,
}

/// A line around a panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeenEdge {
    /// Where, in the frame it was asked in.
    pub line: Line,
    /// What it is.
    pub kind: EdgeKind,
}

/// A facet at a curved crease has a chord of it for an edge, whose middle may be this far off the curve, in millimetres.
const CHORD_MM: f64 = 1.0;

/// A crease in the piece frame, as straight pieces.
struct CreaseLines {
    lines: Vec<Line>,
    fold: Fold,
}

/// Returns the lines around a leaf in its piece frame, as its `face` shows them.
pub(super) fn edges(
    project: &Project,
    leaves: &[Leaf],
    position: usize,
    face: Face,
) -> Vec<SeenEdge> {
    let leaf = &leaves[position];
    let operations = &project.pieces[leaf.piece].operations;
    let creases: Vec<CreaseLines> = operations.iter().filter_map(crease_lines).collect();
    let mut found = Vec::new();
    for ring in &leaf.rings_mm {
        let next = ring.iter().cycle().skip(1);
        for (from, to) in ring.iter().zip(next) {
            let line = Line::new(*from, *to);
            if bends_on(leaves, position, face, line) {
                let kind = EdgeKind::Bend;
                found.push(SeenEdge { line, kind });
            } else {
                found.extend(pieces(line, &creases, face));
            }
        }
    }
    found
}

fn crease_lines(operation: &Operation) -> Option<CreaseLines> {
    let OperationKind::Crease { fold } = operation.kind else {
        return None;
    };
    let corners = flattened(&operation.path);
    let ends = corners.windows(2);
    Some(CreaseLines {
        lines: ends.map(|ends| Line::new(ends[0], ends[1])).collect(),
        fold,
    })
}

impl CreaseLines {
    /// Whether a line is a chord of the crease.
    fn has_chord(&self, chord: Line) -> bool {
        let is_near = |point: Point, reach_mm: f64| {
            let mut lines = self.lines.iter();
            lines.any(|line| distance_mm(point, *line) <= reach_mm)
        };
        let ends = is_near(chord.p0, ALONG_MM) && is_near(chord.p1, ALONG_MM);
        ends && self.lines.len() > 1 && is_near(chord.eval(0.5), CHORD_MM)
    }
}

/// Whether the panel goes on beyond this line without a crease, and shows the same face there.
fn bends_on(leaves: &[Leaf], position: usize, face: Face, line: Line) -> bool {
    let leaf = &leaves[position];
    let middle = line.eval(0.5);
    leaves.iter().enumerate().any(|(i, other)| {
        i != position
            && (other.member, other.piece, &other.panel) == (leaf.member, leaf.piece, &leaf.panel)
            && has_edge_at(other, middle)
            && (nearness(other.looks(face)) > 0.0) == (nearness(leaf.looks(face)) > 0.0)
    })
}

fn nearness(direction: Vec3) -> f64 {
    super::view::nearness_mm(direction)
}

fn has_edge_at(leaf: &Leaf, point: Point) -> bool {
    leaf.rings_mm.iter().any(|ring| {
        let next = ring.iter().cycle().skip(1);
        ring.iter()
            .zip(next)
            .any(|(p, q)| distance_mm(point, Line::new(*p, *q)) < ALONG_MM)
    })
}

fn distance_mm(point: Point, line: Line) -> f64 {
    let way = line.p1 - line.p0;
    let length2 = way.hypot2();
    let along = if length2 > 0.0 {
        ((point - line.p0).dot(way) / length2).clamp(0.0, 1.0)
    } else {
        0.0
    };
    let off = point - line.eval(along);
    hypot(off.x, off.y)
}

/// Returns a line in its pieces: the stretches that creases run along, and cut edges between them.
fn pieces(line: Line, creases: &[CreaseLines], face: Face) -> Vec<SeenEdge> {
    let way = line.p1 - line.p0;
    let length_mm = hypot(way.x, way.y);
    if length_mm < SHORTEST_MM {
        return Vec::new();
    }
    let of_crease = |crease: &CreaseLines| -> Vec<(f64, f64, Fold)> {
        if crease.has_chord(line) {
            return vec![(0.0, 1.0, crease.fold)];
        }
        let runs = crease.lines.iter().filter_map(|own| stretch(line, *own));
        runs.map(|(from, to)| (from, to, crease.fold)).collect()
    };
    let mut stretches: Vec<(f64, f64, Fold)> = creases.iter().flat_map(of_crease).collect();
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut found = Vec::new();
    let mut done = 0.0;
    let mut add = |from: f64, to: f64, kind| {
        if (to - from) * length_mm > SHORTEST_MM {
            let line = Line::new(line.eval(from), line.eval(to));
            found.push(SeenEdge { line, kind });
        }
    };
    for (from, to, fold) in stretches {
        let from = from.max(done);
        let fold = match face {
            Face::Front => fold,
            Face::Back => fold.from_behind(),
        };
        add(done, from, EdgeKind::Cut);
        add(from, to, EdgeKind::Crease(fold));
        done = to.max(done);
    }
    add(done, 1.0, EdgeKind::Cut);
    found
}

/// Where along `line` another one runs, from 0 to 1.
fn stretch(line: Line, other: Line) -> Option<(f64, f64)> {
    let way = line.p1 - line.p0;
    let along = |p: Point| (p - line.p0).dot(way) / way.hypot2();
    let (mut from, mut to) = (along(other.p0), along(other.p1));
    if from > to {
        std::mem::swap(&mut from, &mut to);
    }
    let (from, to) = (from.max(0.0), to.min(1.0));
    let runs = (to - from) * hypot(way.x, way.y) > SHORTEST_MM;
    let is_near = |at: f64| distance_mm(line.eval(at), other) <= ALONG_MM;
    (runs && is_near(from) && is_near(to)).then_some((from, to))
}

/// Returns the part of a line on the picture that lies on all `sides`.
pub(super) fn on_sides(line: Line, sides: &[Side]) -> Option<Line> {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for side in sides {
        let (start, end) = (side.depth_mm(line.p0), side.depth_mm(line.p1));
        if start < 0.0 && end < 0.0 {
            return None;
        }
        let at = start / (start - end);
        if start < 0.0 {
            from = from.max(at);
        } else if end < 0.0 {
            to = to.min(at);
        }
    }
    (from < to).then(|| Line::new(line.eval(from), line.eval(to)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edge_is_cut_where_no_crease_runs_along_it() {
        // An edge from 0 to 100 with a valley from 30 to 80 drawn the other way round, and one that only crosses it.
        let crease = |x0: f64, y0: f64, x1: f64, y1: f64| CreaseLines {
            lines: vec![Line::new((x0, y0), (x1, y1))],
            fold: Fold::Valley,
        };
        let creases = [crease(80.0, 5.0, 30.0, 5.0), crease(10.0, 0.0, 10.0, 20.0)];
        let edge = Line::new((0.0, 5.0), (100.0, 5.0));
        let found = pieces(edge, &creases, Face::Back);
        let spans: Vec<(f64, f64, EdgeKind)> = found
            .iter()
            .map(|e| (e.line.p0.x, e.line.p1.x, e.kind))
            .collect();
        assert_eq!(
            spans,
            [
                (0.0, 30.0, EdgeKind::Cut),
                // A valley of the front is a mountain from behind.
                (30.0, 80.0, EdgeKind::Crease(Fold::Mountain)),
                (80.0, 100.0, EdgeKind::Cut),
            ]
        );
    }

    #[test]
    fn a_chord_of_a_curved_crease_is_a_crease() {
        // A crease over (0, 0), (5, 1) and (10, 0); its chord runs 1 mm below its top.
        let curved = CreaseLines {
            lines: vec![
                Line::new((0.0, 0.0), (5.0, 1.0)),
                Line::new((5.0, 1.0), (10.0, 0.0)),
            ],
            fold: Fold::Mountain,
        };
        let chord = Line::new((0.0, 0.0), (10.0, 0.0));
        let found = pieces(chord, &[curved], Face::Front);
        let kinds: Vec<EdgeKind> = found.iter().map(|e| e.kind).collect();
        assert_eq!(kinds, [EdgeKind::Crease(Fold::Mountain)]);
    }
}
