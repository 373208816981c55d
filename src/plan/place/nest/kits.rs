//! Many copies: a few kits on a few sheets, laid out with much effort and then made over and over.
//!
//! For every small number of kits the fewest sheets known are kept. How many of each such block make up the job most cheaply is
//! worked out exactly. A block is worth trying on one sheet fewer if that would make the whole job cheaper, and the emptier its
//! sheets would be the sooner it is tried.

use super::effort::Effort;
use super::greedy::fill;
use super::job::Job;
use super::random::Random;
use super::settle::{scattered, settle};
use super::sheaf::{Pattern, Sheaf, patterns_of};
use super::tasks::{self, Outcome};

/// Pieces in the largest block.
const MOST_PIECES: u32 = 120;

/// Tasks that are done before looking again which is best to try.
const TASKS: usize = 4;

/// Fuller sheets than this are not asked for.
const FULLEST: f64 = 0.92;

/// What a try that failed counts for, as a share of a sheet that is filled more.
const DISCOURAGED: f64 = 0.012;

/// What a kit more in a block counts for in the same way: small blocks are soon done.
const LARGE: f64 = 0.002;

/// Blocks of kits on sheets of one kind.
pub(super) struct Blocks<'a> {
    job: &'a Job<'a>,
    board: usize,
    /// Kits in the job.
    kits: u32,
    /// For each number of kits from 0 what is known of it.
    blocks: Vec<Block>,
}

#[derive(Debug, Clone)]
struct Block {
    /// How many of each part.
    counts: Vec<u32>,
    /// The fewest sheets known; `None` if not everything finds place.
    sheets: Option<Vec<Pattern>>,
    /// Tries on one sheet fewer that failed.
    failed: u32,
}

impl<'a> Blocks<'a> {
    /// Returns blocks on sheets of one kind, filled greedily.
    pub(super) fn new(job: &'a Job<'a>, board: usize) -> Self {
        let demand = job.demand();
        let kits = kits(&demand);
        let pieces: u32 = demand.iter().sum();
        let most = (MOST_PIECES * kits / pieces.max(1)).clamp(1, kits);
        let block = |k: u32| {
            let counts = share(&demand, k, kits);
            Block {
                sheets: greedy_sheets(job, board, counts.clone()),
                counts,
                failed: 0,
            }
        };
        let blocks = (0..=most).map(block).collect();
        Self {
            job,
            board,
            kits,
            blocks,
        }
    }

    /// Tries to save sheets as long as there is something worth trying.
    pub(super) fn save_sheets(&mut self, effort: &mut Effort) {
        self.blocks.iter_mut().for_each(|block| block.failed = 0);
        while effort.is_left() && !self.job.lookout.is_stopped() {
            let targets = self.targets(effort.patience);
            if targets.is_empty() {
                return;
            }
            let randoms: [Random; TASKS] = effort.randoms();
            let this = &*self;
            let outcomes = tasks::all(this.job.threads, TASKS, |task| {
                let k = targets[task % targets.len()];
                (k, this.solve(k, effort, randoms[task].clone()))
            });
            for (k, outcome) in outcomes {
                effort.spend(outcome.work);
                self.note(k, outcome.result);
            }
            self.job.lookout.left(effort.steps());
        }
    }

    fn note(&mut self, k: usize, sheets: Option<Vec<Pattern>>) {
        let block = &mut self.blocks[k];
        match sheets {
            Some(sheets) if block.sheets.as_ref().is_none_or(|s| sheets.len() < s.len()) => {
                block.sheets = Some(sheets);
                block.failed = 0;
            }
            Some(_) => {}
            None => block.failed += 1,
        }
    }

    /// Tries to lay a block on one sheet fewer.
    fn solve(&self, k: usize, effort: &Effort, mut random: Random) -> Outcome<Vec<Pattern>> {
        let boards = vec![self.board; self.sheets(k).map_or(0, |m| m - 1)];
        let job = self.job;
        let Some(mut crowd) = scattered(&job.bench, boards, &self.blocks[k].counts, &mut random)
        else {
            return Outcome {
                result: None,
                work: 1,
            };
        };
        let work = effort.of_task(crowd.pieces.len());
        let is_settled = settle(&mut crowd, work, &mut random, &|| job.lookout.is_stopped());
        Outcome {
            result: is_settled.then(|| patterns_of(&crowd)),
            work: crowd.work(),
        }
    }

    fn sheets(&self, k: usize) -> Option<usize> {
        self.blocks[k].sheets.as_ref().map(Vec::len)
    }

    /// The blocks worth trying on one sheet fewer, most promising first.
    fn targets(&self, patience: u32) -> Vec<usize> {
        let now = self.fewest(None)[self.all()].0;
        let mut targets: Vec<(f64, usize)> = (1..self.blocks.len())
            .filter(|k| self.sheets(*k).is_some_and(|m| m > 1))
            .filter(|k| self.blocks[*k].failed < patience)
            .map(|k| (self.fullness(k), k))
            .filter(|(full, k)| *full <= FULLEST && self.fewest(Some(*k))[self.all()].0 < now)
            .map(|(full, k)| {
                let failed = DISCOURAGED * f64::from(self.blocks[k].failed);
                (full + failed + LARGE * k as f64, k)
            })
            .collect();
        targets.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        targets.truncate(TASKS);
        targets.into_iter().map(|(_, k)| k).collect()
    }

    fn all(&self) -> usize {
        usize::try_from(self.kits).expect("u32 fits")
    }

    /// How full the sheets of a block would be with one fewer.
    fn fullness(&self, k: usize) -> f64 {
        let bench = &self.job.bench;
        let parts = bench.parts.iter().zip(&self.blocks[k].counts);
        let filled: f64 = parts.map(|(p, n)| p.area_nm2 * f64::from(*n)).sum();
        let sheets = self.sheets(k).map_or(0, |m| m - 1);
        filled / bench.boards[self.board].area_nm2 / sheets as f64
    }

    /// For each number of kits the fewest sheets, and the block they end with. One block may be counted a sheet cheaper than it is.
    fn fewest(&self, hoped: Option<usize>) -> Vec<(usize, usize)> {
        let mut fewest: Vec<(usize, usize)> = vec![(0, 0)];
        for kits in 1..=self.all() {
            let blocks = (1..self.blocks.len().min(kits + 1)).filter_map(|k| {
                let own = self.sheets(k)? - usize::from(hoped == Some(k));
                Some((fewest[kits - k].0.checked_add(own)?, k))
            });
            fewest.push(blocks.min().unwrap_or((usize::MAX, 0)));
        }
        fewest
    }

    /// Returns the sheets of the job made up of one block over and over and one for the rest, with the fewest different sheets that
    /// take no more sheets than `most`.
    pub(super) fn few_layouts(&self, most: u32) -> Option<Sheaf> {
        let ways = (1..self.blocks.len()).filter_map(|k| {
            let mut sheaf = Sheaf::default();
            let times = self.all() / k;
            let rest = self.blocks.get(self.all() % k)?;
            for (block, times) in [(&self.blocks[k], times), (rest, 1)] {
                for pattern in block.sheets.as_ref()? {
                    sheaf.add(Pattern {
                        runs: u32::try_from(times).expect("no more than the kits"),
                        ..pattern.clone()
                    });
                }
            }
            let sheets = self.job.whole_sheets(&sheaf);
            let is_whole = self.job.left(&sheaf).iter().all(|n| *n == 0);
            (is_whole && sheets <= most).then_some((sheaf.patterns.len(), sheets, sheaf))
        });
        ways.min_by_key(|(layouts, sheets, _)| (*layouts, *sheets))
            .map(|(.., sheaf)| sheaf)
    }

    /// Returns the sheets of the job made up of blocks; parts of which the blocks leave some are not all on them.
    pub(super) fn sheaf(&self) -> Sheaf {
        let fewest = self.fewest(None);
        let mut sheaf = Sheaf::default();
        let mut rest = self.all();
        while rest > 0 && fewest[rest].1 > 0 {
            let k = fewest[rest].1;
            for pattern in self.blocks[k].sheets.iter().flatten() {
                sheaf.add(pattern.clone());
            }
            rest -= k;
        }
        sheaf
    }
}

/// Sheets of one kind for so many of each part, each by itself; `None` if not everything finds place.
fn greedy_sheets(job: &Job, board: usize, mut left: Vec<u32>) -> Option<Vec<Pattern>> {
    let mut random = Random::new(0);
    let mut sheets = Vec::new();
    while left.iter().any(|n| *n > 0) {
        let pattern = Pattern {
            board,
            runs: 1,
            lying: fill(&job.bench, board, &left, &mut random),
        };
        if pattern.lying.is_empty() {
            return None;
        }
        for (part, n) in left.iter_mut().enumerate() {
            *n -= pattern.count(part);
        }
        sheets.push(pattern);
    }
    Some(sheets)
}

/// How many equal or nearly equal kits a job is.
fn kits(demand: &[u32]) -> u32 {
    let common = demand.iter().fold(0, |a, b| gcd(a, *b));
    if common > 1 {
        return common;
    }
    let kinds = demand.iter().filter(|n| **n > 0).count();
    let pieces: u32 = demand.iter().sum();
    (pieces / u32::try_from(kinds * 2).expect("few kinds").max(1)).max(1)
}

fn gcd(a: u32, b: u32) -> u32 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// `k` of `kits` equal shares of the demand, rounded down.
fn share(demand: &[u32], k: u32, kits: u32) -> Vec<u32> {
    let shares = demand
        .iter()
        .map(|n| u64::from(*n) * u64::from(k) / u64::from(kits));
    shares
        .map(|n| u32::try_from(n).expect("no more than the demand"))
        .collect()
}
