//! `restate`: a project with round sizes of its own in other units.

use std::path::Path;

use serde_json::json;

use super::options::{Format, RestateVerb};
use super::report::{self, Sources};
use super::{DONE, WRONG};
use crate::files::{self, ProjectSource};
use crate::job::{self, RestatedProject};
use crate::load::{self, NamedText, SizeChange, Target, Units};

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &RestateVerb, format: Format) -> u8 {
    match restate(options, format) {
        Ok(code) | Err(code) => code,
    }
}

fn restate(options: &RestateVerb, format: Format) -> Result<u8, u8> {
    let source = ProjectSource::read(&options.project).map_err(|d| report::fail(d, format))?;
    let project = NamedText {
        name: source.name,
        text: source.text,
    };
    let units = Units::from(options.units);
    let target = Target {
        units,
        grid: options.grid.unwrap_or(units.usual_grid()),
    };
    let name = options.out.display().to_string();
    let given = load::Options::default();
    let made = job::restate(&project, &name, &source.assets, &given, target);
    let made = made.map_err(|mistakes| {
        report::show(&mistakes, &report::source(&project), format);
        WRONG
    })?;
    if made.checked.is_ok() {
        files::write_new_file(&options.out, made.restated.text.as_bytes())
            .map_err(|d| report::fail(d, format))?;
    }
    Ok(tell(&made, &options.out, &name, format))
}

/// Tells what was done, and returns the exit code.
fn tell(made: &RestatedProject, out: &Path, name: &str, format: Format) -> u8 {
    let (notes, code) = match &made.checked {
        Ok(project) => (&project.warnings, DONE),
        Err(mistakes) => (mistakes, WRONG),
    };
    let sources = Sources::from([(name.to_owned(), made.restated.text.clone())]);
    match format {
        Format::Text => {
            report::result(&text(made));
            report::show(notes, &sources, format);
            report::result(&if code == DONE {
                format!("wrote {}\n", out.display())
            } else {
                "nothing is written\n".to_owned()
            });
        }
        Format::Json => {
            let change =
                |c: &SizeChange| json!({ "of": c.of, "key": c.key, "old": c.old, "new": c.new });
            report::result(&report::pretty(&json!({
                "units": made.target.units.name(),
                "grid_mm": made.target.grid.to_mm(),
                "changes": made.restated.changes.iter().map(change).collect::<Vec<_>>(),
                "diagnostics": report::to_json(notes, &sources),
            })));
        }
    }
    code
}

/// What changed, one line each.
fn text(made: &RestatedProject) -> String {
    let changes = &made.restated.changes;
    if changes.is_empty() {
        let units = made.target.units.noun();
        return format!("nothing to restate: all sizes are in {units} already\n");
    }
    let line = |c: &SizeChange| format!("{}: {} {} -> {}\n", c.of, c.key, c.old, c.new);
    changes.iter().map(line).collect()
}
