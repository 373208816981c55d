//! Cut lists of hand trimmers: followed with scissors of our own, and worked out by hand.

use std::collections::BTreeMap;

use serde_json::Value;
use sheetwright::drawing::Colour;
use sheetwright::length::Length;
use sheetwright::plan::file::PlanFile;
use sheetwright::plan::trimmer::{Caution, Cut, CutList, EdgeKind, Guide};
use sheetwright::plan::{JobPlan, PlanOptions, check, plan};
use sheetwright::project::{
    Artwork, Axis, CutBy, Edge, Face, Maker, Piece, Project, TrimmerProfile, Turns,
};

use crate::made::example;
use crate::plan_project::{LETTER_MM, colour, piece, project, shaped, size, stock};

const INCH_MM: f64 = 25.4;

fn tag(id: &str, width_mm: f64, height_mm: f64) -> Piece {
    Piece {
        cut_by: Maker::Hand,
        ..piece(id, width_mm, height_mm)
    }
}

fn planned(project: &Project) -> JobPlan {
    let plan = plan(project, &PlanOptions::default()).value;
    assert_eq!(check(project, &plan), []);
    plan
}

fn lists(plan: &JobPlan) -> Vec<&CutList> {
    plan.sheets
        .iter()
        .map(|sheet| sheet.cut_list.as_ref().unwrap())
        .collect()
}

/// A job of one sort of piece on Letter.
fn on_letter(piece: Piece, copies: u32) -> Project {
    project(
        CutBy::Trimmer,
        vec![stock("oat", LETTER_MM)],
        vec![piece],
        copies,
    )
}

/// An edge with its distance from the paper's left or upper edge, in millimetres: left, top, right, bottom.
type Edges = [f64; 4];

/// Follows the cuts of a sheet as `plan.json` has them, with the print `shift` away from its place on the paper: ticks lie with the
/// print, a fence counts from the edge that is laid at it.
fn followed(sheet: &Value, shift: [f64; 2]) -> BTreeMap<String, Edges> {
    let number = |value: &Value| value.as_f64().unwrap();
    let paper = &sheet["paper"];
    let whole = [
        0.0,
        0.0,
        number(&paper["width_mm"]),
        number(&paper["height_mm"]),
    ];
    let mut parts = BTreeMap::from([("sheet".to_owned(), whole)]);
    for cut in sheet["trimmer_cuts"].as_array().unwrap() {
        let part = parts.remove(cut["of"].as_str().unwrap()).unwrap();
        let axis = usize::from(cut["axis"] == "y");
        let at_mm = match cut["by"].as_str().unwrap() {
            "fence" => {
                let fence_mm = number(&cut["fence_mm"]);
                match cut["from_edge"].as_str().unwrap() {
                    "left" | "top" => part[axis] + fence_mm,
                    _ => part[axis + 2] - fence_mm,
                }
            }
            "tick" => number(&cut["at_mm"]) + shift[axis],
            other => panic!("{other}"),
        };
        assert!(part[axis] < at_mm && at_mm < part[axis + 2], "{cut}");
        let mut leaves = [part; 2];
        leaves[0][axis + 2] = at_mm;
        leaves[1][axis] = at_mm;
        for (name, leaf) in cut["leaves"].as_array().unwrap().iter().zip(leaves) {
            parts.insert(name.as_str().unwrap().to_owned(), leaf);
        }
    }
    parts
}

/// Every rectangle comes out within `allowed_mm` of where its outline lies with the print; returns how many.
fn all_come_out(plan: &Value, shift: [f64; 2], allowed_mm: f64) -> usize {
    let mut count = 0;
    for sheet in plan["sheets"].as_array().unwrap() {
        let is_printed = !sheet["front"].is_null() || !sheet["back"].is_null();
        let shift = if is_printed { shift } else { [0.0, 0.0] };
        let parts = followed(sheet, shift);
        for placement in sheet["placements"].as_array().unwrap() {
            let corners = placement["outline_mm"].as_array().unwrap();
            let of = |axis: usize| {
                corners
                    .iter()
                    .map(move |c| c[axis].as_f64().unwrap() + shift[axis])
            };
            let least = |axis| of(axis).fold(f64::INFINITY, f64::min);
            let most = |axis| of(axis).fold(f64::NEG_INFINITY, f64::max);
            let wanted = [least(0), least(1), most(0), most(1)];
            let found = parts[placement["id"].as_str().unwrap()];
            for (a, b) in wanted.iter().zip(found) {
                assert!(
                    (a - b).abs() <= allowed_mm,
                    "{wanted:?} {found:?} {placement}"
                );
            }
            count += 1;
        }
    }
    count
}

fn json(project: &Project, plan: &JobPlan) -> Value {
    serde_json::from_str(&PlanFile::new(project, plan).to_json()).unwrap()
}

/// Yields worked out by an exact guillotine search on a 1/8 in grid; source: `tests/data/sheet_yields.json`.
#[test]
fn the_yields_of_the_trade_table_are_cut_out_to_the_last_piece() {
    let rows: Value = serde_json::from_str(include_str!("../data/sheet_yields.json")).unwrap();
    for row in rows["yields"].as_array().unwrap() {
        let inches = |key: &str, i: usize| row[key][i].as_f64().unwrap() * INCH_MM;
        let most = row["best_guillotine_turning_allowed"].as_u64().unwrap();
        let card = tag("card", inches("piece_in", 0), inches("piece_in", 1));
        let sheet = stock("oat", (inches("sheet_in", 0), inches("sheet_in", 1)));
        let copies = u32::try_from(most.max(1)).unwrap();
        let job = project(CutBy::Trimmer, vec![sheet], vec![card], copies);
        let plan = json(&job, &planned(&job));
        assert_eq!(all_come_out(&plan, [0.0, 0.0], 0.01) as u64, most, "{row}");
    }
}

#[test]
fn every_piece_of_the_class_kit_comes_out_of_its_sheet() {
    let plan: Value = serde_json::from_slice(&example("class-kit").files["plan.json"]).unwrap();
    assert!(all_come_out(&plan, [0.0, 0.0], 0.01) > 40);
    // A printer may lay the print a millimetre off (common practice, no source); borders of the labels stay even to a tenth.
    all_come_out(&plan, [1.0, 0.5], 0.1);
}

/// Twelve tags of 2 x 3 1/2 in on Letter: four across leave 1/2 in, three down leave 1/2 in. The fence is set to 2 in for four cuts down
/// the sheet, then to 3 1/2 in for three cuts through the four strips as one pile; or first across and then down.
#[test]
fn twelve_tags_need_two_settings_of_the_fence() {
    let mut job = on_letter(tag("tag", 50.8, 88.9), 12);
    job.pieces[0].turns = Turns::None;
    let plan = planned(&job);
    let [list] = lists(&plan)[..] else { panic!() };
    assert_eq!(list.fence_settings(), 2);
    let mut fences: Vec<Length> = list.fences().collect();
    fences.dedup();
    fences.sort();
    let inches = |n, d| Length::from_inch_fraction(n, d);
    assert_eq!(fences, [inches(2, 1), inches(7, 2)]);
    assert_eq!(list.cuts.len(), 7);
    assert_eq!(plan.usage.trimming.unwrap().fence_settings, 2);
}

/// Seven sheets of 0.27 mm under a trimmer that takes 1 mm: three at once, so three stacks. The strips of all sheets, 2 x 7, are cut in
/// five.
#[test]
fn stacks_are_as_high_as_the_trimmer_takes() {
    let mut job = on_letter(tag("mat", 101.6, 133.35), 28);
    job.stocks[0].caliper = Some(size(0.27));
    let plan = planned(&job);
    let [list] = lists(&plan)[..] else { panic!() };
    assert_eq!((plan.sheets[0].runs, list.at_once), (7, 3));
    let stacks: Vec<_> = list
        .cuts
        .iter()
        .map(|c| (c.splits.len(), c.together, c.times))
        .collect();
    // 2 x 2 mats of 4 x 5 1/4 in: two cuts one way, then two through both strips.
    assert_eq!(stacks, [(1, 3, 3), (1, 3, 3), (2, 3, 5), (2, 3, 5)]);
    assert_eq!(list.strokes(), 16);
    job.stocks[0].caliper = None;
    let plan = planned(&job);
    assert!(
        lists(&plan)[0].cuts.iter().all(|cut| cut.together == 1),
        "thickness not known"
    );
}

/// A ground and a bar over it, both with 3 mm of bleed, which neighbours do not share as they would one colour.
fn printed(face: Face) -> Vec<Artwork> {
    vec![
        colour(face, 3.0, Colour::BLACK),
        colour(face, 3.0, Colour::rgb(163, 177, 138)),
    ]
}

/// Labels with 3 mm of bleed: the first cut along each axis goes to a tick, sheet by sheet.
fn labels() -> Project {
    let mut label = tag("label", 60.0, 40.0);
    label.artwork = printed(Face::Front);
    let mut job = on_letter(label, 20);
    job.stocks[0].caliper = Some(size(0.1));
    job
}

#[test]
fn a_print_is_first_cut_to_ticks_and_then_from_fresh_edges() {
    let plan = planned(&labels());
    for (sheet, list) in plan.sheets.iter().zip(lists(&plan)) {
        let is_tick = |cut: &&Cut| matches!(cut.guide, Guide::Ticks(_));
        let to_ticks: Vec<&Cut> = list.cuts.iter().filter(is_tick).collect();
        let mut axes: Vec<bool> = to_ticks.iter().map(|cut| cut.axis == Axis::X).collect();
        axes.sort_unstable();
        assert_eq!(axes, [false, true], "one for each axis");
        assert!(
            to_ticks
                .iter()
                .all(|cut| (cut.together, cut.times) == (1, sheet.runs))
        );
        assert_eq!(to_ticks, list.cuts[..2].iter().collect::<Vec<_>>());
        let rest = list.cuts[2..].iter().flat_map(|cut| &cut.splits);
        assert!(rest.clone().count() > 0);
        for split in rest {
            assert_eq!(split.edge, Some(EdgeKind::Fresh));
        }
    }
}

#[test]
fn a_print_that_lies_askew_is_cut_in_line_with_itself() {
    let job = labels();
    let plan = json(&job, &planned(&job));
    assert!(all_come_out(&plan, [1.0, 0.5], 0.1) > 0);
    all_come_out(&plan, [-1.0, -0.5], 0.1);
}

#[test]
fn a_print_on_the_back_alone_is_cut_by_the_ticks_of_the_back() {
    let mut job = labels();
    job.pieces[0].artwork = printed(Face::Back);
    let plan = planned(&job);
    let sheet = &plan.sheets[0];
    let Guide::Ticks(ids) = &lists(&plan)[0].cuts[0].guide else {
        panic!()
    };
    let tick = sheet.ticks.iter().find(|tick| tick.id == ids[0]).unwrap();
    assert_eq!(tick.face, Face::Back);
}

/// A trimmer whose fence moves in sixteenths of an inch.
fn sixteenths() -> TrimmerProfile {
    TrimmerProfile {
        division: Some(size(1.5875)),
        ..TrimmerProfile::default()
    }
}

/// 60 mm are 37.795 sixteenths and 40 mm 25.197; boxes with 3 mm of bleed, 41.575 and 28.976, are laid as 42 and 29.
#[test]
fn every_distance_between_pieces_falls_on_a_division() {
    let mut job = labels();
    job.trimmer = sixteenths();
    let plan = planned(&job);
    let steps = |mm: f64| mm / 1.5875;
    for sheet in &plan.sheets {
        let first = sheet.placements[0].pose;
        for placement in &sheet.placements {
            let turned = placement.pose.turn == first.turn;
            for off in [
                placement.pose.x_mm - first.x_mm,
                placement.pose.y_mm - first.y_mm,
            ] {
                let steps = steps(off);
                assert!(!turned || (steps - steps.round()).abs() < 1e-5, "{steps}");
            }
        }
    }
}

#[test]
fn a_size_off_the_scale_is_told_with_the_nearest_setting_and_the_error() {
    let mut job = on_letter(tag("tag", 57.0, 50.8), 1);
    job.trimmer = sixteenths();
    let warned = plan(&job, &PlanOptions::default());
    let told: Vec<_> = warned
        .warnings
        .iter()
        .map(|w| (w.code, w.message.as_str()))
        .collect();
    // 36 sixteenths are 57.15 mm; 50.8 mm are 32.
    let message = "piece \"tag\" does not fit the trimmer's scale of 1.588 mm: 57 mm is not on it, the nearest setting, 57.15 mm, is 0.15 mm more";
    assert_eq!(told, [("plan.off-scale", message)]);
    let cautions = lists(&warned.value)[0]
        .cuts
        .iter()
        .flat_map(|cut| &cut.cautions);
    let nearest = Length::from_inch_fraction(9, 4);
    assert_eq!(
        cautions.collect::<Vec<_>>(),
        [&Caution::OffScale { nearest }]
    );
}

/// Two ribbons of 15 mm side by side on 100 mm: measured from the right edge 85 and 70 mm are held, from the left only 15.
#[test]
fn narrow_strips_are_cut_off_what_is_held() {
    let ribbon = tag("ribbon", 15.0, 120.0);
    let job = project(
        CutBy::Trimmer,
        vec![stock("oat", (100.0, 120.0))],
        vec![ribbon],
        2,
    );
    let plan = planned(&job);
    let [list] = lists(&plan)[..] else { panic!() };
    assert!(
        list.cuts.iter().all(|cut| cut.cautions.is_empty()),
        "{list:#?}"
    );
    for cut in &list.cuts {
        let Guide::Fence { width, .. } = &cut.guide else {
            panic!()
        };
        assert!(*width >= job.trimmer.least_held, "{width:?}");
    }
}

/// A ribbon cut from a strip no wider than two of it cannot be held by an inch.
#[test]
fn a_strip_that_cannot_be_held_safely_is_marked() {
    let job = project(
        CutBy::Trimmer,
        vec![stock("oat", (30.0, 120.0))],
        vec![tag("ribbon", 15.0, 120.0)],
        2,
    );
    let plan = planned(&job);
    let [cut] = &lists(&plan)[0].cuts[..] else {
        panic!()
    };
    assert_eq!(cut.cautions, [Caution::HeldNarrow]);
}

#[test]
fn a_cut_longer_than_the_reach_is_put_off_or_told() {
    // Both halves of a sheet of 400 x 280 mm: the upright cut is 280 mm long, within 12 in.
    let halves = project(
        CutBy::Trimmer,
        vec![stock("oat", (400.0, 280.0))],
        vec![tag("half", 200.0, 140.0)],
        4,
    );
    let warned = plan(&halves, &PlanOptions::default());
    assert_eq!(warned.warnings, []);
    let first = &lists(&warned.value)[0].cuts[0];
    assert_eq!((first.axis, first.cautions.len()), (Axis::X, 0));
    // The two halves of a sheet of 280 x 400 mm along its long side: no other cut parts them.
    let long = project(
        CutBy::Trimmer,
        vec![stock("oat", (280.0, 400.0))],
        vec![tag("half", 140.0, 400.0)],
        2,
    );
    let warned = plan(&long, &PlanOptions::default());
    let told: Vec<_> = warned.warnings.iter().map(|w| w.code).collect();
    assert_eq!(told, ["plan.beyond-reach"]);
    assert_eq!(
        lists(&warned.value)[0].cuts[0].cautions,
        [Caution::BeyondReach]
    );
}

/// A printed disc of 40 mm with 3 mm of bleed is finished with scissors from a square of 46 mm.
#[test]
fn other_shapes_come_out_as_rectangles_with_their_bleed() {
    let disc = sheetwright::geometry::shape::circle(40.0).unwrap();
    let mut disc = Piece {
        cut_by: Maker::Hand,
        ..shaped("disc", disc)
    };
    disc.artwork = printed(Face::Front);
    let job = on_letter(disc, 6);
    let plan = json(&job, &planned(&job));
    let sheet = &plan["sheets"][0];
    let parts = followed(sheet, [0.0, 0.0]);
    for placement in sheet["placements"].as_array().unwrap() {
        let [left, top, right, bottom] = parts[placement["id"].as_str().unwrap()];
        assert!((right - left - 46.0).abs() < 0.02 && (bottom - top - 46.0).abs() < 0.02);
    }
}

/// Discs of one colour share their bleed, so each comes out of a square of its own 40 mm.
#[test]
fn shared_bleed_is_left_on_no_piece() {
    let disc = sheetwright::geometry::shape::circle(40.0).unwrap();
    let mut disc = Piece {
        cut_by: Maker::Hand,
        ..shaped("disc", disc)
    };
    disc.artwork = vec![colour(Face::Front, 3.0, Colour::BLACK)];
    let job = on_letter(disc, 6);
    let plan = json(&job, &planned(&job));
    let sheet = &plan["sheets"][0];
    let parts = followed(sheet, [0.0, 0.0]);
    for placement in sheet["placements"].as_array().unwrap() {
        let [left, _, right, _] = parts[placement["id"].as_str().unwrap()];
        assert!((right - left - 40.0).abs() < 0.02);
    }
}

#[test]
fn a_job_for_a_machine_has_no_cut_list() {
    let mut job = labels();
    job.job.cut_by = CutBy::Machine;
    let plan = planned(&job);
    assert!(plan.sheets.iter().all(|sheet| sheet.cut_list.is_none()));
    assert_eq!(plan.usage.trimming, None);
}

fn findings(damage: impl FnOnce(&mut CutList)) -> Vec<String> {
    let job = labels();
    let mut plan = planned(&job);
    damage(plan.sheets[0].cut_list.as_mut().unwrap());
    check(&job, &plan).into_iter().map(|d| d.message).collect()
}

#[track_caller]
fn finds(damage: impl FnOnce(&mut CutList), text: &str) {
    let found = findings(damage);
    assert!(found.iter().any(|f| f.contains(text)), "{found:?}");
}

#[test]
fn a_cut_moved_dropped_or_measured_from_the_paper_is_found() {
    finds(
        |list| list.cuts[2].splits[0].at_mm += 0.02,
        "puts the blade at",
    );
    finds(|list| drop(list.cuts.pop()), "is not cut further");
    finds(
        |list| drop(list.cuts.remove(0)),
        "needs a part that is not there",
    );
    finds(
        |list| list.cuts[0].guide = Guide::Ticks(vec!["t999".to_owned()]),
        "a tick that is not there",
    );
    finds(
        |list| {
            let width = Length::nearest_mm(list.cuts[0].splits[0].at_mm);
            list.cuts[0].guide = Guide::Fence {
                width,
                from: if list.cuts[0].axis == Axis::X {
                    Edge::Left
                } else {
                    Edge::Top
                },
            };
            list.cuts[0].splits[0].edge = Some(EdgeKind::Paper);
        },
        "from the paper's edge",
    );
}

#[test]
fn a_stack_too_thick_a_silent_caution_or_a_wrong_length_is_found() {
    finds(|list| list.cuts[2].together = 11, "takes 11 sheets");
    finds(|list| list.cuts[0].together = 2, "takes 2 sheets");
    finds(
        |list| list.cuts[2].cautions.push(Caution::BeyondReach),
        "silent or wrong on its length",
    );
    finds(
        |list| list.cuts[2].length_mm += 1.0,
        "does not run from edge to edge",
    );
}

fn findings_after(damage: impl FnOnce(&mut BTreeMap<String, Vec<u8>>)) -> Vec<String> {
    let mut files = example("class-kit").files.clone();
    files.remove("report.json");
    damage(&mut files);
    let verdict = sheetwright::job::verify(&files).unwrap();
    verdict
        .findings()
        .map(|f| format!("{} {}: {}", f.code, f.file, f.message))
        .collect()
}

fn replace(files: &mut BTreeMap<String, Vec<u8>>, name: &str, from: &str, to: &str) {
    let text = String::from_utf8(files[name].clone()).unwrap();
    assert!(text.contains(from), "{from}");
    files.insert(name.to_owned(), text.replacen(from, to, 1).into_bytes());
}

#[test]
fn a_list_on_paper_that_differs_from_the_plan_is_found() {
    assert_eq!(findings_after(|_| ()), [""; 0]);
    let moved = findings_after(|files| {
        replace(files, "cut-list.txt", "fence 9 in", "fence 9 1/16 in");
    });
    assert!(
        moved
            .iter()
            .any(|f| f.starts_with("verify.moved cut-list.txt: fence of cut")),
        "{moved:?}"
    );
    let gone = findings_after(|files| drop(files.remove("cut-list.txt")));
    assert_eq!(
        gone,
        ["verify.missing cut-list.txt: cut-list.txt is missing"]
    );
}

#[test]
fn a_plan_whose_cuts_free_another_piece_is_found() {
    // The fence of the first cut of the first sheet, 5 1/2 in, a tenth of a millimetre off.
    let off = findings_after(|files| {
        replace(
            files,
            "plan.json",
            "\"fence_mm\": 139.7",
            "\"fence_mm\": 139.8",
        );
    });
    assert!(
        off.iter()
            .any(|f| f.contains("plan.json: what the cut list makes of card")),
        "{off:?}"
    );
    let lost = findings_after(|files| {
        replace(files, "plan.json", "\"of\": \"sheet\"", "\"of\": \"table\"");
    });
    assert!(
        lost.iter().any(|f| f.contains("cannot be followed")),
        "{lost:?}"
    );
}
