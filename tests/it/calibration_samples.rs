//! The sample readings beside the charts: each is read, tells of the printer or cutter it was made for, and gives the profile that lies there.

use std::path::{Path, PathBuf};

use kurbo::{Affine, Point, Size, Vec2};
use sheetwright::calibrate::{
    cutter_file, printer_file, read_by_eye, read_by_ruler, read_test_cut,
};
use sheetwright::fit::{Spread, Terms};
use sheetwright::length::Length;
use sheetwright::load::{NamedText, cutter_profile, printer_profile, readings};
use sheetwright::math::hypot;
use sheetwright::project::ReadingSheet;

/// The day of the readings.
const DAY: (i32, u32, u32) = (2026, 5, 9);

/// The attic printer: the one of the check values `profile-210x297`.
const PRINTER: Terms = Terms {
    scale_x: 0.0035,
    scale_y: -0.0052,
    shear_rad: 0.0008,
    turn_rad: -0.0024,
    shift: Vec2::new(1.1, -0.7),
};

/// The bench cutter that the test cut was made for.
const CUTTER: Terms = Terms {
    scale_x: 0.002,
    scale_y: -0.001,
    shear_rad: 0.001,
    turn_rad: 0.0005,
    shift: Vec2::new(0.4, -0.3),
};

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("calibration")
        .join(name)
}

fn named(name: &str) -> NamedText {
    NamedText {
        name: name.to_owned(),
        text: std::fs::read_to_string(path(name)).unwrap(),
    }
}

/// If this is set, profiles are written beside the readings instead of being compared.
const TAKE_PICTURES: &str = "SHEETWRIGHT_TAKE_PICTURES";

#[track_caller]
fn assert_lies_there(name: &str, text: &str) {
    if std::env::var_os(TAKE_PICTURES).is_some() {
        std::fs::write(path(name), text).unwrap();
    }
    assert_eq!(text, named(name).text);
}

fn sheet(name: &str) -> ReadingSheet {
    readings(&named(name)).unwrap()
}

fn truth(terms: Terms, page: Size) -> Affine {
    terms.to_map(Point::new(page.width / 2.0, page.height / 2.0))
}

/// How far a map is off at the worst corner, as a share of what it says of itself there.
#[track_caller]
fn assert_covers(found: Affine, truth: Affine, spread: &Spread, page: Size) {
    for (x, y) in [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)] {
        let at = Point::new(x * page.width, y * page.height);
        let off = found * at - truth * at;
        let (off_mm, said_mm) = (hypot(off.x, off.y), spread.r95_mm(at));
        assert!(off_mm <= said_mm, "{at:?}: {off_mm} of {said_mm}");
    }
}

#[test]
fn readings_by_eye_give_the_profile_beside_them() {
    let sheet = sheet("readings-by-eye-a4.toml");
    let found = read_by_eye(&sheet, DAY).unwrap();
    assert!(found.warnings.is_empty(), "{:?}", found.warnings);
    let eye = found.value;
    let front = &eye.calibration.front;
    assert_covers(
        front.sheet_from_page,
        truth(PRINTER, sheet.page),
        &front.spread,
        sheet.page,
    );
    assert!(eye.calibration.back.is_some());
    let name = sheet.name.as_deref().unwrap();
    let written = printer_file(&eye.calibration, eye.margins, &eye.account, name, None).unwrap();
    assert_lies_there("attic-printer.toml", &written.text);
    let read = printer_profile(&named("attic-printer.toml"), Some(DAY)).unwrap();
    assert!(read.warnings.is_empty(), "{:?}", read.warnings);
    assert_eq!(read.value.margins.bottom, Length::from_mm(13));
}

#[test]
fn readings_in_inches_tell_of_the_same_printer() {
    for (name, is_by_eye) in [
        ("readings-by-eye-letter-inch.toml", true),
        ("readings-by-ruler-letter-inch.toml", false),
    ] {
        let sheet = sheet(name);
        let front = if is_by_eye {
            read_by_eye(&sheet, DAY).unwrap().value.calibration.front
        } else {
            read_by_ruler(&sheet, DAY).unwrap().value.calibration.front
        };
        assert_covers(
            front.sheet_from_page,
            truth(PRINTER, sheet.page),
            &front.spread,
            sheet.page,
        );
    }
}

#[test]
fn a_test_cut_gives_the_profile_beside_it() {
    let sheet = sheet("readings-of-a-test-cut-a4.toml");
    let printer = printer_profile(&named("attic-printer.toml"), Some(DAY))
        .unwrap()
        .value;
    let front = printer.calibration.unwrap().front;
    let found = read_test_cut(&sheet, Some(&front), DAY).unwrap().value;
    let calibration = &found.calibration;
    assert_covers(
        calibration.cut_from_file,
        truth(CUTTER, sheet.page),
        &calibration.spread,
        sheet.page,
    );
    let page = (sheet.format.as_str(), sheet.page);
    let written = cutter_file(calibration, page, &found.account, "Bench cutter", None).unwrap();
    assert_lies_there("bench-cutter.toml", &written.text);
    assert!(
        cutter_profile(&named("bench-cutter.toml"), Some(DAY))
            .unwrap()
            .value
            .calibration
            .is_some()
    );
}
