//! Spares are laid on sheets that are opened anyway, and told; worked out by hand.

use sheetwright::plan::{JobPlan, PlanOptions, Spares, check, plan};
use sheetwright::project::{CutBy, Maker, Project};

use crate::plan_project::{edition, piece, project, stock};

fn planned(project: &Project) -> JobPlan {
    let plan = plan(project, &PlanOptions::default()).value;
    assert_eq!(check(project, &plan), []);
    plan
}

/// Tags of 60 x 40 mm, cut 3 mm apart from sheets that hold so many of them above each other.
fn tags(on_a_sheet: u32, copies: u32, spares: u32) -> Project {
    let height_mm = f64::from(on_a_sheet) * 43.0 + 10.0;
    let mut job = project(
        CutBy::Machine,
        vec![stock("oat", (70.0, height_mm))],
        vec![piece("tag", 60.0, 40.0)],
        copies,
    );
    job.editions[0].spares = spares;
    job
}

fn spares(plan: &JobPlan) -> Vec<(u32, u32)> {
    plan.spares.iter().map(|s| (s.placed, s.wished)).collect()
}

fn copies(plan: &JobPlan) -> Vec<u32> {
    let runs = plan.sheets.iter().flat_map(|s| &s.prints);
    let mut copies: Vec<u32> = runs.flat_map(|r| r.copies.iter().copied()).collect();
    copies.sort_unstable();
    copies.dedup();
    copies
}

#[test]
fn spares_fill_the_last_sheet_and_open_none() {
    // Ten tags at four a sheet take three sheets with room for two more.
    for (wished, placed) in [(1, 1), (2, 2), (3, 2), (9, 2)] {
        let plan = planned(&tags(4, 10, wished));
        assert_eq!(plan.usage.sheets, 3);
        let told = Spares {
            piece: 0,
            placed,
            wished,
        };
        assert_eq!(plan.spares, [told]);
    }
    assert_eq!(planned(&tags(4, 10, 0)).spares, []);
}

#[test]
fn spares_without_room_are_not_placed_and_not_missed() {
    let plan = planned(&tags(4, 8, 3));
    assert_eq!((plan.usage.sheets, spares(&plan)), (2, vec![(0, 3)]));
    assert_eq!(plan.unplaced, []);
}

#[test]
fn what_is_left_over_is_wanted_and_never_a_spare() {
    let mut job = tags(4, 10, 3);
    job.stocks[0].on_hand = Some(2);
    let plan = planned(&job);
    assert_eq!((plan.unplaced[0].count, spares(&plan)), (2, vec![(0, 3)]));
}

#[test]
fn a_spare_copy_has_its_number_even_if_it_finds_no_room() {
    // Two pieces a copy, two on a sheet: three wanted copies take three full sheets. Copy 3 is the spare one of the first edition.
    let mut job = tags(2, 1, 0);
    job.pieces[0].per_copy = 2;
    job.editions = vec![edition("sage", 2), edition("thyme", 1)];
    job.editions[0].spares = 1;
    let plan = planned(&job);
    assert_eq!((plan.sheets.len(), plan.usage.sheets), (1, 3));
    let ids: Vec<_> = plan.sheets[0]
        .placements
        .iter()
        .map(|p| p.id.as_str())
        .collect();
    assert_eq!(ids, ["tag#1.1", "tag#1.2"]);
    assert_eq!(
        (copies(&plan), spares(&plan)),
        (vec![1, 2, 4], vec![(0, 2)])
    );
}

#[test]
fn editions_take_turns_at_the_room_for_spares() {
    // Sage has copies 1 and 2 and the spare ones 3 and 4, thyme copy 5 and the spare 6. Three are wanted and two more find room:
    // one of each.
    let mut job = tags(5, 1, 0);
    job.editions = vec![edition("sage", 2), edition("thyme", 1)];
    (job.editions[0].spares, job.editions[1].spares) = (2, 1);
    let plan = planned(&job);
    assert_eq!(plan.usage.sheets, 1);
    assert_eq!(
        (copies(&plan), spares(&plan)),
        (vec![1, 2, 3, 5, 6], vec![(2, 3)])
    );
}

#[test]
fn spares_of_one_piece_fill_sheets_that_another_opened() {
    // By trimmer from 100 x 100: a card of 100 x 60 leaves 100 x 40 and so two tags of 40 x 40, one of them spare.
    let mut job = project(
        CutBy::Trimmer,
        vec![stock("oat", (100.0, 100.0))],
        vec![piece("card", 100.0, 60.0), piece("tag", 40.0, 40.0)],
        4,
    );
    job.editions[0].spares = 4;
    for piece in &mut job.pieces {
        piece.cut_by = Maker::Hand;
    }
    let plan = planned(&job);
    assert_eq!(plan.usage.sheets, 4);
    assert_eq!(spares(&plan), [(0, 4), (4, 4)]);
}

#[test]
fn rows_stay_rows_with_spares_among_them() {
    let mut job = tags(4, 5, 2);
    job.job.rows = true;
    let plan = planned(&job);
    assert_eq!((plan.usage.sheets, spares(&plan)), (2, vec![(2, 2)]));
}
