//! How well a map from page to picture agrees with what was found.

use kurbo::{Affine, Point, Vec2};

use super::class::drawn_direction_rad;
use super::target::Target;
use crate::fit::{Homography, Pair, affine, projective};
use crate::math::atan2;
use crate::plan::Mark;

/// A first map, of two or four marks, places a mark within this many millimetres; the next marks are 35 mm away.
const FIRST_GATE_MM: f64 = 5.0;
/// A map of all marks does better: this is paper, lens and printer.
const GATE_MM: f64 = 2.5;
/// A ring may be this much larger or smaller than its place makes it, along either axis: ink spread, and blur of small rings.
const SIZE: f64 = 0.15;
/// All rings together may be longer than wide by this share; A4 and Letter differ by 9 %.
const OVAL: f64 = 0.04;
/// A target may be turned by this much against its place.
const TURN_RAD: f64 = 0.35;
const ROUNDS: usize = 3;

/// How a picture was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// By a flatbed scanner: no perspective.
    Scan,
    /// By a camera.
    Photo,
}

/// A map with the marks that it explains.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Agreement {
    pub(super) picture_from_page: Homography,
    /// For each mark the number of its target.
    pub(super) of_marks: Vec<Option<usize>>,
    /// Marks at whose place another target was found: of another class, or turned otherwise.
    pub(super) contradicted: usize,
    /// Those of them whose class the page has once.
    pub(super) contradicted_once: usize,
    /// Root of the mean squared distance in pixels.
    pub(super) rms_px: f64,
}

impl Agreement {
    /// Gathers what agrees with a first map, and fits again to all of it.
    pub(super) fn of(
        first: Homography,
        marks: &[Mark],
        targets: &[Target],
        kind: Kind,
    ) -> Option<Self> {
        let mut map = first;
        let mut gate_mm = FIRST_GATE_MM;
        for _ in 0..ROUNDS {
            let of_marks = assign(&map, marks, targets, gate_mm);
            map = refit(&pairs(marks, targets, &of_marks), kind, map)?;
            gate_mm = GATE_MM;
        }
        let of_marks = assign(&map, marks, targets, GATE_MM);
        let pairs = pairs(marks, targets, &of_marks);
        let squares: f64 = pairs
            .iter()
            .map(|p| (map.apply(p.nominal) - p.measured).hypot2())
            .sum();
        let contradicted = contradicted(&map, marks, targets, &of_marks);
        let agreement = Self {
            contradicted: contradicted.len(),
            contradicted_once: contradicted
                .iter()
                .filter(|mark| alike(mark, marks) == 1)
                .count(),
            of_marks,
            rms_px: (squares / count(pairs.len())).sqrt(),
            picture_from_page: map,
        };
        agreement.faces_us(marks).then_some(agreement)
    }

    /// Returns how many marks are explained.
    pub(super) fn found(&self) -> usize {
        self.of_marks.iter().flatten().count()
    }

    /// Is `true` if this is to be preferred: most marks, then least error.
    pub(super) fn beats(&self, other: &Self) -> bool {
        let score = |a: &Self| a.found().saturating_sub(a.contradicted);
        match score(self).cmp(&score(other)) {
            std::cmp::Ordering::Less => false,
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Equal => self.rms_px < other.rms_px,
        }
    }

    /// Is `true` if the rings look round through the map, all taken together. A map of the marks of another page may be squeezed.
    pub(super) fn keeps_rings_round(&self, marks: &[Mark], targets: &[Target]) -> bool {
        let mut sum = [0.0; 3];
        for (mark, i) in marks.iter().zip(&self.of_marks) {
            if let Some(target) = i.and_then(|i| targets.get(i)) {
                let [a, b, c, d, ..] = self.picture_from_page.near(mark.centre).as_coeffs();
                let shape = drawn_shape([a, b, c, d], mark.diameter_mm / 2.0, target);
                for (sum, value) in sum.iter_mut().zip(shape) {
                    *sum += value;
                }
            }
        }
        let (long, short) = half_axes(sum);
        long <= (1.0 + OVAL) * short
    }

    /// Returns how many targets are as large as the marks, but none of them.
    pub(super) fn strangers(&self, marks: &[Mark], targets: &[Target]) -> usize {
        let is_stranger = |i: usize, target: &Target| {
            !self.of_marks.contains(&Some(i))
                && marks.iter().any(|mark| {
                    let [a, b, c, d, ..] = self.picture_from_page.near(mark.centre).as_coeffs();
                    is_as_large([a, b, c, d], mark.diameter_mm / 2.0, target)
                })
        };
        (0..targets.len())
            .filter(|i| is_stranger(*i, &targets[*i]))
            .count()
    }

    /// The map must not mirror, and must not lay any mark behind the camera.
    fn faces_us(&self, marks: &[Mark]) -> bool {
        marks.iter().all(|m| {
            let near = self.picture_from_page.near(m.centre);
            near.is_finite() && near.determinant() > 0.0
        })
    }
}

/// Returns for each mark the nearest target of its class that is as large and as turned as it must be there.
fn assign(
    map: &Homography,
    marks: &[Mark],
    targets: &[Target],
    gate_mm: f64,
) -> Vec<Option<usize>> {
    let mut of_marks: Vec<Option<usize>> = marks
        .iter()
        .map(|mark| {
            let near = map.near(mark.centre);
            nearest(map, mark, targets, gate_mm, |t| {
                t.class == mark.class && fits(&near, mark, t)
            })
        })
        .collect();
    // Marks never lie within each other's reach, so a target of two marks is the sign of a squeezed map.
    for i in 0..of_marks.len() {
        if of_marks[..i].contains(&of_marks[i]) {
            of_marks[i] = None;
        }
    }
    of_marks
}

/// Returns the marks that were not found and have a target of their size at their place. Its turn does not count: where a picture is
/// mirrored, those of other classes are turned in other ways.
fn contradicted<'a>(
    map: &Homography,
    marks: &'a [Mark],
    targets: &[Target],
    of_marks: &[Option<usize>],
) -> Vec<&'a Mark> {
    let is_occupied = |mark: &Mark| {
        let [a, b, c, d, ..] = map.near(mark.centre).as_coeffs();
        nearest(map, mark, targets, GATE_MM, |t| {
            is_as_large([a, b, c, d], mark.diameter_mm / 2.0, t)
        })
        .is_some()
    };
    marks
        .iter()
        .zip(of_marks)
        .filter(|(mark, found)| found.is_none() && is_occupied(mark))
        .map(|(mark, _)| mark)
        .collect()
}

/// Returns how many marks of the page have the class of this one.
pub(super) fn alike(mark: &Mark, marks: &[Mark]) -> usize {
    marks.iter().filter(|m| m.class == mark.class).count()
}

fn nearest(
    map: &Homography,
    mark: &Mark,
    targets: &[Target],
    gate_mm: f64,
    is_wanted: impl Fn(&Target) -> bool,
) -> Option<usize> {
    let near = map.near(mark.centre);
    let place = map.apply(mark.centre);
    let gate_px = gate_mm * near.determinant().abs().sqrt();
    targets
        .iter()
        .enumerate()
        .map(|(i, t)| ((t.centre - place).hypot2(), i, t))
        .filter(|(square, _, t)| *square <= gate_px * gate_px && is_wanted(t))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, i, _)| i)
}

/// Is `true` if a target is as large and as turned as the map makes a mark.
pub(super) fn fits(near: &Affine, mark: &Mark, target: &Target) -> bool {
    let [a, b, c, d, ..] = near.as_coeffs();
    let determinant = a * d - b * c;
    if !determinant.is_finite() || determinant <= 0.0 {
        return false;
    }
    is_as_large([a, b, c, d], mark.diameter_mm / 2.0, target) && is_as_turned([a, b, c, d], target)
}

/// Looks at the target's edge through the inverse of the map: it must be nearly the circle that was drawn.
fn is_as_large(map: [f64; 4], radius_mm: f64, target: &Target) -> bool {
    let (long, short) = half_axes(drawn_shape(map, radius_mm, target));
    long <= 1.0 + SIZE && short >= 1.0 - SIZE
}

/// Returns the symmetric matrix `[xx, xy, yy]` whose root makes the target's edge as drawn of the unit circle; all of a circle of the
/// right size is 1, 0, 1.
fn drawn_shape([a, b, c, d]: [f64; 4], radius_mm: f64, target: &Target) -> [f64; 3] {
    let determinant = (a * d - b * c) * radius_mm;
    let [xx, xy, yy] = target.shape_px;
    let column = |x: f64, y: f64| Vec2::new(d * x - c * y, a * y - b * x) / determinant;
    let (p, q) = (column(xx, xy), column(xy, yy));
    [
        p.x * p.x + q.x * q.x,
        p.x * p.y + q.x * q.y,
        p.y * p.y + q.y * q.y,
    ]
}

/// Returns the long and the short half axis of the ellipse whose squared shape is given.
fn half_axes([xx, xy, yy]: [f64; 3]) -> (f64, f64) {
    let half = f64::midpoint(xx, yy);
    let root = (((xx - yy) / 2.0).powi(2) + xy * xy).sqrt();
    ((half + root).sqrt(), (half - root).max(0.0).sqrt())
}

/// Compares the target's turn with that of the map, as far as a slanted map has one.
fn is_as_turned([a, b, c, d]: [f64; 4], target: &Target) -> bool {
    let (Some(seen_rad), Some((_, period_rad))) =
        (target.turn_rad, drawn_direction_rad(target.class))
    else {
        return true;
    };
    let turn_rad = atan2(b - c, a + d);
    let apart_rad = (seen_rad - turn_rad).rem_euclid(period_rad);
    apart_rad.min(period_rad - apart_rad) <= TURN_RAD
}

pub(super) fn pairs(marks: &[Mark], targets: &[Target], of_marks: &[Option<usize>]) -> Vec<Pair> {
    marks
        .iter()
        .zip(of_marks)
        .filter_map(|(mark, i)| Some(Pair::new(mark.centre, targets.get((*i)?)?.centre)))
        .collect()
}

/// Fits the map of a kind, or keeps the one there is while there are too few marks for it.
fn refit(pairs: &[Pair], kind: Kind, last: Homography) -> Option<Homography> {
    match kind {
        Kind::Scan if pairs.len() < 3 => Some(last),
        Kind::Scan => affine(pairs)
            .ok()
            .map(|fit| Homography::from_affine(fit.map)),
        Kind::Photo => projective(pairs).ok().map(|fit| fit.map),
    }
}

pub(super) fn count(number: usize) -> f64 {
    u32::try_from(number).map_or(f64::INFINITY, f64::from)
}

/// The mean factor of a map about a point, from millimetres to pixels.
pub(super) fn px_per_mm(map: &Homography, at: Point) -> f64 {
    map.near(at).determinant().abs().sqrt()
}
