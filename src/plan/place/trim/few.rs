//! Few different sheets.
//!
//! Sheets with the same layout are cut as one stack, so a kit of 24 that is six equal stacks is soon done. A share of the demand, one
//! in so many, is laid on few sheets, and each of them is made so many times; what does not divide is laid in the same way.

use super::filled::{Filled, different};
use super::meter::Meter;
use super::search::{Goal, search};

/// Work put into one share.
const WORK: u64 = 30_000_000;
/// Most run counts tried.
const MOST_RUNS: usize = 24;
/// How often what does not divide is divided again.
const DEPTH: usize = 2;

/// Returns sheets of few different layouts that hold what `sheets` hold, on at most a twelfth more sheets.
pub(super) fn few_layouts(
    goal: Goal,
    sheets: Vec<Filled>,
    work: u64,
    meter: &Meter,
) -> Vec<Filled> {
    let fewest = count(&sheets);
    let mut few = Few {
        goal,
        most: fewest + fewest / 12,
        end: meter.done() + work,
        meter,
        best: sheets,
    };
    few.divide(goal.counts, goal.limits, &mut Vec::new(), DEPTH);
    few.best
}

/// How many sheets there are.
pub(super) fn count(sheets: &[Filled]) -> u32 {
    sheets.iter().map(|sheet| sheet.runs).sum()
}

struct Few<'a> {
    goal: Goal<'a>,
    most: u32,
    meter: &'a Meter<'a>,
    /// Where its count of work must end.
    end: u64,
    best: Vec<Filled>,
}

impl Few<'_> {
    /// Tries shares of `counts` with falling runs; `before` is laid already.
    fn divide(
        &mut self,
        counts: &[u32],
        limits: &[Option<u32>],
        before: &mut Vec<Filled>,
        depth: usize,
    ) {
        for runs in self.run_counts(counts, before) {
            if self.meter.watch.is_stopped() || self.meter.done() >= self.end {
                return;
            }
            let share: Vec<u32> = counts.iter().map(|count| count / runs).collect();
            let share_limits: Vec<_> = limits.iter().map(|limit| limit.map(|l| l / runs)).collect();
            let Some(mut sheets) = self.lay(&share, &share_limits) else {
                continue;
            };
            sheets.iter_mut().for_each(|sheet| sheet.runs *= runs);
            let mut limits = limits.to_vec();
            for sheet in &sheets {
                limits[sheet.kind] = limits[sheet.kind].map(|l| l - sheet.runs);
            }
            let rest: Vec<u32> = counts.iter().map(|count| count % runs).collect();
            let kept = before.len();
            before.extend(sheets);
            if rest.iter().all(|count| *count == 0) {
                self.consider(before);
            } else if depth > 0 && self.is_promising(before) {
                self.divide(&rest, &limits, before, depth - 1);
            }
            before.truncate(kept);
        }
    }

    /// Run counts worth trying, the greatest first: by area alone, the sheets would be few enough.
    fn run_counts(&self, counts: &[u32], before: &[Filled]) -> Vec<u32> {
        let problem = self.goal.problem;
        let largest = problem
            .kinds
            .iter()
            .map(|kind| kind.size_nm2)
            .fold(1.0, f64::max);
        let room = f64::from(self.most - count(before).min(self.most));
        let needed = |counts: Vec<u32>| (problem.wanted_nm2(&counts) / largest - 1e-9).ceil();
        let is_promising = |runs: &u32| {
            let share = needed(counts.iter().map(|count| count / runs).collect());
            let rest = needed(counts.iter().map(|count| count % runs).collect());
            share > 0.0 && share * f64::from(*runs) + rest <= room
        };
        let most = counts.iter().max().copied().unwrap_or(0);
        (1..=most)
            .rev()
            .filter(is_promising)
            .take(MOST_RUNS)
            .collect()
    }

    fn lay(&self, counts: &[u32], limits: &[Option<u32>]) -> Option<Vec<Filled>> {
        self.meter
            .allow(WORK.min(self.end - self.meter.done().min(self.end)));
        let goal = Goal {
            counts,
            limits,
            enough: 0.0,
            is_whole: false,
            ..self.goal
        };
        let found = search(goal, self.meter);
        found.is_complete.then_some(found.sheets)
    }

    fn is_promising(&self, sheets: &[Filled]) -> bool {
        let problem = self.goal.problem;
        count(sheets) < self.most && different(problem, sheets) < different(problem, &self.best)
    }

    fn consider(&mut self, sheets: &[Filled]) {
        let rank = |sheets: &[Filled]| (different(self.goal.problem, sheets), count(sheets));
        if count(sheets) <= self.most && rank(sheets) < rank(&self.best) {
            self.best = sheets.to_vec();
        }
    }
}
