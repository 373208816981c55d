//! Ink on a page, as pixels, and what a square of pixels holds at a glance.

use kurbo::{Point, Size};

/// Side of the squares whose darkest and lightest pixels are kept.
pub(crate) const TILE: usize = 16;

/// How much ink lies where: 0 none, 255 full. A pixel covers a square; pixel 0 begins at the page's top left corner.
#[derive(Debug, Clone)]
pub(crate) struct Raster {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) px_per_mm: f64,
    pub(crate) ink: Vec<u8>,
    /// Least and most ink in each tile, row by row.
    tiles: Vec<(u8, u8)>,
}

impl Raster {
    /// A page without ink.
    pub(crate) fn blank(page: Size, px_per_mm: f64) -> Self {
        let width = (page.width * px_per_mm).ceil() as usize;
        let height = (page.height * px_per_mm).ceil() as usize;
        Self {
            width,
            height,
            px_per_mm,
            ink: vec![0; width * height],
            tiles: Vec::new(),
        }
    }

    /// A page as a renderer made it: 255 is paper, 0 black.
    pub(crate) fn from_picture(picture: &image::GrayImage, dpi: f64) -> Self {
        let mut raster = Self {
            width: picture.width() as usize,
            height: picture.height() as usize,
            px_per_mm: dpi / 25.4,
            ink: picture.as_raw().iter().map(|grey| 255 - grey).collect(),
            tiles: Vec::new(),
        };
        raster.look();
        raster
    }

    /// Takes stock of the tiles; needed after the ink changed.
    pub(crate) fn look(&mut self) {
        let across = self.width.div_ceil(TILE);
        let mut tiles = vec![(255_u8, 0_u8); across * self.height.div_ceil(TILE)];
        for (y, row) in self.ink.chunks_exact(self.width).enumerate() {
            let tiles = &mut tiles[y / TILE * across..][..across];
            for (piece, tile) in row.chunks(TILE).zip(tiles) {
                let low = *piece.iter().min().unwrap();
                let high = *piece.iter().max().unwrap();
                *tile = (tile.0.min(low), tile.1.max(high));
            }
        }
        self.tiles = tiles;
    }

    /// The same ink in pixels twice as large, each the mean of four.
    pub(crate) fn halved(&self) -> Self {
        let (width, height) = (self.width.div_ceil(2), self.height.div_ceil(2));
        let mut ink = vec![0_u8; width * height];
        for (y, line) in ink.chunks_exact_mut(width).enumerate() {
            let upper = &self.ink[2 * y * self.width..][..self.width];
            let lower = match self
                .ink
                .get((2 * y + 1) * self.width..(2 * y + 2) * self.width)
            {
                Some(row) => row,
                None => upper,
            };
            for (x, out) in line.iter_mut().enumerate() {
                let (left, right) = (2 * x, (2 * x + 1).min(self.width - 1));
                let sum = u16::from(upper[left])
                    + u16::from(upper[right])
                    + u16::from(lower[left])
                    + u16::from(lower[right]);
                *out = ((sum + 2) / 4) as u8;
            }
        }
        let mut half = Self {
            width,
            height,
            px_per_mm: self.px_per_mm / 2.0,
            ink,
            tiles: Vec::new(),
        };
        half.look();
        half
    }

    /// Returns the one amount of ink in a box of pixels, if it is only one. Outside the page there is none.
    pub(crate) fn one_ink(&self, low: Point, high: Point) -> Option<u8> {
        let outside = low.x < 0.0
            || low.y < 0.0
            || high.x >= self.width as f64
            || high.y >= self.height as f64;
        let inside = high.x >= 0.0
            && high.y >= 0.0
            && low.x < self.width as f64
            && low.y < self.height as f64;
        if !inside {
            return Some(0);
        }
        let across = self.width.div_ceil(TILE);
        let column = |x: f64| (x.clamp(0.0, (self.width - 1) as f64)) as usize / TILE;
        let row = |y: f64| (y.clamp(0.0, (self.height - 1) as f64)) as usize / TILE;
        let first = self.tiles[row(low.y) * across + column(low.x)].0;
        let mut tiles = (row(low.y)..=row(high.y))
            .flat_map(|y| (column(low.x)..=column(high.x)).map(move |x| y * across + x));
        let one = tiles.all(|tile| self.tiles[tile] == (first, first));
        (one && (first == 0 || !outside)).then_some(first)
    }

    /// Whether a tile and its neighbours hold one amount of ink alone; coordinates in tiles.
    pub(crate) fn is_flat_around(&self, x: usize, y: usize) -> bool {
        let (across, down) = (self.width.div_ceil(TILE), self.height.div_ceil(TILE));
        let first = self.tiles[y * across + x].0;
        (y.saturating_sub(1)..=(y + 1).min(down - 1)).all(|y| {
            (x.saturating_sub(1)..=(x + 1).min(across - 1))
                .all(|x| self.tiles[y * across + x] == (first, first))
        })
    }

    /// Ink at a place given in pixels, linear between the middles of pixels. No ink outside.
    pub(crate) fn ink_at(&self, x_px: f64, y_px: f64) -> f32 {
        let (x, y) = (x_px - 0.5, y_px - 0.5);
        if x < 0.0 || y < 0.0 {
            return 0.0;
        }
        let (column, row) = (x as usize, y as usize);
        if column + 1 >= self.width || row + 1 >= self.height {
            return 0.0;
        }
        let (fx, fy) = ((x - column as f64) as f32, (y - row as f64) as f32);
        let at = row * self.width + column;
        let upper = &self.ink[at..at + 2];
        let lower = &self.ink[at + self.width..at + self.width + 2];
        let top = f32::from(upper[0]) + (f32::from(upper[1]) - f32::from(upper[0])) * fx;
        let bottom = f32::from(lower[0]) + (f32::from(lower[1]) - f32::from(lower[0])) * fx;
        top + (bottom - top) * fy
    }
}

/// A page at halving sizes, so that a coarse picture averages over what its pixels cover.
#[derive(Debug, Clone)]
pub(crate) struct Pyramid(Vec<Raster>);

impl Pyramid {
    pub(crate) fn new(raster: Raster) -> Self {
        Self(vec![raster])
    }

    /// Returns the coarsest level with at least this many pixels to a millimetre, else the finest, made where missing.
    pub(crate) fn for_px_per_mm(&mut self, wanted: f64) -> &Raster {
        let mut level = 0;
        while self.0[level].px_per_mm / 2.0 >= wanted * 0.999 {
            if level + 1 == self.0.len() {
                let half = self.0[level].halved();
                self.0.push(half);
            }
            level += 1;
        }
        &self.0[level]
    }
}
