//! A line, or a slightly bent one, through the rises along a side of the sheet.

use kurbo::{Line, Point, Vec2};
use nalgebra::{SMatrix, SVector};

use super::agreement::{Kind, count};
use super::course::Rise;
use super::ring::median;

/// How near a rise lies to the line through two others, in millimetres; paper in photos is curled.
const NEAR_SCAN_MM: f64 = 0.15;
const NEAR_PHOTO_MM: f64 = 1.2;
/// Steepest lean of the edge against the page: 1 in 50.
const MOST_LEAN: f64 = 0.02;
const MOST_LEAN_PHOTO: f64 = 0.06;
/// A line with this share of the best one's stations counts as good; the outermost of these is taken.
const AS_GOOD: f64 = 0.8;
/// Share of the stations that the best line must have.
const LEAST_SHARE: f64 = 0.4;
/// Lines that are tried through rises near either end.
const TRIED: usize = 24;
/// Median distances beyond which a place is left out, and the least that counts as one, in millimetres.
const TRIM: f64 = 4.5;
const LEAST_MEDIAN_MM: f64 = 0.003;
const ROUNDS: usize = 5;

/// Returns the rises of the outermost line that enough stations have, one for each station.
pub(super) fn outermost(rises: &[Rise], stations: usize, kind: Kind) -> Option<Vec<Rise>> {
    let (near_mm, lean) = match kind {
        Kind::Scan => (NEAR_SCAN_MM, MOST_LEAN),
        Kind::Photo => (NEAR_PHOTO_MM, MOST_LEAN_PHOTO),
    };
    let third = stations / 3;
    let first = spread(rises.iter().filter(|r| r.station < third));
    let last = spread(rises.iter().filter(|r| r.station >= stations - third));
    let mut lines: Vec<(usize, f64, Vec<Rise>)> = Vec::new();
    for a in &first {
        for b in &last {
            let slope = (b.depth_mm - a.depth_mm) / (b.along_mm - a.along_mm);
            if slope.abs() > lean {
                continue;
            }
            let on_line = |r: &Rise| a.depth_mm + slope * (r.along_mm - a.along_mm) - r.depth_mm;
            let chosen = nearest_of_each(rises, near_mm, on_line);
            let depth_mm = f64::midpoint(a.depth_mm, b.depth_mm);
            lines.push((chosen.len(), depth_mm, chosen));
        }
    }
    let most = lines.iter().map(|line| line.0).max()?;
    if count(most) < LEAST_SHARE * count(stations) {
        return None;
    }
    let good = |line: &(usize, f64, Vec<Rise>)| count(line.0) >= AS_GOOD * count(most);
    let outer_mm = lines
        .iter()
        .filter(|line| good(line))
        .map(|line| line.1)
        .min_by(f64::total_cmp)?;
    lines
        .into_iter()
        .filter(|line| good(line) && line.1 <= outer_mm + 2.0 * near_mm)
        .max_by_key(|line| line.0)
        .map(|line| line.2)
}

/// Returns a bounded number of rises, evenly from all.
fn spread<'a>(rises: impl Iterator<Item = &'a Rise>) -> Vec<&'a Rise> {
    let all: Vec<&Rise> = rises.collect();
    let step = all.len().div_ceil(TRIED).max(1);
    all.into_iter().step_by(step).collect()
}

fn nearest_of_each(rises: &[Rise], near_mm: f64, away_mm: impl Fn(&Rise) -> f64) -> Vec<Rise> {
    let mut out: Vec<Rise> = Vec::new();
    for rise in rises.iter().filter(|r| away_mm(r).abs() <= near_mm) {
        match out.last_mut() {
            Some(last) if last.station == rise.station => {
                if away_mm(rise).abs() < away_mm(last).abs() {
                    *last = *rise;
                }
            }
            Some(_) | None => out.push(*rise),
        }
    }
    out
}

/// Depth as a polynomial of the way along, of the degree that the kind of picture needs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Curve {
    middle_mm: f64,
    unit_mm: f64,
    terms: [f64; 4],
}

impl Curve {
    /// Fits depths over ways along, without those far off; returns the curve and which of them it was fitted to.
    pub(super) fn through(depths: &[(f64, f64)], kind: Kind) -> Option<(Self, Vec<usize>)> {
        let degree = match kind {
            Kind::Scan => 2,
            Kind::Photo => 3,
        };
        let mut kept: Vec<usize> = (0..depths.len()).collect();
        let mut curve = Self::fit(depths, &kept, degree)?;
        for _ in 0..ROUNDS {
            let away = |i: &usize| (depths[*i].1 - curve.depth_mm(depths[*i].0)).abs();
            let usual_mm = median(kept.iter().map(away))?.max(LEAST_MEDIAN_MM);
            let near: Vec<usize> = (0..depths.len())
                .filter(|i| away(i) <= TRIM * usual_mm)
                .collect();
            let is_settled = near == kept;
            kept = near;
            if is_settled {
                break;
            }
            curve = Self::fit(depths, &kept, degree)?;
        }
        Some((curve, kept))
    }

    fn fit(depths: &[(f64, f64)], kept: &[usize], degree: usize) -> Option<Self> {
        let (low, high) = kept
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), i| {
                (l.min(depths[*i].0), h.max(depths[*i].0))
            });
        let (middle_mm, unit_mm) = (f64::midpoint(low, high), (high - low) / 2.0);
        if kept.len() < 8 || unit_mm <= 0.0 {
            return None;
        }
        let mut normal = SMatrix::<f64, 4, 4>::zeros();
        let mut right = SVector::<f64, 4>::zeros();
        for i in kept {
            let t = (depths[*i].0 - middle_mm) / unit_mm;
            let row = SVector::<f64, 4>::new(1.0, t, t * t, t * t * t);
            normal += row * row.transpose();
            right += row * depths[*i].1;
        }
        // Terms above the degree are held at zero.
        for j in degree + 1..4 {
            normal.row_mut(j).fill(0.0);
            normal.column_mut(j).fill(0.0);
            normal[(j, j)] = 1.0;
            right[j] = 0.0;
        }
        let found = normal.cholesky()?.solve(&right);
        Some(Self {
            middle_mm,
            unit_mm,
            terms: [found[0], found[1], found[2], found[3]],
        })
    }

    fn depth_mm(&self, along_mm: f64) -> f64 {
        let t = (along_mm - self.middle_mm) / self.unit_mm;
        let [a, b, c, d] = self.terms;
        a + t * (b + t * (c + t * d))
    }

    /// Returns how much deeper the middle of a side lies than the mean of its ends.
    pub(super) fn bow_mm(&self, length_mm: f64) -> f64 {
        let half = length_mm / 2.0 / self.unit_mm;
        -self.terms[2] * half * half
    }

    /// Returns the line with the least squared distances from places, from the first's foot to the last's.
    pub(super) fn line(points: &[Point]) -> Option<Line> {
        let (first, last) = (points.first()?, points.last()?);
        let number = count(points.len());
        let middle = (points.iter().map(|p| p.to_vec2()).sum::<Vec2>() / number).to_point();
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for point in points {
            let Vec2 { x, y } = *point - middle;
            xx += x * x;
            xy += x * y;
            yy += y * y;
        }
        let turn_rad = crate::math::atan2(2.0 * xy, xx - yy) / 2.0;
        let (sin, cos) = crate::math::sin_cos(turn_rad);
        let along = Vec2::new(cos, sin);
        let foot = |p: &Point| middle + along * along.dot(*p - middle);
        (points.len() > 1).then(|| Line::new(foot(first), foot(last)))
    }
}
