//! Pieces that lie askew: layouts given by hand, since it is not the engine's choice that is looked at here.

use std::num::NonZeroUsize;

use sheetwright::job;
use sheetwright::load;
use sheetwright::plan::file::PlanFile;
use sheetwright::plan::place::{FilledSheet, Layout, Place, Placed, Placer, Request, Watch};
use sheetwright::plan::{JobPlan, PlanOptions, check, plan_with};
use sheetwright::project::{Axis, Edge, Project, Reads, StockFace, Turns};

use crate::folder::Folder;
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
