//! The panels of a piece and the hinges between them.

use std::collections::BTreeSet;

use kurbo::{Line, Point};

use super::arrangement::{Arrangement, Face, LineKind, Shared, arrange, length_mm};
use super::code;
use super::drawn::{SHORT_MM, lines};
use super::region::holds;
use super::words::Words;
use crate::diagnostic::Diagnostic;
use crate::geometry::{Outline, flattened};
use crate::math::FLATTEN_MM;
use crate::project::{Member, OperationKind, Piece};

/// A piece taken apart at its creases.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Net {
    /// Flat parts: panels, or the facets of bent ones.
    pub(super) facets: Vec<Facet>,
    /// Panels by name.
    pub(super) panels: Vec<NetPanel>,
    /// What joins the facets.
    pub(super) hinges: Vec<Hinge>,
}

/// A flat part.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Facet {
    /// Position of its panel.
    pub(super) panel: usize,
    /// Outer ring, then holes, in the piece frame.
    pub(super) rings_mm: Vec<Vec<Point>>,
}

/// A panel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct NetPanel {
    pub(super) name: String,
    /// Positions of its facets, the one with the point that was declared first.
    pub(super) facets: Vec<usize>,
}

/// A straight line about which two facets turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Hinge {
    pub(super) facets: [usize; 2],
    /// Where, in the piece frame.
    pub(super) line: Line,
    pub(super) by: HingeBy,
}

/// What makes a hinge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum HingeBy {
    /// The crease by the operation at this position.
    Crease(usize),
    /// The bend at this position.
    Bend(usize),
}

impl Net {
    /// Returns the position of a panel.
    pub(super) fn panel(&self, name: &str) -> Option<usize> {
        self.panels.iter().position(|panel| panel.name == name)
    }
}

/// Returns the panels of a member's piece.
///
/// # Errors
///
/// Returns every crease that ends in the middle of a panel, and every name that is no panel or one panel's second.
pub(super) fn read(
    piece: &Piece,
    member: &Member,
    words: &Words<'_>,
) -> Result<Net, Vec<Diagnostic>> {
    let outline = RingsOf::piece(piece);
    let arrangement = arrange(&lines(piece, &member.bends), |p| outline.is_paper(p));
    let group = groups(&arrangement);
    let mut findings = Vec::new();
    let named = names(piece, &arrangement.faces, &group, words, &mut findings);
    let net = assemble(&arrangement, &group, &named);
    findings.extend(loose(piece, &arrangement, &net, words));
    if findings.is_empty() {
        Ok(net)
    } else {
        Err(findings)
    }
}

/// Where there is paper: inside the outline and in no hole.
struct RingsOf {
    outline: Outline,
    holes: Vec<Vec<Point>>,
}

impl RingsOf {
    fn piece(piece: &Piece) -> Self {
        let operations = piece.operations.iter();
        let holes = operations.filter(|o| o.kind == OperationKind::Hole);
        Self {
            outline: piece.outline.clone(),
            holes: holes.flat_map(|o| flattened(&o.path, FLATTEN_MM)).collect(),
        }
    }

    fn is_paper(&self, p: Point) -> bool {
        let is_in_hole = |hole: &Vec<Point>| super::region::contains(hole, p);
        self.outline.contains(p) && !self.holes.iter().any(is_in_hole)
    }
}

/// For each face the first face it is joined to by bends.
fn groups(arrangement: &Arrangement) -> Vec<usize> {
    let mut group: Vec<usize> = (0..arrangement.faces.len()).collect();
    for shared in &arrangement.shared {
        if let LineKind::Bend(_) = shared.kind {
            let [a, b] = shared.faces.map(|f| group[f]);
            let (from, to) = (a.max(b), a.min(b));
            for g in &mut group {
                if *g == from {
                    *g = to;
                }
            }
        }
    }
    group
}

/// For each group that was named: its name and the face that holds the declared point.
fn names(
    piece: &Piece,
    faces: &[Face],
    group: &[usize],
    words: &Words<'_>,
    findings: &mut Vec<Diagnostic>,
) -> Vec<Option<(String, usize)>> {
    let mut named: Vec<Option<(String, usize)>> = vec![None; faces.len()];
    for panel in &piece.panels {
        let held = faces
            .iter()
            .position(|face| holds(&face.rings_mm, panel.inside_mm));
        let Some(face) = held else {
            let at = words.place(panel.inside_mm);
            let message = format!(
                "{} is no panel: there is no paper at {at}",
                words.panel(&panel.name)
            );
            let hint =
                "a panel is named where a point of it lies on the piece, off its creases and holes";
            findings.push(
                Diagnostic::error(code::PANEL, message)
                    .at(&piece.origin)
                    .hint(hint),
            );
            continue;
        };
        let place = &mut named[group[face]];
        match place {
            None => *place = Some((panel.name.clone(), face)),
            Some((first, _)) => {
                let message = format!(
                    "{} and {} are one panel: no crease parts them",
                    words.panel(first),
                    words.panel(&panel.name)
                );
                let hint = "draw the crease between them from edge to edge, or name the panel once";
                findings.push(
                    Diagnostic::error(code::PANEL, message)
                        .at(&piece.origin)
                        .hint(hint),
                );
            }
        }
    }
    named
}

fn assemble(arrangement: &Arrangement, group: &[usize], named: &[Option<(String, usize)>]) -> Net {
    let mut taken: BTreeSet<String> = named
        .iter()
        .flatten()
        .map(|(name, _)| name.clone())
        .collect();
    let mut panels = Vec::new();
    let mut panel_of = vec![0; group.len()];
    for first in (0..group.len()).filter(|f| group[*f] == *f) {
        let mut facets: Vec<usize> = (0..group.len()).filter(|f| group[*f] == first).collect();
        let name = match &named[first] {
            Some((name, home)) => {
                facets.sort_by_key(|f| (f != home, *f));
                name.clone()
            }
            None => next_number(&mut taken),
        };
        for facet in &facets {
            panel_of[*facet] = panels.len();
        }
        panels.push(NetPanel { name, facets });
    }
    let facet = |(face, panel): (&Face, &usize)| Facet {
        panel: *panel,
        rings_mm: face.rings_mm.clone(),
    };
    Net {
        facets: arrangement.faces.iter().zip(&panel_of).map(facet).collect(),
        panels,
        hinges: arrangement.shared.iter().filter_map(hinge).collect(),
    }
}

fn next_number(taken: &mut BTreeSet<String>) -> String {
    let numbers = (1..).map(|n: usize| format!("panel-{n}"));
    let name = numbers
        .into_iter()
        .find(|name| !taken.contains(name))
        .expect("numbers do not end");
    taken.insert(name.clone());
    name
}

fn hinge(shared: &Shared) -> Option<Hinge> {
    let by = match shared.kind {
        LineKind::Edge | LineKind::Cut => return None,
        LineKind::Crease(i) => HingeBy::Crease(i),
        LineKind::Bend(i) => HingeBy::Bend(i),
    };
    Some(Hinge {
        facets: shared.faces,
        line: shared.line,
        by,
    })
}

/// Creases and bends that end in the middle of a panel by more than is forgiven.
fn loose(
    piece: &Piece,
    arrangement: &Arrangement,
    net: &Net,
    words: &Words<'_>,
) -> Vec<Diagnostic> {
    let too_long = arrangement
        .loose
        .iter()
        .filter(|loose| loose.length_mm > SHORT_MM);
    too_long
        .map(|loose| {
            let (what, origin) = match loose.kind {
                LineKind::Crease(i) => ("a crease", &piece.operations[i].origin),
                LineKind::Edge | LineKind::Cut | LineKind::Bend(_) => ("a bend", &piece.origin),
            };
            let facet = net.facets.iter().find(|f| holds(&f.rings_mm, loose.at));
            let panel = facet.map_or_else(String::new, |f| {
                format!(" of {}", words.panel(&net.panels[f.panel].name))
            });
            let message = format!(
                "{what} of {} ends at {}, in the middle{panel}",
                words.member(),
                words.place(loose.at)
            );
            let hint = "draw it on to the edge, a cut or another crease, or take it away";
            Diagnostic::error(code::CREASE_END, message)
                .at(origin)
                .hint(hint)
        })
        .collect()
}

/// Returns the longest of some hinges.
pub(super) fn longest<'a>(hinges: impl Iterator<Item = &'a Hinge>) -> Option<&'a Hinge> {
    hinges.max_by(|a, b| length_mm(a.line).total_cmp(&length_mm(b.line)))
}
