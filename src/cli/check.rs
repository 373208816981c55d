//! `check`: every mistake of a project at once.

use super::options::{Format, ProjectOptions};
use super::report::{self, Sources};
use super::today::today;
use super::{DONE, WRONG};
use crate::diagnostic::{Diagnostic, Warned, counted, sort_by_place};
use crate::files::{self, ProjectSource};
use crate::job;
use crate::load::{self, NamedText, Target};
use crate::project::{Edition, Project};

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &ProjectOptions, format: Format) -> u8 {
    match open(options, format) {
        Err(code) => code,
        Ok(mut opened) => {
            let project = &mut opened.project;
            project.warnings.extend(job::too_large(&project.value));
            sort_by_place(&mut project.warnings);
            report::show(&opened.project.warnings, &opened.sources, format);
            if format == Format::Text {
                report::result(&summary(&opened.project));
            }
            DONE
        }
    }
}

/// A project that has been read, and the texts its places point into.
pub(super) struct Opened {
    pub(super) project: Warned<Project>,
    pub(super) sources: Sources,
}

/// Reads a project; on mistakes shows them and returns the exit code.
pub(super) fn open(options: &ProjectOptions, format: Format) -> Result<Opened, u8> {
    let (source, overrides) = read_restated(options, format)?;
    match job::check(&source.name, &source.text, &source.assets, &overrides) {
        Ok(project) => {
            let sources = sources(&source, &overrides, &project.warnings);
            Ok(Opened { project, sources })
        }
        Err(mistakes) => {
            report::show(&mistakes, &sources(&source, &overrides, &mistakes), format);
            Err(WRONG)
        }
    }
}

/// Reads a project without proving that it folds; on mistakes shows them and returns the exit code.
pub(super) fn open_unproved(options: &ProjectOptions, format: Format) -> Result<Opened, u8> {
    let (source, overrides) = read_restated(options, format)?;
    match load::project(&source.name, &source.text, &source.assets, &overrides) {
        Ok(project) => {
            let sources = sources(&source, &overrides, &project.warnings);
            Ok(Opened { project, sources })
        }
        Err(mistakes) => {
            report::show(&mistakes, &sources(&source, &overrides, &mistakes), format);
            Err(WRONG)
        }
    }
}

/// Reads the files, and gives the project round sizes in other units if they are asked for.
fn read_restated(
    options: &ProjectOptions,
    format: Format,
) -> Result<(ProjectSource, load::Options), u8> {
    let (mut source, overrides) = read(options).map_err(|d| report::fail(d, format))?;
    if let Some(units) = options.units {
        let project = NamedText {
            name: source.name.clone(),
            text: source.text.clone(),
        };
        let target = Target::of(units.into());
        let name = format!("{} in {}", source.name, units.name());
        let restated = job::restate(&project, &name, &source.assets, &overrides, target);
        let restated = restated.map_err(|mistakes| {
            report::show(&mistakes, &sources(&source, &overrides, &mistakes), format);
            WRONG
        })?;
        let texts = Sources::from([(name.clone(), restated.restated.text.clone())]);
        match &restated.checked {
            Ok(checked) => {
                let own = checked
                    .warnings
                    .iter()
                    .filter(|d| d.code == job::KEPT_WORDS);
                report::show(&own.cloned().collect::<Vec<_>>(), &texts, format);
            }
            Err(mistakes) => {
                report::show(mistakes, &texts, format);
                return Err(WRONG);
            }
        }
        (source.name, source.text) = (name, restated.restated.text);
    }
    Ok((source, overrides))
}

fn read(options: &ProjectOptions) -> Result<(ProjectSource, load::Options), Diagnostic> {
    let profile =
        |path: &Option<std::path::PathBuf>| path.as_deref().map(files::read_text).transpose();
    let overrides = load::Options {
        printer: profile(&options.printer)?,
        cutter: profile(&options.cutter)?,
        trimmer: profile(&options.trimmer)?,
        on_hand: profile(&options.on_hand)?,
        today: Some(today()),
    };
    Ok((ProjectSource::read(&options.project)?, overrides))
}

/// The texts of all files that diagnostics point into.
fn sources(
    source: &ProjectSource,
    overrides: &load::Options,
    diagnostics: &[Diagnostic],
) -> Sources {
    let mut sources = Sources::from([(source.name.clone(), source.text.clone())]);
    let overrides = [
        &overrides.printer,
        &overrides.cutter,
        &overrides.trimmer,
        &overrides.on_hand,
    ];
    for profile in overrides.into_iter().flatten() {
        sources.insert(profile.name.clone(), profile.text.clone());
    }
    load::add_texts_of(diagnostics, &source.assets, &mut sources);
    sources
}

fn summary(project: &Warned<Project>) -> String {
    let Project {
        job,
        pieces,
        stocks,
        editions,
        ..
    } = &project.value;
    let sum = |count: fn(&Edition) -> u32| editions.iter().map(|e| count(e) as usize).sum();
    let copies = match sum(|e| e.copies) {
        1 => "1 copy".to_owned(),
        copies => format!("{copies} copies"),
    };
    let spares = match sum(|e| e.spares) {
        0 => String::new(),
        spares => format!(" and {}", counted(spares, "spare")),
    };
    let warnings = match project.warnings.len() {
        0 => "no mistakes".to_owned(),
        1 => "no mistakes, 1 warning".to_owned(),
        n => format!("no mistakes, {n} warnings"),
    };
    let (pieces, stocks) = (
        counted(pieces.len(), "piece"),
        counted(stocks.len(), "stock"),
    );
    format!(
        "{}: {pieces}, {stocks}, {copies}{spares}; {warnings}\n",
        job.name
    )
}
