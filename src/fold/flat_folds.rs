//! Panels folded flat onto others, and which of them lies on which.
//!
//! A panel folded by 180 degrees lies on the panel it hangs on; what is folded in between, as in a leaflet that is rolled up, keeps it
//! that much farther off. Flaps that come to lie over one another without a joint between them are closed one after the other: first those
//! that are glued, for glue is laid on before the last flap is shut, then in the order in which they are named.

use super::layers::{ALIKE, Body, Node, Rest, SAME_MM};
use super::pressed::shared_areas;
use crate::geometry::space::Vec3;
use crate::project::{Assembly, JointKind};

/// How near a fold is to 180 degrees, in degrees, to be flat.
const FLAT_DEG: f64 = 0.1;

/// Panels that share a thinner strip than this, in mm, do not lie on one another: a trimmer errs that much.
const SLIVER_MM: f64 = 0.1;

fn is_flat(deg: f64) -> bool {
    deg.abs() >= 180.0 - FLAT_DEG
}

/// Returns what folding flat lays on what.
pub(super) fn rests(bodies: &[Body]) -> Vec<Rest> {
    let mut rests = Vec::new();
    for (m, body) in bodies.iter().enumerate() {
        for p in 0..body.net.panels.len() {
            rests.extend(rest_on_parent(body, m, p));
        }
        let is_laid = |p: usize| body.posed.branches[p].is_some_and(|b| is_flat(b.mountain_deg));
        for closing in &body.posed.closing {
            if is_flat(closing.mountain_deg) {
                // The half of a web that lies on a wall carries the other half.
                let [mut base, mut mover] = closing.panels;
                if is_laid(mover) && !is_laid(base) {
                    (base, mover) = (mover, base);
                }
                let z = Vec3::z() * closing.mountain_deg.signum();
                let facet = body.net.panels[base].facets[0];
                rests.push(Rest {
                    mover: (m, mover),
                    base: (m, base),
                    up: body.posed.places[facet].direct(z),
                    height_mm: body.caliper_mm,
                    there_mm: 0.0,
                });
            }
        }
    }
    rests
}

fn rest_on_parent(body: &Body, m: usize, p: usize) -> Option<Rest> {
    let branch = body.posed.branches[p].filter(|b| is_flat(b.mountain_deg))?;
    let z = Vec3::z() * branch.mountain_deg.signum();
    Some(Rest {
        mover: (m, p),
        base: (m, branch.panel),
        up: body.posed.places[branch.facet].direct(z),
        height_mm: body.caliper_mm * f64::from(1 + between(body, p)),
        there_mm: 0.0,
    })
}

/// Whether `over` is shut on a flap of the same piece: both are folded flat onto one panel, and the flap is glued on the side that looks
/// away from that, in the direction `glued_up`.
pub(super) fn is_shut_over(bodies: &[Body], over: usize, flap: Node, glued_up: Vec3) -> bool {
    let laid = |panel| rest_on_parent(&bodies[flap.0], flap.0, panel);
    laid(flap.1).zip(laid(over)).is_some_and(|(flap, over)| {
        flap.base == over.base && flap.up.dot(&over.up) > ALIKE && glued_up.dot(&flap.up) > ALIKE
    })
}

/// How many papers lie between a panel that is folded flat and the one it hangs on: those that hang on it and are folded in there.
fn between(body: &Body, panel: usize) -> u32 {
    let Some(branch) = body.posed.branches[panel] else {
        return 0;
    };
    let children = body.posed.branches.iter().enumerate();
    let inner = children.filter(|(child, own)| {
        own.is_some_and(|own| {
            own.panel == panel
                && is_flat(own.mountain_deg)
                && own.mountain_deg.signum() * branch.mountain_deg.signum() > 0.0
        }) && lie_over(body, *child, branch.panel)
    });
    inner
        .map(|(child, _)| 1 + between(body, child))
        .max()
        .unwrap_or(0)
}

/// Whether two panels of a piece lie in one plane and share some of it, before any is lifted.
fn lie_over(body: &Body, a: usize, b: usize) -> bool {
    let facets = |panel: usize| {
        let facets = body.net.panels[panel].facets.iter();
        facets.map(|f| (&body.net.facets[*f].rings_mm, &body.posed.places[*f]))
    };
    facets(a).any(|(own, place)| {
        facets(b).any(|(other, its_place)| {
            let (n, m) = (place.direct(Vec3::z()), its_place.direct(Vec3::z()));
            n.dot(&m).abs() > ALIKE
                && (place.shift - its_place.shift).dot(&n).abs() <= SAME_MM
                && !shared_areas((own, place), (other, its_place), SLIVER_MM).is_empty()
        })
    })
}

/// Adds which of two flaps lies on the other wherever two are folded flat over one place and nothing says so yet.
pub(super) fn add_order(assembly: &Assembly, bodies: &[Body], rests: &mut Vec<Rest>) {
    for (m, body) in bodies.iter().enumerate() {
        let rank = |p: usize| {
            let is_open = !is_glued(assembly, bodies, (m, p));
            (is_open, body.declared[p], p)
        };
        let mut flaps: Vec<Rest> = (0..body.net.panels.len())
            .filter_map(|p| rest_on_parent(body, m, p))
            .collect();
        flaps.sort_by_key(|r| rank(r.mover.1));
        for (i, upper) in flaps.iter().enumerate() {
            for lower in &flaps[..i] {
                let is_new = upper.up.dot(&lower.up) > ALIKE
                    && !waits_for(bodies, rests, upper.mover, lower.mover)
                    && !waits_for(bodies, rests, lower.mover, upper.mover)
                    && lie_over(body, upper.mover.1, lower.mover.1);
                if is_new {
                    rests.push(Rest {
                        base: lower.mover,
                        height_mm: body.caliper_mm,
                        ..*upper
                    });
                }
            }
        }
    }
}

fn is_glued(assembly: &Assembly, bodies: &[Body], (member, panel): Node) -> bool {
    let name = &bodies[member].net.panels[panel].name;
    assembly.joints.iter().any(|joint| match joint.kind {
        JointKind::Stuck { .. } => [&joint.from, &joint.to]
            .iter()
            .any(|s| s.member == member && s.panel == *name),
        JointKind::Flush { .. }
        | JointKind::Meet { .. }
        | JointKind::Tuck { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => false,
    })
}

/// Whether a panel's height is told by another's: it lies or hangs on it, over however many others.
fn waits_for(bodies: &[Body], rests: &[Rest], panel: Node, other: Node) -> bool {
    let mut seen = vec![panel];
    let mut next = 0;
    while next < seen.len() {
        let (m, p) = seen[next];
        let hangs_on = bodies[m].posed.branches[p].map(|branch| (m, branch.panel));
        let lies_on = rests.iter().filter(|r| r.mover == (m, p)).map(|r| r.base);
        for below in lies_on.chain(hangs_on) {
            if below == other {
                return true;
            }
            if !seen.contains(&below) {
                seen.push(below);
            }
        }
        next += 1;
    }
    false
}
