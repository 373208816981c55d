//! Where a pattern meets itself at a seam: whether it goes on there or breaks.
//!
//! A print runs on across a crease of its piece by itself. At a seam, where the edge of one panel comes to lie on another, it runs on only if
//! both sides show the same place of it: for a repeat, up to whole repeats.

use kurbo::{Affine, Line, ParamCurve, Point, Vec2};

use super::leaf::{Leaf, leaves};
use super::reading::{corners, face_to_piece, touches};
use super::{Folded, code};
use crate::diagnostic::Diagnostic;
use crate::geometry::areas::{Ring, covers};
use crate::math::hypot;
use crate::project::{
    Artwork, ArtworkFill, Assembly, Face, Joint, JointKind, Listed, PictureBox, Project, Reads,
    StockFace, Surface,
};

/// Edges come together if they are no farther apart, in millimetres, besides thickness and gap.
const MEETS_MM: f64 = 1.0;

/// A pattern that is off by less than this at a seam runs on, in millimetres: what scissors and glue take anyway.
const RUNS_ON_MM: f64 = 0.5;

/// Shorter edges are no seams, in millimetres.
const SHORTEST_MM: f64 = 3.0;

/// Where an edge of one panel lies, in its own piece and in that of the panel it comes to lie on.
#[derive(Debug, Clone, Copy)]
struct Seam {
    own: [Point; 2],
    other: [Point; 2],
}

impl Seam {
    /// Whether an edge of one comes where an edge of the other does, whichever of them is told first.
    fn is_same(&self, other: &Self) -> bool {
        let middle = |edge: [Point; 2]| edge[0].midpoint(edge[1]);
        let edges = [self.own, self.other].map(middle);
        let others = [other.own, other.other].map(middle);
        let is_there = |p: &Point| others.iter().any(|q| length(*q - *p) <= MEETS_MM);
        edges.iter().any(is_there)
    }
}

/// Warns of prints that break at the seams of an assembly, once for each layer.
pub(super) fn findings(project: &Project, assembly: &Assembly, folded: &Folded) -> Vec<Diagnostic> {
    let leaves = leaves(project, assembly, folded);
    let mut breaks: Vec<Break> = Vec::new();
    for joint in &assembly.joints {
        let Some((outer, under)) = sides(joint) else {
            continue;
        };
        let (Some(outer), Some(under)) = (leaf_of(&leaves, outer), leaf_of(&leaves, under)) else {
            continue;
        };
        if outer.piece == under.piece
            && let Some(seam) = seam(outer, under)
        {
            for found in broken(project, outer, under, &seam) {
                add(&mut breaks, found, joint);
            }
        }
    }
    warnings(project, &breaks)
}

/// Adds a break, unless its seam is told of already: a tab behind a wall and the edge of that wall are one seam, which is called by the
/// edges that meet.
fn add(breaks: &mut Vec<Break>, found: Break, joint: &Joint) {
    let is_same = |b: &&mut Break| {
        (b.piece, b.artwork) == (found.piece, found.artwork) && b.seam.is_same(&found.seam)
    };
    match breaks.iter_mut().find(is_same) {
        Some(told) if matches!(joint.kind, JointKind::Meet { .. }) => *told = found,
        Some(_) => {}
        None => breaks.push(found),
    }
}

/// A layer that breaks between two panels.
struct Break {
    piece: usize,
    /// Position of the artwork; `None` for a bought pattern.
    artwork: Option<usize>,
    panels: String,
    seam: Seam,
    /// How far it would have to move.
    off_mm: f64,
}

/// One warning for each layer, with all its seams.
fn warnings(project: &Project, breaks: &[Break]) -> Vec<Diagnostic> {
    let mut keys: Vec<(usize, Option<usize>)> =
        breaks.iter().map(|b| (b.piece, b.artwork)).collect();
    keys.sort_unstable();
    keys.dedup();
    keys.into_iter()
        .map(|(piece, artwork)| {
            let of_layer = breaks
                .iter()
                .filter(|b| (b.piece, b.artwork) == (piece, artwork));
            let mut panels: Vec<String> = of_layer
                .clone()
                .map(|b| match b.artwork {
                    Some(_) => format!("{} (off by {:.1} mm)", b.panels, b.off_mm),
                    None => b.panels.clone(),
                })
                .collect();
            panels.dedup();
            let declared = &project.pieces[piece];
            let (what, origin) = match artwork {
                Some(i) => (
                    format!("artwork {} of \"{}\"", i + 1, declared.id),
                    &project.artwork_of(0, piece)[i].origin,
                ),
                None => (
                    format!("the pattern of \"{}\"", declared.id),
                    &declared.origin,
                ),
            };
            let message = format!("{what} cannot run on where {} meet", panels.join(", "));
            Diagnostic::warning(code::PATTERN_BREAKS, message)
                .at(origin)
                .hint("keep the seam at the back, or use a print that hides it")
        })
        .collect()
}

/// The panel whose edge is seen, and the one it comes to lie on or meets; `None` where no seam is seen.
fn sides(joint: &Joint) -> Option<(&Surface, &Surface)> {
    match joint.kind {
        // A flap under a wall: the wall's edge is seen on it.
        JointKind::Stuck { .. } => match (joint.from.face, joint.to.face) {
            (Face::Front, Face::Back) => Some((&joint.to, &joint.from)),
            (Face::Back, Face::Front) => Some((&joint.from, &joint.to)),
            (Face::Front, Face::Front) | (Face::Back, Face::Back) => None,
        },
        JointKind::Meet { .. } => Some((&joint.from, &joint.to)),
        JointKind::Flush { .. }
        | JointKind::Tuck { .. }
        | JointKind::Hinge
        | JointKind::Slide { .. } => None,
    }
}

fn leaf_of<'l>(leaves: &'l [Leaf], surface: &Surface) -> Option<&'l Leaf> {
    leaves
        .iter()
        .find(|leaf| leaf.member == surface.member && leaf.panel == surface.panel)
}

/// The longest edge of `outer` that lies on or at `under`.
fn seam(outer: &Leaf, under: &Leaf) -> Option<Seam> {
    let flat = under.place.inverse();
    let reach_mm = MEETS_MM + outer.caliper_mm + under.caliper_mm;
    let on_under = |point: Point| {
        let at = flat.apply(outer.at(point));
        (at.z.abs() <= reach_mm).then_some(Point::new(at.x, at.y))
    };
    let mut longest: Option<(f64, Seam)> = None;
    for ring in &outer.rings_mm {
        let next = ring.iter().cycle().skip(1);
        for (from, to) in ring.iter().zip(next) {
            let edge = Line::new(*from, *to);
            let length_mm = length(*to - *from);
            let own = [edge.eval(0.25), edge.eval(0.75)];
            let [Some(a), Some(b)] = own.map(on_under) else {
                continue;
            };
            let is_there =
                is_near(&under.rings_mm, a, reach_mm) && is_near(&under.rings_mm, b, reach_mm);
            let is_longest = longest.as_ref().is_none_or(|(best, _)| length_mm > *best);
            if is_there && is_longest && length_mm > SHORTEST_MM {
                longest = Some((length_mm, Seam { own, other: [a, b] }));
            }
        }
    }
    longest.map(|(_, seam)| seam)
}

fn length(way: Vec2) -> f64 {
    hypot(way.x, way.y)
}

/// Whether a point is on an area, or no farther from its edge.
fn is_near(rings: &[Ring], point: Point, reach_mm: f64) -> bool {
    covers(rings, point)
        || rings.iter().any(|ring| {
            let next = ring.iter().cycle().skip(1);
            ring.iter().zip(next).any(|(p, q)| {
                let way = *q - *p;
                let along = ((point - *p).dot(way) / way.hypot2().max(1e-12)).clamp(0.0, 1.0);
                length(point - (*p + way * along)) <= reach_mm
            })
        })
}

/// The layers on the fronts of both panels that break at the seam.
fn broken(project: &Project, outer: &Leaf, under: &Leaf, seam: &Seam) -> Vec<Break> {
    let make = |artwork, off_mm| Break {
        piece: outer.piece,
        artwork,
        panels: format!("{} and {}", outer.id, under.id),
        seam: *seam,
        off_mm,
    };
    let artwork = project.artwork_of(0, outer.piece).into_iter().enumerate();
    let mut found: Vec<Break> = artwork
        .filter(|(_, artwork)| artwork.face == Face::Front)
        .filter_map(|(i, artwork)| {
            let off_mm = off_mm(project, artwork, outer, under, seam)?;
            (off_mm > RUNS_ON_MM).then(|| make(Some(i), off_mm))
        })
        .collect();
    if pattern_minds(project, outer.piece) && is_turned(seam) {
        found.push(make(None, 0.0));
    }
    found
}

/// How far a layer is off at a seam; `None` where it does not reach both panels.
fn off_mm(
    project: &Project,
    artwork: &Artwork,
    outer: &Leaf,
    under: &Leaf,
    seam: &Seam,
) -> Option<f64> {
    let map = face_to_piece(project, outer.piece, artwork.face);
    let picture = match &artwork.fill {
        ArtworkFill::Flat(_) => return None,
        ArtworkFill::Repeat(picture) => picture,
        ArtworkFill::Picture(picture) | ArtworkFill::Each(Listed { place: picture, .. }) => {
            let box_mm = corners(picture, map);
            let is_on_both = touches(&outer.rings_mm, &box_mm) && touches(&under.rings_mm, &box_mm);
            is_on_both.then_some(picture)?
        }
    };
    let ends = seam.own.into_iter().zip(seam.other);
    let off = ends.map(|(own, other)| apart_mm(picture, map, other - own));
    let worst = off.fold(0.0, f64::max);
    // A quarter turn shows in whatever has a grid, however it reads.
    Some(if is_turned(seam) {
        worst.max(2.0 * RUNS_ON_MM)
    } else {
        worst
    })
}

/// How far a shift of the piece is from whole repeats of a picture.
fn apart_mm(picture: &PictureBox, face_to_piece: Affine, shift: Vec2) -> f64 {
    let map = (face_to_piece * picture.pose.to_affine()).inverse();
    let way = map * shift.to_point() - map * Point::ORIGIN;
    let rest = |length: f64, repeat: f64| length - repeat * (length / repeat).round();
    hypot(
        rest(way.x, picture.width.to_mm()),
        rest(way.y, picture.height.to_mm()),
    )
}

/// Whether the piece comes to the seam turned against itself.
fn is_turned(seam: &Seam) -> bool {
    let own = seam.own[1] - seam.own[0];
    let other = seam.other[1] - seam.other[0];
    own.dot(other) < 0.99 * length(own) * length(other)
}

/// Whether the paper of a piece has a bought pattern in front that minds being turned. Where its repeats lie is not known.
fn pattern_minds(project: &Project, piece: usize) -> bool {
    let stock = &project.stocks[project.stock_of(0, piece)];
    match stock.face(project.pieces[piece].shows) {
        StockFace::Patterned { reads, .. } => match reads {
            Reads::OneWay | Reads::Stripe => true,
            Reads::Free => false,
        },
        StockFace::Plain | StockFace::Printable => false,
    }
}
