//! What the tests of constructions share: asking for one, and whether a net is sound.

use std::collections::BTreeMap;

use kurbo::{BezPath, ParamCurve, Point, Shape};

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

/// Whether a straight way between two points of a piece crosses a crease or leaves the piece.
fn crossed(piece: &Made, a: Point, b: Point) -> bool {
    let steps = 400;
    let on_way = |i: i32| a.lerp(b, f64::from(i) / f64::from(steps));
    let leaves = (0..=steps).any(|i| !piece.outline.contains(on_way(i)));
    let side = |p: Point, from: Point, to: Point| (to - from).cross(p - from);
    let meets = |from: Point, to: Point| {
        side(a, from, to) * side(b, from, to) <= 0.0 && side(from, a, b) * side(to, a, b) <= 0.0
    };
    let creases = piece.creases.iter().flat_map(|crease| {
        let segments: Vec<_> = crease.path.segments().collect();
        segments
    });
    leaves
        || creases.into_iter().any(|s| {
            (0..16).any(|i| {
                let at = |k: i32| s.eval(f64::from(k) / 16.0);
                meets(at(i), at(i + 1))
            })
        })
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
