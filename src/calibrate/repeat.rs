//! How exactly somebody reads: told by reading the same thing several times.

use crate::fit::{LEAST_TYPED_MM, RADIUS_95, f95_of_2};

/// Deviation of a reading that was not repeated, in millimetres: rounding to half a millimetre (0.5 over the root of 12, 0.144) and
/// setting the ruler to an edge (0.08, assumed), added as squares.
pub const SINGLE_MM: f64 = 0.165;

/// Fewest repeats beyond the first readings from which a deviation is told.
const LEAST_SPARE: usize = 4;

/// Largest distance of a repeat from the middle one, in millimetres: three deviations of a plain ruler.
pub(super) const FARTHEST_MM: f64 = 0.5;

/// How exactly somebody reads.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Precision {
    /// Standard deviation of one reading in millimetres.
    pub sigma_mm: f64,
    /// How many repeats it was told from; 0 where it is assumed.
    pub repeats: usize,
}

impl Precision {
    /// Tells the deviation from all values that were read of each thing, or returns the one that is assumed.
    ///
    /// No deviation below 0.05 mm is believed, half of what a vernier shows.
    #[must_use]
    pub fn of<'v>(values_mm: impl Iterator<Item = &'v [f64]>, assumed_mm: f64) -> Self {
        let (mut squares, mut spare) = (0.0, 0);
        for values in values_mm {
            let mean = mean(values);
            squares += values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>();
            spare += values.len().saturating_sub(1);
        }
        if spare < LEAST_SPARE {
            return Self {
                sigma_mm: assumed_mm,
                repeats: 0,
            };
        }
        let count = u32::try_from(spare).map_or(f64::INFINITY, f64::from);
        Self {
            sigma_mm: (squares / count).sqrt().max(LEAST_TYPED_MM),
            repeats: spare,
        }
    }

    /// Returns the deviation to reckon with, in millimetres: a deviation told from few repeats may itself be too small, so that 19 in
    /// 20 takes a wider circle (F instead of the normal distribution).
    #[must_use]
    pub fn safe_mm(&self) -> f64 {
        if self.repeats == 0 {
            self.sigma_mm
        } else {
            self.sigma_mm * (2.0 * f95_of_2(self.repeats)).sqrt() / RADIUS_95
        }
    }
}

/// The mean of what was read.
pub(super) fn mean(values: &[f64]) -> f64 {
    let count = u32::try_from(values.len()).map_or(f64::INFINITY, f64::from);
    values.iter().sum::<f64>() / count
}

/// The value, of three or more, that lies too far from the middle one; of two that do, the second.
pub(super) fn stray(values_mm: &[f64], farthest_mm: f64) -> Option<usize> {
    let mut sorted = values_mm.to_vec();
    sorted.sort_by(f64::total_cmp);
    let middle = *sorted.get(sorted.len().saturating_sub(1) / 2)?;
    let far = |v: &f64| (v - middle).abs();
    let (at, farthest) = (0..)
        .zip(values_mm)
        .max_by(|(_, a), (_, b)| far(a).total_cmp(&far(b)))?;
    (far(farthest) > farthest_mm).then_some(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 20.3, 20.4, 20.5 deviate by 0.1, 0, 0.1: 0.02 for 2 spare; three times that is 0.06 over 6, the square of 0.1.
    #[test]
    fn repeats_tell_the_deviation() {
        let values = [20.3, 20.4, 20.5];
        let thrice = [&values[..]; 3];
        let told = Precision::of(thrice.into_iter(), SINGLE_MM);
        assert!((told.sigma_mm - 0.1).abs() < 1e-9 && told.repeats == 6);
        // Tables of F print 5.14 for 2 and 6 degrees: the root of 10.28 is 3.207, over 2.4477.
        assert!((told.safe_mm() - 0.1 * 3.207 / 2.4477).abs() < 1e-4);
        // Three spare are too few, equal ones are not believed to be exact.
        assert_eq!(
            Precision::of([&values[..]; 1].into_iter(), SINGLE_MM).repeats,
            0
        );
        let equal = [20.4; 5];
        assert!((Precision::of([&equal[..]].into_iter(), SINGLE_MM).sigma_mm - 0.05).abs() < 1e-12);
    }

    /// Rounding to 0.5 mm is spread evenly over it: 0.5 over the root of 12.
    #[test]
    fn the_assumed_deviation_is_that_of_a_plain_ruler() {
        let rounding: f64 = 0.5 / 12.0_f64.sqrt();
        assert!((crate::math::hypot(rounding, 0.08) - SINGLE_MM).abs() < 5e-4);
    }

    #[test]
    fn a_stray_repeat_is_found() {
        assert_eq!(stray(&[20.4, 21.4, 20.5], FARTHEST_MM), Some(1));
        assert_eq!(stray(&[20.4, 21.4], FARTHEST_MM), Some(1));
        assert_eq!(stray(&[20.4, 20.6, 20.3], FARTHEST_MM), None);
        assert_eq!(stray(&[20.4], FARTHEST_MM), None);
    }
}
