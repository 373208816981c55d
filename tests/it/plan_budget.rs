//! How well print and cut meet, and what is said where bleed, gap or reveal do not cover it.
//!
//! Numbers are worked out by hand from what `plan/budget/assumed.rs` takes for usual: widths that hold 19 times in 20 are 1.95996
//! standard deviations in one direction, radii 2.44775.

use kurbo::Point;
use sheetwright::diagnostic::Diagnostic;
use sheetwright::drawing::Colour;
use sheetwright::length::Length;
use sheetwright::plan::{CutWay, JobPlan, PlanOptions, Share, Source, check, plan};
use sheetwright::project::{
    Artwork, ArtworkFill, CutBy, Edges, Face, Maker, MarkUse, Mount, MountPlace, Piece, Project,
    Reads,
};

use crate::calibrated::{Off, calibration, cutter};
use crate::plan_project::{LETTER_MM, length, origin, piece, project, stock};

fn printed(mut piece: Piece, bleed_mm: f64) -> Piece {
    piece.artwork = vec![Artwork {
        face: Face::Front,
        bleed: length(bleed_mm),
        fill: ArtworkFill::Flat(Colour::rgb(20, 40, 60)),
        reads: Reads::Free,
        origin: origin("artwork"),
    }];
    piece
}

/// One tag of 60 x 40 mm with a bleed of 2 mm, in the top left corner of what is printed of a Letter sheet.
fn one_tag() -> Project {
    let tag = printed(piece("tag", 60.0, 40.0), 2.0);
    let paper = stock("oat", LETTER_MM);
    let mut job = project(CutBy::Machine, vec![paper], vec![tag], 1);
    job.job.marks = MarkUse::Never;
    job
}

fn planned(project: &Project) -> (JobPlan, Vec<Diagnostic>) {
    let warned = plan(project, &PlanOptions::default());
    assert_eq!(check(project, &warned.value), []);
    (warned.value, warned.warnings)
}

fn share(shares: &[Share], of: Source) -> Share {
    *shares.iter().find(|s| s.of == of).unwrap()
}

fn codes(warnings: &[Diagnostic]) -> Vec<&str> {
    warnings.iter().map(|w| w.code).collect()
}

/// By hand. The tag's corner lies at 6.35 + 2 = 8.35 mm from left and top, 99.6 and 131.35 mm from the middle of the sheet: the
/// printer is off by 0.5 and 1 mm and by 1.494 and 1.97025 mm, squared and added 7.363921. Laying adds 0.25 (2 + 2 (8.35 / 279.4)^2)
/// = 0.500447, the machine's start 2, its repeat 2 x 0.195996^2 = 0.076829: 9.941196 in all. Half of it over 1.959964^2 is 1.293935,
/// its root 1.137513, times 2.447747 is 2.784343. The printer alone: 2.447747 x root(7.363921 / 2 / 3.841459) = 2.396393.
#[test]
fn from_the_corner_a_printer_that_was_never_measured_misses_by_millimetres() {
    let job = one_tag();
    let (plan, warnings) = planned(&job);
    let pose = plan.sheets[0].placements[0].pose;
    assert!(Point::new(pose.x_mm, pose.y_mm).distance_squared(Point::new(8.35, 8.35)) < 1e-12);
    let budget = plan.budget.unwrap();
    let [way] = &budget.ways[..] else {
        panic!("{budget:#?}")
    };
    assert_eq!(way.way, CutWay::FromCorner);
    assert!((way.within_mm - 2.784_343).abs() < 1e-5, "{way:#?}");
    let printer = share(&way.shares, Source::Printer);
    assert!((printer.within_mm - 2.396_393).abs() < 1e-5, "{way:#?}");
    assert!(way.shares.iter().all(|s| s.is_assumed));
    // 2 mm of bleed do not cover 2.784 mm; in tenths of a millimetre 2.8 do.
    assert_eq!(codes(&warnings), ["plan.bleed-small"]);
    assert!(
        warnings[0].message.contains("the bleed of \"tag\" is 2 mm"),
        "{warnings:#?}"
    );
    assert_eq!(warnings[0].hints[0], "type `bleed = \"2.8 mm\"`");
    assert!(
        warnings[0].hints[1].contains("measure the printer"),
        "{warnings:#?}"
    );
}

/// By hand. A printer and a cutter without error, known to 0.05 mm each: at the tag's far corner, 68.35 and 48.35 mm, laying adds
/// 0.25 (2 + (48.35 / 279.4)^2 + (68.35 / 279.4)^2) = 0.522448 and feeding 2 x 0.3^2 = 0.18; the printer 2 x 0.0025 x 3.841459 =
/// 0.019207, the cutter 2 x (0.0025 + 0.0064) x 3.841459 = 0.068378: 0.790033 in all, so 2.447747 x root(0.790033 / 7.682918) =
/// 0.784921.
#[test]
fn what_was_measured_takes_the_place_of_what_is_usual() {
    let mut job = one_tag();
    let none = Off {
        scale: (0.0, 0.0),
        shear_rad: 0.0,
        turn_rad: 0.0,
        shift_mm: (0.0, 0.0),
    };
    let letter = kurbo::Size::new(LETTER_MM.0, LETTER_MM.1);
    job.printer.calibration = Some(calibration(letter, none, None));
    let mut known = cutter();
    known.cut_from_file = kurbo::Affine::IDENTITY;
    job.cutter.calibration = Some(known);
    let (plan, warnings) = planned(&job);
    let budget = plan.budget.unwrap();
    let way = &budget.ways[0];
    assert!((way.within_mm - 0.784_921).abs() < 1e-5, "{way:#?}");
    let assumed = way.shares.iter().filter(|s| s.is_assumed);
    assert_eq!(assumed.map(|s| s.of).collect::<Vec<_>>(), [Source::Loading]);
    // The bleed of 2 mm covers it.
    assert_eq!(codes(&warnings), Vec::<&str>::new());
}

/// The cutter alone is 2.447747 x 0.1 mm; the marks are read to 0.1 mm, and six of them leave no more than that anywhere between.
#[test]
fn marks_take_printer_and_loading_out() {
    let mut job = one_tag();
    job.job.marks = MarkUse::Auto;
    let (plan, warnings) = planned(&job);
    let budget = plan.budget.unwrap();
    let [corner, marks] = &budget.ways[..] else {
        panic!("{budget:#?}")
    };
    assert_eq!(
        (corner.way, marks.way),
        (CutWay::FromCorner, CutWay::ByMarks)
    );
    let cutter = share(&marks.shares, Source::Cutter).within_mm;
    assert!((cutter - 0.244_775).abs() < 1e-5, "{marks:#?}");
    let read = share(&marks.shares, Source::Marks).within_mm;
    assert!((0.1..0.244_775).contains(&read), "{marks:#?}");
    assert_eq!(marks.shares.len(), 2);
    assert!(
        corner.within_mm > 2.0 && marks.within_mm < 0.35,
        "{budget:#?}"
    );
    // The bleed covers what the marks leave, so nothing is warned of.
    assert_eq!(codes(&warnings), Vec::<&str>::new());
}

/// By hand: the back lies 1.5 mm off in either direction, and at the corner of the tag that is farthest from the middle of the sheet,
/// by 3 mrad and 0.5 % of what lies between; squares add up.
#[test]
fn marks_on_the_front_say_less_of_the_back() {
    let mut job = one_tag();
    job.job.marks = MarkUse::Auto;
    let front = job.pieces[0].artwork[0].clone();
    job.pieces[0].artwork.push(Artwork {
        face: Face::Back,
        ..front
    });
    let (plan, _) = planned(&job);
    let pose = plan.sheets[0].placements[0].pose;
    let budget = plan.budget.unwrap();
    let marks = budget.best().unwrap();
    let (x, y) = (107.95 - pose.x_mm, 139.7 - pose.y_mm);
    let square = 4.5 + (0.003 * 0.003 + 0.005 * 0.005) * (x * x + y * y);
    let want = 2.447_747 * (square / 2.0 / 3.841_459).sqrt();
    let sides = share(&marks.shares, Source::Printer);
    assert!(
        (sides.within_mm - want).abs() < 1e-5 && sides.is_assumed,
        "{marks:#?}"
    );
}

/// By hand: eye and blade, 0.25 and 0.1 mm, are 0.269258 mm at a tick. The far cut is made by the fence on the fresh edge of the
/// first: both are 0.380789 mm, and 1.5 % of the length of the tag between them come on top.
#[test]
fn a_trimmer_goes_by_ticks_and_its_fence_by_the_printers_scale() {
    let mut tag = printed(piece("tag", 60.0, 40.0), 2.0);
    tag.cut_by = Maker::Hand;
    let paper = stock("oat", LETTER_MM);
    let job = project(CutBy::Trimmer, vec![paper], vec![tag], 1);
    let (plan, _) = planned(&job);
    let budget = plan.budget.unwrap();
    let [way] = &budget.ways[..] else {
        panic!("{budget:#?}")
    };
    assert_eq!(way.way, CutWay::ByHand);
    let trimmer = share(&way.shares, Source::Trimmer).within_mm;
    let printer = share(&way.shares, Source::Printer).within_mm;
    println!("{way:#?}\n{:#?}", plan.sheets[0].cut_list);
    assert!((trimmer - 0.380_789).abs() < 1e-5, "{way:#?}");
    assert!((printer - 0.015 * 60.0).abs() < 1e-5, "{way:#?}");
}

/// By hand: two cuts of 0.1 mm come nearer by 1.959964 x 0.1 x root 2 = 0.277181 mm.
#[test]
fn a_gap_that_two_cuts_may_close_is_warned_of() {
    let mut job = one_tag();
    job.editions[0].copies = 2;
    job.pieces[0].artwork[0].bleed = length(3.0);
    for (gap_mm, warned) in [(0.2, true), (0.3, false)] {
        job.job.gap = length(gap_mm);
        let (plan, warnings) = planned(&job);
        let (gap, least_mm) = plan.budget.unwrap().gap.unwrap();
        assert_eq!(gap, length(gap_mm));
        assert!((least_mm - 0.277_181).abs() < 1e-5, "{least_mm}");
        assert_eq!(
            codes(&warnings) == ["plan.gap-small"],
            warned,
            "{warnings:#?}"
        );
    }
}

/// By hand: 1.959964 x root(2 x 0.01) and 0.5 mm of laying by eye are root(0.076829 + 0.25) = 0.571690 mm.
#[test]
fn a_reveal_that_a_layer_may_cover_is_warned_of() {
    for (reveal_mm, warned) in [(0.5, true), (0.6, false)] {
        let mut layer = piece("layer", 60.0 - 2.0 * reveal_mm, 40.0 - 2.0 * reveal_mm);
        layer.mount = Some(Mount {
            on: 0,
            panel: None,
            place: MountPlace::Reveal {
                sides: Edges::all(length(reveal_mm)),
            },
            pose: sheetwright::geometry::Pose::at(reveal_mm, reveal_mm),
            standoff: Length::ZERO,
            oversize: Length::ZERO,
        });
        let paper = stock("oat", LETTER_MM);
        let pieces = vec![piece("card", 60.0, 40.0), layer];
        let job = project(CutBy::Machine, vec![paper], pieces, 1);
        let (plan, warnings) = planned(&job);
        let budget = plan.budget.unwrap();
        assert!(budget.ways.is_empty());
        let (reveal, piece, least_mm) = budget.reveal.unwrap();
        assert_eq!((reveal, piece), (length(reveal_mm), 1));
        assert!((least_mm - 0.571_690).abs() < 1e-5, "{least_mm}");
        assert_eq!(
            codes(&warnings) == ["plan.reveal-small"],
            warned,
            "{warnings:#?}"
        );
    }
}

#[test]
fn what_is_neither_printed_nor_layered_has_no_budget() {
    let paper = stock("oat", LETTER_MM);
    let job = project(
        CutBy::Machine,
        vec![paper],
        vec![piece("tag", 60.0, 40.0)],
        3,
    );
    assert_eq!(planned(&job).0.budget, None);
}
