//! Rows of round scales, each hanging over the row below.

use kurbo::{BezPath, Point, Vec2};

use super::motif::{block_count, flat, layer, require_repeat};
use super::{Field, Kind, Refusal, Settings, Steps, Takes};
use crate::geometry::{Way, arc_to};
use crate::project::Reads;

/// Scales like those of a fish or a roof, edged with the ground.
pub(super) const SCALLOP: Kind = Kind {
    name: "scallop",
    title: "Scallop",
    says: "rows of round scales, each over the row below and edged with the ground; one colour after the other along a row",
    repeat_is: "from a scale to the next one in its row",
    usual_repeat: ("10 mm", "3/8 in"),
    weight_is: "of half a scale that is edge and rings",
    usual_weight: 0.3,
    weights: (0.05, 0.8),
    colours: (2, 5),
    takes: Takes::Nothing,
    draw,
};

/// The edge of a finer scale is less than a dot of four pixels at 600 dpi (0.17 mm) at the usual weight.
const FINEST_MM: f64 = 2.5;

/// Rings of ground inside the edge: how far from the middle each ends and how wide it is, as shares of the room and of the edge.
const RINGS: [(f64, f64); 2] = [(0.72, 0.55), (0.40, 0.55)];

/// How far a scale goes up from the middle of its round part, in halves of its width: past the place where the two scales above it meet (1),
/// so that there nothing shows between.
const TOP: f64 = 1.2;

/// Rows are half a scale apart and shifted by half, so that neighbours in a row meet just where the scale above them ends.
fn draw(settings: &Settings) -> Result<Field, Refusal> {
    require_repeat(settings, FINEST_MM)?;
    let width_mm = settings.repeat_mm;
    let colours = &settings.colours[1..];
    let in_turn = u32::try_from(colours.len()).unwrap_or(u32::MAX);
    let count = block_count(width_mm * f64::from(in_turn)) * in_turn;
    let top_mm = width_mm / 2.0 * TOP;
    let mut items = Vec::new();
    for (n, colour) in (0..count).zip(colours.iter().cycle()) {
        let middle = Point::new(f64::from(n) * width_mm, 0.0);
        items.push(flat(
            &scale(middle, width_mm / 2.0, top_mm),
            settings.colours[0],
        ));
        for (inside, is_ground) in inner_radii(settings.weight) {
            let inner = if is_ground {
                settings.colours[0]
            } else {
                *colour
            };
            items.push(flat(&scale(middle, width_mm / 2.0 * inside, top_mm), inner));
        }
    }
    // An odd number of colours is shifted by half of its whole length, so that no colour leans; with an even one that would put scale
    // over scale.
    let (shift, rows) = match in_turn {
        1 | 3 => (f64::from(in_turn) / 2.0, 2.0),
        _ => (0.5, 2.0 * f64::from(in_turn)),
    };
    // From the bottom row up: what is painted later lies over what is below it on the paper.
    let steps = Steps::Grid {
        across: Vec2::new(width_mm * f64::from(count), 0.0),
        down: Vec2::new(width_mm * shift, width_mm / -2.0),
    };
    Ok(Field {
        ground: settings.colours[0],
        layers: vec![layer(items, steps)],
        reads: Reads::OneWay,
        repeat_mm: Vec2::new(width_mm * f64::from(in_turn), width_mm / 2.0 * rows),
    })
}

/// What lies inside the outer line of a scale, from the outside in, as shares of its half width, and whether it is ground.
fn inner_radii(weight: f64) -> Vec<(f64, bool)> {
    let edge = weight * 0.25;
    let mut radii = vec![(1.0 - edge, false)];
    for (end, share) in RINGS {
        let outer = end * (1.0 - edge);
        radii.push((outer, true));
        radii.push((outer - edge * share, false));
    }
    radii
}

/// A half circle about `middle` with straight sides upwards, which end at the same height whatever the radius: where nothing of them shows.
fn scale(middle: Point, radius_mm: f64, top_mm: f64) -> BezPath {
    let side = Vec2::new(radius_mm, 0.0);
    let up = Vec2::new(0.0, -top_mm);
    let mut path = BezPath::new();
    path.move_to(middle - side + up);
    path.line_to(middle + side + up);
    path.line_to(middle + side);
    arc_to(&mut path, middle - side, radius_mm, Way::Clockwise);
    path.close_path();
    path
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;
    use rand_pcg::Pcg32;
    use rand_pcg::rand_core::Rng;

    use super::super::motif::seen;
    use super::super::woven::{SIX, settings};
    use super::*;
    use crate::math::hypot;

    fn drawn(repeat_mm: f64, weight: f64, colours: usize) -> Result<Field, Refusal> {
        draw(&settings(repeat_mm, weight, colours))
    }

    /// Where the scales of row `row`, counted upwards, lie: by how many halves of a scale its first one is moved.
    fn halves(row: i32, colours: usize) -> i32 {
        row * if colours % 2 == 1 {
            i32::try_from(colours).unwrap()
        } else {
            1
        }
    }

    /// The uppermost scale over a point, by the rule alone: of all scales whose round part or whose body holds it, that of the highest row.
    fn wanted_at(at: Point, width: f64, weight: f64, colours: usize) -> [f64; 3] {
        let radius = width / 2.0;
        let mut row = seen::whole(-(at.y + radius) / radius) + 4;
        loop {
            let moved = f64::from(halves(row, colours)) * radius;
            let column = ((at.x - moved) / width).round();
            let across = at.x - moved - column * width;
            let down = at.y + f64::from(row) * radius;
            let far = if down > 0.0 {
                hypot(across, down)
            } else {
                across.abs()
            };
            if far < radius && down > -radius * 1.1 {
                let mut inside = inner_radii(weight)
                    .into_iter()
                    .filter(|(r, _)| far < r * radius);
                let is_ground = inside.next_back().is_none_or(|(_, ground)| ground);
                let which = seen::place(seen::whole(column), colours);
                return seen::parts(if is_ground { SIX[0] } else { SIX[1 + which] });
            }
            row -= 1;
        }
    }

    #[test]
    fn the_scale_of_the_upper_row_lies_on_top_for_a_hundred_settings() {
        let mut random = Pcg32::new(21, 1);
        let mut unit = || f64::from(random.next_u32()) / f64::from(u32::MAX);
        for n in 0..100 {
            let (width, weight, colours) = (2.5 + 37.5 * unit(), 0.05 + 0.75 * unit(), 2 + n % 4);
            let field = drawn(width, weight, colours).unwrap();
            let mut differing = 0;
            for _ in 0..100 {
                let at = Point::new(200.0 * (unit() - 0.5), 200.0 * (unit() - 0.5));
                let found = seen::colour_at(&field, at);
                // A cubic leaves its arc by at most 4.3e-6 radii: 0.1 µm.
                let near = [
                    (0.0, 0.0),
                    (2e-4, 0.0),
                    (-2e-4, 0.0),
                    (0.0, 2e-4),
                    (0.0, -2e-4),
                ];
                let is_found = |moved| {
                    let at = at + Vec2::from(moved);
                    seen::is_same(found, wanted_at(at, width, weight, colours - 1))
                };
                differing += i32::from(!near.into_iter().any(is_found));
            }
            assert_eq!(differing, 0, "{width} {weight} {colours}");
        }
    }

    #[test]
    fn shifts_show_every_scale_once_for_a_hundred_settings() {
        let mut random = Pcg32::new(22, 1);
        let mut unit = || f64::from(random.next_u32()) / f64::from(u32::MAX);
        for n in 0..100 {
            let (width, colours) = (2.5 + 37.5 * unit(), 2 + n % 4);
            let field = drawn(width, 0.3, colours).unwrap();
            let corner = Point::new(100.0 * unit() - 50.0, 100.0 * unit() - 50.0);
            let over = Rect::from_origin_size(corner, (40.0 * unit() + 1.0, 40.0 * unit() + 1.0));
            let radius = width / 2.0;
            let mut wanted = Vec::new();
            for row in -120..120 {
                let moved = f64::from(halves(row, colours - 1)) * radius;
                for column in -320..320 {
                    let x = f64::from(column) * width + moved;
                    let y = f64::from(row) * -radius;
                    let outer = Rect::new(x - radius, y - radius * 1.2, x + radius, y + radius);
                    if seen::reaches(outer, over) {
                        wanted.push((SIX[0], outer));
                    }
                }
            }
            // The outer line of each scale; what is inside it belongs to it.
            let mut found = seen::boxes(&field, over);
            found.retain(|(_, b)| (b.width() - width).abs() < 1e-9);
            seen::assert_same(found, wanted);
        }
    }

    #[test]
    fn it_comes_again_after_its_repeat_and_has_an_up() {
        for colours in 2..=5 {
            let field = drawn(10.0, 0.5, colours).unwrap();
            let Vec2 { x, y } = field.repeat_mm;
            for moved in [Vec2::new(x, 0.0), Vec2::new(0.0, y), Vec2::new(-x, y)] {
                assert!(seen::differs_turned(&field, 0, moved, 50.0) <= 0.0);
            }
            assert_eq!(field.reads, Reads::OneWay);
        }
        let field = drawn(10.0, 0.5, 2).unwrap();
        for quarters in 1..4 {
            let least = seen::differs_wherever_moved(&field, quarters);
            assert!(least > 0.1, "{quarters}: {least}");
        }
    }

    #[test]
    fn a_repeat_too_fine_is_refused() {
        let refusal = drawn(2.4, 0.3, 2).unwrap_err();
        assert_eq!(
            (refusal.key, refusal.hint.as_str()),
            ("repeat", "repeat = \"2.5 mm\"")
        );
        assert!(refusal.message.contains("2.4 mm") && refusal.message.contains("2.5 mm"));
    }
}
