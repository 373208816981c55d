//! One whole kit to a sheet, for bags that are handed out.

use super::effort::Effort;
use super::greedy::fill;
use super::job::Job;
use super::random::Random;
use super::settle::{scattered, settle};
use super::sheaf::{Pattern, Sheaf, patterns_of};
use super::tasks::{self, Outcome};

/// Tries to lay a kit on a sheet.
const TASKS: usize = 8;

/// Returns a sheet for each kit, offcuts first, as far as a kit fits on a sheet; `None` if it fits on none.
pub(super) fn lay_out(job: &Job, effort: &mut Effort) -> Option<Sheaf> {
    let parts = &job.request.parts;
    let kit: Vec<u32> = parts
        .iter()
        .map(|part| part.per_kit.min(part.demand))
        .collect();
    let demand = parts.iter().zip(&kit);
    let mut kits = demand
        .filter_map(|(part, n)| part.demand.checked_div(*n))
        .min()?;
    let mut sheaf = Sheaf::default();
    let boards = 0..job.bench.boards.len();
    let (offcuts, whole): (Vec<usize>, Vec<usize>) = boards.partition(|b| job.is_offcut(*b));
    for board in offcuts.into_iter().chain(whole) {
        if kits == 0 {
            break;
        }
        if let Some(pattern) = one_kit(job, board, &kit, effort) {
            let runs = kits.min(job.sheets_left(&sheaf, board));
            kits -= runs;
            sheaf.add(Pattern { runs, ..pattern });
        }
    }
    (!sheaf.patterns.is_empty()).then_some(sheaf)
}

/// A sheet with one kit on it, if it fits.
fn one_kit(job: &Job, board: usize, kit: &[u32], effort: &mut Effort) -> Option<Pattern> {
    let randoms: [Random; TASKS] = effort.randoms();
    let greedy = Pattern {
        board,
        runs: 1,
        lying: fill(&job.bench, board, kit, &mut randoms[0].clone()),
    };
    if (0..kit.len()).all(|part| greedy.count(part) == kit[part]) {
        return Some(greedy);
    }
    let outcome = tasks::first(job.threads, TASKS, |task, is_lost| {
        let mut random = randoms[task].clone();
        let Some(mut crowd) = scattered(&job.bench, vec![board], kit, &mut random) else {
            return Outcome {
                result: None,
                work: 1,
            };
        };
        let is_stopped = || is_lost() || job.lookout.is_stopped();
        let work = effort.of_task(crowd.pieces.len());
        let is_settled = settle(&mut crowd, work, &mut random, &is_stopped);
        Outcome {
            result: is_settled.then(|| patterns_of(&crowd)),
            work: crowd.work(),
        }
    });
    outcome.result?.pop()
}
