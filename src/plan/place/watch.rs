//! Who looks on while a search runs.

/// Looks on while a search runs, possibly from several threads at once.
pub trait Watch: Sync {
    /// Whether to stop with the best found so far.
    fn is_stopped(&self) -> bool {
        false
    }

    /// Takes note of how far a search is; called at least every second.
    fn progress(&self, progress: Progress) {
        let _ = progress;
    }
}

/// How far a search is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Steps done.
    pub done: usize,
    /// Steps in all.
    pub all: usize,
    /// Sheets of the best whole layout so far; `None` before the first.
    pub sheets: Option<u32>,
    /// Sheets that no layout can go below.
    pub bound: u32,
}

/// A [`Watch`] that never stops anything.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoWatch;

impl Watch for NoWatch {}
