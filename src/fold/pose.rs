//! A net folded: where each facet comes to lie when the others turn away from the panel that stays.
//!
//! The walk goes out from the root, over bends first, so that a whole panel lies before the next one hangs on it, then over creases. At a
//! curved crease the chord in the middle of its length carries the fold. Every other hinge must close by itself, or the paper would tear.
//! Where panels hang together in a ring, as at a corner with a web, creases whose fold is declared are gone over first; the one that is left
//! closes the ring: its two sides must come together, folded as far as it is said to be, if it is said.

use std::collections::{BTreeSet, VecDeque};

use kurbo::Line;

use super::arrangement::{LineKind, length_mm};
use super::drawn::{self, Drawn, middle};
use super::net::{Hinge, HingeBy, Net, longest};
use super::region::nearest_on;
use super::words::Words;
use super::{code, doubled};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::{Rigid, Vec3};
use crate::math::Angle;
use crate::project::{Fold, Member, OperationKind, Piece};

/// How far a crease is folded without a word, in degrees.
const USUAL_FOLD_DEG: f64 = 90.0;

/// A folded net, middle of the paper on middle of the paper.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Posed {
    /// Piece frame to the object's frame, by facet.
    pub(super) places: Vec<Rigid>,
    /// What each panel hangs on; the root on nothing.
    pub(super) branches: Vec<Option<Branch>>,
    /// Creases between panels that hang on each other another way already, and close.
    pub(super) closing: Vec<Closing>,
}

/// A crease that closes a ring of panels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Closing {
    /// The panels it joins.
    pub(super) panels: [usize; 2],
    /// How far it is folded: above zero as a mountain seen from the front.
    pub(super) mountain_deg: f64,
}

/// How a panel hangs on another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Branch {
    /// The panel it hangs on.
    pub(super) panel: usize,
    /// The facet of that panel at the crease.
    pub(super) facet: usize,
    /// How far it is folded: above zero as a mountain seen from the front.
    pub(super) mountain_deg: f64,
}

impl Posed {
    /// Returns the panels from one to another along the branches, both included.
    pub(super) fn way(&self, from: usize, to: usize) -> Vec<usize> {
        way(&self.branches, from, to)
    }
}

pub(super) fn way(branches: &[Option<Branch>], from: usize, to: usize) -> Vec<usize> {
    let above = |p: &usize| branches[*p].map(|branch| branch.panel);
    let up = |panel: usize| std::iter::successors(Some(panel), above).collect::<Vec<_>>();
    let (mut there, mut back) = (up(from), up(to));
    while there.len() > 1 && back.len() > 1 && there[there.len() - 2] == back[back.len() - 2] {
        there.pop();
        back.pop();
    }
    back.pop();
    there.extend(back.into_iter().rev());
    there
}

/// Returns the net folded about its member's root.
///
/// # Errors
///
/// Returns a root that is no panel, panels that hang together in a ring or on nothing, and creases along which the paper would tear.
pub(super) fn pose(
    net: &Net,
    piece: &Piece,
    member: &Member,
    tolerance_mm: f64,
    words: &Words<'_>,
) -> Result<Posed, Vec<Diagnostic>> {
    let Some(root) = net.panel(&member.root) else {
        let message = format!(
            "{} is no panel, and the others fold away from it",
            words.panel(&member.root)
        );
        let hint = format!(
            "name one of {}",
            list(net.panels.iter().map(|p| words.panel(&p.name)))
        );
        return Err(vec![
            Diagnostic::error(code::PANEL, message)
                .at(&piece.origin)
                .hint(hint),
        ]);
    };
    let mut walk = Walk::new(net, piece, member);
    walk.from(root);
    let mut findings = doubled::findings(net, piece, words);
    findings.extend(walk.apart(words));
    let (closing, open) = walk.rings(tolerance_mm, words);
    findings.extend(open);
    findings.extend(walk.tears(tolerance_mm, words));
    if !findings.is_empty() {
        return Err(findings);
    }
    let places = walk.places.into_iter();
    Ok(Posed {
        places: places.map(|p| p.expect("no panel is apart")).collect(),
        branches: walk.branches,
        closing,
    })
}

/// Returns names in a row.
pub(super) fn list(names: impl Iterator<Item = String>) -> String {
    names.collect::<Vec<_>>().join(", ")
}

/// A net on its way to be folded.
pub(super) struct Walk<'a> {
    pub(super) net: &'a Net,
    pub(super) piece: &'a Piece,
    member: &'a Member,
    creases: Vec<Drawn>,
    pub(super) places: Vec<Option<Rigid>>,
    pub(super) branches: Vec<Option<Branch>>,
    pub(super) is_reached: Vec<bool>,
}

impl<'a> Walk<'a> {
    fn new(net: &'a Net, piece: &'a Piece, member: &'a Member) -> Self {
        Self {
            net,
            piece,
            member,
            creases: drawn::creases(piece),
            places: vec![None; net.facets.len()],
            branches: vec![None; net.panels.len()],
            is_reached: vec![false; net.panels.len()],
        }
    }

    fn from(&mut self, root: usize) {
        let home = self.net.panels[root].facets[0];
        self.places[home] = Some(self.member.pose);
        self.is_reached[root] = true;
        self.fill(home);
        let ways = |walk: &Self, panel: usize| {
            let ways = walk.ways_out(panel).into_iter();
            ways.map(move |hinge| (panel, hinge)).collect::<Vec<_>>()
        };
        let mut open = ways(self, root);
        while let Some((panel, hinge)) = self.next(&mut open) {
            let (from, to) = self.ends(&hinge, panel);
            let child = self.net.facets[to].panel;
            if self.is_reached[child] {
                continue;
            }
            let mountain_deg = self.turn_deg(&hinge);
            self.cross(&hinge, from, to);
            self.branches[child] = Some(Branch {
                panel,
                facet: from,
                mountain_deg,
            });
            self.is_reached[child] = true;
            self.fill(to);
            open.extend(ways(self, child));
        }
    }

    /// The first crease whose fold is declared, or else the first one: in a ring the last is folded by the others.
    fn next(&self, open: &mut Vec<(usize, Hinge)>) -> Option<(usize, Hinge)> {
        let declared = open.iter().position(|(_, hinge)| self.is_declared(hinge));
        (!open.is_empty()).then(|| open.remove(declared.unwrap_or(0)))
    }

    pub(super) fn is_declared(&self, hinge: &Hinge) -> bool {
        match hinge.by {
            HingeBy::Crease(i) => self.piece.operations[i].folds_to.is_some(),
            HingeBy::Bend(_) => true,
        }
    }

    /// Lays all facets of a panel from one that lies.
    fn fill(&mut self, first: usize) {
        let mut next = VecDeque::from([first]);
        while let Some(facet) = next.pop_front() {
            for hinge in &self.net.hinges {
                if let (HingeBy::Bend(_), Some(to)) = (hinge.by, other(hinge, facet))
                    && self.places[to].is_none()
                {
                    self.cross(hinge, facet, to);
                    next.push_back(to);
                }
            }
        }
    }

    /// The hinges by which panels hang on this one: one for each panel beside it.
    fn ways_out(&self, panel: usize) -> Vec<Hinge> {
        let mut found: Vec<Hinge> = Vec::new();
        let mut seen = BTreeSet::from([panel]);
        for hinge in self.net.hinges.iter().filter(|h| self.touches(h, panel)) {
            let (_, to) = self.ends(hinge, panel);
            if let (HingeBy::Crease(crease), true) =
                (hinge.by, seen.insert(self.net.facets[to].panel))
            {
                let beside = self.net.facets[to].panel;
                let both = self.net.hinges.iter().filter(|h| {
                    h.by == HingeBy::Crease(crease)
                        && self.touches(h, panel)
                        && self.touches(h, beside)
                });
                found.extend(self.carrier(crease, &both.collect::<Vec<_>>()));
            }
        }
        found
    }

    /// Of the hinges along one crease the one that carries its fold.
    fn carrier(&self, crease: usize, hinges: &[&Hinge]) -> Option<Hinge> {
        let off = |line: Line| {
            let of_crease = self
                .creases
                .iter()
                .filter(|d| d.kind == LineKind::Crease(crease) && !d.is_straight());
            let middles = of_crease.map(|d| middle(&d.points));
            let distances = middles.map(|m| length_mm(Line::new(nearest_on(line, m), m)));
            distances.min_by(f64::total_cmp)
        };
        let curved = hinges.iter().filter_map(|h| Some((off(h.line)?, **h)));
        let nearest = curved.min_by(|a, b| a.0.total_cmp(&b.0));
        nearest
            .map(|(_, hinge)| hinge)
            .or_else(|| longest(hinges.iter().copied()).copied())
    }

    fn touches(&self, hinge: &Hinge, panel: usize) -> bool {
        hinge
            .facets
            .iter()
            .any(|f| self.net.facets[*f].panel == panel)
    }

    /// The facets of a hinge, the one on the panel first.
    fn ends(&self, hinge: &Hinge, panel: usize) -> (usize, usize) {
        let [a, b] = hinge.facets;
        if self.net.facets[a].panel == panel {
            (a, b)
        } else {
            (b, a)
        }
    }

    fn turn_deg(&self, hinge: &Hinge) -> f64 {
        match hinge.by {
            HingeBy::Crease(i) => crease_deg(self.piece, i),
            HingeBy::Bend(i) => self.member.bends[i].mountain_deg,
        }
    }

    fn cross(&mut self, hinge: &Hinge, from: usize, to: usize) {
        let place = self.places[from].expect("the walk goes out from what lies");
        self.places[to] = Some(place.after(&turned(hinge, to, self.turn_deg(hinge))));
    }

    fn apart(&self, words: &Words<'_>) -> Vec<Diagnostic> {
        let panels = self.net.panels.iter().zip(&self.is_reached);
        let apart = panels.filter(|(_, is_reached)| !**is_reached);
        apart
            .map(|(panel, _)| {
                let message = format!(
                    "{} hangs on nothing: no crease joins it to {}",
                    words.panel(&panel.name),
                    words.panel(&self.member.root)
                );
                let hint = "draw a crease where they hang together, or make it a piece of its own";
                Diagnostic::error(code::APART, message)
                    .at(&self.piece.origin)
                    .hint(hint)
            })
            .collect()
    }

    pub(super) fn is_branch(&self, a: usize, b: usize) -> bool {
        let hangs = |a: usize, b: usize| self.branches[a].is_some_and(|branch| branch.panel == b);
        a == b || hangs(a, b) || hangs(b, a)
    }

    fn tears(&self, tolerance_mm: f64, words: &Words<'_>) -> Vec<Diagnostic> {
        let mut worst: Vec<(f64, &Hinge)> = Vec::new();
        for hinge in &self.net.hinges {
            let [a, b] = hinge.facets.map(|f| self.net.facets[f].panel);
            if let (Some(gap_mm), true) = (self.gap_mm(hinge), self.is_branch(a, b)) {
                let same = worst.iter_mut().find(|(_, w)| w.by == hinge.by);
                match same {
                    Some(w) if w.0 < gap_mm => *w = (gap_mm, hinge),
                    Some(_) => {}
                    None => worst.push((gap_mm, hinge)),
                }
            }
        }
        worst.retain(|(gap_mm, _)| *gap_mm > tolerance_mm);
        worst
            .into_iter()
            .map(|(gap_mm, hinge)| self.tear(gap_mm, hinge, words))
            .collect()
    }

    fn tear(&self, gap_mm: f64, hinge: &Hinge, words: &Words<'_>) -> Diagnostic {
        let [a, b] = hinge
            .facets
            .map(|f| words.panel(&self.net.panels[self.net.facets[f].panel].name));
        let origin = match hinge.by {
            HingeBy::Crease(i) => &self.piece.operations[i].origin,
            HingeBy::Bend(_) => &self.piece.origin,
        };
        let message = format!(
            "between {a} and {b} the paper would tear by {} at {}",
            words.show(gap_mm),
            words.place(hinge.line.p0.midpoint(hinge.line.p1))
        );
        let hint = "flat panels turn about one straight line; make the creases between them one line, or cut where it would tear";
        Diagnostic::error(code::TEAR, message).at(origin).hint(hint)
    }

    pub(super) fn gap_mm(&self, hinge: &Hinge) -> Option<f64> {
        let [a, b] = hinge.facets.map(|f| self.places[f]);
        let (a, b) = (a?, b?);
        let ends = [hinge.line.p0, hinge.line.p1].map(|p| Vec3::new(p.x, p.y, 0.0));
        let gaps = ends.map(|p| (a.apply(p) - b.apply(p)).norm());
        Some(gaps[0].max(gaps[1]))
    }
}

fn other(hinge: &Hinge, facet: usize) -> Option<usize> {
    match hinge.facets {
        [a, b] if a == facet => Some(b),
        [a, b] if b == facet => Some(a),
        [_, _] => None,
    }
}

/// How far the crease by an operation is folded: above zero as a mountain seen from the front.
pub(super) fn crease_deg(piece: &Piece, operation: usize) -> f64 {
    let operation = &piece.operations[operation];
    let deg = operation.folds_to.map_or(USUAL_FOLD_DEG, Angle::deg);
    match operation.kind {
        OperationKind::Crease {
            fold: Fold::Mountain,
        } => deg,
        OperationKind::Crease { fold: Fold::Valley } => -deg,
        OperationKind::Cut
        | OperationKind::Perforation { .. }
        | OperationKind::PartialCut
        | OperationKind::Hole
        | OperationKind::Line => 0.0,
    }
}

/// Returns the turn of one facet of a hinge about it, in the piece frame. A mountain brings it to the side of growing z.
pub(super) fn turned(hinge: &Hinge, facet: usize, mountain_deg: f64) -> Rigid {
    let line = hinge.line;
    let way = line.p1 - line.p0;
    let along = Vec3::new(way.x, way.y, 0.0);
    // The first facet lies to the left of the line, where along x left is +z.
    let axis = if hinge.facets[0] == facet {
        along
    } else {
        -along
    };
    Rigid::about(
        Vec3::new(line.p0.x, line.p0.y, 0.0),
        axis,
        Angle::from_deg(mountain_deg),
    )
}
