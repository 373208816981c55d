//! What holds for every layout, whatever is asked for, and for a few instances of the literature.

mod checker;
#[expect(dead_code, reason = "only the benchmark writes solutions")]
#[path = "../bench/instance.rs"]
mod instance;
mod kits;

use std::num::NonZeroUsize;

use proptest::prelude::*;
use sheetwright::plan::place::{Effort, Engine, NoWatch, Placed, Placer, Request, bound};

use checker::check;
use instance::Turning;
use kits::{Draw, Seeded, kit, offcut, part};

fn place(request: &Request, threads: usize) -> Placed {
    let threads = NonZeroUsize::new(threads).unwrap();
    Engine { threads }.place(request, &NoWatch)
}

fn whole_sheets(request: &Request, placed: &Placed) -> u32 {
    let sheets = placed.layout.sheets.iter();
    let whole = sheets.filter(|s| !request.sheets[s.kind].is_offcut);
    whole.map(|s| s.runs).sum()
}

/// Size of what is left over, then whole sheets: less is better.
fn loss(request: &Request, placed: &Placed) -> (i128, u32) {
    let left = request.parts.iter().zip(&placed.layout.leftovers);
    let size = left.map(|(part, left)| {
        i128::from(part.width_nm) * i128::from(part.height_nm) * i128::from(*left)
    });
    (size.sum(), whole_sheets(request, placed))
}

fn with_part(request: &Request, draw: &mut impl Draw) -> Request {
    let mut more = request.clone();
    more.parts.push(part(draw, request.sheets.len()));
    more
}

fn with_offcut(request: &Request, draw: &mut impl Draw) -> Request {
    let mut more = request.clone();
    more.sheets.insert(0, offcut(draw));
    for part in &mut more.parts {
        part.turns.insert(0, part.turns[0]);
    }
    more
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    #[test]
    fn any_kit_lies_as_it_may(seed in any::<u64>()) {
        let request = kit(&mut Seeded(seed));
        let placed = place(&request, 1);
        check(&request, &placed.layout);
        let bound = bound::sheets_for(&request, &placed.layout);
        prop_assert!(bound.better <= whole_sheets(&request, &placed));
    }
}

proptest! {
    #[test]
    fn another_part_never_lowers_the_bound_and_another_offcut_never_raises_it(seed in any::<u64>()) {
        let draw = &mut Seeded(seed);
        let request = kit(draw);
        let before = bound::sheets(&request);
        let (part, offcut) = (with_part(&request, draw), with_offcut(&request, draw));
        let (with_part, with_offcut) = (bound::sheets(&part), bound::sheets(&offcut));
        prop_assert!(with_part.area >= before.area && with_part.better >= before.better);
        prop_assert!(with_offcut.area <= before.area && with_offcut.better <= before.better);
    }
}

#[test]
fn another_offcut_never_takes_another_sheet() {
    for seed in 0..50 {
        let draw = &mut Seeded(seed);
        let request = kit(draw);
        let more = with_offcut(&request, draw);
        let (before, after) = (place(&request, 2), place(&more, 2));
        assert!(
            loss(&more, &after) <= loss(&request, &before),
            "kit {seed}: {request:?}"
        );
    }
}

#[test]
fn more_sheets_on_hand_never_take_more_of_them_or_leave_out_more() {
    for seed in 100..110 {
        let mut few = kit(&mut Seeded(seed));
        let last = few.sheets.len() - 1;
        few.sheets[last].limit = Some(1);
        let mut enough = few.clone();
        enough.sheets[last].limit = None;
        let (before, after) = (place(&few, 2), place(&enough, 2));
        check(&few, &before.layout);
        assert!(
            loss(&enough, &after).0 <= loss(&few, &before).0,
            "kit {seed}"
        );
        assert!(
            before.layout.leftovers.iter().any(|n| *n > 0)
                || loss(&enough, &after) <= loss(&few, &before)
        );
    }
}

#[test]
fn a_long_search_is_never_worse_than_a_glance() {
    for seed in 200..203 {
        let quick = kit(&mut Seeded(seed));
        let mut long = quick.clone();
        long.effort = Effort::Long;
        let (glance, result) = (place(&quick, 2), place(&long, 2));
        check(&long, &result.layout);
        assert!(loss(&long, &result) <= loss(&quick, &glance), "kit {seed}");
    }
}

#[test]
fn one_thread_and_two_find_the_same_layout() {
    for seed in 300..312 {
        let request = kit(&mut Seeded(seed));
        assert_eq!(place(&request, 1), place(&request, 2), "kit {seed}");
    }
}

fn instance(text: &str, turning: Turning) -> Request {
    let read = instance::read(text, turning).unwrap();
    let mut request = read.unwrap().request;
    request.effort = Effort::Quick;
    request
}

/// Best known numbers of sheets: see `tests/data/layout/README.md`. No bound may exceed what any cuts reach, which cuts from edge to
/// edge cannot beat; three stages of such cuts are an engine's least.
#[test]
fn instances_of_the_literature_take_what_is_known_and_never_less_than_the_bound() {
    for text in [
        include_str!("../data/layout/mv_c01_n020_01.json"),
        include_str!("../data/layout/mv_c05_n020_01.json"),
        include_str!("../data/layout/mv_c07_n020_01.json"),
        include_str!("../data/layout/mv_c09_n020_01.json"),
    ] {
        let known: serde_json::Value = serde_json::from_str(text).unwrap();
        for (turning, way) in [
            (Turning::Allowed, "rotation"),
            (Turning::Forbidden, "oriented"),
        ] {
            let request = instance(text, turning);
            let placed = place(&request, 2);
            check(&request, &placed.layout);
            let best = |cuts: &str| {
                known["best_known_bins"][format!("{cuts}_{way}")]
                    .as_u64()
                    .unwrap()
            };
            let found = u64::from(whole_sheets(&request, &placed));
            assert!(
                u64::from(bound::sheets(&request).better) <= best("free"),
                "{}",
                known["name"]
            );
            assert!(
                found >= best("free") && found <= best("guillotine3") + 1,
                "{}: {found}",
                known["name"]
            );
        }
    }
}

/// With its gap a card front is 110.9 x 149.1 mm and a mat 98.8 x 139.5 mm on 206.2 x 269.7 mm, and neither may turn. Two fronts are
/// too wide and too high together, and so are a front and a mat; of mats two lie side by side. So 24 fronts and 24 mats are 24 + 12
/// sheets at least, where 1 669 440 mm² of pieces, grown by the gap, fill 33.
#[test]
fn a_kit_of_large_cards_takes_the_36_sheets_it_must() {
    let request = instance(
        include_str!("../data/layout/trim_s1_letter_x24.json"),
        Turning::Allowed,
    );
    assert_eq!(
        (bound::sheets(&request).area, bound::sheets(&request).better),
        (33, 36)
    );
    let placed = place(&request, 2);
    check(&request, &placed.layout);
    assert_eq!(whole_sheets(&request, &placed), 36);
}

#[test]
fn outlines_nest_into_the_sheets_known_to_suffice() {
    for (text, most) in [
        // A solver library found 6 within 20 seconds.
        (include_str!("../data/layout/mach_s1_letter_x5.json"), 7),
        // Three sheets were cut up to make it.
        (include_str!("../data/layout/jig_11_loose.json"), 4),
        // A solver library found 8 within 20 seconds.
        (include_str!("../data/layout/scraps_s1_x8.json"), 8),
    ] {
        let request = instance(text, Turning::Allowed);
        let placed = place(&request, 2);
        check(&request, &placed.layout);
        assert_eq!(placed.layout.leftovers.iter().sum::<u32>(), 0);
        let found = whole_sheets(&request, &placed);
        assert!(
            bound::sheets(&request).better <= found && found <= most,
            "{found}"
        );
    }
}
