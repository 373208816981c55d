//! What a long run says while it runs, and how it is stopped.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::plan::place::Watch;

/// Work shorter than this is not talked about.
const QUIET: Duration = Duration::from_secs(1);
/// Exit code after a second interrupt, as shells use it for a program ended by one.
const INTERRUPTED: i32 = 130;

/// Shows on standard error what is going on once it takes longer than a second; a first interrupt asks the search to stop.
#[derive(Debug)]
pub(super) struct Progress {
    bar: ProgressBar,
    since: Instant,
    stop: Arc<AtomicBool>,
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
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
        bar.set_style(
            ProgressStyle::with_template("{spinner} {msg} {elapsed}")
                .expect("the template is well formed"),
        );
        Self {
            bar,
            since: Instant::now(),
            stop,
        }
    }

    /// Says what is being done now.
    pub(super) fn step(&self, message: &str) {
        self.bar.set_message(message.to_owned());
        self.show_if_long();
    }

    /// Clears the line.
    pub(super) fn finish(&self) {
        self.bar.finish_and_clear();
    }

    fn show_if_long(&self) {
        if self.since.elapsed() >= QUIET && self.bar.is_hidden() {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
            self.bar.enable_steady_tick(Duration::from_millis(200));
        }
    }
}

impl Watch for Progress {
    fn is_stopped(&self) -> bool {
        self.stop.load(Ordering::SeqCst)
    }

    fn progress(&self, done: usize, all: usize) {
        self.step(&format!("laying out, {done} of {all} orders tried"));
    }
}
