//! A sheet of paper as it was cut.

use kurbo::{Point, Size};

use super::random::Random;

/// The sheet's corners in its own frame: origin at the top left corner, x along the top edge, y down, seen from the front.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet {
    /// Clockwise from the top left.
    pub(crate) corners: [Point; 4],
    /// Share of light that the paper gives back.
    pub(crate) white: f64,
}

impl Sheet {
    /// A sheet of just the nominal size.
    pub(crate) fn true_to(size: Size) -> Self {
        Self::cut(size, 0.0, 0.0)
    }

    /// A sheet of a size, its left edge leaning by `out_of_square_rad` (the bottom goes left), its bottom edge leaning by `taper_rad`.
    pub(crate) fn cut(size: Size, out_of_square_rad: f64, taper_rad: f64) -> Self {
        let lean = size.height * libm::tan(out_of_square_rad);
        let drop = size.width * libm::tan(taper_rad);
        Self {
            corners: [
                Point::ORIGIN,
                Point::new(size.width, 0.0),
                Point::new(size.width - lean, size.height + drop),
                Point::new(-lean, size.height),
            ],
            white: 0.9,
        }
    }

    /// A sheet off its nominal size and square as those in shops are: some tenths of a millimetre, seldom near the 1.5 to 2 mm that
    /// ISO 216 allows, and by 0.3 mrad out of square.
    pub(crate) fn of_shop(nominal: Size, random: &mut Random) -> Self {
        let off = |random: &mut Random, limit: f64| (0.3 * random.normal()).clamp(-limit, limit);
        let size = Size::new(
            nominal.width + off(random, 1.5),
            nominal.height + off(random, 2.0),
        );
        Self::cut(size, random.about_zero(0.0003), random.about_zero(0.0003))
    }

    /// Returns how far inside the sheet a point lies, in millimetres; below zero outside (there by the nearest edge's line).
    pub(crate) fn depth_mm(&self, at: Point) -> f64 {
        let edges = (0..4).map(|i| {
            let (from, to) = (self.corners[i], self.corners[(i + 1) % 4]);
            let along = to - from;
            along.cross(at - from) / along.hypot2().sqrt()
        });
        edges.fold(f64::INFINITY, f64::min)
    }

    /// Returns the distances of a point from the sheet's left and from its top edge, in millimetres: where a person with a ruler, and
    /// a machine that lays both edges against stops, finds it.
    pub(crate) fn distances(&self, at: Point) -> Point {
        let distance = |from: Point, to: Point| {
            let along = to - from;
            along.cross(at - from) / along.hypot2().sqrt()
        };
        let [top_left, top_right, _, bottom_left] = self.corners;
        Point::new(
            distance(bottom_left, top_left),
            distance(top_left, top_right),
        )
    }
}
