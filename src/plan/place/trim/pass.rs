//! Sheet after sheet, each filled with what is worth most.

use super::super::cover::{Cover, Demand};
use super::fill::{Care, Filling, Job, fill};
use super::meter::Meter;
use super::pool::Pool;
use super::problem::{Kind, Problem};

/// Work after which a pass goes on greedily, so that any pass comes to an end.
const MOST_WORK: u64 = 200_000_000;
/// The least care.
pub(super) const GREEDY: Care = Care {
    width: 0,
    children: 0,
    hope: 0.95,
    keep: 1,
};

/// Fills sheets one after the other until nothing is left, or no sheet.
pub(super) struct Pass<'a> {
    pub(super) problem: &'a Problem,
    pub(super) meter: &'a Meter<'a>,
    /// Takes all fillings found on the way.
    pub(super) pool: Pool,
}

impl Pass<'_> {
    /// Covers as much of `demand` as the sheets allow.
    pub(super) fn run(&mut self, demand: &Demand, values: &[f64], care: Care) -> Cover {
        let mut rest = demand.clone();
        let mut cover = Cover::new();
        let mut work = 0;
        while !rest.is_met() {
            let care = if work < MOST_WORK && !self.meter.watch.is_stopped() {
                care
            } else {
                GREEDY
            };
            let Some((kind, fillings)) = self.next(&rest, values, care, &mut work) else {
                break;
            };
            let blocks = &self.problem.kinds[kind].blocks;
            let numbers: Vec<usize> = fillings
                .iter()
                .map(|f| self.pool.put(kind, blocks, &f.spots).0)
                .collect();
            let pattern = &self.pool.patterns()[numbers[0]];
            let repeats = pattern
                .counts
                .iter()
                .map(|(size, count)| rest.parts[*size] / count)
                .min();
            let runs = repeats
                .unwrap_or(1)
                .min(rest.limits[kind].unwrap_or(u32::MAX))
                .max(1);
            rest.take(pattern, runs);
            cover.push((numbers[0], runs));
        }
        cover
    }

    /// The next sheet and its fillings, the best first: an offcut as long as there are any, then the whole sheet that takes most;
    /// of those that take all that is left, the cheapest.
    fn next(
        &self,
        rest: &Demand,
        values: &[f64],
        care: Care,
        work: &mut u64,
    ) -> Option<(usize, Vec<Filling>)> {
        let wanted: usize = rest
            .parts
            .iter()
            .map(|count| usize::try_from(*count).unwrap_or(usize::MAX))
            .sum();
        let mut best: Option<(usize, Vec<Filling>)> = None;
        for (at, kind) in self.problem.kinds.iter().enumerate() {
            if rest.limits[at] == Some(0) {
                continue;
            }
            let fillings = self.fill(kind, rest, values, care, work);
            if fillings.is_empty() {
                continue;
            }
            if kind.is_offcut {
                return Some((at, fillings));
            }
            let rank = |at: usize, fillings: &[Filling]| {
                let cost = self.problem.kinds[at].cost;
                let is_last = fillings[0].spots.len() == wanted;
                (
                    is_last,
                    if is_last {
                        -cost
                    } else {
                        fillings[0].value / cost
                    },
                )
            };
            let is_better = |(than, others): &(usize, Vec<Filling>)| {
                let (mine, theirs) = (rank(at, &fillings), rank(*than, others));
                mine.0
                    .cmp(&theirs.0)
                    .then(mine.1.total_cmp(&theirs.1))
                    .is_gt()
            };
            if best.as_ref().is_none_or(is_better) {
                best = Some((at, fillings));
            }
        }
        best
    }

    fn fill(
        &self,
        kind: &Kind,
        rest: &Demand,
        values: &[f64],
        care: Care,
        work: &mut u64,
    ) -> Vec<Filling> {
        let job = Job {
            blocks: &kind.blocks,
            free: &kind.free,
            reach_nm: self.problem.reach_nm,
            left: &rest.parts,
            values,
            above: 0.0,
            care,
            watch: self.meter.watch,
        };
        let (fillings, spent) = fill(&job);
        self.meter.add(spent);
        *work += spent;
        fillings
    }
}

/// Values of sizes that rise pass by pass for what ends on wasteful sheets.
///
/// Sequential value correction (G. Belov and G. Scheithauer, 2007): after a pass, the value of a size moves halfway to its area,
/// raised to a power, over the share of its sheet that is used.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Values {
    power: f64,
    pub(super) values: Vec<f64>,
}

impl Values {
    /// Areas in shares of the largest sheet, raised to `power`: above 1, large boxes are laid first.
    pub(super) fn new(problem: &Problem, power: f64) -> Self {
        let largest = problem
            .kinds
            .iter()
            .map(|kind| kind.size_nm2)
            .fold(1.0, f64::max);
        let value = |size: f64| libm::pow(size / largest, power);
        Self {
            power,
            values: problem
                .sizes
                .iter()
                .map(|size| value(size.size_nm2()))
                .collect(),
        }
    }

    /// Corrects the values by what a pass has made.
    pub(super) fn correct(&mut self, problem: &Problem, pool: &Pool, cover: &Cover) {
        let plain = Self::new(problem, self.power).values;
        for (number, _) in cover {
            let pattern = &pool.patterns()[*number];
            let size =
                |(size, count): &(usize, u32)| problem.sizes[*size].size_nm2() * f64::from(*count);
            let used =
                pattern.counts.iter().map(size).sum::<f64>() / problem.kinds[pattern.kind].size_nm2;
            for (size, _) in &pattern.counts {
                self.values[*size] = 0.5 * self.values[*size] + 0.5 * plain[*size] / used;
            }
        }
    }
}
