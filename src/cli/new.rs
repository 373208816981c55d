//! `new`: a project file for a construction and a few sizes.

mod command_line;
mod kinds;

use serde_json::json;

use super::options::{CutByOption, Format, NewVerb};
use super::report;
use super::{DONE, WRONG};
use crate::construct;
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::job::{self, Fitted, NewProject, Started};
use crate::project::CutBy;
use command_line::CommandLine;

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &NewVerb, format: Format) -> u8 {
    let Some(name) = &options.construction else {
        report::result(&kinds::list(construct::KINDS, format));
        return DONE;
    };
    let kind = construct::named(name);
    match kind.filter(|_| options.parameters) {
        Some(kind) => {
            report::result(&kinds::parameters(kind, format));
            DONE
        }
        None => match make(options, name, format) {
            Ok(code) | Err(code) => code,
        },
    }
}

fn make(options: &NewVerb, name: &str, format: Format) -> Result<u8, u8> {
    let asked = asked(options, name);
    let line = CommandLine::of(options, name);
    let refuse = |mistakes: Vec<Diagnostic>| {
        report::show(&line.placed(mistakes), &line.sources(), format);
        WRONG
    };
    let (started, fitted) = match options.fit {
        Some(copies) => {
            let fitted = job::fit(&asked, u32::from(copies.get())).map_err(refuse)?;
            (fitted.started.clone(), Some(fitted))
        }
        None => (job::new_project(&asked).map_err(refuse)?, None),
    };
    if let Some(path) = &options.out {
        let written = files::write_new_file(path, started.text.as_bytes());
        written.map_err(|d| report::fail(d, format))?;
    }
    tell(options, &asked, &line, &started, fitted.as_ref(), format);
    Ok(DONE)
}

fn asked(options: &NewVerb, name: &str) -> NewProject {
    let sizes = [
        ("inside", &options.inside),
        ("outside", &options.outside),
        ("contents", &options.contents),
    ];
    let given = |(key, text): (&'static str, &Option<String>)| Some((key, text.clone()?));
    NewProject {
        sizes: sizes.into_iter().filter_map(given).collect(),
        ease: options.ease.clone(),
        grid: options.grid.clone(),
        parameters: options.set.clone(),
        id: options.id.clone(),
        name: options.name.clone(),
        copies: options.copies,
        paper: options.paper.clone(),
        caliper: options.caliper.clone(),
        grammage: options.grammage.clone(),
        cut_by: match options.cut_by {
            CutByOption::Machine => CutBy::Machine,
            CutByOption::Trimmer => CutBy::Trimmer,
        },
        ..NewProject::of(name)
    }
}

/// Tells what was made: the project itself where it goes to no file, then with all words beside it.
fn tell(
    options: &NewVerb,
    asked: &NewProject,
    line: &CommandLine,
    started: &Started,
    fitted: Option<&Fitted>,
    format: Format,
) {
    let notes = line.placed(started.project.warnings.clone());
    if format == Format::Json {
        let diagnostics = report::to_json(&notes, &line.sources());
        report::result(&report::pretty(&json!({
            "text": started.text,
            "fit": fitted.map(fitted_json),
            "diagnostics": diagnostics,
        })));
        return;
    }
    report::show(&notes, &line.sources(), format);
    let words = fitted.map_or_else(String::new, |fitted| fitted_text(fitted, started, asked));
    match &options.out {
        Some(path) => report::result(&format!("{words}wrote {}\n", path.display())),
        None => {
            report::talk(&words);
            report::result(&started.text);
        }
    }
}

fn fitted_text(fitted: &Fitted, started: &Started, asked: &NewProject) -> String {
    let project = &started.project.value;
    let copies = project.editions.first().map_or(1, |edition| edition.copies);
    let show = |length: crate::length::Length| length.display(project.job.lengths);
    let usual = if asked.is_inch() { "letter" } else { "a4" };
    let paper = asked.paper.as_deref().unwrap_or(usual);
    let (next, why) = &fitted.next;
    let mut text = format!(
        "the largest of which {copies} {} on one sheet of {paper}: {}, in steps of {}\n{next} is too large: {why}\n",
        if copies == 1 { "fits" } else { "fit" },
        fitted.sizes_text,
        show(fitted.step)
    );
    for (stock, sheets) in &fitted.others {
        let sheets = crate::diagnostic::counted(*sheets, "sheet");
        text += &format!("besides that {sheets} of {stock}\n");
    }
    text
}

fn fitted_json(fitted: &Fitted) -> serde_json::Value {
    let sizes_mm: Vec<_> = fitted.sizes.iter().map(|size| size.to_mm()).collect();
    json!({
        "sizes": fitted.sizes_text,
        "sizes_mm": sizes_mm,
        "step_mm": fitted.step.to_mm(),
        "next": fitted.next.0,
        "why_not_next": fitted.next.1,
        "other_stocks": fitted.others.iter().map(|(id, sheets)| json!({ "stock": id, "sheets": sheets })).collect::<Vec<_>>(),
    })
}

/// Reads `key=value`.
pub(super) fn key_and_value(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((key, value)) if !key.trim().is_empty() => {
            Ok((key.trim().to_owned(), value.trim().to_owned()))
        }
        Some(_) | None => Err("write a key and its value, like clearance=0.6mm".to_owned()),
    }
}
