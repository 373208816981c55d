//! Flat parts of what is seen, and cutting them in two.

use kurbo::{Affine, Point, Vec2};

use super::view::{self, Depth};
use crate::fold::leaf::Leaf;
use crate::geometry::areas::{Ring, shared};
use crate::geometry::space::Vec3;
use crate::project::Face;

/// A plane is seen from its edge if it covers less than this part of its area.
const FROM_THE_EDGE: f64 = 0.01;

/// Half of the side of a square that no object reaches out of, in millimetres.
const FAR_MM: f64 = 1e5;

/// One side of a line on the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Side {
    /// Points there have at least `from_mm` along this direction of length 1.
    pub(super) along: Vec2,
    pub(super) from_mm: f64,
}

impl Side {
    fn other(self) -> Self {
        Self {
            along: -self.along,
            from_mm: -self.from_mm,
        }
    }

    /// How far inside a point is.
    pub(super) fn depth_mm(self, point: Point) -> f64 {
        self.along.dot(point.to_vec2()) - self.from_mm
    }

    fn area(self) -> Ring {
        let across = Vec2::new(-self.along.y, self.along.x);
        let corner = |far: f64, side: f64| {
            (self.along * (self.from_mm + far * FAR_MM) + across * (side * FAR_MM)).to_point()
        };
        vec![
            corner(0.0, -1.0),
            corner(1.0, -1.0),
            corner(1.0, 1.0),
            corner(0.0, 1.0),
        ]
    }
}

/// A flat part of what is seen.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Facet {
    /// Position of its leaf.
    pub(super) leaf: usize,
    /// The face that is seen.
    pub(super) face: Face,
    /// Which way that face looks, in the object's frame.
    pub(super) looks: Vec3,
    /// Piece frame to the picture.
    pub(super) map: Affine,
    /// How near it is.
    pub(super) depth: Depth,
    /// What of the leaf it is, on the picture.
    pub(super) rings: Vec<Ring>,
    /// Where it was cut in two.
    pub(super) sides: Vec<Side>,
    /// Whether it hides what is behind.
    pub(super) is_clear: bool,
}

impl Facet {
    /// Returns what is seen of a leaf; `None` if it is seen from its edge.
    pub(super) fn of(position: usize, leaf: &Leaf) -> Option<Self> {
        let map = view::map_of(&leaf.place);
        if map.determinant().abs() < FROM_THE_EDGE {
            return None;
        }
        let front = leaf.looks(Face::Front);
        let (face, looks) = if view::nearness_mm(front) > 0.0 {
            (Face::Front, front)
        } else {
            (Face::Back, -front)
        };
        let on_picture = |ring: &Ring| ring.iter().map(|p| map * *p).collect();
        Some(Self {
            leaf: position,
            face,
            looks,
            map,
            depth: Depth::of(&leaf.place, map),
            rings: leaf.rings_mm.iter().map(on_picture).collect(),
            sides: Vec::new(),
            is_clear: leaf.is_clear,
        })
    }

    /// Returns its parts before and behind another's plane.
    pub(super) fn split_by(&self, other: &Self) -> Vec<Self> {
        let Some((along, from_mm)) = self.depth.less(&other.depth).slope() else {
            return vec![self.clone()];
        };
        let side = Side { along, from_mm };
        [side, side.other()]
            .into_iter()
            .filter_map(|side| self.part(side))
            .collect()
    }

    fn part(&self, side: Side) -> Option<Self> {
        let rings: Vec<Ring> = shared(&self.rings, &[side.area()])
            .into_iter()
            .flatten()
            .collect();
        if rings.is_empty() {
            return None;
        }
        let mut sides = self.sides.clone();
        sides.push(side);
        Some(Self {
            rings,
            sides,
            ..self.clone()
        })
    }

    /// How much nearer than another it is at the least and at the most, over all of itself.
    pub(super) fn range_over(&self, other: &Self) -> (f64, f64) {
        let nearer = self.depth.less(&other.depth);
        range(self.rings.iter().flatten().map(|p| nearer.at(*p)))
    }
}

/// The least and the most of some numbers.
pub(super) fn range(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    })
}
