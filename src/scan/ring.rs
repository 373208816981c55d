//! The ring of a target measured to a small part of a pixel.
//!
//! Along rays through either edge the darkness is sampled every quarter of a pixel. An edge's place is the centroid of its gradient,
//! which blur does not move. An ellipse through these places, without those that lie far off, has a centre; ink spread moves the
//! outer edge outwards and the inner one inwards, but neither centre. What counts is the mean of both centres, weighted by how well
//! the places lie on their ellipses.

use kurbo::{Point, Vec2};

use super::candidates::Candidate;
use super::ellipse::{Ellipse, FittedEllipse, rays};
use super::picture::Picture;
use super::profile::{Stretch, gradient, peak};

const RAYS: u32 = 96;
/// Rays that must have an edge: a ring that is covered further is not measured.
const LEAST_RAYS: usize = 60;
const STEP_PX: f64 = 0.25;
/// Half of the stretch that is sampled, in outer radii: it ends in the middle of the ring, and before the cross.
const OUTER_REACH: f64 = 0.14;
const INNER_REACH: f64 = 0.11;
const LEAST_REACH_PX: f64 = 1.75;
/// The stretch is laid about the last result; the third changes nothing any more.
const ROUNDS: usize = 3;
/// Grey values between paper and ink.
const LEAST_CONTRAST: f64 = 12.0;
/// An edge counts if its step is this share of the ring's median step.
const LEAST_STEP: f64 = 0.35;
/// Inner by outer radius once measured; 0.72 as drawn, 0.1 mm of spread on 5 mm makes 0.65.
const INNER_BY_OUTER: std::ops::RangeInclusive<f64> = 0.58..=0.84;
const LEAST_ASPECT: f64 = 0.5;
/// Most distance of the two centres in diameters.
const CONCENTRIC: f64 = 0.05;
/// Most scatter of an edge in outer radii, and in pixels for small ones.
const MOST_SCATTER: f64 = 0.03;
const MOST_SCATTER_PX: f64 = 0.3;
/// Standard deviation of a gradient about its centroid, in outer radii, beyond which ring and hole run into each other.
const MOST_WIDTH: f64 = 0.12;
/// Circle in the middle of the ring, and one in the quiet zone around it, in outer radii.
const INK_CIRCLE: f64 = 0.86;
const PAPER_CIRCLE: f64 = 1.14;

/// A measured ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Ring {
    pub(super) centre: Point,
    /// Standard deviation of either coordinate of the centre, as the scatter of the edges tells it.
    pub(super) sigma_px: f64,
    pub(super) outer: Ellipse,
    pub(super) inner: Ellipse,
    /// Grey value of the ring.
    pub(super) ink: f64,
    /// Grey value of the paper around it.
    pub(super) paper: f64,
    /// Standard deviation of the edges' gradients: how blurred they are.
    pub(super) blur_px: f64,
}

/// Why a candidate is no ring that can be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RingFault {
    /// Too little difference between ink and paper.
    Faint,
    /// The edges are so wide that they run into each other.
    Blurred,
    /// Too much of an edge is covered, outside the picture or off the ellipse.
    Broken,
    /// Two edges that are not those of one ring.
    NoRing,
}

/// Measures a candidate.
pub(super) fn measure(picture: &Picture, candidate: &Candidate) -> Result<Ring, RingFault> {
    let (mut outer, mut inner) = (candidate.outer, candidate.inner);
    let mut edges = None;
    for _ in 0..ROUNDS {
        let size_px = outer.radius_px();
        let outside = edge(picture, &outer, OUTER_REACH * size_px, Side::Outer)?;
        let inside = edge(picture, &inner, INNER_REACH * size_px, Side::Inner)?;
        (outer, inner) = (outside.fitted.ellipse, inside.fitted.ellipse);
        edges = Some((outside, inside));
    }
    let (outside, inside) = edges.ok_or(RingFault::NoRing)?;
    check_shape(&outside.fitted, &inside.fitted)?;
    let blur_px = f64::midpoint(outside.width_px, inside.width_px);
    if blur_px > MOST_WIDTH * outer.radius_px() {
        return Err(RingFault::Blurred);
    }
    let ink = circle_median(picture, &outer, INK_CIRCLE).ok_or(RingFault::Broken)?;
    let paper = circle_median(picture, &outer, PAPER_CIRCLE).ok_or(RingFault::Broken)?;
    if paper - ink < LEAST_CONTRAST {
        return Err(RingFault::Faint);
    }
    let (centre, sigma_px) = centre(&outside.fitted, &inside.fitted);
    Ok(Ring {
        centre,
        sigma_px,
        outer,
        inner,
        ink,
        paper,
        blur_px,
    })
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Side {
    Outer,
    Inner,
}

struct Edge {
    fitted: FittedEllipse,
    width_px: f64,
}

/// Where the gradient along one ray has its centroid.
struct Crossing {
    at: Point,
    step: f64,
    width_px: f64,
}

fn edge(picture: &Picture, about: &Ellipse, reach_px: f64, side: Side) -> Result<Edge, RingFault> {
    let reach_px = reach_px.max(LEAST_REACH_PX);
    let mut crossings: Vec<Crossing> = rays(RAYS)
        .filter_map(|unit| crossing(picture, about, unit, reach_px, side))
        .collect();
    if crossings.len() < LEAST_RAYS {
        return Err(RingFault::Broken);
    }
    let usual = median(crossings.iter().map(|c| c.step)).ok_or(RingFault::Broken)?;
    if usual < LEAST_CONTRAST {
        return Err(RingFault::Faint);
    }
    crossings.retain(|c| c.step >= LEAST_STEP * usual);
    let points: Vec<Point> = crossings.iter().map(|c| c.at).collect();
    let fitted = Ellipse::fit_trimmed(&points).ok_or(RingFault::NoRing)?;
    if fitted.kept < LEAST_RAYS {
        return Err(RingFault::Broken);
    }
    let width_px = median(crossings.iter().map(|c| c.width_px)).ok_or(RingFault::Broken)?;
    Ok(Edge { fitted, width_px })
}

fn crossing(
    picture: &Picture,
    about: &Ellipse,
    unit: Vec2,
    reach_px: f64,
    side: Side,
) -> Option<Crossing> {
    let arm = about.arm(unit);
    let length_px = arm.hypot2().sqrt();
    let direction = arm / length_px;
    let start_px = length_px - reach_px;
    let stretch = Stretch::new(
        about.centre + direction * start_px,
        direction,
        2.0 * reach_px,
        STEP_PX,
    );
    let mut gradient = gradient(&stretch.values(picture, 1)?);
    if side == Side::Inner {
        gradient.iter_mut().for_each(|g| *g = -*g);
    }
    let peak = peak(&gradient)?;
    Some(Crossing {
        at: stretch.place(peak.at),
        step: peak.rise,
        width_px: STEP_PX * peak.width,
    })
}

fn check_shape(outer: &FittedEllipse, inner: &FittedEllipse) -> Result<(), RingFault> {
    let size_px = outer.ellipse.radius_px();
    let (long, short) = outer.ellipse.half_axes_px();
    let apart_px = (outer.ellipse.centre - inner.ellipse.centre)
        .hypot2()
        .sqrt();
    let most_scatter_px = MOST_SCATTER * size_px + MOST_SCATTER_PX;
    let is_ring = INNER_BY_OUTER.contains(&(inner.ellipse.radius_px() / size_px))
        && short >= LEAST_ASPECT * long
        && apart_px <= CONCENTRIC * 2.0 * size_px
        && outer.scatter_px <= most_scatter_px
        && inner.scatter_px <= most_scatter_px;
    if is_ring {
        Ok(())
    } else {
        Err(RingFault::NoRing)
    }
}

/// Weighs both centres by the inverse of their variances. A coordinate of the centre of n points evenly around a circle has twice
/// the variance of one distance, by n.
fn centre(outer: &FittedEllipse, inner: &FittedEllipse) -> (Point, f64) {
    let variance = |edge: &FittedEllipse| {
        let count = f64::from(u32::try_from(edge.kept).unwrap_or(u32::MAX));
        2.0 * (edge.scatter_px.powi(2) + LEAST_VARIANCE_PX2) / count
    };
    let (a, b) = (1.0 / variance(outer), 1.0 / variance(inner));
    let shift = inner.ellipse.centre - outer.ellipse.centre;
    (
        outer.ellipse.centre + shift * (b / (a + b)),
        (1.0 / (a + b)).sqrt(),
    )
}

/// Of an edge in a picture without noise, so that neither weight is infinite.
const LEAST_VARIANCE_PX2: f64 = 1e-4;

fn circle_median(picture: &Picture, outer: &Ellipse, radii: f64) -> Option<f64> {
    median(rays(RAYS).filter_map(|unit| picture.value_at(outer.point(unit, radii))))
}

/// Returns the middle value, or `None` of none.
pub(super) fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied()
}
