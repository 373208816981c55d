//! What the machine does, and in which order.

use std::collections::BTreeSet;

use kurbo::{BezPath, ParamCurve, PathEl, PathSeg, Point};

use super::super::{Placement, Sheet};
use crate::geometry::Outline;
use crate::math::{COINCIDENT_MM, hypot};
use crate::project::{Maker, OperationKind, Project};

/// The machine does each of its operations once, layer by layer, and cuts an outline after everything inside it.
pub(super) fn order(sheet: &Sheet) -> Vec<String> {
    let mut wanted = BTreeSet::new();
    for (p, placement) in sheet.placements.iter().enumerate() {
        for (o, operation) in placement.operations.iter().enumerate() {
            if operation.by == Maker::Machine {
                wanted.insert((p, o));
            }
        }
    }
    let steps = sheet
        .cut
        .as_ref()
        .map_or(&[][..], |cut| cut.order.as_slice());
    let done: BTreeSet<_> = steps.iter().map(|s| (s.placement, s.operation)).collect();
    if done != wanted || done.len() != steps.len() {
        return vec![format!(
            "the machine has {} operations and does {}",
            wanted.len(),
            steps.len()
        )];
    }
    let stage = |step: &super::super::CutStep| {
        let operation = &sheet.placements[step.placement].operations[step.operation];
        (depth(operation.kind), operation.id.ends_with(".outline"))
    };
    let pairs = steps
        .windows(2)
        .filter(|pair| stage(&pair[0]) > stage(&pair[1]));
    let name = |step: &super::super::CutStep| {
        &sheet.placements[step.placement].operations[step.operation].id
    };
    pairs
        .map(|pair| format!("{} is done before {}", name(&pair[0]), name(&pair[1])))
        .collect()
}

/// No piece that lies in a hole of another is cut after that hole, which would have taken it along.
pub(super) fn holes_last(project: &Project, sheet: &Sheet) -> Vec<String> {
    let steps = sheet
        .cut
        .as_ref()
        .map_or(&[][..], |cut| cut.order.as_slice());
    let outlines: Vec<&Placement> = steps
        .iter()
        .filter_map(|step| {
            let placed = sheet.placements.get(step.placement)?;
            let operation = placed.operations.get(step.operation)?;
            operation.id.ends_with(".outline").then_some(placed)
        })
        .collect();
    let mut found = Vec::new();
    for (i, host) in outlines.iter().enumerate() {
        let outer = outer_ring(project, host);
        for guest in &outlines[i + 1..] {
            if corners(project, guest).all(|p| outer.contains(p)) {
                found.push(format!(
                    "{} is cut before {} in its hole",
                    host.id, guest.id
                ));
            }
        }
    }
    found
}

/// A placed piece with its holes closed. What keeps the gap and lies inside lies in a hole.
fn outer_ring(project: &Project, placement: &Placement) -> Outline {
    let ring = project.pieces[placement.piece].outline.outer();
    let closed = Outline::new(ring, COINCIDENT_MM).expect("an outline's ring is an outline");
    closed.transformed(placement.pose.to_affine())
}

/// The corners of a placed piece; those of one that touches another from outside do not all lie on its edge.
fn corners(project: &Project, placement: &Placement) -> impl Iterator<Item = Point> {
    let map = placement.pose.to_affine();
    let rings = project.pieces[placement.piece].outline.flattened(1.0);
    rings.into_iter().flatten().map(move |p| map * p)
}

const fn depth(kind: OperationKind) -> u8 {
    match kind {
        OperationKind::Line => 1,
        OperationKind::Crease { .. } => 2,
        OperationKind::Perforation { .. } => 3,
        OperationKind::PartialCut => 4,
        OperationKind::Hole => 5,
        OperationKind::Cut => 6,
    }
}

/// The cut of an outline leaves the nicks its piece asks for, and no others.
pub(super) fn held(project: &Project, sheet: &Sheet) -> Vec<String> {
    let mut found = Vec::new();
    for placement in &sheet.placements {
        let piece = &project.pieces[placement.piece];
        let outlines = placement.operations.iter();
        for cut in outlines.filter(|o| o.id.ends_with(".outline")) {
            let ring = placement.pose.to_affine() * piece.outline.outer();
            let left_mm = length_mm(&ring) - length_mm(&cut.path);
            let is_start = |e: &&PathEl| matches!(e, PathEl::MoveTo(_));
            let parts = cut.path.elements().iter().filter(is_start).count();
            let (count, wanted_mm) = piece.nicks.map_or((0, 0.0), |nicks| {
                let all_mm = f64::from(nicks.count) * nicks.length.to_mm();
                (nicks.count as usize, all_mm)
            });
            if parts != count.max(1) || (left_mm - wanted_mm).abs() > NICKS_MM {
                found.push(format!(
                    "{} is held by {parts} nicks of {left_mm:.3} mm together, not by {count} of {wanted_mm:.3} mm",
                    placement.id
                ));
            }
        }
    }
    found
}

/// What measuring curves in straight steps may be off.
const NICKS_MM: f64 = 0.01;

/// Straight steps in which a curve is measured: those of a quarter circle of 100 mm are 0.3 µm short together.
const CHORDS: u32 = 256;

fn length_mm(path: &BezPath) -> f64 {
    let length = |segment: PathSeg| {
        let at = |i: u32| segment.eval(f64::from(i) / f64::from(CHORDS));
        let chords = (0..CHORDS).map(|i| at(i + 1) - at(i));
        chords.map(|chord| hypot(chord.x, chord.y)).sum::<f64>()
    };
    path.segments().map(length).sum()
}
