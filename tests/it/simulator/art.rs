//! Grey art that covers a page: leaves, pots, stripes and flat panels, with margins of 5 mm.

use kurbo::{Point, Size};

use super::random::Random;
use super::raster::Raster;

enum Shape {
    Disc {
        centre: Point,
        radius_mm: f64,
    },
    Ring {
        centre: Point,
        radius_mm: f64,
        width_mm: f64,
    },
    Bar {
        from: Point,
        along: (f64, f64),
        length_mm: f64,
        width_mm: f64,
    },
}

impl Shape {
    fn any(random: &mut Random, page: Size) -> Self {
        let centre = Point::new(
            random.between(0.0, page.width),
            random.between(0.0, page.height),
        );
        match random.below(3) {
            0 => Self::Disc {
                centre,
                radius_mm: random.between(1.0, 14.0),
            },
            1 => Self::Ring {
                centre,
                radius_mm: random.between(2.0, 12.0),
                width_mm: random.between(0.3, 2.0),
            },
            _ => {
                let turn_rad = random.between(0.0, std::f64::consts::TAU);
                Self::Bar {
                    from: centre,
                    along: (libm::cos(turn_rad), libm::sin(turn_rad)),
                    length_mm: random.between(5.0, 60.0),
                    width_mm: random.between(0.2, 4.0),
                }
            }
        }
    }

    fn holds(&self, at: Point) -> bool {
        match self {
            Self::Disc { centre, radius_mm } => (at - *centre).hypot2() <= radius_mm * radius_mm,
            Self::Ring {
                centre,
                radius_mm,
                width_mm,
            } => ((at - *centre).hypot2().sqrt() - radius_mm).abs() <= width_mm / 2.0,
            Self::Bar {
                from,
                along,
                length_mm,
                width_mm,
            } => {
                let d = at - *from;
                let (forth, aside) = (d.x * along.0 + d.y * along.1, d.y * along.0 - d.x * along.1);
                (0.0..=*length_mm).contains(&forth) && aside.abs() <= width_mm / 2.0
            }
        }
    }

    /// Returns the middle of a circle around the shape, and its radius.
    fn around(&self) -> (Point, f64) {
        match self {
            Self::Disc { centre, radius_mm } => (*centre, *radius_mm),
            Self::Ring {
                centre,
                radius_mm,
                width_mm,
            } => (*centre, radius_mm + width_mm),
            Self::Bar {
                from,
                along,
                length_mm,
                width_mm,
            } => (
                Point::new(
                    from.x + along.0 * length_mm / 2.0,
                    from.y + along.1 * length_mm / 2.0,
                ),
                length_mm / 2.0 + width_mm,
            ),
        }
    }
}

/// Covers the page with a tone and some hundred shapes of other tones; edges are hard, the printer softens them.
pub(super) fn draw(raster: &mut Raster, page: Size, seed: u64) {
    let mut random = Random::new(seed);
    let ground = random.between(20.0, 160.0) as u8;
    fill(
        raster,
        page,
        ground,
        Point::new(page.width / 2.0, page.height / 2.0),
        1e4,
        |_| true,
    );
    let count = (page.width * page.height / 200.0) as usize;
    for _ in 0..count {
        let shape = Shape::any(&mut random, page);
        let tone = random.between(0.0, 255.0) as u8;
        let (middle, reach_mm) = shape.around();
        fill(raster, page, tone, middle, reach_mm, |at| shape.holds(at));
    }
}

fn fill(
    raster: &mut Raster,
    page: Size,
    tone: u8,
    middle: Point,
    reach_mm: f64,
    holds: impl Fn(Point) -> bool,
) {
    let scale = raster.px_per_mm;
    let range = |middle: f64, end: f64| {
        let low = (middle - reach_mm).max(5.0).min(end);
        let high = (middle + reach_mm).min(end - 5.0).max(low);
        (low * scale) as usize..(high * scale) as usize
    };
    for y in range(middle.y, page.height) {
        for x in range(middle.x, page.width) {
            let at = Point::new((x as f64 + 0.5) / scale, (y as f64 + 0.5) / scale);
            if holds(at) {
                raster.ink[y * raster.width + x] = tone;
            }
        }
    }
}
