//! Offcuts worth keeping after a job, worked out by hand.

use std::collections::BTreeMap;
use std::num::NonZeroUsize;

use kurbo::Rect;
use sheetwright::drawing::Colour;
use sheetwright::job::{self, FileSet};
use sheetwright::length::LengthStyle;
use sheetwright::load;
use sheetwright::plan::{JobPlan, PlanOptions, check};
use sheetwright::project::{CutBy, Face, Maker, Piece, Project, Turns};

use crate::plan_project::{colour, piece, project, size, stock};

fn planned(project: &Project) -> JobPlan {
    job::plan(project, &PlanOptions::default()).unwrap().value
}

fn boxes(plan: &JobPlan) -> Vec<Rect> {
    plan.leftovers.iter().map(|l| l.area).collect()
}

/// A card that is not turned, so that there is one best place for it.
fn upright(width_mm: f64, height_mm: f64) -> Piece {
    Piece {
        turns: Turns::None,
        ..piece("card", width_mm, height_mm)
    }
}

fn by_trimmer(width_mm: f64, height_mm: f64, copies: u32) -> Project {
    let mut card = upright(width_mm, height_mm);
    card.cut_by = Maker::Hand;
    let stocks = vec![stock("oat", (200.0, 200.0))];
    project(CutBy::Trimmer, stocks, vec![card], copies)
}

#[test]
fn beside_one_card_the_larger_strip_comes_first_and_the_gap_is_kept() {
    // Below a card of 100 x 80 in the corner of 200 x 200, with 3 mm between, 200 x 117; then 97 x 83 to its right.
    let cards = vec![upright(100.0, 80.0)];
    let machine = project(CutBy::Machine, vec![stock("oat", (200.0, 200.0))], cards, 1);
    assert_eq!(
        boxes(&planned(&machine)),
        [
            Rect::new(0.0, 83.0, 200.0, 200.0),
            Rect::new(103.0, 0.0, 200.0, 83.0)
        ]
    );
    // With a trimmer they are what falls off: the list cuts upright first, at 100.
    assert_eq!(
        boxes(&planned(&by_trimmer(100.0, 80.0, 1))),
        [
            Rect::new(100.0, 0.0, 200.0, 200.0),
            Rect::new(0.0, 80.0, 100.0, 200.0)
        ]
    );
}

#[test]
fn what_is_smaller_than_the_least_size_is_waste() {
    // 200 x 200 less 140 x 130: 200 x 70 and 60 x 130 are left.
    for (least, wanted) in [((70.0, 200.0), 1), ((71.0, 71.0), 0), ((60.0, 60.0), 2)] {
        let mut job = by_trimmer(140.0, 130.0, 1);
        job.job.least_offcut = (size(least.0), size(least.1));
        assert_eq!(planned(&job).leftovers.len(), wanted, "{least:?}");
    }
}

#[test]
fn each_physical_sheet_leaves_one() {
    // Two cards of 100 x 120 stand side by side; below them 200 x 80 stays of each of three sheets.
    let plan = planned(&by_trimmer(100.0, 120.0, 6));
    let counts: Vec<u32> = plan
        .leftovers
        .iter()
        .map(|l| plan.sheets[l.sheet].runs)
        .collect();
    assert_eq!(counts.iter().sum::<u32>(), 3, "{:?}", plan.leftovers);
}

#[test]
fn an_offcut_is_clear_of_marks_captions_and_bleed() {
    let mut label = piece("label", 60.0, 40.0);
    label.artwork = vec![colour(Face::Front, 3.0, Colour::rgb(0x8a, 0x9a, 0x5b))];
    let job = project(
        CutBy::Machine,
        vec![stock("white", (200.0, 200.0))],
        vec![label],
        1,
    );
    let plan = planned(&job);
    assert!(!plan.leftovers.is_empty());
    let sheet = &plan.sheets[0];
    assert_eq!(sheet.marks.len(), 6);
    for kept in boxes(&plan) {
        for mark in &sheet.marks {
            assert!(!kept.contains(mark.centre), "{kept:?} {}", mark.id);
        }
        for tick in &sheet.ticks {
            assert!(
                !kept.contains(tick.from) && !kept.contains(tick.to),
                "{kept:?} {}",
                tick.id
            );
        }
        let caption = sheet.caption.unwrap();
        assert!(
            kept.intersect(caption).area() <= 0.0,
            "{kept:?} {caption:?}"
        );
    }
}

#[test]
fn the_check_finds_an_offcut_that_a_piece_was_cut_from() {
    let job = by_trimmer(100.0, 80.0, 1);
    let mut plan = planned(&job);
    plan.leftovers[0].area.x0 -= 1.0;
    let found = check(&job, &plan);
    assert_eq!(found.len(), 3, "{found:?}");
    for other in ["card#1", "another offcut", "the cuts"] {
        let text = format!("is not clear of {other}");
        assert!(
            found.iter().any(|d| d.message.ends_with(&text)),
            "{found:?}"
        );
    }
}

fn made_in_inches() -> FileSet {
    let mut job = by_trimmer(101.6, 127.0, 1);
    job.stocks = vec![stock("oat", (215.9, 279.4))];
    job.job.lengths = LengthStyle::InchFractions;
    let plan = planned(&job);
    job::make(&job, &plan, NonZeroUsize::MIN).unwrap().files
}

#[test]
fn the_list_is_written_in_the_jobs_lengths() {
    // 4 x 5 in from a letter sheet, 8 1/2 x 11 in: cut upright first, 4 1/2 x 11 in falls off to its right, then 4 x 6 in below it.
    let files = made_in_inches();
    let text = String::from_utf8(files["leftovers.toml"].clone()).unwrap();
    let rows: Vec<&str> = text.split("\n[[offcut]]\n").skip(1).collect();
    assert_eq!(
        rows,
        [
            "of = \"oat\"\nsize = \"4 1/2 in x 11 in\"\nsheets = 1\non_sheet = 1\n",
            "of = \"oat\"\nsize = \"4 in x 6 in\"\nsheets = 1\non_sheet = 1\n",
        ]
    );
}

#[test]
fn a_changed_or_missing_list_is_found() {
    let findings = |change: &dyn Fn(&mut FileSet)| -> Vec<String> {
        let mut files = made_in_inches();
        files.remove("report.json");
        change(&mut files);
        let verdict = job::verify(&files).unwrap();
        let found = verdict.findings();
        found.map(|f| format!("{} {}", f.file, f.code)).collect()
    };
    let replaced = |file: &'static str, old: &'static str, new: &'static str| {
        findings(&move |files: &mut FileSet| {
            let text = String::from_utf8(files[file].clone()).unwrap();
            assert!(text.contains(old), "{text}");
            files.insert(file.to_owned(), text.replacen(old, new, 1).into_bytes());
        })
    };
    assert_eq!(findings(&|_| ()), Vec::<String>::new());
    assert_eq!(
        replaced("leftovers.toml", "x 6 in", "x 7 in"),
        ["leftovers.toml verify.offcut"]
    );
    assert_eq!(
        replaced("leftovers.toml", "sheets = 1", "sheets = 2"),
        ["leftovers.toml verify.offcut"]
    );
    assert_eq!(
        replaced("leftovers.toml", "x 6 in", "by hand"),
        ["leftovers.toml verify.unreadable"]
    );
    assert_eq!(
        findings(&|files| drop(files.remove("leftovers.toml"))),
        ["leftovers.toml verify.missing"]
    );
    // In the plan the lower offcut begins an inch higher: the card is in the way.
    let moved = replaced(
        "plan.json",
        "\"box_mm\": [0.0, 127.0, ",
        "\"box_mm\": [0.0, 101.6, ",
    );
    assert_eq!(moved, ["plan.json verify.plan"]);
}

#[test]
fn no_list_is_written_where_nothing_is_left() {
    let plan = planned(&by_trimmer(100.0, 200.0, 2));
    assert_eq!(plan.leftovers, []);
    let job = by_trimmer(100.0, 200.0, 2);
    let files = job::make(&job, &plan, NonZeroUsize::MIN).unwrap().files;
    assert!(!files.contains_key("leftovers.toml"));
}

#[test]
fn three_inches_square_is_the_least_size_unless_the_job_says_more() {
    let text = |least: &str| {
        format!(
            "sheetwright = 1\n[job]\nname = \"Bean labels\"\ncopies = 1\ncut_by = \"trimmer\"\n{least}\n\
             [[stock]]\nid = \"oat\"\nformat = \"letter\"\n\
             [[piece]]\nid = \"label\"\nstock = \"oat\"\nshape = {{ kind = \"rectangle\", size = \"8 1/2 x 8 in\" }}\n"
        )
    };
    for (least, wanted) in [
        ("", 1),
        ("least_offcut = \"3 1/16 x 1 in\"", 1),
        ("least_offcut = \"3 1/16 x 4 in\"", 0),
    ] {
        let no_files = BTreeMap::new();
        let read = job::check(
            "project.toml",
            &text(least),
            &no_files,
            &load::Options::default(),
        )
        .unwrap();
        assert_eq!(planned(&read.value).leftovers.len(), wanted, "{least}");
    }
}
