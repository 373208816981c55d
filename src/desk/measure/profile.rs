//! Readings or a scan of a chart -> the profile of a printer or a cutter, told in words and kept with the project if that is asked for.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::json;

use super::super::answer::{Answer, Asked, Outcome, Refused};
use super::super::open::Open;
use super::super::project::refuse_stale;
use super::super::{Desk, locked, state};
use super::questions::keys;
use super::{ChartAsked, ERRORS, does_not_work, no_project, refused, with_warnings};
use crate::calibrate::chart::{Chart, ChartEdition};
use crate::calibrate::scan::{Given, Survey, possible_charts, read_scan, residual_picture};
use crate::calibrate::{
    Account, Need, Precision, Report, cutter_file, cutter_words, printer_file, read_by_eye,
    read_by_ruler, read_test_cut,
};
use crate::date;
use crate::diagnostic::{Diagnostic, Origin, Warned};
use crate::fit::RADIUS_95;
use crate::length::{Length, with_covering_inches};
use crate::load::{self, Change, NamedText, Step};
use crate::math::hypot;
use crate::paper;
use crate::project::{Calibration, Edges, Project, ReadingSheet, Ruler, TypedReading};
use crate::scan::Picture;

#[derive(Debug, Deserialize)]
struct ReadAsked {
    base: Option<u64>,
    of: String,
    paper: String,
    edition: String,
    #[serde(default)]
    back: bool,
    #[serde(default)]
    name: String,
    #[serde(default)]
    stock: String,
    readings: BTreeMap<String, String>,
    #[serde(default)]
    keep: bool,
}

/// What a measurement comes to.
struct Found {
    /// What it is of: `printer` or `cutter`, as a job names it.
    machine: &'static str,
    words: Vec<String>,
    expect: String,
    /// The profile's text.
    profile: String,
}

pub(in super::super) fn read(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: ReadAsked = asked.json()?;
    let mut open = desk.open();
    if let Some(base) = wish.base.filter(|_| wish.keep) {
        refuse_stale(&open, base)?;
    }
    let which = ChartAsked {
        paper: &wish.paper,
        edition: &wish.edition,
        has_back: wish.back,
    };
    let (format, chart) = which.chart().map_err(|d| refused(&d))?;
    let names = keys(&wish.of, &chart, which.faces());
    let sheet = sheet(&wish, format, &chart, &names);
    let today = open.today();
    let found = match wish.of.as_str() {
        "ruler" => read_by_ruler(&sheet, today).and_then(|found| {
            let by = found.value;
            let told = Printer {
                calibration: &by.calibration,
                account: &by.account,
                margins: None,
                precision: Some(by.precision),
            };
            printer(&open, &told, &wish.name, &found.warnings)
        }),
        "eye" => read_by_eye(&sheet, today).and_then(|found| {
            let by = found.value;
            let told = Printer {
                calibration: &by.calibration,
                account: &by.account,
                margins: by.margins,
                precision: Some(by.precision),
            };
            printer(&open, &told, &wish.name, &found.warnings)
        }),
        "cutter" => cutter(&open, &sheet, &wish.name),
        _ => return Err(Refused::missing()),
    };
    match found {
        Err(mistakes) => Ok(does_not_work(&at_keys(mistakes, &names))),
        Ok(found) => answer(&mut open, &found, wish.keep, None),
    }
}

/// What was typed, as a sheet of readings; each has its key as its place.
fn sheet(wish: &ReadAsked, format: String, chart: &Chart, names: &[String]) -> ReadingSheet {
    let reading = |key: &String| {
        let text = wish.readings.get(key).map_or("", String::as_str);
        TypedReading {
            origin: Some(Origin::of_key(key)),
            ..TypedReading::typed(key, text)
        }
    };
    let said = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
    ReadingSheet {
        format,
        page: chart.page,
        ruler: match chart.edition {
            ChartEdition::Millimetres => Ruler::Millimetres,
            ChartEdition::Inches => Ruler::Inches,
        },
        date: None,
        name: said(&wish.name),
        paper: said(&wish.stock),
        tray: None,
        readings: names.iter().map(reading).collect(),
    }
}

/// Mistakes without a place that begin with a reading's key are said at that reading.
fn at_keys(mut mistakes: Vec<Diagnostic>, names: &[String]) -> Vec<Diagnostic> {
    for found in &mut mistakes {
        let first = found
            .message
            .split([' ', ':', ','])
            .next()
            .unwrap_or_default();
        let key = names.iter().find(|name| *name == first);
        if let (None, Some(key)) = (&found.origin, key) {
            found.origin = Some(Origin::of_key(key));
        }
    }
    mistakes
}

/// A printer as it was measured.
struct Printer<'a> {
    calibration: &'a Calibration,
    account: &'a Account,
    margins: Option<Edges<Length>>,
    precision: Option<Precision>,
}

fn printer(
    open: &Open,
    told: &Printer<'_>,
    name: &str,
    warnings: &[Diagnostic],
) -> Result<Found, Vec<Diagnostic>> {
    let Printer {
        calibration,
        account,
        margins,
        precision,
    } = *told;
    let before = before(open, "printer");
    let name = named(name, "My printer");
    let written = printer_file(calibration, margins, account, &name, before.as_ref())?;
    let report = Report {
        calibration,
        method: &account.method,
        margins: margins.as_ref(),
        precision,
    };
    let words = report.text(false);
    let words = words.lines().map(|line| line.trim().to_owned()).collect();
    Ok(Found {
        machine: "printer",
        words: with_warnings(words, warnings),
        expect: expect(open.project().map(AsRef::as_ref), calibration),
        profile: written.text,
    })
}

/// How far print may be off with the profile, and whether the bleed bears it.
fn expect(project: Option<&Project>, calibration: &Calibration) -> String {
    let Some(need) = project.map(|project| Need::of(project, calibration)) else {
        return String::new();
    };
    let misfit = with_covering_inches(need.misfit_mm);
    let bleed = match (need.least_bleed_mm, need.is_covered()) {
        (Some(bleed_mm), Some(true)) => format!(
            "the bleed of {} covers it, with cutting on top",
            with_covering_inches(bleed_mm)
        ),
        (Some(bleed_mm), Some(false) | None) => format!(
            "the bleed of {} does not: measure more finely, or make the bleed larger",
            with_covering_inches(bleed_mm)
        ),
        (None, _) => "nothing in this project has a bleed".to_owned(),
    };
    format!("expect print within {misfit} of where it should be, even in the corners; {bleed}")
}

fn cutter(open: &Open, sheet: &ReadingSheet, name: &str) -> Result<Found, Vec<Diagnostic>> {
    let project = open.project();
    let measured = project.and_then(|p| p.printer.calibration.as_ref());
    let is_same = |c: &&Calibration| {
        (c.page.width - sheet.page.width).abs() < 0.5
            && (c.page.height - sheet.page.height).abs() < 0.5
    };
    let printer = measured.filter(is_same).map(|c| c.front);
    let Warned {
        value: by,
        warnings,
    } = read_test_cut(sheet, printer.as_ref(), open.today())?;
    let page = (sheet.format.as_str(), by.chart.page);
    let before = before(open, "cutter");
    let name = named(name, "My cutter");
    let written = cutter_file(&by.calibration, page, &by.account, &name, before.as_ref())?;
    let middle = by.chart.page.to_rect().center();
    let known_mm = by.calibration.spread.r95_mm(middle);
    let within_mm = hypot(known_mm, RADIUS_95 * by.calibration.repeat_mm);
    let mut words = cutter_words(&by);
    if printer.is_none() {
        words.push(
            "no printer is measured for this paper: the chart is taken as printed right".to_owned(),
        );
    }
    Ok(Found {
        machine: "cutter",
        words: with_warnings(words, &warnings),
        expect: format!(
            "expect cuts within {} of where they should be, 19 times in 20",
            with_covering_inches(within_mm)
        ),
        profile: written.text,
    })
}

fn named(name: &str, usual: &str) -> String {
    let name = name.trim();
    if name.is_empty() { usual } else { name }.to_owned()
}

/// The file that the project names for a machine, or the one that it gets.
fn file_of(open: &Open, machine: &str) -> String {
    super::named(open.text(), machine).unwrap_or_else(|| format!("{machine}.toml"))
}

/// The profile that is there already.
fn before(open: &Open, machine: &str) -> Option<NamedText> {
    let name = file_of(open, machine);
    let text = String::from_utf8(open.read(&name)?).ok()?;
    Some(NamedText { name, text })
}

/// Tells what was found; keeps the profile with the project and names it there, if that is asked for.
fn answer(open: &mut Open, found: &Found, is_kept: bool, picture: Option<&str>) -> Outcome {
    let mut told = json!({
        "works": true,
        "words": found.words,
        "expect": found.expect,
        "file": null,
        "state": null,
    });
    if let Some(picture) = picture {
        told["picture"] = picture.into();
    }
    if is_kept {
        let file = keep(open, found)?;
        told["file"] = file.into();
        told["state"] = state::to_json(open);
    }
    Ok(Answer::Json(told))
}

fn keep(open: &mut Open, found: &Found) -> Result<String, Refused> {
    let text = open.text().ok_or_else(no_project)?;
    let file = file_of(open, found.machine);
    let name = Change::Set {
        steps: ["job", found.machine]
            .map(|key| Step::Key(key.to_owned()))
            .to_vec(),
        value: load::Given::Text(file.clone()),
    };
    let text = load::change(text, &[name]).map_err(|e| Refused::wrong(e.to_string()))?;
    let words = format!("naming the measured {}", found.machine);
    open.renew(&file, found.profile.clone().into_bytes(), &words, text);
    Ok(file)
}

/// A scan of the printed chart.
pub(in super::super) fn scan(desk: &Desk, asked: &Asked) -> Outcome {
    let text = |key: &str| asked.query.get(key).map_or("", String::as_str);
    let name = text("name");
    let surveyed = survey(asked, text("paper"));
    let survey = match surveyed {
        Ok(survey) => survey,
        Err(mistakes) => return Ok(does_not_work(&mistakes)),
    };
    let mut open = desk.open();
    let today = open.today();
    let Some(calibration) = survey.calibration(today, None, None) else {
        return Err(Refused::wrong("the scan shows no front of a chart"));
    };
    let account = Account {
        method: "by scan, 1 file".to_owned(),
        readings: Vec::new(),
    };
    let told = Printer {
        calibration: &calibration,
        account: &account,
        margins: None,
        precision: None,
    };
    let found = match printer(&open, &told, name, &survey.warnings) {
        Ok(found) => found,
        Err(mistakes) => return Ok(does_not_work(&mistakes)),
    };
    let title = format!("{}, {}", named(name, "My printer"), date::show(today));
    let picture = residual_picture(&survey.result, survey.chart.page, &title);
    let url = picture.map(|picture| {
        locked(&desk.measured).insert(ERRORS, picture);
        format!("/measure/{ERRORS}")
    });
    answer(&mut open, &found, text("keep") == "true", url.as_deref())
}

fn survey(asked: &Asked, paper: &str) -> Result<Survey, Vec<Diagnostic>> {
    let picture = Picture::decode(&asked.body).map_err(|d| vec![d])?;
    let mut charts = possible_charts(paper::find(paper));
    let read = read_scan("the scan", &picture, &charts)?;
    let chart = charts.swap_remove(read.chart);
    let mut survey = Survey::new(chart, &[read.scan], &Given::NOTHING)?;
    survey.warnings.extend(read.warnings);
    Ok(survey)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mistakes_are_said_at_their_readings() {
        let names = ["A".to_owned(), "x1".to_owned()];
        let found = vec![
            Diagnostic::error("calibrate.missing-reading", "x1 was not read"),
            Diagnostic::error("calibrate.reading", "something else is wrong"),
        ];
        let told = at_keys(found, &names);
        let key = |d: &Diagnostic| d.origin.as_ref().map(|o| o.key_path.clone());
        assert_eq!(
            told.iter().map(key).collect::<Vec<_>>(),
            [Some("x1".to_owned()), None]
        );
    }
}
