//! Targets and sheet edges found in pictures of printed sheets.
//!
//! 1. [`Picture::decode`] reads a scan or a photo as grey values.
//! 2. [`find_targets`] finds the ring-and-quadrant targets in it: `candidates` looks for round edges in a small copy (`reduced`),
//!    `ring` measures them at full size by fitting an `ellipse` to either edge, and `class` reads the quadrants.
//! 3. [`identify`] finds out which target is which mark: `guess` makes a first map of a few marks, `agreement` gathers what fits it. A
//!    picture that does not show the page once and clearly is a [`Refusal`].
//! 4. [`sheet_edges`] finds the edges of the paper near where the marks put them, and says which of them are not to be trusted.
//!
//! What a scanner shows too long or out of square is the same for all of this; `own_error` says how much it may be.

mod agreement;
mod candidates;
mod class;
mod course;
mod density;
#[cfg(test)]
mod drawn;
mod edges;
mod ellipse;
mod guess;
mod identify;
mod own_error;
mod picture;
mod profile;
mod reduced;
mod refusal;
mod ring;
mod side_fit;
mod target;
#[cfg(test)]
mod tests;
mod tone;

pub use agreement::Kind;
pub use edges::{Edge, EdgeFault, SheetEdges, Side, sheet_edges};
pub use identify::{Found, Identified, Missing, identify, identify_one_of};
pub use own_error::{KNOWN_STRETCH_SD, SHEAR_SD_RAD, STRETCH_SD};
pub use picture::Picture;
pub use refusal::Refusal;
pub use target::{ScaleHint, Target, Targets, find_targets};
