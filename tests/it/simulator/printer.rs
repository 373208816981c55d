//! What a printer does to a page: where its ink goes on the sheet, and how the ink spreads.

use kurbo::{Affine, Point, Size, Vec2};

use super::random::{Random, noise_at};
use super::raster::{Raster, TILE};

/// A wave that moves ink by up to `reach_mm`.
#[derive(Debug, Clone, Copy)]
struct Wave {
    reach_mm: f64,
    per_mm: f64,
    start_rad: f64,
}

impl Wave {
    fn any(random: &mut Random, reach_mm: f64, length_mm: (f64, f64)) -> Self {
        Self {
            reach_mm,
            per_mm: std::f64::consts::TAU / random.between(length_mm.0, length_mm.1),
            start_rad: random.between(0.0, std::f64::consts::TAU),
        }
    }

    fn at(&self, place_mm: f64) -> f64 {
        self.reach_mm * libm::sin(self.per_mm * place_mm + self.start_rad)
    }
}

/// Where the ink of a page comes out: `sheet = M page + b`, and a little bow and ripple on top.
#[derive(Debug, Clone)]
pub(crate) struct PrintPath {
    pub(crate) sheet_from_page: Affine,
    /// Bow of lines across (moves y along x) and down (moves x along y); ripple of the feed (moves y along y) and of the carriage.
    waves: [Option<Wave>; 4],
}

/// How far off a printer is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PrintError {
    pub(crate) scale: (f64, f64),
    pub(crate) turn_rad: f64,
    pub(crate) shear_rad: f64,
    /// Shift of the page's middle.
    pub(crate) shift_mm: Vec2,
    pub(crate) bow_mm: f64,
    pub(crate) ripple_mm: f64,
}

impl PrintError {
    pub(crate) const NONE: Self = Self {
        scale: (0.0, 0.0),
        turn_rad: 0.0,
        shear_rad: 0.0,
        shift_mm: Vec2::ZERO,
        bow_mm: 0.0,
        ripple_mm: 0.0,
    };

    /// A printer as they stand in homes: up to 1.5 % off in scale, about a millimetre off in place.
    pub(crate) fn home(random: &mut Random) -> Self {
        let scale = |random: &mut Random| (0.005 * random.normal()).clamp(-0.015, 0.015);
        Self {
            scale: (scale(random), scale(random)),
            turn_rad: random.about_zero(0.003),
            shear_rad: random.about_zero(0.001),
            shift_mm: Vec2::new(random.about_zero(0.5), random.about_zero(1.0)),
            bow_mm: random.between(0.01, 0.03),
            ripple_mm: random.between(0.01, 0.02),
        }
    }
}

impl PrintPath {
    pub(crate) fn new(error: PrintError, page: Size, random: &mut Random) -> Self {
        let (sin, cos) = (libm::sin(error.turn_rad), libm::cos(error.turn_rad));
        let stretch = Affine::new([
            1.0 + error.scale.0,
            0.0,
            error.shear_rad,
            1.0 + error.scale.1,
            0.0,
            0.0,
        ]);
        let turn = Affine::new([cos, sin, -sin, cos, 0.0, 0.0]);
        let middle = Vec2::new(page.width / 2.0, page.height / 2.0);
        let sheet_from_page = Affine::translate(middle + error.shift_mm)
            * turn
            * stretch
            * Affine::translate(-middle);
        // A bow is a wave about twice as long as the sheet, so that it has one belly.
        let bow = |random: &mut Random, side_mm: f64| {
            Wave::any(random, error.bow_mm, (1.6 * side_mm, 2.4 * side_mm))
        };
        let waves = [
            bow(random, page.width),
            bow(random, page.height),
            Wave::any(random, error.ripple_mm, (40.0, 100.0)),
            Wave::any(random, error.ripple_mm, (40.0, 100.0)),
        ];
        Self {
            sheet_from_page,
            waves: waves.map(|wave| (wave.reach_mm > 0.0).then_some(wave)),
        }
    }

    fn wave_at(&self, page: Point) -> Vec2 {
        let at = |wave: usize, place_mm: f64| self.waves[wave].map_or(0.0, |w| w.at(place_mm));
        Vec2::new(at(1, page.y) + at(3, page.x), at(0, page.x) + at(2, page.y))
    }

    /// Returns where on the sheet a point of the page is printed.
    pub(crate) fn sheet_from_page(&self, page: Point) -> Point {
        self.sheet_from_page * page + self.wave_at(page)
    }

    /// Returns which point of the page is printed at a place of the sheet.
    pub(crate) fn page_from_sheet(&self, sheet: Point) -> Point {
        let back = self.sheet_from_page.inverse();
        if self.waves.iter().all(Option::is_none) {
            return back * sheet;
        }
        // The waves change by less than 1 in 100, so that three rounds leave less than a nanometre.
        let mut page = back * sheet;
        for _ in 0..3 {
            page = back * (sheet - self.wave_at(page));
        }
        page
    }

    /// Returns the affine map nearest to where ink goes, bow and ripple included, over a page less a margin of 20 mm.
    pub(crate) fn best_affine(&self, page: Size) -> Affine {
        let inner = Size::new(page.width - 40.0, page.height - 40.0);
        let pairs = (0..=60).flat_map(|j| {
            (0..=40).map(move |i| {
                Point::new(
                    20.0 + inner.width * f64::from(i) / 40.0,
                    20.0 + inner.height * f64::from(j) / 60.0,
                )
            })
        });
        let pairs: Vec<(Point, Point)> = pairs.map(|p| (p, self.sheet_from_page(p))).collect();
        super::affine::nearest(&pairs)
    }
}

/// How ink spreads and how black it is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ink {
    /// How far edges move outwards; below zero inwards.
    pub(crate) spread_mm: f64,
    /// Softness of edges, a standard deviation.
    pub(crate) soft_mm: f64,
    /// Standard deviation of the edge's place from one dot to the next.
    pub(crate) ragged_mm: f64,
    /// Share of light that full ink takes away.
    pub(crate) strength: f64,
    pub(crate) seed: u64,
}

impl Ink {
    pub(crate) const PERFECT: Self = Self {
        spread_mm: 0.0,
        soft_mm: 0.0,
        ragged_mm: 0.0,
        strength: 1.0,
        seed: 0,
    };

    pub(crate) fn home(random: &mut Random) -> Self {
        Self {
            spread_mm: random.between(-0.01, 0.06),
            soft_mm: random.between(0.015, 0.035),
            ragged_mm: random.between(0.005, 0.02),
            strength: random.between(0.8, 0.97),
            seed: random.bits(),
        }
    }

    /// Returns the ink as it dries: edges softened, then moved along their slope, by a different amount at each dot.
    pub(crate) fn print(&self, page: &Raster) -> Raster {
        let mut printed = page.clone();
        if self.soft_mm <= 0.0 {
            return printed;
        }
        let kernel = kernel(self.soft_mm * page.px_per_mm);
        for y in 0..page.height.div_ceil(TILE) {
            for x in 0..page.width.div_ceil(TILE) {
                if !page.is_flat_around(x, y) {
                    self.print_tile(page, (x, y), &kernel, &mut printed);
                }
            }
        }
        printed.look();
        printed
    }

    fn print_tile(&self, page: &Raster, tile: (usize, usize), kernel: &[f32], out: &mut Raster) {
        let reach = kernel.len() / 2;
        let soft = softened(page, (tile.0 * TILE, tile.1 * TILE), kernel);
        let side = TILE + 2;
        debug_assert!(reach < TILE, "a tile's neighbours hold all that reaches it");
        let dot_px = (0.042 * page.px_per_mm).round().max(1.0) as u64;
        for y in 0..TILE.min(page.height - tile.1 * TILE) {
            for x in 0..TILE.min(page.width - tile.0 * TILE) {
                let at = (y + 1) * side + x + 1;
                let across = (soft[at + 1] - soft[at - 1]) / 2.0;
                let down = (soft[at + side] - soft[at - side]) / 2.0;
                let slope = (across * across + down * down).sqrt();
                let (px, py) = (tile.0 * TILE + x, tile.1 * TILE + y);
                let noise = noise_at(px as u64 / dot_px, py as u64 / dot_px, self.seed);
                let moved_px =
                    (self.spread_mm as f32 + self.ragged_mm as f32 * noise) * page.px_per_mm as f32;
                out.ink[py * page.width + px] =
                    (soft[at] + moved_px * slope + 0.5).clamp(0.0, 255.0) as u8;
            }
        }
    }
}

/// A bell curve of a standard deviation in pixels, to three of them on each side.
pub(super) fn kernel(sigma_px: f64) -> Vec<f32> {
    let reach = (3.0 * sigma_px).ceil() as i32;
    let weights: Vec<f64> = (-reach..=reach)
        .map(|i| libm::exp(-0.5 * f64::from(i * i) / (sigma_px * sigma_px)))
        .collect();
    let sum: f64 = weights.iter().sum();
    weights.iter().map(|w| (w / sum) as f32).collect()
}

/// Returns a tile and one pixel around it, softened.
fn softened(page: &Raster, start: (usize, usize), kernel: &[f32]) -> Vec<f32> {
    let reach = kernel.len() / 2;
    let (side, tall) = (TILE + 2, TILE + 2 + 2 * reach);
    let ink = |x: usize, y: usize| -> f32 {
        // Shifted by one pixel and the reach, so that nothing is below zero.
        let x = (start.0 + x).saturating_sub(1 + reach).min(page.width - 1);
        let y = (start.1 + y).saturating_sub(1 + reach).min(page.height - 1);
        f32::from(page.ink[y * page.width + x])
    };
    let mut rows = vec![0.0_f32; side * tall];
    let mut line = vec![0.0_f32; side + 2 * reach];
    for y in 0..tall {
        for (x, value) in line.iter_mut().enumerate() {
            *value = ink(x, y);
        }
        for x in 0..side {
            rows[y * side + x] = kernel.iter().zip(&line[x..]).map(|(w, v)| w * v).sum();
        }
    }
    let mut soft = vec![0.0_f32; side * side];
    for (i, weight) in kernel.iter().enumerate() {
        for (out, value) in soft.iter_mut().zip(&rows[i * side..]) {
            *out += weight * value;
        }
    }
    soft
}
