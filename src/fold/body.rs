//! Rigid bodies: the members of an assembly that move as one, for they are stuck or hinged together.

use std::collections::VecDeque;

use crate::project::{Assembly, Joint, JointKind, Surface};

/// Which body each member belongs to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Bodies {
    of: Vec<usize>,
}

impl Bodies {
    /// Returns the bodies of an assembly. A band bends, so what is stuck to it makes no body with it.
    pub(super) fn new(assembly: &Assembly) -> Self {
        let mut of: Vec<usize> = (0..assembly.members.len()).collect();
        for joint in assembly
            .joints
            .iter()
            .filter(|joint| unites(assembly, joint))
        {
            let (Some(a), Some(b)) = (
                of.get(joint.from.member).copied(),
                of.get(joint.to.member).copied(),
            ) else {
                continue;
            };
            for body in &mut of {
                if *body == a.max(b) {
                    *body = a.min(b);
                }
            }
        }
        Self { of }
    }

    /// Whether two members move as one.
    pub(super) fn are_one(&self, a: usize, b: usize) -> bool {
        a == b
            || self
                .of
                .get(a)
                .is_some_and(|body| self.of.get(b) == Some(body))
    }

    /// Returns the members that move as one with a member, itself among them.
    pub(super) fn with(&self, member: usize) -> Vec<usize> {
        (0..self.of.len())
            .filter(|other| self.are_one(member, *other))
            .collect()
    }
}

/// Whether a joint makes one body of its two members.
pub(super) fn unites(assembly: &Assembly, joint: &Joint) -> bool {
    let band = assembly.band.as_ref().map(|band| band.band);
    let is_on_band = [joint.from.member, joint.to.member]
        .iter()
        .any(|member| Some(*member) == band);
    match joint.kind {
        JointKind::Stuck { .. } | JointKind::Hinge => !is_on_band,
        JointKind::Flush { .. }
        | JointKind::Meet { .. }
        | JointKind::Tuck { .. }
        | JointKind::Slide { .. } => false,
    }
}

/// Returns the fewest joints by which two members of one body hang together.
pub(super) fn chain(assembly: &Assembly, from: usize, to: usize) -> Vec<&Joint> {
    let mut reached: Vec<Option<Vec<&Joint>>> = vec![None; assembly.members.len()];
    let Some(start) = reached.get_mut(from) else {
        return Vec::new();
    };
    *start = Some(Vec::new());
    let mut next = VecDeque::from([from]);
    while let Some(member) = next.pop_front() {
        let so_far = reached[member].clone().unwrap_or_default();
        for joint in assembly
            .joints
            .iter()
            .filter(|joint| unites(assembly, joint))
        {
            let (a, b) = (joint.from.member, joint.to.member);
            let other = if a == member { b } else { a };
            if (a == member || b == member) && reached.get(other).is_some_and(Option::is_none) {
                let mut longer = so_far.clone();
                longer.push(joint);
                reached[other] = Some(longer);
                next.push_back(other);
            }
        }
    }
    reached.into_iter().nth(to).flatten().unwrap_or_default()
}

/// Returns a panel's name in findings.
pub(super) fn panel_name(assembly: &Assembly, member: usize, panel: &str) -> String {
    format!("\"{}:{panel}\"", member_name(assembly, member))
}

/// Returns the name of a surface in findings.
pub(super) fn surface_name(assembly: &Assembly, surface: &Surface) -> String {
    panel_name(assembly, surface.member, &surface.panel)
}

/// Returns a member's name without quotes.
pub(super) fn member_name(assembly: &Assembly, member: usize) -> &str {
    assembly
        .members
        .get(member)
        .map_or("?", |member| &member.name)
}

/// Returns the glue of a chain in words.
pub(super) fn glue_names(assembly: &Assembly, joints: &[&Joint]) -> String {
    let name = |joint: &&Joint| {
        format!(
            "{} to {}",
            surface_name(assembly, &joint.from),
            surface_name(assembly, &joint.to)
        )
    };
    joints.iter().map(name).collect::<Vec<_>>().join(", ")
}
