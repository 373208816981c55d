//! What is made, how often and how.

use crate::diagnostic::Origin;
use crate::length::{Length, LengthStyle};

/// The job as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// Name for captions and titles.
    pub name: String,
    /// Date as the user wrote it, for documents; nothing here reads a clock.
    pub date: Option<String>,
    /// The way of cutting.
    pub cut_by: CutBy,
    /// How lengths are shown to people.
    pub lengths: LengthStyle,
    /// Least distance between the outlines of two pieces on a sheet.
    pub gap: Length,
    /// When register marks are printed.
    pub marks: MarkUse,
    /// How a sheet is turned over for its back page.
    pub turn_over: TurnOver,
    /// A hair line on printed outlines for those who cut with scissors.
    pub hand_lines: bool,
    /// Where the job table stands.
    pub origin: Origin,
}

/// The way of cutting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CutBy {
    /// A cutting machine follows the cut files.
    Machine,
    /// A person cuts edge to edge with a trimmer.
    Trimmer,
}

/// When register marks are printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkUse {
    /// On sheets that are both printed and cut by machine.
    Auto,
    /// On every printed sheet.
    Always,
    /// Nowhere.
    Never,
}

/// How a sheet is turned over for its back page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TurnOver {
    /// Like the page of a book: left and right change places.
    LeftRight,
    /// Head over heels: top and bottom change places.
    TopBottom,
}
