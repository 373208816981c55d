//! One reading among several that contradicts the others.
//!
//! Each pair is judged by how far it lies from the map that the others alone would give. The decision is by the error that the
//! pairs say they have, against chi square with 2 degrees; beside it stands the test by the error that the other pairs show, against
//! F with 2 and the remaining degrees, which is weak where few pairs are left. Both count that the worst of n pairs was looked for
//! (Bonferroni).

use kurbo::Vec2;
use nalgebra::{Matrix2, Vector2};

use super::statistic::{chi2_tail, f_tail};
use super::{FitError, MapFit, Pair, count, fit};

/// Largest chance, counted over all pairs, at which a pair is still taken for one like the others.
const DOUBT: f64 = 0.05;

/// Fewest readings left over with which a slip can be told from the others: with two, every pair contradicts as much.
const LEAST_FREEDOM_TO_NAME: usize = 3;

/// A pair judged by the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PairTest {
    /// How much the map follows this pair, 0 to 1; see [`MapFit::leverages`].
    pub leverage: f64,
    /// Its residual from the map that the others give, in millimetres; `None` where the others give none.
    pub left_out_mm: Option<Vec2>,
    /// Chi square with 2 degrees by the error that the pairs say they have.
    pub chi2: f64,
    /// Chance of that for a good pair.
    pub chance: f64,
    /// F with 2 and the remaining degrees by the error that the others show; `None` where they leave nothing to see it by.
    pub deleted_f: Option<f64>,
    /// Chance of that for a good pair; 1 where there is no F.
    pub deleted_chance: f64,
}

/// Whether a pair contradicts the others.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Slip {
    /// Nothing is left over to check with.
    Unchecked,
    /// All pairs agree within their error.
    None,
    /// This pair, by its position, contradicts the others.
    Named(usize),
    /// The pairs contradict each other, and there are too few to tell which is wrong.
    Unnamed,
}

/// A fit without the pair that contradicted the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Cleaned {
    /// The fit, of all pairs or of all but one.
    pub fit: MapFit,
    /// The pair that was left out.
    pub left_out: Option<Pair>,
    /// What the pairs said of each other.
    pub slip: Slip,
    /// What those that are left say of each other: never [`Slip::None`] by leaving out a second one.
    pub rest: Slip,
    /// Each pair judged by the others, before any was left out.
    pub tests: Vec<PairTest>,
}

/// Returns each pair judged by the others.
#[must_use]
pub fn tests(fit: &MapFit) -> Vec<PairTest> {
    let whole = fit.square_sum();
    let leverages = fit.leverages();
    let pairs = fit.pairs.iter().zip(&fit.residuals).zip(leverages);
    pairs
        .map(|((pair, residual), leverage)| {
            let residual = Vector2::new(residual.x, residual.y);
            let rest = (Matrix2::identity() - fit.hat(pair)).try_inverse();
            let left_out = rest
                .filter(|_| 1.0 - leverage > 1e-9)
                .map(|rest| rest * residual);
            let chi2 = left_out.map_or(0.0, |left_out| residual.dot(&left_out) * pair.weight());
            let deleted_f = deleted_f(whole, chi2, fit.freedom());
            PairTest {
                leverage,
                left_out_mm: left_out.map(|v| Vec2::new(v.x, v.y)),
                chi2,
                chance: chi2_tail(chi2, 2),
                deleted_f,
                deleted_chance: deleted_f.map_or(1.0, |f| f_tail(f, 2, fit.freedom() - 2)),
            }
        })
        .collect()
}

/// F of a pair against what the others leave over.
fn deleted_f(whole: f64, own: f64, freedom: usize) -> Option<f64> {
    let others = whole - own;
    (freedom > 2 && others > 0.0).then(|| own / 2.0 / (others / count(freedom - 2)))
}

/// Returns whether a pair contradicts the others, by the error that the pairs say they have.
#[must_use]
pub fn slip(fit: &MapFit) -> Slip {
    judge(fit, &tests(fit))
}

fn judge(fit: &MapFit, tests: &[PairTest]) -> Slip {
    if fit.freedom() == 0 {
        return Slip::Unchecked;
    }
    let worst = (0..).zip(tests).min_by(|(_, a), (_, b)| {
        let by_chance = a.chance.total_cmp(&b.chance);
        by_chance.then(b.chi2.total_cmp(&a.chi2))
    });
    match worst {
        Some((at, test)) if test.chance * count(tests.len()) < DOUBT => {
            if fit.freedom() >= LEAST_FREEDOM_TO_NAME {
                Slip::Named(at)
            } else {
                Slip::Unnamed
            }
        }
        Some(_) | None => Slip::None,
    }
}

/// Leaves out the pair that contradicts the others, if there is one: at most one, and the result says which.
///
/// The kind of map stays. Pairs that are left and still contradict each other are told in [`Cleaned::rest`] and left in.
///
/// # Errors
///
/// What is left lies on one line.
pub fn clean(whole: &MapFit) -> Result<Cleaned, FitError> {
    let tests = tests(whole);
    let found = judge(whole, &tests);
    let (fit, left_out, rest) = match found {
        Slip::Named(at) => {
            let left: Vec<Pair> = (0..)
                .zip(&whole.pairs)
                .filter(|(i, _)| *i != at)
                .map(|(_, pair)| *pair)
                .collect();
            let fit = fit(whole.model, &left)?;
            let rest = slip(&fit);
            (fit, Some(whole.pairs[at]), rest)
        }
        Slip::Unchecked | Slip::None | Slip::Unnamed => (whole.clone(), None, found),
    };
    Ok(Cleaned {
        fit,
        left_out,
        slip: found,
        rest,
        tests,
    })
}
