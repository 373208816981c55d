//! Two minutes with a ruler: four line lengths and two edge distances tell scale and shift.
//!
//! A length tells a scale, twice each way; a distance from an edge tells a shift, where its line begins. Nothing tells turn and lean:
//! they are taken to be none, to within what home printers do. So the error grows away from where the two distances end, and the
//! profile says by how much. The page is the chart: another page may have a check rule, but one length has no shift and no second way.

use kurbo::Affine;

use super::Account;
use super::chart::{Chart, ChartEdition};
use super::desk::{Desk, KEYS};
use super::reading::length_mm;
use super::repeat::{FARTHEST_MM, Precision, SINGLE_MM, mean};
use super::sane;
use crate::date::Date;
use crate::diagnostic::{Diagnostic, Warned};
use crate::fit::Spread;
use crate::length::{Length, LengthStyle};
use crate::project::{Calibration, PrintMap, ReadingSheet};

/// Deviation of a length read to 1/32 in, in millimetres: rounding (25.4 / 32 over the root of 12, 0.229) and setting the ruler to a line
/// (0.08, assumed), added as squares.
pub const SINGLE_32ND_MM: f64 = 0.243;

/// Deviation of the turn of a page, in radians: 0.9 mm over the height of a page. Service manuals allow 1 mm at either edge of a sheet;
/// as a deviation it is assumed.
const TURN_RAD: f64 = 0.003;

/// Deviation of a page's lean out of square, in radians (assumed).
const LEAN_RAD: f64 = 0.001;

/// What a ruler says of a printer.
#[derive(Debug, Clone, PartialEq)]
pub struct ByRuler {
    /// The chart that was measured.
    pub chart: Chart,
    /// Where the page comes out.
    pub calibration: Calibration,
    /// How exactly the ruler was read.
    pub precision: Precision,
    /// How it was measured.
    pub account: Account,
}

/// Returns what a ruler says of a printer; `today` is the day of the readings where they do not say.
///
/// # Errors
///
/// Returns every mistake: readings that are missing, that are none, that lie too far off, or that contradict each other.
pub fn read_by_ruler(
    sheet: &ReadingSheet,
    today: Date,
) -> Result<Warned<ByRuler>, Vec<Diagnostic>> {
    let desk = Desk::new(sheet);
    let chart = desk.chart()?;
    desk.refuse_strangers(&KEYS);
    let read = read(&desk, &chart);
    desk.settle()?;
    let read = read.expect("nothing was wrong with the readings");
    let assumed_mm = match chart.edition {
        ChartEdition::Millimetres => SINGLE_MM,
        ChartEdition::Inches => SINGLE_32ND_MM,
    };
    let precision = Precision::of(read.iter().map(Vec::as_slice), assumed_mm);
    refuse_unlike(&desk, &read, precision.sigma_mm);
    let front = fit(&chart, &read, precision.safe_mm());
    sane::check(&desk, front.sheet_from_page, chart.page);
    let warnings = desk.settle()?;
    let value = ByRuler {
        calibration: Calibration {
            date: sheet.date.unwrap_or(today),
            format: sheet.format.clone(),
            page: chart.page,
            paper: sheet.paper.clone(),
            tray: sheet.tray.clone(),
            front,
            back: None,
        },
        precision,
        account: Account {
            method: "by ruler, 4 lengths and 2 distances from edges".to_owned(),
            readings: sheet.kept(),
        },
        chart,
    };
    Ok(Warned { value, warnings })
}

/// The letters of the four lengths and the two distances, with what each should be in millimetres.
fn wanted(chart: &Chart) -> [(String, f64); 6] {
    let [a, b, c, d] = chart
        .lines
        .map(|line| (line.id.to_string(), line.length_mm()));
    let [e, f] = chart
        .edge_distances
        .map(|e| (e.id.to_string(), e.nominal_mm(chart.page)));
    [a, b, c, d, e, f]
}

/// How far repeats of a length may lie apart: a ruler in inches is read to the nearest of its marks, a sixteenth apart.
fn farthest_mm(edition: ChartEdition) -> f64 {
    match edition {
        ChartEdition::Millimetres => FARTHEST_MM,
        ChartEdition::Inches => edition.division_mm(),
    }
}

fn read(desk: &Desk<'_>, chart: &Chart) -> Option<[Vec<f64>; 6]> {
    let [a, b, c, d, e, f] = wanted(chart).map(|(key, nominal_mm)| {
        let like = like(nominal_mm, chart.edition);
        let values = desk.values(&key, &like, |text| length_mm(text, chart.edition))?;
        sane::refuse_far(desk, &key, &values, nominal_mm, &like)?;
        desk.refuse_farther(&key, &values, farthest_mm(chart.edition))?;
        Some(values)
    });
    Some([a?, b?, c?, d?, e?, f?])
}

/// What is typed for a length near this one.
fn like(mm: f64, edition: ChartEdition) -> String {
    match edition {
        ChartEdition::Millimetres => format!("{mm:.1}"),
        ChartEdition::Inches => {
            let in_32nds = Length::nearest_mm((mm / 25.4 * 32.0).round() / 32.0 * 25.4);
            in_32nds.display(LengthStyle::InchFractions)
        }
    }
}

/// Two lengths the same way should be alike.
fn refuse_unlike(desk: &Desk<'_>, read: &[Vec<f64>; 6], sigma_mm: f64) {
    let most_mm = 3.0 * std::f64::consts::SQRT_2 * sigma_mm;
    for (one, other, first) in [("A", "B", 0), ("C", "D", 2)] {
        let apart_mm = (mean(&read[first]) - mean(&read[first + 1])).abs();
        if apart_mm > most_mm {
            let message = format!(
                "{one} and {other} are as long as each other on the chart, and were read {apart_mm:.1} mm apart, more than {most_mm:.1} mm"
            );
            let hint = format!("read {one} and {other} once more");
            desk.fail("calibrate.doubt", one, message, hint);
        }
    }
}

/// `A` and `B` tell the width's scale, `E` where the left end of `A` lies; `C`, `D` and `F` likewise downwards.
fn fit(chart: &Chart, read: &[Vec<f64>; 6], sigma_mm: f64) -> PrintMap {
    let [a, b, c, d] = &chart.lines;
    let count = |values: &[f64]| u32::try_from(values.len()).map_or(f64::INFINITY, f64::from);
    let variance = |i: usize| sigma_mm * sigma_mm / count(&read[i]);
    // Least squares of two lengths that share one scale: their sum over the sum of what they should be.
    let scale = |i: usize, one_mm: f64, other_mm: f64| {
        let planned_mm = one_mm + other_mm;
        let share = (mean(&read[i]) + mean(&read[i + 1])) / planned_mm;
        (
            share,
            (variance(i) + variance(i + 1)) / (planned_mm * planned_mm),
        )
    };
    let (wide, wide_variance) = scale(0, a.length_mm(), b.length_mm());
    let (tall, tall_variance) = scale(2, c.length_mm(), d.length_mm());
    let (shift_x, shift_y) = (
        mean(&read[4]) - wide * a.from.x,
        mean(&read[5]) - tall * c.from.y,
    );
    let (turn, lean) = (TURN_RAD * TURN_RAD, LEAN_RAD * LEAN_RAD);
    // Each row about the point whose distance from the edge was read.
    let x = Spread {
        about: a.from,
        x: [wide_variance, 0.0, turn + lean, 0.0, 0.0, variance(4)],
        y: [0.0; 6],
    };
    let y = Spread {
        about: c.from,
        x: [0.0; 6],
        y: [turn, 0.0, tall_variance, 0.0, 0.0, variance(5)],
    };
    PrintMap {
        sheet_from_page: Affine::new([wide, 0.0, 0.0, tall, shift_x, shift_y]),
        spread: x.plus(&y).counted_from(chart.page.to_rect().center()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fit::{BAND_95, Terms};
    use crate::paper;
    use crate::project::{Ruler, TypedReading};
    use kurbo::Size;

    fn sheet(name: &str, ruler: Ruler, readings: [&str; 6]) -> ReadingSheet {
        let format = paper::find(name).unwrap();
        ReadingSheet {
            format: format.name().to_owned(),
            page: Size::new(format.short_side().to_mm(), format.long_side().to_mm()),
            ruler,
            date: None,
            name: None,
            paper: None,
            tray: None,
            readings: ["A", "B", "C", "D", "E", "F"]
                .iter()
                .zip(readings)
                .filter(|(_, text)| !text.is_empty())
                .map(|(key, text)| TypedReading::typed(key, text))
                .collect(),
        }
    }

    /// By hand on A4: A and B are 150 mm from x = 30, C and D 240 mm from y = 28.5. 150.5 and 150.5 are 1/300 too wide; 239 and 238.5 are
    /// 2.5 in 480 too short. E at 31 mm: the middle, 75 mm on, comes out at 31 + 75 (1 + 1/300) = 106.25, 1.25 mm right of 105. F at
    /// 28.5 mm: the middle, 120 mm on, comes out at 28.5 + 120 (1 - 2.5/480) = 147.875, 0.625 mm above 148.5.
    #[test]
    fn lengths_tell_scales_and_distances_shifts() {
        let readings = ["150.5", "150.5 mm", "239", "238.5", "31", "28.5"];
        let found = read_by_ruler(&sheet("a4", Ruler::Millimetres, readings), (2026, 5, 9))
            .unwrap()
            .value;
        let front = &found.calibration.front;
        let (terms, within) = (
            Terms::of(front.sheet_from_page, found.chart.page.to_rect().center()),
            Terms::within_95(
                front.sheet_from_page,
                &front.spread,
                found.chart.page.to_rect().center(),
            ),
        );
        for (found, expected) in [
            (terms.scale_x, 1.0 / 300.0),
            (terms.scale_y, -2.5 / 480.0),
            (terms.turn_rad, 0.0),
            (terms.shift.x, 1.25),
            (terms.shift.y, -0.625),
            // 0.165 times the root of 2 over 300 mm.
            (within.scale_x, BAND_95 * 0.165 * 2.0_f64.sqrt() / 300.0),
            // 0.003 rad beside which 0.165 mm count nothing.
            (within.turn_rad, BAND_95 * 0.003 / (1.0 + 1.0 / 300.0)),
        ] {
            assert!((found - expected).abs() < 1e-9, "{found} {expected}");
        }
        // The middle is 75 mm right of the end of A and 85.67 mm below it: 0.165, 75 x 0.000778 and 85.67 x the root of 1e-5.
        let expected = (0.165_f64.powi(2)
            + (75.0 * 0.000_777_817_f64).powi(2)
            + (148.5 - 188.5 / 3.0_f64).powi(2) * 1e-5)
            .sqrt();
        assert!(
            (within.shift.x / (BAND_95 * expected) - 1.0).abs() < 1e-3,
            "{} {}",
            within.shift.x,
            BAND_95 * expected
        );
    }

    /// By hand: rounding to 1/32 in is spread evenly over 0.79375 mm.
    #[test]
    fn inches_are_read_to_thirty_seconds() {
        let rounding: f64 = 25.4 / 32.0 / 12.0_f64.sqrt();
        assert!((crate::math::hypot(rounding, 0.08) - SINGLE_32ND_MM).abs() < 5e-4);
        let chart = Chart::upright(paper::find("letter").unwrap(), ChartEdition::Inches).unwrap();
        let texts = wanted(&chart).map(|(_, mm)| like(mm, ChartEdition::Inches));
        let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
        let readings: [&str; 6] = texts.try_into().unwrap();
        let found = read_by_ruler(&sheet("letter", Ruler::Inches, readings), (2026, 5, 9))
            .unwrap()
            .value;
        assert!((found.precision.sigma_mm - SINGLE_32ND_MM).abs() < 1e-12);
        let off = found.calibration.front.shift_at_centre_mm(found.chart.page);
        // What was typed is the plan, rounded to 1/32 in.
        assert!(off.x.abs() < 0.8 && off.y.abs() < 0.8, "{off:?}");
    }

    #[test]
    fn what_cannot_be_is_refused() {
        for (readings, words) in [
            (
                ["150.5", "", "239", "238.5", "31", "28.5"],
                "B was not read",
            ),
            (
                ["150.5", "152", "239", "238.5", "31", "28.5"],
                "1.5 mm apart, more than 0.7 mm",
            ),
            (
                ["5.9", "150", "239", "238.5", "31", "28.5"],
                "comes to 5.9 mm",
            ),
            (["a", "150", "239", "238.5", "31", "28.5"], "A: "),
        ] {
            let mistakes = read_by_ruler(&sheet("a4", Ruler::Millimetres, readings), (2026, 5, 9))
                .unwrap_err();
            assert!(mistakes[0].message.contains(words), "{mistakes:?}");
        }
    }
}
