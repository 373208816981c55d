//! What was measured, as people say it.

use kurbo::{Affine, Size};

use super::cutter::ByTestCut;
use super::eye::{farthest_mm, within_mm};
use crate::date;
use crate::fit::{RADIUS_95, Terms};
use crate::length::with_covering_inches;
use crate::project::{Edges, PrintMap};

/// Returns what a printer does to a page, one sentence a line, without full stops.
#[must_use]
pub fn printer_words(map: &PrintMap, page: Size) -> Vec<String> {
    let terms = Terms::of(map.sheet_from_page, page.to_rect().center());
    let mut lines = vec![
        format!(
            "it prints {} and {}",
            scale_words(terms.scale_x, "wide", "narrow"),
            scale_words(terms.scale_y, "tall", "short")
        ),
        format!(
            "it puts the middle of the page {} and {}",
            shift_words(terms.shift.x, "to the right", "to the left"),
            shift_words(terms.shift.y, "too low", "too high")
        ),
    ];
    lines.push(turn_words(&terms));
    lines.push(format!(
        "left alone, a corner of the page comes out as much as {} from where it should",
        with_covering_inches(farthest_mm(map.sheet_from_page, page))
    ));
    lines
}

/// Returns how well a page comes out with the profile, as far as the measurement tells.
#[must_use]
pub fn within_words(map: &PrintMap, page: Size) -> String {
    let (middle, corner) = within_mm(map, page);
    format!(
        "with this profile, 19 sheets in 20 land within {} of where they should at the corners, and within {} in the middle of the page",
        with_covering_inches(corner),
        with_covering_inches(middle)
    )
}

/// Returns the numbers of a map with what they are known to, one a line, for those who ask.
#[must_use]
pub fn detail_lines(map: Affine, within: &Terms, page: Size) -> Vec<String> {
    let terms = Terms::of(map, page.to_rect().center());
    let line = |name: &str, is: f64, within: f64, unit: &str| {
        format!("{name:8} {is:9.4} +- {within:.4} {unit}")
    };
    vec![
        line(
            "scale x",
            terms.scale_x * 100.0,
            within.scale_x * 100.0,
            "%",
        ),
        line(
            "scale y",
            terms.scale_y * 100.0,
            within.scale_y * 100.0,
            "%",
        ),
        line(
            "turn",
            terms.turn_rad * 1000.0,
            within.turn_rad * 1000.0,
            "mrad",
        ),
        line(
            "shear",
            terms.shear_rad * 1000.0,
            within.shear_rad * 1000.0,
            "mrad",
        ),
        line("shift x", terms.shift.x, within.shift.x, "mm"),
        line("shift y", terms.shift.y, within.shift.y, "mm"),
    ]
}

/// Returns the bands that are not printed.
#[must_use]
pub fn margin_words(margins: &Edges<crate::length::Length>) -> String {
    let mm = |length: crate::length::Length| format!("{:.1} mm", length.to_mm());
    format!(
        "it cannot print {} at the top, {} at the right, {} at the bottom, {} at the left",
        mm(margins.top),
        mm(margins.right),
        mm(margins.bottom),
        mm(margins.left)
    )
}

/// Returns what a cutting machine does, the first line a heading.
#[must_use]
pub fn cutter_words(measured: &ByTestCut) -> Vec<String> {
    let page = measured.chart.page;
    let calibration = &measured.calibration;
    let terms = Terms::of(calibration.cut_from_file, page.to_rect().center());
    let known = calibration.spread.r95_mm(page.to_rect().center());
    let repeat = RADIUS_95 * calibration.repeat_mm;
    let told = if measured.sheets > 1 {
        format!(
            "19 cuts in 20 land within {} of where they land on average",
            with_covering_inches(repeat)
        )
    } else {
        format!(
            "how one cut differs from the next is not known from one sheet, and taken to be {}, 19 times in 20: cut two more to know",
            with_covering_inches(repeat)
        )
    };
    vec![
        format!(
            "your cutter, measured {} {}:",
            date::show(calibration.date),
            measured.account.method
        ),
        format!(
            "it cuts {} and {}",
            scale_words(terms.scale_x, "wide", "narrow"),
            scale_words(terms.scale_y, "tall", "short")
        ),
        format!(
            "it puts the middle of the page {} and {}",
            shift_words(terms.shift.x, "to the right", "to the left"),
            shift_words(terms.shift.y, "too low", "too high")
        ),
        turn_words(&terms),
        told,
        format!(
            "with this profile, cuts land on average within {} of where they should in the middle of the page, 19 times in 20",
            with_covering_inches(known)
        ),
    ]
}

/// Returns the numbers behind that.
#[must_use]
pub fn cutter_details(measured: &ByTestCut) -> Vec<String> {
    let page = measured.chart.page;
    let calibration = &measured.calibration;
    let within = Terms::within_95(
        calibration.cut_from_file,
        &calibration.spread,
        page.to_rect().center(),
    );
    let mut lines = vec!["each within its number 19 times in 20:".to_owned()];
    lines.extend(detail_lines(calibration.cut_from_file, &within, page));
    lines.push(format!(
        "standard deviation from one cut to the next: {:.3} mm",
        calibration.repeat_mm
    ));
    lines
}

fn scale_words(share: f64, more: &str, less: &str) -> String {
    let percent = share * 100.0;
    if percent.abs() < 0.005 {
        format!("neither too {more} nor too {less}")
    } else {
        format!(
            "{:.2} % too {}",
            percent.abs(),
            if percent > 0.0 { more } else { less }
        )
    }
}

fn shift_words(mm: f64, more: &str, less: &str) -> String {
    format!("{:.2} mm {}", mm.abs(), if mm > 0.0 { more } else { less })
}

fn turn_words(terms: &Terms) -> String {
    // What lies 100 mm to the right comes out lower, what lies 100 mm below comes out further right.
    let lean = terms.shear_rad - terms.turn_rad;
    const NOTHING_RAD: f64 = 5e-6;
    if terms.turn_rad.abs() < NOTHING_RAD && lean.abs() < NOTHING_RAD {
        return "it is taken to run straight".to_owned();
    }
    let over_100 = |rad: f64| rad.abs() * 100.0;
    format!(
        "it runs {:.2} mm {} over 100 mm to the right, and {:.2} mm {} over 100 mm down",
        over_100(terms.turn_rad),
        if terms.turn_rad > 0.0 {
            "downhill"
        } else {
            "uphill"
        },
        over_100(lean),
        if lean > 0.0 {
            "to the right"
        } else {
            "to the left"
        }
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::Spread;

    /// By hand from `profile-210x297`: 0.35 % wide, 0.52 % short, turned by -2.4 mrad, leaning by 0.8 + 2.4 = 3.2 mrad.
    #[test]
    fn people_hear_no_statistics() {
        let page = Size::new(210.0, 297.0);
        let terms = Terms {
            scale_x: 0.0035,
            scale_y: -0.0052,
            turn_rad: -0.0024,
            shear_rad: 0.0008,
            shift: kurbo::Vec2::new(1.1, -0.7),
        };
        let map = PrintMap {
            sheet_from_page: terms.to_map(page.to_rect().center()),
            spread: Spread::NONE,
        };
        let lines = printer_words(&map, page);
        assert_eq!(lines[0], "it prints 0.35 % too wide and 0.52 % too short");
        assert_eq!(
            lines[1],
            "it puts the middle of the page 1.10 mm to the right and 0.70 mm too high"
        );
        assert_eq!(
            lines[2],
            "it runs 0.24 mm uphill over 100 mm to the right, and 0.32 mm to the right over 100 mm down"
        );
        // The top right corner: 1.1 + 0.003497 x 105 - 0.003188 x 148.5 and -0.7 - 0.002408 x 105 + 0.005205 x 148.5 are 0.99 and -0.18;
        // the bottom left one: 1.1 - 0.3672 + 0.4733 = 1.206 and -0.7 + 0.2529 - 0.7729 = -1.22: 1.716 in all; bottom right 1.941 and
        // -1.726: 2.597.
        // 25.4 x 7 / 64 = 2.78 covers that, 25.4 x 6 / 64 = 2.38 does not.
        assert!(lines[3].contains("2.60 mm (7/64 in)"), "{}", lines[3]);
    }
}
