//! One printed sheet found again: where its marks lie, and the cut file moved to fit it.
//!
//! [`PrintedSheet`] is what a made folder says of the sheet. Where its marks were found comes in as [`MarkReading`]s: typed (read by
//! `reading`), told by the prick test (`prick`), or found in a picture ([`scanned`],
//! [`photo`]). [`locate`] fits them, refuses what cannot be this sheet lying
//! on this machine, and leaves out one mark at most; `forecast` says how far the cut may be from the print, and [`register`] puts
//! all of it together: the moved cut file and a [`Registration`], which `words` tells people.

mod corrected;
mod forecast;
mod locate;
pub mod photo;
mod pictured;
mod prick;
mod printed_sheet;
mod reading;
mod registration;
pub mod scanned;
mod words;

use std::collections::BTreeMap;

use crate::diagnostic::{Diagnostic, Warned};
use crate::emit;

pub use forecast::{Bleed, Forecast};
pub use locate::{Located, Options, locate};
pub use pictured::{Pictured, from_photo, from_scan};
pub use prick::{PRICK_TITLE, from_offsets, prick_offset_mm, prick_sheet};
pub use printed_sheet::{PlannedMark, PrintedSheet};
pub use reading::{MarkReading, ReadBy, parse_reading, parse_verniers, pooled};
pub use registration::{MAP_KEYS, Registration};
pub use words::text;

/// Name of the file that says what was found, and marks a folder as ours.
pub const NAME: &str = "registration.json";

/// A sheet registered: what to cut, and what to know.
#[derive(Debug, Clone, PartialEq)]
pub struct Registered {
    /// The moved cut file and [`NAME`], by name.
    pub files: BTreeMap<String, Vec<u8>>,
    /// What was found.
    pub registration: Registration,
}

/// Finds a sheet by marks that were measured in a picture, and moves its cut file to fit it: each mark's id, its centre on the sheet as
/// it lies, counted from the sheet's top left corner in millimetres, and the standard deviation of one coordinate.
///
/// # Errors
///
/// Whatever [`locate`] refuses.
pub fn from_measured(
    sheet: &PrintedSheet,
    measured: &[(String, kurbo::Point, f64)],
    options: &Options,
) -> Result<Warned<Registered>, Vec<Diagnostic>> {
    let readings: Vec<MarkReading> = measured
        .iter()
        .map(|(id, at, sigma_mm)| MarkReading {
            id: id.clone(),
            at: *at,
            sigma_mm: *sigma_mm,
        })
        .collect();
    register(sheet, &readings, options)
}

/// Finds a sheet by its marks and moves its cut file to fit it.
///
/// # Errors
///
/// Whatever [`locate`] refuses.
pub fn register(
    sheet: &PrintedSheet,
    readings: &[MarkReading],
    options: &Options,
) -> Result<Warned<Registered>, Vec<Diagnostic>> {
    let located = locate(sheet, readings, options)?;
    let forecast = forecast::forecast(sheet, &located.value);
    let mut warnings = located.warnings;
    warnings.extend(forecast.warnings(sheet));
    let corrected = corrected::cut_sheet(sheet, &located.value);
    warnings.extend(corrected::leaving(&corrected));
    let registration = Registration::new(sheet, &located.value, &forecast, &warnings);
    let files = BTreeMap::from([
        (
            sheet.cut_file.clone(),
            emit::svg::write(&corrected).into_bytes(),
        ),
        (NAME.to_owned(), registration.to_json().into_bytes()),
    ]);
    Ok(Warned {
        value: Registered {
            files,
            registration,
        },
        warnings,
    })
}
