//! Filled sheets while the search goes on: patterns with how often each is made.

use super::super::{FilledSheet, Layout, Place};
use super::bench::{Bench, rounded};
use super::crowd::{Crowd, Piece};
use super::job::Job;
use super::ring::Point;

/// A part that lies on a sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lying {
    /// Position of its kind in the request.
    pub(super) part: usize,
    /// Its form.
    pub(super) form: usize,
    /// Where the top left corner of its unturned box lies.
    pub(super) at: Point,
}

/// A sheet, made once or more often.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Pattern {
    /// Its kind.
    pub(super) board: usize,
    /// How many of it.
    pub(super) runs: u32,
    /// What lies on it.
    pub(super) lying: Vec<Lying>,
}

impl Pattern {
    /// How many of a part lie on one sheet.
    pub(super) fn count(&self, part: usize) -> u32 {
        let own = self.lying.iter().filter(|l| l.part == part).count();
        u32::try_from(own).expect("a sheet holds no billions of parts")
    }

    /// The area of the parts on one sheet.
    pub(super) fn filled_nm2(&self, bench: &Bench) -> f64 {
        self.lying
            .iter()
            .map(|l| bench.parts[l.part].area_nm2)
            .sum()
    }
}

/// All filled sheets of a job.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Sheaf {
    pub(super) patterns: Vec<Pattern>,
}

impl Sheaf {
    /// How many of each part are placed.
    pub(super) fn placed(&self, parts: usize) -> Vec<u32> {
        let mut placed = vec![0; parts];
        for pattern in &self.patterns {
            for lying in &pattern.lying {
                placed[lying.part] += pattern.runs;
            }
        }
        placed
    }

    /// Sheets of one kind.
    pub(super) fn sheets_of(&self, board: usize) -> u32 {
        let own = self.patterns.iter().filter(|p| p.board == board);
        own.map(|p| p.runs).sum()
    }

    /// Adds a pattern; equal ones become one.
    pub(super) fn add(&mut self, pattern: Pattern) {
        if pattern.runs == 0 || pattern.lying.is_empty() {
            return;
        }
        let same = |p: &&mut Pattern| p.board == pattern.board && p.lying == pattern.lying;
        match self.patterns.iter_mut().find(same) {
            Some(known) => known.runs += pattern.runs,
            None => self.patterns.push(pattern),
        }
    }

    /// Returns the layout that goes out of the door.
    pub(super) fn to_layout(&self, job: &Job) -> Layout {
        let sheets = self.patterns.iter().map(|pattern| FilledSheet {
            kind: pattern.board,
            runs: pattern.runs,
            places: places(pattern, &job.bench),
        });
        let mut sheets: Vec<FilledSheet> = sheets.collect();
        sheets.sort_by_key(|sheet| sheet.kind);
        let placed = self.placed(job.request.parts.len());
        let parts = job.request.parts.iter().zip(placed);
        Layout {
            sheets,
            leftovers: job.left(self),
            spares: parts
                .map(|(part, n)| n.saturating_sub(part.demand))
                .collect(),
        }
    }
}

/// The places on a sheet, from top to bottom, then from left to right.
fn places(pattern: &Pattern, bench: &Bench) -> Vec<Place> {
    let mut places: Vec<([i64; 2], Place)> = pattern
        .lying
        .iter()
        .map(|lying| {
            let form = &bench.forms[lying.form];
            let corner = form.bounds.moved(lying.at).low.map(rounded);
            let place = Place {
                kind: lying.part,
                x_nm: rounded(lying.at[0]),
                y_nm: rounded(lying.at[1]),
                turn_mdeg: form.turn_mdeg,
                is_mirrored: form.is_mirrored,
            };
            ([corner[1], corner[0]], place)
        })
        .collect();
    places.sort_unstable();
    places.into_iter().map(|(_, place)| place).collect()
}

/// Returns what lies on each sheet of a crowd, one run each; empty sheets are left out.
pub(super) fn patterns_of(crowd: &Crowd) -> Vec<Pattern> {
    let lying = |piece: &usize| {
        let Piece { part, spot, .. } = crowd.pieces[*piece];
        Lying {
            part,
            form: spot.form,
            at: spot.at,
        }
    };
    let sheets = crowd.boards.iter().zip(&crowd.on_sheet);
    let filled = sheets.filter(|(_, pieces)| !pieces.is_empty());
    let patterns = filled.map(|(board, pieces)| Pattern {
        board: *board,
        runs: 1,
        lying: pieces.iter().map(lying).collect(),
    });
    patterns.collect()
}
