//! What a blade may tear or miss: narrow webs and small holes. Limits are common practice, no source.

use kurbo::{BezPath, Shape};

use super::demand::is_machine_cut;
use crate::diagnostic::Diagnostic;
use crate::geometry::Outline;
use crate::geometry::web::narrowest_web;
use crate::length::Length;
use crate::math::FLATTEN_MM;
use crate::project::{OperationKind, Piece, Project};

const LEAST_WEB_MM: f64 = 1.0;
const LEAST_HOLE_MM: f64 = 1.5;

/// Returns a warning for each piece with a web, and for each hole, too fine for a cutting machine.
pub(super) fn warnings(project: &Project) -> Vec<Diagnostic> {
    let pieces = project.pieces.iter().filter(|p| is_machine_cut(p));
    pieces
        .flat_map(|piece| web(project, piece).into_iter().chain(holes(project, piece)))
        .collect()
}

fn web(project: &Project, piece: &Piece) -> Option<Diagnostic> {
    let mut path = piece.outline.path();
    for hole in piece
        .operations
        .iter()
        .filter(|o| o.kind == OperationKind::Hole)
    {
        path.extend(hole.path.elements().iter().copied());
    }
    // Holes that touch each other or the edge make no outline; then the declared outline is all there is to look at.
    let cut = Outline::new(&path, FLATTEN_MM).unwrap_or_else(|_| piece.outline.clone());
    let (width_mm, at) = narrowest_web(&cut, LEAST_WEB_MM)?;
    let text = format!(
        "piece \"{}\" has a web of {} at {}, {} from the left and top, less than {}",
        piece.id,
        shown(project, width_mm),
        shown(project, at.x - cut.bounds().x0),
        shown(project, at.y - cut.bounds().y0),
        shown(project, LEAST_WEB_MM),
    );
    Some(
        Diagnostic::warning("plan.narrow-web", text)
            .at(&piece.origin)
            .hint("it may tear while it is cut; make it wider"),
    )
}

fn holes<'a>(project: &'a Project, piece: &'a Piece) -> impl Iterator<Item = Diagnostic> + 'a {
    let declared = piece
        .operations
        .iter()
        .filter(|o| o.kind == OperationKind::Hole);
    let declared = declared.map(|o| (&o.path, &o.origin));
    let drawn = piece
        .outline
        .holes()
        .iter()
        .map(|path| (path, &piece.origin));
    declared.chain(drawn).filter_map(move |(path, origin)| {
        let size = narrow_side_mm(path);
        let text = || {
            format!(
                "a hole in piece \"{}\" is {} wide, less than {}",
                piece.id,
                shown(project, size),
                shown(project, LEAST_HOLE_MM),
            )
        };
        let warning = || Diagnostic::warning("plan.small-hole", text()).at(origin);
        (size < LEAST_HOLE_MM).then(|| {
            warning().hint("a blade cannot turn so tightly; punch it by hand or make it larger")
        })
    })
}

fn narrow_side_mm(path: &BezPath) -> f64 {
    let bounds = path.bounding_box();
    bounds.width().min(bounds.height())
}

/// Whole micrometres are enough to tell how fine something is.
fn shown(project: &Project, mm: f64) -> String {
    let mm = crate::math::round_to(mm, 1_000);
    Length::from_nm(super::place::nm_above(mm)).display(project.job.lengths)
}
