//! The worthiest filling of a rectangle with boxes of which there are plenty, exactly.
//!
//! Every edge of a filling can be pushed to a sum of widths or heights, so only rectangles with such measures matter, and the best
//! filling of one is a box, or a cut of it in two at such a sum, or a smaller one (J. E. Beasley, "Algorithms for unconstrained
//! two-dimensional guillotine cutting", 1985). Every number of cuts one after another is allowed. Cost: pairs of sums that make
//! another sum, times sums the other way; [`Grid::new`] refuses more than it is told.

use super::super::Area;
use super::block::{Block, Spot};
use super::sums::Sums;

/// The measures of all rectangles that matter in one rectangle.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    area: Area,
    across: Sums,
    down: Sums,
    boxes: Vec<Corner>,
}

/// A block, its size, and where its width and height stand among the sums.
#[derive(Debug, Clone, Copy)]
struct Corner {
    block: usize,
    size: usize,
    x: usize,
    y: usize,
}

/// What the best filling of each rectangle is worth.
#[derive(Debug)]
pub(super) struct Worths<'a> {
    grid: &'a Grid,
    values: &'a [f64],
    worths: Vec<f64>,
}

impl Grid {
    /// The grid of a rectangle for these blocks; `None` if it would take more than `most_steps` to fill.
    pub(super) fn new(
        area: Area,
        blocks: &[Block],
        reach_nm: Option<i64>,
        most_steps: usize,
    ) -> Option<Self> {
        let fitting = || {
            blocks
                .iter()
                .enumerate()
                .filter(|(_, block)| block.fits(area))
        };
        let across = Sums::new(area.width_nm, fitting().map(|(_, b)| b.width_nm), reach_nm)?;
        let down = Sums::new(
            area.height_nm,
            fitting().map(|(_, b)| b.height_nm),
            reach_nm,
        )?;
        let boxes = fitting()
            .map(|(at, block)| Corner {
                block: at,
                size: block.size,
                x: across.find(block.width_nm),
                y: down.find(block.height_nm),
            })
            .collect();
        let grid = Self {
            area,
            across,
            down,
            boxes,
        };
        (grid.steps() <= most_steps).then_some(grid)
    }

    /// How many steps [`Grid::worths`] takes.
    pub(super) fn steps(&self) -> usize {
        self.across.pair_count() * self.down.len() + self.down.pair_count() * self.across.len()
    }

    /// The worth of every rectangle if one of each size is worth that much.
    pub(super) fn worths<'a>(&'a self, values: &'a [f64]) -> Worths<'a> {
        let tall = self.down.len();
        let mut worths = vec![0.0; self.across.len() * tall];
        for at in 1..self.across.len() {
            let (before, rest) = worths.split_at_mut(at * tall);
            let line = &mut rest[..tall];
            for corner in self.boxes.iter().filter(|corner| corner.x == at) {
                line[corner.y] = f64::max(line[corner.y], values[corner.size]);
            }
            self.cut_down(at, before, line);
            self.cut_across(at, line);
        }
        Worths {
            grid: self,
            values,
            worths,
        }
    }

    fn cut_down(&self, at: usize, before: &[f64], line: &mut [f64]) {
        let tall = line.len();
        let may_cut = self.down.is_reached.iter().take_while(|is| **is).count();
        let trimmed = &before[(at - 1) * tall..at * tall];
        for (worth, other) in line[..may_cut].iter_mut().zip(trimmed) {
            *worth = worth.max(*other);
        }
        for (a, b) in &self.across.pairs[at] {
            let a = &before[*a * tall..][..may_cut];
            let b = &before[*b * tall..][..may_cut];
            for ((worth, a), b) in line.iter_mut().zip(a).zip(b) {
                *worth = worth.max(a + b);
            }
        }
    }

    fn cut_across(&self, at: usize, line: &mut [f64]) {
        if !self.across.is_reached[at] {
            return;
        }
        for y in 1..line.len() {
            let mut worth = line[y].max(line[y - 1]);
            for (a, b) in &self.down.pairs[y] {
                worth = worth.max(line[*a] + line[*b]);
            }
            line[y] = worth;
        }
    }
}

/// A first cut: down or across after the sum `at`, what comes next no longer than the sum `rest`.
struct Cut {
    worth: f64,
    is_down: bool,
    at: usize,
    rest: usize,
}

/// Differences below this are noise.
const NOISE: f64 = 1e-12;

impl Worths<'_> {
    fn at(&self, x: usize, y: usize) -> f64 {
        self.worths[x * self.grid.down.len() + y]
    }

    fn top(&self) -> (usize, usize) {
        (self.grid.across.len() - 1, self.grid.down.len() - 1)
    }

    /// The worth of the whole rectangle.
    pub(super) fn best(&self) -> f64 {
        let (x, y) = self.top();
        self.at(x, y)
    }

    /// A filling worth that much.
    pub(super) fn filling(&self) -> Vec<Spot> {
        let mut spots = Vec::new();
        let (x, y) = self.top();
        self.lay(x, y, self.grid.area.x_nm, self.grid.area.y_nm, &mut spots);
        spots
    }

    /// Fillings worth more than `above`: the best one, then others that differ in the first cut, at most so many.
    pub(super) fn fillings(&self, above: f64, most: usize) -> Vec<Vec<Spot>> {
        let mut fillings = Vec::new();
        if self.best() > above {
            fillings.push(self.filling());
        }
        let mut cuts = self.first_cuts();
        cuts.retain(|cut| cut.worth > above);
        cuts.sort_by(|a, b| b.worth.total_cmp(&a.worth));
        fillings.extend(cuts.iter().take(most).map(|cut| self.filling_after(cut)));
        fillings
    }

    fn first_cuts(&self) -> Vec<Cut> {
        let (x, y) = self.top();
        let Grid {
            area, across, down, ..
        } = self.grid;
        let mut cuts = Vec::new();
        for a in (1..x).filter(|_| down.is_reached[y]) {
            let b = across.within(area.width_nm - across.sums[a]);
            if b >= a {
                cuts.push(Cut {
                    worth: self.at(a, y) + self.at(b, y),
                    is_down: true,
                    at: a,
                    rest: b,
                });
            }
        }
        for a in (1..y).filter(|_| across.is_reached[x]) {
            let b = down.within(area.height_nm - down.sums[a]);
            if b >= a {
                cuts.push(Cut {
                    worth: self.at(x, a) + self.at(x, b),
                    is_down: false,
                    at: a,
                    rest: b,
                });
            }
        }
        cuts
    }

    fn filling_after(&self, cut: &Cut) -> Vec<Spot> {
        let (x, y) = self.top();
        let Grid {
            area, across, down, ..
        } = self.grid;
        let mut spots = Vec::new();
        if cut.is_down {
            self.lay(cut.at, y, area.x_nm, area.y_nm, &mut spots);
            self.lay(
                cut.rest,
                y,
                area.x_nm + across.sums[cut.at],
                area.y_nm,
                &mut spots,
            );
        } else {
            self.lay(x, cut.at, area.x_nm, area.y_nm, &mut spots);
            self.lay(
                x,
                cut.rest,
                area.x_nm,
                area.y_nm + down.sums[cut.at],
                &mut spots,
            );
        }
        spots
    }

    fn lay(&self, x: usize, y: usize, x_nm: i64, y_nm: i64, spots: &mut Vec<Spot>) {
        let worth = self.at(x, y) - NOISE;
        if worth <= 0.0 {
            return;
        }
        let Grid {
            across,
            down,
            boxes,
            ..
        } = self.grid;
        let is_worth =
            |corner: &&Corner| (corner.x, corner.y) == (x, y) && self.values[corner.size] >= worth;
        if let Some(corner) = boxes.iter().find(is_worth) {
            spots.push(Spot {
                block: corner.block,
                x_nm,
                y_nm,
            });
            return;
        }
        if down.is_reached[y] {
            if self.at(x - 1, y) >= worth {
                return self.lay(x - 1, y, x_nm, y_nm, spots);
            }
            if let Some((a, b)) = across.pairs[x]
                .iter()
                .find(|(a, b)| self.at(*a, y) + self.at(*b, y) >= worth)
            {
                self.lay(*a, y, x_nm, y_nm, spots);
                return self.lay(*b, y, x_nm + across.sums[*a], y_nm, spots);
            }
        }
        if across.is_reached[x] {
            if self.at(x, y - 1) >= worth {
                return self.lay(x, y - 1, x_nm, y_nm, spots);
            }
            if let Some((a, b)) = down.pairs[y]
                .iter()
                .find(|(a, b)| self.at(x, *a) + self.at(x, *b) >= worth)
            {
                self.lay(x, *a, x_nm, y_nm, spots);
                self.lay(x, *b, x_nm, y_nm + down.sums[*a], spots);
            }
        }
    }
}
