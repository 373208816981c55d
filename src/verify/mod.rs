//! Reads the files of a made folder back and compares them with the plan in it.
//!
//! [`folder`] needs the files alone, and measures them again even if other programs have saved them since. Nothing here knows
//! how the files were drawn or written. Read `verdict` first, which is what comes out, then `plan`, which reads `plan.json`, and
//! `consistency`, which compares it with itself (with `edge`) and has `trimmer` follow its cuts. `svg` and `pdf` say what is in a file.
//! `cut_file` (with `reference` and `was_cut`, where it is cut), `print_file` (with `printed`, where it comes out) and `proof_file` (both with `page`, `artwork`, `clip` and `caption`), `marks`, `picture`
//! and `cut_list` compare that with the plan, `templates` (with `pieces`) with `templates.pdf`, `handout` with `instructions.pdf` and `kit.pdf`, `leftovers` with `leftovers.toml`, `folded` the pictures of folded objects, and `digest` with `report.json`. Below them `compare`
//! tells how far a path is off and in which way, by `trace`, `deviation` and
//! `motion`.
//!
//! What stays unproved: that the pixels of a PNG picture are those of its file (the PDF holds them re-packed, with the file's
//! digest beside them), the inside of vector pictures, the words of captions, and of the pages for the table what `handout` says is
//! not read.

use std::collections::BTreeMap;

mod artwork;
mod caption;
mod clip;
mod compare;
mod consistency;
mod cut_file;
mod cut_list;
mod deviation;
mod digest;
mod edge;
mod folded;
mod handout;
mod leftovers;
mod marks;
mod motion;
mod page;
mod pdf;
mod picture;
mod pieces;
mod plan;
mod print_file;
mod printed;
mod proof_file;
mod reference;
mod svg;
mod templates;
mod trace;
mod trimmer;
mod verdict;
mod was_cut;

use crate::diagnostic::Diagnostic;
use crate::plan::file::PlanFile;
use plan::PlannedSheet;
pub use svg::{CutFound, CutPathFound};
pub use verdict::{FileVerdict, Finding, Verdict};

/// Measures the files of a folder, by name, against its `plan.json`.
///
/// # Errors
///
/// There is no `plan.json`, it cannot be read, or one of its paths is no path. Whatever is wrong with other files is a finding.
pub fn folder(files: &BTreeMap<String, Vec<u8>>) -> Result<Verdict, Diagnostic> {
    let plan = plan::read_plan(files)?;
    let sheets = plan::planned_sheets(&plan)?;
    let mut verdict = Verdict {
        files: vec![consistency::check(&plan, &sheets)],
    };
    let pages = print_file::planned_pages(&sheets);
    if pages > 0 || files.contains_key(print_file::NAME) {
        verdict.files.push(match files.get(print_file::NAME) {
            Some(bytes) => print_file::check(bytes, &sheets, plan.printer.as_ref()),
            None => missing(print_file::NAME),
        });
    }
    verdict.files.push(match files.get(proof_file::NAME) {
        Some(bytes) => proof_file::check(bytes, &sheets),
        None => missing(proof_file::NAME),
    });
    if plan.templates.is_some() || files.contains_key(templates::NAME) {
        verdict.files.push(match files.get(templates::NAME) {
            Some(bytes) => templates::check(bytes, &sheets),
            None => missing(templates::NAME),
        });
    }
    for (name, is_planned) in [
        (handout::INSTRUCTIONS, plan.handout.is_some()),
        (handout::KIT, handout::has_kit(&plan)),
    ] {
        verdict
            .files
            .extend(for_the_table(files, name, is_planned, &plan, &sheets));
    }
    if cut_list::is_planned(&sheets) || files.contains_key(cut_list::NAME) {
        verdict.files.push(match files.get(cut_list::NAME) {
            Some(bytes) => cut_list::check(bytes, &sheets),
            None => missing(cut_list::NAME),
        });
    }
    for (name, sheets) in cut_files(&sheets) {
        verdict.files.push(files.get(name).map_or_else(
            || missing(name),
            |bytes| cut_file::check(name, bytes, &plan, &sheets),
        ));
    }
    for sheet in &sheets {
        for name in sheet.pictures() {
            let checked = files
                .get(&name)
                .map(|bytes| picture::check(&name, bytes, sheet));
            verdict
                .files
                .push(checked.unwrap_or_else(|| missing(&name)));
        }
    }
    if !plan.leftovers.is_empty() || files.contains_key(leftovers::NAME) {
        let checked = files
            .get(leftovers::NAME)
            .map(|bytes| leftovers::check(bytes, &plan));
        verdict
            .files
            .push(checked.unwrap_or_else(|| missing(leftovers::NAME)));
    }
    verdict.files.extend(folded::check(files, &plan)?);
    verdict.files.extend(unplanned(files, &sheets));
    let report = files.get(digest::NAME);
    verdict
        .files
        .extend(report.map(|report| digest::check(report, files)));
    Ok(verdict)
}

/// Returns the plan of a set that was proved, as it was made, and the SHA-256 of its file in hexadecimal.
///
/// # Errors
///
/// There is no readable plan, the set failed its proof, or the plan has changed since.
pub fn made_plan(files: &BTreeMap<String, Vec<u8>>) -> Result<(PlanFile, String), Diagnostic> {
    let plan = plan::read_plan(files)?;
    Ok((plan, digest::unchanged(files, plan::NAME)?))
}

/// Returns the path of data as `plan.json` has it, or `None` where it is none.
#[must_use]
pub fn path(data: &str) -> Option<kurbo::BezPath> {
    trace::read(data).ok()
}

/// Returns what a cut file of a set that was proved holds, as it was made.
///
/// # Errors
///
/// The set failed its proof, or the file has changed since, is missing or cannot be read.
pub fn made_cut_file(
    files: &BTreeMap<String, Vec<u8>>,
    name: &str,
) -> Result<CutFound, Diagnostic> {
    digest::unchanged(files, name)?;
    let bytes = files.get(name).map_or(&[][..], Vec::as_slice);
    svg::read_svg(bytes).map_err(|error| {
        let message = format!("{name} {error}");
        Diagnostic::error("verify.unreadable", message).hint("make the job again")
    })
}

/// What is found in one of the files for the maker's table; `None` where none is planned and none is there.
fn for_the_table(
    files: &BTreeMap<String, Vec<u8>>,
    name: &str,
    is_planned: bool,
    plan: &PlanFile,
    sheets: &[PlannedSheet<'_>],
) -> Option<FileVerdict> {
    match (files.get(name), &plan.handout) {
        (None, _) => is_planned.then(|| missing(name)),
        (Some(_), None) => Some(extra(name, "is not planned")),
        (Some(bytes), Some(told)) if name == handout::KIT => Some(handout::kit(bytes, told)),
        (Some(bytes), Some(told)) => Some(handout::instructions(bytes, told, sheets)),
    }
}

/// The cut files with the sheets that share each, in the order of the plan.
fn cut_files<'s, 'p>(
    sheets: &'s [PlannedSheet<'p>],
) -> BTreeMap<&'p str, Vec<&'s PlannedSheet<'p>>> {
    let mut files: BTreeMap<&str, Vec<&PlannedSheet<'_>>> = BTreeMap::new();
    for sheet in sheets {
        if let Some(name) = &sheet.entry.cut_file {
            files.entry(name).or_default().push(sheet);
        }
    }
    files
}

fn missing(name: &str) -> FileVerdict {
    let mut tally = verdict::Tally::new(name);
    tally.add(Finding::new("verify.missing", format!("{name} is missing")));
    tally.finish()
}

fn extra(name: &str, why: &str) -> FileVerdict {
    let mut tally = verdict::Tally::new(name);
    tally.add(Finding::new("verify.extra", format!("{name} {why}")));
    tally.finish()
}

/// Cut files and pictures that no sheet of the plan names.
fn unplanned(files: &BTreeMap<String, Vec<u8>>, sheets: &[PlannedSheet<'_>]) -> Vec<FileVerdict> {
    let is_ours = |name: &str| {
        (name.starts_with("cut-") && name.ends_with(".svg"))
            || (name.starts_with("sheet-") && name.ends_with(".png"))
    };
    let is_planned = |name: &str| {
        sheets.iter().any(|sheet| {
            sheet.pictures().iter().any(|picture| picture == name)
                || sheet.entry.cut_file.as_deref() == Some(name)
        })
    };
    files
        .keys()
        .filter(|name| is_ours(name) && !is_planned(name))
        .map(|name| extra(name, "belongs to no sheet of the plan"))
        .collect()
}
