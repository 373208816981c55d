//! Every damage to templates is found; saving them again is none.
//!
//! The sheet of the swap table: see `templates`. Pieces begin at 20.5 mm from the left and at 22.85 mm from the top of A4.

use crate::damage::found::{assert_found, saved_again, verdict};
use crate::damage::{Files, changed, pdf};
use crate::templates::table;

const FILE: &str = "templates.pdf";

/// The set without the report, whose digests tell any damage.
fn files() -> Files {
    let mut files = table().clone();
    files.remove("report.json").unwrap();
    files
}

fn spoilt(damage: impl FnOnce(&[u8]) -> Vec<u8>) -> Files {
    changed(&files(), FILE, damage)
}

fn moved(x_mm: f64, y_mm: f64) -> [f64; 6] {
    [1.0, 0.0, 0.0, 1.0, x_mm, y_mm]
}

/// Asserts that the proof has a finding of this code about this id, and none about other files.
fn assert_told(damaged: &Files, code: &str, id: &str) {
    for files in saved_again(damaged) {
        let verdict = verdict(&files);
        let findings: Vec<_> = verdict.findings().collect();
        let is_told = findings
            .iter()
            .any(|finding| finding.code == code && finding.id.as_deref() == Some(id));
        assert!(is_told, "{findings:#?}");
        assert!(findings.iter().all(|f| f.file == FILE), "{findings:#?}");
    }
}

#[test]
fn nothing_is_found_however_templates_are_saved() {
    for files in saved_again(&files()) {
        let verdict = verdict(&files);
        let findings: Vec<_> = verdict.findings().collect();
        assert!(findings.is_empty(), "{findings:#?}");
    }
}

#[test]
fn a_missing_file_is_found() {
    let mut files = files();
    files.remove(FILE).unwrap();
    let verdict = verdict(&files);
    assert!(
        verdict
            .findings()
            .any(|f| f.code == "verify.missing" && f.file == FILE)
    );
}

#[test]
fn a_crease_or_hole_moved_by_two_hundredths_is_found() {
    for (kind, id) in [
        ("crease", "tag.crease-1"),
        ("hole", "tag.hole-1"),
        ("perforation", "tag.perforation-1"),
    ] {
        let damaged = spoilt(|bytes| pdf::map_tagged(bytes, 1, kind, id, moved(0.02, 0.0)));
        assert_told(&damaged, "verify.moved", id);
    }
}

#[test]
fn a_piece_drawn_a_hundredth_of_a_per_cent_too_large_is_found() {
    // About the page's corner: 150 and 90 mm become 150.015 and 90.009 mm.
    let larger = [1.0001, 0.0, 0.0, 1.0001, 0.0, 0.0];
    let damaged = spoilt(|bytes| pdf::map_tagged(bytes, 1, "cut", "plate.outline", larger));
    assert_found(
        &damaged,
        FILE,
        "verify.scaled",
        "plate.outline",
        ["150.0000 x 90.0000 mm", "150.0150 x 90.0090 mm"],
    );
}

#[test]
fn a_piece_or_a_line_that_is_left_out_or_drawn_twice_is_found() {
    let dropped = spoilt(|bytes| pdf::drop_tagged(bytes, 1, "cut", "plate.outline"));
    assert_told(&dropped, "verify.missing", "plate.outline");
    let dropped = spoilt(|bytes| pdf::drop_tagged(bytes, 1, "crease", "tag.crease-2"));
    assert_told(&dropped, "verify.missing", "tag.crease-2");
    let doubled = spoilt(|bytes| pdf::double_tagged(bytes, 1, "crease", "tag.crease-2"));
    assert_told(&doubled, "verify.extra", "tag.crease-2");
}

#[test]
fn mountain_and_valley_with_each_others_places_are_found() {
    let damaged = spoilt(|bytes| pdf::swap_ids(bytes, 1, "crease", "tag.crease-1", "tag.crease-2"));
    assert_told(&damaged, "verify.swapped", "tag.crease-1");
    assert_told(&damaged, "verify.layer", "tag.crease-1");
}

#[test]
fn a_scale_bar_that_is_too_long_is_found() {
    let longer = [1.0004, 0.0, 0.0, 1.0, 0.0, 0.0];
    let damaged = spoilt(|bytes| pdf::map_tagged(bytes, 1, "scale-bar", "50 mm", longer));
    assert_found(
        &damaged,
        FILE,
        "verify.scaled",
        "50 mm",
        ["50.0000 mm", "50.0200 mm"],
    );
}

#[test]
fn hole_marks_elsewhere_are_found() {
    let damaged = spoilt(|bytes| pdf::map_tagged(bytes, 1, "punch", "upper", moved(0.0, 0.5)));
    // The middle of A4 is at 148.5 mm, 40 mm above it is the hole.
    assert_found(
        &damaged,
        FILE,
        "verify.moved",
        "upper",
        ["x 12.0000, y 108.5000 mm", "x 12.0000, y 109.0000 mm"],
    );
}

#[test]
fn what_leaves_the_box_that_letter_and_a4_print_is_found() {
    // The whole page 1 mm to the left: pieces enter the punched margin.
    let damaged =
        spoilt(|bytes| pdf::map_layers(bytes, 1, |[a, b, c, d, e, f]| [a, b, c, d, e - 1.0, f]));
    assert_told(&damaged, "verify.moved", "plate.outline");
    let damaged = spoilt(|bytes| pdf::append(bytes, 1, "\n2 w 300 5 m 320 5 l S\n"));
    let verdict = verdict(&damaged);
    assert!(verdict.findings().any(|f| f.code == "verify.extra"));
    assert!(verdict.findings().any(|f| f.code == "verify.moved"));
}

#[test]
fn a_tile_that_joins_elsewhere_is_found() {
    let damaged = spoilt(|bytes| pdf::map_tagged(bytes, 3, "join", "sign.A", moved(0.02, 0.0)));
    assert_told(&damaged, "verify.moved", "sign.A");
    let damaged = spoilt(|bytes| pdf::drop_tagged(bytes, 3, "join", "sign.A"));
    assert_told(&damaged, "verify.missing", "sign.A");
    assert_told(&damaged, "verify.missing", "sign.outline");
}

#[test]
fn a_tile_that_is_missing_is_found() {
    let damaged = spoilt(|bytes| pdf::drop_tagged(bytes, 3, "cut", "sign.outline"));
    assert_told(&damaged, "verify.missing", "sign.outline");
}
