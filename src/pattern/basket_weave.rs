//! Blocks of slats that go over and under one another.

use kurbo::{BezPath, Point, Rect, Vec2};

use super::motif::{block_count, block_shifts, flat, layer, require_repeat};
use super::{Field, Kind, Refusal, Settings, Steps, Takes};
use crate::drawing::{Colour, FillRule, Item, Paint};
use crate::geometry::{Way, arc_to};
use crate::project::Reads;

/// Three slats across, three down, as in the side of a basket.
pub(super) const BASKET_WEAVE: Kind = Kind {
    name: "basket-weave",
    title: "Basket weave",
    says: "three slats across over three slats down, with the ground in the gaps and a little shade where they go under; those down in a second colour if there is one",
    repeat_is: "from a block of slats to the next but one, which lies the same way",
    usual_repeat: ("18 mm", "3/4 in"),
    weight_is: "of the room of a slat that it fills",
    usual_weight: 0.84,
    weights: (0.5, 0.95),
    colours: (2, 3),
    takes: Takes::Nothing,
    draw,
};

/// Below this a gap at the usual weight is narrower than four pixels at 600 dpi (0.17 mm).
const FINEST_MM: f64 = 6.0;

const SLATS: u32 = 3;

/// How far the steps of the shade reach from the end of a slat, as shares of its length.
const SHADE: [f64; 5] = [0.2, 0.155, 0.115, 0.08, 0.045];

/// How dark each step of the shade is.
const SHADE_OPACITY: f64 = 0.085;

/// How round the corners of a slat are, as a share of its width; less than the least of the shade, which follows them.
const ROUND: f64 = 0.12;

/// Slats are drawn as far as they are seen, so none needs to be over and under another at once.
fn draw(settings: &Settings) -> Result<Field, Refusal> {
    require_repeat(settings, FINEST_MM)?;
    let repeat_mm = settings.repeat_mm;
    let count = block_count(repeat_mm);
    let mut across = BezPath::new();
    let mut down = BezPath::new();
    let mut shades = SHADE.map(|_| BezPath::new());
    for shift in block_shifts(count, repeat_mm) {
        for slat in slats(repeat_mm, settings.weight) {
            let slat = slat + shift;
            slat_into(
                if is_across(slat) {
                    &mut across
                } else {
                    &mut down
                },
                slat,
            );
            for (shade, reach) in shades.iter_mut().zip(SHADE) {
                ends_into(shade, slat, reach);
            }
        }
    }
    let ground = settings.colours[0];
    let last = settings.colours.len() - 1;
    let mut items = vec![
        flat(&across, settings.colours[1]),
        flat(&down, settings.colours[last]),
    ];
    items.extend(shades.map(shaded));
    let side_mm = repeat_mm * f64::from(count);
    let steps = Steps::Grid {
        across: Vec2::new(side_mm, 0.0),
        down: Vec2::new(0.0, side_mm),
    };
    Ok(Field {
        ground,
        layers: vec![layer(items, steps)],
        reads: if last == 1 {
            Reads::Free
        } else {
            Reads::Stripe
        },
        repeat_mm: Vec2::new(repeat_mm, repeat_mm),
    })
}

/// The slats of one repeat: two blocks across on one diagonal, two down on the other.
fn slats(repeat_mm: f64, weight: f64) -> Vec<Rect> {
    let block_mm = repeat_mm / 2.0;
    let pitch_mm = block_mm / f64::from(SLATS);
    let gap_mm = pitch_mm * (1.0 - weight);
    let mut slats = Vec::new();
    for (column, row) in [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)] {
        let corner = Vec2::new(column, row) * block_mm;
        for slat in (0..SLATS).map(f64::from) {
            let (near, far) = (
                slat * pitch_mm + gap_mm / 2.0,
                (slat + 1.0) * pitch_mm - gap_mm / 2.0,
            );
            let (start, end) = (gap_mm / 4.0, block_mm - gap_mm / 4.0);
            let lies_across = (column - row).abs() < 0.5;
            let slat = if lies_across {
                Rect::new(start, near, end, far)
            } else {
                Rect::new(near, start, far, end)
            };
            slats.push(slat + corner);
        }
    }
    slats
}

fn is_across(slat: Rect) -> bool {
    slat.width() > slat.height()
}

/// Which corners of a rectangle are rounded: top left, then clockwise as seen.
type Rounded = [bool; 4];

fn slat_into(path: &mut BezPath, slat: Rect) {
    rounded_into(path, slat, [true; 4], radius_mm(slat));
}

fn radius_mm(slat: Rect) -> f64 {
    slat.width().min(slat.height()) * ROUND
}

fn rounded_into(path: &mut BezPath, area: Rect, rounded: Rounded, radius_mm: f64) {
    let corners = [
        (Point::new(area.x0, area.y0), Vec2::new(0.0, -1.0)),
        (Point::new(area.x1, area.y0), Vec2::new(1.0, 0.0)),
        (Point::new(area.x1, area.y1), Vec2::new(0.0, 1.0)),
        (Point::new(area.x0, area.y1), Vec2::new(-1.0, 0.0)),
    ];
    for (n, ((corner, arriving), is_rounded)) in corners.into_iter().zip(rounded).enumerate() {
        // Clockwise as seen: leaving is a quarter turn on from arriving.
        let leaving = Vec2::new(-arriving.y, arriving.x);
        let radius_mm = if is_rounded { radius_mm } else { 0.0 };
        let from = corner - arriving * radius_mm;
        if n == 0 {
            path.move_to(from);
        } else {
            path.line_to(from);
        }
        if is_rounded {
            arc_to(
                path,
                corner + leaving * radius_mm,
                radius_mm,
                Way::Clockwise,
            );
        }
    }
    path.close_path();
}

fn ends_into(path: &mut BezPath, slat: Rect, reach: f64) {
    let Rect { x0, y0, x1, y1 } = slat;
    let ends = if is_across(slat) {
        let reach_mm = slat.width() * reach;
        [
            (
                Rect::new(x0, y0, x0 + reach_mm, y1),
                [true, false, false, true],
            ),
            (
                Rect::new(x1 - reach_mm, y0, x1, y1),
                [false, true, true, false],
            ),
        ]
    } else {
        let reach_mm = slat.height() * reach;
        [
            (
                Rect::new(x0, y0, x1, y0 + reach_mm),
                [true, true, false, false],
            ),
            (
                Rect::new(x0, y1 - reach_mm, x1, y1),
                [false, false, true, true],
            ),
        ]
    };
    for (end, rounded) in ends {
        rounded_into(path, end, rounded, radius_mm(slat));
    }
}

/// Black laid thinly over the ends.
fn shaded(path: BezPath) -> Item {
    Item::Fill {
        path,
        rule: FillRule::NonZero,
        paint: Paint::Solid {
            colour: Colour::BLACK,
            opacity: SHADE_OPACITY,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::super::motif::seen;
    use super::super::spread::{generator, unit};
    use super::super::woven::{SIX, settings};
    use super::*;

    fn drawn(repeat_mm: f64, weight: f64, colours: usize) -> Result<Field, Refusal> {
        draw(&settings(repeat_mm, weight, colours))
    }

    /// By hand: repeat 18, weight 0.8: blocks of 9, slats every 3, 2.4 wide with gaps of 0.6; the first goes from 0.15 to 8.85.
    #[test]
    fn three_slats_lie_in_a_block_with_the_ground_between_them() {
        let field = drawn(18.0, 0.8, 3).unwrap();
        for ((x, y), colour) in [
            ((4.5, 0.29), SIX[0]),
            ((4.5, 0.31), SIX[1]),
            ((4.5, 2.69), SIX[1]),
            ((4.5, 2.71), SIX[0]),
            ((4.5, 4.5), SIX[1]),
            ((0.14, 4.5), SIX[0]),
            ((13.5, 4.5), SIX[2]),
            ((9.29, 4.5), SIX[0]),
            ((9.31, 4.5), SIX[2]),
            ((13.5, 0.14), SIX[0]),
            ((13.5, 13.5), SIX[1]),
            ((4.5, 13.5), SIX[2]),
        ] {
            let found = seen::colour_at(&field, Point::new(x, y));
            assert!(
                seen::is_same(found, seen::parts(colour)),
                "{x} {y} {found:?}"
            );
        }
        // At the very end of a slat all five steps of the shade lie over each other.
        let end = seen::colour_at(&field, Point::new(0.16, 1.5));
        let dark = seen::parts(SIX[1]).map(|part| part * (1.0 - SHADE_OPACITY).powi(5));
        assert!(seen::is_same(end, dark), "{end:?}");
    }

    /// A quarter turn about a corner of blocks makes blocks across of those down.
    #[test]
    fn it_reads_the_same_at_every_quarter_turn_unless_slats_down_have_a_colour_of_their_own() {
        let (one, two) = (drawn(18.0, 0.8, 2).unwrap(), drawn(18.0, 0.8, 3).unwrap());
        for quarters in 1..4 {
            assert!(seen::differs_turned(&one, quarters, Vec2::ZERO, 60.0) <= 0.0);
        }
        assert!(seen::differs_turned(&two, 2, Vec2::ZERO, 60.0) <= 0.0);
        assert_eq!((one.reads, two.reads), (Reads::Free, Reads::Stripe));
        // Moved by half a repeat, blocks lie right again, but in the other colour.
        assert!(seen::differs_wherever_moved(&two, 1) > 0.1);
    }

    #[test]
    fn shifts_show_every_slat_once_for_a_hundred_settings() {
        let mut random = generator(51);
        let mut unit = || unit(&mut random);
        for _ in 0..100 {
            let (repeat_mm, weight) = (6.0 + 60.0 * unit(), 0.5 + 0.45 * unit());
            let field = drawn(repeat_mm, weight, 3).unwrap();
            let corner = Point::new(200.0 * unit() - 100.0, 200.0 * unit() - 100.0);
            let over = Rect::from_origin_size(corner, (60.0 * unit() + 1.0, 60.0 * unit() + 1.0));
            let pitch = repeat_mm / 6.0;
            let (long, wide) = (pitch * (3.0 - (1.0 - weight) / 2.0), pitch * weight);
            let mut wanted = Vec::new();
            for (row, column) in (-60..60).flat_map(|row| (-60..60).map(move |c| (row, c))) {
                let middle = Vec2::new(f64::from(column) + 0.5, f64::from(row) + 0.5) * pitch * 3.0;
                for slat in [-1.0, 0.0, 1.0] {
                    let (colour, aside, size) = if (row + column) % 2 == 0 {
                        (SIX[1], Vec2::new(0.0, slat * pitch), (long, wide))
                    } else {
                        (SIX[2], Vec2::new(slat * pitch, 0.0), (wide, long))
                    };
                    let slat = Rect::from_center_size((middle + aside).to_point(), size);
                    if seen::reaches(slat, over) {
                        wanted.push((colour, slat));
                    }
                }
            }
            let mut found = seen::boxes(&field, over);
            // The shade is black.
            found.retain(|(colour, _)| *colour != Colour::BLACK);
            seen::assert_same(found, wanted);
        }
    }

    /// Where it did not, the shade would darken the ground beside a rounded corner.
    #[test]
    fn the_shade_stays_on_the_slats() {
        for weight in [0.5, 0.84, 0.95] {
            for slat in slats(18.0, weight) {
                let least = SHADE.into_iter().fold(1.0, f64::min);
                assert!(radius_mm(slat) < least * slat.width().max(slat.height()));
            }
        }
        let refusal = drawn(5.5, 0.8, 2).unwrap_err();
        assert_eq!(
            (refusal.key, refusal.hint.as_str()),
            ("repeat", "repeat = \"6 mm\"")
        );
    }
}
