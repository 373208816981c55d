//! What would mend an object that does not close: one crease folded the other way.
//!
//! Where several walls hang together in a row, a crease folded the wrong way shows far from itself. So each crease on the way between the
//! panels of the first joint that does not close is tried the other way round, with one fold of the object for each.

use super::joint;
use super::net::{HingeBy, Net};
use super::prove::put_together;
use super::stand::Stand;
use crate::project::{Assembly, OperationKind, Project};

/// Returns what to do where folding one crease the other way leaves no joint with a finding; `None` where that mends nothing.
pub(super) fn hint(project: &Project, stand: &Stand<'_>) -> Option<String> {
    let joints = &stand.assembly.joints;
    let joint = joints
        .iter()
        .find(|joint| !joint::of(stand, joint).is_empty())?;
    let (from, to) = (&joint.from, &joint.to);
    if from.member != to.member {
        return None;
    }
    let body = &stand.bodies[from.member];
    let (a, b) = (body.net.panel(&from.panel)?, body.net.panel(&to.panel)?);
    let piece = stand.assembly.members[from.member].piece;
    // Without the bytes of its pictures, which folding does not look at.
    let mut tried = Project {
        assets: Vec::new(),
        ..project.clone()
    };
    for pair in body.posed.way(a, b).windows(2) {
        let Some(crease) = crease_between(&body.net, pair[0], pair[1]) else {
            continue;
        };
        turn(&mut tried, piece, crease);
        if closes(&tried, stand.assembly) {
            let name = |p: usize| stand.panel_name(from.member, &body.net.panels[p].name);
            let (one, other) = (name(pair[0]), name(pair[1]));
            return Some(format!(
                "fold the crease between {one} and {other} the other way: then all joints close"
            ));
        }
        turn(&mut tried, piece, crease);
    }
    None
}

/// The operation that creases the paper between two panels.
fn crease_between(net: &Net, a: usize, b: usize) -> Option<usize> {
    net.hinges.iter().find_map(|hinge| {
        let [p, q] = hinge.facets.map(|f| net.facets[f].panel);
        match hinge.by {
            HingeBy::Crease(i) if (p, q) == (a, b) || (q, p) == (a, b) => Some(i),
            HingeBy::Crease(_) | HingeBy::Bend(_) => None,
        }
    })
}

fn turn(project: &mut Project, piece: usize, operation: usize) {
    if let OperationKind::Crease { fold } = &mut project.pieces[piece].operations[operation].kind {
        *fold = fold.from_behind();
    }
}

fn closes(project: &Project, assembly: &Assembly) -> bool {
    let Ok((bodies, folded)) = put_together(project, assembly) else {
        return false;
    };
    let stand = Stand {
        assembly,
        bodies: &bodies,
        folded: &folded,
        style: project.job.lengths,
    };
    let mut joints = assembly.joints.iter();
    joints.all(|joint| joint::of(&stand, joint).is_empty())
}
