//! Each kind of piece as the plan has it, in its own frame: what pages for the table show.

use kurbo::BezPath;

use super::compare::PlannedPath;
use super::pdf::found::{Paint, Tagged};
use super::plan::PlannedSheet;
use super::trace::bounds;
use super::verdict::{Finding, Tally};
use crate::geometry::Pose;
use crate::math::Angle;

/// A piece as the plan has it, in its own frame.
#[derive(Debug)]
pub(super) struct PlannedPiece {
    pub(super) id: String,
    pub(super) outline: PlannedPath,
    /// Its operations without the outer cut.
    pub(super) lines: Vec<PlannedPath>,
    /// How many lengths the dashes of each have.
    pub(super) dashes: Vec<usize>,
}

/// Each kind of piece, by its first placement.
pub(super) fn planned(sheets: &[PlannedSheet<'_>]) -> Vec<PlannedPiece> {
    let mut pieces: Vec<PlannedPiece> = Vec::new();
    for sheet in sheets {
        for (placement, outline) in sheet.entry.placements.iter().zip(&sheet.outlines) {
            if pieces.iter().any(|piece| piece.id == placement.piece) {
                continue;
            }
            let pose = Pose {
                x_mm: placement.x_mm,
                y_mm: placement.y_mm,
                turn: Angle::from_deg(placement.turn_deg),
                mirrored: placement.face_down,
            };
            let piece_from_sheet = pose.to_affine().inverse();
            let of_piece = |id: &str| id.replacen(&placement.id, &placement.piece, 1);
            let line = |path: &PlannedPath| PlannedPath {
                id: of_piece(&path.id),
                name: of_piece(&path.name),
                kind: path.kind.clone(),
                path: piece_from_sheet * &path.path,
            };
            let id = format!("{}.outline", placement.piece);
            let (lines, dashes) = placement
                .operations
                .iter()
                .filter_map(|operation| {
                    let mut paths = sheet.operations.iter();
                    let line = line(paths.find(|path| path.id == operation.id)?);
                    let fold = operation.fold.as_deref();
                    let dashes = dashes(&operation.kind, fold, placement.face_down);
                    Some((line, dashes))
                })
                .filter(|(line, _)| line.id != id)
                .unzip();
            pieces.push(PlannedPiece {
                id: placement.piece.clone(),
                outline: PlannedPath {
                    id: id.clone(),
                    name: id,
                    kind: "cut".to_owned(),
                    path: outer(&(piece_from_sheet * outline)),
                },
                lines,
                dashes,
            });
        }
    }
    pieces
}

/// Lengths in the pattern of a line: dashes for valleys and cuts into the paper, dash-dot for mountains, as the front shows them.
fn dashes(kind: &str, fold: Option<&str>, is_face_down: bool) -> usize {
    match (kind, fold, is_face_down) {
        ("crease", Some("mountain"), false) | ("crease", Some("valley"), true) => 4,
        ("crease" | "partial-cut", _, _) => 2,
        _ => 0,
    }
}

/// The subpath with the largest box: an outline without its holes.
fn outer(path: &BezPath) -> BezPath {
    let mut rings: Vec<BezPath> = Vec::new();
    for element in path.elements() {
        if matches!(element, kurbo::PathEl::MoveTo(_)) {
            rings.push(BezPath::new());
        }
        if let Some(ring) = rings.last_mut() {
            ring.push(*element);
        }
    }
    let area = |ring: &BezPath| bounds(ring).map_or(0.0, |b| b.area());
    let largest = rings.into_iter().max_by(|a, b| area(a).total_cmp(&area(b)));
    largest.unwrap_or_default()
}

/// Checks the pattern of a line.
pub(super) fn check_dashes(tally: &mut Tally, tagged: &Tagged, planned: usize) {
    let found = tagged.items.iter().find_map(|item| match &item.what {
        Paint::Stroke { dashes, .. } => Some(*dashes),
        Paint::Fill { .. } | Paint::Picture { .. } | Paint::Text(_) | Paint::Shading => None,
    });
    let spell = |dashes: usize| match dashes {
        0 => "a solid line".to_owned(),
        2 => "dashes".to_owned(),
        4 => "dashes and dots".to_owned(),
        other => format!("{other} lengths"),
    };
    tally.count();
    if found != Some(planned) {
        let what = format!("the kind of line of {}", tagged.id);
        let found = found.map_or_else(|| "nothing".to_owned(), spell);
        tally.add(Finding::numbers("verify.layer", &what, spell(planned), found).about(&tagged.id));
    }
}
