//! Targets and sheet edges found in pictures of printed sheets.
//!
//! 1. [`Picture::decode`] reads a scan or a photo as grey values.
//! 2. [`find_targets`] finds the ring-and-quadrant targets in it: `candidates` looks for round edges in a small copy (`reduced`),
//!    `ring` measures them at full size by fitting an `ellipse` to either edge, and `class` reads the quadrants.

mod candidates;
mod class;
mod density;
mod ellipse;
mod picture;
mod reduced;
mod ring;
mod target;

pub use picture::Picture;
pub use target::{ScaleHint, Target, Targets, find_targets};
