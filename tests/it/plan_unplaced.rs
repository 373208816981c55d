//! What does not fit is named with both sizes and the nearest change that would make it fit. All numbers are worked out by hand.

use sheetwright::drawing::Colour;
use sheetwright::length::LengthStyle;
use sheetwright::plan::{PlanOptions, Remedy, Taker, UnplacedReason, check, plan, unplaced_errors};
use sheetwright::project::{
    Axis, CutBy, Edges, Face, Maker, Piece, Project, Reads, Stock, StockFace, Turns,
};

use crate::plan_project::{LETTER_MM, colour, length, margins, piece, project, reach, stock};

/// A piece that may not be turned, cut by hand.
fn upright(id: &str, width_mm: f64, height_mm: f64) -> Piece {
    let mut card = piece(id, width_mm, height_mm);
    card.turns = Turns::None;
    card.cut_by = Maker::Hand;
    card
}

fn letter() -> Stock {
    let mut oat = stock("oat", LETTER_MM);
    oat.format = "na_letter_8.5x11in".to_owned();
    oat
}

/// The message and the hints for the one thing that found no place.
fn told(job: &Project) -> (String, Vec<String>) {
    let plan = plan(job, &PlanOptions::default()).value;
    assert_eq!(check(job, &plan), []);
    let mut errors = unplaced_errors(job, &plan);
    assert_eq!(errors.len(), 1, "{errors:?}");
    let error = errors.remove(0);
    (error.message, error.hints)
}

fn remedies(job: &Project) -> Vec<Remedy> {
    let plan = plan(job, &PlanOptions::default()).value;
    assert_eq!(plan.unplaced.len(), 1, "{:?}", plan.unplaced);
    plan.unplaced[0].remedies.clone()
}

/// The formats among the remedies.
fn formats(remedies: &[Remedy]) -> Vec<&str> {
    let name = |r: &Remedy| {
        if let Remedy::Format(format) = r {
            Some(format.name())
        } else {
            None
        }
    };
    remedies.iter().filter_map(name).collect()
}

/// Margins of 6.35 and a caption of 8 leave 203.2 x 258.7 of Letter. A card of 200 x 255 fits with 1.6 of bleed on each side
/// ((203.2 - 200) / 2 = 1.6, (258.7 - 255) / 2 = 1.85). With 3 of bleed it is 206 x 261 and fits between margins of 4.9
/// ((215.9 - 206) / 2 = 4.95, (279.4 - 8 - 261) / 2 = 5.2), or on 9 x 12 in: 228.6 - 12.7 = 215.9, 304.8 - 20.7 = 284.1.
#[test]
fn a_card_whose_bleed_is_too_wide_is_told_how_much_fits_and_what_takes_the_room() {
    let mut card = upright("card", 200.0, 255.0);
    card.artwork = vec![colour(Face::Front, 3.0, Colour::BLACK)];
    let job = project(CutBy::Machine, vec![letter()], vec![card], 1);
    let (message, hints) = told(&job);
    assert_eq!(
        message,
        "piece \"card\" needs 206 mm x 261 mm with 3 mm of bleed all round, a sheet of \"oat\" has 203.2 mm x 258.7 mm left of \
         215.9 mm x 279.4 mm by the printer's margins and the caption"
    );
    assert_eq!(
        hints,
        [
            "it fits with less bleed: type `bleed = \"1.6 mm\"` for the artwork of \"card\", 1.4 mm less than now",
            "it fits on a printer with margins of at most 4.9 mm, not 6.35 mm: name its profile with `printer` in [job]",
            "the smallest format that holds it is Arch A: type `format = \"arch a\"` for \"oat\"",
        ]
    );
}

/// The same in inches: of (203.2 - 200) / 2 = 1.6 mm, 2/32 in = 1.5875 mm fit; of 4.95 mm, 6/32 in = 4.7625 mm do.
#[test]
fn a_job_in_inches_is_told_thirty_seconds() {
    let mut card = upright("card", 200.0, 255.0);
    card.artwork = vec![colour(Face::Front, 3.0, Colour::BLACK)];
    let mut job = project(CutBy::Machine, vec![letter()], vec![card], 1);
    job.job.lengths = LengthStyle::InchFractions;
    let (_, hints) = told(&job);
    assert!(hints[0].contains("`bleed = \"1/16 in\"`"), "{hints:?}");
    assert!(
        hints[1].contains("at most 3/16 in, not 1/4 in"),
        "{hints:?}"
    );
}

/// A printed neighbour keeps everything on the sheet within 203.2 across; a banner of 202 with half a gap on each side fits with a
/// gap of 1.2.
#[test]
fn a_banner_that_the_gap_pushes_off_the_sheet_is_told_the_gap_that_fits() {
    let banner = upright("banner", 202.0, 230.0);
    let mut card = upright("card", 50.0, 50.0);
    card.artwork = vec![colour(Face::Front, 3.0, Colour::BLACK)];
    let job = project(CutBy::Machine, vec![letter()], vec![banner, card], 1);
    let remedies = remedies(&job);
    assert_eq!(remedies[0], Remedy::Gap(length(1.2)), "{remedies:?}");
    let (_, hints) = told(&job);
    assert_eq!(
        hints[0],
        "it fits with a smaller gap: type `gap = \"1.2 mm\"` in [job], 1.8 mm less than now"
    );
}

/// On Letter the clear zones of the marks leave 215.9 - 2 x 14.35 = 187.2 across from top to bottom, and 265.05 - 6.35 = 258.7 down
/// to the caption. A card of 195 x 190 fits without marks, and with margins of 0.9: 215.9 - 2 x (0.9 + 8) = 198.1, and 195 with half
/// a gap of 1.5 on both sides is 198.
#[test]
fn a_card_that_the_marks_keep_out_is_told_to_leave_them_out() {
    let mut card = upright("card", 195.0, 190.0);
    card.cut_by = Maker::Machine;
    card.artwork = vec![colour(Face::Front, 0.0, Colour::BLACK)];
    let job = project(CutBy::Machine, vec![letter()], vec![card], 1);
    let plan = plan(&job, &PlanOptions::default()).value;
    let left = &plan.unplaced[0];
    assert_eq!(
        left.taken_by,
        [Taker::Margins, Taker::Marks, Taker::Caption]
    );
    // Half a gap must lie between the card and the marks on either side, and below; above it may lie beyond the margin.
    let want = (187.2 - 3.0, 258.7 - 1.5);
    assert!(
        (left.has_mm.0 - want.0).abs() < 1e-6 && (left.has_mm.1 - want.1).abs() < 1e-6,
        "{left:?}"
    );
    assert_eq!(
        left.remedies[..2],
        [Remedy::NoMarks, Remedy::Margins(length(0.9))]
    );
    assert!(told(&job).1[0].ends_with("type `marks = \"never\"` in [job]"));
}

/// (215.9 - 210) / 2 = 2.95 and (279.4 - 270) / 2 = 4.7.
#[test]
fn a_sheet_filler_is_told_how_far_the_cutter_would_have_to_reach() {
    let mut poster = upright("poster", 210.0, 270.0);
    poster.cut_by = Maker::Machine;
    let mut job = project(CutBy::Machine, vec![letter()], vec![poster], 1);
    job.cutter = reach(Edges::all(length(6.35)));
    assert_eq!(remedies(&job)[0], Remedy::Reach(length(2.9)));
    let (message, _) = told(&job);
    assert!(
        message.ends_with(
            "has 203.2 mm x 266.7 mm left of 215.9 mm x 279.4 mm by what the cutter cannot reach"
        ),
        "{message}"
    );
}

#[test]
fn the_smallest_declared_stock_that_holds_a_piece_is_named_and_none_that_cannot_be_printed() {
    let mut card = upright("card", 250.0, 250.0);
    card.artwork = vec![colour(Face::Front, 3.0, Colour::BLACK)];
    let mut plain = stock("plain", (290.0, 290.0));
    plain.face_a = StockFace::Plain;
    let stocks = vec![
        letter(),
        stock("large", (450.0, 450.0)),
        stock("pad", (304.8, 304.8)),
        plain,
    ];
    let mut job = project(CutBy::Machine, stocks, vec![card], 1);
    job.printer = margins(6.35);
    assert_eq!(remedies(&job), [Remedy::Stock(2)]);
    assert!(told(&job).1[0].contains("type `stock = \"pad\"`"));
}

/// 300 is longer than A4 (297) and Letter (279.4). Among sheets in millimetres B4 (250 x 353) is the next by area, among those in
/// inches 9 x 12 (228.6 x 304.8); RA4 (215 x 305) would be smaller, but only printing houses buy it.
#[test]
fn the_format_is_one_a_maker_can_buy_in_the_unit_of_the_stock() {
    for (format, size, want) in [
        ("iso_a4_210x297mm", (210.0, 297.0), "iso_b4_250x353mm"),
        ("na_letter_8.5x11in", LETTER_MM, "na_arch-a_9x12in"),
    ] {
        let mut oat = stock("oat", size);
        oat.format = format.to_owned();
        let job = project(
            CutBy::Machine,
            vec![oat],
            vec![piece("banner", 300.0, 40.0)],
            1,
        );
        assert_eq!(formats(&remedies(&job)), [want]);
    }
}

#[test]
fn a_band_that_may_not_be_turned_is_told_exactly_which_wishes_stand_against_it() {
    let mut oat = letter();
    oat.grain = Some(Axis::Y);
    let told_of = |change: fn(&mut Piece)| {
        let mut band = upright("band", 260.0, 40.0);
        change(&mut band);
        let job = project(CutBy::Machine, vec![oat.clone()], vec![band], 1);
        told(&job).1.remove(0)
    };
    let start = "it fits turned by a quarter: type ";
    assert_eq!(told_of(|_| ()), format!("{start}`turns = \"quarters\"`"));
    assert_eq!(
        told_of(|band| {
            band.turns = Turns::Any;
            band.grain = Some(Axis::Y);
        }),
        format!("{start}`grain = \"any\"`")
    );
    assert_eq!(
        told_of(|band| band.grain = Some(Axis::Y)),
        format!("{start}`turns = \"quarters\"` and `grain = \"any\"`")
    );
}

#[test]
fn a_one_way_pattern_that_keeps_a_band_from_turning_is_named() {
    let mut leaf = letter();
    leaf.face_a = StockFace::Patterned {
        name: "leaves".to_owned(),
        reads: Reads::OneWay,
        up: sheetwright::project::Edge::Top,
    };
    let mut band = piece("band", 260.0, 40.0);
    band.pattern_up = Some(sheetwright::project::Edge::Top);
    let job = project(CutBy::Machine, vec![leaf], vec![band], 1);
    assert!(told(&job).1[0].ends_with("type `pattern_up = \"any\"`"));
}

/// Four tags of 50 x 50 come out of a sheet; of 11 tags one sheet leaves 7, for which two more are enough.
#[test]
fn when_sheets_run_out_the_number_that_would_do_is_told() {
    let mut oat = stock("oat", (100.0, 100.0));
    oat.on_hand = Some(1);
    let mut tag = piece("tag", 50.0, 50.0);
    tag.cut_by = Maker::Hand;
    let job = project(CutBy::Trimmer, vec![oat], vec![tag], 11);
    let plan = plan(&job, &PlanOptions::default()).value;
    assert_eq!(plan.unplaced[0].reason, UnplacedReason::NoSheetsLeft);
    assert_eq!(plan.unplaced[0].remedies, [Remedy::OnHand(3)]);
    let (message, hints) = told(&job);
    assert_eq!(
        message,
        "no sheets of \"oat\" are left for 7 of piece \"tag\", 50 mm x 50 mm each; 1 are on hand"
    );
    assert_eq!(
        hints,
        [
            "2 more sheets of \"oat\" are enough: type `on_hand = 3`",
            "or plan fewer copies"
        ]
    );
}

/// A band of 300 x 15 with half a gap of 1.5 around is 303 x 18. On Letter it fits from the turn on at which it is narrow enough:
/// 303 cos 48 + 18 sin 48 = 216.1, less than the 218.9 that are left with half a gap beyond either edge; 303 cos 47 + 18 sin 47 = 219.8
/// is not; down it is 303 sin 48 + 18 cos 48 = 237.2 of 282.4.
#[test]
fn a_band_that_fits_askew_is_told_the_turn() {
    let band = piece("band", 300.0, 15.0);
    let mut job = project(CutBy::Machine, vec![letter()], vec![band], 2);
    assert_eq!(remedies(&job)[0], Remedy::AnyTurn(48));
    let (message, hints) = told(&job);
    assert!(
        message.starts_with("piece \"band\" needs 15 mm x 300 mm in the turns it may take"),
        "{message}"
    );
    assert_eq!(
        hints[0],
        "it fits turned by 48 degrees: type `turns = \"any\"`"
    );
    job.pieces[0].turns = Turns::Any;
    let plan = plan(&job, &PlanOptions::default()).value;
    assert!(plan.unplaced.is_empty(), "{:?}", plan.unplaced);
    // Where fibres bind it, it cannot.
    job.pieces[0].turns = Turns::Quarters;
    job.pieces[0].grain = Some(Axis::X);
    job.stocks[0].grain = Some(Axis::Y);
    assert!(
        !remedies(&job)
            .iter()
            .any(|r| matches!(r, Remedy::AnyTurn(_)))
    );
}
