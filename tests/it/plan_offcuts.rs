//! Offcuts of any outline: what lies on them, and what does not.

use sheetwright::drawing::Colour;
use sheetwright::geometry::path_data::parse_path_data;
use sheetwright::geometry::{Outline, shape};
use sheetwright::job;
use sheetwright::plan::{JobPlan, PlanOptions, check};
use sheetwright::project::{CutBy, Face, Maker, Project, Stock, StockFace, StockSide};

use crate::plan_project::{LETTER_MM, colour, piece, project, shaped, stock};

/// A leg of 40 x 80 mm and a foot of 100 x 30 mm.
const L: &str = "M0 0 H40 V50 H100 V80 H0 Z";

fn outline(data: &str) -> Outline {
    Outline::new(&parse_path_data(data, 1.0).unwrap(), 0.001).unwrap()
}

/// One offcut of the first stock.
fn offcut(outline: Outline) -> Stock {
    let bounds = outline.bounds();
    Stock {
        offcut_of: Some(0),
        on_hand: Some(1),
        outline: Some(outline),
        face_a: StockFace::Plain,
        face_b: StockFace::Plain,
        ..stock("scrap", (bounds.width(), bounds.height()))
    }
}

fn planned(project: &Project) -> JobPlan {
    job::plan(project, &PlanOptions::default()).unwrap().value
}

/// How many pieces lie on the offcut and how many on whole sheets.
fn on_offcut_and_whole(plan: &JobPlan) -> (usize, usize) {
    let count = |is_offcut: bool| {
        let sheets = plan.sheets.iter().filter(|s| (s.stock == 1) == is_offcut);
        sheets.map(|s| s.placements.len() * s.runs as usize).sum()
    };
    (count(true), count(false))
}

#[test]
fn a_machine_uses_leg_and_foot_and_keeps_the_gap_from_the_edge() {
    // With 3 mm all round the leg has 34 x 74 and the foot 94 x 24: three cards of 30 x 20, 3 mm apart, take 66 of 74 down the leg,
    // and the lowest has one beside it, 63 of 94. A third in the foot would end at 99.
    for (copies, whole_sheets) in [(4, 0), (5, 1)] {
        let cards = vec![piece("card", 30.0, 20.0)];
        let stocks = vec![stock("moss", LETTER_MM), offcut(outline(L))];
        let plan = planned(&project(CutBy::Machine, stocks, cards, copies));
        let whole = plan.sheets.iter().filter(|s| s.stock == 0);
        assert_eq!(whole.map(|s| s.runs).sum::<u32>(), whole_sheets);
    }
}

#[test]
fn a_trimmer_uses_the_largest_rectangle_of_an_offcut() {
    // The leg, 3200 mm², is larger than the foot, 3000 mm²: four cards of 40 x 20 edge to edge.
    let mut card = piece("card", 40.0, 20.0);
    card.cut_by = Maker::Hand;
    let stocks = vec![stock("moss", LETTER_MM), offcut(outline(L))];
    let plan = planned(&project(CutBy::Trimmer, stocks, vec![card], 5));
    assert_eq!(on_offcut_and_whole(&plan), (4, 1));
}

#[test]
fn a_round_offcut_holds_a_card_whose_corners_keep_the_gap() {
    // Half the diagonal of 60 x 80 is 50: with the gap of 3 mm no disc below 106 mm takes it. Padded boxes and a stepped edge cost the
    // layout of boxes 6 mm more at most.
    for (diameter_mm, wanted) in [(112.0, (1, 0)), (105.9, (0, 1))] {
        let disc = shape::circle(diameter_mm).unwrap();
        let stocks = vec![stock("moss", LETTER_MM), offcut(disc)];
        let cards = vec![piece("card", 60.0, 80.0)];
        let plan = planned(&project(CutBy::Machine, stocks, cards, 1));
        assert_eq!(on_offcut_and_whole(&plan), wanted, "{diameter_mm}");
    }
}

#[test]
fn a_hole_in_an_offcut_stays_free() {
    // Around a hole of 40 x 40 in 100 x 100 the bands are 30 wide, 24 with the gap on both sides: no place for a card of 25 x 25, and
    // four at least for cards of 24 x 24.
    for (side_mm, wanted) in [(25.0, (0, 4)), (24.0, (4, 0))] {
        let frame = outline("M0 0 H100 V100 H0 Z M30 30 H70 V70 H30 Z");
        let stocks = vec![stock("moss", LETTER_MM), offcut(frame)];
        let cards = vec![piece("card", side_mm, side_mm)];
        let plan = planned(&project(CutBy::Machine, stocks, cards, 4));
        assert_eq!(on_offcut_and_whole(&plan), wanted, "{side_mm}");
    }
}

#[test]
fn nothing_printed_lies_on_an_offcut_with_an_outline() {
    let mut printed = piece("label", 30.0, 20.0);
    printed.artwork = vec![colour(Face::Front, 3.0, Colour::rgb(0x8a, 0x9a, 0x5b))];
    let stocks = vec![stock("white", LETTER_MM), offcut(outline(L))];
    let pieces = vec![printed, piece("card", 30.0, 20.0)];
    let plan = planned(&project(CutBy::Machine, stocks, pieces, 1));
    let on_offcut: Vec<_> = plan.sheets.iter().filter(|s| s.stock == 1).collect();
    assert_eq!(on_offcut.len(), 1);
    let pieces: Vec<_> = on_offcut[0].placements.iter().map(|p| p.piece).collect();
    assert_eq!(pieces, [1]);
}

#[test]
fn an_offcut_is_seen_the_other_way_round_from_its_face_b() {
    // A disc of 30 mm, with 3 mm all round, fits on the leg alone, which from behind is on the right: its middle lies 2 mm at most from
    // 100 - 40/2 = 80 mm.
    let mut disc = shaped("seed", shape::circle(30.0).unwrap());
    disc.shows = StockSide::B;
    let stocks = vec![stock("moss", LETTER_MM), offcut(outline(L))];
    let plan = planned(&project(CutBy::Machine, stocks, vec![disc], 1));
    assert_eq!(on_offcut_and_whole(&plan), (1, 0));
    let middle = plan.sheets[0].placements[0].pose.to_affine() * kurbo::Point::new(15.0, 15.0);
    assert!((middle.x - 80.0).abs() < 2.1, "{middle}");
}

#[test]
fn the_check_finds_a_piece_beside_the_paper_and_one_too_near_its_edge() {
    let disc = shaped("seed", shape::circle(20.0).unwrap());
    let stocks = vec![stock("moss", LETTER_MM), offcut(outline(L))];
    let project = project(CutBy::Machine, stocks, vec![disc], 1);
    let plan = planned(&project);
    // Right of the leg, on its edge, half a millimetre too near to it, and just right.
    for (x_mm, y_mm, is_wrong) in [
        (60.0, 10.0, true),
        (30.0, 10.0, true),
        (17.5, 10.0, true),
        (17.0, 10.0, false),
    ] {
        let mut moved = plan.clone();
        let place = &mut moved.sheets[0].placements[0];
        (place.pose.x_mm, place.pose.y_mm) = (x_mm, y_mm);
        let found = check(&project, &moved);
        assert_eq!(
            found
                .iter()
                .any(|d| d.message.contains("edge of the offcut")),
            is_wrong,
            "{x_mm}: {found:?}"
        );
    }
}
