//! A measured printer told to people, and to programs.

use serde_json::{Value, json};

use super::repeat::Precision;
use super::words::{detail_lines, margin_words, printer_words, within_words};
use crate::date;
use crate::fit::Terms;
use crate::length::{Length, with_covering_inches};
use crate::project::{Calibration, Edges, PrintMap};

/// What is told.
#[derive(Debug, Clone)]
pub struct Report<'a> {
    /// Where the page comes out.
    pub calibration: &'a Calibration,
    /// How it was measured.
    pub method: &'a str,
    /// How far the printer reaches, where that was measured.
    pub margins: Option<&'a Edges<Length>>,
    /// How exactly it was read, where people read it.
    pub precision: Option<Precision>,
}

impl Report<'_> {
    /// Returns the report in words; `details` adds the numbers that statisticians ask for.
    #[must_use]
    pub fn text(&self, details: bool) -> String {
        let Calibration {
            date,
            page,
            front,
            back,
            ..
        } = self.calibration;
        let mut lines = vec![format!(
            "your printer, measured {} {}:",
            date::show(*date),
            self.method
        )];
        lines.extend(printer_words(front, *page));
        lines.extend(self.margins.map(margin_words));
        if let Some(back) = back {
            lines.push(back_words(front, back, self.calibration));
        }
        lines.push(within_words(front, *page));
        if details {
            lines.push("front, each within its number 19 times in 20:".to_owned());
            lines.extend(self.face_details(front));
            if let Some(back) = back {
                lines.push("back, seen from the front:".to_owned());
                lines.extend(self.face_details(back));
            }
            lines.extend(self.precision.map(precision_words));
        }
        lines.join("\n    ") + "\n"
    }

    fn face_details(&self, map: &PrintMap) -> Vec<String> {
        let page = self.calibration.page;
        let within = Terms::within_95(map.sheet_from_page, &map.spread, page.to_rect().center());
        detail_lines(map.sheet_from_page, &within, page)
    }

    /// Returns the same for programs.
    #[must_use]
    pub fn json(&self) -> Value {
        let Calibration {
            date: day,
            format,
            page,
            paper,
            tray,
            front,
            back,
        } = self.calibration;
        let face = |map: &PrintMap| self.face_json(map);
        json!({
            "date": date::show(*day),
            "method": self.method,
            "format": format,
            "page_mm": [page.width, page.height],
            "paper": paper,
            "tray": tray,
            "front": face(front),
            "back": back.as_ref().map(face),
            "margins_mm": self.margins.map(|m| json!({
                "top": m.top.to_mm(),
                "right": m.right.to_mm(),
                "bottom": m.bottom.to_mm(),
                "left": m.left.to_mm(),
            })),
            "reading_sigma_mm": self.precision.map(|p| p.sigma_mm),
            "reading_repeats": self.precision.map(|p| p.repeats),
        })
    }

    fn face_json(&self, map: &PrintMap) -> Value {
        let page = self.calibration.page;
        let (middle_mm, corner_mm) = super::eye::within_mm(map, page);
        let terms = Terms::of(map.sheet_from_page, page.to_rect().center());
        let within = Terms::within_95(map.sheet_from_page, &map.spread, page.to_rect().center());
        let all = |t: &Terms| {
            json!({
                "scale_x_percent": t.scale_x * 100.0,
                "scale_y_percent": t.scale_y * 100.0,
                "turn_mrad": t.turn_rad * 1000.0,
                "shear_mrad": t.shear_rad * 1000.0,
                "shift_mm": [t.shift.x, t.shift.y],
            })
        };
        json!({
            "sheet_from_page": map.sheet_from_page.as_coeffs(),
            "terms": all(&terms),
            "within_95": all(&within),
            "within_95_mm": { "middle": middle_mm, "worst_corner": corner_mm },
        })
    }
}

/// How the back lies to the front, in the middle of the page.
fn back_words(front: &PrintMap, back: &PrintMap, calibration: &Calibration) -> String {
    let centre = calibration.page.to_rect().center();
    let off = back.sheet_from_page * centre - front.sheet_from_page * centre;
    let side = |mm: f64, more: &str, less: &str| {
        format!("{:.2} mm {}", mm.abs(), if mm > 0.0 { more } else { less })
    };
    let turn = Terms::of(back.sheet_from_page, centre).turn_rad
        - Terms::of(front.sheet_from_page, centre).turn_rad;
    format!(
        "seen from the front, the back lies {} and {}, and is turned {} by {} over 100 mm",
        side(off.x, "to the right", "to the left"),
        side(off.y, "lower", "higher"),
        if turn > 0.0 {
            "clockwise"
        } else {
            "anticlockwise"
        },
        with_covering_inches(turn.abs() * 100.0)
    )
}

fn precision_words(precision: Precision) -> String {
    let Precision { sigma_mm, repeats } = precision;
    if repeats == 0 {
        format!(
            "standard deviation of one reading: {sigma_mm:.3} mm, assumed, since too little was read more than once"
        )
    } else {
        format!("standard deviation of one reading: {sigma_mm:.3} mm, from {repeats} repeats")
    }
}
