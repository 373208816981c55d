//! How long a search takes, and how much memory.

use std::fs;
use std::sync::Mutex;
use std::time::Instant;

use serde::Serialize;
use sheetwright::plan::place::{Progress, Watch};

/// What a search took. Processor time and memory are told by Linux and are `None` elsewhere.
#[derive(Debug, Serialize)]
pub(crate) struct Measured {
    /// On the clock.
    pub(crate) seconds: f64,
    /// Until the first whole layout was told of.
    pub(crate) first_seconds: Option<f64>,
    /// Longest time without a word about progress.
    pub(crate) longest_silence_seconds: f64,
    /// Over all threads; other programs do not add to it.
    pub(crate) processor_seconds: Option<f64>,
    /// The most that was in use at once.
    pub(crate) peak_megabytes: Option<f64>,
}

/// Looks on while a search runs.
pub(crate) struct Stopwatch {
    start: Instant,
    processor_seconds: Option<f64>,
    seen: Mutex<Seen>,
}

struct Seen {
    last: Instant,
    longest_silence_seconds: f64,
    first_seconds: Option<f64>,
}

impl Stopwatch {
    pub(crate) fn start() -> Self {
        // Linux forgets the peak of what came before; elsewhere there is no such file and no peak either.
        let _ = fs::write("/proc/self/clear_refs", "5");
        let start = Instant::now();
        Self {
            start,
            processor_seconds: processor_seconds(),
            seen: Mutex::new(Seen {
                last: start,
                longest_silence_seconds: 0.0,
                first_seconds: None,
            }),
        }
    }

    pub(crate) fn stop(self) -> Measured {
        let end = Instant::now();
        let mut seen = self.seen.into_inner().expect("no search panics here");
        seen.note(end);
        let before = self.processor_seconds;
        Measured {
            seconds: (end - self.start).as_secs_f64(),
            first_seconds: seen.first_seconds,
            longest_silence_seconds: seen.longest_silence_seconds,
            processor_seconds: processor_seconds().zip(before).map(|(after, b)| after - b),
            peak_megabytes: peak_megabytes(),
        }
    }
}

impl Seen {
    fn note(&mut self, now: Instant) {
        let silence_seconds = (now - self.last).as_secs_f64();
        self.longest_silence_seconds = self.longest_silence_seconds.max(silence_seconds);
        self.last = now;
    }
}

impl Watch for Stopwatch {
    fn progress(&self, progress: Progress) {
        let mut seen = self.seen.lock().expect("no search panics here");
        let now = Instant::now();
        seen.note(now);
        if progress.sheets.is_some() && seen.first_seconds.is_none() {
            seen.first_seconds = Some((now - self.start).as_secs_f64());
        }
    }
}

/// Clock ticks in a second, as Linux counts processor time in `/proc` on all machines it runs on (`man 5 proc`, `USER_HZ`).
const TICKS: f64 = 100.0;

fn processor_seconds() -> Option<f64> {
    let stat = fs::read_to_string("/proc/self/stat").ok()?;
    // The name in brackets may hold spaces; user and system time are the 12th and 13th field after it.
    let (_, fields) = stat.rsplit_once(')')?;
    let fields: Vec<&str> = fields.split_whitespace().collect();
    let ticks = |at: usize| fields.get(at)?.parse::<f64>().ok();
    Some((ticks(11)? + ticks(12)?) / TICKS)
}

fn peak_megabytes() -> Option<f64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kilobytes / 1024.0)
}
