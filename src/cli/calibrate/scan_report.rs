//! What scans of the chart tell of a printer, in words and for programs.

use serde_json::{Value, json};

use crate::calibrate::scan::{FaceResult, Loading, MarkSummary, Parting, Survey, place_words};
use crate::diagnostic::counted;
use crate::fit::{BAND_95, Terms};
use crate::length::with_covering_inches;
use crate::project::Face;
use crate::scan::STRETCH_SD;

/// Below this, in millimetres, a direction is not worth a word.
const NOTHING_MM: f64 = 0.05;

/// Returns the report for people; `details` adds the terms of the maps.
pub(super) fn text(survey: &Survey, details: bool) -> String {
    let result = &survey.result;
    let mut text = String::new();
    for face in result.front.iter().chain(&result.back) {
        text += &face_text(survey, face);
        if details {
            text += &details_text(survey, face);
        }
    }
    text += &loading_text(result.front.as_ref().and_then(|f| f.loading.as_ref()));
    text += &scanner_text(survey, details);
    let sheet = result.sheet;
    text + &format!("sheet: {:.1} x {:.1} mm\n", sheet.width, sheet.height)
}

fn face_text(survey: &Survey, face: &FaceResult) -> String {
    let page = survey.chart.page;
    let middle = page.to_rect().center();
    let terms = Terms::of(face.map.sheet_from_page, middle);
    let name = match face.face {
        Face::Front => "front",
        Face::Back => "back, as seen from the front",
    };
    let prints = face.loading.as_ref().map_or(1, |l| l.prints);
    let counts = format!(
        "{} of {}, {} each",
        counted(face.scans, "scan"),
        counted(prints, "print"),
        counted(face.before.len(), "target")
    );
    let (wide_mm, tall_mm) = (terms.scale_x * page.width, terms.scale_y * page.height);
    let mut text = format!("{name}: {counts}\n");
    text += &format!(
        "    the page comes out {} and {}\n",
        off(wide_mm, ["narrow", "wide"]),
        off(tall_mm, ["short", "tall"])
    );
    text += &format!(
        "    its middle lies {} and {}\n",
        way(terms.shift.x, ["to the left", "to the right"]),
        way(terms.shift.y, ["too high", "too low"])
    );
    text += &format!(
        "    its top edge is turned {}, and its sides lean {}\n",
        way(terms.turn_rad * page.width, ["anticlockwise", "clockwise"]),
        way(
            terms.shear_rad * page.height,
            ["to the left", "to the right"]
        )
    );
    text + &marks_text(survey, face)
}

fn marks_text(survey: &Survey, face: &FaceResult) -> String {
    let page = survey.chart.page;
    let (Some(before), Some(after)) = (MarkSummary::of(&face.before), MarkSummary::of(&face.after))
    else {
        return String::new();
    };
    let r95_mm = survey.worst_r95_mm(face.face).unwrap_or(f64::INFINITY);
    format!(
        "    by itself the printer is off by up to {:.2} mm ({}); with this profile 19 marks in 20 stay within {}, even in the corners\n    the paper's own way through the printer leaves {:.2} mm at most ({})\n",
        before.worst_mm,
        place_words(before.worst_at, page),
        with_covering_inches(r95_mm),
        after.worst_mm,
        place_words(after.worst_at, page)
    )
}

fn details_text(survey: &Survey, face: &FaceResult) -> String {
    let page = survey.chart.page;
    let middle = page.to_rect().center();
    let map = face.map.sheet_from_page;
    let terms = Terms::of(map, middle);
    let band = Terms::within_95(map, &face.map.spread, middle);
    let line = |name: &str, value: f64, within: f64, unit: &str| {
        format!("        {name:8} {value:9.4} +-{within:.4} {unit}\n")
    };
    let after_mm = MarkSummary::of(&face.after).map_or(0.0, |s| s.rms_mm);
    let before_mm = MarkSummary::of(&face.before).map_or(0.0, |s| s.rms_mm);
    let r95_mm = face.map.spread.r95_mm(middle);
    "    affine map, page to sheet, with 95 % bands:\n".to_owned()
        + &line("scale x", terms.scale_x * 100.0, band.scale_x * 100.0, "%")
        + &line("scale y", terms.scale_y * 100.0, band.scale_y * 100.0, "%")
        + &line(
            "turn",
            terms.turn_rad * 1000.0,
            band.turn_rad * 1000.0,
            "mrad",
        )
        + &line(
            "shear",
            terms.shear_rad * 1000.0,
            band.shear_rad * 1000.0,
            "mrad",
        )
        + &line("shift x", terms.shift.x, band.shift.x, "mm at the middle")
        + &line("shift y", terms.shift.y, band.shift.y, "mm at the middle")
        + &format!(
            "        rms {before_mm:.4} mm before, {after_mm:.4} mm residual; 95 % radius {r95_mm:.3} mm at the middle\n"
        )
}

fn loading_text(loading: Option<&Loading>) -> String {
    match loading {
        None => "loading: one print cannot tell how alike the printer takes sheets in; scans of two or three prints can\n".to_owned(),
        Some(loading) => format!(
            "loading: from print to print the page moves by {:.2} mm across and {:.2} mm down, and turns by {:.2} mm over 200 mm (standard deviations of {})\n",
            loading.shift_mm[0],
            loading.shift_mm[1],
            loading.turn_rad * 200.0,
            counted(loading.prints, "print")
        ),
    }
}

fn scanner_text(survey: &Survey, details: bool) -> String {
    let result = &survey.result;
    let words = match result.parting {
        Parting::Known => "scanner: as it was measured before\n".to_owned(),
        Parting::Mixed => format!(
            "scanner: not measured; up to {:.2} % of what is said of the printer may be the scanner's\n",
            2.0 * STRETCH_SD * 100.0
        ),
        Parting::Ratio => {
            "scanner: told from the printer by the turned scan, but for what it makes larger both ways\n".to_owned()
        }
    };
    if !details {
        return words;
    }
    let [rows, columns] = factors(survey);
    let (shear_rad, shear_sd_rad) = result.scanner.shear_rad();
    words
        + &format!(
            "    along the picture's rows {:.5} +-{:.5}, along its columns {:.5} +-{:.5}, out of square {:.2} +-{:.2} mrad (95 % bands)\n",
            rows.0,
            rows.1,
            columns.0,
            columns.1,
            shear_rad * 1000.0,
            BAND_95 * shear_sd_rad * 1000.0
        )
}

/// The scanner's factor along rows and columns of the picture with its 95 % band.
fn factors(survey: &Survey) -> [(f64, f64); 2] {
    let scanner = &survey.result.scanner;
    [kurbo::Vec2::new(1.0, 0.0), kurbo::Vec2::new(0.0, 1.0)].map(|along| {
        (
            scanner.factor_along(along),
            BAND_95 * scanner.mean_sd(&[along]),
        )
    })
}

fn off(mm: f64, [less, more]: [&str; 2]) -> String {
    if mm.abs() < NOTHING_MM {
        return format!("just as {more} as it should");
    }
    format!(
        "{:.2} mm too {}",
        mm.abs(),
        if mm < 0.0 { less } else { more }
    )
}

fn way(mm: f64, [less, more]: [&str; 2]) -> String {
    format!("{:.2} mm {}", mm.abs(), if mm < 0.0 { less } else { more })
}

/// Returns the same data for programs.
pub(super) fn json(survey: &Survey) -> Value {
    let result = &survey.result;
    let [rows, columns] = factors(survey);
    let (shear_rad, shear_sd_rad) = result.scanner.shear_rad();
    json!({
        "format": survey.chart.format,
        "page_mm": [survey.chart.page.width, survey.chart.page.height],
        "sheet_mm": [result.sheet.width, result.sheet.height],
        "front": result.front.as_ref().map(|f| face_json(survey, f)),
        "back": result.back.as_ref().map(|f| face_json(survey, f)),
        "scanner": {
            "parting": match result.parting {
                Parting::Known => "known",
                Parting::Mixed => "mixed",
                Parting::Ratio => "ratio",
            },
            "rows": { "factor": rows.0, "within": rows.1 },
            "columns": { "factor": columns.0, "within": columns.1 },
            "shear": { "mrad": shear_rad * 1000.0, "within": BAND_95 * shear_sd_rad * 1000.0 },
        },
        "scans": survey.maps.iter().map(|m| json!({
            "file": m.name,
            "face": match m.face { Face::Front => "front", Face::Back => "back" },
            "sheet_as_shown_mm": [m.sheet.width, m.sheet.height],
        })).collect::<Vec<_>>(),
    })
}

fn face_json(survey: &Survey, face: &FaceResult) -> Value {
    let page = survey.chart.page;
    let middle = page.to_rect().center();
    let map = face.map.sheet_from_page;
    let terms = Terms::of(map, middle);
    let band = Terms::within_95(map, &face.map.spread, middle);
    let summary = |marks| {
        MarkSummary::of(marks).map(|s| {
            json!({
                "rms_mm": s.rms_mm,
                "worst_mm": s.worst_mm,
                "worst_at_mm": [s.worst_at.x, s.worst_at.y],
            })
        })
    };
    json!({
        "scans": face.scans,
        "prints": face.loading.as_ref().map_or(1, |l| l.prints),
        "scale_x": { "percent": terms.scale_x * 100.0, "within": band.scale_x * 100.0 },
        "scale_y": { "percent": terms.scale_y * 100.0, "within": band.scale_y * 100.0 },
        "turn": { "mrad": terms.turn_rad * 1000.0, "within": band.turn_rad * 1000.0 },
        "shear": { "mrad": terms.shear_rad * 1000.0, "within": band.shear_rad * 1000.0 },
        "shift_x": { "mm": terms.shift.x, "within": band.shift.x },
        "shift_y": { "mm": terms.shift.y, "within": band.shift.y },
        "r95_at_middle_mm": face.map.spread.r95_mm(middle),
        "r95_worst_mm": survey.worst_r95_mm(face.face),
        "before": summary(&face.before),
        "after": summary(&face.after),
        "loading": face.loading.as_ref().map(|l| json!({
            "prints": l.prints,
            "shift_mm": l.shift_mm,
            "turn_mrad": l.turn_rad * 1000.0,
        })),
    })
}
