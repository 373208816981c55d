//! Which bleed, gap and reveal a job has, which it needs, and a warning where they differ.

use kurbo::Rect;

use super::variance::{square_of, width_95_mm};
use super::{Budget, CutWay, assumed, is_cut, machine};
use crate::diagnostic::Diagnostic;
use crate::length::Length;
use crate::plan::Sheet;
use crate::plan::place::nm_above;
use crate::plan::unplaced::typed_step;
use crate::project::{Artwork, ArtworkFill, CutBy, Listed, MountPlace, Piece, Project};

/// Returns the narrowest bleed of what is printed to the edge of a piece that is cut, with the piece's position.
pub(super) fn narrowest_bleed(project: &Project, sheets: &[Sheet]) -> Option<(Length, usize)> {
    let mut found: Option<(Length, usize)> = None;
    for sheet in sheets {
        for run in &sheet.prints {
            for (content, placement) in run.contents.iter().zip(&sheet.placements) {
                let index = placement.piece;
                let piece = &project.pieces[index];
                if !is_cut(project, piece) {
                    continue;
                }
                let artwork = project.artwork_of(content.edition, index);
                let to_edge = artwork.iter().filter(|layer| reaches_edge(piece, layer));
                let least = to_edge.map(|layer| layer.bleed).min();
                if let Some(bleed) = least
                    && found.is_none_or(|(known, _)| bleed < known)
                {
                    found = Some((bleed, index));
                }
            }
        }
    }
    found
}

/// Whether a layer is printed up to an edge of its piece: a picture may stand well inside.
fn reaches_edge(piece: &Piece, layer: &Artwork) -> bool {
    match &layer.fill {
        ArtworkFill::Flat(_) | ArtworkFill::Repeat(_) => true,
        ArtworkFill::Picture(picture) | ArtworkFill::Each(Listed { place: picture, .. }) => {
            let face = Rect::from_origin_size((0.0, 0.0), piece.outline.bounds().size());
            let unit = Rect::new(0.0, 0.0, 1.0, 1.0);
            let lies = picture.unit_to_face().transform_rect_bbox(unit);
            lies.x0 <= face.x0 || lies.y0 <= face.y0 || lies.x1 >= face.x1 || lies.y1 >= face.y1
        }
    }
}

/// The variance of one cut against the place it was meant for on the sheet, across it; what all cuts of a sheet share is left out.
fn cut_variance(project: &Project) -> f64 {
    match project.job.cut_by {
        CutBy::Machine => machine::repeat_mm(project.cutter.calibration.as_ref()).powi(2),
        CutBy::Trimmer => square_of(assumed::BY_EYE_MM) + square_of(assumed::BLADE_MM),
    }
}

/// Returns the gap and by how much two cuts may come nearer; nothing where neighbours share one cut or there are none.
pub(super) fn gap(project: &Project, sheets: &[Sheet]) -> Option<(Length, f64)> {
    let gap = project.job.gap;
    let has_neighbours = sheets.iter().any(|sheet| sheet.placements.len() > 1);
    let is_shared = gap == Length::ZERO && project.job.cut_by == CutBy::Trimmer;
    let need_mm = width_95_mm(2.0 * cut_variance(project));
    (has_neighbours && !is_shared).then_some((gap, need_mm))
}

/// Returns the narrowest reveal, its piece, and how far the layer may be off.
pub(super) fn narrowest_reveal(
    project: &Project,
    sheets: &[Sheet],
) -> Option<(Length, usize, f64)> {
    let is_made = |index: usize| {
        let mut placed = sheets.iter().flat_map(|s| &s.placements);
        placed.any(|p| p.piece == index)
    };
    let reveals = project
        .pieces
        .iter()
        .enumerate()
        .filter_map(|(index, piece)| {
            let MountPlace::Reveal { sides } = &piece.mount.as_ref()?.place else {
                return None;
            };
            let sides = [sides.top, sides.right, sides.bottom, sides.left];
            let shown = sides.into_iter().filter(|side| *side > Length::ZERO);
            shown
                .min()
                .filter(|_| is_made(index))
                .map(|side| (side, index))
        });
    let (reveal, piece) = reveals.min()?;
    // Both layers are cut, and one is laid on the other.
    let variance = 2.0 * cut_variance(project) + square_of(assumed::LAYER_MM);
    Some((reveal, piece, width_95_mm(variance)))
}

/// Returns a warning each where bleed, gap or reveal are less than they should be.
pub(in crate::plan) fn warnings(project: &Project, budget: Option<&Budget>) -> Vec<Diagnostic> {
    let Some(budget) = budget else {
        return Vec::new();
    };
    let found = [
        bleed_warning(project, budget),
        gap_warning(project, budget),
        reveal_warning(project, budget),
    ];
    found.into_iter().flatten().collect()
}

/// A length that is typed and covers this.
fn covering(project: &Project, mm: f64) -> String {
    let step = typed_step(project.job.lengths).nm();
    let steps = (nm_above(mm) + step - 1).div_euclid(step);
    Length::from_nm(steps * step).display(project.job.lengths)
}

fn bleed_warning(project: &Project, budget: &Budget) -> Option<Diagnostic> {
    let (bleed, index) = budget.bleed?;
    let best = budget.best()?;
    if bleed.to_mm() >= best.within_mm {
        return None;
    }
    let piece = &project.pieces[index];
    let need = covering(project, best.within_mm);
    let text = format!(
        "the bleed of \"{}\" is {}, print and cut may miss each other by {need}, 19 times in 20 by no more",
        piece.id,
        bleed.told(project.job.lengths)
    );
    let warning = Diagnostic::warning("plan.bleed-small", text)
        .at(&piece.origin)
        .hint(format!("type `bleed = \"{need}\"`"));
    let is_assumed = best
        .shares
        .iter()
        .any(|s| s.of == super::Source::Printer && s.is_assumed);
    Some(match best.way {
        CutWay::FromCorner | CutWay::ByHand if is_assumed => warning.hint(
            "or measure the printer with `calibrate ruler`: most of that is what it may be off",
        ),
        CutWay::FromCorner | CutWay::ByHand | CutWay::ByMarks => warning,
    })
}

fn gap_warning(project: &Project, budget: &Budget) -> Option<Diagnostic> {
    let (gap, need_mm) = budget.gap?;
    if gap.to_mm() >= need_mm {
        return None;
    }
    let need = covering(project, need_mm);
    let text = format!(
        "the gap between pieces is {}, two cuts may come nearer by {need}, 19 times in 20 by no more",
        gap.told(project.job.lengths)
    );
    let warning = Diagnostic::warning("plan.gap-small", text).at(&project.job.origin);
    Some(warning.hint(format!("type `gap = \"{need}\"` in [job]")))
}

fn reveal_warning(project: &Project, budget: &Budget) -> Option<Diagnostic> {
    let (reveal, index, need_mm) = budget.reveal?;
    if reveal.to_mm() >= need_mm {
        return None;
    }
    let piece = &project.pieces[index];
    let need = covering(project, need_mm);
    let text = format!(
        "the reveal of \"{}\" is {}, a layer may lie off by {need}, 19 times in 20 by no more: one side may show nothing",
        piece.id,
        reveal.told(project.job.lengths)
    );
    let warning = Diagnostic::warning("plan.reveal-small", text).at(&piece.origin);
    Some(warning.hint(format!("type `reveal = \"{need}\"` or more")))
}
