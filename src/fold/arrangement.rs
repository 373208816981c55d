//! Lines in a plane, and the faces between them.
//!
//! Every line is cut where another one meets it, points within [`SNAP_MM`] become one, and lines on top of each other become one. What ends
//! loose is taken away and told. Then each face is walked round, keeping it to the left of the way: at a corner the walk leaves by the next
//! line clockwise. A ring of lines inside a face becomes a hole of it. n² for n lines, which is a few thousand steps for a box.

use std::collections::BTreeMap;

use kurbo::{Line, Point};

use super::region::{contains, inside_point, signed_area_mm2};
use crate::math::{atan2, hypot};

/// Distance in mm below which corners are one: a fifth of what a crease may be drawn short, and far below what anyone can fold to.
pub(super) const SNAP_MM: f64 = 0.01;

/// What a line is. The smaller of two that lie on each other stays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum LineKind {
    /// An edge of the piece.
    Edge,
    /// A cut or the edge of a hole.
    Cut,
    /// The crease by the operation at this position.
    Crease(usize),
    /// The bend at this position.
    Bend(usize),
}

impl LineKind {
    /// Whether paper hangs together across it.
    fn is_hinge(self) -> bool {
        match self {
            Self::Edge | Self::Cut => false,
            Self::Crease(_) | Self::Bend(_) => true,
        }
    }
}

/// A face: its outer ring, then its holes.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Face {
    pub(super) rings_mm: Vec<Vec<Point>>,
    pub(super) inside_mm: Point,
}

/// A line that two faces share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Shared {
    pub(super) faces: [usize; 2],
    pub(super) line: Line,
    pub(super) kind: LineKind,
}

/// A crease or bend that ends in the middle of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Loose {
    pub(super) kind: LineKind,
    pub(super) at: Point,
    pub(super) length_mm: f64,
}

/// Faces of paper, the lines between them, and what ends loose.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Arrangement {
    pub(super) faces: Vec<Face>,
    pub(super) shared: Vec<Shared>,
    pub(super) loose: Vec<Loose>,
}

/// Returns the faces between the lines where there is paper.
pub(super) fn arrange(lines: &[(Line, LineKind)], is_paper: impl Fn(Point) -> bool) -> Arrangement {
    let mut corners = Corners::default();
    let pieces = cut_up(lines, &mut corners);
    let mut web = Web::new(corners.points, pieces);
    web.drop_outside(&is_paper);
    let mut loose = web.prune();
    let (faces, of_side) = web.faces(&is_paper);
    let shared = web.shared(&of_side);
    let is_apart = |s: &&Shared| s.faces[0] == s.faces[1];
    loose.extend(shared.iter().filter(is_apart).map(|s| Loose {
        kind: s.kind,
        at: s.line.p0.midpoint(s.line.p1),
        length_mm: length_mm(s.line),
    }));
    Arrangement {
        faces,
        shared: shared
            .into_iter()
            .filter(|s| s.faces[0] != s.faces[1])
            .collect(),
        loose,
    }
}

/// Returns the length of a line in mm.
pub(super) fn length_mm(line: Line) -> f64 {
    hypot(line.p1.x - line.p0.x, line.p1.y - line.p0.y)
}

/// Corners, each once, found again by a net of cells of [`SNAP_MM`].
#[derive(Debug, Default)]
struct Corners {
    points: Vec<Point>,
    cells: BTreeMap<(i64, i64), Vec<usize>>,
}

impl Corners {
    fn at(&mut self, point: Point) -> usize {
        let (x, y) = cell(point);
        for dx in -1..=1 {
            for dy in -1..=1 {
                for &i in self.cells.get(&(x + dx, y + dy)).into_iter().flatten() {
                    if length_mm(Line::new(self.points[i], point)) <= SNAP_MM {
                        return i;
                    }
                }
            }
        }
        self.points.push(point);
        let last = self.points.len() - 1;
        self.cells.entry((x, y)).or_default().push(last);
        last
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "outlines lie within a hundred metres, which is ten million cells"
)]
fn cell(point: Point) -> (i64, i64) {
    (
        (point.x / SNAP_MM).floor() as i64,
        (point.y / SNAP_MM).floor() as i64,
    )
}

/// Cuts every line where another one meets it, and keeps the strongest kind of those on top of each other.
fn cut_up(lines: &[(Line, LineKind)], corners: &mut Corners) -> BTreeMap<(usize, usize), LineKind> {
    let ends: Vec<[usize; 2]> = lines
        .iter()
        .map(|(line, _)| [corners.at(line.p0), corners.at(line.p1)])
        .collect();
    let mut stops: Vec<Vec<(f64, usize)>> = ends
        .iter()
        .map(|[a, b]| vec![(0.0, *a), (1.0, *b)])
        .collect();
    for i in 0..lines.len() {
        for j in 0..i {
            if lines[i].1 == LineKind::Edge && lines[j].1 == LineKind::Edge {
                continue;
            }
            meet(i, j, lines, &ends, corners, &mut stops);
        }
    }
    let mut pieces = BTreeMap::new();
    for (stops, (_, kind)) in stops.iter_mut().zip(lines) {
        stops.sort_by(|a, b| a.0.total_cmp(&b.0));
        for pair in stops.windows(2) {
            let (from, to) = (pair[0].1.min(pair[1].1), pair[0].1.max(pair[1].1));
            if from != to {
                let kept = pieces.entry((from, to)).or_insert(*kind);
                *kept = (*kept).min(*kind);
            }
        }
    }
    pieces
}

/// Notes where two lines meet.
fn meet(
    i: usize,
    j: usize,
    lines: &[(Line, LineKind)],
    ends: &[[usize; 2]],
    corners: &mut Corners,
    stops: &mut [Vec<(f64, usize)>],
) {
    let (a, b) = (lines[i].0, lines[j].0);
    if !boxes_touch(a, b) {
        return;
    }
    let mut found = false;
    for (of, ends, on, line) in [(i, ends[i], j, b), (j, ends[j], i, a)] {
        for (end, corner) in [lines[of].0.p0, lines[of].0.p1].into_iter().zip(ends) {
            if let Some(t) = position_on(line, end) {
                stops[on].push((t, corner));
                found = true;
            }
        }
    }
    if let (false, Some((t, s))) = (found, crossing(a, b)) {
        let corner = corners.at(a.p0.lerp(a.p1, t));
        stops[i].push((t, corner));
        stops[j].push((s, corner));
    }
}

fn boxes_touch(a: Line, b: Line) -> bool {
    let apart = |a0: f64, a1: f64, b0: f64, b1: f64| {
        a0.max(a1) + SNAP_MM < b0.min(b1) || b0.max(b1) + SNAP_MM < a0.min(a1)
    };
    !apart(a.p0.x, a.p1.x, b.p0.x, b.p1.x) && !apart(a.p0.y, a.p1.y, b.p0.y, b.p1.y)
}

/// Returns where on the line a point lies that is within [`SNAP_MM`] of it, as a part of its length.
fn position_on(line: Line, point: Point) -> Option<f64> {
    let way = line.p1 - line.p0;
    let length_sq = way.hypot2();
    if length_sq <= SNAP_MM * SNAP_MM {
        return None;
    }
    let t = ((point - line.p0).dot(way) / length_sq).clamp(0.0, 1.0);
    (length_mm(Line::new(line.p0.lerp(line.p1, t), point)) <= SNAP_MM).then_some(t)
}

/// Returns where two lines cross, as parts of their lengths.
pub(super) fn crossing(a: Line, b: Line) -> Option<(f64, f64)> {
    let (u, v) = (a.p1 - a.p0, b.p1 - b.p0);
    let across = u.cross(v);
    if across.abs() <= 1e-12 * (u.hypot2() * v.hypot2()).sqrt() {
        return None;
    }
    let t = (b.p0 - a.p0).cross(v) / across;
    let s = (b.p0 - a.p0).cross(u) / across;
    let is_within = |t: f64| (0.0..=1.0).contains(&t);
    (is_within(t) && is_within(s)).then_some((t, s))
}

/// Corners and the lines between them. Side 2k runs along line k, side 2k + 1 back.
#[derive(Debug)]
struct Web {
    points: Vec<Point>,
    lines: Vec<(usize, usize, LineKind)>,
}

impl Web {
    fn new(points: Vec<Point>, pieces: BTreeMap<(usize, usize), LineKind>) -> Self {
        let lines = pieces.into_iter().map(|((a, b), kind)| (a, b, kind));
        Self {
            points,
            lines: lines.collect(),
        }
    }

    fn line(&self, (a, b, _): (usize, usize, LineKind)) -> Line {
        Line::new(self.points[a], self.points[b])
    }

    /// Drops creases and bends where there is no paper.
    fn drop_outside(&mut self, is_paper: impl Fn(Point) -> bool) {
        let middle = |(a, b, _): (usize, usize, LineKind)| self.points[a].midpoint(self.points[b]);
        let kept = self.lines.iter().copied();
        self.lines = kept
            .filter(|l| !l.2.is_hinge() || is_paper(middle(*l)))
            .collect();
    }

    /// Takes away what ends loose, and returns the creases and bends among it.
    fn prune(&mut self) -> Vec<Loose> {
        let mut at: Vec<Vec<usize>> = vec![Vec::new(); self.points.len()];
        for (k, (a, b, _)) in self.lines.iter().enumerate() {
            at[*a].push(k);
            at[*b].push(k);
        }
        let mut tips: Vec<Option<Loose>> = vec![None; self.points.len()];
        let mut gone = vec![false; self.lines.len()];
        let mut ends: Vec<usize> = (0..at.len()).filter(|v| at[*v].len() == 1).collect();
        while let Some(v) = ends.pop() {
            let &[k] = at[v].as_slice() else { continue };
            let (a, b, kind) = self.lines[k];
            let other = if a == v { b } else { a };
            let before = tips[v].take().filter(|tip| tip.kind.is_hinge());
            let mut tip = before.unwrap_or(Loose {
                kind,
                at: self.points[v],
                length_mm: 0.0,
            });
            tip.length_mm += length_mm(self.line(self.lines[k]));
            gone[k] = true;
            at[v].clear();
            at[other].retain(|l| *l != k);
            match &mut tips[other] {
                Some(longer) if longer.length_mm >= tip.length_mm => {}
                rest => *rest = Some(tip),
            }
            if at[other].len() == 1 {
                ends.push(other);
            }
        }
        let mut number = 0;
        self.lines.retain(|_| {
            number += 1;
            !gone[number - 1]
        });
        tips.into_iter()
            .flatten()
            .filter(|tip| tip.kind.is_hinge())
            .collect()
    }

    fn start(&self, side: usize) -> usize {
        let (a, b, _) = self.lines[side / 2];
        if side.is_multiple_of(2) { a } else { b }
    }

    /// For every side the one that follows it round its face.
    fn followers(&self) -> Vec<usize> {
        let mut leaving: Vec<Vec<usize>> = vec![Vec::new(); self.points.len()];
        for side in 0..2 * self.lines.len() {
            leaving[self.start(side)].push(side);
        }
        let direction = |side: usize| {
            let way = self.points[self.start(side ^ 1)] - self.points[self.start(side)];
            atan2(way.y, way.x)
        };
        let mut follower = vec![0; 2 * self.lines.len()];
        for sides in &mut leaving {
            sides.sort_by(|a, b| direction(*a).total_cmp(&direction(*b)));
            for (i, side) in sides.iter().enumerate() {
                follower[*side ^ 1] = sides[(i + sides.len() - 1) % sides.len()];
            }
        }
        follower
    }

    /// Returns the rings of sides, each with its corners, and the ring of each side.
    fn rings(&self) -> (Vec<Vec<Point>>, Vec<usize>) {
        let follower = self.followers();
        let mut of_side = vec![usize::MAX; follower.len()];
        let mut rings = Vec::new();
        for first in 0..follower.len() {
            let mut side = first;
            let mut ring = Vec::new();
            while of_side[side] == usize::MAX {
                of_side[side] = rings.len();
                ring.push(self.points[self.start(side)]);
                side = follower[side];
            }
            if !ring.is_empty() {
                rings.push(ring);
            }
        }
        (rings, of_side)
    }

    /// Returns the faces of paper, and for each side the face to its left, if any.
    fn faces(&self, is_paper: impl Fn(Point) -> bool) -> (Vec<Face>, Vec<Option<usize>>) {
        let (rings, of_side) = self.rings();
        let areas: Vec<f64> = rings.iter().map(|ring| signed_area_mm2(ring)).collect();
        let outers: Vec<usize> = (0..rings.len()).filter(|r| areas[*r] > 0.0).collect();
        let holder = |r: usize| {
            let around = outers
                .iter()
                .copied()
                .filter(|o| contains(&rings[*o], rings[r][0]));
            let apart = around.filter(|o| !shares_corner(&rings[*o], &rings[r]));
            apart.min_by(|a, b| areas[*a].total_cmp(&areas[*b]))
        };
        let owner: Vec<Option<usize>> = (0..rings.len())
            .map(|r| if areas[r] > 0.0 { Some(r) } else { holder(r) })
            .collect();
        let mut faces = Vec::new();
        let mut number = vec![None; rings.len()];
        for outer in outers.iter().copied() {
            let holes = (0..rings.len()).filter(|r| *r != outer && owner[*r] == Some(outer));
            let mut own = vec![rings[outer].clone()];
            own.extend(holes.map(|r| rings[r].clone()));
            let inside = inside_point(&own).filter(|p| is_paper(*p));
            if let Some(inside_mm) = inside {
                number[outer] = Some(faces.len());
                faces.push(Face {
                    rings_mm: own,
                    inside_mm,
                });
            }
        }
        let face = |ring: &usize| owner[*ring].and_then(|outer| number[outer]);
        (faces, of_side.iter().map(face).collect())
    }

    fn shared(&self, of_side: &[Option<usize>]) -> Vec<Shared> {
        let mut found = Vec::new();
        for (k, line) in self.lines.iter().enumerate() {
            if let (true, Some(left), Some(right)) =
                (line.2.is_hinge(), of_side[2 * k], of_side[2 * k + 1])
            {
                let (faces, line, kind) = ([left, right], self.line(*line), line.2);
                found.push(Shared { faces, line, kind });
            }
        }
        found
    }
}

fn shares_corner(a: &[Point], b: &[Point]) -> bool {
    a.iter().any(|p| b.contains(p))
}

#[cfg(test)]
mod tests {
    use super::*;
    use LineKind::{Bend, Crease, Cut, Edge};

    fn ring(corners: &[(f64, f64)], kind: LineKind) -> Vec<(Line, LineKind)> {
        let next = corners.iter().cycle().skip(1);
        corners
            .iter()
            .zip(next)
            .map(|(a, b)| (Line::new(*a, *b), kind))
            .collect()
    }

    fn areas(arrangement: &Arrangement) -> Vec<f64> {
        let area = |face: &Face| {
            face.rings_mm
                .iter()
                .map(|r| signed_area_mm2(r))
                .sum::<f64>()
        };
        let mut areas: Vec<f64> = arrangement.faces.iter().map(area).collect();
        areas.sort_by(f64::total_cmp);
        areas
    }

    fn in_sheet(p: Point) -> bool {
        p.x > 0.0 && p.x < 60.0 && p.y > 0.0 && p.y < 40.0
    }

    const SHEET: [(f64, f64); 4] = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)];

    #[test]
    fn a_cross_of_creases_makes_four_faces_and_four_hinges() {
        let mut lines = ring(&SHEET, Edge);
        lines.push((Line::new((20.0, 0.0), (20.0, 40.0)), Crease(0)));
        // Runs past both edges; what is outside is dropped.
        lines.push((Line::new((-3.0, 10.0), (63.0, 10.0)), Crease(1)));
        let found = arrange(&lines, in_sheet);
        assert_eq!(areas(&found), [200.0, 400.0, 600.0, 1200.0]);
        assert_eq!(found.shared.len(), 4);
        assert_eq!(found.loose, []);
    }

    #[test]
    fn creases_on_one_line_become_one_and_a_cut_on_a_crease_stays_a_cut() {
        let mut lines = ring(&SHEET, Edge);
        lines.push((Line::new((20.0, 0.0), (20.0, 30.0)), Crease(0)));
        lines.push((Line::new((20.005, 20.0), (20.0, 40.0)), Crease(1)));
        lines.push((Line::new((20.0, 0.0), (20.0, 5.0)), Cut));
        let found = arrange(&lines, in_sheet);
        assert_eq!(areas(&found).len(), 2);
        let length: f64 = found.shared.iter().map(|s| length_mm(s.line)).sum();
        assert!((length - 35.0).abs() < 0.01, "{length}");
    }

    #[test]
    fn a_crease_that_ends_in_the_middle_is_told_and_a_slit_may() {
        let mut lines = ring(&SHEET, Edge);
        lines.push((Line::new((20.0, 0.0), (20.0, 30.0)), Crease(7)));
        lines.push((Line::new((40.0, 0.0), (40.0, 30.0)), Cut));
        let found = arrange(&lines, in_sheet);
        assert_eq!(areas(&found), [2400.0]);
        let [loose] = found.loose.as_slice() else {
            panic!("{found:?}")
        };
        assert_eq!((loose.kind, loose.at), (Crease(7), Point::new(20.0, 30.0)));
        assert!((loose.length_mm - 30.0).abs() < 1e-12);
    }

    #[test]
    fn a_window_of_slits_and_creases_is_a_hole_of_the_face_around_it() {
        let mut lines = ring(&SHEET, Edge);
        let window = [(10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0)];
        lines.extend(ring(&window, Cut));
        lines[4].1 = Crease(0);
        lines.push((Line::new((10.0, 20.0), (30.0, 20.0)), Bend(0)));
        let found = arrange(&lines, in_sheet);
        assert_eq!(areas(&found), [200.0, 200.0, 2000.0]);
        assert_eq!(found.shared.len(), 2);
        let outside = found.faces.iter().find(|f| f.rings_mm.len() == 2).unwrap();
        assert!(!contains(&window.map(Point::from), outside.inside_mm));
    }
}
