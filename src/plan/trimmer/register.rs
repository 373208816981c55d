//! The first cuts of a printed sheet, which bring its edges into line with the print.
//!
//! A print lies up to a millimetre or two away from where it should, and on every sheet differently, so nothing can be measured from
//! the paper's edge. The first cut along each axis is made on a printed tick, just where the outermost pieces end. From then on one
//! edge of each direction is in line with the print, and all else counts from there.
//!
//! Of the outer edges and both orders that is taken in which each tick is still on the paper when it is needed, the first cut having
//! one at both its ends if that can be: it sets the direction of all others.

use super::Guide;
use super::cutout::Cutout;
use super::offer::{Move, Workshop};
use super::part::{Loose, across, ends, span};
use super::search::{Made, MadeSplit};
use crate::length::Length;
use crate::plan::{Sheet, Tick, TickKind};
use crate::project::{Axis, Edge, Face};

/// A tick stands for a line if it lies this near to it, in millimetres: what rounding may take.
const ON_LINE_MM: f64 = 0.001;

/// The cuts made so far and what is in hand after them.
#[derive(Debug)]
pub(super) struct Start {
    pub(super) cuts: Vec<Made>,
    pub(super) rest: Loose,
    /// Number of the part that comes about next.
    pub(super) next_id: usize,
}

/// Returns the cuts to ticks; none on an unprinted sheet.
pub(super) fn first_cuts(
    workshop: &Workshop<'_>,
    sheet: &Sheet,
    cutouts: &[Cutout],
    whole: Loose,
) -> Start {
    let none = Start {
        cuts: Vec::new(),
        rest: whole,
        next_id: 1,
    };
    if !workshop.is_printed {
        return none;
    }
    ways(&none.rest, cutouts)
        .into_iter()
        .map(|edges| trimmed(sheet, cutouts, &none, &edges))
        .min_by_key(|start| {
            let ticks: Vec<usize> = start.cuts.iter().map(ticks_of).collect();
            let without = ticks.iter().filter(|n| **n == 0).count();
            let one_sided = ticks.first().is_some_and(|n| *n < 2);
            (without, one_sided)
        })
        .unwrap_or(none)
}

fn ticks_of(made: &Made) -> usize {
    match &made.guide {
        Guide::Ticks(ids) => ids.len(),
        Guide::Fence { .. } | Guide::Print => 0,
    }
}

/// One outer edge for each axis, in both orders; only edges with waste outside them.
fn ways(whole: &Loose, cutouts: &[Cutout]) -> Vec<Vec<Edge>> {
    let usable = |axis| -> Vec<Option<Edge>> {
        let edges = ends(axis)
            .into_iter()
            .filter(|edge| outer_line(whole, cutouts, *edge).is_some());
        let edges: Vec<Option<Edge>> = edges.map(Some).collect();
        if edges.is_empty() { vec![None] } else { edges }
    };
    let mut ways = Vec::new();
    for x in usable(Axis::X) {
        for y in usable(Axis::Y) {
            ways.push([x, y].into_iter().flatten().collect());
            ways.push([y, x].into_iter().flatten().collect());
        }
    }
    ways
}

/// Where the outermost cutouts end towards an edge, if there is waste beyond.
fn outer_line(part: &Loose, cutouts: &[Cutout], edge: Edge) -> Option<i64> {
    let axis = axis_of(edge);
    let spans = part.holds.iter().map(|c| span(cutouts[*c].area, axis));
    let at = match edge {
        Edge::Left | Edge::Top => spans.map(|s| s.0).min(),
        Edge::Right | Edge::Bottom => spans.map(|s| s.1).max(),
    }?;
    let lines = part.lines(axis, cutouts);
    lines
        .into_iter()
        .find(|line| (line - at).abs() <= super::cutout::SAME_NM)
}

const fn axis_of(edge: Edge) -> Axis {
    match edge {
        Edge::Left | Edge::Right => Axis::X,
        Edge::Top | Edge::Bottom => Axis::Y,
    }
}

/// Trims the sheet at these edges in this order.
fn trimmed(sheet: &Sheet, cutouts: &[Cutout], before: &Start, edges: &[Edge]) -> Start {
    let mut start = Start {
        cuts: Vec::new(),
        rest: before.rest.clone(),
        next_id: before.next_id,
    };
    for edge in edges {
        let axis = axis_of(*edge);
        let Some(at_nm) = outer_line(&start.rest, cutouts, *edge) else {
            continue;
        };
        let ids = ticks_at(sheet, &start.rest, axis, at_nm);
        let leaves = start.rest.split(axis, at_nm, start.next_id, cutouts);
        let rest = match edge {
            Edge::Left | Edge::Top => leaves[1].clone(),
            Edge::Right | Edge::Bottom => leaves[0].clone(),
        };
        start.cuts.push(Made {
            axis,
            by: Move::Eye,
            guide: if ids.is_empty() {
                Guide::Print
            } else {
                Guide::Ticks(ids)
            },
            splits: vec![MadeSplit {
                part: start.rest.clone(),
                at_nm,
                leaves,
            }],
        });
        start.rest = rest;
        start.next_id += 2;
    }
    start
}

/// The first and the last tick of the printed face on a line of a part; all of a tick must be on the paper.
fn ticks_at(sheet: &Sheet, part: &Loose, axis: Axis, at_nm: i64) -> Vec<String> {
    let at_mm = Length::from_nm(at_nm).to_mm();
    let face = if sheet.front.is_some() {
        Face::Front
    } else {
        Face::Back
    };
    let place = |tick: &Tick| match axis {
        Axis::X => [tick.from.x, tick.to.x, tick.from.y, tick.to.y],
        Axis::Y => [tick.from.y, tick.to.y, tick.from.x, tick.to.x],
    };
    let (start, stop) = span(part.area, across(axis));
    let paper = Length::from_nm(start).to_mm()..=Length::from_nm(stop).to_mm();
    let is_here = |tick: &&Tick| {
        let [a, b, from, to] = place(tick);
        let is_on_line = |mm: f64| (mm - at_mm).abs() <= ON_LINE_MM;
        tick.kind == TickKind::Crop
            && tick.face == face
            && is_on_line(a)
            && is_on_line(b)
            && paper.contains(&from)
            && paper.contains(&to)
    };
    let mut here: Vec<&Tick> = sheet.ticks.iter().filter(is_here).collect();
    here.sort_by(|a, b| place(a)[2].total_cmp(&place(b)[2]));
    let last = here.len().saturating_sub(1);
    let ends = here
        .iter()
        .enumerate()
        .filter(|(i, _)| [0, last].contains(i));
    ends.map(|(_, tick)| tick.id.clone()).collect()
}
