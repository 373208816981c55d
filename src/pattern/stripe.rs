//! Even stripes.

use kurbo::Vec2;

use super::thread::{Band, bars, by_colour, even_bands, refused_if_thin, there_and_back, upright};
use super::{Field, Kind, Refusal, Settings, Takes};
use crate::project::Reads;

/// Upright stripes in one or more colours, ground between them.
pub(super) const STRIPE: Kind = Kind {
    name: "stripe",
    title: "Stripe",
    says: "even upright stripes with the ground between them; their colours in turn, there and back",
    repeat_is: "from a stripe of the first colour to the next",
    usual_repeat: ("12 mm", "1/2 in"),
    weight_is: "of the repeat that is stripe",
    usual_weight: 0.5,
    weights: (0.05, 0.95),
    colours: (2, 5),
    takes: Takes::Nothing,
    draw,
};

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    let order = there_and_back(settings.colours.len() - 1);
    let bands = even_bands(&order, settings.repeat_mm, settings.weight);
    refuse_thin(settings, "stripes", &bands)?;
    Ok(field(settings, &bands))
}

/// Refuses stripes, or ground between them, too thin to print.
pub(super) fn refuse_thin(settings: &Settings, what: &str, bands: &[Band]) -> Result<(), Refusal> {
    let pitch_mm = settings.repeat_mm / f64::from(u32::try_from(bands.len()).unwrap_or(u32::MAX));
    let (stripe, ground) = (settings.weight, 1.0 - settings.weight);
    refused_if_thin(what, pitch_mm, stripe, settings)?;
    refused_if_thin("the spaces between them", pitch_mm, ground, settings)
}

/// Returns upright bars on the ground.
pub(super) fn field(settings: &Settings, bands: &[Band]) -> Field {
    let layers = by_colour(bands).into_iter().map(|(colour, own)| {
        upright(
            &bars(&own, Band::upright),
            settings.colours[colour],
            settings.repeat_mm,
        )
    });
    Field {
        ground: settings.colours[0],
        layers: layers.collect(),
        reads: Reads::Stripe,
        repeat_mm: Vec2::new(settings.repeat_mm, 0.0),
    }
}

#[cfg(test)]
mod tests {
    use kurbo::{Point, Rect};

    use super::super::REACH_MM;
    use super::super::woven::{
        Element, SIX, assert_comes_again, assert_laid, cover, drawn, hundred, in_turn, laid,
        refused, same_when_turned, settings, stripes,
    };
    use super::*;

    /// By hand: 12 mm at half weight is 6 mm of stripe, from -3 to 3, 9 to 15 and so on; a box from 4 to 28 holds 9 to 15 and 21 to 27.
    #[test]
    fn a_stripe_lies_about_the_origin_and_then_every_repeat() {
        let field = drawn(&STRIPE, &settings(12.0, 0.5, 2));
        let found = laid(&field, Rect::new(4.0, 0.0, 28.0, 10.0));
        let edges: Vec<(f64, f64)> = found
            .iter()
            .map(|it| (it.corners[0].x, it.corners[2].x))
            .collect();
        assert_eq!(edges, [(9.0, 15.0), (21.0, 27.0)]);
    }

    /// By hand: three colours there and back are four stripes, each 24 / 4 = 6 mm from the next: middles at 0, 6, 12, 18 in 1 2 3 2.
    #[test]
    fn three_colours_come_there_and_back() {
        let field = drawn(&STRIPE, &settings(24.0, 0.5, 4));
        let colours = [0.0, 6.0, 12.0, 18.0, 24.0]
            .map(|x| super::super::woven::seen(&field, Point::new(x, 1.0)));
        assert_eq!(colours, [1, 2, 3, 2, 1].map(|n: usize| SIX[n]));
    }

    #[test]
    fn its_cover_is_its_weight() {
        for (weight, colours) in [(0.05, 2), (0.5, 3), (0.37, 4), (0.95, 5)] {
            let field = drawn(&STRIPE, &settings(24.0, weight, colours));
            let found = cover(&field, Point::new(1.7, 0.0), Vec2::new(24.0, 0.0));
            assert!((found - weight).abs() < 0.002, "{found} for {weight}");
        }
    }

    #[test]
    fn it_reads_the_same_upside_down_but_not_on_its_side() {
        for colours in 2..=5 {
            let field = drawn(&STRIPE, &settings(12.0, 0.4, colours));
            assert_eq!(same_when_turned(&field, Point::ORIGIN, 2), 2000);
            assert!(same_when_turned(&field, Point::ORIGIN, 1) < 1700);
            assert_eq!(field.reads, Reads::Stripe);
            assert_comes_again(&field);
        }
    }

    #[test]
    fn no_stripe_is_missing_or_doubled_on_any_box() {
        for (settings, over) in hundred(&STRIPE, 12.0..=60.0) {
            let field = drawn(&STRIPE, &settings);
            let colours = i64::try_from(settings.colours.len()).unwrap() - 1;
            let pitch = settings.repeat_mm / stripes(colours);
            let half = pitch * settings.weight / 2.0;
            let expected = (-1000_i32..=1000).map(|n| {
                let middle = f64::from(n) * pitch;
                let colour = settings.colours[in_turn(i64::from(n), colours)];
                Element::oblong(colour, middle - half, -REACH_MM, middle + half, REACH_MM)
            });
            assert_laid(&field, over, expected.collect());
        }
    }

    /// By hand: 1 mm at a twentieth is 0.05 mm; 0.1 mm needs a repeat of 2 mm.
    #[test]
    fn stripes_too_thin_to_print_are_refused() {
        let refusal = refused(&STRIPE, &settings(1.0, 0.05, 2));
        assert_eq!(refusal.key, "repeat");
        assert!(
            refusal.message.contains("stripes come out 0.050 mm wide"),
            "{refusal:?}"
        );
        assert!(refusal.hint.contains("\"2.0 mm\""), "{refusal:?}");
        let refusal = refused(&STRIPE, &settings(1.0, 0.95, 2));
        assert!(
            refusal
                .message
                .contains("the spaces between them come out 0.050 mm"),
            "{refusal:?}"
        );
    }
}
