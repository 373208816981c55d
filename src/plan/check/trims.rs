//! What comes out of a sheet if the cuts of its list are made one by one, on paper as it is and on a print that lies askew.

use kurbo::Rect;

use super::super::Sheet;
use super::super::trimmer::{Caution, Cut, CutList, EdgeKind, Guide, Holds, Split};
use super::ALLOWED_MM;
use crate::project::{Axis, CutBy, Edge, Face, Maker, Project};

/// A part on the table: what it measures, and which of its edges (left, top, right, bottom) have been cut.
#[derive(Debug, Clone, Copy)]
struct OnTable {
    area: Rect,
    cut: [bool; 4],
}

/// Cutting by the list leaves every piece, and each cut can be made as it says.
pub(super) fn cut_list(project: &Project, sheet: &Sheet) -> Vec<String> {
    let list = match (project.job.cut_by, &sheet.cut_list) {
        (CutBy::Machine, None) => return Vec::new(),
        (CutBy::Machine, Some(_)) => return vec!["there is a cut list for no trimmer".to_owned()],
        (CutBy::Trimmer, None) if sheet.is_filled(project) => return Vec::new(),
        (CutBy::Trimmer, None) => return vec!["there is no cut list".to_owned()],
        (CutBy::Trimmer, Some(list)) => list,
    };
    let mut found = Vec::new();
    let mut table: Vec<Option<OnTable>> = vec![None; list.parts.len()];
    if let Some(first) = table.first_mut() {
        *first = Some(OnTable {
            area: Rect::new(0.0, 0.0, sheet.width_mm, sheet.height_mm),
            cut: [false; 4],
        });
    }
    for (number, cut) in (1..).zip(&list.cuts) {
        if cut.number != number || cut.splits.is_empty() {
            found.push(format!("cut {number} is numbered {}", cut.number));
        }
        for split in &cut.splits {
            let made = make(project, sheet, cut, split, &mut table);
            found.extend(made.err().map(|why| format!("cut {number} {why}")));
        }
        found.extend(stacked(project, sheet, cut).map(|why| format!("cut {number} {why}")));
    }
    found.extend(left_on_table(project, sheet, list, &table));
    found
}

/// Makes a cut on one part, or says why it cannot be made.
fn make(
    project: &Project,
    sheet: &Sheet,
    cut: &Cut,
    split: &Split,
    table: &mut [Option<OnTable>],
) -> Result<(), String> {
    let part = table
        .get_mut(split.part)
        .and_then(Option::take)
        .ok_or("needs a part that is not there")?;
    let (near, far, across) = match cut.axis {
        Axis::X => (part.area.x0, part.area.x1, part.area.height()),
        Axis::Y => (part.area.y0, part.area.y1, part.area.width()),
    };
    if !(near < split.at_mm && split.at_mm < far) || (cut.length_mm - across).abs() > ALLOWED_MM {
        return Err("does not run from edge to edge".to_owned());
    }
    guided(project, sheet, cut, split, part)?;
    let caution = |is_needed: bool, caution: fn(&Caution) -> bool, what: &str| {
        let is_told = cut.cautions.iter().any(caution);
        (is_needed == is_told)
            .then_some(())
            .ok_or(format!("is silent or wrong on {what}"))
    };
    let is_long = across > project.trimmer.reach.to_mm() + ALLOWED_MM;
    caution(is_long, |c| *c == Caution::BeyondReach, "its length")?;
    let is_narrow =
        matches!(&cut.guide, Guide::Fence { width, .. } if *width < project.trimmer.least_held);
    caution(is_narrow, |c| *c == Caution::HeldNarrow, "what is held")?;
    let mut leaves = [part; 2];
    match cut.axis {
        Axis::X => {
            (leaves[0].area.x1, leaves[1].area.x0) = (split.at_mm, split.at_mm);
            (leaves[0].cut[2], leaves[1].cut[0]) = (true, true);
        }
        Axis::Y => {
            (leaves[0].area.y1, leaves[1].area.y0) = (split.at_mm, split.at_mm);
            (leaves[0].cut[3], leaves[1].cut[1]) = (true, true);
        }
    }
    for (place, leaf) in split.leaves.into_iter().zip(leaves) {
        let free = table.get_mut(place).ok_or("leaves a part of no name")?;
        if free.replace(leaf).is_some() {
            return Err("leaves a part that is there already".to_owned());
        }
    }
    Ok(())
}

/// The fence, or the print, puts the blade where the plan has it.
fn guided(
    project: &Project,
    sheet: &Sheet,
    cut: &Cut,
    split: &Split,
    part: OnTable,
) -> Result<(), String> {
    let is_printed = sheet.front.is_some() || sheet.back.is_some();
    match &cut.guide {
        Guide::Fence { width, from } => {
            let width_mm = width.to_mm();
            let (axis, index, blade_mm) = match from {
                Edge::Left => (Axis::X, 0, part.area.x0 + width_mm),
                Edge::Top => (Axis::Y, 1, part.area.y0 + width_mm),
                Edge::Right => (Axis::X, 2, part.area.x1 - width_mm),
                Edge::Bottom => (Axis::Y, 3, part.area.y1 - width_mm),
            };
            if axis != cut.axis || (blade_mm - split.at_mm).abs() > ALLOWED_MM {
                return Err(format!(
                    "puts the blade at {blade_mm:.4} mm, not {:.4} mm",
                    split.at_mm
                ));
            }
            if (split.edge == Some(EdgeKind::Fresh)) != part.cut[index] {
                return Err("takes an edge for what it is not".to_owned());
            }
            if is_printed && !part.cut[index] {
                return Err("measures a print from the paper's edge".to_owned());
            }
            let off = project
                .trimmer
                .division
                .filter(|d| width.nm() % d.length().nm() != 0);
            let is_told = cut
                .cautions
                .iter()
                .any(|c| matches!(c, Caution::OffScale { .. }));
            if off.is_some() != is_told {
                return Err("is silent or wrong on the fence's scale".to_owned());
            }
            Ok(())
        }
        Guide::Ticks(ids) => {
            let face = if sheet.front.is_some() {
                Face::Front
            } else {
                Face::Back
            };
            let paper = part.area.inflate(ALLOWED_MM, ALLOWED_MM);
            let is_here = |id: &String| {
                sheet.ticks.iter().any(|tick| {
                    let ends = match cut.axis {
                        Axis::X => [tick.from.x, tick.to.x],
                        Axis::Y => [tick.from.y, tick.to.y],
                    };
                    let is_on_line = ends
                        .iter()
                        .all(|at| (at - split.at_mm).abs() <= 2.0 * ALLOWED_MM);
                    let is_on_paper = paper.contains(tick.from) && paper.contains(tick.to);
                    tick.id == *id && tick.face == face && is_on_line && is_on_paper
                })
            };
            if ids.is_empty() || !ids.iter().all(is_here) {
                return Err("is made to a tick that is not there".to_owned());
            }
            Ok(())
        }
        Guide::Print if is_printed => Ok(()),
        Guide::Print => Err("is made to a print that is not there".to_owned()),
    }
}

/// Stacks are no thicker than the trimmer takes, and enough for all the sheets; prints are cut one by one.
fn stacked(project: &Project, sheet: &Sheet, cut: &Cut) -> Option<String> {
    let caliper = project.stocks[sheet.stock].caliper;
    let thick_mm = f64::from(cut.together) * caliper.map_or(0.0, |c| c.to_mm());
    let is_too_thick = cut.together > 1
        && (caliper.is_none() || thick_mm > project.trimmer.stack.to_mm() + ALLOWED_MM);
    let all = u64::from(sheet.runs) * cut.splits.len() as u64;
    let is_too_few = u64::from(cut.together) * u64::from(cut.times) < all;
    let is_by_eye = !matches!(cut.guide, Guide::Fence { .. });
    if is_too_thick || is_too_few || (is_by_eye && cut.together != 1) {
        return Some(format!(
            "takes {} sheets {} times for {all}",
            cut.together, cut.times
        ));
    }
    None
}

/// Each piece lies on the table once, cut to its outline or to a rectangle it can be finished from; nothing else is left to cut.
fn left_on_table(
    project: &Project,
    sheet: &Sheet,
    list: &CutList,
    table: &[Option<OnTable>],
) -> Vec<String> {
    let mut times = vec![0; sheet.placements.len()];
    let mut found = Vec::new();
    for (part, on_table) in list.parts.iter().zip(table) {
        let Some(on_table) = on_table else { continue };
        match part.holds {
            Holds::More => found.push(format!("{} is not cut further", part.name)),
            Holds::Waste => {}
            Holds::Piece(index) => {
                let placement = &sheet.placements[index];
                times[index] += 1;
                let piece = &project.pieces[placement.piece];
                let outline = piece.outline.transformed(placement.pose.to_affine());
                let is_final = outline.is_rectangle() && piece.cut_by == Maker::Hand;
                if !comes_out(outline.bounds(), on_table.area, is_final) {
                    found.push(format!("{} comes out as {:?}", placement.id, on_table.area));
                }
            }
        }
    }
    let missing = times
        .iter()
        .zip(&sheet.placements)
        .filter(|(n, _)| **n != 1);
    found.extend(missing.map(|(n, p)| format!("{} comes out {n} times", p.id)));
    found
}

fn comes_out(wanted: Rect, found: Rect, is_final: bool) -> bool {
    let beyond = [
        wanted.x0 - found.x0,
        wanted.y0 - found.y0,
        found.x1 - wanted.x1,
        found.y1 - wanted.y1,
    ];
    beyond
        .iter()
        .all(|mm| *mm >= -2.0 * ALLOWED_MM && (!is_final || *mm <= 2.0 * ALLOWED_MM))
}
