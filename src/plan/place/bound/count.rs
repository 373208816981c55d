//! From what parts are worth to whole sheets.

use super::content::Sheet;

/// Share of a sheet by which sums may be off by rounding. It is taken off, so that rounding never raises a bound.
const ROUNDING: f64 = 1e-9;

/// How many sheets there are of these kinds.
pub(super) fn supply(sheets: &[&Sheet]) -> u32 {
    let limits = sheets.iter().map(|s| s.limit.unwrap_or(u32::MAX));
    limits.fold(0, u32::saturating_add)
}

/// Returns how many whole sheets, and which part of one, hold what is worth `need` when each holds its part of `held`: offcuts
/// first, then those that hold most. Infinitely many if even all of them do not.
pub(super) fn needed(need: f64, sheets: &[Sheet], held: &[f64]) -> f64 {
    let all = |(sheet, held): (&Sheet, &f64)| match sheet.limit {
        _ if *held <= 0.0 => 0.0,
        Some(limit) => f64::from(limit) * held,
        None => f64::INFINITY,
    };
    let offcuts = sheets.iter().zip(held).filter(|(s, _)| s.is_offcut);
    let mut rest = need * (1.0 - ROUNDING) - offcuts.map(all).sum::<f64>();
    let mut whole: Vec<(&Sheet, &f64)> = sheets.iter().zip(held).collect();
    whole.retain(|(sheet, held)| !sheet.is_offcut && **held > 0.0);
    whole.sort_by(|a, b| b.1.total_cmp(a.1));
    let mut count = 0.0;
    for (sheet, held) in whole {
        if rest <= 0.0 {
            break;
        }
        count += (rest / held).min(sheet.limit.map_or(f64::INFINITY, f64::from));
        rest -= all((sheet, held));
    }
    if rest > 0.0 { f64::INFINITY } else { count }
}

/// Returns the least whole number of sheets; all there can be for an infinite one.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "never negative, and too large a number becomes the largest"
)]
pub(super) fn rounded_up(sheets: f64) -> u32 {
    (sheets - ROUNDING).ceil() as u32
}
