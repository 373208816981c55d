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
#[path = "../it/simulator/mod.rs"]
mod simulator;

use std::error::Error;
use std::time::Instant;

use kurbo::Size;
use sheetwright::project::Face;

use bars::made_page::{chart, chart_page, drawn};
use bars::spread::Errors;
use bars::targets::over_seeds;
use simulator::target::Page;

const A4: Size = Size::new(210.0, 297.0);

/// A bar by name, and what measures it with a number of seeds.
type Bar = (&'static str, fn(u64));

const BARS: [Bar; 2] = [("targets", targets), ("targets-in-art", targets_in_art)];

fn main() -> Result<(), Box<dyn Error>> {
    let mut wanted = Vec::new();
    let mut seeds = 50;
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--seeds" => seeds = arguments.next().ok_or("--seeds needs a number")?.parse()?,
            // Cargo says so to every benchmark.
            "--bench" => {}
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
