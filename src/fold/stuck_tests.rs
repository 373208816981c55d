//! Glue that lands and glue that does not, on nets drawn by hand.

use super::trial::{
    assembly, crease, joint, member, net, only, origin, project, proved, stuck, surface, tray,
    tray_joints,
};
use crate::diagnostic::Diagnostic;
use crate::geometry::Outline;
use crate::length::Length;
use crate::project::{Edges, Face, JointKind, Piece};
use kurbo::BezPath;

/// The tray with another edge at its front left tab, which is `M20.15 0 L8.15 3 V17 L20.15 20.15` as it should be.
fn with_tab(tab: &str) -> Piece {
    let mut piece = tray();
    let outline = "M20.15 0 H80.45 L92.45 3 V17 L80.45 20.15 H100.6 V60.45 H80.45 L92.45 63.6 V77.6 L80.45 80.6 \
                   H20.15 L8.15 77.6 V63.6 L20.15 60.45 H0 V20.15 H20.15 ";
    let path = BezPath::from_svg(&format!("{outline}{tab} Z")).unwrap();
    piece.outline = Outline::new(&path, 0.001).unwrap();
    piece
}

#[test]
fn the_tabs_of_a_good_tray_land() {
    assert_eq!(proved(tray(), "bottom", tray_joints()), []);
}

#[test]
fn a_tab_that_sticks_out_is_told_with_its_edge_and_how_much() {
    // The tab's outer edge reaches to y = -0.5: half a millimetre above the wall's edge once it is folded.
    let found = only(proved(with_tab("L8.15 17 V-0.5"), "bottom", tray_joints()));
    assert_eq!(
        found.message,
        "\"tray:tab-fl\" sticks out 0.5 mm beyond \"tray:left\" at its upper edge"
    );
    assert_eq!(
        found.hints[0],
        "make \"tray:tab-fl\" 0.5 mm shorter at its upper edge"
    );
}

#[test]
fn glue_on_the_wrong_face_is_told() {
    let mut joints = tray_joints();
    joints[0].from.face = Face::Back;
    let found = only(proved(tray(), "bottom", joints));
    assert!(
        found
            .message
            .contains("\"tray:tab-fl\" is on its face that looks away from \"tray:left\""),
        "{found:?}"
    );
}

#[test]
fn a_tab_folded_too_little_does_not_lie_flat() {
    let mut piece = tray();
    piece.operations.remove(2);
    for (path, deg) in [
        ("M20.15 0 V20.15", 85.0),
        ("M20.15 20.15 V60.45", 90.0),
        ("M20.15 60.45 V80.6", 90.0),
    ] {
        piece.operations.push(crease(path, deg));
    }
    let found = only(proved(piece, "bottom", tray_joints()));
    // 12 sin 5 deg = 1.046.
    assert_eq!(
        found.message,
        "\"tray:tab-fl\" does not lie flat on \"tray:left\": it stands off by 1.05 mm at one end"
    );
}

#[test]
fn glue_and_flap_of_different_outlines_are_told() {
    let mut joints = tray_joints();
    let area = BezPath::from_svg("M20.15 0 L8.15 3 V16.4 L20.15 20.15 Z").unwrap();
    joints[0].kind = JointKind::Stuck {
        area: Some(area.clone()),
        covers_flap: true,
        rims: None,
        glue: Length::ZERO,
    };
    let found = only(proved(tray(), "bottom", joints.clone()));
    assert!(
        found
            .message
            .starts_with("the glue of \"tray:tab-fl\" and the flap itself have edges 0.5"),
        "{found:?}"
    );
    // Only a strip of a flap may be glued where that is meant.
    joints[0].kind = JointKind::Stuck {
        area: Some(area),
        covers_flap: false,
        rims: None,
        glue: Length::ZERO,
    };
    assert_eq!(proved(tray(), "bottom", joints), []);
}

/// A strip whose right end is folded over flat, 0.5 mm off the middle, with a notch at the top where it lands.
fn folded_strip(outline: &str) -> Piece {
    net(
        "strip",
        outline,
        &[("M60 0 V20", 180.0)],
        &[("page", (20.0, 15.0)), ("flap", (70.0, 10.0))],
    )
}

#[test]
fn a_flap_over_a_notch_is_told() {
    let glued = || {
        vec![joint(
            stuck(),
            surface(0, "flap", Face::Back),
            surface(0, "page", Face::Back),
        )]
    };
    assert_eq!(
        proved(folded_strip("M0 0 H80 V20 H0 Z"), "page", glued()),
        []
    );
    // A notch from 44 to 50 mm, 3 mm deep: the flap covers 40 to 60.
    let found = only(proved(
        folded_strip("M0 0 H44 V3 H50 V0 H80 V20 H0 Z"),
        "page",
        glued(),
    ));
    assert_eq!(
        found.message,
        "\"strip:flap\" lies over a notch or hole of \"strip:page\", 3 mm into it"
    );
}

#[test]
fn a_piece_laid_in_another_is_lifted_onto_it_and_one_placed_off_it_is_told() {
    let sheet = || net("sheet", "M0 0 H60 V40 H0 Z", &[], &[("page", (5.0, 5.0))]);
    let mat = || net("mat", "M0 0 H50 V30 H0 Z", &[], &[("mat", (5.0, 5.0))]);
    let at = |z_mm: f64| {
        let glued = joint(
            stuck(),
            surface(1, "mat", Face::Back),
            surface(0, "page", Face::Front),
        );
        let members = vec![
            member(0, "sheet", "page", (0.0, 0.0, 0.0)),
            member(1, "mat", "mat", (5.0, 5.0, z_mm)),
        ];
        let mut project = project(vec![sheet(), mat()]);
        project.assemblies = vec![assembly(members, vec![glued])];
        super::prove(&project)
    };
    // The front looks along -z. Laid in the sheet, or 0.3 mm before it as papers of 0.3 mm lie.
    assert_eq!((at(0.0), at(-0.3)), (vec![], vec![]));
    let found = only(at(-0.8));
    assert_eq!(
        found.message,
        "\"mat:mat\" does not reach \"sheet:page\": 0.5 mm are between them"
    );
    assert_eq!(found.origin, Some(origin()));
}

/// A mat of 40 x 20 mm laid on a sheet of 60 x 40 mm, 10 mm from all its edges, moved by so much and turned about its corner.
fn mat_on_sheet(outline: &str, kind: JointKind, shift: (f64, f64)) -> Vec<Diagnostic> {
    let sheet = net("sheet", outline, &[], &[("page", (2.0, 2.0))]);
    let mat = net("mat", "M0 0 H40 V20 H0 Z", &[], &[("mat", (5.0, 5.0))]);
    let glued = joint(
        kind,
        surface(1, "mat", Face::Back),
        surface(0, "page", Face::Front),
    );
    let members = vec![
        member(0, "sheet", "page", (0.0, 0.0, 0.0)),
        member(1, "mat", "mat", (10.0 + shift.0, 10.0 + shift.1, 0.0)),
    ];
    let mut project = project(vec![sheet, mat]);
    project.assemblies = vec![assembly(members, vec![glued])];
    super::prove(&project)
}

const SHEET: &str = "M0 0 H60 V40 H0 Z";

fn with_rims(all_mm: i64) -> JointKind {
    JointKind::Stuck {
        area: None,
        covers_flap: true,
        rims: Some(Edges::all(Length::from_mm(all_mm))),
        glue: Length::ZERO,
    }
}

fn glued_at(area: &str) -> JointKind {
    JointKind::Stuck {
        area: Some(BezPath::from_svg(area).unwrap()),
        covers_flap: false,
        rims: None,
        glue: Length::ZERO,
    }
}

#[test]
fn a_mat_laid_off_its_place_is_told_with_what_shows() {
    assert_eq!(mat_on_sheet(SHEET, with_rims(10), (0.0, 0.0)), []);
    // Within a tenth it may lie anywhere.
    assert_eq!(mat_on_sheet(SHEET, with_rims(10), (0.09, -0.09)), []);
    // Half a millimetre to the right: 9.5 mm show there and 10.5 at the left.
    let found = only(mat_on_sheet(SHEET, with_rims(10), (0.5, 0.0)));
    assert!(
        found.message
            == "\"sheet:page\" shows 9.5 mm beside \"mat:mat\" at its right edge, and 10 mm is right"
            || found.message
                == "\"sheet:page\" shows 10.5 mm beside \"mat:mat\" at its left edge, and 10 mm is right",
        "{found:?}"
    );
    assert!(
        found.hints[0].starts_with("move \"mat\" 0.5 mm "),
        "{found:?}"
    );
}

#[test]
fn a_mat_too_small_or_too_large_is_told_both_ways() {
    // Rims of 9 mm want a mat of 42 x 22 mm, rims of 11 mm one of 38 x 18 mm; told once across and once down.
    for (rim_mm, verb) in [(9, "longer"), (11, "shorter")] {
        let found = mat_on_sheet(SHEET, with_rims(rim_mm), (0.0, 0.0));
        assert_eq!(found.len(), 2, "{found:?}");
        for finding in found {
            let hint = format!("make \"mat:mat\" 1 mm {verb} at its ");
            assert!(finding.hints[0].starts_with(&hint), "{finding:?}");
        }
    }
}

#[test]
fn a_window_below_glue_is_told_though_no_corner_of_either_is_in_it() {
    // A slot of 4 mm across the whole sheet but for its ends; the mat lies across it.
    let slot = "M0 0 H60 V40 H0 Z M5 18 V22 H55 V18 Z";
    let found = only(mat_on_sheet(slot, stuck(), (0.0, 0.0)));
    assert_eq!(
        found.message,
        "\"mat:mat\" lies over a notch or hole of \"sheet:page\": 40 mm x 4 mm of its glue have nothing below them"
    );
    // Glued beside the slot only.
    let above = glued_at("M0 0 H40 V8 H0 Z");
    assert_eq!(mat_on_sheet(slot, above, (0.0, 0.0)), []);
    // A window that lies all below the mat.
    let window = "M0 0 H60 V40 H0 Z M20 15 V25 H40 V15 Z";
    let found = only(mat_on_sheet(window, stuck(), (0.0, 0.0)));
    assert_eq!(
        found.message,
        "\"mat:mat\" lies over a notch or hole of \"sheet:page\": 20 mm x 10 mm of its glue have nothing below them"
    );
}

#[test]
fn glue_off_its_flap_is_told() {
    let found = only(mat_on_sheet(
        SHEET,
        glued_at("M30 5 H40.5 V15 H30 Z"),
        (0.0, 0.0),
    ));
    assert_eq!(
        found.message,
        "the glue of \"mat:mat\" is not all on it: it reaches 0.5 mm beyond an edge or into a hole"
    );
    assert_eq!(
        found.hints[0],
        "take the glue area back by 0.5 mm there, or make \"mat:mat\" larger"
    );
    let elsewhere = only(mat_on_sheet(
        SHEET,
        glued_at("M50 5 H55 V15 H50 Z"),
        (0.0, 0.0),
    ));
    assert!(
        elsewhere.message.contains("it reaches 15 mm beyond"),
        "{elsewhere:?}"
    );
}

#[test]
fn a_loose_piece_is_to_be_moved_and_not_a_crease_of_it() {
    let mut found = mat_on_sheet(SHEET, stuck(), (15.0, 0.0));
    assert_eq!(
        found[0].hints[0],
        "make \"mat:mat\" 5 mm shorter at its right edge, or move \"mat\" away from there"
    );
    found.truncate(1);
    assert!(
        only(found)
            .message
            .starts_with("\"mat:mat\" sticks out 5 mm beyond")
    );
}

#[test]
fn a_panel_stuck_to_itself_is_told() {
    let itself = joint(
        stuck(),
        surface(0, "tab-fl", Face::Front),
        surface(0, "tab-fl", Face::Back),
    );
    let mut joints = tray_joints();
    joints.push(itself);
    let found = only(proved(tray(), "bottom", joints));
    assert_eq!(found.message, "\"tray:tab-fl\" is stuck to itself");
}
