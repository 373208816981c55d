//! Whether the edges of two panels meet: all along, as far apart as designed, and with their ends flush.

use kurbo::{Line, Point};

use super::arrangement::SNAP_MM;
use super::edge::{Beside, Edge, beside, edges};
use super::stand::{Stand, edge_name, in_space};
use super::{FoldedPanel, code};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::Vec3;
use crate::project::{Joint, JointKind, Surface};

/// What is designed.
#[derive(Debug, Clone, Copy, Default)]
struct Design {
    /// Between the edges.
    gap_mm: f64,
    /// How far both ends of the first edge lie before those of the second; `None` where that may be anything, as long as it is alike.
    inset_mm: Option<f64>,
}

/// Returns every finding on two edges that meet or turn about each other.
pub(super) fn findings(stand: &Stand<'_>, joint: &Joint) -> Vec<Diagnostic> {
    let (code, design) = match &joint.kind {
        JointKind::Meet { gap, inset } => {
            let (gap_mm, inset_mm) = (gap.to_mm(), Some(inset.to_mm()));
            (code::MEET, Design { gap_mm, inset_mm })
        }
        JointKind::Hinge => (code::HINGE, Design::default()),
        JointKind::Stuck { .. }
        | JointKind::Flush { .. }
        | JointKind::Tuck { .. }
        | JointKind::Slide { .. } => {
            return Vec::new();
        }
    };
    let shared = shared_creases(stand, joint);
    let pair = best_pair(stand, joint, design, &shared);
    let is_near = |pair: &Beside| design.cost_mm(pair) <= NEAR_MM;
    if !shared.is_empty() && !pair.as_ref().is_some_and(is_near) {
        return vec![hang_together(stand, joint, code)];
    }
    let Some(pair) = pair else {
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
        design,
        pair,
    };
    let found: Vec<Diagnostic> = look.apart().into_iter().collect();
    if found.is_empty() { look.ends() } else { found }
}

/// Panels that hang together at a crease and have edges farther from meeting than this, in mm, were never meant to meet there.
const NEAR_MM: f64 = 5.0;

/// The creases by which the panels of a joint hang together, in the frame of their piece.
fn shared_creases(stand: &Stand<'_>, joint: &Joint) -> Vec<Line> {
    if joint.from.member == joint.to.member {
        stand
            .creases_between(joint.from.member, &joint.from.panel, &joint.to.panel)
            .collect()
    } else {
        Vec::new()
    }
}

fn hang_together(stand: &Stand<'_>, joint: &Joint, code: &'static str) -> Diagnostic {
    let (a, b) = (stand.name(&joint.from), stand.name(&joint.to));
    let message = format!("{a} and {b} hang together at a crease, and no other edges of them meet");
    let hint = "leave the joint out, or name the panels whose free edges are to meet";
    Diagnostic::error(code, message)
        .at(&joint.origin)
        .hint(hint)
}

/// The pair of edges that comes nearest to what is designed, the creases that both panels share left out.
fn best_pair(stand: &Stand<'_>, joint: &Joint, design: Design, shared: &[Line]) -> Option<Beside> {
    let of = |surface: &Surface| {
        let edge_of = |panel| {
            let own = edges(panel).into_iter();
            own.map(move |edge| (edge, crease_at(panel, &edge, shared)))
        };
        stand
            .facets(surface)
            .into_iter()
            .flat_map(edge_of)
            .collect::<Vec<_>>()
    };
    let (from, to) = (of(&joint.from), of(&joint.to));
    let pairs = from.iter().flat_map(|(f, at)| {
        let others = to
            .iter()
            .filter(move |(_, other)| at.is_none() || at != other);
        others.filter_map(|(t, _)| beside(*f, *t))
    });
    pairs.min_by(|a, b| design.cost_mm(a).total_cmp(&design.cost_mm(b)))
}

/// Which of some creases an edge of a panel runs along.
fn crease_at(panel: &FoldedPanel, edge: &Edge, creases: &[Line]) -> Option<usize> {
    creases.iter().position(|crease| {
        let is_on = |p: Point| {
            let way = in_space(panel, p) - edge.ends[0];
            (way - edge.along() * way.dot(&edge.along())).norm() <= SNAP_MM
        };
        is_on(crease.p0) && is_on(crease.p1)
    })
}

impl Design {
    /// How far a pair of edges is from what is designed.
    fn cost_mm(self, pair: &Beside) -> f64 {
        let off = [0, 1].map(|end| (apart_mm(pair, end) - self.gap_mm).abs());
        off[0].max(off[1]) + self.off_ends_mm(pair)
    }

    /// How far the ends are from where they should be.
    fn off_ends_mm(self, pair: &Beside) -> f64 {
        let [a, b] = pair.beyond_mm;
        match self.inset_mm {
            Some(inset_mm) => (a + inset_mm).abs().max((b + inset_mm).abs()),
            None => a.max(b).max(f64::abs(a - b)).max(0.0),
        }
    }
}

/// How far one end of the first edge is from the second edge; below zero where it has gone past it.
fn apart_mm(pair: &Beside, end: usize) -> f64 {
    let apart_mm = pair.across[end].norm();
    // More ahead than beside.
    let is_past = pair.across[end].dot(&pair.from.out) > apart_mm / 2.0_f64.sqrt();
    if is_past { -apart_mm } else { apart_mm }
}

struct Look<'a> {
    stand: &'a Stand<'a>,
    joint: &'a Joint,
    code: &'static str,
    design: Design,
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
        let off = [0, 1].map(|end| apart_mm(&self.pair, end) - self.design.gap_mm);
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
        let (found_mm, right) = (off_mm + self.design.gap_mm, show(self.design.gap_mm));
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

    /// The ends are not where they should be.
    fn ends(&self) -> Vec<Diagnostic> {
        let tolerance_mm = self.stand.tolerance_mm();
        let [a, b] = self.pair.beyond_mm;
        if self.design.off_ends_mm(&self.pair) <= tolerance_mm {
            return Vec::new();
        }
        let inset_mm = self.design.inset_mm.unwrap_or(0.0);
        let off = [a + inset_mm, b + inset_mm];
        if off.iter().all(|off_mm| *off_mm < -tolerance_mm)
            && (off[0] - off[1]).abs() <= tolerance_mm
        {
            return vec![self.narrower(f64::midpoint(off[0], off[1]))];
        }
        // Where one end is flush, the other one is to blame.
        let ends = off.into_iter().enumerate();
        let mut found: Vec<Diagnostic> = ends
            .filter(|(_, off_mm)| match self.design.inset_mm {
                Some(_) => off_mm.abs() > tolerance_mm,
                None => *off_mm > tolerance_mm,
            })
            .map(|(i, off_mm)| self.end(i, off_mm))
            .collect();
        if found.is_empty() {
            let (i, off_mm) = if a < b { (0, a - b) } else { (1, b - a) };
            found.push(self.end(i, off_mm));
        }
        found
    }

    /// What is right where it is not that both are flush.
    fn right(&self) -> String {
        match self.design.inset_mm {
            Some(inset_mm) if inset_mm > 0.0 => {
                format!(", and {} before it is right", self.stand.show(inset_mm))
            }
            Some(_) | None => String::new(),
        }
    }

    /// Too short by as much at both ends.
    fn narrower(&self, off_mm: f64) -> Diagnostic {
        let (a, b) = (
            self.stand.name(&self.joint.from),
            self.stand.name(&self.joint.to),
        );
        let way = self.pair.from.ends[1] - self.pair.from.ends[0];
        let edges = [edge_name(-way), edge_name(way)];
        let inset_mm = self.design.inset_mm.unwrap_or(0.0) - off_mm;
        let (before, off) = (self.stand.show(inset_mm), self.stand.show(-off_mm));
        let message = format!(
            "{a} ends {before} before {b} at its {} and at its {} edge{}",
            edges[0],
            edges[1],
            self.right()
        );
        let hint = format!(
            "make {a} {off} longer at both edges, or say inset = \"{before}\" of the joint if it is narrower by design"
        );
        self.finding(message, hint)
    }

    fn end(&self, end: usize, off_mm: f64) -> Diagnostic {
        let way: Vec3 = self.pair.from.ends[end] - self.pair.from.ends[1 - end];
        let edge = edge_name(way);
        let (a, b) = (
            self.stand.name(&self.joint.from),
            self.stand.name(&self.joint.to),
        );
        let beyond_mm = off_mm - self.design.inset_mm.unwrap_or(0.0);
        let (off, beyond) = (
            self.stand.show(off_mm.abs()),
            self.stand.show(beyond_mm.abs()),
        );
        let (how, which) = if beyond_mm > 0.0 {
            ("stands", "beyond")
        } else {
            ("ends", "before")
        };
        let (verb, other) = if off_mm > 0.0 {
            ("shorter", "longer")
        } else {
            ("longer", "shorter")
        };
        let message = format!(
            "{a} {how} {beyond} {which} {b} at its {edge} edge{}",
            self.right()
        );
        let hint = format!("make {a} {off} {verb} at its {edge} edge, or {b} {off} {other} there");
        self.finding(message, hint)
    }
}
