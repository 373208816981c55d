//! What the machine does, and in which order.

use std::collections::BTreeSet;

use kurbo::Point;

use super::super::{Placement, Sheet};
use crate::geometry::Outline;
use crate::math::COINCIDENT_MM;
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
            if outer.contains(corner(project, guest)) {
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

/// The first corner of a placed piece.
fn corner(project: &Project, placement: &Placement) -> Point {
    let outline = &project.pieces[placement.piece].outline;
    placement.pose.to_affine() * outline.flattened(1.0)[0][0]
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
