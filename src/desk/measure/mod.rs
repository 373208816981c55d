//! Measure: what a printer and a cutter do, and where one printed sheet lies.
//!
//! `questions` says what is read and how, `profile` makes a profile of readings or a scan, `sheet` finds a printed sheet by its marks.

mod profile;
mod questions;
mod sheet;

use std::num::NonZeroUsize;

use serde_json::{Value, json};

use super::answer::{Answer, Asked, Outcome, Refused};
use super::calls::UPLOAD_BYTES;
use super::made::media_type;
use super::project::nothing_open;
use super::{Desk, checked, locked, start};
use crate::calibrate::chart::{self, Chart, ChartEdition, ChartFaces};
use crate::calibrate::{TestCut, printer_words, test_cut, within_words};
use crate::diagnostic::{Diagnostic, counted};
use crate::plan::PlanOptions;
use crate::project::{CutterProfile, PrinterProfile, Project};
use crate::{emit, job, paper};

pub(super) use profile::{read, scan};
pub(super) use questions::questions;
pub(super) use sheet::{register, register_scan};

/// Where a picture of the errors of a scanned chart is kept.
const ERRORS: &str = "errors.png";
/// Where the files of a registered sheet are kept.
const REGISTERED: &str = "registered.zip";

/// Which chart is meant, as the page says it.
struct ChartAsked<'a> {
    paper: &'a str,
    edition: &'a str,
    has_back: bool,
}

impl<'a> ChartAsked<'a> {
    fn of(asked: &'a Asked) -> Self {
        let text = |key: &str| asked.query.get(key).map_or("", String::as_str);
        Self {
            paper: text("paper"),
            edition: text("edition"),
            has_back: text("back") == "true",
        }
    }

    /// The format's name, and the chart for it.
    fn chart(&self) -> Result<(String, Chart), Diagnostic> {
        let Some(format) = paper::find(self.paper) else {
            let message = format!("no sheet format is called \"{}\"", self.paper);
            return Err(Diagnostic::error("calibrate.paper", message));
        };
        let edition = match self.edition {
            "inch" => ChartEdition::Inches,
            _ => ChartEdition::Millimetres,
        };
        Ok((format.name().to_owned(), Chart::upright(format, edition)?))
    }

    const fn faces(&self) -> ChartFaces {
        if self.has_back {
            ChartFaces::Both
        } else {
            ChartFaces::Front
        }
    }
}

/// A mistake as an answer that something does not work.
fn does_not_work(mistakes: &[Diagnostic]) -> Answer {
    let diagnostics = checked::to_json(mistakes, &checked::Sources::new());
    Answer::Json(json!({ "works": false, "diagnostics": diagnostics }))
}

fn refused(found: &Diagnostic) -> Refused {
    Refused::wrong(&found.message)
}

pub(super) fn known(desk: &Desk, _: &Asked) -> Outcome {
    let open = desk.open();
    let project = open.sound().map(|(_, project)| project.as_ref());
    let made = desk.work.made();
    let sheets = made
        .as_ref()
        .map_or_else(Vec::new, |set| sheet::marked(set));
    Ok(Answer::Json(json!({
        "papers": start::papers(),
        "printer": project.and_then(|p| printer(p, open.text())),
        "cutter": project.and_then(|p| cutter(p, open.text())),
        "sheets": sheets,
        "cap_bytes": UPLOAD_BYTES,
    })))
}

/// The file that a project names for a machine.
fn named(text: Option<&str>, machine: &str) -> Option<String> {
    let doc = super::document::to_json(text?)?;
    Some(doc["job"][machine].as_str()?.to_owned())
}

fn printer(project: &Project, text: Option<&str>) -> Option<Value> {
    let PrinterProfile {
        name, calibration, ..
    } = &project.printer;
    let file = named(text, "printer")?;
    let words = match calibration {
        Some(found) => {
            let mut words = printer_words(&found.front, found.page);
            words.push(within_words(&found.front, found.page));
            words
        }
        None => vec!["where it puts what it prints was never measured".to_owned()],
    };
    Some(json!({ "file": file, "name": name, "words": words }))
}

fn cutter(project: &Project, text: Option<&str>) -> Option<Value> {
    let CutterProfile {
        name, calibration, ..
    } = &project.cutter;
    let file = named(text, "cutter")?;
    let words = match calibration {
        Some(found) => format!("measured {}", crate::date::show(found.date)),
        None => "where it cuts was never measured".to_owned(),
    };
    Some(json!({ "file": file, "name": name, "words": [words] }))
}

/// The chart, drawn, read back and proved like any other print.
pub(super) fn chart_file(_: &Desk, asked: &Asked) -> Outcome {
    let which = ChartAsked::of(asked);
    let (_, chart) = which.chart().map_err(|d| refused(&d))?;
    let project = chart::project(&chart, which.faces());
    let broken = |found: &[Diagnostic]| {
        let first = found
            .first()
            .map_or("the chart cannot be made", |d| &d.message);
        Refused::broken(first)
    };
    let planned = job::plan(&project, &PlanOptions::default()).map_err(|d| broken(&d))?;
    let made = job::make(&project, &planned.value, NonZeroUsize::MIN);
    let mut made = made.map_err(|d| broken(&[d]))?;
    if !made.verdict.is_proved() {
        return Err(broken(&[]));
    }
    let bytes = made
        .files
        .remove("print.pdf")
        .ok_or_else(Refused::missing)?;
    Ok(Answer::File {
        kind: media_type("print.pdf"),
        bytes,
        name: Some(format!("chart-{}.pdf", which.paper)),
    })
}

pub(super) fn test_cut_file(_: &Desk, asked: &Asked) -> Outcome {
    let which = ChartAsked::of(asked);
    let (_, chart) = which.chart().map_err(|d| refused(&d))?;
    Ok(Answer::File {
        kind: media_type(".svg"),
        bytes: emit::svg::write(&test_cut(&chart, TestCut::Cut)).into_bytes(),
        name: Some(format!("test-cut-{}.svg", which.paper)),
    })
}

pub(super) fn errors_file(desk: &Desk, _: &Asked) -> Outcome {
    kept(desk, ERRORS)
}

pub(super) fn registered_file(desk: &Desk, _: &Asked) -> Outcome {
    kept(desk, REGISTERED)
}

fn kept(desk: &Desk, name: &'static str) -> Outcome {
    let bytes = locked(&desk.measured).get(name).cloned();
    Ok(Answer::File {
        kind: media_type(name),
        bytes: bytes.ok_or_else(Refused::missing)?,
        name: (name == REGISTERED).then(|| name.to_owned()),
    })
}

/// Warnings in words, after what was found.
fn with_warnings(mut words: Vec<String>, warnings: &[Diagnostic]) -> Vec<String> {
    words.extend(warnings.iter().map(|d| d.message.clone()));
    words
}

/// `1 sheet`, `6 sheets`.
fn times(runs: u32) -> String {
    counted(runs, "sheet")
}

/// There is no project that a profile could be named in.
fn no_project() -> Refused {
    nothing_open()
}
