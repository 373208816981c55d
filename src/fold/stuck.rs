//! Whether glue lands: on its partner, face to face, as far from it as paper is thick.

use kurbo::{Line, Point};

use super::arrangement::{SNAP_MM, length_mm};
use super::layers::outward;
use super::region::{holds, inside_point, nearest_on, nearest_side, outside_mm};
use super::stand::{Stand, edge_name, in_space, out_of};
use super::{FoldedPanel, code};
use crate::diagnostic::Diagnostic;
use crate::geometry::flattened;
use crate::geometry::space::Vec3;
use crate::math::FLATTEN_MM;
use crate::project::{Joint, JointKind, Surface};

/// Faces whose directions have a greater cosine than this look away from each other by less than a degree.
const OPPOSITE: f64 = 0.9998;

/// How far from its plane the next part of a bent panel still carries what is stuck to it, in mm.
const NEAR_MM: f64 = 2.0;

/// One glued joint, laid into the plane of the panel it lands on.
struct Landing<'a> {
    stand: &'a Stand<'a>,
    joint: &'a Joint,
    flap: &'a FoldedPanel,
    base: &'a FoldedPanel,
    /// The glue in the flap's piece frame.
    glue: Vec<Vec<Point>>,
    glue_mm: f64,
    covers_flap: bool,
}

/// Returns every finding on a joint by glue.
pub(super) fn findings(stand: &Stand<'_>, joint: &Joint) -> Vec<Diagnostic> {
    let JointKind::Stuck {
        area,
        covers_flap,
        glue,
    } = &joint.kind
    else {
        return Vec::new();
    };
    let area = area.as_ref().map(|path| {
        flattened(path, FLATTEN_MM)
            .into_iter()
            .map(opened)
            .collect::<Vec<_>>()
    });
    let Some((flap, base)) = facing(stand, joint, area.as_deref()) else {
        return Vec::new();
    };
    let landing = Landing {
        stand,
        joint,
        flap,
        base,
        covers_flap: *covers_flap && area.is_some(),
        glue: area.unwrap_or_else(|| flap.rings_mm.clone()),
        glue_mm: glue.to_mm(),
    };
    let found = [
        landing.uncovered(),
        landing.turned().or_else(|| landing.off()),
        landing.beyond(),
    ];
    found.into_iter().flatten().collect()
}

/// A closed line without its last corner, which is its first.
fn opened(mut ring: Vec<Point>) -> Vec<Point> {
    if ring.first() == ring.last() {
        ring.pop();
    }
    ring
}

/// Returns the flat parts of both panels where the glue is: the flap's under the glue, the partner's nearest to it that faces it best.
fn facing<'a>(
    stand: &Stand<'a>,
    joint: &Joint,
    area: Option<&[Vec<Point>]>,
) -> Option<(&'a FoldedPanel, &'a FoldedPanel)> {
    let middle = area.and_then(inside_point);
    let is_glued = |f: &&FoldedPanel| middle.is_none_or(|m| holds(&f.rings_mm, m));
    let all = stand.facets(&joint.from);
    let mut flaps: Vec<&FoldedPanel> = all.iter().copied().filter(is_glued).collect();
    if flaps.is_empty() {
        flaps = all;
    }
    let mut best: Option<(f64, (&FoldedPanel, &FoldedPanel))> = None;
    for flap in flaps {
        let at = middle.or_else(|| inside_point(&flap.rings_mm))?;
        for base in stand.facets(&joint.to) {
            let away = 1.0 + out_of(flap, joint.from.face).dot(&out_of(base, joint.to.face));
            let local = base.place.inverse().apply(in_space(flap, at));
            let aside = outside_mm(&base.rings_mm, Point::new(local.x, local.y));
            let cost = aside + local.z.abs() + 1000.0 * away;
            if best.is_none_or(|(least, _)| cost < least) {
                best = Some((cost, (flap, base)));
            }
        }
    }
    best.map(|(_, pair)| pair)
}

impl Landing<'_> {
    fn finding(&self, message: String, hint: String) -> Diagnostic {
        Diagnostic::error(code::STUCK, message)
            .at(&self.joint.origin)
            .hint(hint)
    }

    fn names(&self) -> (String, String) {
        (
            self.stand.name(&self.joint.from),
            self.stand.name(&self.joint.to),
        )
    }

    /// Corners of the glue in the frame of the partner's piece, z along the way out of its glued face.
    fn landed(&self) -> Vec<Vec3> {
        let to_base = self.base.place.inverse().after(&self.flap.place);
        let out = outward(self.joint.to.face).z;
        let land = |p: &Point| {
            let at = to_base.apply(Vec3::new(p.x, p.y, 0.0));
            Vec3::new(at.x, at.y, out * at.z)
        };
        self.glue.iter().flatten().map(land).collect()
    }

    /// The glue is not the flap it should be.
    fn uncovered(&self) -> Option<Diagnostic> {
        if !self.covers_flap {
            return None;
        }
        let (off_mm, _) = apart_mm(&self.glue, &self.flap.rings_mm)?;
        let (flap, _) = self.names();
        let message = format!(
            "the glue of {flap} and the flap itself have edges {} apart",
            self.stand.show(off_mm)
        );
        let hint = format!(
            "make flap and glue area alike: move the edge of {flap} by {}",
            self.stand.show(off_mm)
        );
        (off_mm > self.stand.tolerance_mm()).then(|| self.finding(message, hint))
    }

    /// The glue faces elsewhere.
    fn turned(&self) -> Option<Diagnostic> {
        let cosine =
            -out_of(self.flap, self.joint.from.face).dot(&out_of(self.base, self.joint.to.face));
        let depths: Vec<f64> = self.landed().iter().map(|p| p.z).collect();
        let spread_mm = depths.iter().copied().fold(f64::MIN, f64::max)
            - depths.iter().copied().fold(f64::MAX, f64::min);
        let (flap, base) = self.names();
        let (message, hint) = if cosine < -OPPOSITE {
            let message = format!("the glue of {flap} is on its face that looks away from {base}");
            (
                message,
                "swap front and back of the glued face, or fold the other way".to_owned(),
            )
        } else if spread_mm > self.stand.tolerance_mm() {
            let message = format!(
                "{flap} does not lie flat on {base}: it stands off by {} at one end",
                self.stand.show(spread_mm)
            );
            (
                message,
                format!("fold {flap} until it is parallel to {base}"),
            )
        } else {
            return None;
        };
        Some(self.finding(message, hint))
    }

    /// The glue does not touch.
    fn off(&self) -> Option<Diagnostic> {
        let (from, to) = (self.joint.from.member, self.joint.to.member);
        let want_mm = self.stand.papers_mm(from, to) + self.glue_mm;
        let corners = self.landed();
        let apart_mm = corners.iter().map(|p| p.z).sum::<f64>() / corners.len() as f64;
        let off_mm = apart_mm - want_mm;
        if off_mm.abs() <= self.stand.tolerance_mm() {
            return None;
        }
        let (flap, base) = self.names();
        let show = |mm: f64| self.stand.show(mm);
        let message = if off_mm > 0.0 {
            format!(
                "{flap} does not reach {base}: {} are between them",
                show(off_mm)
            )
        } else {
            format!("{flap} comes to lie {} too deep on {base}", show(-off_mm))
        };
        let hint = format!(
            "move the crease of {flap} by {}, so that it lies on {base}",
            show(off_mm.abs())
        );
        Some(self.finding(message, hint))
    }

    /// The glue sticks out, or there is nothing where it lands.
    fn beyond(&self) -> Option<Diagnostic> {
        let tolerance_mm = self.stand.tolerance_mm();
        let landed = self.landed();
        let outside = self.glue.iter().flatten().zip(&landed).map(|(drawn, at)| {
            let at = Point::new(at.x, at.y);
            let out_mm = self.outside_mm(*drawn);
            (out_mm - self.forgiven_mm(*drawn), out_mm, at)
        });
        let (over_mm, out_mm, at) = outside.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let (flap, base) = self.names();
        if over_mm > tolerance_mm {
            let edge = self.edge_at(at);
            let out = self.stand.show(out_mm);
            let message = format!("{flap} sticks out {out} beyond {base} at its {edge} edge");
            return Some(self.finding(
                message,
                format!("make {flap} {out} shorter at its {edge} edge"),
            ));
        }
        let gap_mm = self.gap_mm();
        (gap_mm > tolerance_mm).then(|| {
            let gap = self.stand.show(gap_mm);
            let message = format!("{flap} lies over a notch or hole of {base}, {gap} into it");
            self.finding(
                message,
                format!("make the notch or hole of {base} {gap} smaller, or {flap} shorter there"),
            )
        })
    }

    /// How far a point of the flap lies outside its partner, whichever of the partner's parts is nearest where that is bent.
    fn outside_mm(&self, drawn: Point) -> f64 {
        let at = in_space(self.flap, drawn);
        let parts = self.stand.facets(&self.joint.to).into_iter();
        let outside = parts.map(|part| {
            let local = part.place.inverse().apply(at);
            let is_near = std::ptr::eq(part, self.base) || local.z.abs() < NEAR_MM;
            if is_near {
                outside_mm(&part.rings_mm, Point::new(local.x, local.y))
            } else {
                f64::INFINITY
            }
        });
        outside.fold(f64::INFINITY, f64::min)
    }

    /// How far glue may stand out at this point of the flap. At its own crease that is as far as paper is thick, since the partner's edge
    /// ends against the fold there, or as far as the partner is designed to end before it.
    fn forgiven_mm(&self, at: Point) -> f64 {
        let Joint { from, to, .. } = self.joint;
        let is_on = |line: Line| length_mm(Line::new(nearest_on(line, at), at)) <= SNAP_MM;
        if !self.stand.creases_of(from).any(is_on) {
            return 0.0;
        }
        let is_at_fold = |s: &Surface| {
            s.member == from.member && self.stand.are_hinged(from.member, &s.panel, &from.panel)
        };
        let is_same = |s: &Surface| s.member == to.member && s.panel == to.panel;
        let gaps = self
            .stand
            .assembly
            .joints
            .iter()
            .filter_map(|joint| match &joint.kind {
                JointKind::Meet { gap, .. } => {
                    let is_here = is_same(&joint.from) && is_at_fold(&joint.to)
                        || is_same(&joint.to) && is_at_fold(&joint.from);
                    is_here.then(|| gap.to_mm())
                }
                JointKind::Stuck { .. }
                | JointKind::Tuck { .. }
                | JointKind::Hinge
                | JointKind::Slide { .. } => None,
            });
        gaps.fold(self.stand.papers_mm(from.member, to.member), f64::max)
    }

    /// The partner's edge beyond which a point lies.
    fn edge_at(&self, at: Point) -> &'static str {
        let near =
            nearest_side(&self.base.rings_mm, at).map_or(at, |(_, side)| nearest_on(side, at));
        let out = at - near;
        edge_name(self.base.place.direct(Vec3::new(out.x, out.y, 0.0)))
    }

    /// How far an edge of the partner runs through the glue.
    fn gap_mm(&self) -> f64 {
        let corners = self.landed();
        let mut rest = corners.iter().map(|p| Point::new(p.x, p.y));
        let rings: Vec<Vec<Point>> = self
            .glue
            .iter()
            .map(|ring| rest.by_ref().take(ring.len()).collect())
            .collect();
        let inner = self
            .base
            .rings_mm
            .iter()
            .flatten()
            .filter(|p| holds(&rings, **p));
        let depths = inner
            .filter_map(|p| nearest_side(&rings, *p))
            .map(|(depth, _)| depth);
        depths.fold(0.0, f64::max)
    }
}

/// Returns how far the edges of two regions are apart at most, and where.
fn apart_mm(a: &[Vec<Point>], b: &[Vec<Point>]) -> Option<(f64, Point)> {
    let off = |p: &Point, rings: &[Vec<Point>]| {
        let (_, side) = nearest_side(rings, *p)?;
        Some((length_mm(Line::new(nearest_on(side, *p), *p)), *p))
    };
    let one_way = a.iter().flatten().filter_map(|p| off(p, b));
    let other = b.iter().flatten().filter_map(|p| off(p, a));
    one_way.chain(other).max_by(|x, y| x.0.total_cmp(&y.0))
}

#[cfg(test)]
mod tests {
    use super::super::trial::{
        crease, joint, net, only, origin, proved, stuck, surface, tray, tray_joints,
    };
    use super::*;
    use crate::geometry::Outline;
    use crate::length::Length;
    use crate::project::{Face, Piece};
    use kurbo::BezPath;

    /// The tray with another edge at its front left tab, which is `M20.15 0 L8.15 3 V17 L20.15 20.15` as it should be.
    fn with_tab(tab: &str) -> Piece {
        let mut piece = tray();
        let outline = "M20.15 0 H80.45 L92.45 3 V17 L80.45 20.15 H100.6 V60.45 H80.45 L92.45 63.6 V77.6 L80.45 80.6 \
                       H20.15 L8.15 77.6 V63.6 L20.15 60.45 H0 V20.15 H20.15 ";
        let path = BezPath::from_svg(&format!("{outline}{tab} Z")).unwrap();
        piece.outline = Outline::new(&path, 0.001).unwrap();
        piece
    }

    #[test]
    fn the_tabs_of_a_good_tray_land() {
        assert_eq!(proved(tray(), "bottom", tray_joints()), []);
    }

    #[test]
    fn a_tab_that_sticks_out_is_told_with_its_edge_and_how_much() {
        // The tab's outer edge reaches to y = -0.5: half a millimetre above the wall's edge once it is folded.
        let found = only(proved(with_tab("L8.15 17 V-0.5"), "bottom", tray_joints()));
        assert_eq!(
            found.message,
            "\"tray:tab-fl\" sticks out 0.5 mm beyond \"tray:left\" at its upper edge"
        );
        assert_eq!(
            found.hints[0],
            "make \"tray:tab-fl\" 0.5 mm shorter at its upper edge"
        );
    }

    #[test]
    fn glue_on_the_wrong_face_is_told() {
        let mut joints = tray_joints();
        joints[0].from.face = Face::Back;
        let found = only(proved(tray(), "bottom", joints));
        assert!(
            found
                .message
                .contains("\"tray:tab-fl\" is on its face that looks away from \"tray:left\""),
            "{found:?}"
        );
    }

    #[test]
    fn a_tab_folded_too_little_does_not_lie_flat() {
        let mut piece = tray();
        piece.operations.remove(2);
        for (path, deg) in [
            ("M20.15 0 V20.15", 85.0),
            ("M20.15 20.15 V60.45", 90.0),
            ("M20.15 60.45 V80.6", 90.0),
        ] {
            piece.operations.push(crease(path, deg));
        }
        let found = only(proved(piece, "bottom", tray_joints()));
        // 12 sin 5 deg = 1.046.
        assert_eq!(
            found.message,
            "\"tray:tab-fl\" does not lie flat on \"tray:left\": it stands off by 1.05 mm at one end"
        );
    }

    #[test]
    fn glue_and_flap_of_different_outlines_are_told() {
        let mut joints = tray_joints();
        let area = BezPath::from_svg("M20.15 0 L8.15 3 V16.4 L20.15 20.15 Z").unwrap();
        joints[0].kind = JointKind::Stuck {
            area: Some(area.clone()),
            covers_flap: true,
            glue: Length::ZERO,
        };
        let found = only(proved(tray(), "bottom", joints.clone()));
        assert!(
            found
                .message
                .starts_with("the glue of \"tray:tab-fl\" and the flap itself have edges 0.5"),
            "{found:?}"
        );
        // Only a strip of a flap may be glued where that is meant.
        joints[0].kind = JointKind::Stuck {
            area: Some(area),
            covers_flap: false,
            glue: Length::ZERO,
        };
        assert_eq!(proved(tray(), "bottom", joints), []);
    }

    /// A strip whose right end is folded over flat, 0.5 mm off the middle, with a notch at the top where it lands.
    fn folded_strip(outline: &str) -> Piece {
        net(
            "strip",
            outline,
            &[("M60 0 V20", 180.0)],
            &[("page", (20.0, 15.0)), ("flap", (70.0, 10.0))],
        )
    }

    #[test]
    fn a_flap_over_a_notch_is_told() {
        let glued = || {
            vec![joint(
                stuck(),
                surface(0, "flap", Face::Back),
                surface(0, "page", Face::Back),
            )]
        };
        assert_eq!(
            proved(folded_strip("M0 0 H80 V20 H0 Z"), "page", glued()),
            []
        );
        // A notch from 44 to 50 mm, 3 mm deep: the flap covers 40 to 60.
        let found = only(proved(
            folded_strip("M0 0 H44 V3 H50 V0 H80 V20 H0 Z"),
            "page",
            glued(),
        ));
        assert_eq!(
            found.message,
            "\"strip:flap\" lies over a notch or hole of \"strip:page\", 3 mm into it"
        );
    }

    #[test]
    fn a_piece_laid_in_another_is_lifted_onto_it_and_one_placed_off_it_is_told() {
        use super::super::trial::{assembly, member, project};
        let sheet = || net("sheet", "M0 0 H60 V40 H0 Z", &[], &[("page", (5.0, 5.0))]);
        let mat = || net("mat", "M0 0 H50 V30 H0 Z", &[], &[("mat", (5.0, 5.0))]);
        let at = |z_mm: f64| {
            let glued = joint(
                stuck(),
                surface(1, "mat", Face::Back),
                surface(0, "page", Face::Front),
            );
            let members = vec![
                member(0, "sheet", "page", (0.0, 0.0, 0.0)),
                member(1, "mat", "mat", (5.0, 5.0, z_mm)),
            ];
            let mut project = project(vec![sheet(), mat()]);
            project.assemblies = vec![assembly(members, vec![glued])];
            super::super::prove(&project)
        };
        // The front looks along -z. Laid in the sheet, or 0.3 mm before it as papers of 0.3 mm lie.
        assert_eq!((at(0.0), at(-0.3)), (vec![], vec![]));
        let found = only(at(-0.8));
        assert_eq!(
            found.message,
            "\"mat:mat\" does not reach \"sheet:page\": 0.5 mm are between them"
        );
        assert_eq!(found.origin, Some(origin()));
    }
}
