//! What the sizes of a drawing do not tell: where holes are, how deep tabs are.

use kurbo::{BezPath, Rect, Shape};

use super::super::Told;
use super::boxed;
use crate::diagnostic::listed;
use crate::handout::PieceWork;
use crate::length::{Length, LengthStyle};
use crate::math::VERIFY_MM;
use crate::project::{Face, OperationKind, Piece};

/// Sentences for below the heading of a drawing.
pub(super) fn facts(told: Told<'_>, work: &PieceWork) -> Vec<String> {
    let piece = told.piece(work);
    let style = told.handout.style;
    let operations = piece.operations.iter();
    let holes = operations.filter(|o| o.kind == OperationKind::Hole);
    let holes = holes.filter_map(|o| round_hole(work, piece, &o.path, style));
    let mut facts: Vec<String> = holes.collect();
    facts.extend(tabs(piece, style));
    facts
}

/// `hole: 1/8 in across, its middle 1 in from the left and 1/4 in from the top`; `None` where it is not round.
fn round_hole(
    work: &PieceWork,
    piece: &Piece,
    path: &BezPath,
    style: LengthStyle,
) -> Option<String> {
    let hole = boxed(path);
    let round_mm2 = std::f64::consts::PI * hole.width() * hole.height() / 4.0;
    let is_round = (hole.width() - hole.height()).abs() < VERIFY_MM
        && (path.area().abs() - round_mm2).abs() < 0.01 * round_mm2;
    let (left_mm, top_mm) = from_corner(work, piece.outline.bounds(), hole);
    let show = |mm: f64| Length::nearest_mm(mm).display(style);
    is_round.then(|| {
        format!(
            "hole: {} across, its middle {} from the left and {} from the top",
            show(hole.width()),
            show(left_mm),
            show(top_mm)
        )
    })
}

/// The middle of a hole from the left and the top edge of the face drawn.
fn from_corner(work: &PieceWork, bounds: Rect, hole: Rect) -> (f64, f64) {
    let middle = hole.center();
    let left_mm = match work.scored_face {
        Face::Front => middle.x - bounds.x0,
        Face::Back => bounds.x1 - middle.x,
    };
    (left_mm, middle.y - bounds.y0)
}

/// How deep tabs are: `tabs: 12 mm deep`, or each where they differ.
fn tabs(piece: &Piece, style: LengthStyle) -> Option<String> {
    let panels = piece.panels.iter();
    let tabs = panels
        .filter(|p| p.name.starts_with("tab") || p.name.contains("flap") || p.name == "overlap");
    let depths: Vec<(&str, Length)> = tabs
        .map(|p| {
            let mm = p.bounds_mm.width().min(p.bounds_mm.height());
            (p.name.as_str(), Length::nearest_mm(mm))
        })
        .collect();
    let ((name, first), rest) = depths.split_first()?;
    let deep = |depth: &Length| format!("{} deep", depth.display(style));
    Some(match rest {
        [] => format!("{name}: {}", deep(first)),
        rest if rest.iter().all(|(_, depth)| depth == first) => {
            format!("each tab: {}", deep(first))
        }
        _ => {
            let each: Vec<String> = depths
                .iter()
                .map(|(name, depth)| format!("{name} {}", deep(depth)))
                .collect();
            listed(&each)
        }
    })
}
