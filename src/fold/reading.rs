//! Which way up each panel reads: its artwork and its bought pattern, as the finished object shows them.
//!
//! A wall reads upright if its top is up; a face that looks up, if its top is at the back, for the maker sits in front. What looks down is
//! not judged. What is stuck to something, or looks at another panel, is not seen and says nothing.

use kurbo::{Affine, Point, Rect, Vec2};

use super::Folded;
use super::leaf::{Leaf, leaves};
use crate::geometry::areas::{Ring, covers, shared, thickness_of};
use crate::geometry::mirror_about_x;
use crate::geometry::space::Vec3;
use crate::math::atan2;
use crate::project::{
    Artwork, ArtworkFill, Assembly, Edge, Face, Listed, PictureBox, Project, Reads, StockFace,
};

/// The edition whose artwork and paper are looked at: the first.
const EDITION: usize = 0;

/// A face looks up or down if it is this much nearer to level than to upright: the sine of 60 degrees.
const LEVEL: f64 = 0.866;

/// A picture touches a panel with a strip thicker than this, in millimetres.
const TOUCHES_MM: f64 = 0.1;

/// Places across and down at which a face is looked at.
const LOOKS: u32 = 7;

/// Of these, the part that must be free.
const FREE_PART: f64 = 1.0 / 3.0;

/// What lies nearer than this before a face lies in it, in millimetres.
const IN_IT_MM: f64 = 0.01;

/// How one layer reads on one panel.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PanelReading {
    /// Position of the member in the assembly.
    pub member: usize,
    /// Position of the piece in the project: the member's own, or one mounted on it.
    pub piece: usize,
    /// Name of the panel; empty for a piece mounted whole.
    pub panel: String,
    /// What people call the panel: `tin/lid:front`.
    pub id: String,
    /// The face it is on.
    pub face: Face,
    /// Which way that face looks.
    pub looks: Looks,
    /// What reads.
    pub what: Layer,
    /// Whether it minds being turned.
    pub kind: Reads,
    /// How it reads.
    pub reads: Stands,
    /// Whether it is seen through its own paper, from behind.
    pub is_mirrored: bool,
}

/// Which way a face looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Looks {
    /// At a viewer above it.
    Up,
    /// Sideways, or at a slant: a wall.
    Aside,
    /// At the table.
    Down,
}

/// What is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Layer {
    /// The artwork at this position of the piece.
    Artwork(usize),
    /// The bought pattern of the paper.
    Pattern,
}

/// How something stands, to the nearest quarter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// Its top is up.
    Upright,
    /// On its side, its top to the right.
    TopRight,
    /// On its head.
    UpsideDown,
    /// On its side, its top to the left.
    TopLeft,
    /// It looks down, where no way is up.
    NotJudged,
}

impl Stands {
    /// In words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Upright => "upright",
            Self::TopRight => "on its side, top to the right",
            Self::UpsideDown => "upside down",
            Self::TopLeft => "on its side, top to the left",
            Self::NotJudged => "looks down",
        }
    }

    /// How it stands after a turn by so many quarters clockwise as seen; `NotJudged` stays.
    pub(super) fn turned(self, quarters: u8) -> Self {
        const ROUND: [Stands; 4] = [
            Stands::Upright,
            Stands::TopRight,
            Stands::UpsideDown,
            Stands::TopLeft,
        ];
        let at = ROUND.iter().position(|s| *s == self);
        at.map_or(self, |at| ROUND[(at + usize::from(quarters)) % 4])
    }
}

/// Returns how every layer reads on every panel that shows.
#[must_use]
pub fn readings(project: &Project, assembly: &Assembly, folded: &Folded) -> Vec<PanelReading> {
    let leaves = leaves(project, assembly, folded);
    let mut found = Vec::new();
    for position in 0..leaves.len() {
        for face in [Face::Front, Face::Back] {
            found.extend(read_face(project, &leaves, position, face));
        }
    }
    // Facets of a bent panel are one panel; the first that shows speaks for it.
    found.dedup_by(|b, a| (&a.id, a.face, a.what) == (&b.id, b.face, b.what));
    found
}

/// The layers on one face of a leaf, where that is seen.
fn read_face(project: &Project, leaves: &[Leaf], position: usize, face: Face) -> Vec<PanelReading> {
    let leaf = &leaves[position];
    let other = face.other();
    let seen_from = if is_free(leaves, position, face) {
        face
    } else if leaf.is_clear && is_free(leaves, position, other) {
        other
    } else {
        return Vec::new();
    };
    let reading = |what, kind, top: Vec2| PanelReading {
        member: leaf.member,
        piece: leaf.piece,
        panel: leaf.panel.clone(),
        id: leaf.id.clone(),
        face,
        looks: looks(leaf.looks(seen_from)),
        what,
        kind,
        reads: stands(leaf, seen_from, top),
        is_mirrored: seen_from != face,
    };
    let artwork = project.artwork_of(EDITION, leaf.piece);
    let printed = artwork.into_iter().enumerate().filter_map(|(i, artwork)| {
        let top = top_on(project, leaf, face, artwork)?;
        Some(reading(Layer::Artwork(i), artwork.reads, top))
    });
    let pattern = pattern_top(project, leaf.piece, face);
    let pattern = pattern.map(|(kind, top)| reading(Layer::Pattern, kind, top));
    printed.chain(pattern).collect()
}

/// Which way a face looks, by its direction of length 1.
fn looks(direction: Vec3) -> Looks {
    if direction.z > LEVEL {
        Looks::Up
    } else if direction.z < -LEVEL {
        Looks::Down
    } else {
        Looks::Aside
    }
}

/// How something with its `top` in the piece frame stands, seen from outside that face.
fn stands(leaf: &Leaf, seen_from: Face, top: Vec2) -> Stands {
    let out = leaf.looks(seen_from);
    let wanted = match looks(out) {
        Looks::Up => Vec3::y(),
        Looks::Aside => Vec3::z(),
        Looks::Down => return Stands::NotJudged,
    };
    let up = wanted - out * wanted.dot(&out);
    // Seen from outside, right, up and out make a right-handed frame.
    let right = up.cross(&out);
    let top = leaf.place.direct(Vec3::new(top.x, top.y, 0.0));
    let quarters = atan2(top.dot(&right), top.dot(&up)) / std::f64::consts::FRAC_PI_2;
    match quarters.round() {
        q if q.abs() < 0.5 => Stands::Upright,
        q if q.abs() > 1.5 => Stands::UpsideDown,
        q if q > 0.0 => Stands::TopRight,
        _ => Stands::TopLeft,
    }
}

/// Whether enough of a face can be seen from before it.
fn is_free(leaves: &[Leaf], position: usize, face: Face) -> bool {
    let leaf = &leaves[position];
    let out = leaf.looks(face);
    let places = places_on(&leaf.rings_mm);
    let free = places
        .iter()
        .filter(|place| {
            let from = leaf.at(**place);
            let mut others = leaves.iter().enumerate();
            !others.any(|(i, other)| i != position && !other.is_clear && hides(other, from, out))
        })
        .count();
    let part = f64::from(u32::try_from(free).unwrap_or(u32::MAX));
    let all = f64::from(u32::try_from(places.len()).unwrap_or(u32::MAX));
    part > 0.0 && part >= FREE_PART * all
}

/// Whether a leaf lies on the straight way out from a point.
pub(super) fn hides(leaf: &Leaf, from: Vec3, out: Vec3) -> bool {
    let flat = leaf.place.inverse();
    let (start, way) = (flat.apply(from), flat.direct(out));
    if way.z.abs() < 1e-9 {
        return false;
    }
    let distance_mm = -start.z / way.z;
    let hit = start + way * distance_mm;
    distance_mm > IN_IT_MM && covers(&leaf.rings_mm, Point::new(hit.x, hit.y))
}

/// Places spread over an area.
pub(super) fn places_on(rings: &[Ring]) -> Vec<Point> {
    let bounds = bounds(rings);
    let along =
        |from: f64, size: f64, i: u32| from + size * (f64::from(i) + 0.5) / f64::from(LOOKS);
    let mut places = Vec::new();
    for i in 0..LOOKS {
        for j in 0..LOOKS {
            let place = Point::new(
                along(bounds.x0, bounds.width(), i),
                along(bounds.y0, bounds.height(), j),
            );
            if covers(rings, place) {
                places.push(place);
            }
        }
    }
    places
}

fn bounds(rings: &[Ring]) -> Rect {
    let points = rings.iter().flatten().map(|p| Rect::from_points(*p, *p));
    points.reduce(|a, b| a.union(b)).unwrap_or_default()
}

/// Where the top of a layer of artwork points in the piece frame, if it is on this face and touches the panel.
fn top_on(project: &Project, leaf: &Leaf, face: Face, artwork: &Artwork) -> Option<Vec2> {
    if artwork.face != face {
        return None;
    }
    let map = face_to_piece(project, leaf.piece, face);
    let picture = match &artwork.fill {
        ArtworkFill::Flat(_) => return None,
        ArtworkFill::Repeat(picture) => picture,
        ArtworkFill::Picture(picture) | ArtworkFill::Each(Listed { place: picture, .. }) => {
            let corners = corners(picture, map);
            touches(&leaf.rings_mm, &corners).then_some(picture)?
        }
    };
    Some(direction(
        map * picture.pose.to_affine(),
        Vec2::new(0.0, -1.0),
    ))
}

/// The corners of a picture in the piece frame.
pub(super) fn corners(picture: &PictureBox, face_to_piece: Affine) -> Ring {
    let map = face_to_piece * picture.unit_to_face();
    [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
        .map(|corner| map * Point::from(corner))
        .to_vec()
}

/// Whether a picture reaches a panel by more than a sliver.
pub(super) fn touches(panel: &[Ring], picture: &Ring) -> bool {
    let common = shared(panel, std::slice::from_ref(picture));
    common.iter().any(|part| thickness_of(part) > TOUCHES_MM)
}

/// Where a direction points under a map.
pub(super) fn direction(map: Affine, way: Vec2) -> Vec2 {
    map * way.to_point() - map * Point::ORIGIN
}

/// The frame of a face, mapped to the piece frame.
pub(super) fn face_to_piece(project: &Project, piece: usize, face: Face) -> Affine {
    match face {
        Face::Front => Affine::IDENTITY,
        Face::Back => mirror_about_x(project.pieces[piece].outline.bounds().center().x),
    }
}

/// How a bought pattern on this face reads and where its top points in the piece frame, if the piece says. The wish is for the front, or
/// for the back where only that is patterned.
fn pattern_top(project: &Project, piece: usize, face: Face) -> Option<(Reads, Vec2)> {
    let stock = &project.stocks[project.stock_of(EDITION, piece)];
    let piece = &project.pieces[piece];
    let edge = piece.pattern_up?;
    let shown = match face {
        Face::Front => piece.shows,
        Face::Back => return None,
    };
    match stock.face(shown) {
        StockFace::Patterned { reads, .. } => Some((*reads, edge_direction(edge))),
        StockFace::Plain | StockFace::Printable => None,
    }
}

fn edge_direction(edge: Edge) -> Vec2 {
    match edge {
        Edge::Top => Vec2::new(0.0, -1.0),
        Edge::Right => Vec2::new(1.0, 0.0),
        Edge::Bottom => Vec2::new(0.0, 1.0),
        Edge::Left => Vec2::new(-1.0, 0.0),
    }
}
