//! A folded assembly as its joints are looked at: what each surface is called and where it lies.

use kurbo::{Line, Point};

use super::layers::{Body, outward};
use super::net::HingeBy;
use super::words::{Words, show};
use super::{Folded, FoldedPanel};
use crate::geometry::space::Vec3;
use crate::length::LengthStyle;
use crate::project::{Assembly, Face, Joint, Surface};

/// An assembly, its nets, and how they came to lie.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stand<'a> {
    pub(super) assembly: &'a Assembly,
    pub(super) bodies: &'a [Body],
    pub(super) folded: &'a Folded,
    pub(super) style: LengthStyle,
}

impl<'a> Stand<'a> {
    /// A panel's full name in quotes.
    pub(super) fn panel_name(&self, member: usize, panel: &str) -> String {
        Words::new(&self.assembly.members[member].name, self.style).panel(panel)
    }

    /// A member's name in quotes.
    pub(super) fn member_name(&self, member: usize) -> String {
        Words::new(&self.assembly.members[member].name, self.style).member()
    }

    /// The name of the member that can be moved where a joint is between two: not the first one, which stays.
    pub(super) fn loose(&self, joint: &Joint) -> Option<String> {
        let (from, to) = (joint.from.member, joint.to.member);
        let mover = if from == 0 { to } else { from };
        (from != to).then(|| self.member_name(mover))
    }

    /// The full name of a surface's panel in quotes.
    pub(super) fn name(&self, surface: &Surface) -> String {
        self.panel_name(surface.member, &surface.panel)
    }

    pub(super) fn show(&self, mm: f64) -> String {
        show(mm, self.style)
    }

    pub(super) fn tolerance_mm(&self) -> f64 {
        self.assembly.tolerance.to_mm()
    }

    /// The flat parts of a surface's panel.
    pub(super) fn facets(&self, surface: &Surface) -> Vec<&'a FoldedPanel> {
        let panels = self.folded.members[surface.member].panels.iter();
        panels.filter(|p| p.name == surface.panel).collect()
    }

    /// The flat part of a surface's panel that holds the point by which it was named, and the creases at it in the frame of its piece.
    pub(super) fn home(&self, surface: &Surface) -> Option<(&'a FoldedPanel, Vec<Line>)> {
        let net = &self.bodies[surface.member].net;
        let home = net.panels[net.panel(&surface.panel)?].facets[0];
        let is_crease = |by: HingeBy| match by {
            HingeBy::Crease(_) => true,
            HingeBy::Bend(_) => false,
        };
        let at_home = net
            .hinges
            .iter()
            .filter(|h| h.facets.contains(&home) && is_crease(h.by));
        let panel = &self.folded.members[surface.member].panels[home];
        Some((panel, at_home.map(|h| h.line).collect()))
    }

    /// Half the thickness of both papers: how far the middles of two sheets are apart that lie on each other.
    pub(super) fn papers_mm(&self, a: usize, b: usize) -> f64 {
        f64::midpoint(self.bodies[a].caliper_mm, self.bodies[b].caliper_mm)
    }

    /// How much two papers may be pressed into each other: the tolerance, half the thinner paper at most.
    pub(super) fn give_mm(&self, a: usize, b: usize) -> f64 {
        let thin_mm = self.bodies[a].caliper_mm.min(self.bodies[b].caliper_mm);
        self.tolerance_mm().min(thin_mm / 2.0)
    }

    /// The creases and bends of a surface's panel, in the frame of its piece.
    pub(super) fn creases_of(&self, surface: &Surface) -> impl Iterator<Item = Line> + 'a {
        let net = &self.bodies[surface.member].net;
        let panel = net.panel(&surface.panel);
        let is_own = move |facet: &usize| Some(net.facets[*facet].panel) == panel;
        let hinges = net
            .hinges
            .iter()
            .filter(move |h| h.facets.iter().any(is_own));
        hinges.map(|h| h.line)
    }

    /// The creases that join two panels of a member, in the frame of its piece.
    pub(super) fn creases_between(
        &self,
        member: usize,
        a: &str,
        b: &str,
    ) -> impl Iterator<Item = Line> {
        let net = &self.bodies[member].net;
        let name = |facet: usize| net.panels[net.facets[facet].panel].name.as_str();
        let is_between = move |facets: [usize; 2]| {
            let [p, q] = facets.map(name);
            (p == a && q == b) || (p == b && q == a)
        };
        let hinges = net.hinges.iter();
        hinges.filter(move |h| is_between(h.facets)).map(|h| h.line)
    }

    /// Whether a crease joins two panels of a member.
    pub(super) fn are_hinged(&self, member: usize, a: &str, b: &str) -> bool {
        self.creases_between(member, a, b).next().is_some()
    }
}

/// Returns a point of a flat panel in the object's frame.
pub(super) fn in_space(panel: &FoldedPanel, p: Point) -> Vec3 {
    panel.place.apply(Vec3::new(p.x, p.y, 0.0))
}

/// Returns the direction out of a face of a panel, in the object's frame.
pub(super) fn out_of(panel: &FoldedPanel, face: Face) -> Vec3 {
    panel.place.direct(outward(face))
}

/// Returns a panel's edge as whoever sits before the object calls it, by the direction out of it.
pub(super) fn edge_name(out: Vec3) -> &'static str {
    let (x, y, z) = (out.x.abs(), out.y.abs(), out.z.abs());
    if z >= x && z >= y {
        if out.z > 0.0 { "upper" } else { "lower" }
    } else if x >= y {
        if out.x > 0.0 { "right" } else { "left" }
    } else if out.y > 0.0 {
        "back"
    } else {
        "front"
    }
}
