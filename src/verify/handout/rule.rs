//! The check rule: a tick at each millimetre to 100 and at each eighth of an inch to 4, on one line.

use super::super::compare::mm;
use super::super::pdf::found::{PdfFound, Tagged};
use super::super::trace::{bounds, corners, runs};
use super::super::verdict::{Finding, Tally};
use crate::length::MM_PER_INCH;

const LENGTH_MM: f64 = 4.0 * MM_PER_INCH;

pub(super) fn check(tally: &mut Tally, found: &PdfFound) {
    let pages = (1..).zip(&found.pages);
    let rules: Vec<(u32, &Tagged)> = pages
        .flat_map(|(number, page)| page.tagged.iter().map(move |tagged| (number, tagged)))
        .filter(|(_, tagged)| tagged.kind == "rule")
        .collect();
    let [(page, rule)] = rules.as_slice() else {
        let code = if rules.is_empty() {
            "verify.missing"
        } else {
            "verify.extra"
        };
        let count = rules.len().to_string();
        return tally.add(Finding::numbers(code, "check rules", "1", count).about("rule"));
    };
    tally.on_page(*page);
    let strokes = rule.strokes();
    let Some(ink) = bounds(&strokes) else {
        return tally
            .add(Finding::new("verify.missing", "the check rule has no lines").about("rule"));
    };
    let off_mm = (ink.width() - LENGTH_MM).abs();
    if !tally.measure(off_mm) {
        let what = "length of the check rule";
        let finding = Finding::numbers("verify.scaled", what, mm(LENGTH_MM), mm(ink.width()));
        tally.add(finding.about("rule").off_by(off_mm));
    }
    let upright = runs(&strokes).into_iter().filter_map(|run| {
        let ends = corners(&run);
        let (first, last) = (ends.first()?, ends.last()?);
        let is_upright = (first.x - last.x).abs() < (first.y - last.y).abs();
        is_upright.then_some(first.x - ink.x0)
    });
    check_ticks(tally, upright.collect());
}

fn check_ticks(tally: &mut Tally, mut found: Vec<f64>) {
    let millimetres = (0..=100).map(f64::from);
    let eighths = (0..=32).map(|n| f64::from(n) * MM_PER_INCH / 8.0);
    let mut planned: Vec<f64> = millimetres.chain(eighths).collect();
    planned.sort_by(f64::total_cmp);
    found.sort_by(f64::total_cmp);
    tally.count();
    if planned.len() != found.len() {
        let what = "ticks of the check rule";
        let (planned, found) = (planned.len().to_string(), found.len().to_string());
        return tally.add(Finding::numbers("verify.shape", what, planned, found).about("rule"));
    }
    for (planned_mm, found_mm) in planned.into_iter().zip(found) {
        let off_mm = (planned_mm - found_mm).abs();
        if !tally.measure(off_mm) {
            let what = "a tick of the check rule, from its left end";
            let finding = Finding::numbers("verify.moved", what, mm(planned_mm), mm(found_mm));
            tally.add(finding.about("rule").off_by(off_mm));
        }
    }
}
