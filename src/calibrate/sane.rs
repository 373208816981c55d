//! What a home printer does, and what it does not: readings beyond it are refused, with the slip that they look like.

use kurbo::{Affine, Size};

use super::chart::ChartEdition;
use super::desk::Desk;
use crate::fit::Terms;
use crate::length::{Length, LengthStyle, MM_PER_INCH};

/// Most that a reading lies from where the chart has it, in millimetres.
pub(super) const FARTHEST_MM: f64 = 15.0;
/// Most that a scale is off: old engines were allowed 3 %.
pub(super) const MOST_SCALE: f64 = 0.05;
/// Most that a page is turned or leans, in radians: 15 mm over its height.
const MOST_RAD: f64 = 0.05;
/// A page this much smaller, in both directions alike, was made to fit; printers seldom err so (1.5 % in a published example).
const FITTED: (f64, f64) = (0.02, 0.005);

/// Refuses values that lie too far from what is planned.
pub(super) fn refuse_far(
    desk: &Desk<'_>,
    key: &str,
    values_mm: &[f64],
    nominal_mm: f64,
    like: &str,
) -> Option<()> {
    let far = |mm: &&f64| (**mm - nominal_mm).abs() > FARTHEST_MM;
    let Some(&mm) = values_mm.iter().find(far) else {
        return Some(());
    };
    let typed = desk.typed(key);
    let message = format!(
        "{key} = \"{typed}\" comes to {mm:.1} mm, and the chart has it at {nominal_mm:.1} mm: more than {FARTHEST_MM} mm apart"
    );
    let is_near = |mm: f64| (mm - nominal_mm).abs() <= FARTHEST_MM.min(nominal_mm / 4.0);
    let hint = if is_near(mm * MM_PER_INCH) {
        format!(
            "that looks like inches: type millimetres, like {like}, or read a chart with inch verniers and say --edition inch"
        )
    } else if is_near(mm * 10.0) {
        format!("that looks like centimetres: type millimetres, like {like}")
    } else if is_near(mm / 10.0) {
        format!("that lacks its decimal point: type it like {like}")
    } else {
        format!(
            "read {key} again, it should be near {like}, and check that --paper and --edition are those of the chart"
        )
    };
    desk.fail("calibrate.far-reading", key, message, hint);
    None
}

/// Refuses a map that no home printer makes, and warns of a page that was made to fit.
pub(super) fn check(desk: &Desk<'_>, map: Affine, page: Size) {
    let terms = Terms::of(map, page.to_rect().center());
    let again = "read again, from the sheet's left and top edge, and check that --paper is that of the chart";
    for (what, share) in [("wide", terms.scale_x), ("tall", terms.scale_y)] {
        if share.abs() > MOST_SCALE {
            let message = format!(
                "by these readings the page is {:.1} % too {what}, more than {} %",
                share * 100.0,
                MOST_SCALE * 100.0
            );
            desk.fail("calibrate.far-reading", "", message, again.to_owned());
        }
    }
    for (what, rad) in [
        ("turned", terms.turn_rad),
        ("out of square", terms.shear_rad),
    ] {
        if rad.abs() > MOST_RAD {
            let message = format!(
                "by these readings the page is {what} by {:.0} mm over 300 mm, more than {:.0} mm",
                rad.abs() * 300.0,
                MOST_RAD * 300.0
            );
            desk.fail("calibrate.far-reading", "", message, again.to_owned());
        }
    }
    warn_of_fitted(desk, &terms);
}

fn warn_of_fitted(desk: &Desk<'_>, terms: &Terms) {
    let (least, alike) = FITTED;
    let mean = (terms.scale_x + terms.scale_y) / 2.0;
    if mean < -least && (terms.scale_x - terms.scale_y).abs() < alike {
        let message = format!(
            "the page came out {:.1} % too small both ways, as if it was made to fit",
            -mean * 100.0
        );
        let hint = "print the chart again at 100 %, with \"fit to page\" off, unless all is printed this way";
        desk.warn("calibrate.fitted", "", message, hint.to_owned());
    }
}

/// Returns a distance as a vernier shows it: `20.0`, or sixteenths of an inch and a tick, `3/4 + 5`.
pub(super) fn vernier_text(mm: f64, edition: ChartEdition) -> String {
    match edition {
        ChartEdition::Millimetres => format!("{mm:.1}"),
        ChartEdition::Inches => {
            let in_128ths = (mm / MM_PER_INCH * 128.0).round();
            let sixteenths = (in_128ths / 8.0).floor();
            let length = Length::nearest_mm(sixteenths * MM_PER_INCH / 16.0);
            let inches = length.display(LengthStyle::InchFractions);
            format!(
                "{} + {}",
                inches.trim_end_matches(" in"),
                in_128ths - sixteenths * 8.0
            )
        }
    }
}
