//! Which filled sheets to take, and how often: covering a demand with ready patterns.
//!
//! A pattern says how many of each part one sheet of some kind holds. The cheapest way to take whole numbers of patterns so that
//! every part is covered is looked for by *diving*: solve the linear program in which runs may be fractions, fix the runs that are
//! nearly whole, solve what is left, and so on; then turn back at most a few times and take the second choice instead (limited
//! discrepancy search: W. D. Harvey and M. L. Ginsberg, 1995). A [`Source`] may add patterns at each step at the prices of the
//! linear program, which is column generation (P. C. Gilmore and R. E. Gomory, 1961).
//!
//! A pattern covers what it holds or any part of that, so covering a part more often than wanted costs nothing.

use super::simplex::{Row, Simplex};

/// How many of each part a sheet holds.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Pattern {
    /// The kind of sheet.
    pub(super) kind: usize,
    /// Parts and how many of each, by rising part, no part twice, no count 0.
    pub(super) counts: Vec<(usize, u32)>,
}

/// What is to be covered, and what it costs.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Demand {
    /// How many of each part are wanted.
    pub(super) parts: Vec<u32>,
    /// How many sheets of each kind there are; `None` is any number.
    pub(super) limits: Vec<Option<u32>>,
    /// Cost of a sheet of each kind.
    pub(super) costs: Vec<f64>,
    /// Cost of leaving one of each part over: more than any sheet.
    pub(super) leftover_costs: Vec<f64>,
    /// The least by which one cover can be cheaper than another: 1 if every sheet costs 1.
    pub(super) step: f64,
}

impl Demand {
    /// Cost of the sheets of a cover.
    pub(super) fn sheet_cost(&self, patterns: &[Pattern], cover: &[(usize, u32)]) -> f64 {
        let cost = |(at, runs): &(usize, u32)| self.costs[patterns[*at].kind] * f64::from(*runs);
        cover.iter().map(cost).sum()
    }

    /// Cost of what is wanted if nothing more is covered.
    pub(super) fn leftover_cost(&self) -> f64 {
        let counts = self.parts.iter().zip(&self.leftover_costs);
        counts.map(|(count, cost)| f64::from(*count) * cost).sum()
    }

    /// Takes off what some runs of a pattern cover, and their sheets.
    pub(super) fn take(&mut self, pattern: &Pattern, runs: u32) {
        for (part, count) in &pattern.counts {
            self.parts[*part] = self.parts[*part].saturating_sub(count * runs);
        }
        if let Some(limit) = &mut self.limits[pattern.kind] {
            *limit = limit.saturating_sub(runs);
        }
    }

    /// What is still wanted, and how many sheets are left, after `cover`.
    pub(super) fn after(&self, patterns: &[Pattern], cover: &[(usize, u32)]) -> Self {
        let mut rest = self.clone();
        for (at, runs) in cover {
            rest.take(&patterns[*at], *runs);
        }
        rest
    }

    /// Whether nothing is wanted.
    pub(super) fn is_met(&self) -> bool {
        self.parts.iter().all(|count| *count == 0)
    }
}

/// The linear program of a demand over a pool of patterns.
#[derive(Debug)]
pub(super) struct Relaxation {
    program: Simplex,
    demand: Demand,
    part_rows: Vec<Option<usize>>,
    kind_rows: Vec<Option<usize>>,
    /// The pattern of each column.
    patterns: Vec<Option<usize>>,
    seen: usize,
}

/// What the linear program says things are worth.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Prices {
    /// Worth of one of each part.
    pub(super) parts: Vec<f64>,
    /// What a sheet of each kind costs: its cost, and more if there are too few.
    pub(super) sheets: Vec<f64>,
}

impl Relaxation {
    /// A program without patterns, in which everything is left over.
    fn new(demand: Demand) -> Self {
        let mut rows = Vec::new();
        let part_rows: Vec<_> = (0..demand.parts.len())
            .map(|part| {
                let count = demand.parts[part];
                (count > 0).then(|| {
                    rows.push(Row {
                        right: f64::from(count),
                        start_cost: demand.leftover_costs[part],
                    });
                    rows.len() - 1
                })
            })
            .collect();
        let wanted = rows.len();
        let kind_rows: Vec<_> = demand
            .limits
            .iter()
            .map(|limit| {
                limit.map(|limit| {
                    rows.push(Row {
                        right: f64::from(limit),
                        start_cost: 0.0,
                    });
                    rows.len() - 1
                })
            })
            .collect();
        let mut program = Simplex::new(&rows);
        for row in 0..wanted {
            program.add(0.0, [(row, -1.0)]);
        }
        let patterns = vec![None; rows.len() + wanted];
        Self {
            program,
            demand,
            part_rows,
            kind_rows,
            patterns,
            seen: 0,
        }
    }

    /// Takes in the patterns that have come to the pool since the last call.
    fn take_in(&mut self, pool: &[Pattern]) {
        for (at, pattern) in pool.iter().enumerate().skip(self.seen) {
            self.take(at, pattern);
        }
        self.seen = pool.len();
    }

    fn take(&mut self, at: usize, pattern: &Pattern) {
        if self.demand.limits[pattern.kind] == Some(0) {
            return;
        }
        let row = |(part, count): &(usize, u32)| {
            let count = f64::from((*count).min(self.demand.parts[*part]));
            self.part_rows[*part].map(|row| (row, count))
        };
        let mut entries: Vec<_> = pattern.counts.iter().filter_map(row).collect();
        if entries.is_empty() {
            return;
        }
        entries.extend(self.kind_rows[pattern.kind].map(|row| (row, 1.0)));
        self.program.add(self.demand.costs[pattern.kind], entries);
        self.patterns.push(Some(at));
    }

    /// Makes it as cheap as its patterns allow; returns the work done, in entries looked at.
    fn solve(&mut self) -> u64 {
        self.program.solve(40 * self.part_rows.len() + 1000)
    }

    /// Cost of the best fractions of patterns.
    pub(super) fn cost(&self) -> f64 {
        self.program.cost()
    }

    /// Prices at that cost.
    fn prices(&self) -> Prices {
        let prices = self.program.prices();
        let part = |row: &Option<usize>| row.map_or(0.0, |row| prices[row].max(0.0));
        let sheet = |(kind, row): (usize, &Option<usize>)| {
            self.demand.costs[kind] - row.map_or(0.0, |row| prices[row].min(0.0))
        };
        Prices {
            parts: self.part_rows.iter().map(part).collect(),
            sheets: self.kind_rows.iter().enumerate().map(sheet).collect(),
        }
    }

    /// The patterns taken and their runs, most runs first.
    fn runs(&self) -> Vec<(usize, f64)> {
        let mut runs: Vec<_> = self
            .program
            .values()
            .filter_map(|(column, runs)| self.patterns[column].map(|at| (at, runs)))
            .collect();
        runs.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        runs
    }
}

/// The pool of patterns, and where new ones come from.
pub(super) trait Source {
    /// All patterns so far; a pattern never changes its place.
    fn patterns(&self) -> &[Pattern];

    /// Adds patterns that are worth more than their sheet at these prices; returns whether there were any. It is asked again and
    /// again until there are none.
    fn add(&mut self, rest: &Demand, prices: &Prices, asked: Asked) -> bool;

    /// Covers `rest`, or as much of it as the sheets allow, quickly and from patterns added if need be.
    fn finish(&mut self, rest: &Demand) -> Cover;

    /// Takes note of work done on linear programs, in entries looked at.
    fn note_work(&mut self, work: u64);

    /// Whether to come to an end.
    fn is_spent(&self) -> bool;
}

/// How often a [`Source`] has been asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Asked {
    /// How often patterns have been fixed before.
    pub(super) depth: usize,
    /// How often it has been asked since.
    pub(super) round: usize,
}

/// Patterns and their runs.
pub(super) type Cover = Vec<(usize, u32)>;

/// Noise of the linear program, in units of cost.
pub(super) const NOISE: f64 = 1e-4;

/// Looks for a cover that costs less than `below`, leftovers included.
pub(super) fn dive(
    demand: &Demand,
    source: &mut dyn Source,
    below: f64,
    discrepancies: usize,
) -> Option<Cover> {
    let mut search = Dive {
        source,
        best: None,
        below,
    };
    for most in 0..=discrepancies {
        search.descend(demand, &mut Vec::new(), 0.0, most, 0);
        if search.source.is_spent() {
            break;
        }
    }
    search.best
}

/// The linear program of `demand`, with all patterns that make it cheaper.
pub(super) fn relax(demand: &Demand, source: &mut dyn Source, depth: usize) -> Relaxation {
    let mut program = Relaxation::new(demand.clone());
    let mut round = 0;
    loop {
        program.take_in(source.patterns());
        source.note_work(program.solve());
        if !source.add(demand, &program.prices(), Asked { depth, round }) {
            return program;
        }
        round += 1;
    }
}

struct Dive<'a> {
    source: &'a mut dyn Source,
    best: Option<Cover>,
    below: f64,
}

impl Dive<'_> {
    fn descend(
        &mut self,
        rest: &Demand,
        fixed: &mut Cover,
        cost: f64,
        discrepancies: usize,
        depth: usize,
    ) {
        if self.source.is_spent() {
            return;
        }
        let end = self.source.finish(rest);
        self.keep(rest, fixed, cost, &end);
        let program = relax(rest, self.source, depth);
        let is_hopeless = |search: &Self| cost + program.cost() > search.below - rest.step + NOISE;
        for (choice, used) in choices(&program.runs(), discrepancies) {
            if is_hopeless(self) || self.source.is_spent() {
                return;
            }
            let next = rest.after(self.source.patterns(), &choice);
            let more = rest.sheet_cost(self.source.patterns(), &choice);
            let before = fixed.len();
            fixed.extend(choice);
            self.descend(&next, fixed, cost + more, discrepancies - used, depth + 1);
            fixed.truncate(before);
        }
    }

    fn keep(&mut self, rest: &Demand, fixed: &[(usize, u32)], cost: f64, end: &Cover) {
        let patterns = self.source.patterns();
        let left = rest.after(patterns, end).leftover_cost();
        let whole = cost + rest.sheet_cost(patterns, end) + left;
        if whole < self.below - NOISE {
            self.below = whole;
            self.best = Some([fixed, end.as_slice()].concat());
        }
    }
}

/// Runs this near to a whole number are whole.
const NEARLY: f64 = 1e-4;

/// What to fix next, and the discrepancies it takes: the whole parts of all runs, or else one run of one of the fullest patterns.
fn choices(runs: &[(usize, f64)], discrepancies: usize) -> Vec<(Cover, usize)> {
    let whole: Cover = runs
        .iter()
        .map(|(at, runs)| (*at, floor(*runs + NEARLY)))
        .filter(|(_, runs)| *runs > 0)
        .collect();
    if !whole.is_empty() {
        return vec![(whole, 0)];
    }
    let one = |(rank, (at, _)): (usize, &(usize, f64))| (vec![(*at, 1)], rank);
    runs.iter()
        .take(discrepancies + 1)
        .enumerate()
        .map(one)
        .collect()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "runs are at least 0 and at most the demand"
)]
fn floor(runs: f64) -> u32 {
    runs.floor() as u32
}
