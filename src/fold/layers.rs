//! Layers laid on one another as thick as they are.
//!
//! Folding brings the middles of papers together; here what lies on something else is lifted off it. Each lift is a panel's own, along the
//! normal of what it lies on, and takes along all that hangs on the panel. A lift waits for the lift of what is below, so they add up like
//! the longest way up; layers that wait for each other in a ring are a finding.

use super::net::Net;
use super::pose::Posed;
use super::region::inside_point;
use super::words::Words;
use super::{code, flat_folds};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::{Rigid, Vec3};
use crate::length::LengthStyle;
use crate::project::{Assembly, Face, Joint, JointKind, Surface};

/// Directions whose cosine is greater are one.
pub(super) const ALIKE: f64 = 0.999;

/// A member folded, middle on middle.
#[derive(Debug, Clone)]
pub(super) struct Body {
    pub(super) net: Net,
    /// For each panel how many are named before it.
    pub(super) declared: Vec<usize>,
    pub(super) posed: Posed,
    pub(super) caliper_mm: f64,
    pub(super) root: usize,
}

/// Distances that differ by less are one, in mm.
pub(super) const SAME_MM: f64 = 0.001;

/// A panel of a member.
pub(super) type Node = (usize, usize);

/// What lies on what.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rest {
    pub(super) mover: Node,
    pub(super) base: Node,
    /// Away from the base, length 1.
    pub(super) up: Vec3,
    /// How far the middles are to be apart.
    pub(super) height_mm: f64,
    /// How far they are apart already, as far as it counts.
    pub(super) there_mm: f64,
}

/// Returns how far each panel of each member is lifted, in the object's frame.
///
/// # Errors
///
/// Returns layers that lie on each other in a ring.
pub(super) fn lifts(
    assembly: &Assembly,
    bodies: &[Body],
    style: LengthStyle,
) -> Result<Vec<Vec<Vec3>>, Vec<Diagnostic>> {
    let mut rests = flat_folds::rests(bodies);
    let steps = steps(assembly);
    let joints = assembly.joints.iter();
    rests.extend(joints.filter_map(|joint| rest_of(joint, bodies, &steps)));
    flat_folds::add_order(assembly, bodies, &mut rests);
    let mut pile = Pile {
        bodies,
        rests,
        done: bodies
            .iter()
            .map(|b| vec![None; b.net.panels.len()])
            .collect(),
        open: Vec::new(),
    };
    for (m, body) in bodies.iter().enumerate() {
        for p in 0..body.net.panels.len() {
            if let Err(ring) = pile.lift((m, p)) {
                return Err(vec![ring_finding(&ring, assembly, bodies, style)]);
            }
        }
    }
    let settled = |lift: Option<Vec3>| lift.expect("every panel was lifted");
    Ok(pile
        .done
        .into_iter()
        .map(|body| body.into_iter().map(settled).collect())
        .collect())
}

fn ring_finding(
    ring: &[Node],
    assembly: &Assembly,
    bodies: &[Body],
    style: LengthStyle,
) -> Diagnostic {
    let name = |(m, p): &Node| {
        Words::new(&assembly.members[*m].name, style).panel(&bodies[*m].net.panels[*p].name)
    };
    let mut names: Vec<String> = ring.iter().map(name).collect();
    names.sort();
    let message = format!("{} lie on each other in a ring", names.join(", "));
    let hint = "say of each joint which panel lies on the other: from is the upper one";
    Diagnostic::error(code::LAYERS, message)
        .at(&assembly.origin)
        .hint(hint)
}

/// How many stuck joints lie between each member and the first one, which stays.
fn steps(assembly: &Assembly) -> Vec<usize> {
    let mut steps = vec![usize::MAX; assembly.members.len()];
    if let Some(first) = steps.first_mut() {
        *first = 0;
    }
    let glued = assembly.joints.iter().filter(|j| match j.kind {
        JointKind::Stuck { .. } => true,
        JointKind::Flush { .. }
        | JointKind::Meet { .. }
        | JointKind::Tuck { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => false,
    });
    let pairs: Vec<[usize; 2]> = glued.map(|j| [j.from.member, j.to.member]).collect();
    for _ in 0..steps.len() {
        for [a, b] in pairs.iter().flat_map(|[a, b]| [[*a, *b], [*b, *a]]) {
            if let (Some(from), Some(to)) = (steps.get(a).copied(), steps.get_mut(b)) {
                *to = (*to).min(from.saturating_add(1));
            }
        }
    }
    steps
}

/// Returns what a joint lays on what.
fn rest_of(joint: &Joint, bodies: &[Body], steps: &[usize]) -> Option<Rest> {
    let glue_mm = match &joint.kind {
        JointKind::Stuck { glue, .. } => Some(glue.to_mm()),
        JointKind::Tuck { .. } => None,
        JointKind::Flush { .. }
        | JointKind::Meet { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => return None,
    };
    let (from, to) = (node(&joint.from, bodies)?, node(&joint.to, bodies)?);
    if from == to {
        // What is stuck to itself is a finding of its joint.
        return None;
    }
    let (upper, lower) = facing(&joint.from, from, &joint.to, to, bodies);
    let apart_mm = up_of(&lower, joint.to.face).dot(&(upper.middle - lower.middle));
    let papers_mm = f64::midpoint(bodies[from.0].caliper_mm, bodies[to.0].caliper_mm);
    let height_mm = papers_mm + glue_mm.unwrap_or(0.0);
    let is_reversed = if from.0 == to.0 {
        let glued_up = up_of(&upper, joint.from.face);
        hangs_on(to, from, bodies) || flat_folds::is_shut_over(bodies, to.1, from, glued_up)
    } else {
        // What is nearer to the piece that stays carries the other, whichever of them the joint names first.
        (steps[from.0], from.0) < (steps[to.0], to.0)
    };
    let (mover, base, up) = if is_reversed {
        (to, from, up_of(&upper, joint.from.face))
    } else {
        (from, to, up_of(&lower, joint.to.face))
    };
    let there_mm = match glue_mm {
        // Tabs lie in the middle of what they are stuck to, whatever the drawing makes of it: the proof measures that.
        Some(_) if from.0 == to.0 => 0.0,
        // A piece may be placed on top of what it is stuck to, or in it to be laid on it.
        Some(_) if apart_mm.abs() < (apart_mm - height_mm).abs() => 0.0,
        // What goes in far off its panel is not brought there.
        None if apart_mm.abs() <= height_mm => apart_mm,
        Some(_) | None => return None,
    };
    let mover = if from.0 == to.0 {
        mover
    } else {
        (mover.0, bodies[mover.0].root)
    };
    Some(Rest {
        mover,
        base,
        up,
        height_mm,
        there_mm,
    })
}

fn node(surface: &Surface, bodies: &[Body]) -> Option<Node> {
    let body = bodies.get(surface.member)?;
    Some((surface.member, body.net.panel(&surface.panel)?))
}

/// Whether a panel hangs on another one of its piece, over however many creases.
fn hangs_on(panel: Node, on: Node, bodies: &[Body]) -> bool {
    let above = |p: &usize| bodies[panel.0].posed.branches[*p].map(|branch| branch.panel);
    panel.0 == on.0
        && std::iter::successors(Some(panel.1), above)
            .skip(1)
            .any(|p| p == on.1)
}

/// A facet as it lies.
struct Lying {
    place: Rigid,
    middle: Vec3,
}

fn up_of(lying: &Lying, face: Face) -> Vec3 {
    lying.place.direct(outward(face))
}

/// Returns the direction out of a face, in the piece frame.
pub(super) fn outward(face: Face) -> Vec3 {
    match face {
        Face::Front => -Vec3::z(),
        Face::Back => Vec3::z(),
    }
}

/// Returns the facets of two panels that face each other: those with the points they are named by, or else the most nearly opposite ones.
fn facing(from: &Surface, a: Node, to: &Surface, b: Node, bodies: &[Body]) -> (Lying, Lying) {
    let turned = |f: &Lying, t: &Lying| 1.0 + up_of(f, from.face).dot(&up_of(t, to.face));
    let home = |node: Node| lying(node, bodies).into_iter().next();
    if let (Some(f), Some(t)) = (home(a), home(b))
        && turned(&f, &t) < 1.0 - ALIKE
    {
        return (f, t);
    }
    let mut best: Option<(f64, (Lying, Lying))> = None;
    for f in lying(a, bodies) {
        for t in lying(b, bodies) {
            let turned_away = turned(&f, &t);
            // A whole turn away weighs as much as a metre between them.
            let cost = (f.middle - t.middle).norm() + 1000.0 * turned_away;
            // The parts by which bent panels were named come first and stay where others are no nearer.
            if best
                .as_ref()
                .is_none_or(|(least, _)| cost + SAME_MM < *least)
            {
                best = Some((cost, (Lying { ..f }, t)));
            }
        }
    }
    best.expect("a panel has a facet").1
}

fn lying((member, panel): Node, bodies: &[Body]) -> Vec<Lying> {
    let body = &bodies[member];
    let facets = body.net.panels[panel].facets.iter();
    facets
        .map(|f| {
            let place = body.posed.places[*f];
            let rings = &body.net.facets[*f].rings_mm;
            let inside = inside_point(rings).unwrap_or(rings[0][0]);
            let middle = place.apply(Vec3::new(inside.x, inside.y, 0.0));
            Lying { place, middle }
        })
        .collect()
}

struct Pile<'a> {
    bodies: &'a [Body],
    rests: Vec<Rest>,
    done: Vec<Vec<Option<Vec3>>>,
    open: Vec<Node>,
}

impl Pile<'_> {
    /// Returns how far a panel is lifted, or the ring of panels that wait for each other.
    fn lift(&mut self, node: Node) -> Result<Vec3, Vec<Node>> {
        if let Some(lift) = self.done[node.0][node.1] {
            return Ok(lift);
        }
        if let Some(first) = self.open.iter().position(|n| *n == node) {
            return Err(self.open[first..].to_vec());
        }
        self.open.push(node);
        let carried = match self.bodies[node.0].posed.branches[node.1] {
            Some(branch) => self.lift((node.0, branch.panel))?,
            None => Vec3::zeros(),
        };
        let own = self.own(node, carried)?;
        self.open.pop();
        self.done[node.0][node.1] = Some(carried + own);
        Ok(carried + own)
    }

    /// The most that is needed in each direction, added up.
    fn own(&mut self, node: Node, carried: Vec3) -> Result<Vec3, Vec<Node>> {
        let rests: Vec<Rest> = self
            .rests
            .iter()
            .copied()
            .filter(|r| r.mover == node)
            .collect();
        let mut needs: Vec<(Vec3, f64)> = Vec::new();
        for rest in rests {
            let below = self.lift(rest.base)?;
            let need_mm = (below - carried).dot(&rest.up) + rest.height_mm - rest.there_mm;
            match needs.iter_mut().find(|(up, _)| up.dot(&rest.up) > ALIKE) {
                Some((_, most)) => *most = most.max(need_mm),
                None => needs.push((rest.up, need_mm.max(0.0))),
            }
        }
        Ok(needs.into_iter().map(|(up, mm)| up * mm).sum())
    }
}
