//! The engine as a whole: layouts worked out by hand, and promises that hold for any.

use std::num::NonZeroUsize;

use proptest::prelude::*;

use super::super::{
    Area, Best, Cutting, Effort, FilledSheet, NoWatch, PartKind, Placed, Request, Shape, SheetKind,
    TurnSet, Watch,
};
use super::place;
use crate::math::Angle;

const MM: i64 = 1_000_000;

fn sheet(width_mm: i64, height_mm: i64) -> SheetKind {
    SheetKind::of(Area::from_edges(0, 0, width_mm * MM, height_mm * MM))
}

/// A part of these corners, in millimetres.
fn part(corners: &[[i64; 2]], holes: &[&[[i64; 2]]], demand: u32, turns: TurnSet) -> PartKind {
    let ring = |corners: &[[i64; 2]]| corners.iter().map(|c| c.map(|mm| mm * MM)).collect();
    let most = |axis: usize| corners.iter().map(|c| c[axis] * MM).max().unwrap_or(0);
    PartKind {
        shape: Some(Shape {
            outer: ring(corners),
            holes: holes.iter().map(|hole| ring(hole)).collect(),
        }),
        ..PartKind::boxed(most(0), most(1), demand, turns)
    }
}

fn request(sheets: Vec<SheetKind>, parts: Vec<PartKind>) -> Request {
    let parts = parts.into_iter().map(|part| PartKind {
        turns: vec![part.turns[0]; sheets.len()],
        ..part
    });
    Request {
        parts: parts.collect(),
        sheets,
        cutting: Cutting::Outlines,
        best: Best::FewestSheets,
        effort: Effort::Quick,
    }
}

fn placed(request: &Request) -> Placed {
    let placed = place(request, NonZeroUsize::MIN, &NoWatch);
    assert_eq!(faults(request, &placed), Vec::<String>::new());
    placed
}

fn square(side_mm: i64, demand: u32) -> PartKind {
    let corners = [[0, 0], [side_mm, 0], [side_mm, side_mm], [0, side_mm]];
    part(&corners, &[], demand, TurnSet::QUARTERS)
}

/// All that is wrong with a layout, found by walking along every edge in steps and asking whether the point lies in another part or
/// beside the sheet: nothing of the engine's own tests is used.
fn faults(request: &Request, placed: &Placed) -> Vec<String> {
    let mut faults = Vec::new();
    let mut counts = vec![0; request.parts.len()];
    for sheet in &placed.layout.sheets {
        for place in &sheet.places {
            counts[place.kind] += sheet.runs;
        }
        faults.extend(faults_on(request, sheet));
    }
    for (kind, part) in request.parts.iter().enumerate() {
        let layout = &placed.layout;
        if counts[kind] + layout.leftovers[kind] != part.demand + layout.spares[kind] {
            faults.push(format!("part {kind}: {} placed", counts[kind]));
        }
    }
    faults
}

type Rings = Vec<Vec<[f64; 2]>>;

#[expect(
    clippy::cast_precision_loss,
    reason = "metres in nanometres are far below 2^53"
)]
fn mm(corners: &[[i64; 2]]) -> Vec<[f64; 2]> {
    corners
        .iter()
        .map(|c| c.map(|nm| nm as f64 / 1e6))
        .collect()
}

fn rings(shape: &Shape) -> Rings {
    let holes = shape.holes.iter();
    std::iter::once(&shape.outer)
        .chain(holes)
        .map(|ring| mm(ring))
        .collect()
}

fn box_shape(width_nm: i64, height_nm: i64) -> Shape {
    Shape {
        outer: vec![[0, 0], [width_nm, 0], [width_nm, height_nm], [0, height_nm]],
        holes: Vec::new(),
    }
}

fn laid(request: &Request, sheet: &FilledSheet) -> Vec<Rings> {
    let laid = sheet.places.iter().map(|place| {
        let part = &request.parts[place.kind];
        let whole = box_shape(part.width_nm, part.height_nm);
        let own = rings(part.shape.as_ref().unwrap_or(&whole));
        let (sin, cos) = Angle::from_deg(f64::from(place.turn_mdeg) / 1000.0).sin_cos();
        let corner = mm(&[[place.x_nm, place.y_nm]])[0];
        let width = mm(&[[part.width_nm, 0]])[0][0];
        let moved = |p: &[f64; 2]| {
            let x = if place.is_mirrored {
                width - p[0]
            } else {
                p[0]
            };
            [
                corner[0] + cos * x - sin * p[1],
                corner[1] + sin * x + cos * p[1],
            ]
        };
        own.iter()
            .map(|ring| ring.iter().map(moved).collect())
            .collect()
    });
    laid.collect()
}

/// How deep in a part a point must lie to count, in mm.
const DEEP_MM: f64 = 0.005;

fn faults_on(request: &Request, sheet: &FilledSheet) -> Vec<String> {
    let kind = &request.sheets[sheet.kind];
    let area = kind.area;
    let whole = Shape {
        outer: vec![
            [area.x_nm, area.y_nm],
            [area.right_nm(), area.y_nm],
            [area.right_nm(), area.bottom_nm()],
            [area.x_nm, area.bottom_nm()],
        ],
        holes: Vec::new(),
    };
    let ground = rings(kind.outline.as_ref().unwrap_or(&whole));
    let parts = laid(request, sheet);
    let mut faults = Vec::new();
    for (i, own) in parts.iter().enumerate() {
        for p in own.iter().flat_map(|ring| points_along(ring)) {
            if !is_inside(p, &ground) && distance_mm(p, &ground) > DEEP_MM {
                faults.push(format!("{:?} sticks out at {p:?}", sheet.places[i]));
            }
            let hit = |other: &Rings| is_inside(p, other) && distance_mm(p, other) > DEEP_MM;
            if parts
                .iter()
                .enumerate()
                .any(|(k, other)| k != i && hit(other))
            {
                faults.push(format!("{:?} overlaps at {p:?}", sheet.places[i]));
            }
        }
        let turns = request.parts[sheet.places[i].kind].turns[sheet.kind];
        let allowed = sheet.places[i]
            .quarters()
            .map_or(turns.is_any(), |q| turns.has(q));
        if !allowed {
            faults.push(format!("{:?} is turned", sheet.places[i]));
        }
    }
    faults
}

fn points_along(ring: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let sides = (0..ring.len()).map(|i| (ring[i], ring[(i + 1) % ring.len()]));
    let steps = |(a, b): ([f64; 2], [f64; 2])| {
        (0..20).map(move |k| {
            let share = f64::from(k) / 20.0;
            [0, 1].map(|axis| a[axis] + share * (b[axis] - a[axis]))
        })
    };
    sides.flat_map(steps).collect()
}

fn is_inside(p: [f64; 2], rings: &Rings) -> bool {
    let mut inside = false;
    for ring in rings {
        for (i, a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            if (a[1] > p[1]) != (b[1] > p[1]) {
                let x = a[0] + (p[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
                inside ^= p[0] < x;
            }
        }
    }
    inside
}

fn distance_mm(p: [f64; 2], rings: &Rings) -> f64 {
    let mut least = f64::MAX;
    for ring in rings {
        for (i, a) in ring.iter().enumerate() {
            let b = ring[(i + 1) % ring.len()];
            least = least.min(super::ring::distance_nm(p, *a, b));
        }
    }
    least
}

#[test]
fn two_triangles_share_a_sheet_that_their_boxes_do_not() {
    // Right triangles of 60 x 40 lie hypotenuse to hypotenuse in a rectangle a little larger; their boxes fill it twice.
    let triangle = part(&[[0, 0], [60, 0], [0, 40]], &[], 8, TurnSet::QUARTERS);
    let placed = placed(&request(vec![sheet(63, 43)], vec![triangle]));
    assert_eq!(placed.layout.sheet_count(), 4);
}

#[test]
fn a_small_part_lies_in_the_hole_of_a_large_one() {
    // The frame fills the sheet but for its hole of 60 x 60, in which the square of 50 has room.
    let hole: &[[i64; 2]] = &[[20, 20], [80, 20], [80, 80], [20, 80]];
    let frame = part(
        &[[0, 0], [100, 0], [100, 100], [0, 100]],
        &[hole],
        3,
        TurnSet::QUARTERS,
    );
    let placed = placed(&request(vec![sheet(100, 100)], vec![frame, square(50, 3)]));
    assert_eq!(placed.layout.sheet_count(), 3);
}

#[test]
fn a_part_that_may_lie_at_any_angle_lies_across_the_sheet() {
    // 130 mm are longer than the side of 100 mm and shorter than the diagonal of 141 mm.
    let bar = |turns| part(&[[0, 0], [130, 0], [130, 5], [0, 5]], &[], 1, turns);
    let free = placed(&request(vec![sheet(100, 100)], vec![bar(TurnSet::ANY)]));
    assert_eq!(free.layout.leftovers, [0]);
    let bound = placed(&request(
        vec![sheet(100, 100)],
        vec![bar(TurnSet::QUARTERS)],
    ));
    assert_eq!(bound.layout.leftovers, [1]);
}

#[test]
fn offcuts_of_any_outline_are_used_before_whole_sheets() {
    // An L of two arms, each 30 wide: squares of 30 have room for three in the L, the fourth needs a sheet.
    let corner = [[0, 0], [60, 0], [60, 30], [30, 30], [30, 60], [0, 60]];
    let mut offcut = sheet(60, 60);
    offcut.outline = Some(Shape {
        outer: corner.iter().map(|c| c.map(|mm| mm * MM)).collect(),
        holes: Vec::new(),
    });
    offcut.limit = Some(1);
    offcut.is_offcut = true;
    let placed = placed(&request(vec![offcut, sheet(100, 100)], vec![square(29, 4)]));
    let counts: Vec<_> = placed
        .layout
        .sheets
        .iter()
        .map(|s| (s.kind, s.places.len()))
        .collect();
    assert_eq!(counts, [(0, 3), (1, 1)]);
}

#[test]
fn a_kit_to_a_sheet_is_what_the_maker_gets() {
    // Two kits of two squares would share one sheet, and each has one of its own.
    let mut request = request(vec![sheet(100, 100)], vec![square(40, 4)]);
    request.parts[0].per_kit = 2;
    request.best = Best::KitPerSheet;
    let layout = placed(&request).layout;
    let counts: Vec<_> = layout
        .sheets
        .iter()
        .map(|s| (s.runs, s.places.len()))
        .collect();
    assert_eq!(counts, [(2, 2)]);
}

#[test]
fn spares_lie_only_on_sheets_that_are_opened_anyway() {
    // A sheet holds four squares of 50; two are wanted, and of nine spares two have room.
    let mut request = request(vec![sheet(100, 100)], vec![square(50, 2)]);
    request.parts[0].spares = 9;
    let layout = placed(&request).layout;
    assert_eq!((layout.sheet_count(), layout.spares), (1, vec![2]));
}

#[test]
fn a_stopped_search_returns_a_whole_layout() {
    #[derive(Debug)]
    struct Impatient;
    impl Watch for Impatient {
        fn is_stopped(&self) -> bool {
            true
        }
    }
    let request = request(vec![sheet(100, 100)], vec![square(60, 5)]);
    let placed = place(&request, NonZeroUsize::MIN, &Impatient);
    assert!(placed.is_stopped);
    assert_eq!(placed.layout.sheet_count(), 5);
}

fn any_part() -> impl Strategy<Value = PartKind> {
    // Quadrilaterals with one corner pushed inwards, so that some are concave.
    let turns = prop_oneof![
        Just(TurnSet::QUARTERS),
        Just(TurnSet::ANY),
        Just(TurnSet::of(|q| q == 0))
    ];
    (
        10..50_i64,
        10..50_i64,
        1..9_i64,
        1..5_u32,
        turns,
        any::<bool>(),
    )
        .prop_map(|(w, h, dent, demand, turns, may_mirror)| {
            let corners = [[0, 0], [w, 0], [w * dent / 10, h * dent / 10 + 1], [0, h]];
            PartKind {
                may_mirror,
                ..part(&corners, &[], demand, turns)
            }
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn layouts_are_sound_complete_and_the_same_on_two_threads(
        parts in prop::collection::vec(any_part(), 1..5)
    ) {
        let request = request(vec![sheet(70, 60)], parts);
        let one = place(&request, NonZeroUsize::MIN, &NoWatch);
        let two = place(&request, NonZeroUsize::new(2).expect("2 is not 0"), &NoWatch);
        prop_assert_eq!(&one, &two);
        prop_assert_eq!(faults(&request, &one), Vec::<String>::new());
    }
}
