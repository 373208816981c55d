//! Pages of ring-and-quadrant targets, drawn from their geometry alone.
//!
//! The shape is that of the design: a ring from 0.72 to 1 of the radius, quadrants to 0.56, a cross of 0.15 mm to 0.62. Nothing
//! here comes from the crate's own drawing of marks.

use kurbo::{Point, Size};

use super::raster::Raster;

/// Which quadrants are filled, clockwise as seen from the one between right and down.
pub(crate) type Quadrants = [bool; 4];

pub(crate) const NONE: Quadrants = [false; 4];
pub(crate) const ONE: Quadrants = [true, false, false, false];
pub(crate) const ADJACENT: Quadrants = [true, true, false, false];
pub(crate) const OPPOSITE: Quadrants = [true, false, true, false];
pub(crate) const THREE: Quadrants = [true, true, true, false];
pub(crate) const FULL: Quadrants = [true; 4];

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Target {
    /// In millimetres on the page.
    pub(crate) centre: Point,
    pub(crate) diameter_mm: f64,
    pub(crate) filled: Quadrants,
}

impl Target {
    fn has_ink(&self, at: Point) -> bool {
        let radius_mm = self.diameter_mm / 2.0;
        let (dx, dy) = (at.x - self.centre.x, at.y - self.centre.y);
        let distance = libm::hypot(dx, dy) / radius_mm;
        let quadrant = match (dx >= 0.0, dy >= 0.0) {
            (true, true) => 0,
            (false, true) => 1,
            (false, false) => 2,
            (true, false) => 3,
        };
        let on_line = dx.abs().min(dy.abs()) <= 0.075 && dx.abs().max(dy.abs()) <= 0.62 * radius_mm;
        (0.72..=1.0).contains(&distance) || (distance <= 0.56 && self.filled[quadrant]) || on_line
    }

    /// Draws the target over white, each pixel the mean of 8 x 8 places.
    fn draw(&self, on: &mut Raster) {
        let reach_px = (self.diameter_mm / 2.0 + 1.0) * on.px_per_mm;
        let (x_px, y_px) = (self.centre.x * on.px_per_mm, self.centre.y * on.px_per_mm);
        let range = |middle: f64, end: usize| {
            (middle - reach_px).max(0.0) as usize..((middle + reach_px).max(0.0) as usize).min(end)
        };
        for y in range(y_px, on.height) {
            for x in range(x_px, on.width) {
                let distance = libm::hypot(x as f64 + 0.5 - x_px, y as f64 + 0.5 - y_px);
                if distance < reach_px {
                    on.ink[y * on.width + x] = self.coverage(x, y, on.px_per_mm);
                }
            }
        }
    }

    fn coverage(&self, x: usize, y: usize, px_per_mm: f64) -> u8 {
        let place = |at: usize, part: usize| (at as f64 + (part as f64 + 0.5) / 8.0) / px_per_mm;
        let places =
            (0..64).filter(|part| self.has_ink(Point::new(place(x, part % 8), place(y, part / 8))));
        (places.count() * 255 / 64) as u8
    }
}

/// A page with targets and, if wanted, art around them.
#[derive(Debug, Clone)]
pub(crate) struct Page {
    /// In millimetres.
    pub(crate) size: Size,
    pub(crate) targets: Vec<Target>,
    /// Seed of the art; `None` for white paper.
    pub(crate) art: Option<u64>,
}

/// Which side of a chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    Front,
    Back,
}

impl Page {
    /// The grid of 5 x 7 targets of the calibration page.
    pub(crate) fn chart(size: Size, side: Side) -> Self {
        let place = |i: usize, j: usize| {
            Point::new(
                20.0 + (size.width - 40.0) * i as f64 / 4.0,
                20.0 + (size.height - 40.0) * j as f64 / 6.0,
            )
        };
        let filled = |i: usize, j: usize| match (i, j, side) {
            (0, 0, _) => ONE,
            (4, 0, _) => ADJACENT,
            (4, 6, _) => OPPOSITE,
            (0, 6, _) => THREE,
            (2, 3, Side::Front) | (2, 0, Side::Back) => FULL,
            _ => NONE,
        };
        let targets = (0..7).flat_map(|j| (0..5).map(move |i| (i, j)));
        Self {
            size,
            targets: targets
                .map(|(i, j)| Target {
                    centre: place(i, j),
                    diameter_mm: 6.0,
                    filled: filled(i, j),
                })
                .collect(),
            art: None,
        }
    }

    /// Six marks for cutting: four corners, one right at 0.40 and one left at 0.62 of the height.
    pub(crate) fn six_marks(size: Size, inset_mm: f64, diameter_mm: f64) -> Self {
        let (right, bottom) = (size.width - inset_mm, size.height - inset_mm);
        let mark = |x: f64, y: f64, filled: Quadrants| Target {
            centre: Point::new(x, y),
            diameter_mm,
            filled,
        };
        Self {
            size,
            targets: vec![
                mark(inset_mm, inset_mm, ONE),
                mark(right, inset_mm, ADJACENT),
                mark(right, bottom, OPPOSITE),
                mark(inset_mm, bottom, THREE),
                mark(right, 0.40 * size.height, NONE),
                mark(inset_mm, 0.62 * size.height, FULL),
            ],
            art: None,
        }
    }

    /// The same page with art in grey tones all around the marks, up to their white.
    pub(crate) fn with_art(mut self, seed: u64) -> Self {
        self.art = Some(seed);
        self
    }

    /// Returns the page as ink.
    pub(crate) fn raster(&self, dpi: f64) -> Raster {
        let mut raster = Raster::blank(self.size, dpi / 25.4);
        if let Some(seed) = self.art {
            super::art::draw(&mut raster, self.size, seed);
        }
        for target in &self.targets {
            target.draw(&mut raster);
        }
        raster.look();
        raster
    }
}
