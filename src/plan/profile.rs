//! What a printer's profile cannot say of the sheets of a job, one warning of a kind.

use std::collections::BTreeSet;

use kurbo::Size;

use super::Sheet;
use super::reach::{Known, known};
use super::unplaced::size_text;
use crate::diagnostic::Diagnostic;
use crate::project::{Calibration, Face, Project};

/// Returns a warning each for printed sheets of another format than the profile's, for those that lie the other way, for backs that
/// were not measured, and for other paper.
pub(super) fn warnings(project: &Project, sheets: &[Sheet]) -> Vec<Diagnostic> {
    let Some(calibration) = &project.printer.calibration else {
        return Vec::new();
    };
    let faces = sheets.iter().flat_map(|sheet| {
        let size = Size::new(sheet.width_mm, sheet.height_mm);
        let faces = [(sheet.front, Face::Front), (sheet.back, Face::Back)];
        let printed = faces.into_iter().filter(|(printed, _)| printed.is_some());
        printed.map(move |(_, face)| (sheet.stock, known(project, size, face)))
    });
    let faces: Vec<(usize, Known)> = faces.collect();
    let stocks = |is: fn(&Known) -> bool| -> Vec<usize> {
        let own = faces.iter().filter(|(_, known)| is(known));
        own.map(|(stock, _)| *stock)
            .collect::<BTreeSet<_>>()
            .into_iter()
            .collect()
    };
    let other_format = stocks(|k| matches!(k, Known::OtherFormat(_)));
    let other_way = stocks(|k| matches!(k, Known::OtherWay));
    let other_face = stocks(|k| matches!(k, Known::OtherFace));
    let printed = stocks(|_| true);
    let found = [
        format(project, calibration, &other_format),
        way(project, calibration, &other_way),
        face(project, calibration, &other_face),
        paper(project, calibration, &printed),
    ];
    found.into_iter().flatten().collect()
}

fn warning(project: &Project, code: &'static str, text: String) -> Diagnostic {
    let warning = Diagnostic::warning(code, text);
    match &project.printer.origin {
        Some(origin) => warning.at(origin),
        None => warning,
    }
}

/// `"oat" (8 1/2 in x 11 in), "moss" (...)`.
fn spell(project: &Project, stocks: &[usize]) -> String {
    let names = stocks.iter().map(|stock| {
        let stock = &project.stocks[*stock];
        let size = size_text(project, stock.width.to_mm(), stock.height.to_mm());
        format!("\"{}\" ({size})", stock.id)
    });
    names.collect::<Vec<_>>().join(", ")
}

fn measured_on(project: &Project, calibration: &Calibration) -> String {
    let page = calibration.page;
    let size = size_text(project, page.width, page.height);
    format!(
        "the printer was measured on {} ({size})",
        calibration.format
    )
}

fn format(project: &Project, calibration: &Calibration, stocks: &[usize]) -> Option<Diagnostic> {
    if stocks.is_empty() {
        return None;
    }
    let text = format!(
        "{}, this job is printed on {}; the shift of the middle of the page is taken to be the same",
        measured_on(project, calibration),
        spell(project, stocks)
    );
    let hint = "print one sheet and hold it against the plan, or make a chart of that format and measure it";
    Some(warning(project, "plan.profile-format", text).hint(hint))
}

fn way(project: &Project, calibration: &Calibration, stocks: &[usize]) -> Option<Diagnostic> {
    if stocks.is_empty() {
        return None;
    }
    let text = format!(
        "{}, {} is fed the other way: its pages are printed as they are, nothing is made up for",
        measured_on(project, calibration),
        spell(project, stocks)
    );
    let hint = "make a chart of that format lying that way with `calibrate chart` and measure it, or lay the stock the other way";
    Some(warning(project, "plan.profile-lying", text).hint(hint))
}

fn face(project: &Project, calibration: &Calibration, stocks: &[usize]) -> Option<Diagnostic> {
    if stocks.is_empty() {
        return None;
    }
    let text = format!(
        "the profile of {} knows the front alone: backs on {} are printed as they are, nothing is made up for",
        calibration.date_text(),
        spell(project, stocks)
    );
    let hint =
        "print the chart on both sides with `calibrate chart --duplex` and measure the back, too";
    Some(warning(project, "plan.profile-back", text).hint(hint))
}

/// Papers are compared by their words: one that names the other is the same.
fn paper(project: &Project, calibration: &Calibration, stocks: &[usize]) -> Option<Diagnostic> {
    let measured = calibration.paper.as_ref()?.to_lowercase();
    let is_same = |words: &str| {
        let words = words.to_lowercase();
        words.contains(&measured) || measured.contains(&words)
    };
    let others: Vec<usize> = stocks
        .iter()
        .copied()
        .filter(|stock| {
            let stock = &project.stocks[*stock];
            !is_same(&stock.name) && !is_same(&stock.id)
        })
        .collect();
    if others.is_empty() {
        return None;
    }
    let text = format!(
        "the printer was measured with \"{}\", this job is printed on {}",
        calibration.paper.as_deref().unwrap_or_default(),
        spell(project, &others)
    );
    let hint = "thicker or damper paper may be fed a little otherwise: hold the first sheet against the plan";
    Some(warning(project, "plan.profile-paper", text).hint(hint))
}
