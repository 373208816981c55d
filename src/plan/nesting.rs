//! Which pieces lie in holes of others, and in which piece of paper they would come loose too early.

use super::Placement;
use crate::geometry::Outline;
use crate::project::Project;

/// Returns for each placement in how many other pieces' holes it lies: those in most must be cut first, because the paper in a hole
/// comes loose when the hole is cut.
pub(super) fn depths(project: &Project, placements: &[Placement]) -> Vec<usize> {
    let mut depths = vec![0; placements.len()];
    for (host, placement) in placements.iter().enumerate() {
        for hole in holes(project, placement) {
            for (guest, depth) in depths.iter_mut().enumerate() {
                let lies_in = |p: &Placement| hole.contains(start(project, p));
                if guest != host && lies_in(&placements[guest]) {
                    *depth += 1;
                }
            }
        }
    }
    depths
}

/// The holes of a placed piece's outline as outlines of their own, in the sheet frame.
fn holes(project: &Project, placement: &Placement) -> impl Iterator<Item = Outline> {
    let map = placement.pose.to_affine();
    let holes = project.pieces[placement.piece].outline.holes().iter();
    holes.map(move |ring| {
        let hole = Outline::new(ring, crate::math::COINCIDENT_MM);
        hole.expect("a hole of an outline is one closed simple ring")
            .transformed(map)
    })
}

/// A point on the edge of a placed piece, in the sheet frame.
fn start(project: &Project, placement: &Placement) -> kurbo::Point {
    let outline = &project.pieces[placement.piece].outline;
    let first = outline.outer().segments().next();
    let point = first.expect("a ring has segments");
    placement.pose.to_affine() * kurbo::ParamCurve::start(&point)
}
