//! In which order things are glued, what steps and cautions follow from the work, and what is tried first.

use sheetwright::handout::{Handout, warnings};
use sheetwright::length::Length;
use sheetwright::project::{Caution, Face, Lesson, Project, Step, When};

use crate::handout_scores::{handed_out, project};

fn part(construction: &str, sizes: &str, more: &str) -> String {
    format!(
        "[[part]]\nid = \"box\"\nconstruction = \"{construction}\"\n{sizes}\ngrid = \"none\"\nstock = \"card\"\n{more}"
    )
}

/// `from -> to`, in order.
fn glued(made: &Handout) -> Vec<String> {
    let numbers: Vec<u32> = made.gluing.iter().map(|g| g.number).collect();
    let count = u32::try_from(numbers.len()).unwrap();
    assert_eq!(numbers, (1..=count).collect::<Vec<_>>());
    made.gluing
        .iter()
        .map(|g| format!("{} -> {}", g.from, g.to))
        .collect()
}

fn place(order: &[String], what: &str) -> usize {
    let found = order.iter().position(|line| line.contains(what));
    found.unwrap_or_else(|| panic!("nothing like {what} in {order:#?}"))
}

#[test]
fn a_drawer_is_glued_before_its_sleeve() {
    let made = handed_out(&project(
        "mm",
        &part("drawer", "inside = \"60 x 40 x 20 mm\"", ""),
    ));
    let order = glued(&made);
    // Four corner tabs of the drawer, then the seam of the sleeve.
    assert_eq!(order.len(), 5, "{order:#?}");
    assert!(
        order[..4].iter().all(|line| line.contains("tab-")),
        "{order:#?}"
    );
    assert!(
        order[4].contains("tab -> ") && order[4].contains("bottom"),
        "{order:#?}"
    );
    // Outside of the flap to the inside of the wall.
    assert!(
        made.gluing
            .iter()
            .all(|g| (g.from_face, g.to_face) == (Face::Front, Face::Back))
    );
    // What is tried first: one drawer and one sleeve.
    let [test] = made.fit_tests.as_slice() else {
        panic!("{:#?}", made.fit_tests)
    };
    assert_eq!(test.pieces.len(), 2);
    assert!(test.pieces.iter().all(|(_, count)| *count == 1));
    assert!(
        test.proves.contains("comes out again") && test.proves.contains("0.6 mm"),
        "{}",
        test.proves
    );
    let last = made.steps.last().unwrap();
    assert!(
        last.text.starts_with("Slide ") && last.assembly == Some(0),
        "{last:?}"
    );
}

#[test]
fn a_lid_is_tried_on_its_tray() {
    let made = handed_out(&project(
        "mm",
        &part("lidded-box", "inside = \"60 x 40 x 20 mm\"", ""),
    ));
    let order = glued(&made);
    assert_eq!(order.len(), 8);
    let [test] = made.fit_tests.as_slice() else {
        panic!("{:#?}", made.fit_tests)
    };
    assert_eq!(test.pieces, [(0, 1), (1, 1)]);
    assert!(
        test.proves.contains("goes over") && test.proves.contains("lifts off"),
        "{}",
        test.proves
    );
    assert!(made.steps.last().unwrap().text.starts_with("Put "));
}

#[test]
fn what_a_cover_encloses_lies_there_before_it_is_glued_down() {
    let text = "[[stock]]\nid = \"film\"\nformat = \"letter\"\ncaliper = \"0.1 mm\"\nclear = true\n\
        [[stock]]\nid = \"board\"\nformat = \"letter\"\ncaliper = \"1.2 mm\"\n\
        [[part]]\nid = \"slider\"\nconstruction = \"double-slider\"\ncontents = \"50 x 75 mm\"\nstock = \"card\"\n\
        [[part.piece]]\npiece = \"frame\"\nstock = \"board\"\n[[part.piece]]\npiece = \"band\"\nstock = \"film\"\n";
    let project = project("mm", text);
    let made = handed_out(&project);
    let order = glued(&made);
    let name = |id: &str| {
        let found = project
            .pieces
            .iter()
            .find(|p| p.id == format!("slider/{id}"));
        found.unwrap_or_else(|| panic!("no {id}")).name.clone()
    };
    let (band, front, back) = (name("band"), name("front-cover"), name("back-cover"));
    let seam = place(&order, "one end -> ");
    let covers = [place(&order, &front), place(&order, &back)];
    let taped: Vec<usize> = (0..order.len())
        .filter(|i| order[*i].ends_with(&format!("-> {band}")))
        .collect();
    assert_eq!(taped.len(), 2, "{order:#?}");
    // Both rails of a frame go on the core in one go.
    let each: std::collections::BTreeSet<&String> = order.iter().collect();
    assert_eq!(each.len(), order.len(), "{order:#?}");
    // The band is closed before panels hang on it; covers close over all of that.
    assert!(taped.iter().all(|i| seam < *i), "{order:#?}");
    assert!(
        covers
            .iter()
            .all(|cover| taped.iter().all(|tape| tape < cover)),
        "{order:#?}"
    );
    // Core, band and one panel prove it.
    let [test] = made.fit_tests.as_slice() else {
        panic!("{:#?}", made.fit_tests)
    };
    let mut tried: Vec<&str> = test
        .pieces
        .iter()
        .map(|(p, _)| project.pieces[*p].id.as_str())
        .collect();
    tried.sort_unstable();
    assert_eq!(tried, ["slider/band", "slider/core", "slider/front-panel"]);
}

const CARD: &str = "[[piece]]\nid = \"card\"\nname = \"Card\"\nstock = \"card\"\n[piece.shape]\nkind = \"strip\"\nacross = \"5 1/2 in\"\n\
    panels = [\"4 1/4 in\", \"4 1/4 in\"]\nfold = \"mountain\"\n\
    [[piece]]\nid = \"top\"\nname = \"Picture\"\nstock = \"card\"\n[piece.mount]\non = \"mat\"\nreveal = \"1/8 in\"\n\
    [[piece]]\nid = \"mat\"\nname = \"Mat\"\nstock = \"card\"\n[piece.mount]\non = \"card:2\"\nreveal = \"1/8 in\"\n";

#[test]
fn layers_go_on_from_the_bottom_up_wherever_they_stand_in_the_file() {
    let made = handed_out(&project("inch fractions", CARD));
    assert_eq!(glued(&made), ["Mat -> Card, panel 2", "Picture -> Mat"]);
    assert!(
        made.gluing
            .iter()
            .all(|g| (g.from_face, g.to_face) == (Face::Back, Face::Front))
    );
}

#[test]
fn steps_follow_from_the_work_where_the_maker_says_none() {
    let made = handed_out(&project("inch fractions", CARD));
    let texts: Vec<&str> = made.steps.iter().map(|s| s.text.as_str()).collect();
    assert_eq!(
        texts,
        [
            "Cut 1 Card: 8 1/2 in x 5 1/2 in from card, with the trimmer.",
            "Cut 1 Picture: 3 3/4 in x 5 in from card, with the trimmer.",
            "Cut 1 Mat: 4 in x 5 1/4 in from card, with the trimmer.",
            "Score Card: lay it front up. Put the left edge at the fence: score at 4 1/4 in (1).",
            "Fold Card, front up: away from you at 1 (mountain). Press each fold.",
            "Glue 1: the back of Mat to the front of Card, panel 2.",
            "Glue 2: the back of Picture to the front of Mat.",
        ]
    );
    let before = made
        .steps
        .iter()
        .filter(|s| s.when == When::BeforeClass)
        .count();
    assert_eq!(before, 4);
    assert_eq!(made.steps[3].piece, Some(0));
    assert_eq!(
        made.tools,
        ["trimmer", "rule and scoring tool", "bone folder", "glue"]
    );
    assert_eq!(made.cautions, [Caution::Trimmers, Caution::Glue]);
}

#[test]
fn the_makers_own_steps_tools_and_cautions_stand() {
    let mut project = project("inch fractions", CARD);
    let step = Step {
        text: "Write a name inside.".to_owned(),
        piece: Some(0),
        assembly: None,
        picture: None,
        when: When::InClass,
        minutes: Some(5),
        origin: project.job.origin.clone(),
    };
    project.lesson = Lesson {
        steps: vec![step.clone(), step],
        tools: vec!["Glue".to_owned(), "pen".to_owned()],
        cautions: vec![Caution::YoungMakers, Caution::Glue],
        ..Lesson::default()
    };
    let made = handed_out(&project);
    let numbered: Vec<_> = made
        .steps
        .iter()
        .map(|s| (s.number, s.own, s.minutes))
        .collect();
    assert_eq!(numbered, [(1, Some(0), Some(5)), (2, Some(1), Some(5))]);
    assert_eq!(
        made.tools,
        [
            "trimmer",
            "rule and scoring tool",
            "bone folder",
            "glue",
            "pen"
        ]
    );
    assert_eq!(
        made.cautions,
        [Caution::Trimmers, Caution::YoungMakers, Caution::Glue]
    );
}

fn warned(project: &Project) -> Vec<String> {
    let found = warnings(project);
    found.into_iter().map(|d| d.message).collect()
}

#[test]
fn scores_too_near_to_an_edge_or_to_each_other_are_told() {
    let strip = |at: &str| {
        let text = format!(
            "[[piece]]\nid = \"strip\"\nstock = \"card\"\n[piece.shape]\nkind = \"strip\"\nacross = \"2 in\"\nlength = \"6 in\"\n\
             fold = \"mountain\"\ncreases_at = [{at}]\n"
        );
        warned(&project("inch fractions", &text))
    };
    // Worked out by hand: none nearer than 1/8 in to an edge or each other.
    assert_eq!(
        strip("\"1/8 in\", \"1/4 in\", \"5 7/8 in\""),
        Vec::<String>::new()
    );
    assert_eq!(
        strip("\"1/16 in\", \"3 in\""),
        ["piece \"strip\" has score 1 at 1/16 in, 1/16 in from an edge: less than 1/8 in"]
    );
    assert_eq!(
        strip("\"3 in\", \"5 15/16 in\""),
        ["piece \"strip\" has score 2 at 5 15/16 in, 1/16 in from an edge: less than 1/8 in"]
    );
    assert_eq!(
        strip("\"3 in\", \"3 1/16 in\""),
        [
            "piece \"strip\" has scores 1 at 3 in and 2 at 3 1/16 in, 1/16 in apart: less than 1/8 in"
        ]
    );
    // Both round to 3 in.
    assert_eq!(
        strip("\"3 in\", \"3 1/64 in\""),
        ["piece \"strip\" has scores 1 at 3 in and 2 at 3 in, 0 in apart: less than 1/8 in"]
    );
}

#[test]
fn the_layer_of_a_card_made_from_sizes_shows_as_much_all_round() {
    // Common practice, no source: "cut 1/4 in smaller" shows 1/8 in on each side.
    let text = "[[part]]\nid = \"card\"\nconstruction = \"layered-card\"\noutside = \"4 1/4 x 5 1/2 in\"\nreveals = [\"1/8 in\"]\nstock = \"card\"\n";
    let made = handed_out(&project("inch fractions", text));
    let layer = made.pieces[1].layer.clone().unwrap();
    assert_eq!((layer.on, layer.panel.as_deref()), (0, Some("front")));
    assert_eq!(layer.shows, [Length::from_inch_fraction(1, 8); 4]);
    assert_eq!(
        made.pieces[1].size,
        (
            Length::from_inch_fraction(4, 1),
            Length::from_inch_fraction(21, 4)
        )
    );
    assert_eq!(
        made.pieces[0].scores[0].at,
        Length::from_inch_fraction(17, 4)
    );
    assert_eq!(made.gluing.len(), 1);
}

/// A triangle of 3, 3 and 2 1/2 in with a tab: by the law of cosines 114.62 and 130.75 degrees to turn by.
const STAND: &str = "[[supply]]\nid = \"strip\"\nname = \"Adhesive strip\"\nlength = \"1 1/2 in\"\n\
    [[piece]]\nid = \"stand\"\nname = \"Stand\"\nstock = \"card\"\n[piece.shape]\nkind = \"strip\"\nacross = \"1 1/2 in\"\n\
    panels = [\"1/2 in\", \"3 in\", \"3 in\", \"2 1/2 in\"]\nfold = \"mountain\"\nsnipped = \"start\"\n\
    folds_to = [\"114.62 deg\", \"130.76 deg\", \"114.62 deg\"]\n\
    [[piece.treat]]\ndo = \"glue\"\npanels = [\"1\"]\nwith = \"strip\"\n\
    [[assembly]]\nid = \"stand\"\n[[assembly.member]]\npiece = \"stand\"\nroot = \"4\"\n\
    [[assembly.joint]]\nkind = \"stuck\"\nfrom = \"stand:1\"\nto = \"stand:4\"\n";

#[test]
fn a_stand_of_three_sides_closes_and_is_stuck_with_its_strip() {
    let project = project("inch fractions", STAND);
    assert_eq!(sheetwright::fold::prove(&project), []);
    let made = handed_out(&project);
    assert_eq!(glued(&made), ["Stand, panel 1 -> Stand, panel 4"]);
    assert_eq!(made.gluing[0].with.as_deref(), Some("Adhesive strip"));
    let folds: Vec<u32> = made.pieces[0]
        .scores
        .iter()
        .map(|score| score.folds_to_deg)
        .collect();
    assert_eq!(folds, [115, 131, 115]);
}

#[test]
fn layers_go_on_stack_by_stack_and_say_what_holds_them() {
    let text = format!(
        "{}[[piece]]\nid = \"box\"\nname = \"Box\"\nstock = \"card\"\nshape = {{ kind = \"rectangle\", size = \"3 x 3 in\" }}\n\
         [[piece]]\nid = \"label\"\nname = \"Label\"\nstock = \"card\"\n[piece.mount]\non = \"box\"\nreveal = \"1/8 in\"\n",
        CARD.replace(
            "reveal = \"1/8 in\"\n[[piece]]\nid = \"mat\"",
            "reveal = \"1/8 in\"\nstandoff = \"1/16 in\"\n[[piece]]\nid = \"mat\""
        )
    );
    let made = handed_out(&project("inch fractions", &text));
    let order = ["Mat -> Card, panel 2", "Picture -> Mat", "Label -> Box"];
    assert_eq!(glued(&made), order);
    // 1/16 in, 1.6 mm, is foam; glue and tape are thinner than half a millimetre.
    let with: Vec<Option<&str>> = made.gluing.iter().map(|g| g.with.as_deref()).collect();
    assert_eq!(with, [None, Some("foam pads"), None]);
}
