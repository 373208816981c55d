//! How much ink a page takes.

use kurbo::Affine;
use resvg::tiny_skia::Pixmap;
use serde::Serialize;

use super::canvas::Canvas;
use crate::draw::page::Page;
use crate::drawing::Asset;
use crate::length::MM_PER_INCH;

/// Pixels to the inch at which ink is counted: a hair line of a tenth of a millimetre is a fifth of a pixel there, and counted as that.
const COUNTED_DPI: f64 = 50.0;

/// The share of a page that each ink covers, in percent.
///
/// Red, green and blue are taken for inks as PDF does it (ISO 32000-1, 10.3.4, with all that three inks share taken for black): cyan is what is
/// missing of red, and so on. A printer's driver mixes its own way, so this tells pages from pages, not millilitres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct InkCover {
    /// Cyan.
    pub cyan_percent: f64,
    /// Magenta.
    pub magenta_percent: f64,
    /// Yellow.
    pub yellow_percent: f64,
    /// Black.
    pub black_percent: f64,
}

impl InkCover {
    /// Returns the sum of all four: up to 300, where two colours and black lie on one another.
    #[must_use]
    pub fn total_percent(&self) -> f64 {
        self.cyan_percent + self.magenta_percent + self.yellow_percent + self.black_percent
    }
}

/// Returns how much ink `page` takes on white paper; `assets` are those the page's drawings index.
#[must_use]
pub fn ink_cover(page: &Page, assets: &[Asset]) -> InkCover {
    let px_per_mm = COUNTED_DPI / MM_PER_INCH;
    let (width_px, height_px) = (page.width_mm * px_per_mm, page.height_mm * px_per_mm);
    let mut canvas = Canvas::new(width_px, height_px, assets);
    for layer in &page.layers {
        canvas.paint(&layer.drawing, Affine::scale(px_per_mm) * layer.matrix);
    }
    counted(canvas.pixels())
}

fn counted(pixels: &Pixmap) -> InkCover {
    let mut sums = [0_u64; 4];
    for pixel in pixels.pixels() {
        let inks = [pixel.red(), pixel.green(), pixel.blue()].map(|light| u8::MAX - light);
        let black = inks.into_iter().min().unwrap_or(0);
        for (sum, ink) in sums.iter_mut().zip(inks) {
            *sum += u64::from(ink - black);
        }
        sums[3] += u64::from(black);
    }
    let count = f64::from(pixels.width()) * f64::from(pixels.height());
    // Sums stay far below 2^53: a page has millions of pixels, not billions.
    #[expect(clippy::cast_precision_loss, reason = "a sum over one page")]
    let percent = |sum: u64| 100.0 * sum as f64 / (f64::from(u8::MAX) * count);
    let [cyan, magenta, yellow, black] = sums.map(percent);
    InkCover {
        cyan_percent: cyan,
        magenta_percent: magenta,
        yellow_percent: yellow,
        black_percent: black,
    }
}

#[cfg(test)]
mod tests {
    use kurbo::{Rect, Shape};

    use super::*;
    use crate::draw::page::PageLayer;
    use crate::drawing::{Colour, Drawing, FillRule, Item, Paint};

    fn page(fills: &[(Rect, Colour)]) -> Page {
        let items = fills.iter().map(|(area, colour)| Item::Fill {
            path: area.to_path(0.1),
            rule: FillRule::NonZero,
            paint: Paint::flat(*colour),
        });
        Page {
            label: String::new(),
            width_mm: 254.0,
            height_mm: 127.0,
            layers: vec![PageLayer {
                name: "Artwork",
                step: None,
                matrix: Affine::IDENTITY,
                drawing: Drawing {
                    items: items.collect(),
                },
            }],
        }
    }

    /// By hand: a quarter of the page in pure red is a quarter each of magenta and yellow; a fifth in #336699 lacks 204, 153 and 102 of 255,
    /// which is 40 % black and 40 and 20 % of cyan and magenta besides, so 8, 4 and 8 % of the page.
    #[test]
    fn inks_are_what_is_missing_of_light() {
        let red = Rect::new(0.0, 0.0, 127.0, 63.5);
        let blue = Rect::new(127.0, 0.0, 177.8, 127.0);
        let cover = ink_cover(
            &page(&[
                (red, Colour::rgb(255, 0, 0)),
                (blue, Colour::rgb(0x33, 0x66, 0x99)),
            ]),
            &[],
        );
        let found = [
            cover.cyan_percent,
            cover.magenta_percent,
            cover.yellow_percent,
            cover.black_percent,
        ];
        for (found, by_hand) in found.into_iter().zip([8.0, 29.0, 25.0, 8.0]) {
            assert!((found - by_hand).abs() < 1e-9, "{found} for {by_hand}");
        }
        assert!((cover.total_percent() - 70.0).abs() < 1e-9);
    }

    #[test]
    fn white_paper_takes_no_ink() {
        assert!(ink_cover(&page(&[]), &[]).total_percent().abs() < f64::EPSILON);
    }
}
