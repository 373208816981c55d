//! Projects that are right are read as they say.

use std::fs;
use std::path::{Path, PathBuf};

use kurbo::Rect;
use sheetwright::diagnostic::Warned;
use sheetwright::fold::prove;
use sheetwright::geometry::shape::rectangle;
use sheetwright::geometry::space::{Rigid, Vec3};
use sheetwright::length::Length;
use sheetwright::load::{Options, project};
use sheetwright::math::Angle;
use sheetwright::project::{
    ArtworkFill, Axis, Best, Edge, Edges, Face, Fold, JointKind, OperationKind, Piece, Project,
};

use crate::folder::{Folder, projects};

fn read(path: &Path) -> Warned<Project> {
    let text = fs::read_to_string(path).unwrap();
    let name = path.file_name().unwrap().to_str().unwrap();
    project(name, &text, &Folder::of(path), &Options::default())
        .unwrap_or_else(|mistakes| panic!("{}: {mistakes:#?}", path.display()))
}

fn examples() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut found: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path().join("project.toml"))
        .filter(|path| path.exists())
        .collect();
    found.sort();
    found
}

#[test]
fn every_example_is_read_without_a_warning() {
    let examples = examples();
    assert!(examples.len() >= 4, "{examples:?}");
    for path in examples {
        assert_eq!(read(&path).warnings, [], "{}", path.display());
    }
}

fn inches(numerator: i64, denominator: i64) -> f64 {
    Length::from_inch_fraction(numerator, denominator).to_mm()
}

/// The corners of a box in whole nanometres, so that boxes compare without a tolerance.
fn nm(bounds: Rect) -> [i64; 4] {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a box on paper has few nanometres"
    )]
    [bounds.x0, bounds.y0, bounds.x1, bounds.y1].map(|mm| (mm * 1e6).round() as i64)
}

#[test]
fn every_good_project_is_read_without_a_warning() {
    for path in projects("good") {
        assert_eq!(read(&path).warnings, [], "{}", path.display());
    }
}

#[test]
fn the_seed_box_is_read_as_it_says() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/projects/good/seed-box.toml");
    let project = read(&path).value;
    assert_eq!(
        (project.job.best, project.job.rows),
        (Best::KitPerSheet, true)
    );

    let [moss, white, rest] = project.stocks.as_slice() else {
        panic!("{:?}", project.stocks)
    };
    assert_eq!(moss.format, "na_letter_8.5x11in");
    // 11 in lie across, so grain long runs from left to right.
    assert_eq!(
        (moss.width.to_mm(), moss.grain),
        (inches(11, 1), Some(Axis::X))
    );
    // 80 lb cover: 216.33 gsm, trade tables.
    assert!((moss.grammage_gsm.unwrap() - 216.33).abs() < 0.005);
    assert_eq!(moss.price.as_ref().unwrap().hundredths, 35);
    // Named by its size with the short side first, and still lying as typed.
    assert_eq!(
        (white.format.as_str(), white.width.to_mm()),
        ("na_arch-a_9x12in", inches(12, 1))
    );
    assert_eq!(
        (rest.offcut_of, rest.on_hand, &rest.face_b),
        (Some(1), Some(1), &white.face_b)
    );

    let [wrap, label, tag] = project.pieces.as_slice() else {
        panic!("{:?}", project.pieces)
    };
    assert_eq!(wrap.panels.len(), 5);
    let folds: Vec<_> = wrap.operations.iter().map(|o| o.kind).collect();
    let [mountain, valley] =
        [Fold::Mountain, Fold::Valley].map(|fold| OperationKind::Crease { fold });
    assert_eq!(folds, [mountain, mountain, valley, mountain]);
    // Two triangles of 1/16 x 1/16 in are snipped off 6 1/2 x 2 in.
    let area_in2 = wrap.outline.area_mm2() / (25.4 * 25.4);
    assert!(
        (area_in2 - (13.0 - 1.0 / 256.0)).abs() < 1e-12,
        "{area_in2}"
    );

    // On the panel from 1/2 to 2 1/2 in: 1/8 in shows left and right, 1/4 in above, 1/2 in below.
    assert_eq!(
        nm(label.outline.bounds()),
        nm(Rect::new(0.0, 0.0, inches(7, 4), inches(5, 4)))
    );
    let pose = label.mount.as_ref().unwrap().pose;
    assert_eq!((pose.x_mm, pose.y_mm), (inches(5, 8), inches(1, 4)));
    // Two of it in each copy, of three plies each.
    assert_eq!(label.per_copy, 6);

    // The panel runs from 3 1/2 to 5 1/2 in. The tag's bottom right corner lies 1/8 in from the panel's, and a quarter turn
    // clockwise about it takes the tag's box, 2 in to the left and 1 in up, to 1 in to the right and 2 in up.
    let corner = (inches(43, 8), inches(15, 8));
    let placed = tag
        .outline
        .transformed(tag.mount.as_ref().unwrap().pose.to_affine())
        .bounds();
    let wanted = Rect::new(
        corner.0,
        corner.1 - inches(2, 1),
        corner.0 + inches(1, 1),
        corner.1,
    );
    assert_eq!(nm(placed), nm(wanted));
    assert_eq!(tag.pattern_up, Some(Edge::Top));

    let [pea, bean] = project.editions.as_slice() else {
        panic!("{:?}", project.editions)
    };
    // 15 % of 10 is 1 1/2, rounded up.
    assert_eq!((pea.copies, pea.spares, pea.name.as_str()), (10, 2, "Pea"));
    assert_eq!(
        (bean.copies, bean.spares, bean.name.as_str()),
        (5, 0, "bean")
    );
    assert_eq!((project.stock_of(0, 0), project.stock_of(1, 0)), (0, 1));
    let colour = |edition: usize| match project.artwork_of(edition, 1)[0].fill {
        ArtworkFill::Flat(colour) => colour.to_hex(),
        ArtworkFill::Picture(_) | ArtworkFill::Repeat(_) | ArtworkFill::Each(_) => {
            panic!("a flat colour was declared")
        }
    };
    // CSS Color 4, named colours: olivedrab is #6b8e23; #abc is short for #aabbcc.
    assert_eq!(
        (colour(0), colour(1)),
        ("#6b8e23".to_owned(), "#aabbcc".to_owned())
    );
}

#[test]
fn a_drawn_net_knows_its_panels_and_how_it_goes_together() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/projects/good/seed-tray.toml");
    let project = read(&path).value;
    let tray = &project.pieces[0];
    // As drawn: the bottom runs from 20.15 to 80.45 and 60.45, the walls are 20.15 high, the tab is 12 wide and tapers.
    let boxes: Vec<_> = tray
        .panels
        .iter()
        .map(|panel| (panel.name.as_str(), panel.bounds_mm))
        .collect();
    let wanted = [
        ("bottom", Rect::new(20.15, 20.15, 80.45, 60.45)),
        ("front", Rect::new(20.15, 0.0, 80.45, 20.15)),
        ("right", Rect::new(80.45, 20.15, 100.6, 60.45)),
        ("tab", Rect::new(80.45, 0.0, 92.45, 20.15)),
    ];
    for ((name, found), (wanted_name, wanted)) in boxes.iter().zip(wanted) {
        assert_eq!((*name, nm(*found)), (wanted_name, nm(wanted)));
    }
    let ups: Vec<_> = tray.panels.iter().map(|p| p.up.map(Angle::deg)).collect();
    assert_eq!(ups, [None, Some(0.0), Some(90.0), None]);
    assert_eq!(tray.operations[0].folds_to.map(Angle::deg), Some(90.0));

    // The right wall stands 40.3 wide and 20.15 high, its left end at the top of the net. The leaf, 20 x 10 mm, lies in the middle of
    // it: from 10.15 along and 5.075 down, so from 20.15 + 10.15 down the net and 100.6 - 5.075 across it.
    let ArtworkFill::Picture(leaf) = &tray.artwork[0].fill else {
        panic!("{:?}", tray.artwork)
    };
    assert!((leaf.pose.x_mm - 95.525).abs() < 1e-9 && (leaf.pose.y_mm - 30.3).abs() < 1e-9);
    assert_eq!(leaf.pose.turn, Angle::from_deg(90.0));

    // 2.15 mm all round in a wall of 60.3 x 20.15 mm.
    let label = project.pieces[1].outline.bounds();
    assert_eq!(nm(label), nm(Rect::new(0.0, 0.0, 56.0, 15.85)));

    let [seeds] = project.assemblies.as_slice() else {
        panic!("{:?}", project.assemblies)
    };
    // The largest panel stays. Its middle comes to the origin, and a quarter turn clockwise seen from above takes the right wall, 40.225 mm
    // to the right of it, to the front.
    let member = &seeds.members[0];
    assert_eq!(
        (member.root.as_str(), member.name.as_str()),
        ("bottom", "tray")
    );
    let wall = member.pose.apply(Vec3::new(90.525, 40.3, 0.0));
    assert!(
        (wall - Vec3::new(0.0, -40.225, 0.0)).norm() < 1e-9,
        "{wall}"
    );
    let glued = &seeds.joints[0];
    assert_eq!(
        (glued.from.panel.as_str(), glued.from.face),
        ("tab", Face::Front)
    );
    assert_eq!(
        (glued.to.panel.as_str(), glued.to.face),
        ("right", Face::Back)
    );
    assert_eq!(seeds.free_of_glue[0].surface.face, Face::Front);
}

#[test]
fn a_drawn_card_says_what_covers_what_and_what_shows() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/projects/good/leaf-card.toml");
    let project = read(&path).value;
    let [covers, stuck] = project.assemblies[0].joints.as_slice() else {
        panic!("{:?}", project.assemblies)
    };
    assert_eq!(covers.kind, JointKind::Flush { area: None });
    assert_eq!((covers.from.face, covers.to.face), (Face::Back, Face::Back));
    let JointKind::Stuck { rims, .. } = &stuck.kind else {
        panic!("{stuck:?}")
    };
    let (high, wide) = (Length::from_mm(4), Length::from_mm(3));
    let wanted = Edges {
        top: high,
        right: wide,
        bottom: high,
        left: wide,
    };
    assert_eq!(rims, &Some(wanted));
    assert_eq!(prove(&project), []);

    // The leaf cut 92 mm wide instead of 94 mm: a millimetre more shows on both sides.
    let mut narrow = project.clone();
    narrow.pieces[1].outline = rectangle(92.0, 132.0).unwrap();
    // Its middle is still to lie on that of the front.
    let member = &mut narrow.assemblies[0].members[1];
    member.pose = member.pose.after(&Rigid::shift(1.0, 0.0, 0.0));
    let found = prove(&narrow);
    assert_eq!(found.len(), 1, "{found:?}");
    let message = &found[0].message;
    assert!(
        message.starts_with("\"card:front\" shows 4 mm beside \"leaf:leaf\" at its "),
        "{message}"
    );
}

#[test]
fn a_part_brings_its_pieces_along_with_what_is_said_of_them() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/projects/good/bulb-tin.toml");
    let project = read(&path).value;
    let ids: Vec<_> = project.pieces.iter().map(|p| p.id.as_str()).collect();
    assert_eq!(ids, ["label", "tin/base", "tin/lid"]);
    let [label, base, lid] = project.pieces.as_slice() else {
        panic!("{ids:?}")
    };
    let tin = &project.parts[0];
    assert_eq!((tin.id.as_str(), tin.pieces.clone()), ("tin", 1..3));
    assert_eq!(tin.asked[0], ("contents".into(), "88 x 58 x 34 mm".into()));
    // Two boxes in each copy; the lid is of its own paper and lies any way.
    assert_eq!(
        (base.per_copy, base.stock, lid.stock, lid.grain),
        (2, 0, 1, None)
    );

    // Contents and ease come to 90 x 60 mm. Creases of 0.3 mm paper are that much farther apart, and a trimmer in millimetres has a
    // grid of 1 mm: 91 x 61.
    let panel = |piece: &Piece, name: &str| {
        let mut panels = piece.panels.iter();
        panels.find(|p| p.name == name).unwrap().bounds_mm
    };
    let size = |bounds: Rect| nm(bounds.with_origin((0.0, 0.0)));
    assert_eq!(
        size(panel(base, "bottom")),
        nm(Rect::new(0.0, 0.0, 91.0, 61.0))
    );

    // 3 mm all round on the top of the lid.
    let top = panel(lid, "lid");
    assert_eq!(nm(label.outline.bounds()), size(top.inset(-3.0)));

    // The leaf, 20 x 10 mm, stands upright in the middle of the lid's front.
    let ArtworkFill::Picture(leaf) = &lid.artwork[0].fill else {
        panic!("{:?}", lid.artwork)
    };
    let front = panel(lid, "front").center();
    let (x, y) = (leaf.pose.x_mm + 10.0, leaf.pose.y_mm + 5.0);
    assert!((x - front.x).abs() < 1e-9 && (y - front.y).abs() < 1e-9);
    assert_eq!(leaf.pose.turn, Angle::ZERO);

    let stands = &project.assemblies[0];
    let members: Vec<_> = stands
        .members
        .iter()
        .map(|m| (m.piece, m.name.as_str()))
        .collect();
    assert_eq!(members, [(1, "tin/base"), (2, "tin/lid")]);
    assert_eq!((stands.id.as_str(), &stands.origin), ("tin", &tin.origin));
    assert!(stands.joints.iter().all(|joint| joint.origin == tin.origin));
}

#[test]
fn paper_on_hand_is_drawn_from_the_list() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/projects/good/on-hand.toml");
    let project = read(&path).value;
    let ids: Vec<_> = project
        .stocks
        .iter()
        .map(|s| (s.id.as_str(), s.on_hand))
        .collect();
    assert_eq!(
        ids,
        [
            ("moss", Some(12)),
            ("moss-1", Some(2)),
            ("moss-corner", Some(1))
        ]
    );
    let [_, strip, corner] = project.stocks.as_slice() else {
        panic!("{:?}", project.stocks)
    };
    assert_eq!((strip.offcut_of, strip.grain), (Some(0), Some(Axis::Y)));
    assert_eq!((corner.offcut_of, corner.grain), (Some(0), Some(Axis::X)));
    // A right triangle with legs of 6 and 5 in.
    let area_in2 = corner.area_mm2() / (25.4 * 25.4);
    assert!((area_in2 - 15.0).abs() < 1e-9, "{area_in2}");
    let size = &project.job.least_offcut;
    assert_eq!(
        (size.0.to_mm(), size.1.to_mm()),
        (inches(2, 1), inches(4, 1))
    );
}
