//! Compares the caption of a printed page and the check rule that a maker holds a ruler to.

use kurbo::{Point, Rect};

use super::compare::{mm, point};
use super::page::{PageCheck, check_layer, check_whole};
use super::pdf::found::{Paint, Tagged};
use super::trace::bounds;
use super::verdict::{Finding, Tally};
use crate::length::MM_PER_INCH;
use crate::plan::file::SheetEntry;

/// Narrowest caption that has a check rule: 2 in.
const RULE_MM: f64 = 2.0 * MM_PER_INCH;

/// Compares the caption and the check rule of a printed page: inside their box, and the rule of a whole number of inches.
pub(super) fn check(tally: &mut Tally, page: &mut PageCheck<'_>, sheet: &SheetEntry) {
    let Some([x, y, width, height]) = sheet.caption_box_mm else {
        return;
    };
    let planned = Rect::new(x, y, x + width, y + height);
    for kind in ["caption", "rule"] {
        let found = page.take_one(tally, kind, kind);
        if let Some(found) = found {
            check_layer(tally, found, "Caption");
            check_inside(tally, found, planned);
        } else if kind == "caption" || width >= RULE_MM {
            let what = format!("the {kind} is missing, top left corner of its box");
            tally.add(
                Finding::numbers("verify.missing", &what, point(planned.origin()), "nothing")
                    .about(kind),
            );
        }
        if let Some(found) = found.filter(|_| kind == "rule") {
            check_whole(tally, found);
            check_rule(tally, found);
        }
    }
}

fn check_inside(tally: &mut Tally, found: &Tagged, planned: Rect) {
    let Some(ink) = found.ink_box() else {
        return tally.add(
            Finding::new("verify.missing", format!("the {} is empty", found.kind)).about(&found.id),
        );
    };
    let beyond_mm = (planned.x0 - ink.x0)
        .max(planned.y0 - ink.y0)
        .max(ink.x1 - planned.x1)
        .max(ink.y1 - planned.y1);
    // Half the width of the rule's own line may lie outside.
    let line_mm = found
        .items
        .iter()
        .map(|item| half_line(&item.what))
        .fold(0.0, f64::max);
    if !tally.measure((beyond_mm - line_mm).max(0.0)) {
        let spell = |b: Rect| format!("{} to {}", point(b.origin()), point(Point::new(b.x1, b.y1)));
        let what = format!("the {} leaves its box", found.kind);
        let finding = Finding::numbers("verify.moved", &what, spell(planned), spell(ink));
        tally.add(finding.about(&found.id).off_by(beyond_mm));
    }
}

fn half_line(paint: &Paint) -> f64 {
    match paint {
        Paint::Stroke { width_mm, .. } => width_mm / 2.0,
        Paint::Fill { .. } | Paint::Picture { .. } | Paint::Text(_) | Paint::Shading => 0.0,
    }
}

/// The rule is what a maker holds a ruler to: 4 in or 2 in long, read from the longest line of it.
fn check_rule(tally: &mut Tally, found: &Tagged) {
    let lengths = found.items.iter().filter_map(|item| match &item.what {
        Paint::Stroke { path, .. } => bounds(path).map(|b| b.width().max(b.height())),
        Paint::Fill { .. } | Paint::Picture { .. } | Paint::Text(_) | Paint::Shading => None,
    });
    let length_mm = lengths.fold(0.0, f64::max);
    let planned_mm = (length_mm / MM_PER_INCH).round().max(1.0) * MM_PER_INCH;
    let off_mm = (length_mm - planned_mm).abs();
    if !tally.measure(off_mm) {
        let what = "length of the check rule";
        let finding = Finding::numbers("verify.scaled", what, mm(planned_mm), mm(length_mm));
        tally.add(finding.about("rule").off_by(off_mm));
    }
}
