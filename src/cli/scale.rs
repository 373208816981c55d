//! `scale`: a project made larger or smaller.

use serde_json::json;

use super::options::{Format, ScaleVerb};
use super::report::{self, Sources};
use super::{DONE, WRONG};
use crate::diagnostic::Diagnostic;
use crate::files::{self, ProjectSource};
use crate::job::{self, ScaledProject};
use crate::load::{NamedText, Rounding, Scaled, SizeChange, Stays};

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &ScaleVerb, format: Format) -> u8 {
    match scale(options, format) {
        Ok(code) | Err(code) => code,
    }
}

fn scale(options: &ScaleVerb, format: Format) -> Result<u8, u8> {
    let source = ProjectSource::read(&options.project).map_err(|d| report::fail(d, format))?;
    let project = NamedText {
        name: source.name,
        text: source.text,
    };
    let rounding = if options.exact {
        Rounding::Exact
    } else {
        Rounding::ToRuler
    };
    let name = options.out.display().to_string();
    let made = job::scale(&project, &name, &source.assets, options.by, rounding);
    let made = made.map_err(|mistakes| {
        report::show(&mistakes, &report::source(&project), format);
        WRONG
    })?;
    if made.checked.is_ok() {
        files::write_new_file(&options.out, made.scaled.text.as_bytes())
            .map_err(|d| report::fail(d, format))?;
    }
    Ok(tell(&made, options, &name, format))
}

/// Tells what was done, and returns the exit code.
fn tell(made: &ScaledProject, options: &ScaleVerb, name: &str, format: Format) -> u8 {
    let (notes, code) = match &made.checked {
        Ok(project) => (project.warnings.clone(), DONE),
        Err(mistakes) => {
            let mut mistakes = mistakes.clone();
            mistakes.push(refused(made, options));
            (mistakes, WRONG)
        }
    };
    let sources = Sources::from([(name.to_owned(), made.scaled.text.clone())]);
    match format {
        Format::Text => {
            report::show(&notes, &sources, format);
            if code == DONE {
                let wrote = format!("wrote {}\n", options.out.display());
                report::result(&(text(&made.scaled) + &wrote));
            }
        }
        Format::Json => {
            let change =
                |c: &SizeChange| json!({ "of": c.of, "key": c.key, "old": c.old, "new": c.new });
            let stays =
                |s: &Stays| json!({ "of": s.of, "key": s.key, "value": s.value, "why": s.why });
            report::result(&report::pretty(&json!({
                "changes": made.scaled.changes.iter().map(change).collect::<Vec<_>>(),
                "stays": made.scaled.stays.iter().map(stays).collect::<Vec<_>>(),
                "whole": made.scaled.whole,
                "diagnostics": report::to_json(&notes, &sources),
            })));
        }
    }
    code
}

/// Why nothing was written, and by how much it can be scaled.
fn refused(made: &ScaledProject, options: &ScaleVerb) -> Diagnostic {
    let message = format!(
        "scaled by {} it has mistakes, so nothing is written",
        options.by
    );
    let hint = match made.works_by {
        Some(by) => format!("--by {by} works"),
        None => "leave it as large as it is, or change the project first".to_owned(),
    };
    Diagnostic::error("scale.refused", message).hint(hint)
}

/// What grew, one line each, and what did not, by its reason.
fn text(scaled: &Scaled) -> String {
    let mut text = String::new();
    if scaled.changes.is_empty() {
        text += "nothing of this project grows with it\n";
    }
    for change in &scaled.changes {
        let SizeChange { of, key, old, new } = change;
        text += &format!("{of}: {key} {old} -> {new}\n");
    }
    let mut whys: Vec<&str> = Vec::new();
    for stays in &scaled.stays {
        if !whys.contains(&stays.why) {
            whys.push(stays.why);
        }
    }
    if !whys.is_empty() {
        text += "stays as it is:\n";
    }
    for why in whys {
        let of_this = scaled.stays.iter().filter(|s| s.why == why);
        let names: Vec<_> = of_this.map(kept).collect();
        text += &format!("    {}: {why}\n", names.join(", "));
    }
    if !scaled.whole.is_empty() {
        text += &format!(
            "drawn as a whole, so that flaps and clearances grew, too: {}; see whether they still fit\n",
            scaled.whole.join(", ")
        );
    }
    text
}

fn kept(stays: &Stays) -> String {
    let Stays { of, key, value, .. } = stays;
    match value {
        Some(value) => format!("{of} {key} {value}"),
        None => format!("{of} {key} (as usual)"),
    }
}
