//! What it costs to read the chart in a scan of 600 dpi, beside poppler drawing the same page.

use std::path::Path;
use std::process::Command;

use sheetwright::calibrate::scan::{possible_charts, read_scan};
use sheetwright::project::Face;
use sheetwright::scan::Picture;

use crate::bars::calibration::{Print, READY_CHART, ready_page};
use crate::bars::made_page::{chart, folder};
use crate::line;
use crate::simulator::file;

/// How often each is run; the least counts, since other work of the machine only adds.
const RUNS: usize = 3;

/// What one run of a program took.
#[derive(Debug, Clone, Copy)]
struct Cost {
    /// Seconds of the processor, the program's own and the system's for it.
    busy_s: f64,
    passed_s: f64,
    memory_mb: f64,
}

/// Reads one scan of the chart and does nothing else: what the run of this program is measured on.
pub(crate) fn read_file(path: &str) {
    let bytes = std::fs::read(path).unwrap();
    let picture = Picture::decode(&bytes).unwrap();
    drop(bytes);
    let read = read_scan(path, &picture, &possible_charts(None)).unwrap();
    assert_eq!(read.scan.targets.len(), 35);
}

/// Each in turn, the runs of both one after the other; the scan as a grey PNG and as a JPEG in colour.
pub(crate) fn cost(_seeds: u64) {
    let folder = folder();
    let shot = Print::front(&ready_page(&chart("a4"), Face::Front), 1).scan_at(600.0);
    let files = [
        ("grey PNG", file::png(&shot.picture, shot.dpi_tag)),
        ("colour JPEG", file::jpeg(&shot.picture, shot.dpi_tag, 90)),
    ];
    let (width, height) = shot.picture.dimensions();
    println!("       | a scan of {width} x {height} pixels");
    drop(shot);
    for (kind, bytes) in files {
        let scan = folder.join("scan");
        std::fs::write(&scan, bytes).unwrap();
        beside_poppler(kind, &scan, &folder);
    }
    std::fs::remove_dir_all(folder).unwrap();
}

fn beside_poppler(kind: &str, scan: &Path, folder: &Path) {
    let this = std::env::current_exe().unwrap();
    let ours = [this.to_str().unwrap(), "--read", scan.to_str().unwrap()];
    let drawn = folder.join("page");
    let drawn = drawn.to_str().unwrap();
    let theirs = [
        "pdftoppm",
        "-gray",
        "-r",
        "600",
        "-l",
        "1",
        READY_CHART,
        drawn,
    ];
    let mut costs = [Vec::new(), Vec::new()];
    for _ in 0..RUNS {
        costs[0].push(timed(&ours, folder));
        costs[1].push(timed(&theirs, folder));
    }
    let [read, draw] = costs.map(|all| least(&all));
    let times = read.busy_s / draw.busy_s;
    line(
        &format!("600 dpi, {kind}: processor time"),
        &format!(
            "{:.2} s against {:.2} s ({times:.2} times); passed {:.2} s against {:.2} s",
            read.busy_s, draw.busy_s, read.passed_s, draw.passed_s
        ),
        "3 times pdftoppm",
        times <= 3.0,
    );
    line(
        &format!("600 dpi, {kind}: memory"),
        &format!(
            "{:.0} MB; pdftoppm {:.0} MB",
            read.memory_mb, draw.memory_mb
        ),
        "512 MB",
        read.memory_mb <= 512.0,
    );
}

fn least(all: &[Cost]) -> Cost {
    *all.iter()
        .min_by(|a, b| a.busy_s.total_cmp(&b.busy_s))
        .unwrap()
}

/// Runs a program under GNU time.
fn timed(program: &[&str], folder: &Path) -> Cost {
    let account = folder.join("time.txt");
    let status = Command::new("/usr/bin/time")
        .arg("-v")
        .arg("-o")
        .arg(&account)
        .args(program)
        .status();
    assert!(status.unwrap().success(), "{program:?}");
    let text = std::fs::read_to_string(&account).unwrap();
    let value = |name: &str| {
        let line = text.lines().find(|l| l.trim().starts_with(name)).unwrap();
        line.rsplit_once(": ").unwrap().1.to_owned()
    };
    let number = |name: &str| value(name).parse::<f64>().unwrap();
    Cost {
        busy_s: number("User time") + number("System time"),
        passed_s: seconds(&value("Elapsed")),
        memory_mb: number("Maximum resident") / 1024.0,
    }
}

/// Hours, minutes and seconds with colons between them.
fn seconds(clock: &str) -> f64 {
    clock
        .split(':')
        .fold(0.0, |sum, part| 60.0 * sum + part.parse::<f64>().unwrap())
}
