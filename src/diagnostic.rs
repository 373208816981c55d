//! What is wrong with what the user gave us, where, and what to type instead.
//!
//! A [`Diagnostic`] is a plain value: this module prints nothing. The edge renders it as text or JSON.

use std::fmt;
use std::ops::Range;

use serde::Serialize;

/// How bad a [`Diagnostic`] is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The stage cannot deliver what was asked.
    Error,
    /// The stage delivers, but the user should look.
    Warning,
}

/// A stretch of one file the user wrote.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Place {
    /// The file as the user would name it, relative to the project's folder.
    pub file: String,
    /// Bytes from the file's start; empty where only a point is known.
    pub span: Range<usize>,
}

/// Where a declared thing stands: kept by everything in the [project](crate::project).
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Origin {
    /// Dotted path of the key, with list positions counted from 1, e.g. `piece[2].shape.width`.
    pub key_path: String,
    /// The value's place in its file.
    pub place: Place,
}

impl Origin {
    /// Returns where something stands that was asked for by a key and is in no file.
    #[must_use]
    pub fn of_key(key_path: impl Into<String>) -> Self {
        Self {
            key_path: key_path.into(),
            place: Place {
                file: String::new(),
                span: 0..0,
            },
        }
    }
}

/// A second place that helps to understand a [`Diagnostic`].
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Related {
    /// Where to look.
    pub place: Place,
    /// What stands there, lower case, no full stop.
    pub message: String,
}

/// One mistake or warning.
///
/// The message states the number that is wrong and the number that would be right, with units; a hint says what to type.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Diagnostic {
    /// How bad it is.
    pub severity: Severity,
    /// Stable dotted lower-case code such as `length.no-unit`.
    pub code: &'static str,
    /// Lower case, no full stop.
    pub message: String,
    /// The key and place the mistake is at, where there is one.
    pub origin: Option<Origin>,
    /// Other places that matter.
    pub related: Vec<Related>,
    /// What to type or do, one sentence each.
    pub hints: Vec<String>,
}

impl Diagnostic {
    /// Returns an error without a place; add one with [`Diagnostic::at`].
    #[must_use]
    pub fn error(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, code, message.into())
    }

    /// Returns a warning without a place; add one with [`Diagnostic::at`].
    #[must_use]
    pub fn warning(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, code, message.into())
    }

    fn new(severity: Severity, code: &'static str, message: String) -> Self {
        Self {
            severity,
            code,
            message,
            origin: None,
            related: Vec::new(),
            hints: Vec::new(),
        }
    }

    /// Returns the same diagnostic placed at `origin`.
    #[must_use]
    pub fn at(mut self, origin: &Origin) -> Self {
        self.origin = Some(origin.clone());
        self
    }

    /// Returns the same diagnostic with one more hint.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }

    /// Returns the same diagnostic with one more place to look at.
    #[must_use]
    pub fn related(mut self, origin: &Origin, message: impl Into<String>) -> Self {
        self.related.push(Related {
            place: origin.place.clone(),
            message: message.into(),
        });
        self
    }

    /// Is `true` for [`Severity::Error`].
    #[must_use]
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// Sorts by file and place, so that a reader walks each file once; placeless ones come last.
pub fn sort_by_place(diagnostics: &mut [Diagnostic]) {
    diagnostics.sort_by_key(|d| match &d.origin {
        Some(o) => (0, o.place.file.clone(), o.place.span.start),
        None => (1, String::new(), 0),
    });
}

/// Returns a number with its noun, `1 sheet` or `2 sheets`.
///
/// ```
/// use sheetwright::diagnostic::counted;
///
/// assert_eq!((counted(1_u32, "sheet"), counted(0_u32, "sheet")), ("1 sheet".into(), "0 sheets".into()));
/// ```
#[must_use]
pub fn counted<N: Copy + fmt::Display + PartialEq + From<u8>>(number: N, noun: &str) -> String {
    let plural = if number == N::from(1) { "" } else { "s" };
    format!("{number} {noun}{plural}")
}

/// Returns words as a list, `a, b and c`.
///
/// ```
/// use sheetwright::diagnostic::listed;
///
/// assert_eq!(listed(&["tray", "lid", "sleeve"]), "tray, lid and sleeve");
/// assert_eq!((listed(&["tray"]), listed::<&str>(&[])), ("tray".into(), String::new()));
/// ```
#[must_use]
pub fn listed<S: AsRef<str>>(words: &[S]) -> String {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    match words.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A value together with what the user should look at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warned<T> {
    /// The finished value.
    pub value: T,
    /// Warnings only, sorted by place.
    pub warnings: Vec<Diagnostic>,
}

/// Line and column of a byte offset, both counted from 1; columns count characters.
///
/// ```
/// assert_eq!(sheetwright::diagnostic::line_column("ab\ncé = 1", 7), (2, 4));
/// ```
#[must_use]
pub fn line_column(text: &str, offset: usize) -> (usize, usize) {
    let before = &text[..text.floor_char_boundary(offset.min(text.len()))];
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    (
        before.matches('\n').count() + 1,
        before[line_start..].chars().count() + 1,
    )
}
