//! What is made, how often and how.

use crate::diagnostic::Origin;
use crate::length::{Length, LengthStyle, Size};

/// The job as a whole.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Job {
    /// Name for captions and titles.
    pub name: String,
    /// Date as the user wrote it, for documents; nothing here reads a clock.
    pub date: Option<String>,
    /// The way of cutting.
    pub cut_by: CutBy,
    /// Which layout is the best.
    pub best: Best,
    /// Pieces cut by machine stand in straight rows, for those who weed by hand.
    pub rows: bool,
    /// How lengths are shown to people.
    pub lengths: LengthStyle,
    /// Least distance between the outlines of two pieces on a sheet.
    pub gap: Length,
    /// The least size of an offcut that is kept, lying or standing.
    pub least_offcut: (Size, Size),
    /// When register marks are printed.
    pub marks: MarkUse,
    /// Whether fine scales are printed beside register marks, for a prick test on a machine without a camera.
    pub mark_scales: bool,
    /// Whether printed pages have a caption and a check rule where there is room.
    pub caption: bool,
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

/// Which layout is the best, after as little as possible is left over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Best {
    /// Fewest whole sheets, then lowest price, then largest rest in one piece, then fewest settings of a fence.
    FewestSheets,
    /// Fewest different sheets, for at most a twelfth more sheets than the fewest found.
    FewestLayouts,
    /// One whole copy of the job on each sheet where it fits.
    KitPerSheet,
}

impl Best {
    /// All of them, with the words that stand for them in project files and reports.
    pub const NAMES: &[(&str, Self)] = &[
        ("fewest sheets", Self::FewestSheets),
        ("fewest layouts", Self::FewestLayouts),
        ("one kit a sheet", Self::KitPerSheet),
    ];

    /// The words for it.
    ///
    /// # Examples
    ///
    /// ```
    /// use sheetwright::project::Best;
    ///
    /// assert_eq!(Best::FewestLayouts.name(), "fewest layouts");
    /// ```
    #[must_use]
    pub fn name(self) -> &'static str {
        let name = Self::NAMES.iter().find(|(_, best)| *best == self);
        name.expect("every choice has its words").0
    }
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
