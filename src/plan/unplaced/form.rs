//! The padded box of a piece as it may be turned, and where on a sheet it would lie.

use super::super::demand::Kind;
use super::super::draft::box_nm;
use super::super::ground::Ground;
use super::super::place::{Area, SheetKind, TurnSet, free_areas};
use crate::length::Length;
use crate::math::Angle;

/// Returns the largest rectangles of a sheet that keep clear of what stands on it.
pub(super) fn free_of(ground: &Ground) -> Vec<Area> {
    free_areas(&SheetKind {
        outline: ground.outline.clone(),
        obstacles: ground.obstacles.clone(),
        ..SheetKind::of(ground.area)
    })
}

/// Returns the box turned by quarters as it fits into one of the areas.
pub(super) fn form_that_fits(kind: &Kind, turns: TurnSet, areas: &[Area]) -> Option<(i64, i64)> {
    forms(kind, turns)
        .into_iter()
        .find(|(w, h)| areas.iter().any(|a| *w <= a.width_nm && *h <= a.height_nm))
}

/// Returns the box as it may be turned by quarters, upright if no turn is allowed, and the size of the area it is least too large for.
pub(super) fn nearest_miss(
    kind: &Kind,
    turns: TurnSet,
    areas: &[Area],
) -> ((i64, i64), (i64, i64)) {
    let mut forms = forms(kind, turns);
    if forms.is_empty() {
        forms.push(box_nm(kind));
    }
    let pairs = forms.iter().flat_map(|form| {
        areas
            .iter()
            .map(move |area| (*form, (area.width_nm, area.height_nm)))
    });
    let missing =
        |(form, has): &((i64, i64), (i64, i64))| (form.0 - has.0).max(0) + (form.1 - has.1).max(0);
    pairs.min_by_key(missing).unwrap_or((forms[0], (0, 0)))
}

/// Returns whether the box fits into one of the areas in any turn it may take.
pub(super) fn fits(kind: &Kind, turns: TurnSet, areas: &[Area]) -> bool {
    form_that_fits(kind, turns, areas).is_some()
        || (turns.is_any() && slant_that_fits(kind, areas).is_some())
}

/// Returns the least turn by whole degrees between the quarters in which the box fits into one of the areas.
pub(super) fn slant_that_fits(kind: &Kind, areas: &[Area]) -> Option<u32> {
    let mm = |nm: i64| Length::from_nm(nm).to_mm();
    let (width, height) = box_nm(kind);
    let (width, height) = (mm(width), mm(height));
    let lies_in = |deg: &u32| {
        let (sin, cos) = Angle::from_deg(f64::from(*deg)).sin_cos();
        let (across, down) = (width * cos + height * sin, width * sin + height * cos);
        let holds = |area: &Area| across <= mm(area.width_nm) && down <= mm(area.height_nm);
        areas.iter().any(holds)
    };
    (1..90).find(lies_in)
}

fn forms(kind: &Kind, turns: TurnSet) -> Vec<(i64, i64)> {
    let (width, height) = box_nm(kind);
    let upright = turns.upright().map(|_| (width, height));
    let sideways = turns.sideways().map(|_| (height, width));
    upright.into_iter().chain(sideways).collect()
}
