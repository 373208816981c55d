//! Pictures of targets for tests, each pixel the share of it that ink covers.

use kurbo::{Affine, Point};

use super::picture::Picture;
use crate::plan::{Mark, MarkClass};

const PARTS: u32 = 8;
const PAPER: f64 = 235.0;
const INK: f64 = 30.0;
const GROUND: f64 = 60.0;

/// A sheet with marks, and how it lies in the picture.
#[derive(Debug, Clone)]
pub(super) struct Drawn {
    pub(super) marks: Vec<Mark>,
    /// Width and height of the sheet in millimetres.
    pub(super) sheet: (f64, f64),
    /// Sheet millimetres to pixels.
    pub(super) place: Affine,
    pub(super) size_px: (u32, u32),
    /// How dark the ink is: 1 is full.
    pub(super) strength: f64,
    /// Ids of marks that are covered by half.
    pub(super) covered: Vec<&'static str>,
}

impl Drawn {
    /// Six marks of 6 mm on a sheet of 80 x 110 mm, 5 mm from the picture's corner, at 6 pixels to the millimetre (152.4 dpi).
    pub(super) fn six() -> Self {
        Self {
            marks: six_marks(),
            sheet: (80.0, 110.0),
            place: Affine::scale(6.0) * Affine::translate((5.2, 4.9)),
            size_px: (540, 720),
            strength: 1.0,
            covered: Vec::new(),
        }
    }

    /// The same, turned by an angle about the middle of a picture that has room for it.
    pub(super) fn turned(angle_rad: f64) -> Self {
        let (sin, cos) = crate::math::sin_cos(angle_rad);
        Self {
            place: Affine::translate((450.3, 450.6))
                * Affine::new([cos, sin, -sin, cos, 0.0, 0.0])
                * Affine::scale(6.0)
                * Affine::translate((-40.0, -55.0)),
            size_px: (900, 900),
            ..Self::six()
        }
    }

    pub(super) fn picture(&self) -> Picture {
        let back = self.place.inverse();
        let (width, height) = self.size_px;
        let mut grey = Vec::new();
        for y in 0..height {
            for x in 0..width {
                let (x, y) = (f64::from(x), f64::from(y));
                let middle = back * Point::new(x + 0.5, y + 0.5);
                grey.push(to_grey(self.pixel(&back, x, y, middle)));
            }
        }
        let stated_dpi = 25.4 * self.place.determinant().abs().sqrt();
        let picture = Picture::from_grey(width, height, grey).unwrap();
        picture.with_dpi(Some(stated_dpi))
    }

    fn pixel(&self, back: &Affine, x: f64, y: f64, middle: Point) -> f64 {
        let near = self
            .marks
            .iter()
            .find(|m| (m.centre - middle).hypot2().sqrt() < m.diameter_mm / 2.0 + 1.0);
        let (w, h) = self.sheet;
        let depth = middle.x.min(middle.y).min(w - middle.x).min(h - middle.y);
        if near.is_none() && depth.abs() > 0.5 {
            return if depth > 0.0 { PAPER } else { GROUND };
        }
        let part = |i: u32| (f64::from(i) + 0.5) / f64::from(PARTS);
        let mut sum = 0.0;
        for (i, j) in (0..PARTS).flat_map(|j| (0..PARTS).map(move |i| (i, j))) {
            let at = *back * Point::new(x + part(i), y + part(j));
            sum += self.value(at, near);
        }
        sum / f64::from(PARTS * PARTS)
    }

    fn value(&self, at: Point, near: Option<&Mark>) -> f64 {
        if at.x < 0.0 || at.y < 0.0 || at.x > self.sheet.0 || at.y > self.sheet.1 {
            return GROUND;
        }
        let has_ink = near.is_some_and(|m| {
            has_ink(m, at) || (self.covered.contains(&m.id.as_str()) && at.x > m.centre.x - 1.0)
        });
        if has_ink {
            PAPER - self.strength * (PAPER - INK)
        } else {
            PAPER
        }
    }
}

/// Four in the corners, 12 mm from the edges; one at 0.40 of the right side, one at 0.62 of the left.
pub(super) fn six_marks() -> Vec<Mark> {
    [
        (12.0, 12.0, MarkClass::One),
        (68.0, 12.0, MarkClass::TwoAdjacent),
        (68.0, 98.0, MarkClass::TwoOpposite),
        (12.0, 98.0, MarkClass::Three),
        (68.0, 44.0, MarkClass::Empty),
        (12.0, 68.2, MarkClass::Full),
    ]
    .into_iter()
    .zip(["m1", "m2", "m3", "m4", "m5", "m6"])
    .map(|((x, y, class), id)| Mark {
        id: id.to_owned(),
        centre: Point::new(x, y),
        diameter_mm: 6.0,
        class,
    })
    .collect()
}

/// The design's numbers: a ring from 0.72 of the radius, quadrants to 0.56, a cross of 0.15 mm to 0.62.
fn has_ink(mark: &Mark, at: Point) -> bool {
    let radius_mm = mark.diameter_mm / 2.0;
    let away = at - mark.centre;
    let distance = away.hypot2().sqrt() / radius_mm;
    let (x, y) = (away.x.abs(), away.y.abs());
    let is_cross = x.min(y) < 0.075 && x.max(y) < 0.62 * radius_mm;
    let quadrant = match (away.x > 0.0, away.y > 0.0) {
        (true, true) => 0,
        (false, true) => 1,
        (false, false) => 2,
        (true, false) => 3,
    };
    let filled: &[usize] = match mark.class {
        MarkClass::Empty => &[],
        MarkClass::One => &[0],
        MarkClass::TwoAdjacent => &[0, 1],
        MarkClass::TwoOpposite => &[0, 2],
        MarkClass::Three => &[0, 1, 2],
        MarkClass::Full => &[0, 1, 2, 3],
    };
    is_cross || (0.72..1.0).contains(&distance) || (distance < 0.56 && filled.contains(&quadrant))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a mean of grey values is one"
)]
fn to_grey(value: f64) -> u8 {
    value.round() as u8
}
