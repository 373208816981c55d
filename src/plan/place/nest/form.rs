//! A part as it lies after a turn, ready for collision tests: convex cells in the frame of its unturned box's top left corner.

use std::ops::Range;

use super::ring::{Point, area_nm2, length_nm};
use crate::math::Angle;

/// An upright rectangle in nanometres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bounds {
    pub(super) low: Point,
    pub(super) high: Point,
}

impl Bounds {
    /// The rectangle around some points.
    pub(super) fn around<'a>(points: impl IntoIterator<Item = &'a Point>) -> Self {
        let start = Self {
            low: [f64::MAX; 2],
            high: [f64::MIN; 2],
        };
        points.into_iter().fold(start, |b, p| Self {
            low: [b.low[0].min(p[0]), b.low[1].min(p[1])],
            high: [b.high[0].max(p[0]), b.high[1].max(p[1])],
        })
    }

    /// Whether the insides of both meet.
    pub(super) fn meets(&self, other: &Self) -> bool {
        self.low[0] < other.high[0]
            && other.low[0] < self.high[0]
            && self.low[1] < other.high[1]
            && other.low[1] < self.high[1]
    }

    /// The same rectangle moved.
    pub(super) fn moved(&self, [x, y]: Point) -> Self {
        Self {
            low: [self.low[0] + x, self.low[1] + y],
            high: [self.high[0] + x, self.high[1] + y],
        }
    }

    /// Width and height.
    pub(super) fn size(&self) -> Point {
        [self.high[0] - self.low[0], self.high[1] - self.low[1]]
    }

    /// The middle.
    pub(super) fn centre(&self) -> Point {
        [
            f64::midpoint(self.low[0], self.high[0]),
            f64::midpoint(self.low[1], self.high[1]),
        ]
    }
}

/// A convex polygon.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    /// Corners, turning left.
    pub(super) corners: Vec<Point>,
    /// For each side its unit normal, pointing outwards.
    pub(super) normals: Vec<Point>,
    /// The rectangle around it.
    pub(super) bounds: Bounds,
    /// The radius of the circle around it whose centre is the middle of that rectangle.
    pub(super) around_nm: f64,
    /// About the radius of the largest circle in it: twice the area by the way around.
    pub(super) radius_nm: f64,
}

impl Cell {
    /// Returns the cell with these corners, turning left.
    pub(super) fn new(corners: Vec<Point>) -> Self {
        let next = corners.iter().cycle().skip(1);
        let sides: Vec<(Point, f64)> = corners
            .iter()
            .zip(next)
            .map(|(a, b)| {
                let length = length_nm(*a, *b).max(f64::MIN_POSITIVE);
                ([(b[1] - a[1]) / length, (a[0] - b[0]) / length], length)
            })
            .collect();
        let around: f64 = sides.iter().map(|(_, length)| length).sum();
        let bounds = Bounds::around(&corners);
        let middle = bounds.centre();
        let far = corners.iter().map(|p| length_nm(*p, middle));
        Self {
            around_nm: far.fold(0.0, f64::max),
            radius_nm: 2.0 * area_nm2(&corners) / around,
            bounds,
            normals: sides.into_iter().map(|(normal, _)| normal).collect(),
            corners,
        }
    }

    /// How far the cell reaches in a direction.
    pub(super) fn reach(&self, [x, y]: Point) -> f64 {
        let along = self.corners.iter().map(|p| x * p[0] + y * p[1]);
        along.fold(f64::MIN, f64::max)
    }
}

/// A part after a turn.
#[derive(Debug, Clone)]
pub(super) struct Form {
    /// Its turn in thousandths of a degree.
    pub(super) turn_mdeg: u32,
    /// Whether it lies front down.
    pub(super) is_mirrored: bool,
    /// Convex cells that cover it.
    pub(super) cells: Vec<Cell>,
    /// The rectangle around it.
    pub(super) bounds: Bounds,
    /// The centre of its unturned box.
    pub(super) centre: Point,
    /// The fourth root of the area of its convex hull: the product of two of these is the geometric mean of two sizes.
    pub(super) weight: f64,
    /// The forms of the same part and side, in the order of their turns.
    pub(super) round: Range<usize>,
}

impl Form {
    /// Returns the form with these cells, the centre of the box and the area of the convex hull.
    pub(super) fn new(
        turner: Turner,
        cells: Vec<Vec<Point>>,
        centre: Point,
        hull_nm2: f64,
    ) -> Self {
        Self {
            turn_mdeg: turner.turn_mdeg,
            is_mirrored: turner.mirror_width.is_some(),
            bounds: Bounds::around(cells.iter().flatten()),
            cells: cells.into_iter().map(Cell::new).collect(),
            centre,
            weight: hull_nm2.sqrt().sqrt(),
            round: 0..0,
        }
    }
}

/// Turns points about the origin, mirrored in a box of that width before if asked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turner {
    pub(super) turn_mdeg: u32,
    sin: f64,
    cos: f64,
    mirror_width: Option<f64>,
}

impl Turner {
    /// Returns the map for a turn in thousandths of a degree, clockwise as seen.
    pub(super) fn new(turn_mdeg: u32, mirror_width: Option<f64>) -> Self {
        let (sin, cos) = Angle::from_deg(f64::from(turn_mdeg) / 1000.0).sin_cos();
        Self {
            turn_mdeg,
            sin,
            cos,
            mirror_width,
        }
    }

    /// Returns the place of a point.
    pub(super) fn point(&self, p: Point) -> Point {
        let x = self.mirror_width.map_or(p[0], |width| width - p[0]);
        [
            self.cos * x - self.sin * p[1],
            self.sin * x + self.cos * p[1],
        ]
    }

    /// Returns a ring turned, the paper still to its left.
    pub(super) fn ring(&self, ring: &[Point]) -> Vec<Point> {
        let mut turned: Vec<Point> = ring.iter().map(|p| self.point(*p)).collect();
        if self.mirror_width.is_some() {
            turned.reverse();
        }
        turned
    }
}
