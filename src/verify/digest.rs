//! Compares the files with the digests that `report.json` holds, if it is there.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::verdict::{FileVerdict, Finding, Tally};
use crate::diagnostic::Diagnostic;
use crate::digest::sha256_hex;

/// The file's name.
pub(super) const NAME: &str = "report.json";

#[derive(Debug, Deserialize)]
struct Report {
    #[serde(default)]
    is_proved: bool,
    files: Vec<FileReport>,
}

#[derive(Debug, Deserialize)]
struct FileReport {
    name: String,
    sha256: String,
}

/// Returns the digest of the file `name` of a set that was proved and in which that file has not changed since.
///
/// # Errors
///
/// There is no report, it says that the proof failed, or the file is another.
pub(super) fn unchanged(
    files: &BTreeMap<String, Vec<u8>>,
    name: &str,
) -> Result<String, Diagnostic> {
    let fail = |message: String| {
        let hint = "give a folder as `make` wrote it";
        Err(Diagnostic::error("verify.digest", message).hint(hint))
    };
    let report = files
        .get(NAME)
        .and_then(|bytes| serde_json::from_slice::<Report>(bytes).ok());
    let Some(report) = report else {
        return fail(format!("the folder holds no {NAME} that can be read"));
    };
    if !report.is_proved {
        return fail("the set in the folder failed its proof".to_owned());
    }
    let found = files.get(name).map(|bytes| sha256_hex(bytes));
    let made = report.files.into_iter().find(|entry| entry.name == name);
    match (made, found) {
        (Some(made), Some(found)) if made.sha256 == found => Ok(found),
        (Some(_) | None, Some(_) | None) => fail(format!("{name} has changed since it was made")),
    }
}

/// Compares each file the report names.
pub(super) fn check(report: &[u8], files: &BTreeMap<String, Vec<u8>>) -> FileVerdict {
    let mut tally = Tally::new(NAME);
    match serde_json::from_slice::<Report>(report) {
        Err(error) => tally.add(Finding::new(
            "verify.unreadable",
            format!("the report cannot be read: {error}"),
        )),
        Ok(report) => {
            for entry in &report.files {
                check_file(&mut tally, entry, files.get(&entry.name));
            }
        }
    }
    tally.finish()
}

fn check_file(tally: &mut Tally, entry: &FileReport, bytes: Option<&Vec<u8>>) {
    tally.count();
    let Some(bytes) = bytes else {
        let message = format!("{} is missing, which the report names", entry.name);
        return tally.add(Finding::new("verify.missing", message));
    };
    let found = sha256_hex(bytes);
    if found != entry.sha256 {
        let what = format!("{} has changed since it was made, SHA-256", entry.name);
        tally.add(Finding::numbers(
            "verify.digest",
            &what,
            entry.sha256.as_str(),
            found,
        ));
    }
}
