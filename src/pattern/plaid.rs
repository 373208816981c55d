//! Cloth from a list of threads, upright and level alike, the level ones over and under the upright ones in slanting lines.
//!
//! The list is one half: from the middle of its first band to the middle of its last one, where it turns and comes back. Both ways have the
//! same threads. The upright ones are painted whole; over them lie those of the level ones that show, in slanting lines as a twill has them.
//! Where two bands of one colour cross, nothing is seen of the lines.

use std::collections::BTreeMap;

use kurbo::{BezPath, Point, Shape, Vec2};

use super::thread::{Band, bars, by_colour, count, filled, upright};
use super::thread_list::{bands, list};
use super::{Field, Kind, Layer, Refusal, Settings, Steps, Takes};
use crate::drawing::Drawing;
use crate::project::Reads;

/// Bands of several colours and widths both ways, woven.
pub(super) const PLAID: Kind = Kind {
    name: "plaid",
    title: "Plaid",
    says: "bands from a list of threads, the same both ways, woven in fine slanting lines",
    repeat_is: "from the middle of the first band to the next time it comes",
    usual_repeat: ("48 mm", "2 in"),
    weight_is: "of the level threads that lies over the upright ones",
    usual_weight: 0.5,
    weights: (0.2, 0.8),
    colours: (2, 6),
    takes: Takes::Threads,
    draw,
};

/// From slanting line to slanting line, least and most, in millimetres: they are seen from near, and are a tone from afar. Between the two
/// there are [`LINES`] to a repeat, so that small plaids are finer cloth.
const TWILL_MM: (f64, f64) = (0.4, 0.8);
/// Slanting lines to a repeat.
const LINES: f64 = 48.0;
/// Most slanting lines in one motif.
const MOST_LINES: usize = 24;
/// How far a band reaches under its neighbour at most, in millimetres: more than a printer's or a screen's dot.
const UNDER_MM: f64 = 0.3;

fn draw(settings: &Settings) -> Result<Field, Refusal> {
    let list = list(settings)?;
    let bands = bands(&list, settings.repeat_mm);
    let mut layers = warp(settings, &bands);
    layers.extend(weft(settings, &bands));
    Ok(Field {
        ground: settings.colours[0],
        layers,
        reads: Reads::Stripe,
        repeat_mm: Vec2::new(settings.repeat_mm, settings.repeat_mm),
    })
}

/// How far every band reaches under the one before and the one behind it, in millimetres: a little where that is painted over it, so that
/// nothing shows between the two.
fn reaches(bands: &[Band]) -> Vec<(f64, f64)> {
    let many = bands.len();
    let under = |own: Band, beside: Band| {
        let most_mm = (beside.width_mm() / 2.0).min(UNDER_MM);
        if beside.colour > own.colour {
            most_mm
        } else {
            0.0
        }
    };
    let both = |(n, own): (usize, &Band)| {
        let (before, behind) = (bands[(n + many - 1) % many], bands[(n + 1) % many]);
        (under(*own, before), under(*own, behind))
    };
    bands.iter().enumerate().map(both).collect()
}

/// The upright threads: whole bars, those of the ground's colour left out.
fn warp(settings: &Settings, bands: &[Band]) -> Vec<Layer> {
    let longer = |(own, (before, behind)): (&Band, (f64, f64))| Band {
        from_mm: own.from_mm - before,
        to_mm: own.to_mm + behind,
        ..*own
    };
    let longer: Vec<Band> = bands.iter().zip(reaches(bands)).map(longer).collect();
    by_colour(&longer)
        .into_iter()
        .filter(|(colour, _)| *colour > 0)
        .map(|(colour, own)| {
            let colour = settings.colours[colour];
            upright(&bars(&own, Band::upright), colour, settings.repeat_mm)
        })
        .collect()
}

/// The level threads where they show: slanting lines, each as long as its band is broad. They run on from band to band and from repeat to
/// repeat, since a repeat is a whole number of lines high.
fn weft(settings: &Settings, bands: &[Band]) -> Vec<Layer> {
    let twill_mm = (settings.repeat_mm / LINES).clamp(TWILL_MM.0, TWILL_MM.1);
    let lines = (settings.repeat_mm / twill_mm).round().max(1.0);
    let pitch_mm = settings.repeat_mm / lines;
    let many = (1..=MOST_LINES)
        .rev()
        .find(|n| count(*n) <= lines)
        .unwrap_or(1);
    let steps = Steps::Grid {
        across: Vec2::new(count(many) * pitch_mm, 0.0),
        down: Vec2::new(0.0, settings.repeat_mm),
    };
    let mut paths: BTreeMap<usize, BezPath> = BTreeMap::new();
    for (band, reach) in bands.iter().zip(reaches(bands)) {
        for line in 0..many {
            let path = slanting(
                *band,
                reach,
                count(line) * pitch_mm,
                pitch_mm * settings.weight,
            );
            paths.entry(band.colour).or_default().extend(path);
        }
    }
    let layer = |(colour, path): (usize, BezPath)| Layer {
        bounds: path.bounding_box(),
        motif: Drawing {
            items: vec![filled(path, settings.colours[colour])],
        },
        steps,
    };
    paths.into_iter().map(layer).collect()
}

/// A line over a level band, half a right angle off, rising to the right, that would cross the origin's height at `middle_mm`. Under a
/// neighbour it reaches with a point, so that its sides do not show along those of the line over it.
fn slanting(band: Band, reach: (f64, f64), middle_mm: f64, width_mm: f64) -> BezPath {
    let at = |y: f64, side: f64| Point::new(middle_mm - y + side * width_mm / 2.0, y);
    let (before, behind) = (reach.0.min(width_mm / 2.0), reach.1.min(width_mm / 2.0));
    let mut path = BezPath::new();
    path.move_to(at(band.from_mm, -1.0));
    if before > 0.0 {
        path.line_to(at(band.from_mm - before, 0.0));
    }
    path.line_to(at(band.from_mm, 1.0));
    path.line_to(at(band.to_mm, 1.0));
    if behind > 0.0 {
        path.line_to(at(band.to_mm + behind, 0.0));
    }
    path.line_to(at(band.to_mm, -1.0));
    path.close_path();
    path
}

#[cfg(test)]
mod tests {
    use super::super::REACH_MM;
    use super::super::thread_list::USUAL;
    use super::super::woven::{
        Element, SIX, assert_comes_again, assert_laid, drawn, hundred, points, same_when_turned,
        seen, settings,
    };
    use super::*;

    fn woven(repeat_mm: f64, colours: usize, threads: &[(usize, u32)]) -> Settings {
        Settings {
            threads: threads.to_vec(),
            ..settings(repeat_mm, 0.5, colours)
        }
    }

    /// Colour of the thread at `mm`, by going out from the middle of the first band to that of the last and back.
    fn thread(list: &[(usize, u32)], repeat_mm: f64, mm: f64) -> usize {
        let out = mm
            .rem_euclid(repeat_mm)
            .min(repeat_mm - mm.rem_euclid(repeat_mm));
        let threads: f64 = list.iter().map(|band| f64::from(band.1)).sum();
        let ends = f64::from(list[0].1 + list[list.len() - 1].1) / 2.0;
        let mut left = out / (repeat_mm / 2.0) * (threads - ends) + f64::from(list[0].1) / 2.0;
        for (colour, threads) in list {
            left -= f64::from(*threads);
            if left < 0.0 {
                return *colour;
            }
        }
        list[list.len() - 1].0
    }

    /// By hand, from the list alone: a level thread shows where the slanting lines run, an upright one between them.
    #[test]
    fn level_threads_lie_over_upright_ones_in_slanting_lines() {
        for (colours, weight) in [(2, 0.5), (3, 0.3), (4, 0.5), (5, 0.7), (6, 0.5)] {
            // 40 mm are 50 lines of 0.8 mm.
            let field = drawn(&PLAID, &settings(40.0, weight, colours));
            let list = USUAL[colours - 2];
            for point in points(3000) {
                let line = (point.x + point.y) / 0.8 + weight / 2.0;
                let along = if line.rem_euclid(1.0) < weight {
                    point.y
                } else {
                    point.x
                };
                assert_eq!(
                    seen(&field, point),
                    SIX[thread(list, 40.0, along)],
                    "{point:?}"
                );
            }
        }
    }

    /// By hand: of a point on a level band that crosses an upright one of another colour, the share that is level is the weight.
    #[test]
    fn the_weight_is_the_share_of_level_threads_on_top() {
        for weight in [0.2, 0.5, 0.8] {
            let mut plain = woven(40.0, 2, &[(0, 1), (1, 1)]);
            plain.weight = weight;
            let field = drawn(&PLAID, &plain);
            // Upright ground from -10 to 10, level colour from 10 to 30: eight slanting lines of 0.8 mm.
            let found =
                super::super::woven::cover(&field, Point::new(-3.2, 17.0), Vec2::new(6.4, 0.0));
            assert!((found - weight).abs() < 0.001, "{found} for {weight}");
        }
    }

    #[test]
    fn it_reads_the_same_upside_down_but_its_lines_slant_the_other_way_on_its_side() {
        for colours in 2..=6 {
            let field = drawn(&PLAID, &settings(40.0, 0.5, colours));
            assert_eq!(same_when_turned(&field, Point::ORIGIN, 2), 2000);
            assert!(same_when_turned(&field, Point::ORIGIN, 1) < 1900);
            assert_eq!(field.reads, Reads::Stripe);
            assert_comes_again(&field);
        }
    }

    /// A band as found by looking: its colour, its edges, and how far it reaches beyond each.
    type Found = (usize, [f64; 2], [f64; 2]);

    /// The bands that reach from `from` to `to`, found by looking at each half thread; they reach under higher colours beside them.
    fn looked_for(list: &[(usize, u32)], repeat_mm: f64, from: f64, to: f64) -> Vec<Found> {
        let ends = list[0].1 + list[list.len() - 1].1;
        let threads = 2 * list.iter().map(|band| band.1).sum::<u32>() - ends;
        let half_mm = repeat_mm / f64::from(threads) / 2.0;
        let first = ((from - repeat_mm) / half_mm).floor();
        let many = ((to - from + 2.0 * repeat_mm) / half_mm).ceil();
        let mut runs: Vec<(usize, f64, f64)> = Vec::new();
        for n in (0_i32..).map(f64::from).take_while(|n| *n < many) {
            let (start, end) = ((first + n) * half_mm, (first + n + 1.0) * half_mm);
            let colour = thread(list, repeat_mm, (start + end) / 2.0);
            match runs.last_mut() {
                Some(run) if run.0 == colour => run.2 = end,
                _ => runs.push((colour, start, end)),
            }
        }
        let reach = |own: usize, beside: &(usize, f64, f64)| {
            let half = (beside.2 - beside.1) / 2.0;
            if beside.0 > own { half.min(0.3) } else { 0.0 }
        };
        let whole = runs.windows(3).map(|three| {
            let (colour, start, end) = three[1];
            let reaches = [reach(colour, &three[0]), reach(colour, &three[2])];
            (colour, [start, end], reaches)
        });
        whole.collect()
    }

    /// The corners of a slanting line through (`x`, 0), with points where it reaches under a neighbour.
    fn corners(x: f64, half: f64, [y0, y1]: [f64; 2], reaches: [f64; 2]) -> Vec<Point> {
        let [before, behind] = reaches.map(|reach| reach.min(half));
        let all = [
            (true, x - y0 - half, y0),
            (before > 0.0, x - y0 + before, y0 - before),
            (true, x - y0 + half, y0),
            (true, x - y1 + half, y1),
            (behind > 0.0, x - y1 - behind, y1 + behind),
            (true, x - y1 - half, y1),
        ];
        let there = all.iter().filter(|corner| corner.0);
        there.map(|(_, x, y)| Point::new(*x, *y)).collect()
    }

    #[test]
    fn no_band_or_slanting_line_is_missing_or_doubled_on_any_box() {
        for (settings, over) in hundred(&PLAID, 12.0..=60.0) {
            let list = USUAL[settings.colours.len() - 2];
            let lines = (settings.repeat_mm / (settings.repeat_mm / 48.0).clamp(0.4, 0.8)).round();
            let pitch = settings.repeat_mm / lines;
            let half = pitch * settings.weight / 2.0;
            let mut expected = Vec::new();
            for (own, [x0, x1], [before, behind]) in
                looked_for(list, settings.repeat_mm, over.x0, over.x1)
            {
                if own > 0 {
                    let (x0, x1) = (x0 - before, x1 + behind);
                    let colour = settings.colours[own];
                    expected.push(Element::oblong(colour, x0, -REACH_MM, x1, REACH_MM));
                }
            }
            for (own, edges, reaches) in looked_for(list, settings.repeat_mm, over.y0, over.y1) {
                let first = ((over.x0 + edges[0]) / pitch).floor() - 3.0;
                let many = (over.width() + edges[1] - edges[0]) / pitch + 7.0;
                for n in (0_i32..).map(f64::from).take_while(|n| *n < many) {
                    expected.push(Element {
                        colour: settings.colours[own],
                        corners: corners((first + n) * pitch, half, edges, reaches),
                    });
                }
            }
            assert_laid(&drawn(&PLAID, &settings), over, expected);
        }
    }

    #[test]
    fn a_motif_holds_a_few_hundred_lines() {
        for repeat_mm in [12.0, 48.0, 200.0] {
            for colours in 2..=6 {
                let field = drawn(&PLAID, &settings(repeat_mm, 0.5, colours));
                let many = field
                    .layers
                    .iter()
                    .map(|layer| match &layer.motif.items[..] {
                        [crate::drawing::Item::Fill { path, .. }] => path
                            .elements()
                            .iter()
                            .filter(|it| matches!(it, kurbo::PathEl::MoveTo(_)))
                            .count(),
                        other => panic!("{other:?}"),
                    });
                assert!(many.sum::<usize>() <= 400);
            }
        }
    }

    /// By hand: 4 + 2 + 2 * 4 threads in 2 mm are 1/7 mm each. The ground reaches under colour 2 on both sides, half its width, 2/7 mm; colour 2
    /// under none; colour 1 under colour 2 on both sides. Broad bands are reached under by 0.3 mm.
    #[test]
    fn bands_reach_under_what_is_painted_over_them() {
        let found = reaches(&bands(&[(0, 4), (2, 4), (1, 2)], 2.0));
        let by_hand = [
            (2.0 / 7.0, 2.0 / 7.0),
            (0.0, 0.0),
            (2.0 / 7.0, 2.0 / 7.0),
            (0.0, 0.0),
        ];
        assert_eq!(found.len(), 4);
        for (found, by_hand) in found.iter().zip(by_hand) {
            let off = (found.0 - by_hand.0).abs().max((found.1 - by_hand.1).abs());
            assert!(off < 1e-9, "{found:?} for {by_hand:?}");
        }
        assert_eq!(
            reaches(&bands(&[(0, 4), (1, 4)], 20.0)),
            [(0.3, 0.3), (0.0, 0.0)]
        );
    }
}
