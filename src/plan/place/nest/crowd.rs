//! Pieces on sheets that may overlap, with what each overlap weighs.
//!
//! The weight of a pair grows while it overlaps, so that a search that always moves a piece to where its weighted overlap is least
//! does not stand still where overlap as such is least.

use std::cell::Cell;

use super::bench::Bench;
use super::form::Bounds;
use super::ring::Point;

/// Where a piece lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    /// Position of the sheet in [`Crowd::boards`].
    pub(super) sheet: usize,
    /// Its form.
    pub(super) form: usize,
    /// Where the top left corner of its unturned box lies.
    pub(super) at: Point,
}

/// A piece that is laid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Piece {
    /// Position of its kind in the request.
    pub(super) part: usize,
    /// Where it lies.
    pub(super) spot: Spot,
    /// The rectangle around it there.
    pub(super) bounds: Bounds,
}

/// Pieces on sheets.
#[derive(Debug, Clone)]
pub(super) struct Crowd<'a> {
    pub(super) bench: &'a Bench,
    /// The kind of each sheet.
    pub(super) boards: Vec<usize>,
    pub(super) pieces: Vec<Piece>,
    /// Pieces on each sheet.
    pub(super) on_sheet: Vec<Vec<usize>>,
    /// Overlap of each pair of pieces, and on the diagonal with what is in the way on the sheet.
    overlaps: Vec<f64>,
    weights: Vec<f64>,
    work: Cell<u64>,
}

impl<'a> Crowd<'a> {
    /// Returns pieces at their spots on sheets of these kinds.
    pub(super) fn new(bench: &'a Bench, boards: Vec<usize>, spots: &[(usize, Spot)]) -> Self {
        let n = spots.len();
        let mut crowd = Self {
            bench,
            on_sheet: vec![Vec::new(); boards.len()],
            boards,
            pieces: Vec::new(),
            overlaps: vec![0.0; n * n],
            weights: vec![1.0; n * n],
            work: Cell::new(0),
        };
        for (piece, (part, spot)) in spots.iter().enumerate() {
            crowd.on_sheet[spot.sheet].push(piece);
            crowd.pieces.push(Piece {
                part: *part,
                spot: *spot,
                bounds: bench.forms[spot.form].bounds.moved(spot.at),
            });
        }
        for piece in 0..n {
            crowd.measure(piece);
        }
        crowd
    }

    /// Tests made so far: the measure of work.
    pub(super) fn work(&self) -> u64 {
        self.work.get()
    }

    /// Weighted overlap of a piece if it lay at a spot. Stops adding once that is `enough` or more.
    pub(super) fn weighted(&self, piece: usize, spot: &Spot, enough: f64) -> f64 {
        let n = self.pieces.len();
        let weights = &self.weights[piece * n..(piece + 1) * n];
        let bounds = self.bench.forms[spot.form].bounds.moved(spot.at);
        let mut sum = weights[piece] * self.in_the_way(spot);
        let own = self.bench.forms[spot.form].cells.len();
        let mut tests = OVERHEAD + self.on_sheet[spot.sheet].len() / 4;
        for other in &self.on_sheet[spot.sheet] {
            let there = &self.pieces[*other];
            if *other == piece || !bounds.meets(&there.bounds) {
                continue;
            }
            tests += OVERHEAD + own * self.bench.forms[there.spot.form].cells.len();
            let overlap = self.overlap(spot, &there.spot);
            if overlap > 0.0 {
                sum += weights[*other] * overlap;
                if sum >= enough {
                    break;
                }
            }
        }
        let tests = u64::try_from(tests).expect("usize fits");
        self.work.set(self.work.get() + tests);
        sum
    }

    fn overlap(&self, a: &Spot, b: &Spot) -> f64 {
        let shift = [b.at[0] - a.at[0], b.at[1] - a.at[1]];
        self.bench.overlap(a.form, b.form, shift)
    }

    fn in_the_way(&self, spot: &Spot) -> f64 {
        let board = &self.bench.boards[self.boards[spot.sheet]];
        let overlap = |hazard| self.bench.overlap(hazard, spot.form, spot.at);
        board.hazard.map_or(0.0, overlap)
    }

    /// Weighted overlap of a piece where it lies.
    pub(super) fn weighted_now(&self, piece: usize) -> f64 {
        let n = self.pieces.len();
        let row = piece * n..(piece + 1) * n;
        let products = self.overlaps[row.clone()].iter().zip(&self.weights[row]);
        products.map(|(o, w)| o * w).sum()
    }

    /// Whether a piece overlaps anything.
    pub(super) fn is_hit(&self, piece: usize) -> bool {
        let n = self.pieces.len();
        self.overlaps[piece * n..(piece + 1) * n]
            .iter()
            .any(|o| *o > 0.0)
    }

    /// All overlap, unweighted.
    pub(super) fn total(&self) -> f64 {
        let n = self.pieces.len();
        let row = |i: usize| &self.overlaps[i * n + i..(i + 1) * n];
        (0..n).map(|i| row(i).iter().sum::<f64>()).sum()
    }

    /// Moves a piece.
    pub(super) fn put(&mut self, piece: usize, spot: Spot) {
        let from = self.pieces[piece].spot.sheet;
        if from != spot.sheet {
            self.on_sheet[from].retain(|p| *p != piece);
            self.on_sheet[spot.sheet].push(piece);
        }
        self.pieces[piece].spot = spot;
        self.pieces[piece].bounds = self.bench.forms[spot.form].bounds.moved(spot.at);
        let n = self.pieces.len();
        for other in 0..n {
            self.overlaps[piece * n + other] = 0.0;
            self.overlaps[other * n + piece] = 0.0;
        }
        self.measure(piece);
    }

    fn measure(&mut self, piece: usize) {
        let n = self.pieces.len();
        let own = self.pieces[piece];
        self.overlaps[piece * n + piece] = self.in_the_way(&own.spot);
        for other in &self.on_sheet[own.spot.sheet] {
            let there = &self.pieces[*other];
            if *other != piece && own.bounds.meets(&there.bounds) {
                let overlap = self.overlap(&own.spot, &there.spot);
                self.overlaps[piece * n + other] = overlap;
                self.overlaps[other * n + piece] = overlap;
            }
        }
    }

    /// Makes overlaps weigh more, in proportion to how large they are, and lets the weight of others fade.
    pub(super) fn reweigh(&mut self) {
        let largest = self.overlaps.iter().copied().fold(0.0, f64::max);
        for (weight, overlap) in self.weights.iter_mut().zip(&self.overlaps) {
            *weight = if *overlap > 0.0 {
                *weight * (LEAST_GROWTH + (MOST_GROWTH - LEAST_GROWTH) * overlap / largest)
            } else {
                (*weight * FADING).max(1.0)
            };
        }
    }

    /// Makes every overlap weigh the same again.
    pub(super) fn forget(&mut self) {
        self.weights.fill(1.0);
    }

    /// Where every piece lies.
    pub(super) fn spots(&self) -> Vec<Spot> {
        self.pieces.iter().map(|p| p.spot).collect()
    }

    /// Puts every piece back to where it lay; weights stay.
    pub(super) fn restore(&mut self, spots: &[Spot]) {
        self.on_sheet.iter_mut().for_each(Vec::clear);
        for (piece, spot) in spots.iter().enumerate() {
            self.on_sheet[spot.sheet].push(piece);
            self.pieces[piece].spot = *spot;
            self.pieces[piece].bounds = self.bench.forms[spot.form].bounds.moved(spot.at);
        }
        self.overlaps.fill(0.0);
        for piece in 0..spots.len() {
            self.measure(piece);
        }
    }
}

/// What a test costs besides the pairs of cells, counted as pairs.
const OVERHEAD: usize = 8;

const LEAST_GROWTH: f64 = 1.2;
const MOST_GROWTH: f64 = 2.0;
const FADING: f64 = 0.95;
