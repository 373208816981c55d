//! All sheets, filled greedily.

use super::greedy::{fill, fill_up};
use super::job::Job;
use super::random::Random;
use super::sheaf::{Pattern, Sheaf};

/// Adds sheets to `sheaf` for as many of the parts in `left` as find place.
pub(super) fn add_sheets(job: &Job, sheaf: &mut Sheaf, mut left: Vec<u32>, random: &mut Random) {
    while left.iter().any(|n| *n > 0) {
        let Some(mut pattern) = next_sheet(job, sheaf, &left, random) else {
            return;
        };
        pattern.runs = runs(&pattern, &left, job.sheets_left(sheaf, pattern.board));
        for (part, n) in left.iter_mut().enumerate() {
            *n -= pattern.count(part) * pattern.runs;
        }
        sheaf.add(pattern);
    }
}

/// The next sheet: the first offcut that takes anything, else the kind of sheet on which most finds place.
fn next_sheet(job: &Job, sheaf: &Sheaf, left: &[u32], random: &mut Random) -> Option<Pattern> {
    let boards = 0..job.bench.boards.len();
    let open: Vec<usize> = boards.filter(|b| job.sheets_left(sheaf, *b) > 0).collect();
    let (offcuts, whole): (Vec<usize>, Vec<usize>) =
        open.into_iter().partition(|b| job.is_offcut(*b));
    let mut filled = |board: usize| {
        let pattern = Pattern {
            board,
            runs: 1,
            lying: fill(&job.bench, board, left, random),
        };
        (!pattern.lying.is_empty()).then_some(pattern)
    };
    if let Some(pattern) = offcuts.into_iter().find_map(&mut filled) {
        return Some(pattern);
    }
    let area = |pattern: &Pattern| pattern.filled_nm2(&job.bench);
    // Of equal ones the first.
    let patterns = whole.into_iter().filter_map(filled);
    patterns.reduce(|best, next| {
        if area(&next) > area(&best) {
            next
        } else {
            best
        }
    })
}

/// How often a pattern can be made from what is left, with so many sheets of its kind.
fn runs(pattern: &Pattern, left: &[u32], sheets: u32) -> u32 {
    let parts = 0..left.len();
    parts
        .filter_map(|part| left[part].checked_div(pattern.count(part)))
        .fold(sheets, u32::min)
}

/// Lays spares into what is free on the sheets.
pub(super) fn add_spares(job: &Job, sheaf: &mut Sheaf, random: &mut Random) {
    let mut left: Vec<u32> = job.request.parts.iter().map(|part| part.spares).collect();
    for pattern in &mut sheaf.patterns {
        let before = pattern.clone();
        let each: Vec<u32> = left.iter().map(|n| n / pattern.runs).collect();
        fill_up(&job.bench, pattern, &each, random);
        for (part, n) in left.iter_mut().enumerate() {
            *n -= (pattern.count(part) - before.count(part)) * pattern.runs;
        }
    }
}
