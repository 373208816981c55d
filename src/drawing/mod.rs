//! The display list: what is to be seen, in millimetres, y down, without saying in which file format.
//!
//! Read [`Item`] first, then [`Paint`] and [`Asset`]. Artwork, page furniture, the calibration chart and pictures are all made
//! of the same [`Drawing`]; `emit` spells it in PDF, SVG or PNG. The pixels of pictures are read in [`Rows`].

mod asset;
mod item;
mod moved;
mod opaque;
mod paint;
mod printed;
mod profile;
mod rows;
mod shrunk;

pub use asset::{Asset, AssetContent, AssetIndex};
pub use item::{
    Drawing, FillRule, GlyphRun, Item, LineCap, LineJoin, PlacedGlyph, Stroke, Tag, Weight,
};
pub use moved::{moved, moved_all};
pub use paint::{Colour, Gradient, GradientStop, Paint};
pub use printed::{Printed, pixels_per_inch, printed};
pub use profile::Profile;
pub use rows::{PixelForm, Rows};
pub use shrunk::{png_file, shrink};
