//! One printed sheet of what was made last: found by its marks, and its cut file moved to fit it.

use std::collections::BTreeMap;
use std::sync::Arc;

use serde::Deserialize;
use serde_json::{Value, json};

use super::super::answer::{Answer, Asked, Outcome, Refused};
use super::super::made::{MadeSet, zip};
use super::super::{Desk, locked};
use super::{REGISTERED, does_not_work, refused, times, with_warnings};
use crate::diagnostic::{Diagnostic, Origin, Warned};
use crate::fit::Spread;
use crate::length::with_covering_inches;
use crate::register::scanned::ScanScale;
use crate::register::{
    self, MarkReading, PrintedSheet, ReadBy, Registered, Registration, from_photo, from_scan,
    parse_reading, pooled,
};
use crate::scan::Picture;

/// The sheets that carry marks.
pub(super) fn marked(set: &MadeSet) -> Vec<Value> {
    let project = &set.laid.project;
    let sheets = set.laid.plan().into_iter().flat_map(|plan| &plan.sheets);
    let marked = sheets
        .enumerate()
        .filter(|(_, s)| !s.marks.is_empty() && s.cut.is_some());
    let told = marked.map(|(i, sheet)| {
        let name = &project.stocks[sheet.stock].name;
        json!({
            "number": i + 1,
            "words": format!("Sheet {}: {} of {name}", i + 1, times(sheet.runs)),
            "marks": sheet.marks.len(),
        })
    });
    told.collect()
}

fn made(desk: &Desk) -> Result<Arc<MadeSet>, Refused> {
    let set = desk.work.made().filter(|set| set.files().is_some());
    set.ok_or_else(|| Refused::wrong("nothing is made yet: make the files first"))
}

fn printed(desk: &Desk, number: usize) -> Result<PrintedSheet, Refused> {
    let set = made(desk)?;
    let files = set.files().ok_or_else(Refused::missing)?;
    PrintedSheet::read(files, Some(number)).map_err(|d| refused(&d))
}

fn number(asked: &Asked) -> Result<usize, Refused> {
    let number = asked.query.get("sheet").and_then(|n| n.parse().ok());
    number.ok_or_else(|| Refused::wrong("say which sheet"))
}

pub(super) fn questions(desk: &Desk, asked: &Asked) -> Outcome {
    let sheet = printed(desk, number(asked)?)?;
    let questions = sheet.marks.iter().map(|mark| {
        let at = format!("{:.1} mm, {:.1} mm", mark.centre.x, mark.centre.y);
        json!({
            "key": mark.id,
            "label": format!("Mark {}, quadrants filled: {}", mark.id, mark.quadrants.replace('-', " ")),
            "about": "its middle, from the left and from the top edge of the sheet as it lies",
            "example": format!("{:.1} mm, {:.1} mm", mark.centre.x + 0.4, mark.centre.y - 0.3),
            "right": at,
            "needed": false,
            "picture": null,
        })
    });
    let face = &sheet.face_up;
    let about = format!(
        "Lay the sheet before you with its {face} up, as it lies on the cutter, and measure where the middles of its marks are; three or more, far apart."
    );
    Ok(Answer::Json(
        json!({ "about": about, "questions": questions.collect::<Vec<_>>() }),
    ))
}

#[derive(Debug, Deserialize)]
struct RegisterAsked {
    sheet: usize,
    readings: BTreeMap<String, String>,
}

pub(in super::super) fn register(desk: &Desk, asked: &Asked) -> Outcome {
    let wish: RegisterAsked = asked.json()?;
    let sheet = printed(desk, wish.sheet)?;
    let readings = match typed(&wish.readings) {
        Ok(readings) => readings,
        Err(mistakes) => return Ok(does_not_work(&mistakes)),
    };
    let options = register::Options {
        read_by: ReadBy::Ruler,
        turn_deg: 0.0,
        beside: Spread::NONE,
    };
    answer(desk, register::register(&sheet, &readings, &options))
}

fn typed(readings: &BTreeMap<String, String>) -> Result<Vec<MarkReading>, Vec<Diagnostic>> {
    let mut mistakes = Vec::new();
    let mut read = Vec::new();
    for (id, text) in readings.iter().filter(|(_, text)| !text.trim().is_empty()) {
        match parse_reading(&format!("{id}={text}")) {
            Ok(reading) => read.push(reading),
            Err(mistake) => mistakes.push(mistake.at(&Origin::of_key(id))),
        }
    }
    if mistakes.is_empty() {
        Ok(pooled(&read, ReadBy::Ruler.usual_sigma_mm()))
    } else {
        Err(mistakes)
    }
}

pub(in super::super) fn register_scan(desk: &Desk, asked: &Asked) -> Outcome {
    let sheet = printed(desk, number(asked)?)?;
    let is_photo = asked.query.get("by").is_some_and(|by| by == "photo");
    let picture = Picture::decode(&asked.body);
    let found = picture.and_then(|picture| match is_photo {
        true => from_photo(&sheet, &picture, None),
        false => from_scan(&sheet, &picture, ScanScale::Stated),
    });
    let found = match found {
        Ok(found) => found,
        Err(mistake) => return Ok(does_not_work(&[mistake])),
    };
    let options = register::Options {
        read_by: if is_photo {
            ReadBy::Photo
        } else {
            ReadBy::Scan
        },
        turn_deg: 0.0,
        beside: found.value.beside,
    };
    let mut registered = register::register(&sheet, &found.value.readings, &options);
    if let Ok(registered) = &mut registered {
        registered.warnings.splice(0..0, found.warnings);
    }
    answer(desk, registered)
}

fn answer(desk: &Desk, found: Result<Warned<Registered>, Vec<Diagnostic>>) -> Outcome {
    let found = match found {
        Ok(found) => found,
        Err(mistakes) => return Ok(does_not_work(&mistakes)),
    };
    let Registered {
        files,
        registration,
    } = &found.value;
    let packed = zip(files).map_err(|e| Refused::broken(&e.to_string()))?;
    locked(&desk.measured).insert(REGISTERED, packed);
    let words = register::text(registration, false);
    let words = words.lines().map(str::to_owned).collect();
    Ok(Answer::Json(json!({
        "works": true,
        "words": with_warnings(words, &found.warnings),
        "expect": expect(registration),
        "files": format!("/measure/{REGISTERED}"),
    })))
}

/// How far the cut will be from the print, and whether the bleed bears it.
fn expect(found: &Registration) -> String {
    let within = with_covering_inches(found.within_mm);
    let bleed = match found.bleed_mm {
        None => "no print reaches beyond an outline, so no bleed is needed".to_owned(),
        Some(mm) if found.is_covered => {
            format!("a bleed of {} covers it", with_covering_inches(mm))
        }
        Some(mm) => format!("a bleed of {} does not cover it", with_covering_inches(mm)),
    };
    format!("expect your cuts within {within} of the print; {bleed}")
}
