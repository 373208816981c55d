//! A point that was planned, and where it was found.

use kurbo::{Point, Vec2};

use crate::math::hypot;

/// A point that was planned, and where it was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Where it was planned, in millimetres.
    pub nominal: Point,
    /// Where it was found, in millimetres.
    pub measured: Point,
    /// Standard deviation of one coordinate of `measured`, in millimetres; 1 where it is not known and all pairs weigh the same.
    pub sigma_mm: f64,
}

impl Pair {
    /// Returns a pair that weighs as much as any other, and whose error is not known.
    #[must_use]
    pub fn new(nominal: Point, measured: Point) -> Self {
        Self {
            nominal,
            measured,
            sigma_mm: 1.0,
        }
    }

    /// Returns the pair with a known standard deviation of one coordinate; it must be above zero.
    #[must_use]
    pub fn with_sigma(self, sigma_mm: f64) -> Self {
        Self { sigma_mm, ..self }
    }

    pub(super) fn weight(&self) -> f64 {
        1.0 / (self.sigma_mm * self.sigma_mm)
    }
}

/// What all fits of pairs begin with: weighted centres, and moments about them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Centred {
    /// Sum of the weights.
    pub(super) weight: f64,
    /// Weighted centre of the nominal points.
    pub(super) nominal: Point,
    /// Weighted centre of the measured points.
    pub(super) measured: Point,
    /// Weighted sum of the squared distances of the nominal points from their centre.
    pub(super) spread: f64,
    /// Weighted sum of the scalar products of nominal and measured arms.
    pub(super) along: f64,
    /// Weighted sum of their vector products: above zero where the measured points are turned clockwise.
    pub(super) across: f64,
}

impl Centred {
    pub(super) fn of(pairs: &[Pair]) -> Self {
        let weight: f64 = pairs.iter().map(Pair::weight).sum();
        let centre = |place: fn(&Pair) -> Point| {
            let sum = pairs
                .iter()
                .fold(Vec2::ZERO, |sum, p| sum + place(p).to_vec2() * p.weight());
            (sum / weight).to_point()
        };
        let mut all = Self {
            weight,
            nominal: centre(|p| p.nominal),
            measured: centre(|p| p.measured),
            spread: 0.0,
            along: 0.0,
            across: 0.0,
        };
        for pair in pairs {
            let (from, to) = (pair.nominal - all.nominal, pair.measured - all.measured);
            all.spread += pair.weight() * from.dot(from);
            all.along += pair.weight() * from.dot(to);
            all.across += pair.weight() * from.cross(to);
        }
        all
    }

    /// Root of the mean squared distance of the nominal points from their centre, in millimetres.
    pub(super) fn radius_mm(&self) -> f64 {
        (self.spread / self.weight).sqrt()
    }
}

/// Least share of the larger extent that the smaller one must have for points to show which way round they go.
const LEAST_WIDTH: f64 = 0.01;

/// Returns whether the measured points are the nominal ones seen in a mirror: they turn the other way round.
///
/// `false` where the points lie on one line, or nearly so, since nobody can tell.
#[must_use]
pub fn is_mirrored(pairs: &[Pair]) -> bool {
    let all = Centred::of(pairs);
    let mut cross = [[0.0; 2]; 2];
    for pair in pairs {
        let (from, to) = (pair.nominal - all.nominal, pair.measured - all.measured);
        for (row, a) in cross.iter_mut().zip([from.x, from.y]) {
            row[0] += pair.weight() * a * to.x;
            row[1] += pair.weight() * a * to.y;
        }
    }
    let turned = cross[0][0] * cross[1][1] - cross[0][1] * cross[1][0];
    turned < -LEAST_WIDTH * LEAST_WIDTH * all.spread * all.spread
}

pub(super) fn length(v: Vec2) -> f64 {
    hypot(v.x, v.y)
}
