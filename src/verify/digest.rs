//! Compares the files with the digests that `report.json` holds, if it is there.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::verdict::{FileVerdict, Finding, Tally};
use crate::digest::sha256_hex;

/// The file's name.
pub(super) const NAME: &str = "report.json";

#[derive(Debug, Deserialize)]
struct Report {
    files: Vec<FileReport>,
}

#[derive(Debug, Deserialize)]
struct FileReport {
    name: String,
    sha256: String,
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
