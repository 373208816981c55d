//! Readings on the desk: looked up by their key, made numbers, with every mistake told.

use std::cell::RefCell;

use super::chart::{Chart, ChartEdition};
use super::reading::Unread;
use super::repeat::{FARTHEST_MM, stray};
use crate::diagnostic::Diagnostic;
use crate::paper;
use crate::project::{ReadingSheet, Ruler};

/// Returns the chart that readings were taken from.
///
/// # Errors
///
/// If its page is too small for a chart.
pub fn chart_of(sheet: &ReadingSheet) -> Result<Chart, Diagnostic> {
    let edition = match sheet.ruler {
        Ruler::Millimetres => ChartEdition::Millimetres,
        Ruler::Inches => ChartEdition::Inches,
    };
    match paper::find(&sheet.format) {
        Some(known) if sheet.page.width <= sheet.page.height => Chart::upright(known, edition),
        Some(known) => Chart::lying(known, edition),
        None => Chart::new(sheet.format.as_str(), sheet.page, edition),
    }
}

/// The readings of one sheet and what is wrong with them.
#[derive(Debug)]
pub(super) struct Desk<'a> {
    sheet: &'a ReadingSheet,
    found: RefCell<Vec<Diagnostic>>,
}

impl<'a> Desk<'a> {
    pub(super) fn new(sheet: &'a ReadingSheet) -> Self {
        Self {
            sheet,
            found: RefCell::default(),
        }
    }

    /// Returns the chart that was read.
    pub(super) fn chart(&self) -> Result<Chart, Vec<Diagnostic>> {
        chart_of(self.sheet).map_err(|d| vec![d])
    }

    /// Records a mistake in what was typed for a key.
    pub(super) fn fail(&self, code: &'static str, key: &str, message: String, hint: String) {
        self.note(Diagnostic::error(code, message).hint(hint), key);
    }

    /// Records a warning about what was typed for a key.
    pub(super) fn warn(&self, code: &'static str, key: &str, message: String, hint: String) {
        self.note(Diagnostic::warning(code, message).hint(hint), key);
    }

    fn note(&self, diagnostic: Diagnostic, key: &str) {
        let origin = self.sheet.readings.iter().find(|r| r.key == key);
        let diagnostic = match origin.and_then(|r| r.origin.as_ref()) {
            Some(origin) => diagnostic.at(origin),
            None => diagnostic,
        };
        self.found.borrow_mut().push(diagnostic);
    }

    /// Returns what was typed for a key, for people.
    pub(super) fn typed(&self, key: &str) -> String {
        self.sheet.values(key).join(", ")
    }

    /// Whether anything was typed for a key.
    pub(super) fn has(&self, key: &str) -> bool {
        !self.sheet.values(key).is_empty()
    }

    /// Returns what was typed for a key as numbers, or `None` if nothing was or anything is wrong with it; `like` is what would do.
    pub(super) fn values<T>(
        &self,
        key: &str,
        like: &str,
        read: impl Fn(&str) -> Result<T, Unread>,
    ) -> Option<Vec<T>> {
        let typed = self.sheet.values(key);
        if typed.is_empty() {
            let message = format!("{key} was not read");
            self.fail(
                "calibrate.missing-reading",
                key,
                message,
                format!("type it, like {key} = \"{like}\""),
            );
            return None;
        }
        let mut values = Some(Vec::new());
        for text in typed {
            match read(text) {
                Ok(value) => {
                    if let Some(values) = &mut values {
                        values.push(value);
                    }
                }
                Err(Unread { message, hint }) => {
                    self.fail("calibrate.reading", key, format!("{key}: {message}"), hint);
                    values = None;
                }
            }
        }
        values
    }

    /// Refuses a repeat that cannot be of the same thing.
    pub(super) fn refuse_stray(&self, key: &str, values_mm: &[f64]) -> Option<()> {
        self.refuse_farther(key, values_mm, FARTHEST_MM)
    }

    /// Refuses a repeat that lies farther from the others than the ruler's own marks excuse.
    pub(super) fn refuse_farther(
        &self,
        key: &str,
        values_mm: &[f64],
        farthest_mm: f64,
    ) -> Option<()> {
        let Some(at) = stray(values_mm, farthest_mm) else {
            return Some(());
        };
        let typed = &self.sheet.values(key)[at];
        let message = format!(
            "{key} was read as {}, and \"{typed}\" is more than {farthest_mm:.1} mm from the others",
            self.sheet.values(key).join(", ")
        );
        let hint = format!("read {key} once more, and leave out what was misread");
        self.fail("calibrate.repeats", key, message, hint);
        None
    }

    /// Refuses keys that nothing on the chart is called by.
    pub(super) fn refuse_strangers(&self, known: &[&str]) {
        for reading in &self.sheet.readings {
            if known.contains(&reading.key.as_str()) {
                continue;
            }
            let message = format!("nothing on the chart is called \"{}\"", reading.key);
            let hint = format!("the readings are {}", known.join(", "));
            self.fail("calibrate.unknown-reading", &reading.key, message, hint);
        }
        for (i, reading) in self.sheet.readings.iter().enumerate() {
            if self.sheet.readings[..i]
                .iter()
                .any(|r| r.key == reading.key)
            {
                let message = format!("{} is typed twice", reading.key);
                let hint = format!(
                    "type repeats side by side, like {} = \"20.4, 20.5\"",
                    reading.key
                );
                self.fail("calibrate.reading", &reading.key, message, hint);
            }
        }
    }

    /// Returns what was found so far as the warnings of a success, or as the mistakes that stand against one.
    pub(super) fn settle(&self) -> Result<Vec<Diagnostic>, Vec<Diagnostic>> {
        let found = self.found.borrow().clone();
        if found.iter().any(Diagnostic::is_error) {
            Err(found)
        } else {
            Ok(found)
        }
    }
}

/// All keys of a chart: verniers, ladders, stations, ruler lines and edge distances.
pub(super) const KEYS: [&str; 26] = [
    "x1", "x2", "x3", "x4", "y1", "y2", "y3", "y4", "top", "right", "bottom", "left", "s1x", "s1y",
    "s2x", "s2y", "s3x", "s3y", "s4x", "s4y", "A", "B", "C", "D", "E", "F",
];
