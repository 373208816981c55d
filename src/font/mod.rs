//! The one font that every file carries, in two weights, and lines of text set in it or in a font of the maker's.
//!
//! Read [`Face`] first, then [`run`], which sets a line, and [`Subset`], which is what a PDF embeds. What stands on pages is brought to
//! NFC and set one glyph for each character, from left to right, without shaping or kerning. What makers print on their pieces is set by a
//! [`Shaper`], in any font, as its script asks for. What a font cannot show is refused by name, never left blank.

mod composite;
mod face;
mod run;
mod shaper;
mod subset;

pub use face::Face;
pub use run::{MissingGlyphs, missing, named, normalise, run, width_mm};
pub use shaper::{FontFault, ShapedGlyph, ShapedLine, Shaper};
pub use subset::{Subset, subset};
