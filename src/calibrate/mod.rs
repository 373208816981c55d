//! A printer or a cutting machine measured: the chart that is printed, and the profile that readings or a scan of it give.
//!
//! [`chart`] says where everything on the chart lies. [`read_by_eye`] makes readings of it a [`Calibration`](crate::project::Calibration),
//! and [`printer_file`] and [`cutter_file`] write what was found into a profile.
//!
//! Reading order by eye: `desk` and `reading` (what was typed as numbers), `repeat` (how exactly somebody reads), `eye` with `sane`,
//! `doubt` and `duplex`, then `profile_file`.

pub mod chart;
mod desk;
mod doubt;
mod duplex;
mod eye;
mod profile_file;
mod reading;
mod repeat;
mod sane;
mod words;

pub use duplex::{Duplex, STATION_MM};
pub use eye::{Eye, read_by_eye};
pub use profile_file::{Account, Written, cutter_file, printer_file};
pub use repeat::{Precision, SINGLE_MM};
pub use words::{detail_lines, distance, margin_words, printer_words, within_words};
