//! Lines that cross.

use kurbo::Vec2;

use super::stripe::refuse_thin;
use super::thread::{crossed_bands, even_bands, overprinted, there_and_back};
use super::{Field, Kind, Refusal, Settings, Takes};
use crate::project::Reads;

/// Upright and level lines in the same order, over-printed where they cross.
pub(super) const CHECK: Kind = Kind {
    name: "check",
    title: "Check",
    says: "upright and level lines, over-printed where they cross; their colours in turn, there and back",
    repeat_is: "from a line of the first colour to the next",
    usual_repeat: ("12 mm", "1/2 in"),
    weight_is: "of the repeat that is line, each way",
    usual_weight: 0.12,
    weights: (0.02, 0.7),
    colours: (2, 5),
    takes: Takes::Nothing,
    draw,
};

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    let order = there_and_back(settings.colours.len() - 1);
    let bands = even_bands(&order, settings.repeat_mm, settings.weight);
    refuse_thin(settings, "lines", &bands)?;
    let colours = &settings.colours;
    let crossed =
        |first: usize, second: usize| overprinted(colours[0], colours[first], colours[second]);
    Ok(Field {
        ground: colours[0],
        layers: crossed_bands(&bands, settings.repeat_mm, |own| colours[own], crossed),
        reads: Reads::Free,
        repeat_mm: Vec2::new(settings.repeat_mm, settings.repeat_mm),
    })
}

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::super::REACH_MM;
    use super::super::woven::{
        Element, assert_comes_again, assert_laid, cover, drawn, hundred, in_turn, refused,
        same_when_turned, seen, settings, stripes,
    };
    use super::*;
    use crate::drawing::Colour;

    fn checked(ground: Colour, first: Colour, second: Colour) -> Field {
        let mut settings = settings(20.0, 0.2, 3);
        settings.colours = vec![ground, first, second];
        drawn(&CHECK, &settings)
    }

    /// By hand, on white: 204 * 102 / 255 = 81.6, 204 * 204 / 255 = 163.2; lines 2 mm wide about 0 and 10, so 5 is ground.
    #[test]
    fn crossings_let_through_what_both_threads_let_through() {
        let grey = Colour::rgb(204, 204, 204);
        let field = checked(Colour::WHITE, grey, Colour::rgb(102, 204, 255));
        let at = |x: f64, y: f64| seen(&field, Point::new(x, y));
        assert_eq!(at(5.0, 5.0), Colour::WHITE);
        assert_eq!(at(0.9, 5.0), grey);
        assert_eq!(at(0.9, 0.9), Colour::rgb(163, 163, 163));
        assert_eq!(at(0.9, 9.1), Colour::rgb(82, 163, 204));
        assert_eq!(at(9.1, 0.9), Colour::rgb(82, 163, 204));
    }

    /// By hand, on black, towards white: 255 - 155 * 155 / 255 = 160.8.
    #[test]
    fn crossings_on_a_dark_ground_are_lighter() {
        let field = checked(Colour::BLACK, Colour::rgb(100, 100, 100), Colour::WHITE);
        assert_eq!(seen(&field, Point::ORIGIN), Colour::rgb(161, 161, 161));
    }

    /// By hand: what is left of the ground is (1 - weight) both ways; along a line between two level ones the cover is the weight.
    #[test]
    fn its_cover_is_its_weight_each_way() {
        for (weight, colours, pitch) in [(0.02, 2, 20.0), (0.2, 3, 10.0), (0.7, 5, 20.0 / 6.0)] {
            let field = drawn(&CHECK, &settings(20.0, weight, colours));
            let across = cover(&field, Point::new(1.7, pitch / 2.0), Vec2::new(20.0, 0.0));
            let down = cover(&field, Point::new(pitch / 2.0, 1.7), Vec2::new(0.0, 20.0));
            assert!((across - weight).abs() < 0.002, "{across} for {weight}");
            assert!((down - weight).abs() < 0.002, "{down} for {weight}");
        }
    }

    #[test]
    fn it_reads_the_same_at_every_quarter_turn() {
        for colours in 2..=5 {
            let field = drawn(&CHECK, &settings(12.0, 0.2, colours));
            assert_eq!(same_when_turned(&field, Point::ORIGIN, 1), 2000);
            assert_eq!(field.reads, Reads::Free);
            assert_comes_again(&field);
        }
    }

    #[test]
    fn no_line_or_crossing_is_missing_or_doubled_on_any_box() {
        for (settings, over) in hundred(&CHECK, 20.0..=60.0) {
            let colours = i64::try_from(settings.colours.len()).unwrap() - 1;
            let pitch = settings.repeat_mm / stripes(colours);
            let half = pitch * settings.weight / 2.0;
            let near = |from: f64, to: f64| {
                #[expect(clippy::cast_possible_truncation, reason = "a few hundred")]
                let numbers = (from / pitch - 1.0) as i64..=(to / pitch + 1.0) as i64;
                numbers.map(|n| (n as f64 * pitch, settings.colours[in_turn(n, colours)]))
            };
            let mut expected = Vec::new();
            for (x, own) in near(over.x0, over.x1) {
                expected.push(Element::oblong(
                    own,
                    x - half,
                    -REACH_MM,
                    x + half,
                    REACH_MM,
                ));
                for (y, other) in near(over.y0, over.y1) {
                    let both = overprinted(settings.colours[0], own, other);
                    // A twentieth of a millimetre longer each way, but no more than a quarter of the way to the next line.
                    let far = half + ((pitch - 2.0 * half) / 4.0).min(0.05);
                    for (dx, dy) in [(half, far), (far, half)] {
                        expected.push(Element::oblong(both, x - dx, y - dy, x + dx, y + dy));
                    }
                }
            }
            for (y, own) in near(over.y0, over.y1) {
                expected.push(Element::oblong(
                    own,
                    -REACH_MM,
                    y - half,
                    REACH_MM,
                    y + half,
                ));
            }
            assert_laid(&drawn(&CHECK, &settings), over, expected);
        }
    }

    /// By hand: two colours in 4 mm are 2 mm apart, a fiftieth of that is 0.04 mm; 0.1 mm needs 10 mm.
    #[test]
    fn lines_too_fine_to_print_are_refused() {
        let refusal = refused(&CHECK, &settings(4.0, 0.02, 3));
        assert_eq!(refusal.key, "repeat");
        assert!(
            refusal.message.contains("lines come out 0.040 mm wide"),
            "{refusal:?}"
        );
        assert!(refusal.hint.contains("\"10.0 mm\""), "{refusal:?}");
    }
}
