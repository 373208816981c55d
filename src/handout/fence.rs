//! Which edge of a piece lies at the fence while it is scored.

use kurbo::{PathSeg, Rect};

use crate::geometry::Outline;
use crate::math::VERIFY_MM;
use crate::project::{Axis, Edge};

/// How long a straight edge holds a piece at a fence, in mm; half its side, where that is shorter. Common practice, no source.
const HOLDS_MM: f64 = 10.0;

/// The edges that can lie at the fence for the scores of one axis, as the scored face shows them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Fence {
    /// The one from which positions are measured: the left or the top one, or where those do not hold, the opposite.
    pub(super) edge: Edge,
    /// Whether the one opposite holds as well.
    pub(super) has_far_end: bool,
}

/// Returns the fence for scores of this axis; `None` where the piece is held by no straight edge. `seen` is its edge as the scored face
/// shows it.
pub(super) fn fence(seen: &Outline, axis: Axis) -> Option<Fence> {
    let (near, far) = match axis {
        Axis::X => (Edge::Left, Edge::Right),
        Axis::Y => (Edge::Top, Edge::Bottom),
    };
    let (near_holds, far_holds) = (holds(seen, near), holds(seen, far));
    if !near_holds && !far_holds {
        return None;
    }
    Some(Fence {
        edge: if near_holds { near } else { far },
        has_far_end: near_holds && far_holds,
    })
}

fn holds(outline: &Outline, edge: Edge) -> bool {
    let bounds = outline.bounds();
    let side_mm = match edge {
        Edge::Left | Edge::Right => bounds.height(),
        Edge::Top | Edge::Bottom => bounds.width(),
    };
    let straight = outline.outer().segments();
    let on_edge: f64 = straight.map(|s| length_on(s, bounds, edge)).sum();
    on_edge + VERIFY_MM >= HOLDS_MM.min(side_mm / 2.0)
}

/// The length of a segment that runs along an edge of the box.
fn length_on(segment: PathSeg, bounds: Rect, edge: Edge) -> f64 {
    let PathSeg::Line(line) = segment else {
        return 0.0;
    };
    let (offs, along) = match edge {
        Edge::Left => (
            [line.p0.x, line.p1.x].map(|x| x - bounds.x0),
            line.p1.y - line.p0.y,
        ),
        Edge::Right => (
            [line.p0.x, line.p1.x].map(|x| x - bounds.x1),
            line.p1.y - line.p0.y,
        ),
        Edge::Top => (
            [line.p0.y, line.p1.y].map(|y| y - bounds.y0),
            line.p1.x - line.p0.x,
        ),
        Edge::Bottom => (
            [line.p0.y, line.p1.y].map(|y| y - bounds.y1),
            line.p1.x - line.p0.x,
        ),
    };
    if offs.iter().all(|off| off.abs() <= VERIFY_MM) {
        along.abs()
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use kurbo::BezPath;

    use super::*;

    fn held(path: &str, axis: Axis) -> Option<(Edge, bool)> {
        let outline = Outline::new(&BezPath::from_svg(path).unwrap(), 0.001).unwrap();
        fence(&outline, axis).map(|f| (f.edge, f.has_far_end))
    }

    #[test]
    fn a_piece_lies_at_the_fence_by_a_straight_edge() {
        let strip = "M0 0 H100 V20 H0 Z";
        assert_eq!(held(strip, Axis::X), Some((Edge::Left, true)));
        assert_eq!(held(strip, Axis::Y), Some((Edge::Top, true)));
        // A house on its side: pointed at the left.
        let house = "M0 20 L20 0 H80 V40 H20 Z";
        assert_eq!(held(house, Axis::X), Some((Edge::Right, false)));
        assert_eq!(held(house, Axis::Y), Some((Edge::Top, true)));
        // A sheet on its point lies at no fence.
        let diamond = "M50 0 L100 50 L50 100 L0 50 Z";
        assert_eq!(held(diamond, Axis::X), None);
        assert_eq!(held(diamond, Axis::Y), None);
    }
}
