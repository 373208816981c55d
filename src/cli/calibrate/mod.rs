//! `calibrate`: a printer or a cutting machine measured. One file for each way.

mod chart;

use clap::{Args, Subcommand};

use super::options::Format;

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
}

/// Runs the verb and returns the exit code.
pub(super) fn run(verb: &CalibrateVerb, format: Format) -> u8 {
    match &verb.action {
        CalibrateAction::Chart(options) => chart::run(options, format),
    }
}
