//! Hand-built scenes that move, and what is found when a size of one is wrong. All figures are worked out by hand.

use kurbo::{BezPath, Point};

use super::{Folded, FoldedMember, FoldedPanel, band, code, glue_free, slide};
use crate::diagnostic::{Diagnostic, Origin, Place};
use crate::geometry::space::{Rigid, Vec3};
use crate::length::{Length, LengthStyle, Size};
use crate::math::Angle;
use crate::project::{
    Assembly, Clearance, Face, Joint, JointKind, Member, Patch, Rider, RunningBand, Stretch,
    Surface,
};

const STYLE: LengthStyle = LengthStyle::Millimetres;

fn mm(mm: f64) -> Length {
    Length::nearest_mm(mm)
}

fn origin() -> Origin {
    Origin {
        key_path: "assembly[1]".into(),
        place: Place {
            file: "project.toml".into(),
            span: 0..0,
        },
    }
}

/// A member of one flat panel that is named like it, its middle at a height.
fn flat(name: &str, caliper_mm: f64, z_mm: f64, ring: &[(f64, f64)]) -> (Member, FoldedMember) {
    let panel = |ring: &[(f64, f64)]| FoldedPanel {
        name: name.into(),
        rings_mm: vec![ring.iter().copied().map(Point::from).collect()],
        place: Rigid::shift(0.0, 0.0, z_mm),
    };
    member(name, caliper_mm, vec![panel(ring)])
}

fn member(name: &str, caliper_mm: f64, panels: Vec<FoldedPanel>) -> (Member, FoldedMember) {
    let member = Member {
        piece: 0,
        name: format!("card/{name}"),
        root: name.into(),
        pose: Rigid::identity(),
        bends: Vec::new(),
    };
    (
        member,
        FoldedMember {
            piece: 0,
            caliper_mm,
            panels,
        },
    )
}

fn rect(x0: f64, y0: f64, x1: f64, y1: f64) -> [(f64, f64); 4] {
    [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
}

fn path(ring: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(ring[0]);
    for corner in &ring[1..] {
        path.line_to(*corner);
    }
    path.close_path();
    path
}

fn surface(member: usize, panel: &str, face: Face) -> Surface {
    Surface {
        member,
        panel: panel.into(),
        face,
    }
}

fn joint(kind: JointKind, from: Surface, to: Surface) -> Joint {
    Joint {
        kind,
        from,
        to,
        origin: origin(),
    }
}

fn stuck(from: Surface, to: Surface, area: Option<BezPath>) -> Joint {
    joint(
        JointKind::Stuck {
            area,
            covers_flap: false,
            rims: None,
            glue: Length::ZERO,
        },
        from,
        to,
    )
}

fn exactly(free_mm: f64) -> Option<Clearance> {
    Some(Clearance {
        least: mm(free_mm),
        most: mm(free_mm),
    })
}

fn assembly(members: Vec<Member>, joints: Vec<Joint>, band: Option<RunningBand>) -> Assembly {
    Assembly {
        id: "card".into(),
        name: "card".into(),
        members,
        joints,
        free_of_glue: Vec::new(),
        band,
        tolerance: Size::new(mm(0.1)).unwrap(),
        origin: origin(),
    }
}

/// Whether there is a finding of that code, and it says all of these.
#[track_caller]
fn assert_found(findings: &[Diagnostic], code: &str, says: &[&str]) {
    let text = |finding: &Diagnostic| format!("{} {}", finding.message, finding.hints.join(" "));
    let is_it = |finding: &&Diagnostic| {
        finding.code == code && says.iter().all(|s| text(finding).contains(s))
    };
    assert!(
        findings.iter().any(|finding| is_it(&finding)),
        "no {code} with {says:?} in {findings:#?}"
    );
}

/// Sizes of a slider of one ply, in mm: travel 80 = core 96 less strip 10 and two stops of 3. The core lies at x 0 to 96 and y 0 to 86.8,
/// its ears 10 beyond on both sides; rails 10 high leave a channel of 66.8, steps of 3 an exit of 60.8.
#[derive(Debug, Clone, Copy)]
struct Sizes {
    strip_to: f64,
    area_to: f64,
    exit_from: f64,
    step: f64,
    film: f64,
    front_cover: f64,
    panel_y: f64,
    back_z: f64,
}

/// Panels 0.65 thick lie 0.2 from the core before it and 0.4 behind it, with films and tapes of 0.1; covers leave 1.45 on each side.
/// The loop is 2 (96 + 0.3) + 1.5 = 194.1; with 10 of overlap the film is 204.1.
const DESIGNED: Sizes = Sizes {
    strip_to: 13.0,
    area_to: 13.0,
    exit_from: 13.0,
    step: 96.0,
    film: 204.1,
    front_cover: 1.6 + 0.15,
    panel_y: 10.4,
    back_z: -0.15 - 0.4 - 0.325,
};

const CORE: usize = 0;
const COVER: usize = 3;
const FILM: usize = 5;
const FRONT: usize = 6;
const BACK: usize = 7;

/// A frame open at the right, as the front one is; turned about the middle of the core for the back one.
fn frame(sizes: &Sizes, is_back: bool) -> Vec<(f64, f64)> {
    let (low, exit) = (76.8, 86.8 - sizes.exit_from);
    let corners = [
        (-10.0, 0.0),
        (106.0, 0.0),
        (106.0, sizes.exit_from),
        (sizes.step, sizes.exit_from),
        (sizes.step, 10.0),
        (-1.05, 10.0),
        (-1.05, low),
        (sizes.step, low),
        (sizes.step, exit),
        (106.0, exit),
        (106.0, 86.8),
        (-10.0, 86.8),
    ];
    turned(&corners, is_back)
}

fn turned(corners: &[(f64, f64)], is_back: bool) -> Vec<(f64, f64)> {
    corners
        .iter()
        .map(|(x, y)| (if is_back { 96.0 - x } else { *x }, *y))
        .collect()
}

/// A panel with its tail from -1.05 to 16 and its lead on to 106.
fn panel(sizes: &Sizes, is_back: bool) -> Vec<(f64, f64)> {
    let (y, low) = (sizes.panel_y, 86.8 - sizes.panel_y);
    let corners = [
        (-1.05, y),
        (16.0, y),
        (16.0, y + 3.0),
        (106.0, y + 3.0),
        (106.0, low - 3.0),
        (16.0, low - 3.0),
        (16.0, low),
        (-1.05, low),
    ];
    turned(&corners, is_back)
}

fn core() -> Vec<(f64, f64)> {
    vec![
        (-10.0, 0.0),
        (106.0, 0.0),
        (106.0, 10.0),
        (96.0, 10.0),
        (96.0, 76.8),
        (106.0, 76.8),
        (106.0, 86.8),
        (-10.0, 86.8),
        (-10.0, 76.8),
        (0.0, 76.8),
        (0.0, 10.0),
        (-10.0, 10.0),
    ]
}

/// The film: its middle turns 0.275 beyond the core's edges, 0.4 high at the left and 0.6 at the right, where its end comes to lie over its
/// beginning, 93 right of the left edge.
fn film(sizes: &Sizes) -> (Member, FoldedMember) {
    let bends = [93.275, 93.675, 190.225, 190.825];
    let ends = [0.0, bends[0], bends[1], bends[2], bends[3], sizes.film];
    let front = Rigid::shift(-0.275 - bends[1], 0.0, 0.15 + 0.05);
    let turn =
        |at: f64, deg: f64| Rigid::about(Vec3::new(at, 0.0, 0.0), Vec3::y(), Angle::from_deg(deg));
    let (left, right) = (
        front.after(&turn(bends[1], -90.0)),
        front.after(&turn(bends[2], 90.0)),
    );
    let places = [
        left.after(&turn(bends[0], -90.0)),
        left,
        front,
        right,
        right.after(&turn(bends[3], 90.0)),
    ];
    let facet = |(i, place): (usize, &Rigid)| FoldedPanel {
        name: "film".into(),
        rings_mm: vec![
            rect(ends[i], 13.4, ends[i + 1], 73.4)
                .map(Point::from)
                .to_vec(),
        ],
        place: *place,
    };
    member("film", 0.1, places.iter().enumerate().map(facet).collect())
}

fn slider(sizes: &Sizes) -> (Assembly, Folded) {
    let cover = rect(-10.0, 0.0, 106.0, 86.8);
    let parts = vec![
        flat("core", 0.3, 0.0, &core()),
        flat("front-frame", 1.45, 0.15 + 0.725, &frame(sizes, false)),
        flat("back-frame", 1.45, -0.15 - 0.725, &frame(sizes, true)),
        flat("front-cover", 0.3, sizes.front_cover, &cover),
        flat("back-cover", 0.3, -1.6 - 0.15, &cover),
        film(sizes),
        flat(
            "front-panel",
            0.65,
            0.15 + 0.2 + 0.325,
            &panel(sizes, false),
        ),
        flat("back-panel", 0.65, sizes.back_z, &panel(sizes, true)),
    ];
    let (members, folded): (Vec<Member>, Vec<FoldedMember>) = parts.into_iter().unzip();
    let mut made = assembly(members, slider_joints(sizes), Some(running_band(sizes)));
    let free = path(&rect(0.0, 10.0, 96.0, 76.8));
    made.free_of_glue = vec![Patch {
        surface: surface(CORE, "core", Face::Back),
        area: Some(free),
        origin: origin(),
    }];
    (made, Folded { members: folded })
}

fn running_band(sizes: &Sizes) -> RunningBand {
    let stretch = |from: f64, to: f64| Stretch {
        from: mm(from),
        to: mm(to),
    };
    let half = 194.1 / 2.0;
    RunningBand {
        core: CORE,
        band: FILM,
        riders: [
            Rider {
                member: FRONT,
                strip: stretch(3.0, sizes.strip_to),
                stop: mm(3.0),
            },
            Rider {
                member: BACK,
                strip: stretch(half + 3.0, half + 13.0),
                stop: mm(3.0),
            },
        ],
        seam: stretch(half + 3.0, half + 13.0),
        ease: mm(1.5),
        travel: mm(80.0),
        slot: mm(3.2),
        tape: mm(0.1),
    }
}

/// Faces that look up are called the back ones here: the piece frames are the object's, and a front looks along -z.
fn slider_joints(sizes: &Sizes) -> Vec<Joint> {
    let slides = |way: f64| JointKind::Slide {
        along: Vec3::x() * way,
        travel: mm(80.0),
        is_held: true,
        clearance: [None, exactly(0.8), exactly(0.8)],
    };
    let rail = path(&rect(-10.0, 0.0, 106.0, 10.0));
    vec![
        stuck(
            surface(1, "front-frame", Face::Front),
            surface(CORE, "core", Face::Back),
            Some(rail.clone()),
        ),
        stuck(
            surface(2, "back-frame", Face::Back),
            surface(CORE, "core", Face::Front),
            Some(rail),
        ),
        stuck(
            surface(1, "front-frame", Face::Back),
            surface(COVER, "front-cover", Face::Front),
            None,
        ),
        stuck(
            surface(2, "back-frame", Face::Front),
            surface(4, "back-cover", Face::Back),
            None,
        ),
        stuck(
            surface(FRONT, "front-panel", Face::Front),
            surface(FILM, "film", Face::Back),
            Some(path(&rect(3.0, 13.4, sizes.area_to, 73.4))),
        ),
        stuck(
            surface(BACK, "back-panel", Face::Back),
            surface(FILM, "film", Face::Back),
            Some(path(&rect(83.0, 13.4, 93.0, 73.4))),
        ),
        joint(
            slides(1.0),
            surface(FRONT, "front-panel", Face::Back),
            surface(COVER, "front-cover", Face::Front),
        ),
        joint(
            slides(-1.0),
            surface(BACK, "back-panel", Face::Front),
            surface(4, "back-cover", Face::Back),
        ),
    ]
}

fn found(assembly: &Assembly, folded: &Folded) -> Vec<Diagnostic> {
    let mut all = slide::look(assembly, folded, STYLE);
    all.extend(band::look(assembly, folded, STYLE));
    all.extend(glue_free::findings(assembly, folded));
    all
}

fn found_in(sizes: &Sizes) -> Vec<Diagnostic> {
    let (assembly, folded) = slider(sizes);
    found(&assembly, &folded)
}

#[test]
fn a_slider_as_designed_has_no_finding() {
    assert_eq!(found_in(&DESIGNED), []);
}

#[test]
fn a_strip_half_a_millimetre_too_wide_comes_too_near_an_edge() {
    let found = found_in(&Sizes {
        strip_to: 13.5,
        area_to: 13.5,
        ..DESIGNED
    });
    // Open at 80 it ends at 93.5, 2.5 before the edge.
    assert_found(
        &found,
        code::BAND_TURN,
        &["card/front-panel", "2.5 mm", "3 mm", "0.5 mm narrower"],
    );
    let found = found_in(&Sizes {
        area_to: 13.5,
        ..DESIGNED
    });
    assert_found(
        &found,
        code::BAND_STRIP,
        &["card/front-panel", "3 mm to 13.5 mm", "3 mm to 13 mm"],
    );
    // 4 mm too wide goes 1 mm round the edge.
    let found = found_in(&Sizes {
        strip_to: 17.0,
        area_to: 17.0,
        ..DESIGNED
    });
    assert_found(
        &found,
        code::BAND_TURN,
        &["round a turning edge", "card/front-panel"],
    );
}

#[test]
fn a_seam_that_turns_an_edge_is_found() {
    let (mut assembly, folded) = slider(&DESIGNED);
    let seam = &mut assembly.band.as_mut().unwrap().seam;
    (seam.from, seam.to) = (seam.from + mm(4.0), seam.to + mm(4.0));
    // It ends 17 beyond the edge behind it, and 97 after the travel of 80: the run is 96 long.
    assert_found(
        &band::look(&assembly, &folded, STYLE),
        code::BAND_TURN,
        &["the seam of \"card/film\"", "1 mm round", "pose 20 of 20"],
    );
}

#[test]
fn stops_that_are_missing_or_half_a_millimetre_off_are_found() {
    let found = found_in(&Sizes {
        exit_from: 10.0,
        ..DESIGNED
    });
    assert_found(
        &found,
        code::TRAVEL,
        &[
            "card/front-panel:front-panel",
            "not held",
            "nothing stops it",
        ],
    );
    let found = found_in(&Sizes {
        step: 95.5,
        ..DESIGNED
    });
    assert_found(
        &found,
        code::TRAVEL,
        &[
            "card/front-panel",
            "card/front-frame",
            "79.5 mm of its 80 mm",
            "0.5 mm",
        ],
    );
    let found = found_in(&Sizes {
        step: 96.5,
        ..DESIGNED
    });
    assert_found(
        &found,
        code::TRAVEL,
        &["card/back-panel", "card/back-frame", "0.5 mm on"],
    );
}

#[test]
fn a_film_half_a_millimetre_too_short_or_too_long_is_found() {
    let found = found_in(&Sizes {
        film: 203.6,
        ..DESIGNED
    });
    assert_found(
        &found,
        code::BAND_LOOP,
        &[
            "card/film",
            "193.6 mm",
            "1 mm more",
            "1.5 mm is meant",
            "0.5 mm longer",
        ],
    );
    assert_found(
        &found_in(&Sizes {
            film: 204.6,
            ..DESIGNED
        }),
        code::BAND_LOOP,
        &["0.5 mm shorter"],
    );
}

#[test]
fn a_slot_half_a_millimetre_too_low_or_too_high_is_found() {
    let found = found_in(&Sizes {
        front_cover: DESIGNED.front_cover - 0.5,
        ..DESIGNED
    });
    // Core 0.3, panels 1.3, three films and three tapes 0.6.
    assert_found(
        &found,
        code::BAND_SLOT,
        &[
            "2.7 mm high",
            "need 2.2 mm",
            "3.2 mm is meant",
            "0.5 mm higher",
        ],
    );
    assert_found(
        &found,
        code::CLEARANCE,
        &["from bottom to top", "card/front-cover", "0.5 mm"],
    );
    let found = found_in(&Sizes {
        front_cover: DESIGNED.front_cover + 0.5,
        ..DESIGNED
    });
    assert_found(&found, code::BAND_SLOT, &["0.5 mm lower"]);
}

#[test]
fn a_panel_half_a_millimetre_too_high_for_its_frame_is_found() {
    let found = found_in(&Sizes {
        panel_y: DESIGNED.panel_y - 0.25,
        ..DESIGNED
    });
    assert_found(
        &found,
        code::CLEARANCE,
        &[
            "0.3 mm in all",
            "0.8 mm is meant",
            "card/front-panel:front-panel",
            "card/front-frame:front-frame",
            "take 0.5 mm off",
        ],
    );
    let found = found_in(&Sizes {
        panel_y: DESIGNED.panel_y + 0.25,
        ..DESIGNED
    });
    assert_found(&found, code::CLEARANCE, &["1.3 mm in all", "add 0.5 mm"]);
}

#[test]
fn glue_between_what_moves_and_what_stays_is_named() {
    let with = |from: Surface, to: Surface| {
        let (mut assembly, folded) = slider(&DESIGNED);
        assembly.joints.push(stuck(from, to, None));
        found(&assembly, &folded)
    };
    let panel = || surface(FRONT, "front-panel", Face::Back);
    let found = with(panel(), surface(COVER, "front-cover", Face::Front));
    assert_found(
        &found,
        code::LOCKED,
        &["\"card/front-panel:front-panel\" to \"card/front-cover:front-cover\""],
    );
    let found = with(
        surface(FILM, "film", Face::Front),
        surface(CORE, "core", Face::Back),
    );
    assert_found(&found, code::LOCKED, &["card/film:film", "card/core:core"]);
    assert_found(&found, code::GLUE_FREE, &["card/core:core"]);
    let found = with(panel(), surface(BACK, "back-panel", Face::Front));
    assert_found(
        &found,
        code::LOCKED,
        &["card/front-panel", "card/back-panel"],
    );
}

#[test]
fn glue_through_a_third_piece_locks_as_well() {
    let (mut assembly, mut folded) = slider(&DESIGNED);
    let (member, part) = flat("leaf", 0.3, 5.0, &rect(90.0, 20.0, 120.0, 40.0));
    assembly.members.push(member);
    folded.members.push(part);
    assembly.joints.push(stuck(
        surface(8, "leaf", Face::Front),
        surface(COVER, "front-cover", Face::Back),
        None,
    ));
    assert_eq!(found(&assembly, &folded), []);
    assembly.joints.push(stuck(
        surface(8, "leaf", Face::Front),
        surface(FRONT, "front-panel", Face::Back),
        None,
    ));
    assert_found(
        &found(&assembly, &folded),
        code::LOCKED,
        &[
            "\"card/leaf:leaf\" to \"card/front-panel:front-panel\"",
            "\"card/leaf:leaf\" to \"card/front-cover:front-cover\"",
        ],
    );
}

#[test]
fn panels_on_one_run_or_driven_the_same_way_are_found() {
    let found_one = found_in(&Sizes {
        back_z: 0.5,
        ..DESIGNED
    });
    assert_found(
        &found_one,
        code::BAND_RUN,
        &["card/front-panel", "card/back-panel", "same run"],
    );
    let (mut assembly, folded) = slider(&DESIGNED);
    for joint in &mut assembly.joints {
        if let JointKind::Slide { along, travel, .. } = &mut joint.kind {
            (*along, *travel) = (Vec3::x(), mm(80.5));
        }
    }
    let found = band::look(&assembly, &folded, STYLE);
    assert_found(&found, code::BAND_TRAVEL, &["card/back-panel", "same way"]);
    assert_found(
        &found,
        code::BAND_TRAVEL,
        &["card/front-panel", "80.5 mm", "80 mm"],
    );
}

#[test]
fn a_panel_that_is_not_taped_to_the_band_is_found() {
    let (mut assembly, folded) = slider(&DESIGNED);
    assembly.joints.remove(4);
    assert_found(
        &band::look(&assembly, &folded, STYLE),
        code::BAND_STRIP,
        &["card/front-panel", "not taped"],
    );
}

/// The drawer and sleeve of the trade's worked example: the drawer is 40.6 wide and 20.3 high outside, the sleeve 41.2 x 20.9 inside, card
/// 0.3, so 0.6 is free in all both ways. Source: `constructions` of the check values, "drawer and sleeve".
fn drawer(width: f64, sleeve_inside: (f64, f64)) -> (Assembly, Folded) {
    let upright = Rigid::about(Vec3::zeros(), Vec3::x(), Angle::from_deg(90.0));
    let level = |name: &str, (x, half): (f64, f64), z: f64| FoldedPanel {
        name: name.into(),
        rings_mm: vec![rect(0.0, -half, x, half).map(Point::from).to_vec()],
        place: Rigid::shift(0.0, 0.0, z),
    };
    let wall = |name: &str, (x, z0, z1): (f64, f64, f64), y: f64| FoldedPanel {
        name: name.into(),
        rings_mm: vec![rect(0.0, z0, x, z1).map(Point::from).to_vec()],
        place: Rigid::shift(0.0, y, 0.0).after(&upright),
    };
    let (half, (across, high)) = ((width - 0.3) / 2.0, sleeve_inside);
    let walls = (across + 0.3) / 2.0;
    // The drawer stands on the sleeve's bottom: their middles are 0.3 apart.
    let tray = vec![
        level("bottom", (60.6, half), 0.0),
        wall("left", (60.6, 0.0, 20.15), half),
        wall("right", (60.6, 0.0, 20.15), -half),
    ];
    let (low, top) = (-0.3, -0.3 + high + 0.3);
    let sleeve = vec![
        level("back", (60.6, walls), low),
        level("front", (60.6, walls), top),
        wall("side-1", (60.6, low, top), walls),
        wall("side-2", (60.6, low, top), -walls),
    ];
    let (members, folded): (Vec<Member>, Vec<FoldedMember>) =
        [member("sleeve", 0.3, sleeve), member("drawer", 0.3, tray)]
            .into_iter()
            .unzip();
    let kind = JointKind::Slide {
        along: Vec3::x(),
        travel: mm(60.0),
        is_held: false,
        clearance: [None, exactly(0.6), exactly(0.6)],
    };
    let joints = vec![joint(
        kind,
        surface(1, "bottom", Face::Front),
        surface(0, "back", Face::Back),
    )];
    (assembly(members, joints, None), Folded { members: folded })
}

#[test]
fn a_drawer_of_the_trades_example_slides() {
    let (assembly, folded) = drawer(40.6, (41.2, 20.9));
    assert_eq!(slide::look(&assembly, &folded, STYLE), []);
}

#[test]
fn a_drawer_half_a_millimetre_too_wide_and_a_sleeve_too_low_are_found() {
    let (assembly, folded) = drawer(41.1, (41.2, 20.9));
    let found = slide::look(&assembly, &folded, STYLE);
    assert_eq!(found.len(), 1);
    assert_found(
        &found,
        code::CLEARANCE,
        &[
            "0.1 mm in all from front to back",
            "0.6 mm is meant",
            "card/sleeve:side-1",
            "card/sleeve:side-2",
            "card/drawer:left",
            "0.5 mm",
        ],
    );
    let (assembly, folded) = drawer(40.6, (41.2, 20.4));
    assert_found(
        &slide::look(&assembly, &folded, STYLE),
        code::CLEARANCE,
        &["0.1 mm in all from bottom to top", "card/sleeve:front"],
    );
    let (assembly, folded) = drawer(40.6, (41.7, 20.9));
    assert_found(
        &slide::look(&assembly, &folded, STYLE),
        code::CLEARANCE,
        &["1.1 mm in all", "add 0.5 mm"],
    );
    // Wider than the sleeve by 0.4.
    let (assembly, folded) = drawer(41.6, (41.2, 20.9));
    assert_found(
        &slide::look(&assembly, &folded, STYLE),
        code::CLEARANCE,
        &["-0.4 mm in all"],
    );
}

#[test]
fn a_drawer_that_is_to_be_held_and_is_not_and_one_that_is_stopped_are_found() {
    let (mut assembly, mut folded) = drawer(40.6, (41.2, 20.9));
    let set_held = |assembly: &mut Assembly, held: bool| {
        if let JointKind::Slide { is_held, .. } = &mut assembly.joints[0].kind {
            *is_held = held;
        }
    };
    set_held(&mut assembly, true);
    assert_found(
        &slide::look(&assembly, &folded, STYLE),
        code::TRAVEL,
        &["card/drawer:bottom", "not held"],
    );
    // A wall across the sleeve's mouth, its face 30 before the drawer's end.
    let (member, part) = member(
        "stop",
        0.3,
        vec![FoldedPanel {
            name: "stop".into(),
            rings_mm: vec![rect(5.0, -20.3, 15.0, 20.3).map(Point::from).to_vec()],
            place: Rigid::shift(60.6 + 30.0 + 0.15, 0.0, 20.0).after(&Rigid::about(
                Vec3::zeros(),
                Vec3::y(),
                Angle::from_deg(90.0),
            )),
        }],
    );
    assembly.members.push(member);
    folded.members.push(part);
    set_held(&mut assembly, false);
    assert_found(
        &slide::look(&assembly, &folded, STYLE),
        code::TRAVEL,
        &["card/stop:stop", "30 mm of its 60 mm"],
    );
}
