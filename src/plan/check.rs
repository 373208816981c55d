//! Judges a finished plan by the true outlines, without a look at how it came about.
//!
//! Every promise is worked out again from the project: counts, paper, turns, pins, distances, margins, reach, marks, captions,
//! ticks and cut order. A finding is a bug of this program, not a mistake of the user's.

mod cuts;
mod edge;
mod leftovers;
mod pages;
mod pins;
mod places;
mod sheets;
mod trims;

pub(super) use edge::beside;

use super::{JobPlan, Leftover};
use crate::diagnostic::Diagnostic;
use crate::project::Project;

/// What rounding may take from a distance, in millimetres.
const ALLOWED_MM: f64 = 0.001;

/// Returns an error for each promise that `plan` breaks; none, unless this program has a bug.
#[must_use]
pub fn check(project: &Project, plan: &JobPlan) -> Vec<Diagnostic> {
    let mut found = sheets::counts(project, plan);
    found.extend(sheets::stock_limits(project, plan));
    found.extend(pins::kept(project, plan));
    for (index, sheet) in plan.sheets.iter().enumerate() {
        let pieces = places::pieces(project, sheet);
        let of_sheet = [
            sheets::runs(sheet),
            places::stock_and_turns(project, sheet),
            places::inside(project, sheet, &pieces),
            places::apart(project, &pieces),
            edge::inside(project, sheet, &pieces),
            places::furniture(project, sheet, &pieces),
            pages::within_page(project, sheet, &pieces),
            places::comes_apart(project, sheet, &pieces),
            leftovers::whole(project, sheet, &kept_of(plan, index), &pieces),
            trims::cut_list(project, sheet),
            cuts::order(sheet),
            cuts::holes_last(project, sheet),
            cuts::held(project, sheet),
        ];
        let name = format!("sheet {}", index + 1);
        found.extend(
            of_sheet
                .into_iter()
                .flatten()
                .map(|text| broken(&format!("{name}: {text}"))),
        );
    }
    found
}

fn kept_of(plan: &JobPlan, sheet: usize) -> Vec<&Leftover> {
    let own = plan.leftovers.iter().filter(|l| l.sheet == sheet);
    own.collect()
}

fn broken(text: &str) -> Diagnostic {
    Diagnostic::error("plan.check", text)
        .hint("this is a bug of the program, please report it with the project file")
}
