//! The marks of a printed sheet, read in a picture instead of typed.

use kurbo::Size;

use super::photo::{self, AS_SOLD_MM, BY_RULER_MM, KnownSheet};
use super::scanned::{self, ScanScale};
use super::{MarkReading, PrintedSheet};
use crate::diagnostic::{Diagnostic, Warned};
use crate::fit::Spread;
use crate::plan::{Mark, MarkClass};
use crate::scan::Picture;

/// Marks read in a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Pictured {
    /// Where they are on the sheet as it lies.
    pub readings: Vec<MarkReading>,
    /// How far the frame of all of them may be wrong.
    pub beside: Spread,
}

/// Reads the marks of a sheet in a flatbed scan of the face that lies up on the machine.
///
/// # Errors
///
/// Whatever [`scanned::look`] refuses.
pub fn from_scan(
    sheet: &PrintedSheet,
    picture: &Picture,
    scale: ScanScale,
) -> Result<Warned<Pictured>, Diagnostic> {
    let Warned {
        value,
        mut warnings,
    } = scanned::look(picture, &marks(sheet), sheet.paper, scale)?;
    if scale == ScanScale::Stated {
        let text = "nothing is known of the scanner's own scale: its error is counted in, and is most of what is stated";
        warnings.push(
            Diagnostic::warning("register.scan-scale", text)
                .hint("type the sheet's size by ruler, --sheet-size \"215.7 x 279.1 mm\", or the scanner's scale, --scanner-scale"),
        );
    }
    let readings = value.on_sheet.into_iter().map(|(id, at)| MarkReading {
        id,
        at,
        sigma_mm: value.sigma_mm,
    });
    Ok(Warned {
        value: Pictured {
            readings: readings.collect(),
            beside: value.spread,
        },
        warnings,
    })
}

/// Reads the marks of a sheet in a photo of the face that lies up on the machine; `ruled` is the sheet's size by ruler.
///
/// # Errors
///
/// Whatever [`photo::look`] refuses.
pub fn from_photo(
    sheet: &PrintedSheet,
    picture: &Picture,
    ruled: Option<Size>,
) -> Result<Warned<Pictured>, Diagnostic> {
    let known = match ruled {
        Some(size) => KnownSheet {
            size,
            sigma_mm: BY_RULER_MM,
        },
        None => KnownSheet {
            size: sheet.paper,
            sigma_mm: AS_SOLD_MM,
        },
    };
    let (
        ids,
        Warned {
            value,
            mut warnings,
        },
    ) = photo::look(picture, &marks(sheet), known)?;
    if ruled.is_none() {
        let text = "the sheet's size is taken as sold, which may be off by some tenths of a millimetre: a photo knows no other length";
        warnings.push(
            Diagnostic::warning("register.photo-size", text)
                .hint("measure the sheet's width and height with a ruler and type them: --sheet-size \"215.7 x 279.1 mm\""),
        );
    }
    let both = ids.into_iter().zip(value.on_sheet);
    let readings = both.map(|(id, at)| MarkReading {
        id,
        at,
        sigma_mm: value.sigma_mm,
    });
    Ok(Warned {
        value: Pictured {
            readings: readings.collect(),
            beside: value.spread,
        },
        warnings,
    })
}

fn marks(sheet: &PrintedSheet) -> Vec<Mark> {
    let marks = sheet.marks.iter().filter_map(|mark| {
        Some(Mark {
            id: mark.id.clone(),
            centre: mark.centre,
            diameter_mm: mark.diameter_mm,
            class: class(&mark.quadrants)?,
        })
    });
    marks.collect()
}

/// The class of a mark by the name that plan files have for it.
fn class(quadrants: &str) -> Option<MarkClass> {
    match quadrants {
        "empty" => Some(MarkClass::Empty),
        "one" => Some(MarkClass::One),
        "two-adjacent" => Some(MarkClass::TwoAdjacent),
        "two-opposite" => Some(MarkClass::TwoOpposite),
        "three" => Some(MarkClass::Three),
        "full" => Some(MarkClass::Full),
        _ => None,
    }
}
