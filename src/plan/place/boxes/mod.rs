//! Layouts of upright boxes: the best of several hundred simple ways.
//!
//! `pattern` repeats well-filled sheets; `guillotine`, `shelf`, `max_rects` and `exact` each fill one sheet; `pile` holds what is
//! left to place, `edge` turns an offcut's outline into obstacles, `strategy` lists what is tried, `simple` tries it and `score` says which is best.

mod edge;
mod exact;
mod guillotine;
mod max_rects;
mod pattern;
mod pile;
mod score;
mod shelf;
mod simple;
mod strategy;

pub(super) use simple::place;

use super::{Area, SheetKind};

/// A box on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Place {
    /// Position of its kind in [`Request::parts`](super::Request::parts).
    kind: usize,
    /// Where it lies after the turn.
    area: Area,
    /// Quarter turns clockwise, 0 to 3.
    quarters: u8,
}

/// One sheet, made once or more often.
#[derive(Debug, Clone, PartialEq, Eq)]
struct FilledSheet {
    kind: usize,
    runs: u32,
    places: Vec<Place>,
}

/// Boxes on sheets.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Layout {
    sheets: Vec<FilledSheet>,
    leftovers: Vec<u32>,
}

/// Returns the largest rectangles of a sheet that keep clear of its obstacles and inside its outline; they may overlap each other.
#[must_use]
pub fn free_areas(sheet: &SheetKind) -> Vec<Area> {
    let sheet = edge::sheet_as_obstacles(sheet);
    max_rects::Free::new(sheet.area, sheet.obstacles.iter().copied()).into_areas()
}
