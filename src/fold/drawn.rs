//! The lines of a piece as drawn, made ready to part it: flattened, and mended where they end a little short.

use kurbo::{Line, Point};

use super::arrangement::{LineKind, SNAP_MM, crossing, length_mm};
use super::region::{nearest_on, sides};
use crate::geometry::flattened;
use crate::math::{COINCIDENT_MM, FLATTEN_MM};
use crate::project::{Bend, OperationKind, Piece};

/// How far a crease may end before the edge or crease it is meant to reach, in mm: half the width of a groove, which hides it.
pub(super) const SHORT_MM: f64 = 0.05;

/// How far ahead an end that is a little short is drawn on at most, in mm: lines that meet at a slant are farther apart along the line.
const AHEAD_MM: f64 = 0.2;

/// A line of several corners.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Drawn {
    pub(super) points: Vec<Point>,
    pub(super) kind: LineKind,
}

impl Drawn {
    /// Whether all its corners lie on one straight line.
    pub(super) fn is_straight(&self) -> bool {
        is_straight(&self.points)
    }

    fn lines(&self) -> impl Iterator<Item = Line> + '_ {
        self.points.windows(2).map(|w| Line::new(w[0], w[1]))
    }
}

/// Returns whether all points lie within [`SNAP_MM`] of the line from the first to the last.
pub(super) fn is_straight(points: &[Point]) -> bool {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return true;
    };
    let chord = Line::new(*first, *last);
    points
        .iter()
        .all(|p| length_mm(Line::new(nearest_on(chord, *p), *p)) <= SNAP_MM)
}

/// Returns the creases of a piece as they are drawn, by operation and subpath, flattened.
pub(super) fn creases(piece: &Piece) -> Vec<Drawn> {
    let of = |i: usize| {
        let lines = flattened(&piece.operations[i].path, FLATTEN_MM);
        let kind = LineKind::Crease(i);
        lines.into_iter().map(move |points| Drawn { points, kind })
    };
    let is_crease = |i: &usize| matches!(piece.operations[*i].kind, OperationKind::Crease { .. });
    (0..piece.operations.len())
        .filter(is_crease)
        .flat_map(of)
        .collect()
}

/// Returns all lines that part a piece, edges first, each end brought to what it was meant to reach.
pub(super) fn lines(piece: &Piece, bends: &[Bend]) -> Vec<(Line, LineKind)> {
    let mut drawn: Vec<Drawn> = cuts(piece);
    drawn.extend(creases(piece));
    drawn.extend(bends.iter().enumerate().map(|(i, bend)| Drawn {
        points: vec![bend.line.p0, bend.line.p1],
        kind: LineKind::Bend(i),
    }));
    let edges: Vec<Line> = piece
        .outline
        .flattened(FLATTEN_MM)
        .iter()
        .flat_map(|r| sides(r).collect::<Vec<_>>())
        .collect();
    for i in 0..drawn.len() {
        reach(i, &mut drawn, &edges);
    }
    for i in 0..drawn.len() {
        if !drawn[i].is_straight() {
            break_at_bends(i, &mut drawn);
        }
    }
    let inner = drawn.iter().flat_map(|d| d.lines().map(|l| (l, d.kind)));
    edges
        .iter()
        .map(|l| (*l, LineKind::Edge))
        .chain(inner)
        .collect()
}

fn cuts(piece: &Piece) -> Vec<Drawn> {
    let is_cut = |kind: OperationKind| match kind {
        OperationKind::Cut | OperationKind::Hole => true,
        OperationKind::Crease { .. }
        | OperationKind::Perforation { .. }
        | OperationKind::PartialCut
        | OperationKind::Line => false,
    };
    let cuts = piece.operations.iter().filter(|o| is_cut(o.kind));
    let lines = cuts.flat_map(|o| flattened(&o.path, FLATTEN_MM));
    lines
        .map(|points| Drawn {
            points,
            kind: LineKind::Cut,
        })
        .collect()
}

/// Brings both ends of a line to what lies just ahead of them or just beside them.
fn reach(i: usize, drawn: &mut [Drawn], edges: &[Line]) {
    for is_start in [true, false] {
        let points = &drawn[i].points;
        let n = points.len();
        let (end, before) = if is_start {
            (points[0], points[1])
        } else {
            (points[n - 1], points[n - 2])
        };
        let others = drawn
            .iter()
            .enumerate()
            .filter(|(j, _)| *j != i)
            .flat_map(|(_, d)| d.lines());
        let all: Vec<Line> = edges.iter().copied().chain(others).collect();
        if let Some(reached) = reached(end, before, &all) {
            drawn[i].points[if is_start { 0 } else { n - 1 }] = reached;
        }
    }
}

/// Returns where an end is drawn on to; `None` if it lies on something already or there is nothing near.
fn reached(end: Point, before: Point, others: &[Line]) -> Option<Point> {
    let distance = |line: &Line| length_mm(Line::new(nearest_on(*line, end), end));
    let near: Vec<Line> = others
        .iter()
        .copied()
        .filter(|l| distance(l) <= SHORT_MM + COINCIDENT_MM)
        .collect();
    let nearest = near
        .iter()
        .min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
    if distance(nearest) <= SNAP_MM {
        return None;
    }
    let way = end - before;
    let length = way.hypot2().sqrt();
    // Looks back as well, for an end that runs past what it was meant to reach is cut there anyway.
    let ray = Line::new(end, end + way * (AHEAD_MM / length));
    let ahead = near
        .iter()
        .filter_map(|l| crossing(ray, *l))
        .map(|(t, _)| t)
        .min_by(f64::total_cmp);
    if let Some(t) = ahead {
        return Some(ray.p0.lerp(ray.p1, t));
    }
    let back = Line::new(before, end);
    if near.iter().any(|l| crossing(back, *l).is_some()) {
        return None;
    }
    Some(nearest_on(*nearest, end))
}

/// Replaces the corners of a curve by the ends of the bends on it, so that every facet has one straight hinge.
fn break_at_bends(i: usize, drawn: &mut [Drawn]) {
    let points = &drawn[i].points;
    let bend_ends = drawn
        .iter()
        .filter(|d| matches!(d.kind, LineKind::Bend(_)))
        .flat_map(|d| [d.points[0], d.points[d.points.len() - 1]]);
    let mut stops: Vec<(f64, Point)> = bend_ends
        .filter_map(|end| Some((along(points, end)?, end)))
        .collect();
    if stops.is_empty() || matches!(drawn[i].kind, LineKind::Cut) {
        return;
    }
    stops.push((f64::NEG_INFINITY, points[0]));
    stops.push((f64::INFINITY, points[points.len() - 1]));
    stops.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut kept: Vec<Point> = stops.into_iter().map(|(_, p)| p).collect();
    kept.dedup_by(|a, b| length_mm(Line::new(*a, *b)) <= SNAP_MM);
    drawn[i].points = kept;
}

/// Returns how far along a line of corners a point lies that is within [`SHORT_MM`] of it.
pub(super) fn along(points: &[Point], point: Point) -> Option<f64> {
    let mut before_mm = 0.0;
    for pair in points.windows(2) {
        let line = Line::new(pair[0], pair[1]);
        let foot = nearest_on(line, point);
        if length_mm(Line::new(foot, point)) <= SHORT_MM {
            return Some(before_mm + length_mm(Line::new(line.p0, foot)));
        }
        before_mm += length_mm(line);
    }
    None
}

/// Returns the point in the middle of the length of a line of corners.
pub(super) fn middle(points: &[Point]) -> Point {
    let half: f64 = points
        .windows(2)
        .map(|w| length_mm(Line::new(w[0], w[1])))
        .sum::<f64>()
        / 2.0;
    let mut before_mm = 0.0;
    for pair in points.windows(2) {
        let length = length_mm(Line::new(pair[0], pair[1]));
        if before_mm + length >= half && length > 0.0 {
            return pair[0].lerp(pair[1], (half - before_mm) / length);
        }
        before_mm += length;
    }
    points[points.len() - 1]
}
