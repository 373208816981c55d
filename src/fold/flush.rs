//! Whether a panel covers what it should when it is folded flat onto the one it hangs on: with its outline, with its holes, and on which
//! face.
//!
//! The panel is mirrored at the crease in the piece frame, so how far it is folded in the finished object, and how thick paper is, count
//! for nothing.

use kurbo::{Line, Point};

use super::arrangement::length_mm;
use super::code;
use super::glue::{rings_of, without_all};
use super::net::{Hinge, HingeBy, longest};
use super::region::{nearest_on, nearest_side, outside_mm};
use super::stand::{Stand, edge_name};
use crate::diagnostic::Diagnostic;
use crate::geometry::areas::{Ring, shared};
use crate::geometry::space::Vec3;
use crate::project::{Face, Joint, JointKind};

/// Returns every finding on a panel that is to cover the one it hangs on.
pub(super) fn findings(stand: &Stand<'_>, joint: &Joint) -> Vec<Diagnostic> {
    let JointKind::Flush { area } = &joint.kind else {
        return Vec::new();
    };
    let Some(hinge) = hinge(stand, joint) else {
        return vec![no_crease(stand, joint)];
    };
    let target = match area {
        Some(path) => vec![rings_of(path)],
        None => outlines(stand, joint, None),
    };
    let look = Look {
        stand,
        joint,
        cover: outlines(stand, joint, Some(hinge.line)),
        target,
        crease: hinge.line,
    };
    if let Some(other_way) = look.other_way() {
        return vec![other_way];
    }
    [look.edges(), look.holes()].into_iter().flatten().collect()
}

/// The crease between both panels.
fn hinge(stand: &Stand<'_>, joint: &Joint) -> Option<Hinge> {
    let Joint { from, to, .. } = joint;
    if from.member != to.member {
        return None;
    }
    let net = &stand.bodies[from.member].net;
    let (a, b) = (net.panel(&from.panel)?, net.panel(&to.panel)?);
    let is_between = |hinge: &&Hinge| {
        let [p, q] = hinge.facets.map(|f| net.facets[f].panel);
        let is_crease = match hinge.by {
            HingeBy::Crease(_) => true,
            HingeBy::Bend(_) => false,
        };
        is_crease && (p.min(q), p.max(q)) == (a.min(b), a.max(b))
    };
    longest(net.hinges.iter().filter(is_between)).copied()
}

fn no_crease(stand: &Stand<'_>, joint: &Joint) -> Diagnostic {
    let (from, to) = (stand.name(&joint.from), stand.name(&joint.to));
    let message = format!("{from} and {to} hang on no crease, so neither folds onto the other");
    Diagnostic::error(code::FLUSH, message)
        .at(&joint.origin)
        .hint(format!("draw a crease between {from} and {to}"))
}

/// The outlines of the flat parts of `to`, or of `from` mirrored at a crease, without holes.
fn outlines(stand: &Stand<'_>, joint: &Joint, mirrored_at: Option<Line>) -> Vec<Vec<Ring>> {
    let surface = if mirrored_at.is_some() {
        &joint.from
    } else {
        &joint.to
    };
    let facets = stand.facets(surface).into_iter();
    facets
        .map(|facet| vec![moved(&facet.rings_mm[0], mirrored_at)])
        .collect()
}

fn moved(ring: &[Point], mirrored_at: Option<Line>) -> Ring {
    match mirrored_at {
        Some(line) => ring.iter().map(|p| mirrored(*p, line)).collect(),
        None => ring.to_vec(),
    }
}

/// The mirror image of a point at a line.
fn mirrored(point: Point, line: Line) -> Point {
    let way = line.p1 - line.p0;
    let foot = line.p0 + way * ((point - line.p0).dot(way) / way.hypot2());
    foot + (foot - point)
}

/// One panel folded onto another.
struct Look<'a> {
    stand: &'a Stand<'a>,
    joint: &'a Joint,
    /// The folded panel's parts, in the piece frame.
    cover: Vec<Vec<Ring>>,
    /// What they should cover.
    target: Vec<Vec<Ring>>,
    crease: Line,
}

impl Look<'_> {
    fn names(&self) -> (String, String) {
        (
            self.stand.name(&self.joint.from),
            self.stand.name(&self.joint.to),
        )
    }

    fn finding(&self, message: String, hint: String) -> Diagnostic {
        Diagnostic::error(code::FLUSH, message)
            .at(&self.joint.origin)
            .hint(hint)
    }

    /// The crease folds the other faces together.
    fn other_way(&self) -> Option<Diagnostic> {
        let Joint { from, to, .. } = self.joint;
        let body = &self.stand.bodies[from.member];
        let (a, b) = (body.net.panel(&from.panel)?, body.net.panel(&to.panel)?);
        let on = |p: usize, q: usize| body.posed.branches[p].filter(|branch| branch.panel == q);
        let branch = on(a, b).or_else(|| on(b, a))?;
        let inner = if branch.mountain_deg > 0.0 {
            Face::Back
        } else {
            Face::Front
        };
        let (own, other) = self.names();
        ((from.face, to.face) != (inner, inner)).then(|| {
            let fold = if branch.mountain_deg > 0.0 {
                "valley"
            } else {
                "mountain"
            };
            let message = format!(
                "{own} folds onto the {} of {other}, and its {} is meant",
                inner.name(),
                to.face.name()
            );
            self.finding(
                message,
                format!("make the crease between {own} and {other} a {fold}"),
            )
        })
    }

    /// The outlines differ.
    fn edges(&self) -> Option<Diagnostic> {
        let beyond = farthest(&self.cover, &self.target);
        let short = farthest(&self.target, &self.cover);
        let is_beyond = match (&beyond, &short) {
            (Some(beyond), Some(short)) => beyond.0 >= short.0,
            (Some(_), None) => true,
            (None, _) => false,
        };
        let (off_mm, at, near) = if is_beyond { beyond? } else { short? };
        if off_mm <= self.stand.tolerance_mm() {
            return None;
        }
        let (own, other) = self.names();
        let off = self.stand.show(off_mm);
        let (panel, _) = self.stand.home(&self.joint.to)?;
        let out = at - near;
        let edge = edge_name(panel.place.direct(Vec3::new(out.x, out.y, 0.0)));
        let (how, verb) = if is_beyond {
            ("beyond", "shorter")
        } else {
            ("short of", "longer")
        };
        let message = format!(
            "{own} folded flat onto {other} comes to lie {off} {how} what it should cover, at its {edge} edge"
        );
        let hint = format!(
            "make {own} {off} {verb} there, or move the crease between {own} and {other} by half of that"
        );
        Some(self.finding(message, hint))
    }

    /// Holes that lie over each other are not one hole.
    fn holes(&self) -> Option<Diagnostic> {
        let holes = |surface, line| -> Vec<Ring> {
            let facets = self.stand.facets(surface).into_iter();
            let holes = facets.flat_map(|facet| facet.rings_mm[1..].iter());
            holes.map(|ring| moved(ring, line)).collect()
        };
        let own = holes(&self.joint.from, Some(self.crease));
        let others = holes(&self.joint.to, None);
        let pairs = own
            .iter()
            .flat_map(|own| others.iter().map(move |other| (own, other)));
        let over = pairs.filter(|(a, b)| !shared(&[(*a).clone()], &[(*b).clone()]).is_empty());
        let off_mm = over.map(|(a, b)| apart_mm(a, b)).fold(0.0, f64::max);
        (off_mm > self.stand.tolerance_mm()).then(|| {
            let (own, other) = self.names();
            let off = self.stand.show(off_mm);
            let message = format!(
                "a hole of {own} folded flat onto {other} misses the hole there by {off}"
            );
            self.finding(
                message,
                format!("move the hole of {own} or of {other}, or the crease between them by half of that"),
            )
        })
    }
}

/// How far one area reaches out of another at most, where, and the point of the other that is nearest.
fn farthest(area: &[Vec<Ring>], other: &[Vec<Ring>]) -> Option<(f64, Point, Point)> {
    let beyond = area.iter().flat_map(|part| without_all(part, other));
    let corners: Vec<Point> = beyond.flatten().flatten().collect();
    let out = corners.into_iter().filter_map(|p| {
        let nearest = other
            .iter()
            .min_by(|a, b| outside_mm(a, p).total_cmp(&outside_mm(b, p)))?;
        let (_, side) = nearest_side(nearest, p)?;
        Some((outside_mm(nearest, p), p, nearest_on(side, p)))
    });
    out.max_by(|a, b| a.0.total_cmp(&b.0))
}

/// How far the edges of two holes are apart at most, corner by corner.
fn apart_mm(a: &Ring, b: &Ring) -> f64 {
    let off = |p: &Point, ring: &Ring| {
        nearest_side(std::slice::from_ref(ring), *p).map_or(0.0, |(_, side)| {
            length_mm(Line::new(nearest_on(side, *p), *p))
        })
    };
    let both = a
        .iter()
        .map(|p| off(p, b))
        .chain(b.iter().map(|p| off(p, a)));
    both.fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use kurbo::BezPath;

    use super::super::trial::{joint, net, only, proved, surface};
    use super::*;
    use crate::project::{OperationKind, Piece};

    /// A card of two leaves of 60 x 40 mm, creased 60 mm from its left, the left one `back`.
    fn card(outline: &str, crease_x: f64, deg: f64) -> Piece {
        let crease = format!("M{crease_x} 0 V40");
        net(
            "card",
            outline,
            &[(crease.as_str(), deg)],
            &[("back", (20.0, 20.0)), ("front", (100.0, 20.0))],
        )
    }

    fn covering(area: Option<&str>) -> Joint {
        let area = area.map(|path| BezPath::from_svg(path).unwrap());
        joint(
            JointKind::Flush { area },
            surface(0, "back", Face::Back),
            surface(0, "front", Face::Back),
        )
    }

    const CARD: &str = "M0 0 H120 V40 H0 Z";

    fn found(piece: Piece, area: Option<&str>) -> Vec<Diagnostic> {
        proved(piece, "front", vec![covering(area)])
    }

    #[test]
    fn leaves_of_one_size_cover_each_other_however_far_they_are_folded() {
        for deg in [30.0, 150.0, 180.0] {
            assert_eq!(found(card(CARD, 60.0, deg), None), []);
        }
    }

    #[test]
    fn a_crease_out_of_the_middle_shows_twice_at_the_edge() {
        // The back is 60.5 mm wide and the front 59.5 mm.
        let off = only(found(card(CARD, 60.5, 150.0), None));
        assert_eq!(
            off.message,
            "\"card:back\" folded flat onto \"card:front\" comes to lie 1 mm beyond what it should cover, at its right edge"
        );
        assert_eq!(
            off.hints[0],
            "make \"card:back\" 1 mm shorter there, or move the crease between \"card:back\" and \"card:front\" by half of that"
        );
        // 59.8 mm on 60.2 mm.
        let short = only(found(card(CARD, 59.8, 150.0), None));
        assert!(short.message.contains("0.4 mm short of what"), "{short:?}");
    }

    #[test]
    fn a_corner_clipped_on_one_leaf_only_is_told() {
        // 6 mm off both sides: the front's corner is 6 / √2 from the cut.
        let clipped = only(found(card("M6 0 H120 V40 H0 V6 Z", 60.0, 150.0), None));
        assert!(clipped.message.contains("4.24 mm short of"), "{clipped:?}");
        let both = "M6 0 H114 L120 6 V40 H0 V6 Z";
        assert_eq!(found(card(both, 60.0, 150.0), None), []);
    }

    #[test]
    fn a_leaf_may_be_meant_to_cover_a_part_only() {
        // 30 mm of the front beside the crease.
        let short = "M30 0 H120 V40 H30 Z";
        let part = Some("M60 0 H90 V40 H60 Z");
        let short_card = || {
            net(
                "card",
                short,
                &[("M60 0 V40", 150.0)],
                &[("back", (40.0, 20.0)), ("front", (100.0, 20.0))],
            )
        };
        assert_eq!(found(short_card(), part), []);
        assert!(
            only(found(short_card(), None))
                .message
                .contains("30 mm short of")
        );
    }

    #[test]
    fn a_crease_folded_the_other_way_brings_the_fronts_together() {
        let turned = only(found(card(CARD, 60.0, -150.0), None));
        assert_eq!(
            turned.message,
            "\"card:back\" folds onto the front of \"card:front\", and its back is meant"
        );
        let mend = "fold the crease between \"card:back\" and \"card:front\" the other way";
        assert!(turned.hints[0].starts_with(mend), "{turned:?}");
    }

    #[test]
    fn holes_for_one_string_are_one_hole() {
        use super::super::trial::operation;
        let holed = |x: f64| {
            let mut piece = card(CARD, 60.0, 150.0);
            for left in [20.0, x] {
                let path = format!("M{left} 10 h4 v4 h-4 Z");
                piece.operations.push(operation(&path, OperationKind::Hole));
            }
            found(piece, None)
        };
        // The left one's mirror image runs from 96 to 100 mm.
        assert_eq!(holed(96.0), []);
        let off = only(holed(96.5));
        assert_eq!(
            off.message,
            "a hole of \"card:back\" folded flat onto \"card:front\" misses the hole there by 0.5 mm"
        );
        // A window in one leaf only is none of the other's business.
        assert_eq!(holed(80.0), []);
    }

    #[test]
    fn panels_that_hang_on_no_crease_cannot_cover_each_other() {
        let strip = net(
            "strip",
            "M0 0 H90 V20 H0 Z",
            &[("M30 0 V20", 90.0), ("M60 0 V20", 90.0)],
            &[("a", (5.0, 5.0)), ("b", (35.0, 5.0)), ("c", (65.0, 5.0))],
        );
        let kind = JointKind::Flush { area: None };
        let far = joint(
            kind,
            surface(0, "a", Face::Back),
            surface(0, "c", Face::Back),
        );
        assert_eq!(
            only(proved(strip, "b", vec![far])).message,
            "\"strip:a\" and \"strip:c\" hang on no crease, so neither folds onto the other"
        );
    }
}
