//! Which part goes where: the door behind which layout engines stand.
//!
//! [`Placer`] is the door. It knows nothing of paper: a [`Request`] holds sheets and parts in whole nanometres, a [`Layout`] holds
//! places. Everything in a request is *padded*: margins, gaps, bleed, grain, patterns and marks have been turned into areas,
//! obstacles, box sizes, outlines and allowed turns before, so that parts may touch each other, the area's edge and obstacles.
//! [`check`](super::check()) judges the finished plan by the true outlines afterwards. So another engine needs no more than this
//! module's types.
//!
//! Read `request`, `layout` and `watch`; [`bound`] tells what no layout can go below. [`Engine`] is what stands behind the door: it
//! asks `trim` if sheets are to come apart by cuts from edge to edge, `nest` if a blade follows outlines, and `boxes` for straight
//! rows, and has `spares` laid into what is left free, as far as the sheet still comes `apart`. Which of many filled sheets to take,
//! `cover` says, by means of linear programs (`simplex`).

mod apart;
mod area;
pub mod bound;
mod boxes;
mod cover;
mod engine;
mod layout;
mod nest;
mod request;
mod simplex;
mod spares;
mod trim;
mod turn_set;
mod watch;

pub use area::{Area, nm_above, nm_below};
pub use boxes::free_areas;
pub use engine::Engine;
pub use layout::{FilledSheet, Layout, Place, Placed};
pub use request::{Cutting, Effort, PartKind, Request, Shape, SheetKind};
pub use turn_set::TurnSet;
pub use watch::{NoWatch, Progress, Watch};

pub use crate::project::Best;

/// Lays parts out on sheets.
///
/// An engine must return the same layout for the same request, whatever the number of threads, as long as it is not stopped. Its
/// work is bounded by [`Effort`], never by time.
pub trait Placer {
    /// Returns the best layout found; always a whole one, in which what found no place is counted as left over. No sheet is opened
    /// for spares alone.
    fn place(&self, request: &Request, watch: &dyn Watch) -> Placed;
}
