//! Fills one sheet by a beam search over cutting orders.
//!
//! A state is a set of free rectangles that have been cut apart. The smallest one is taken; each box that fits goes into its
//! corner, and the rest is cut in either of two ways. Of all these children those of most promise, which is the worth of what lies
//! there and of the free rectangles at the average worth of paper, are finished greedily; those that end best go on (a tree search
//! over cutting orders as in L. Libralesso and F. Fontan, "An anytime tree search algorithm for the 2018 ROADEF/EURO challenge
//! glass cutting problem", 2020). A state is made by cuts from edge to edge alone, so every filling can be cut. Cost: levels times
//! states times boxes, and a greedy finish for each chosen child.

use std::cmp::Ordering;

use super::super::{Area, Watch};
use super::block::{Block, Spot, size_nm2};
use super::promise::Promise;

/// What one sheet is filled with.
#[derive(Clone, Copy)]
pub(super) struct Job<'a> {
    /// What may lie on it.
    pub(super) blocks: &'a [Block],
    /// Rectangles that have been cut apart already.
    pub(super) free: &'a [Area],
    /// The longest cut.
    pub(super) reach_nm: Option<i64>,
    /// How many there are left of each size.
    pub(super) left: &'a [u32],
    /// What one of each size is worth; those worth nothing are not laid.
    pub(super) values: &'a [f64],
    /// Only fillings worth more are returned.
    pub(super) above: f64,
    /// How thoroughly.
    pub(super) care: Care,
    /// Who may stop it.
    pub(super) watch: &'a dyn Watch,
}

/// How thoroughly a sheet is filled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Care {
    /// States kept on each level; none for a greedy filling.
    pub(super) width: usize,
    /// Children finished greedily for each state kept.
    pub(super) children: usize,
    /// How much of the worth of free paper is believed in, 0 to 1.
    pub(super) hope: f64,
    /// Most fillings returned.
    pub(super) keep: usize,
}

/// A sheet filled.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Filling {
    /// Worth of all that lies on it.
    pub(super) value: f64,
    /// What lies where.
    pub(super) spots: Vec<Spot>,
    /// The same for fillings with the same boxes.
    key: u64,
}

/// Returns the best fillings with different boxes, the best first, and how many boxes were tried in how many rectangles.
pub(super) fn fill(job: &Job) -> (Vec<Filling>, u64) {
    let mut search = Search::new(job);
    search.run();
    (search.best, search.work)
}

/// How the rest beside and below a box is cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Split {
    /// First across, below the box: the rest below is as wide as the rectangle.
    Below,
    /// First down, beside the box: the rest beside is as high as the rectangle.
    Beside,
}

/// A block that is there at least once and worth something.
#[derive(Debug, Clone, Copy)]
struct Entry {
    number: usize,
    block: Block,
    value: f64,
}

#[derive(Debug, Clone, Default)]
struct State {
    free: Vec<Area>,
    left: Vec<u32>,
    spots: Vec<Spot>,
    value: f64,
    key: u64,
}

#[derive(Debug, Clone, Copy)]
struct Child {
    state: usize,
    entry: usize,
    split: Split,
    promise: f64,
}

impl Child {
    /// Most promise first; then an order that depends on nothing but the job.
    fn order(&self, other: &Self) -> Ordering {
        let place = |child: &Self| (child.state, child.entry, child.split);
        other
            .promise
            .total_cmp(&self.promise)
            .then(place(self).cmp(&place(other)))
    }
}

/// A child finished greedily.
struct Finished {
    value: f64,
    key: u64,
    child: Child,
}

struct Search<'a> {
    job: &'a Job<'a>,
    entries: Vec<Entry>,
    promise: Promise,
    best: Vec<Filling>,
    work: u64,
    scratch: State,
}

impl<'a> Search<'a> {
    fn new(job: &'a Job<'a>) -> Self {
        let entries = entries(job);
        let (mut worth, mut size) = (0.0, 0.0);
        for entry in &entries {
            let count = f64::from(job.left[entry.block.size]);
            worth += count * entry.value;
            size += count * size_nm2(entry.block.width_nm, entry.block.height_nm);
        }
        let tallest_nm = job
            .free
            .iter()
            .map(|area| area.height_nm)
            .max()
            .unwrap_or(0);
        let boxes = entries
            .iter()
            .map(|entry| (entry.block.width_nm, entry.block.height_nm));
        Self {
            promise: Promise::new(boxes, tallest_nm, job.care.hope * worth / size.max(1.0)),
            job,
            entries,
            best: Vec::new(),
            work: 0,
            scratch: State::default(),
        }
    }

    fn run(&mut self) {
        let start = State {
            free: self.job.free.to_vec(),
            left: self.job.left.to_vec(),
            ..State::default()
        };
        self.scratch = start.clone();
        self.finish();
        let mut states = if self.job.care.width > 0 {
            vec![start]
        } else {
            Vec::new()
        };
        while !states.is_empty() && !self.job.watch.is_stopped() {
            let children = self.children(&mut states);
            states = self.survivors(&states, &children);
        }
    }

    /// The children of most promise of all states.
    fn children(&mut self, states: &mut [State]) -> Vec<Child> {
        let mut children = Vec::new();
        for (at, state) in states.iter_mut().enumerate() {
            self.spread(at, state, &mut children);
        }
        let most = self.job.care.width * self.job.care.children;
        if children.len() > most {
            children.select_nth_unstable_by(most, Child::order);
            children.truncate(most);
        }
        children.sort_unstable_by(Child::order);
        children
    }

    /// The children that end best, no two with the same boxes and the same free paper.
    fn survivors(&mut self, states: &[State], children: &[Child]) -> Vec<State> {
        let mut finished: Vec<Finished> = children
            .iter()
            .map(|child| {
                self.start_from(&states[child.state], *child);
                let key = paper_key(&self.scratch);
                self.finish();
                Finished {
                    value: self.scratch.value,
                    key,
                    child: *child,
                }
            })
            .collect();
        finished.sort_by(|a, b| b.value.total_cmp(&a.value).then(a.child.order(&b.child)));
        let mut next: Vec<State> = Vec::new();
        let mut seen: Vec<u64> = Vec::new();
        for end in finished {
            if next.len() == self.job.care.width {
                break;
            }
            if !seen.contains(&end.key) {
                seen.push(end.key);
                let mut state = states[end.child.state].clone();
                lay(&mut state, &self.entries[end.child.entry], end.child.split);
                next.push(state);
            }
        }
        next
    }

    /// Lists what can be laid into the smallest free rectangle that takes anything, and moves that rectangle to the end.
    fn spread(&mut self, at: usize, state: &mut State, children: &mut Vec<Child>) {
        let before = children.len();
        while let Some(hole) = smallest_last(&mut state.free) {
            self.work += self.entries.len() as u64;
            let others = &state.free[..state.free.len() - 1];
            let base: f64 = state.value
                + others
                    .iter()
                    .map(|a| self.promise.of(a.width_nm, a.height_nm))
                    .sum::<f64>();
            for (number, entry) in self.entries.iter().enumerate() {
                if entry.block.fits(hole) && state.left[entry.block.size] > 0 {
                    let child = |(split, rest)| Child {
                        state: at,
                        entry: number,
                        split,
                        promise: base + entry.value + rest,
                    };
                    children.extend(
                        self.splits(hole, entry.block)
                            .into_iter()
                            .flatten()
                            .map(child),
                    );
                }
            }
            if children.len() > before {
                return;
            }
            state.free.pop();
        }
    }

    /// The ways to cut the rest of a rectangle with `block` in its corner, with the promise of that rest.
    fn splits(&self, hole: Area, block: Block) -> [Option<(Split, f64)>; 2] {
        let reaches = |length_nm: i64| self.job.reach_nm.is_none_or(|reach| length_nm <= reach);
        let (width_nm, height_nm) = (block.width_nm, block.height_nm);
        let (beside_nm, below_nm) = (hole.width_nm - width_nm, hole.height_nm - height_nm);
        let is_below =
            (below_nm == 0 || reaches(hole.width_nm)) && (beside_nm == 0 || reaches(height_nm));
        let is_beside =
            beside_nm > 0 && below_nm > 0 && reaches(hole.height_nm) && reaches(width_nm);
        let promise = |w, h| self.promise.of(w, h);
        [
            is_below.then(|| {
                (
                    Split::Below,
                    promise(hole.width_nm, below_nm) + promise(beside_nm, height_nm),
                )
            }),
            is_beside.then(|| {
                (
                    Split::Beside,
                    promise(beside_nm, hole.height_nm) + promise(width_nm, below_nm),
                )
            }),
        ]
    }

    fn start_from(&mut self, state: &State, child: Child) {
        self.scratch.clone_from(state);
        lay(&mut self.scratch, &self.entries[child.entry], child.split);
    }

    /// Fills the scratch state greedily, always the smallest rectangle with what wastes least, and keeps the filling if it is good.
    fn finish(&mut self) {
        let mut state = std::mem::take(&mut self.scratch);
        while let Some(hole) = smallest_last(&mut state.free) {
            let mut best = None;
            let mut most = 0.0;
            if self.promise.of(hole.width_nm, hole.height_nm) > 0.0 {
                self.work += self.entries.len() as u64;
                for entry in &self.entries {
                    if entry.block.fits(hole) && state.left[entry.block.size] > 0 {
                        for (split, rest) in self.splits(hole, entry.block).into_iter().flatten() {
                            if entry.value + rest > most {
                                most = entry.value + rest;
                                best = Some((entry, split));
                            }
                        }
                    }
                }
            }
            match best {
                Some((entry, split)) => lay(&mut state, entry, split),
                None => drop(state.free.pop()),
            }
        }
        self.keep(&state);
        self.scratch = state;
    }

    fn keep(&mut self, state: &State) {
        let is_known = |best: &[Filling]| best.iter().any(|filling| filling.key == state.key);
        if state.value <= self.job.above || is_known(&self.best) {
            return;
        }
        if self.best.len() == self.job.care.keep {
            if self
                .best
                .last()
                .is_some_and(|worst| worst.value >= state.value)
            {
                return;
            }
            self.best.pop();
        }
        let at = self
            .best
            .partition_point(|filling| filling.value >= state.value);
        let filling = Filling {
            value: state.value,
            spots: state.spots.clone(),
            key: state.key,
        };
        self.best.insert(at, filling);
    }
}

fn entries(job: &Job) -> Vec<Entry> {
    let all = job.blocks.iter().enumerate().map(|(number, block)| Entry {
        number,
        block: *block,
        value: job.values[block.size],
    });
    let is_there = |entry: &Entry| entry.value > 0.0 && job.left[entry.block.size] > 0;
    all.filter(|entry| is_there(entry) && job.free.iter().any(|area| entry.block.fits(*area)))
        .collect()
}

/// Moves the smallest free rectangle to the end and returns it.
fn smallest_last(free: &mut [Area]) -> Option<Area> {
    let size = |area: &Area| size_nm2(area.width_nm, area.height_nm);
    let at = (0..free.len()).min_by(|a, b| size(&free[*a]).total_cmp(&size(&free[*b])))?;
    let last = free.len() - 1;
    free.swap(at, last);
    free.last().copied()
}

/// Lays a block into the corner of the last free rectangle.
fn lay(state: &mut State, entry: &Entry, split: Split) {
    let hole = state.free.pop().expect("a rectangle was moved to the end");
    let (x, y) = (
        hole.x_nm + entry.block.width_nm,
        hole.y_nm + entry.block.height_nm,
    );
    let (right, bottom) = (hole.right_nm(), hole.bottom_nm());
    let rests = match split {
        Split::Below => [
            Area::from_edges(hole.x_nm, y, right, bottom),
            Area::from_edges(x, hole.y_nm, right, y),
        ],
        Split::Beside => [
            Area::from_edges(x, hole.y_nm, right, bottom),
            Area::from_edges(hole.x_nm, y, x, bottom),
        ],
    };
    state
        .free
        .extend(rests.into_iter().filter(|area| !area.is_empty()));
    state.spots.push(Spot {
        block: entry.number,
        x_nm: hole.x_nm,
        y_nm: hole.y_nm,
    });
    state.left[entry.block.size] -= 1;
    state.value += entry.value;
    state.key = state.key.wrapping_add(mixed(entry.block.size as u64));
}

/// A key of what lies there and of the measures of the free rectangles.
fn paper_key(state: &State) -> u64 {
    let key = |area: &Area| {
        mixed(area.width_nm.cast_unsigned() ^ area.height_nm.cast_unsigned().rotate_left(32))
    };
    state
        .free
        .iter()
        .fold(state.key, |sum, area| sum.wrapping_add(key(area)))
}

/// Spreads a number over all bits (the finisher of G. Steele et al., "Fast splittable pseudorandom number generators", 2014).
fn mixed(number: u64) -> u64 {
    let mut bits = number.wrapping_add(0x9e37_79b9_7f4a_7c15);
    bits = (bits ^ (bits >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    bits = (bits ^ (bits >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    bits ^ (bits >> 31)
}
