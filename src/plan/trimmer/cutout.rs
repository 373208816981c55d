//! What is to come out of a sheet: a box for each piece.

use crate::geometry::offset::offset;
use crate::plan::place::Area;
use crate::plan::{Sheet, bleed};
use crate::project::{Maker, Piece, Project};

/// Boxes nearer than this are cut apart by one cut: a micrometre, as far as the plan's own check lets a piece be off.
pub(super) const SAME_NM: i64 = 1_000;

/// A box to be cut out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Cutout {
    /// Where it is on the sheet.
    pub(super) area: Area,
    /// Position of the piece in the project's list.
    pub(super) piece: usize,
}

/// Returns the boxes in the order of the sheet's placements.
///
/// A rectangle that is cut by hand comes out as it is. Any other outline, and one that a die will cut, comes out with its bleed, to
/// be finished from there.
pub(super) fn cutouts(project: &Project, sheet: &Sheet) -> Vec<Cutout> {
    let placed = sheet.placements.iter().enumerate();
    let boxes = placed.map(|(index, placement)| {
        let piece = &project.pieces[placement.piece];
        let to_sheet = placement.pose.to_affine();
        let outline = piece.outline.transformed(to_sheet);
        let bleed_mm = if is_cut_to_size(piece) {
            0.0
        } else {
            bleed_mm(project, sheet, index)
        };
        let grown = offset(&outline, bleed_mm);
        let bounds = grown
            .iter()
            .map(|o| o.bounds())
            .fold(outline.bounds(), |a, b| a.union(b));
        Cutout {
            area: Area::from_edges(
                nearest_nm(bounds.x0),
                nearest_nm(bounds.y0),
                nearest_nm(bounds.x1),
                nearest_nm(bounds.y1),
            ),
            piece: placement.piece,
        }
    });
    boxes.collect()
}

/// Whether a trimmer leaves nothing to do at the edges of a piece: a rectangle that no die cuts.
pub(in crate::plan) fn is_cut_to_size(piece: &Piece) -> bool {
    piece.outline.is_rectangle() && piece.cut_by == Maker::Hand
}

/// The widest bleed of what lies at a place, in any run; none where neighbours share it, for then it is not the piece's own.
fn bleed_mm(project: &Project, sheet: &Sheet, placement: usize) -> f64 {
    let piece = sheet.placements[placement].piece;
    let contents = sheet
        .prints
        .iter()
        .filter_map(|p| p.contents.get(placement));
    contents
        .filter(|content| {
            let stock = project.stock_of(content.edition, piece);
            !bleed::is_shared(project, stock, sheet.front_is)
        })
        .flat_map(|content| project.artwork_of(content.edition, piece))
        .map(|artwork| artwork.bleed.to_mm())
        .fold(0.0, f64::max)
}

pub(super) fn nearest_nm(mm: f64) -> i64 {
    crate::length::Length::nearest_mm(mm).nm()
}
