//! The maker's own list of paper on hand, which all projects draw from.

use super::Axis;
use crate::diagnostic::Origin;
use crate::geometry::Outline;
use crate::length::{LengthStyle, Size};

/// The maker's own list of paper on hand.
#[derive(Debug, Clone, PartialEq)]
pub struct PaperList {
    /// Kinds of paper, in file order.
    pub stocks: Vec<ListedStock>,
    /// Offcuts, in file order.
    pub offcuts: Vec<ListedOffcut>,
    /// Jobs whose paper has been taken off the list.
    pub booked: Vec<BookedJob>,
    /// How the file spells lengths.
    pub lengths: LengthStyle,
}

/// A kind of paper in the list. Projects that use it give it the same id.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedStock {
    /// Declared id.
    pub id: String,
    /// Sheet width as it lies.
    pub width: Size,
    /// Sheet height as it lies.
    pub height: Size,
    /// Whole sheets on hand; `None` is as many as needed.
    pub sheets: Option<u32>,
    /// What the maker wrote beside it.
    pub note: Option<String>,
    /// Where it is listed.
    pub origin: Origin,
}

/// An offcut in the list. It lies the way its whole sheet does.
#[derive(Debug, Clone, PartialEq)]
pub struct ListedOffcut {
    /// Declared id.
    pub id: String,
    /// Position of the kind of paper in [`PaperList::stocks`].
    pub of: usize,
    /// Width as it lies.
    pub width: Size,
    /// Height as it lies.
    pub height: Size,
    /// Its edge if it is no rectangle.
    pub outline: Option<Outline>,
    /// Direction of the fibres where it is not that of the whole sheet.
    pub grain: Option<Axis>,
    /// How many there are.
    pub sheets: u32,
    /// A date as the maker wrote it.
    pub date: Option<String>,
    /// What the maker wrote beside it.
    pub note: Option<String>,
    /// Where it is listed.
    pub origin: Origin,
}

/// A job whose paper has been taken off the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BookedJob {
    /// SHA-256 of its `plan.json`, in hexadecimal.
    pub plan_sha256: String,
    /// Name of the job.
    pub job: String,
}
