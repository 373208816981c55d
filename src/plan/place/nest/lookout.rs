//! Tells whoever looks on how far the search is, and asks whether they want it to stop.

use std::sync::atomic::{AtomicU32, AtomicUsize, Ordering};

use super::super::{Progress, Watch};

/// Between the search, on all its threads, and the one who looks on.
pub(super) struct Lookout<'a> {
    watch: &'a dyn Watch,
    done: AtomicUsize,
    all: AtomicUsize,
    sheets: AtomicU32,
    bound: u32,
}

/// Stands for: no layout yet.
const NONE_YET: u32 = u32::MAX;

impl<'a> Lookout<'a> {
    /// Returns one for a search that cannot go below so many sheets.
    pub(super) fn new(watch: &'a dyn Watch, bound: u32) -> Self {
        Self {
            watch,
            done: AtomicUsize::new(0),
            all: AtomicUsize::new(1),
            sheets: AtomicU32::new(NONE_YET),
            bound,
        }
    }

    /// Sets how many steps there are in all.
    pub(super) fn expect(&self, steps: usize) {
        self.all.store(steps, Ordering::Relaxed);
    }

    /// Whether to stop. Every round of the search asks, many times a second, so this is also where progress is told.
    pub(super) fn is_stopped(&self) -> bool {
        self.tell();
        self.watch.is_stopped()
    }

    /// Notes that so many steps of all stages are left.
    pub(super) fn left(&self, steps: usize) {
        let all = self.all.load(Ordering::Relaxed);
        self.done
            .store(all.saturating_sub(steps), Ordering::Relaxed);
        self.tell();
    }

    /// Notes the sheets of the best layout.
    pub(super) fn found(&self, sheets: u32) {
        self.sheets.store(sheets, Ordering::Relaxed);
        self.tell();
    }

    /// Tells how far the search is.
    pub(super) fn tell(&self) {
        let sheets = self.sheets.load(Ordering::Relaxed);
        let all = self.all.load(Ordering::Relaxed);
        self.watch.progress(Progress {
            done: self.done.load(Ordering::Relaxed).min(all),
            all,
            sheets: (sheets != NONE_YET).then_some(sheets),
            bound: self.bound,
        });
    }
}
