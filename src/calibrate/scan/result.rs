//! The printer by all scans together.

use kurbo::{Affine, Point, Size, Vec2};

use super::face_scan::ScanMap;
use super::mark_error::{MarkError, MarkSummary};
use super::open_factor::{factor_spread, loading_spread};
use super::prints::{Loading, Print, prints};
use super::scanner::{Belief, RuleReading, Scanner, scanner};
use crate::project::{Face, PrintMap};

/// One face of the printer, measured.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceResult {
    /// Which face.
    pub face: Face,
    /// Where it prints, and how far a mark may be from there: by what is not known of the map, and by what no map can say.
    pub map: PrintMap,
    /// How far each target is from where it was drawn.
    pub before: Vec<MarkError>,
    /// What the map leaves of that: what no scale, turn and shift can take away.
    pub after: Vec<MarkError>,
    /// Number of scans.
    pub scans: usize,
    /// How the printer loads, where several prints tell.
    pub loading: Option<Loading>,
}

/// The printer by all scans together.
#[derive(Debug, Clone, PartialEq)]
pub struct ScanResult {
    /// The front, if it was scanned.
    pub front: Option<FaceResult>,
    /// The back, if it was scanned.
    pub back: Option<FaceResult>,
    /// The scanner.
    pub scanner: Scanner,
    /// How well the scans tell the scanner from the printer.
    pub parting: Parting,
    /// The sheet's size in millimetres, the scanner's stretch taken out; the mean of all scans.
    pub sheet: Size,
}

/// How well the scans tell the scanner's scales from the printer's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Parting {
    /// The scanner was measured before.
    Known,
    /// All scans lie the same way on the glass: what the scanner stretches is taken for the printer's.
    Mixed,
    /// Scans lie turned to each other: across against down is the printer's own, a factor common to both is open.
    Ratio,
}

/// Puts scans together. Faces are counted print by print, the front's first, then the back's: reading 0 is of the front's first print.
#[must_use]
pub fn result(belief: &Belief, maps: &[ScanMap], readings: &[RuleReading]) -> ScanResult {
    let fronts = prints(maps, Face::Front);
    let backs = prints(maps, Face::Back);
    let looks: Vec<_> = fronts
        .iter()
        .chain(&backs)
        .enumerate()
        .flat_map(|(face, print)| print.scans.iter().map(move |s| s.look(face, face)))
        .collect();
    let scanner = scanner(belief, &looks, readings);
    let sheets: Vec<Size> = maps.iter().map(|m| true_size(m, &scanner)).collect();
    let count = sheets.len().max(1) as f64;
    ScanResult {
        front: face_result(&fronts, &scanner),
        back: face_result(&backs, &scanner),
        parting: parting(belief, maps),
        sheet: Size::new(
            sheets.iter().map(|s| s.width).sum::<f64>() / count,
            sheets.iter().map(|s| s.height).sum::<f64>() / count,
        ),
        scanner,
    }
}

/// Directions further apart than this, in the sine of the double angle, count as turned: half of what a quarter turn gives.
const TURNED: f64 = 0.5;

fn parting(belief: &Belief, maps: &[ScanMap]) -> Parting {
    if belief.stretch_sd < Belief::UNKNOWN.stretch_sd {
        return Parting::Known;
    }
    let share_along_rows = |m: &ScanMap| m.across[0].x * m.across[0].x;
    let most = maps.iter().map(share_along_rows).fold(0.0, f64::max);
    let least = maps.iter().map(share_along_rows).fold(1.0, f64::min);
    if most - least > TURNED {
        Parting::Ratio
    } else {
        Parting::Mixed
    }
}

fn true_size(map: &ScanMap, scanner: &Scanner) -> Size {
    Size::new(
        map.sheet.width / scanner.factor_along(map.across[0]),
        map.sheet.height / scanner.factor_along(map.across[1]),
    )
}

/// The scanner's stretch taken out of what one scan shows.
fn as_it_is(map: &ScanMap, scanner: &Scanner) -> Affine {
    let factor = map.across.map(|d| scanner.factor_along(d));
    Affine::scale_non_uniform(1.0 / factor[0], 1.0 / factor[1])
}

fn face_result(prints: &[Print<'_>], scanner: &Scanner) -> Option<FaceResult> {
    let first = prints.first()?.scans.first()?;
    let shares: Vec<(f64, &ScanMap)> = prints.iter().flat_map(Print::shares).collect();
    let all = prints.len() as f64;
    let shares: Vec<(f64, &ScanMap)> = shares.into_iter().map(|(s, m)| (s / all, m)).collect();
    let map = mean_map(&shares, scanner);
    let loading = Loading::of(prints, scanner);
    let before = before(&shares, scanner);
    let after = after(&before, map);
    let mut spread = factor_spread(
        map,
        first.fit.unit_spread.about,
        factor_variances(&shares, scanner),
    );
    for (share, scan) in &shares {
        spread = spread.plus(&scan.spread.times(share * share));
    }
    if let Some(loading) = &loading {
        let (shift_mm2, turn_rad2) = loading.variances_of_mean();
        spread = spread.plus(&loading_spread(spread.about, shift_mm2, turn_rad2));
    }
    let stays_mm2 = MarkSummary::of(&after).map_or(0.0, |s| s.rms_mm * s.rms_mm / 2.0);
    spread = spread.plus(&loading_spread(spread.about, [stays_mm2; 2], 0.0));
    Some(FaceResult {
        face: first.face,
        map: PrintMap {
            sheet_from_page: map,
            spread,
        },
        before,
        after,
        scans: shares.len(),
        loading,
    })
}

/// Variances of the factors that the scanner leaves open on both rows of the mean map.
fn factor_variances(shares: &[(f64, &ScanMap)], scanner: &Scanner) -> [f64; 2] {
    [0, 1].map(|axis| {
        let across: Vec<Vec2> = shares.iter().map(|(_, m)| m.across[axis]).collect();
        let sd = scanner.mean_sd(&across);
        sd * sd
    })
}

fn mean_map(shares: &[(f64, &ScanMap)], scanner: &Scanner) -> Affine {
    let mut sum = [0.0; 6];
    for (share, scan) in shares {
        let map = as_it_is(scan, scanner) * scan.fit.map;
        for (total, part) in sum.iter_mut().zip(map.as_coeffs()) {
            *total += share * part;
        }
    }
    Affine::new(sum)
}

/// Mean place of each target of the first scan, over the scans that have it.
fn before(shares: &[(f64, &ScanMap)], scanner: &Scanner) -> Vec<MarkError> {
    let Some((_, first)) = shares.first() else {
        return Vec::new();
    };
    let places = |nominal: Point| {
        let found = shares.iter().filter_map(|(share, scan)| {
            let pair = scan.fit.pairs.iter().find(|p| p.nominal == nominal)?;
            Some((*share, as_it_is(scan, scanner) * pair.measured))
        });
        let (weight, sum) = found.fold((0.0, Vec2::ZERO), |(weight, sum), (share, at)| {
            (weight + share, sum + at.to_vec2() * share)
        });
        (sum / weight).to_point()
    };
    first
        .fit
        .pairs
        .iter()
        .map(|pair| MarkError {
            at: pair.nominal,
            off: places(pair.nominal) - pair.nominal,
        })
        .collect()
}

/// What is left when the page is printed through the inverse map, to first order: what the map does not explain.
fn after(before: &[MarkError], map: Affine) -> Vec<MarkError> {
    before
        .iter()
        .map(|mark| MarkError {
            at: mark.at,
            off: mark.at + mark.off - map * mark.at,
        })
        .collect()
}
