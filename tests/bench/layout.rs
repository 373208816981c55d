//! Runs the layout engine on benchmark instances and says what it took.
//!
//! ```text
//! cargo bench --bench layout -- FILE-OR-FOLDER... --out FOLDER [--effort quick|usual|long] [--best sheets|layouts|kit]
//!                               [--threads N] [--no-turning]
//! ```
//!
//! Writes one solution with its measurements for each instance and prints a line for each. `README.md` tells the rest.

#![expect(
    clippy::print_stdout,
    reason = "the result of a benchmark is what it prints"
)]

mod instance;
mod measure;

use std::error::Error;
use std::fs;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

use instance::{FilledSheet, Turning};
use measure::{Measured, Stopwatch};
use serde::Serialize;
use sheetwright::plan::place::{Best, Effort, Engine, Layout, Placer, Request, bound};

struct Options {
    instances: Vec<PathBuf>,
    out: PathBuf,
    effort: Effort,
    best: Best,
    threads: NonZeroUsize,
    turning: Turning,
}

/// A solution with what it took.
#[derive(Serialize)]
struct Solution {
    schema: &'static str,
    instance: String,
    /// Whether boxes of which the instance leaves that open may be turned.
    turning: bool,
    /// Whether the layout has to come apart by cuts from edge to edge.
    edge_to_edge: bool,
    sheets: Vec<FilledSheet>,
    leftovers: Vec<u32>,
    whole_sheets: u32,
    area_bound: u32,
    better_bound: u32,
    layouts: usize,
    fence_settings: usize,
    #[serde(flatten)]
    measured: Measured,
}

fn main() -> Result<(), Box<dyn Error>> {
    let options = options()?;
    fs::create_dir_all(&options.out)?;
    for path in &options.instances {
        let text = fs::read_to_string(path)?;
        let Some(mut instance) = instance::read(&text, options.turning)? else {
            continue;
        };
        instance.request.effort = options.effort;
        instance.request.best = options.best;
        let solution = solve(&instance, &options);
        print_line(&solution);
        let file = options.out.join(format!("{}.json", instance.name));
        fs::write(file, serde_json::to_string(&solution)?)?;
    }
    Ok(())
}

fn solve(instance: &instance::Instance, options: &Options) -> Solution {
    let request = &instance.request;
    let stopwatch = Stopwatch::start();
    let engine = Engine {
        threads: options.threads,
    };
    let placed = engine.place(request, &stopwatch);
    let measured = stopwatch.stop();
    let layout = &placed.layout;
    let bound = bound::sheets(request);
    let whole = layout
        .sheets
        .iter()
        .filter(|s| !request.sheets[s.kind].is_offcut);
    Solution {
        schema: "sheetwright-bench/solution/1",
        instance: instance.name.clone(),
        turning: options.turning == Turning::Allowed,
        edge_to_edge: request.cutting != sheetwright::plan::place::Cutting::Outlines,
        sheets: instance.solution(layout),
        leftovers: layout.leftovers.clone(),
        whole_sheets: whole.map(|s| s.runs).sum(),
        area_bound: bound.area,
        better_bound: bound.better,
        layouts: layout.sheets.len(),
        fence_settings: fence_settings(request, layout),
        measured,
    }
}

/// Returns how many lines across and down boxes begin at, over all different sheets.
fn fence_settings(request: &Request, layout: &Layout) -> usize {
    let lines = layout.sheets.iter().map(|sheet| {
        let areas = sheet
            .places
            .iter()
            .filter_map(|p| p.area(&request.parts[p.kind]));
        let areas: Vec<_> = areas.collect();
        let distinct = |mut starts: Vec<i64>| {
            starts.sort_unstable();
            starts.dedup();
            starts.len()
        };
        distinct(areas.iter().map(|a| a.x_nm).collect())
            + distinct(areas.iter().map(|a| a.y_nm).collect())
    });
    lines.sum()
}

fn print_line(solution: &Solution) {
    let left: u32 = solution.leftovers.iter().sum();
    let measured = &solution.measured;
    println!(
        "{:24} {:4} sheets (bound {} by area, {} by more), {left} left over, {} layouts, {} fence settings; \
         {:.2} s, first after {} s",
        solution.instance,
        solution.whole_sheets,
        solution.area_bound,
        solution.better_bound,
        solution.layouts,
        solution.fence_settings,
        measured.seconds,
        measured
            .first_seconds
            .map_or("?".to_owned(), |s| format!("{s:.2}")),
    );
}

fn options() -> Result<Options, Box<dyn Error>> {
    let mut options = Options {
        instances: Vec::new(),
        out: PathBuf::from("target/bench/ours"),
        effort: Effort::Usual,
        best: Best::FewestSheets,
        threads: std::thread::available_parallelism()?,
        turning: Turning::Allowed,
    };
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().ok_or(format!("{argument} needs a value"));
        match argument.as_str() {
            // Passed by `cargo bench` itself.
            "--bench" => {}
            "--out" => options.out = PathBuf::from(value()?),
            "--threads" => options.threads = value()?.parse()?,
            "--no-turning" => options.turning = Turning::Forbidden,
            "--effort" => options.effort = effort(&value()?)?,
            "--best" => options.best = best(&value()?)?,
            path if path.starts_with('-') => return Err(format!("no such flag: {path}").into()),
            path => options.instances.extend(files(Path::new(path))?),
        }
    }
    if options.instances.is_empty() {
        return Err("name instance files, or folders of them".into());
    }
    Ok(options)
}

fn effort(word: &str) -> Result<Effort, String> {
    match word {
        "quick" => Ok(Effort::Quick),
        "usual" => Ok(Effort::Usual),
        "long" => Ok(Effort::Long),
        _ => Err(format!("effort is quick, usual or long, not {word}")),
    }
}

fn best(word: &str) -> Result<Best, String> {
    match word {
        "sheets" => Ok(Best::FewestSheets),
        "layouts" => Ok(Best::FewestLayouts),
        "kit" => Ok(Best::KitPerSheet),
        _ => Err(format!("best is sheets, layouts or kit, not {word}")),
    }
}

/// Returns a file itself, or the instances in a folder, by name.
fn files(path: &Path) -> std::io::Result<Vec<PathBuf>> {
    if !path.is_dir() {
        return Ok(vec![path.to_owned()]);
    }
    let entries: std::io::Result<Vec<_>> = fs::read_dir(path)?.collect();
    let mut files: Vec<PathBuf> = entries?.into_iter().map(|e| e.path()).collect();
    files.retain(|file| file.extension().is_some_and(|e| e == "json"));
    files.sort();
    Ok(files)
}
