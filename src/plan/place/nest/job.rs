//! A request on the bench, with who works on it and who looks on.

use std::num::NonZeroUsize;

use super::super::{Request, Watch, bound};
use super::bench::Bench;
use super::lookout::Lookout;
use super::sheaf::{Pattern, Sheaf};

/// What every step of the search knows.
pub(super) struct Job<'a> {
    pub(super) request: &'a Request,
    pub(super) bench: Bench,
    /// Threads to use; nothing else depends on it.
    pub(super) threads: NonZeroUsize,
    pub(super) lookout: Lookout<'a>,
    bound: u32,
}

impl<'a> Job<'a> {
    /// Makes a request ready.
    pub(super) fn new(request: &'a Request, threads: NonZeroUsize, watch: &'a dyn Watch) -> Self {
        let bound = bound::sheets(request).better;
        Self {
            request,
            bench: Bench::new(request),
            threads,
            lookout: Lookout::new(watch, bound),
            bound,
        }
    }

    /// How many of each part are wanted.
    pub(super) fn demand(&self) -> Vec<u32> {
        self.request.parts.iter().map(|part| part.demand).collect()
    }

    /// How many of each part are wanted and not yet placed.
    pub(super) fn left(&self, sheaf: &Sheaf) -> Vec<u32> {
        let placed = sheaf.placed(self.request.parts.len());
        let wanted = self.request.parts.iter().zip(placed);
        wanted
            .map(|(part, n)| part.demand.saturating_sub(n))
            .collect()
    }

    /// Sheets of a kind that `sheaf` leaves.
    pub(super) fn sheets_left(&self, sheaf: &Sheaf, board: usize) -> u32 {
        let limit = self.request.sheets[board].limit.unwrap_or(u32::MAX);
        limit.saturating_sub(sheaf.sheets_of(board))
    }

    /// Whether a kind of sheet is an offcut.
    pub(super) fn is_offcut(&self, board: usize) -> bool {
        self.request.sheets[board].is_offcut
    }

    /// Sheets that are not offcuts.
    pub(super) fn whole_sheets(&self, sheaf: &Sheaf) -> u32 {
        let whole = sheaf.patterns.iter().filter(|p| !self.is_offcut(p.board));
        whole.map(|p| p.runs).sum()
    }

    /// Whether no layout can take fewer sheets.
    pub(super) fn is_at_bound(&self, sheaf: &Sheaf) -> bool {
        self.whole_sheets(sheaf) <= self.bound && self.left(sheaf).iter().all(|n| *n == 0)
    }

    /// How full a sheet is, as a share of its free area.
    pub(super) fn fullness(&self, pattern: &Pattern) -> f64 {
        pattern.filled_nm2(&self.bench) / self.bench.boards[pattern.board].area_nm2
    }

    /// What a layout costs; the lower is better. In this order: area left over, whole sheets, price, different sheets.
    pub(super) fn cost(&self, sheaf: &Sheaf) -> (u64, u32, u64, usize) {
        let parts = self.bench.parts.iter().zip(self.left(sheaf));
        let over: f64 = parts.map(|(p, n)| p.area_nm2 * f64::from(n)).sum();
        let prices = sheaf
            .patterns
            .iter()
            .map(|p| self.request.sheets[p.board].price_hundredths * u64::from(p.runs));
        // A non-negative float and its bits are in the same order.
        (
            over.to_bits(),
            self.whole_sheets(sheaf),
            prices.sum(),
            sheaf.patterns.len(),
        )
    }

    /// The cheaper of two layouts, the first one if they cost the same.
    pub(super) fn cheaper(&self, first: Sheaf, second: Sheaf) -> Sheaf {
        if self.cost(&second) < self.cost(&first) {
            second
        } else {
            first
        }
    }
}
