//! Straight edges of folded panels, and how two of them lie to each other.

use kurbo::{Line, Point};

use super::FoldedPanel;
use super::arrangement::{SNAP_MM, length_mm};
use super::region::{nearest_on, sides};
use super::stand::in_space;
use crate::geometry::space::Vec3;

/// Directions whose cosine is greater are parallel, to half a degree.
const PARALLEL: f64 = 0.999_96;

/// A straight edge in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Edge {
    pub(super) ends: [Vec3; 2],
    /// Away from the panel, in its plane, length 1.
    pub(super) out: Vec3,
}

impl Edge {
    pub(super) fn along(&self) -> Vec3 {
        (self.ends[1] - self.ends[0]).normalize()
    }

    pub(super) fn length_mm(&self) -> f64 {
        (self.ends[1] - self.ends[0]).norm()
    }
}

/// Returns the straight edges of a flat panel, sides on one line joined.
pub(super) fn edges(panel: &FoldedPanel) -> Vec<Edge> {
    let rings = panel.rings_mm.iter();
    rings
        .flat_map(|ring| joined(ring))
        .map(|line| edge(panel, line))
        .collect()
}

fn edge(panel: &FoldedPanel, line: Line) -> Edge {
    let way = line.p1 - line.p0;
    // Rings and holes keep the paper on the side to which x turns towards y.
    let out = Vec3::new(way.y, -way.x, 0.0) / way.hypot2().sqrt();
    Edge {
        ends: [line.p0, line.p1].map(|p| in_space(panel, p)),
        out: panel.place.direct(out),
    }
}

/// Returns the sides of a ring, those that go on straight joined.
fn joined(ring: &[Point]) -> Vec<Line> {
    let goes_on = |a: Line, b: Line| {
        length_mm(Line::new(nearest_on(Line::new(a.p0, b.p1), a.p1), a.p1)) <= SNAP_MM
            && (a.p1 - a.p0).dot(b.p1 - b.p0) > 0.0
    };
    let mut lines: Vec<Line> = Vec::new();
    for side in sides(ring).filter(|side| length_mm(*side) > SNAP_MM) {
        match lines.last_mut() {
            Some(last) if goes_on(*last, side) => last.p1 = side.p1,
            Some(_) | None => lines.push(side),
        }
    }
    if lines.len() > 1 && goes_on(lines[lines.len() - 1], lines[0]) {
        let last = lines.pop().expect("there are two at least");
        lines[0].p0 = last.p0;
    }
    lines
}

/// How one edge lies to another that is parallel to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Beside {
    pub(super) from: Edge,
    pub(super) to: Edge,
    /// From the second edge's line to each end of the first.
    pub(super) across: [Vec3; 2],
    /// How far the first reaches beyond the second at each of its ends; below zero where it ends before it.
    pub(super) beyond_mm: [f64; 2],
}

/// Returns how one edge lies to another; `None` if they are not parallel or nowhere side by side.
pub(super) fn beside(from: Edge, to: Edge) -> Option<Beside> {
    let along = to.along();
    if from.along().dot(&along).abs() < PARALLEL {
        return None;
    }
    let across = from
        .ends
        .map(|p| (p - to.ends[0]) - along * (p - to.ends[0]).dot(&along));
    let at = from.ends.map(|p| (p - to.ends[0]).dot(&along));
    let length_mm = to.length_mm();
    let is_same_way = at[1] > at[0];
    let beyond_mm = if is_same_way {
        [-at[0], at[1] - length_mm]
    } else {
        [at[0] - length_mm, -at[1]]
    };
    let is_apart = beyond_mm.iter().any(|b| *b < -length_mm);
    (!is_apart).then_some(Beside {
        from,
        to,
        across,
        beyond_mm,
    })
}
