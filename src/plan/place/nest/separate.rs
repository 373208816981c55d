//! Drives overlap out by guided local search.
//!
//! Every piece that overlaps is moved to where its weighted overlap is least, over and over, while the weights of pairs that still
//! overlap grow (J. Gardeyn and T. Wauters, arXiv 2509.13329, 2025, and before them J. Egeblad, B. K. Nielsen and A. Odgaard,
//! European Journal of Operational Research 183, 2007). After some rounds without gain the search goes back to the least overlap
//! it has seen, but keeps the weights.

use super::crowd::Crowd;
use super::random::Random;
use super::seek::{Samples, best_spot};

/// When to give up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Patience {
    /// Rounds without gain before going back.
    pub(super) rounds: usize,
    /// How often to go back before giving up.
    pub(super) strikes: usize,
    /// Tests after which to give up in any case.
    pub(super) work: u64,
}

/// Less overlap by less than this share is no gain.
const GAIN: f64 = 0.98;

/// Moves pieces until none overlaps; returns whether that came about. Else the least overlap seen is left.
pub(super) fn separate(
    crowd: &mut Crowd,
    patience: Patience,
    random: &mut Random,
    is_stopped: &dyn Fn() -> bool,
) -> bool {
    let end = crowd.work() + patience.work;
    let mut least = crowd.total();
    let mut best = crowd.spots();
    for _ in 0..patience.strikes {
        let mut idle = 0;
        let mut mark = least;
        while idle < patience.rounds && crowd.work() < end {
            if least <= 0.0 {
                return true;
            }
            if is_stopped() {
                return false;
            }
            one_round(crowd, random);
            let total = crowd.total();
            if total < least {
                least = total;
                best = crowd.spots();
            }
            if total < mark * GAIN {
                mark = total;
                idle = 0;
            } else {
                idle += 1;
            }
            crowd.reweigh();
        }
        crowd.restore(&best);
    }
    least <= 0.0
}

fn one_round(crowd: &mut Crowd, random: &mut Random) {
    let mut hit: Vec<usize> = (0..crowd.pieces.len())
        .filter(|p| crowd.is_hit(*p))
        .collect();
    random.shuffle(&mut hit);
    let samples = Samples {
        near: 20,
        here: 30,
        elsewhere: if crowd.boards.len() > 1 { 48 } else { 0 },
    };
    for piece in hit {
        if !crowd.is_hit(piece) {
            continue;
        }
        let (spot, weighted) = best_spot(crowd, piece, samples, random);
        if weighted < crowd.weighted_now(piece) {
            crowd.put(piece, spot);
        }
    }
}
