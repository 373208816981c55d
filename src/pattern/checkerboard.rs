//! Squares corner to corner.

use kurbo::{Point, Rect, Vec2};

use super::thread::{both_ways, refused_if_thin};
use super::{Field, Kind, Refusal, Settings, Takes};
use crate::project::Reads;

/// Squares of one or two colours and of the ground, in turn both ways.
pub(super) const CHECKERBOARD: Kind = Kind {
    name: "checkerboard",
    title: "Checkerboard",
    says: "squares corner to corner, in one or two colours; smaller ones stand apart",
    repeat_is: "from a square to the next one in its row",
    usual_repeat: ("12 mm", "1/2 in"),
    weight_is: "of the area that is square",
    usual_weight: 0.5,
    weights: (0.05, 0.5),
    colours: (2, 3),
    takes: Takes::Nothing,
    draw,
};

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    let repeat_mm = settings.repeat_mm;
    // Two squares to a repeat: together they cover the weight.
    let side = (settings.weight / 2.0).sqrt();
    refused_if_thin("squares", repeat_mm, side, settings)?;
    let square = |middle: f64| {
        let size_mm = side * repeat_mm;
        Rect::from_center_size(Point::new(middle, middle), (size_mm, size_mm))
    };
    let squares = [square(repeat_mm / 4.0), square(repeat_mm * 0.75)];
    let layers = match settings.colours[1..] {
        [first, second, ..] => vec![
            both_ways(&squares[..1], first, repeat_mm),
            both_ways(&squares[1..], second, repeat_mm),
        ],
        [only] => vec![both_ways(&squares, only, repeat_mm)],
        [] => Vec::new(),
    };
    Ok(Field {
        ground: settings.colours[0],
        layers,
        reads: Reads::Free,
        repeat_mm: Vec2::new(repeat_mm, repeat_mm),
    })
}

#[cfg(test)]
mod tests {
    use super::super::woven::{
        Element, SIX, assert_comes_again, assert_laid, drawn, hundred, points, refused,
        same_when_turned, seen, settings,
    };
    use super::*;

    /// By hand: at a half, squares are half a repeat wide: 0 to 6, and 6 to 12 in the next row.
    #[test]
    fn the_first_square_begins_at_the_origin() {
        let field = drawn(&CHECKERBOARD, &settings(12.0, 0.5, 3));
        let at = |x: f64, y: f64| seen(&field, Point::new(x, y));
        assert_eq!(
            [at(0.1, 0.1), at(5.9, 5.9), at(6.1, 6.1)],
            [SIX[1], SIX[1], SIX[2]]
        );
        assert_eq!([at(6.1, 0.1), at(0.1, 6.1)], [SIX[0], SIX[0]]);
        assert_eq!([at(12.1, 0.1), at(-0.1, -0.1)], [SIX[1], SIX[2]]);
    }

    /// By chance, of 4,000 points; three standard deviations are at most 0.024.
    #[test]
    fn its_cover_is_its_weight() {
        for weight in [0.05, 0.3, 0.5] {
            let field = drawn(&CHECKERBOARD, &settings(20.0, weight, 3));
            let on = points(4000)
                .into_iter()
                .filter(|point| seen(&field, *point) != SIX[0]);
            let found = f64::from(u32::try_from(on.count()).unwrap()) / 4000.0;
            assert!((found - weight).abs() < 0.024, "{found} for {weight}");
        }
    }

    #[test]
    fn it_reads_the_same_at_every_quarter_turn() {
        for colours in [2, 3] {
            let field = drawn(&CHECKERBOARD, &settings(12.0, 0.4, colours));
            assert_eq!(same_when_turned(&field, Point::new(3.0, 3.0), 1), 2000);
            assert_eq!(field.reads, Reads::Free);
            assert_comes_again(&field);
        }
    }

    #[test]
    fn no_square_is_missing_or_doubled_on_any_box() {
        for (settings, over) in hundred(&CHECKERBOARD, 3.0..=60.0) {
            let half_mm = settings.repeat_mm / 2.0;
            let inset = (half_mm - settings.repeat_mm * (settings.weight / 2.0).sqrt()) / 2.0;
            let last = settings.colours.len() - 1;
            let mut expected = Vec::new();
            // Half repeats: a square where both numbers are even, another where both are odd.
            let start = [over.x0, over.y0].map(|edge| (edge / half_mm / 2.0).floor() * 2.0 - 2.0);
            for across in (0_u8..12).map(|n| (n, start[0] + f64::from(n))) {
                for down in (0_u8..12).map(|n| (n, start[1] + f64::from(n))) {
                    if across.0 % 2 == down.0 % 2 {
                        let colour = settings.colours[last.min(1 + usize::from(across.0 % 2))];
                        let (x, y) = (across.1 * half_mm, down.1 * half_mm);
                        let (near, far) = (inset, half_mm - inset);
                        expected.push(Element::oblong(
                            colour,
                            x + near,
                            y + near,
                            x + far,
                            y + far,
                        ));
                    }
                }
            }
            assert_laid(&drawn(&CHECKERBOARD, &settings), over, expected);
        }
    }

    /// By hand: the root of 0.08 / 2 is 0.2, of 0.4 mm 0.08 mm; 0.1 mm needs 0.5 mm.
    #[test]
    fn squares_too_small_to_print_are_refused() {
        let refusal = refused(&CHECKERBOARD, &settings(0.4, 0.08, 2));
        assert_eq!(refusal.key, "repeat");
        assert!(
            refusal.message.contains("squares come out 0.080 mm wide"),
            "{refusal:?}"
        );
        assert!(refusal.hint.contains("\"0.5 mm\""), "{refusal:?}");
    }
}
