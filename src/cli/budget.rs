//! How well print and cut meet, in words.

use crate::length::{Length, covering_inches};
use crate::plan::file::{BudgetEntry, MisfitEntry, PlanFile, ShareEntry};
use crate::project::Project;

/// Returns a line on the marks, if they moved, one for each way of cutting with what it consists of, and one on layers.
pub(super) fn text(project: &Project, plan: &PlanFile) -> String {
    let mut text = marks_text(plan);
    let Some(budget) = &plan.error_budget else {
        return text;
    };
    for way in &budget.ways {
        text += &way_text(project, budget, way);
    }
    if let (Some(reveal_mm), Some(least_mm)) = (budget.reveal_mm, budget.least_reveal_mm) {
        let covers = covers_text(project, "reveal", reveal_mm, reveal_mm >= least_mm);
        text += &format!(
            "19 layers in 20, laid by eye: within {}; {covers}\n",
            within_text(least_mm)
        );
    }
    text
}

fn marks_text(plan: &PlanFile) -> String {
    let moved = plan.sheets.iter().filter_map(|s| s.marks_moved_in_mm);
    match moved.reduce(f64::max) {
        Some(mm) => format!(
            "register marks stand up to {mm:.1} mm farther in, to make up for what was measured of the printer and the cutter\n"
        ),
        None => String::new(),
    }
}

fn way_text(project: &Project, budget: &BudgetEntry, way: &MisfitEntry) -> String {
    let how = match way.way.as_str() {
        "from-corner" => "cut from the sheet's corner",
        "by-marks" => "cut in register with the marks",
        _ => "trimmed by hand",
    };
    let covers = budget.bleed_mm.map_or_else(
        || "nothing is printed to an edge".to_owned(),
        |bleed_mm| covers_text(project, "bleed", bleed_mm, way.is_covered),
    );
    let shares: Vec<String> = way.shares.iter().map(share_text).collect();
    format!(
        "19 sheets in 20, {how}: print and cut meet within {}; {covers}\n    {}\n",
        within_text(way.within_mm),
        shares.join(", ")
    )
}

/// `the bleed of 3 mm covers it`.
fn covers_text(project: &Project, what: &str, mm: f64, is_covered: bool) -> String {
    let length = Length::nearest_mm(mm).told(project.job.lengths);
    let covers = if is_covered {
        "covers it"
    } else {
        "does not cover it"
    };
    format!("the {what} of {length} {covers}")
}

fn share_text(share: &ShareEntry) -> String {
    let of = match share.of.as_str() {
        "marks" => "reading the marks",
        "trimmer" => "eye, fence and blade",
        other => other,
    };
    let assumed = if share.is_assumed { " (assumed)" } else { "" };
    format!("{of} {:.1} mm{assumed}", up_to_tenths(share.within_mm))
}

/// `0.6 mm (1/32 in)`: tenths of a millimetre, and sixty-fourths of an inch, both rounded up.
fn within_text(mm: f64) -> String {
    format!("{:.1} mm ({})", up_to_tenths(mm), covering_inches(mm))
}

fn up_to_tenths(mm: f64) -> f64 {
    (mm * 10.0 - 1e-6).ceil() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_rounded_up_to_what_a_ruler_shows() {
        // 1/64 in is 0.396875 mm, 1/32 in 0.79375 mm.
        for (mm, text) in [
            (0.3, "0.3 mm (1/64 in)"),
            (0.396_875, "0.4 mm (1/64 in)"),
            (0.6, "0.6 mm (1/32 in)"),
            (0.61, "0.7 mm (1/32 in)"),
            (2.5, "2.5 mm (7/64 in)"),
        ] {
            assert_eq!(within_text(mm), text);
        }
    }
}
