//! Leaves and sprigs, strewn without touching.
//!
//! Growths are laid from the largest to the smallest, each at the roomiest of some random places and turns; small ones fill the gaps until no
//! place is roomy enough. So gaps come out alike, and the work is bounded by the number of growths and of places tried.

use kurbo::{Affine, Point, Vec2};
use rand_pcg::Pcg32;

use super::leaf::{Growth, berries, berry_twig, paired_sprig, single, slim_sprig, small};
use super::motif::{flat, layer, require_repeat};
use super::spread::{distance, generator, inside, unit};
use super::{Field, Kind, Refusal, Settings, Steps, Takes};
use crate::drawing::Colour;
use crate::math::Angle;
use crate::project::Reads;

/// Sprigs and leaves as they fall.
pub(super) const LEAF_SCATTER: Kind = Kind {
    name: "leaf-scatter",
    title: "Leaf scatter",
    says: "sprigs, leaves and berries as they fall, none touching another; the first two colours are leaves, a third is berries, a fourth small leaves",
    repeat_is: "after which the same leaves come again; the largest sprig is about a quarter of it long",
    usual_repeat: ("80 mm", "3 in"),
    weight_is: "of the closest way in which the leaves may lie",
    usual_weight: 0.65,
    weights: (0.1, 1.0),
    colours: (2, 5),
    takes: Takes::Seed,
    draw,
};

/// Below this the midribs of the small leaves are thinner than two pixels at 600 dpi (0.08 mm).
const FINEST_MM: f64 = 30.0;

/// Random places and turns that are tried for one growth.
const PLACES: u32 = 150;

/// Small growths that are tried at most.
const MOST_SMALL: u32 = 110;

/// The gap that is left between any two growths at weights 1 and 0, as shares of the repeat.
const GAPS: (f64, f64) = (0.006, 0.034);

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    require_repeat(settings, FINEST_MM)?;
    Ok(field(settings, &strewn(settings.seed, settings.weight)))
}

fn field(settings: &Settings, growths: &[(Growth, Ink)]) -> Field {
    let repeat_mm = settings.repeat_mm;
    let at_size = Affine::scale(repeat_mm);
    let mut items = Vec::new();
    for (growth, ink) in growths {
        let inks = ink.of(settings);
        let parts = [
            (&growth.green, inks.0),
            (&growth.berries, inks.1),
            (&growth.veins, settings.colours[0]),
        ];
        for (path, colour) in parts {
            if !path.is_empty() {
                items.push(flat(&(at_size * path.clone()), colour));
            }
        }
    }
    let steps = Steps::Grid {
        across: Vec2::new(repeat_mm, 0.0),
        down: Vec2::new(0.0, repeat_mm),
    };
    Field {
        ground: settings.colours[0],
        layers: vec![layer(items, steps)],
        // No turn brings leaves upon leaves, but none looks more upright than another.
        reads: Reads::Free,
        repeat_mm: Vec2::new(repeat_mm, repeat_mm),
    }
}

/// Which colours a growth takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ink {
    First,
    Second,
    Small,
}

impl Ink {
    /// Of leaves and stems, then of berries.
    fn of(self, settings: &Settings) -> (Colour, Colour) {
        let colours = &settings.colours;
        let last = colours.len() - 1;
        let green = match self {
            Self::First => colours[1],
            Self::Second => colours[last.min(2)],
            Self::Small => colours[if last > 3 { 4 } else { 1 }],
        };
        (green, colours[last.min(3)])
    }
}

/// All growths of a repeat where they lie, in a unit square beyond whose edges they may hang.
fn strewn(seed: u64, weight: f64) -> Vec<(Growth, Ink)> {
    let random = &mut generator(seed);
    let gap = GAPS.1 + (GAPS.0 - GAPS.1) * weight;
    let mut laid: Vec<(Growth, Ink)> = Vec::new();
    for (growth, ink) in large(random) {
        if let Some(growth) = roomiest(&growth, &laid, gap, random) {
            laid.push((growth, ink));
        }
    }
    for n in 0..MOST_SMALL {
        let (growth, ink) = little(n, random);
        if let Some(growth) = roomiest(&growth, &laid, gap, random) {
            laid.push((growth, ink));
        }
    }
    laid
}

/// What is laid first: sprigs, then leaves, a little different each time.
fn large(random: &mut Pcg32) -> Vec<(Growth, Ink)> {
    let mut growths = Vec::new();
    let mut swing = || unit(random) * 2.0 - 1.0;
    for n in 0..9 {
        let bow = 0.2 * swing();
        let length = 0.27 + 0.025 * swing();
        growths.push(match n % 3 {
            0 => (slim_sprig(length, bow), Ink::First),
            1 => (paired_sprig(length * 0.92, bow), Ink::Second),
            _ => (berry_twig(length * 0.8, bow), Ink::First),
        });
    }
    for n in 0..14 {
        let (half_width, ink) = if n % 2 == 0 {
            (0.27, Ink::Second)
        } else {
            (0.21, Ink::First)
        };
        let growth = single(0.125 + 0.02 * swing(), half_width, 0.12 * swing());
        growths.push((growth, ink));
    }
    growths
}

/// What fills the gaps: leaves that become smaller, and now and then berries.
fn little(n: u32, random: &mut Pcg32) -> (Growth, Ink) {
    let left = 1.0 - f64::from(n) / f64::from(MOST_SMALL);
    let swing = unit(random) * 2.0 - 1.0;
    match n % 4 {
        3 => (berries(0.0085 + 0.002 * left), Ink::First),
        2 => (small(0.04 + 0.035 * left, 0.25, 0.1 * swing), Ink::Second),
        _ => (small(0.04 + 0.045 * left, 0.22, 0.12 * swing), Ink::Small),
    }
}

/// The growth at the roomiest of some places, if it keeps the gap there.
fn roomiest(
    growth: &Growth,
    laid: &[(Growth, Ink)],
    gap: f64,
    random: &mut Pcg32,
) -> Option<Growth> {
    let mut best = None;
    let mut roomy = gap;
    for _ in 0..PLACES {
        let at = Vec2::new(unit(random), unit(random));
        let turn = Angle::from_deg(360.0 * unit(random));
        let placed = growth.placed(turn, at);
        let room = room(&placed.hull, laid, roomy);
        if room > roomy {
            roomy = room;
            best = Some(placed);
        }
    }
    best
}

/// The least distance to what is laid; less than `enough` as soon as it is known to be less.
fn room(hull: &[(Point, f64)], laid: &[(Growth, Ink)], enough: f64) -> f64 {
    let mut least = 1.0;
    for (at, radius) in hull {
        let at = inside(*at);
        for (other, _) in laid {
            for (other_at, other_radius) in &other.hull {
                let apart = distance(at, *other_at) - radius - other_radius;
                if apart < least {
                    least = apart;
                    if least <= enough {
                        return least;
                    }
                }
            }
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use kurbo::{ParamCurve, Rect, Shape};

    use super::super::motif::seen;
    use super::super::woven::{self, SIX};
    use super::*;

    fn settings(repeat_mm: f64, weight: f64, seed: u64) -> Settings {
        Settings {
            seed,
            ..woven::settings(repeat_mm, weight, 5)
        }
    }

    /// Points along all outlines of a growth.
    fn points(growth: &Growth) -> Vec<Point> {
        let segments = growth.green.segments().chain(growth.berries.segments());
        let eighths =
            |segment: kurbo::PathSeg| (0..8).map(move |n| segment.eval(f64::from(n) / 8.0));
        segments.flat_map(eighths).collect()
    }

    /// The true outlines, not the circles they were laid by.
    #[test]
    fn no_growth_touches_another_across_the_edge_of_the_repeat_either() {
        for (seed, weight) in [(1, 1.0), (2, 0.65), (3, 0.1)] {
            let gap = GAPS.1 + (GAPS.0 - GAPS.1) * weight;
            let strewn = strewn(seed, weight);
            let outlines: Vec<Vec<Point>> = strewn.iter().map(|(g, _)| points(g)).collect();
            let mut least = f64::INFINITY;
            for (n, one) in outlines.iter().enumerate() {
                for at in one {
                    let others = outlines[..n].iter().flatten();
                    least = others
                        .map(|other| distance(*at, *other))
                        .fold(least, f64::min);
                }
            }
            assert!(least > 0.5 * gap, "seed {seed}: {least}, {gap}");
        }
    }

    #[test]
    fn every_quadrant_has_about_a_quarter_of_the_ink() {
        for seed in 0..4 {
            let field = draw(&settings(100.0, 0.65, seed)).unwrap();
            let mut ink = [0; 4];
            for n in 0..3600_i32 {
                let at =
                    Point::new(f64::from(n % 60) + 0.5, f64::from(n / 60) + 0.5).to_vec2() / 0.6;
                let is_ink =
                    !seen::is_same(seen::colour_at(&field, at.to_point()), seen::parts(SIX[0]));
                ink[usize::from(n % 60 >= 30) + 2 * usize::from(n >= 1800)] += i32::from(is_ink);
            }
            let mean = f64::from(ink.iter().sum::<i32>()) / 4.0;
            assert!(
                ink.iter()
                    .all(|n| (f64::from(*n) / mean - 1.0).abs() < 0.25),
                "{ink:?}"
            );
        }
    }

    #[test]
    fn shifts_show_every_leaf_once_for_a_hundred_settings() {
        let mut random = generator(41);
        let mut unit = || unit(&mut random);
        for seed in 0..5 {
            let weight = 0.1 + 0.9 * unit();
            let strewn = strewn(seed, weight);
            for _ in 0..20 {
                let repeat_mm = 30.0 + 150.0 * unit();
                let settings = settings(repeat_mm, weight, seed);
                let field = field(&settings, &strewn);
                let corner = Point::new(300.0 * unit() - 150.0, 300.0 * unit() - 150.0);
                let over =
                    Rect::from_origin_size(corner, (80.0 * unit() + 1.0, 80.0 * unit() + 1.0));
                let mut wanted = Vec::new();
                for (row, column) in (-9..9).flat_map(|row| (-9..9).map(move |c| (row, c))) {
                    let place = Affine::translate((f64::from(column), f64::from(row)))
                        .then_scale(repeat_mm);
                    for (growth, ink) in &strewn {
                        let (green, red) = ink.of(&settings);
                        let parts = [
                            (&growth.green, green),
                            (&growth.berries, red),
                            (&growth.veins, SIX[0]),
                        ];
                        for (path, colour) in parts {
                            let rings = seen::rings(path).into_iter();
                            let boxes = rings.map(|ring| (place * ring).bounding_box());
                            let within = boxes.filter(|b| seen::reaches(*b, over));
                            wanted.extend(within.map(|b| (colour, b)));
                        }
                    }
                }
                seen::assert_same(seen::boxes(&field, over), wanted);
            }
        }
    }

    #[test]
    fn a_motif_has_at_most_a_few_hundred_areas_and_keeps_to_its_seed() {
        for seed in 0..4 {
            let field = draw(&settings(80.0, 1.0, seed)).unwrap();
            assert!((120..320).contains(&field.layers[0].motif.items.len()));
            assert_eq!(field, draw(&settings(80.0, 1.0, seed)).unwrap());
            assert_ne!(field, draw(&settings(80.0, 1.0, seed + 1)).unwrap());
            assert_eq!(field.reads, Reads::Free);
        }
        let refusal = draw(&settings(29.0, 0.65, 1)).unwrap_err();
        assert_eq!(
            (refusal.key, refusal.hint.as_str()),
            ("repeat", "repeat = \"30 mm\"")
        );
    }
}
