//! A cutting machine measured by a test cut: small crosses cut or drawn at nine targets of a printed chart, and how far each lies from
//! the printed one.
//!
//! A cross lies where the machine puts it, a target where the printer does; what the printer does is known from its profile and taken
//! off. The same test cut on several sheets, each loaded anew, tells what differs from one to the next: a part that moves all crosses
//! of a sheet alike, which is the loading, and a part that is left, which is cutting and reading.

use kurbo::{Point, Vec2};

use super::Account;
use super::chart::{Chart, Target};
use super::desk::Desk;
use super::reading::shift_mm;
use super::repeat::mean;
use super::sane;
use crate::date::Date;
use crate::diagnostic::{Diagnostic, Warned};
use crate::fit::{LEAST_TYPED_MM, Reading, RowFit, Spread, fit_row};
use crate::project::{Axis, CutterCalibration, PrintMap, ReadingSheet};

/// Deviation of one distance between a printed and a cut cross, read with a loupe or a scale of tenths, in millimetres (assumed).
pub const CROSS_MM: f64 = 0.1;

/// Deviation of one coordinate from one cut to the next where only one sheet was cut, in millimetres (assumed: paper is laid against a
/// corner or a line to a tenth of a millimetre or two).
pub const UNKNOWN_REPEAT_MM: f64 = 0.15;

/// Farthest that a cross lies from its target, in millimetres.
const FARTHEST_MM: f64 = 15.0;

/// Chance, counted over all crosses, below which one is taken for misread.
const DOUBT: f64 = 0.01;

/// What a test cut says of a machine.
#[derive(Debug, Clone, PartialEq)]
pub struct ByTestCut {
    /// The chart that was cut.
    pub chart: Chart,
    /// Where the machine cuts.
    pub calibration: CutterCalibration,
    /// How many sheets were cut.
    pub sheets: usize,
    /// How it was measured.
    pub account: Account,
}

/// Returns the targets that a test cut puts its crosses at: first, middle and last, across and down.
#[must_use]
pub fn crosses(chart: &Chart) -> Vec<&Target> {
    let distinct = |of: fn(Point) -> f64| {
        let mut values: Vec<f64> = chart.front.iter().map(|t| of(t.centre)).collect();
        values.sort_by(f64::total_cmp);
        values.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
        [
            values[0],
            values[values.len() / 2],
            values[values.len() - 1],
        ]
    };
    let (columns, rows) = (distinct(|p| p.x), distinct(|p| p.y));
    let is_one_of = |value: f64, all: &[f64; 3]| all.iter().any(|v| (v - value).abs() < 1e-6);
    chart
        .front
        .iter()
        .filter(|t| is_one_of(t.centre.x, &columns) && is_one_of(t.centre.y, &rows))
        .collect()
}

/// Returns what a test cut says of a machine. `printer` is where the chart was printed; without it the printed targets are taken to lie
/// where they should, and the profile makes the machine cut where that printer prints.
///
/// # Errors
///
/// Returns every mistake: readings that are missing, that are none, that lie too far off, or that contradict each other.
pub fn read_test_cut(
    sheet: &ReadingSheet,
    printer: Option<&PrintMap>,
    today: Date,
) -> Result<Warned<ByTestCut>, Vec<Diagnostic>> {
    let desk = Desk::new(sheet);
    let chart = desk.chart()?;
    let targets = crosses(&chart);
    let keys: Vec<String> = targets
        .iter()
        .flat_map(|t| AXES.map(|(_, name)| format!("{}{name}", t.id)))
        .collect();
    desk.refuse_strangers(&keys.iter().map(String::as_str).collect::<Vec<_>>());
    let read = AXES.map(|(_, name)| read_axis(&desk, &targets, name));
    desk.settle()?;
    let [x_mm, y_mm] = read.map(|r| r.expect("nothing was wrong with the readings"));
    let sheets = refuse_uneven(&desk, &keys, x_mm.iter().chain(&y_mm))?;
    let scatter = Scatter::of([&x_mm, &y_mm], sheets);
    let rows = [(Axis::X, &x_mm), (Axis::Y, &y_mm)].map(|(axis, read)| {
        let row = fit(&targets, read, axis, printer, scatter.cross_mm(sheets));
        refuse_doubt(&desk, &targets, &row, axis);
        row
    });
    let (cut_from_file, spread) = rows[0].with_y(&rows[1]);
    sane::check(&desk, cut_from_file, chart.page);
    let warnings = desk.settle()?;
    let spread = spread.plus(&scatter.loading(sheets, spread.about));
    let value = ByTestCut {
        calibration: CutterCalibration {
            date: sheet.date.unwrap_or(today),
            cut_from_file,
            spread: printer.map_or(spread, |p| spread.plus(&p.spread)),
            repeat_mm: scatter.repeat_mm,
        },
        sheets,
        account: Account {
            method: format!(
                "by {} crosses cut on {}",
                targets.len(),
                crate::diagnostic::counted(u32::try_from(sheets).unwrap_or(u32::MAX), "chart")
            ),
            readings: sheet.kept(),
        },
        chart,
    };
    Ok(Warned { value, warnings })
}

const AXES: [(Axis, char); 2] = [(Axis::X, 'x'), (Axis::Y, 'y')];

/// The distances along one axis, one list for each cross with one value for each sheet.
fn read_axis(desk: &Desk<'_>, targets: &[&Target], name: char) -> Option<Vec<Vec<f64>>> {
    let one = |target: &&Target| {
        let key = format!("{}{name}", target.id);
        let values = desk.values(&key, "-0.3", shift_mm)?;
        if let Some(far) = values.iter().find(|v| v.abs() > FARTHEST_MM) {
            let message = format!("{key} comes to {far} mm, more than {FARTHEST_MM} mm");
            let hint = "type how far the cut cross lies right of the printed one, or below it, in millimetres".to_owned();
            desk.fail("calibrate.far-reading", &key, message, hint);
            return None;
        }
        Some(values)
    };
    // All are looked at before any is missed.
    let read: Vec<_> = targets.iter().map(one).collect();
    read.into_iter().collect()
}

/// The n-th value of each reading belongs to the n-th sheet, so that all have as many.
fn refuse_uneven<'v>(
    desk: &Desk<'_>,
    keys: &[String],
    read: impl Iterator<Item = &'v Vec<f64>>,
) -> Result<usize, Vec<Diagnostic>> {
    let counts: Vec<usize> = read.map(Vec::len).collect();
    let most = counts.iter().copied().max().unwrap_or(0);
    for (at, count) in counts
        .iter()
        .enumerate()
        .filter(|(_, count)| **count < most)
    {
        // Keys alternate between x and y, the counts do not.
        let half = counts.len() / 2;
        let key = &keys[2 * (at % half) + at / half];
        let message =
            format!("{key} has {count} of {most} values, one for each sheet that was cut");
        desk.fail(
            "calibrate.missing-reading",
            key,
            message,
            format!("read {key} on each of the sheets, in the same order"),
        );
    }
    desk.settle()?;
    Ok(most)
}

/// What differs from one cut to the next, in millimetres.
struct Scatter {
    /// One coordinate, from one cut to the next.
    repeat_mm: f64,
    /// The part that is common to all crosses of a sheet.
    loading_mm: f64,
    /// The part that is left.
    rest_mm: f64,
}

impl Scatter {
    fn of(read: [&Vec<Vec<f64>>; 2], sheets: usize) -> Self {
        if sheets < 2 {
            return Self {
                repeat_mm: UNKNOWN_REPEAT_MM,
                loading_mm: UNKNOWN_REPEAT_MM,
                rest_mm: CROSS_MM,
            };
        }
        let number = |count: usize| u32::try_from(count).map_or(f64::INFINITY, f64::from);
        let (mut whole, mut loading, mut rest) = (0.0, 0.0, 0.0);
        let crosses = read[0].len();
        for crosses_mm in read {
            let means: Vec<f64> = crosses_mm.iter().map(|c| mean(c)).collect();
            let of_sheet = |sheet: usize| -> Vec<f64> {
                let both = crosses_mm.iter().zip(&means);
                both.map(|(values, mean)| values[sheet] - mean).collect()
            };
            for offs in (0..sheets).map(of_sheet) {
                let common = mean(&offs);
                loading += common * common;
                whole += offs.iter().map(|o| o * o).sum::<f64>();
                rest += offs
                    .iter()
                    .map(|o| (o - common) * (o - common))
                    .sum::<f64>();
            }
        }
        let free = 2.0 * number(sheets - 1);
        Self {
            repeat_mm: (whole / (free * number(crosses)))
                .sqrt()
                .max(LEAST_TYPED_MM),
            loading_mm: (loading / free).sqrt(),
            rest_mm: (rest / (free * number(crosses - 1)))
                .sqrt()
                .max(LEAST_TYPED_MM),
        }
    }

    /// Deviation of the mean of one cross over all sheets, but for the loading.
    fn cross_mm(&self, sheets: usize) -> f64 {
        self.rest_mm
            / u32::try_from(sheets)
                .map_or(f64::INFINITY, f64::from)
                .sqrt()
    }

    /// What the loading leaves open: a shift of all crosses.
    fn loading(&self, sheets: usize, about: Point) -> Spread {
        let count = u32::try_from(sheets).map_or(f64::INFINITY, f64::from);
        let row = [
            0.0,
            0.0,
            0.0,
            0.0,
            0.0,
            self.loading_mm * self.loading_mm / count,
        ];
        Spread {
            about,
            x: row,
            y: row,
        }
    }
}

/// Fits one coordinate of where the machine cuts.
fn fit(
    targets: &[&Target],
    read: &[Vec<f64>],
    axis: Axis,
    printer: Option<&PrintMap>,
    sigma_mm: f64,
) -> RowFit {
    let readings: Vec<Reading> = targets
        .iter()
        .zip(read)
        .map(|(target, values)| {
            let printed = printer.map_or(target.centre, |p| p.sheet_from_page * target.centre);
            let along = |v: Vec2| match axis {
                Axis::X => v.x,
                Axis::Y => v.y,
            };
            Reading {
                at: target.centre,
                value_mm: along(printed.to_vec2()) + mean(values),
                sigma_mm,
            }
        })
        .collect();
    fit_row(&readings).expect("the chart's targets stand in three rows and columns")
}

/// Names a cross that contradicts the others; eight others and three unknowns tell it well.
fn refuse_doubt(desk: &Desk<'_>, targets: &[&Target], row: &RowFit, axis: Axis) {
    let name = match axis {
        Axis::X => 'x',
        Axis::Y => 'y',
    };
    let chances = row.chances();
    let worst = (0..).zip(&chances).min_by(|(_, a), (_, b)| a.total_cmp(b));
    let Some((at, chance)) = worst else { return };
    let count = u32::try_from(chances.len()).map_or(f64::INFINITY, f64::from);
    if chance * count >= DOUBT {
        return;
    }
    let key = format!("{}{name}", targets[at].id);
    let typed = desk.typed(&key);
    let off_mm = row.residuals_mm[at];
    let message = format!(
        "{key} = \"{typed}\" contradicts the other crosses: it lies {:.2} mm {} where they put it",
        off_mm.abs(),
        match (axis, off_mm > 0.0) {
            (Axis::X, true) => "right of",
            (Axis::X, false) => "left of",
            (Axis::Y, true) => "below",
            (Axis::Y, false) => "above",
        }
    );
    desk.fail(
        "calibrate.doubt",
        &key,
        message,
        format!("read {key} once more, or cut another sheet"),
    );
}

#[cfg(test)]
mod tests {
    use rand_pcg::Pcg64Mcg;
    use rand_pcg::rand_core::{Rng, SeedableRng};

    use super::*;
    use crate::calibrate::chart::ChartEdition;
    use crate::fit::Terms;
    use crate::paper;
    use crate::project::{Ruler, TypedReading};

    fn chart() -> Chart {
        Chart::upright(paper::find("a4").unwrap(), ChartEdition::Millimetres).unwrap()
    }

    fn centre() -> Point {
        Point::new(105.0, 148.5)
    }

    /// A machine that cuts 0.2 % too wide, 0.1 % too short, out of square by a thousandth, and 0.4 mm off.
    fn machine() -> kurbo::Affine {
        Terms {
            scale_x: 0.002,
            scale_y: -0.001,
            shear_rad: 0.001,
            turn_rad: 0.0005,
            shift: Vec2::new(0.4, -0.3),
        }
        .to_map(centre())
    }

    fn printer() -> PrintMap {
        let terms = Terms {
            scale_x: 0.0035,
            scale_y: -0.0052,
            shear_rad: 0.0008,
            turn_rad: -0.0024,
            shift: Vec2::new(1.1, -0.7),
        };
        PrintMap {
            sheet_from_page: terms.to_map(centre()),
            spread: Spread::NONE,
        }
    }

    /// What is read where the machine cuts on sheets that are each loaded a little differently.
    fn sheet(loads: &[Vec2], noise: &mut dyn FnMut() -> f64) -> ReadingSheet {
        let chart = chart();
        let mut readings = Vec::new();
        for target in crosses(&chart) {
            let off = machine() * target.centre - printer().sheet_from_page * target.centre;
            for (name, part) in [
                ('x', (|v: Vec2| v.x) as fn(Vec2) -> f64),
                ('y', |v: Vec2| v.y),
            ] {
                let texts: Vec<String> = loads
                    .iter()
                    .map(|load| format!("{:.4}", part(off + *load) + noise()))
                    .collect();
                readings.push(TypedReading::typed(
                    &format!("{}{name}", target.id),
                    &texts.join(","),
                ));
            }
        }
        ReadingSheet {
            format: "iso_a4_210x297mm".into(),
            page: chart.page,
            ruler: Ruler::Millimetres,
            date: None,
            name: None,
            paper: None,
            tray: None,
            readings,
        }
    }

    const TODAY: Date = (2026, 5, 9);

    #[test]
    fn nine_crosses_stand_in_three_rows() {
        let chart = chart();
        let ids: Vec<_> = crosses(&chart).iter().map(|t| t.id.clone()).collect();
        assert_eq!(ids, ["a1", "c1", "e1", "a4", "c4", "e4", "a7", "c7", "e7"]);
    }

    #[test]
    fn exact_readings_tell_the_machine_exactly() {
        let found = read_test_cut(&sheet(&[Vec2::ZERO], &mut || 0.0), Some(&printer()), TODAY)
            .unwrap()
            .value;
        for corner in [(0.0, 0.0), (210.0, 0.0), (210.0, 297.0), (0.0, 297.0)].map(Point::from) {
            let off = found.calibration.cut_from_file * corner - machine() * corner;
            assert!(crate::math::hypot(off.x, off.y) < 1e-3, "{off:?}");
        }
        assert!((found.calibration.repeat_mm - UNKNOWN_REPEAT_MM).abs() < 1e-12);
    }

    /// By hand: loads of 0.3, 0 and -0.3 mm to the right have the variance 0.18 / 2 along x and none along y; both together the mean of
    /// 0.09 and 0, whose root is 0.2121.
    #[test]
    fn sheets_loaded_anew_tell_how_cuts_repeat() {
        let loads = [0.3, 0.0, -0.3].map(|x| Vec2::new(x, 0.0));
        let found = read_test_cut(&sheet(&loads, &mut || 0.0), Some(&printer()), TODAY)
            .unwrap()
            .value;
        assert!(
            (found.calibration.repeat_mm - 0.212_132).abs() < 1e-4,
            "{}",
            found.calibration.repeat_mm
        );
        assert_eq!(found.sheets, 3);
        // The shift is known to the root of 0.045 / 3, and to what nine crosses of 0.05 mm over three sheets leave: 0.05 / the root of 27.
        let (x, y) = found.calibration.spread.variances_mm2(centre());
        let expected = 0.045 / 3.0 + 0.0025 / 27.0;
        assert!(
            (x / expected - 1.0).abs() < 1e-3 && (y / expected - 1.0).abs() < 1e-3,
            "{x} {y} {expected}"
        );
    }

    #[test]
    fn what_contradicts_the_others_is_named() {
        let mut wrong = sheet(&[Vec2::ZERO], &mut || 0.0);
        wrong.readings[5] = TypedReading::typed("e1y", "3.0");
        let mistakes = read_test_cut(&wrong, Some(&printer()), TODAY).unwrap_err();
        assert_eq!(mistakes.len(), 1);
        assert!(
            mistakes[0].message.starts_with("e1y = \"3.0\" contradicts"),
            "{mistakes:?}"
        );
        let mut uneven = sheet(&[Vec2::ZERO, Vec2::ZERO], &mut || 0.0);
        uneven.readings[5] = TypedReading::typed("e1y", "3.0");
        let mistakes = read_test_cut(&uneven, Some(&printer()), TODAY).unwrap_err();
        assert_eq!(
            mistakes[0].message,
            "e1y has 1 of 2 values, one for each sheet that was cut"
        );
    }

    /// What is said of 1000 machines holds for 93 to 97 % of them: loading 0.15 mm, reading 0.1 mm, one sheet each, fixed seed.
    #[test]
    fn the_predicted_error_covers_nineteen_in_twenty() {
        let mut dice = Pcg64Mcg::seed_from_u64(53);
        let mut normal = move |sigma: f64| {
            let mut share =
                || f64::from(u32::try_from(dice.next_u64() >> 32).unwrap()) / 4_294_967_296.0;
            let radius = (-2.0 * libm::log(1.0 - share())).sqrt() * sigma;
            radius * libm::cos(std::f64::consts::TAU * share())
        };
        let at = Point::new(190.0, 277.0);
        let (mut covered, mut tried) = (0, 0);
        while tried < 1000 {
            let load = Vec2::new(normal(UNKNOWN_REPEAT_MM), normal(UNKNOWN_REPEAT_MM));
            let sheet = sheet(&[load], &mut || normal(CROSS_MM));
            let Ok(found) = read_test_cut(&sheet, Some(&printer()), TODAY) else {
                continue;
            };
            tried += 1;
            let off = found.value.calibration.cut_from_file * at - machine() * at;
            covered += u32::from(
                crate::math::hypot(off.x, off.y) <= found.value.calibration.spread.r95_mm(at),
            );
        }
        assert!((930..=970).contains(&covered), "{covered}");
    }
}
