//! Fillings at the prices of a linear program: column generation.

use super::super::cover::{Asked, Cover, Demand, Pattern, Prices, Source};
use super::block::Spot;
use super::fill::{Care, Filling, Job, fill};
use super::grid::Grid;
use super::meter::Meter;
use super::pass::{Pass, Values};
use super::pool::{Pool, pattern};
use super::problem::{Kind, Problem};

/// Most steps of an exact search: about a tenth of a second.
const MOST_GRID_STEPS: usize = 100_000_000;
/// A step of an exact search is a sum and a comparison of neighbours, several times quicker than a box tried.
const GRID_STEPS_PER_WORK: usize = 4;
/// How much more than its sheet a filling must be worth.
const LEAST_GAIN: f64 = 1e-6;
/// Most fillings added at once for each kind of sheet.
const MOST_FILLINGS: usize = 30;
/// Rounds of pricing after something has been fixed: what is left is small, and the next dive prices again.
const ROUNDS_BELOW: usize = 4;
/// Rounds of pricing at the start of a dive.
const ROUNDS_FIRST: usize = 200;

/// How thoroughly a sheet is filled at given prices, and again if nothing is found, before anything is fixed.
const CARES: [Care; 2] = [
    Care {
        width: 8,
        children: 8,
        hope: 1.0,
        keep: 20,
    },
    Care {
        width: 24,
        children: 16,
        hope: 1.0,
        keep: 20,
    },
];
/// Believing in all free paper and in four fifths of it leads to different fillings.
const HOPES: [f64; 2] = [1.0, 0.8];
/// How thoroughly the rest is covered at each step of a dive.
const FINISH: Care = Care {
    width: 2,
    children: 4,
    hope: 0.95,
    keep: 3,
};
/// Large boxes a little before small ones.
const FINISH_POWER: f64 = 1.1;

/// A pool and the means to add to it.
pub(super) struct Generator<'a> {
    problem: &'a Problem,
    meter: &'a Meter<'a>,
    pub(super) pool: Pool,
    /// Exact searches for the free rectangles of each kind of sheet, where they are quick enough.
    grids: Vec<Option<Vec<Grid>>>,
    finish_values: Vec<f64>,
    /// What no cover can cost less than, by exact search.
    bound: f64,
}

impl<'a> Generator<'a> {
    /// A generator with what is in `pool`.
    pub(super) fn new(problem: &'a Problem, meter: &'a Meter<'a>, pool: Pool) -> Self {
        let grids = |kind: &Kind| {
            let most = MOST_GRID_STEPS / kind.free.len().max(1);
            let grid = |area| Grid::new(area, &kind.blocks, problem.reach_nm, most);
            kind.free.iter().copied().map(grid).collect()
        };
        Self {
            problem,
            meter,
            pool,
            grids: problem.kinds.iter().map(grids).collect(),
            finish_values: Values::new(problem, FINISH_POWER).values,
            bound: 0.0,
        }
    }

    /// What no cover can cost less than.
    pub(super) fn bound(&self) -> f64 {
        self.bound
    }

    /// Fills sheets exactly; returns whether anything new came of it, and notes the bound that follows at the start of a dive.
    fn add_exact(&mut self, rest: &Demand, prices: &Prices, asked: Asked) -> bool {
        let mut is_new = false;
        let mut worths = Vec::new();
        for (at, kind) in self.problem.kinds.iter().enumerate() {
            let Some(grids) = &self.grids[at] else {
                continue;
            };
            let work: usize = grids.iter().map(Grid::steps).sum();
            self.meter.add((work / GRID_STEPS_PER_WORK) as u64);
            let filled: Vec<_> = grids
                .iter()
                .map(|grid| grid.worths(&prices.parts))
                .collect();
            worths.push((at, filled.iter().map(|worths| worths.best()).sum::<f64>()));
            let above = prices.sheets[at] + LEAST_GAIN;
            let fillings: Vec<Vec<Spot>> = match filled.as_slice() {
                [one] => one.fillings(above, MOST_FILLINGS),
                several => vec![several.iter().flat_map(|worths| worths.filling()).collect()],
            };
            for spots in fillings {
                let pattern = pattern(at, &kind.blocks, &spots);
                let counts = pattern.counts.iter();
                let worth: f64 = counts
                    .map(|(size, n)| prices.parts[*size] * f64::from((*n).min(rest.parts[*size])))
                    .sum();
                if worth > above && rest.limits[at] != Some(0) {
                    is_new |= self.pool.put(at, &kind.blocks, &spots).1;
                }
            }
        }
        if asked.depth == 0 && worths.len() == self.problem.kinds.len() {
            self.bound = self.bound.max(bound(rest, prices, &worths));
        }
        is_new
    }

    /// Fills sheets by beam search; returns whether anything new came of it.
    fn add_by_beam(&mut self, rest: &Demand, prices: &Prices, care: Care) -> bool {
        let kinds = (0..self.problem.kinds.len()).filter(|kind| rest.limits[*kind] != Some(0));
        let tasks: Vec<(usize, Care)> = kinds
            .flat_map(|kind| HOPES.map(|hope| (kind, Care { hope, ..care })))
            .collect();
        let found = self.meter.in_order(&tasks, |(at, care)| {
            let kind = &self.problem.kinds[*at];
            let (fillings, work) = fill(&Job {
                blocks: &kind.blocks,
                free: &kind.free,
                reach_nm: self.problem.reach_nm,
                left: &rest.parts,
                values: &prices.parts,
                above: prices.sheets[*at] + LEAST_GAIN,
                care: *care,
                watch: self.meter.watch,
            });
            self.meter.add(work);
            fillings
        });
        let mut is_new = false;
        for ((kind, _), fillings) in tasks.iter().zip(&found) {
            is_new |= self.put_all(*kind, fillings);
        }
        is_new
    }

    fn put_all(&mut self, kind: usize, fillings: &[Filling]) -> bool {
        let blocks = &self.problem.kinds[kind].blocks;
        let mut is_new = false;
        for filling in fillings {
            is_new |= self.pool.put(kind, blocks, &filling.spots).1;
        }
        is_new
    }
}

/// What no cover can cost less than: prices at which no sheet holds more than it costs add up to no more than any cover costs. Where
/// sheets are few, what one holds beyond its cost is taken off for each of them.
fn bound(rest: &Demand, prices: &Prices, worths: &[(usize, f64)]) -> f64 {
    let excess = |(kind, worth): &(usize, f64)| {
        rest.limits[*kind]
            .is_none()
            .then_some(worth / rest.costs[*kind])
    };
    let scale = worths.iter().filter_map(excess).fold(1.0, f64::max);
    let gain = |(kind, worth): &(usize, f64)| {
        let limit = f64::from(rest.limits[*kind].unwrap_or(0));
        limit * (worth / scale - rest.costs[*kind]).max(0.0)
    };
    let wanted: f64 = rest
        .parts
        .iter()
        .zip(&prices.parts)
        .map(|(n, price)| f64::from(*n) * price)
        .sum();
    wanted / scale - worths.iter().map(gain).sum::<f64>()
}

impl Source for Generator<'_> {
    fn patterns(&self) -> &[Pattern] {
        self.pool.patterns()
    }

    fn add(&mut self, rest: &Demand, prices: &Prices, asked: Asked) -> bool {
        let rounds = if asked.depth == 0 {
            ROUNDS_FIRST
        } else {
            ROUNDS_BELOW
        };
        if asked.round >= rounds || self.is_spent() {
            return false;
        }
        let cares = if asked.depth == 0 {
            &CARES[..]
        } else {
            &CARES[..1]
        };
        self.add_exact(rest, prices, asked)
            || cares
                .iter()
                .any(|care| self.add_by_beam(rest, prices, *care))
    }

    fn finish(&mut self, rest: &Demand) -> Cover {
        let pool = std::mem::take(&mut self.pool);
        let mut pass = Pass {
            problem: self.problem,
            meter: self.meter,
            pool,
        };
        let cover = pass.run(rest, &self.finish_values, FINISH);
        self.pool = pass.pool;
        cover
    }

    fn note_work(&mut self, work: u64) {
        self.meter.add(work / 2);
    }

    fn is_spent(&self) -> bool {
        self.meter.is_spent()
    }
}
