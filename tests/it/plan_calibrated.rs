//! Pages and cut files that make up for what was measured of printer and cutter.

use std::num::NonZeroUsize;

use kurbo::{Affine, Point, Rect, Size};
use proptest::prelude::*;
use serde_json::Value;
use sheetwright::diagnostic::Diagnostic;
use sheetwright::draw;
use sheetwright::drawing::Colour;
use sheetwright::emit::pdf::{Streams, write};
use sheetwright::geometry::shape;
use sheetwright::job;
use sheetwright::math::Angle;
use sheetwright::plan::file::PlanFile;
use sheetwright::plan::{JobPlan, PlanOptions, check, misplaced_pins, plan, unplaced_errors};
use sheetwright::project::{
    Artwork, ArtworkFill, CutBy, Edges, Face, MarkUse, Piece, Pin, Project, Reads, TurnOver, Turns,
};

use crate::calibrated::{FRONT, Off, calibration, case, cutter, off_of};
use crate::plan_project::{LETTER_MM, length, origin, piece, project, stock};

fn letter() -> Size {
    Size::new(LETTER_MM.0, LETTER_MM.1)
}

/// A tag of one colour on these faces, with a bleed of 2 mm.
fn tag(faces: &[Face]) -> Piece {
    let mut tag = piece("tag", 60.0, 40.0);
    tag.artwork = faces
        .iter()
        .map(|face| Artwork {
            face: *face,
            bleed: length(2.0),
            fill: ArtworkFill::Flat(Colour::rgb(20, 40, 60)),
            reads: Reads::Free,
            origin: origin("artwork"),
        })
        .collect();
    tag
}

fn job(page: Size, faces: &[Face]) -> Project {
    let paper = stock("oat", (page.width, page.height));
    project(CutBy::Machine, vec![paper], vec![tag(faces)], 3)
}

fn planned(project: &Project) -> (JobPlan, Vec<Diagnostic>) {
    let warned = plan(project, &PlanOptions::default());
    assert_eq!(check(project, &warned.value), []);
    (warned.value, warned.warnings)
}

fn numbers<const N: usize>(value: &Value) -> [f64; N] {
    let list = value.as_array().unwrap().iter();
    let list: Vec<f64> = list.map(|n| n.as_f64().unwrap()).collect();
    list.try_into().unwrap()
}

/// All `cm` of a content stream, as they are written.
fn matrices(pdf: &[u8]) -> Vec<Affine> {
    let document = lopdf::Document::load_mem(pdf).unwrap();
    let page = document.get_pages()[&1];
    let text = String::from_utf8_lossy(&document.get_page_content(page)).into_owned();
    let words: Vec<&str> = text.split_whitespace().collect();
    let ends = (0..words.len()).filter(|i| words[*i] == "cm");
    ends.map(|end| {
        let numbers = words[end - 6..end].iter().map(|n| n.parse().unwrap());
        let numbers: Vec<f64> = numbers.collect();
        Affine::new(numbers.try_into().unwrap())
    })
    .collect()
}

/// The check values `profile-*`: numpy, to the digits they are given with (9 decimals of a factor, 6 of a millimetre).
#[test]
fn a_page_makes_up_for_its_printer_as_the_check_values_say() {
    for id in ["profile-210x297", "profile-215.9x279.4"] {
        let case = case(id);
        let [width, height] = numbers(&case["page"]);
        let page = Size::new(width, height);
        let off = off_of(&case);
        let mut job = job(page, &[Face::Front]);
        job.printer.calibration = Some(calibration(page, off, None));
        let (plan, _) = planned(&job);

        let found = plan.sheets[0].front.unwrap().page_from_sheet.as_coeffs();
        let [upper, lower]: [[f64; 2]; 2] = [0, 1].map(|row| numbers(&case["inverse_matrix"][row]));
        let shift: [f64; 2] = numbers(&case["inverse_b"]);
        let want = [upper[0], lower[0], upper[1], lower[1], shift[0], shift[1]];
        for (i, (found, want)) in found.into_iter().zip(want).enumerate() {
            let digits = if i < 4 { 6e-10 } else { 6e-7 };
            assert!((found - want).abs() < digits, "{id}: {found} {want}");
        }
        let map = Affine::new(found);
        let points = case["points"].as_array().unwrap().iter();
        let moved = case["precompensated"].as_array().unwrap().iter();
        for (point, want) in points.zip(moved) {
            let ([x, y], [to_x, to_y]) = (numbers(point), numbers(want));
            let off = map * Point::new(x, y) - Point::new(to_x, to_y);
            assert!(off.x.abs().max(off.y.abs()) < 6e-7, "{id}: {off:?}");
        }

        // The first matrix of a page makes millimetres, y down, of points, y up; the next is the artwork's.
        let pdf = write(&draw::print_document(&job, &plan), &[], Streams::Plain);
        let written = matrices(&pdf);
        let found = (written[0] * written[1] * written[0].inverse()).as_coeffs();
        let want: [f64; 6] = numbers(&case["pdf_cm"]);
        for (i, (found, want)) in found.into_iter().zip(want).enumerate() {
            // Nine decimals in the file, times 842 pt, are a millionth of a point: a third of a nanometre.
            let digits = if i < 4 { 1.1e-9 } else { 1e-6 };
            assert!((found - want).abs() < digits, "{id}: {found} {want}");
        }
    }
}

/// `safe_rect` of the check values, moved inwards to whole hundredths of a millimetre; and not beyond the sheet's own margins.
#[test]
fn pieces_keep_to_the_upright_part_of_what_is_printed() {
    for id in ["profile-210x297", "profile-215.9x279.4"] {
        let case = case(id);
        let [width, height] = numbers(&case["page"]);
        let page = Size::new(width, height);
        let [left, top, right, bottom]: [f64; 4] = numbers(&case["margins"]);
        let mut job = job(page, &[Face::Front]);
        job.printer.margins = Edges {
            top: length(top),
            right: length(right),
            bottom: length(bottom),
            left: length(left),
        };
        job.printer.calibration = Some(calibration(page, off_of(&case), None));
        let (plan, _) = planned(&job);
        let safe: [f64; 4] = numbers(&case["safe_rect"]);
        let want = [
            safe[0].max(left),
            safe[1].max(top),
            safe[2].min(width - right),
            safe[3].min(height - bottom),
        ];
        let usable = plan.sheets[0].usable;
        let inwards = [
            usable.x0 - want[0],
            usable.y0 - want[1],
            want[2] - usable.x1,
            want[3] - usable.y1,
        ];
        for step in inwards {
            assert!(
                (-1e-6..0.010_001).contains(&step),
                "{id}: {usable:?} {want:?}"
            );
        }
    }
}

/// By hand for the A4 case: bands of 5.380993 and 14.150617 mm instead of 4.2 and 12.5 mm, in steps of 0.01 mm: 1.19 and 1.66 mm.
#[test]
fn marks_move_inwards_and_the_plan_says_by_how_much() {
    let case = case("profile-210x297");
    let page = Size::new(210.0, 297.0);
    let mut job = job(page, &[Face::Front]);
    job.printer.margins = Edges {
        bottom: length(12.5),
        ..Edges::all(length(4.2))
    };
    let (before, _) = planned(&job);
    job.printer.calibration = Some(calibration(page, off_of(&case), None));
    let (after, _) = planned(&job);
    let file = PlanFile::new(&job, &after);
    let moved_mm = file.sheets[0].marks_moved_in_mm.unwrap();
    assert!((moved_mm - 1.66).abs() < 1e-9, "{moved_mm}");
    let centre = |plan: &JobPlan, mark: usize| plan.sheets[0].marks[mark].centre;
    let off = centre(&after, 3) - centre(&before, 3);
    assert!(
        (off.x - 1.19).abs() < 1e-9 && (off.y + 1.66).abs() < 1e-9,
        "{off:?}"
    );
    // The right margin was wide enough.
    assert!((centre(&after, 2) - centre(&before, 2)).x.abs() < 1e-9);
}

prop_compose! {
    /// Up to 2 % too large or small, 10 mrad turned, 3 mm shifted: worse than any printer that was read of.
    fn any_off()(
        across in -0.02..0.02,
        down in -0.02..0.02,
        shear_rad in -0.004..0.004,
        turn_rad in -0.01..0.01,
        x_mm in -3.0..3.0,
        y_mm in -3.0..3.0,
    ) -> Off {
        Off { scale: (across, down), shear_rad, turn_rad, shift_mm: (x_mm, y_mm) }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn what_is_made_up_for_and_then_printed_lands_where_it_was_planned(
        (front, back) in (any_off(), any_off()),
        is_turned_over_the_top in any::<bool>(),
        (x, y) in (0.0..LETTER_MM.0, 0.0..LETTER_MM.1),
    ) {
        let mut job = job(letter(), &[Face::Front, Face::Back]);
        // Turning a sheet over twice is the same as not at all.
        let turned = if is_turned_over_the_top {
            job.job.turn_over = TurnOver::TopBottom;
            Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, LETTER_MM.1])
        } else {
            Affine::new([-1.0, 0.0, 0.0, 1.0, LETTER_MM.0, 0.0])
        };
        job.printer.calibration = Some(calibration(letter(), front, Some(back)));
        let (plan, warnings) = planned(&job);
        prop_assert!(codes(&warnings).is_empty(), "{warnings:#?}");
        let sheet = &plan.sheets[0];
        for (printed, off, seen) in [
            (sheet.front.unwrap(), front, Affine::IDENTITY),
            (sheet.back.unwrap(), back, turned),
        ] {
            let at = Point::new(x, y);
            let on_page = printed.page_from_sheet * at;
            let lands = off.map(letter()) * (seen * on_page);
            prop_assert!(lands.distance_squared(at) < 1e-6, "{lands:?} {at:?}");
            let stated = printed.sheet_from_page.unwrap() * on_page;
            prop_assert!(stated.distance_squared(at) < 1e-6, "{stated:?} {at:?}");
        }
    }
}

#[test]
fn a_profile_without_error_changes_nothing_but_its_name() {
    let none = Off {
        scale: (0.0, 0.0),
        shear_rad: 0.0,
        turn_rad: 0.0,
        shift_mm: (0.0, 0.0),
    };
    let mut job = job(letter(), &[Face::Front, Face::Back]);
    let plain = planned(&job).0;
    let bytes = |project: &Project, plan: &JobPlan| {
        let mut files = job::make(project, plan, NonZeroUsize::MIN).unwrap().files;
        for said in ["plan.json", "report.json"] {
            files.remove(said).unwrap();
        }
        files
    };
    let before = bytes(&job, &plain);
    job.printer.calibration = Some(calibration(letter(), none, Some(none)));
    let mut perfect = cutter();
    perfect.cut_from_file = Affine::IDENTITY;
    job.cutter.calibration = Some(perfect);
    let named = planned(&job).0;
    assert!(before.contains_key("print.pdf") && before.contains_key("cut-01.svg"));
    assert_eq!(before, bytes(&job, &named));
    let (mut plain, mut named) = (PlanFile::new(&job, &plain), PlanFile::new(&job, &named));
    for file in [&mut plain, &mut named] {
        // A printer that is known to be right leaves less to doubt.
        file.error_budget = None;
        for sheet in &mut file.sheets {
            for face in [&mut sheet.front, &mut sheet.back].into_iter().flatten() {
                face.sheet_from_page = None;
            }
        }
    }
    assert_eq!(plain.to_json(), named.to_json());
}

fn codes(warnings: &[Diagnostic]) -> Vec<&str> {
    let own = warnings.iter().map(|w| w.code);
    own.filter(|code| code.starts_with("plan.profile"))
        .collect()
}

/// The middle of an A4 page is shifted by as much as that of the Letter chart.
#[test]
fn another_format_is_taken_over_from_the_middle_with_a_warning() {
    let a4 = Size::new(210.0, 297.0);
    let mut job = job(a4, &[Face::Front]);
    job.printer.calibration = Some(calibration(letter(), FRONT, None));
    let (plan, warnings) = planned(&job);
    assert_eq!(codes(&warnings), ["plan.profile-format"]);
    assert!(
        warnings[0].message.contains("\"oat\" (210 mm x 297 mm)"),
        "{warnings:#?}"
    );
    let middle = Point::new(105.0, 148.5);
    let printed_at =
        plan.sheets[0].front.unwrap().page_from_sheet * (middle + kurbo::Vec2::new(1.1, -0.7));
    assert!(
        printed_at.distance_squared(middle) < 1e-18,
        "{printed_at:?}"
    );
}

#[test]
fn a_sheet_that_lies_the_other_way_is_printed_as_it_is_with_a_warning() {
    let mut job = job(Size::new(279.4, 215.9), &[Face::Front]);
    let plain = planned(&job).0;
    job.printer.calibration = Some(calibration(letter(), FRONT, None));
    let (plan, warnings) = planned(&job);
    assert_eq!(codes(&warnings), ["plan.profile-lying"]);
    assert!(
        warnings[0].hints[0].contains("`calibrate chart`"),
        "{warnings:#?}"
    );
    assert_eq!(plan.sheets, plain.sheets);
}

#[test]
fn the_front_is_never_taken_for_the_back() {
    let mut job = job(letter(), &[Face::Front, Face::Back]);
    let plain = planned(&job).0;
    job.printer.calibration = Some(calibration(letter(), FRONT, None));
    let (plan, warnings) = planned(&job);
    assert_eq!(codes(&warnings), ["plan.profile-back"]);
    assert_eq!(plan.sheets[0].back, plain.sheets[0].back);
    assert_ne!(plan.sheets[0].front, plain.sheets[0].front);
}

#[test]
fn other_paper_is_warned_of_where_the_words_differ() {
    let mut job = job(letter(), &[Face::Front]);
    let mut measured = calibration(letter(), FRONT, None);
    for (paper, warned) in [
        (None, false),
        (Some("Oat 200 gsm"), false),
        (Some("office paper"), true),
    ] {
        measured.paper = paper.map(str::to_owned);
        job.printer.calibration = Some(measured.clone());
        let is_warned = codes(&planned(&job).1) == ["plan.profile-paper"];
        assert_eq!(is_warned, warned, "{paper:?}");
    }
}

/// By hand: 6.35 mm of margin and 2 mm of bleed leave a pin at 8.35 mm; a shift of 1 mm to the right takes 1 mm at the left.
#[test]
fn a_pinned_piece_out_of_reach_is_told_with_its_name_and_by_how_much() {
    let mut job = job(letter(), &[Face::Front]);
    job.job.marks = MarkUse::Never;
    job.pins = vec![Pin {
        piece: 0,
        copy: 1,
        part: 1,
        stock: 0,
        sheet: 1,
        x: length(8.35),
        y: length(100.0),
        turn: Angle::ZERO,
        origin: origin("pin"),
    }];
    assert_eq!(misplaced_pins(&job), []);
    let shifted = Off {
        scale: (0.0, 0.0),
        shear_rad: 0.0,
        turn_rad: 0.0,
        shift_mm: (1.0, 0.0),
    };
    job.printer.calibration = Some(calibration(letter(), shifted, None));
    let found = misplaced_pins(&job);
    let [error] = &found[..] else {
        panic!("{found:#?}")
    };
    assert!(
        error.message.contains("tag#1 is pinned outside"),
        "{error:#?}"
    );
    assert!(
        error.message.contains("it is 1 mm too far out"),
        "{error:#?}"
    );
    assert!(
        error.message.contains("up to 1 mm at an edge are lost"),
        "{error:#?}"
    );
}

/// By hand: 215.9 - 2 x 6.35 = 203.2 mm are just enough for 199.2 mm and twice 2 mm of bleed; 0.5 mm less is not.
#[test]
fn a_piece_that_the_shift_leaves_no_room_for_is_told_by_how_much() {
    let mut job = job(letter(), &[Face::Front]);
    job.job.marks = MarkUse::Never;
    job.pieces[0].outline = shape::rectangle(199.2, 40.0).unwrap();
    job.pieces[0].turns = Turns::None;
    assert_eq!(planned(&job).0.unplaced, []);
    let shifted = Off {
        scale: (0.0, 0.0),
        shear_rad: 0.0,
        turn_rad: 0.0,
        shift_mm: (-0.5, 0.0),
    };
    job.printer.calibration = Some(calibration(letter(), shifted, None));
    let (plan, _) = planned(&job);
    let found = unplaced_errors(&job, &plan);
    let [error] = &found[..] else {
        panic!("{found:#?}")
    };
    assert!(
        error.message.contains("piece \"tag\" needs 203.2 mm"),
        "{error:#?}"
    );
    assert!(
        error.message.contains("which is 0.5 mm too little"),
        "{error:#?}"
    );
}

/// What a machine with this error cuts of a file that makes up for it is what was planned, within the file's size.
#[test]
fn a_cut_file_makes_up_for_its_machine_and_keeps_its_size() {
    for faces in [&[Face::Front][..], &[Face::Back]] {
        let mut job = job(letter(), faces);
        job.cutter.calibration = Some(cutter());
        let (plan, _) = planned(&job);
        let setup = plan.sheets[0].cut.as_ref().unwrap();
        let file = Rect::new(0.0, 0.0, LETTER_MM.0, LETTER_MM.1);
        for (x, y) in [(20.0, 30.0), (190.0, 30.0), (190.0, 250.0), (20.0, 250.0)] {
            let at = Point::new(x, y);
            let cut = cutter().cut_from_file * (setup.cut_from_sheet * at);
            assert!(
                cut.distance_squared(setup.file_from_sheet * at) < 1e-18,
                "{cut:?}"
            );
        }
        for mark in &plan.sheets[0].marks {
            let ring = Rect::from_center_size(mark.centre, (6.0, 6.0));
            let bounds = setup.cut_from_sheet.transform_rect_bbox(ring);
            assert!(file.union(bounds) == file, "{bounds:?}");
        }
        let made = job::make(&job, &plan, NonZeroUsize::MIN).unwrap();
        let findings: Vec<_> = made.verdict.findings().collect();
        assert!(findings.is_empty(), "{findings:#?}");
    }
}

/// With nothing kept free by printer or cutter, marks and pieces still stay within the cut file's size.
#[test]
fn nothing_leaves_the_cut_file_where_nothing_else_keeps_it_in() {
    let mut job = job(letter(), &[Face::Front]);
    job.printer.margins = Edges::all(length(0.0));
    job.cutter.calibration = Some(cutter());
    job.editions[0].copies = 40;
    let (plan, _) = planned(&job);
    let made = job::make(&job, &plan, NonZeroUsize::MIN).unwrap();
    let findings: Vec<_> = made.verdict.findings().collect();
    assert!(findings.is_empty(), "{findings:#?}");
}
