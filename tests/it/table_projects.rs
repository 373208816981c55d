//! What lies on the maker's table is read as the file says, with sums worked out by hand.

use std::fs;
use std::path::Path;

use kurbo::Rect;
use sheetwright::drawing::AssetIndex;
use sheetwright::length::{Length, Size};
use sheetwright::load::{Options, project};
use sheetwright::project::{
    Amount, Caution, Edge, Face, Need, Pack, Price, Project, ToolKind, TreatedPlace, TreatmentKind,
    When,
};

use crate::folder::Folder;

fn swap_table() -> Project {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/projects/good/swap-table.toml");
    let text = fs::read_to_string(&path).unwrap();
    let read = project(
        "swap-table.toml",
        &text,
        &Folder::of(&path),
        &Options::default(),
    );
    read.unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value
}

fn mm(um: i64) -> Size {
    Size::new(Length::from_um(um)).unwrap()
}

fn eur(hundredths: u64) -> Price {
    Price {
        hundredths,
        currency: "EUR".to_owned(),
    }
}

#[test]
fn what_the_maker_says_is_read_with_its_steps_and_its_price() {
    let project = swap_table();
    let lesson = &project.lesson;
    assert_eq!(lesson.title, "A box with leaves");
    assert_eq!(lesson.by.as_deref(), Some("Long Meadow Garden Club"));
    // Line ends in the file are spaces on the page.
    assert_eq!(
        lesson.terms.as_deref(),
        Some("For your own table and your own classes.")
    );
    assert_eq!(lesson.version.as_deref(), Some("2"));
    assert_eq!(
        (lesson.logo, lesson.photo),
        (Some(AssetIndex(0)), Some(AssetIndex(0)))
    );
    assert_eq!(lesson.tools, ["bone folder", "tweezers"]);
    assert_eq!(lesson.cautions, [Caution::YoungMakers, Caution::Blades]);
    let pricing = lesson.pricing.as_ref().unwrap();
    assert_eq!(pricing.per_hour, eur(1200));
    assert_eq!(
        (pricing.overhead_percent, pricing.multiple_hundredths),
        (10, 250)
    );
    let [emboss, fold] = lesson.steps.as_slice() else {
        panic!("{:?}", lesson.steps)
    };
    let tray = project.pieces.iter().position(|p| p.id == "box/tray");
    assert_eq!((emboss.piece, emboss.assembly), (tray, None));
    assert_eq!((emboss.when, emboss.minutes), (When::BeforeClass, Some(5)));
    assert_eq!(
        (fold.assembly, fold.picture),
        (Some(0), Some(AssetIndex(0)))
    );
    assert_eq!((fold.when, fold.minutes), (When::InClass, None));
}

#[test]
fn a_job_without_a_title_of_its_own_is_taught_under_its_name() {
    let text = "sheetwright = 1\n[job]\nname = \"Bean labels\"\ncopies = 1\ncut_by = \"trimmer\"\n[[stock]]\nid = \"oat\"\n\
        format = \"a4\"\n[[piece]]\nid = \"label\"\nstock = \"oat\"\nshape = { kind = \"rectangle\", size = \"50 x 80 mm\" }\n";
    let none = std::collections::BTreeMap::new();
    let read = project("project.toml", text, &none, &Options::default()).unwrap();
    assert_eq!(read.value.lesson.title, "Bean labels");
    assert_eq!(read.value.lesson.by, None);
}

#[test]
fn tools_are_read_with_what_they_can_take() {
    let project = swap_table();
    let kinds: Vec<_> = project.tools.iter().map(|t| t.kind).collect();
    // 12, 1/8, 5 and 7 in are 304.8, 3.175, 127 and 177.8 mm.
    let wanted = [
        ToolKind::ScoringBoard {
            reach: mm(304_800),
            pitch: mm(3_175),
        },
        ToolKind::Embosser {
            across: mm(127_000),
            deep: mm(177_800),
        },
        ToolKind::Punch { reach: mm(30_000) },
        ToolKind::Die {
            press_width: mm(150_000),
        },
    ];
    assert_eq!(kinds, wanted);
    let names: Vec<_> = project.tools.iter().map(|t| t.name.as_str()).collect();
    assert_eq!(
        names,
        ["Scoring board", "Leaf plate", "leaf-punch", "corner-die"]
    );
}

#[test]
fn supplies_are_read_by_length_by_what_they_go_round_and_by_count() {
    let project = swap_table();
    let needs: Vec<_> = project.supplies.iter().map(|s| s.need).collect();
    // Ribbon: 16 in and 1/2 in, 419.1 mm. Film: the tray of paper that measures 0.45 mm is 90 + 2 · 0.45 by 60.9 by 30.45 mm outside, so
    // 2 · (60.9 + 30.45) = 182.7 mm round it, 183 on the rule, and 10 mm. Lace: 2 · (60 + 40) mm round the mat once it is trimmed.
    let lengths = |each, overlap_um, per_copy| Need::Lengths {
        each: mm(each),
        overlap: Length::from_um(overlap_um),
        per_copy,
    };
    let wanted = [
        lengths(419_100, 12_700, 2),
        lengths(193_000, 10_000, 1),
        lengths(200_000, 0, 1),
        Need::Count { per_copy: 4 },
        Need::Once { count: 1 },
    ];
    assert_eq!(needs, wanted);
    let ribbon = &project.supplies[0];
    let pack = Pack {
        holds: Amount::Length(Length::from_mm(5000)),
        price: Some(eur(240)),
    };
    assert_eq!(ribbon.pack.as_ref(), Some(&pack));
    assert_eq!(ribbon.on_hand, Amount::Length(Length::from_mm(1000)));
    let pads = &project.supplies[3];
    assert_eq!(
        pads.pack.as_ref().map(|p| p.holds),
        Some(Amount::Count(100))
    );
    assert_eq!(pads.on_hand, Amount::Count(20));
    assert_eq!(project.supplies[1].pack, None);
    assert_eq!(project.supplies[1].on_hand, Amount::Length(Length::ZERO));
}

#[test]
fn treated_areas_are_panels_a_box_or_the_whole_piece() {
    let project = swap_table();
    let piece = |id: &str| project.pieces.iter().find(|p| p.id == id).unwrap();
    let [embossed, plain] = piece("box/tray").treatments.as_slice() else {
        panic!("{:?}", piece("box/tray").treatments)
    };
    let walls = ["front", "back", "left", "right"].map(str::to_owned);
    assert_eq!(embossed.place, TreatedPlace::Panels(walls.to_vec()));
    assert_eq!(embossed.face, Face::Front);
    assert_eq!(
        embossed.note.as_deref(),
        Some("Both long walls in one pass.")
    );
    let TreatmentKind::Embossed(how) = &embossed.kind else {
        panic!("{embossed:?}")
    };
    assert_eq!((how.tool, how.up), (1, Some(Edge::Top)));
    assert_eq!(how.goes_in, [Edge::Left, Edge::Right]);
    assert_eq!(how.caliper, Some(mm(450)));
    assert_eq!(plain.kind, TreatmentKind::Plain);

    let [glued, stamped] = piece("base").treatments.as_slice() else {
        panic!("{:?}", piece("base").treatments)
    };
    assert_eq!(glued.kind, TreatmentKind::Glued { with: Some(3) });
    assert_eq!(glued.face, Face::Back);
    let TreatedPlace::Area(area) = &glued.place else {
        panic!("{glued:?}")
    };
    assert_eq!(
        kurbo::Shape::bounding_box(area),
        Rect::new(5.0, 5.0, 55.0, 35.0)
    );
    assert_eq!(stamped.place, TreatedPlace::Whole);
}

#[test]
fn an_embossed_piece_of_a_part_is_worked_out_as_thick_as_it_measures() {
    let project = swap_table();
    let tray = project.pieces.iter().find(|p| p.id == "box/tray").unwrap();
    // Crease to crease 90 + t and 60 + t, from there to the edge 30 + t/2, with t = 0.45 mm: 150.9 x 120.9 mm.
    let bounds = tray.outline.bounds();
    assert!((bounds.width() - 150.9).abs() < 1e-9, "{bounds:?}");
    assert!((bounds.height() - 120.9).abs() < 1e-9, "{bounds:?}");
    assert_eq!(tray.have, 2);
}

#[test]
fn a_layer_is_cut_oversize_and_what_lies_on_it_is_measured_trimmed() {
    let project = swap_table();
    let piece = |id: &str| project.pieces.iter().find(|p| p.id == id).unwrap();
    let (mat, label) = (piece("mat"), piece("label"));
    // 60 x 40 mm and 3 mm more on each side; the label leaves 5 mm of the trimmed mat, so 8 mm from the edge that is cut.
    assert_eq!(mat.outline.bounds(), Rect::new(0.0, 0.0, 66.0, 46.0));
    let mount = mat.mount.as_ref().unwrap();
    assert_eq!((mount.pose.x_mm, mount.pose.y_mm), (-3.0, -3.0));
    assert_eq!(mount.oversize, Length::from_mm(3));
    assert_eq!(label.outline.bounds(), Rect::new(0.0, 0.0, 50.0, 30.0));
    let mount = label.mount.as_ref().unwrap();
    assert_eq!((mount.pose.x_mm, mount.pose.y_mm), (8.0, 8.0));
}

#[test]
fn a_punched_piece_has_its_shape_inside_the_rough_one() {
    let project = swap_table();
    let position = |id: &str| project.pieces.iter().position(|p| p.id == id).unwrap();
    let leaf = project.pieces[position("leaf")].finish.as_ref().unwrap();
    // 20 x 25 mm at 10, 2.
    assert_eq!(leaf.finished.bounds(), Rect::new(10.0, 2.0, 30.0, 27.0));
    assert_eq!((leaf.tool, leaf.also.as_slice()), (2, &[][..]));
    // A circle of 100 mm in the middle of 200 x 120 mm.
    let corner = project.pieces[position("corner")].finish.as_ref().unwrap();
    let bounds = corner.finished.bounds();
    assert!((bounds.x0 - 50.0).abs() < 1e-9 && (bounds.y0 - 10.0).abs() < 1e-9);
    assert!((bounds.width() - 100.0).abs() < 1e-9, "{bounds:?}");
    assert_eq!(corner.also, [(position("leaf"), 2)]);
}

/// A box with a lid, its tray embossed so that it measures 0.45 mm where the card is 0.3 mm thick, or left plain.
fn lidded(embossed: &str) -> Project {
    let text = format!(
        r#"
sheetwright = 1
[job]
name = "Bulb boxes"
copies = 1
cut_by = "machine"
[[tool]]
id = "plate"
kind = "embosser"
size = "300 x 300 mm"
[[stock]]
id = "bark"
format = "a4"
caliper = "0.3 mm"
[[part]]
id = "box"
construction = "lidded-box"
inside = "90 x 60 x 35 mm"
clearance = "0.6 mm"
lid_depth = "12 mm"
stock = "bark"
[[part.piece]]
piece = "base"
{embossed}
"#
    );
    let none = std::collections::BTreeMap::new();
    let read = project("project.toml", &text, &none, &Options::default());
    read.unwrap_or_else(|mistakes| panic!("{mistakes:#?}"))
        .value
}

const EMBOSSED: &str =
    "[[part.piece.treat]]\ndo = \"emboss\"\ntool = \"plate\"\ncaliper = \"0.45 mm\"";

#[test]
fn a_lid_over_an_embossed_tray_is_made_larger() {
    let extent = |project: &Project, id: &str| {
        let piece = project.pieces.iter().find(|p| p.id == id).unwrap();
        let bounds = piece.outline.bounds();
        (bounds.width(), bounds.height())
    };
    let (plain, embossed) = (lidded(""), lidded(EMBOSSED));
    let grows = |id: &str| {
        let (was, is) = (extent(&plain, id), extent(&embossed, id));
        (is.0 - was.0, is.1 - was.1)
    };
    // A blank is inside + t + 2 (depth + t/2) on each axis: the tray grows by 2 · 0.15 mm. Its outside is its inside + 2t: 0.3 mm more, which
    // the lid goes over, and the lid's own card is as it was.
    for (id, wanted) in [("box/base", 0.3), ("box/lid", 0.3)] {
        let (x, y) = grows(id);
        assert!(
            (x - wanted).abs() < 1e-6 && (y - wanted).abs() < 1e-6,
            "{id}: {x} {y}"
        );
    }
    assert_eq!(sheetwright::fold::prove(&embossed), []);
}

#[test]
fn a_lid_made_for_a_plain_tray_is_found_too_tight_once_it_is_embossed() {
    // Both folded by the same creases: each wall of the tray grows outwards by half of 0.15 mm, so 0.15 mm of 0.6 mm are gone on both axes.
    let mut project = lidded("");
    assert_eq!(sheetwright::fold::prove(&project), []);
    let embossed = lidded(EMBOSSED);
    let base = project
        .pieces
        .iter()
        .position(|p| p.id == "box/base")
        .unwrap();
    project.pieces[base]
        .treatments
        .clone_from(&embossed.pieces[base].treatments);
    let found = sheetwright::fold::prove(&project);
    assert!(!found.is_empty());
    let tight = found
        .iter()
        .find(|f| f.message.contains("0.45 mm"))
        .unwrap();
    assert!(tight.message.contains("0.6 mm"), "{}", tight.message);
}
