//! Work that takes long: on a thread of its own, told about while it runs, and stopped when asked.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};

use serde_json::{Value, json};

use super::answer::{Answer, Asked, Outcome};
use super::layout::Laid;
use super::made::MadeSet;
use super::{Desk, locked};
use crate::diagnostic::counted;
use crate::plan::{Progress, Watch};

/// Work under way, and how it is told.
#[derive(Debug)]
struct Running {
    what: &'static str,
    watch: Arc<Watcher>,
}

/// At most one piece of work at a time.
#[derive(Debug, Default)]
pub(super) struct Work {
    running: Mutex<Option<Running>>,
    layout: Mutex<Option<Arc<Laid>>>,
    made: Mutex<Option<Arc<MadeSet>>>,
}

impl Work {
    /// Stops what runs and takes its place; the new work is told to `Watcher`.
    pub(super) fn begin(&self, what: &'static str, said: &str) -> Arc<Watcher> {
        let watch = Arc::new(Watcher::default());
        watch.say(said, 0.0);
        let running = Running {
            what,
            watch: Arc::clone(&watch),
        };
        if let Some(older) = locked(&self.running).replace(running) {
            older.watch.give_up();
        }
        watch
    }

    /// Says that work has ended, unless other work has taken its place; whether it had not.
    pub(super) fn end(&self, watch: &Arc<Watcher>) -> bool {
        let mut running = locked(&self.running);
        let is_own = running
            .as_ref()
            .is_some_and(|r| Arc::ptr_eq(&r.watch, watch));
        if is_own {
            *running = None;
        }
        is_own
    }

    /// Asks what runs to end with the best it has.
    pub(super) fn stop(&self) {
        if let Some(running) = locked(&self.running).as_ref() {
            running.watch.stop.store(true, Ordering::SeqCst);
        }
    }

    /// Ends what runs and forgets all that came of work.
    pub(super) fn clear(&self) {
        if let Some(running) = locked(&self.running).take() {
            running.watch.give_up();
        }
        *locked(&self.layout) = None;
        *locked(&self.made) = None;
    }

    /// The last layout.
    pub(super) fn layout(&self) -> Option<Arc<Laid>> {
        locked(&self.layout).clone()
    }

    pub(super) fn keep_layout(&self, laid: Laid) {
        *locked(&self.layout) = Some(Arc::new(laid));
    }

    /// What was made last.
    pub(super) fn made(&self) -> Option<Arc<MadeSet>> {
        locked(&self.made).clone()
    }

    /// Keeps what was made, and the layout that it was made from.
    pub(super) fn keep_made(&self, set: MadeSet) {
        *locked(&self.layout) = Some(Arc::clone(&set.laid));
        *locked(&self.made) = Some(Arc::new(set));
    }

    /// Whether such work runs.
    pub(super) fn is_running(&self, what: &str) -> bool {
        let running = locked(&self.running);
        running.as_ref().is_some_and(|r| r.what == what)
    }

    /// What was said last of such work.
    pub(super) fn said(&self, what: &str) -> Option<(String, f64)> {
        let running = locked(&self.running);
        let own = running.as_ref().filter(|r| r.what == what)?;
        Some(own.watch.said())
    }

    /// What runs, in words.
    pub(super) fn running(&self) -> Value {
        let running = locked(&self.running);
        let Some(running) = running.as_ref() else {
            return Value::Null;
        };
        let (said, share) = running.watch.said();
        json!({ "what": running.what, "said": said, "share": share })
    }
}

/// Ends work when its thread does, however that comes about.
#[derive(Debug)]
pub(super) struct UntilEnd {
    pub(super) work: Arc<Work>,
    pub(super) watch: Arc<Watcher>,
}

impl Drop for UntilEnd {
    fn drop(&mut self) {
        self.work.end(&self.watch);
    }
}

pub(super) fn stop(desk: &Desk, _: &Asked) -> Outcome {
    desk.work.stop();
    Ok(Answer::Json(json!({ "work": desk.work.running() })))
}

/// Looks on while work runs.
#[derive(Debug, Default)]
pub(super) struct Watcher {
    stop: AtomicBool,
    /// Nobody waits for it any longer.
    is_left: AtomicBool,
    said: Mutex<(String, f64)>,
}

impl Watcher {
    /// Says what is being done, and how much of it is done: 0 to 1.
    pub(super) fn say(&self, said: &str, share: f64) {
        *locked(&self.said) = (said.to_owned(), share);
    }

    /// What was said last.
    pub(super) fn said(&self) -> (String, f64) {
        locked(&self.said).clone()
    }

    /// Whether nobody waits for the result.
    pub(super) fn is_left(&self) -> bool {
        self.is_left.load(Ordering::SeqCst)
    }

    fn give_up(&self) {
        self.is_left.store(true, Ordering::SeqCst);
        self.stop.store(true, Ordering::SeqCst);
    }
}

impl Watch for Watcher {
    fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::SeqCst)
    }

    fn progress(&self, progress: Progress) {
        self.say(&words(progress), share(progress));
    }
}

fn words(progress: Progress) -> String {
    let Progress { done, all, .. } = progress;
    let step = format!("laying out, step {done} of {all}");
    match progress.sheets {
        Some(sheets) => format!("{step}: {} so far", counted(sheets, "sheet")),
        None => step,
    }
}

fn share(progress: Progress) -> f64 {
    let part = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    part(progress.done) / part(progress.all.max(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn newer_work_takes_the_place_of_older_work_and_stops_it() {
        let work = Work::default();
        let older = work.begin("layout", "laying out");
        let newer = work.begin("make", "making");
        assert!(older.is_stopped() && older.is_left() && !newer.is_stopped());
        assert!(!work.end(&older));
        assert_eq!(work.running()["what"], "make");
        work.stop();
        assert!(newer.is_stopped() && !newer.is_left());
        assert!(work.end(&newer));
        assert_eq!(work.running(), Value::Null);
    }

    #[test]
    fn progress_is_told_with_the_best_so_far() {
        let progress = |sheets| Progress {
            done: 3,
            all: 12,
            sheets,
            bound: 2,
        };
        assert_eq!(words(progress(None)), "laying out, step 3 of 12");
        assert_eq!(
            words(progress(Some(1))),
            "laying out, step 3 of 12: 1 sheet so far"
        );
        assert!((share(progress(None)) - 0.25).abs() < 1e-12);
    }
}
