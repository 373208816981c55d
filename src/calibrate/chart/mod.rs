//! The chart that is printed, then read by eye or scanned: where everything on it lies, and what it looks like.
//!
//! Read [`Chart`] first: it is the one table of the numbers that are drawn here and read back elsewhere. [`Target`], [`Vernier`],
//! [`Ladder`], [`Station`], [`CheckRule`], [`RulerLine`] and [`EdgeDistance`] are its rows. The grid, the verniers and the
//! stations are our own, made of the surveyor's vernier and the trade's register mark.
//!
//! Frames: the front in the page frame of the front, [`Chart::back`] in the page frame of the back. A station is given in front
//! view; [`Station::on_back`] says where it lies on the back page, which is turned over like a page of a book.

mod face;
mod grid;
mod ink;
mod project;
mod rows;
mod scales;
mod table;
#[cfg(test)]
mod tests;
mod words;

pub use project::{project, project_through};
pub use rows::{CheckRule, EdgeDistance, Ladder, RulerLine, Station, Target, Vernier};
pub use table::{Chart, ChartEdition};

/// Which faces of the sheet are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChartFaces {
    /// The front alone, without duplex stations.
    Front,
    /// Both, with duplex stations.
    Both,
}
