//! A printer's profile from scans of the printed chart.
//!
//! Read `frame` first: where the sheet's left and top edge are. `face_scan` fits the map of one scan in that frame, `prints` sorts
//! scans into prints, `scanner` tells the scanner's stretch from the printer's, and `result` puts all together.

mod doubt;
mod face_scan;
mod frame;
mod mark_error;
mod open_factor;
mod prints;
mod read_scan;
mod residual_picture;
mod result;
mod rule;
mod scanner;
mod seen_chart;
mod survey;

pub use doubt::{refuse_strangers, refuse_unlikely};
pub use face_scan::{FaceScan, ScanMap};
pub use frame::{SheetEdge, SheetFrame};
pub use mark_error::{MarkError, MarkSummary, place_words};
pub use prints::Loading;
pub use read_scan::{ReadScan, possible_charts, read_scan};
pub use residual_picture::residual_picture;
pub use result::{FaceResult, Parting, ScanResult, result};
pub use rule::{Measured, RuleNote, sheet_readings};
pub use scanner::{Belief, Look, RuleReading, Scanner, scanner};
pub use seen_chart::{SeenChart, seen_chart};
pub use survey::{Given, Survey};

#[cfg(test)]
mod synthetic;
#[cfg(test)]
mod tests;
