//! What the maker wishes: fewest sheets, fewest different ones, or a kit on each.

use std::num::NonZeroUsize;

use super::super::{Best, Effort, Placed, Request, Watch, bound};
use super::few::few_layouts;
use super::filled::Filled;
use super::hand_out::hand_out;
use super::kit::kit_per_sheet;
use super::meter::Meter;
use super::problem::{Problem, Sameness};
use super::search::{Goal, search};

/// Work of each effort: boxes tried in free rectangles. One thread does some hundred million in a second.
fn work(effort: Effort) -> u64 {
    match effort {
        Effort::Quick => 50_000_000,
        Effort::Usual => 1_000_000_000,
        Effort::Long => 20_000_000_000,
    }
}

/// Lays boxes out so that every sheet comes apart by straight cuts from edge to edge.
pub(in crate::plan::place) fn place(
    request: &Request,
    threads: NonZeroUsize,
    watch: &dyn Watch,
) -> Placed {
    let sameness = match request.best {
        Best::FewestSheets | Best::FewestLayouts => Sameness::Measures,
        Best::KitPerSheet => Sameness::Never,
    };
    let problem = Problem::new(request, sameness);
    let meter = Meter::new(watch, threads, work(request.effort));
    let sheets = lay(request, &problem, &meter);
    Placed {
        layout: hand_out(request, &problem, &sheets),
        is_stopped: watch.is_stopped(),
    }
}

fn lay(request: &Request, problem: &Problem, meter: &Meter) -> Vec<Filled> {
    let counts: Vec<u32> = problem.sizes.iter().map(|size| size.demand).collect();
    let limits: Vec<Option<u32>> = problem.kinds.iter().map(|kind| kind.limit).collect();
    let least_sheets = bound::sheets(request).better;
    meter.note_bound(least_sheets);
    let goal = Goal {
        problem,
        counts: &counts,
        limits: &limits,
        least_sheets,
        is_whole: true,
    };
    match request.best {
        Best::FewestSheets => search(goal, meter).sheets,
        Best::FewestLayouts => {
            let found = search(goal, meter);
            if found.is_complete {
                few_layouts(goal, found.sheets, work(request.effort), meter)
            } else {
                found.sheets
            }
        }
        Best::KitPerSheet => kit_per_sheet(request, goal, work(request.effort), meter),
    }
}
