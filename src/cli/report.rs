//! Mistakes and warnings for people and for programs.

use std::collections::BTreeMap;
use std::io::{self, IsTerminal, Write};

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use serde_json::{Value, json};

use super::USAGE;
use super::options::Format;
use crate::diagnostic::{Diagnostic, Place, Severity, line_column};
use crate::load::NamedText;

/// The texts that places in diagnostics point into, by the file's name.
pub(super) type Sources = BTreeMap<String, String>;

/// Returns one text as the only one that diagnostics point into.
pub(super) fn source(text: &NamedText) -> Sources {
    Sources::from([(text.name.clone(), text.text.clone())])
}

/// Writes diagnostics: as text to standard error, or as one JSON value to standard output.
pub(super) fn show(diagnostics: &[Diagnostic], sources: &Sources, format: Format) {
    match format {
        Format::Text => talk(&text(diagnostics, sources)),
        Format::Json => result(&pretty(
            &json!({ "diagnostics": to_json(diagnostics, sources) }),
        )),
    }
}

/// Shows a mistake of the disk and returns the exit code.
pub(super) fn fail(diagnostic: Diagnostic, format: Format) -> u8 {
    show(&[diagnostic], &Sources::new(), format);
    USAGE
}

/// Writes a result to standard output.
pub(super) fn result(text: &str) {
    // A reader that closed the pipe has seen enough.
    let _ = io::stdout().write_all(text.as_bytes());
}

/// Writes talk to standard error.
pub(super) fn talk(text: &str) {
    let _ = io::stderr().write_all(text.as_bytes());
}

/// A JSON value as indented text with a final line end.
pub(super) fn pretty(value: &Value) -> String {
    format!("{value:#}\n")
}

/// Diagnostics as JSON, places with line and column counted from 1.
pub(super) fn to_json(diagnostics: &[Diagnostic], sources: &Sources) -> Value {
    diagnostics
        .iter()
        .map(|d| one_to_json(d, sources))
        .collect()
}

fn one_to_json(diagnostic: &Diagnostic, sources: &Sources) -> Value {
    json!({
        "severity": diagnostic.severity,
        "code": diagnostic.code,
        "message": diagnostic.message,
        "key": diagnostic.origin.as_ref().map(|o| &o.key_path),
        "place": diagnostic.origin.as_ref().map(|o| place_to_json(&o.place, sources)),
        "related": diagnostic.related.iter().map(|r| json!({
            "message": r.message,
            "place": place_to_json(&r.place, sources),
        })).collect::<Vec<_>>(),
        "hints": diagnostic.hints,
    })
}

fn place_to_json(place: &Place, sources: &Sources) -> Value {
    let (line, column) = sources
        .get(&place.file)
        .map_or((0, 0), |text| line_column(text, place.span.start));
    json!({ "file": place.file, "line": line, "column": column })
}

fn text(diagnostics: &[Diagnostic], sources: &Sources) -> String {
    let colours =
        io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty());
    let renderer = if colours {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let renderer = renderer.decor_style(DecorStyle::Ascii);
    diagnostics
        .iter()
        .map(|d| renderer.render(&[group(d, sources)]) + "\n\n")
        .collect()
}

/// One diagnostic with the lines it points at and its hints.
fn group<'a>(diagnostic: &'a Diagnostic, sources: &'a Sources) -> Group<'a> {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let mut group = level
        .primary_title(&diagnostic.message)
        .id(diagnostic.code)
        .elements(snippets(diagnostic, sources));
    for hint in &diagnostic.hints {
        group = group.element(Level::HELP.message(hint));
    }
    group
}

fn snippets<'a>(
    diagnostic: &'a Diagnostic,
    sources: &'a Sources,
) -> Vec<Snippet<'a, annotate_snippets::Annotation<'a>>> {
    let primary = diagnostic
        .origin
        .iter()
        .map(|o| (&o.place, AnnotationKind::Primary, None));
    let related = diagnostic
        .related
        .iter()
        .map(|r| (&r.place, AnnotationKind::Context, Some(r.message.as_str())));
    primary
        .chain(related)
        .filter_map(|(place, kind, label)| {
            let source = sources.get(&place.file)?;
            let annotation = kind.span(place.span.clone()).label(label);
            Some(
                Snippet::source(source)
                    .path(place.file.as_str())
                    .annotation(annotation),
            )
        })
        .collect()
}
