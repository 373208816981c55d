//! Pieces that lie askew or front down: layouts given by hand, since it is not the engine's choice that is looked at here.

use std::num::NonZeroUsize;

use kurbo::BezPath;
use proptest::prelude::*;
use sheetwright::drawing::Colour;
use sheetwright::geometry::{Outline, shape};
use sheetwright::job;
use sheetwright::load;
use sheetwright::math::Angle;
use sheetwright::plan::file::PlanFile;
use sheetwright::plan::place::{FilledSheet, Layout, Place, Placed, Placer, Request, Watch};
use sheetwright::plan::{JobPlan, PlanOptions, check, misplaced_pins, plan, plan_with};
use sheetwright::project::{
    Axis, CutBy, Edge, Face, Fold, Nicks, OperationKind, Pin, Project, Reads, StockFace, Turns,
};

use crate::folder::Folder;
use crate::plan_project::{LETTER_MM, colour, length, origin, project, shaped, size, stock};
use crate::program::root;

/// An engine that lays every job out as it was told.
struct ByHand(Vec<Place>);

impl Placer for ByHand {
    fn place(&self, request: &Request, _: &dyn Watch) -> Placed {
        Placed {
            layout: Layout {
                sheets: vec![FilledSheet {
                    kind: 0,
                    runs: 1,
                    places: self.0.clone(),
                }],
                leftovers: vec![0; request.parts.len()],
                spares: vec![0; request.parts.len()],
            },
            is_stopped: false,
        }
    }
}

/// A place of the first kind of piece, in millimetres and degrees.
fn at(x_mm: i64, y_mm: i64, turn_deg: u32) -> Place {
    Place {
        kind: 0,
        x_nm: x_mm * 1_000_000,
        y_nm: y_mm * 1_000_000,
        turn_mdeg: turn_deg * 1000,
        is_mirrored: false,
    }
}

fn laid_out(project: &Project, places: Vec<Place>) -> JobPlan {
    plan_with(&ByHand(places), project, &PlanOptions::default()).value
}

/// A seed packet's front of 60 x 40 mm with everything that has a direction.
const CARD: &str = r##"
sheetwright = 1
[job]
name = "Plant-swap cards"
copies = 2
cut_by = "machine"
show_lengths = "mm"
[[stock]]
id = "oat"
format = "letter"
face_a = "printable"
face_b = "printable"
[[piece]]
id = "card"
name = "Herb card"
stock = "oat"
turns = "any"
shape = { kind = "rectangle", size = "60 x 40 mm" }
[[piece.operation]]
kind = "crease"
at_x = "25 mm"
fold = "mountain"
[[piece.operation]]
kind = "perforation"
from = "25 mm, 10 mm"
to = "60 mm, 10 mm"
cut_length = "3 mm"
gap = "1 mm"
[[piece.operation]]
kind = "hole"
at = "5 mm, 5 mm"
diameter = "3 mm"
[[piece.artwork]]
colour = "#dfe7d0"
[[piece.artwork]]
file = "art/sprig.svg"
width = "20 mm"
at = "30 mm, 12 mm"
[[piece.artwork]]
face = "back"
file = "art/sprig.svg"
width = "15 mm"
repeat = true
"##;

/// A project whose pictures are those of the herb packets.
fn read(text: &str) -> Project {
    let folder = Folder::of(&root().join("examples/herb-packet/project.toml"));
    let read = load::project("project.toml", text, &folder, &load::Options::default());
    read.unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value
}

/// By hand: the corner of the padded box lies at (100, 40); from there the card's origin is 3 mm of bleed along and down in its
/// own directions, (3 cos 30 - 3 sin 30, 3 sin 30 + 3 cos 30) = (1.098076, 4.098076).
#[test]
fn a_card_turned_by_thirty_degrees_is_made_and_read_back_as_planned() {
    let project = read(CARD);
    let plan = laid_out(&project, vec![at(100, 40, 30), at(40, 140, 0)]);
    assert_eq!(check(&project, &plan), []);
    let pose = plan.sheets[0].placements[0].pose;
    assert!((pose.x_mm - 101.098_076).abs() < 1e-6 && (pose.y_mm - 44.098_076).abs() < 1e-6);
    let made = job::make(&project, &plan, NonZeroUsize::MIN).unwrap();
    let findings: Vec<_> = made.verdict.findings().collect();
    assert!(findings.is_empty(), "{findings:#?}");
    let file = PlanFile::new(&project, &plan);
    assert!((file.sheets[0].placements[0].turn_deg - 30.0).abs() < 1e-9);
}

#[test]
fn a_card_with_grain_or_a_pattern_may_not_lie_askew() {
    let planned = read(CARD);
    let plan = laid_out(&planned, vec![at(100, 40, 30), at(40, 140, 0)]);
    let findings = |change: fn(&mut Project)| {
        let mut project = planned.clone();
        change(&mut project);
        let found = check(&project, &plan).into_iter().map(|d| d.message);
        let turned = found.filter(|text| text.contains("turned as it may not be"));
        turned.collect::<Vec<_>>()
    };
    let askew = ["sheet 1: card#1 is turned as it may not be"];
    assert_eq!(findings(|p| p.pieces[0].turns = Turns::Quarters), askew);
    assert_eq!(
        findings(|p| {
            p.pieces[0].grain = Some(Axis::X);
            p.stocks[0].grain = Some(Axis::X);
        }),
        askew
    );
    // Dots that look alike at every quarter turn still stand in rows.
    assert_eq!(
        findings(|p| {
            p.pieces[0].pattern_up = Some(Edge::Top);
            p.stocks[0].face_a = StockFace::Patterned {
                name: "dots".to_owned(),
                reads: Reads::Free,
                up: Edge::Top,
            };
        }),
        askew
    );
}

/// A bare label of 60 x 40 mm with a notch at its top left and a mountain crease.
const LABEL: &str = r##"
sheetwright = 1
[job]
name = "Plant-swap labels"
copies = 2
cut_by = "machine"
show_lengths = "mm"
[[stock]]
id = "oat"
format = "letter"
[[piece]]
id = "label"
name = "Bean label"
stock = "oat"
mirror = true
shape = { kind = "path", unit = "mm", data = "M 10 0 H 60 V 40 H 0 V 10 H 10 Z" }
[[piece.operation]]
kind = "crease"
at_x = "25 mm"
fold = "mountain"
"##;

fn front_down(place: Place) -> Place {
    Place {
        is_mirrored: true,
        ..place
    }
}

/// With half a gap of 1.5 around, the padded box is 63 x 43. Front down at (100, 40) its notch lies at the right: the label's origin
/// is mirrored to the right end, 100 + 63 - 1.5 = 161.5 from the left, and its crease at 161.5 - 25 = 136.5 is a valley. A quarter
/// turn clockwise takes right to down: from (60, 140) the origin comes to lie 1.5 left of it and 61.5 down.
#[test]
fn a_label_that_lies_front_down_is_mirrored_and_its_folds_are_swapped() {
    let project = read(LABEL);
    let places = vec![front_down(at(100, 40, 0)), front_down(at(60, 140, 90))];
    let plan = laid_out(&project, places);
    assert_eq!(check(&project, &plan), []);
    let poses: Vec<_> = plan.sheets[0].placements.iter().map(|p| p.pose).collect();
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    assert!(
        near(poses[0].x_mm, 161.5) && near(poses[0].y_mm, 41.5),
        "{poses:?}"
    );
    assert!(
        near(poses[1].x_mm, 58.5) && near(poses[1].y_mm, 201.5),
        "{poses:?}"
    );
    let file = PlanFile::new(&project, &plan);
    let first = &file.sheets[0].placements[0];
    assert!(first.face_down);
    let crease = &first.operations[0];
    assert_eq!(crease.fold.as_deref(), Some("valley"));
    assert!(crease.path.contains("136.5 "), "{}", crease.path);
    let made = job::make(&project, &plan, NonZeroUsize::MIN).unwrap();
    let findings: Vec<_> = made.verdict.findings().collect();
    assert!(findings.is_empty(), "{findings:#?}");
    let svg = std::str::from_utf8(&made.files["cut-01.svg"]).unwrap();
    assert!(svg.contains("Bean label, front down"), "{svg}");
}

#[test]
fn a_label_that_may_not_lie_front_down_is_found() {
    let project = read(LABEL);
    let plan = laid_out(&project, vec![front_down(at(100, 40, 0)), at(60, 140, 0)]);
    let findings = |change: fn(&mut Project, &mut JobPlan)| {
        let (mut project, mut plan) = (project.clone(), plan.clone());
        change(&mut project, &mut plan);
        let found = check(&project, &plan).into_iter().map(|d| d.message);
        found.collect::<Vec<_>>()
    };
    assert_eq!(findings(|_, _| ()), [""; 0]);
    let down = ["sheet 1: label#1 lies front down"];
    assert_eq!(findings(|p, _| p.pieces[0].may_mirror = false), down);
    assert_eq!(
        findings(|p, _| p.stocks[0].face_a = StockFace::Printable),
        down
    );
    let unlike = ["sheet 1: label#1 is not as it is seen"];
    let crease = OperationKind::Crease {
        fold: Fold::Mountain,
    };
    let was_crease = |plan: &mut JobPlan| plan.sheets[0].placements[0].operations[0].kind = crease;
    let mut folded = plan.clone();
    was_crease(&mut folded);
    let found = check(&project, &folded).into_iter().map(|d| d.message);
    assert_eq!(found.collect::<Vec<_>>(), unlike);
}

#[test]
fn an_engine_is_told_which_labels_may_lie_front_down() {
    struct Asked;
    impl Placer for Asked {
        fn place(&self, request: &Request, watch: &dyn Watch) -> Placed {
            assert!(request.parts[0].may_mirror);
            ByHand(vec![at(100, 40, 0), at(60, 140, 0)]).place(request, watch)
        }
    }
    let project = read(LABEL);
    let plan = plan_with(&Asked, &project, &PlanOptions::default()).value;
    assert_eq!(check(&project, &plan), []);
}

/// Jobs of pieces that may lie in any way: round, slanting or upright, printed in one colour or bare, held by nicks, the first one
/// pinned.
fn any_small_job() -> impl Strategy<Value = Project> {
    let kind = (0..3_usize, 15.0..60.0_f64, 15.0..60.0_f64, any::<bool>());
    let kinds = prop::collection::vec(kind, 1..4);
    (kinds, 1..5_u32, any::<bool>(), any::<bool>()).prop_map(
        |(kinds, copies, is_printed, is_pinned)| {
            let shape = |(form, w, h, _): (usize, f64, f64, bool)| match form {
                0 => shape::circle(w).unwrap(),
                1 => shape::rectangle(w, h).unwrap(),
                _ => {
                    let slant = w / 3.0;
                    let path = format!("M{slant} 0 H{w} L{} {h} H0 Z", w - slant);
                    Outline::new(&BezPath::from_svg(&path).unwrap(), 0.01).unwrap()
                }
            };
            let pieces = kinds.into_iter().enumerate().map(|(i, kind)| {
                let mut p = shaped(&format!("tag-{i}"), shape(kind));
                p.turns = if kind.3 { Turns::Any } else { Turns::Quarters };
                p.nicks = Some(Nicks {
                    count: 2,
                    length: size(0.4),
                });
                if is_printed {
                    p.artwork = vec![colour(Face::Front, 3.0, Colour::BLACK)];
                } else {
                    p.may_mirror = true;
                }
                p
            });
            let mut job = project(
                CutBy::Machine,
                vec![stock("oat", LETTER_MM)],
                pieces.collect(),
                copies,
            );
            if is_pinned {
                job.pins = vec![Pin {
                    piece: 0,
                    copy: copies,
                    part: 1,
                    stock: 0,
                    sheet: 1,
                    x: length(50.0),
                    y: length(80.0),
                    turn: Angle::from_deg(90.0),
                    origin: origin("pin[1]"),
                }];
            }
            job
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]
    #[test]
    fn pieces_that_may_lie_in_any_way_keep_every_promise(job in any_small_job()) {
        prop_assert_eq!(misplaced_pins(&job), []);
        let plan = plan(&job, &PlanOptions::default()).value;
        prop_assert_eq!(check(&job, &plan), []);
        prop_assert!(plan.unplaced.is_empty());
    }
}
