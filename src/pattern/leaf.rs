//! Leaves, sprigs and berries, drawn as areas.
//!
//! A leaf is drawn along x from its base at 0 to its tip at 1, bent by a parabola, then turned, scaled and moved to its place. All blades run
//! the same way round, so that those that overlap fill each other.

use kurbo::{Affine, BezPath, ParamCurve, Point, Vec2};

use super::motif::circle_into;
use crate::math::Angle;

/// One growth, ready to be laid somewhere.
#[derive(Debug, Clone, Default)]
pub(super) struct Growth {
    /// Blades and stem.
    pub(super) green: BezPath,
    /// Midribs and side veins, laid over the blades.
    pub(super) veins: BezPath,
    /// Berries.
    pub(super) berries: BezPath,
    /// Circles that hold all of it, to keep others away.
    pub(super) hull: Vec<(Point, f64)>,
}

/// What one leaf looks like.
#[derive(Debug, Clone, Copy)]
pub(super) struct Leaf {
    /// From base to tip.
    pub(super) length: f64,
    /// Half of its width, as a share of the length.
    pub(super) half_width: f64,
    /// How far its tip is bent aside, as a share of the length.
    pub(super) bend: f64,
    /// Pairs of side veins.
    pub(super) pairs: u32,
}

impl Growth {
    /// Returns it turned, then moved.
    pub(super) fn placed(&self, turn: Angle, to: Vec2) -> Self {
        let place = frame(Point::ORIGIN + to, turn, 1.0);
        Self {
            green: place * self.green.clone(),
            veins: place * self.veins.clone(),
            berries: place * self.berries.clone(),
            hull: self.hull.iter().map(|(at, r)| (place * *at, *r)).collect(),
        }
    }

    /// Moves it so that the middle of its hull is the origin.
    fn centred(self) -> Self {
        let sum = self
            .hull
            .iter()
            .fold(Vec2::ZERO, |sum, (at, _)| sum + at.to_vec2());
        let count = f64::from(u32::try_from(self.hull.len()).unwrap_or(u32::MAX));
        self.placed(Angle::ZERO, sum / -count)
    }

    fn leaf(&mut self, base: Point, turn_deg: f64, leaf: Leaf) {
        let place = frame(base, Angle::from_deg(turn_deg), leaf.length);
        self.green.extend(place * blade(leaf));
        self.veins.extend(place * midrib(leaf));
        for n in 0..leaf.pairs {
            let along = 0.2 + 0.6 * (f64::from(n) + 0.5) / f64::from(leaf.pairs);
            for side in [-1.0, 1.0] {
                self.veins.extend(place * side_vein(leaf, along, side));
            }
        }
        for (x, width) in [
            (0.12, 0.55),
            (0.3, 0.95),
            (0.5, 0.98),
            (0.7, 0.75),
            (0.88, 0.4),
        ] {
            let at = place * bent(leaf, Point::new(x, 0.0));
            self.hull
                .push((at, leaf.length * (leaf.half_width * width).max(0.07)));
        }
    }

    fn append(&mut self, other: Self) {
        self.green.extend(other.green);
        self.veins.extend(other.veins);
        self.berries.extend(other.berries);
        self.hull.extend(other.hull);
    }

    fn berry(&mut self, at: Point, radius: f64) {
        circle_into(&mut self.berries, at, radius);
        self.hull.push((at, radius));
    }

    /// A stem along a bent line, thinner towards its end.
    fn stem(&mut self, stem: Stem, width: f64) {
        let across = Vec2::new(0.0, width / 2.0);
        let (end, handle) = (stem.at(1.0), Point::new(stem.length / 2.0, 0.0));
        let mut path = BezPath::new();
        path.move_to(Point::ORIGIN - across);
        path.quad_to(handle - across, end - across * 0.4);
        path.line_to(end + across * 0.4);
        path.quad_to(handle + across, Point::ORIGIN + across);
        path.close_path();
        self.green.extend(path);
        for n in 0..8 {
            self.hull.push((stem.at(f64::from(n) / 7.0), width));
        }
    }
}

/// The line of a stem: a parabola that leaves along x.
#[derive(Debug, Clone, Copy)]
struct Stem {
    length: f64,
    bow: f64,
}

impl Stem {
    fn at(self, share: f64) -> Point {
        Point::new(share * self.length, self.bow * self.length * share * share)
    }

    /// The direction of growth; small bows, so the tangent stands for the angle within a degree.
    fn turn_deg(self, share: f64) -> f64 {
        crate::math::atan2(2.0 * self.bow * share, 1.0).to_degrees()
    }
}

fn frame(origin: Point, turn: Angle, scale: f64) -> Affine {
    let (sin, cos) = turn.sin_cos();
    Affine::new([
        cos * scale,
        sin * scale,
        -sin * scale,
        cos * scale,
        origin.x,
        origin.y,
    ])
}

fn bent(leaf: Leaf, at: Point) -> Point {
    Point::new(at.x, at.y + leaf.bend * at.x * at.x)
}

/// One edge of a blade, on the side of this sign; its widest place is near two fifths.
fn edge(leaf: Leaf, side: f64) -> kurbo::CubicBez {
    let half = leaf.half_width * side;
    kurbo::CubicBez::new(
        Point::ORIGIN,
        bent(leaf, Point::new(0.14, 1.38 * half)),
        bent(leaf, Point::new(0.62, 1.12 * half)),
        bent(leaf, Point::new(1.0, 0.0)),
    )
}

fn blade(leaf: Leaf) -> BezPath {
    let (over, under) = (edge(leaf, -1.0), edge(leaf, 1.0));
    let mut path = BezPath::new();
    path.move_to(over.p0);
    path.curve_to(over.p1, over.p2, over.p3);
    path.curve_to(under.p2, under.p1, under.p0);
    path.close_path();
    path
}

/// From the base to shortly before the tip, where it ends in a point.
fn midrib(leaf: Leaf) -> BezPath {
    let width = 0.016;
    let handle = |y: f64| bent(leaf, Point::new(0.45, y)) - Vec2::new(0.0, leaf.bend * 0.2);
    let mut path = BezPath::new();
    path.move_to((0.0, -width));
    path.quad_to(handle(-width * 0.7), bent(leaf, Point::new(0.92, 0.0)));
    path.quad_to(handle(width * 0.7), Point::new(0.0, width));
    path.close_path();
    path
}

/// From the midrib to the edge, most of the way, rising towards the tip.
fn side_vein(leaf: Leaf, along: f64, side: f64) -> BezPath {
    let end = edge(leaf, side).eval(along);
    let start_x = (end.x - 0.17 - leaf.half_width * 0.25).max(0.06);
    let spine = bent(leaf, Point::new(end.x, 0.0));
    let end = spine + (end - spine) * 0.78;
    let half = 0.01;
    let (from, to) = (
        bent(leaf, Point::new(start_x - half, 0.0)),
        bent(leaf, Point::new(start_x + half, 0.0)),
    );
    let towards = from.midpoint(to).lerp(end, 0.55) - Vec2::new(0.0, 0.05 * leaf.half_width * side);
    let mut path = BezPath::new();
    path.move_to(from);
    path.quad_to(towards, end);
    path.quad_to(towards + Vec2::new(half, 0.0), to);
    path.close_path();
    path
}

/// Returns a single leaf with its stalk, with side veins.
pub(super) fn single(length: f64, half_width: f64, bend: f64) -> Growth {
    let mut growth = Growth::default();
    let stalk = Stem {
        length: length * 0.2,
        bow: 0.0,
    };
    growth.stem(stalk, length * 0.045);
    let leaf = Leaf {
        length,
        half_width,
        bend,
        pairs: 5,
    };
    growth.leaf(Point::new(length * 0.18, 0.0), 0.0, leaf);
    growth.centred()
}

/// Returns a small leaf without side veins.
pub(super) fn small(length: f64, half_width: f64, bend: f64) -> Growth {
    let mut growth = Growth::default();
    let leaf = Leaf {
        length,
        half_width,
        bend,
        pairs: 0,
    };
    growth.leaf(Point::ORIGIN, 0.0, leaf);
    growth.centred()
}

/// Returns a bent sprig with slim leaves, one after the other on both sides.
pub(super) fn slim_sprig(length: f64, bow: f64) -> Growth {
    let stem = Stem {
        length: length * 0.78,
        bow,
    };
    let mut growth = Growth::default();
    growth.stem(stem, length * 0.02);
    let count = 8;
    for n in 0..count {
        let share = f64::from(n) / f64::from(count - 1);
        let side = if n % 2 == 0 { -1.0 } else { 1.0 };
        let at = 0.2 + 0.74 * share;
        let leaf = Leaf {
            length: length * (0.36 - 0.14 * share),
            half_width: 0.125,
            bend: -0.1 * side,
            pairs: 0,
        };
        growth.leaf(
            stem.at(at),
            stem.turn_deg(at) + side * (54.0 - 14.0 * share),
            leaf,
        );
    }
    growth.leaf(stem.at(1.0), stem.turn_deg(1.0), tip(length * 0.24, 0.16));
    growth.centred()
}

/// Returns a bent sprig with rounder leaves in pairs.
pub(super) fn paired_sprig(length: f64, bow: f64) -> Growth {
    let stem = Stem {
        length: length * 0.76,
        bow,
    };
    let mut growth = Growth::default();
    growth.stem(stem, length * 0.022);
    for n in 0..4 {
        let share = f64::from(n) / 3.0;
        let at = 0.24 + 0.62 * share;
        for side in [-1.0, 1.0] {
            let leaf = Leaf {
                length: length * (0.29 - 0.09 * share),
                half_width: 0.29,
                bend: -0.06 * side,
                pairs: 0,
            };
            growth.leaf(
                stem.at(at),
                stem.turn_deg(at) + side * (62.0 - 14.0 * share),
                leaf,
            );
        }
    }
    growth.leaf(stem.at(1.0), stem.turn_deg(1.0), tip(length * 0.24, 0.28));
    growth.centred()
}

/// Returns a twig with berries on short stalks and one leaf at its foot.
pub(super) fn berry_twig(length: f64, bow: f64) -> Growth {
    let stem = Stem {
        length: length * 0.86,
        bow,
    };
    let mut growth = Growth::default();
    growth.stem(stem, length * 0.026);
    for n in 0..5 {
        let side = if n % 2 == 0 { 1.0 } else { -1.0 };
        let at = 0.34 + 0.12 * f64::from(n);
        let turn = Angle::from_deg(stem.turn_deg(at) + side * 48.0);
        let stalk = Stem {
            length: length * (0.21 - 0.018 * f64::from(n)),
            bow: 0.0,
        };
        let mut twig = Growth::default();
        twig.stem(stalk, length * 0.02);
        twig.berry(stalk.at(1.0), length * 0.052);
        growth.append(twig.placed(turn, stem.at(at).to_vec2()));
    }
    growth.berry(stem.at(1.0), length * 0.058);
    let foot = Leaf {
        length: length * 0.34,
        half_width: 0.2,
        bend: 0.08,
        pairs: 0,
    };
    growth.leaf(stem.at(0.18), stem.turn_deg(0.18) - 46.0, foot);
    growth.centred()
}

/// Returns three berries close together.
pub(super) fn berries(radius: f64) -> Growth {
    let mut growth = Growth::default();
    for n in 0..3 {
        let (sin, cos) = Angle::from_deg(120.0 * f64::from(n)).sin_cos();
        growth.berry((Vec2::new(cos, sin) * radius * 1.5).to_point(), radius);
    }
    growth
}

fn tip(length: f64, half_width: f64) -> Leaf {
    Leaf {
        length,
        half_width,
        bend: 0.0,
        pairs: 0,
    }
}
