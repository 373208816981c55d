//! Work done, work allowed, and who is told.

use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};

use super::super::{Progress, Watch};

/// Steps of which a whole search is told to consist.
const STEPS: u64 = 1000;
/// No sheets yet.
const NONE: u32 = u32::MAX;

/// Counts work and reports it. Threads share it; whether the work is spent is only asked where no thread runs, so that the answer
/// does not depend on their number.
pub(super) struct Meter<'a> {
    pub(super) watch: &'a dyn Watch,
    threads: NonZeroUsize,
    done: AtomicU64,
    all: u64,
    until: AtomicU64,
    sheets: AtomicU32,
    bound: AtomicU32,
}

impl<'a> Meter<'a> {
    /// A meter for `all` units of work: one box tried in one rectangle each.
    pub(super) fn new(watch: &'a dyn Watch, threads: NonZeroUsize, all: u64) -> Self {
        Self {
            watch,
            threads,
            done: AtomicU64::new(0),
            all,
            until: AtomicU64::new(all),
            sheets: AtomicU32::new(NONE),
            bound: AtomicU32::new(0),
        }
    }

    /// Counts work.
    pub(super) fn add(&self, work: u64) {
        let before = self.done.fetch_add(work, Ordering::Relaxed);
        let step = |done: u64| done.saturating_mul(STEPS) / self.all.max(1);
        if step(before) != step(before + work) {
            self.tell();
        }
    }

    /// Tells how many sheets the best whole layout takes.
    pub(super) fn note_sheets(&self, sheets: u32) {
        self.sheets.store(sheets, Ordering::Relaxed);
        self.tell();
    }

    /// Tells below how many sheets no layout can go.
    pub(super) fn note_bound(&self, bound: u32) {
        self.bound.store(bound, Ordering::Relaxed);
    }

    fn tell(&self) {
        let done = self.done.load(Ordering::Relaxed).min(self.all);
        let sheets = self.sheets.load(Ordering::Relaxed);
        let steps = done.saturating_mul(STEPS) / self.all.max(1);
        self.watch.progress(Progress {
            done: usize::try_from(steps).expect("at most STEPS"),
            all: usize::try_from(STEPS).expect("small"),
            sheets: (sheets != NONE).then_some(sheets),
            bound: self.bound.load(Ordering::Relaxed),
        });
    }

    /// Work done so far.
    pub(super) fn done(&self) -> u64 {
        self.done.load(Ordering::Relaxed)
    }

    /// Allows this much work from now on.
    pub(super) fn allow(&self, work: u64) {
        self.until.store(
            self.done.load(Ordering::Relaxed).saturating_add(work),
            Ordering::Relaxed,
        );
    }

    /// Whether to come to an end: the work is done, or the user has had enough.
    pub(super) fn is_spent(&self) -> bool {
        let is_done = self.done() >= self.until.load(Ordering::Relaxed);
        is_done || self.watch.is_stopped()
    }

    /// Does all tasks, several at a time, and returns what they return in the order of the tasks.
    pub(super) fn in_order<T: Sync, R: Send>(
        &self,
        tasks: &[T],
        work: impl Fn(&T) -> R + Sync,
    ) -> Vec<R> {
        let threads = self.threads.get().min(tasks.len());
        if threads < 2 {
            return tasks.iter().map(work).collect();
        }
        let work = &work;
        let mut results: Vec<(usize, R)> = std::thread::scope(|scope| {
            let start = |first: usize| {
                let mine = tasks.iter().enumerate().skip(first).step_by(threads);
                scope.spawn(move || mine.map(|(at, task)| (at, work(task))).collect::<Vec<_>>())
            };
            let running: Vec<_> = (0..threads).map(start).collect();
            let joined = running
                .into_iter()
                .map(|t| t.join().expect("tasks do not panic"));
            joined.flatten().collect()
        });
        results.sort_by_key(|(at, _)| *at);
        results.into_iter().map(|(_, result)| result).collect()
    }
}
