//! What stands in the field of one page.

use crate::draw::line_kind::LineKind;
use crate::drawing::Item;

/// The contents of one page, in the page's frame.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sheet {
    /// What the page is, for its title line and for lists of pages.
    pub(super) heading: String,
    /// Positions of the pieces that are drawn on it.
    pub(super) pieces: Vec<usize>,
    /// Kinds of lines on it.
    pub(super) kinds: Vec<LineKind>,
    /// Pieces, at their true size.
    pub(super) drawn: Vec<Item>,
    /// Words about them.
    pub(super) words: Vec<Item>,
}
