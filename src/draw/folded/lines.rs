//! The lines of a panel: its edges, its creases by kind, and what is cut or drawn inside it.

use kurbo::{BezPath, Line, Point};

use crate::draw::line_kind::LineKind;
use crate::drawing::{Drawing, Item, LineCap, Paint, Stroke};
use crate::fold::scene::{EdgeKind, SeenEdge, SeenPanel};
use crate::project::{Fold, OperationKind, Project};

/// Ends of lines nearer than this are one, in millimetres.
const JOINED_MM: f64 = 1e-6;

/// Width of the hair line under a crease.
const HAIR_MM: f64 = 0.08;

/// Returns the lines around a panel; lines of one kind that follow one another are one, so that their dashes run on.
pub(super) fn around(panel: &SeenPanel) -> Vec<Item> {
    let mut chains: Vec<(EdgeKind, Vec<Point>)> = Vec::new();
    for SeenEdge { line, kind } in &panel.edges {
        match chains.last_mut() {
            Some((same, points)) if same == kind && follows(points, *line) => points.push(line.p1),
            Some(_) | None => chains.push((*kind, vec![line.p0, line.p1])),
        }
    }
    chains
        .iter()
        .filter_map(|(kind, points)| Some(edge(path(points), line_kind(*kind)?)))
        .flatten()
        .collect()
}

/// A line around a panel. Under the dashes of a crease a hair line keeps the shape closed.
fn edge(path: BezPath, kind: LineKind) -> Vec<Item> {
    let line = stroke(path.clone(), kind);
    match kind {
        LineKind::Mountain | LineKind::Valley => {
            let hair = Item::Stroke {
                path,
                stroke: Stroke::solid(HAIR_MM),
                paint: Paint::flat(kind.colour()),
            };
            vec![hair, line]
        }
        LineKind::Cut
        | LineKind::Hole
        | LineKind::PartialCut
        | LineKind::Perforation
        | LineKind::Line
        | LineKind::Rough => vec![line],
    }
}

fn follows(points: &[Point], line: Line) -> bool {
    points
        .last()
        .is_some_and(|end| end.distance_squared(line.p0) < JOINED_MM * JOINED_MM)
}

/// The kind of line an edge is drawn as, if it is.
const fn line_kind(kind: EdgeKind) -> Option<LineKind> {
    match kind {
        EdgeKind::Cut => Some(LineKind::Cut),
        EdgeKind::Crease(Fold::Mountain) => Some(LineKind::Mountain),
        EdgeKind::Crease(Fold::Valley) => Some(LineKind::Valley),
        EdgeKind::Bend => None,
    }
}

/// Returns what is cut or drawn inside a panel, besides holes, on the page.
pub(super) fn inside(project: &Project, panel: &SeenPanel) -> Drawing {
    let operations = &project.pieces[panel.piece].operations;
    let items = operations.iter().filter_map(|operation| {
        let kind = match operation.kind {
            OperationKind::Cut => LineKind::Cut,
            OperationKind::Perforation { .. } => LineKind::Perforation,
            OperationKind::PartialCut => LineKind::PartialCut,
            OperationKind::Line => LineKind::Line,
            OperationKind::Crease { .. } | OperationKind::Hole => return None,
        };
        Some(stroke(panel.page_from_piece * operation.path.clone(), kind))
    });
    Drawing {
        items: items.collect(),
    }
}

fn stroke(path: BezPath, kind: LineKind) -> Item {
    let usual = kind.stroke();
    // Round ends close the corners where lines of one panel meet; dashes keep theirs.
    let cap = if usual.dash_mm.is_empty() {
        LineCap::Round
    } else {
        usual.cap
    };
    Item::Stroke {
        path,
        stroke: Stroke { cap, ..usual },
        paint: Paint::flat(kind.colour()),
    }
}

fn path(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    if let Some((first, rest)) = points.split_first() {
        path.move_to(*first);
        rest.iter().for_each(|point| path.line_to(*point));
    }
    path
}
