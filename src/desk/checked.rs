//! A project file read and checked once for each revision.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Arc;

use serde_json::{Value, json};

use super::at_hand::{AtHand, Held};
use super::document::key_from_zero;
use crate::date::Date;
use crate::diagnostic::{Diagnostic, line_column, sort_by_place};
use crate::job;
use crate::load;
use crate::project::Project;

/// The texts that places in diagnostics point into, by the file's name.
pub(super) type Sources = BTreeMap<String, String>;

/// What came of reading a project file.
#[derive(Debug)]
pub(super) struct Checked {
    /// The project, if it has no mistakes.
    pub(super) project: Option<Arc<Project>>,
    /// Mistakes and warnings, sorted by place.
    pub(super) diagnostics: Vec<Diagnostic>,
    /// The texts they point into.
    pub(super) sources: Sources,
    /// The files that the project asked for.
    pub(super) asked: BTreeSet<String>,
}

impl Checked {
    /// Reads and checks a text with the files held and those in the project's folder.
    pub(super) fn of(name: &str, text: &str, held: &Held, folder: &Path, today: Date) -> Self {
        let hand = AtHand::new(held, Some(folder));
        let options = load::Options {
            today: Some(today),
            ..load::Options::default()
        };
        let (project, diagnostics) = match job::check(name, text, &hand, &options) {
            Ok(read) => {
                let mut found = read.warnings;
                found.extend(job::too_large(&read.value));
                sort_by_place(&mut found);
                (Some(Arc::new(read.value)), found)
            }
            Err(mistakes) => (None, mistakes),
        };
        let mut sources = Sources::from([(name.to_owned(), text.to_owned())]);
        load::add_texts_of(&diagnostics, &hand, &mut sources);
        Self {
            project,
            diagnostics,
            sources,
            asked: hand.into_asked(),
        }
    }
}

/// Diagnostics as the page has them: keys with positions from 0, lines and columns from 1.
pub(super) fn to_json(diagnostics: &[Diagnostic], sources: &Sources) -> Value {
    let one = |d: &Diagnostic| {
        let origin = d.origin.as_ref();
        let at = |file: &str, offset| {
            let text = sources.get(file)?;
            Some(line_column(text, offset))
        };
        let place = origin.and_then(|o| at(&o.place.file, o.place.span.start));
        let related = d.related.iter().map(|r| {
            json!({
                "message": r.message,
                "file": r.place.file,
                "line": at(&r.place.file, r.place.span.start).map(|(line, _)| line),
            })
        });
        json!({
            "severity": d.severity,
            "code": d.code,
            "message": d.message,
            "key": origin.map(|o| key_from_zero(&o.key_path)),
            "file": origin.map(|o| &o.place.file),
            "line": place.map(|(line, _)| line),
            "column": place.map(|(_, column)| column),
            "related": related.collect::<Vec<_>>(),
            "hints": d.hints,
        })
    };
    diagnostics.iter().map(one).collect()
}
