//! Scans that must not become a profile.
//!
//! Limits are far outside of what printers do and well inside of what a wrong page, a scaled print or a bent sheet does.

use kurbo::Size;

use super::face_scan::ScanMap;
use super::mark_error::place_words;
use crate::diagnostic::Diagnostic;
use crate::fit::Terms;
use crate::project::Face;

/// Old laser printers were allowed 2 to 3 % (public notes); "fit to page" takes 3 to 7 % off.
const MOST_SCALE: f64 = 0.03;

/// About 1 degree: 4.5 mm down an A4 sheet. Feeds turn by a few thousandths.
const MOST_TURN_RAD: f64 = 0.015;

/// Feeds shift by a millimetre or two; the other paper's size in the print dialog by 3 mm and more.
const MOST_SHIFT_MM: f64 = 5.0;

/// Sheets are cut square to about 1 mrad (common practice, no source); a folded corner or a covered edge shows more.
const MOST_CORNER_RAD: f64 = 0.008;

/// Bow and ripple of a bad printer reach 0.15 mm; what lifts off the glass or moved during the scan shows more.
const MOST_STAYS_MM: f64 = 0.35;

/// Sheets of one pack are equal within some tenths; two scans by a scanner nobody measured differ by 0.3 % of 297 mm at most.
const MOST_SHEET_MM: f64 = 2.0;

/// Two prints of one printer on one paper; twice what an unmeasured scanner stretches comes on top.
const MOST_BETWEEN_SCALES: f64 = 0.008;

/// Refuses a scan whose map no printer makes.
///
/// # Errors
///
/// Returns what is wrong with the first number that is out of all reason, and what to do.
pub fn refuse_unlikely(map: &ScanMap, page: Size) -> Result<(), Diagnostic> {
    let centre = page.to_rect().center();
    let terms = Terms::of(map.fit.map, centre);
    refuse_scale(map, &terms)?;
    refuse_place(map, &terms)?;
    refuse_corner(map)?;
    refuse_uneven(map, page)
}

fn refuse_scale(map: &ScanMap, terms: &Terms) -> Result<(), Diagnostic> {
    if terms.scale_x.abs() <= MOST_SCALE && terms.scale_y.abs() <= MOST_SCALE {
        return Ok(());
    }
    let words = |share: f64, way: &str| {
        let size = if share < 0.0 {
            "too small"
        } else {
            "too large"
        };
        format!("{:.1} % {size} {way}", share.abs() * 100.0)
    };
    let message = format!(
        "{}: the page is printed {} and {}; a printer at 100 % is off by {:.0} % at most",
        map.name,
        words(terms.scale_x, "across"),
        words(terms.scale_y, "down"),
        MOST_SCALE * 100.0
    );
    Err(Diagnostic::error("calibrate.scale", message).hint(
        "print the chart at 100 %, without \"fit to page\" or \"shrink\", on the paper it was made for; then scan that print",
    ))
}

fn refuse_place(map: &ScanMap, terms: &Terms) -> Result<(), Diagnostic> {
    if terms.turn_rad.abs() > MOST_TURN_RAD || terms.shear_rad.abs() > MOST_TURN_RAD {
        let message = format!(
            "{}: the print lies turned by {:.1} degrees on the sheet, and leans by {:.1}; up to {:.1} is a printer's",
            map.name,
            terms.turn_rad.to_degrees().abs(),
            terms.shear_rad.to_degrees().abs(),
            MOST_TURN_RAD.to_degrees()
        );
        return Err(Diagnostic::error("calibrate.turned", message)
            .hint("load the sheet straight, against the paper guides, and print the chart again"));
    }
    let shift = terms.shift;
    if shift.hypot2().sqrt() > MOST_SHIFT_MM {
        let message = format!(
            "{}: the middle of the page lies {:.1} mm from the middle of the sheet; up to {MOST_SHIFT_MM:.0} mm is a printer's",
            map.name,
            shift.hypot2().sqrt()
        );
        return Err(Diagnostic::error("calibrate.shifted", message).hint(
            "choose the paper's size in the print dialog as it lies in the tray, and print the chart again",
        ));
    }
    Ok(())
}

fn refuse_corner(map: &ScanMap) -> Result<(), Diagnostic> {
    if map.corner_rad.abs() <= MOST_CORNER_RAD {
        return Ok(());
    }
    let message = format!(
        "{}: the sheet's left and top edge are {:.1} degrees out of square; up to {:.1} happens with paper",
        map.name,
        map.corner_rad.to_degrees().abs(),
        MOST_CORNER_RAD.to_degrees()
    );
    Err(Diagnostic::error("calibrate.corner", message).hint(
        "see that no edge is folded, torn or covered and that the whole sheet lies on the glass, and scan again",
    ))
}

fn refuse_uneven(map: &ScanMap, page: Size) -> Result<(), Diagnostic> {
    let pairs = map.fit.pairs.iter().zip(&map.fit.residuals);
    let Some((pair, off)) = pairs.max_by(|a, b| a.1.hypot2().total_cmp(&b.1.hypot2())) else {
        return Ok(());
    };
    if off.hypot2().sqrt() <= MOST_STAYS_MM {
        return Ok(());
    }
    let message = format!(
        "{}: a target ({}) lies {:.2} mm from where the others say; up to {MOST_STAYS_MM:.2} mm is a printer's",
        map.name,
        place_words(pair.nominal, page),
        off.hypot2().sqrt()
    );
    Err(Diagnostic::error("calibrate.uneven", message).hint(
        "lay the sheet flat on the glass, close the lid and scan again; if it stays, the paper moved in the printer: print again",
    ))
}

/// Refuses scans that do not belong together.
///
/// # Errors
///
/// Returns which two contradict each other.
pub fn refuse_strangers(maps: &[ScanMap]) -> Result<(), Diagnostic> {
    let Some(first) = maps.first() else {
        return Ok(());
    };
    for other in &maps[1..] {
        let (a, b) = (first.sheet, other.sheet);
        if (a.width - b.width).abs().max((a.height - b.height).abs()) > MOST_SHEET_MM {
            let message = format!(
                "{} shows a sheet of {:.1} x {:.1} mm and {} one of {:.1} x {:.1} mm",
                first.name, a.width, a.height, other.name, b.width, b.height
            );
            return Err(Diagnostic::error("calibrate.strangers", message).hint(
                "give scans of prints on one paper; another paper gets a profile of its own",
            ));
        }
    }
    for face in [Face::Front, Face::Back] {
        let same: Vec<&ScanMap> = maps.iter().filter(|m| m.face == face).collect();
        for other in same.iter().skip(1) {
            refuse_other_printer(same[0], other)?;
        }
    }
    Ok(())
}

fn refuse_other_printer(one: &ScanMap, other: &ScanMap) -> Result<(), Diagnostic> {
    let (a, b) = (one.scale(), other.scale());
    let between = (a[0] - b[0]).abs().max((a[1] - b[1]).abs());
    let shift = one.fit.map.translation() - other.fit.map.translation();
    if between <= MOST_BETWEEN_SCALES && shift.hypot2().sqrt() <= MOST_SHIFT_MM {
        return Ok(());
    }
    let message = format!(
        "{} and {} differ by {:.1} % in size and {:.1} mm in place: they are not prints of one printer on one paper",
        one.name,
        other.name,
        between * 100.0,
        shift.hypot2().sqrt()
    );
    Err(Diagnostic::error("calibrate.strangers", message)
        .hint("calibrate each printer, tray and paper from its own prints"))
}
