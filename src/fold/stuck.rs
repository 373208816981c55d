//! Whether glue lands: on its partner, face to face, as far from it as paper is thick.

use kurbo::{Line, Point, Rect, Vec2};

use super::arrangement::{SNAP_MM, length_mm};
use super::glue::{Glue, Landing, land, rings_of, without_all};
use super::layers::outward;
use super::region::{holds, nearest_on, nearest_side, outside_mm};
use super::stand::{Stand, edge_name, in_space, out_of};
use super::{FoldedPanel, code, rims};
use crate::diagnostic::Diagnostic;
use crate::geometry::areas::{Ring, thickness_of, without};
use crate::geometry::space::Vec3;
use crate::project::{Joint, JointKind, Surface};

/// Faces whose directions have a greater cosine than this look away from each other by less than a degree.
const OPPOSITE: f64 = 0.9998;

/// How far from its plane the next part of a bent panel still carries what is stuck to it, in mm.
const NEAR_MM: f64 = 2.0;

/// Returns every finding on a joint by glue.
pub(super) fn findings(stand: &Stand<'_>, joint: &Joint) -> Vec<Diagnostic> {
    let JointKind::Stuck {
        area,
        covers_flap,
        rims,
        glue,
    } = &joint.kind
    else {
        return Vec::new();
    };
    if (joint.from.member, &joint.from.panel) == (joint.to.member, &joint.to.panel) {
        return vec![to_itself(stand, joint)];
    }
    let glue = Glue {
        stand,
        joint,
        area: area.as_ref().map(rings_of),
        covers_flap: *covers_flap,
        thick_mm: glue.to_mm(),
    };
    let landings = glue.landings();
    let looks: Vec<Look<'_>> = landings
        .iter()
        .map(|landing| Look {
            glue: &glue,
            landing,
        })
        .collect();
    let aside = looks
        .iter()
        .find_map(|look| look.turned().or_else(|| look.off()));
    let mut found: Vec<Diagnostic> = glue.off_flap().into_iter().collect();
    let is_turned = aside.is_some();
    found.extend(aside);
    let beyond = looks.iter().filter_map(Look::beyond);
    found.extend(
        beyond
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, finding)| finding),
    );
    if let (Some(rims), false) = (rims, is_turned) {
        found.extend(rims::findings(stand, joint, rims));
    }
    found
}

fn to_itself(stand: &Stand<'_>, joint: &Joint) -> Diagnostic {
    let message = format!("{} is stuck to itself", stand.name(&joint.from));
    Diagnostic::error(code::STUCK, message)
        .at(&joint.origin)
        .hint("name the panel it lies on as the other one")
}

/// One flat part of the flap under the eye.
struct Look<'a> {
    glue: &'a Glue<'a>,
    landing: &'a Landing<'a>,
}

impl Look<'_> {
    fn stand(&self) -> &Stand<'_> {
        self.glue.stand
    }

    fn joint(&self) -> &Joint {
        self.glue.joint
    }

    fn show(&self, mm: f64) -> String {
        self.stand().show(mm)
    }

    fn finding(&self, message: String, hint: String) -> Diagnostic {
        Diagnostic::error(code::STUCK, message)
            .at(&self.joint().origin)
            .hint(hint)
    }

    fn names(&self) -> (String, String) {
        let Joint { from, to, .. } = self.joint();
        (self.stand().name(from), self.stand().name(to))
    }

    /// Corners of the glue in the frame of the partner's piece, z along the way out of its glued face.
    fn landed(&self) -> Vec<Vec3> {
        let out = outward(self.joint().to.face).z;
        let corners = self.landing.glue.iter().flatten();
        corners
            .map(|p| land(self.landing.flap, self.landing.base, *p))
            .map(|at| Vec3::new(at.x, at.y, out * at.z))
            .collect()
    }

    /// The glue faces elsewhere.
    fn turned(&self) -> Option<Diagnostic> {
        let Joint { from, to, .. } = self.joint();
        let (flap_out, base_out) = (
            out_of(self.landing.flap, from.face),
            out_of(self.landing.base, to.face),
        );
        let depths: Vec<f64> = self.landed().iter().map(|p| p.z).collect();
        let spread_mm = depths.iter().copied().fold(f64::MIN, f64::max)
            - depths.iter().copied().fold(f64::MAX, f64::min);
        let (flap, base) = self.names();
        if flap_out.dot(&base_out) > OPPOSITE {
            let message = format!("the glue of {flap} is on its face that looks away from {base}");
            let hint = "swap front and back of the glued face, or fold the other way".to_owned();
            return Some(self.finding(message, hint));
        }
        (spread_mm > self.stand().tolerance_mm()).then(|| {
            let message = format!(
                "{flap} does not lie flat on {base}: it stands off by {} at one end",
                self.show(spread_mm)
            );
            let hint = match self.stand().loose(self.joint()) {
                Some(loose) => format!("turn {loose} until {flap} is parallel to {base}"),
                None => format!("fold {flap} until it is parallel to {base}"),
            };
            self.finding(message, hint)
        })
    }

    /// The glue does not touch.
    fn off(&self) -> Option<Diagnostic> {
        let (from, to) = (self.joint().from.member, self.joint().to.member);
        let want_mm = self.stand().papers_mm(from, to) + self.glue.thick_mm;
        let corners = self.landed();
        let apart_mm = corners.iter().map(|p| p.z).sum::<f64>() / corners.len() as f64;
        let off_mm = apart_mm - want_mm;
        if off_mm.abs() <= self.stand().tolerance_mm() {
            return None;
        }
        let (flap, base) = self.names();
        let off = self.show(off_mm.abs());
        let message = if off_mm > 0.0 {
            format!("{flap} does not reach {base}: {off} are between them")
        } else {
            format!("{flap} comes to lie {off} too deep on {base}")
        };
        Some(self.finding(message, self.nearer(off_mm)))
    }

    /// How to bring the two together, or apart where they are too near.
    fn nearer(&self, off_mm: f64) -> String {
        let (flap, base) = self.names();
        let off = self.show(off_mm.abs());
        if let Some(loose) = self.stand().loose(self.joint()) {
            let way = if off_mm > 0.0 {
                "nearer to"
            } else {
                "farther from"
            };
            let other = if loose == self.stand().member_name(self.joint().from.member) {
                base
            } else {
                flap
            };
            return format!("place {loose} {off} {way} {other}");
        }
        let from = &self.joint().from;
        let is_root = self.stand().assembly.members[from.member].root == from.panel;
        // The root stays where it is: what comes to it is moved.
        let (moved, other) = if is_root { (base, flap) } else { (flap, base) };
        format!("move the crease of {moved} by {off}, so that it lies on {other}")
    }

    /// The glue sticks out, or there is nothing where it lands; by how much, and the finding.
    fn beyond(&self) -> Option<(f64, Diagnostic)> {
        let landed = self.landed();
        let corners = self.landing.glue.iter().flatten().zip(&landed);
        let outside = corners.map(|(drawn, at)| {
            let at = Point::new(at.x, at.y);
            let out_mm = self.outside_mm(*drawn);
            (out_mm - self.forgiven_at_mm(*drawn), out_mm, at)
        });
        let (over_mm, out_mm, at) = outside.max_by(|a, b| a.0.total_cmp(&b.0))?;
        if over_mm <= self.stand().tolerance_mm() {
            return self.bare();
        }
        let (flap, base) = self.names();
        let (edge, out) = (self.edge_at(at), self.show(out_mm));
        let message = format!("{flap} sticks out {out} beyond {base} at its {edge} edge");
        let mut hint = format!("make {flap} {out} shorter at its {edge} edge");
        if let Some(loose) = self.stand().loose(self.joint()) {
            hint += &format!(", or move {loose} away from there");
        }
        Some((over_mm, self.finding(message, hint)))
    }

    /// How far a point of the flap lies outside its partner, whichever of the partner's parts is nearest where that is bent.
    fn outside_mm(&self, drawn: Point) -> f64 {
        let parts = self.stand().facets(&self.joint().to).into_iter();
        let outside = parts.map(|part| {
            let local = land(self.landing.flap, part, drawn);
            let is_near = std::ptr::eq(part, self.landing.base) || local.z.abs() < NEAR_MM;
            if is_near {
                outside_mm(&part.rings_mm, Point::new(local.x, local.y))
            } else {
                f64::INFINITY
            }
        });
        outside.fold(f64::INFINITY, f64::min)
    }

    /// How far glue may stand out at this point of the flap: at its own creases only.
    fn forgiven_at_mm(&self, at: Point) -> f64 {
        let is_on = |line: Line| length_mm(Line::new(nearest_on(line, at), at)) <= SNAP_MM;
        if self.stand().creases_of(&self.joint().from).any(is_on) {
            self.forgiven_mm()
        } else {
            0.0
        }
    }

    /// How far glue may stand out at its flap's crease. That is as far as paper is thick, since the partner's edge ends against the fold
    /// there, or as far as the partner is designed to end before it.
    fn forgiven_mm(&self) -> f64 {
        let stand = self.stand();
        let Joint { from, to, .. } = self.joint();
        let is_at_fold = |s: &Surface| {
            s.member == from.member && stand.are_hinged(from.member, &s.panel, &from.panel)
        };
        let is_same = |s: &Surface| s.member == to.member && s.panel == to.panel;
        let gaps = stand
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
                | JointKind::Flush { .. }
                | JointKind::Tuck { .. }
                | JointKind::Hinge
                | JointKind::Slide { .. } => None,
            });
        gaps.fold(stand.papers_mm(from.member, to.member), f64::max)
    }

    /// The partner's edge beyond which a point lies.
    fn edge_at(&self, at: Point) -> &'static str {
        let base = self.landing.base;
        let near = nearest_side(&base.rings_mm, at).map_or(at, |(_, side)| nearest_on(side, at));
        let out = at - near;
        edge_name(base.place.direct(Vec3::new(out.x, out.y, 0.0)))
    }

    /// There is no paper of the partner below a part of the glue, off the flap's creases.
    fn bare(&self) -> Option<(f64, Diagnostic)> {
        let Landing { flap, base, .. } = *self.landing;
        let to_base = |p: &Point| {
            let at = land(flap, base, *p);
            Point::new(at.x, at.y)
        };
        let glue = self.off_creases();
        let landed: Vec<Ring> = glue
            .iter()
            .map(|ring| ring.iter().map(to_base).collect())
            .collect();
        let below = self.below();
        let parts = without_all(&landed, &below);
        let depths = parts
            .iter()
            .map(|part| (into_mm(part, &landed), thickness_of(part), part));
        let (into_mm, thick_mm, part) =
            depths.max_by(|a, b| a.0.max(a.1).total_cmp(&b.0.max(b.1)))?;
        let deep_mm = into_mm.max(thick_mm);
        (deep_mm > self.stand().tolerance_mm())
            .then(|| (deep_mm, self.over_hole(into_mm, thick_mm, part)))
    }

    fn over_hole(&self, into_mm: f64, thick_mm: f64, part: &[Ring]) -> Diagnostic {
        let (flap, base) = self.names();
        if into_mm >= thick_mm {
            let into = self.show(into_mm);
            let message = format!("{flap} lies over a notch or hole of {base}, {into} into it");
            let hint =
                format!("make the notch or hole of {base} {into} smaller, or {flap} shorter there");
            return self.finding(message, hint);
        }
        let corners = part.iter().flatten();
        let bounds = corners
            .map(|p| Rect::from_points(*p, *p))
            .reduce(|a, b| a.union(b))
            .unwrap_or(Rect::ZERO);
        let (wide, high) = (self.show(bounds.width()), self.show(bounds.height()));
        let message = format!(
            "{flap} lies over a notch or hole of {base}: {wide} x {high} of its glue have nothing below them"
        );
        self.finding(
            message,
            format!("glue {flap} beside it, or make the notch or hole of {base} smaller"),
        )
    }

    /// The glue without what lies along the flap's creases, where it may stand out.
    fn off_creases(&self) -> Vec<Ring> {
        let forgiven_mm = self.forgiven_mm();
        let mut glue = self.landing.glue.clone();
        for line in self.stand().creases_of(&self.joint().from) {
            glue = without(&glue, &[along(line, forgiven_mm)]).concat();
        }
        glue
    }

    /// The partner's parts below this part of the flap, in the frame and the plane of the one it lies on.
    fn below(&self) -> Vec<Vec<Ring>> {
        let Landing { flap, base, glue } = self.landing;
        let is_near = |part: &&FoldedPanel| {
            let mut corners = glue.iter().flatten();
            std::ptr::eq(*part, *base) || corners.any(|p| land(flap, part, *p).z.abs() < NEAR_MM)
        };
        let in_plane = |part: &FoldedPanel| {
            let to_base = |p: &Point| {
                let at = base.place.inverse().apply(in_space(part, *p));
                Point::new(at.x, at.y)
            };
            let rings = part.rings_mm.iter();
            rings
                .map(|ring| ring.iter().map(to_base).collect())
                .collect()
        };
        let parts = self.stand().facets(&self.joint().to).into_iter();
        parts.filter(is_near).map(in_plane).collect()
    }
}

/// How far a part of an area reaches into it from its edge.
fn into_mm(part: &[Ring], area: &[Ring]) -> f64 {
    let inner = part.iter().flatten().filter(|p| holds(area, **p));
    let depths = inner.filter_map(|p| nearest_side(area, *p));
    depths.map(|(depth, _)| depth).fold(0.0, f64::max)
}

/// The rectangle that far around a line.
fn along(line: Line, by_mm: f64) -> Ring {
    let way = (line.p1 - line.p0) / length_mm(line) * by_mm;
    let aside = Vec2::new(-way.y, way.x);
    vec![
        line.p0 - way - aside,
        line.p1 + way - aside,
        line.p1 + way + aside,
        line.p0 - way + aside,
    ]
}
