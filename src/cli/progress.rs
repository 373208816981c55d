//! What a long run says while it runs, and how it is stopped.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

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
        Self { bar, stop }
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
        let plan::Progress { done, all, .. } = progress;
        let sheets = progress.sheets.map_or_else(String::new, |sheets| {
            format!("; {sheets} sheets so far, at least {}", progress.bound)
        });
        self.step(&format!("laying out, step {done} of {all}{sheets}"));
    }
}
