//! How long `print.pdf` takes, and nothing else: `cargo bench --bench pages -- FOLDER`.
//!
//! FOLDER holds `project.toml` and its pictures. Prints seconds of the processor for reading, planning, and drawing and spelling the pages, the
//! least of a few runs each, and writes `print.pdf` and `plan.json` beside the project. `tests/bench/pages.py` puts other libraries beside
//! it. Linux only: it asks `/proc`.

#![expect(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a measurement, run by hand"
)]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use sheetwright::emit::pdf::Streams;
use sheetwright::load::Options;
use sheetwright::plan::{Effort, PlanOptions};
use sheetwright::{draw, emit, job};

/// How often each is run; the least counts, since other work of the machine only adds.
const RUNS: usize = 5;

fn main() {
    let folder = std::env::args().skip(1).find(|a| !a.starts_with("--"));
    let Some(folder) = folder else {
        println!("name a folder: cargo bench --bench pages -- FOLDER");
        return;
    };
    let folder = Path::new(&folder);
    let text = fs::read_to_string(folder.join("project.toml")).unwrap();
    let files = pictures(folder);
    let options = Options::default();
    let (read_s, read) = least(|| job::check("project.toml", &text, &files, &options).unwrap());
    let project = read.value;
    let glance = PlanOptions {
        effort: Effort::Quick,
        ..PlanOptions::default()
    };
    let start_s = busy_s();
    let plan = job::plan(&project, &glance).unwrap().value;
    let plan_s = busy_s() - start_s;
    let (pages_s, bytes) = least(|| {
        let pages = draw::print_document(&project, &plan);
        emit::pdf::write(&pages, &project.assets, Streams::Packed)
    });
    fs::write(folder.join("print.pdf"), &bytes).unwrap();
    let plan = job::plan_file(&project, &plan).to_json();
    fs::write(folder.join("plan.json"), plan).unwrap();
    println!("{{\"read_s\": {read_s}, \"plan_s\": {plan_s}, \"pages_s\": {pages_s}}}");
}

fn pictures(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap());
    entries
        .filter(|entry| entry.path().extension().is_some_and(|kind| kind == "svg"))
        .map(|entry| {
            let name = entry.file_name().to_str().unwrap().to_owned();
            (name, fs::read(entry.path()).unwrap())
        })
        .collect()
}

/// Seconds of the processor that this thread had so far: other work of the machine does not count.
fn busy_s() -> f64 {
    let spent = fs::read_to_string("/proc/thread-self/schedstat").unwrap();
    spent.split(' ').next().unwrap().parse::<f64>().unwrap() / 1e9
}

fn least<T>(run: impl Fn() -> T) -> (f64, T) {
    let mut best_s = f64::INFINITY;
    let mut result = None;
    for _ in 0..RUNS {
        let start_s = busy_s();
        result = Some(run());
        best_s = best_s.min(busy_s() - start_s);
    }
    (best_s, result.expect("there are runs"))
}
