//! What a long run says while it runs, and how it is stopped.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::diagnostic::counted;
use crate::plan::{self, Watch};

/// Work shorter than this is not talked about.
const QUIET: Duration = Duration::from_secs(1);
/// How often the line is drawn again.
const TICK: Duration = Duration::from_millis(200);
/// Exit code after a second interrupt, as shells use it for a program ended by one.
const INTERRUPTED: i32 = 130;

/// Shows on standard error what is going on once it takes longer than a second; a first interrupt asks the search to stop.
#[derive(Debug)]
pub(super) struct Progress {
    bar: ProgressBar,
    stop: Arc<AtomicBool>,
    /// Sheets of the first whole layout.
    first: OnceLock<u32>,
}

impl Progress {
    /// Starts the clock and listens for interrupts.
    pub(super) fn start() -> Self {
        let stop = Arc::new(AtomicBool::new(false));
        let asked = Arc::clone(&stop);
        let listening = ctrlc::set_handler(move || {
            if asked.swap(true, Ordering::SeqCst) {
                std::process::exit(INTERRUPTED);
            }
        });
        // Without a handler an interrupt ends the program at once, which loses nothing: files are written all or nothing.
        drop(listening);
        let style = ProgressStyle::with_template("{spinner} {msg} ({elapsed})");
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden())
            .with_style(style.expect("the template is well formed"));
        let later = bar.clone();
        std::thread::spawn(move || {
            std::thread::sleep(QUIET);
            if !later.is_finished() {
                later.set_draw_target(ProgressDrawTarget::stderr());
                later.enable_steady_tick(TICK);
            }
        });
        Self {
            bar,
            stop,
            first: OnceLock::new(),
        }
    }

    /// Says what is being done now.
    pub(super) fn step(&self, message: &str) {
        self.bar.set_message(message.to_owned());
    }

    /// Clears the line.
    pub(super) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

impl Watch for Progress {
    fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::SeqCst)
    }

    fn progress(&self, progress: plan::Progress) {
        let first = progress
            .sheets
            .map(|sheets| *self.first.get_or_init(|| sheets));
        self.step(&words(progress, first));
    }
}

/// The line for a search: the best layout so far, what there is to reach, and the first layout once there is a better one.
fn words(progress: plan::Progress, first: Option<u32>) -> String {
    let plan::Progress { done, all, .. } = progress;
    let step = format!("step {done} of {all}");
    let (Some(sheets), Some(first)) = (progress.sheets, first) else {
        return format!("laying out, {step}");
    };
    let (count, bound) = (counted(sheets, "sheet"), progress.bound);
    if sheets < first {
        format!("{count} (first layout: {first}), at least {bound}; {step}")
    } else {
        format!("first layout: {count}, at least {bound}; {step}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_layout_is_told_and_then_the_better_ones_beside_it() {
        let progress = |sheets| plan::Progress {
            done: 3,
            all: 10,
            sheets,
            bound: 7,
        };
        assert_eq!(words(progress(None), None), "laying out, step 3 of 10");
        assert_eq!(
            words(progress(Some(9)), Some(9)),
            "first layout: 9 sheets, at least 7; step 3 of 10"
        );
        assert_eq!(
            words(progress(Some(8)), Some(9)),
            "8 sheets (first layout: 9), at least 7; step 3 of 10"
        );
    }
}
