//! Fine lines.

use super::stripe::{field, refuse_thin};
use super::thread::{even_bands, there_and_back};
use super::{Field, Kind, Refusal, Settings, Takes};

/// Fine upright lines far apart.
pub(super) const PINSTRIPE: Kind = Kind {
    name: "pinstripe",
    title: "Pinstripe",
    says: "fine upright lines, far apart; their colours in turn, there and back",
    repeat_is: "from a line of the first colour to the next",
    usual_repeat: ("6 mm", "1/4 in"),
    weight_is: "of the repeat that is line",
    usual_weight: 0.08,
    weights: (0.02, 0.3),
    colours: (2, 4),
    takes: Takes::Nothing,
    draw,
};

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    let order = there_and_back(settings.colours.len() - 1);
    let bands = even_bands(&order, settings.repeat_mm, settings.weight);
    refuse_thin(settings, "lines", &bands)?;
    Ok(field(settings, &bands))
}

#[cfg(test)]
mod tests {
    use kurbo::{Point, Rect, Vec2};

    use super::super::REACH_MM;
    use super::super::woven::{
        Element, assert_comes_again, assert_laid, cover, drawn, hundred, in_turn, laid, refused,
        same_when_turned, settings, stripes,
    };
    use super::*;
    use crate::project::Reads;

    /// By hand: a tenth of 4 mm is 0.4 mm, from 3.8 to 4.2 and from 7.8 to 8.2.
    #[test]
    fn a_line_lies_about_the_origin_and_then_every_repeat() {
        let field = drawn(&PINSTRIPE, &settings(4.0, 0.1, 2));
        let found = laid(&field, Rect::new(1.0, 0.0, 9.0, 10.0));
        let edges: Vec<f64> = found
            .iter()
            .flat_map(|it| [it.corners[0].x, it.corners[2].x])
            .collect();
        let off = edges
            .iter()
            .zip([3.8, 4.2, 7.8, 8.2])
            .map(|(found, by_hand)| (found - by_hand).abs());
        assert_eq!(edges.len(), 4);
        assert!(off.fold(0.0, f64::max) < 1e-9, "{edges:?}");
    }

    #[test]
    fn its_cover_is_its_weight_and_it_reads_as_a_stripe() {
        for (weight, colours) in [(0.02, 2), (0.1, 3), (0.3, 4)] {
            let field = drawn(&PINSTRIPE, &settings(20.0, weight, colours));
            let found = cover(&field, Point::new(1.7, 0.0), Vec2::new(20.0, 0.0));
            assert!((found - weight).abs() < 0.002, "{found} for {weight}");
            assert_eq!(same_when_turned(&field, Point::ORIGIN, 2), 2000);
            assert!(same_when_turned(&field, Point::ORIGIN, 1) < 1980);
            assert_eq!(field.reads, Reads::Stripe);
            assert_comes_again(&field);
        }
    }

    #[test]
    fn no_line_is_missing_or_doubled_on_any_box() {
        for (settings, over) in hundred(&PINSTRIPE, 20.0..=60.0) {
            let colours = i64::try_from(settings.colours.len()).unwrap() - 1;
            let pitch = settings.repeat_mm / stripes(colours);
            let half = pitch * settings.weight / 2.0;
            let expected = (-1000_i32..=1000).map(|n| {
                let middle = f64::from(n) * pitch;
                let colour = settings.colours[in_turn(i64::from(n), colours)];
                Element::oblong(colour, middle - half, -REACH_MM, middle + half, REACH_MM)
            });
            assert_laid(&drawn(&PINSTRIPE, &settings), over, expected.collect());
        }
    }

    /// By hand: a fiftieth of 4 mm is 0.08 mm; 0.1 mm needs 5 mm.
    #[test]
    fn lines_too_fine_to_print_are_refused() {
        let refusal = refused(&PINSTRIPE, &settings(4.0, 0.02, 2));
        assert_eq!(refusal.key, "repeat");
        assert!(
            refusal.message.contains("lines come out 0.080 mm wide"),
            "{refusal:?}"
        );
        assert!(refusal.hint.contains("\"5.0 mm\""), "{refusal:?}");
    }
}
