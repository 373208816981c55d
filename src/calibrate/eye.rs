//! The chart read by eye: eight verniers tell where the page comes out, ladders how far the printer reaches, stations how the back
//! lies to the front.

use kurbo::{Affine, Size};

use super::Account;
use super::chart::{Chart, Ladder, Vernier};
use super::desk::{Desk, KEYS};
use super::doubt::{Corner, doubt};
use super::duplex::{self, Duplex};
use super::reading::{self, Tenths};
use super::repeat::{Precision, SINGLE_MM, mean};
use super::sane;
use crate::date::Date;
use crate::diagnostic::{Diagnostic, Warned};
use crate::fit::{Reading, RowFit, fit_row};
use crate::length::Length;
use crate::project::{Calibration, Edges, PrintMap, ReadingSheet};

/// What readings by eye say of a printer.
#[derive(Debug, Clone, PartialEq)]
pub struct Eye {
    /// The chart that was read.
    pub chart: Chart,
    /// Where the page comes out.
    pub calibration: Calibration,
    /// How far the printer reaches, in the page frame; `None` where the ladders were not read.
    pub margins: Option<Edges<Length>>,
    /// How exactly the verniers were read.
    pub precision: Precision,
    /// How far the four readings of x and of y contradict each other, in millimetres.
    pub checks_mm: [f64; 2],
    /// How the back lies to the front, where the stations were read.
    pub duplex: Option<Duplex>,
    /// How it was measured.
    pub account: Account,
}

/// Returns what readings say of a printer; `today` is the day of the readings where they do not say.
///
/// # Errors
///
/// Returns every mistake: readings that are missing, that are none, that lie too far off, or that contradict each other.
pub fn read_by_eye(sheet: &ReadingSheet, today: Date) -> Result<Warned<Eye>, Vec<Diagnostic>> {
    let desk = Desk::new(sheet);
    let chart = desk.chart()?;
    desk.refuse_strangers(&KEYS);
    let verniers = read_verniers(&desk, &chart);
    let margins = read_margins(&desk, &chart);
    let stations = duplex::read(&desk, &chart);
    desk.settle()?;
    let verniers = verniers.expect("nothing was wrong with the verniers");
    let precision = precision(&chart, &verniers);
    let (x, y) = fit(&chart, &verniers, precision.safe_mm());
    tell_doubt(&desk, &chart, (&x, &y), precision);
    desk.settle()?;
    let (sheet_from_page, spread) = x.with_y(&y);
    let front = PrintMap {
        sheet_from_page,
        spread,
    };
    sane::check(&desk, front.sheet_from_page, chart.page);
    let duplex = stations.and_then(|read| duplex::fit(&desk, &chart, &read));
    let back = duplex.as_ref().map(|d| d.back(&front));
    let warnings = desk.settle()?;
    let times = verniers.iter().map(Vec::len).max().unwrap_or(1);
    let value = Eye {
        calibration: Calibration {
            date: sheet.date.unwrap_or(today),
            format: sheet.format.clone(),
            page: chart.page,
            paper: sheet.paper.clone(),
            tray: sheet.tray.clone(),
            front,
            back,
        },
        margins,
        precision,
        checks_mm: [check_mm(&x), check_mm(&y)],
        duplex,
        account: account(sheet, times),
        chart,
    };
    Ok(Warned { value, warnings })
}

fn account(sheet: &ReadingSheet, times: usize) -> Account {
    let often = match times {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("up to {n} times"),
    };
    Account {
        method: format!("by eye, 8 verniers, each read {often}"),
        readings: sheet.kept(),
    }
}

/// Reads the eight verniers; what is wrong is noted on the desk.
fn read_verniers(desk: &Desk<'_>, chart: &Chart) -> Option<[Vec<Tenths>; 8]> {
    let read = chart
        .verniers
        .each_ref()
        .map(|vernier| read_vernier(desk, chart, vernier));
    let [x1, x2, x3, x4, y1, y2, y3, y4] = read;
    Some([x1?, x2?, x3?, x4?, y1?, y2?, y3?, y4?])
}

fn read_vernier(desk: &Desk<'_>, chart: &Chart, vernier: &Vernier) -> Option<Vec<Tenths>> {
    let like = like(vernier, chart);
    let values = desk.values(vernier.id, &like, |text| Tenths::parse(text, chart.edition))?;
    let mm: Vec<f64> = values.iter().map(|v| v.mm(vernier, 1.0)).collect();
    sane::refuse_far(desk, vernier.id, &mm, vernier.nominal_mm(), &like)?;
    desk.refuse_stray(vernier.id, &mm)?;
    Some(values)
}

/// Returns what is wrong with one reading by itself.
pub(super) fn check_one(sheet: &ReadingSheet, chart: &Chart, key: &str) -> Vec<Diagnostic> {
    let desk = Desk::new(sheet);
    let vernier = chart.verniers.iter().find(|v| v.id == key);
    let ladder = ladders(chart).into_iter().find(|(side, _)| *side == key);
    if let Some(vernier) = vernier {
        read_vernier(&desk, chart, vernier);
    } else if let Some((_, ladder)) = ladder {
        desk.values(key, "5", |text| reading::line(text, ladder.last));
    } else {
        duplex::read_one(&desk, key);
    }
    desk.settle()
        .map_or_else(|mistakes| mistakes, |_| Vec::new())
}

/// What a reading near the planned place looks like.
fn like(vernier: &Vernier, chart: &Chart) -> String {
    sane::vernier_text(vernier.nominal_mm(), chart.edition)
}

fn precision(chart: &Chart, verniers: &[Vec<Tenths>; 8]) -> Precision {
    let mm: Vec<Vec<f64>> = chart
        .verniers
        .iter()
        .zip(verniers)
        .map(|(vernier, values)| values.iter().map(|v| v.mm(vernier, 1.0)).collect())
        .collect();
    Precision::of(mm.iter().map(Vec::as_slice), SINGLE_MM)
}

/// Fits x and y, each to four readings. The ticks of a vernier are printed by the printer that is measured, so that its scale comes
/// from a first pass; what is left after the second is below a micrometre.
fn fit(chart: &Chart, verniers: &[Vec<Tenths>; 8], sigma_mm: f64) -> (RowFit, RowFit) {
    let mut scale = (1.0, 1.0);
    let mut rows = fit_at(chart, verniers, sigma_mm, scale);
    for _ in 0..2 {
        scale = (rows.0.along_x, rows.1.along_y);
        rows = fit_at(chart, verniers, sigma_mm, scale);
    }
    rows
}

fn fit_at(
    chart: &Chart,
    verniers: &[Vec<Tenths>; 8],
    sigma_mm: f64,
    (scale_x, scale_y): (f64, f64),
) -> (RowFit, RowFit) {
    let row = |from: usize, scale: f64| {
        let four = (from..from + 4).map(|i| {
            let vernier = &chart.verniers[i];
            let values: Vec<f64> = verniers[i].iter().map(|v| v.mm(vernier, scale)).collect();
            let count = u32::try_from(values.len()).map_or(f64::INFINITY, f64::from);
            Reading {
                at: vernier.zero,
                value_mm: mean(&values),
                sigma_mm: sigma_mm / count.sqrt(),
            }
        });
        fit_row(&four.collect::<Vec<_>>()).expect("the chart's verniers stand at four corners")
    };
    (row(0, scale_x), row(4, scale_y))
}

/// `(r1 - r2 - r3 + r4) / 2`, which is zero but for misreadings where the print is straight.
fn check_mm(row: &RowFit) -> f64 {
    let r: Vec<f64> = row.readings.iter().map(|r| r.value_mm).collect();
    // The four readings of y run the other way round the page, which changes neither sign nor size.
    (r[0] - r[1] - r[2] + r[3]) / 2.0
}

/// Contradictions beyond three deviations of one reading are refused. Smaller ones are told as well where a vernier read with care (a
/// deviation of 0.1 mm) would not show them: a millimetre counted wrong makes a check of half a millimetre.
fn tell_doubt(desk: &Desk<'_>, chart: &Chart, (x, y): (&RowFit, &RowFit), precision: Precision) {
    const CAREFUL_MM: f64 = 0.3;
    let refused_mm = 3.0 * precision.sigma_mm;
    let told_mm = refused_mm.min(CAREFUL_MM);
    let is_sound = |row: &RowFit| check_mm(row).abs() <= told_mm;
    for (row, other, first) in [(x, y, 0), (y, x, 4)] {
        let check_mm = check_mm(row);
        if check_mm.abs() <= told_mm {
            continue;
        }
        let corners: Vec<Corner> = (first..first + 4)
            .map(|i| Corner {
                key: chart.verniers[i].id,
                typed: desk.typed(chart.verniers[i].id),
            })
            .collect();
        let most_mm = if check_mm.abs() > refused_mm {
            refused_mm
        } else {
            told_mm
        };
        let other = is_sound(other).then_some(other);
        let found = doubt(row, other, &corners, check_mm, most_mm, chart);
        if check_mm.abs() > refused_mm {
            desk.fail("calibrate.doubt", found.key, found.message, found.hint);
        } else {
            desk.warn("calibrate.doubt", found.key, found.message, found.hint);
        }
    }
}

fn ladders(chart: &Chart) -> [(&'static str, Ladder); 4] {
    let Edges {
        top,
        right,
        bottom,
        left,
    } = chart.ladders;
    [
        ("top", top),
        ("right", right),
        ("bottom", bottom),
        ("left", left),
    ]
}

/// Reads the ladders: all four or none.
fn read_margins(desk: &Desk<'_>, chart: &Chart) -> Option<Edges<Length>> {
    let ladders = ladders(chart);
    if !ladders.iter().any(|(key, _)| desk.has(key)) {
        return None;
    }
    let [top, right, bottom, left] = ladders.map(|(key, ladder)| {
        let lines = desk.values(key, "5", |text| reading::line(text, ladder.last))?;
        let outermost = *lines.iter().max()?;
        Some(Length::nearest_mm(ladder.inset_mm(outermost)))
    });
    Some(Edges {
        top: top?,
        right: right?,
        bottom: bottom?,
        left: left?,
    })
}

impl Eye {
    /// Returns how far a page printed with this profile may lie wrong at its middle and at its worst corner, 19 times in 20, in
    /// millimetres, as far as the readings tell.
    #[must_use]
    pub fn within_mm(&self) -> (f64, f64) {
        within_mm(&self.calibration.front, self.chart.page)
    }
}

/// At the middle and at the worst corner.
pub(super) fn within_mm(map: &PrintMap, page: Size) -> (f64, f64) {
    let r95 = |x: f64, y: f64| map.spread.r95_mm((x * page.width, y * page.height).into());
    let corners = [r95(0.0, 0.0), r95(1.0, 0.0), r95(1.0, 1.0), r95(0.0, 1.0)];
    (r95(0.5, 0.5), corners.into_iter().fold(0.0, f64::max))
}

/// The farthest that a corner of the page is printed from where it should, in millimetres.
pub(super) fn farthest_mm(map: Affine, page: Size) -> f64 {
    let off = |x: f64, y: f64| {
        let at = kurbo::Point::new(x * page.width, y * page.height);
        let off = map * at - at;
        crate::math::hypot(off.x, off.y)
    };
    [off(0.0, 0.0), off(1.0, 0.0), off(1.0, 1.0), off(0.0, 1.0)]
        .into_iter()
        .fold(0.0, f64::max)
}
