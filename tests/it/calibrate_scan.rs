//! `calibrate scan` on simulated scans: what it finds, what it says it knows, and what it refuses.
//!
//! The simulator draws charts from their geometry alone, so that the truth is the simulator's own.

use kurbo::{Point, Size};
use serde_json::Value;
use sheetwright::calibrate::scan::{
    Belief, FaceScan, Given, Parting, Survey, possible_charts, read_scan,
};
use sheetwright::diagnostic::Diagnostic;
use sheetwright::fit::Terms;
use sheetwright::project::Face;
use sheetwright::scan::Picture;

use crate::program::{fresh_folder, parts, sheetwright};
use crate::scanned_chart::{A4, LETTER, Print, chart_ink, write_png};
use crate::simulator::Shot;
use crate::simulator::random::Random;
use crate::simulator::scanner::{Lid, Scan};
use crate::simulator::target::{Page, Side};

fn picture(shot: &Shot) -> Picture {
    let (width, height) = shot.picture.dimensions();
    let picture = Picture::from_grey(width, height, shot.picture.as_raw().clone()).unwrap();
    picture.with_dpi(shot.dpi_tag)
}

fn read(shot: &Shot) -> Result<FaceScan, Vec<Diagnostic>> {
    Ok(read_scan("scan.png", &picture(shot), &possible_charts(None))?.scan)
}

fn survey(page: Size, scans: &[FaceScan], belief: Belief) -> Result<Survey, Vec<Diagnostic>> {
    let chart = possible_charts(None).into_iter().find(|c| c.page == page);
    let given = Given {
        belief,
        ..Given::NOTHING
    };
    Survey::new(chart.unwrap(), scans, &given)
}

const RIGHT: Belief = Belief::measured(1.0, 1.0);

/// Scale x and y in percent, turn and shear in mrad, shift x and y in mm: found less true.
fn off(print: &Print, found: kurbo::Affine, page: Size) -> [f64; 6] {
    let middle = Point::new(page.width / 2.0, page.height / 2.0);
    let (got, want) = (Terms::of(found, middle), Terms::of(print.map(page), middle));
    [
        (got.scale_x - want.scale_x) * 100.0,
        (got.scale_y - want.scale_y) * 100.0,
        (got.turn_rad - want.turn_rad) * 1000.0,
        (got.shear_rad - want.shear_rad) * 1000.0,
        got.shift.x - want.shift.x,
        got.shift.y - want.shift.y,
    ]
}

/// Limits of the design: 0.02 %, 0.1 mrad, 0.06 mm.
#[track_caller]
fn assert_near(off: [f64; 6]) {
    for (off, limit) in off.into_iter().zip([0.02, 0.02, 0.1, 0.1, 0.06, 0.06]) {
        assert!(off.abs() <= limit, "{off} is more than {limit}");
    }
}

#[test]
fn a_scan_gives_the_printer_and_the_next_print_is_right() {
    for (seed, page) in [(11, A4), (12, LETTER)] {
        let ink = chart_ink(page, Side::Front);
        let mut print = Print::home(&ink, page, seed);
        let scan = read(&print.scan(300.0)).unwrap();
        let survey = survey(page, &[scan], RIGHT).unwrap();
        let map = survey.result.front.as_ref().unwrap().map;
        assert_near(off(&print, map.sheet_from_page, page));
        let back = map.sheet_from_page.inverse();
        let targets = survey.chart.targets(Face::Front).iter();
        let worst = targets
            .map(|t| (print.truth(back * t.centre) - t.centre).hypot2().sqrt())
            .fold(0.0, f64::max);
        assert!(worst <= 0.10, "{worst}");
    }
}

#[test]
fn a_second_scan_turned_by_a_quarter_tells_the_scanner_from_the_printer() {
    let ink = chart_ink(A4, Side::Front);
    let mut print = Print::home(&ink, A4, 21);
    let mut upright = Scan::home(300.0, &mut print.random);
    upright.scale = (0.0015, -0.0012);
    upright.shear_rad = 0.0006;
    let turned = Scan {
        turn_rad: upright.turn_rad + std::f64::consts::FRAC_PI_2,
        ..upright
    };
    let scans = [upright, turned].map(|s| read(&print.scan_as(&s)).unwrap());
    let survey = survey(A4, &scans, Belief::UNKNOWN).unwrap();
    assert_eq!(survey.result.parting, Parting::Ratio);
    let front = survey.result.front.as_ref().unwrap();
    let middle = Point::new(105.0, 148.5);
    let got = Terms::of(front.map.sheet_from_page, middle);
    let want = Terms::of(print.map(A4), middle);
    let ratio = |t: &Terms| (1.0 + t.scale_x) / (1.0 + t.scale_y);
    assert!((ratio(&got) / ratio(&want) - 1.0).abs() < 0.000_2);
    assert!((got.shear_rad - want.shear_rad).abs() < 0.000_1);
    assert!(front.loading.is_none());
    let (shear_rad, _) = survey.result.scanner.shear_rad();
    assert!((shear_rad - 0.0006).abs() < 0.000_15, "{shear_rad}");
}

#[test]
fn front_and_back_each_get_their_map_in_the_view_from_the_front() {
    let mut front = Print::home(&chart_ink(A4, Side::Front), A4, 31);
    let mut back = Print::home(&chart_ink(A4, Side::Back), A4, 32);
    let mut over = Scan::home(300.0, &mut back.random);
    over.turn_rad += std::f64::consts::PI;
    let scans = [
        read(&front.scan(300.0)).unwrap(),
        read(&back.scan_as(&over)).unwrap(),
    ];
    assert_eq!([scans[0].face, scans[1].face], [Face::Front, Face::Back]);
    let survey = survey(A4, &scans, RIGHT).unwrap();
    assert_near(off(
        &front,
        survey.result.front.as_ref().unwrap().map.sheet_from_page,
        A4,
    ));
    // What the back's own page shows at x lies at the sheet's width less x, seen from the front.
    let map = survey.result.back.as_ref().unwrap().map.sheet_from_page;
    let width_mm = survey.result.sheet.width;
    for target in survey.chart.targets(Face::Back) {
        let seen = map * Point::new(A4.width - target.centre.x, target.centre.y);
        let truth = back.truth(target.centre);
        let away = (seen - Point::new(width_mm - truth.x, truth.y))
            .hypot2()
            .sqrt();
        assert!(away < 0.45, "{away}");
    }
}

/// Name, picture, and what the refusal must say.
fn bad_scans() -> Vec<(&'static str, Shot, &'static str)> {
    let ink = chart_ink(A4, Side::Front);
    let fresh = |seed: u64| Print::home(&ink, A4, seed);
    let scan = |print: &mut Print| print.scan(150.0);
    let mut bad = Vec::new();
    let mut print = fresh(41);
    print
        .printed
        .cover(print.path.sheet_from_page(Point::new(62.5, 62.8)), 9.0, 0.8);
    bad.push(("covered", scan(&mut print), "b2"));
    let mut print = fresh(42);
    let cropped = Scan {
        border_mm: [5.0, -30.0, 5.0, 5.0],
        ..Scan::home(150.0, &mut print.random)
    };
    bad.push(("cropped", print.scan_as(&cropped), "top left"));
    bad.push(("mirrored", scan(&mut fresh(43)).mirrored(), "mirrored"));
    let mut print = fresh(44);
    let white = Scan {
        lid: Lid::WHITE,
        ..Scan::home(150.0, &mut print.random)
    };
    bad.push(("white lid", print.scan_as(&white), "edge"));
    let mut shot = scan(&mut fresh(45));
    shot.dpi_tag = Some(300.0);
    bad.push(("lying tag", shot, "150"));
    let mut shot = scan(&mut fresh(46));
    shot.dpi_tag = Some(153.0);
    bad.push(("tag 2 % off", shot, "sheet is"));
    let mut print = fresh(47);
    let mut blurred = Scan::home(150.0, &mut print.random);
    blurred.sensor.blur_px = 7.0;
    bad.push(("blurred", print.scan_as(&blurred), "target"));
    let marks = Page::six_marks(A4, 16.0, 8.0).raster(600.0);
    bad.push((
        "wrong page",
        scan(&mut Print::home(&marks, A4, 48)),
        "wrong.png",
    ));
    let (mut one, mut other) = (fresh(49), fresh(50));
    let side_by_side = Scan::home(150.0, &mut one.random);
    let mut random = Random::new(51);
    let both = crate::simulator::scan_two(
        &mut one.printed,
        &mut other.printed,
        &side_by_side,
        6.0,
        &mut random,
    );
    bad.push(("two sheets", both, "two sheets"));
    bad
}

#[test]
fn bad_scans_are_refused_with_their_reason_and_what_to_do() {
    for (name, shot, word) in bad_scans() {
        let read = read_scan("wrong.png", &picture(&shot), &possible_charts(None));
        let mistakes = match read {
            Ok(read) => survey(A4, &[read.scan], RIGHT).map(|_| ()).expect_err(name),
            Err(mistakes) => mistakes,
        };
        let said = format!("{mistakes:?}");
        assert!(
            mistakes.iter().all(|d| d.is_error() && !d.hints.is_empty()),
            "{name}: {said}"
        );
        assert!(said.contains(word), "{name}: {said}");
    }
}

#[test]
fn a_print_that_was_shrunk_to_fit_is_refused() {
    let ink = chart_ink(A4, Side::Front);
    let error = crate::simulator::printer::PrintError {
        scale: (-0.05, -0.05),
        ..crate::simulator::printer::PrintError::NONE
    };
    let mut random = Random::new(61);
    let path = crate::simulator::printer::PrintPath::new(error, A4, &mut random);
    let mut print = Print::by(&ink, path, A4, random);
    let scan = print.scan(150.0);
    let read = read_scan(
        "small.png",
        &picture(&scan),
        &possible_charts(sheetwright::paper::find("a4")),
    );
    let mistakes = read
        .and_then(|read| survey(A4, &[read.scan], RIGHT))
        .expect_err("the page is 5 % too small");
    assert!(format!("{mistakes:?}").contains("100 %"), "{mistakes:?}");
}

#[test]
fn the_command_writes_profile_and_picture_and_tells_what_it_knows() {
    let folder = fresh_folder("calibrate-scan");
    let file = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let mut print = Print::home(&chart_ink(A4, Side::Front), A4, 71);
    write_png(&folder.join("chart.png"), &print.scan(300.0));
    let (out, residuals) = (file("printer.toml"), file("errors.png"));
    let scan = file("chart.png");
    let run = |more: &[&str]| {
        let mut arguments = vec!["calibrate", "scan", &scan, "--out", &out];
        arguments.extend(more);
        parts(&sheetwright(&arguments))
    };
    let (code, told, talk) = run(&[
        "--residuals",
        &residuals,
        "--details",
        "--name",
        "Attic printer",
    ]);
    assert_eq!(code, 0, "{talk}");
    assert!(
        told.contains("19 marks in 20") && told.contains("shear"),
        "{told}"
    );
    assert!(talk.contains("turned by a quarter"), "{talk}");
    let profile = std::fs::read_to_string(&out).unwrap();
    assert!(
        profile.contains("Attic printer") && profile.contains("[calibration.front]"),
        "{profile}"
    );
    let seen = image::open(&residuals).unwrap();
    assert!(seen.width() > 1000 && seen.height() > 1000);
    let (code, told, _) = run(&["--scanner-scale", "1,1", "--format", "json"]);
    assert_eq!(code, 0);
    let told: Value = serde_json::from_str(&told).unwrap();
    let front = &told["measured"]["front"];
    let wide = front["scale_x"]["percent"].as_f64().unwrap();
    let want = Terms::of(print.map(A4), Point::new(105.0, 148.5)).scale_x * 100.0;
    assert!((wide - want).abs() < 0.02, "{wide} {want}");
    assert!(front["r95_worst_mm"].as_f64().unwrap() < 0.15, "{front}");
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_refused_scan_leaves_the_profile_as_it_was() {
    let folder = fresh_folder("calibrate-scan-refused");
    let file = |name: &str| folder.join(name).to_str().unwrap().to_owned();
    let mut print = Print::home(&chart_ink(A4, Side::Front), A4, 81);
    write_png(&folder.join("chart.png"), &print.scan(150.0).mirrored());
    std::fs::write(folder.join("printer.toml"), "kept").unwrap();
    let arguments = [
        "calibrate",
        "scan",
        &file("chart.png"),
        "--out",
        &file("printer.toml"),
    ];
    let (code, _, talk) = parts(&sheetwright(&arguments));
    assert_eq!(code, 1, "{talk}");
    assert!(
        talk.contains("mirrored") && talk.contains("= help"),
        "{talk}"
    );
    assert_eq!(
        std::fs::read_to_string(folder.join("printer.toml")).unwrap(),
        "kept"
    );
    std::fs::remove_dir_all(folder).unwrap();
}
