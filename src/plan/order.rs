//! In which order the machine does what.
//!
//! Layer by layer: line, crease, perforation, partial cut, hole, cut; among the cuts those inside a piece before its outline, and
//! outlines in the hole of another piece before that piece's, so that nothing is cut in paper that is already loose. Within a layer
//! the blade goes to the nearest start (an open path may be run from either end), beginning at the sheet's top left corner.

use std::cmp::Reverse;

use kurbo::{BezPath, PathEl, Point};

use super::operations::layer;
use super::{CutStep, Placement};
use crate::geometry::reversed;
use crate::project::{Maker, OperationKind};

/// Returns the machine's steps on a sheet, and turns round the open paths that are to be run from their other end.
///
/// `depths` says of each placement in how many other pieces' holes it lies.
pub(super) fn order(placements: &mut [Placement], depths: &[usize]) -> Vec<CutStep> {
    let mut open = steps(placements, depths);
    open.sort_by_key(|(stage, _)| *stage);
    let mut ordered = Vec::new();
    let mut at = Point::ORIGIN;
    for stage in open.chunk_by_mut(|a, b| a.0 == b.0) {
        let mut left: Vec<CutStep> = stage.iter().map(|(_, step)| *step).collect();
        while let Some((next, run)) = nearest(placements, &left, at) {
            let step = left.remove(next);
            let operation = &mut placements[step.placement].operations[step.operation];
            if run == Run::Backwards {
                operation.path = turned_round(&operation.path);
            }
            at = end(&operation.path);
            ordered.push(step);
        }
    }
    ordered
}

/// From which end a path is run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Run {
    Forwards,
    Backwards,
}

/// What comes when: the layer, for cuts whether it is the outline, and for outlines those deep in holes first.
type Stage = (u8, bool, Reverse<usize>);

/// The machine's operations with the stage of each.
fn steps(placements: &[Placement], depths: &[usize]) -> Vec<(Stage, CutStep)> {
    let mut steps = Vec::new();
    for (placement, placed) in placements.iter().enumerate() {
        let last = placed.operations.len() - 1;
        for (operation, planned) in placed.operations.iter().enumerate() {
            if planned.by == Maker::Machine {
                let is_outline = operation == last && planned.kind == OperationKind::Cut;
                let depth = if is_outline { depths[placement] } else { 0 };
                steps.push((
                    (layer(planned.kind), is_outline, Reverse(depth)),
                    CutStep {
                        placement,
                        operation,
                    },
                ));
            }
        }
    }
    steps
}

fn nearest(placements: &[Placement], left: &[CutStep], at: Point) -> Option<(usize, Run)> {
    let mut best: Option<(f64, usize, Run)> = None;
    for (i, step) in left.iter().enumerate() {
        let path = &placements[step.placement].operations[step.operation].path;
        let mut offer = |from: Point, run: Run| {
            let far = (from - at).hypot2();
            if best.is_none_or(|(least, ..)| far < least) {
                best = Some((far, i, run));
            }
        };
        offer(start(path), Run::Forwards);
        if !is_closed(path) {
            offer(end(path), Run::Backwards);
        }
    }
    best.map(|(_, i, run)| (i, run))
}

fn is_closed(path: &BezPath) -> bool {
    matches!(path.elements().last(), Some(PathEl::ClosePath))
}

fn start(path: &BezPath) -> Point {
    match path.elements().first() {
        Some(PathEl::MoveTo(p)) => *p,
        Some(PathEl::LineTo(_) | PathEl::QuadTo(..) | PathEl::CurveTo(..) | PathEl::ClosePath)
        | None => Point::ORIGIN,
    }
}

fn end(path: &BezPath) -> Point {
    path.segments()
        .last()
        .map_or_else(|| start(path), |s| kurbo::ParamCurve::end(&s))
}

/// Every subpath from its other end, the last one first.
fn turned_round(path: &BezPath) -> BezPath {
    let turned = reversed(path);
    let mut subpaths: Vec<BezPath> = Vec::new();
    for element in turned.elements() {
        match (element, subpaths.last_mut()) {
            (
                PathEl::LineTo(_) | PathEl::QuadTo(..) | PathEl::CurveTo(..) | PathEl::ClosePath,
                Some(path),
            ) => {
                path.push(*element);
            }
            (PathEl::MoveTo(_), _)
            | (
                PathEl::LineTo(_) | PathEl::QuadTo(..) | PathEl::CurveTo(..) | PathEl::ClosePath,
                None,
            ) => {
                subpaths.push([*element].into_iter().collect());
            }
        }
    }
    subpaths
        .iter()
        .rev()
        .flat_map(|p| p.elements().iter().copied())
        .collect()
}
