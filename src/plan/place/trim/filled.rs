//! Sheets that hold exactly what is wanted.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use super::super::Area;
use super::super::cover::{Cover, Demand};
use super::block::{Spot, size_nm2};
use super::pool::{Pool, pattern};
use super::problem::Problem;
use super::rests::rests;

/// A sheet of some kind, made once or more often.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Filled {
    pub(super) kind: usize,
    pub(super) runs: u32,
    pub(super) spots: Vec<Spot>,
}

/// Turns a cover into sheets and takes off what is covered more often than wanted.
pub(super) fn filled(
    problem: &Problem,
    pool: &Pool,
    demand: &Demand,
    cover: &Cover,
) -> Vec<Filled> {
    let mut sheets: Vec<Filled> = Vec::new();
    let mut numbers: Vec<usize> = Vec::new();
    for (number, runs) in cover {
        if let Some(at) = numbers.iter().position(|n| n == number) {
            sheets[at].runs += runs;
        } else {
            numbers.push(*number);
            sheets.push(Filled {
                kind: pool.patterns()[*number].kind,
                runs: *runs,
                spots: pool.spots(*number).to_vec(),
            });
        }
    }
    for size in 0..problem.sizes.len() {
        let count = |sheet: &Filled| count(problem, sheet, size) * sheet.runs;
        let covered: u32 = sheets.iter().map(count).sum();
        take_off(
            problem,
            &mut sheets,
            size,
            covered.saturating_sub(demand.parts[size]),
        );
    }
    sheets.retain(|sheet| !sheet.spots.is_empty());
    sheets
}

fn count(problem: &Problem, sheet: &Filled, size: usize) -> u32 {
    let blocks = &problem.kinds[sheet.kind].blocks;
    let same = sheet
        .spots
        .iter()
        .filter(|spot| blocks[spot.block].size == size);
    u32::try_from(same.count()).expect("boxes on a sheet")
}

/// Takes `excess` boxes of a size off, from all runs of a sheet if that is possible, else from some of them.
fn take_off(problem: &Problem, sheets: &mut Vec<Filled>, size: usize, mut excess: u32) {
    let mut split = Vec::new();
    for sheet in sheets.iter_mut() {
        while excess > 0 && count(problem, sheet, size) > 0 {
            let runs = sheet.runs.min(excess);
            if runs < sheet.runs {
                split.push(Filled {
                    runs: sheet.runs - runs,
                    ..sheet.clone()
                });
                sheet.runs = runs;
            }
            let blocks = &problem.kinds[sheet.kind].blocks;
            let last = sheet
                .spots
                .iter()
                .rposition(|spot| blocks[spot.block].size == size);
            sheet.spots.remove(last.expect("there is one"));
            excess -= runs;
        }
    }
    sheets.extend(split);
}

/// How good sheets are; less is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Score {
    /// Cost in millionths of a sheet, leftovers included.
    pub(super) micro_cost: i128,
    /// The largest rest on any sheet that comes off in one piece, in fiftieths of that sheet: smaller differences help nobody.
    rest_fiftieths: Reverse<i64>,
    /// Lines at which boxes begin on different sheets, each a setting of the fence.
    lines: usize,
}

impl Score {
    /// Judges sheets that cost so much.
    pub(super) fn new(problem: &Problem, sheets: &[Filled], cost: f64) -> Self {
        let rest = sheets.iter().map(|sheet| fiftieths(problem, sheet)).max();
        Self {
            micro_cost: micro(cost),
            rest_fiftieths: Reverse(rest.unwrap_or(0)),
            lines: sheets.iter().map(lines).sum(),
        }
    }
}

/// A cost in millionths of a sheet.
#[expect(
    clippy::cast_possible_truncation,
    reason = "costs are far below the range"
)]
pub(super) fn micro(cost: f64) -> i128 {
    (cost * 1e6).round() as i128
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a rest is no larger than its sheet"
)]
fn fiftieths(problem: &Problem, sheet: &Filled) -> i64 {
    let kind = &problem.kinds[sheet.kind];
    let size = |area: &Area| size_nm2(area.width_nm, area.height_nm);
    let largest = free_rests(problem, sheet)
        .iter()
        .map(size)
        .fold(0.0, f64::max);
    (50.0 * largest / kind.size_nm2) as i64
}

/// What is left of a sheet, in pieces that come off it.
fn free_rests(problem: &Problem, sheet: &Filled) -> Vec<Area> {
    let kind = &problem.kinds[sheet.kind];
    let boxes: Vec<Area> = sheet
        .spots
        .iter()
        .map(|spot| spot.area(&kind.blocks))
        .collect();
    rests(&kind.free, &boxes, problem.reach_nm)
}

fn lines(sheet: &Filled) -> usize {
    let across: BTreeSet<i64> = sheet.spots.iter().map(|spot| spot.x_nm).collect();
    let down: BTreeSet<i64> = sheet.spots.iter().map(|spot| spot.y_nm).collect();
    across.len() + down.len()
}

/// How many sheets differ in what lies on them.
pub(super) fn different(problem: &Problem, sheets: &[Filled]) -> usize {
    let patterns = sheets
        .iter()
        .map(|s| pattern(s.kind, &problem.kinds[s.kind].blocks, &s.spots));
    patterns.collect::<BTreeSet<_>>().len()
}
