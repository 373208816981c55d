//! Measures on simulated sheets how well a printer is calibrated and a cut is registered.
//!
//! ```text
//! cargo bench --bench register -- [BAR...] [--seeds N]
//! ```
//!
//! Prints a line for each bar: what was measured, and what was set out for. `README.md` tells the rest.

#![expect(
    clippy::print_stdout,
    reason = "the result of a benchmark is what it prints"
)]
#![expect(clippy::unwrap_used, reason = "a failed step of a benchmark ends it")]

#[path = "../it/bars/mod.rs"]
mod bars;
mod calibrated;
mod cost;
#[path = "../it/simulator/mod.rs"]
mod simulator;

use std::error::Error;
use std::time::Instant;

use kurbo::Size;
use sheetwright::project::Face;

use bars::made_page::{chart, chart_page, drawn};
use bars::registration::{Outcome, of_photo, of_scan};
use bars::scenes::{MIX, Pages};
use bars::spread::Errors;
use bars::targets::over_seeds;
use simulator::camera::Photo;
use simulator::target::Page;

const A4: Size = Size::new(210.0, 297.0);

/// A bar by name, and what measures it with a number of seeds.
type Bar = (&'static str, fn(u64));

const BARS: [Bar; 9] = [
    ("targets", targets),
    ("targets-in-art", targets_in_art),
    ("register-scan", register_scan),
    ("register-photo", register_photo),
    ("register-flat-photo", register_flat_photo),
    ("mixed", mixed),
    ("calibrate", calibrated::calibrate),
    ("duplex", calibrated::duplex),
    ("cost", cost::cost),
];

fn main() -> Result<(), Box<dyn Error>> {
    let mut wanted = Vec::new();
    let mut seeds = 50;
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--seeds" => seeds = arguments.next().ok_or("--seeds needs a number")?.parse()?,
            // Cargo says so to every benchmark.
            "--bench" => {}
            "--read" => {
                cost::read_file(&arguments.next().ok_or("--read needs a file")?);
                return Ok(());
            }
            name => wanted.push(name.to_owned()),
        }
    }
    if let Some(name) = wanted.iter().find(|w| BARS.iter().all(|b| b.0 != *w)) {
        return Err(format!("no bar is called {name}").into());
    }
    for (name, measure) in BARS {
        if wanted.is_empty() || wanted.iter().any(|w| w == name) {
            let start = Instant::now();
            measure(seeds);
            println!("{name}: {:.0} s", start.elapsed().as_secs_f64());
        }
    }
    Ok(())
}

/// Prints a line of the table.
fn line(bar: &str, measured: &str, wanted: &str, is_met: bool) {
    let verdict = if is_met { "met" } else { "MISSED" };
    println!("{verdict:6} | {bar:44} | {measured} | {wanted}");
}

fn targets(seeds: u64) {
    let page = chart_page(&chart("a4"), Face::Front, 600);
    for (dpi, p95_mm, worst_mm) in [
        (100.0, f64::INFINITY, 0.05),
        (150.0, 0.03, f64::INFINITY),
        (200.0, 0.03, f64::INFINITY),
        (300.0, 0.02, 0.05),
        (600.0, 0.02, 0.05),
    ] {
        let found = over_seeds(&page, dpi, 0..seeds);
        let errors = Errors::of(found.errors_mm);
        let whole = found.misnamed == 0 && (dpi < 150.0 || found.missed == 0);
        line(
            &format!("chart targets, {dpi} dpi, mm"),
            &format!(
                "{errors}, {} missed, {} misnamed",
                found.missed, found.misnamed
            ),
            &format!("p95 {p95_mm}, worst {worst_mm}"),
            whole && errors.p95() <= p95_mm && errors.worst() <= worst_mm,
        );
    }
}

fn targets_in_art(seeds: u64) {
    let mut all = bars::targets::Found::default();
    for seed in 0..seeds {
        let page = drawn(&Page::six_marks(A4, 16.0, 8.0).with_art(seed), 600.0);
        all.add(over_seeds(&page, 300.0, seed..seed + 1));
    }
    let errors = Errors::of(all.errors_mm);
    line(
        "six marks in art, 300 dpi, mm",
        &format!("{errors}, {} missed, {} misnamed", all.missed, all.misnamed),
        "p95 0.02, worst 0.05",
        all.missed + all.misnamed == 0 && errors.p95() <= 0.02 && errors.worst() <= 0.05,
    );
}

/// A page with six marks in art, the same for a few seeds.
fn art_pages() -> Vec<bars::made_page::MadePage> {
    let page = Page::six_marks(A4, 16.0, 8.0);
    (0..5)
        .map(|seed| drawn(&page.clone().with_art(seed), 600.0))
        .collect()
}

/// What came of a number of pictures.
#[derive(Default)]
struct Tally {
    worst_mm: Vec<f64>,
    stated_mm: Vec<f64>,
    refused: Vec<String>,
    warned: usize,
}

impl Tally {
    fn add(&mut self, outcome: Outcome) {
        match outcome {
            Outcome::Refused(why) => self.refused.push(why),
            Outcome::Found {
                worst_mm,
                stated_mm,
                is_warned,
            } => {
                self.worst_mm.push(worst_mm);
                self.stated_mm.extend(stated_mm);
                self.warned += usize::from(is_warned);
            }
        }
    }

    fn print(&self, bar: &str, p95_mm: f64) {
        let errors = Errors::of(self.worst_mm.iter().copied());
        let stated = Errors::of(self.stated_mm.iter().copied());
        let refused = self.refused.len();
        line(
            bar,
            &format!(
                "{errors}; {} warned, {refused} refused; stated {:.3}",
                self.warned,
                stated.median()
            ),
            &format!("p95 {p95_mm}"),
            errors.p95() <= p95_mm && refused == 0,
        );
        for why in &self.refused {
            println!("       | refused: {why}");
        }
    }
}

fn register_scan(seeds: u64) {
    let pages = art_pages();
    let mut tally = Tally::default();
    for (seed, page) in (0..seeds).zip(pages.iter().cycle()) {
        tally.add(of_scan(page, 300.0, seed));
    }
    tally.print("cut by a scan, 300 dpi, worst point, mm", 0.08);
}

fn register_photo(seeds: u64) {
    by_photos(
        "cut by a photo, bent to 0.8 mm, worst, mm",
        seeds,
        0.8,
        0.45,
    );
}

fn register_flat_photo(seeds: u64) {
    by_photos("cut by a photo, flat, worst point, mm", seeds, 0.0, 0.35);
}

fn by_photos(bar: &str, seeds: u64, curl_mm: f64, p95_mm: f64) {
    let pages = art_pages();
    let mut tally = Tally::default();
    for (seed, page) in (0..seeds).zip(pages.iter().cycle()) {
        let set = |size, random: &mut _| Photo::typical(size, curl_mm, random);
        tally.add(of_photo(page, set, seed));
    }
    tally.print(bar, p95_mm);
}

/// Two hundred pictures, whatever the number of seeds; it only moves them.
fn mixed(seeds: u64) {
    let pages = Pages::new(A4, 5);
    let (mut good, mut silent, mut silently_wrong) = (Tally::default(), 0.0_f64, 0);
    let mut seed = 1000 * seeds;
    for (kind, count) in MIX {
        let mut tally = Tally::default();
        for _ in 0..count {
            seed += 1;
            let outcome = pages.outcome(kind, seed);
            if let Outcome::Found {
                worst_mm,
                is_warned: false,
                ..
            } = &outcome
            {
                let error_mm = if kind.has_no_answer() {
                    f64::INFINITY
                } else {
                    *worst_mm
                };
                silent = silent.max(error_mm);
                silently_wrong += usize::from(error_mm > 0.5);
            }
            if kind.is_good() {
                good.add(outcome.clone());
            }
            tally.add(outcome);
        }
        tally.print(&format!("mixed: {kind:?}"), f64::INFINITY);
    }
    line(
        "mixed: largest unwarned error, mm",
        &format!("{silent:.3}, {silently_wrong} over"),
        "0.5",
        silent <= 0.5,
    );
    let count = good.worst_mm.len() + good.refused.len();
    let disturbed = good.refused.len() + good.warned;
    line(
        "mixed: good scenes warned or refused",
        &format!("{disturbed} of {count}"),
        "2 %",
        disturbed * 50 <= count,
    );
    let p95_mm = Errors::of(good.worst_mm.iter().copied()).p95();
    let stated_mm = Errors::of(good.stated_mm.iter().copied()).median();
    line(
        "mixed: stated radius against true p95, mm",
        &format!("{stated_mm:.3} against {p95_mm:.3}"),
        "1.5 times",
        stated_mm <= 1.5 * p95_mm,
    );
}
