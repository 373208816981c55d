use std::num::NonZeroUsize;

use proptest::prelude::*;

use super::super::apart::comes_apart;
use super::super::{
    Area, Best, Cutting, Effort, NoWatch, PartKind, Placed, Request, SheetKind, TurnSet, Watch,
};
use super::place;

/// An inch in nanometres.
const IN: i64 = 25_400_000;
/// A tenth of a millimetre in nanometres.
const TENTH: i64 = 100_000;

fn sheet(width_nm: i64, height_nm: i64) -> SheetKind {
    SheetKind::of(Area::from_edges(0, 0, width_nm, height_nm))
}

fn part(width_nm: i64, height_nm: i64, demand: u32, turns: TurnSet) -> PartKind {
    PartKind {
        turns: vec![turns; 2],
        ..PartKind::boxed(width_nm, height_nm, demand, turns)
    }
}

fn request(sheets: Vec<SheetKind>, parts: Vec<PartKind>) -> Request {
    Request {
        sheets,
        parts,
        cutting: Cutting::EdgeToEdge { reach_nm: None },
        best: Best::FewestSheets,
        effort: Effort::Quick,
    }
}

fn place_on(threads: usize, request: &Request) -> Placed {
    let threads = NonZeroUsize::new(threads).expect("at least one");
    place(request, threads, &NoWatch)
}

/// Sheets made of a kind.
fn made(placed: &Placed, kind: usize) -> u32 {
    let of_kind = placed.layout.sheets.iter().filter(|s| s.kind == kind);
    of_kind.map(|s| s.runs).sum()
}

/// Panics unless every part lies on its sheets as often as the layout says, in the area, clear of obstacles and of all others, in an
/// allowed turn, and can be cut out from edge to edge.
fn assert_sound(request: &Request, placed: &Placed) {
    let mut laid = vec![0; request.parts.len()];
    for sheet in &placed.layout.sheets {
        let kind = &request.sheets[sheet.kind];
        let mut boxes = Vec::new();
        for place in &sheet.places {
            let part = &request.parts[place.kind];
            assert!(part.turns[sheet.kind].has(place.quarters().expect("a quarter turn")));
            let area = place.area(part).expect("a quarter turn");
            assert!(kind.area.contains(area), "{area:?} in {:?}", kind.area);
            assert!(!kind.obstacles.iter().any(|o| o.overlaps(area)));
            boxes.push(area);
            laid[place.kind] += sheet.runs;
        }
        let overlaps = |at: usize| boxes[..at].iter().any(|b| b.overlaps(boxes[at]));
        assert!(!(0..boxes.len()).any(overlaps));
        assert!(comes_apart(request.cutting, kind.area, &boxes));
    }
    for (at, part) in request.parts.iter().enumerate() {
        let (left, spares) = (placed.layout.leftovers[at], placed.layout.spares[at]);
        assert_eq!(laid[at] + left, part.demand + spares);
        assert!(spares <= part.spares);
    }
}

#[test]
fn one_sheet_yields_what_the_known_layouts_yield() {
    // Tags and cards out of one sheet, by hand: 12 tags of 2 x 3 1/2 in on Letter are 3 rows of 4 standing, 18 on 12 x 12 in are 3
    // rows of 6, and 4 on 6 x 6 in go round an empty middle or stand 3 and lie 1. Twelve inches hold 4 cards of 4 x 5 1/4 in standing
    // and 2 lying in the 12 x 1 1/2 in left and no more, or 6 in 2 rows of 3.
    let sheets = [(17, 22), (24, 24), (12, 12)];
    for (width, height, yields) in [
        (16, 28, [12, 18, 4]),
        (32, 42, [4, 6, 1]),
        (44, 68, [2, 2, 0]),
    ] {
        for ((across, down), count) in sheets.iter().zip(yields) {
            let one = SheetKind {
                limit: Some(1),
                ..sheet(across * IN / 2, down * IN / 2)
            };
            let many = part(width * IN / 8, height * IN / 8, 40, TurnSet::QUARTERS);
            let asked = request(vec![one], vec![many]);
            let placed = place_on(1, &asked);
            assert_sound(&asked, &placed);
            assert_eq!(placed.layout.leftovers, [40 - count]);
        }
    }
}

/// Nine rectangles of a kit in tenths of a millimetre, with a gap of 3 mm, and whether they may be turned.
const KIT: [(i64, i64, bool); 9] = [
    (1931, 586, false),
    (1000, 985, true),
    (892, 854, true),
    (1109, 1491, false),
    (988, 1395, false),
    (339, 1976, true),
    (841, 420, true),
    (397, 815, true),
    (660, 304, false),
];

fn kits(copies: u32) -> Request {
    let parts = KIT.iter().map(|(width, height, may_turn)| {
        let turns = TurnSet::of(|quarters| *may_turn || quarters % 2 == 0);
        part(width * TENTH, height * TENTH, copies, turns)
    });
    request(vec![sheet(2062 * TENTH, 2697 * TENTH)], parts.collect())
}

#[test]
fn twenty_four_kits_come_out_of_the_fewest_letter_sheets_there_can_be() {
    // The 110.9 x 149.1 front shares a sheet of 206.2 x 269.7 neither with another one nor with the 98.8 x 139.5 mat, of which a
    // sheet holds two: 24 sheets for the fronts and 12 for the mats.
    let asked = kits(24);
    let placed = place_on(1, &asked);
    assert_sound(&asked, &placed);
    assert_eq!(
        (
            made(&placed, 0),
            placed.layout.leftovers.iter().sum::<u32>()
        ),
        (36, 0)
    );
}

#[test]
fn few_layouts_are_few_on_hardly_more_sheets() {
    let asked = Request {
        best: Best::FewestLayouts,
        ..kits(24)
    };
    let placed = place_on(1, &asked);
    assert_sound(&asked, &placed);
    assert!(placed.layout.sheets.len() <= 4 && made(&placed, 0) <= 38);
}

#[test]
fn each_sheet_holds_one_whole_kit_even_of_parts_that_measure_the_same() {
    // Two of one part and one of another for each of five copies, and seven that belong to no kit.
    let mut pair = part(30, 20, 10, TurnSet::QUARTERS);
    pair.per_kit = 2;
    let single = part(30, 20, 5, TurnSet::QUARTERS);
    let mut other = part(50, 50, 7, TurnSet::QUARTERS);
    other.per_kit = 0;
    let asked = Request {
        best: Best::KitPerSheet,
        ..request(vec![sheet(100, 100)], vec![pair, single, other])
    };
    let placed = place_on(1, &asked);
    assert_sound(&asked, &placed);
    let of =
        |places: &[super::super::Place], kind| places.iter().filter(|p| p.kind == kind).count();
    let kit = placed
        .layout
        .sheets
        .iter()
        .find(|s| of(&s.places, 0) > 0)
        .expect("kits are laid");
    assert_eq!(
        (
            kit.runs,
            of(&kit.places, 0),
            of(&kit.places, 1),
            of(&kit.places, 2)
        ),
        (5, 2, 1, 0)
    );
    // Four squares of 50 lie on a sheet of 100: two sheets for seven.
    assert_eq!(made(&placed, 0), 7);
}

#[test]
fn offcuts_go_first_and_what_no_sheet_is_left_for_is_left_over() {
    // Nine squares of 50: four on the offcut, four on the one whole sheet, one left over.
    let offcut = SheetKind {
        limit: Some(1),
        is_offcut: true,
        ..sheet(100, 100)
    };
    let whole = SheetKind {
        limit: Some(1),
        ..sheet(110, 110)
    };
    let asked = request(
        vec![offcut, whole],
        vec![part(50, 50, 9, TurnSet::QUARTERS)],
    );
    let placed = place_on(1, &asked);
    assert_sound(&asked, &placed);
    assert_eq!(
        (made(&placed, 0), made(&placed, 1), &placed.layout.leftovers),
        (1, 1, &vec![1])
    );
}

#[test]
fn the_cheaper_of_two_sheets_that_do_is_taken() {
    let dear = SheetKind {
        price_hundredths: 60,
        ..sheet(120, 120)
    };
    let cheap = SheetKind {
        price_hundredths: 25,
        ..sheet(100, 100)
    };
    let asked = request(vec![dear, cheap], vec![part(50, 50, 4, TurnSet::QUARTERS)]);
    let placed = place_on(1, &asked);
    assert_sound(&asked, &placed);
    assert_eq!((made(&placed, 0), made(&placed, 1)), (0, 1));
}

#[test]
fn a_short_reach_is_kept() {
    // A sheet of 120 x 80 may only be cut down, 80 long; pieces of 30 x 40 then come out of strips: 4 strips of 2.
    let asked = Request {
        cutting: Cutting::EdgeToEdge { reach_nm: Some(80) },
        ..request(
            vec![sheet(120, 80)],
            vec![part(30, 40, 8, TurnSet::QUARTERS)],
        )
    };
    let placed = place_on(1, &asked);
    assert_sound(&asked, &placed);
    assert_eq!((made(&placed, 0), &placed.layout.leftovers), (1, &vec![0]));
}

#[test]
fn spares_that_all_fit_on_opened_sheets_are_laid_with_the_rest_on_equal_sheets() {
    // Ten to a sheet; 18 and 2 spares are two full sheets of one layout.
    let mut tag = part(50, 20, 18, TurnSet::of(|quarters| quarters == 0));
    tag.spares = 2;
    let asked = request(vec![sheet(100, 100)], vec![tag]);
    let placed = place_on(1, &asked);
    assert_sound(&asked, &placed);
    assert_eq!(
        (
            placed.layout.sheets.len(),
            made(&placed, 0),
            &placed.layout.spares
        ),
        (1, 2, &vec![2])
    );
}

#[test]
fn a_search_stopped_at_once_still_lays_everything() {
    struct Stopped;
    impl Watch for Stopped {
        fn is_stopped(&self) -> bool {
            true
        }
    }
    let asked = kits(6);
    let placed = place(&asked, NonZeroUsize::MIN, &Stopped);
    assert!(placed.is_stopped);
    assert_sound(&asked, &placed);
    assert_eq!(placed.layout.leftovers.iter().sum::<u32>(), 0);
}

fn any_request() -> impl Strategy<Value = Request> {
    let parts = prop::collection::vec((5..70_i64, 5..70_i64, 1..6_u32, any::<bool>()), 1..8);
    let obstacle = prop::option::of((0..80_i64, 0..80_i64, 1..40_i64, 1..40_i64));
    let sheets = (
        60..120_i64,
        60..120_i64,
        obstacle,
        prop::option::of(0..3_u32),
    );
    (parts, sheets, 0..3_usize).prop_map(|(parts, (width, height, obstacle, limit), best)| {
        let parts = parts.into_iter().map(|(w, h, demand, may_turn)| {
            part(
                w,
                h,
                demand,
                TurnSet::of(|quarters| may_turn || quarters % 2 == 0),
            )
        });
        let obstacles = obstacle.map(|(x, y, w, h)| Area::from_edges(x, y, x + w, y + h));
        let first = SheetKind {
            obstacles: obstacles.into_iter().collect(),
            limit,
            ..sheet(width, height)
        };
        let best = [Best::FewestSheets, Best::FewestLayouts, Best::KitPerSheet][best];
        Request {
            best,
            ..request(vec![first, sheet(100, 90)], parts.collect())
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn layouts_are_sound_and_the_same_on_two_threads(asked in any_request()) {
        let placed = place_on(1, &asked);
        assert_sound(&asked, &placed);
        prop_assert_eq!(placed, place_on(2, &asked));
    }
}

#[test]
fn more_effort_never_takes_more_sheets() {
    // Fifteen rectangles with sides 10 to 73, by a rule of thumb for scattering numbers: sevens and elevens around a clock of 64.
    for start in 0..3 {
        let side = |at: i64, step: i64| 10 + (start * 17 + at * step) % 64;
        let parts = (0..15).map(|at| part(side(at, 7), side(at, 11), 1, TurnSet::QUARTERS));
        let quick = request(vec![sheet(100, 100)], parts.collect());
        let usual = Request {
            effort: Effort::Usual,
            ..quick.clone()
        };
        assert!(made(&place_on(1, &usual), 0) <= made(&place_on(1, &quick), 0));
    }
}
