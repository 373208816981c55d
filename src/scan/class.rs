//! Which quadrants of a target are filled, and how it is turned.

use kurbo::Vec2;

use super::ellipse::rays;
use super::picture::Picture;
use super::ring::Ring;
use crate::math::atan2;
use crate::plan::MarkClass;

/// Directions that are looked at: every 5 degrees.
const DIRECTIONS: u32 = 72;
const QUARTER: usize = 18;
/// Circles within the quadrants, in outer radii; the middle of the three values counts.
const CIRCLES: [f64; 3] = [0.30, 0.36, 0.42];
/// Directions on either side of a quadrant's middle that tell whether it is filled: 32.5 degrees, so that the cross is left out.
const HALF_QUADRANT: usize = 6;
/// Most mean difference between what is seen and what is black or white.
const MOST_DOUBT: f64 = 0.25;

/// What the quadrants of a target say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Quadrants {
    pub(super) class: MarkClass,
    /// The turn from the drawing to the picture, clockwise as seen; `None` if all quadrants are alike.
    pub(super) turn_rad: Option<f64>,
}

/// Reads the quadrants within a ring, or returns `None` if they are neither black nor white.
pub(super) fn quadrants(picture: &Picture, ring: &Ring) -> Option<Quadrants> {
    let darkness = darkness(picture, ring)?;
    let (doubt, filled) = (0..QUARTER)
        .map(|offset| pattern(&darkness, offset))
        .min_by(|a, b| a.0.total_cmp(&b.0))?;
    if doubt > MOST_DOUBT {
        return None;
    }
    let class = class_of(filled);
    Some(Quadrants {
        class,
        turn_rad: turn_rad(class, &darkness),
    })
}

/// The middle direction of the filled quadrants as drawn, and after how much of a turn the target looks the same; both in radians,
/// clockwise from the x axis. The first quadrant lies between right and down.
pub(super) fn drawn_direction_rad(class: MarkClass) -> Option<(f64, f64)> {
    use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI, TAU};
    match class {
        MarkClass::One => Some((FRAC_PI_4, TAU)),
        MarkClass::TwoAdjacent => Some((FRAC_PI_2, TAU)),
        MarkClass::Three => Some((3.0 * FRAC_PI_4, TAU)),
        MarkClass::TwoOpposite => Some((FRAC_PI_4, PI)),
        MarkClass::Empty | MarkClass::Full => None,
    }
}

/// Returns how dark each direction is, 0 as the paper and 1 as the ring.
fn darkness(picture: &Picture, ring: &Ring) -> Option<Vec<f64>> {
    rays(DIRECTIONS)
        .map(|unit| {
            let mut values = [0.0; 3];
            for (value, radii) in values.iter_mut().zip(CIRCLES) {
                let at = ring.centre + ring.outer.arm(unit) * radii;
                *value = (ring.paper - picture.value_at(at)?) / (ring.paper - ring.ink);
            }
            values.sort_by(f64::total_cmp);
            Some(values[1].clamp(0.0, 1.0))
        })
        .collect()
}

/// Returns which quadrants are dark if they begin at an offset, and how far from black or white they are on average.
fn pattern(darkness: &[f64], offset: usize) -> (f64, [bool; 4]) {
    let mut filled = [false; 4];
    let (mut doubt, mut count) = (0.0, 0.0);
    for (quadrant, is_filled) in filled.iter_mut().enumerate() {
        let middle = offset + quadrant * QUARTER + QUARTER / 2;
        let seen = || {
            (middle - HALF_QUADRANT..=middle + HALF_QUADRANT).map(|i| darkness[i % darkness.len()])
        };
        let directions: f64 = seen().map(|_| 1.0).sum();
        *is_filled = seen().sum::<f64>() > directions / 2.0;
        let wanted = if *is_filled { 1.0 } else { 0.0 };
        doubt += seen().map(|d| (d - wanted).abs()).sum::<f64>();
        count += directions;
    }
    (doubt / count, filled)
}

fn class_of(filled: [bool; 4]) -> MarkClass {
    let [a, b, c, d] = filled;
    match [a, b, c, d].iter().filter(|f| **f).count() {
        0 => MarkClass::Empty,
        1 => MarkClass::One,
        2 if a == c => MarkClass::TwoOpposite,
        2 => MarkClass::TwoAdjacent,
        3 => MarkClass::Three,
        _ => MarkClass::Full,
    }
}

/// Takes the direction of the darkness from its first harmonic, or from its second if the target looks the same after half a turn.
fn turn_rad(class: MarkClass, darkness: &[f64]) -> Option<f64> {
    let (drawn_rad, period_rad) = drawn_direction_rad(class)?;
    let is_half = period_rad < std::f64::consts::TAU;
    let sum: Vec2 = rays(DIRECTIONS)
        .zip(darkness)
        .map(|(u, dark)| {
            let harmonic = if is_half {
                Vec2::new(u.x * u.x - u.y * u.y, 2.0 * u.x * u.y)
            } else {
                u
            };
            harmonic * *dark
        })
        .sum();
    let seen_rad = atan2(sum.y, sum.x) / if is_half { 2.0 } else { 1.0 };
    Some((seen_rad - drawn_rad).rem_euclid(period_rad))
}
