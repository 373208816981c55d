//! `verify`: a folder measured again.

use serde_json::json;

use super::options::{Format, VerifyVerb};
use super::report;
use super::{DONE, WRONG};
use crate::files;
use crate::job;
use crate::verify::{FileVerdict, Finding, Verdict};

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &VerifyVerb, format: Format) -> u8 {
    match files::read_folder(&options.folder).and_then(|files| job::verify(&files)) {
        Err(diagnostic) => report::fail(diagnostic, format),
        Ok(verdict) => {
            match format {
                Format::Json => report::result(&report::pretty(&json!(verdict))),
                Format::Text => report::result(&text(&verdict)),
            }
            if verdict.is_proved() { DONE } else { WRONG }
        }
    }
}

/// One line a file, its findings under it.
pub(super) fn text(verdict: &Verdict) -> String {
    let mut text: String = verdict.files.iter().map(file_text).collect();
    let count = verdict.findings().count();
    text += &match count {
        0 => format!(
            "proved: largest deviation {:.5} mm\n",
            verdict.largest_deviation_mm()
        ),
        1 => "not as planned: 1 finding\n".to_owned(),
        n => format!("not as planned: {n} findings\n"),
    };
    text
}

fn file_text(file: &FileVerdict) -> String {
    let state = if file.findings.is_empty() {
        "ok"
    } else {
        "WRONG"
    };
    let largest = file.largest_deviation_mm;
    let line = format!(
        "{:18} {state:5} {:5} compared, largest deviation {largest:.5} mm\n",
        file.name, file.compared
    );
    file.findings
        .iter()
        .fold(line, |text, finding| text + &finding_text(finding))
}

fn finding_text(finding: &Finding) -> String {
    let page = finding
        .page
        .map_or_else(String::new, |page| format!("page {page}, "));
    let id = finding
        .id
        .as_ref()
        .map_or_else(String::new, |id| format!("{id}: "));
    let deviation = finding
        .deviation_mm
        .map_or_else(String::new, |mm| format!(" (off by {mm:.4} mm)"));
    format!(
        "    {}: {page}{id}{}{deviation}\n",
        finding.code, finding.message
    )
}
