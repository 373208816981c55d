//! Bounds for every choice of whole sheets.

use super::content::{Content, Sheet};
use super::count::needed;
use super::stretched;

/// Kinds of whole sheets that are told apart; with more of them only areas count, for every subset is looked at.
pub(super) const MOST_WHOLE_KINDS: usize = 4;

/// Returns how many sheets the areas of all items fill, and which part of one.
pub(super) fn area_sheets(content: &Content) -> f64 {
    let need: f64 = content.items.iter().map(|i| i.demand * i.area_nm2).sum();
    let held: Vec<f64> = content.sheets.iter().map(|s| s.free_nm2).collect();
    needed(need, &content.sheets, &held)
}

/// Returns the least bound over all choices of whole sheets that hold every item.
///
/// What is true of fewer kinds need not hold for more, and the least of all is true of any of them. So another kind of sheet, which
/// adds choices, never raises the bound.
pub(super) fn least_over_choices(content: &Content, whole: &[&Sheet]) -> f64 {
    let choices = 1..1_u32 << whole.len();
    let bounds = choices.filter_map(|choice| {
        let is_chosen = |at: usize| choice >> at & 1 == 1;
        let chosen = whole.iter().enumerate().filter(|(at, _)| is_chosen(*at));
        let chosen: Vec<Sheet> = chosen.map(|(_, sheet)| (*sheet).clone()).collect();
        with_only(content, chosen)
    });
    bounds.min_by(f64::total_cmp).unwrap_or(0.0)
}

/// Returns the bound with these whole sheets and all offcuts; `None` if they do not hold every item.
fn with_only(content: &Content, whole: Vec<Sheet>) -> Option<f64> {
    let offcuts = content.sheets.iter().filter(|s| s.is_offcut).cloned();
    let here = Content {
        sheets: offcuts.chain(whole).collect(),
        items: content.items.clone(),
    };
    here.holds_every_item().then(|| {
        let bounds = [area_sheets(&here), discs_apart(&here)];
        bounds.into_iter().fold(stretched::bound(&here), f64::max)
    })
}

/// Returns how many sheets it takes if no two of the largest discs inside items lie on one.
fn discs_apart(content: &Content) -> f64 {
    let room = content.sheets.iter().map(two_discs_nm);
    let room = room.fold(0.0, f64::max);
    let too_large = content.items.iter().filter(|i| i.disc_nm > room);
    let need = too_large.map(|i| i.demand).sum();
    needed(need, &content.sheets, &vec![1.0; content.sheets.len()])
}

/// Returns the largest diameter that fits twice into a rectangle: discs in opposite corners that touch.
///
/// Their centres are w - d and h - d apart, across and down, and d from each other: (w - d)² + (h - d)² = d². If one side is more
/// than twice the other, the short side decides.
fn two_discs_nm(sheet: &Sheet) -> f64 {
    let (w, h) = (sheet.width_nm as f64, sheet.height_nm as f64);
    (w + h - (2.0 * w * h).sqrt()).min(w).min(h)
}
