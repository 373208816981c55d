//! Zigzag bars.

use kurbo::{BezPath, Point, Vec2};

use super::motif::{flat, layer, require_repeat};
use super::{Field, Kind, REACH_MM, Refusal, Settings, Steps, Takes};
use crate::project::Reads;

/// Level bars that go up and down by 45 degrees, one colour below the other.
pub(super) const CHEVRON: Kind = Kind {
    name: "chevron",
    title: "Chevron",
    says: "level zigzag bars, one colour below the other, with the ground between them",
    repeat_is: "from a bar down to the next one of its colour",
    usual_repeat: ("12 mm", "1/2 in"),
    weight_is: "of the repeat that is bar",
    usual_weight: 0.5,
    weights: (0.05, 0.95),
    colours: (2, 5),
    takes: Takes::Nothing,
    draw,
};

/// Finer bars have corners that a 600 dpi printer cannot show as corners: teeth of a few pixels.
const FINEST_MM: f64 = 1.5;

/// A bar is one line of teeth and the same line further down, so that its corners are mitred and no two areas meet in it. From tooth to
/// tooth it is twice as far as from bar to bar.
fn draw(settings: &Settings) -> Result<Field, Refusal> {
    let bars = &settings.colours[1..];
    let count = f64::from(u32::try_from(bars.len()).unwrap_or(u32::MAX));
    require_repeat(settings, FINEST_MM * count)?;
    let pitch_mm = settings.repeat_mm / count;
    let steps = Steps::Line(Vec2::new(0.0, settings.repeat_mm));
    let mut middle_mm = 0.0;
    let mut layers = Vec::new();
    for colour in bars {
        let bar = bar(middle_mm, pitch_mm * settings.weight, pitch_mm);
        layers.push(layer(vec![flat(&bar, *colour)], steps));
        middle_mm += pitch_mm;
    }
    // Three colours and more come in another order when they are turned.
    let reads = if bars.len() < 3 {
        Reads::Stripe
    } else {
        Reads::OneWay
    };
    Ok(Field {
        ground: settings.colours[0],
        layers,
        reads,
        repeat_mm: Vec2::new(pitch_mm * 2.0, settings.repeat_mm),
    })
}

/// Teeth point up at 0 and every `2 * half_tooth_mm` from there; the middle of their height is at `middle_mm`.
fn bar(middle_mm: f64, height_mm: f64, half_tooth_mm: f64) -> BezPath {
    let mut corners = 1;
    while f64::from(corners) * half_tooth_mm < REACH_MM {
        corners += 1;
    }
    let corner = |n: i32, edge_mm: f64| {
        let swing_mm = half_tooth_mm / if n % 2 == 0 { -2.0 } else { 2.0 };
        Point::new(f64::from(n) * half_tooth_mm, middle_mm + swing_mm + edge_mm)
    };
    let mut path = BezPath::new();
    path.move_to(corner(-corners, -height_mm / 2.0));
    for n in 1 - corners..=corners {
        path.line_to(corner(n, -height_mm / 2.0));
    }
    for n in (-corners..=corners).rev() {
        path.line_to(corner(n, height_mm / 2.0));
    }
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
    use crate::drawing::Colour;

    fn drawn(repeat_mm: f64, weight: f64, colours: usize) -> Result<Field, Refusal> {
        draw(&settings(repeat_mm, weight, colours))
    }

    /// The closed form: how far a point lies below the tooth line through the origin's bar, by the distance to the nearest tooth.
    fn wanted_at(at: Point, repeat_mm: f64, weight: f64, colours: usize) -> [f64; 3] {
        let pitch = repeat_mm / f64::from(u32::try_from(colours - 1).unwrap());
        let tooth = 2.0 * pitch;
        let from_tip = (at.x - tooth * (at.x / tooth).round()).abs();
        let below_bar = at.y - (from_tip - pitch / 2.0);
        let bar = (below_bar / pitch).round();
        if (below_bar - bar * pitch).abs() > pitch * weight / 2.0 {
            return seen::parts(SIX[0]);
        }
        seen::parts(SIX[1 + seen::place(seen::whole(bar), colours - 1)])
    }

    #[test]
    fn every_point_has_the_colour_of_the_closed_form_for_a_hundred_settings() {
        let mut random = Pcg32::new(11, 1);
        let mut unit = || f64::from(random.next_u32()) / f64::from(u32::MAX);
        for n in 0..100 {
            let (repeat, weight, colours) = (8.0 + 50.0 * unit(), 0.05 + 0.9 * unit(), 2 + n % 4);
            let field = drawn(repeat, weight, colours).unwrap();
            for _ in 0..40 {
                let at = Point::new(900.0 * (unit() - 0.5), 900.0 * (unit() - 0.5));
                let wanted = wanted_at(at, repeat, weight, colours);
                assert!(seen::is_same(seen::colour_at(&field, at), wanted), "{at:?}");
            }
        }
    }

    #[test]
    fn bars_come_once_each_for_a_hundred_settings() {
        let mut random = Pcg32::new(12, 1);
        let mut unit = || f64::from(random.next_u32()) / f64::from(u32::MAX);
        for n in 0..100 {
            let (repeat, weight, colours) = (8.0 + 50.0 * unit(), 0.05 + 0.9 * unit(), 2 + n % 4);
            let field = drawn(repeat, weight, colours).unwrap();
            let top = 300.0 * unit() - 150.0;
            let over = Rect::new(-10.0, top, 90.0, top + 1.0 + 200.0 * unit());
            let found: Vec<(Colour, f64, f64)> = seen::boxes(&field, over)
                .iter()
                .map(|(colour, b)| (*colour, b.y0, b.y1))
                .collect();
            let pitch = repeat / f64::from(u32::try_from(colours - 1).unwrap());
            let half = pitch / 2.0 + pitch * weight / 2.0;
            let mut wanted: Vec<(Colour, f64, f64)> = (-400..400)
                .map(|bar| {
                    let which = seen::place(bar, colours - 1);
                    let middle = f64::from(bar) * pitch;
                    (SIX[1 + which], middle - half, middle + half)
                })
                .filter(|(_, y0, y1)| *y0 < over.y1 && *y1 > over.y0)
                .collect();
            wanted.sort_by_key(|(colour, ..)| SIX.iter().position(|c| c == colour));
            assert_eq!(found.len(), wanted.len());
            for (one, two) in found.iter().zip(&wanted) {
                assert!(
                    one.0 == two.0 && (one.1 - two.1).abs() < 1e-6,
                    "{one:?} {two:?}"
                );
                assert!((one.2 - two.2).abs() < 1e-6, "{one:?} {two:?}");
            }
        }
    }

    /// A half turn makes valleys of teeth: half a tooth along it is the same again, with two colours of bars or fewer.
    #[test]
    fn it_reads_the_same_upside_down_with_up_to_two_colours_of_bars() {
        for colours in 2..=5 {
            let field = drawn(24.0, 0.4, colours).unwrap();
            let pitch = field.repeat_mm.x / 2.0;
            let upside_down = seen::differs_turned(&field, 2, Vec2::new(pitch, 0.0), 70.0);
            let on_its_side = seen::differs_wherever_moved(&field, 1);
            assert!(on_its_side > 0.1, "{colours}: {on_its_side}");
            if colours < 4 {
                assert!(upside_down <= 0.0, "{colours}: {upside_down}");
                assert_eq!(field.reads, Reads::Stripe);
            } else {
                assert!(seen::differs_wherever_moved(&field, 2) > 0.1);
                assert_eq!(field.reads, Reads::OneWay);
            }
        }
    }

    #[test]
    fn a_repeat_too_fine_for_its_bars_is_refused() {
        let refusal = drawn(5.9, 0.5, 5).unwrap_err();
        assert_eq!(refusal.key, "repeat");
        assert_eq!(
            refusal.message,
            "a repeat of 5.9 mm is finer than this pattern can be printed: 6 mm"
        );
        assert_eq!(refusal.hint, "repeat = \"6 mm\"");
        assert!(drawn(6.0, 0.5, 5).is_ok());
    }
}
