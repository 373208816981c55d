//! Why a picture is not used.

use crate::diagnostic::{Diagnostic, counted};

/// Why nothing is said of a picture.
#[derive(Debug, Clone, PartialEq)]
pub enum Refusal {
    /// Can occur if fewer marks are seen than a map needs, and nothing tells why.
    TooFew {
        /// Marks that were found.
        found: usize,
        /// Marks that are needed.
        needed: usize,
    },
    /// Can occur if there are rings whose edges run into each other.
    Blurred {
        /// Such rings.
        rings: usize,
    },
    /// Can occur if too many of the marks would lie outside the picture.
    Cropped {
        /// Their ids.
        outside: Vec<String>,
    },
    /// Can occur if too many of the marks are not seen where they must be.
    Covered {
        /// Their ids.
        unseen: Vec<String>,
        /// Marks that were found.
        found: usize,
    },
    /// Can occur if there are marks, but they do not lie as on the page.
    WrongPage {
        /// Marks that were found.
        found: usize,
    },
    /// Can occur if the marks lie as on the page seen in a mirror.
    Mirrored,
    /// Can occur if the page is in the picture twice.
    TwoSheets,
    /// Can occur if the marks are far larger or smaller than the file's density makes them.
    Density {
        /// Pixels to the inch that the file states.
        stated_dpi: f64,
        /// Pixels to the inch with which the page would be printed at its size.
        seen_dpi: f64,
    },
    /// Can occur if the marks that tell one page from another are not seen.
    WhichPage,
}

impl Refusal {
    /// Returns the refusal as an error that says what to do.
    #[must_use]
    pub fn to_diagnostic(&self) -> Diagnostic {
        Diagnostic::error(self.code(), self.message()).hint(self.hint())
    }

    fn code(&self) -> &'static str {
        match self {
            Self::TooFew { .. } => "scan.too-few",
            Self::Blurred { .. } => "scan.blurred",
            Self::Cropped { .. } => "scan.cropped",
            Self::Covered { .. } => "scan.covered",
            Self::WrongPage { .. } => "scan.wrong-page",
            Self::Mirrored => "scan.mirrored",
            Self::TwoSheets => "scan.two-sheets",
            Self::Density { .. } => "scan.density",
            Self::WhichPage => "scan.which-page",
        }
    }

    fn message(&self) -> String {
        match self {
            Self::TooFew { found, needed } => format!(
                "{} found in the picture, at least {needed} are needed",
                counted(count(*found), "mark")
            ),
            Self::Blurred { rings } => format!(
                "the picture is too blurred: {} cannot be measured",
                counted(count(*rings), "ring")
            ),
            Self::Cropped { outside } => {
                format!("marks lie outside the picture: {}", outside.join(", "))
            }
            Self::Covered { unseen, found } => format!(
                "only {} found; not seen where they should be: {}",
                counted(count(*found), "mark"),
                unseen.join(", ")
            ),
            Self::WrongPage { found } => format!(
                "{} found, but they do not lie as on this page",
                counted(count(*found), "mark")
            ),
            Self::Mirrored => "the picture is mirrored: left and right are swapped".to_owned(),
            Self::TwoSheets => "the page is in the picture twice".to_owned(),
            Self::Density {
                stated_dpi,
                seen_dpi,
            } => format!(
                "the picture states {stated_dpi:.0} dpi, but the marks are as large as at {seen_dpi:.0} dpi"
            ),
            Self::WhichPage => {
                "the marks that tell one side of the sheet from the other are not seen".to_owned()
            }
        }
    }

    fn hint(&self) -> &'static str {
        match self {
            Self::TooFew { .. } => {
                "scan the whole printed side at 300 dpi, its marks printed dark and left uncovered"
            }
            Self::Blurred { .. } => {
                "lay the sheet flat on the glass, or hold the camera still and focus on the sheet"
            }
            Self::Cropped { .. } => {
                "take the whole sheet into the picture, with a little of what lies around it"
            }
            Self::Covered { .. } => {
                "uncover the marks, or print the sheet again if they came out with gaps"
            }
            Self::WrongPage { .. } => {
                "choose the file and the page that this sheet was printed from, or scan the other side"
            }
            Self::Mirrored => {
                "switch mirroring off in the scanner's program, and lay the printed side on the glass"
            }
            Self::TwoSheets => "scan one sheet at a time",
            Self::Density { .. } => {
                "state the density that you scanned with; if it is as the picture says, the page was not printed at 100 %"
            }
            Self::WhichPage => "scan again with the marks in the middle and at the top uncovered",
        }
    }
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_refusal_says_both_numbers_and_what_to_do() {
        let lie = Refusal::Density {
            stated_dpi: 300.0,
            seen_dpi: 599.6,
        };
        let told = lie.to_diagnostic();
        assert!(told.is_error() && told.hints.len() == 1);
        assert_eq!(
            told.message,
            "the picture states 300 dpi, but the marks are as large as at 600 dpi"
        );
        let few = Refusal::TooFew {
            found: 1,
            needed: 3,
        };
        assert_eq!(
            few.to_diagnostic().message,
            "1 mark found in the picture, at least 3 are needed"
        );
    }
}
