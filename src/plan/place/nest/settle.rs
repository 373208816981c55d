//! Tries hard to lay given pieces on given sheets: separation, again and again from disturbed layouts.
//!
//! A failed separation goes into a pool of layouts with little overlap. The next try starts from one of these, the better the
//! likelier, after two large pieces of different kinds have changed places.

use super::bench::Bench;
use super::crowd::{Crowd, Spot};
use super::random::Random;
use super::separate::{Patience, separate};

/// Layouts kept in the pool.
const POOL: usize = 6;

/// Rounds without gain, and goings back, before a layout is disturbed.
const ROUNDS: usize = 100;
const STRIKES: usize = 3;

/// Returns pieces, each anywhere on any of the sheets where it may lie; `None` if there is none for one of them.
pub(super) fn scattered<'a>(
    bench: &'a Bench,
    boards: Vec<usize>,
    counts: &[u32],
    random: &mut Random,
) -> Option<Crowd<'a>> {
    let mut spots = Vec::new();
    for (part, count) in counts.iter().enumerate() {
        for _ in 0..*count {
            spots.push((part, anywhere(bench, &boards, part, random)?));
        }
    }
    Some(Crowd::new(bench, boards, &spots))
}

/// A random spot for a part on any of the sheets.
pub(super) fn anywhere(
    bench: &Bench,
    boards: &[usize],
    part: usize,
    random: &mut Random,
) -> Option<Spot> {
    let forms = |sheet: &usize| &bench.parts[part].forms[boards[*sheet]];
    let fitting: Vec<usize> = (0..boards.len()).filter(|s| !forms(s).is_empty()).collect();
    if fitting.is_empty() {
        return None;
    }
    let sheet = fitting[random.below(fitting.len())];
    let form = forms(&sheet)[random.below(forms(&sheet).len())];
    let room = bench.room(form, boards[sheet])?;
    let at = [0, 1].map(|axis| random.between(room.low[axis], room.high[axis]));
    Some(Spot { sheet, form, at })
}

/// Drives the overlap out of a crowd, with so much work at most; returns whether that came about.
pub(super) fn settle(
    crowd: &mut Crowd,
    work: u64,
    random: &mut Random,
    is_stopped: &dyn Fn() -> bool,
) -> bool {
    let end = crowd.work() + work;
    let mut pool: Vec<(f64, Vec<Spot>)> = Vec::new();
    loop {
        let patience = Patience {
            rounds: ROUNDS,
            strikes: STRIKES,
            work: end.saturating_sub(crowd.work()),
        };
        if separate(crowd, patience, random, is_stopped) {
            return true;
        }
        if crowd.work() >= end || is_stopped() {
            return false;
        }
        let total = crowd.total();
        let at = pool.partition_point(|(t, _)| *t <= total);
        pool.insert(at, (total, crowd.spots()));
        pool.truncate(POOL);
        let pick = random.low(pool.len());
        crowd.restore(&pool[pick].1);
        crowd.forget();
        disturb(crowd, random);
    }
}

/// Lets two large pieces of different kinds change places.
fn disturb(crowd: &mut Crowd, random: &mut Random) {
    let size = |piece: usize| crowd.bench.parts[crowd.pieces[piece].part].hull_nm2;
    let mut large: Vec<usize> = (0..crowd.pieces.len()).collect();
    large.sort_by(|a, b| size(*b).total_cmp(&size(*a)));
    large.truncate(large.len().div_ceil(2));
    if large.is_empty() {
        return;
    }
    let first = large[random.below(large.len())];
    let other = |p: &usize| crowd.pieces[*p].part != crowd.pieces[first].part;
    let others: Vec<usize> = large.into_iter().filter(other).collect();
    if others.is_empty() {
        return;
    }
    let second = others[random.below(others.len())];
    let (from, to) = (crowd.pieces[first], crowd.pieces[second]);
    for (piece, form, there) in [(first, from.spot.form, to), (second, to.spot.form, from)] {
        let board = crowd.boards[there.spot.sheet];
        let part = crowd.pieces[piece].part;
        if !crowd.bench.parts[part].forms[board].contains(&form) {
            continue;
        }
        let (centre, own) = (
            there.bounds.centre(),
            crowd.bench.forms[form].bounds.centre(),
        );
        if let Some(room) = crowd.bench.room(form, board) {
            let at = [0, 1].map(|k| (centre[k] - own[k]).clamp(room.low[k], room.high[k]));
            let sheet = there.spot.sheet;
            crowd.put(piece, Spot { sheet, form, at });
        }
    }
}
