//! Which scans show the same print, and how much the printer's loading differs from one print to the next.

use kurbo::Vec2;

use super::face_scan::ScanMap;
use super::scanner::Scanner;
use crate::project::Face;

/// Two scans of one print give the place of its page's corner within this, in millimetres; two prints of a home printer seldom do.
const SAME_PLACE_MM: f64 = 0.1;

/// The same for the turn, in radians.
const SAME_TURN_RAD: f64 = 0.000_2;

/// One print of a face, scanned once or more often.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Print<'a> {
    pub(super) scans: Vec<&'a ScanMap>,
}

impl<'a> Print<'a> {
    /// Each scan with its share in the print.
    pub(super) fn shares(&self) -> impl Iterator<Item = (f64, &'a ScanMap)> {
        let share = 1.0 / self.scans.len() as f64;
        self.scans.iter().map(move |scan| (share, *scan))
    }
}

/// Sorts the scans of a face into prints: the shift of the page's corner and the turn of its top, which no scanner's stretch
/// changes, are the same for all scans of one print.
pub(super) fn prints<'a>(maps: &'a [ScanMap], face: Face) -> Vec<Print<'a>> {
    let mut found: Vec<Print<'a>> = Vec::new();
    for map in maps.iter().filter(|m| m.face == face) {
        match found.iter_mut().find(|p| is_same_print(p.scans[0], map)) {
            Some(print) => print.scans.push(map),
            None => found.push(Print { scans: vec![map] }),
        }
    }
    found
}

fn is_same_print(one: &ScanMap, other: &ScanMap) -> bool {
    let corner = |m: &ScanMap| m.fit.map.translation();
    (corner(one) - corner(other)).hypot2().sqrt() < SAME_PLACE_MM
        && (turn_rad(one) - turn_rad(other)).abs() < SAME_TURN_RAD
}

/// Turn of the page's top against the sheet's, as shown.
fn turn_rad(map: &ScanMap) -> f64 {
    let [a, b, ..] = map.fit.map.as_coeffs();
    crate::math::atan2(b, a)
}

/// How much the place of the print differs from one print to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Loading {
    /// Number of prints that tell.
    pub prints: usize,
    /// Standard deviation of the shift of the page's middle across and down, in millimetres.
    pub shift_mm: [f64; 2],
    /// Standard deviation of the turn, in radians.
    pub turn_rad: f64,
}

impl Loading {
    /// Returns the scatter of two or more prints.
    pub(super) fn of(prints: &[Print<'_>], scanner: &Scanner) -> Option<Self> {
        if prints.len() < 2 {
            return None;
        }
        let of_print = |print: &Print<'_>| {
            print
                .shares()
                .fold((Vec2::ZERO, 0.0), |sum, (share, scan)| {
                    let about = scan.fit.unit_spread.about;
                    let shown = scan.fit.map * about;
                    let factor = scan.across.map(|d| scanner.factor_along(d));
                    let shift =
                        Vec2::new(shown.x / factor[0] - about.x, shown.y / factor[1] - about.y);
                    (sum.0 + shift * share, sum.1 + turn_rad(scan) * share)
                })
        };
        let all: Vec<(Vec2, f64)> = prints.iter().map(of_print).collect();
        let deviation = |value: fn(&(Vec2, f64)) -> f64| {
            let count = all.len() as f64;
            let mean = all.iter().map(value).sum::<f64>() / count;
            let squares: f64 = all
                .iter()
                .map(|p| (value(p) - mean) * (value(p) - mean))
                .sum();
            (squares / (count - 1.0)).sqrt()
        };
        Some(Self {
            prints: prints.len(),
            shift_mm: [deviation(|p| p.0.x), deviation(|p| p.0.y)],
            turn_rad: deviation(|p| p.1),
        })
    }

    /// Variances of the mean over the prints: of the shift in square millimetres, of the turn in square radians.
    pub(super) fn variances_of_mean(&self) -> ([f64; 2], f64) {
        let count = self.prints as f64;
        (
            self.shift_mm.map(|s| s * s / count),
            self.turn_rad * self.turn_rad / count,
        )
    }
}
