//! Sheets that no layout can go below.
//!
//! [`sheets`] is the whole interface. `content` says what of a [`Request`] a bound sees: of each sheet its box and what is free of
//! it, of each part its area, a rectangle and a disc inside it, which `inscribed` finds. `choice` asks for every choice of whole
//! sheets. `dual` holds the functions by which lengths are stretched and shrunk so that what cannot lie side by side counts as if it
//! filled the sheet, and `stretched` applies them to boxes. `count` turns what parts are worth into sheets.
//!
//! Every bound here is a *valuation*: each part is worth something, and what lies on one sheet is never worth more than that sheet
//! can hold. A valuation stays true whatever is added to a request, and bounds are the greatest over valuations that depend on each
//! part and each kind of sheet alone. That is why another part never lowers the bound and another sheet never raises it.

mod choice;
mod content;
mod count;
mod dual;
mod inscribed;
mod stretched;

use super::{Layout, Request};
use choice::{MOST_WHOLE_KINDS, area_sheets, least_over_choices};
use content::{Content, Sheet};
use count::{rounded_up, supply};

/// Whole sheets that no layout can go below which leaves nothing out. Offcuts are not counted: they are taken as used up entirely.
///
/// Parts that fit on no sheet at all are not counted either. Where there are fewer sheets than the parts need, both numbers are all
/// the whole sheets there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bound {
    /// From areas alone.
    pub area: u32,
    /// From areas and from what cannot lie side by side; at least [`area`](Self::area).
    pub better: u32,
}

/// Returns the least number of whole sheets, for areas and with more thought.
///
/// # Examples
///
/// ```
/// use sheetwright::plan::place::{Area, Best, Cutting, Effort, PartKind, Request, SheetKind, TurnSet, bound};
///
/// let sheet = SheetKind::of(Area::from_edges(0, 0, 100, 100));
/// let part = PartKind::boxed(60, 51, 9, TurnSet::QUARTERS);
/// let request = Request {
///     sheets: vec![sheet],
///     parts: vec![part],
///     cutting: Cutting::EdgeToEdge { reach_nm: None },
///     best: Best::FewestSheets,
///     effort: Effort::Usual,
/// };
/// // Nine times 3060 are 27 540: three sheets of 10 000. But however they are turned, two of them do not fit side by side.
/// assert_eq!((bound::sheets(&request).area, bound::sheets(&request).better), (3, 9));
/// ```
#[must_use]
pub fn sheets(request: &Request) -> Bound {
    let content = Content::new(request);
    let whole: Vec<&Sheet> = content.sheets.iter().filter(|s| !s.is_offcut).collect();
    let there_are = supply(&whole);
    let area = rounded_up(area_sheets(&content)).min(there_are);
    let better = if whole.len() <= MOST_WHOLE_KINDS {
        rounded_up(least_over_choices(&content, &whole)).min(there_are)
    } else {
        area
    };
    Bound {
        area,
        better: better.max(area),
    }
}

/// Returns the bound for what `layout` holds: the same request without what found no place.
#[must_use]
pub fn sheets_for(request: &Request, layout: &Layout) -> Bound {
    let mut placed = request.clone();
    for (part, left) in placed.parts.iter_mut().zip(&layout.leftovers) {
        part.demand = part.demand.saturating_sub(*left);
    }
    sheets(&placed)
}

#[cfg(test)]
mod tests;
