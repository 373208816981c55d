//! A map fitted to pairs, with what is left over.

use kurbo::{Affine, Point, Vec2};
use nalgebra::Matrix2;

use super::pair::{Pair, length};
use super::statistic::{chi2_tail, f95_of_2};
use super::{Model, Noise, RADIUS_95, Spread};

/// A map fitted to pairs, with what is left over.
#[derive(Debug, Clone, PartialEq)]
pub struct MapFit {
    /// Kind of the map.
    pub model: Model,
    /// Nominal points to measured ones.
    pub map: Affine,
    /// The pairs it was fitted to.
    pub pairs: Vec<Pair>,
    /// Measured minus mapped points, in millimetres, in the order of the pairs.
    pub residuals: Vec<Vec2>,
    /// How far the map may be wrong if each pair's error is just what it says: in units of 1 mm for [`Pair::new`].
    pub unit_spread: Spread,
}

impl MapFit {
    pub(super) fn new(model: Model, map: Affine, unit_spread: Spread, pairs: &[Pair]) -> Self {
        let residuals = pairs.iter().map(|p| p.measured - map * p.nominal).collect();
        Self {
            model,
            map,
            pairs: pairs.to_vec(),
            residuals,
            unit_spread,
        }
    }

    /// Returns the root of the mean squared length of the residuals, in millimetres.
    #[must_use]
    pub fn rms_mm(&self) -> f64 {
        let sum: f64 = self.residuals.iter().map(|r| r.dot(*r)).sum();
        (sum / super::count(self.residuals.len())).sqrt()
    }

    /// Returns the length of the longest residual, in millimetres.
    #[must_use]
    pub fn max_mm(&self) -> f64 {
        self.residuals
            .iter()
            .map(|r| length(*r))
            .fold(0.0, f64::max)
    }

    /// Returns how many readings are left to check the map with.
    #[must_use]
    pub fn freedom(&self) -> usize {
        self.model.freedom(self.pairs.len())
    }

    /// Returns the sum of the squared residuals, each in units of its pair's error.
    #[must_use]
    pub fn square_sum(&self) -> f64 {
        self.pairs
            .iter()
            .zip(&self.residuals)
            .map(|(pair, r)| pair.weight() * r.dot(*r))
            .sum()
    }

    /// Returns the estimated error of one coordinate in units of what the pairs say, in millimetres for [`Pair::new`]; `None` where
    /// nothing is left to check with.
    #[must_use]
    pub fn estimated_sigma(&self) -> Option<f64> {
        let freedom = self.freedom();
        (freedom > 0).then(|| (self.square_sum() / super::count(freedom)).sqrt())
    }

    /// Returns the chance that residuals as large as these come about if the pairs' errors are what they say; 1 where nothing is left
    /// to check with.
    #[must_use]
    pub fn chance(&self) -> f64 {
        chi2_tail(self.square_sum(), self.freedom())
    }

    /// Returns the variance of the map at a point, the mean of both coordinates', in units of the pairs' variance. For [`Pair::new`]
    /// this is the leverage that textbooks name h.
    #[must_use]
    pub fn leverage_at(&self, at: Point) -> f64 {
        let (x, y) = self.unit_spread.variances_mm2(at);
        f64::midpoint(x, y)
    }

    /// Returns how much each pair pulls the map to itself: 1 for a pair that the map must meet, whatever it says.
    #[must_use]
    pub fn leverages(&self) -> Vec<f64> {
        self.pairs
            .iter()
            .map(|p| self.leverage_at(p.nominal) * p.weight())
            .collect()
    }

    /// Returns the part of a pair's reading that goes into the map at its own place, as a matrix of both coordinates.
    pub(super) fn hat(&self, pair: &Pair) -> Matrix2<f64> {
        let (x, y) = self.unit_spread.variances_mm2(pair.nominal);
        let both = match self.model {
            Model::Similarity | Model::Affine => 0.0,
            Model::Rigid => {
                // The turn is the one unknown that both coordinates share.
                let arm = pair.nominal - self.unit_spread.about;
                let [a, b, c, d, ..] = self.map.as_coeffs();
                let across = Vec2::new(-(b * arm.x + d * arm.y), a * arm.x + c * arm.y);
                across.x * across.y * (self.unit_spread.x[0] + self.unit_spread.x[2])
            }
        };
        Matrix2::new(x, both, both, y) * pair.weight()
    }

    /// Returns how far the map may be wrong, by the noise that is taken to hold.
    ///
    /// With an estimated noise this is the spread of that estimate; [`MapFit::r95_mm`] also counts how little it is known.
    #[must_use]
    pub fn spread(&self, noise: Noise) -> Spread {
        let factor = noise.sigma(self.estimated_sigma());
        self.unit_spread.times(factor * factor)
    }

    /// Returns the radius in millimetres that the map's error at a point stays within 19 times in 20.
    ///
    /// A known noise gives `2.4477 s sqrt(h)`, an estimated one `s sqrt(2 F h)` with F the 95 % point of the F distribution with 2
    /// and [`freedom`](Self::freedom) degrees; infinite where nothing is left to estimate it from.
    #[must_use]
    pub fn r95_mm(&self, at: Point, noise: Noise) -> f64 {
        self.radius(noise) * self.leverage_at(at).max(0.0).sqrt()
    }

    /// Returns the same with a machine that errs on its own by `machine_mm` in each coordinate, one standard deviation.
    #[must_use]
    pub fn r95_with_mm(&self, at: Point, noise: Noise, machine_mm: f64) -> f64 {
        let map = self.r95_mm(at, noise);
        crate::math::hypot(map, RADIUS_95 * machine_mm)
    }

    fn radius(&self, noise: Noise) -> f64 {
        let sigma = noise.sigma(self.estimated_sigma());
        match noise {
            Noise::Known => RADIUS_95 * sigma,
            Noise::Estimated { .. } => sigma * (2.0 * f95_of_2(self.freedom())).sqrt(),
        }
    }
}
