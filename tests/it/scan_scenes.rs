//! Targets found in simulated scans of pages that the tool wrote.
//!
//! The limits are those the tool sets out for; the truth is the simulator's. `cargo bench --bench register` measures over more seeds.

use kurbo::Size;
use sheetwright::project::Face;

use crate::bars::made_page::{chart, chart_page, drawn};
use crate::bars::registration::{Outcome, of_scan};
use crate::bars::scenes::{Kind, Pages};
use crate::bars::spread::Errors;
use crate::bars::targets::over_seeds;
use crate::simulator::target::Page;

const A5: Size = Size::new(148.0, 210.0);

#[test]
fn all_targets_of_a_scanned_chart_are_found_to_a_fiftieth_of_a_millimetre() {
    let page = chart_page(&chart("a4"), Face::Front, 600);
    for (dpi, p95_mm) in [(300.0, 0.02), (200.0, 0.03), (150.0, 0.03)] {
        let found = over_seeds(&page, dpi, 0..2);
        let errors = Errors::of(found.errors_mm);
        assert_eq!((found.missed, found.misnamed), (0, 0), "{dpi} dpi");
        assert!(
            errors.p95() < p95_mm && errors.worst() < 0.05,
            "{dpi} dpi: {errors}"
        );
    }
}

#[test]
fn coarse_scans_show_targets_rightly_or_not_at_all() {
    let page = drawn(&Page::six_marks(A5, 16.0, 6.0), 600.0);
    let found = over_seeds(&page, 100.0, 0..4);
    assert_eq!((found.misnamed, found.invented), (0, 0));
    let errors = Errors::of(found.errors_mm);
    assert!(errors.count() > 0 && errors.worst() < 0.05, "{errors}");
}

#[test]
fn art_all_around_the_marks_does_no_harm() {
    for seed in 0..3 {
        let page = drawn(&Page::six_marks(A5, 16.0, 8.0).with_art(seed), 600.0);
        let found = over_seeds(&page, 300.0, seed..seed + 1);
        assert_eq!((found.missed, found.misnamed), (0, 0));
        let errors = Errors::of(found.errors_mm);
        assert!(errors.worst() < 0.05, "{errors}");
    }
}

/// Whatever comes of a picture: nothing is said, or the cut is right within the half millimetre that nobody is to exceed silently.
fn is_safe(outcome: &Outcome, kind: Kind) -> bool {
    match outcome {
        Outcome::Refused(_)
        | Outcome::Found {
            is_warned: true, ..
        } => true,
        Outcome::Found { worst_mm, .. } => *worst_mm <= 0.5 && !kind.has_no_answer(),
    }
}

#[test]
fn a_scan_of_six_marks_in_art_tells_where_to_cut() {
    for seed in 0..3 {
        let page = drawn(&Page::six_marks(A5, 16.0, 8.0).with_art(seed), 600.0);
        match of_scan(&page, 300.0, seed) {
            Outcome::Found {
                worst_mm,
                is_warned,
                ..
            } => {
                assert!(worst_mm < 0.08 && !is_warned, "seed {seed}: {worst_mm} mm");
            }
            Outcome::Refused(why) => panic!("seed {seed}: {why}"),
        }
    }
}

#[test]
fn pictures_that_do_not_show_the_page_rightly_are_refused() {
    let pages = Pages::new(A5, 2);
    for kind in [Kind::Mirrored, Kind::WrongPage, Kind::TwoSheets] {
        for seed in 0..2 {
            let outcome = pages.outcome(kind, seed);
            assert!(
                matches!(outcome, Outcome::Refused(_)),
                "{kind:?} {seed}: {outcome:?}"
            );
        }
    }
}

#[test]
fn bad_scans_never_put_a_cut_half_a_millimetre_off_without_a_word() {
    let pages = Pages::new(A5, 2);
    for kind in [
        Kind::WhiteLid,
        Kind::OneCovered,
        Kind::ThreeCovered,
        Kind::Cropped,
        Kind::Blurred,
        Kind::LyingTag,
    ] {
        for seed in 0..2 {
            let outcome = pages.outcome(kind, seed);
            assert!(is_safe(&outcome, kind), "{kind:?} {seed}: {outcome:?}");
        }
    }
}
