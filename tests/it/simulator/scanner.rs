//! A flatbed scanner: where the sheet lies, what the scanner's own scale is, how sharp it sees.

use kurbo::{Affine, Point, Size, Vec2};

use super::picture::Sensor;
use super::random::Random;

/// What lies behind the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Lid {
    /// A dark sheet behind the page.
    Dark,
    /// A white lid, with the thin shadow of the paper's edge: share of light it takes, and its width in millimetres.
    White { shadow: f64, width_mm: f64 },
}

impl Lid {
    pub(crate) const WHITE: Self = Self::White {
        shadow: 0.08,
        width_mm: 0.2,
    };

    pub(super) fn light(self) -> f64 {
        match self {
            Self::Dark => 0.06,
            Self::White { .. } => 0.88,
        }
    }

    pub(super) fn shadow(self) -> Option<(f64, f64)> {
        match self {
            Self::Dark => None,
            Self::White { shadow, width_mm } => Some((shadow, width_mm)),
        }
    }
}

/// One pass of a scanner over one sheet.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Scan {
    pub(crate) dpi: f64,
    /// Turn of the sheet on the glass, clockwise as seen in the picture.
    pub(crate) turn_rad: f64,
    /// Glass shown around the sheet at left, top, right, bottom; below zero the sheet is cropped.
    pub(crate) border_mm: [f64; 4],
    /// The scanner's own scale errors across and down, and its shear.
    pub(crate) scale: (f64, f64),
    pub(crate) shear_rad: f64,
    pub(crate) lid: Lid,
    /// Standard deviation of the lens's spot, in millimetres; it is never less than 0.35 pixels.
    pub(crate) spot_mm: f64,
    pub(crate) sensor: Sensor,
}

impl Scan {
    /// A scan without any error of its own.
    pub(crate) const fn perfect(dpi: f64) -> Self {
        Self {
            dpi,
            turn_rad: 0.0,
            border_mm: [5.0; 4],
            scale: (0.0, 0.0),
            shear_rad: 0.0,
            lid: Lid::Dark,
            spot_mm: 0.0,
            sensor: Sensor::PERFECT,
        }
    }

    /// A scan as people make it, by a scanner whose own scale is right.
    pub(crate) fn home(dpi: f64, random: &mut Random) -> Self {
        let border = |random: &mut Random| random.between(3.0, 12.0);
        Self {
            dpi,
            turn_rad: random.about_zero(0.03),
            border_mm: [
                border(random),
                border(random),
                border(random),
                border(random),
            ],
            scale: (0.0, 0.0),
            shear_rad: 0.0,
            lid: Lid::Dark,
            spot_mm: random.between(0.02, 0.045),
            sensor: Sensor {
                blur_px: 0.0,
                light: [
                    random.about_zero(0.03),
                    random.about_zero(0.03),
                    random.between(-0.03, 0.0),
                ],
                noise_levels: random.between(0.8, 3.0),
                gamma: random.between(1.0, 2.2),
                jpeg: random.chance(0.5).then_some(85),
            },
        }
    }

    /// The same scan by a scanner that was never calibrated: up to 0.15 % off in either scale, and up to 0.6 mrad in shear.
    pub(crate) fn with_own_error(mut self, random: &mut Random) -> Self {
        self.scale = (random.about_zero(0.0015), random.about_zero(0.0015));
        self.shear_rad = random.about_zero(0.0006);
        self
    }

    /// Returns where the sheet's places come out, in pixels, and the size of the picture.
    pub(super) fn placed(&self, corners: &[Point; 4]) -> (Affine, (usize, usize)) {
        let (sin, cos) = (libm::sin(self.turn_rad), libm::cos(self.turn_rad));
        let glass_from_sheet = Affine::new([cos, sin, -sin, cos, 0.0, 0.0]);
        let own = Affine::new([
            1.0 + self.scale.0,
            0.0,
            self.shear_rad,
            1.0 + self.scale.1,
            0.0,
            0.0,
        ]);
        let px = Affine::scale(self.dpi / 25.4);
        let loose = px * own * glass_from_sheet;
        let seen = corners.map(|c| loose * c);
        let (mut low, mut high) = (seen[0], seen[0]);
        for corner in seen {
            low = Point::new(low.x.min(corner.x), low.y.min(corner.y));
            high = Point::new(high.x.max(corner.x), high.y.max(corner.y));
        }
        let [left, top, right, bottom] = self.border_mm.map(|mm| mm * self.dpi / 25.4);
        let start = Vec2::new(left, top) - low.to_vec2();
        let size = Size::new(high.x - low.x + left + right, high.y - low.y + top + bottom);
        let size = (
            size.width.max(16.0) as usize,
            size.height.max(16.0) as usize,
        );
        (Affine::translate(start) * loose, size)
    }

    /// Coarse pixels cover more of the page, so that they are looked at in finer steps; none is finer than a page of 600 dpi.
    pub(super) fn step_px(&self) -> f64 {
        if self.dpi < 250.0 {
            0.3
        } else {
            (self.dpi / 600.0).max(0.55)
        }
    }

    pub(super) fn spot_px(&self) -> f64 {
        (self.spot_mm * self.dpi / 25.4).max(0.35)
    }
}
