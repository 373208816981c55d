//! What the proof says about damaged files, however other programs save them again.

use sheetwright::verify::{Finding, Verdict, folder};

use super::{Files, resave};

/// What the proof measures in a folder.
pub(crate) fn verdict(files: &Files) -> Verdict {
    folder(files).unwrap()
}

/// The folder as it is and as other programs save it again, without the report.
pub(crate) fn saved_again(files: &Files) -> Vec<Files> {
    let mut all = vec![files.clone()];
    for way in resave::QPDF_WAYS {
        let saved = files.iter().map(|(name, bytes)| {
            let bytes = match name.rsplit('.').next() {
                Some("pdf") => resave::qpdf(bytes, way),
                Some("svg") => resave::svg(bytes),
                _ => bytes.clone(),
            };
            (name.clone(), bytes)
        });
        all.push(saved.filter(|(name, _)| name != "report.json").collect());
    }
    all
}

/// Asserts that the damaged folder has a finding with this code and id in this file, with these two numbers in its message,
/// however it is saved; and that no other file has any.
pub(crate) fn assert_found(
    damaged: &Files,
    file: &str,
    code: &str,
    id: &str,
    [planned, found]: [&str; 2],
) {
    for files in saved_again(damaged) {
        let verdict = verdict(&files);
        let is_it = |finding: &&Finding| {
            finding.code == code
                && finding.id.as_deref() == Some(id)
                && finding.message.contains(&format!("planned {planned}"))
                && finding.message.contains(&format!("found {found}"))
        };
        let findings: Vec<_> = verdict.findings().collect();
        assert!(findings.iter().any(is_it), "{findings:#?}");
        assert!(
            findings.iter().all(|finding| finding.file == file),
            "{findings:#?}"
        );
    }
}
