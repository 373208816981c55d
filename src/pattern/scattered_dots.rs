//! Dots of three sizes, strewn evenly.

use kurbo::{BezPath, Point, Vec2};

use super::motif::{circle_into, flat, layer, require_repeat};
use super::spread::{dealt, distance, generator, spread};
use super::{Field, Kind, Refusal, Settings, Steps, Takes};
use crate::project::Reads;

/// Like confetti, but without clumps and bare places.
pub(super) const SCATTERED_DOTS: Kind = Kind {
    name: "scattered-dots",
    title: "Scattered dots",
    says: "dots of three sizes, strewn without clumps and bare places; each colour is strewn evenly, too",
    repeat_is: "after which the same dots come again; neighbours are about a tenth of it apart",
    usual_repeat: ("60 mm", "2 1/2 in"),
    weight_is: "of the size at which the first two dots would touch",
    usual_weight: 0.7,
    weights: (0.2, 0.9),
    colours: (2, 5),
    takes: Takes::Seed,
    draw,
};

/// The smallest dots are then about four pixels wide at 600 dpi (0.17 mm) at the usual weight.
const FINEST_MM: f64 = 12.0;

/// Sizes, and how many of each there are.
const SIZES: [(f64, usize); 3] = [(1.0, 26), (0.68, 40), (0.42, 54)];

/// The radius of size 1 that shares are measured with, as a share of the repeat.
const RADIUS: f64 = 0.034;

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    require_repeat(settings, FINEST_MM)?;
    let (spots, sizes) = spots(settings.seed);
    Ok(strewn(settings, &spots, &sizes))
}

fn strewn(settings: &Settings, spots: &[Point], sizes: &[f64]) -> Field {
    let repeat_mm = settings.repeat_mm;
    let largest = touching(spots, sizes) * settings.weight;
    let inks = &settings.colours[1..];
    let mut paths = vec![BezPath::new(); inks.len()];
    for ((spot, size), ink) in spots.iter().zip(sizes).zip(dealt(spots, inks.len())) {
        let middle = (spot.to_vec2() * repeat_mm).to_point();
        circle_into(&mut paths[ink], middle, size * largest * repeat_mm);
    }
    let items = paths
        .into_iter()
        .zip(inks)
        .map(|(path, ink)| flat(&path, *ink));
    let steps = Steps::Grid {
        across: Vec2::new(repeat_mm, 0.0),
        down: Vec2::new(0.0, repeat_mm),
    };
    Field {
        ground: settings.colours[0],
        layers: vec![layer(items.collect(), steps)],
        // No turn brings strewn dots upon dots, but none looks more upright than another.
        reads: Reads::Free,
        repeat_mm: Vec2::new(repeat_mm, repeat_mm),
    }
}

/// Middles in the unit square, and sizes, large ones first.
fn spots(seed: u64) -> (Vec<Point>, Vec<f64>) {
    let sizes = SIZES
        .iter()
        .flat_map(|(size, count)| std::iter::repeat_n(*size, *count));
    let sizes: Vec<f64> = sizes.collect();
    let radii: Vec<f64> = sizes.iter().map(|size| size * RADIUS).collect();
    (spread(&radii, &mut generator(seed)), sizes)
}

/// The radius of size 1 at which the first two dots touch.
fn touching(spots: &[Point], sizes: &[f64]) -> f64 {
    let mut least = f64::INFINITY;
    for (n, (spot, size)) in spots.iter().zip(sizes).enumerate() {
        for (other, other_size) in spots.iter().zip(sizes).take(n) {
            least = least.min(distance(*spot, *other) / (size + other_size));
        }
    }
    least
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;

    use super::super::motif::seen;
    use super::super::spread::unit;
    use super::super::woven::{self, SIX};
    use super::*;

    fn settings(repeat_mm: f64, weight: f64, seed: u64) -> Settings {
        Settings {
            seed,
            ..woven::settings(repeat_mm, weight, 5)
        }
    }

    fn pairs(count: usize) -> impl Iterator<Item = (usize, usize)> {
        (0..count).flat_map(|i| (0..i).map(move |j| (i, j)))
    }

    /// The least distance of `n` points in a unit square is at most that of the densest packing, sqrt(2 / (sqrt(3) n)) (Lagae and Dutré,
    /// "A comparison of methods for generating Poisson disk distributions", 2008), 0.098 for 120 points; points strewn by chance have
    /// neighbours at some hundredths of it.
    #[test]
    fn neighbours_keep_at_least_half_of_the_distance_of_the_densest_packing() {
        let densest = (2.0 / (3.0_f64.sqrt() * 120.0)).sqrt();
        for seed in 0..20 {
            let (spots, _) = spots(seed);
            assert_eq!(spots.len(), 120);
            let least = pairs(120).map(|(i, j)| distance(spots[i], spots[j]));
            let least = least.fold(f64::INFINITY, f64::min);
            assert!(least > 0.5 * densest, "seed {seed}: {}", least / densest);
        }
    }

    /// Of 120 dots strewn by chance a quadrant has 30, give or take sqrt(120 * 1/4 * 3/4) = 4.7 (the binomial's standard deviation).
    #[test]
    fn every_quadrant_has_its_quarter_of_the_dots_and_every_colour_its_share() {
        let mut squared = 0.0;
        for seed in 0..20 {
            let (spots, _) = spots(seed);
            let mut counts = [0; 4];
            for spot in &spots {
                counts[usize::from(spot.x > 0.5) + 2 * usize::from(spot.y > 0.5)] += 1;
            }
            let squares = counts.iter().map(|n: &i32| f64::from(n - 30).powi(2));
            squared += squares.sum::<f64>() / (20.0 * 4.0);
            assert!(counts.iter().all(|n| (24..=36).contains(n)), "{counts:?}");
            let kinds = dealt(&spots, 4);
            let of_one = |kind| kinds.iter().filter(|k| **k == kind).count();
            assert!((0..4).all(|kind| of_one(kind) == 30));
            // No two of the 30 dots of a colour are nearer than two fifths of the densest packing of 30.
            let densest = (2.0 / (3.0_f64.sqrt() * 30.0)).sqrt();
            let same = pairs(120).filter(|(i, j)| kinds[*i] == kinds[*j]);
            let least = same.map(|(i, j)| distance(spots[i], spots[j]));
            let least = least.fold(f64::INFINITY, f64::min) / densest;
            assert!(least > 0.4, "seed {seed}: {least}");
        }
        // Less than half of what chance would do.
        assert!(squared.sqrt() < 4.7 / 2.0, "{}", squared.sqrt());
    }

    #[test]
    fn shifts_show_every_dot_once_and_apart_for_a_hundred_settings() {
        let mut random = generator(31);
        let mut unit = || unit(&mut random);
        let strewn_for: Vec<_> = (0..10).map(spots).collect();
        for (seed, _) in (0..10).flat_map(|seed| (0..10).map(move |n| (seed, n))) {
            let (spots, sizes) = &strewn_for[usize::try_from(seed).unwrap()];
            let (repeat_mm, weight) = (12.0 + 90.0 * unit(), 0.2 + 0.7 * unit());
            let field = strewn(&settings(repeat_mm, weight, seed), spots, sizes);
            let corner = Point::new(200.0 * unit() - 100.0, 200.0 * unit() - 100.0);
            let over = Rect::from_origin_size(corner, (60.0 * unit() + 1.0, 60.0 * unit() + 1.0));
            let kinds = dealt(spots, 4);
            let largest = touching(spots, sizes) * weight * repeat_mm;
            let mut wanted = Vec::new();
            for (row, column) in (-16..16).flat_map(|row| (-16..16).map(move |c| (row, c))) {
                let shift = Vec2::new(f64::from(column), f64::from(row));
                for ((spot, size), kind) in spots.iter().zip(sizes).zip(&kinds) {
                    let middle = (spot.to_vec2() + shift) * repeat_mm;
                    let side = 2.0 * size * largest;
                    let dot = Rect::from_center_size(middle.to_point(), (side, side));
                    if seen::reaches(dot, over) {
                        wanted.push((SIX[1 + kind], dot));
                    }
                }
            }
            seen::assert_same(seen::boxes(&field, over), wanted);
            for (i, j) in pairs(120) {
                let apart = distance(spots[i], spots[j]) * repeat_mm;
                assert!(apart * weight > (sizes[i] + sizes[j]) * largest - 1e-9);
            }
        }
    }

    #[test]
    fn a_seed_always_strews_the_same_and_another_one_anew() {
        let drawn = |seed| draw(&settings(60.0, 0.7, seed)).unwrap();
        assert_eq!(drawn(5), drawn(5));
        assert_ne!(drawn(5), drawn(6));
        assert_eq!(drawn(5).reads, Reads::Free);
        let refusal = draw(&settings(11.0, 0.7, 5)).unwrap_err();
        assert_eq!(
            (refusal.key, refusal.hint.as_str()),
            ("repeat", "repeat = \"12 mm\"")
        );
    }
}
