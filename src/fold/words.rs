//! How findings name things and lengths.

use kurbo::Point;

use crate::length::{Length, LengthStyle, MM_PER_INCH};
use crate::math::round_to;

/// Hundredths: finer than anyone measures paper.
const STEPS_PER_MM: u32 = 100;

/// How a member and its panels are called, and how lengths are shown.
#[derive(Debug, Clone, Copy)]
pub(super) struct Words<'a> {
    member: &'a str,
    style: LengthStyle,
}

impl<'a> Words<'a> {
    pub(super) fn new(member: &'a str, style: LengthStyle) -> Self {
        Self { member, style }
    }

    /// The member's name in quotes.
    pub(super) fn member(&self) -> String {
        format!("\"{}\"", self.member)
    }

    /// A panel's full name in quotes.
    pub(super) fn panel(&self, name: &str) -> String {
        format!("\"{}:{name}\"", self.member)
    }

    /// A measured length.
    pub(super) fn show(&self, mm: f64) -> String {
        show(mm, self.style)
    }

    /// A point of the piece, from its top left corner.
    pub(super) fn place(&self, p: Point) -> String {
        format!("{}, {}", show(p.x, self.style), show(p.y, self.style))
    }
}

/// Returns a measured length as it is shown to people: hundredths of a millimetre, or thousandths of an inch with them.
pub(super) fn show(mm: f64, style: LengthStyle) -> String {
    let rounded = round_to(mm, STEPS_PER_MM);
    let metric = Length::nearest_mm(rounded).display(LengthStyle::Millimetres);
    match style {
        LengthStyle::Millimetres => metric,
        LengthStyle::InchFractions | LengthStyle::InchDecimals => {
            format!("{} in ({metric})", round_to(mm / MM_PER_INCH, 1000))
        }
    }
}
