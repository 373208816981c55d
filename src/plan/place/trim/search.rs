//! The search for the cheapest sheets: passes, then prices and dives, then ever more careful passes.
//!
//! One search serves every effort; a greater effort goes on where a smaller one stops, and what has been found is only replaced by
//! something better, so more effort never gives a worse layout.

use super::super::cover::{Cover, Demand, NOISE, dive, relax};
use super::fill::Care;
use super::filled::{Filled, Score, filled, micro};
use super::generate::Generator;
use super::meter::Meter;
use super::pass::{GREEDY, Pass, Values};
use super::pool::Pool;
use super::problem::Problem;

/// Powers of areas with which passes start: from all paper being worth the same to large boxes first.
const POWERS: [f64; 4] = [1.1, 1.03, 1.3, 1.0];
/// How thoroughly sheets are filled in passes before prices are asked for, and how many rounds of passes that takes.
const EARLY: [(Care, usize); 2] = [
    (
        Care {
            width: 2,
            children: 4,
            hope: 0.95,
            keep: 6,
        },
        3,
    ),
    (
        Care {
            width: 4,
            children: 8,
            hope: 0.95,
            keep: 6,
        },
        6,
    ),
];
/// The same for sheets with many boxes, and for all if prices have found nothing better.
const WIDE: [(Care, usize); 2] = [
    (
        Care {
            width: 10,
            children: 10,
            hope: 0.95,
            keep: 6,
        },
        4,
    ),
    (
        Care {
            width: 40,
            children: 20,
            hope: 0.95,
            keep: 6,
        },
        2,
    ),
];
/// The same until the work is spent.
const WIDEST: Care = Care {
    width: 120,
    children: 20,
    hope: 0.9,
    keep: 6,
};
/// Second choices taken in dives.
const DISCREPANCIES: usize = 2;
/// More sizes than this make linear programs slow.
const MOST_PRICED_SIZES: usize = 400;
/// Fillings found by beam search are not always the worthiest, so a linear program may cost this little less, in sheets.
const DOUBT: f64 = 0.01;
/// A leftover of the size of the largest sheet costs as much as so many sheets.
const LEFTOVER_COST: f64 = 1e4;

/// What is to be found, and where to stop.
#[derive(Debug, Clone, Copy)]
pub(super) struct Goal<'a> {
    pub(super) problem: &'a Problem,
    /// How many of each size.
    pub(super) counts: &'a [u32],
    /// How many sheets of each kind there are.
    pub(super) limits: &'a [Option<u32>],
    /// No sheets that cost less are looked for.
    pub(super) enough: f64,
    /// Whether this is all there is to be laid, so that its sheets are worth telling.
    pub(super) is_whole: bool,
}

/// What has been found.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) sheets: Vec<Filled>,
    /// What they cost, leftovers included.
    pub(super) cost: f64,
    /// Whether all boxes lie on them.
    pub(super) is_complete: bool,
}

/// Looks for the cheapest sheets until the meter's work is spent, or nothing can be cheaper.
pub(super) fn search(goal: Goal, meter: &Meter) -> Found {
    let mut search = Search::new(goal, meter);
    search.run();
    Found {
        cost: search.cost,
        is_complete: search.is_complete,
        sheets: search.sheets,
    }
}

struct Search<'a> {
    goal: Goal<'a>,
    meter: &'a Meter<'a>,
    demand: Demand,
    generator: Generator<'a>,
    chains: Vec<Values>,
    sheets: Vec<Filled>,
    score: Option<Score>,
    cost: f64,
    is_complete: bool,
    bound: f64,
}

impl<'a> Search<'a> {
    fn new(goal: Goal<'a>, meter: &'a Meter<'a>) -> Self {
        let demand = demand(goal);
        Self {
            goal,
            meter,
            bound: area_bound(goal.problem, &demand).max(goal.enough),
            demand,
            generator: Generator::new(goal.problem, meter, Pool::default()),
            chains: POWERS
                .map(|power| Values::new(goal.problem, power))
                .to_vec(),
            sheets: Vec::new(),
            score: None,
            cost: f64::INFINITY,
            is_complete: false,
        }
    }

    fn run(&mut self) {
        self.round(GREEDY);
        let is_over = self.all_rounds(&EARLY)
            || (self.is_crowded() && self.all_rounds(&WIDE))
            || (self.is_priced() && self.dive());
        if !is_over {
            self.all_rounds(&WIDE);
            self.rounds(WIDEST, usize::MAX);
        }
    }

    /// Whether sheets hold so many different boxes that prices tell little and it is more use to fill each sheet well.
    fn is_crowded(&self) -> bool {
        let sheets: u32 = self.sheets.iter().map(|sheet| sheet.runs).sum();
        let sizes = self.demand.parts.iter().filter(|count| **count > 0).count();
        sizes > 10 * usize::try_from(sheets).expect("sheets are counted in whole numbers")
    }

    /// Whether there are few enough sizes for linear programs.
    fn is_priced(&self) -> bool {
        self.demand.parts.iter().filter(|count| **count > 0).count() <= MOST_PRICED_SIZES
    }

    /// Rounds with rising care; returns whether the search has come to its end.
    fn all_rounds(&mut self, cares: &[(Care, usize)]) -> bool {
        cares
            .iter()
            .any(|(care, rounds)| self.rounds(*care, *rounds))
    }

    /// Passes with equal care; returns whether the search has come to its end.
    fn rounds(&mut self, care: Care, rounds: usize) -> bool {
        for _ in 0..rounds {
            if self.is_over() {
                return true;
            }
            self.round(care);
        }
        self.is_over()
    }

    fn is_over(&self) -> bool {
        self.meter.is_spent() || self.is_proven()
    }

    fn is_proven(&self) -> bool {
        self.cost < self.bound + self.demand.step - NOISE
    }

    /// One pass for each chain of values.
    fn round(&mut self, care: Care) {
        let (problem, meter, demand) = (self.goal.problem, self.meter, &self.demand);
        let passes = meter.in_order(&self.chains, |values| {
            let mut pass = Pass {
                problem,
                meter,
                pool: Pool::default(),
            };
            let cover = pass.run(demand, &values.values, care);
            (cover, pass.pool)
        });
        for (at, (cover, pool)) in passes.into_iter().enumerate() {
            self.chains[at].correct(problem, &pool, &cover);
            let cover = self.take_over(&pool, &cover);
            self.consider(&cover);
        }
    }

    /// Puts all patterns of a pass into the pool, and returns its cover with their new numbers.
    fn take_over(&mut self, pool: &Pool, cover: &Cover) -> Cover {
        let kinds = &self.goal.problem.kinds;
        let put = |at: usize| {
            let kind = pool.patterns()[at].kind;
            self.generator
                .pool
                .put(kind, &kinds[kind].blocks, pool.spots(at))
                .0
        };
        let numbers: Vec<usize> = (0..pool.patterns().len()).map(put).collect();
        cover
            .iter()
            .map(|(number, runs)| (numbers[*number], *runs))
            .collect()
    }

    /// Asks for prices, and dives if they leave room for a cheaper cover; returns whether the search has come to its end.
    fn dive(&mut self) -> bool {
        let program = relax(&self.demand, &mut self.generator, 0);
        self.bound = self.bound.max(self.generator.bound());
        let least = program.cost() - DOUBT + self.demand.step;
        if self.is_over() || self.cost < least {
            return true;
        }
        if let Some(cover) = dive(&self.demand, &mut self.generator, self.cost, DISCREPANCIES) {
            self.consider(&cover);
        }
        self.is_over() || self.cost < least
    }

    /// Keeps a cover if it is better than what there is.
    fn consider(&mut self, cover: &Cover) {
        let patterns = self.generator.pool.patterns();
        let rest = self.demand.after(patterns, cover);
        let cost = self.demand.sheet_cost(patterns, cover) + rest.leftover_cost();
        if self
            .score
            .is_some_and(|score| micro(cost) > score.micro_cost)
        {
            return;
        }
        let problem = self.goal.problem;
        let sheets = filled(problem, &self.generator.pool, &self.demand, cover);
        let score = Score::new(problem, &sheets, cost);
        if self.score.is_none_or(|best| score < best) {
            if self.goal.is_whole {
                self.meter
                    .note_sheets(sheets.iter().map(|sheet| sheet.runs).sum());
            }
            self.sheets = sheets;
            self.score = Some(score);
            self.cost = cost;
            self.is_complete = rest.is_met();
        }
    }
}

fn demand(goal: Goal) -> Demand {
    let kinds = &goal.problem.kinds;
    let largest = kinds.iter().map(|kind| kind.size_nm2).fold(1.0, f64::max);
    let leftover = |size: f64| LEFTOVER_COST * (size / largest).max(1e-3);
    Demand {
        parts: goal.counts.to_vec(),
        limits: goal.limits.to_vec(),
        costs: kinds.iter().map(|kind| kind.cost).collect(),
        leftover_costs: goal
            .problem
            .sizes
            .iter()
            .map(|size| leftover(size.size_nm2()))
            .collect(),
        step: step(goal),
    }
}

/// The least by which one cover can be cheaper than another: a whole sheet if all cost the same, even if it takes all offcuts to save
/// it; else a part of a price.
fn step(goal: Goal) -> f64 {
    let kinds = || {
        goal.problem
            .kinds
            .iter()
            .zip(goal.limits)
            .filter(|(_, limit)| **limit != Some(0))
    };
    let mut costs: Vec<f64> = kinds()
        .filter(|(kind, _)| !kind.is_offcut)
        .map(|(kind, _)| kind.cost)
        .collect();
    costs.dedup_by(|a, b| (*a - *b).abs() < NOISE);
    if costs.len() > 1 {
        return 10.0 * NOISE;
    }
    let offcuts: f64 = kinds()
        .filter(|(kind, _)| kind.is_offcut)
        .map(|(kind, limit)| kind.cost * f64::from(limit.unwrap_or(0)))
        .sum();
    (costs.first().copied().unwrap_or(0.0) - offcuts).max(10.0 * NOISE)
}

/// What no sheets can cost less than by area alone: the cheapest paper first, as if it could be cut to the last corner.
fn area_bound(problem: &Problem, demand: &Demand) -> f64 {
    let mut wanted_nm2 = problem.wanted_nm2(&demand.parts);
    let mut kinds: Vec<_> = problem
        .kinds
        .iter()
        .zip(&demand.limits)
        .filter(|(kind, _)| kind.size_nm2 > 0.0)
        .collect();
    kinds.sort_by(|a, b| (a.0.cost / a.0.size_nm2).total_cmp(&(b.0.cost / b.0.size_nm2)));
    let mut cost = 0.0;
    for (kind, limit) in kinds {
        let needed = wanted_nm2 / kind.size_nm2;
        let used = limit.map_or(needed, |limit| needed.min(f64::from(limit)));
        cost += used * kind.cost;
        wanted_nm2 -= used * kind.size_nm2;
    }
    cost
}
