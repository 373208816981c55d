//! A printer or a cutting machine measured: the chart that is printed, and the profile that readings or a scan of it give.
//!
//! [`chart`] says where everything on the chart lies. [`read_by_eye`] and [`read_by_ruler`] make readings of it a [`Calibration`](crate::project::Calibration),
//! and [`printer_file`] and [`cutter_file`] write what was found into a profile.
//!
//! Reading order by eye: `desk` and `reading` (what was typed as numbers), `repeat` (how exactly somebody reads), `eye` with `sane`,
//! `doubt` and `duplex`, then `ruler`, `cutter` with `test_cut`, `dialogue`, `words`, `report` and `profile_file`.
//! By scan see [`scan`], a room of its own.

pub mod chart;
mod cutter;
mod desk;
mod dialogue;
mod doubt;
mod duplex;
mod eye;
mod need;
mod profile_file;
mod reading;
mod repeat;
mod report;
mod ruler;
mod sane;
pub mod scan;
mod test_cut;
mod words;

pub use cutter::{ByTestCut, CROSS_MM, UNKNOWN_REPEAT_MM, crosses, read_test_cut};
pub use desk::chart_of;
pub use dialogue::ask;
pub use duplex::{Duplex, STATION_MM};
pub use eye::{Eye, read_by_eye};
pub use need::Need;
pub use profile_file::{Account, Written, cutter_file, printer_file};
pub use repeat::{Precision, SINGLE_MM};
pub use report::Report;
pub use ruler::{ByRuler, SINGLE_32ND_MM, read_by_ruler};
pub use test_cut::{TestCut, test_cut};
pub use words::{
    cutter_details, cutter_words, detail_lines, margin_words, printer_words, within_words,
};
