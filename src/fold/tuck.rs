//! Whether a flap goes in where it should: behind its panel, as deep as designed, within the panel's width.

use kurbo::Line;

use super::edge::{Edge, edges};
use super::stand::{Stand, edge_name, in_space, out_of};
use super::{FoldedPanel, code};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::Vec3;
use crate::project::{Joint, JointKind};

/// Edges whose directions have a greater cosine are across the way in.
const ACROSS: f64 = 0.98;

/// How far behind its panel a flap may lie before it is not behind it any more, in mm: it springs back that far.
const SPRING_MM: f64 = 1.0;

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
        (most_mm > SPRING_MM).then(|| {
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

    /// Wider than the panel it goes in behind.
    fn aside(&self) -> Option<Diagnostic> {
        let along = self.mouth.along();
        let at = |p: Vec3| (p - self.mouth.ends[0]).dot(&along);
        let range = |points: &mut dyn Iterator<Item = Vec3>| {
            points
                .map(at)
                .fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x), b.max(x)))
        };
        let all = |surface| self.stand.facets(surface).into_iter().flat_map(corners);
        let own = range(&mut all(&self.joint.from).filter(|p| self.inside_mm(*p) > 0.0));
        let wall = range(&mut all(&self.joint.to));
        let (out_mm, way) = if wall.0 - own.0 > own.1 - wall.1 {
            (wall.0 - own.0, -along)
        } else {
            (own.1 - wall.1, along)
        };
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
    use crate::length::Length;
    use crate::project::{Face, Piece};

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
