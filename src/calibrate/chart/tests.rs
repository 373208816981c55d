//! The table against numbers worked out by hand.

use kurbo::{Point, Size};

use super::*;
use crate::paper::{find, formats};
use crate::plan::MarkClass;
use crate::project::{Axis, Face};

fn chart(name: &str, edition: ChartEdition) -> Chart {
    Chart::upright(find(name).unwrap(), edition).unwrap()
}

fn a4() -> Chart {
    chart("a4", ChartEdition::Millimetres)
}

fn letter_in_inches() -> Chart {
    chart("letter", ChartEdition::Inches)
}

#[track_caller]
fn assert_at(found: Point, x_mm: f64, y_mm: f64) {
    let is_there = (found.x - x_mm).abs() < 5e-4 && (found.y - y_mm).abs() < 5e-4;
    assert!(is_there, "{found:?} is not at {x_mm}, {y_mm}");
}

fn target<'a>(chart: &'a Chart, face: Face, id: &str) -> &'a Target {
    let mut targets = chart.targets(face).iter();
    targets.find(|t| t.id == id).unwrap()
}

/// By hand: (210 - 40) / 4 = 42.5 and (297 - 40) / 6 = 42.8333; (215.9 - 40) / 4 = 43.975 and (279.4 - 40) / 6 = 39.9.
#[test]
fn the_grid_has_the_steps_of_the_format() {
    let a4 = a4();
    assert_eq!((a4.front.len(), a4.back.len()), (35, 35));
    assert_at(a4.front[0].centre, 20.0, 20.0);
    assert_at(a4.front[1].centre, 62.5, 20.0);
    assert_at(target(&a4, Face::Front, "b3").centre, 62.5, 105.6667);
    assert_at(target(&a4, Face::Front, "e7").centre, 190.0, 277.0);
    let letter = letter_in_inches();
    assert_at(target(&letter, Face::Front, "b2").centre, 63.975, 59.9);
    assert_at(target(&letter, Face::Back, "e7").centre, 195.9, 259.4);
    // 297 x 210 is the same grid on its side: seven columns of 42.8333 and five rows of 42.5.
    let lying = Chart::lying(find("a4").unwrap(), ChartEdition::Millimetres).unwrap();
    assert_at(target(&lying, Face::Front, "g5").centre, 277.0, 190.0);
    assert_at(target(&lying, Face::Front, "b2").centre, 62.8333, 62.5);
}

#[test]
fn corners_tell_the_turn_and_the_full_target_tells_the_face() {
    let chart = a4();
    for face in [Face::Front, Face::Back] {
        for (id, class) in [
            ("a1", MarkClass::One),
            ("e1", MarkClass::TwoAdjacent),
            ("e7", MarkClass::TwoOpposite),
            ("a7", MarkClass::Three),
        ] {
            assert_eq!(
                target(&chart, face, id).class,
                class,
                "{id} on the {}",
                face.name()
            );
        }
        let empty = chart
            .targets(face)
            .iter()
            .filter(|t| t.class == MarkClass::Empty);
        assert_eq!(empty.count(), 30);
    }
    let full = |face| {
        chart
            .targets(face)
            .iter()
            .find(|t| t.class == MarkClass::Full)
            .unwrap()
    };
    assert_at(full(Face::Front).centre, 105.0, 148.5);
    assert_at(full(Face::Back).centre, 105.0, 20.0);
}

/// By hand: ticks 0 at 20 and 30 mm, lines at 36 mm from the nearer edges; the last of eleven ticks 9 mm further.
#[test]
fn millimetre_verniers_stand_at_the_corners() {
    let chart = a4();
    let zeros = [
        ("x1", 20.0, 36.0),
        ("x2", 180.0, 36.0),
        ("x3", 20.0, 261.0),
        ("x4", 180.0, 261.0),
        ("y1", 36.0, 20.0),
        ("y2", 174.0, 20.0),
        ("y3", 36.0, 267.0),
        ("y4", 174.0, 267.0),
    ];
    for (vernier, (id, x, y)) in chart.verniers.iter().zip(zeros) {
        assert_eq!((vernier.id, vernier.last), (id, 10));
        assert_at(vernier.zero, x, y);
        let (last_x, last_y) = match vernier.axis {
            Axis::X => (x + 9.0, y),
            Axis::Y => (x, y + 9.0),
        };
        assert_at(vernier.tick(10), last_x, last_y);
    }
}

/// By hand: 7/128 in = 1.3890625 mm; 8 of them 7/16 in = 11.1125 mm; 1/16 - 7/128 = 1/128 in = 0.1984375 mm.
#[test]
fn inch_verniers_read_128ths() {
    let chart = letter_in_inches();
    let vernier = &chart.verniers[0];
    assert_eq!(vernier.last, 8);
    assert!((vernier.pitch_mm - 1.389_062_5).abs() < 1e-12);
    assert!((vernier.step_mm() - 0.198_437_5).abs() < 1e-12);
    // Tick 0 at 3/4 in = 19.05 mm, tick 8 another 11.1125 mm on; the line at 1 1/2 in = 38.1 mm.
    assert_at(vernier.tick(8), 30.1625, 38.1);
    // 12/16 in and tick 5: 12/16 + 5/128 = 101/128 in = 20.0422 mm.
    assert!((vernier.reading_mm(12, 5, 1.0) - 20.042_187_5).abs() < 1e-9);
    // The right one starts at 8 1/2 - 1 1/4 = 7 1/4 in, the lower ones at 11 - 1 1/4 = 9 3/4 in.
    assert!((chart.verniers[1].nominal_mm() - 184.15).abs() < 1e-9);
    assert!((chart.verniers[7].nominal_mm() - 247.65).abs() < 1e-9);
}

/// Vector `vernier` of `registration-vectors.json` (numpy): tick k of a scale printed e too long adds k (1 - 0.9 (1 + e)).
#[test]
fn readings_take_the_printers_scale_into_account() {
    let chart = a4();
    let vernier = &chart.verniers[0];
    for (e, k, fraction_mm) in [
        (0.0, 0, 0.0),
        (0.0, 3, 0.3),
        (0.0, 7, 0.7),
        (0.0, 9, 0.9),
        (0.005, 3, 0.2865),
        (0.005, 7, 0.6685),
        (0.005, 9, 0.8595),
        (-0.005, 3, 0.3135),
        (-0.005, 7, 0.7315),
        (-0.005, 9, 0.9405),
    ] {
        let found_mm = vernier.reading_mm(20, k, 1.0 + e);
        assert!(
            (found_mm - 20.0 - fraction_mm).abs() < 1e-9,
            "{e} {k}: {found_mm}"
        );
    }
}

/// By hand on A4: 20 + 21.25 = 41.25 and 210 - 41.25; 20 + 2.5 x 42.8333 = 127.0833; 20 + 1.5 x 42.5 = 83.75; 20 + 21.4167 = 41.4167
/// and 297 - 41.4167.
#[test]
fn stations_stand_in_the_middles_of_cells() {
    let chart = a4();
    for (station, (x, y)) in chart.stations.iter().zip([
        (41.25, 127.0833),
        (168.75, 127.0833),
        (83.75, 41.4167),
        (83.75, 255.5833),
    ]) {
        assert_at(station.centre, x, y);
        assert_at(station.zero(Axis::X), x + 2.0, y - 10.0);
        assert_at(station.zero(Axis::Y), x - 12.0, y + 4.0);
        assert_at(Station::on_back(station.centre, 210.0), 210.0 - x, y);
    }
}

/// By hand on A4: the ends lie at least 26 mm from the edges, so A is at most 158 mm, rounded down 150, from 30 to 180; C at most 245,
/// rounded down 240, from 28.5 to 268.5. On letter in inches: 163.9 mm are 6.45 in, so 6 in = 152.4 mm from 31.75 on; 227.4 mm are
/// 8.95 in, so 8 1/2 in = 215.9 mm from 31.75 on.
#[test]
fn ruler_lines_are_round_and_centred() {
    let a4 = a4();
    let [a, b, c, d] = a4.lines;
    assert_at(a.from, 30.0, 62.8333);
    assert_at(a.to, 180.0, 62.8333);
    assert_at(b.from, 30.0, 234.1667);
    assert_at(c.from, 62.5, 28.5);
    assert_at(c.to, 62.5, 268.5);
    assert_at(d.from, 147.5, 28.5);
    let [e, f] = a4.edge_distances;
    assert!(
        (e.nominal_mm(a4.page) - 30.0).abs() < 1e-9 && (f.nominal_mm(a4.page) - 28.5).abs() < 1e-9
    );
    let [a, _, c, _] = letter_in_inches().lines;
    assert!((a.length_mm() - 152.4).abs() < 1e-9 && (c.length_mm() - 215.9).abs() < 1e-9);
    assert_at(a.from, 31.75, 59.9);
    assert_at(c.from, 63.975, 31.75);
}

/// By hand: 210 / 2 + 9 and 297 / 2 + 9; 16 lines of 1 mm; in inches 20 of 1/32 in, the last at 5/8 in = 15.875 mm.
#[test]
fn ladders_reach_the_grid_beside_the_middle_targets() {
    let ladders = a4().ladders;
    assert!(
        (ladders.top.middle_mm - 114.0).abs() < 1e-9
            && (ladders.left.middle_mm - 157.5).abs() < 1e-9
    );
    assert_eq!(
        (ladders.bottom.last, ladders.bottom.edge),
        (16, crate::project::Edge::Bottom)
    );
    assert!((ladders.right.inset_mm(7) - 7.0).abs() < 1e-12);
    let inches = letter_in_inches().ladders.top;
    assert!((inches.inset_mm(inches.last) - 15.875).abs() < 1e-12);
}

#[test]
fn the_rule_is_100_mm_or_4_in_long_and_centred() {
    let rule = a4().rule;
    assert_at(rule.start, 55.0, 157.5);
    assert!((rule.length_mm - 100.0).abs() < 1e-12);
    assert!((letter_in_inches().rule.length_mm - 101.6).abs() < 1e-9);
}

/// By hand: 2 x 20 + 4 x 37 = 188 mm either way. Seven rows need 2 x 20 + 6 x 37 = 262 mm.
#[test]
fn every_format_has_a_grid_or_is_told_what_it_lacks() {
    for format in formats() {
        let large_enough = format.short_side().to_mm() >= 188.0;
        for edition in [ChartEdition::Millimetres, ChartEdition::Inches] {
            for made in [
                Chart::upright(format, edition),
                Chart::lying(format, edition),
            ] {
                match made {
                    Ok(chart) => {
                        assert!(large_enough, "{}", format.name());
                        let long_mm = chart.page.height.max(chart.page.width);
                        let rows = if long_mm >= 262.0 { 7 } else { 5 };
                        assert_eq!(chart.front.len(), 5 * rows, "{}", format.name());
                    }
                    Err(error) => {
                        assert!(!large_enough, "{}: {error:?}", format.name());
                        assert!(error.message.contains("needs 188 x 188 mm"), "{error:?}");
                    }
                }
            }
        }
    }
    let square = Chart::new("8 x 8 pad", Size::new(203.2, 203.2), ChartEdition::Inches).unwrap();
    assert_eq!(square.front.len(), 25);
}
