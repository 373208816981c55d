//! Scans made of known maps, for the tests of this room: what a detector would find, without a picture.

use kurbo::{Affine, Point, Rect, Size, Vec2};

use super::{FaceScan, SheetEdge, SheetFrame};
use crate::fit::Pair;
use crate::math::{Angle, sin_cos};
use crate::project::Face;

/// Even numbers from 0 to 1 and normal ones, the same on every machine: the 64-bit generator xorshift* (Marsaglia, Vigna).
pub(super) struct Chance(u64);

impl Chance {
    pub(super) fn new(seed: u64) -> Self {
        let mut chance = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        for _ in 0..8 {
            chance.even();
        }
        chance
    }

    pub(super) fn even(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        let high = self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 40;
        u32::try_from(high).map_or(0.0, f64::from) / f64::from(1 << 24)
    }

    /// Evenly between both limits.
    pub(super) fn within(&mut self, limit: f64) -> f64 {
        (2.0 * self.even() - 1.0) * limit
    }

    /// A sum of twelve even numbers less six: near enough to normal for three deviations.
    pub(super) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}

/// A printer, a sheet, and a scanner, all known.
#[derive(Debug, Clone)]
pub(super) struct Scene {
    pub(super) page: Size,
    /// Page to sheet, both seen from the front.
    pub(super) printer: Affine,
    pub(super) bow_mm: f64,
    pub(super) face: Face,
    /// What the sheet's top left corner is wider than a right angle.
    pub(super) corner_rad: f64,
    /// What the scanner stretches along rows and columns, and its shear.
    pub(super) strain: [f64; 3],
    /// How the sheet lies on the glass.
    pub(super) lies_deg: f64,
    pub(super) noise_mm: f64,
    pub(super) edge_mm: f64,
    pub(super) edge_rad: f64,
}

/// A4 in the simulator's manner: -1.5 to 1 % off, 1 mm, 3 mrad, 2 mrad.
pub(super) fn printer(page: Size, chance: &mut Chance) -> Affine {
    let (ex, ey) = (chance.within(0.008) - 0.003, chance.within(0.008) - 0.003);
    let (sin, cos) = sin_cos(chance.within(0.003));
    let shear = chance.within(0.002);
    let straight = Affine::new([1.0 + ex, 0.0, shear, 1.0 + ey, 0.0, 0.0]);
    let turn = Affine::new([cos, sin, -sin, cos, 0.0, 0.0]);
    let middle = Vec2::new(page.width / 2.0, page.height / 2.0);
    let shift = Vec2::new(chance.within(0.8), chance.within(1.2));
    Affine::translate(middle + shift) * turn * straight * Affine::translate(-middle)
}

impl Scene {
    pub(super) fn a4(chance: &mut Chance) -> Self {
        let page = Size::new(210.0, 297.0);
        Self {
            page,
            printer: printer(page, chance),
            bow_mm: 0.02 + 0.03 * chance.even(),
            face: Face::Front,
            corner_rad: chance.within(0.000_5),
            strain: [0.0; 3],
            lies_deg: chance.within(2.0),
            noise_mm: 0.004,
            edge_mm: 0.008,
            edge_rad: 0.000_025,
        }
    }

    pub(super) fn with_typical_scanner(mut self, chance: &mut Chance) -> Self {
        self.strain = [
            chance.within(0.0015),
            chance.within(0.0015),
            chance.within(0.0006),
        ];
        self
    }

    /// The chart's grid of 5 x 7 targets 20 mm from the edges.
    pub(super) fn grid(&self) -> Vec<Point> {
        let inside = Rect::from_origin_size((20.0, 20.0), self.page - Size::new(40.0, 40.0));
        let at = |i: u8, j: u8| {
            Point::new(
                inside.x0 + inside.width() * f64::from(i) / 4.0,
                inside.y0 + inside.height() * f64::from(j) / 6.0,
            )
        };
        (0..7).flat_map(|j| (0..5).map(move |i| at(i, j))).collect()
    }

    /// Where the printer puts a page point, as distances from the left and the top edge: the map, and the paper path's slow bow.
    pub(super) fn printed(&self, page: Point) -> Point {
        // A whole wave down the page, even about its middle, so that it has no part in scale, turn or shear.
        let (_, bow) = sin_cos(page.y / self.page.height * std::f64::consts::TAU);
        self.printer * page + Vec2::new(bow, -bow) * self.bow_mm
    }

    /// Distances from both edges to the scan's millimetres.
    fn on_glass(&self, on_sheet: Point) -> Point {
        let (sin, cos) = sin_cos(self.corner_rad);
        let square = Vec2::new((on_sheet.x - on_sheet.y * sin) / cos, on_sheet.y);
        let seen = match self.face {
            Face::Front => square,
            Face::Back => Vec2::new(-square.x, square.y),
        };
        let (sin, cos) = Angle::from_deg(self.lies_deg).sin_cos();
        let lies = Vec2::new(cos * seen.x - sin * seen.y, sin * seen.x + cos * seen.y);
        let [ex, ey, shear] = self.strain;
        Point::new(
            260.0 + (1.0 + ex) * lies.x + shear * lies.y,
            240.0 + (1.0 + ey) * lies.y,
        )
    }

    fn edge(&self, from: Point, to: Point, inside: Point, chance: &mut Chance) -> SheetEdge {
        let [from, to, inside] = [from, to, inside].map(|p| self.on_glass(p));
        let along = (to - from).normalize();
        let mut inwards = Vec2::new(-along.y, along.x);
        if (inside - from).dot(inwards) < 0.0 {
            inwards = -inwards;
        }
        let leaning = inwards + along * (self.edge_rad * chance.normal());
        SheetEdge {
            middle: from.midpoint(to) + inwards * (self.edge_mm * chance.normal()),
            inwards: leaning.normalize(),
            place_mm: self.edge_mm,
            tilt_rad: self.edge_rad,
        }
    }

    pub(super) fn scan(&self, name: &str, chance: &mut Chance) -> FaceScan {
        let (w, h) = (self.page.width + 0.4, self.page.height - 0.7);
        let corners = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)].map(Point::from);
        let middle = Point::new(w / 2.0, h / 2.0);
        let mut edge = |a: usize, b: usize| self.edge(corners[a], corners[b], middle, chance);
        let frame = SheetFrame {
            top: edge(0, 1),
            right: edge(1, 2),
            bottom: edge(2, 3),
            left: edge(3, 0),
        };
        let targets = self
            .grid()
            .into_iter()
            .map(|page| {
                let noise = Vec2::new(chance.normal(), chance.normal()) * self.noise_mm;
                Pair::new(page, self.on_glass(self.printed(page)) + noise)
            })
            .collect();
        FaceScan {
            name: name.to_owned(),
            face: self.face,
            frame,
            targets,
        }
    }
}
