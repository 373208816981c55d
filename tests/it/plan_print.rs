//! Both faces of printed sheets, marks, and what the machine does, worked out by hand.

use kurbo::{Point, Rect, Shape};
use sheetwright::diagnostic::Severity;
use sheetwright::drawing::{AssetIndex, Colour};
use sheetwright::geometry::Pose;
use sheetwright::length::Length;
use sheetwright::plan::{JobPlan, MarkClass, PlanOptions, Sheet, check, feed, plan};
use sheetwright::project::{
    Artwork, ArtworkFill, CutBy, Edges, Face, Fold, Maker, MarkUse, OperationKind, PictureBox,
    Project, SheetLimit, TurnOver,
};

use crate::plan_project::{
    LETTER_MM, colour, length, margins, operation, piece, project, reach, shaped, size, stock,
};

const SAGE: Colour = Colour::rgb(163, 177, 138);

fn planned(project: &Project) -> JobPlan {
    let plan = plan(project, &PlanOptions::default()).value;
    assert_eq!(check(project, &plan), []);
    plan
}

fn one_card(faces: &[Face]) -> Project {
    let mut card = piece("card", 60.0, 40.0);
    card.artwork = faces.iter().map(|face| colour(*face, 3.0, SAGE)).collect();
    project(CutBy::Machine, vec![stock("oat", LETTER_MM)], vec![card], 1)
}

fn is_near(a: Point, b: (f64, f64)) -> bool {
    (a - Point::from(b)).hypot2() < 1e-18
}

#[test]
fn the_back_page_mirrors_the_sheet_the_way_it_is_turned_over() {
    for (turn_over, want) in [
        (TurnOver::LeftRight, (195.9, 30.0)),
        (TurnOver::TopBottom, (20.0, 249.4)),
    ] {
        let mut job = one_card(&[Face::Front, Face::Back]);
        job.job.turn_over = turn_over;
        let sheet = &planned(&job).sheets[0];
        // (20, 30) on Letter: 215.9 - 20 = 195.9 from the other side, 279.4 - 30 = 249.4 from the other end.
        let at = Point::new(20.0, 30.0);
        assert!(is_near(
            sheet.front.unwrap().page_from_sheet * at,
            (20.0, 30.0)
        ));
        assert!(is_near(sheet.back.unwrap().page_from_sheet * at, want));
        assert_eq!(
            (sheet.prints[0].front, sheet.prints[0].back),
            (Some(1), Some(2))
        );
    }
}

#[test]
fn the_caption_of_a_back_page_turned_head_over_heels_lies_at_the_top_of_the_front() {
    let mut job = one_card(&[Face::Front, Face::Back]);
    job.job.turn_over = TurnOver::TopBottom;
    job.job.marks = MarkUse::Never;
    // Captions are 8 high inside margins of 6.35: pieces keep 3 + 14.35 from the top and from the bottom.
    let sheet = &planned(&job).sheets[0];
    let pose = sheet.placements[0].pose;
    assert!(
        is_near(Point::new(pose.x_mm, pose.y_mm), (9.35, 17.35)),
        "{pose:?}"
    );
}

#[test]
fn without_a_caption_its_band_belongs_to_the_pieces() {
    let mut job = one_card(&[Face::Front]);
    job.printer = margins(0.0);
    job.job.marks = MarkUse::Never;
    job.job.caption = false;
    // A card as large as letter without its margins; the caption would take 8 mm of it.
    let mut card = piece("card", LETTER_MM.0, LETTER_MM.1);
    card.artwork = vec![colour(Face::Front, 0.0, SAGE)];
    job.pieces = vec![card];
    job.job.gap = Length::ZERO;
    let without = plan(&job, &PlanOptions::default());
    // Without any bleed a cut may miss the print; nothing else is amiss.
    let codes: Vec<_> = without.warnings.iter().map(|w| w.code).collect();
    assert_eq!(
        (codes, without.value.unplaced.len()),
        (vec!["plan.bleed-small"], 0)
    );
    assert_eq!(without.value.sheets[0].caption, None);
    job.job.caption = true;
    assert_eq!(planned(&job).unplaced.len(), 1);
}

#[test]
fn back_artwork_is_mirrored_on_the_sheet_and_right_on_the_page() {
    // A picture of 20 x 10 at (5, 2) from the top left of the back. The card is 60 wide, so on its front it is seen from 35 to 55.
    let picture = PictureBox {
        asset: AssetIndex(0),
        width: size(20.0),
        height: size(10.0),
        pose: Pose::at(5.0, 2.0),
    };
    let mut job = one_card(&[]);
    job.pieces[0].artwork = vec![Artwork {
        fill: ArtworkFill::Picture(picture),
        ..colour(Face::Back, 0.0, SAGE)
    }];
    job.pieces[0].turns = sheetwright::project::Turns::None;
    let sheet = &planned(&job).sheets[0];
    let pose = sheet.placements[0].pose;
    let place = sheet.prints[0].contents[0].artwork[0].places[0];
    let unit = Rect::new(0.0, 0.0, 1.0, 1.0);
    let on_sheet = place.transform_rect_bbox(unit);
    assert!(
        is_near(on_sheet.origin(), (pose.x_mm + 35.0, pose.y_mm + 2.0)),
        "{on_sheet:?}"
    );
    assert!(place.determinant() < 0.0);
    let on_page = sheet.back.unwrap().page_from_sheet * place;
    assert!(on_page.determinant() > 0.0);
    // The back's left edge is the front's right edge: 215.9 - (x + 60) on the page, then 5 to the picture.
    assert!(is_near(
        on_page * Point::ORIGIN,
        (215.9 - pose.x_mm - 60.0 + 5.0, pose.y_mm + 2.0)
    ));
}

#[test]
fn artwork_is_clipped_to_outline_and_bleed() {
    let sheet = &planned(&one_card(&[Face::Front])).sheets[0];
    let pose = sheet.placements[0].pose;
    let (w, h) = if pose.turn.deg() > 1.0 {
        (46.0, 66.0)
    } else {
        (66.0, 46.0)
    };
    let clip = sheet.prints[0].contents[0].artwork[0].clip.bounding_box();
    assert!(
        (clip.width() - w).abs() < 1e-6 && (clip.height() - h).abs() < 1e-6,
        "{clip:?}"
    );
}

#[test]
fn marks_stand_where_the_layout_says_and_cost_is_stated() {
    let plan = planned(&one_card(&[Face::Front]));
    let sheet = &plan.sheets[0];
    // 6.35 + 3 + 1 = 10.35 from the sides; 0.40 x 279.4 = 111.76 and 0.62 x 279.4 = 173.228 down.
    let want = [
        ((10.35, 10.35), MarkClass::One),
        ((205.55, 10.35), MarkClass::TwoAdjacent),
        ((205.55, 269.05), MarkClass::TwoOpposite),
        ((10.35, 269.05), MarkClass::Three),
        ((205.55, 111.76), MarkClass::Empty),
        ((10.35, 173.228), MarkClass::Full),
    ];
    for (mark, (at, class)) in sheet.marks.iter().zip(want) {
        assert!(is_near(mark.centre, at) && mark.class == class, "{mark:?}");
    }
    let cost = plan.usage.marks_cost.unwrap();
    // Six clear squares of 8 mm.
    assert!((cost.area_mm2 - 384.0).abs() < 1e-9 && cost.sheets_without == 1);
}

#[test]
fn marks_are_printed_on_the_back_if_only_the_back_is_printed() {
    let sheet = &planned(&one_card(&[Face::Back])).sheets[0];
    let cut = sheet.cut.as_ref().unwrap();
    assert_eq!(
        (cut.face_up, sheet.front, sheet.prints[0].front),
        (Face::Back, None, None)
    );
    // Seen from the back the first mark is at the top left: in the front view at the top right.
    assert!(is_near(sheet.marks[0].centre, (205.55, 10.35)));
    assert!(is_near(
        cut.cut_from_sheet * sheet.marks[0].centre,
        (10.35, 10.35)
    ));
}

#[test]
fn marks_stay_off_unprinted_and_hand_cut_sheets_unless_asked_for() {
    assert!(planned(&one_card(&[])).sheets[0].marks.is_empty());
    let mut job = one_card(&[Face::Front]);
    job.pieces[0].cut_by = Maker::Hand;
    assert!(planned(&job).sheets[0].marks.is_empty());
    job.job.marks = MarkUse::Always;
    assert_eq!(planned(&job).sheets[0].marks.len(), 6);
    job.job.cut_by = CutBy::Trimmer;
    assert_eq!(planned(&job).sheets[0].marks.len(), 6);
    job.job.marks = MarkUse::Never;
    assert!(planned(&job).sheets[0].marks.is_empty());
}

fn ids(sheet: &Sheet) -> Vec<&str> {
    let cut = sheet.cut.as_ref().unwrap();
    cut.order
        .iter()
        .map(|s| {
            sheet.placements[s.placement].operations[s.operation]
                .id
                .as_str()
        })
        .collect()
}

#[test]
fn creases_are_cut_before_holes_and_outlines_come_last() {
    let mut packet = piece("packet", 60.0, 40.0);
    packet.operations = vec![
        operation(OperationKind::Hole, "M30 10 L34 10 L34 14 Z"),
        operation(OperationKind::Cut, "M10 10 H20"),
        operation(
            OperationKind::Crease {
                fold: Fold::Mountain,
            },
            "M0 30 H60",
        ),
        operation(OperationKind::Crease { fold: Fold::Valley }, "M0 20 H60"),
    ];
    packet.turns = sheetwright::project::Turns::None;
    let plan = planned(&project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![packet],
        1,
    ));
    // From the top left corner the crease at 20 is nearer than that at 30, which is then run back from its right end.
    let want = ["crease-2", "crease-1", "hole-1", "cut-1", "outline"]
        .map(|name| format!("packet#1.{name}"));
    assert_eq!(ids(&plan.sheets[0]), want);
    let placement = &plan.sheets[0].placements[0];
    let back = placement
        .operations
        .iter()
        .find(|o| o.id == "packet#1.crease-1")
        .unwrap();
    assert!(is_near(start_of(&back.path), (60.0, 30.0)));
}

fn start_of(path: &kurbo::BezPath) -> Point {
    kurbo::ParamCurve::start(&path.segments().next().unwrap())
}

#[test]
fn hand_and_die_work_is_listed_and_left_out_of_the_cut_order() {
    let mut packet = piece("packet", 60.0, 40.0);
    packet.operations = vec![operation(
        OperationKind::Crease { fold: Fold::Valley },
        "M0 20 H60",
    )];
    packet.operations[0].by = Maker::Hand;
    let mut label = piece("label", 30.0, 30.0);
    label.cut_by = Maker::Die;
    let plan = planned(&project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![packet, label],
        4,
    ));
    for sheet in &plan.sheets {
        assert!(
            ids(sheet)
                .iter()
                .all(|id| id.ends_with(".outline") && id.starts_with("packet"))
        );
    }
    let work: Vec<_> = plan
        .hand_work
        .iter()
        .map(|w| (w.piece, w.operation, w.by, w.times))
        .collect();
    assert_eq!(
        work,
        [(0, Some(0), Maker::Hand, 4), (1, None, Maker::Die, 4)]
    );
}

#[test]
fn the_cutters_reach_bounds_outlines_and_not_bleed() {
    let mut job = one_card(&[Face::Front]);
    job.printer = margins(2.0);
    job.job.marks = MarkUse::Never;
    job.cutter = reach(Edges {
        top: length(12.0),
        ..Edges::all(Length::ZERO)
    });
    // 2 + 3 from the left by margin and bleed, 12 from the top by reach alone.
    let pose = planned(&job).sheets[0].placements[0].pose;
    let left = if pose.turn.deg() > 1.0 {
        pose.x_mm - 40.0
    } else {
        pose.x_mm
    };
    assert!(
        is_near(Point::new(left, pose.y_mm), (5.0, 12.0)),
        "{pose:?}"
    );
}

fn codes(project: &Project) -> Vec<(Severity, &'static str)> {
    feed(project).iter().map(|d| (d.severity, d.code)).collect()
}

#[test]
fn sheets_the_printer_cannot_take_are_errors_that_name_pieces_and_the_nearest_format() {
    let mut job = one_card(&[Face::Front]);
    job.printer.largest = Some(SheetLimit {
        short: size(210.0),
        long: size(297.0),
    });
    let found = feed(&job);
    assert_eq!(found.len(), 1);
    assert!(
        found[0].is_error() && found[0].message.contains("\"card\""),
        "{found:?}"
    );
    assert!(
        found[0].message.contains("215.9 mm x 279.4 mm")
            && found[0].message.contains("210 mm x 297 mm")
    );
    assert_eq!(found[0].hints, ["the nearest format it takes is A4"]);
    job.pieces[0].artwork.clear();
    assert_eq!(feed(&job), []);
}

/// The limits of 105, 163 and 250 gsm are common practice, read from printer manuals.
#[test]
fn heavy_stock_is_warned_about() {
    use Severity::{Error, Warning};
    let weighing = |gsm: f64, faces: &[Face]| {
        let mut job = one_card(faces);
        job.stocks[0].grammage_gsm = Some(gsm);
        job
    };
    assert_eq!(codes(&weighing(105.0, &[Face::Front, Face::Back])), []);
    assert_eq!(
        codes(&weighing(106.0, &[Face::Front, Face::Back])),
        [(Warning, "device.printer-weight")]
    );
    assert_eq!(codes(&weighing(163.0, &[Face::Front])), []);
    assert_eq!(
        codes(&weighing(164.0, &[Face::Front])),
        [(Warning, "device.printer-weight")]
    );
    assert_eq!(codes(&weighing(300.0, &[])), []);
    let mut job = weighing(300.0, &[Face::Front]);
    job.printer.heaviest_gsm = Some(250.0);
    // What the printer's own limit refuses is not doubted a second time.
    assert_eq!(codes(&job), [(Error, "device.printer-weight")]);
}

#[test]
fn marks_that_cost_a_sheet_say_so() {
    // Inside margins of 5 mm and above the caption 90 x 182 mm are printable: three bands of 90 x 59 mm without marks. With marks,
    // the full width is free only from 13 to 76, 84 to 120 and 128 to 187 mm down, and 74 mm between them: two bands at most.
    let mut band = piece("band", 90.0, 59.0);
    band.artwork = vec![colour(Face::Front, 0.0, SAGE)];
    let mut job = project(
        CutBy::Machine,
        vec![stock("oat", (100.0, 200.0))],
        vec![band],
        3,
    );
    job.printer = margins(5.0);
    job.job.gap = Length::ZERO;
    let usage = planned(&job).usage;
    assert_eq!(
        (usage.sheets, usage.marks_cost.unwrap().sheets_without),
        (2, 1)
    );
}

#[test]
fn holes_of_an_outline_are_cut_before_it() {
    let frame = kurbo::BezPath::from_svg("M0 0 H60 V40 H0 Z M10 10 H50 V30 H10 Z").unwrap();
    let frame = sheetwright::geometry::Outline::new(&frame, 0.01).unwrap();
    let plan = planned(&project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![shaped("frame", frame)],
        1,
    ));
    assert_eq!(
        ids(&plan.sheets[0]),
        ["frame#1.inside-1", "frame#1.outline"]
    );
}

#[test]
fn webs_below_a_millimetre_and_holes_below_one_and_a_half_are_warned_about() {
    let mut label = piece("label", 60.0, 40.0);
    // Two square holes 0.9 mm apart, and one of 1.4 mm.
    label.operations = vec![
        operation(OperationKind::Hole, "M10 10 H20 V20 H10 Z"),
        operation(OperationKind::Hole, "M20.9 10 H30 V20 H20.9 Z"),
        operation(OperationKind::Hole, "M50 10 H51.4 V12 H50 Z"),
    ];
    let job = project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![label],
        1,
    );
    let warnings = plan(&job, &PlanOptions::default()).warnings;
    let found: Vec<_> = warnings.iter().map(|w| (w.code, w.severity)).collect();
    assert_eq!(
        found,
        [
            ("plan.narrow-web", Severity::Warning),
            ("plan.small-hole", Severity::Warning)
        ]
    );
    assert!(
        warnings[0].message.contains("0.9 mm"),
        "{}",
        warnings[0].message
    );
    assert!(
        warnings[1].message.contains("1.4 mm"),
        "{}",
        warnings[1].message
    );
}

#[test]
fn perforations_are_cut_one_by_one() {
    use sheetwright::length::Size;
    let millimetres = |mm| Size::new(Length::from_mm(mm)).unwrap();
    let mut ticket = piece("ticket", 60.0, 40.0);
    let kind = OperationKind::Perforation {
        cut: millimetres(3),
        gap: millimetres(1),
    };
    ticket.operations = vec![operation(kind, "M0 20 H60")];
    let plan = planned(&project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![ticket],
        1,
    ));
    let planned = &plan.sheets[0].placements[0].operations[0];
    // 60 mm are fifteen periods of 4 mm: fourteen whole cuts and two halves.
    let cuts: Vec<f64> = planned
        .path
        .segments()
        .map(|s| s.as_line().unwrap())
        .map(|l| (l.p1 - l.p0).hypot2().sqrt())
        .collect();
    assert_eq!(cuts.len(), 16);
    assert!(
        (cuts[0] - 1.5).abs() < 1e-9
            && (cuts[1] - 3.0).abs() < 1e-9
            && (cuts[15] - 1.5).abs() < 1e-9
    );
}

/// A diamond of 60 x 60 with 3 mm of bleed: its corners are right angles, whose mitres reach 3 x √2 = 4.243 mm out.
#[test]
fn pointed_bleed_stays_within_the_margins() {
    let diamond = kurbo::BezPath::from_svg("M30 0 L60 30 L30 60 L0 30 Z").unwrap();
    let mut tag = shaped(
        "tag",
        sheetwright::geometry::Outline::new(&diamond, 0.01).unwrap(),
    );
    // Two layers, so that neighbours do not share their bleed.
    tag.artwork = vec![colour(Face::Front, 3.0, SAGE); 2];
    let mut job = project(CutBy::Machine, vec![stock("oat", LETTER_MM)], vec![tag], 6);
    job.job.marks = MarkUse::Never;
    let sheet = &planned(&job).sheets[0];
    let left = sheet
        .placements
        .iter()
        .map(|p| p.pose.x_mm)
        .fold(f64::MAX, f64::min);
    assert!(
        (left - (6.35 + 3.0 * 2.0_f64.sqrt())).abs() < 0.001,
        "{left}"
    );
}

#[test]
fn a_sheet_too_small_for_marks_and_caption_says_so() {
    let mut job = one_card(&[Face::Front]);
    job.stocks[0] = stock("oat", (80.0, 48.0));
    job.printer = margins(1.0);
    let warnings = plan(&job, &PlanOptions::default()).warnings;
    let codes: Vec<_> = warnings.iter().map(|w| w.code).collect();
    assert_eq!(codes, ["plan.no-marks", "plan.no-caption"]);
}
