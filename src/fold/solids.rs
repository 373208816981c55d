//! A folded assembly as solid panels, made ready to try what moves.

use super::body::{Bodies, panel_name, unites};
use super::prism::{Meeting, Prism, prisms};
use super::{Folded, FoldedPanel};
use crate::geometry::space::Vec3;
use crate::project::{Assembly, JointKind};

/// Everything that the checks of moving parts look at.
#[derive(Debug)]
pub(super) struct Solids<'a> {
    pub(super) assembly: &'a Assembly,
    pub(super) folded: &'a Folded,
    pub(super) bodies: Bodies,
    /// The thickest glue between the plies of a body, 0 where there is none.
    glue_mm: f64,
    /// The panels of each member.
    solids: Vec<Vec<Solid>>,
}

/// A panel as thick as its paper.
#[derive(Debug)]
struct Solid {
    member: usize,
    panel: String,
    caliper_mm: f64,
    prisms: Vec<Prism>,
}

/// Where one panel meets another on its way.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Hit {
    /// The stretch of the way, 0 being where it lies.
    pub(super) meeting: Meeting,
    /// Name of the moving panel, as in findings.
    pub(super) moving: String,
    /// Name of the other.
    pub(super) still: String,
}

/// What is free ahead and behind along an axis, with the panels that end it; below zero where they are in each other.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Room {
    pub(super) ahead: Option<(f64, Hit)>,
    pub(super) behind: Option<(f64, Hit)>,
}

impl<'a> Solids<'a> {
    /// Returns the solids; `None` if not every member is folded.
    pub(super) fn new(assembly: &'a Assembly, folded: &'a Folded) -> Option<Self> {
        if folded.members.len() != assembly.members.len() {
            return None;
        }
        let solid = |member: usize, panel: &FoldedPanel| {
            let caliper_mm = folded.members[member].caliper_mm;
            Solid {
                member,
                panel: panel.name.clone(),
                caliper_mm,
                prisms: prisms(panel, caliper_mm),
            }
        };
        let of_member = |member: usize| {
            folded.members[member]
                .panels
                .iter()
                .map(|panel| solid(member, panel))
                .collect()
        };
        Some(Self {
            assembly,
            folded,
            bodies: Bodies::new(assembly),
            glue_mm: thickest_glue_mm(assembly),
            solids: (0..folded.members.len()).map(of_member).collect(),
        })
    }

    /// How deep two papers may lie in each other before they are said to meet: the tolerance, half the thinner paper at most.
    ///
    /// A stack of plies has a glue line between any two. A ply beside such a stack meets one of them by half of what is left of its
    /// thickness without the glue at least, wherever it stands; so papers that are thicker than glue meet at nine tenths of that.
    fn depth_mm(&self, a: &Solid, b: &Solid) -> f64 {
        let thin_mm = a.caliper_mm.min(b.caliper_mm);
        let give_mm = self.assembly.tolerance.to_mm().min(thin_mm / 2.0);
        if self.glue_mm < thin_mm {
            give_mm.min(0.9 * (thin_mm - self.glue_mm) / 2.0)
        } else {
            give_mm
        }
    }

    /// Returns every meeting of panels of some members, moved along `way`, with panels of others.
    pub(super) fn hits(&self, moving: &[usize], still: &[usize], way: &Vec3) -> Vec<Hit> {
        let solids = |members: &[usize]| {
            members
                .iter()
                .filter_map(|m| self.solids.get(*m))
                .flatten()
                .collect::<Vec<_>>()
        };
        let (moving, still) = (solids(moving), solids(still));
        let pairs = moving
            .iter()
            .flat_map(|a| still.iter().map(move |b| (*a, *b)));
        pairs
            .flat_map(|(a, b)| self.hits_of_pair(a, b, way))
            .collect()
    }

    fn hits_of_pair(&self, a: &Solid, b: &Solid, way: &Vec3) -> Vec<Hit> {
        let depth_mm = self.depth_mm(a, b);
        let pairs = a
            .prisms
            .iter()
            .flat_map(|p| b.prisms.iter().map(move |q| (p, q)));
        let met = pairs.filter_map(|(p, q)| {
            let meeting = p.meets(q, way, depth_mm)?;
            is_shortest_way_out(p, q, &meeting, way, depth_mm).then_some(meeting)
        });
        let hit = |meeting| Hit {
            meeting,
            moving: panel_name(self.assembly, a.member, &a.panel),
            still: panel_name(self.assembly, b.member, &b.panel),
        };
        met.map(hit).collect()
    }

    /// Returns what is free along an axis between some members and others.
    pub(super) fn room(&self, moving: &[usize], still: &[usize], axis: &Vec3) -> Room {
        let mut room = Room::default();
        for hit in self.hits(moving, still, axis) {
            let Meeting { from_mm, to_mm } = hit.meeting;
            let (side, free_mm) = if from_mm + to_mm > 0.0 {
                (&mut room.ahead, from_mm)
            } else {
                (&mut room.behind, -to_mm)
            };
            if side
                .as_ref()
                .is_none_or(|(nearest_mm, _)| free_mm < *nearest_mm)
            {
                *side = Some((free_mm, hit));
            }
        }
        room
    }

    /// Returns from where to where some members reach along a direction.
    pub(super) fn reach_mm(&self, members: &[usize], direction: &Vec3) -> (f64, f64) {
        let solids = members.iter().filter_map(|m| self.solids.get(*m)).flatten();
        let reaches = solids.flat_map(|s| s.prisms.iter().map(|p| p.reach_mm(direction)));
        reaches.fold(
            (f64::INFINITY, f64::NEG_INFINITY),
            |(least, most), (a, b)| (least.min(a), most.max(b)),
        )
    }

    /// Returns all members but these.
    pub(super) fn all_but(&self, members: &[usize]) -> Vec<usize> {
        (0..self.solids.len())
            .filter(|member| !members.contains(member))
            .collect()
    }
}

/// Whether two that are in each other as they lie come apart along the way no later than along an axis of the object. Where a bottom is
/// too deep in what it slides on, that says nothing about the room at its sides.
fn is_shortest_way_out(p: &Prism, q: &Prism, meeting: &Meeting, way: &Vec3, depth_mm: f64) -> bool {
    if meeting.from_mm >= -depth_mm || meeting.to_mm <= depth_mm {
        return true;
    }
    let out_mm = |m: &Meeting| m.to_mm.min(-m.from_mm);
    let axes = [Vec3::x(), Vec3::y(), Vec3::z()];
    let others = axes.iter().filter(|axis| axis.dot(way).abs() < 0.5);
    others
        .filter_map(|axis| p.meets(q, axis, 0.0))
        .all(|other| out_mm(&other) >= out_mm(meeting))
}

fn thickest_glue_mm(assembly: &Assembly) -> f64 {
    let joints = assembly.joints.iter();
    let glues = joints.filter(|joint| unites(assembly, joint));
    let glues = glues.filter_map(|joint| match joint.kind {
        JointKind::Stuck { glue, .. } => Some(glue.to_mm()),
        JointKind::Meet { .. }
        | JointKind::Flush { .. }
        | JointKind::Tuck { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => None,
    });
    glues.fold(0.0, f64::max)
}
