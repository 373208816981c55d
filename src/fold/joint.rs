//! Joints, each looked at by the file of its kind.

use super::layers::Body;
use super::pose::list;
use super::stand::Stand;
use super::words::Words;
use super::{code, flush, meet, stuck, tuck};
use crate::diagnostic::Diagnostic;
use crate::length::LengthStyle;
use crate::project::{Assembly, Joint, JointKind, Surface};

/// Returns every finding on the joints that hold an assembly together; what slides is looked at elsewhere.
pub(super) fn findings(stand: &Stand<'_>) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for joint in &stand.assembly.joints {
        let way = way_between(stand, joint);
        found.extend(of(stand, joint).into_iter().map(|finding| match &way {
            Some(hint) => finding.hint(hint.clone()),
            None => finding,
        }));
    }
    found
}

/// Returns every finding on one joint.
pub(super) fn of(stand: &Stand<'_>, joint: &Joint) -> Vec<Diagnostic> {
    match joint.kind {
        JointKind::Stuck { .. } => stuck::findings(stand, joint),
        JointKind::Flush { .. } => flush::findings(stand, joint),
        JointKind::Meet { .. } | JointKind::Hinge => meet::findings(stand, joint),
        JointKind::Tuck { .. } => tuck::findings(stand, joint),
        JointKind::Slide { .. } => Vec::new(),
    }
}

/// Over which panels two others hang together: what does not close may be any of them.
fn way_between(stand: &Stand<'_>, joint: &Joint) -> Option<String> {
    let (from, to) = (&joint.from, &joint.to);
    if from.member != to.member {
        return None;
    }
    let body = &stand.bodies[from.member];
    let way = body
        .posed
        .way(body.net.panel(&from.panel)?, body.net.panel(&to.panel)?);
    let inner = way.get(1..way.len().checked_sub(1)?)?;
    let names = list(
        inner
            .iter()
            .map(|p| stand.panel_name(from.member, &body.net.panels[*p].name)),
    );
    (!inner.is_empty())
        .then(|| format!("if both are right, look at what they hang together by: {names}"))
}

/// Returns a finding for each surface whose panel is not there.
pub(super) fn unnamed(assembly: &Assembly, bodies: &[Body], style: LengthStyle) -> Vec<Diagnostic> {
    let of_joints = assembly
        .joints
        .iter()
        .flat_map(|j| [(&j.from, &j.origin), (&j.to, &j.origin)]);
    let all = of_joints.chain(
        assembly
            .free_of_glue
            .iter()
            .map(|p| (&p.surface, &p.origin)),
    );
    let missing = |surface: &Surface| {
        bodies
            .get(surface.member)
            .is_none_or(|b| b.net.panel(&surface.panel).is_none())
    };
    all.filter(|(surface, _)| missing(surface))
        .map(|(surface, origin)| {
            let name = assembly
                .members
                .get(surface.member)
                .map_or("?", |m| m.name.as_str());
            let words = Words::new(name, style);
            let panels = bodies
                .get(surface.member)
                .map(|b| b.net.panels.as_slice())
                .unwrap_or_default();
            let message = format!("{} is no panel", words.panel(&surface.panel));
            let hint = format!(
                "name one of {}",
                list(panels.iter().map(|p| words.panel(&p.name)))
            );
            Diagnostic::error(code::PANEL, message)
                .at(origin)
                .hint(hint)
        })
        .collect()
}
