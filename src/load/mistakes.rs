//! Where the mistakes of one file are gathered.

use std::cell::{Cell, RefCell};
use std::ops::Range;

use super::code;
use crate::diagnostic::{Diagnostic, Origin, Place};
use crate::length::{Length, LengthStyle};

/// The mistakes found so far in one file.
///
/// Readers share it, so that reading goes on after a mistake and every value is looked at.
#[derive(Debug)]
pub(super) struct Mistakes<'a> {
    file: &'a str,
    text: &'a str,
    style: Cell<LengthStyle>,
    found: RefCell<Vec<Diagnostic>>,
    /// Keys that were likely meant by others that are not known: path of the table, and key.
    slips: RefCell<Vec<(String, String)>>,
}

impl<'a> Mistakes<'a> {
    pub(super) fn new(file: &'a str, text: &'a str) -> Self {
        Self {
            file,
            text,
            style: Cell::new(LengthStyle::InchFractions),
            found: RefCell::default(),
            slips: RefCell::default(),
        }
    }

    /// Settles how messages show lengths.
    pub(super) fn show_lengths_in(&self, style: LengthStyle) {
        self.style.set(style);
    }

    /// How messages show lengths.
    pub(super) fn length_style(&self) -> LengthStyle {
        self.style.get()
    }

    /// Returns a length as the job shows it.
    pub(super) fn show(&self, length: Length) -> String {
        length.display(self.style.get())
    }

    pub(super) fn text(&self) -> &'a str {
        self.text
    }

    /// Returns the line on which a span starts.
    pub(super) fn line(&self, span: &Range<usize>) -> &'a str {
        let start = self
            .text
            .floor_char_boundary(span.start.min(self.text.len()));
        let from = self.text[..start].rfind('\n').map_or(0, |i| i + 1);
        self.text[from..].lines().next().unwrap_or("")
    }

    /// Returns what stands at a place of the file.
    pub(super) fn source(&self, span: Range<usize>) -> &'a str {
        self.text.get(span).unwrap_or("")
    }

    /// Returns a computed length as the job shows it, to a micrometre.
    pub(super) fn show_mm(&self, length_mm: f64) -> String {
        let um = (Length::nearest_mm(length_mm).nm() + 500).div_euclid(1000);
        self.show(Length::from_um(um))
    }

    pub(super) fn origin(&self, key_path: &str, span: Range<usize>) -> Origin {
        Origin {
            key_path: key_path.to_owned(),
            place: Place {
                file: self.file.to_owned(),
                span,
            },
        }
    }

    /// Records a diagnostic; what it quotes of the file is brought on one line.
    pub(super) fn push(&self, mut diagnostic: Diagnostic) {
        diagnostic.message = on_one_line(&diagnostic.message);
        for hint in &mut diagnostic.hints {
            *hint = on_one_line(hint);
        }
        self.found.borrow_mut().push(diagnostic);
    }

    /// Records an error and returns nothing, so that a reader can end with it.
    pub(super) fn fail<T>(
        &self,
        code: &'static str,
        origin: &Origin,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Option<T> {
        self.push(Diagnostic::error(code, message).at(origin).hint(hint));
        None
    }

    /// Remembers that a key of a table is there, but misspelt: whoever misses it need not say so, and whoever has is not heard.
    pub(super) fn slipped(&self, table: &str, key: &str) {
        let is_told = |found: &Diagnostic| {
            let origin = found.origin.as_ref();
            found.code == code::KEY_MISSING
                && origin.is_some_and(|origin| origin.key_path == table)
                // What is missing stands behind the table's name, which may hold the key as well.
                && found
                    .message
                    .split_once(" has no ")
                    .is_some_and(|(_, keys)| names_key(keys, key))
        };
        self.found.borrow_mut().retain(|found| !is_told(found));
        let mut slips = self.slips.borrow_mut();
        slips.push((table.to_owned(), key.to_owned()));
    }

    /// Whether a key of a table, or one of several that are named, was told to be misspelt.
    pub(super) fn is_slip(&self, table: &str, keys: &str) -> bool {
        let slips = self.slips.borrow();
        slips
            .iter()
            .any(|(path, key)| path == table && names_key(keys, key))
    }

    pub(super) fn take(&self) -> Vec<Diagnostic> {
        self.found.take()
    }
}

/// Whether a text has this key as a word.
fn names_key(text: &str, key: &str) -> bool {
    let is_part = |c: char| c.is_alphanumeric() || c == '_';
    text.split(|c| !is_part(c)).any(|word| word == key)
}

/// Returns the text with control characters spelled out, so that a message stays on its line.
fn on_one_line(text: &str) -> String {
    let mut shown = String::new();
    for c in text.chars() {
        if c.is_control() {
            shown.extend(c.escape_default());
        } else {
            shown.push(c);
        }
    }
    shown
}
