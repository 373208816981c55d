//! Fewer corners, never less paper.
//!
//! Two steps take a corner away and only ever add paper: a corner that points inwards is cut across, and a side between two
//! corners that point outwards is left out by drawing the sides before and after it to where they meet. The cheapest step is
//! taken until all would move the edge by more than is allowed. What earlier steps moved counts, so that no point of the edge
//! strays farther than that. Cost: the square of the corners.

use super::ring::{Point, cross, distance_nm, is_in_triangle, length_nm, turn};

/// How far the edge may be moved outwards, in nanometres.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slack {
    /// Where paper bulges.
    pub(super) bulge_nm: f64,
    /// Where it has a dent: filling one costs only what others could have put there.
    pub(super) dent_nm: f64,
}

/// Returns a ring with fewer corners around the same paper and a little more.
pub(super) fn grown(ring: &[Point], slack: Slack) -> Vec<Point> {
    let mut corners: Vec<Corner> = ring
        .iter()
        .map(|at| Corner {
            at: *at,
            moved: 0.0,
        })
        .collect();
    corners.dedup_by(|a, b| length_nm(a.at, b.at) < 1.0);
    while corners.len() > 3 {
        let mut steps: Vec<Step> = (0..corners.len())
            .filter_map(|i| step_at(&corners, i, slack))
            .collect();
        steps.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        let Some(step) = steps
            .into_iter()
            .find(|s| is_clear(&corners, s) && is_near(ring, s, slack))
        else {
            break;
        };
        take(&mut corners, &step);
    }
    corners.into_iter().map(|c| c.at).collect()
}

#[derive(Debug, Clone, Copy)]
struct Corner {
    at: Point,
    /// How far the edge here may already have been moved.
    moved: f64,
}

#[derive(Debug, Clone, Copy)]
struct Step {
    corner: usize,
    /// Where the new corner is that takes the place of this one and the next; `None` if this one goes for nothing.
    meet: Option<Point>,
    moved: f64,
    cost: f64,
}

fn step_at(corners: &[Corner], i: usize, slack: Slack) -> Option<Step> {
    let n = corners.len();
    let [a, b, c, d] = [i + n - 1, i, i + 1, i + 2].map(|k| corners[k % n]);
    if turn(a.at, b.at, c.at) <= 0.0 {
        let depth = (turn(a.at, b.at, c.at) / length_nm(a.at, c.at).max(1.0)).abs();
        let moved = depth + b.moved;
        return (moved <= slack.dent_nm).then_some(Step {
            corner: i,
            meet: None,
            moved,
            cost: depth / slack.dent_nm.max(1.0),
        });
    }
    if turn(b.at, c.at, d.at) <= 0.0 {
        return None;
    }
    let meet = meeting(a.at, b.at, c.at, d.at)?;
    let height = (turn(c.at, b.at, meet) / length_nm(b.at, c.at).max(1.0)).abs();
    (height <= slack.bulge_nm).then_some(Step {
        corner: i,
        meet: Some(meet),
        moved: b.moved.max(c.moved),
        cost: height / slack.bulge_nm.max(1.0),
    })
}

/// Where the line from `a` over `b` meets the line from `d` over `c`, if beyond both.
fn meeting(a: Point, b: Point, c: Point, d: Point) -> Option<Point> {
    let (u, v) = ([b[0] - a[0], b[1] - a[1]], [c[0] - d[0], c[1] - d[1]]);
    let slope = u[0] * v[1] - u[1] * v[0];
    if slope >= 0.0 {
        return None;
    }
    let along = ((c[0] - b[0]) * v[1] - (c[1] - b[1]) * v[0]) / slope;
    (along >= 0.0).then(|| [b[0] + along * u[0], b[1] + along * u[1]])
}

/// Whether nothing else of the ring lies where paper is added.
fn is_clear(corners: &[Corner], step: &Step) -> bool {
    let n = corners.len();
    let at = |k: usize| corners[k % n].at;
    let i = step.corner;
    let (added, own) = match step.meet {
        None => ([at(i + n - 1), at(i + 1), at(i)], [i + n - 1, i, i + 1]),
        Some(meet) => ([at(i), meet, at(i + 1)], [i, i + 1, i]),
    };
    let others = (0..n).filter(|k| own.iter().all(|o| o % n != *k));
    let mut others = others.map(at);
    if others.any(|p| is_in_triangle(p, added) || is_in_triangle(p, [added[0], added[2], added[1]]))
    {
        return false;
    }
    let Some(meet) = step.meet else { return true };
    (0..n)
        .all(|k| !cross(at(k), at(k + 1), at(i), meet) && !cross(at(k), at(k + 1), meet, at(i + 1)))
}

/// Whether the new corner of a bulge lies near the edge as it was given.
fn is_near(ring: &[Point], step: &Step, slack: Slack) -> bool {
    let next = ring.iter().cycle().skip(1);
    step.meet.is_none_or(|p| {
        let mut sides = ring.iter().zip(next);
        sides.any(|(a, b)| distance_nm(p, *a, *b) <= slack.bulge_nm)
    })
}

fn take(corners: &mut Vec<Corner>, step: &Step) {
    let n = corners.len();
    let (i, next) = (step.corner, (step.corner + 1) % n);
    match step.meet {
        None => {
            for k in [(i + n - 1) % n, next] {
                corners[k].moved = corners[k].moved.max(step.moved);
            }
            corners.remove(i);
        }
        Some(at) => {
            corners[i] = Corner {
                at,
                moved: step.moved,
            };
            corners.remove(next);
        }
    }
}
