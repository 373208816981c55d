//! What the machine does, and in which order.

use std::collections::BTreeSet;

use super::super::Sheet;
use crate::project::{Maker, OperationKind};

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
