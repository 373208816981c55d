//! How the back of a sheet lies to its front: four stations held against a window.

use kurbo::Vec2;

use super::chart::{Chart, Station};
use super::desk::Desk;
use super::reading;
use super::repeat::{Precision, mean};
use crate::fit::{Difference, Pair, fit_difference};
use crate::project::{Axis, PrintMap};

/// Deviation of a reading at a station that was not repeated, in millimetres: two printed scales meet and no ruler is set to an edge, so
/// that it is that of a vernier (0.06, assumed) and of looking through the sheet at a slant (0.05, assumed).
pub const STATION_MM: f64 = 0.08;

/// Most that the back lies from the front, in millimetres: the scales show no more.
const FARTHEST_MM: f64 = 10.0;

/// Chance below which readings contradict each other; three deviations of a normal variable.
const DOUBT: f64 = 0.0027;

/// How the back lies to the front, seen from the front.
#[derive(Debug, Clone, PartialEq)]
pub struct Duplex {
    /// Shift, scale and turn of the back.
    pub difference: Difference,
    /// How exactly the stations were read.
    pub precision: Precision,
}

impl Duplex {
    /// Returns where the back comes out, seen from the front, where it is known where the front does.
    #[must_use]
    pub fn back(&self, front: &PrintMap) -> PrintMap {
        PrintMap {
            sheet_from_page: self.difference.added_to(front.sheet_from_page),
            spread: front.spread.plus(&self.difference.spread()),
        }
    }
}

/// The shifts read at one station, along x and along y.
pub(super) struct Shifts {
    x_mm: Vec<f64>,
    y_mm: Vec<f64>,
}

const AXES: [(Axis, char); 2] = [(Axis::X, 'x'), (Axis::Y, 'y')];

/// Reads the stations: all or none.
pub(super) fn read(desk: &Desk<'_>, chart: &Chart) -> Option<[Shifts; 4]> {
    let keys = chart
        .stations
        .iter()
        .flat_map(|s| AXES.map(|(_, axis)| format!("{}{axis}", s.id)));
    if !keys.into_iter().any(|key| desk.has(&key)) {
        return None;
    }
    let [s1, s2, s3, s4] = chart.stations.each_ref().map(|station| {
        let [x_mm, y_mm] = AXES.map(|(_, axis)| read_one(desk, &format!("{}{axis}", station.id)));
        Some(Shifts {
            x_mm: x_mm?,
            y_mm: y_mm?,
        })
    });
    Some([s1?, s2?, s3?, s4?])
}

/// Reads one shift at a station.
pub(super) fn read_one(desk: &Desk<'_>, key: &str) -> Option<Vec<f64>> {
    let values = desk.values(key, "-0.4", reading::shift_mm)?;
    if let Some(far) = values.iter().find(|v| v.abs() > FARTHEST_MM) {
        let message = format!("{key} comes to {far} mm, and its scales end at {FARTHEST_MM} mm");
        let hint = "type millimetres, like -0.4, and read the chart's back and front of one sheet"
            .to_owned();
        desk.fail("calibrate.far-reading", key, message, hint);
        return None;
    }
    desk.refuse_stray(key, &values)?;
    Some(values)
}

/// Fits shift, scale and turn of the back; what contradicts itself is noted on the desk.
pub(super) fn fit(desk: &Desk<'_>, chart: &Chart, shifts: &[Shifts; 4]) -> Option<Duplex> {
    let values = shifts
        .iter()
        .flat_map(|s| [s.x_mm.as_slice(), s.y_mm.as_slice()]);
    let precision = Precision::of(values, STATION_MM);
    let stations: Vec<(&Station, &Shifts)> = chart.stations.iter().zip(shifts).collect();
    let difference = difference(&stations, precision)?;
    if difference.chance() < DOUBT {
        refuse(desk, &stations, &difference, precision);
    }
    Some(Duplex {
        difference,
        precision,
    })
}

/// The two scales of a station stand beside its middle, so that a turn reads a little more or less there than in the middle: what a first
/// pass says of turn and scale is taken off.
fn difference(stations: &[(&Station, &Shifts)], precision: Precision) -> Option<Difference> {
    let mut found: Option<Difference> = None;
    for _ in 0..3 {
        let pairs: Vec<Pair> = stations
            .iter()
            .map(|(station, shifts)| {
                let beside = |axis: Axis| match &found {
                    Some(found) => found.at(station.zero(axis)) - found.at(station.centre),
                    None => Vec2::ZERO,
                };
                let shift = Vec2::new(
                    mean(&shifts.x_mm) - beside(Axis::X).x,
                    mean(&shifts.y_mm) - beside(Axis::Y).y,
                );
                let least = shifts.x_mm.len().min(shifts.y_mm.len());
                let count = u32::try_from(least).map_or(f64::INFINITY, f64::from);
                let mut pair = Pair::new(station.centre, station.centre + shift);
                pair.sigma_mm = precision.safe_mm() / count.sqrt();
                pair
            })
            .collect();
        found = Some(fit_difference(&pairs).ok()?);
    }
    found
}

/// Names the one station without which the others agree, if there is one.
fn refuse(
    desk: &Desk<'_>,
    stations: &[(&Station, &Shifts)],
    all: &Difference,
    precision: Precision,
) {
    let agree: Vec<&str> = (0..stations.len())
        .filter_map(|out| {
            let mut rest = stations.to_vec();
            let (left_out, _) = rest.remove(out);
            let rest = difference(&rest, precision)?;
            (rest.chance() > 0.05).then_some(left_out.id)
        })
        .collect();
    let (key, whom) = match agree.as_slice() {
        [one] => (format!("{one}x"), format!("{one} is in doubt")),
        _ => (String::new(), "one of them is misread".to_owned()),
    };
    let message = format!(
        "the readings of the back at s1, s2, s3 and s4 contradict each other by up to {:.2} mm: {whom}",
        all.max_mm()
    );
    let hint = match agree.as_slice() {
        [one] => format!("read {one}x and {one}y once more"),
        _ => "read all four once more, each two or three times".to_owned(),
    };
    desk.fail("calibrate.doubt", &key, message, hint);
}

#[cfg(test)]
mod tests {
    use kurbo::{Affine, Point};

    use super::*;
    use crate::fit::Spread;

    /// Case `duplex-A4` of `registration-vectors.json` (numpy): readings at four stations on the page of case `profile-210x297`, and where
    /// the back's content for a point of the sheet goes on the back page.
    #[test]
    fn the_check_values_of_a_duplex_sheet_come_out() {
        let at = [(25.0, 148.5), (185.0, 148.5), (105.0, 25.0), (105.0, 272.0)];
        let read = [(0.6, -0.4), (0.5, -0.9), (0.3, -0.6), (0.8, -0.7)];
        let pairs: Vec<Pair> = at
            .into_iter()
            .zip(read)
            .map(|(at, off)| {
                let at = Point::from(at);
                let mut pair = Pair::new(at, at + Vec2::from(off));
                pair.sigma_mm = STATION_MM;
                pair
            })
            .collect();
        let duplex = Duplex {
            difference: fit_difference(&pairs).unwrap(),
            precision: Precision {
                sigma_mm: STATION_MM,
                repeats: 0,
            },
        };
        let front = PrintMap {
            sheet_from_page: Affine::new([
                1.003_497_11,
                -0.002_408_398,
                0.003_187_515,
                0.994_795_215,
                0.259_457,
                0.325_792,
            ]),
            spread: Spread::NONE,
        };
        let back = duplex.back(&front);
        let expected = [
            1.003_027_182,
            -0.004_758_038,
            0.005_537_156,
            0.994_325_287,
            0.509_878,
            -0.007_711,
        ];
        for (found, expected) in back.sheet_from_page.as_coeffs().into_iter().zip(expected) {
            assert!((found - expected).abs() < 2e-6, "{found} {expected}");
        }
        let page = back.sheet_from_page.inverse() * Point::new(60.0, 80.0);
        assert!((210.0 - page.x - 151.135_176).abs() < 2e-6 && (page.y - 80.746_003).abs() < 2e-6);
        let difference = &duplex.difference;
        assert!((difference.shift_variance_mm2.sqrt() - 0.04).abs() < 1e-6);
        assert!((difference.turn_variance.sqrt() * 1000.0 - 0.384_435).abs() < 1e-5);
    }
}
