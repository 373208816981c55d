//! The printer, the cutting machine and the hand trimmer.

use super::{Calibration, CutterCalibration};
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
    /// Where it puts what it prints; `None` where that was never measured.
    pub calibration: Option<Calibration>,
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
            calibration: None,
            origin: None,
        }
    }
}

/// A cutting machine.
#[derive(Debug, Clone, PartialEq)]
pub struct CutterProfile {
    /// Name for people; `None` where no profile is named in the project, so that nothing is known and the defaults hold.
    pub name: Option<String>,
    /// Widths of the bands its blade cannot reach, seen from the face that lies up.
    pub unreachable: Edges<Length>,
    /// Largest sheet it takes.
    pub largest: Option<SheetLimit>,
    /// Where it cuts what a file asks for; `None` where that was never measured.
    pub calibration: Option<CutterCalibration>,
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
            calibration: None,
            origin: None,
        }
    }
}

/// A hand trimmer: a blade that cuts from edge to edge, with a fence beside it that sets the width of what is held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TrimmerProfile {
    /// Name for people; `None` where no profile is named in the project, so that nothing is known and the defaults hold.
    pub name: Option<String>,
    /// Longest cut it makes in one stroke.
    pub reach: Size,
    /// Height of the greatest stack it cuts through.
    pub stack: Size,
    /// Finest division of the scale its fence is set by; `None` where that is not known, and then nothing is rounded to it.
    pub division: Option<Size>,
    /// Least width that can be held between fence and blade with fingers clear.
    pub least_held: Length,
    /// Where the project names it.
    pub origin: Option<Origin>,
}

impl TrimmerProfile {
    /// Returns how many sheets of a thickness it cuts at once, at least 1; one alone where the thickness is not known.
    #[must_use]
    pub fn sheets_at_once(&self, caliper: Option<Size>) -> u32 {
        let fitting = caliper.map_or(1, |c| self.stack.length().nm() / c.length().nm());
        u32::try_from(fitting.max(1)).unwrap_or(u32::MAX)
    }
}

impl Default for TrimmerProfile {
    /// A trimmer nothing is known of: cuts of 12 in, stacks of 1 mm (ten sheets of office paper, three or four of card), nothing
    /// narrower than 1 in held. Common practice, no source.
    fn default() -> Self {
        let size = |length| Size::new(length).expect("the defaults are above zero");
        Self {
            name: None,
            reach: size(Length::from_inch_fraction(12, 1)),
            stack: size(Length::from_mm(1)),
            division: None,
            least_held: Length::from_inch_fraction(1, 1),
            origin: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stack_holds_whole_sheets_and_one_at_least() {
        let size = |um| Size::new(Length::from_um(um));
        let trimmer = TrimmerProfile::default();
        // 1 mm over 0.1 mm, over 0.27 mm (3.7 sheets), over 2 mm.
        assert_eq!(trimmer.sheets_at_once(size(100)), 10);
        assert_eq!(trimmer.sheets_at_once(size(270)), 3);
        assert_eq!(trimmer.sheets_at_once(size(2000)), 1);
        assert_eq!(trimmer.sheets_at_once(None), 1);
    }
}
