//! The room as a whole, on pictures whose truth is known by construction.

use kurbo::{Affine, Point, Size};

use super::drawn::{Drawn, six_marks};
use super::{
    EdgeFault, Kind, Picture, Refusal, ScaleHint, Side, Targets, find_targets, identify,
    identify_one_of, sheet_edges,
};
use crate::plan::{Mark, MarkClass};

fn found_in(drawn: &Drawn) -> Targets {
    find_targets(&drawn.picture(), ScaleHint::Tagged)
}

fn refused(drawn: &Drawn) -> Refusal {
    identify(&found_in(drawn), &six_marks(), Kind::Scan).unwrap_err()
}

#[test]
fn marks_are_found_within_3_thousandths_of_a_millimetre_however_the_sheet_is_turned() {
    for angle_deg in [0.0_f64, 37.0, 90.0, 180.0, 275.0] {
        let drawn = Drawn::turned(angle_deg.to_radians());
        let seen = identify(&found_in(&drawn), &six_marks(), Kind::Scan).unwrap();
        assert_eq!((seen.found.len(), seen.others), (6, 0));
        for found in &seen.found {
            let truth = drawn.place * found.mark.centre;
            let away_mm = (found.target.centre - truth).hypot2().sqrt() / 6.0;
            assert!(away_mm < 0.003, "{}: {away_mm}", found.mark.id);
            assert!(found.sigma_mm >= 0.004);
        }
        let apart_deg =
            (seen.turn_rad().to_degrees() - angle_deg + 180.0).rem_euclid(360.0) - 180.0;
        assert!(apart_deg.abs() < 0.05, "{angle_deg}: {apart_deg}");
        assert!((seen.px_per_mm() - 6.0).abs() < 0.003);
    }
}

#[test]
fn classes_and_turns_are_read_from_each_target_alone() {
    let drawn = Drawn::turned(0.3);
    for target in found_in(&drawn).all {
        let mark = drawn
            .marks
            .iter()
            .find(|m| (drawn.place * m.centre - target.centre).hypot2() < 4.0)
            .unwrap();
        assert_eq!(target.class, mark.class);
        match target.turn_rad {
            Some(turn_rad) => assert!((turn_rad - 0.3).abs() < 0.05, "{turn_rad}"),
            None => assert!([MarkClass::Empty, MarkClass::Full].contains(&mark.class)),
        }
    }
}

#[test]
fn ink_of_a_third_of_its_strength_is_found_as_well() {
    let faint = Drawn {
        strength: 0.3,
        ..Drawn::six()
    };
    let seen = identify(&found_in(&faint), &six_marks(), Kind::Scan).unwrap();
    assert_eq!(seen.found.len(), 6);
}

#[test]
fn a_picture_without_a_density_is_searched_at_every_scale() {
    let picture = Drawn::six().picture().with_dpi(None);
    let seen = identify(
        &find_targets(&picture, ScaleHint::Tagged),
        &six_marks(),
        Kind::Scan,
    );
    assert_eq!(seen.unwrap().found.len(), 6);
}

#[test]
fn a_covered_mark_is_missing_at_its_place_and_too_many_are_refused() {
    let one = Drawn {
        covered: vec!["m3"],
        ..Drawn::six()
    };
    let seen = identify(&found_in(&one), &six_marks(), Kind::Scan).unwrap();
    assert_eq!(seen.missing.len(), 1);
    assert!(seen.missing[0].id == "m3" && !seen.missing[0].is_outside);
    let truth = one.place * Point::new(68.0, 98.0);
    assert!((seen.missing[0].place - truth).hypot2().sqrt() < 0.1);
    let four = Drawn {
        covered: vec!["m1", "m2", "m3", "m4"],
        ..Drawn::six()
    };
    assert_eq!(
        refused(&four),
        Refusal::TooFew {
            found: 2,
            needed: 3
        }
    );
}

#[test]
fn a_mirrored_scan_is_refused_as_such() {
    let mut drawn = Drawn::six();
    drawn.place = Affine::new([-1.0, 0.0, 0.0, 1.0, 540.0, 0.0]) * drawn.place;
    assert_eq!(refused(&drawn), Refusal::Mirrored);
}

/// Four by five marks, of which all but five are alike: mirrored, 15 of them lie on each other.
#[test]
fn a_mirrored_grid_is_not_taken_for_the_grid_that_it_nearly_is() {
    let once = [
        (0, 0, MarkClass::One),
        (3, 0, MarkClass::TwoAdjacent),
        (3, 4, MarkClass::TwoOpposite),
        (0, 4, MarkClass::Three),
        (1, 2, MarkClass::Full),
    ];
    let mut drawn = Drawn::six();
    let places = (0..5).flat_map(|j| (0..4).map(move |i| (i, j)));
    drawn.marks = places
        .map(|(i, j)| Mark {
            id: format!("{i}-{j}"),
            centre: Point::new(
                12.0 + 56.0 * f64::from(i) / 3.0,
                12.0 + 86.0 * f64::from(j) / 4.0,
            ),
            diameter_mm: 6.0,
            class: once
                .iter()
                .find(|(column, row, _)| (*column, *row) == (i, j))
                .map_or(MarkClass::Empty, |(_, _, class)| *class),
        })
        .collect();
    let right = identify(&found_in(&drawn), &drawn.marks, Kind::Scan).unwrap();
    assert_eq!((right.found.len(), right.contradicted), (20, 0));
    drawn.place = Affine::new([-1.0, 0.0, 0.0, 1.0, 540.0, 0.0]) * drawn.place;
    for kind in [Kind::Scan, Kind::Photo] {
        let refused = identify(&found_in(&drawn), &drawn.marks, kind).unwrap_err();
        assert_eq!(refused, Refusal::Mirrored, "{kind:?}");
    }
}

#[test]
fn marks_of_5_and_of_8_mm_are_found_at_the_scale_that_was_asked_for() {
    for diameter_mm in [5.0, 8.0] {
        let mut drawn = Drawn::six();
        drawn
            .marks
            .iter_mut()
            .for_each(|m| m.diameter_mm = diameter_mm);
        let targets = find_targets(&drawn.picture(), ScaleHint::PxPerMm(6.0));
        assert_eq!(targets.all.len(), 6, "{diameter_mm}");
    }
}

#[test]
fn a_density_that_is_not_that_of_the_marks_is_refused_with_both_numbers() {
    for stated in [300.0, 72.0] {
        let picture = Drawn::six().picture().with_dpi(Some(stated));
        let targets = find_targets(&picture, ScaleHint::Tagged);
        match identify(&targets, &six_marks(), Kind::Scan) {
            // 6 pixels to the millimetre are 152.4 to the inch.
            Err(Refusal::Density {
                stated_dpi,
                seen_dpi,
            }) => {
                assert!((stated_dpi - stated).abs() < 1e-9 && (seen_dpi - 152.4).abs() < 0.1);
            }
            other => panic!("{other:?}"),
        }
    }
}

#[test]
fn marks_of_another_page_are_refused() {
    let drawn = Drawn::six();
    // The same layout on a sheet that is 10 mm wider and 10 mm shorter.
    let other: Vec<Mark> = six_marks()
        .into_iter()
        .map(|m| Mark {
            centre: Point::new(m.centre.x * 66.0 / 56.0, m.centre.y * 76.0 / 86.0),
            ..m
        })
        .collect();
    for kind in [Kind::Scan, Kind::Photo] {
        let refused = identify(&found_in(&drawn), &other, kind).unwrap_err();
        assert_eq!(refused, Refusal::WrongPage { found: 6 }, "{kind:?}");
    }
}

#[test]
fn two_sheets_in_one_picture_are_refused() {
    // With a ring in the artwork of either there are more strangers than marks.
    let mut drawn = Drawn::six();
    drawn.marks.push(Mark {
        id: "art".to_owned(),
        centre: Point::new(40.0, 52.0),
        diameter_mm: 6.0,
        class: MarkClass::Empty,
    });
    let one = drawn.picture();
    let rows = one.grey().as_raw().chunks_exact(540);
    let both: Vec<u8> = rows.flat_map(|row| [row, row].concat()).collect();
    let picture = Picture::from_grey(1080, 720, both).unwrap();
    let targets = find_targets(&picture, ScaleHint::PxPerMm(6.0));
    assert_eq!(targets.all.len(), 14);
    for kind in [Kind::Scan, Kind::Photo] {
        let refused = identify(&targets, &six_marks(), kind).unwrap_err();
        assert_eq!(refused, Refusal::TwoSheets, "{kind:?}");
    }
}

#[test]
fn a_cropped_sheet_names_the_marks_outside_or_is_refused() {
    let mut drawn = Drawn::six();
    drawn.place = Affine::translate((0.0, -130.0)) * drawn.place;
    let seen = identify(&found_in(&drawn), &six_marks(), Kind::Scan).unwrap();
    let outside: Vec<&str> = seen.missing.iter().map(|m| m.id.as_str()).collect();
    assert_eq!(outside, ["m1", "m2"]);
    assert!(seen.missing.iter().all(|m| m.is_outside));
    drawn.place = Affine::translate((0.0, -320.0)) * drawn.place;
    assert_eq!(
        refused(&drawn),
        Refusal::TooFew {
            found: 2,
            needed: 3
        }
    );
}

#[test]
fn the_side_is_told_by_the_marks_in_which_both_differ() {
    let front = six_marks();
    let mut back = six_marks();
    let (a, b) = (back[4].class, back[5].class);
    (back[4].class, back[5].class) = (b, a);
    let drawn = Drawn {
        marks: back.clone(),
        ..Drawn::six()
    };
    let targets = found_in(&drawn);
    let (page, seen) = identify_one_of(&targets, &[&front, &back], Kind::Scan).unwrap();
    assert_eq!((page, seen.found.len()), (1, 6));
    let unclear = Drawn {
        covered: vec!["m5", "m6"],
        ..drawn
    };
    let refused = identify_one_of(&found_in(&unclear), &[&front, &back], Kind::Scan).unwrap_err();
    assert_eq!(refused, Refusal::WhichPage);
}

/// Stores light to the power of 1 / `gamma`, as cameras do.
fn stored(picture: &Picture, gamma: f64) -> Picture {
    let table: Vec<u8> = (0..=255_u8)
        .map(|v| (0..=255_u8).rev().find(|s| darker_or_same(*s, v, gamma)))
        .map(Option::unwrap_or_default)
        .collect();
    let grey = picture.grey().as_raw().iter();
    let grey = grey.map(|v| table[usize::from(*v)]).collect();
    Picture::from_grey(picture.width_px(), picture.height_px(), grey)
        .unwrap()
        .with_dpi(picture.dpi())
}

fn darker_or_same(stored: u8, light: u8, gamma: f64) -> bool {
    libm::pow(f64::from(stored) / 255.0, gamma) <= f64::from(light) / 255.0 + 1e-9
}

#[test]
fn corners_of_a_sheet_on_a_darker_ground_are_found_within_a_quarter_of_a_pixel_under_any_tone_curve()
 {
    // A quarter of a pixel is 0.02 mm at 300 dpi; edges without any blur, along the pixels, are the worst.
    for (angle_rad, gamma) in [(0.0, 1.0), (0.02, 1.0), (1.6, 1.8), (0.02, 2.2)] {
        let drawn = Drawn::turned(angle_rad);
        let picture = stored(&drawn.picture(), gamma);
        let targets = find_targets(&picture, ScaleHint::Tagged);
        let seen = identify(&targets, &six_marks(), Kind::Scan).unwrap();
        let size = Size::new(80.0, 110.0);
        let edges = sheet_edges(&picture, &seen.picture_from_page, size, Kind::Scan);
        assert_eq!(edges.warnings(), []);
        let corners = edges.corners().unwrap();
        let drawn_at = [(0.0, 0.0), (80.0, 0.0), (80.0, 110.0), (0.0, 110.0)];
        for (corner, (x, y)) in corners.iter().zip(drawn_at) {
            let away_px = (*corner - drawn.place * Point::new(x, y)).hypot2().sqrt();
            assert!(away_px < 0.25, "{angle_rad}, {gamma}: {away_px}");
        }
        for edge in &edges.sides {
            assert!(
                edge.bow_mm.abs() < 0.01 && edge.scatter_mm < 0.04,
                "{edge:?}"
            );
        }
    }
}

#[test]
fn edges_that_are_not_seen_are_reported_and_not_guessed() {
    let mut drawn = Drawn::six();
    // The left edge lies outside the picture, and the sheet ends before its page does at the bottom.
    drawn.place = Affine::scale(6.0) * Affine::translate((-2.0, 4.9));
    let picture = drawn.picture();
    let seen = identify(&found_in(&drawn), &six_marks(), Kind::Scan).unwrap();
    let size = Size::new(80.0, 110.0);
    let edges = sheet_edges(&picture, &seen.picture_from_page, size, Kind::Scan);
    let fault = |side: Side| edges.sides.iter().find(|e| e.side == side).unwrap().fault;
    assert_eq!(fault(Side::Left), Some(EdgeFault::Outside));
    assert_eq!(fault(Side::Top), None);
    assert_eq!(edges.corners(), None);
    // A lid as white as the paper.
    let white: Vec<u8> = picture
        .grey()
        .as_raw()
        .iter()
        .map(|v| if (55..=65).contains(v) { 235 } else { *v })
        .collect();
    let picture = Picture::from_grey(540, 720, white).unwrap();
    let edges = sheet_edges(&picture, &seen.picture_from_page, size, Kind::Scan);
    assert_eq!(edges.sides[0].fault, Some(EdgeFault::Unseen));
    assert!(edges.warnings()[1].hints[0].contains("dark sheet"));
}

#[test]
fn pictures_without_targets_give_none_and_never_panic() {
    let noise = |width: u32, height: u32, seed: u32| {
        let mut state = seed;
        let grey = (0..width * height)
            .map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (state >> 24).to_le_bytes()[0]
            })
            .collect();
        Picture::from_grey(width, height, grey).unwrap()
    };
    let sizes = [(1, 1), (1, 400), (7, 7), (9, 300), (301, 299)];
    for (width, height) in sizes {
        for hint in [
            ScaleHint::Tagged,
            ScaleHint::Unknown,
            ScaleHint::PxPerMm(6.0),
            ScaleHint::PxPerMm(0.0),
            ScaleHint::PxPerMm(f64::NAN),
            ScaleHint::PxPerMm(1e12),
        ] {
            let targets = find_targets(&noise(width, height, 7), hint);
            assert_eq!(targets.all.len(), 0);
            let refused = identify(&targets, &six_marks(), Kind::Scan).unwrap_err();
            assert!(refused.to_diagnostic().is_error());
            assert!(identify(&targets, &[], Kind::Photo).is_err());
        }
    }
}
