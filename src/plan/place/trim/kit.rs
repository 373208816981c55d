//! One kit to a sheet.

use super::super::Request;
use super::filled::Filled;
use super::meter::Meter;
use super::problem::Problem;
use super::search::{Goal, search};

/// Work put into the question whether a kit fits on one sheet.
const WORK: u64 = 100_000_000;

/// Lays whole kits, each on a sheet of its own, as long as there are kits and sheets that hold one; then everything else.
///
/// In `goal` each size is one part, so that a sheet holds the parts of one kit and not as many of another.
pub(super) fn kit_per_sheet(request: &Request, goal: Goal, all: u64, meter: &Meter) -> Vec<Filled> {
    let kit: Vec<u32> = goal
        .problem
        .sizes
        .iter()
        .map(|size| request.parts[size.parts[0]].per_kit)
        .collect();
    let mut counts = goal.counts.to_vec();
    let mut limits = goal.limits.to_vec();
    let mut sheets = Vec::new();
    for kind in 0..goal.limits.len() {
        let kits = kits(&kit, &counts).min(limits[kind].unwrap_or(u32::MAX));
        if kits == 0 {
            continue;
        }
        let Some(sheet) = kit_on(goal.problem, &kit, kind, meter) else {
            continue;
        };
        for (count, taken) in counts.iter_mut().zip(&kit) {
            *count -= taken * kits;
        }
        limits[kind] = limits[kind].map(|limit| limit - kits);
        sheets.push(Filled {
            runs: kits,
            ..sheet
        });
    }
    meter.allow(all);
    let rest = Goal {
        counts: &counts,
        limits: &limits,
        enough: 0.0,
        is_whole: sheets.is_empty(),
        ..goal
    };
    sheets.extend(search(rest, meter).sheets);
    sheets
}

/// How many whole kits there are in `counts`; none if nothing belongs to a kit.
fn kits(kit: &[u32], counts: &[u32]) -> u32 {
    let of = counts.iter().zip(kit).filter(|(_, per_kit)| **per_kit > 0);
    of.map(|(count, per_kit)| count / per_kit)
        .min()
        .unwrap_or(0)
}

/// A sheet of a kind with one kit on it.
fn kit_on(problem: &Problem, kit: &[u32], kind: usize, meter: &Meter) -> Option<Filled> {
    let limits: Vec<_> = (0..problem.kinds.len())
        .map(|k| Some(u32::from(k == kind)))
        .collect();
    meter.allow(WORK);
    let goal = Goal {
        problem,
        counts: kit,
        limits: &limits,
        enough: 0.0,
        is_whole: false,
    };
    let found = search(goal, meter);
    found
        .is_complete
        .then(|| found.sheets.into_iter().next())
        .flatten()
}
