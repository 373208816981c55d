//! Every flat piece of paper of a folded object where it lies in space, what is mounted on its panels included.

use kurbo::{BezPath, Point, Shape};

use super::Folded;
use crate::geometry::areas::{Ring, covers, without};
use crate::geometry::space::{Rigid, Vec3};
use crate::math::{Angle, FLATTEN_MM};
use crate::project::{Assembly, Face, Mount, OperationKind, Project};

/// Thickness of paper of which none is known: card of 200 g/m2 (common practice, no source).
const USUAL_CALIPER_MM: f64 = 0.25;

/// One flat piece of paper in space.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Leaf {
    /// Position of the member it belongs to, or is mounted on.
    pub(super) member: usize,
    /// Position of its piece in the project.
    pub(super) piece: usize,
    /// Name of its panel; empty for a piece mounted whole.
    pub(super) panel: String,
    /// What people call it: `tin/lid:front`.
    pub(super) id: String,
    /// Its shape in the piece frame, holes that are cut in it included.
    pub(super) rings_mm: Vec<Ring>,
    /// Piece frame to the object's frame.
    pub(super) place: Rigid,
    /// Thickness in millimetres.
    pub(super) caliper_mm: f64,
    /// Whether one can see through it.
    pub(super) is_clear: bool,
}

impl Leaf {
    /// Which way a face looks, length 1.
    pub(super) fn looks(&self, face: Face) -> Vec3 {
        let out = match face {
            Face::Front => -Vec3::z(),
            Face::Back => Vec3::z(),
        };
        self.place.direct(out)
    }

    /// Where a point of the piece lies, in the middle of the paper.
    pub(super) fn at(&self, point: Point) -> Vec3 {
        self.place.apply(Vec3::new(point.x, point.y, 0.0))
    }
}

/// Returns all leaves: those of the members in their order, then what is mounted on them, each after what it lies on.
pub(super) fn leaves(project: &Project, assembly: &Assembly, folded: &Folded) -> Vec<Leaf> {
    let mut found: Vec<Leaf> = Vec::new();
    for (position, member) in folded.members.iter().enumerate() {
        let name = assembly
            .members
            .get(position)
            .map_or("", |m| m.name.as_str());
        for panel in &member.panels {
            found.push(Leaf {
                member: position,
                piece: member.piece,
                panel: panel.name.clone(),
                id: format!("{name}:{}", panel.name),
                rings_mm: with_holes(project, member.piece, &panel.rings_mm),
                place: panel.place,
                caliper_mm: member.caliper_mm,
                is_clear: is_clear(project, member.piece),
            });
        }
    }
    let mut from = 0;
    while from < found.len() {
        let until = found.len();
        let on = mounted(project, folded, &found[from..]);
        found.extend(on);
        from = until;
    }
    found
}

/// The pieces mounted on `below` that are no members of their own.
fn mounted(project: &Project, folded: &Folded, below: &[Leaf]) -> Vec<Leaf> {
    let is_member = |piece: usize| folded.members.iter().any(|m| m.piece == piece);
    let mut found = Vec::new();
    for (position, piece) in project.pieces.iter().enumerate() {
        let Some(mount) = &piece.mount else { continue };
        if is_member(position) {
            continue;
        }
        let under = below.iter().filter(|leaf| leaf.piece == mount.on);
        for leaf in under.filter(|leaf| carries(project, leaf, mount, position)) {
            found.push(laid_on(project, leaf, mount, position));
        }
    }
    found
}

/// Whether a mounted piece lies on this panel: the named one, or the one under its middle.
fn carries(project: &Project, leaf: &Leaf, mount: &Mount, piece: usize) -> bool {
    match &mount.panel {
        Some(panel) if !leaf.panel.is_empty() => *panel == leaf.panel,
        Some(_) | None => {
            let middle = project.pieces[piece].outline.bounds().center();
            leaf.panel.is_empty() || covers(&leaf.rings_mm, mount.pose.to_affine() * middle)
        }
    }
}

fn laid_on(project: &Project, leaf: &Leaf, mount: &Mount, position: usize) -> Leaf {
    let piece = &project.pieces[position];
    let caliper_mm = caliper_mm(project, position);
    // Plies lie on one another; the top one is seen.
    let plies = f64::from(piece.per_copy);
    let height_mm = leaf.caliper_mm / 2.0 + mount.standoff.to_mm() + caliper_mm * (plies - 0.5);
    let turned = Rigid::about(Vec3::zeros(), Vec3::z(), mount.pose.turn);
    let over = if mount.pose.mirrored {
        Rigid::about(Vec3::zeros(), Vec3::y(), Angle::from_deg(180.0))
    } else {
        Rigid::identity()
    };
    let shift = Rigid::shift(mount.pose.x_mm, mount.pose.y_mm, -height_mm);
    let owner = leaf.id.split(':').next().unwrap_or_default();
    Leaf {
        member: leaf.member,
        piece: position,
        panel: String::new(),
        id: format!("{} on {owner}", piece.id),
        rings_mm: with_holes(project, position, &piece.outline.flattened(FLATTEN_MM)),
        place: leaf.place.after(&shift).after(&turned).after(&over),
        caliper_mm,
        is_clear: is_clear(project, position),
    }
}

/// The rings with the holes that operations cut in them.
fn with_holes(project: &Project, piece: usize, rings_mm: &[Ring]) -> Vec<Ring> {
    let operations = &project.pieces[piece].operations;
    let holes = operations.iter().filter(|o| o.kind == OperationKind::Hole);
    let mut left = rings_mm.to_vec();
    for hole in holes {
        let ring = flattened(&hole.path);
        if ring.len() > 2 {
            left = without(&left, &[ring]).into_iter().flatten().collect();
        }
    }
    left
}

/// The corners of a path's lines, close enough to its curves.
pub(super) fn flattened(path: &BezPath) -> Ring {
    let mut corners: Ring = Vec::new();
    kurbo::flatten(path.path_elements(FLATTEN_MM), FLATTEN_MM, |element| {
        corners.extend(element.end_point());
    });
    corners.dedup();
    if corners.len() > 1 && corners.first() == corners.last() {
        corners.pop();
    }
    corners
}

fn is_clear(project: &Project, piece: usize) -> bool {
    project.stocks[project.stock_of(0, piece)].is_clear
}

fn caliper_mm(project: &Project, piece: usize) -> f64 {
    let stock = &project.stocks[project.stock_of(0, piece)];
    let caliper = stock.caliper.max(project.pieces[piece].embossed_caliper());
    caliper.map_or(USUAL_CALIPER_MM, |size| size.to_mm())
}
