//! Shapes in millimetres, y down: outlines, where they are placed, and how they meet.
//!
//! Read [`Pose`] and [`Outline`] first, then [`shape`], which makes the common outlines. [`path_data`] reads and writes the
//! text form of a path; [`clip_line`] runs a line from edge to edge. `arc`, `curve`, `ring`, [`crossing`] and `sweep` are the arithmetic below them.
//!
//! Paths are kurbo's; a path is moved by kurbo's own `Affine * &BezPath` and turned round by [`reversed`].

mod arc;
pub mod clip_line;
pub mod crossing;
mod curve;
mod outline;
mod outline_error;
pub mod path_data;
mod pose;
mod ring;
pub mod shape;
mod sweep;

pub use outline::Outline;
pub use outline_error::OutlineError;
pub use pose::{Pose, mirror_about_x};
pub use ring::reversed;
pub use sweep::near_pairs;
