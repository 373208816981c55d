//! Sheets that have been filled once, to be taken again.

use std::collections::HashMap;

use super::super::cover::Pattern;
use super::block::{Block, Spot};

/// Patterns and what lies where on them. Two ways of laying the same boxes are one pattern; the first stays.
#[derive(Debug, Clone, Default)]
pub(super) struct Pool {
    patterns: Vec<Pattern>,
    spots: Vec<Vec<Spot>>,
    numbers: HashMap<Pattern, usize>,
}

impl Pool {
    /// Puts a filling of a kind of sheet in; returns its number and whether it is new.
    pub(super) fn put(&mut self, kind: usize, blocks: &[Block], spots: &[Spot]) -> (usize, bool) {
        let pattern = pattern(kind, blocks, spots);
        if let Some(number) = self.numbers.get(&pattern) {
            return (*number, false);
        }
        let number = self.patterns.len();
        self.numbers.insert(pattern.clone(), number);
        self.patterns.push(pattern);
        self.spots.push(spots.to_vec());
        (number, true)
    }

    /// All patterns; the parts of a pattern are sizes of the problem.
    pub(super) fn patterns(&self) -> &[Pattern] {
        &self.patterns
    }

    /// What lies where on a pattern.
    pub(super) fn spots(&self, number: usize) -> &[Spot] {
        &self.spots[number]
    }
}

/// What a filling holds.
pub(super) fn pattern(kind: usize, blocks: &[Block], spots: &[Spot]) -> Pattern {
    let mut sizes: Vec<usize> = spots.iter().map(|spot| blocks[spot.block].size).collect();
    sizes.sort_unstable();
    let mut counts: Vec<(usize, u32)> = Vec::new();
    for size in sizes {
        match counts.last_mut() {
            Some((last, count)) if *last == size => *count += 1,
            Some(_) | None => counts.push((size, 1)),
        }
    }
    Pattern { kind, counts }
}
