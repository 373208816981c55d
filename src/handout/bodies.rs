//! Members of an assembly that are stuck to each other, and which of them go inside which.

use crate::fold;
use crate::geometry::space::Vec3;
use crate::project::{Assembly, JointKind, Project};

/// The bodies of an assembly: members that are stuck to each other, a running band left out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Bodies {
    /// The body of each member; a band is a body of its own.
    pub(super) of: Vec<usize>,
    /// How many bodies go in before each: the innermost come first.
    pub(super) rank: Vec<usize>,
    /// How many joints lie between each member and the first member of its body.
    pub(super) steps: Vec<usize>,
}

impl Bodies {
    pub(super) fn new(project: &Project, assembly: &Assembly) -> Self {
        let band = assembly.band.as_ref().map(|band| band.band);
        let ties = ties(assembly, band);
        let (of, steps) = walk(assembly.members.len(), &ties);
        let count = of.iter().max().map_or(0, |last| last + 1);
        let inside = insides(project, assembly, &of);
        Self {
            rank: ranks(count, &inside),
            of,
            steps,
        }
    }
}

/// Pairs of members that are stuck to each other.
fn ties(assembly: &Assembly, band: Option<usize>) -> Vec<(usize, usize)> {
    let joints = assembly.joints.iter();
    let stuck = joints.filter(|joint| is_stuck(&joint.kind));
    let pairs = stuck.map(|joint| (joint.from.member, joint.to.member));
    pairs
        .filter(|(a, b)| a != b && Some(*a) != band && Some(*b) != band)
        .collect()
}

pub(super) const fn is_stuck(kind: &JointKind) -> bool {
    match kind {
        JointKind::Stuck { .. } => true,
        JointKind::Meet { .. }
        | JointKind::Tuck { .. }
        | JointKind::Flush { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => false,
    }
}

/// Returns the body of each member, in order of their first members, and its steps from that.
fn walk(members: usize, ties: &[(usize, usize)]) -> (Vec<usize>, Vec<usize>) {
    let mut of = vec![usize::MAX; members];
    let mut steps = vec![0; members];
    let mut bodies = 0;
    for first in 0..members {
        if of[first] != usize::MAX {
            continue;
        }
        of[first] = bodies;
        let mut front = vec![first];
        while !front.is_empty() {
            let mut next = Vec::new();
            for at in front {
                for (a, b) in ties {
                    let other = if *a == at { *b } else { *a };
                    if (*a == at || *b == at) && of[other] == usize::MAX {
                        of[other] = bodies;
                        steps[other] = steps[at] + 1;
                        next.push(other);
                    }
                }
            }
            front = next;
        }
        bodies += 1;
    }
    (of, steps)
}

/// Pairs of bodies of which the first goes inside the second.
fn insides(project: &Project, assembly: &Assembly, of: &[usize]) -> Vec<(usize, usize)> {
    let joints = assembly
        .joints
        .iter()
        .filter_map(|joint| match &joint.kind {
            JointKind::Slide { along, .. } => Some((joint.from.member, joint.to.member, *along)),
            JointKind::Stuck { .. }
            | JointKind::Meet { .. }
            | JointKind::Tuck { .. }
            | JointKind::Flush { .. }
            | JointKind::Hinge => None,
        });
    joints
        .filter(|(from, to, _)| of[*from] != of[*to])
        .map(|(from, to, along)| {
            if is_inside(project, assembly, from, to, along) {
                (of[from], of[to])
            } else {
                (of[to], of[from])
            }
        })
        .collect()
}

/// Whether the member `a` goes inside `b` where one slides along the other: it is the smaller across. What does not fold is taken to go in.
pub(super) fn is_inside(
    project: &Project,
    assembly: &Assembly,
    a: usize,
    b: usize,
    along: Vec3,
) -> bool {
    let Ok(folded) = fold::fold(project, assembly) else {
        return true;
    };
    let across_mm = |member: usize| {
        let panels = folded.members[member].panels.iter();
        let corners = panels.flat_map(|panel| {
            let ring = panel.rings_mm.iter().flatten();
            ring.map(|p| panel.place.apply(Vec3::new(p.x, p.y, 0.0)))
        });
        let corners: Vec<Vec3> = corners.collect();
        let extent = |of: fn(&Vec3) -> f64| {
            let (low, high) = corners
                .iter()
                .map(of)
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| {
                    (low.min(x), high.max(x))
                });
            (high - low).max(0.0)
        };
        let sizes = [
            (along.x.abs(), extent(|c| c.x)),
            (along.y.abs(), extent(|c| c.y)),
            (along.z.abs(), extent(|c| c.z)),
        ];
        let across = sizes.iter().filter(|(along, _)| *along < 0.5);
        across.map(|(_, mm)| mm).sum::<f64>()
    };
    across_mm(a) < across_mm(b)
}

/// How many bodies are inside each, counted through: a body comes after all that go inside it.
fn ranks(count: usize, inside: &[(usize, usize)]) -> Vec<usize> {
    let mut rank = vec![0; count];
    // As often as there are bodies is enough where none is inside itself.
    for _ in 0..count {
        for (inner, outer) in inside {
            rank[*outer] = rank[*outer].max((rank[*inner] + 1).min(count));
        }
    }
    rank
}
