//! Targets found in simulated scans of pages that the tool wrote.
//!
//! The limits are those the tool sets out for; the truth is the simulator's. `cargo bench --bench register` measures over more seeds.

use kurbo::Size;
use sheetwright::project::Face;

use crate::bars::made_page::{chart, chart_page, drawn};
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
