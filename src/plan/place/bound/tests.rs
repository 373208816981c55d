use proptest::prelude::*;

use super::super::{Area, Best, Cutting, Effort, PartKind, Shape, SheetKind, TurnSet};
use super::*;

fn sheet(width_nm: i64, height_nm: i64) -> SheetKind {
    SheetKind::of(Area::from_edges(0, 0, width_nm, height_nm))
}

fn offcut(width_nm: i64, height_nm: i64, limit: u32) -> SheetKind {
    SheetKind {
        limit: Some(limit),
        is_offcut: true,
        ..sheet(width_nm, height_nm)
    }
}

fn part(width_nm: i64, height_nm: i64, demand: u32, turns: TurnSet) -> PartKind {
    PartKind::boxed(width_nm, height_nm, demand, turns)
}

/// Every part has the same turns on all sheets.
fn request(sheets: Vec<SheetKind>, mut parts: Vec<PartKind>) -> Request {
    for part in &mut parts {
        part.turns = vec![part.turns[0]; sheets.len()];
    }
    Request {
        sheets,
        parts,
        cutting: Cutting::EdgeToEdge { reach_nm: None },
        best: Best::FewestSheets,
        effort: Effort::Usual,
    }
}

fn both(request: &Request) -> (u32, u32) {
    let bound = sheets(request);
    (bound.area, bound.better)
}

const NO_TURN: TurnSet = TurnSet::EMPTY;

fn upright() -> TurnSet {
    TurnSet::of(|quarters| quarters == 0)
}

#[test]
fn full_sheets_are_not_rounded_past() {
    // Four quarters fill a sheet of 20 000; five need another one.
    for (demand, least) in [(4, 1), (5, 2), (400, 100), (401, 101)] {
        let parts = vec![part(50, 100, demand, upright())];
        assert_eq!(both(&request(vec![sheet(100, 200)], parts)), (least, least));
    }
    assert_eq!(both(&request(vec![sheet(100, 200)], Vec::new())), (0, 0));
}

#[test]
fn what_is_more_than_half_as_wide_and_high_lies_alone() {
    // 51 x 51 on 100 x 100: a quarter of the area, but no two of them.
    let square = part(51, 51, 7, TurnSet::QUARTERS);
    assert_eq!(both(&request(vec![sheet(100, 100)], vec![square])), (2, 7));
}

#[test]
fn no_turn_makes_room_that_a_turn_would_make() {
    // 30 x 60 on 100 x 100: upright three lie side by side, and none fits below them. Where they may turn, five fit by area.
    let strip = |turns| vec![part(30, 60, 12, turns)];
    let of = |turns| both(&request(vec![sheet(100, 100)], strip(turns)));
    assert_eq!(of(upright()), (3, 4));
    assert_eq!(of(TurnSet::QUARTERS), (3, 3));
}

#[test]
fn offcuts_are_used_up_before_whole_sheets_are_counted() {
    // 10 squares of 50 x 50: 4 on a whole sheet, 2 on an offcut of 50 x 100, 4 on both of them.
    let squares = || vec![part(50, 50, 10, TurnSet::QUARTERS)];
    let with = |limit| {
        both(&request(
            vec![offcut(50, 100, limit), sheet(100, 100)],
            squares(),
        ))
    };
    assert_eq!([0, 1, 2, 3].map(with), [(3, 3), (2, 2), (2, 2), (1, 1)]);
    // An offcut too narrow for any square helps by area only.
    let narrow = request(vec![offcut(49, 400, 3), sheet(100, 100)], squares());
    assert_eq!(both(&narrow), (0, 3));
}

#[test]
fn sheets_that_hold_most_are_taken_first_while_there_are_any() {
    // 10 x 10 pieces, 12 of them: a sheet of 20 x 20 holds 4, one of 10 x 20 holds 2. With one large sheet 1 + 4, with two 2 + 2.
    let pieces = || vec![part(10, 10, 12, TurnSet::QUARTERS)];
    let with = |limit| {
        let large = SheetKind {
            limit: Some(limit),
            ..sheet(20, 20)
        };
        both(&request(vec![large, sheet(10, 20)], pieces()))
    };
    assert_eq!(
        [0, 1, 2, 3, 9].map(with),
        [(6, 6), (5, 5), (4, 4), (3, 3), (3, 3)]
    );
}

#[test]
fn where_the_stock_does_not_suffice_all_of_it_is_the_bound() {
    let mut few = request(vec![sheet(20, 20)], vec![part(10, 10, 100, upright())]);
    few.sheets[0].limit = Some(3);
    assert_eq!(both(&few), (3, 3));
}

#[test]
fn parts_that_fit_nowhere_are_not_counted() {
    let parts = vec![
        part(30, 10, 5, upright()),
        part(30, 10, 5, NO_TURN),
        part(10, 10, 8, upright()),
    ];
    assert_eq!(both(&request(vec![sheet(20, 30)], parts.clone())), (2, 2));
    // The first one fits when turned: 1500 and 800 are more than three sheets of 600.
    let mut turned = parts;
    turned[0].turns = vec![TurnSet::QUARTERS];
    assert_eq!(both(&request(vec![sheet(20, 30)], turned)), (4, 4));
}

#[test]
fn obstacles_and_cut_corners_are_no_room() {
    let mut marked = sheet(20, 20);
    marked.obstacles = vec![Area::from_edges(0, 0, 20, 10)];
    assert_eq!(
        both(&request(vec![marked], vec![part(10, 10, 4, upright())])),
        (2, 2)
    );
    let mut triangle = sheet(20, 20);
    triangle.outline = Some(Shape {
        outer: vec![[0, 0], [20, 0], [0, 20]],
        holes: Vec::new(),
    });
    assert_eq!(
        both(&request(vec![triangle], vec![part(10, 10, 4, upright())])),
        (2, 2)
    );
}

/// A disc of so many corners within a box, in micrometres to keep clear of rounding.
fn disc(diameter_nm: i64, demand: u32, turns: TurnSet) -> PartKind {
    let radius = diameter_nm as f64 / 2.0;
    let corner = |step: u32| {
        let (sin, cos) = crate::math::sin_cos(f64::from(step) * std::f64::consts::TAU / 64.0);
        [cos, sin].map(|share| super::super::nm_below((radius + radius * share) / 1e6))
    };
    PartKind {
        shape: Some(Shape {
            outer: (0..64).map(corner).collect(),
            holes: Vec::new(),
        }),
        ..part(diameter_nm, diameter_nm, demand, turns)
    }
}

#[test]
fn discs_lie_alone_from_where_two_no_longer_fit_into_opposite_corners() {
    // By Pythagoras the limit is 2 - √2 = 0.5858 of the side of a square.
    let with = |share: i64, turns| {
        let mut discs = request(
            vec![sheet(100_000_000, 100_000_000)],
            vec![disc(share * 1_000_000, 9, turns)],
        );
        discs.cutting = Cutting::Outlines;
        both(&discs).1
    };
    for turns in [TurnSet::ANY, TurnSet::QUARTERS] {
        assert_eq!(with(60, turns), 9);
        // Two of 58 do fit, so nine of them on five sheets.
        assert!(with(58, turns) <= 5);
    }
}

#[test]
fn rounded_corners_hide_nothing_of_what_cannot_lie_side_by_side() {
    // A card of 51 x 60 with its corners cut at 2: two never fit on 100 x 100.
    let (w, h, cut) = (51_000_000, 60_000_000, 2_000_000);
    let outer = vec![
        [cut, 0],
        [w - cut, 0],
        [w, cut],
        [w, h - cut],
        [w - cut, h],
        [cut, h],
        [0, h - cut],
        [0, cut],
    ];
    let card = PartKind {
        shape: Some(Shape {
            outer,
            holes: Vec::new(),
        }),
        ..part(w, h, 6, TurnSet::QUARTERS)
    };
    let mut cards = request(vec![sheet(100_000_000, 100_000_000)], vec![card]);
    cards.cutting = Cutting::Outlines;
    assert_eq!(both(&cards), (2, 6));
    // The trimmer cuts the boxes out first.
    cards.cutting = Cutting::EdgeToEdge { reach_nm: None };
    assert_eq!(both(&cards), (2, 6));
}

#[test]
fn what_was_left_out_is_not_counted() {
    let few = request(vec![sheet(20, 20)], vec![part(10, 10, 9, upright())]);
    let layout = Layout {
        leftovers: vec![5],
        ..Layout::default()
    };
    assert_eq!(
        (sheets(&few).better, sheets_for(&few, &layout).better),
        (3, 1)
    );
}

prop_compose! {
    fn any_part()(w in 1_i64..130, h in 1_i64..130, demand in 1_u32..9, turns in 0..3_usize) -> PartKind {
        part(w, h, demand, [upright(), TurnSet::QUARTERS, TurnSet::ANY][turns])
    }
}

prop_compose! {
    fn any_sheet()(w in 60_i64..140, h in 60_i64..140, limit in 0..9_u32, is_offcut in any::<bool>()) -> SheetKind {
        if is_offcut { offcut(w, h, limit) } else { sheet(w, h) }
    }
}

fn any_request() -> impl Strategy<Value = Request> {
    let parts = prop::collection::vec(any_part(), 1..9);
    let offcuts = prop::collection::vec(any_sheet(), 0..3);
    (parts, offcuts, any::<bool>()).prop_map(|(parts, mut sheets, follows_outlines)| {
        sheets.push(sheet(100, 120));
        let mut request = request(sheets, parts);
        if follows_outlines {
            request.cutting = Cutting::Outlines;
        }
        request
    })
}

proptest! {
    #[test]
    fn another_part_never_lowers_the_bound(request in any_request(), more in any_part()) {
        let before = sheets(&request);
        let mut after = request;
        after.parts.push(PartKind { turns: vec![more.turns[0]; after.sheets.len()], ..more });
        let after = sheets(&after);
        prop_assert!(before.area <= after.area && before.better <= after.better, "{before:?} {after:?}");
    }

    #[test]
    fn another_sheet_never_raises_the_bound(mut request in any_request(), more in any_sheet()) {
        // Parts that only the new sheet holds would be counted for the first time.
        request.parts.retain(|p| {
            let sides = [p.width_nm, p.height_nm];
            sides.iter().all(|s| *s <= 100) || sides == [sides[0].min(100), sides[1].min(120)]
        });
        let before = sheets(&request);
        for part in &mut request.parts {
            part.turns.push(part.turns[0]);
        }
        request.sheets.push(more);
        let after = sheets(&request);
        prop_assert!(after.area <= before.area && after.better <= before.better, "{before:?} {after:?}");
    }

    #[test]
    fn sheets_cut_up_without_waste_are_never_fewer_than_the_bound(
        cuts in prop::collection::vec((0..3_usize, 1..99_i64, any::<bool>()), 0..30),
        count in 1..4_i64,
    ) {
        // Known to fit on so many sheets, because they were cut from them.
        let mut pieces: Vec<(i64, i64)> = (0..count).map(|_| (100, 120)).collect();
        for (step, percent, is_across) in cuts {
            let at = step * 7 % pieces.len();
            let (w, h) = pieces[at];
            let (first, second) = if is_across {
                ((w, h * percent / 100), (w, h - h * percent / 100))
            } else {
                ((w * percent / 100, h), (w - w * percent / 100, h))
            };
            if first.0 > 0 && first.1 > 0 {
                pieces[at] = first;
                pieces.push(second);
            }
        }
        for turns in [upright(), TurnSet::QUARTERS] {
            let parts = pieces.iter().map(|(w, h)| part(*w, *h, 1, turns)).collect();
            let bound = sheets(&request(vec![sheet(100, 120)], parts));
            prop_assert_eq!((i64::from(bound.area), i64::from(bound.better)), (count, count));
        }
    }
}
