//! `make`: all files, written only if they are proved.

use std::path::Path;

use serde_json::json;

use super::check;
use super::options::{Format, MakeVerb};
use super::plan;
use super::progress::Progress;
use super::report;
use super::verify;
use super::{DONE, WRONG};
use crate::files;
use crate::job::{self, Made};
use crate::plan::file::PlanFile;

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &MakeVerb, format: Format) -> u8 {
    match make(options, format) {
        Ok(code) | Err(code) => code,
    }
}

fn make(options: &MakeVerb, format: Format) -> Result<u8, u8> {
    let disk = |d| plan::fail(d, format);
    files::check_target(&options.out).map_err(disk)?;
    let opened = check::open(&options.project, format)?;
    let progress = Progress::start();
    let threads = options.work.threads();
    let planned = plan::lay_out(&opened, threads, &progress, format)?;
    let notes = plan::notes(&opened, &planned);
    if !planned.value.unplaced.is_empty() && !options.partial {
        progress.finish();
        report::show(&notes, &opened.sources, format);
        report::talk("nothing written: not everything fits (--partial writes what does)\n");
        return Err(WRONG);
    }
    progress.step("drawing, writing and reading back");
    let made = job::make(&opened.project.value, &planned.value, threads).map_err(disk)?;
    progress.finish();
    files::clear_rejected(&options.out).map_err(disk)?;
    let rejected = files::rejected_folder(&options.out);
    let folder = if made.verdict.is_proved() {
        &options.out
    } else {
        &rejected
    };
    files::write_folder(folder, &made.files).map_err(disk)?;

    let file = PlanFile::new(&opened.project.value, &planned.value);
    match format {
        Format::Json => report::result(&report::pretty(&json!({
            "folder": folder,
            "usage": file.usage,
            "unplaced": file.unplaced,
            "verdict": made.verdict,
            "diagnostics": report::to_json(&notes, &opened.sources),
        }))),
        Format::Text => {
            report::show(&notes, &opened.sources, format);
            report::result(&plan::text(&opened.project.value, &file));
            report::result(&result_text(&made, folder));
        }
    }
    Ok(if made.verdict.is_proved() && file.unplaced.is_empty() {
        DONE
    } else {
        WRONG
    })
}

/// Where the files are and what the proof found.
fn result_text(made: &Made, folder: &Path) -> String {
    let names: Vec<&str> = made.files.keys().map(String::as_str).collect();
    let verdict = verify::text(&made.verdict);
    if made.verdict.is_proved() {
        format!(
            "{verdict}written to {}: {}\n",
            folder.display(),
            names.join(", ")
        )
    } else {
        format!(
            "{verdict}the target is untouched; the failed set is in {} to look at\n",
            folder.display()
        )
    }
}
