//! A plan that was damaged by hand is found out.

use kurbo::Affine;
use sheetwright::drawing::Colour;
use sheetwright::geometry::Outline;
use sheetwright::math::Angle;
use sheetwright::plan::{JobPlan, PlanOptions, Sheet, check, plan};
use sheetwright::project::{
    CutBy, Edge, Face, Fold, Maker, MarkUse, OperationKind, Project, Reads, StockFace, StockSide,
};

use crate::plan_project::{LETTER_MM, colour, edition, operation, piece, project, stock};

/// Two sheets of printed packets with a crease each, marks, ticks and captions.
fn packets() -> Project {
    let mut packet = piece("packet", 90.0, 60.0);
    packet.operations = vec![operation(
        OperationKind::Crease { fold: Fold::Valley },
        "M0 20 H90",
    )];
    // Two layers, so that neighbours do not share their bleed.
    packet.artwork = vec![colour(Face::Front, 3.0, Colour::BLACK); 2];
    let mut job = project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM), stock("moss", LETTER_MM)],
        vec![packet],
        9,
    );
    job.stocks[0].on_hand = Some(5);
    job
}

fn findings(damage: impl FnOnce(&mut JobPlan)) -> Vec<String> {
    let job = packets();
    let mut plan = plan(&job, &PlanOptions::default()).value;
    assert_eq!(check(&job, &plan), []);
    damage(&mut plan);
    check(&job, &plan).into_iter().map(|d| d.message).collect()
}

/// Moves a piece with everything on it.
fn shift(sheet: &mut Sheet, index: usize, by: (f64, f64)) {
    let placement = &mut sheet.placements[index];
    placement.pose.x_mm += by.0;
    placement.pose.y_mm += by.1;
    for operation in &mut placement.operations {
        operation.path = Affine::translate(by) * operation.path.clone();
    }
}

#[track_caller]
fn finds(damage: impl FnOnce(&mut JobPlan), text: &str) {
    let found = findings(damage);
    assert!(found.iter().any(|f| f.contains(text)), "{found:?}");
}

#[test]
fn a_piece_moved_by_two_hundredths_is_found() {
    // Two packets of 90 with 3 mm of bleed just fit side by side between margins of 6.35.
    let mut job = packets();
    job.stocks[0] = stock("oat", (2.0 * 6.35 + 2.0 * 96.0, 100.0));
    job.job.marks = MarkUse::Never;
    for (by_mm, text) in [
        (0.02, "the bleeds of"),
        (-0.02, "not inside the printer's margins"),
    ] {
        let mut plan = plan(&job, &PlanOptions::default()).value;
        assert_eq!(check(&job, &plan), []);
        shift(&mut plan.sheets[0], 0, (by_mm, 0.0));
        let found = check(&job, &plan);
        assert!(found.iter().any(|f| f.message.contains(text)), "{found:?}");
    }
}

#[test]
fn a_piece_dropped_or_doubled_is_found() {
    finds(
        |plan| drop(plan.sheets[0].placements.pop()),
        "9 of \"packet\" are wanted",
    );
    finds(|plan| plan.sheets[0].runs += 1, "runs are planned");
    finds(
        |plan| {
            let twin = plan.sheets[0].placements[0].clone();
            plan.sheets[0].placements.push(twin);
        },
        "0.0000 mm apart",
    );
}

#[test]
fn sheets_that_are_not_there_are_found() {
    finds(
        |plan| {
            plan.sheets[0].runs += 9;
            plan.sheets[0].prints[0].times += 9;
        },
        "5 are on hand",
    );
    finds(|plan| plan.sheets[0].stock = 1, "wrong paper");
    finds(|plan| plan.sheets[0].front_is = StockSide::B, "wrong paper");
}

#[test]
fn a_mark_a_caption_or_a_tick_on_a_piece_is_found() {
    let middle = |plan: &JobPlan| {
        let pose = plan.sheets[0].placements[0].pose;
        let back = pose.to_affine() * kurbo::Point::new(45.0, 30.0);
        (back.x, back.y)
    };
    finds(
        |plan| plan.sheets[0].marks[0].centre = middle(plan).into(),
        "runs into mark m1",
    );
    finds(
        |plan| {
            plan.sheets[0].caption = Some(kurbo::Rect::from_center_size(middle(plan), (9.0, 9.0)));
        },
        "runs into the caption",
    );
    finds(
        |plan| plan.sheets[0].ticks[0].to = middle(plan).into(),
        "tick t1 runs into",
    );
}

#[test]
fn a_cut_out_of_order_left_out_or_done_twice_is_found() {
    let order = |plan: &mut JobPlan, change: fn(&mut Vec<sheetwright::plan::CutStep>)| {
        change(&mut plan.sheets[0].cut.as_mut().unwrap().order);
    };
    finds(
        |plan| order(plan, |steps| steps.reverse()),
        "is done before",
    );
    finds(
        |plan| order(plan, |steps| steps.truncate(1)),
        "the machine has",
    );
    finds(
        |plan| order(plan, |steps| steps.push(steps[0])),
        "the machine has",
    );
}

#[test]
fn a_page_without_print_is_found() {
    finds(|plan| plan.sheets[0].prints[0].front = None, "no page");
    finds(
        |plan| drop(plan.sheets[0].prints[0].contents.pop()),
        "places hold",
    );
}

#[test]
fn a_turn_against_the_pattern_is_found() {
    let mut leaf = stock("leaf", (120.0, 120.0));
    leaf.face_a = StockFace::Patterned {
        name: "leaves".to_owned(),
        reads: Reads::OneWay,
        up: Edge::Top,
    };
    let mut tag = piece("tag", 90.0, 60.0);
    tag.pattern_up = Some(Edge::Top);
    let mut job = project(CutBy::Machine, vec![leaf], vec![tag], 1);
    let plan = plan(&job, &PlanOptions::default()).value;
    assert_eq!(check(&job, &plan), []);
    job.pieces[0].pattern_up = Some(Edge::Bottom);
    assert!(
        check(&job, &plan)[0]
            .message
            .contains("turned as it may not be")
    );
}

/// Four pieces of 20 x 10 round a square of 10: no straight cut parts them.
#[test]
fn a_pinwheel_is_no_layout_for_a_trimmer() {
    let mut tag = piece("tag", 20.0, 10.0);
    tag.cut_by = Maker::Hand;
    let mut job = project(
        CutBy::Trimmer,
        vec![stock("oat", (60.0, 60.0))],
        vec![tag],
        4,
    );
    job.editions = vec![edition("sage", 4)];
    let mut plan = plan(&job, &PlanOptions::default()).value;
    let places = [
        (0.0, 0.0, 0.0),
        (30.0, 0.0, 90.0),
        (10.0, 20.0, 0.0),
        (10.0, 10.0, 90.0),
    ];
    for (placement, (x_mm, y_mm, turn)) in plan.sheets[0].placements.iter_mut().zip(places) {
        placement.pose.x_mm = x_mm;
        placement.pose.y_mm = y_mm;
        placement.pose.turn = Angle::from_deg(turn);
    }
    let found = check(&job, &plan);
    let told = |text| found.iter().any(|f| f.message.contains(text));
    assert!(told("do not come apart"), "{found:?}");
    assert!(
        told("comes out as"),
        "the cuts are those of another layout: {found:?}"
    );
}

#[test]
fn a_frame_cut_before_the_label_in_its_hole_is_found() {
    let mut frame = piece("frame", 90.0, 60.0);
    let path = kurbo::BezPath::from_svg("M0 0 H90 V60 H0 Z M10 10 V50 H80 V10 Z").unwrap();
    frame.outline = Outline::new(&path, 0.001).unwrap();
    let job = project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![frame, piece("label", 50.0, 20.0)],
        1,
    );
    let mut plan = plan(&job, &PlanOptions::default()).value;
    let sheet = &mut plan.sheets[0];
    let host = sheet
        .placements
        .iter()
        .position(|p| p.piece == 0)
        .expect("the frame is placed");
    let guest = 1 - host;
    // The label's top left corner goes to (20, 20) in the frame, in the middle of its hole.
    let (at, pose) = (sheet.placements[host].pose, sheet.placements[guest].pose);
    sheet.placements[host].pose.turn = Angle::from_deg(0.0);
    sheet.placements[guest].pose.turn = Angle::from_deg(0.0);
    shift(
        sheet,
        guest,
        (at.x_mm + 20.0 - pose.x_mm, at.y_mm + 20.0 - pose.y_mm),
    );
    let found = |plan: &JobPlan| {
        let messages = check(&job, plan).into_iter().map(|d| d.message);
        messages.filter(|m| m.contains("in its hole")).count()
    };
    let steps = &mut plan.sheets[0].cut.as_mut().expect("both are cut").order;
    steps.sort_by_key(|s| s.placement != guest);
    assert_eq!(found(&plan), 0);
    let steps = &mut plan.sheets[0].cut.as_mut().expect("both are cut").order;
    steps.reverse();
    assert_eq!(found(&plan), 1);
}
