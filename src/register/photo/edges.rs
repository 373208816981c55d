//! The sheet's edges in the picture, each as a few dozen points.

use kurbo::{Point, Vec2};
use nalgebra::{SMatrix, SVector};

use super::count;
use super::scene::{SIDES, Scene, Side};
use super::solve::EdgeAt;

/// Points to an edge: enough to see any bow, few enough not to count the paper's own waviness for more than it is.
const POINTS: usize = 24;

/// Least points that must have been found of an edge.
const LEAST_POINTS: usize = 12;

/// Terms of the curve along an edge: a fourth power follows any bend and lens.
const TERMS: usize = 5;

/// Rounds of weighing; the weights are at rest after some ten.
const CURVE_ROUNDS: usize = 20;

/// No point this near to the curve is left out, in pixels.
const LEAST_NEAR_PX: f64 = 0.15;

/// Returns a few dozen points for each edge of the sheet, whichever order the edges come in; `Err` with the sides that have too few.
///
/// No point counts as better known than `least_sigma_px`.
pub(super) fn of_sheet(
    found: &[Vec<Point>],
    start: &Scene,
    least_sigma_px: f64,
) -> Result<Vec<EdgeAt>, Vec<Side>> {
    let mut sides: [Option<&Vec<Point>>; 4] = [None; 4];
    for points in found.iter().filter(|points| points.len() >= LEAST_POINTS) {
        let sum = points.iter().fold(Vec2::ZERO, |sum, p| sum + p.to_vec2());
        let middle = sum / count(points.len());
        let distance =
            |side: &Side| (start.seen(start.on_edge(*side, 0.0)).to_vec2() - middle).hypot2();
        if let Some(side) = SIDES
            .into_iter()
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
        {
            sides[side as usize] = Some(points);
        }
    }
    let missing: Vec<Side> = SIDES
        .into_iter()
        .filter(|side| sides[*side as usize].is_none())
        .collect();
    if !missing.is_empty() {
        return Err(missing);
    }
    let each = SIDES.into_iter().zip(sides.into_iter().flatten());
    Ok(each
        .flat_map(|(side, points)| thinned(side, points, least_sigma_px))
        .collect())
}

/// Averages of runs of points, each without the quarter that lies farthest off.
fn thinned(side: Side, points: &[Point], least_sigma_px: f64) -> Vec<EdgeAt> {
    let (first, last) = (points[0], points[points.len() - 1]);
    let along = (last - first) / (last - first).hypot2().sqrt().max(1e-9);
    let across = Vec2::new(-along.y, along.x);
    let place = |p: &Point| (along.dot(*p - first), across.dot(*p - first));
    let mut placed: Vec<(f64, f64)> = points.iter().map(place).collect();
    placed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let placed = on_one_curve(placed);
    let averages = placed.chunks(placed.len().div_ceil(POINTS)).map(|run| {
        let (u, v, scatter_px) = average(run.to_vec());
        EdgeAt {
            side,
            at_px: first + along * u + across * v,
            sigma_px: scatter_px.max(least_sigma_px),
        }
    });
    averages.collect()
}

/// The points on the smooth curve that most of them lie on: table and shadow beside an edge make false points, more than one in four here
/// and there.
///
/// A polynomial by reweighted least squares, from all points towards those that lie near; what lies farther off than four times the
/// median is left out.
fn on_one_curve(placed: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    let ends = (placed[0].0, placed[placed.len() - 1].0);
    let half = ((ends.1 - ends.0) / 2.0).max(1e-9);
    let powers = |u: f64| {
        let t = (u - f64::midpoint(ends.0, ends.1)) / half;
        SVector::<f64, TERMS>::from_fn(|i, _| (0..i).fold(1.0, |power, _| power * t))
    };
    let mut off: Vec<f64> = vec![0.0; placed.len()];
    let mut near = f64::INFINITY;
    for _ in 0..CURVE_ROUNDS {
        let mut normal = SMatrix::<f64, TERMS, TERMS>::identity() * 1e-9;
        let mut towards = SVector::<f64, TERMS>::zeros();
        for ((u, v), off) in placed.iter().zip(&off) {
            let weight = (1.0 + off * off / (near * near)).powi(-2);
            let row = powers(*u);
            normal += row * row.transpose() * weight;
            towards += row * (v * weight);
        }
        let Some(solved) = normal.cholesky() else {
            return placed;
        };
        let curve = solved.solve(&towards);
        off = placed
            .iter()
            .map(|(u, v)| v - powers(*u).dot(&curve))
            .collect();
        let mut sizes: Vec<f64> = off.iter().map(|off| off.abs()).collect();
        sizes.sort_by(f64::total_cmp);
        near = (2.0 * sizes[sizes.len() / 2]).max(LEAST_NEAR_PX);
    }
    let kept = placed
        .iter()
        .zip(&off)
        .filter(|(_, off)| off.abs() <= 2.0 * near);
    kept.map(|(place, _)| *place).collect()
}

/// The mean place of a run, and how far its points scatter across the edge.
fn average(mut run: Vec<(f64, f64)>) -> (f64, f64, f64) {
    run.sort_by(|a, b| a.1.total_cmp(&b.1));
    let middle = run[run.len() / 2].1;
    run.sort_by(|a, b| (a.1 - middle).abs().total_cmp(&(b.1 - middle).abs()));
    run.truncate((run.len() * 3).div_ceil(4));
    let number = count(run.len());
    let (u, v) = run.iter().fold((0.0, 0.0), |sum, p| {
        (sum.0 + p.0 / number, sum.1 + p.1 / number)
    });
    let square: f64 = run.iter().map(|p| (p.1 - v) * (p.1 - v)).sum();
    (u, v, (square / number).sqrt())
}
