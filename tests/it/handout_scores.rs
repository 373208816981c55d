//! Sizes and scoring lists, against the sums of the trade worked out by hand.

use std::collections::BTreeMap;

use sheetwright::handout::{GrooveFit, Handout, PieceWork, Score, handout};
use sheetwright::length::{Length, Size};
use sheetwright::load;
use sheetwright::plan::{PlanOptions, plan};
use sheetwright::project::{
    Edge, Embossing, Face, Fold, Project, Tool, ToolKind, TreatedPlace, Treatment, TreatmentKind,
};

/// A project in card 0.3 mm thick, with these pieces or parts.
pub(crate) fn project(lengths: &str, pieces: &str) -> Project {
    let text = format!(
        "sheetwright = 1\n[job]\nname = \"Swap table\"\ncopies = 4\ncut_by = \"trimmer\"\nshow_lengths = \"{lengths}\"\n\
         [[stock]]\nid = \"card\"\nformat = \"12 x 12 in\"\ncaliper = \"0.3 mm\"\n{pieces}"
    );
    let read = load::project(
        "project.toml",
        &text,
        &BTreeMap::new(),
        &load::Options::default(),
    );
    read.unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value
}

pub(crate) fn handed_out(project: &Project) -> Handout {
    handout(project, &plan(project, &PlanOptions::default()).value)
}

fn piece(shape: &str) -> String {
    format!("[[piece]]\nid = \"strip\"\nstock = \"card\"\n{shape}")
}

fn um(um: i64) -> Length {
    Length::from_um(um)
}

fn inches(numerator: i64, denominator: i64) -> Length {
    Length::from_inch_fraction(numerator, denominator)
}

/// Positions from one edge, in order.
fn from(work: &PieceWork, fence: Edge) -> Vec<Length> {
    let scores = work.scores.iter().filter(|s| s.fence == fence);
    scores.map(|s| s.at).collect()
}

/// Widths between the edges and the scores, which add up to the size by being differences of positions.
fn widths(positions: &[Length], size: Length) -> Vec<Length> {
    let mut at = vec![Length::ZERO];
    at.extend(positions);
    at.push(size);
    at.windows(2).map(|pair| pair[1] - pair[0]).collect()
}

fn only(project: &Project) -> PieceWork {
    let mut made = handed_out(project);
    assert_eq!(made.pieces.len(), 1);
    made.pieces.remove(0)
}

#[test]
fn a_card_base_of_eight_and_a_half_inches_is_scored_at_four_and_a_quarter() {
    // Common practice in the US, no source: A2, 4 1/4 x 5 1/2 in, from 5 1/2 x 8 1/2 in scored at 4 1/4.
    let shape = "[piece.shape]\nkind = \"strip\"\nacross = \"5 1/2 in\"\npanels = [\"4 1/4 in\", \"4 1/4 in\"]\nfold = \"mountain\"\n";
    let card = only(&project("inch fractions", &piece(shape)));
    assert_eq!(card.size, (inches(17, 2), inches(11, 2)));
    assert_eq!((card.per_copy, card.wanted, card.have), (1, 4, 0));
    assert!(card.is_rectangle && card.by_fence);
    assert_eq!(card.rough, None);
    assert_eq!(card.scores.len(), 1);
    let Score {
        number,
        fence,
        at,
        off,
        ref span,
        fold,
        folds_to_deg,
        again,
        ref groove,
        ..
    } = card.scores[0];
    assert_eq!(
        (number, fence, at, off),
        (1, Edge::Left, inches(17, 4), Length::ZERO)
    );
    assert_eq!(
        (span, fold, folds_to_deg, again, groove),
        (&None, Fold::Mountain, 90, false, &None)
    );
    assert_eq!(card.scored_face, Face::Front);
}

#[test]
fn a_card_base_published_with_the_wrong_half_comes_out_right() {
    // A published chart gives an A8 card of 10 1/2 x 7 7/8 in "score at 5"; half of 10 1/2 is 5 1/4.
    let shape = "[piece.shape]\nkind = \"strip\"\nacross = \"7 7/8 in\"\npanels = [\"5 1/4 in\", \"5 1/4 in\"]\nfold = \"mountain\"\n";
    let card = only(&project("inch fractions", &piece(shape)));
    assert_eq!(from(&card, Edge::Left), [inches(21, 4)]);
}

#[test]
fn the_tray_of_sixty_by_forty_by_twenty_is_scored_on_the_rule_and_still_adds_up() {
    // Worked out by hand: scores at depth + t/2 = 20.15 mm from every edge, blank 60 + 40 + 0.6 by 40 + 40 + 0.6 mm.
    let part = "[[part]]\nid = \"tray\"\nconstruction = \"tray\"\ninside = \"60 x 40 x 20 mm\"\ngrid = \"none\"\nstock = \"card\"\n";
    let tray = only(&project("mm", part));
    assert_eq!(tray.size, (um(100_600), um(80_600)));
    // 20.15 and 80.45 from the left, 20.15 and 60.45 from the top; the nearest half millimetres of those.
    let left = from(&tray, Edge::Left);
    let top = from(&tray, Edge::Top);
    assert_eq!(left, [um(20_000), um(80_500)]);
    assert_eq!(top, [um(20_000), um(60_500)]);
    let offs: Vec<_> = tray.scores.iter().map(|s| s.off).collect();
    assert_eq!(offs, [um(150), um(-50), um(150), um(-50)]);
    assert_eq!(
        widths(&left, tray.size.0),
        [um(20_000), um(60_500), um(20_100)]
    );
    assert_eq!(
        widths(&left, tray.size.0).into_iter().sum::<Length>(),
        um(100_600)
    );
    // Ridges come to lie inside: the outside is the front, and lies up.
    assert_eq!(tray.scored_face, Face::Front);
    assert!(
        tray.scores
            .iter()
            .all(|s| s.fold == Fold::Mountain && s.folds_to_deg == 90)
    );
    let numbers: Vec<_> = tray.scores.iter().map(|s| s.number).collect();
    assert_eq!(numbers, [1, 2, 3, 4]);
    assert!(tray.by_fence && !tray.is_rectangle);
    // One score from tab to tab, over all paper there is on its line.
    assert!(
        tray.scores
            .iter()
            .filter(|s| s.fence == Edge::Left)
            .all(|s| s.span.is_none()),
        "{:?}",
        tray.scores
    );
}

#[test]
fn rounding_touches_positions_only_and_never_the_sum() {
    // A 7 3/8 in strip of 3/8, 1/2, 1 7/8, 1/2, 1 7/8, 1 7/8 and 3/8 in. Each width rounded to whole millimetres makes
    // 10 + 13 + 48 + 13 + 48 + 48 + 10 = 190; the strip has 187.325.
    let shape = "[piece.shape]\nkind = \"strip\"\nacross = \"2 in\"\nfold = \"mountain\"\n\
                 panels = [\"3/8 in\", \"1/2 in\", \"1 7/8 in\", \"1/2 in\", \"1 7/8 in\", \"1 7/8 in\", \"3/8 in\"]\n";
    let strip = only(&project("mm", &piece(shape)));
    // 9.525, 22.225, 69.85, 82.55, 130.175 and 177.8 mm on a rule of half millimetres.
    let want = [9_500, 22_000, 70_000, 82_500, 130_000, 178_000].map(um);
    assert_eq!(from(&strip, Edge::Left), want);
    assert_eq!(
        widths(&want, strip.size.0).into_iter().sum::<Length>(),
        um(187_325)
    );
    assert_eq!(strip.size.0, inches(59, 8));
    for (score, truly) in strip
        .scores
        .iter()
        .zip([9_525, 22_225, 69_850, 82_550, 130_175, 177_800])
    {
        assert_eq!(score.at + score.off, um(truly));
        assert!(score.off.abs() <= um(250));
    }
    // In inches the same strip is on the rule, with nothing rounded.
    let strip = only(&project("inch fractions", &piece(shape)));
    assert!(strip.scores.iter().all(|s| s.off == Length::ZERO));
    let eighths = [3, 7, 22, 26, 41, 56].map(|n| inches(n, 8));
    assert_eq!(from(&strip, Edge::Left), eighths);
}

#[test]
fn the_sleeve_of_the_fifteen_constructions_is_scored_where_its_panels_say() {
    // Worked out by hand: 12, 41.5, 21.2, 41.5 and 20.9 mm make 137.1 mm, scores at 12, 53.5, 74.7 and 116.2 mm.
    let shape = "[piece.shape]\nkind = \"strip\"\nacross = \"60 mm\"\nfold = \"mountain\"\n\
                 panels = [\"12 mm\", \"41.5 mm\", \"21.2 mm\", \"41.5 mm\", \"20.9 mm\"]\n";
    let sleeve = only(&project("mm", &piece(shape)));
    assert_eq!(sleeve.size, (um(137_100), um(60_000)));
    assert_eq!(
        from(&sleeve, Edge::Left),
        [12_000, 53_500, 74_500, 116_000].map(um)
    );
    assert_eq!(sleeve.scores[2].off, um(200));
}

#[test]
fn a_piece_of_valleys_is_scored_on_its_back_and_measured_as_the_back_shows_it() {
    // 30 + 50 mm: the crease is 50 mm from the edge that is on the left once the piece is turned over.
    let shape = "[piece.shape]\nkind = \"strip\"\nacross = \"40 mm\"\nfold = \"valley\"\npanels = [\"30 mm\", \"50 mm\"]\n";
    let folder = only(&project("mm", &piece(shape)));
    assert_eq!(folder.scored_face, Face::Back);
    assert_eq!(from(&folder, Edge::Left), [um(50_000)]);
    assert_eq!(folder.scores[0].fold, Fold::Mountain);
}

#[test]
fn creases_on_one_line_join_but_for_paper_that_stays_flat() {
    // Two creases on one line with 20 mm of paper between them, and one that a slit carries on.
    let shape = "shape = { kind = \"rectangle\", width = \"100 mm\", height = \"60 mm\" }\n\
        [[piece.operation]]\nkind = \"crease\"\nfrom = \"0 mm, 20 mm\"\nto = \"40 mm, 20 mm\"\nfold = \"mountain\"\n\
        [[piece.operation]]\nkind = \"crease\"\nfrom = \"60 mm, 20 mm\"\nto = \"100 mm, 20 mm\"\nfold = \"mountain\"\n\
        [[piece.operation]]\nkind = \"crease\"\nfrom = \"0 mm, 40 mm\"\nto = \"40 mm, 40 mm\"\nfold = \"mountain\"\n\
        [[piece.operation]]\nkind = \"cut\"\nfrom = \"40 mm, 40 mm\"\nto = \"60 mm, 40 mm\"\n\
        [[piece.operation]]\nkind = \"crease\"\nfrom = \"60 mm, 40 mm\"\nto = \"100 mm, 40 mm\"\nfold = \"mountain\"\n";
    let work = only(&project("mm", &piece(shape)));
    let got: Vec<_> = work
        .scores
        .iter()
        .map(|s| (s.at, s.span, s.operations.clone()))
        .collect();
    assert_eq!(
        got,
        [
            (um(20_000), Some((um(0), um(40_000))), vec![0]),
            (um(20_000), Some((um(60_000), um(100_000))), vec![1]),
            (um(40_000), None, vec![2, 4]),
        ]
    );
    assert!(work.scores.iter().all(|s| s.fence == Edge::Top));
}

#[test]
fn slanted_and_curved_creases_are_left_to_a_template() {
    let shape = "shape = { kind = \"rectangle\", width = \"100 mm\", height = \"60 mm\" }\n\
        [[piece.operation]]\nkind = \"crease\"\nat_x = \"50 mm\"\nfold = \"mountain\"\n\
        [[piece.operation]]\nkind = \"crease\"\nfrom = \"0 mm, 10 mm\"\nto = \"40 mm, 20 mm\"\nfold = \"mountain\"\n";
    let work = only(&project("mm", &piece(shape)));
    assert_eq!(from(&work, Edge::Left), [um(50_000)]);
    assert!(!work.by_fence);
    let curved = "[[part]]\nid = \"pack\"\nconstruction = \"pillow-pack\"\noutside = \"60 x 100 mm\"\nstock = \"card\"\n";
    let pack = only(&project("mm", curved));
    assert!(!pack.by_fence);
    // An envelope folded of a square on its point: all four creases run across its edges.
    let slanted = "[[part]]\nid = \"post\"\nconstruction = \"diamond-envelope\"\ninside = \"162 x 114 mm\"\nstock = \"card\"\n";
    let envelope = only(&project("mm", slanted));
    assert!(!envelope.by_fence);
}

/// A 14 in strip creased at 1/2, 1 1/16, 7, 12 1/2 and 13 in, with a 12 in scoring board.
fn on_a_board() -> Project {
    let shape = "[piece.shape]\nkind = \"strip\"\nacross = \"2 in\"\nfold = \"mountain\"\nlength = \"14 in\"\n\
                 creases_at = [\"1/2 in\", \"1 1/16 in\", \"7 in\", \"12 1/2 in\", \"13 in\"]\n";
    let text = piece(shape).replace("card", "long");
    let stock = "[[stock]]\nid = \"long\"\nformat = \"15 x 15 in\"\ncaliper = \"0.3 mm\"\n";
    let mut project = project("inch fractions", &format!("{stock}{text}"));
    let size = |numerator, denominator| Size::new(inches(numerator, denominator)).unwrap();
    project.tools.push(Tool {
        id: "board".to_owned(),
        name: "Scoring board".to_owned(),
        kind: ToolKind::ScoringBoard {
            reach: size(12, 1),
            pitch: size(1, 8),
        },
        origin: project.job.origin.clone(),
    });
    project
}

#[test]
fn a_board_says_which_groove_or_from_which_end() {
    let strip = only(&on_a_board());
    let grooves: Vec<_> = strip.scores.iter().map(|s| s.groove.unwrap()).collect();
    assert_eq!(
        grooves,
        [
            GrooveFit::InGroove,
            GrooveFit::Between {
                nearest: inches(9, 8),
                off: inches(-1, 16)
            },
            GrooveFit::InGroove,
            // 14 - 12 1/2 and 14 - 13 in.
            GrooveFit::FromFarEnd { at: inches(3, 2) },
            GrooveFit::FromFarEnd { at: inches(1, 1) },
        ]
    );
}

fn emboss(project: &mut Project, place: TreatedPlace) {
    let origin = project.job.origin.clone();
    let size = |n| Size::new(Length::from_mm(n)).unwrap();
    project.tools.push(Tool {
        id: "leaf".to_owned(),
        name: "the leaf plate".to_owned(),
        kind: ToolKind::Embosser {
            across: size(120),
            deep: size(120),
        },
        origin: origin.clone(),
    });
    let kind = TreatmentKind::Embossed(Embossing {
        tool: 0,
        up: Some(Edge::Top),
        goes_in: vec![Edge::Left, Edge::Right],
        caliper: None,
    });
    project.pieces[0].treatments.push(Treatment {
        kind,
        face: Face::Front,
        place,
        note: None,
        origin,
    });
}

#[test]
fn creases_across_what_is_embossed_are_made_again() {
    let part = "[[part]]\nid = \"tray\"\nconstruction = \"tray\"\ninside = \"60 x 40 x 20 mm\"\ngrid = \"none\"\nstock = \"card\"\n";
    let again = |place: TreatedPlace| {
        let mut project = project("mm", part);
        emboss(&mut project, place);
        only(&project)
            .scores
            .iter()
            .map(|s| s.again)
            .collect::<Vec<_>>()
    };
    assert_eq!(again(TreatedPlace::Whole), [true; 4]);
    // The left wall is bounded by the first crease; no other touches it but at a corner.
    assert_eq!(
        again(TreatedPlace::Panels(vec!["left".to_owned()])),
        [true, false, false, false]
    );
    // A patch of 10 x 10 mm about the middle of the upper edge of the bottom.
    let patch = kurbo::BezPath::from_svg("M45 15 H55 V25 H45 Z").unwrap();
    assert_eq!(
        again(TreatedPlace::Area(patch)),
        [false, false, true, false]
    );
    let walls: Vec<String> = ["front", "back", "left", "right"]
        .map(str::to_owned)
        .to_vec();
    assert_eq!(again(TreatedPlace::Panels(walls.clone())), [true; 4]);
    let mut project = project("mm", part);
    emboss(&mut project, TreatedPlace::Panels(walls));
    let words: Vec<_> = only(&project)
        .treated
        .into_iter()
        .map(|t| t.words)
        .collect();
    assert_eq!(
        words,
        [
            "emboss front, back, left and right with the leaf plate: put the left edge in first, then the right edge, the top of \
          the pattern towards the piece's top edge"
        ]
    );
}

#[test]
fn a_layer_shows_what_was_asked_for_on_each_side() {
    // Common practice, no source: a layer 1/4 in smaller shows 1/8 in all round. On a panel of 4 1/4 x 5 1/2 in: 4 x 5 1/4 in.
    let pieces = "[[piece]]\nid = \"card\"\nstock = \"card\"\n[piece.shape]\nkind = \"strip\"\nacross = \"5 1/2 in\"\n\
        panels = [\"4 1/4 in\", \"4 1/4 in\"]\nfold = \"mountain\"\n\
        [[piece]]\nid = \"mat\"\nstock = \"card\"\n[piece.mount]\non = \"card:2\"\nreveal = \"1/8 in\"\n\
        [[piece]]\nid = \"patch\"\nstock = \"card\"\nshape = { kind = \"rectangle\", width = \"2 in\", height = \"1 in\" }\n\
        [piece.mount]\non = \"mat\"\nanchor = \"top-left\"\noffset = \"1/2 in, 1/4 in\"\n";
    let mut project = project("inch fractions", pieces);
    let made = handed_out(&project);
    assert_eq!(made.pieces[1].size, (inches(4, 1), inches(21, 4)));
    let mat = made.pieces[1].layer.clone().unwrap();
    assert_eq!(
        (mat.on, mat.panel.as_deref(), mat.shows),
        (0, Some("2"), [inches(1, 8); 4])
    );
    // 4 - 2 - 1/2 = 1 1/2 at the right, 5 1/4 - 1 - 1/4 = 4 at the bottom.
    let patch = made.pieces[2].layer.clone().unwrap();
    assert_eq!(
        patch.shows,
        [inches(1, 4), inches(3, 2), inches(4, 1), inches(1, 2)]
    );
    assert!(!patch.trim_flush && made.pieces[2].rough.is_none());
    // Glued 1/8 in larger on each side, it is cut to 2 1/4 x 1 1/4 in; its outline counts that in.
    let mount = project.pieces[2].mount.as_mut().unwrap();
    mount.oversize = inches(1, 8);
    let made = handed_out(&project);
    let patch = &made.pieces[2];
    assert_eq!(
        (patch.size, patch.rough),
        (
            (inches(7, 4), inches(3, 4)),
            Some((inches(2, 1), inches(1, 1)))
        )
    );
    assert_eq!(
        patch.layer.as_ref().unwrap().shows,
        [inches(3, 8), inches(13, 8), inches(33, 8), inches(5, 8)]
    );
}
