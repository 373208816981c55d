//! Independent tasks on several threads, with results that do not depend on how many there are.

use std::num::NonZeroUsize;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Does all tasks; returns their results in the order of their numbers.
pub(super) fn all<T: Send>(
    threads: NonZeroUsize,
    count: usize,
    task: impl Fn(usize) -> T + Sync,
) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let results: Mutex<Vec<Option<T>>> = Mutex::new((0..count).map(|_| None).collect());
    let work = || {
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= count {
                return;
            }
            let result = task(number);
            results
                .lock()
                .expect("no task panics while it holds the lock")[number] = Some(result);
        }
    };
    std::thread::scope(|scope| {
        for _ in 1..threads.get().min(count) {
            scope.spawn(work);
        }
        work();
    });
    let results = results.into_inner().expect("all tasks are done");
    results
        .into_iter()
        .map(|r| r.expect("each number was taken once"))
        .collect()
}

/// What a task came to.
pub(super) struct Outcome<T> {
    /// Its result, if it succeeded.
    pub(super) result: Option<T>,
    /// Work it took.
    pub(super) work: u64,
}

/// Returns the result of the first task, by number, that has one, and the work of the tasks up to that. Later ones are told to stop
/// once an earlier one succeeds.
pub(super) fn first<T: Send>(
    threads: NonZeroUsize,
    count: usize,
    task: impl Fn(usize, &dyn Fn() -> bool) -> Outcome<T> + Sync,
) -> Outcome<T> {
    let won = AtomicUsize::new(usize::MAX);
    let outcomes = all(threads, count, |number| {
        let outcome = task(number, &|| won.load(Ordering::Relaxed) < number);
        if outcome.result.is_some() {
            won.fetch_min(number, Ordering::Relaxed);
        }
        outcome
    });
    let mut work = 0;
    for outcome in outcomes {
        work += outcome.work;
        if outcome.result.is_some() {
            return Outcome { work, ..outcome };
        }
    }
    Outcome { result: None, work }
}
