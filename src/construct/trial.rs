//! What the tests of constructions share: asking for one, and whether a net is sound.

use std::collections::BTreeMap;

use kurbo::{BezPath, ParamCurve, PathSeg, Point, Shape};
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

use super::{Asked, Construction, Given, Grid, Kind, Made, Value};
use crate::length::{Length, LengthStyle, Size};
use crate::math::hypot;
use crate::project::JointKind;

/// Returns what is asked of a kind in a metric project, all pieces of one caliper.
pub(super) fn asking<'k>(kind: &'k Kind, asked: Asked, grid: Grid, caliper_um: i64) -> Given<'k> {
    let caliper = Size::new(Length::from_um(caliper_um)).unwrap();
    Given {
        kind,
        asked,
        values: BTreeMap::new(),
        grid,
        is_inch: false,
        style: LengthStyle::Millimetres,
        calipers: kind.pieces.iter().map(|piece| (*piece, caliper)).collect(),
    }
}

/// Returns the inside sizes of so many micrometres.
pub(super) fn inside_um(sizes: &[i64]) -> Asked {
    Asked::Inside(sizes.iter().copied().map(Length::from_um).collect())
}

/// Returns the same with one more value.
pub(super) fn with<'k>(mut given: Given<'k>, key: &'static str, value: Value) -> Given<'k> {
    given.values.insert(key, value);
    given
}

/// Builds it, and asks whether every net is sound.
pub(super) fn built(given: &Given<'_>) -> Construction {
    let made = (given.kind.build)(given).unwrap_or_else(|refusals| panic!("{refusals:?}"));
    assert_sound(&made);
    made
}

/// Returns what came of a size, in millimetres.
pub(super) fn fact_mm(made: &Construction, what: &str) -> Vec<f64> {
    let fact = made.facts.iter().find(|fact| fact.what == what);
    let fact = fact.unwrap_or_else(|| panic!("no fact {what}"));
    fact.got.iter().map(|length| length.to_mm()).collect()
}

/// Asserts that sizes are these, to a nanometre.
#[track_caller]
pub(super) fn assert_mm(got: &[f64], want: &[f64]) {
    let near = |(a, b): (&f64, &f64)| (a - b).abs() < 2e-6;
    assert!(
        got.len() == want.len() && got.iter().zip(want).all(near),
        "{got:?} is not {want:?}"
    );
}

/// Returns width and height of a piece, in millimetres.
pub(super) fn blank_mm(made: &Made) -> [f64; 2] {
    let bounds = made.outline.bounds();
    [bounds.width(), bounds.height()]
}

/// Asserts that creases lie on their pieces, panels are apart, joints name panels, and glue lies on its flap.
pub(super) fn assert_sound(made: &Construction) {
    for piece in &made.pieces {
        let bounds = piece.outline.bounds();
        assert_mm(&[bounds.x0, bounds.y0], &[0.0, 0.0]);
        assert_eq!(
            piece.creases.len() + 1,
            piece.panels.len(),
            "{}",
            piece.name
        );
        for crease in &piece.creases {
            assert_on_piece(piece, &crease.path);
        }
        for slit in &piece.slits {
            assert_on_piece(piece, slit);
        }
        for panel in &piece.panels {
            assert!(piece.outline.contains(panel.inside_mm), "{panel:?}");
            assert!(panel.bounds_mm.contains(panel.inside_mm), "{panel:?}");
            let named = piece.panels.iter().filter(|p| p.name == panel.name);
            assert_eq!(named.count(), 1, "{}", panel.name);
        }
        for (i, a) in piece.panels.iter().enumerate() {
            for b in &piece.panels[..i] {
                assert!(
                    crossed(piece, a.inside_mm, b.inside_mm),
                    "{} {}",
                    a.name,
                    b.name
                );
            }
        }
    }
    for joint in &made.assembly.joints {
        for surface in [&joint.from, &joint.to] {
            let piece = &made.pieces[made.assembly.members[surface.member].piece];
            assert!(
                piece.panels.iter().any(|p| p.name == surface.panel),
                "{surface:?}"
            );
        }
        if let JointKind::Stuck {
            area: Some(area),
            covers_flap: true,
            ..
        } = &joint.kind
        {
            let piece = &made.pieces[made.assembly.members[joint.from.member].piece];
            let flap = piece
                .panels
                .iter()
                .find(|p| p.name == joint.from.panel)
                .unwrap();
            assert!(area.contains(flap.inside_mm));
            let (area, bounds) = (area.bounding_box(), flap.bounds_mm);
            assert!((area.x0 - bounds.x0).abs() < 1e-6 && (area.y1 - bounds.y1).abs() < 1e-6);
        }
    }
}

/// Whether a straight way between two points of a piece crosses a crease or the edge; curves count as sixteen chords.
fn crossed(piece: &Made, a: Point, b: Point) -> bool {
    let side = |p: Point, from: Point, to: Point| (to - from).cross(p - from);
    let meets = |from: Point, to: Point| {
        side(a, from, to) * side(b, from, to) <= 0.0 && side(from, a, b) * side(to, a, b) <= 0.0
    };
    let rim = piece.outline.path();
    let lines = piece
        .creases
        .iter()
        .map(|crease| &crease.path)
        .chain([&rim]);
    let mut segments = lines.flat_map(BezPath::segments);
    let at = |s: PathSeg, i: i32| s.eval(f64::from(i) / 16.0);
    segments.any(|s| (0..16).any(|i| meets(at(s, i), at(s, i + 1))))
}

/// Asserts that a line lies on the piece: its inner points on it, its ends on it or at its edge.
fn assert_on_piece(piece: &Made, path: &BezPath) {
    for segment in path.segments() {
        for i in 1..8 {
            let p = segment.eval(f64::from(i) / 8.0);
            assert!(piece.outline.contains(p), "{} {p:?}", piece.name);
        }
        let length_mm = hypot(
            segment.end().x - segment.start().x,
            segment.end().y - segment.start().y,
        );
        assert!(length_mm > 0.5, "{} {path:?}", piece.name);
    }
}

/// Returns the travel of the first sliding joint and its clearances, in millimetres.
pub(super) fn slide_mm(made: &Construction) -> Vec<f64> {
    let found = made.assembly.joints.iter().find_map(|j| match &j.kind {
        JointKind::Slide {
            travel, clearance, ..
        } => {
            let free = clearance.iter().flatten().map(|c| c.least.to_mm());
            Some(std::iter::once(travel.to_mm()).chain(free).collect())
        }
        JointKind::Stuck { .. }
        | JointKind::Flush { .. }
        | JointKind::Meet { .. }
        | JointKind::Tuck { .. }
        | JointKind::Hinge => None,
    });
    found.expect("something slides")
}

/// Returns the hand grids of the promise: none, 1 mm, 1/16 in and 1/8 in.
pub(super) fn grids() -> [Grid; 4] {
    [
        Grid::NONE,
        Grid::of(Length::from_mm(1)),
        Grid::of(Length::from_inch_fraction(1, 16)),
        Grid::of(Length::from_inch_fraction(1, 8)),
    ]
}

/// Returns inside sizes of 15 to 250 mm, none more than ten times another, with calipers of 0.1 to 0.6 mm; in micrometres. The first few
/// are the corners of that.
pub(super) fn sizes(count: usize) -> Vec<([i64; 3], i64)> {
    let mut found = vec![
        ([15_000, 15_000, 15_000], 600),
        ([150_000, 15_000, 15_000], 100),
        ([15_000, 150_000, 15_000], 600),
        ([15_000, 15_000, 150_000], 300),
        ([250_000, 250_000, 25_000], 600),
        ([250_000, 25_000, 250_000], 100),
        ([25_000, 250_000, 250_000], 600),
        ([250_000, 250_000, 250_000], 300),
    ];
    let mut random = Pcg64Mcg::seed_from_u64(0x5eed);
    let mut between = |least: i64, most: i64| {
        let drawn = i64::from(random.next_u32());
        least + drawn.rem_euclid(most - least + 1)
    };
    while found.len() < count {
        let sizes = [0; 3].map(|_| between(15_000, 250_000));
        let (least, most) = (sizes.iter().min(), sizes.iter().max());
        if most <= least.map(|s| s * 10).as_ref() {
            found.push((sizes, between(100, 600)));
        }
    }
    found
}

/// Asserts that whatever size within the promise is asked for inside, what moves is free by 0.6 mm, the usual clearance, and less than a
/// step of the grid more; and that nothing asked for outside comes out larger.
pub(super) fn assert_clearance_kept(kind: &Kind, clearance: &str) {
    for (sizes, caliper) in sizes(30) {
        for grid in grids() {
            let made = built(&asking(kind, inside_um(&sizes), grid, caliper));
            for mm in fact_mm(&made, clearance) {
                let step_mm = grid.step().to_mm();
                assert!(mm >= 0.6 - 1e-9 && mm < 0.6 + step_mm, "{mm} {step_mm}");
            }
            let outside: Vec<Length> = sizes
                .iter()
                .map(|s| Length::from_um(s * 9 / 10 + 12_000))
                .collect();
            let given = asking(kind, Asked::Outside(outside.clone()), grid, caliper);
            if let Ok(made) = (given.kind.build)(&given) {
                for (got, most) in fact_mm(&made, "outside").iter().zip(outside) {
                    assert!(*got <= most.to_mm() + 1e-9);
                }
            }
        }
    }
}
