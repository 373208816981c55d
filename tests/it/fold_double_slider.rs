//! The double slider as it is built goes through the fold proof without a finding, and each wrong size is found and named.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath, Rect};
use sheetwright::construct::{self, Asked, Given, Grid, Value};
use sheetwright::diagnostic::Diagnostic;
use sheetwright::fold;
use sheetwright::geometry::Outline;
use sheetwright::length::{Length, LengthStyle, Size};
use sheetwright::project::{Face, Joint, JointKind, Project, Surface};

use crate::constructed::{origin, project_of};

fn um(um: i64) -> Length {
    Length::from_um(um)
}

/// What is asked: what shows, paper and film in micrometres.
fn given(width_um: i64, height_um: i64, paper_um: i64, film_um: i64) -> Given<'static> {
    let kind = construct::named("double-slider").unwrap();
    let thick = |piece: &&'static str| {
        let caliper = um(if *piece == "band" { film_um } else { paper_um });
        (*piece, Size::new(caliper).unwrap())
    };
    Given {
        kind,
        asked: Asked::Inside(vec![um(width_um), um(height_um)]),
        values: BTreeMap::new(),
        grid: Grid::NONE,
        is_inch: false,
        style: LengthStyle::Millimetres,
        calipers: kind.pieces.iter().map(thick).collect(),
    }
}

/// Shows 80 x 60 mm in card of 0.3 mm with film of 0.1 mm.
fn example() -> Project {
    let given = given(80_000, 60_000, 300, 100);
    project_of(&given).unwrap()
}

fn errors(project: &Project) -> Vec<Diagnostic> {
    fold::prove(project)
        .into_iter()
        .filter(Diagnostic::is_error)
        .collect()
}

/// Draws the outline of a piece anew.
fn redraw(project: &mut Project, name: &str, path: impl Fn(&BezPath) -> BezPath) {
    let piece = project
        .pieces
        .iter_mut()
        .find(|piece| piece.id == name)
        .unwrap();
    piece.outline = Outline::new(&path(&piece.outline.path()), 0.001).unwrap();
}

/// Moves every corner that lies in a box.
fn moved(path: &BezPath, within: Rect, by: (f64, f64)) -> BezPath {
    let step = |p: kurbo::Point| {
        if within.contains(p) {
            p + kurbo::Vec2::from(by)
        } else {
            p
        }
    };
    let mut changed = BezPath::new();
    for element in path.elements() {
        changed.push(match *element {
            kurbo::PathEl::MoveTo(p) => kurbo::PathEl::MoveTo(step(p)),
            kurbo::PathEl::LineTo(p) => kurbo::PathEl::LineTo(step(p)),
            kurbo::PathEl::QuadTo(a, p) => kurbo::PathEl::QuadTo(step(a), step(p)),
            kurbo::PathEl::CurveTo(a, b, p) => kurbo::PathEl::CurveTo(step(a), step(b), step(p)),
            kurbo::PathEl::ClosePath => kurbo::PathEl::ClosePath,
        });
    }
    changed
}

#[track_caller]
fn assert_found(project: &Project, code: &str, says: &str) {
    let found = errors(project);
    let is_it = |d: &Diagnostic| d.code == code && d.message.contains(says);
    assert!(
        found.iter().any(is_it),
        "no {code} about {says} in {found:#?}"
    );
}

#[test]
fn a_double_slider_has_no_finding() {
    assert_eq!(errors(&example()), []);
}

#[test]
fn double_sliders_of_many_sizes_and_papers_have_no_finding() {
    let step = |sixteenths| Grid::of(Length::from_inch_fraction(sixteenths, 16));
    let grids = [Grid::NONE, Grid::of(um(1000)), step(1), step(2)];
    let sizes = [
        (15_000, 15_300),
        (30_000, 120_000),
        (80_000, 60_000),
        (160_000, 41_700),
        (233_000, 250_000),
    ];
    let papers = [(100, 50), (270, 80), (413, 125), (600, 200)];
    for (i, (width_um, height_um)) in sizes.into_iter().enumerate() {
        for (j, (paper_um, film_um)) in papers.into_iter().enumerate() {
            let mut given = given(width_um, height_um, paper_um, film_um);
            given.grid = grids[(i + j) % grids.len()];
            given.is_inch = (i + j) % grids.len() > 1;
            given.values.insert("thumb", Value::Length(um(10_000)));
            let found = errors(&project_of(&given).unwrap());
            assert_eq!(
                found,
                [],
                "{width_um} x {height_um}, {paper_um}, {film_um}, {:?}",
                given.grid
            );
        }
    }
}

#[test]
fn a_panel_half_a_millimetre_too_high_is_found() {
    let mut project = example();
    redraw(&mut project, "front-panel", |path| {
        moved(path, Rect::new(-1.0, 65.9, 200.0, 66.1), (0.0, 0.5))
    });
    assert_found(&project, "fold.clearance", "front-panel");
}

#[test]
fn stops_half_a_millimetre_off_or_cut_away_are_found() {
    let steps = Rect::new(105.9, 9.0, 106.1, 80.0);
    for by in [-0.5, 0.5] {
        let mut project = example();
        redraw(&mut project, "frame", |path| moved(path, steps, (by, 0.0)));
        assert_found(&project, "fold.travel", "frame");
    }
    let mut project = example();
    redraw(&mut project, "frame", |_| {
        BezPath::from_svg("M0 0 H116 V10 H8.95 V76.8 H116 V86.8 H0 Z").unwrap()
    });
    assert_found(&project, "fold.travel", "not held");
}

#[test]
fn a_film_half_a_millimetre_too_short_or_too_long_is_found() {
    for by in [-0.5, 0.5] {
        let mut project = example();
        redraw(&mut project, "band", |path| {
            moved(path, Rect::new(204.0, -1.0, 204.2, 61.0), (by, 0.0))
        });
        assert_found(&project, "fold.band-loop", "band");
    }
}

#[test]
fn a_slot_half_a_millimetre_too_low_or_too_high_is_found() {
    for um_off in [-500, 500] {
        let given = given(80_000, 60_000, 300, 100);
        let mut project = project_of(&given).unwrap();
        // The front cover lies so much lower or higher, as on a frame that much thinner or thicker.
        let cover = project
            .pieces
            .iter()
            .position(|piece| piece.id == "front-cover")
            .unwrap();
        let member = project.assemblies[0]
            .members
            .iter_mut()
            .find(|member| member.piece == cover)
            .unwrap();
        member.pose.shift.z += um(um_off).to_mm();
        assert_found(&project, "fold.band-slot", "core");
    }
}

#[test]
fn a_core_half_a_millimetre_too_narrow_is_found() {
    let mut project = example();
    redraw(&mut project, "core", |path| {
        moved(path, Rect::new(105.9, 9.0, 106.1, 80.0), (-0.5, 0.0))
    });
    assert_found(&project, "fold.band-loop", "core");
}

#[test]
fn a_strip_half_a_millimetre_too_wide_is_found() {
    let mut project = example();
    let band = project.assemblies[0].band.as_mut().unwrap();
    band.riders[1].strip.to = band.riders[1].strip.to + um(500);
    assert_found(&project, "fold.band-turn", "back-panel");
}

#[test]
fn glue_on_a_sliding_face_is_found() {
    let mut project = example();
    let member = |name: &str| {
        let piece = project
            .pieces
            .iter()
            .position(|piece| piece.id == name)
            .unwrap();
        project.assemblies[0]
            .members
            .iter()
            .position(|member| member.piece == piece)
            .unwrap()
    };
    let surface = |name: &str, panel: &str, face| Surface {
        member: member(name),
        panel: panel.into(),
        face,
    };
    let joint = Joint {
        kind: JointKind::Stuck {
            area: None,
            covers_flap: false,
            rims: None,
            glue: um(50),
        },
        from: surface("front-panel", "panel", Face::Front),
        to: surface("front-cover", "front", Face::Back),
        origin: origin(),
    };
    project.assemblies[0].joints.push(joint);
    assert_found(&project, "fold.locked", "front-panel:panel");
    assert_found(&project, "fold.glue-free", "front-panel:panel");
}

#[test]
fn a_mirrored_frame_is_found() {
    let mut project = example();
    redraw(&mut project, "frame", |path| {
        Affine::new([-1.0, 0.0, 0.0, 1.0, 116.0, 0.0]) * path
    });
    assert!(!errors(&project).is_empty());
}
