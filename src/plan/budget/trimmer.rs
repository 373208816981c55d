//! A trimmer cuts: by printed ticks, which know nothing of the printer's error, or by the fence, which does.

use kurbo::{Point, Size};

use super::variance::{square_of, width_95_mm};
use super::{CutWay, Misfit, Share, Source, assumed, is_cut, machine, printed_faces};
use crate::plan::Sheet;
use crate::plan::reach::known;
use crate::plan::trimmer::{Cut, CutList, EdgeKind, Guide, Split};
use crate::project::{Axis, Edge, Face, Project};

/// Places nearer together than this are one.
const SAME_MM: f64 = 0.01;

/// What makes a cut miss the print, across the cut: variances in square millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Missed {
    axis: Axis,
    at_mm: f64,
    printer: f64,
    loading: f64,
    trimmer: f64,
    is_assumed: bool,
}

impl Missed {
    fn total(&self) -> f64 {
        self.printer + self.loading + self.trimmer
    }
}

/// Returns how far the worst cut at the edge of something printed may miss it.
pub(super) fn way(project: &Project, sheets: &[Sheet]) -> Option<Misfit> {
    let mut worst: Option<Missed> = None;
    for sheet in sheets {
        let Some(list) = &sheet.cut_list else {
            continue;
        };
        for missed in of_sheet(project, sheet, list) {
            let is_printed = is_printed_edge(project, sheet, missed.axis, missed.at_mm);
            let is_worse = |kept: &Missed| kept.total() < missed.total();
            if is_printed && worst.as_ref().is_none_or(is_worse) {
                worst = Some(missed);
            }
        }
    }
    worst.map(misfit)
}

fn misfit(missed: Missed) -> Misfit {
    let share = |of, variance: f64, is_assumed| Share {
        of,
        within_mm: width_95_mm(variance),
        is_assumed,
    };
    let shares = [
        share(Source::Printer, missed.printer, missed.is_assumed),
        share(Source::Loading, missed.loading, true),
        share(Source::Trimmer, missed.trimmer, true),
    ];
    Misfit {
        way: CutWay::ByHand,
        within_mm: width_95_mm(missed.total()),
        shares: shares.into_iter().filter(|s| s.within_mm > 0.0).collect(),
    }
}

/// Every cut of a sheet, in the order in which they are made: a fence hands on the error of the edge that lies at it.
fn of_sheet(project: &Project, sheet: &Sheet, list: &CutList) -> Vec<Missed> {
    let mut made: Vec<Missed> = Vec::new();
    for cut in &list.cuts {
        for split in &cut.splits {
            let missed = of_split(project, sheet, list, &made, (cut, split));
            made.push(missed);
        }
    }
    made
}

fn of_split(
    project: &Project,
    sheet: &Sheet,
    list: &CutList,
    made: &[Missed],
    (cut, split): (&Cut, &Split),
) -> Missed {
    let by_eye = square_of(assumed::BY_EYE_MM) + square_of(assumed::BLADE_MM);
    let exact = Missed {
        axis: cut.axis,
        at_mm: split.at_mm,
        printer: 0.0,
        loading: 0.0,
        trimmer: by_eye,
        is_assumed: false,
    };
    let Guide::Fence { width, from } = &cut.guide else {
        return exact;
    };
    let fence_mm = match from {
        Edge::Left | Edge::Top => split.at_mm - width.to_mm(),
        Edge::Right | Edge::Bottom => split.at_mm + width.to_mm(),
    };
    let is_it = |m: &&Missed| m.axis == cut.axis && (m.at_mm - fence_mm).abs() < SAME_MM;
    let fresh = made.iter().rev().find(is_it);
    match (split.edge, fresh) {
        (Some(EdgeKind::Fresh), Some(edge)) => {
            let (scale, is_assumed) = scale(project, sheet, cut.axis);
            let grown = scale * (split.at_mm - fence_mm).powi(2);
            Missed {
                printer: edge.printer + grown,
                loading: edge.loading,
                trimmer: edge.trimmer + by_eye,
                is_assumed: is_assumed || edge.is_assumed,
                ..exact
            }
        }
        (Some(EdgeKind::Fresh | EdgeKind::Paper) | None, _) => {
            let area = list.parts[split.part].area;
            let ends = match cut.axis {
                Axis::X => [(split.at_mm, area.y0), (split.at_mm, area.y1)],
                Axis::Y => [(area.x0, split.at_mm), (area.x1, split.at_mm)],
            };
            let (printer, is_assumed) = printer(project, sheet, cut.axis, ends.map(Point::from));
            let feed_mm = if is_assumed { 0.0 } else { assumed::FEED_MM };
            Missed {
                printer,
                loading: square_of(feed_mm),
                is_assumed,
                ..exact
            }
        }
    }
}

fn size(sheet: &Sheet) -> Size {
    Size::new(sheet.width_mm, sheet.height_mm)
}

fn face(sheet: &Sheet) -> Face {
    if sheet.front.is_some() {
        Face::Front
    } else {
        Face::Back
    }
}

/// The worst variance, across a cut, of where the printer puts its two ends.
fn printer(project: &Project, sheet: &Sheet, axis: Axis, ends: [Point; 2]) -> (f64, bool) {
    let of = |end: Point| machine::printer(project, size(sheet), face(sheet), end);
    let [(first, is_assumed), (last, _)] = ends.map(of);
    let across = match axis {
        Axis::X => first.x.max(last.x),
        Axis::Y => first.y.max(last.y),
    };
    (across, is_assumed)
}

/// The variance of the printer's scale along an axis, as a share squared.
fn scale(project: &Project, sheet: &Sheet, axis: Axis) -> (f64, bool) {
    match known(project, size(sheet), face(sheet)).map() {
        Some(map) => match axis {
            Axis::X => (map.spread.x[0], false),
            Axis::Y => (map.spread.y[2], false),
        },
        None => (square_of(assumed::PRINT_SCALE), true),
    }
}

/// Whether a cut runs along the trimmed edge of something printed.
fn is_printed_edge(project: &Project, sheet: &Sheet, axis: Axis, at_mm: f64) -> bool {
    sheet
        .placements
        .iter()
        .enumerate()
        .any(|(index, placement)| {
            let piece = &project.pieces[placement.piece];
            if !is_cut(project, piece) || printed_faces(sheet, index).next().is_none() {
                return false;
            }
            let lies = piece
                .outline
                .transformed(placement.pose.to_affine())
                .bounds();
            let edges = match axis {
                Axis::X => [lies.x0, lies.x1],
                Axis::Y => [lies.y0, lies.y1],
            };
            edges.into_iter().any(|edge| (edge - at_mm).abs() < SAME_MM)
        })
}
