//! What of opened sheets is worth keeping: the largest upright rectangles that nothing was cut from and nothing printed on.
//!
//! Rectangles keep the job's gap from outlines, stay clear of bleed, marks, captions and ticks, and do not overlap. They are taken one
//! after another, the largest first, as long as they have the least size that the job asks for. Sizes are rounded down to a step that
//! a ruler shows. Where a trimmer cuts, each lies in one piece of the waste that falls off between cuts from edge to edge.

use kurbo::{Affine, Rect};

use super::face_map::face_from_sheet;
use super::marks::{Scales, clear_zones};
use super::trimmer::Holds;
use super::{Leftover, Placement, Sheet};
use crate::geometry::offset::offset;
use crate::geometry::{FreeSpace, Outline, is_at_least};
use crate::length::{Length, LengthStyle};
use crate::math::FLATTEN_MM;
use crate::project::{CutBy, Face, Project};

/// Grid between the edges of boxes.
const STEP_MM: f64 = 1.0;

/// Room around a tick, so that its ink is not on the offcut.
const TICK_MM: f64 = 0.5;

/// Returns the offcuts worth keeping, the largest first.
pub(super) fn leftovers(project: &Project, sheets: &[Sheet]) -> Vec<Leftover> {
    let mut found: Vec<Leftover> = Vec::new();
    for (index, sheet) in sheets.iter().enumerate() {
        let areas = free_areas(project, sheet);
        found.extend(
            areas
                .into_iter()
                .map(|area| Leftover { sheet: index, area }),
        );
    }
    found.sort_by(|a, b| b.area.area().total_cmp(&a.area.area()));
    found
}

fn free_areas(project: &Project, sheet: &Sheet) -> Vec<Rect> {
    let least = project.job.least_offcut;
    let least_mm = (least.0.to_mm(), least.1.to_mm());
    let step = ruler_step(project.job.lengths);
    let taken = taken(project, sheet);
    let furniture = furniture(project, sheet);
    let boxes = taken.iter().map(Outline::bounds);
    let exact: Vec<Rect> = boxes.chain(furniture.iter().copied()).collect();
    let mut found = Vec::new();
    for region in regions(project, sheet) {
        let mut space = FreeSpace::new(region, &exact, STEP_MM);
        taken.iter().for_each(|outline| space.take(outline));
        furniture.iter().for_each(|band| space.take_box(*band));
        if let Some(edge) = project.stocks[sheet.stock].edge_seen(sheet.front_is) {
            space.take_outside(&edge);
        }
        while let Some(free) = space.largest(least_mm) {
            space.take_box(free);
            let kept = rounded_down(free, step);
            if is_at_least(kept, least_mm) {
                found.push(kept);
            }
        }
    }
    found
}

/// The whole sheet, or what falls off it where it is cut by a list.
fn regions(project: &Project, sheet: &Sheet) -> Vec<Rect> {
    let Some(list) = &sheet.cut_list else {
        return match project.job.cut_by {
            CutBy::Machine => vec![Rect::new(0.0, 0.0, sheet.width_mm, sheet.height_mm)],
            CutBy::Trimmer => Vec::new(),
        };
    };
    let waste = list.parts.iter().filter(|part| part.holds == Holds::Waste);
    waste.map(|part| part.area).collect()
}

/// Outlines grown by the gap, or by their bleed if that is wider.
fn taken(project: &Project, sheet: &Sheet) -> Vec<Outline> {
    let mut known: Vec<(usize, Length, Vec<Outline>)> = Vec::new();
    let mut taken = Vec::new();
    for (index, placement) in sheet.placements.iter().enumerate() {
        let by = project.job.gap.max(bleed(project, sheet, index, placement));
        let position = known
            .iter()
            .position(|(piece, grown_by, _)| (*piece, *grown_by) == (placement.piece, by));
        let position = position.unwrap_or_else(|| {
            let outline = &project.pieces[placement.piece].outline;
            // What flattening may cut off a curve is kept free besides.
            let cut_off_mm = if outline.is_rectangle() {
                0.0
            } else {
                FLATTEN_MM
            };
            let grown = offset(outline, by.to_mm() + cut_off_mm);
            known.push((placement.piece, by, grown));
            known.len() - 1
        });
        let to_sheet: Affine = placement.pose.to_affine();
        taken.extend(known[position].2.iter().map(|o| o.transformed(to_sheet)));
    }
    taken
}

/// The widest bleed of what any run of the sheet prints at a place.
fn bleed(project: &Project, sheet: &Sheet, index: usize, placement: &Placement) -> Length {
    let contents = sheet
        .prints
        .iter()
        .filter_map(|run| run.contents.get(index));
    contents
        .flat_map(|content| project.artwork_of(content.edition, placement.piece))
        .map(|artwork| artwork.bleed)
        .max()
        .unwrap_or(Length::ZERO)
}

/// Boxes around marks, captions and ticks.
fn furniture(project: &Project, sheet: &Sheet) -> Vec<Rect> {
    let size = kurbo::Size::new(sheet.width_mm, sheet.height_mm);
    let printed = [
        (sheet.front.is_some(), Face::Front),
        (sheet.back.is_some(), Face::Back),
    ];
    let captions = printed.into_iter().filter_map(|(is_printed, face)| {
        let map = face_from_sheet(face, size, project.job.turn_over);
        let band = sheet.caption.filter(|_| is_printed)?;
        Some(map.transform_rect_bbox(band))
    });
    let ticks = sheet.ticks.iter();
    let ticks = ticks.map(|t| Rect::from_points(t.from, t.to).inflate(TICK_MM, TICK_MM));
    let scales = Scales::on(project, size);
    let marks = sheet
        .marks
        .iter()
        .flat_map(|mark| clear_zones(mark, size, scales));
    marks.chain(captions).chain(ticks).collect()
}

fn ruler_step(style: LengthStyle) -> Length {
    match style {
        LengthStyle::InchFractions | LengthStyle::InchDecimals => Length::from_inch_fraction(1, 16),
        LengthStyle::Millimetres => Length::from_mm(1),
    }
}

/// The rectangle with both sides rounded down to whole steps, its top left corner kept.
fn rounded_down(free: Rect, step: Length) -> Rect {
    let down = |mm: f64| {
        let nm = super::place::nm_below(mm);
        Length::from_nm(nm - nm.rem_euclid(step.nm())).to_mm()
    };
    Rect::from_origin_size(free.origin(), (down(free.width()), down(free.height())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_rounded_down_to_what_a_ruler_shows() {
        let free = Rect::new(10.3, 20.7, 10.3 + 215.9, 20.7 + 100.4);
        let in_mm = rounded_down(free, ruler_step(LengthStyle::Millimetres));
        assert_eq!((in_mm.x0, in_mm.y0), (10.3, 20.7));
        assert!((in_mm.width() - 215.0).abs() < 1e-9 && (in_mm.height() - 100.0).abs() < 1e-9);
        // 8 1/2 in, and 3 15/16 in = 100.0125 mm below 100.4 mm.
        let in_inches = rounded_down(free, ruler_step(LengthStyle::InchFractions));
        assert!((in_inches.width() - 215.9).abs() < 1e-9);
        assert!((in_inches.height() - 100.0125).abs() < 1e-9);
    }
}
