//! Whether glue keeps off the areas that are to stay free of it.

use kurbo::{Affine, BezPath, Point};

use super::body::{glue_names, surface_name};
use super::code;
use super::{Folded, FoldedPanel};
use crate::diagnostic::Diagnostic;
use crate::geometry::space::{Rigid, Vec3};
use crate::geometry::{Outline, overlap::overlaps};
use crate::math::COINCIDENT_MM;
use crate::project::{Assembly, Face, Joint, JointKind, Patch, Surface};

/// Returns a finding for each joint whose glue reaches into an area that is to be kept free.
pub(super) fn findings(assembly: &Assembly, folded: &Folded) -> Vec<Diagnostic> {
    let pairs = assembly
        .free_of_glue
        .iter()
        .flat_map(|patch| assembly.joints.iter().map(move |joint| (patch, joint)));
    let on_it = pairs.filter(|(patch, joint)| is_on(assembly, folded, patch, joint));
    on_it
        .map(|(patch, joint)| finding(assembly, patch, joint))
        .collect()
}

fn finding(assembly: &Assembly, patch: &Patch, joint: &Joint) -> Diagnostic {
    let message = format!(
        "the glue of {} is on {}, on an area that is to stay free of it",
        glue_names(assembly, &[joint]),
        surface_name(assembly, &patch.surface)
    );
    let finding = Diagnostic::error(code::GLUE_FREE, message).at(&joint.origin);
    finding
        .related(&patch.origin, "to be kept free")
        .hint("make the glue area smaller, or stick it elsewhere")
}

fn is_on(assembly: &Assembly, folded: &Folded, patch: &Patch, joint: &Joint) -> bool {
    let JointKind::Stuck { area, .. } = &joint.kind else {
        return false;
    };
    let tolerance_mm = assembly.tolerance.to_mm();
    let free = areas(folded, &patch.surface, patch.area.as_ref());
    let glued = glue_on(folded, joint, area.as_ref(), &patch.surface);
    free.iter()
        .any(|a| glued.iter().any(|b| overlaps(a, b, tolerance_mm)))
}

/// Where the glue of a joint is on a surface, in the frame of the surface's piece.
fn glue_on(
    folded: &Folded,
    joint: &Joint,
    area: Option<&BezPath>,
    surface: &Surface,
) -> Vec<Outline> {
    let mut glued = Vec::new();
    if joint.from == *surface {
        glued.extend(areas(folded, surface, area));
    }
    if joint.to == *surface {
        let parts = areas(folded, &joint.from, area);
        for from in facets(folded, &joint.from) {
            for to in facets(folded, surface).filter(|to| are_flush(joint, from, to)) {
                glued.extend(
                    parts
                        .iter()
                        .filter_map(|part| moved(part, &from.place, &to.place)),
                );
            }
        }
    }
    glued
}

/// Facets of a surface's panel.
fn facets<'a>(folded: &'a Folded, surface: &'a Surface) -> impl Iterator<Item = &'a FoldedPanel> {
    let panels = folded
        .members
        .get(surface.member)
        .map(|member| member.panels.as_slice());
    panels
        .unwrap_or_default()
        .iter()
        .filter(|panel| panel.name == surface.panel)
}

/// An area in the frame of its piece, or the facets of the whole panel.
fn areas(folded: &Folded, surface: &Surface, area: Option<&BezPath>) -> Vec<Outline> {
    let outline = |path: &BezPath| Outline::new(path, COINCIDENT_MM).ok();
    match area {
        Some(path) => outline(path).into_iter().collect(),
        None => facets(folded, surface)
            .filter_map(|panel| outline(&path_of(&panel.rings_mm)))
            .collect(),
    }
}

fn path_of(rings_mm: &[Vec<Point>]) -> BezPath {
    let mut path = BezPath::new();
    for ring in rings_mm {
        for (i, point) in ring.iter().enumerate() {
            if i == 0 {
                path.move_to(*point);
            } else {
                path.line_to(*point);
            }
        }
        path.close_path();
    }
    path
}

/// Whether the faces of two facets look at each other: against each other within a degree, and no farther apart than a foam pad is thick.
/// A band has facets on both sides of its core, of which only one looks at what is stuck to it.
fn are_flush(joint: &Joint, from: &FoldedPanel, to: &FoldedPanel) -> bool {
    const AGAINST_COSINE: f64 = -0.9998;
    const APART_MM: f64 = 3.0;
    let (out, its_out) = (outwards(from, joint.from.face), outwards(to, joint.to.face));
    let apart_mm = (to.place.shift - from.place.shift).dot(&out).abs();
    out.dot(&its_out) <= AGAINST_COSINE && apart_mm <= APART_MM
}

/// The direction in which a face looks; a front looks along -z of its piece.
fn outwards(panel: &FoldedPanel, face: Face) -> Vec3 {
    let back = panel.place.direct(Vec3::z());
    match face {
        Face::Front => -back,
        Face::Back => back,
    }
}

/// Returns an area of one piece as it lies on another, in that one's frame.
fn moved(part: &Outline, from: &Rigid, to: &Rigid) -> Option<Outline> {
    let across = to.inverse().after(from);
    let t = across.turn;
    let map = Affine::new([
        t[(0, 0)],
        t[(1, 0)],
        t[(0, 1)],
        t[(1, 1)],
        across.shift.x,
        across.shift.y,
    ]);
    Outline::new(&(map * &part.path()), COINCIDENT_MM).ok()
}
