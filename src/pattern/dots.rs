//! Even dots, every second row shifted by half.

use kurbo::{BezPath, Point, Vec2};

use super::motif::{block_count, block_shifts, circle_into, flat, layer, require_repeat};
use super::{Field, Kind, Refusal, Settings, Steps, Takes};
use crate::project::Reads;

/// Dots on the corners and in the middles of squares.
pub(super) const DOTS: Kind = Kind {
    name: "dots",
    title: "Dots",
    says: "even dots in rows, every second row shifted by half; in a second colour if there is one",
    repeat_is: "from a dot to the next one in its row",
    usual_repeat: ("8 mm", "5/16 in"),
    weight_is: "of the way from a dot to its nearest neighbour that is dot",
    usual_weight: 0.45,
    weights: (0.1, 0.9),
    colours: (2, 3),
    takes: Takes::Nothing,
    draw,
};

/// Below this the finest dots are smaller than what a 600 dpi printer can set as a dot of four pixels (0.17 mm).
const FINEST_MM: f64 = 1.5;

/// Rows are half a repeat apart, so that the dots lie on a square lattice that stands on its corner: nearest neighbours are repeat / √2
/// apart, and every quarter turn about a dot brings dots upon dots.
fn draw(settings: &Settings) -> Result<Field, Refusal> {
    require_repeat(settings, FINEST_MM)?;
    let repeat_mm = settings.repeat_mm;
    let radius_mm = repeat_mm / 2.0_f64.sqrt() * settings.weight / 2.0;
    let count = block_count(repeat_mm);
    let side_mm = f64::from(count) * repeat_mm;
    let half = Vec2::new(repeat_mm, repeat_mm) / 2.0;
    let dots_from = |start: Point, paths: &mut BezPath| {
        for shift in block_shifts(count, repeat_mm) {
            circle_into(paths, start + shift, radius_mm);
        }
    };
    let mut corners = BezPath::new();
    dots_from(Point::ORIGIN, &mut corners);
    let mut middles = BezPath::new();
    dots_from(Point::ORIGIN + half, &mut middles);
    let last = settings.colours.len() - 1;
    let items = vec![
        flat(&corners, settings.colours[1]),
        flat(&middles, settings.colours[last]),
    ];
    let steps = Steps::Grid {
        across: Vec2::new(side_mm, 0.0),
        down: Vec2::new(0.0, side_mm),
    };
    Ok(Field {
        ground: settings.colours[0],
        layers: vec![layer(items, steps)],
        reads: Reads::Free,
        repeat_mm: Vec2::new(repeat_mm, repeat_mm),
    })
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;
    use rand_pcg::Pcg32;
    use rand_pcg::rand_core::Rng;

    use super::super::motif::seen;
    use super::*;
    use crate::drawing::Colour;

    const GROUND: Colour = Colour::rgb(250, 240, 230);
    const ONE: Colour = Colour::rgb(20, 60, 50);
    const TWO: Colour = Colour::rgb(180, 80, 60);

    fn settings(repeat_mm: f64, weight: f64, colours: &[Colour]) -> Settings {
        Settings {
            repeat_mm,
            weight,
            colours: colours.to_vec(),
            seed: 0,
            threads: Vec::new(),
            words: Vec::new(),
        }
    }

    /// By hand: repeat 10, weight 0.5: nearest neighbours 7.071 apart, so radius 1.768; dots at (0, 0), (5, 5), (10, 0).
    #[test]
    fn dots_lie_on_corners_and_middles_and_cover_their_share_of_the_way() {
        let field = draw(&settings(10.0, 0.5, &[GROUND, ONE, TWO])).unwrap();
        let radius = 50.0_f64.sqrt() * 0.25;
        for (x, y, colour) in [(0.0, 0.0, ONE), (5.0, 5.0, TWO), (10.0, 0.0, ONE)] {
            for (from_middle, wanted) in [(0.999, colour), (1.001, GROUND)] {
                let at = Point::new(x - radius * from_middle, y);
                assert!(seen::is_same(
                    seen::colour_at(&field, at),
                    seen::parts(wanted)
                ));
            }
        }
        // Ink: two circles in each square of the repeat.
        let share = 2.0 * std::f64::consts::PI * radius * radius / 100.0;
        assert!((share - std::f64::consts::PI * 0.5 * 0.5 / 4.0).abs() < 1e-12);
    }

    #[test]
    fn every_quarter_turn_about_a_dot_brings_dots_upon_dots_of_their_colour() {
        let field = draw(&settings(8.0, 0.6, &[GROUND, ONE, TWO])).unwrap();
        for quarters in 1..4 {
            let differing = seen::differs_turned(&field, quarters, Vec2::ZERO, 60.0);
            assert!(differing <= 0.0, "{quarters}: {differing}");
        }
        assert_eq!(field.reads, Reads::Free);
    }

    #[test]
    fn shifts_show_every_dot_once_for_a_hundred_settings() {
        let mut random = Pcg32::new(7, 1);
        let mut unit = || f64::from(random.next_u32()) / f64::from(u32::MAX);
        for _ in 0..100 {
            let (repeat_mm, weight) = (1.5 + 38.5 * unit(), 0.1 + 0.8 * unit());
            let field = draw(&settings(repeat_mm, weight, &[GROUND, ONE, TWO])).unwrap();
            let corner = Point::new(200.0 * unit() - 100.0, 200.0 * unit() - 100.0);
            let over = Rect::from_origin_size(corner, (60.0 * unit() + 1.0, 60.0 * unit() + 1.0));
            let mut wanted = Vec::new();
            let radius = repeat_mm * weight / 8.0_f64.sqrt();
            for row in -400..400 {
                for column in -400..400 {
                    // Counted in halves of the repeat: both even, or both odd.
                    let colour = match ((row & 1), (column & 1)) {
                        (0, 0) => ONE,
                        (1, 1) => TWO,
                        (0, 1) | (1, 0) => continue,
                        other => panic!("{other:?}"),
                    };
                    let middle = Vec2::new(f64::from(column), f64::from(row)) * repeat_mm / 2.0;
                    let size = (2.0 * radius, 2.0 * radius);
                    let dot = Rect::from_center_size(middle.to_point(), size);
                    if seen::reaches(dot, over) {
                        wanted.push((colour, dot));
                    }
                }
            }
            seen::assert_same(seen::boxes(&field, over), wanted);
        }
    }

    #[test]
    fn a_repeat_too_fine_or_too_coarse_is_refused_with_the_right_number() {
        for (repeat_mm, right) in [(1.4, "1.5 mm"), (1001.0, "1000 mm"), (f64::NAN, "1.5 mm")] {
            let refusal = draw(&settings(repeat_mm, 0.5, &[GROUND, ONE])).unwrap_err();
            assert_eq!(refusal.key, "repeat");
            assert!(refusal.message.contains(&format!("{repeat_mm} mm")));
            assert_eq!(refusal.hint, format!("repeat = \"{right}\""));
        }
    }
}
