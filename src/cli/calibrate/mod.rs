//! `calibrate`: a printer or a cutting machine measured. One file for each way.

mod chart;
mod cutter;
mod page;
mod profile;
mod read;
mod readings;
mod ruler;
mod scan;
mod scan_flags;
mod scan_report;
mod test_cut;

use clap::{Args, Subcommand};

use super::options::Format;

pub(super) use scan_flags::parse_scale as scanner_scale;

/// Options of `calibrate`.
#[derive(Debug, Args)]
pub(super) struct CalibrateVerb {
    /// What to do.
    #[command(subcommand)]
    action: CalibrateAction,
}

/// What `calibrate` does.
#[derive(Debug, Subcommand)]
enum CalibrateAction {
    /// Makes the chart to print: targets, fine scales, margin ladders and a check rule.
    Chart(chart::ChartOptions),
    /// Two minutes with a ruler: four lengths and two distances on the chart make a first profile.
    Ruler(ruler::RulerOptions),
    /// The chart read by eye: eight fine scales, asked for one at a time, typed or from a file, make a profile.
    Read(read::ReadOptions),
    /// Makes the cut file with which a cutting machine is measured: crosses at nine targets of a printed chart.
    TestCut(test_cut::TestCutOptions),
    /// The readings of a test cut make a cutting machine's profile.
    Cutter(cutter::CutterOptions),
    /// Scans of the printed chart make a profile, and a picture of where on the page the error is.
    Scan(Box<scan::ScanOptions>),
}

/// Runs the verb and returns the exit code.
pub(super) fn run(verb: &CalibrateVerb, format: Format) -> u8 {
    match &verb.action {
        CalibrateAction::Chart(options) => chart::run(options, format),
        CalibrateAction::Ruler(options) => ruler::run(options, format),
        CalibrateAction::Read(options) => read::run(options, format),
        CalibrateAction::TestCut(options) => test_cut::run(options, format),
        CalibrateAction::Cutter(options) => cutter::run(options, format),
        CalibrateAction::Scan(options) => scan::run(options, format),
    }
}
