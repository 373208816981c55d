//! Pieces pinned by hand stay where they are put, and the rest is laid out around them. Numbers are worked out by hand.

use sheetwright::drawing::Colour;
use sheetwright::math::Angle;
use sheetwright::plan::file::PlanFile;
use sheetwright::plan::{JobPlan, PlanOptions, check, misplaced_pins, plan};
use sheetwright::project::{CutBy, Face, Pin, Project, StockSide, Turns};

use crate::plan_project::{LETTER_MM, colour, edition, length, origin, piece, project, stock};

fn pin(copy: u32, x_mm: f64, y_mm: f64) -> Pin {
    Pin {
        piece: 0,
        copy,
        part: 1,
        stock: 0,
        sheet: 1,
        x: length(x_mm),
        y: length(y_mm),
        turn: Angle::ZERO,
        origin: origin("pin[1]"),
    }
}

/// Tags of 50 x 30 on sheets of 109 x 96: with a gap of 3 a sheet holds two across and three down.
fn tags(copies: u32, pins: Vec<Pin>) -> Project {
    let tag = piece("tag", 50.0, 30.0);
    let mut job = project(
        CutBy::Machine,
        vec![stock("oat", (109.0, 96.0))],
        vec![tag],
        copies,
    );
    job.pins = pins;
    job
}

fn planned(project: &Project) -> JobPlan {
    assert_eq!(misplaced_pins(project), []);
    let plan = plan(project, &PlanOptions::default()).value;
    assert_eq!(check(project, &plan), []);
    plan
}

fn place(plan: &JobPlan, id: &str) -> (usize, f64, f64, f64) {
    let of_sheet = |(i, s): (usize, &sheetwright::plan::Sheet)| {
        let found = s.placements.iter().find(|p| p.id == id)?;
        assert!(found.is_pinned, "{id}");
        Some((i, found.pose.x_mm, found.pose.y_mm, found.pose.turn.deg()))
    };
    plan.sheets.iter().enumerate().find_map(of_sheet).unwrap()
}

#[track_caller]
fn near(found: (usize, f64, f64, f64), want: (usize, f64, f64, f64)) {
    let far = (found.1 - want.1).abs().max((found.2 - want.2).abs());
    let turned = (found.3 - want.3).abs();
    assert!(
        found.0 == want.0 && far < 1e-6 && turned < 1e-9,
        "{found:?}"
    );
}

#[test]
fn a_pinned_tag_lies_where_it_is_put_and_the_others_fill_its_sheet_first() {
    // In the middle of its column the pinned tag leaves (96 - 30) / 2 - 3 = 30 above and below: just enough for a tag each.
    let plan = planned(&tags(6, vec![pin(5, 0.0, 33.0)]));
    near(place(&plan, "tag#5"), (0, 0.0, 33.0, 0.0));
    assert_eq!((plan.sheets.len(), plan.sheets[0].placements.len()), (1, 6));
    let file = PlanFile::new(&tags(6, vec![pin(5, 0.0, 33.0)]), &plan);
    let pinned: Vec<_> = file.sheets[0]
        .placements
        .iter()
        .filter(|p| p.pinned)
        .map(|p| p.id.as_str())
        .collect();
    assert_eq!(pinned, ["tag#5"]);
    // Every copy is there once.
    let mut ids: Vec<_> = plan.sheets[0]
        .placements
        .iter()
        .map(|p| p.id.as_str())
        .collect();
    ids.sort_unstable();
    assert_eq!(ids, ["tag#1", "tag#2", "tag#3", "tag#4", "tag#5", "tag#6"]);
}

#[test]
fn a_tag_in_the_way_costs_what_it_blocks() {
    // At 20 from the top there are 17 above it and 96 - 53 = 43 below: its column holds two, the sheet five.
    let plan = planned(&tags(6, vec![pin(1, 0.0, 20.0)]));
    assert_eq!(plan.usage.sheets, 2);
    assert_eq!(plan.sheets[0].placements.len(), 5);
}

#[test]
fn pinned_sheets_come_first_and_count_among_those_on_hand() {
    let mut second = pin(2, 59.0, 66.0);
    second.sheet = 2;
    let mut job = tags(13, vec![pin(9, 0.0, 0.0), second]);
    job.stocks[0].on_hand = Some(2);
    let plan = planned(&job);
    near(place(&plan, "tag#9"), (0, 0.0, 0.0, 0.0));
    near(place(&plan, "tag#2"), (1, 59.0, 66.0, 0.0));
    // Two sheets of six; one of 13 is left, and it is none of the pinned ones.
    assert_eq!(plan.usage.sheets, 2);
    assert_eq!(plan.unplaced[0].count, 1);
}

#[test]
fn a_turned_pin_is_measured_from_the_edges_to_the_piece_as_it_lies() {
    // A quarter clockwise: 30 wide and 50 high, its origin at the top right corner, 10 + 30 from the left.
    let mut turned = pin(1, 10.0, 20.0);
    turned.turn = Angle::from_deg(90.0);
    near(
        place(&planned(&tags(1, vec![turned])), "tag#1"),
        (0, 40.0, 20.0, 90.0),
    );
    // By 30 degrees: the lower left corner is 30 sin 30 = 15 left of the origin, the origin is the topmost point.
    let mut askew = pin(1, 10.0, 20.0);
    askew.turn = Angle::from_deg(30.0);
    let mut job = tags(1, vec![askew]);
    job.pieces[0].turns = Turns::Any;
    near(place(&planned(&job), "tag#1"), (0, 25.0, 20.0, 30.0));
}

#[test]
fn a_pin_on_an_offcut_opens_it() {
    let mut scrap = stock("scrap", (60.0, 40.0));
    scrap.offcut_of = Some(0);
    scrap.on_hand = Some(1);
    let mut on_scrap = pin(3, 5.0, 5.0);
    on_scrap.stock = 1;
    let mut job = tags(3, vec![on_scrap]);
    job.stocks.push(scrap);
    let plan = planned(&job);
    let stocks: Vec<_> = plan
        .sheets
        .iter()
        .map(|s| (s.stock, s.placements.len()))
        .collect();
    assert_eq!(stocks, [(0, 2), (1, 1)]);
}

/// A right triangle of 200 x 150: at (5, 5) the tag of 50 x 30 has its lower right corner at (55, 35), and the slanting edge
/// 3x + 4y = 600 is (600 - 165 - 140) / 5 = 59 away; at (100, 30) the corner at (150, 60) is (450 + 240 - 600) / 5 = 18 beyond it.
#[test]
fn a_pin_on_an_offcut_with_a_slanting_edge_keeps_the_gap_from_it() {
    let triangle = kurbo::BezPath::from_svg("M0 0 H200 L0 150 Z").unwrap();
    let mut scrap = stock("scrap", (200.0, 150.0));
    scrap.offcut_of = Some(0);
    scrap.on_hand = Some(1);
    scrap.outline = Some(sheetwright::geometry::Outline::new(&triangle, 0.01).unwrap());
    let mut on_scrap = pin(1, 5.0, 5.0);
    on_scrap.stock = 1;
    let mut job = tags(1, vec![on_scrap]);
    job.stocks.push(scrap);
    planned(&job);
    (job.pins[0].x, job.pins[0].y) = (length(100.0), length(30.0));
    let (message, _) = told(&job);
    assert_eq!(
        message,
        "tag#1 is pinned 0 mm from the edge of the offcut \"scrap\", its gap needs 3 mm"
    );
}

#[test]
fn one_of_several_in_a_copy_can_be_pinned() {
    let mut part = pin(2, 0.0, 0.0);
    part.part = 2;
    let mut job = tags(3, vec![part]);
    job.pieces[0].per_copy = 2;
    job.editions = vec![edition("sage", 1), edition("thyme", 2)];
    near(place(&planned(&job), "tag#2.2"), (0, 0.0, 0.0, 0.0));
}

fn told(job: &Project) -> (String, Vec<String>) {
    let mut found = misplaced_pins(job);
    assert_eq!(found.len(), 1, "{found:?}");
    let error = found.remove(0);
    (error.message, error.hints)
}

#[test]
fn a_pin_beyond_the_margins_is_told_where_it_would_lie_and_where_it_may() {
    let mut job = tags(1, vec![pin(1, 5.0, 30.0)]);
    job.stocks[0] = stock("oat", LETTER_MM);
    job.pieces[0].artwork = vec![colour(Face::Front, 3.0, Colour::BLACK)];
    // With bleed from 5 - 3 = 2 to 58; printable from 6.35 to 209.55; so x is at least 9.35, in tenths 9.4.
    let (message, hints) = told(&job);
    assert_eq!(
        message,
        "tag#1 is pinned outside what can be used of \"oat\": across from 2 mm to 58 mm, usable is 6.35 mm to 209.55 mm"
    );
    assert_eq!(hints, ["type `x = \"9.4 mm\"`"]);
    job.pins[0].x = length(9.4);
    planned(&job);
    // The clear zone of the lowest left mark is 8 x 8 in the corner of the margins.
    job.pins[0].y = length(235.0);
    let (message, _) = told(&job);
    assert!(
        message.contains("on a register mark or the caption of \"oat\", which keeps"),
        "{message}"
    );
}

#[test]
fn pins_nearer_than_the_gap_are_told_how_far_apart_they_are() {
    let (message, _) = told(&tags(2, vec![pin(1, 0.0, 0.0), pin(2, 52.0, 0.0)]));
    assert_eq!(
        message,
        "tag#1 and tag#2 are pinned 2 mm apart, their gap and bleed need 3 mm"
    );
    planned(&tags(2, vec![pin(1, 0.0, 0.0), pin(2, 53.0, 0.0)]));
    // On different sheets they may.
    let mut other = pin(2, 0.0, 0.0);
    other.sheet = 2;
    planned(&tags(2, vec![pin(1, 0.0, 0.0), other]));
}

#[test]
fn a_turn_that_the_piece_may_not_take_is_told_with_the_nearest_that_it_may() {
    let mut turned = pin(1, 10.0, 10.0);
    turned.turn = Angle::from_deg(200.0);
    let mut job = tags(1, vec![turned]);
    job.pieces[0].turns = Turns::Half;
    let (message, hints) = told(&job);
    assert_eq!(
        message,
        "tag#1 is pinned turned by 200 deg, on \"oat\" it may be turned by 0 deg, 180 deg"
    );
    assert_eq!(hints, ["type `turn = \"180 deg\"`"]);
}

#[test]
fn pieces_that_show_different_faces_are_not_pinned_on_one_sheet() {
    let mut inside = pin(1, 60.0, 0.0);
    inside.piece = 1;
    let mut job = tags(1, vec![pin(1, 0.0, 0.0), inside]);
    let mut back = piece("back", 40.0, 20.0);
    back.shows = StockSide::B;
    job.pieces.push(back);
    let (message, _) = told(&job);
    assert!(
        message.starts_with("back#1 cannot lie on one sheet with tag#1"),
        "{message}"
    );
}

#[test]
fn a_pinned_piece_that_was_moved_is_found() {
    let job = tags(6, vec![pin(5, 0.0, 33.0)]);
    let mut plan = planned(&job);
    let index = plan.sheets[0]
        .placements
        .iter()
        .position(|p| p.id == "tag#5")
        .unwrap();
    plan.sheets[0].placements[index].pose.x_mm += 0.01;
    let found = check(&job, &plan);
    assert!(
        found
            .iter()
            .any(|d| d.message.contains("tag#5 is not where it is pinned")),
        "{found:?}"
    );
}
