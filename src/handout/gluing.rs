//! In which order things are stuck together.
//!
//! Nothing is stuck after it can no longer be reached: layers go on flat panels before anything closes, from the bottom up; of things that
//! slide the inner one is made first; what is held inside another lies there before the outer one closes; a flap that lies under another
//! is stuck before that.

use kurbo::Shape;

use super::bodies::{Bodies, is_stuck};
use super::layer::FOAM;
use super::model::Glueing;
use super::words;
use crate::project::{
    Assembly, Face, Joint, JointKind, Piece, Project, Surface, TreatedPlace, TreatmentKind,
};

/// Returns what is stuck to what, in order: layers first, then each assembly.
pub(super) fn gluing(project: &Project) -> Vec<Glueing> {
    let mut order = layers(project);
    let mut known: Vec<(usize, Known)> = Vec::new();
    for (index, assembly) in project.assemblies.iter().enumerate() {
        for joint in ordered(project, assembly) {
            let key = Known::of(assembly, joint);
            if known.iter().any(|(i, k)| *i != index && *k == key) {
                continue;
            }
            known.push((index, key));
            let next = glueing(project, assembly, index, joint);
            // Two strips between the same two faces are glued in one go.
            if order.last() != Some(&next) {
                order.push(next);
            }
        }
    }
    for (number, glueing) in (1..).zip(&mut order) {
        glueing.number = number;
    }
    order
}

/// What tells one joint from another, whatever assembly it stands in.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Known(usize, String, usize, String);

impl Known {
    fn of(assembly: &Assembly, joint: Stuck<'_>) -> Self {
        let piece = |surface: &Surface| assembly.members[surface.member].piece;
        match joint {
            Stuck::Joint(joint) => Self(
                piece(&joint.from),
                joint.from.panel.clone(),
                piece(&joint.to),
                joint.to.panel.clone(),
            ),
            Stuck::Seam(band) => {
                let piece = assembly.members[band].piece;
                Self(piece, String::new(), piece, String::new())
            }
        }
    }
}

/// Layers on flat pieces, stack by stack, the lowest first; those that an assembly sticks on are left to it.
fn layers(project: &Project) -> Vec<Glueing> {
    let mut layers: Vec<(usize, usize, usize)> = (0..project.pieces.len())
        .filter(|piece| project.pieces[*piece].mount.is_some())
        .filter(|piece| !is_stuck_by_an_assembly(project, *piece))
        .map(|piece| {
            let stack = stack(project, piece);
            (*stack.last().unwrap_or(&piece), stack.len(), piece)
        })
        .collect();
    layers.sort_unstable();
    let glueings = layers.into_iter().filter_map(|(_, _, index)| {
        let piece = &project.pieces[index];
        let mount = piece.mount.as_ref()?;
        let below = &project.pieces[mount.on];
        Some(Glueing {
            number: 0,
            assembly: None,
            from_piece: index,
            to_piece: mount.on,
            from: words::piece(project, piece),
            from_face: Face::Back,
            to: of_panel(&words::piece(project, below), mount.panel.as_deref()),
            to_face: Face::Front,
            with: declared(project, index, None, Face::Back)
                .or_else(|| (mount.standoff >= FOAM).then(|| "foam pads".to_owned())),
        })
    });
    glueings.collect()
}

/// A mounted piece, and those below it.
fn stack(project: &Project, piece: usize) -> Vec<usize> {
    let below = |at: &usize| project.pieces[*at].mount.as_ref().map(|mount| mount.on);
    // Pieces are never mounted in a ring; the count keeps a walk finite whatever is given.
    std::iter::successors(Some(piece), below)
        .take(project.pieces.len())
        .collect()
}

fn is_stuck_by_an_assembly(project: &Project, layer: usize) -> bool {
    let below = project.pieces[layer].mount.as_ref().map(|mount| mount.on);
    project.assemblies.iter().any(|assembly| {
        let piece = |surface: &Surface| Some(assembly.members[surface.member].piece);
        assembly.joints.iter().any(|joint| {
            let ends = [piece(&joint.from), piece(&joint.to)];
            is_stuck(&joint.kind) && ends.contains(&Some(layer)) && ends.contains(&below)
        })
    })
}

/// Something that is stuck in an assembly.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Stuck<'a> {
    /// One surface to another.
    Joint(&'a Joint),
    /// A running band's end to its beginning; the member that is the band.
    Seam(usize),
}

/// What decides when something is stuck, the most important first.
type Turn = (u8, usize, u8, usize, usize);

/// Returns what is stuck in an assembly, in order.
fn ordered<'a>(project: &Project, assembly: &'a Assembly) -> Vec<Stuck<'a>> {
    let bodies = Bodies::new(project, assembly);
    let mut waiting: Vec<(Turn, &Joint)> = assembly
        .joints
        .iter()
        .enumerate()
        .filter(|(_, joint)| is_stuck(&joint.kind))
        .map(|(i, joint)| (turn(project, assembly, &bodies, i), joint))
        .collect();
    waiting.sort_by_key(|(turn, _)| *turn);
    let mut order = Vec::new();
    let mut seam = assembly.band.as_ref().map(|band| band.band);
    while !waiting.is_empty() {
        let is_free = |joint: &Joint| {
            let mut others = waiting.iter().filter(|(_, other)| *other != joint);
            !others.any(|(_, other)| is_one_panel(&other.from, &joint.to))
        };
        let next = waiting.iter().position(|(_, joint)| is_free(joint));
        let (_, joint) = waiting.remove(next.unwrap_or(0));
        let ends = [joint.from.member, joint.to.member];
        if let Some(band) = seam.take_if(|band| ends.contains(band)) {
            order.push(Stuck::Seam(band));
        }
        order.push(Stuck::Joint(joint));
    }
    order.extend(seam.map(Stuck::Seam));
    order
}

fn is_one_panel(a: &Surface, b: &Surface) -> bool {
    (a.member, &a.panel) == (b.member, &b.panel)
}

fn turn(project: &Project, assembly: &Assembly, bodies: &Bodies, index: usize) -> Turn {
    let joint = &assembly.joints[index];
    let ends = [joint.from.member, joint.to.member];
    let farther = if bodies.steps[ends[0]] > bodies.steps[ends[1]] {
        ends[0]
    } else {
        ends[1]
    };
    let band = assembly.band.as_ref().map(|band| band.band);
    let stage = if ends.iter().any(|end| Some(*end) == band) {
        1
    } else if ends.iter().any(|end| closes_over(assembly, *end)) {
        2
    } else {
        0
    };
    let class = if ends[0] == ends[1] {
        1
    } else if is_flat(&project.pieces[assembly.members[farther].piece]) {
        0
    } else {
        2
    };
    let rank = bodies.rank[bodies.of[farther]];
    (stage, rank, class, bodies.steps[farther], index)
}

/// Whether something slides along this member that must lie inside before it closes.
fn closes_over(assembly: &Assembly, member: usize) -> bool {
    assembly.joints.iter().any(|joint| match joint.kind {
        JointKind::Slide { is_held, .. } => is_held && joint.to.member == member,
        JointKind::Stuck { .. }
        | JointKind::Meet { .. }
        | JointKind::Tuck { .. }
        | JointKind::Flush { .. }
        | JointKind::Hinge => false,
    })
}

fn is_flat(piece: &Piece) -> bool {
    piece.panels.len() <= 1
}

fn glueing(project: &Project, assembly: &Assembly, index: usize, stuck: Stuck<'_>) -> Glueing {
    let piece = |member: usize| assembly.members[member].piece;
    let (from_piece, to_piece) = match stuck {
        Stuck::Joint(joint) => (piece(joint.from.member), piece(joint.to.member)),
        Stuck::Seam(band) => (piece(band), piece(band)),
    };
    let with = match stuck {
        Stuck::Joint(joint) => declared(
            project,
            from_piece,
            Some(&joint.from.panel),
            joint.from.face,
        ),
        Stuck::Seam(_) => None,
    };
    let (from, from_face, to, to_face) = match stuck {
        Stuck::Joint(joint) => (
            surface(project, assembly, &joint.from),
            joint.from.face,
            surface(project, assembly, &joint.to),
            joint.to.face,
        ),
        Stuck::Seam(band) => {
            let name = member(project, assembly, band);
            let (end, start) = (format!("{name}, one end"), format!("{name}, the other end"));
            (end, Face::Back, start, Face::Front)
        }
    };
    Glueing {
        number: 0,
        assembly: Some(index),
        from_piece,
        to_piece,
        from,
        from_face,
        to,
        to_face,
        with,
    }
}

/// What a face of a piece is glued with, as its treatments say; of one panel, or of any.
fn declared(project: &Project, piece: usize, panel: Option<&str>, face: Face) -> Option<String> {
    let mut treatments = project.pieces[piece].treatments.iter();
    treatments.find_map(|treatment| {
        let is_there = match (&treatment.place, panel) {
            (TreatedPlace::Panels(names), Some(panel)) => names.iter().any(|n| n == panel),
            (TreatedPlace::Whole, _) | (TreatedPlace::Panels(_), None) => true,
            (TreatedPlace::Area(area), Some(panel)) => {
                let middle = area.bounding_box().center();
                let mut panels = project.pieces[piece].panels.iter();
                panels.any(|p| p.name == panel && p.bounds_mm.contains(middle))
            }
            (TreatedPlace::Area(_), None) => true,
        };
        match treatment.kind {
            TreatmentKind::Glued { with: Some(with) } if is_there && treatment.face == face => {
                Some(project.supplies[with].name.clone())
            }
            TreatmentKind::Glued { .. }
            | TreatmentKind::Embossed(_)
            | TreatmentKind::Stamped
            | TreatmentKind::Plain => None,
        }
    })
}

/// Returns the name of a member: that of its piece, with a number where it is there more than once.
pub(super) fn member(project: &Project, assembly: &Assembly, member: usize) -> String {
    let piece = assembly.members[member].piece;
    let name = words::piece(project, &project.pieces[piece]);
    let alike = |m: &usize| assembly.members[*m].piece == piece;
    if (0..assembly.members.len()).filter(alike).count() > 1 {
        let before = (0..member).filter(alike).count();
        format!("{name} {}", before + 1)
    } else {
        name
    }
}

fn surface(project: &Project, assembly: &Assembly, surface: &Surface) -> String {
    let name = member(project, assembly, surface.member);
    let piece = &project.pieces[assembly.members[surface.member].piece];
    let panel = (!is_flat(piece)).then_some(surface.panel.as_str());
    of_panel(&name, panel)
}

fn of_panel(piece: &str, panel: Option<&str>) -> String {
    panel.map_or_else(
        || piece.to_owned(),
        |panel| format!("{piece}, {}", words::panel(panel)),
    )
}
