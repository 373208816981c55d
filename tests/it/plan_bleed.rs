//! Neighbours of one flat colour share their bleed, and no others do. Numbers are worked out by hand.

use sheetwright::drawing::Colour;
use sheetwright::geometry::Outline;
use sheetwright::geometry::shape::circle;
use sheetwright::plan::{JobPlan, PlanOptions, check, plan};
use sheetwright::project::{CutBy, Face, Maker, Piece, Project, Turns};

use crate::plan_project::{LETTER_MM, colour, edition, piece, project, shaped, stock};

const SAGE: Colour = Colour::rgb(0xdf, 0xe7, 0xd0);
const PLUM: Colour = Colour::rgb(0xe6, 0xd3, 0xde);

fn card(id: &str, width_mm: f64, height_mm: f64) -> Piece {
    let mut card = piece(id, width_mm, height_mm);
    card.cut_by = Maker::Hand;
    card.turns = Turns::None;
    card.artwork = vec![colour(Face::Front, 3.0, SAGE)];
    card
}

fn planned(project: &Project) -> JobPlan {
    let plan = plan(project, &PlanOptions::default()).value;
    assert_eq!(check(project, &plan), []);
    plan
}

fn lefts(plan: &JobPlan) -> Vec<f64> {
    let mut lefts: Vec<f64> = plan.sheets[0]
        .placements
        .iter()
        .map(|p| p.pose.x_mm)
        .collect();
    lefts.sort_by(f64::total_cmp);
    lefts
}

fn near(found: &[f64], want: &[f64]) -> bool {
    found.len() == want.len() && found.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-6)
}

/// 203.2 are printable across Letter. Three cards of 63.7 with gaps of 3 between them and bleed of 3 at both ends are 203.1 wide; with
/// bleed on all sides they were 209.1.
#[test]
fn cards_of_one_colour_keep_the_gap_between_them_and_their_bleed_at_the_ends() {
    let job = project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![card("card", 63.7, 250.0)],
        3,
    );
    let plan = planned(&job);
    assert_eq!(plan.usage.sheets, 1);
    assert!(
        near(&lefts(&plan), &[9.35, 76.05, 142.75]),
        "{:?}",
        lefts(&plan)
    );
    // The bleed itself is printed all round, over the gap too.
    let clip = &plan.sheets[0].prints[0].contents[0].artwork[0].clip;
    assert!((kurbo::Shape::bounding_box(clip).width() - 69.7).abs() < 1e-6);
}

/// Of 54 with bleed three are 162 wide, four 216; four of 48 side by side with bleed at both ends are 198.
#[test]
fn a_trimmer_parts_cards_of_one_colour_by_single_cuts() {
    let job = project(
        CutBy::Trimmer,
        vec![stock("oat", LETTER_MM)],
        vec![card("card", 48.0, 240.0)],
        4,
    );
    let plan = planned(&job);
    assert_eq!(plan.usage.sheets, 1);
    let lefts = lefts(&plan);
    assert!(
        lefts
            .windows(2)
            .all(|pair| (pair[1] - pair[0] - 48.0).abs() < 1e-6),
        "{lefts:?}"
    );
}

#[test]
fn a_second_colour_a_second_layer_or_a_bare_piece_keeps_bleeds_apart() {
    let sheets = |change: fn(&mut Project)| {
        let cards = vec![card("card", 63.7, 250.0)];
        let mut job = project(CutBy::Machine, vec![stock("oat", LETTER_MM)], cards, 3);
        change(&mut job);
        planned(&job).usage.sheets
    };
    assert_eq!(sheets(|_| ()), 1);
    assert_eq!(
        sheets(|job| job.pieces[0].artwork.push(colour(Face::Front, 0.0, PLUM))),
        2
    );
    assert_eq!(
        sheets(|job| {
            job.editions = vec![edition("sage", 2), edition("plum", 1)];
            job.editions[1].artwork_swaps = vec![sheetwright::project::ArtworkSwap {
                piece: 0,
                artwork: 0,
                instead: colour(Face::Front, 3.0, PLUM),
            }];
        }),
        2
    );
    // A slip of 6 mm beside the three cards leaves no room for them; even where it lies on a sheet of its own, they do not share.
    assert_eq!(
        sheets(|job| {
            let mut slip = piece("slip", 6.0, 6.0);
            slip.cut_by = Maker::Hand;
            job.pieces.push(slip);
        }),
        2
    );
}

/// Three circles of 20 with gaps of 3 and bleed of 3 at both ends are 72 wide; 72.1 are left between margins of 6.35. With bleed on all
/// sides they were 78.
#[test]
fn round_pieces_of_one_colour_share_their_bleed_too() {
    let mut token = shaped("token", circle(20.0).unwrap());
    token.artwork = vec![colour(Face::Front, 3.0, SAGE)];
    let job = project(
        CutBy::Machine,
        vec![stock("oat", (84.8, 40.0))],
        vec![token],
        3,
    );
    let plan = planned(&job);
    assert_eq!(plan.usage.sheets, 1);
    // Flattening may move the edge of a circle's bleed by 0.005.
    let lefts = lefts(&plan);
    let is_gap = |pair: &[f64]| (pair[1] - pair[0] - 23.0).abs() < 0.011;
    assert!(lefts.windows(2).all(is_gap), "{lefts:?}");
}

/// A diamond's mitred corners reach 3 x √2 = 4.243 out, so between margins of 6.35 the first one starts at 10.593 at least; a card that
/// may lie askew has such corners, too.
#[test]
fn pointed_bleed_that_is_shared_stays_within_the_margins() {
    let diamond = kurbo::BezPath::from_svg("M30 0 L60 30 L30 60 L0 30 Z").unwrap();
    let mut tag = shaped("tag", Outline::new(&diamond, 0.01).unwrap());
    tag.artwork = vec![colour(Face::Front, 3.0, SAGE)];
    tag.cut_by = Maker::Hand;
    let mut askew = card("card", 50.0, 30.0);
    askew.turns = Turns::Any;
    let pieces = vec![tag, askew];
    let job = project(CutBy::Machine, vec![stock("oat", LETTER_MM)], pieces, 4);
    let plan = planned(&job);
    let tags = plan.sheets[0].placements.iter().filter(|p| p.piece == 0);
    let left = tags
        .map(|p| p.pose.to_affine() * job.pieces[0].outline.path())
        .map(|path| kurbo::Shape::bounding_box(&path).x0)
        .fold(f64::MAX, f64::min);
    assert!(left > 6.35 + 3.0 * 2.0_f64.sqrt() - 0.001, "{left}");
}

#[test]
fn the_check_lets_bleed_run_into_bleed_of_the_same_colour_only() {
    let job = project(
        CutBy::Machine,
        vec![stock("oat", LETTER_MM)],
        vec![card("card", 63.7, 250.0)],
        3,
    );
    let plan = planned(&job);
    let found = |change: fn(&mut Project)| {
        let mut other = job.clone();
        change(&mut other);
        let findings = check(&other, &plan);
        findings
            .iter()
            .filter(|d| d.message.contains("the bleeds of"))
            .count()
    };
    assert_eq!(
        found(|job| job.pieces[0].artwork.push(colour(Face::Front, 3.0, PLUM))),
        2
    );
    assert_eq!(
        found(|job| job.pieces[0].artwork[0].fill = sheetwright::project::ArtworkFill::Flat(PLUM)),
        0
    );
}
