//! The sheet's edges in the picture, each as a few dozen points.

use kurbo::{Point, Vec2};

use super::count;
use super::scene::{SIDES, Scene, Side};
use super::solve::EdgeAt;

/// Points to an edge: enough to see any bow, few enough not to count the paper's own waviness for more than it is.
const POINTS: usize = 24;

/// Least points that must have been found of an edge.
const LEAST_POINTS: usize = 12;

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
