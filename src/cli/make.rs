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
use crate::diagnostic::listed;
use crate::emit::png::InkCover;
use crate::files;
use crate::handout;
use crate::job::{self, Made};
use crate::plan::file::PlanFile;

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &MakeVerb, format: Format) -> u8 {
    match make(options, format) {
        Ok(code) | Err(code) => code,
    }
}

fn make(options: &MakeVerb, format: Format) -> Result<u8, u8> {
    let disk = |d| report::fail(d, format);
    files::check_target(&options.out).map_err(disk)?;
    let opened = check::open(&options.project, format)?;
    let progress = Progress::start();
    let planned = plan::lay_out(&opened, options.work, &progress, format)?;
    let notes = plan::notes(&opened, &planned);
    if !planned.value.unplaced.is_empty() && !options.partial {
        progress.finish();
        report::show(&notes, &opened.sources, format);
        report::talk("nothing written: not everything fits (--partial writes what does)\n");
        return Err(WRONG);
    }
    progress.step("drawing, writing and reading back");
    let threads = options.work.threads();
    let made = job::make(&opened.project.value, &planned.value, threads).map_err(disk)?;
    progress.finish();
    let folder = files::deliver(&options.out, &made).map_err(disk)?;

    let file = PlanFile::new(&opened.project.value, &planned.value);
    match format {
        Format::Json => report::result(&report::pretty(&json!({
            "folder": folder,
            "usage": file.usage,
            "ink": made.ink,
            "unplaced": file.unplaced,
            "verdict": made.verdict,
            "diagnostics": report::to_json(&notes, &opened.sources),
        }))),
        Format::Text => {
            report::show(&notes, &opened.sources, format);
            let project = &opened.project.value;
            report::result(&plan::text(project, &file));
            let handout = handout::handout(project, &planned.value);
            report::result(&plan::shopping_text(project, &handout));
            report::result(&ink_text(&made.ink));
            report::result(&result_text(&made, &folder));
        }
    }
    Ok(exit_code(&made, file.unplaced.len()))
}

fn exit_code(made: &Made, unplaced: usize) -> u8 {
    if made.verdict.is_proved() && unplaced == 0 {
        DONE
    } else {
        WRONG
    }
}

/// How much of each printed page is covered with ink, all inks added up; of many pages the least and the most.
fn ink_text(ink: &[InkCover]) -> String {
    const MOST_TOLD: usize = 12;
    let percents = ink.iter().map(InkCover::total_percent);
    let told: Vec<String> = percents.clone().map(|p| format!("{p:.0}")).collect();
    match &told[..] {
        [] => String::new(),
        [one] => format!("ink on the page of print.pdf: {one} %, all inks added up\n"),
        _ if told.len() <= MOST_TOLD => format!(
            "ink on the pages of print.pdf: {} %, all inks added up\n",
            listed(&told)
        ),
        _ => format!(
            "ink on the pages of print.pdf: {:.0} to {:.0} %, all inks added up; report.json has each\n",
            percents.clone().fold(f64::MAX, f64::min),
            percents.fold(0.0, f64::max)
        ),
    }
}

/// Where the files are and what the proof found.
fn result_text(made: &Made, folder: &Path) -> String {
    let names: Vec<&str> = made.files.keys().map(String::as_str).collect();
    let verdict = verify::text(&made.verdict);
    if made.verdict.is_proved() {
        let next = if made.files.contains_key("print.pdf") {
            "look at proof.pdf, print print.pdf at 100 %, lay its check rule against a ruler, then cut"
        } else {
            "look at proof.pdf, then cut"
        };
        format!(
            "{verdict}written to {}: {}\nnext: {next}\n",
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::FileSet;
    use crate::verify::{FileVerdict, Finding, Verdict};

    fn made(findings: Vec<Finding>) -> Made {
        let file = FileVerdict {
            name: "cut-01.svg".into(),
            largest_deviation_mm: 0.02,
            compared: 1,
            findings,
        };
        Made {
            files: FileSet::from([("cut-01.svg".into(), Vec::new())]),
            verdict: Verdict { files: vec![file] },
            ink: Vec::new(),
        }
    }

    fn moved() -> Finding {
        Finding {
            code: "verify.moved",
            file: "cut-01.svg".into(),
            page: None,
            id: Some("packet#1.outline".into()),
            message: "packet#1.outline is moved".into(),
            planned: None,
            found: None,
            deviation_mm: Some(0.02),
        }
    }

    #[test]
    fn only_a_proved_set_with_everything_on_it_gives_code_0() {
        assert_eq!(exit_code(&made(Vec::new()), 0), 0);
        assert_eq!(exit_code(&made(Vec::new()), 1), 1);
        assert_eq!(exit_code(&made(vec![moved()]), 0), 1);
    }

    #[test]
    fn a_failed_proof_says_what_is_wrong_and_that_the_target_is_untouched() {
        let text = result_text(&made(vec![moved()]), Path::new("made.rejected"));
        assert!(text.contains("packet#1.outline is moved"), "{text}");
        let end = "the target is untouched; the failed set is in made.rejected to look at\n";
        assert!(text.ends_with(end), "{text}");
        assert!(!text.contains("written to"), "{text}");
    }
}
