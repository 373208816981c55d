//! Sheets drawn into a picture, each pixel the weighted mean of what lies within reach of its lens.
//!
//! Places are worked out at the corners of blocks of 8 x 8 pixels and taken as linear between; with the bends of paper, lens and
//! printer that are simulated here this costs less than a thousandth of a pixel. Blocks of one tone are filled without sampling.

use kurbo::{Point, Vec2};

use super::raster::Raster;
use super::sheet::Sheet;

const BLOCK: usize = 8;

/// Light from each place, row by row: 0 none, 1 as much as falls on it. Pixel 0 covers 0 to 1.
#[derive(Debug, Clone)]
pub(crate) struct Canvas {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) light: Vec<f32>,
}

/// How a lens spreads a point: places about the middle of a pixel, in pixels, and their weights.
#[derive(Debug, Clone)]
pub(crate) struct Spot {
    taps: Vec<(Vec2, f32)>,
    reach_px: f64,
}

impl Spot {
    /// The pixel's own square and a bell curve with a standard deviation in pixels, looked at in steps of at most `step_px`.
    pub(crate) fn new(sigma_px: f64, step_px: f64) -> Self {
        // A square has the variance 1/12; the bell of both together is sampled to 2.2 of its standard deviations.
        let sigma = (sigma_px * sigma_px + 1.0 / 12.0).sqrt();
        let reach_px = 2.2 * sigma;
        let steps = ((2.0 * reach_px / step_px).ceil() as i32).clamp(4, 12);
        let place = |i: i32| (f64::from(2 * i + 1 - steps) / f64::from(steps)) * reach_px;
        let weight = |d: f64| libm::exp(-0.5 * d * d / (sigma * sigma));
        let places = (0..steps).flat_map(|j| (0..steps).map(move |i| (place(i), place(j))));
        let all: Vec<(Vec2, f64)> = places
            .map(|(x, y)| (Vec2::new(x, y), weight(x) * weight(y)))
            .collect();
        let sum: f64 = all.iter().map(|tap| tap.1).sum();
        Self {
            taps: all.iter().map(|(d, w)| (*d, (w / sum) as f32)).collect(),
            reach_px,
        }
    }

    /// Distance between neighbouring places, in pixels.
    pub(crate) fn step_px(&self) -> f64 {
        2.0 * self.reach_px / (self.taps.len() as f64).sqrt()
    }
}

/// One sheet or patch in the picture.
pub(crate) struct Layer<'a> {
    pub(crate) sheet: Sheet,
    /// What is printed on it, and how a place of the sheet becomes one of the page; both in millimetres.
    pub(crate) print: Option<(&'a Raster, &'a dyn Fn(Point) -> Point)>,
    /// Share of light that full ink takes away.
    pub(crate) strength: f64,
    pub(crate) sheet_from_picture: &'a dyn Fn(Point) -> Point,
    /// The shadow that its edges throw on what lies behind, if any: share of light taken at the edge, and how far it reaches.
    pub(crate) shadow: Option<(f64, f64)>,
}

/// A corner of a block: the place on the sheet, and on the page in pixels of its raster.
#[derive(Debug, Clone, Copy)]
struct Corner {
    sheet: Point,
    page_px: Point,
    depth_mm: f64,
}

/// A place that is linear in the two directions of a block and in their product.
#[derive(Debug, Clone, Copy)]
struct Patch {
    at: Point,
    right: Vec2,
    down: Vec2,
    both: Vec2,
}

impl Patch {
    /// Between the corners top left, top right, bottom left, bottom right.
    fn between(corners: [Point; 4]) -> Self {
        let [a, b, c, d] = corners;
        Self {
            at: a,
            right: b - a,
            down: c - a,
            both: (d - c) - (b - a),
        }
    }

    fn at(&self, u: f64, v: f64) -> Point {
        self.at + self.right * u + self.down * v + self.both * (u * v)
    }

    /// A step given in pixels, at the middle of the block.
    fn step(&self, pixels: Vec2) -> Vec2 {
        let (right, down) = (self.right + self.both * 0.5, self.down + self.both * 0.5);
        (right * pixels.x + down * pixels.y) / BLOCK as f64
    }
}

impl Canvas {
    pub(crate) fn new(width: usize, height: usize, light: f64) -> Self {
        Self {
            width,
            height,
            light: vec![light as f32; width * height],
        }
    }

    /// Draws a layer over what is there.
    pub(crate) fn draw(&mut self, layer: &Layer, spot: &Spot) {
        let columns = self.width.div_ceil(BLOCK);
        let row_of_corners = |y: usize| -> Vec<Corner> {
            (0..=columns)
                .map(|x| layer.corner(Point::new((x * BLOCK) as f64, (y * BLOCK) as f64)))
                .collect()
        };
        let mut upper = row_of_corners(0);
        for y in 0..self.height.div_ceil(BLOCK) {
            let lower = row_of_corners(y + 1);
            for x in 0..columns {
                let corners = [upper[x], upper[x + 1], lower[x], lower[x + 1]];
                self.draw_block(layer, spot, (x * BLOCK, y * BLOCK), &corners);
            }
            upper = lower;
        }
    }

    fn draw_block(
        &mut self,
        layer: &Layer,
        spot: &Spot,
        start: (usize, usize),
        corners: &[Corner; 4],
    ) {
        let pixel_mm = (corners[3].sheet - corners[0].sheet).hypot2().sqrt()
            / (BLOCK as f64 * std::f64::consts::SQRT_2);
        let reach_mm = 1.5 * spot.reach_px * pixel_mm;
        let deepest = corners.iter().map(|c| c.depth_mm).fold(f64::MIN, f64::max);
        let least = corners.iter().map(|c| c.depth_mm).fold(f64::MAX, f64::min);
        let shadow_mm = layer.shadow.map_or(0.0, |(_, reach_mm)| 4.0 * reach_mm);
        // A depth is by the nearest edge, so that corners of a block may be outside two edges while its middle is inside none.
        if deepest < -(reach_mm + shadow_mm + BLOCK as f64 * pixel_mm) {
            return;
        }
        let inside = least > reach_mm;
        let block = Block {
            layer,
            sheet: Patch::between(corners.map(|c| c.sheet)),
            page: Patch::between(corners.map(|c| c.page_px)),
            spot,
        };
        if inside && let Some(light) = block.one_light(corners) {
            self.fill(start, light);
            return;
        }
        for y in start.1..(start.1 + BLOCK).min(self.height) {
            for x in start.0..(start.0 + BLOCK).min(self.width) {
                let (u, v) = (middle(x - start.0), middle(y - start.1));
                let light = &mut self.light[y * self.width + x];
                *light = if inside {
                    block.print_light(u, v)
                } else {
                    block.light_over(u, v, *light)
                };
            }
        }
    }

    fn fill(&mut self, start: (usize, usize), light: f32) {
        let end = (start.0 + BLOCK).min(self.width);
        for y in start.1..(start.1 + BLOCK).min(self.height) {
            self.light[y * self.width + start.0..y * self.width + end].fill(light);
        }
    }
}

/// Where the middle of a block's pixel lies between its sides.
fn middle(pixel: usize) -> f64 {
    (pixel as f64 + 0.5) / BLOCK as f64
}

struct Block<'a> {
    layer: &'a Layer<'a>,
    sheet: Patch,
    page: Patch,
    spot: &'a Spot,
}

impl Block<'_> {
    fn one_light(&self, corners: &[Corner; 4]) -> Option<f32> {
        let Some((raster, _)) = self.layer.print else {
            return Some(self.layer.light(0.0));
        };
        let fold = |of: fn(&Corner) -> f64, pick: fn(f64, f64) -> f64, start: f64| {
            corners.iter().map(of).fold(start, pick)
        };
        let reach = self
            .page
            .step(Vec2::new(self.spot.reach_px, 0.0))
            .hypot2()
            .sqrt()
            * 1.5
            + 2.0;
        let low = Point::new(
            fold(|c| c.page_px.x, f64::min, f64::MAX) - reach,
            fold(|c| c.page_px.y, f64::min, f64::MAX) - reach,
        );
        let high = Point::new(
            fold(|c| c.page_px.x, f64::max, f64::MIN) + reach,
            fold(|c| c.page_px.y, f64::max, f64::MIN) + reach,
        );
        let ink = raster.one_ink(low, high)?;
        Some(self.layer.light(f32::from(ink)))
    }

    fn print_light(&self, u: f64, v: f64) -> f32 {
        let Some((raster, _)) = self.layer.print else {
            return self.layer.light(0.0);
        };
        let at = self.page.at(u, v);
        let (right, down) = (
            self.page.step(Vec2::new(1.0, 0.0)),
            self.page.step(Vec2::new(0.0, 1.0)),
        );
        let mut ink = 0.0;
        for (d, weight) in &self.spot.taps {
            let x = at.x + right.x * d.x + down.x * d.y;
            let y = at.y + right.y * d.x + down.y * d.y;
            ink += weight * raster.ink_at(x, y);
        }
        self.layer.light(ink)
    }

    /// Light where the sheet's edge may run through the pixel.
    fn light_over(&self, u: f64, v: f64, behind: f32) -> f32 {
        let (mut cover, mut ink) = (0.0, 0.0);
        let (sheet, page) = (self.sheet.at(u, v), self.page.at(u, v));
        let pixel_mm = self.sheet.step(Vec2::new(1.0, 0.0)).hypot2().sqrt();
        let cell_mm = self.spot.step_px() * pixel_mm;
        for (d, weight) in &self.spot.taps {
            let depth_mm = self.layer.sheet.depth_mm(sheet + self.sheet.step(*d));
            // Each place stands for a square; an edge that ran by places alone would go in steps of half a pixel.
            let weight = weight * (0.5 + depth_mm / cell_mm).clamp(0.0, 1.0) as f32;
            if weight > 0.0 {
                cover += weight;
                if let Some((raster, _)) = self.layer.print {
                    let at = page + self.page.step(*d);
                    ink += weight * raster.ink_at(at.x, at.y);
                }
            }
        }
        let shade = self.layer.shade_at(self.layer.sheet.depth_mm(sheet));
        behind * shade * (1.0 - cover)
            + cover
                * self
                    .layer
                    .light(if cover > 0.0 { ink / cover } else { 0.0 })
    }
}

impl Layer<'_> {
    fn corner(&self, picture: Point) -> Corner {
        let sheet = (self.sheet_from_picture)(picture);
        let page_px = match self.print {
            Some((raster, page_from_sheet)) => {
                (page_from_sheet(sheet).to_vec2() * raster.px_per_mm).to_point()
            }
            None => Point::ORIGIN,
        };
        Corner {
            sheet,
            page_px,
            depth_mm: self.sheet.depth_mm(sheet),
        }
    }

    fn light(&self, ink: f32) -> f32 {
        self.sheet.white as f32 * (1.0 - self.strength as f32 * ink / 255.0)
    }

    fn shade_at(&self, depth_mm: f64) -> f32 {
        match self.shadow {
            Some((strength, reach_mm)) if depth_mm < 0.0 => {
                (1.0 - strength * libm::exp(depth_mm / reach_mm)) as f32
            }
            Some(_) | None => 1.0,
        }
    }
}
