//! The best place for one piece among all others: random samples, and the best of them led downhill.

use super::crowd::{Crowd, Spot};
use super::form::Bounds;
use super::random::Random;

/// How many samples are taken.
#[derive(Debug, Clone, Copy)]
pub(super) struct Samples {
    /// Around where the piece lies.
    pub(super) near: usize,
    /// Anywhere on its sheet.
    pub(super) here: usize,
    /// On other sheets.
    pub(super) elsewhere: usize,
}

/// How many samples are led downhill.
const KEPT: usize = 3;

/// The last steps downhill, in nanometres: a micrometre, the grid of poses.
const LAST_STEP_NM: f64 = 1_000.0;

/// Returns the spot found with the least weighted overlap, and that overlap.
pub(super) fn best_spot(
    crowd: &Crowd,
    piece: usize,
    samples: Samples,
    random: &mut Random,
) -> (Spot, f64) {
    let now = crowd.pieces[piece].spot;
    let mut found = Found::default();
    found.offer(now, crowd.weighted(piece, &now, f64::MAX));
    for _ in 0..samples.near {
        if let Some(spot) = near(crowd, piece, random) {
            found.try_out(crowd, piece, spot);
        }
    }
    for _ in 0..samples.here {
        if let Some(spot) = anywhere(crowd, piece, now.sheet, random) {
            found.try_out(crowd, piece, spot);
        }
    }
    for _ in 0..samples.elsewhere {
        let sheet = random.below(crowd.boards.len());
        if let Some(spot) = anywhere(crowd, piece, sheet, random) {
            found.try_out(crowd, piece, spot);
        }
    }
    let mut best = (now, f64::MAX);
    for (spot, weighted) in found.kept {
        let size = crowd.bench.forms[spot.form].bounds.size();
        let step = size[0].min(size[1]) * FIRST_STEP;
        let end = downhill(
            crowd,
            piece,
            (spot, weighted),
            (step, step * LAST_ROUGH_STEP),
            random,
        );
        if end.1 < best.1 {
            best = end;
        }
    }
    if best.1 > 0.0 {
        let size = crowd.bench.forms[best.0.form].bounds.size();
        let step = size[0].min(size[1]) * FIRST_STEP * LAST_ROUGH_STEP;
        best = downhill(crowd, piece, best, (step, LAST_STEP_NM), random);
    }
    let spot = on_grid(crowd, &best.0);
    (spot, crowd.weighted(piece, &spot, f64::MAX))
}

const FIRST_STEP: f64 = 0.25;
const LAST_ROUGH_STEP: f64 = 0.03;

/// The best different spots so far.
#[derive(Debug, Default)]
struct Found {
    kept: Vec<(Spot, f64)>,
}

impl Found {
    fn try_out(&mut self, crowd: &Crowd, piece: usize, spot: Spot) {
        let enough = if self.kept.len() < KEPT {
            f64::MAX
        } else {
            self.kept[self.kept.len() - 1].1
        };
        let weighted = crowd.weighted(piece, &spot, enough);
        if weighted < enough {
            self.offer(spot, weighted);
        }
    }

    fn offer(&mut self, spot: Spot, weighted: f64) {
        let at = self.kept.partition_point(|(_, w)| *w <= weighted);
        self.kept.insert(at, (spot, weighted));
        self.kept.truncate(KEPT);
    }
}

fn anywhere(crowd: &Crowd, piece: usize, sheet: usize, random: &mut Random) -> Option<Spot> {
    let board = crowd.boards[sheet];
    let forms = &crowd.bench.parts[crowd.pieces[piece].part].forms[board];
    if forms.is_empty() {
        return None;
    }
    let form = forms[random.below(forms.len())];
    let room = crowd.bench.room(form, board)?;
    let at = [0, 1].map(|axis| random.between(room.low[axis], room.high[axis]));
    Some(Spot { sheet, form, at })
}

fn near(crowd: &Crowd, piece: usize, random: &mut Random) -> Option<Spot> {
    let Spot { sheet, form, at } = crowd.pieces[piece].spot;
    let board = crowd.boards[sheet];
    let forms = &crowd.bench.parts[crowd.pieces[piece].part].forms[board];
    let turned = forms[random.below(forms.len())];
    let (old, new) = (&crowd.bench.forms[form], &crowd.bench.forms[turned]);
    let size = old.bounds.size();
    let moved = [0, 1].map(|axis| {
        let shift = random.between(-0.5, 0.5) * size[axis];
        at[axis] + old.centre[axis] - new.centre[axis] + shift
    });
    let room = crowd.bench.room(turned, board)?;
    Some(Spot {
        sheet,
        form: turned,
        at: clamped(moved, &room),
    })
}

fn clamped(at: [f64; 2], room: &Bounds) -> [f64; 2] {
    [0, 1].map(|axis| at[axis].clamp(room.low[axis], room.high[axis]))
}

/// Steps to better neighbours along random axes, ever smaller.
fn downhill(
    crowd: &Crowd,
    piece: usize,
    start: (Spot, f64),
    (first_step, last_step): (f64, f64),
    random: &mut Random,
) -> (Spot, f64) {
    let (mut spot, mut weighted) = start;
    let mut step = first_step;
    let board = crowd.boards[spot.sheet];
    while step > last_step && weighted > 0.0 {
        let round = crowd.bench.forms[spot.form].round.len();
        let ways = AXES.len() + usize::from(round > 4) * 2;
        let way = random.below(ways);
        let mut best = (spot, weighted);
        for sign in [-1.0, 1.0] {
            let next = match AXES.get(way) {
                Some(axis) => moved(
                    crowd,
                    &spot,
                    board,
                    [axis[0] * sign * step, axis[1] * sign * step],
                ),
                None => turned(crowd, &spot, board, sign > 0.0),
            };
            let Some(next) = next else { continue };
            let there = crowd.weighted(piece, &next, best.1);
            if there < best.1 {
                best = (next, there);
            }
        }
        if best.1 < weighted {
            (spot, weighted) = best;
            step *= 1.1;
        } else {
            step *= 0.5;
        }
    }
    (spot, weighted)
}

const AXES: [[f64; 2]; 4] = [[1.0, 0.0], [0.0, 1.0], [0.7, 0.7], [0.7, -0.7]];

fn moved(crowd: &Crowd, spot: &Spot, board: usize, shift: [f64; 2]) -> Option<Spot> {
    let room = crowd.bench.room(spot.form, board)?;
    let at = clamped([spot.at[0] + shift[0], spot.at[1] + shift[1]], &room);
    Some(Spot { at, ..*spot })
}

fn turned(crowd: &Crowd, spot: &Spot, board: usize, is_forward: bool) -> Option<Spot> {
    let old = &crowd.bench.forms[spot.form];
    let n = old.round.len();
    let step = if is_forward { 1 } else { n - 1 };
    let form = old.round.start + (spot.form - old.round.start + step) % n;
    let new = &crowd.bench.forms[form];
    let room = crowd.bench.room(form, board)?;
    let at = [0, 1].map(|axis| spot.at[axis] + old.centre[axis] - new.centre[axis]);
    Some(Spot {
        form,
        at: clamped(at, &room),
        ..*spot
    })
}

/// The spot on the grid of poses, the ends of the room included, wherever those lie.
fn on_grid(crowd: &Crowd, spot: &Spot) -> Spot {
    let round = spot.at.map(|nm| (nm / LAST_STEP_NM).round() * LAST_STEP_NM);
    let room = crowd.bench.room(spot.form, crowd.boards[spot.sheet]);
    let room = room.expect("only forms that fit are tried");
    Spot {
        at: clamped(round, &room),
        ..*spot
    }
}
