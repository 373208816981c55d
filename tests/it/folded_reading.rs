//! Which way up panels of a folded object read, and what is warned of.

use kurbo::Rect;
use sheetwright::diagnostic::Diagnostic;
use sheetwright::fold::reading::{Stands, readings};
use sheetwright::fold::{Folded, FoldedMember, findings};
use sheetwright::geometry::space::{Rigid, Vec3};
use sheetwright::length::Length;
use sheetwright::math::Angle;
use sheetwright::project::{Assembly, Face, Joint, JointKind, Project, Surface};

use crate::folded_by_hand::{Tray, assembly, panel, read, together};

const HEAD: &str = r#"
sheetwright = 1
[job]
name = "Plant-swap morning"
copies = 1
cut_by = "machine"
[[stock]]
id = "oat"
format = "12 x 12 in"
face_a = "printable"
[[stock]]
id = "film"
format = "letter"
clear = true
face_a = "printable"
face_b = "printable"
[[stock]]
id = "beans"
format = "letter"
face_a = { pattern = "bean rows", reads = "one-way", up = "top" }
"#;

const LEAF: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><path d="M5 0 L8 10 H2 Z" fill="#3c6e3c"/></svg>"##;

const TRAY: Tray = Tray {
    width_mm: 60.0,
    depth_mm: 40.0,
    height_mm: 30.0,
};

fn turn(axis: Vec3, deg: f64) -> Rigid {
    Rigid::about(Vec3::zeros(), axis, Angle::from_deg(deg))
}

/// What each panel says, as `(id, how, mirrored)`.
fn said(project: &Project, object: &Assembly, folded: &Folded) -> Vec<(String, Stands, bool)> {
    let found = readings(project, object, folded);
    found
        .into_iter()
        .map(|r| (r.id, r.reads, r.is_mirrored))
        .collect()
}

fn stands(id: &str, stands: Stands) -> (String, Stands, bool) {
    (id.to_owned(), stands, false)
}

fn codes(found: &[Diagnostic]) -> Vec<&str> {
    found.iter().map(|d| d.code).collect()
}

/// One print over the whole net of a tray, its top where the front wall is: by hand, what points to the top of the net points up on the front
/// wall, down on the back wall, to the front on the left and the right one, which is the viewer's right on the left wall and the left on
/// the right wall.
#[test]
fn a_print_over_the_net_of_a_tray_stands_on_its_head_at_the_back() {
    let art = r#"artwork = [{ file = "leaf.svg", width = "15 mm", repeat = true, reads = "one-way", bleed = "0 mm" }]"#;
    let project = read(
        &format!("{HEAD}{}", TRAY.piece("tray", art)),
        &[("leaf.svg", LEAF)],
    );
    let object = assembly(&project, &[0]);
    let folded = together(vec![TRAY.folded(0, Rigid::identity())]);
    assert_eq!(
        said(&project, &object, &folded),
        [
            stands("tray:bottom", Stands::NotJudged),
            stands("tray:front", Stands::Upright),
            stands("tray:back", Stands::UpsideDown),
            stands("tray:left", Stands::TopRight),
            stands("tray:right", Stands::TopLeft),
        ]
    );
    let found = findings(&project, &object, &folded);
    assert_eq!(codes(&found), ["fold.reads-upside-down"]);
    assert!(!found[0].is_error());
    assert!(
        found[0].message.contains("tray:back"),
        "{}",
        found[0].message
    );
    let hint = &found[0].hints[0];
    assert!(
        hint.contains("turn = \"180 deg\"") && hint.contains("tray:front"),
        "{hint}"
    );
}

fn strip(panels: &[(&str, Rect, Rigid)]) -> Folded {
    together(vec![FoldedMember {
        piece: 0,
        caliper_mm: 0.3,
        panels: panels
            .iter()
            .map(|(n, area, place)| panel(n, *area, *place))
            .collect(),
    }])
}

fn strip_project(width_mm: u32, height_mm: u32) -> Project {
    let piece = format!(
        r#"
        [[piece]]
        id = "strip"
        stock = "oat"
        shape = {{ kind = "rectangle", width = "{width_mm} mm", height = "{height_mm} mm" }}
        artwork = [{{ file = "leaf.svg", width = "10 mm", repeat = true, reads = "one-way", bleed = "0 mm" }}]
        "#
    );
    read(&format!("{HEAD}{piece}"), &[("leaf.svg", LEAF)])
}

/// A strip round a box: a one-way print that is upright on the front is upside down on the back if the strip goes over the top, and right
/// side up if it goes round the sides (the trade rule, which a sheet of paper round a box shows).
#[test]
fn a_strip_over_the_top_reads_upside_down_at_the_back_and_one_round_the_sides_does_not() {
    // A box 40 x 30 x 30. Over the top: up the front, back over the top, down the back.
    let project = strip_project(40, 90);
    let object = assembly(&project, &[0]);
    let x = Vec3::x();
    let over = strip(&[
        (
            "front",
            Rect::new(0.0, 60.0, 40.0, 90.0),
            Rigid::shift(0.0, 0.0, 90.0).after(&turn(x, -90.0)),
        ),
        (
            "top",
            Rect::new(0.0, 30.0, 40.0, 60.0),
            Rigid::shift(0.0, 60.0, 30.0).after(&turn(x, 180.0)),
        ),
        (
            "back",
            Rect::new(0.0, 0.0, 40.0, 30.0),
            Rigid::shift(0.0, 30.0, 0.0).after(&turn(x, 90.0)),
        ),
    ]);
    assert_eq!(
        said(&project, &object, &over),
        [
            stands("strip:front", Stands::Upright),
            stands("strip:top", Stands::Upright),
            stands("strip:back", Stands::UpsideDown),
        ]
    );
    let project = strip_project(110, 30);
    let object = assembly(&project, &[0]);
    let round = |deg: f64| turn(Vec3::z(), deg).after(&turn(x, -90.0));
    let sides = strip(&[
        (
            "front",
            Rect::new(0.0, 0.0, 40.0, 30.0),
            Rigid::shift(0.0, 0.0, 30.0).after(&round(0.0)),
        ),
        (
            "right",
            Rect::new(40.0, 0.0, 70.0, 30.0),
            Rigid::shift(40.0, -40.0, 30.0).after(&round(90.0)),
        ),
        (
            "back",
            Rect::new(70.0, 0.0, 110.0, 30.0),
            Rigid::shift(110.0, 30.0, 30.0).after(&round(180.0)),
        ),
    ]);
    assert_eq!(
        said(&project, &object, &sides),
        [
            stands("strip:front", Stands::Upright),
            stands("strip:right", Stands::Upright),
            stands("strip:back", Stands::Upright),
        ]
    );
    assert_eq!(codes(&findings(&project, &object, &sides)), [""; 0]);
}

/// A card that stands before the maker, `deg` turned about the way it looks.
fn standing(piece: usize, y_mm: f64) -> FoldedMember {
    FoldedMember {
        piece,
        caliper_mm: 0.3,
        panels: vec![panel(
            "1",
            Rect::new(0.0, 0.0, 60.0, 30.0),
            Rigid::shift(0.0, y_mm, 30.0).after(&turn(Vec3::x(), -90.0)),
        )],
    }
}

fn card(id: &str, stock: &str, more: &str) -> String {
    format!(
        r#"
        [[piece]]
        id = "{id}"
        stock = "{stock}"
        shape = {{ kind = "rectangle", width = "60 mm", height = "30 mm" }}
        {more}
        "#
    )
}

#[test]
fn the_turn_that_mends_a_picture_on_its_head_is_offered() {
    let art = r#"artwork = [{ file = "leaf.svg", width = "20 mm", turn = "180 deg", reads = "one-way", bleed = "0 mm" }]"#;
    let project = read(
        &format!("{HEAD}{}", card("label", "oat", art)),
        &[("leaf.svg", LEAF)],
    );
    let object = assembly(&project, &[0]);
    let found = findings(&project, &object, &together(vec![standing(0, 0.0)]));
    assert_eq!(codes(&found), ["fold.reads-upside-down"]);
    assert_eq!(found[0].hints, ["write turn = \"0 deg\""]);
}

#[test]
fn a_bought_pattern_on_its_head_and_stripes_on_their_side_are_warned_of() {
    let text = format!(
        "{HEAD}{}",
        card("label", "beans", "pattern_up = \"bottom\"")
    );
    let project = read(&text, &[]);
    let object = assembly(&project, &[0]);
    let found = findings(&project, &object, &together(vec![standing(0, 0.0)]));
    assert_eq!(codes(&found), ["fold.reads-upside-down"]);
    assert_eq!(found[0].hints, ["write pattern_up = \"top\""]);

    let striped = text.replace("\"one-way\"", "\"stripe\"");
    let project = read(&striped, &[]);
    let found = findings(&project, &object, &together(vec![standing(0, 0.0)]));
    assert_eq!(
        codes(&found),
        [""; 0],
        "stripes read the same on their head"
    );
    let project = read(&striped.replace("\"bottom\"", "\"left\""), &[]);
    let found = findings(&project, &object, &together(vec![standing(0, 0.0)]));
    assert_eq!(codes(&found), ["fold.reads-on-side"]);
    assert_eq!(found[0].hints, ["write pattern_up = \"top\""]);
}

#[test]
fn what_stands_behind_another_panel_says_nothing() {
    let art = r#"artwork = [{ file = "leaf.svg", width = "20 mm", bleed = "0 mm" }]"#;
    let text = format!(
        "{HEAD}{}{}",
        card("before", "oat", art),
        card("behind", "oat", art)
    );
    let project = read(&text, &[("leaf.svg", LEAF)]);
    let object = assembly(&project, &[0, 1]);
    let folded = together(vec![standing(0, 0.0), standing(1, 0.4)]);
    assert_eq!(
        said(&project, &object, &folded),
        [stands("before:1", Stands::Upright)]
    );
}

#[test]
fn a_print_behind_film_is_seen_mirrored_through_it() {
    let art =
        r#"artwork = [{ file = "leaf.svg", width = "20 mm", face = "back", bleed = "0 mm" }]"#;
    let text = format!(
        "{HEAD}{}{}",
        card("window", "film", art),
        card("behind", "oat", "")
    );
    let project = read(&text, &[("leaf.svg", LEAF)]);
    let object = assembly(&project, &[0, 1]);
    let folded = together(vec![standing(0, 0.0), standing(1, 0.4)]);
    let found = readings(&project, &object, &folded);
    assert_eq!(found.len(), 1);
    assert_eq!(
        (found[0].face, found[0].reads, found[0].is_mirrored),
        (Face::Back, Stands::Upright, true)
    );
}

/// A tube of 30 + 20 + 30 + 20 mm with a tab of 10 before it: the edge at 110 mm comes to lie on the crease at 10 mm, 100 mm on. Repeats of 20
/// mm fit five times; of 30 mm three times, with 10 mm left.
#[test]
fn a_repeat_runs_on_round_a_tube_if_the_way_round_is_whole_repeats() {
    for (repeat, off) in [("20 mm", None), ("30 mm", Some("off by 10.0 mm"))] {
        let piece = format!(
            r#"
            [[piece]]
            id = "tube"
            stock = "oat"
            shape = {{ kind = "rectangle", width = "110 mm", height = "60 mm" }}
            artwork = [{{ file = "leaf.svg", width = "{repeat}", at = "0 mm, 0 mm", repeat = true, bleed = "0 mm" }}]
            "#
        );
        let project = read(&format!("{HEAD}{piece}"), &[("leaf.svg", LEAF)]);
        let mut object = assembly(&project, &[0]);
        let surface = |panel: &str, face| Surface {
            member: 0,
            panel: panel.to_owned(),
            face,
        };
        object.joints.push(Joint {
            kind: JointKind::Stuck {
                area: None,
                covers_flap: true,
                rims: None,
                glue: Length::ZERO,
            },
            from: surface("tab", Face::Front),
            to: surface("side", Face::Back),
            origin: object.origin.clone(),
        });
        let rise = turn(Vec3::y(), 90.0);
        let folded = strip(&[
            (
                "side",
                Rect::new(90.0, 0.0, 110.0, 60.0),
                Rigid::shift(10.0, 0.0, 110.0).after(&rise),
            ),
            (
                "tab",
                Rect::new(0.0, 0.0, 10.0, 60.0),
                Rigid::shift(10.3, 0.0, 10.0).after(&rise),
            ),
        ]);
        let found = findings(&project, &object, &folded);
        match off {
            None => assert_eq!(codes(&found), [""; 0], "{repeat}"),
            Some(off) => {
                assert_eq!(codes(&found), ["fold.pattern-breaks"], "{repeat}");
                assert!(found[0].message.contains(off), "{}", found[0].message);
            }
        }
    }
}

#[test]
fn a_wish_for_grain_across_the_longest_fold_is_warned_of() {
    // The creases of the tray are 60 mm along x and 40 mm along y.
    for (grain, warned) in [("x", false), ("y", true)] {
        let text = format!(
            "{HEAD}{}",
            TRAY.piece("tray", &format!("grain = \"{grain}\""))
        );
        let project = read(&text, &[]);
        let folded = together(vec![TRAY.folded(0, Rigid::identity())]);
        let found = findings(&project, &assembly(&project, &[0]), &folded);
        let wanted: &[&str] = if warned { &["fold.grain-across"] } else { &[] };
        assert_eq!(codes(&found), wanted);
        if warned {
            assert!(
                found[0].hints[0].contains("grain = \"x\""),
                "{:?}",
                found[0].hints
            );
        }
    }
}
