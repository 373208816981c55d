//! The printer and the cutting machine.

use crate::diagnostic::Origin;
use crate::length::{Length, Size};

/// A value for each of the four sides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Edges<T> {
    /// At the top.
    pub top: T,
    /// At the right.
    pub right: T,
    /// At the bottom.
    pub bottom: T,
    /// At the left.
    pub left: T,
}

impl<T: Copy> Edges<T> {
    /// Returns the same value on all four sides.
    #[must_use]
    pub const fn all(value: T) -> Self {
        Self {
            top: value,
            right: value,
            bottom: value,
            left: value,
        }
    }
}

/// A sheet size as a limit: it holds for the sheet either way round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SheetLimit {
    /// Shorter side.
    pub short: Size,
    /// Longer side.
    pub long: Size,
}

/// A home printer.
#[derive(Debug, Clone, PartialEq)]
pub struct PrinterProfile {
    /// Name for people; `None` where no profile is named in the project, so that nothing is known and the defaults hold.
    pub name: Option<String>,
    /// Widths of the bands it cannot print, seen from the printed face.
    pub margins: Edges<Length>,
    /// Largest sheet it takes.
    pub largest: Option<SheetLimit>,
    /// Smallest sheet it takes.
    pub smallest: Option<SheetLimit>,
    /// Heaviest stock it takes, in grams per square metre.
    pub heaviest_gsm: Option<f64>,
    /// Where the project names it.
    pub origin: Option<Origin>,
}

impl Default for PrinterProfile {
    /// A printer nothing is known of: margins of 1/4 in, which published printer manuals agree to be safe.
    fn default() -> Self {
        Self {
            name: None,
            margins: Edges::all(Length::from_inch_fraction(1, 4)),
            largest: None,
            smallest: None,
            heaviest_gsm: None,
            origin: None,
        }
    }
}

/// A cutting machine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutterProfile {
    /// Name for people; `None` where no profile is named in the project, so that nothing is known and the defaults hold.
    pub name: Option<String>,
    /// Widths of the bands its blade cannot reach, seen from the face that lies up.
    pub unreachable: Edges<Length>,
    /// Largest sheet it takes.
    pub largest: Option<SheetLimit>,
    /// Where the project names it.
    pub origin: Option<Origin>,
}

impl Default for CutterProfile {
    /// A machine nothing is known of: no outline within 1/4 in of the sheet's edge (common practice, no source), which also keeps
    /// blades off an edge that may be cut 2 mm short of its format.
    fn default() -> Self {
        Self {
            name: None,
            unreachable: Edges::all(Length::from_inch_fraction(1, 4)),
            largest: None,
            origin: None,
        }
    }
}
