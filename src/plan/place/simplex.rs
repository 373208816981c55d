//! Linear programs whose columns come bit by bit.
//!
//! The revised primal simplex method with a dense inverse of the basis (G. B. Dantzig and W. Orchard-Hays, 1954), Dantzig's choice
//! of the entering column, and right sides moved apart by a hair, so that ties cannot make it run in circles. A pivot costs rows
//! times rows plus the entries of all columns; programs here have some hundred rows. Plain sums and products alone, so the same
//! bytes on every platform.

/// Prices below this, in units of cost, count as nothing.
const TINY: f64 = 1e-9;
/// A pivot entry below this would blow up the noise of the inverse.
const LEAST_PIVOT: f64 = 1e-7;
/// How far right sides are moved apart: far below a thousandth of a sheet over some hundred rows.
const HAIR: f64 = 1e-8;
/// Pivots after which the inverse is computed afresh.
const FRESH_AFTER: usize = 150;

/// One row: entries times values equals `right`; `start` is the cost of a column that stands in this row alone.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    pub(super) right: f64,
    pub(super) start_cost: f64,
}

/// A linear program: least cost so that each row's sum equals its right side, all values at least 0.
#[derive(Debug, Clone)]
pub(super) struct Simplex {
    rights: Vec<f64>,
    costs: Vec<f64>,
    starts: Vec<usize>,
    entries: Vec<(usize, f64)>,
    basis: Vec<usize>,
    is_basic: Vec<bool>,
    values: Vec<f64>,
    inverse: Vec<f64>,
    prices: Vec<f64>,
    pivots: usize,
}

impl Simplex {
    /// A program whose first columns, one for each row, carry the whole right side.
    pub(super) fn new(rows: &[Row]) -> Self {
        let mut hair = 0.0;
        let rights: Vec<f64> = rows
            .iter()
            .enumerate()
            .map(|(at, row)| {
                hair =
                    f64::from(u32::try_from((at * 37 + 11) % 101 + 1).expect("below 102")) * HAIR;
                row.right + hair
            })
            .collect();
        let count = rows.len();
        let mut inverse = vec![0.0; count * count];
        for at in 0..count {
            inverse[at * count + at] = 1.0;
        }
        Self {
            values: rights.clone(),
            rights,
            costs: rows.iter().map(|r| r.start_cost).collect(),
            starts: (0..=count).collect(),
            entries: (0..count).map(|row| (row, 1.0)).collect(),
            basis: (0..count).collect(),
            is_basic: vec![true; count],
            inverse,
            prices: vec![0.0; count],
            pivots: 0,
        }
    }

    fn height(&self) -> usize {
        self.rights.len()
    }

    /// Adds a column and returns its number.
    pub(super) fn add(
        &mut self,
        cost: f64,
        entries: impl IntoIterator<Item = (usize, f64)>,
    ) -> usize {
        self.entries.extend(entries);
        self.starts.push(self.entries.len());
        self.costs.push(cost);
        self.is_basic.push(false);
        self.costs.len() - 1
    }

    fn column(&self, column: usize) -> &[(usize, f64)] {
        &self.entries[self.starts[column]..self.starts[column + 1]]
    }

    /// Pivots until no column makes it cheaper, at most so many times; returns the work done, in entries looked at.
    pub(super) fn solve(&mut self, most_pivots: usize) -> u64 {
        let round = (2 * self.height() * self.height() + self.entries.len()) as u64;
        for pivots in 0..most_pivots {
            self.reprice();
            let has_pivoted = self.entering().is_some_and(|column| self.pivot(column));
            if !has_pivoted {
                return round * (pivots as u64 + 1);
            }
        }
        self.reprice();
        round * most_pivots as u64
    }

    fn reprice(&mut self) {
        let count = self.height();
        self.prices.fill(0.0);
        for (row, column) in self.basis.iter().enumerate() {
            let cost = self.costs[*column];
            if cost.abs() > 0.0 {
                let line = &self.inverse[row * count..(row + 1) * count];
                for (price, entry) in self.prices.iter_mut().zip(line) {
                    *price += cost * entry;
                }
            }
        }
    }

    /// Cost of a column less what its entries are worth at present; below 0 if it makes the program cheaper.
    fn reduced_cost(&self, column: usize) -> f64 {
        let entries = self.column(column);
        self.costs[column]
            - entries
                .iter()
                .map(|(row, entry)| self.prices[*row] * entry)
                .sum::<f64>()
    }

    fn entering(&self) -> Option<usize> {
        let mut best = (-TINY, None);
        for column in 0..self.costs.len() {
            if !self.is_basic[column] {
                let cost = self.reduced_cost(column);
                if cost < best.0 {
                    best = (cost, Some(column));
                }
            }
        }
        best.1
    }

    fn pivot(&mut self, entering: usize) -> bool {
        let count = self.height();
        let mut direction = vec![0.0; count];
        for (row, entry) in &self.entries[self.starts[entering]..self.starts[entering + 1]] {
            for (at, sum) in direction.iter_mut().enumerate() {
                *sum += self.inverse[at * count + row] * entry;
            }
        }
        let mut leaving = None;
        let mut least = f64::INFINITY;
        for (row, step) in direction.iter().enumerate() {
            if *step > LEAST_PIVOT && self.values[row] / step < least {
                least = self.values[row] / step;
                leaving = Some(row);
            }
        }
        let Some(leaving) = leaving else {
            return false;
        };
        self.exchange(leaving, entering, &direction, least.max(0.0));
        true
    }

    fn exchange(&mut self, leaving: usize, entering: usize, direction: &[f64], step: f64) {
        let count = self.height();
        for (value, slope) in self.values.iter_mut().zip(direction) {
            *value = (*value - step * slope).max(0.0);
        }
        self.values[leaving] = step;
        self.is_basic[self.basis[leaving]] = false;
        self.is_basic[entering] = true;
        self.basis[leaving] = entering;
        let mut pivot_line = self.inverse[leaving * count..(leaving + 1) * count].to_vec();
        for entry in &mut pivot_line {
            *entry /= direction[leaving];
        }
        for (row, slope) in direction.iter().enumerate() {
            if row != leaving && slope.abs() > 0.0 {
                let line = &mut self.inverse[row * count..(row + 1) * count];
                for (entry, pivot) in line.iter_mut().zip(&pivot_line) {
                    *entry -= slope * pivot;
                }
            }
        }
        self.inverse[leaving * count..(leaving + 1) * count].copy_from_slice(&pivot_line);
        self.pivots += 1;
        if self.pivots.is_multiple_of(FRESH_AFTER) {
            self.refresh();
        }
    }

    /// Computes inverse and values from the basis alone, by elimination with row exchange.
    fn refresh(&mut self) {
        let count = self.height();
        let mut matrix = vec![0.0; count * count];
        for (at, column) in self.basis.iter().enumerate() {
            for (row, entry) in self.column(*column) {
                matrix[row * count + at] = *entry;
            }
        }
        let Some(inverse) = inverted(matrix, count) else {
            return;
        };
        self.inverse = inverse;
        for row in 0..count {
            let line = &self.inverse[row * count..(row + 1) * count];
            let sum: f64 = line.iter().zip(&self.rights).map(|(a, b)| a * b).sum();
            self.values[row] = sum.max(0.0);
        }
    }

    /// What one more unit of each row's right side would cost.
    pub(super) fn prices(&self) -> &[f64] {
        &self.prices
    }

    /// The columns above 0 with their values.
    pub(super) fn values(&self) -> impl Iterator<Item = (usize, f64)> {
        self.basis
            .iter()
            .copied()
            .zip(self.values.iter().copied())
            .filter(|(_, v)| *v > TINY)
    }

    /// Cost of the present values.
    pub(super) fn cost(&self) -> f64 {
        self.values()
            .map(|(column, value)| self.costs[column] * value)
            .sum()
    }
}

fn inverted(mut matrix: Vec<f64>, count: usize) -> Option<Vec<f64>> {
    let mut inverse = vec![0.0; count * count];
    for at in 0..count {
        inverse[at * count + at] = 1.0;
    }
    for at in 0..count {
        let size = |row: &usize| matrix[row * count + at].abs();
        let pivot_row = (at..count).max_by(|a, b| size(a).total_cmp(&size(b)))?;
        if size(&pivot_row) < LEAST_PIVOT {
            return None;
        }
        for table in [&mut matrix, &mut inverse] {
            for column in 0..count {
                table.swap(at * count + column, pivot_row * count + column);
            }
        }
        let pivot = matrix[at * count + at];
        for table in [&mut matrix, &mut inverse] {
            table[at * count..(at + 1) * count]
                .iter_mut()
                .for_each(|entry| *entry /= pivot);
        }
        for row in (0..count).filter(|row| *row != at) {
            let factor = matrix[row * count + at];
            if factor.abs() > 0.0 {
                for table in [&mut matrix, &mut inverse] {
                    for column in 0..count {
                        table[row * count + column] -= factor * table[at * count + column];
                    }
                }
            }
        }
    }
    Some(inverse)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_halves_of_a_sheet_are_the_best_of_three_pairs() {
        // Three pieces, any two of which share a sheet: by symmetry each pair half a sheet, 1.5 in all.
        let row = Row {
            right: 1.0,
            start_cost: 10.0,
        };
        let mut program = Simplex::new(&[row; 3]);
        for pair in [[0, 1], [0, 2], [1, 2]] {
            program.add(1.0, pair.map(|row| (row, 1.0)));
        }
        program.solve(100);
        assert!((program.cost() - 1.5).abs() < 1e-4);
        assert!(
            program
                .prices()
                .iter()
                .all(|price| (price - 0.5).abs() < 1e-9)
        );
    }

    #[test]
    fn a_limit_row_with_a_slack_keeps_a_cheap_column_down() {
        // 5 wanted; 3 cheap at 1, the rest dear at 4: 3 + 2 x 4 = 11, and one more of the cheap ones would save 3.
        let want = Row {
            right: 5.0,
            start_cost: 100.0,
        };
        let limit = Row {
            right: 3.0,
            start_cost: 0.0,
        };
        let mut program = Simplex::new(&[want, limit]);
        program.add(1.0, [(0, 1.0), (1, 1.0)]);
        program.add(4.0, [(0, 1.0)]);
        program.solve(100);
        assert!((program.cost() - 11.0).abs() < 1e-4);
        assert!((program.prices()[1] + 3.0).abs() < 1e-9);
    }

    #[test]
    fn an_inverse_times_its_matrix_is_one() {
        let matrix = vec![0.0, 2.0, 0.0, 1.0, 0.0, 3.0, 4.0, 0.0, 5.0];
        let inverse = inverted(matrix.clone(), 3).expect("determinant 2 x 7");
        for row in 0..3 {
            for column in 0..3 {
                let sum: f64 = (0..3)
                    .map(|k| matrix[row * 3 + k] * inverse[k * 3 + column])
                    .sum();
                assert!((sum - f64::from(u8::from(row == column))).abs() < 1e-12);
            }
        }
    }
}
