//! Layouts worked out by hand, and the promises that hold for any.

use proptest::prelude::*;
use std::num::NonZeroUsize;

use sheetwright::drawing::Colour;
use sheetwright::plan::file::PlanFile;
use sheetwright::plan::{JobPlan, PlanOptions, UnplacedReason, check, plan, unplaced_errors};
use sheetwright::project::{
    Axis, CutBy, Edge, Edges, Face, Maker, MarkUse, Project, Reads, StockFace, StockSide, TurnOver,
    Turns,
};

use crate::plan_project::{LETTER_MM, colour, edition, length, piece, project, reach, stock};

fn planned(project: &Project) -> JobPlan {
    let plan = plan(project, &PlanOptions::default()).value;
    assert_eq!(check(project, &plan), []);
    plan
}

fn by_hand(mut pieces: Vec<sheetwright::project::Piece>) -> Vec<sheetwright::project::Piece> {
    for piece in &mut pieces {
        piece.cut_by = Maker::Hand;
    }
    pieces
}

const INCH_MM: f64 = 25.4;

/// Yields worked out by an exact guillotine search on a 1/8 in grid; source: `tests/data/sheet_yields.json`.
#[test]
fn sheet_yields_of_the_trade_table_come_out() {
    let rows: serde_json::Value =
        serde_json::from_str(include_str!("../data/sheet_yields.json")).unwrap();
    let rows = rows["yields"].as_array().unwrap();
    assert_eq!(rows.len(), 9);
    for row in rows {
        let inches = |key: &str| {
            let pair = row[key].as_array().unwrap();
            (
                pair[0].as_f64().unwrap() * INCH_MM,
                pair[1].as_f64().unwrap() * INCH_MM,
            )
        };
        let (card, sheet) = (inches("piece_in"), inches("sheet_in"));
        let make = |copies| {
            let pieces = by_hand(vec![piece("card", card.0, card.1)]);
            planned(&project(
                CutBy::Trimmer,
                vec![stock("oat", sheet)],
                pieces,
                copies,
            ))
        };
        let most = row["best_guillotine_turning_allowed"].as_u64().unwrap();
        let full = make(u32::try_from(3 * most.max(1)).unwrap());
        let counts: Vec<_> = full
            .sheets
            .iter()
            .map(|s| (s.runs, s.placements.len() as u64))
            .collect();
        assert_eq!(
            counts,
            if most > 0 { vec![(3, most)] } else { vec![] },
            "{row}"
        );
        let kit = make(24);
        assert_eq!(
            u64::from(kit.usage.sheets),
            row["sheets_for_24"].as_u64().unwrap_or(0),
            "{row}"
        );
        assert_eq!(
            kit.unplaced.is_empty(),
            row["sheets_for_24"].is_u64(),
            "{row}"
        );
    }
}

/// The same table without turning.
#[test]
fn sheet_yields_without_turning_come_out() {
    let rows: serde_json::Value =
        serde_json::from_str(include_str!("../data/sheet_yields.json")).unwrap();
    for row in rows["yields"].as_array().unwrap() {
        let inches = |key: &str, i: usize| row[key][i].as_f64().unwrap() * INCH_MM;
        let mut card = piece("card", inches("piece_in", 0), inches("piece_in", 1));
        card.turns = Turns::Half;
        let sheet = stock("oat", (inches("sheet_in", 0), inches("sheet_in", 1)));
        let plan = planned(&project(
            CutBy::Trimmer,
            vec![sheet],
            by_hand(vec![card]),
            36,
        ));
        let most = plan
            .sheets
            .iter()
            .map(|s| s.placements.len())
            .max()
            .unwrap_or(0);
        assert_eq!(most as u64, row["no_turning"].as_u64().unwrap(), "{row}");
    }
}

#[test]
fn machine_cut_pieces_keep_the_gap_and_no_more() {
    // 100 + 3 + 100 fits across 203 mm and down 203 mm: four squares of 100 mm, at 0 and at 103.
    let plan = planned(&project(
        CutBy::Machine,
        vec![stock("oat", (203.0, 203.0))],
        vec![piece("card", 100.0, 100.0)],
        4,
    ));
    assert_eq!(plan.usage.sheets, 1);
    let corners: Vec<_> = plan.sheets[0]
        .placements
        .iter()
        .map(|p| (p.pose.x_mm, p.pose.y_mm))
        .collect();
    assert_eq!(
        corners,
        [(0.0, 0.0), (103.0, 0.0), (0.0, 103.0), (103.0, 103.0)]
    );
    // One micrometre less, and only two fit side by side.
    let plan = planned(&project(
        CutBy::Machine,
        vec![stock("oat", (202.999, 203.0))],
        vec![piece("card", 100.0, 100.0)],
        4,
    ));
    assert_eq!(plan.usage.sheets, 2);
}

#[test]
fn bleeds_lie_side_by_side_within_the_margins() {
    // Margins of 1/4 in leave 203.2 across Letter; two cards of 95.6 with 3 mm of bleed are 2 x 101.6 = 203.2 wide.
    let mut card = piece("card", 95.6, 40.0);
    card.cut_by = Maker::Hand;
    // Two layers, so that neighbours do not share their bleed.
    card.artwork = vec![colour(Face::Front, 3.0, Colour::rgb(163, 177, 138)); 2];
    let plan = planned(&project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![card.clone()],
        2,
    ));
    let corners: Vec<_> = plan.sheets[0]
        .placements
        .iter()
        .map(|p| (p.pose.x_mm, p.pose.y_mm))
        .collect();
    assert_eq!(corners, [(9.35, 9.35), (110.95, 9.35)]);
    // Six millimetres and a micrometre between outlines are more than twice the bleed, so they no longer lie side by side.
    let mut wider = project(CutBy::Machine, vec![stock("oat", LETTER_MM)], vec![card], 2);
    wider.pieces[0].turns = Turns::None;
    wider.job.gap = length(6.001);
    assert!(planned(&wider).sheets[0].placements[1].pose.y_mm > 55.0);
}

#[test]
fn editions_on_other_paper_of_the_same_size_share_the_cut_file() {
    let stocks = vec![stock("oat", (70.0, 100.0)), stock("moss", (70.0, 100.0))];
    let mut job = project(CutBy::Machine, stocks, vec![piece("tag", 60.0, 40.0)], 2);
    job.editions = vec![edition("sage", 2), edition("thyme", 2)];
    job.editions[1].stock_swaps = vec![(0, 1)];
    let plan = planned(&job);
    let sheets: Vec<_> = plan
        .sheets
        .iter()
        .map(|s| (s.stock, s.cut.as_ref().unwrap().file.as_str()))
        .collect();
    assert_eq!(sheets, [(0, "cut-01.svg"), (1, "cut-01.svg")]);
    assert_eq!(plan.cut_extent_mm, Some((70.0, 100.0)));
}

#[test]
fn editions_in_other_colours_share_the_sheet_but_not_the_page() {
    let mut card = piece("card", 60.0, 40.0);
    card.artwork = vec![colour(Face::Front, 3.0, Colour::rgb(163, 177, 138))];
    let mut job = project(CutBy::Machine, vec![stock("oat", LETTER_MM)], vec![card], 4);
    job.editions = vec![edition("sage", 24), edition("thyme", 12)];
    job.editions[1].artwork_swaps = vec![sheetwright::project::ArtworkSwap {
        piece: 0,
        artwork: 0,
        instead: colour(Face::Front, 3.0, Colour::rgb(125, 143, 105)),
    }];
    // With bleed a card is 66 x 46. Above the caption 203.2 x 258.7 is printable, room for 17 by area, so 36 need three sheets;
    // between the marks at the sides 187.2 is left, and 4 x 46 = 184 by 3 x 66 = 198 makes three equal sheets of twelve.
    let plan = planned(&job);
    assert_eq!(plan.sheets.len(), 1);
    assert_eq!(plan.sheets[0].placements.len(), 12);
    let runs: Vec<_> = plan.sheets[0]
        .prints
        .iter()
        .map(|r| (r.front, r.back, r.times, r.copies.len()))
        .collect();
    assert_eq!(runs, [(Some(1), None, 2, 24), (Some(2), None, 1, 12)]);
}

#[test]
fn what_does_not_fit_is_named_with_both_sizes_and_the_rest_is_planned() {
    let pieces = vec![piece("banner", 400.0, 40.0), piece("tag", 50.0, 40.0)];
    let job = project(CutBy::Machine, vec![stock("oat", LETTER_MM)], pieces, 3);
    let plan = planned(&job);
    assert_eq!(plan.usage.sheets, 1);
    let left = &plan.unplaced[0];
    assert_eq!(
        (left.piece, left.count, left.reason),
        (0, 3, UnplacedReason::TooLarge)
    );
    // On its side it lacks 120.6, upright 184.1; askew it does not fit either, since corner to corner Letter is 353.
    assert_eq!((left.needs_mm, left.has_mm), ((40.0, 400.0), LETTER_MM));
    let errors = unplaced_errors(&job, &plan);
    assert_eq!(
        errors[0].message,
        "piece \"banner\" needs 40 mm x 400 mm, a sheet of \"oat\" has 215.9 mm x 279.4 mm"
    );
    assert!(
        errors[0].hints[0].starts_with("the smallest format that holds it is A3"),
        "{:?}",
        errors[0].hints
    );
}

#[test]
fn a_piece_that_would_fit_if_turned_says_so() {
    let mut strip = piece("band", 260.0, 40.0);
    strip.turns = Turns::None;
    let plan = planned(&project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![strip],
        1,
    ));
    assert_eq!(plan.unplaced[0].reason, UnplacedReason::TurnForbidden);
    assert_eq!(plan.unplaced[0].needs_mm, (260.0, 40.0));
}

#[test]
fn sheets_on_hand_are_a_limit_and_offcuts_come_first() {
    let mut oat = stock("oat", (100.0, 100.0));
    oat.on_hand = Some(1);
    let mut scrap = stock("scrap", (100.0, 50.0));
    scrap.on_hand = Some(1);
    scrap.offcut_of = Some(0);
    let mut job = project(
        CutBy::Trimmer,
        vec![oat, scrap],
        by_hand(vec![piece("tag", 50.0, 50.0)]),
        7,
    );
    job.editions = vec![edition("sage", 4), edition("thyme", 3)];
    let plan = planned(&job);
    let sheets: Vec<_> = plan
        .sheets
        .iter()
        .map(|s| (s.stock, s.placements.len()))
        .collect();
    assert_eq!(sheets, [(0, 4), (1, 2)]);
    let left = &plan.unplaced[0];
    assert_eq!(
        (left.edition, left.count, left.reason),
        (1, 1, UnplacedReason::NoSheetsLeft)
    );
}

#[test]
fn grain_and_a_one_way_pattern_decide_the_turn() {
    // Fibres lie across the sheet and shall lie down the piece: a quarter turn. The pattern's top is the sheet's left edge and
    // shall be the piece's top: three quarters clockwise take the top to the left.
    let mut leaf = stock("leaf", (100.0, 100.0));
    leaf.grain = Some(Axis::X);
    leaf.face_a = StockFace::Patterned {
        name: "leaves".to_owned(),
        reads: Reads::OneWay,
        up: Edge::Left,
    };
    let mut tag = piece("tag", 80.0, 40.0);
    tag.grain = Some(Axis::Y);
    tag.pattern_up = Some(Edge::Top);
    let plan = planned(&project(CutBy::Machine, vec![leaf], vec![tag], 1));
    let turn_deg = plan.sheets[0].placements[0].pose.turn.deg();
    assert!((turn_deg - 270.0).abs() < 1e-12, "{turn_deg}");
}

#[test]
fn pieces_that_show_the_other_face_lie_on_sheets_of_their_own() {
    let mut back = piece("inside", 40.0, 40.0);
    back.shows = StockSide::B;
    let pieces = vec![piece("outside", 40.0, 40.0), back];
    let plan = planned(&project(
        CutBy::Machine,
        vec![stock("duplex", (100.0, 100.0))],
        pieces,
        1,
    ));
    let sheets: Vec<_> = plan
        .sheets
        .iter()
        .map(|s| (s.front_is, s.placements.len()))
        .collect();
    assert_eq!(sheets, [(StockSide::A, 1), (StockSide::B, 1)]);
}

#[test]
fn the_lower_bound_and_the_cost_are_stated() {
    // 24 tags of 2 x 3 1/2 in are 168 in²; Letter has 93.5 in², so at least 2 sheets, and 12 to a sheet needs 2.
    let mut oat = stock("oat", LETTER_MM);
    oat.price = Some(sheetwright::project::Price {
        hundredths: 35,
        currency: "EUR".to_owned(),
    });
    let plan = planned(&project(
        CutBy::Trimmer,
        vec![oat],
        by_hand(vec![piece("tag", 50.8, 88.9)]),
        24,
    ));
    let usage = &plan.usage;
    assert_eq!((usage.sheets, usage.lower_bound_sheets), (2, 2));
    assert!((usage.area_used_percent - 100.0 * 168.0 / 187.0).abs() < 1e-9);
    assert_eq!(usage.by_stock[0].cost_hundredths, Some(70));
}

fn any_project() -> impl Strategy<Value = Project> {
    let sizes = prop::collection::vec(
        (
            10.0..120.0_f64,
            10.0..120.0_f64,
            0..4_usize,
            0..3_usize,
            0..5_usize,
        ),
        1..6,
    );
    (sizes, 1..9_u32, any::<bool>(), 0..3_usize).prop_map(|(sizes, copies, is_machine, face)| {
        let cut_by = if is_machine {
            CutBy::Machine
        } else {
            CutBy::Trimmer
        };
        let mut oat = stock("oat", LETTER_MM);
        oat.grain = Some(Axis::X);
        let up = Edge::Right;
        oat.face_a = match face {
            0 => StockFace::Printable,
            1 => StockFace::Patterned {
                name: "leaves".to_owned(),
                reads: Reads::OneWay,
                up,
            },
            _ => StockFace::Patterned {
                name: "rows".to_owned(),
                reads: Reads::Stripe,
                up,
            },
        };
        let is_printable = face == 0;
        let pieces = sizes
            .into_iter()
            .enumerate()
            .map(|(i, (w, h, pattern, grain, print))| {
                let mut p = piece(&format!("tag-{i}"), w, h);
                p.cut_by = if is_machine {
                    Maker::Machine
                } else {
                    Maker::Hand
                };
                p.pattern_up =
                    [None, Some(Edge::Top), Some(Edge::Right), Some(Edge::Left)][pattern];
                p.grain = [None, Some(Axis::X), Some(Axis::Y)][grain];
                if is_printable && print > 1 {
                    let face = if print == 2 { Face::Back } else { Face::Front };
                    p.artwork = vec![colour(face, [0.0, 3.0, 1.0][print - 2], Colour::BLACK)];
                }
                p
            });
        let mut job = project(cut_by, vec![oat], pieces.collect(), copies);
        job.printer.margins.left = length(3.0);
        if is_machine {
            job.job.marks = if copies % 2 == 0 {
                MarkUse::Auto
            } else {
                MarkUse::Never
            };
            job.job.turn_over = if copies % 3 == 0 {
                TurnOver::TopBottom
            } else {
                TurnOver::LeftRight
            };
            job.cutter = reach(Edges {
                top: length(12.0),
                right: length(9.0),
                bottom: length(2.0),
                left: length(5.0),
            });
        }
        job
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn any_plan_keeps_its_promises_and_is_the_same_on_two_threads(job in any_project()) {
        let one = plan(&job, &PlanOptions::default()).value;
        prop_assert_eq!(check(&job, &one), []);
        let options = PlanOptions { threads: NonZeroUsize::new(2).unwrap(), ..PlanOptions::default() };
        let two = plan(&job, &options).value;
        prop_assert_eq!(PlanFile::new(&job, &one).to_json(), PlanFile::new(&job, &two).to_json());
    }
}
