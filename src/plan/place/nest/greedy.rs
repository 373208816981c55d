//! Fills one sheet: large parts first, each at the free spot nearest to the top left corner.
//!
//! Spots tried are corners between what already lies there and random ones, each then pushed up and to the left as far as it goes.

use super::bench::Bench;
use super::form::Bounds;
use super::random::Random;
use super::ring::Point;
use super::sheaf::{Lying, Pattern};

/// Returns what lies on a sheet filled with at most so many of each part.
pub(super) fn fill(bench: &Bench, board: usize, most: &[u32], random: &mut Random) -> Vec<Lying> {
    let mut pattern = Pattern {
        board,
        runs: 1,
        lying: Vec::new(),
    };
    fill_up(bench, &mut pattern, most, random);
    pattern.lying
}

/// Lays at most so many of each part into what is free on a sheet.
pub(super) fn fill_up(bench: &Bench, pattern: &mut Pattern, most: &[u32], random: &mut Random) {
    let mut order: Vec<usize> = (0..most.len()).collect();
    order.sort_by(|a, b| {
        bench.parts[*b]
            .hull_nm2
            .total_cmp(&bench.parts[*a].hull_nm2)
    });
    let lying = std::mem::take(&mut pattern.lying);
    let bounds = lying
        .iter()
        .map(|l| bench.forms[l.form].bounds.moved(l.at))
        .collect();
    let mut sheet = Sheet {
        bench,
        board: pattern.board,
        lying,
        bounds,
    };
    for part in order {
        for _ in 0..most[part] {
            let Some(lying) = sheet.best(part, random) else {
                break;
            };
            sheet
                .bounds
                .push(bench.forms[lying.form].bounds.moved(lying.at));
            sheet.lying.push(lying);
        }
    }
    pattern.lying = sheet.lying;
}

struct Sheet<'a> {
    bench: &'a Bench,
    board: usize,
    lying: Vec<Lying>,
    bounds: Vec<Bounds>,
}

/// Random spots tried for each form; parts that may lie at any angle share them.
const SAMPLES: usize = 60;

/// The last step in pushing a part, in nanometres.
const LAST_STEP_NM: f64 = 1_000.0;

impl Sheet<'_> {
    fn best(&self, part: usize, random: &mut Random) -> Option<Lying> {
        let forms = &self.bench.parts[part].forms[self.board];
        let mut best: Option<(f64, Lying)> = None;
        for form in picked(forms, random) {
            let Some(room) = self.bench.room(form, self.board) else {
                continue;
            };
            for at in self.spots(form, &room, random) {
                let lying = Lying { part, form, at };
                let price = self.price(&lying);
                if best.as_ref().is_none_or(|(least, _)| price < *least) && self.is_free(&lying) {
                    let pushed = self.pushed(lying, &room);
                    best = Some((self.price(&pushed), pushed));
                }
            }
        }
        best.map(|(_, lying)| lying)
    }

    /// How far right and down a part reaches.
    fn price(&self, lying: &Lying) -> f64 {
        let area = &self.bench.boards[self.board].area;
        let far = self.bench.forms[lying.form].bounds.moved(lying.at).high;
        let [width, height] = area.size();
        let (x, y) = (far[0] - area.low[0], far[1] - area.low[1]);
        if width < height {
            y + x * 0.2
        } else {
            x + y * 0.2
        }
    }

    fn is_free(&self, lying: &Lying) -> bool {
        let bounds = self.bench.forms[lying.form].bounds.moved(lying.at);
        let hazard = self.bench.boards[self.board].hazard;
        let is_apart = self.lying.iter().zip(&self.bounds).all(|(other, there)| {
            let shift = [other.at[0] - lying.at[0], other.at[1] - lying.at[1]];
            !bounds.meets(there) || self.bench.overlap(lying.form, other.form, shift) <= 0.0
        });
        is_apart && hazard.is_none_or(|h| self.bench.overlap(h, lying.form, lying.at) <= 0.0)
    }

    fn spots(&self, form: usize, room: &Bounds, random: &mut Random) -> Vec<Point> {
        let own = &self.bench.forms[form].bounds;
        let mut xs = vec![room.low[0]];
        let mut ys = vec![room.low[1]];
        for there in &self.bounds {
            xs.push(there.high[0] - own.low[0]);
            ys.push(there.high[1] - own.low[1]);
        }
        let mut spots: Vec<Point> = Vec::new();
        for x in xs.iter().filter(|x| **x <= room.high[0]) {
            let fitting = ys.iter().filter(|y| **y <= room.high[1]);
            spots.extend(fitting.map(|y| [x.max(room.low[0]), y.max(room.low[1])]));
        }
        spots.extend((0..SAMPLES).map(|_| {
            [0, 1].map(|axis| grid(random.between(room.low[axis], room.high[axis]), room, axis))
        }));
        spots
    }

    /// Pushes a part up and to the left as long as it stays free.
    fn pushed(&self, mut lying: Lying, room: &Bounds) -> Lying {
        let size = self.bench.forms[lying.form].bounds.size();
        let mut step = size[0].min(size[1]) / 2.0;
        while step >= LAST_STEP_NM {
            let mut is_moved = false;
            for axis in [0, 1] {
                let mut next = lying;
                next.at[axis] = grid((next.at[axis] - step).max(room.low[axis]), room, axis);
                if next.at[axis] < lying.at[axis] && self.is_free(&next) {
                    lying = next;
                    is_moved = true;
                }
            }
            if !is_moved {
                step /= 2.0;
            }
        }
        lying
    }
}

fn grid(nm: f64, room: &Bounds, axis: usize) -> f64 {
    let round = (nm / LAST_STEP_NM).ceil() * LAST_STEP_NM;
    round.clamp(room.low[axis], room.high[axis])
}

/// The forms to try: all, or eight of a round of angles.
fn picked(forms: &[usize], random: &mut Random) -> Vec<usize> {
    if forms.len() <= 8 {
        return forms.to_vec();
    }
    (0..8).map(|_| forms[random.below(forms.len())]).collect()
}
