//! Where targets may be: round edges in a small copy of the picture.
//!
//! The copy is split into ink and paper by comparing each pixel with the mean around it, once with a window as wide as a target
//! and twice with a wider one, so that uneven light and faint ink both pass. A ring shows by its outer edge, or, where something
//! touches it, by the edge of its hole; the other edge follows from the drawing. Whether there is a ring is settled at full size.

use image::GrayImage;
use imageproc::contours::{BorderType, Contour, find_contours_with_threshold};
use imageproc::contrast::adaptive_threshold;
use kurbo::{Point, Vec2};

use super::ellipse::Ellipse;
use super::reduced::{RADIUS_PX, Reduction};

/// Half windows in radii, and how much darker than their mean ink is, in grey values.
const THRESHOLDS: [(f64, i32); 3] = [(1.1, 8), (2.5, 8), (2.5, 24)];
/// Radii that are looked at, in terms of the expected one: the copy of 6 mm has 0.75 to 1.5 of it, and targets are of 5 to 8 mm.
const LEAST_SIZE: f64 = 0.5;
const MOST_SIZE: f64 = 2.1;
/// Short axis by long axis: a sheet seen at 60 degrees.
const LEAST_ASPECT: f64 = 0.5;
/// Inner by outer radius, as drawn.
const INNER_BY_OUTER: f64 = 0.72;
/// Scatter of the edges about their ellipses, in radii, besides that of whole pixels.
const OUTER_SCATTER: f64 = 0.05;
const INNER_SCATTER: f64 = 0.08;
/// Scatter of a smooth edge that is rounded to whole pixels: a third of one.
const PIXEL_SCATTER_PX: f64 = 0.35;
/// A contour runs through the centres of the last dark pixels.
const HALF_PIXEL_PX: f64 = 0.5;

/// Smaller pictures have no room for a target.
const LEAST_SIDE_PX: u32 = 8;

/// Both edges of what may be a target, in pixels of the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Candidate {
    pub(super) outer: Ellipse,
    pub(super) inner: Ellipse,
}

/// Returns the round edges in a small copy as rings, some more than once.
pub(super) fn candidates(copy: &GrayImage, reduction: Reduction) -> Vec<Candidate> {
    let mut found: Vec<Candidate> = Vec::new();
    if copy.width() < LEAST_SIDE_PX || copy.height() < LEAST_SIDE_PX {
        return found;
    }
    for (half_window, darker) in THRESHOLDS {
        let mut ink = adaptive_threshold(copy, block_radius(half_window), darker);
        image::imageops::invert(&mut ink);
        let contours = find_contours_with_threshold::<u32>(&ink, 0);
        found.extend(contours.iter().filter_map(|c| ring(c, reduction)));
    }
    found
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "windows are a few radii of a few pixels"
)]
fn block_radius(half_window: f64) -> u32 {
    (half_window * RADIUS_PX).round() as u32
}

/// Returns the ring that has a contour as one of its edges, in pixels of the picture.
fn ring(contour: &Contour<u32>, reduction: Reduction) -> Option<Candidate> {
    let (scatter, grow_px, to_outer) = match contour.border_type {
        BorderType::Outer => (OUTER_SCATTER, HALF_PIXEL_PX, 1.0),
        BorderType::Hole => (INNER_SCATTER, -HALF_PIXEL_PX, 1.0 / INNER_BY_OUTER),
    };
    let edge = round_edge(contour, scatter, grow_px)?;
    let outer = edge.resized(to_outer);
    let is_of_size = (LEAST_SIZE..=MOST_SIZE).contains(&(outer.radius_px() / RADIUS_PX));
    is_of_size.then(|| Candidate {
        outer: outer.scaled(reduction.step()),
        inner: outer.resized(INNER_BY_OUTER).scaled(reduction.step()),
    })
}

/// Returns the ellipse that a contour follows, `grow_px` larger, if it follows one.
fn round_edge(contour: &Contour<u32>, scatter: f64, grow_px: f64) -> Option<Ellipse> {
    if !has_round_box(contour) {
        return None;
    }
    let points: Vec<Point> = contour
        .points
        .iter()
        .map(|p| Point::new(f64::from(p.x) + 0.5, f64::from(p.y) + 0.5))
        .collect();
    let ellipse = Ellipse::fit(&points)?;
    let (long, short) = ellipse.half_axes_px();
    let count = f64::from(u32::try_from(points.len()).ok()?);
    let squares: f64 = points.iter().map(|p| ellipse.distance_px(*p).powi(2)).sum();
    let is_smooth = (squares / count).sqrt() <= scatter * ellipse.radius_px() + PIXEL_SCATTER_PX;
    let is_round = short >= LEAST_ASPECT * long;
    let goes_around = goes_around(&points, ellipse.centre);
    (is_smooth && is_round && goes_around).then_some(Ellipse {
        xx: ellipse.xx + grow_px,
        yy: ellipse.yy + grow_px,
        ..ellipse
    })
}

/// Is `true` for a contour whose box could be that of an edge of a target; most contours end here.
fn has_round_box(contour: &Contour<u32>) -> bool {
    let least = 2.0 * LEAST_SIZE * RADIUS_PX * INNER_BY_OUTER;
    let most = 2.0 * MOST_SIZE * RADIUS_PX;
    let side = |of: fn(&imageproc::point::Point<u32>) -> u32| {
        let values = || contour.points.iter().map(of);
        match (values().min(), values().max()) {
            (Some(low), Some(high)) => f64::from(high - low) + 1.0,
            _ => 0.0,
        }
    };
    let (width, height) = (side(|p| p.x), side(|p| p.y));
    let (short, long) = (width.min(height), width.max(height));
    short >= LEAST_ASPECT * least && (least..=most).contains(&long) && short >= LEAST_ASPECT * long
}

/// Is `true` if every eighth of a turn about the centre has points.
fn goes_around(points: &[Point], centre: Point) -> bool {
    let mut seen = [false; 8];
    for point in points {
        let Vec2 { x, y } = *point - centre;
        let octant =
            usize::from(x > 0.0) + 2 * usize::from(y > 0.0) + 4 * usize::from(x.abs() > y.abs());
        seen[octant] = true;
    }
    seen.iter().all(|s| *s)
}
