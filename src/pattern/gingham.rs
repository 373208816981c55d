//! Bands that cross, woven of coloured threads and threads of the ground.

use kurbo::Vec2;

use super::stripe::refuse_thin;
use super::thread::{
    Band, bars, by_colour, count, crossings, even_bands, level, mixed, there_and_back, upright,
};
use super::{Field, Kind, Layer, Refusal, Settings, Takes};
use crate::project::Reads;

/// Broad bands both ways: half tone where one lies alone, full colour where they cross.
pub(super) const GINGHAM: Kind = Kind {
    name: "gingham",
    title: "Gingham",
    says: "broad bands both ways, woven: threads of colour and ground where a band lies alone, full colour where two cross",
    repeat_is: "from a band of the first colour to the next",
    usual_repeat: ("8 mm", "5/16 in"),
    weight_is: "of the repeat that is band, each way",
    usual_weight: 0.5,
    weights: (0.2, 0.8),
    colours: (2, 4),
    takes: Takes::Nothing,
    draw,
};

/// From thread to thread, about, in millimetres: they are seen from near, and are a tone from afar. A band holds a whole number of them.
const THREAD_MM: f64 = 0.5;
/// Most threads of a band; they grow with broader ones.
const MOST_THREADS: u32 = 24;
/// How much of its colour a single band shows in its threads and between them, and on the whole.
const THREADS: f64 = 0.62;
const BETWEEN: f64 = 0.38;
const WHOLE: f64 = 0.5;

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    let order = there_and_back(settings.colours.len() - 1);
    let bands = even_bands(&order, settings.repeat_mm, settings.weight);
    refuse_thin(settings, "bands", &bands)?;
    let colours = &settings.colours;
    let threads: Vec<Band> = bands.iter().flat_map(|band| threads(*band)).collect();
    let between = if threads.is_empty() { WHOLE } else { BETWEEN };
    let mut layers = both_ways(settings, &bands, between);
    layers.extend(both_ways(settings, &threads, THREADS));
    let full = |first: usize, second: usize| mixed(colours[first], colours[second], 0.5);
    // The tones of a band lie between ground and full colour: what shows at softened edges is no other colour.
    layers.extend(crossings(&bands, settings.repeat_mm, 0.0, full));
    Ok(Field {
        ground: colours[0],
        layers,
        reads: Reads::Free,
        repeat_mm: Vec2::new(settings.repeat_mm, settings.repeat_mm),
    })
}

/// Upright and level bars that show so much of their colour, the rest ground.
fn both_ways(settings: &Settings, bands: &[Band], share: f64) -> Vec<Layer> {
    let sorted = by_colour(bands).into_iter();
    let pair = |(colour, own): (usize, Vec<Band>)| {
        let tone = mixed(settings.colours[0], settings.colours[colour], share);
        [
            upright(&bars(&own, Band::upright), tone, settings.repeat_mm),
            level(&bars(&own, Band::level), tone, settings.repeat_mm),
        ]
    };
    sorted.flat_map(pair).collect()
}

/// The threads of one band, half as wide as they are apart; none where they would be too fine.
fn threads(band: Band) -> Vec<Band> {
    let fit = |many: &u32| f64::from(*many) * THREAD_MM <= band.width_mm() + THREAD_MM / 2.0;
    let many = (1..=MOST_THREADS).take_while(fit).count();
    let pitch_mm = band.width_mm() / count(many.max(1));
    let middle = |n: usize| band.from_mm + (count(n) + 0.5) * pitch_mm;
    let place = |n: usize| Band::about(band.colour, middle(n), pitch_mm / 2.0);
    (0..many).map(place).collect()
}

#[cfg(test)]
mod tests {
    use kurbo::{Point, Rect};

    use super::super::REACH_MM;
    use super::super::woven::{
        Element, assert_comes_again, assert_laid, cover, drawn, hundred, in_turn, laid, refused,
        same_when_turned, seen, settings, stripes,
    };
    use super::*;
    use crate::drawing::Colour;

    /// By hand: bands of 4 mm about 0 and 8 hold 8 threads half a millimetre apart, 0.25 mm wide: the first one from -1.875 to -1.625. Black
    /// on white: 255 * 0.62 = 158.1 between the threads, 255 * 0.38 = 96.9 in them.
    #[test]
    fn a_band_alone_is_threads_of_colour_and_ground_and_two_are_full() {
        let mut settings = settings(8.0, 0.5, 2);
        settings.colours = vec![Colour::WHITE, Colour::BLACK];
        let field = drawn(&GINGHAM, &settings);
        let at = |x: f64, y: f64| seen(&field, Point::new(x, y));
        let grey = |value: u8| Colour::rgb(value, value, value);
        assert_eq!(at(4.0, 4.0), Colour::WHITE);
        assert_eq!(at(0.0, 0.0), Colour::BLACK);
        assert_eq!(at(1.9, 1.9), Colour::BLACK);
        for (x, value) in [
            (-1.9, 158),
            (-1.86, 97),
            (-1.64, 97),
            (-1.6, 158),
            (-1.36, 97),
        ] {
            assert_eq!(at(x, 4.0), grey(value), "upright, {x}");
            assert_eq!(at(4.0, x), grey(value), "level, {x}");
        }
    }

    /// By hand: along a line between two level bands the upright ones cover the weight.
    #[test]
    fn its_cover_is_its_weight_each_way() {
        for (weight, colours, pitch) in [(0.2, 2, 20.0), (0.5, 3, 10.0), (0.8, 4, 5.0)] {
            let field = drawn(&GINGHAM, &settings(20.0, weight, colours));
            let across = cover(&field, Point::new(1.7, pitch / 2.0), Vec2::new(20.0, 0.0));
            let down = cover(&field, Point::new(pitch / 2.0, 1.7), Vec2::new(0.0, 20.0));
            assert!((across - weight).abs() < 0.002, "{across} for {weight}");
            assert!((down - weight).abs() < 0.002, "{down} for {weight}");
        }
    }

    #[test]
    fn it_reads_the_same_at_every_quarter_turn() {
        for colours in 2..=4 {
            let field = drawn(&GINGHAM, &settings(12.0, 0.55, colours));
            assert_eq!(same_when_turned(&field, Point::ORIGIN, 1), 2000);
            assert_eq!(field.reads, Reads::Free);
            assert_comes_again(&field);
        }
    }

    /// By hand: a band of w holds w / 0.5 threads to the nearest whole number, at least 1 from 0.25 mm on and at most 24.
    #[test]
    fn no_band_thread_or_crossing_is_missing_or_doubled_on_any_box() {
        for (settings, over) in hundred(&GINGHAM, 3.0..=60.0) {
            let stripes_count = i64::try_from(settings.colours.len()).unwrap() - 1;
            let pitch = settings.repeat_mm / stripes(stripes_count);
            let width = pitch * settings.weight;
            let threads = (width / 0.5).round().min(24.0);
            let ground = settings.colours[0];
            let mut bars = Vec::new();
            let mut bands = Vec::new();
            for n in -600_i32..=600 {
                let own = settings.colours[in_turn(i64::from(n), stripes_count)];
                let from = f64::from(n) * pitch - width / 2.0;
                let plain = if threads > 0.0 { 0.38 } else { 0.5 };
                bands.push((from, from + width, own));
                bars.push((from, from + width, mixed(ground, own, plain)));
                for thread in (0_i32..24).map(f64::from).take_while(|n| *n < threads) {
                    let start = from + (thread + 0.25) * width / threads;
                    bars.push((
                        start,
                        start + width / threads / 2.0,
                        mixed(ground, own, 0.62),
                    ));
                }
            }
            let upright = |(x0, x1, c): &(f64, f64, Colour)| {
                Element::oblong(*c, *x0, -REACH_MM, *x1, REACH_MM)
            };
            let level = |(y0, y1, c): &(f64, f64, Colour)| {
                Element::oblong(*c, -REACH_MM, *y0, REACH_MM, *y1)
            };
            let mut expected: Vec<Element> = bars
                .iter()
                .flat_map(|bar| [upright(bar), level(bar)])
                .collect();
            for (x0, x1, first) in bands.iter().filter(|band| upright(band).reaches(over)) {
                for (y0, y1, second) in bands.iter().filter(|band| level(band).reaches(over)) {
                    let full = mixed(*first, *second, 0.5);
                    expected.push(Element::oblong(full, *x0, *y0, *x1, *y1));
                }
            }
            assert_laid(&drawn(&GINGHAM, &settings), over, expected);
        }
    }

    /// By hand: a fifth of 0.4 mm is 0.08 mm; 0.1 mm needs 0.5 mm. A band of 0.2 mm is too fine for threads and has half of its colour.
    #[test]
    fn bands_too_thin_are_refused_and_fine_ones_are_a_tone() {
        let refusal = refused(&GINGHAM, &settings(0.4, 0.2, 2));
        assert_eq!(refusal.key, "repeat");
        assert!(
            refusal.message.contains("bands come out 0.080 mm wide"),
            "{refusal:?}"
        );
        assert!(refusal.hint.contains("\"0.5 mm\""), "{refusal:?}");
        let mut fine = settings(0.4, 0.5, 2);
        fine.colours = vec![Colour::WHITE, Colour::BLACK];
        let field = drawn(&GINGHAM, &fine);
        assert_eq!(
            seen(&field, Point::new(0.0, 0.2)),
            Colour::rgb(128, 128, 128)
        );
        let parts = laid(&field, Rect::new(-0.15, -0.15, 0.15, 0.15));
        assert_eq!(parts.len(), 3, "one bar each way and where they cross");
    }
}
