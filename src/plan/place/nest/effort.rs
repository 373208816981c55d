//! How much work is put in, counted in tests and never in time.

use super::super::Effort as Ask;
use super::random::Random;

/// One stage of work. A stage goes on where the one before ended, so more effort never gives a worse layout.
#[derive(Debug, Clone)]
pub(super) struct Effort {
    /// Work that one task may do for each piece that it moves about.
    work_for_a_piece: u64,
    /// Failed tries after which something is no longer tried.
    pub(super) patience: u32,
    /// Work that is left.
    left: u64,
    /// Work of all later stages.
    later: u64,
    /// The next task's random numbers.
    seed: u64,
}

impl Effort {
    /// The stages of a search that lays so many pieces.
    pub(super) fn stages(ask: Ask, pieces: u64) -> Vec<Self> {
        let stages = [
            (Ask::Quick, 100_000, 1, 30_000),
            (Ask::Usual, 4_000_000, 8, 2_000_000),
            (Ask::Long, 16_000_000, 16, 20_000_000),
        ];
        let asked = stages.into_iter().filter(|(stage, ..)| *stage <= ask);
        let mut efforts: Vec<Self> = asked
            .zip(0_u64..)
            .map(|((_, work_for_a_piece, patience, each), stage)| Self {
                work_for_a_piece,
                patience,
                left: each * (pieces * pieces).min(MOST_PAIRS),
                later: 0,
                seed: stage << 32,
            })
            .collect();
        for stage in (1..efforts.len()).rev() {
            efforts[stage - 1].later = efforts[stage].later + efforts[stage].left;
        }
        efforts
    }

    /// Work that a task with so many pieces may do: never so much that four of them would do more than is left.
    pub(super) fn of_task(&self, pieces: usize) -> u64 {
        let pieces = u64::try_from(pieces).expect("few pieces");
        (self.work_for_a_piece * pieces).min(self.left / 4)
    }

    /// Takes away what was done.
    pub(super) fn spend(&mut self, work: u64) {
        self.left = self.left.saturating_sub(work);
    }

    /// Whether there is enough work left to be worth a try.
    pub(super) fn is_left(&self) -> bool {
        self.left >= LEAST_WORK
    }

    /// Work left in this stage and later ones, in steps of progress.
    pub(super) fn steps(&self) -> usize {
        usize::try_from((self.left + self.later) / WORK_OF_A_STEP).expect("few steps")
    }

    /// Random numbers for some tasks.
    pub(super) fn randoms<const N: usize>(&mut self) -> [Random; N] {
        [(); N].map(|()| {
            self.seed += 1;
            Random::new(self.seed)
        })
    }
}

/// What grows with the pairs of pieces no longer grows beyond this.
const MOST_PAIRS: u64 = 1_500;

/// What two pieces take to find their places.
const LEAST_WORK: u64 = 20_000;

const WORK_OF_A_STEP: u64 = 1_000_000;
