//! Whether a flap goes in where it should: behind its panel, as deep as designed, within the panel's width.

use kurbo::{Line, Point};

use super::arrangement::SNAP_MM;
use super::edge::{Edge, edges};
use super::region::sides;
use super::stand::{Stand, edge_name, in_space, out_of};
use super::{FoldedPanel, code};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::Vec3;
use crate::math::COINCIDENT_MM;
use crate::project::{Joint, JointKind, Surface};

/// Edges whose directions have a greater cosine are across the way in.
const ACROSS: f64 = 0.98;

/// A crease folded over springs back by fifteen degrees at least (common practice, no source): the tangent of that, so what a flap is deep
/// times this is how far its far edge comes back to its panel by itself.
const SPRING_TAN: f64 = 0.268;

/// Most that a flap may lie behind its panel in mm, however deep it is: farther off, the gap at the mouth is seen, and the lid of a box stands
/// open by it (common practice, no source).
const MOST_SPRING_MM: f64 = 1.0;

/// Returns every finding on a flap that is tucked in.
pub(super) fn findings(stand: &Stand<'_>, joint: &Joint) -> Vec<Diagnostic> {
    let JointKind::Tuck { depth } = &joint.kind else {
        return Vec::new();
    };
    let (Some((flap, creases)), Some((panel, _))) =
        (stand.home(&joint.from), stand.home(&joint.to))
    else {
        return Vec::new();
    };
    let Some(mouth) = mouth(flap, &creases, panel) else {
        let (a, b) = (stand.name(&joint.from), stand.name(&joint.to));
        let message = format!("{a} does not go in at any edge of {b}");
        let hint = format!("fold {a} until it lies along {b}");
        return vec![
            Diagnostic::error(code::TUCK, message)
                .at(&joint.origin)
                .hint(hint),
        ];
    };
    let look = Look {
        stand,
        joint,
        flap,
        panel,
        mouth,
        depth_mm: depth.to_mm(),
    };
    [look.behind(), look.deep(), look.aside()]
        .into_iter()
        .flatten()
        .collect()
}

/// The edge of the panel at which the flap goes in: the one nearest to a crease of the flap, or to where a loose piece leaves the panel.
/// Of bent panels the flat parts are looked at by which they were named.
fn mouth(flap: &FoldedPanel, creases: &[Line], panel: &FoldedPanel) -> Option<Edge> {
    let rims = edges(panel);
    let lines = creases
        .iter()
        .map(|line| [line.p0, line.p1].map(|p| in_space(flap, p)));
    let mut found: Option<(f64, Edge)> = None;
    for [p, q] in lines {
        for rim in &rims {
            let is_parallel = (q - p).normalize().dot(&rim.along()).abs() > ACROSS;
            let cost = (p.lerp(&q, 0.5) - rim.ends[0].lerp(&rim.ends[1], 0.5)).norm();
            if is_parallel && found.is_none_or(|(least, _)| cost < least) {
                found = Some((cost, *rim));
            }
        }
    }
    let leaves = |rim: &Edge| {
        corners(flap)
            .map(|p| (p - rim.ends[0]).dot(&rim.out))
            .fold(f64::MIN, f64::max)
    };
    let crossed = || {
        rims.iter()
            .max_by(|a, b| leaves(a).total_cmp(&leaves(b)))
            .copied()
    };
    found.map(|(_, rim)| rim).or_else(crossed)
}

/// From where to where along the mouth, in mm.
type Span = (f64, f64);

fn range<'a>(corners: impl Iterator<Item = &'a Point>) -> Span {
    corners.fold((f64::MAX, f64::MIN), |(a, b), p| (a.min(p.y), b.max(p.y)))
}

/// From where to where rings reach at a depth; `None` if they do not reach so deep. Notches within are bridged.
fn span(rings: &[Vec<Point>], depth_mm: f64) -> Option<Span> {
    let all = rings.iter().flat_map(|ring| sides(ring));
    let crossed = all.filter(|l| (l.p0.x > depth_mm) != (l.p1.x > depth_mm));
    let at = crossed.map(|l| {
        let t = (depth_mm - l.p0.x) / (l.p1.x - l.p0.x);
        l.p0.y + t * (l.p1.y - l.p0.y)
    });
    let (from, to) = at.fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x), b.max(x)));
    (from <= to).then_some((from, to))
}

fn corners(panel: &FoldedPanel) -> impl Iterator<Item = Vec3> + '_ {
    panel.rings_mm.iter().flatten().map(|p| in_space(panel, *p))
}

struct Look<'a> {
    stand: &'a Stand<'a>,
    joint: &'a Joint,
    flap: &'a FoldedPanel,
    panel: &'a FoldedPanel,
    mouth: Edge,
    depth_mm: f64,
}

impl Look<'_> {
    fn finding(&self, message: String, hint: String) -> Diagnostic {
        Diagnostic::error(code::TUCK, message)
            .at(&self.joint.origin)
            .hint(hint)
    }

    fn names(&self) -> (String, String) {
        (
            self.stand.name(&self.joint.from),
            self.stand.name(&self.joint.to),
        )
    }

    /// How far in a point lies.
    fn inside_mm(&self, p: Vec3) -> f64 {
        -(p - self.mouth.ends[0]).dot(&self.mouth.out)
    }

    /// The rings of a surface's parts, seen along its normal: how deep each corner lies, and where along the mouth.
    fn seen(&self, surface: &Surface) -> Vec<Vec<Point>> {
        let along = self.mouth.along();
        let facets = self.stand.facets(surface).into_iter();
        let rings = facets.flat_map(|f| f.rings_mm.iter().map(move |ring| (f, ring)));
        let seen = |(facet, ring): (&FoldedPanel, &Vec<Point>)| {
            let corners = ring.iter().map(|p| in_space(facet, *p));
            corners
                .map(|p| Point::new(self.inside_mm(p), (p - self.mouth.ends[0]).dot(&along)))
                .collect()
        };
        rings.map(seen).collect()
    }

    /// Not behind the panel: in it, before it, or far off.
    fn behind(&self) -> Option<Diagnostic> {
        let tolerance_mm = self.stand.tolerance_mm();
        let papers_mm = self
            .stand
            .papers_mm(self.joint.from.member, self.joint.to.member);
        let out = out_of(self.panel, self.joint.to.face);
        let at = |p: Vec3| (p - in_space(self.panel, self.panel.rings_mm[0][0])).dot(&out);
        let inner = corners(self.flap).filter(|p| self.inside_mm(*p) > tolerance_mm);
        let behind: Vec<f64> = inner.map(at).collect();
        let least_mm = behind.iter().copied().fold(f64::INFINITY, f64::min) - papers_mm;
        let most_mm = behind.iter().copied().fold(f64::NEG_INFINITY, f64::max) - papers_mm;
        let (flap, panel) = self.names();
        let show = |mm: f64| self.stand.show(mm);
        if least_mm < -tolerance_mm {
            let message = format!(
                "{flap} does not go in behind {panel}: it lies {} too far out",
                show(-least_mm)
            );
            let hint = format!(
                "make what {flap} hangs on {} shorter, or fold it further",
                show(-least_mm)
            );
            return Some(self.finding(message, hint));
        }
        let spring_mm = (self.depth_mm * SPRING_TAN).min(MOST_SPRING_MM);
        (most_mm > spring_mm.max(tolerance_mm)).then(|| {
            let message = format!("{flap} lies {} behind {panel} and not on it", show(most_mm));
            let hint = format!(
                "make what {flap} hangs on {} longer, or fold it less",
                show(most_mm)
            );
            self.finding(message, hint)
        })
    }

    /// Not as deep as designed.
    fn deep(&self) -> Option<Diagnostic> {
        let found_mm = corners(self.flap)
            .map(|p| self.inside_mm(p))
            .fold(f64::MIN, f64::max);
        let off_mm = found_mm - self.depth_mm;
        (off_mm.abs() > self.stand.tolerance_mm()).then(|| {
            let (flap, panel) = self.names();
            let show = |mm: f64| self.stand.show(mm);
            let message = format!(
                "{flap} goes in {} deep behind {panel}, and {} is right",
                show(found_mm),
                show(self.depth_mm)
            );
            let (verb, edge) = (
                if off_mm > 0.0 { "shorter" } else { "longer" },
                edge_name(-self.mouth.out),
            );
            self.finding(
                message,
                format!(
                    "make {flap} {} {verb} at its {edge} edge",
                    show(off_mm.abs())
                ),
            )
        })
    }

    /// From where to where flap and panel reach along the mouth, at each depth at which either has a corner. Where one of them is bent there
    /// is no one plane to compare them in, and all of the flap behind the mouth must be within all of the panel.
    fn widths(&self) -> Vec<(Span, Span)> {
        let surfaces = [&self.joint.from, &self.joint.to];
        let [own, wall] = surfaces.map(|surface| self.seen(surface));
        if surfaces.iter().any(|s| self.stand.facets(s).len() > 1) {
            let behind = own.iter().flatten().filter(|p| p.x > 0.0);
            return vec![(range(behind), range(wall.iter().flatten()))];
        }
        let corners = own.iter().chain(&wall).flatten();
        let levels = corners.flat_map(|p| [p.x - SNAP_MM, p.x + SNAP_MM]);
        levels
            .filter(|depth_mm| *depth_mm > 0.0)
            .filter_map(|depth_mm| Some((span(&own, depth_mm)?, span(&wall, depth_mm)?)))
            .collect()
    }

    /// Wider than the panel it goes in behind, at any depth.
    fn aside(&self) -> Option<Diagnostic> {
        let along = self.mouth.along();
        let ways = self.widths().into_iter().map(|((a, b), (from, to))| {
            let is_before = from - a > b - to + COINCIDENT_MM;
            if is_before {
                (from - a, -along)
            } else {
                (b - to, along)
            }
        });
        let (out_mm, way) = ways.max_by(|a, b| a.0.total_cmp(&b.0))?;
        (out_mm > self.stand.tolerance_mm()).then(|| {
            let (flap, panel) = self.names();
            let (out, edge) = (self.stand.show(out_mm), edge_name(way));
            let message = format!("{flap} sticks out {out} beside {panel} at its {edge} edge");
            self.finding(
                message,
                format!("make {flap} {out} shorter at its {edge} edge"),
            )
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{joint, net, only, proved, surface};
    use super::*;
    use crate::geometry::Outline;
    use crate::length::Length;
    use crate::project::{Face, Piece};
    use kurbo::BezPath;

    /// A strip of 50 mm: front 60 high, top 30 deep, back 60 high, lid `lid_mm` deep, flap `flap_mm` deep and 1 mm narrower at both sides.
    /// Folded by right angles, the lid comes down on the top's level below, where the front ends.
    fn case(lid_mm: f64, flap_mm: f64, inset_mm: f64) -> Piece {
        let (lid, end) = (150.0 + lid_mm, 150.0 + lid_mm + flap_mm);
        let outline = format!(
            "M0 0 H50 V{lid} L{} {end} H{} L0 {lid} Z",
            50.0 - inset_mm,
            inset_mm
        );
        let creases = [
            "M0 60 H50".to_owned(),
            "M0 90 H50".to_owned(),
            "M0 150 H50".to_owned(),
            format!("M0 {lid} H50"),
        ];
        let creases: Vec<(&str, f64)> = creases.iter().map(|c| (c.as_str(), 90.0)).collect();
        let panels = [
            ("front", 30.0),
            ("top", 75.0),
            ("back", 120.0),
            ("lid", 160.0),
            ("flap", lid + 2.0),
        ];
        net(
            "case",
            &outline,
            &creases,
            &panels.map(|(name, y)| (name, (25.0, y))),
        )
    }

    fn proved_flap(piece: Piece) -> Vec<Diagnostic> {
        let kind = JointKind::Tuck {
            depth: Length::from_mm(15),
        };
        proved(
            piece,
            "front",
            vec![joint(
                kind,
                surface(0, "flap", Face::Front),
                surface(0, "front", Face::Back),
            )],
        )
    }

    #[test]
    fn a_flap_goes_in_as_deep_as_designed() {
        assert_eq!(proved_flap(case(30.0, 15.0, 1.0)), []);
        let found = only(proved_flap(case(30.0, 15.5, 1.0)));
        assert_eq!(
            found.message,
            "\"case:flap\" goes in 15.5 mm deep behind \"case:front\", and 15 mm is right"
        );
        // Its front lies in x and y, the mouth is where y is 0; the flap goes to the back.
        assert_eq!(
            found.hints[0],
            "make \"case:flap\" 0.5 mm shorter at its back edge"
        );
    }

    #[test]
    fn a_flap_wider_than_its_panel_is_deep_down_is_told() {
        // The front narrows from 50 mm at its mouth to 20 mm at its lower edge, 60 mm below: by 7.5 mm over the flap's 15 mm.
        let mut case = case(30.0, 15.0, 1.0);
        let outline = "M0 0 H50 L35 60 V90 L50 100 V180 L49 195 H1 L0 180 V100 L15 90 V60 Z";
        case.outline = Outline::new(&BezPath::from_svg(outline).unwrap(), 0.001).unwrap();
        let found = only(proved_flap(case));
        // At the flap's end the front is 50 - 2 x 15 x 15 / 60 = 42.5 mm wide, the flap 48 mm.
        assert_eq!(
            found.message,
            "\"case:flap\" sticks out 2.75 mm beside \"case:front\" at its right edge"
        );
    }

    #[test]
    fn a_short_flap_must_lie_nearer_to_its_panel() {
        // 0.7 mm behind: a flap of 15 mm springs back that far, one of 2.5 mm by 2.5 tan 15 deg = 0.67 mm does not.
        let found = |flap_mm: f64| {
            let kind = JointKind::Tuck {
                depth: Length::nearest_mm(flap_mm),
            };
            let (flap, front) = (
                surface(0, "flap", Face::Front),
                surface(0, "front", Face::Back),
            );
            let case = case(29.0, flap_mm, 1.0);
            proved(case, "front", vec![joint(kind, flap, front)])
        };
        assert_eq!(found(15.0), []);
        let found = only(found(2.5));
        assert_eq!(
            found.message,
            "\"case:flap\" lies 0.7 mm behind \"case:front\" and not on it"
        );
    }

    #[test]
    fn a_flap_before_its_panel_or_far_behind_it_is_told() {
        let before = only(proved_flap(case(31.0, 15.0, 1.0)));
        assert_eq!(
            before.message,
            "\"case:flap\" does not go in behind \"case:front\": it lies 1.3 mm too far out"
        );
        let far = only(proved_flap(case(28.0, 15.0, 1.0)));
        assert_eq!(
            far.message,
            "\"case:flap\" lies 1.7 mm behind \"case:front\" and not on it"
        );
    }

    #[test]
    fn a_flap_wider_than_its_panel_is_told() {
        let found = only(proved_flap(case(30.0, 15.0, -2.0)));
        assert_eq!(
            found.message,
            "\"case:flap\" sticks out 2 mm beside \"case:front\" at its right edge"
        );
    }
}
