//! `register`: one printed sheet found, and its cut file moved.

use std::collections::BTreeMap;
use std::io::{self, BufRead, IsTerminal};
use std::path::Path;

use kurbo::Point;
use serde_json::json;

use super::options::{Format, RegisterVerb};
use super::report::{self, Sources};
use super::{DONE, USAGE, WRONG};
use crate::diagnostic::{Diagnostic, Warned};
use crate::emit;
use crate::files;
use crate::fit::Spread;
use crate::length::{Length, Size, parse_pair};
use crate::load::{self, MarkFoundAt, MarkRead, MarkReadings};
use crate::register::scanned::ScanScale;
use crate::register::{
    self, MarkReading, NAME, Pictured, PrintedSheet, ReadBy, from_offsets, parse_reading,
    parse_verniers, pooled, prick_offset_mm, prick_sheet,
};
use crate::scan::Picture;

/// What went wrong: mistakes with the texts they point into, and the exit code.
type Failure = (Vec<Diagnostic>, Sources, u8);

/// Runs the verb and returns the exit code.
pub(super) fn run(options: &RegisterVerb, format: Format) -> u8 {
    run_all(options, format).unwrap_or_else(|(mistakes, sources, code)| {
        report::show(&mistakes, &sources, format);
        code
    })
}

fn run_all(options: &RegisterVerb, format: Format) -> Result<u8, Failure> {
    let made = files::read_folder(&options.folder).map_err(|d| fail(d, USAGE))?;
    let typed = read_file(options)?;
    let in_file = typed.as_ref().and_then(|(typed, _)| typed.sheet);
    let number = options.sheet.or(in_file);
    let number = number.map(|n| usize::try_from(n).unwrap_or(usize::MAX));
    let sheet = PrintedSheet::read(&made, number).map_err(|d| fail(d, WRONG))?;
    if options.prick {
        return prick(options, &sheet, format);
    }
    let read_by = if options.pricked {
        ReadBy::Prick
    } else {
        ReadBy::Ruler
    };
    let (read_by, readings, beside, mut warnings) = match pictured(options, &sheet)? {
        Some((read_by, found)) => (
            read_by,
            found.value.readings,
            found.value.beside,
            found.warnings,
        ),
        None => (
            read_by,
            readings(options, typed, &sheet, read_by)?,
            Spread::NONE,
            Vec::new(),
        ),
    };
    let how = register::Options {
        read_by,
        turn_deg: options.turn,
        beside,
    };
    let mut registered = register::register(&sheet, &readings, &how)
        .map_err(|mistakes| (mistakes, Sources::new(), WRONG))?;
    warnings.append(&mut registered.warnings);
    registered.warnings = warnings;
    if let Some(out) = &options.out {
        files::write_folder_of(out, &registered.value.files, is_ours)
            .map_err(|d| fail(d, USAGE))?;
    }
    let found = &registered.value.registration;
    match format {
        Format::Json => report::result(&report::pretty(&json!({
            "folder": options.out,
            "registration": found,
            "diagnostics": report::to_json(&registered.warnings, &Sources::new()),
        }))),
        Format::Text => {
            report::show(&registered.warnings, &Sources::new(), format);
            report::result(&register::text(found, options.details));
            report::result(&written(options, &[&sheet.cut_file, NAME]));
        }
    }
    Ok(DONE)
}

fn fail(diagnostic: Diagnostic, code: u8) -> Failure {
    (vec![diagnostic], Sources::new(), code)
}

/// Files that a folder of this verb may hold.
fn is_ours(name: &str) -> bool {
    let is_svg = |start: &str| name.starts_with(start) && name.ends_with(".svg");
    name == NAME || is_svg("cut-") || is_svg("prick-")
}

fn written(options: &RegisterVerb, names: &[&str]) -> String {
    match &options.out {
        Some(out) => format!("written to {}: {}\n", out.display(), names.join(", ")),
        None => "nothing written: --out DIR writes the moved cut file\n".to_owned(),
    }
}

/// The marks in a scan or a photo, if one is named.
fn pictured(
    options: &RegisterVerb,
    sheet: &PrintedSheet,
) -> Result<Option<(ReadBy, Warned<Pictured>)>, Failure> {
    let ruled = options
        .sheet_size
        .as_deref()
        .map(sheet_size)
        .transpose()
        .map_err(|d| fail(d, USAGE))?;
    let decoded = |path: &Path| {
        let bytes = files::read_picture(path).map_err(|d| fail(d, USAGE))?;
        Picture::decode(&bytes).map_err(|d| fail(d, WRONG))
    };
    let found = match (&options.scan, &options.photo) {
        (Some(path), _) => {
            let scale = match (options.scanner_scale, ruled) {
                (Some((rows, columns)), _) => ScanScale::Scanner(rows, columns),
                (None, Some(size)) => ScanScale::Sheet(size),
                (None, None) => ScanScale::Stated,
            };
            (
                ReadBy::Scan,
                register::from_scan(sheet, &decoded(path)?, scale),
            )
        }
        (None, Some(path)) => (
            ReadBy::Photo,
            register::from_photo(sheet, &decoded(path)?, ruled),
        ),
        (None, None) => return Ok(None),
    };
    let (read_by, found) = found;
    Ok(Some((read_by, found.map_err(|d| fail(d, WRONG))?)))
}

fn sheet_size(text: &str) -> Result<kurbo::Size, Diagnostic> {
    let (width, height) = parse_pair(text, None).map_err(|e| {
        Diagnostic::error(
            "register.sheet-size",
            format!("--sheet-size: {}", e.message()),
        )
        .hint(e.hint())
    })?;
    Ok(kurbo::Size::new(width.to_mm(), height.to_mm()))
}

/// Writes the file that pricks.
fn prick(options: &RegisterVerb, sheet: &PrintedSheet, format: Format) -> Result<u8, Failure> {
    let Some(out) = &options.out else {
        let error = Diagnostic::error(
            "register.prick",
            "--prick writes a file, and --out is not given",
        );
        return Err(fail(
            error.hint("name a new folder, for example: --out pricked"),
            USAGE,
        ));
    };
    let name = sheet.cut_file.replace("cut-", "prick-");
    let text = emit::svg::write(&prick_sheet(sheet));
    let files = BTreeMap::from([(name.clone(), text.into_bytes())]);
    files::write_folder_of(out, &files, is_ours).map_err(|d| fail(d, USAGE))?;
    match format {
        Format::Json => report::result(&report::pretty(&json!({ "folder": out, "file": name }))),
        Format::Text => {
            report::result(&written(options, &[&name]));
            report::result(&next_text(options, sheet));
        }
    }
    Ok(DONE)
}

fn next_text(options: &RegisterVerb, sheet: &PrintedSheet) -> String {
    let what = if sheet.has_mark_scales {
        "beside each mark, read the printed line at or before the first pricked one, and the pricked line that meets a printed one"
    } else {
        "measure how far each printed mark's centre is to the right of and below its pricked cross"
    };
    format!(
        "next: load the sheet, let the machine draw this file with a pen or score it lightly, and leave the sheet where it is\n{what}\nthen: sheetwright register {} --sheet {} --pricked --out registered\n",
        options.folder.display(),
        sheet.number
    )
}

/// The file of readings with its text, if one is named.
fn read_file(options: &RegisterVerb) -> Result<Option<(MarkReadings, Sources)>, Failure> {
    let Some(path) = &options.readings else {
        return Ok(None);
    };
    let file = files::read_text(path).map_err(|d| fail(d, USAGE))?;
    let sources = report::source(&file);
    match load::mark_readings(&file.name, &file.text) {
        Ok(readings) => Ok(Some((readings, sources))),
        Err(mistakes) => Err((mistakes, sources, WRONG)),
    }
}

/// The readings from flags, a file or the terminal, as places on the sheet.
fn readings(
    options: &RegisterVerb,
    file: Option<(MarkReadings, Sources)>,
    sheet: &PrintedSheet,
    read_by: ReadBy,
) -> Result<Vec<MarkReading>, Failure> {
    let stated_mm = file.as_ref().and_then(|(file, _)| file.sigma_mm);
    let read = match file {
        Some((file, _)) => file.marks,
        None if options.marks.is_empty() => asked(sheet, read_by)?,
        None => typed(&options.marks, read_by)?,
    };
    let sigma_mm = match &options.reading_error {
        Some(text) => reading_error_mm(text).map_err(|d| fail(d, USAGE))?,
        None => stated_mm.unwrap_or(read_by.usual_sigma_mm()),
    };
    let read = read.iter().map(|mark| (mark.id.clone(), place(mark)));
    let readings = pooled(&read.collect::<Vec<_>>(), sigma_mm);
    Ok(match read_by {
        ReadBy::Prick => from_offsets(sheet, &readings),
        ReadBy::Ruler | ReadBy::Scan | ReadBy::Photo => readings,
    })
}

fn reading_error_mm(text: &str) -> Result<f64, Diagnostic> {
    let wrong =
        |message: String, hint: String| Diagnostic::error("register.reading", message).hint(hint);
    let length = Length::parse(text, None)
        .map_err(|e| wrong(format!("--reading-error: {}", e.message()), e.hint()))?;
    let size = Size::new(length).ok_or_else(|| {
        let hint = "write --reading-error \"0.1 mm\"".to_owned();
        wrong(
            "--reading-error is zero, and nobody reads without error".to_owned(),
            hint,
        )
    })?;
    Ok(size.to_mm())
}

fn place(mark: &MarkRead) -> Point {
    match mark.found {
        MarkFoundAt::Place(at) => at,
        MarkFoundAt::Verniers([x, y]) => {
            Point::new(prick_offset_mm(x.0, x.1), prick_offset_mm(y.0, y.1))
        }
    }
}

fn typed(marks: &[String], read_by: ReadBy) -> Result<Vec<MarkRead>, Failure> {
    let mut mistakes = Vec::new();
    let mut read = Vec::new();
    for text in marks {
        match one_typed(text, read_by) {
            Ok(mark) => read.push(mark),
            Err(mistake) => mistakes.push(mistake),
        }
    }
    if mistakes.is_empty() {
        Ok(read)
    } else {
        Err((mistakes, Sources::new(), USAGE))
    }
}

fn one_typed(text: &str, read_by: ReadBy) -> Result<MarkRead, Diagnostic> {
    if let (ReadBy::Prick, Some((id, both))) = (read_by, parse_verniers(text)) {
        let found = MarkFoundAt::Verniers(both);
        return Ok(MarkRead { id, found });
    }
    parse_reading(text).map(|(id, at)| MarkRead {
        id,
        found: MarkFoundAt::Place(at),
    })
}

/// Asks for one mark after the other; an empty line passes over a mark.
fn asked(sheet: &PrintedSheet, read_by: ReadBy) -> Result<Vec<MarkRead>, Failure> {
    if !io::stdin().is_terminal() {
        let error = Diagnostic::error("register.too-few", "no mark is given");
        let hint = "write --mark \"m1=16.2 mm, 15.9 mm\" for each mark, or --readings FILE";
        return Err(fail(error.hint(hint), USAGE));
    }
    report::talk(&question(sheet, read_by));
    let mut read = Vec::new();
    let mut lines = io::stdin().lock().lines();
    for mark in &sheet.marks {
        loop {
            report::talk(&format!(
                "{} (planned at {:.1} mm, {:.1} mm; quadrants filled: {}): ",
                mark.id, mark.centre.x, mark.centre.y, mark.quadrants
            ));
            let Some(Ok(line)) = lines.next() else {
                return Ok(read);
            };
            if line.trim().is_empty() {
                break;
            }
            match one_typed(&format!("{}={line}", mark.id), read_by) {
                Ok(mark) => {
                    read.push(mark);
                    break;
                }
                Err(mistake) => report::show(&[mistake], &Sources::new(), Format::Text),
            }
        }
    }
    Ok(read)
}

fn question(sheet: &PrintedSheet, read_by: ReadBy) -> String {
    let what = match read_by {
        ReadBy::Prick if sheet.has_mark_scales => {
            "the printed line at or before the first pricked one and the pricked line that meets a printed one, along x, then along y: -1 7, 0 3"
        }
        ReadBy::Prick => {
            "how far the printed mark is right of and below its cross: 0.3 mm, -0.5 mm"
        }
        ReadBy::Ruler | ReadBy::Scan | ReadBy::Photo => {
            "how far its centre is from the left and from the top edge: 16.2 mm, 15.9 mm"
        }
    };
    format!("for each mark type {what}\nan empty line passes over a mark\n")
}
