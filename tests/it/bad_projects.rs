//! Projects that are wrong are told so: every mistake at once, in order, with its place and what to type.
//!
//! Each file in `tests/projects/bad` starts with a comment on what is wrong, then lists what must be reported, in this form:
//!
//! ```text
//! # error 7:11 length.no-unit
//! #   message: width = 57 has no unit
//! #   hint: write width = "57 mm" or width = "57 in"
//! ```
//!
//! `warning` may stand for `error`, a file's name before the place if it is another file, and `#   see 9:6: ...` names a
//! second place. Files whose names begin with `fold-` can be read; they are folded, too.

use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;
use std::path::Path;

use sheetwright::diagnostic::{Diagnostic, Place, line_column};
use sheetwright::fold;
use sheetwright::load::{Assets, CODES, Options, project};

use crate::folder::{Folder, projects};

/// The day from which ages of measurements are counted here.
const TODAY: (i32, u32, u32) = (2026, 6, 1);

/// What no net in a project file comes to: running bands are made by a construction, and panels that are not there are found in reading.
const NOT_DRAWN: [&str; 2] = ["fold.band-", "fold.panel"];

/// Lines of the file that say what must be reported.
fn expected(text: &str) -> String {
    let is_report = |line: &&str| {
        ["# error ", "# warning ", "#   "]
            .iter()
            .any(|start| line.starts_with(start))
    };
    text.lines()
        .filter(is_report)
        .map(|line| format!("{line}\n"))
        .collect()
}

/// What is reported of a file, in the form of [`expected`].
fn reported(path: &Path, text: &str) -> (Vec<Diagnostic>, String) {
    let name = path.file_name().unwrap().to_str().unwrap();
    let folder = Folder::of(path);
    let options = Options {
        today: Some(TODAY),
        ..Options::default()
    };
    let found = match project(name, text, &folder, &options) {
        Ok(mut read) => {
            if name.starts_with("fold-") {
                read.warnings.extend(fold::prove(&read.value));
            }
            read.warnings
        }
        Err(mistakes) => mistakes,
    };
    let place = |place: &Place| {
        let bytes = folder.read(&place.file).unwrap();
        let (line, column) = line_column(std::str::from_utf8(&bytes).unwrap(), place.span.start);
        let file = if place.file == name {
            String::new()
        } else {
            format!("{} ", place.file)
        };
        format!("{file}{line}:{column}")
    };
    let mut lines = String::new();
    for mistake in &found {
        let severity = if mistake.is_error() {
            "error"
        } else {
            "warning"
        };
        let origin = mistake
            .origin
            .as_ref()
            .map_or_else(String::new, |origin| place(&origin.place));
        writeln!(lines, "# {severity} {origin} {}", mistake.code).unwrap();
        writeln!(lines, "#   message: {}", mistake.message).unwrap();
        for related in &mistake.related {
            writeln!(
                lines,
                "#   see {}: {}",
                place(&related.place),
                related.message
            )
            .unwrap();
        }
        for hint in &mistake.hints {
            writeln!(lines, "#   hint: {hint}").unwrap();
        }
    }
    (found, lines)
}

#[test]
fn every_bad_project_is_told_all_its_mistakes_in_order() {
    let mut wrong = String::new();
    for path in projects("bad") {
        let text = fs::read_to_string(&path).unwrap();
        let (_, reported) = reported(&path, &text);
        if reported != expected(&text) {
            let name = path.file_name().unwrap().display();
            writeln!(
                wrong,
                "== {name}\n-- expected\n{}-- reported\n{reported}",
                expected(&text)
            )
            .unwrap();
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn every_code_is_shown_by_a_bad_project_and_every_hint_is_there() {
    let mut shown = BTreeSet::new();
    for path in projects("bad") {
        let text = fs::read_to_string(&path).unwrap();
        for mistake in reported(&path, &text).0 {
            assert!(!mistake.hints.is_empty(), "{mistake:?}");
            assert!(mistake.origin.is_some(), "{mistake:?}");
            shown.insert(mistake.code);
        }
    }
    let proofs = fold::CODES.iter().map(|(code, _)| *code);
    let reachable = proofs.filter(|code| !NOT_DRAWN.iter().any(|start| code.starts_with(start)));
    let listed: BTreeSet<_> = CODES
        .iter()
        .map(|(code, _)| *code)
        .chain(reachable)
        .collect();
    assert_eq!(shown, listed);
}

#[test]
fn most_bad_projects_have_one_mistake_and_five_have_six() {
    let counts: Vec<_> = projects("bad")
        .iter()
        .map(|path| reported(path, &fs::read_to_string(path).unwrap()).0.len())
        .collect();
    let files_with = |mistakes: usize| counts.iter().filter(|count| **count == mistakes).count();
    assert!(files_with(1) >= 25, "{counts:?}");
    assert!(files_with(6) >= 5, "{counts:?}");
}

#[test]
fn no_single_slip_in_a_project_brings_the_reader_down() {
    for path in projects("good") {
        let text = fs::read_to_string(&path).unwrap();
        for (at, old) in text.char_indices() {
            for new in ["", "\"", "-", "0", "9999", "[", "\u{307}"] {
                let slipped = format!("{}{new}{}", &text[..at], &text[at + old.len_utf8()..]);
                let (found, _) = reported(&path, &slipped);
                assert!(
                    found.iter().all(|mistake| !mistake.message.contains('\n')),
                    "{found:?}"
                );
            }
        }
    }
}
