//! Patterns drawn by code, as vectors at true size: stripes, checks, dots, leaves.
//!
//! [`KINDS`] lists them. A [`Kind`] draws a [`Field`] from [`Settings`]: a ground, and on it layers of motifs that come again in even steps.
//! A field has no end; [`Layer::shifts`] says where its motifs lie on a given box. One file each.
//!
//! # The frame of a field
//!
//! Millimetres, y down, the origin where a repeat begins: the middle of the first stripe, the corner of the first square. A field stands
//! upright; whoever lays it on paper turns and shifts it as a whole. Motifs are whole: what hangs over the edge of a repeat belongs to one
//! repeat alone and is never cut there, so that no seam can show.

mod basket_weave;
mod check;
mod checkerboard;
mod chevron;
mod dots;
mod field;
mod gingham;
mod kind;
mod leaf;
mod leaf_scatter;
mod motif;
mod palette;
mod pinstripe;
mod plaid;
mod scallop;
mod scattered_dots;
mod set;
mod spread;
mod stripe;
mod thread;
mod thread_list;
mod words;
#[cfg(test)]
mod woven;

pub use field::{Field, Layer, REACH_MM, Steps};
pub use kind::{Kind, Refusal, Settings, Takes};
pub use palette::{PALETTES, Palette, Role, contrast, luminance, palette_named};
pub use set::{Member, SETS, Scale, Set};

/// All patterns, in the order they are listed to people.
pub const KINDS: &[&Kind] = &[
    &stripe::STRIPE,
    &pinstripe::PINSTRIPE,
    &check::CHECK,
    &checkerboard::CHECKERBOARD,
    &gingham::GINGHAM,
    &plaid::PLAID,
    &dots::DOTS,
    &scattered_dots::SCATTERED_DOTS,
    &chevron::CHEVRON,
    &basket_weave::BASKET_WEAVE,
    &scallop::SCALLOP,
    &leaf_scatter::LEAF_SCATTER,
    &words::WORDS,
];

/// Returns the pattern of this name.
#[must_use]
pub fn named(name: &str) -> Option<&'static Kind> {
    KINDS.iter().copied().find(|kind| kind.name == name)
}
