//! What moves together: an assembly drawn half open.

use crate::fold::Folded;
use crate::geometry::space::{Rigid, Vec3};
use crate::project::{Assembly, Joint, JointKind};

/// How far something that slides is drawn open, of its whole travel.
const OPEN: f64 = 0.5;

/// Returns the assembly with everything that slides open by half its travel; `None` if nothing slides.
pub(super) fn half_open(assembly: &Assembly, folded: &Folded) -> Option<Folded> {
    let moves = moves(assembly, folded.members.len());
    if moves.is_empty() {
        return None;
    }
    let mut open = folded.clone();
    for (member, way) in moves {
        let shift = Rigid::shift(way.x, way.y, way.z);
        for panel in &mut open.members[member].panels {
            panel.place = shift.after(&panel.place);
        }
    }
    Some(open)
}

/// Each member that moves, and how far.
fn moves(assembly: &Assembly, members: usize) -> Vec<(usize, Vec3)> {
    let mut ways = vec![Vec3::zeros(); members];
    let mut push = |moved: &[usize], way: Vec3| {
        for member in moved.iter().filter(|m| **m < members) {
            ways[*member] += way;
        }
    };
    if let Some(band) = &assembly.band {
        let half_mm = OPEN * band.travel.to_mm();
        for (rider, way_mm) in band.riders.iter().zip([half_mm, -half_mm]) {
            let still = [band.core, band.band];
            push(&body(assembly, rider.member, &still), Vec3::x() * way_mm);
        }
    } else {
        for joint in &assembly.joints {
            if let JointKind::Slide { along, travel, .. } = &joint.kind {
                let still = [joint.to.member];
                push(
                    &body(assembly, joint.from.member, &still),
                    *along * (OPEN * travel.to_mm()),
                );
            }
        }
    }
    let far = |way: &Vec3| way.norm() > 0.0;
    ways.into_iter()
        .enumerate()
        .filter(|(_, way)| far(way))
        .collect()
}

/// The members held to one of them by joints that do not slide, without those that stand `still`.
fn body(assembly: &Assembly, member: usize, still: &[usize]) -> Vec<usize> {
    let mut found = vec![member];
    let mut next = 0;
    while next < found.len() {
        let here = found[next];
        next += 1;
        for joint in assembly.joints.iter().filter(|j| holds(j)) {
            let (a, b) = (joint.from.member, joint.to.member);
            let there = if a == here {
                b
            } else if b == here {
                a
            } else {
                continue;
            };
            if !still.contains(&there) && !found.contains(&there) {
                found.push(there);
            }
        }
    }
    found
}

fn holds(joint: &Joint) -> bool {
    match joint.kind {
        JointKind::Stuck { .. }
        | JointKind::Flush { .. }
        | JointKind::Meet { .. }
        | JointKind::Tuck { .. }
        | JointKind::Hinge => true,
        JointKind::Slide { .. } => false,
    }
}
