//! Which kind of map the pairs bear.

use super::slip::{Slip, slip};
use super::statistic::f_tail;
use super::{FitError, MapFit, Pair, affine, count, similarity};

/// Largest chance at which a softer map is taken to be better for a reason.
const LEAST_CHANCE: f64 = 0.01;

/// How much the largest residual must fall, in millimetres, for a softer map to be worth its errors elsewhere.
const LEAST_FALL_MM: f64 = 0.05;

/// A map of the kind that the pairs bear.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// The fit.
    pub fit: MapFit,
    /// Why this kind.
    pub reason: Reason,
}

/// Why a kind of map was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reason {
    /// Two pairs fix a similarity and leave nothing but their distance to check.
    TwoPairs,
    /// Three pairs fix an affine map with nothing left to check; a similarity leaves two readings.
    ThreePairs,
    /// Nobody has measured the printer, and its scales differ: affine.
    Unprofiled,
    /// The printer's own distortion is taken out already; a similarity leaves more to check.
    Profiled,
    /// The printer's own distortion is taken out already, yet an affine map is so much better that it is not by chance.
    Bent {
        /// Chance of this under a similarity.
        chance: f64,
        /// How much the largest residual falls, in millimetres.
        fall_mm: f64,
    },
}

/// Fits the kind of map that typed or scanned pairs bear: a similarity for two or three, an affine map for more.
///
/// `is_profiled` says that the printer's own distortion has been measured and taken out, so that a similarity is enough, unless an
/// affine map is better by the F test (p below 0.01) and by more than 0.05 mm at the worst pair. Never a projective map: a sheet
/// that lies flat has none.
///
/// # Errors
///
/// There are fewer than two pairs, or they lie in one place; four or more of an unmeasured printer lie on one line.
pub fn choose(pairs: &[Pair], is_profiled: bool) -> Result<Choice, FitError> {
    let of = |fit, reason| Ok(Choice { fit, reason });
    match pairs.len() {
        0..=2 => of(similarity(pairs)?, Reason::TwoPairs),
        3 => of(similarity(pairs)?, Reason::ThreePairs),
        _ if !is_profiled => of(affine(pairs)?, Reason::Unprofiled),
        _ => {
            let stiff = similarity(pairs)?;
            match affine(pairs) {
                Ok(soft) => Ok(better(stiff, soft)),
                Err(FitError::OneLine) => of(stiff, Reason::Profiled),
                Err(error) => Err(error),
            }
        }
    }
}

/// The softer map where it is better for a reason, and is not bent by a slip.
fn better(stiff: MapFit, soft: MapFit) -> Choice {
    let chance = larger_model_chance(
        stiff.square_sum(),
        stiff.freedom(),
        soft.square_sum(),
        soft.freedom(),
    );
    let fall_mm = stiff.max_mm() - soft.max_mm();
    let is_clean = matches!(slip(&soft), Slip::None);
    if chance < LEAST_CHANCE && fall_mm > LEAST_FALL_MM && is_clean {
        Choice {
            fit: soft,
            reason: Reason::Bent { chance, fall_mm },
        }
    } else {
        Choice {
            fit: stiff,
            reason: Reason::Profiled,
        }
    }
}

/// Returns the chance that a softer map leaves so much less over just by having more unknowns, by the F test; 1 where the softer one
/// leaves no reading to check with.
#[must_use]
pub fn larger_model_chance(
    stiff_sum: f64,
    stiff_freedom: usize,
    soft_sum: f64,
    soft_freedom: usize,
) -> f64 {
    let unknowns = stiff_freedom.saturating_sub(soft_freedom);
    if unknowns == 0 || soft_freedom == 0 {
        return 1.0;
    }
    if soft_sum <= 0.0 {
        return if stiff_sum > 0.0 { 0.0 } else { 1.0 };
    }
    let f = (stiff_sum - soft_sum) / count(unknowns) / (soft_sum / count(soft_freedom));
    f_tail(f, unknowns, soft_freedom)
}

#[cfg(test)]
mod tests {
    use kurbo::{Affine, Point};

    use super::super::Model;
    use super::*;

    const PLACES: [(f64, f64); 6] = [
        (16.0, 16.0),
        (200.0, 16.0),
        (200.0, 263.0),
        (16.0, 263.0),
        (200.0, 112.0),
        (16.0, 173.0),
    ];

    /// Errors of some hundredths of a millimetre, made up by hand.
    const ERRORS: [(f64, f64); 6] = [
        (0.02, -0.03),
        (-0.04, 0.01),
        (0.03, 0.02),
        (-0.01, -0.02),
        (0.01, 0.04),
        (-0.02, 0.0),
    ];

    fn pairs(count: usize, map: Affine) -> Vec<Pair> {
        let both = PLACES.iter().zip(ERRORS).take(count);
        both.map(|(&(x, y), (dx, dy))| {
            let at = Point::new(x, y);
            Pair::new(at, map * at + kurbo::Vec2::new(dx, dy)).with_sigma(0.05)
        })
        .collect()
    }

    fn chosen(count: usize, map: Affine, is_profiled: bool) -> (Model, Reason) {
        let choice = choose(&pairs(count, map), is_profiled).unwrap();
        (choice.fit.model, choice.reason)
    }

    #[test]
    fn few_pairs_get_a_stiff_map_and_many_a_soft_one_unless_the_printer_is_known() {
        let shift = Affine::translate((0.4, -0.3));
        for is_profiled in [false, true] {
            assert_eq!(
                chosen(2, shift, is_profiled),
                (Model::Similarity, Reason::TwoPairs)
            );
            assert_eq!(
                chosen(3, shift, is_profiled),
                (Model::Similarity, Reason::ThreePairs)
            );
        }
        for count in [4, 5, 6] {
            assert_eq!(
                chosen(count, shift, false),
                (Model::Affine, Reason::Unprofiled)
            );
            assert_eq!(
                chosen(count, shift, true),
                (Model::Similarity, Reason::Profiled)
            );
        }
    }

    /// 0.5 % of 184 mm is 0.9 mm: twenty times the error of a reading.
    #[test]
    fn a_known_printer_that_stretches_all_the_same_gets_an_affine_map() {
        let stretched = Affine::new([1.005, 0.0, 0.0, 1.0, 0.0, 0.0]);
        let (model, reason) = chosen(6, stretched, true);
        assert_eq!(model, Model::Affine);
        let Reason::Bent { chance, fall_mm } = reason else {
            panic!("{reason:?}");
        };
        assert!(chance < 0.01 && fall_mm > 0.2, "{chance} {fall_mm}");
    }

    /// The slip pulls the affine map as well, which is no reason to take it.
    #[test]
    fn a_slip_is_no_reason_for_a_softer_map() {
        let mut slipped = pairs(6, Affine::IDENTITY);
        slipped[1].measured.x += 1.0;
        let choice = choose(&slipped, true).unwrap();
        assert_eq!(choice.reason, Reason::Profiled);
        assert_eq!(slip(&choice.fit), Slip::Named(1));
    }

    /// F = ((10 - 4) / 2) / (4 / 6) = 4.5 with 2 and 6 degrees; its tail is (1 + 2 x 4.5 / 6)^-3 = 0.064 by the closed form.
    #[test]
    fn the_f_test_is_worked_out_as_by_hand() {
        assert!((larger_model_chance(10.0, 8, 4.0, 6) - 0.064).abs() < 1e-12);
    }
}
