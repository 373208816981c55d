//! What shows of a panel round a flap that is stuck on it.

use kurbo::{Point, Rect};

use super::code;
use super::glue::{base_of, land};
use super::stand::{Stand, edge_name};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::Vec3;
use crate::length::Length;
use crate::project::{Edges, Joint};

/// One side, in the frame of the partner's piece.
struct Side {
    out: Vec3,
    found_mm: f64,
    want_mm: f64,
}

impl Side {
    /// What shows too much; below zero where too little does.
    fn off_mm(&self) -> f64 {
        self.found_mm - self.want_mm
    }
}

/// Returns every finding on the rims round a flap: one for what is wrong across, one for what is wrong down.
pub(super) fn findings(stand: &Stand<'_>, joint: &Joint, rims: &Edges<Length>) -> Vec<Diagnostic> {
    let (Some(flap), Some(base)) = (landed(stand, joint), whole(stand, joint)) else {
        return Vec::new();
    };
    let side = |x: f64, y: f64, found_mm: f64, want: Length| Side {
        out: Vec3::new(x, y, 0.0),
        found_mm,
        want_mm: want.to_mm(),
    };
    let pairs = [
        [
            side(-1.0, 0.0, flap.x0 - base.x0, rims.left),
            side(1.0, 0.0, base.x1 - flap.x1, rims.right),
        ],
        [
            side(0.0, -1.0, flap.y0 - base.y0, rims.top),
            side(0.0, 1.0, base.y1 - flap.y1, rims.bottom),
        ],
    ];
    pairs
        .iter()
        .filter_map(|pair| finding(stand, joint, pair))
        .collect()
}

/// The box of the flap where it lies, in the frame of the partner's piece; a bent one part by part, as if it were spread out.
fn landed(stand: &Stand<'_>, joint: &Joint) -> Option<Rect> {
    let facets = stand.facets(&joint.from).into_iter();
    let corners = facets.flat_map(|flap| {
        let base = base_of(stand, joint, flap, &flap.rings_mm);
        let corners = flap.rings_mm[0].iter();
        corners.filter_map(move |p| {
            let at = land(flap, base?, *p);
            Some(Point::new(at.x, at.y))
        })
    });
    around(corners)
}

fn whole(stand: &Stand<'_>, joint: &Joint) -> Option<Rect> {
    let facets = stand.facets(&joint.to).into_iter();
    around(facets.flat_map(|facet| facet.rings_mm[0].iter().copied()))
}

fn around(points: impl Iterator<Item = Point>) -> Option<Rect> {
    points
        .map(|p| Rect::from_points(p, p))
        .reduce(|a, b| a.union(b))
}

/// What is wrong between two sides across from each other.
fn finding(stand: &Stand<'_>, joint: &Joint, pair: &[Side; 2]) -> Option<Diagnostic> {
    let [a, b] = pair;
    let worst = if a.off_mm().abs() > b.off_mm().abs() {
        a
    } else {
        b
    };
    if worst.off_mm().abs() <= stand.tolerance_mm() {
        return None;
    }
    let (flap, base) = (stand.name(&joint.from), stand.name(&joint.to));
    let show = |mm: f64| stand.show(mm);
    let (found, want) = (show(worst.found_mm.abs()), show(worst.want_mm));
    let (base_panel, _) = stand.home(&joint.to)?;
    let edge = edge_name(base_panel.place.direct(worst.out));
    let message = if worst.found_mm < 0.0 {
        format!(
            "{flap} stands {found} beyond {base} at its {edge} edge, and {want} of {base} should show there"
        )
    } else {
        format!("{base} shows {found} beside {flap} at its {edge} edge, and {want} is right")
    };
    let off = show(worst.off_mm().abs());
    let is_shifted = (a.off_mm() + b.off_mm()).abs() <= stand.tolerance_mm();
    let hint = if is_shifted {
        let way = if worst.off_mm() > 0.0 {
            "towards"
        } else {
            "away from"
        };
        match stand.loose(joint) {
            Some(loose) => format!("move {loose} {off} {way} that edge"),
            None => format!("move the crease of {flap} so that it lies {off} {way} that edge"),
        }
    } else {
        let (verb, other) = if worst.off_mm() > 0.0 {
            ("longer", "shorter")
        } else {
            ("shorter", "longer")
        };
        format!("make {flap} {off} {verb} at its {edge} edge, or {base} {off} {other} there")
    };
    Some(
        Diagnostic::error(code::STUCK, message)
            .at(&joint.origin)
            .hint(hint),
    )
}
