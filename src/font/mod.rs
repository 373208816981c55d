//! The one font that every file carries, in two weights, and lines of text set in it.
//!
//! Read [`Face`] first, then [`run`], which sets a line, and [`Subset`], which is what a PDF embeds. Text is brought to
//! NFC and set one glyph for each character, from left to right, without shaping or kerning. What the font cannot show is
//! refused by name, never left blank.

mod face;
mod run;
mod subset;

pub use face::Face;
pub use run::{MissingGlyphs, missing, named, normalise, run, width_mm};
pub use subset::{Subset, subset};
