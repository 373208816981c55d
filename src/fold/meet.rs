//! Whether the edges of two panels meet: all along, as far apart as designed, and with their ends flush.

use super::code;
use super::edge::{Beside, beside, edges};
use super::stand::{Stand, edge_name};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::Vec3;
use crate::project::{Joint, JointKind};

/// Returns every finding on two edges that meet or turn about each other.
pub(super) fn findings(stand: &Stand<'_>, joint: &Joint) -> Vec<Diagnostic> {
    let (code, gap_mm) = match &joint.kind {
        JointKind::Meet { gap } => (code::MEET, gap.to_mm()),
        JointKind::Hinge => (code::HINGE, 0.0),
        JointKind::Stuck { .. } | JointKind::Tuck { .. } | JointKind::Slide { .. } => {
            return Vec::new();
        }
    };
    let Some(pair) = best_pair(stand, joint, gap_mm) else {
        let (a, b) = (stand.name(&joint.from), stand.name(&joint.to));
        let message =
            format!("no straight edge of {a} is parallel to one of {b}, and they are to meet");
        let hint = format!("fold {a} so that one of its edges lies along {b}");
        return vec![
            Diagnostic::error(code, message)
                .at(&joint.origin)
                .hint(hint),
        ];
    };
    let look = Look {
        stand,
        joint,
        code,
        gap_mm,
        pair,
    };
    let found: Vec<Diagnostic> = look.apart().into_iter().collect();
    if found.is_empty() { look.ends() } else { found }
}

/// The pair of edges that comes nearest to what is designed.
fn best_pair(stand: &Stand<'_>, joint: &Joint, gap_mm: f64) -> Option<Beside> {
    let of = |surface| {
        stand
            .facets(surface)
            .into_iter()
            .flat_map(edges)
            .collect::<Vec<_>>()
    };
    let (from, to) = (of(&joint.from), of(&joint.to));
    let pairs = from
        .iter()
        .flat_map(|f| to.iter().filter_map(|t| beside(*f, *t)));
    let cost = |pair: &Beside| {
        let off = [0, 1].map(|end| (apart_mm(pair, end) - gap_mm).abs());
        off[0].max(off[1]) + off_ends_mm(pair)
    };
    pairs.min_by(|a, b| cost(a).total_cmp(&cost(b)))
}

/// How far one end of the first edge is from the second edge; below zero where it has gone past it.
fn apart_mm(pair: &Beside, end: usize) -> f64 {
    let apart_mm = pair.across[end].norm();
    // More ahead than beside.
    let is_past = pair.across[end].dot(&pair.from.out) > apart_mm / 2.0_f64.sqrt();
    if is_past { -apart_mm } else { apart_mm }
}

/// How far the ends are from being flush: an edge may be shorter than the other one if it lies in its middle.
fn off_ends_mm(pair: &Beside) -> f64 {
    let [a, b] = pair.beyond_mm;
    a.max(b).max(f64::abs(a - b)).max(0.0)
}

struct Look<'a> {
    stand: &'a Stand<'a>,
    joint: &'a Joint,
    code: &'static str,
    gap_mm: f64,
    pair: Beside,
}

impl Look<'_> {
    fn finding(&self, message: String, hint: String) -> Diagnostic {
        Diagnostic::error(self.code, message)
            .at(&self.joint.origin)
            .hint(hint)
    }

    /// The edges are not as far apart as they should be.
    fn apart(&self) -> Option<Diagnostic> {
        let off = [0, 1].map(|end| apart_mm(&self.pair, end) - self.gap_mm);
        let off_mm = if off[1].abs() > off[0].abs() {
            off[1]
        } else {
            off[0]
        };
        if off_mm.abs() <= self.stand.tolerance_mm() {
            return None;
        }
        let (a, b) = (
            self.stand.name(&self.joint.from),
            self.stand.name(&self.joint.to),
        );
        let show = |mm: f64| self.stand.show(mm);
        let (found_mm, right) = (off_mm + self.gap_mm, show(self.gap_mm));
        let message = if found_mm < 0.0 {
            format!(
                "{a} runs {} past {b} where they meet, and {right} apart is right",
                show(-found_mm)
            )
        } else {
            format!(
                "{a} and {b} are {} apart where they meet, and {right} is right",
                show(found_mm)
            )
        };
        let verb = if off_mm > 0.0 { "longer" } else { "shorter" };
        let edge = edge_name(self.pair.from.out);
        let hint = format!(
            "make {a} {} {verb} at its {edge} edge, or move {b}",
            show(off_mm.abs())
        );
        Some(self.finding(message, hint))
    }

    /// The ends are not flush.
    fn ends(&self) -> Vec<Diagnostic> {
        let tolerance_mm = self.stand.tolerance_mm();
        let [a, b] = self.pair.beyond_mm;
        if off_ends_mm(&self.pair) <= tolerance_mm {
            return Vec::new();
        }
        // Where one end is flush, the other one is to blame.
        let mut found: Vec<Diagnostic> = [(0, a), (1, b)]
            .into_iter()
            .filter(|(_, out)| *out > tolerance_mm)
            .map(|(i, out)| self.end(i, out))
            .collect();
        if found.is_empty() {
            let (i, out) = if a < b { (0, a - b) } else { (1, b - a) };
            found.push(self.end(i, out));
        }
        found
    }

    fn end(&self, end: usize, beyond_mm: f64) -> Diagnostic {
        let way: Vec3 = self.pair.from.ends[end] - self.pair.from.ends[1 - end];
        let edge = edge_name(way);
        let (a, b) = (
            self.stand.name(&self.joint.from),
            self.stand.name(&self.joint.to),
        );
        let off = self.stand.show(beyond_mm.abs());
        let (message, verb, other) = if beyond_mm > 0.0 {
            (
                format!("{a} stands {off} beyond {b} at its {edge} edge"),
                "shorter",
                "longer",
            )
        } else {
            (
                format!("{a} ends {off} before {b} at its {edge} edge"),
                "longer",
                "shorter",
            )
        };
        let hint = format!("make {a} {off} {verb} at its {edge} edge, or {b} {off} {other} there");
        self.finding(message, hint)
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{
        joint, member, net, only, project, proved, surface, tray, tray_joints,
    };
    use super::*;
    use crate::geometry::Outline;
    use crate::length::Length;
    use crate::project::{Face, Piece};
    use kurbo::BezPath;

    fn meets(from: &str, to: &str) -> Joint {
        let kind = JointKind::Meet { gap: Length::ZERO };
        joint(
            kind,
            surface(0, from, Face::Front),
            surface(0, to, Face::Front),
        )
    }

    /// The tray with another left wall, which is `V60.45 H0 V20.15` from its back to its front as it should be.
    fn with_left_wall(wall: &str) -> Piece {
        let mut piece = tray();
        let outline = format!(
            "M20.15 0 H80.45 L92.45 3 V17 L80.45 20.15 H100.6 V60.45 H80.45 L92.45 63.6 V77.6 L80.45 80.6 \
             H20.15 L8.15 77.6 V63.6 L20.15 60.45 {wall} H20.15 L8.15 17 V3 Z"
        );
        piece.outline = Outline::new(&BezPath::from_svg(&outline).unwrap(), 0.001).unwrap();
        piece
    }

    fn proved_walls(piece: Piece) -> Vec<Diagnostic> {
        let mut joints = tray_joints();
        joints.extend([
            meets("left", "front"),
            meets("left", "back"),
            meets("right", "front"),
            meets("right", "back"),
        ]);
        proved(piece, "bottom", joints)
    }

    #[test]
    fn walls_of_a_good_tray_meet() {
        assert_eq!(proved_walls(with_left_wall("H0 V20.15")), []);
    }

    #[test]
    fn a_wall_too_high_stands_out_above_both_it_meets() {
        let found = proved_walls(with_left_wall("H-0.5 V20.15"));
        let messages: Vec<_> = found.iter().map(|f| f.message.as_str()).collect();
        assert_eq!(
            messages,
            [
                "\"tray:left\" stands 0.5 mm beyond \"tray:front\" at its upper edge",
                "\"tray:left\" stands 0.5 mm beyond \"tray:back\" at its upper edge"
            ]
        );
        assert_eq!(
            found[0].hints[0],
            "make \"tray:left\" 0.5 mm shorter at its upper edge, or \"tray:front\" 0.5 mm longer there"
        );
        // The tab at its front now stands above it, too.
        let low = proved_walls(with_left_wall("H0.5 V20.15"));
        let low: Vec<_> = low.iter().filter(|f| f.code == code::MEET).collect();
        assert_eq!(
            low[0].message,
            "\"tray:left\" ends 0.5 mm before \"tray:front\" at its upper edge"
        );
    }

    #[test]
    fn a_wall_cut_too_narrow_leaves_a_gap() {
        // The tab's crease stands out beyond the wall, too, by no more than paper is thick and a trimmer errs.
        let found = only(proved_walls(with_left_wall("H0 V20.5 H20.15 V20.15")));
        assert_eq!(
            found.message,
            "\"tray:left\" and \"tray:front\" are 0.35 mm apart where they meet, and 0 mm is right"
        );
        assert_eq!(
            found.hints[0],
            "make \"tray:left\" 0.35 mm longer at its front edge, or move \"tray:front\""
        );
    }

    #[test]
    fn a_taped_lid_turns_about_the_edge_of_its_box() {
        use super::super::trial::assembly;
        let card = |id: &str| net(id, "M0 0 H60 V40 H0 Z", &[], &[("face", (5.0, 5.0))]);
        let at = |y_mm: f64| {
            let hinge = joint(
                JointKind::Hinge,
                surface(1, "face", Face::Front),
                surface(0, "face", Face::Front),
            );
            let members = vec![
                member(0, "box", "face", (0.0, 0.0, 0.0)),
                member(1, "lid", "face", (0.0, y_mm, 0.0)),
            ];
            let mut project = project(vec![card("box"), card("lid")]);
            project.assemblies = vec![assembly(members, vec![hinge])];
            super::super::prove(&project)
        };
        assert_eq!(at(40.0), []);
        let found = only(at(40.5));
        assert_eq!(
            (found.code, found.message.as_str()),
            (
                code::HINGE,
                "\"lid:face\" and \"box:face\" are 0.5 mm apart where they meet, and 0 mm is right"
            )
        );
    }
}
