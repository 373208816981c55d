//! Edges that meet, or do not.

use super::code;
use super::trial::{joint, member, net, only, project, proved, surface, tray, tray_joints};
use crate::diagnostic::Diagnostic;
use crate::geometry::Outline;
use crate::length::Length;
use crate::project::{Face, Joint, JointKind, Piece};
use kurbo::BezPath;

fn meets(from: &str, to: &str) -> Joint {
    let kind = JointKind::Meet {
        gap: Length::ZERO,
        inset: Length::ZERO,
    };
    joint(
        kind,
        surface(0, from, Face::Front),
        surface(0, to, Face::Front),
    )
}

/// The tray with another left wall, which is `V60.45 H0 V20.15` from its back to its front as it should be.
fn with_left_wall(wall: &str) -> Piece {
    let mut piece = tray();
    let outline = format!(
        "M20.15 0 H80.45 L92.45 3 V17 L80.45 20.15 H100.6 V60.45 H80.45 L92.45 63.6 V77.6 L80.45 80.6 \
         H20.15 L8.15 77.6 V63.6 L20.15 60.45 {wall} H20.15 L8.15 17 V3 Z"
    );
    piece.outline = Outline::new(&BezPath::from_svg(&outline).unwrap(), 0.001).unwrap();
    piece
}

fn proved_walls(piece: Piece) -> Vec<Diagnostic> {
    let mut joints = tray_joints();
    joints.extend([
        meets("left", "front"),
        meets("left", "back"),
        meets("right", "front"),
        meets("right", "back"),
    ]);
    proved(piece, "bottom", joints)
}

#[test]
fn walls_of_a_good_tray_meet() {
    assert_eq!(proved_walls(with_left_wall("H0 V20.15")), []);
}

#[test]
fn a_wall_too_high_stands_out_above_both_it_meets() {
    let found = proved_walls(with_left_wall("H-0.5 V20.15"));
    let messages: Vec<_> = found.iter().map(|f| f.message.as_str()).collect();
    assert_eq!(
        messages,
        [
            "\"tray:left\" stands 0.5 mm beyond \"tray:front\" at its upper edge",
            "\"tray:left\" stands 0.5 mm beyond \"tray:back\" at its upper edge"
        ]
    );
    assert_eq!(
        found[0].hints[0],
        "make \"tray:left\" 0.5 mm shorter at its upper edge, or \"tray:front\" 0.5 mm longer there"
    );
    // The tab at its front now stands above it, too.
    let low = proved_walls(with_left_wall("H0.5 V20.15"));
    let low: Vec<_> = low.iter().filter(|f| f.code == code::MEET).collect();
    assert_eq!(
        low[0].message,
        "\"tray:left\" ends 0.5 mm before \"tray:front\" at its upper edge"
    );
}

#[test]
fn a_wall_cut_too_narrow_leaves_a_gap() {
    // The tab's crease stands out beyond the wall, too, by no more than paper is thick and a trimmer errs.
    let found = only(proved_walls(with_left_wall("H0 V20.5 H20.15 V20.15")));
    assert_eq!(
        found.message,
        "\"tray:left\" and \"tray:front\" are 0.35 mm apart where they meet, and 0 mm is right"
    );
    assert_eq!(
        found.hints[0],
        "make \"tray:left\" 0.35 mm longer at its front edge, or move \"tray:front\""
    );
}

#[test]
fn panels_that_hang_together_do_not_meet_by_their_crease() {
    let mut joints = tray_joints();
    joints.push(meets("left", "bottom"));
    let found = only(proved(tray(), "bottom", joints));
    assert_eq!(
        (found.code, found.message.as_str()),
        (
            code::MEET,
            "\"tray:left\" and \"tray:bottom\" hang together at a crease, and no other edges of them meet"
        )
    );
}

/// Two walls 40 mm high on a bottom, and a lid on the right one that comes down on the left one, 30 mm wide of 40.
fn narrow_lid(inset_mm: i64) -> Vec<Diagnostic> {
    let case = net(
        "case",
        "M0 0 H90 V5 H120 V35 H90 V40 H0 Z",
        &[
            ("M30 0 V40", 90.0),
            ("M60 0 V40", 90.0),
            ("M90 5 V35", 90.0),
        ],
        &[
            ("left", (5.0, 20.0)),
            ("bottom", (45.0, 20.0)),
            ("right", (75.0, 20.0)),
            ("lid", (100.0, 20.0)),
        ],
    );
    let kind = JointKind::Meet {
        gap: Length::ZERO,
        inset: Length::from_mm(inset_mm),
    };
    let (lid, left) = (
        surface(0, "lid", Face::Front),
        surface(0, "left", Face::Front),
    );
    proved(case, "bottom", vec![joint(kind, lid, left)])
}

#[test]
fn an_edge_shorter_at_both_ends_is_right_only_by_design() {
    assert_eq!(narrow_lid(5), []);
    let found = only(narrow_lid(0));
    assert_eq!(
        found.message,
        "\"case:lid\" ends 5 mm before \"case:left\" at its front and at its back edge"
    );
    assert!(found.hints[0].contains("inset = \"5 mm\""), "{found:?}");
    let found = narrow_lid(7);
    assert_eq!(
        found[0].message,
        "\"case:lid\" ends 5 mm before \"case:left\" at its front edge, and 7 mm before it is right"
    );
}

#[test]
fn a_taped_lid_turns_about_the_edge_of_its_box() {
    use super::trial::assembly;
    let card = |id: &str| net(id, "M0 0 H60 V40 H0 Z", &[], &[("face", (5.0, 5.0))]);
    let at = |y_mm: f64| {
        let hinge = joint(
            JointKind::Hinge,
            surface(1, "face", Face::Front),
            surface(0, "face", Face::Front),
        );
        let members = vec![
            member(0, "box", "face", (0.0, 0.0, 0.0)),
            member(1, "lid", "face", (0.0, y_mm, 0.0)),
        ];
        let mut project = project(vec![card("box"), card("lid")]);
        project.assemblies = vec![assembly(members, vec![hinge])];
        super::prove(&project)
    };
    assert_eq!(at(40.0), []);
    let found = only(at(40.5));
    assert_eq!(
        (found.code, found.message.as_str()),
        (
            code::HINGE,
            "\"lid:face\" and \"box:face\" are 0.5 mm apart where they meet, and 0 mm is right"
        )
    );
}
