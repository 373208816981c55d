//! A printer or a cutting machine measured: the chart that is printed, and the profile that readings or a scan of it give.
//!
//! [`chart`] says where everything on the chart lies; [`printer_file`] and [`cutter_file`] write what was found into a profile.

pub mod chart;
mod profile_file;

pub use profile_file::{Account, Written, cutter_file, printer_file};
