//! What the maker wishes: fewest sheets, fewest different ones, or a kit on each.

use std::num::NonZeroUsize;

use super::super::cover::NOISE;
use super::super::{Best, Effort, Placed, Request, Watch, bound};
use super::few::few_layouts;
use super::filled::Filled;
use super::hand_out::hand_out;
use super::kit::kit_per_sheet;
use super::meter::Meter;
use super::problem::{Problem, Sameness};
use super::search::{Found, Goal, search};

/// Work of each effort: boxes tried in free rectangles. One thread does some hundred million in a second.
fn work(effort: Effort) -> u64 {
    match effort {
        Effort::Quick => 50_000_000,
        Effort::Usual => 1_000_000_000,
        Effort::Long => 20_000_000_000,
    }
}

/// The part of the work that is put into laying all spares at once.
const SPARES_SHARE: u64 = 4;

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
        enough: problem.least_cost(least_sheets),
        is_whole: true,
    };
    if request.best == Best::KitPerSheet {
        return kit_per_sheet(request, goal, work(request.effort), meter);
    }
    let found = search(goal, meter);
    if !found.is_complete {
        return found.sheets;
    }
    let with_spares: Vec<u32> = problem
        .sizes
        .iter()
        .map(|size| size.demand + size.spares)
        .collect();
    let with_spares = Goal {
        counts: &with_spares,
        enough: found.cost,
        is_whole: false,
        ..goal
    };
    meter.allow(work(request.effort) / SPARES_SHARE);
    let spared = all_spares(with_spares, meter).filter(|spared| spared.cost <= found.cost + NOISE);
    let (goal, sheets) = spared.map_or((goal, found.sheets), |spared| (with_spares, spared.sheets));
    match request.best {
        Best::FewestSheets | Best::KitPerSheet => sheets,
        Best::FewestLayouts => few_layouts(goal, sheets, work(request.effort), meter),
    }
}

/// Lays all spares too, so that they find room on sheets that are opened anyway; `None` if there are none or they do not fit.
fn all_spares(goal: Goal, meter: &Meter) -> Option<Found> {
    let has_spares = goal.problem.sizes.iter().any(|size| size.spares > 0);
    has_spares
        .then(|| search(goal, meter))
        .filter(|found| found.is_complete)
}
