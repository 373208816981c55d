//! Shapes in millimetres, y down: outlines, where they are placed, and how they meet.
//!
//! Read [`Pose`] and [`Outline`] first, then [`shape`] and [`strip`], which make the common outlines. [`path_data`] reads and writes the
//! text form of a path. The rest asks questions of finished outlines: [`offset`], [`distance`], [`overlap`], [`clip_line`],
//! [`common()`], [`cut_apart()`] and [`web`]; [`areas`] is plain sums of flat areas; [`space`] has the places of folded panels; [`FreeSpace`] finds the rectangles that are left beside them. `pen`, `arc`, `curve`, `ring`, `polygon`, `crossing` and `sweep` are the arithmetic below them.
//!
//! Paths are kurbo's; a path is moved by kurbo's own `Affine * &BezPath` and turned round by [`reversed`].

mod arc;
pub mod areas;
pub mod clip_line;
mod common;
mod crossing;
mod curve;
mod cut_apart;
pub mod distance;
mod free_space;
pub mod offset;
mod outline;
mod outline_error;
pub mod overlap;
pub mod path_data;
mod pen;
mod polygon;
mod pose;
mod ring;
pub mod shape;
pub mod space;
pub mod strip;
mod sweep;
pub mod web;

pub use arc::{Way, arc_to};
pub use common::common;
pub use cut_apart::cut_apart;
pub use free_space::{FreeSpace, is_at_least};
pub use outline::Outline;
pub use outline_error::OutlineError;
pub use pose::{Pose, mirror_about_x, unit_square_onto};
pub use ring::{flattened, reversed};
pub use sweep::near_pairs;
