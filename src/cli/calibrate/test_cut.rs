//! `calibrate test-cut`: the cut file with which a machine is measured.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::page::PageOptions;
use super::readings::refuse;
use crate::calibrate::{TestCut, crosses, test_cut};
use crate::cli::DONE;
use crate::cli::options::Format as Output;
use crate::cli::report::{self, Sources};
use crate::emit;
use crate::files;

/// Options of `calibrate test-cut`.
#[derive(Debug, Args)]
pub(super) struct TestCutOptions {
    #[command(flatten)]
    page: PageOptions,
    /// Draw the crosses with a pen instead of cutting them.
    #[arg(long)]
    drawn: bool,
    /// The SVG file to write.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
}

/// Runs the subcommand and returns the exit code.
pub(super) fn run(options: &TestCutOptions, output: Output) -> u8 {
    match make(options, output) {
        Ok(code) | Err(code) => code,
    }
}

fn make(options: &TestCutOptions, output: Output) -> Result<u8, u8> {
    let chart = options
        .page
        .chart()
        .map_err(|d| refuse(&[d], &Sources::new(), output))?;
    let how = if options.drawn {
        TestCut::Drawn
    } else {
        TestCut::Cut
    };
    let text = emit::svg::write(&test_cut(&chart, how));
    files::write_file(&options.out, text.as_bytes()).map_err(|d| report::fail(d, output))?;
    let keys: Vec<String> = crosses(&chart).iter().map(|t| t.id.clone()).collect();
    let out = options.out.display();
    report::result(&match output {
        Output::Json => report::pretty(&json!({ "file": out.to_string(), "crosses": keys })),
        Output::Text => format!(
            "written to {out}: crosses at {}\nnext: lay a printed chart in the machine, its front up and its top left corner at the machine's zero, and run the file. \
             At each cross read how far the cut lies to the right of the printed one (x) and below it (y), and give that to \
             `calibrate cutter`. Two or three charts, each loaded anew, tell how cuts repeat.\n",
            keys.join(", ")
        ),
    });
    Ok(DONE)
}
