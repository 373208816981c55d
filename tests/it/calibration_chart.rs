//! The printed chart: made and proved for every format that has room, and where other programs find it on the page.

use std::collections::BTreeMap;
use std::fs;
use std::num::NonZeroUsize;
use std::path::Path;

use image::GrayImage;
use serde_json::Value;
use sheetwright::calibrate::chart::{Chart, ChartEdition, ChartFaces, project};
use sheetwright::job::{self, Made};
use sheetwright::paper::{Format, find, formats};
use sheetwright::plan::PlanOptions;

use crate::program::{fresh_folder, parts, sheetwright};
use crate::tool::{PdfFile, run};

const DPI: u32 = 600;

/// How near a centre read from a page of 600 dpi must be to where it is planned: half a pixel.
const NEAR_MM: f64 = 0.02;

pub(crate) fn made(chart: &Chart, faces: ChartFaces) -> Made {
    let project = project(chart, faces);
    let planned = job::plan(&project, &PlanOptions::default()).unwrap();
    assert_eq!(planned.warnings, [], "{}", chart.format);
    let made = job::make(&project, &planned.value, NonZeroUsize::MIN).unwrap();
    let findings: Vec<_> = made.verdict.findings().collect();
    assert!(findings.is_empty(), "{}: {findings:#?}", chart.format);
    made
}

fn chart(name: &str, edition: ChartEdition) -> Chart {
    Chart::upright(find(name).unwrap(), edition).unwrap()
}

#[test]
fn every_format_makes_a_proved_chart_or_says_why_not() {
    // By hand: four steps of 37 mm and 20 mm at both edges are 188 mm.
    let has_room = |format: &Format| format.short_side().to_mm() >= 188.0;
    // Pages above A2 differ in nothing but their size, and their pictures take long to paint.
    let is_painted = |format: &Format| format.short_side().to_mm() <= 420.0;
    let mut proved = 0;
    for format in formats() {
        match Chart::upright(format, ChartEdition::Millimetres) {
            Ok(chart) => {
                assert!(has_room(format), "{}", format.name());
                if is_painted(format) {
                    let made = made(&chart, ChartFaces::Both);
                    assert!(
                        made.verdict.is_proved() && made.verdict.largest_deviation_mm() < 0.001
                    );
                    proved += 1;
                } else {
                    let both = project(&chart, ChartFaces::Both);
                    assert_eq!(
                        job::plan(&both, &PlanOptions::default()).unwrap().warnings,
                        []
                    );
                }
            }
            Err(error) => {
                assert!(!has_room(format), "{}", format.name());
                assert!(error.message.contains("too small for a chart"), "{error:?}");
                assert_eq!(error.hints.len(), 1);
            }
        }
    }
    assert!(proved >= 15, "{proved}");
}

/// A page rendered in grey by poppler.
struct Scan {
    picture: GrayImage,
    px_per_mm: f64,
}

impl Scan {
    fn of(file: &PdfFile, page: u32) -> Self {
        let (stem, page, dpi) = (
            format!("{}-{page}", file.path),
            page.to_string(),
            DPI.to_string(),
        );
        run(
            "pdftoppm",
            &[
                "-gray",
                "-png",
                "-singlefile",
                "-r",
                &dpi,
                "-f",
                &page,
                "-l",
                &page,
                &file.path,
                &stem,
            ],
        );
        Self {
            picture: image::open(format!("{stem}.png")).unwrap().into_luma8(),
            px_per_mm: f64::from(DPI) / 25.4,
        }
    }

    /// The centre of gravity of what is dark in a box, where `counts` says so; all in millimetres.
    fn centre(
        &self,
        (x0, y0, x1, y1): (f64, f64, f64, f64),
        counts: impl Fn(f64, f64) -> bool,
    ) -> (f64, f64) {
        let pixel = |mm: f64| (mm * self.px_per_mm).max(0.0);
        let (mut sum, mut x_sum, mut y_sum) = (0.0, 0.0, 0.0);
        for (row, y) in pixels(pixel(y0), pixel(y1)) {
            for (column, x) in pixels(pixel(x0), pixel(x1)) {
                let (x_mm, y_mm) = (x / self.px_per_mm, y / self.px_per_mm);
                if counts(x_mm, y_mm) {
                    let darkness = f64::from(255 - self.picture.get_pixel(column, row).0[0]);
                    sum += darkness;
                    x_sum += darkness * x_mm;
                    y_sum += darkness * y_mm;
                }
            }
        }
        assert!(sum > 255.0, "nothing is printed in {:?}", (x0, y0, x1, y1));
        (x_sum / sum, y_sum / sum)
    }

    /// The middle of an upright line near x, looked at from `y0` to `y1`.
    fn upright_line(&self, x: f64, y0: f64, y1: f64) -> f64 {
        self.centre((x - 0.34, y0, x + 0.34, y1), |_, _| true).0
    }

    /// The middle of a level line near y, looked at from `x0` to `x1`.
    fn level_line(&self, y: f64, x0: f64, x1: f64) -> f64 {
        self.centre((x0, y - 0.34, x1, y + 0.34), |_, _| true).1
    }

    /// The middle of the ring near a place: of what is dark between 0.66 and 1.25 of its radius of 3 mm, beyond the reach of its cross.
    fn ring(&self, x: f64, y: f64) -> (f64, f64) {
        self.centre((x - 4.0, y - 4.0, x + 4.0, y + 4.0), |px, py| {
            let radius_mm = ((px - x).powi(2) + (py - y).powi(2)).sqrt();
            (0.66 * 3.0..1.25 * 3.0).contains(&radius_mm)
        })
    }
}

/// Whole pixels between two places, each with the place of its middle.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places on a page of 600 dpi, none below zero"
)]
fn pixels(from: f64, to: f64) -> impl Iterator<Item = (u32, f64)> {
    (from.round() as u32..to.round() as u32).map(|i| (i, f64::from(i) + 0.5))
}

#[track_caller]
fn assert_near(what: &str, found_mm: f64, want_mm: f64) {
    let off_mm = (found_mm - want_mm).abs();
    assert!(
        off_mm <= NEAR_MM,
        "{what}: found {found_mm:.4} mm, worked out {want_mm:.4} mm"
    );
}

/// Compares the grid on a page with steps worked out by hand.
fn check_targets(scan: &Scan, step_x: f64, step_y: f64) {
    for (column, row) in (0..7).flat_map(|row| (0..5).map(move |column| (column, row))) {
        let (x, y) = (
            20.0 + step_x * f64::from(column),
            20.0 + step_y * f64::from(row),
        );
        let (found_x, found_y) = scan.ring(x, y);
        assert_near(&format!("x of target {column}, {row}"), found_x, x);
        assert_near(&format!("y of target {column}, {row}"), found_y, y);
    }
}

#[test]
fn poppler_finds_targets_scales_and_ladders_of_a4_where_they_are_worked_out_by_hand() {
    let made = made(&chart("a4", ChartEdition::Millimetres), ChartFaces::Both);
    let file = PdfFile::checked("chart-a4", &made.files["print.pdf"]);
    let front = Scan::of(&file, 1);
    // (210 - 40) / 4 and (297 - 40) / 6.
    check_targets(&front, 42.5, 257.0 / 6.0);
    for (x, y) in [(20.0, 36.0), (180.0, 36.0), (20.0, 261.0), (180.0, 261.0)] {
        for tick in 0..=10 {
            let at = x + 0.9 * f64::from(tick);
            assert_near("x vernier", front.upright_line(at, y - 2.2, y - 0.4), at);
        }
    }
    for (x, y) in [(36.0, 20.0), (174.0, 20.0), (36.0, 267.0), (174.0, 267.0)] {
        for tick in 0..=10 {
            let at = y + 0.9 * f64::from(tick);
            assert_near("y vernier", front.level_line(at, x + 0.4, x + 2.2), at);
        }
    }
    // Beside the middle targets, at 210 / 2 + 9 and 297 / 2 + 9, one line a millimetre.
    for line in (1..=16).map(f64::from) {
        assert_near("top", front.level_line(line, 112.0, 116.0), line);
        assert_near(
            "bottom",
            front.level_line(297.0 - line, 112.0, 116.0),
            297.0 - line,
        );
        assert_near("left", front.upright_line(line, 155.5, 159.5), line);
        assert_near(
            "right",
            front.upright_line(210.0 - line, 155.5, 159.5),
            210.0 - line,
        );
    }
    // The bar of 100 mm around the middle, 9 mm below it: ticks each 10 mm.
    for tick in 0..=10 {
        let at = 55.0 + 10.0 * f64::from(tick);
        assert_near("bar", front.upright_line(at, 156.5, 157.3), at);
    }
    // A and B from 30 to 180 along the second rows from the edges, C and D from 28.5 to 268.5 along the second columns: the ticks at
    // their ends, looked at beside the line.
    for (x, y) in [
        (30.0, 62.833_333),
        (180.0, 62.833_333),
        (30.0, 234.166_667),
        (180.0, 234.166_667),
    ] {
        assert_near("A, B", front.upright_line(x, y + 0.3, y + 1.0), x);
    }
    for (x, y) in [(62.5, 28.5), (62.5, 268.5), (147.5, 28.5), (147.5, 268.5)] {
        assert_near("C, D", front.level_line(y, x + 0.3, x + 1.0), y);
    }
}

#[test]
fn poppler_finds_inch_verniers_of_letter_where_they_are_worked_out_by_hand() {
    let made = made(&chart("letter", ChartEdition::Inches), ChartFaces::Front);
    let file = PdfFile::checked("chart-letter", &made.files["print.pdf"]);
    let front = Scan::of(&file, 1);
    // (215.9 - 40) / 4 and (279.4 - 40) / 6.
    check_targets(&front, 43.975, 39.9);
    let inches =
        |numerator: u32, denominator: u32| 25.4 * f64::from(numerator) / f64::from(denominator);
    // Tick 0 at 3/4 in and 7 1/4 in, 3/4 in and 9 3/4 in; lines at 1 1/2 in; nine ticks 7/128 in apart.
    for tick in 0..=8 {
        for (zero, line) in [(inches(3, 4), inches(3, 2)), (inches(29, 4), inches(19, 2))] {
            let at = zero + inches(7 * tick, 128);
            assert_near(
                "x vernier",
                front.upright_line(at, line - 2.2, line - 0.4),
                at,
            );
        }
        for (zero, line) in [(inches(3, 4), inches(3, 2)), (inches(39, 4), inches(7, 1))] {
            let at = zero + inches(7 * tick, 128);
            assert_near(
                "y vernier",
                front.level_line(at, line + 0.4, line + 2.2),
                at,
            );
        }
    }
    // Twenty lines of 1/32 in at 215.9 / 2 + 9 mm.
    for line in 1..=20 {
        assert_near(
            "top",
            front.level_line(inches(line, 32), 115.0, 119.0),
            inches(line, 32),
        );
    }
    // 4 in around the middle, 9 mm below it.
    for tick in 0..=16 {
        let at = 107.95 - inches(2, 1) + inches(tick, 4);
        assert_near("bar", front.upright_line(at, 147.7, 148.5), at);
    }
}

/// By hand on A4: s1 is at (41.25, 127.0833); tick 0 of its x scale 2 mm to the right and 10 mm above, of its y scale 12 mm to the left
/// and 4 mm below. The front's ticks point up and to the left, the back's down and to the right in front view; on the back page x is
/// counted from the other edge.
#[test]
fn the_back_lies_behind_the_front() {
    let made = made(&chart("a4", ChartEdition::Millimetres), ChartFaces::Both);
    let plan: Value = serde_json::from_slice(&made.files["plan.json"]).unwrap();
    let maps = ["front", "back"].map(|face| plan["sheets"][0][face]["page_from_sheet"].clone());
    assert_eq!(maps[0], serde_json::json!([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]));
    assert_eq!(
        maps[1],
        serde_json::json!([-1.0, 0.0, 0.0, 1.0, 210.0, 0.0])
    );
    let file = PdfFile::checked("chart-back", &made.files["print.pdf"]);
    let [front, back] = [1, 2].map(|page| Scan::of(&file, page));
    check_targets(&back, 42.5, 257.0 / 6.0);
    let (dx, dy) = (42.5, 257.0 / 6.0);
    let stations = [
        (20.0 + dx / 2.0, 20.0 + 2.5 * dy),
        (190.0 - dx / 2.0, 20.0 + 2.5 * dy),
        (20.0 + 1.5 * dx, 20.0 + dy / 2.0),
        (20.0 + 1.5 * dx, 277.0 - dy / 2.0),
    ];
    for (x, y) in stations {
        let ((x_zero, x_line), (y_line, y_zero)) = ((x + 2.0, y - 10.0), (x - 12.0, y + 4.0));
        for tick in (-10..=10).map(f64::from) {
            let on_front = front.upright_line(x_zero + tick, x_line - 2.2, x_line - 0.4);
            assert_near("front, x", on_front, x_zero + tick);
            let behind = 210.0 - (x_zero + 0.9 * tick);
            let on_back = back.upright_line(behind, x_line + 0.4, x_line + 2.2);
            assert_near("back, x", on_back, behind);
            let on_front = front.level_line(y_zero + tick, y_line - 2.2, y_line - 0.4);
            assert_near("front, y", on_front, y_zero + tick);
            let behind = y_zero + 0.9 * tick;
            let from = 210.0 - y_line - 2.2;
            assert_near("back, y", back.level_line(behind, from, from + 1.8), behind);
        }
        // The cross of both faces.
        assert_near("cross", front.upright_line(x, y + 1.0, y + 2.8), x);
        assert_near(
            "cross",
            back.upright_line(210.0 - x, y + 1.0, y + 2.8),
            210.0 - x,
        );
    }
}

#[test]
fn everything_is_black_and_the_pages_say_what_they_are() {
    let made = made(&chart("a4", ChartEdition::Millimetres), ChartFaces::Both);
    let file = PdfFile::checked("chart-words", &made.files["print.pdf"]);
    let unpacked = file.unpacked();
    let colours = unpacked
        .split_whitespace()
        .filter(|word| ["rg", "RG", "k", "K", "sc", "scn", "cs"].contains(word));
    assert_eq!(colours.count(), 0);
    let greys: Vec<&str> = unpacked
        .lines()
        .filter(|line| line.ends_with(" g") || line.ends_with(" G"))
        .collect();
    assert!(
        greys.len() > 500 && greys.iter().all(|line| *line == "0 g" || *line == "0 G"),
        "{greys:?}"
    );
    for (page, words) in [
        (
            "1",
            [
                "A4",
                "210 mm × 297 mm",
                "front",
                "100 %",
                "Which edge went in first?",
            ]
            .as_slice(),
        ),
        (
            "2",
            &["A4", "210 mm × 297 mm", "back", "100 %", "against a window"],
        ),
    ] {
        let text = run("pdftotext", &["-f", page, "-l", page, &file.path, "-"]).replace('\n', " ");
        for word in words {
            assert!(text.contains(word), "page {page} lacks {word}: {text}");
        }
    }
    assert_eq!(
        file.object("trailer/Root/ViewerPreferences/PrintScaling"),
        "/None"
    );
    assert_eq!(
        file.object("trailer/Root/ViewerPreferences/Duplex"),
        "/DuplexFlipLongEdge"
    );
}

fn command(folder: &Path, more: &[&str]) -> (i32, String, String) {
    let out = folder.join("chart");
    let arguments = ["calibrate", "chart", "--out", out.to_str().unwrap()];
    let arguments: Vec<&str> = arguments.into_iter().chain(more.iter().copied()).collect();
    parts(&sheetwright(&arguments))
}

#[test]
fn the_command_writes_a_proved_folder_that_is_verified_again() {
    let folder = fresh_folder("chart-command");
    let (code, result, talk) = command(&folder, &["--paper", "letter", "--duplex"]);
    assert_eq!((code, talk.as_str()), (0, ""), "{result}");
    assert!(
        result.contains("proved: largest deviation 0.000"),
        "{result}"
    );
    assert!(
        result.contains("print print.pdf at 100 % on both sides"),
        "{result}"
    );
    let out = folder.join("chart");
    let (code, result, _) = parts(&sheetwright(&["verify", out.to_str().unwrap()]));
    assert_eq!(code, 0, "{result}");
    // Letter is an inch format, and a maker with a millimetre ruler says so; the earlier result is replaced.
    let text = |bar: &str| {
        let print = out.join("print.pdf");
        let text = run("pdftotext", &[print.to_str().unwrap(), "-"]);
        assert!(text.lines().any(|line| line.trim() == bar), "{text}");
    };
    text("4 in");
    let (code, result, _) = command(
        &folder,
        &[
            "--paper",
            "letter",
            "--edition",
            "mm",
            "--lying",
            "--format",
            "json",
        ],
    );
    assert_eq!(code, 0, "{result}");
    let told: Value = serde_json::from_str(&result).unwrap();
    assert_eq!(told["verdict"]["files"][0]["name"], "plan.json");
    text("100 mm");
    let plan: Value = serde_json::from_slice(&fs::read(out.join("plan.json")).unwrap()).unwrap();
    assert_eq!(plan["sheets"][0]["paper"]["name"], "na_letter_8.5x11in");
    assert_eq!(plan["sheets"][0]["paper"]["width_mm"], 279.4);
    fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_command_says_what_is_wrong_with_the_paper_and_writes_nothing() {
    let folder = fresh_folder("chart-refused");
    let cases = [
        (
            ["--paper", "leter"].as_slice(),
            "did you mean --paper \"Letter\"?",
        ),
        (
            &["--paper", "cucumber"],
            "`sheetwright papers` lists the names",
        ),
        (
            &["--paper", "a6"],
            "A6 is 105.0 x 148.0 mm, too small for a chart, which needs 188 x 188 mm",
        ),
        (&["--paper", "hagaki"], "100.0 x 148.0 mm, too small"),
        (&["--paper", "6 x 6 in"], "152.4 x 152.4 mm, too small"),
    ];
    for (arguments, words) in cases {
        let (code, result, talk) = command(&folder, arguments);
        assert_eq!((code, result.as_str()), (1, ""), "{arguments:?}");
        assert!(talk.contains(words), "{arguments:?}: {talk}");
    }
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 0);
    // A size without a name is a format, too.
    let (code, result, talk) = command(&folder, &["--paper", "200 x 300 mm"]);
    assert_eq!(code, 0, "{result}{talk}");
    fs::remove_dir_all(folder).unwrap();
}

/// The charts that lie ready, by file name.
pub(crate) fn ready() -> BTreeMap<&'static str, Chart> {
    BTreeMap::from([
        ("chart-a4-mm", chart("a4", ChartEdition::Millimetres)),
        ("chart-letter-inch", chart("letter", ChartEdition::Inches)),
        (
            "chart-letter-mm",
            chart("letter", ChartEdition::Millimetres),
        ),
    ])
}
