//! The best way to cut an area edge to edge into a few kinds of boxes, each as often as wanted.
//!
//! Dynamic programming over sums of box sides (P. C. Gilmore and R. E. Gomory, "The theory and computation of knapsack functions",
//! 1966): every layout can be pushed to the top left, so cuts need to be tried only where sides add up. This finds pinwheels and
//! mixed rows that a grid misses: 4 instead of 3 tags of 2 x 3 1/2 in from 6 x 6 in. What it lays down beyond what is left to place
//! is taken away again. Cost: sums across times sums down times their number; more than [`MOST_SUMS`] of them are refused.

use std::collections::BTreeSet;

use super::super::Area;
use super::Place;
use super::pile::{Form, Pile, Stack};

/// Most sums of sides across or down: 100 x 100 states with up to 100 cuts each take a few milliseconds.
const MOST_SUMS: usize = 100;

/// Fills `area` with the best of: all kinds together, and each kind alone. Empty where there are too many sums.
pub(super) fn fill(area: Area, pile: &mut Pile) -> Vec<Place> {
    let all: Vec<usize> = (0..pile.stacks.len())
        .filter(|s| pile.stacks[*s].left > 0)
        .collect();
    let alone = all.iter().map(|s| vec![*s]);
    let tries: Vec<Vec<usize>> = std::iter::once(all.clone()).chain(alone).collect();
    let mut best: (i128, Vec<Place>, Pile) = (0, Vec::new(), pile.clone());
    for stacks in tries {
        let Some(table) = Table::new(area, pile, &stacks) else {
            continue;
        };
        pile.may_work(table.states.len() * (table.across.len() + table.down.len()));
        let mut rest = pile.clone();
        let places = rest.take(table.places(area, pile));
        let size: i128 = places.iter().map(|p| p.area.size_nm2()).sum();
        if size > best.0 {
            best = (size, places, rest);
        }
    }
    *pile = best.2;
    best.1
}

struct Table {
    across: Vec<i64>,
    down: Vec<i64>,
    states: Vec<State>,
}

/// The best use of a rectangle that is `across[i]` wide and `down[j]` high.
#[derive(Debug, Clone, Copy)]
struct State {
    size_nm2: i128,
    choice: Choice,
}

#[derive(Debug, Clone, Copy)]
enum Choice {
    Waste,
    Box { stack: usize, form: Form },
    CutBeside { first: usize, second: usize },
    CutBelow { first: usize, second: usize },
}

impl Table {
    fn new(area: Area, pile: &Pile, stacks: &[usize]) -> Option<Self> {
        let forms = || stacks.iter().flat_map(|s| &pile.stacks[*s].forms);
        let across = sums(forms().map(|f| f.width_nm), area.width_nm)?;
        let down = sums(forms().map(|f| f.height_nm), area.height_nm)?;
        let mut table = Self {
            states: Vec::with_capacity(across.len() * down.len()),
            across,
            down,
        };
        for i in 0..table.across.len() {
            for j in 0..table.down.len() {
                let state = table.best(i, j, stacks.iter().map(|s| (*s, &pile.stacks[*s])));
                table.states.push(state);
            }
        }
        Some(table)
    }

    fn state(&self, i: usize, j: usize) -> State {
        self.states[i * self.down.len() + j]
    }

    fn best<'a>(
        &self,
        i: usize,
        j: usize,
        stacks: impl Iterator<Item = (usize, &'a Stack)>,
    ) -> State {
        let mut best = State {
            size_nm2: 0,
            choice: Choice::Waste,
        };
        let mut offer = |size_nm2: i128, choice: Choice| {
            if size_nm2 > best.size_nm2 {
                best = State { size_nm2, choice };
            }
        };
        let here = Area::from_edges(0, 0, self.across[i], self.down[j]);
        for (stack, form) in stacks.flat_map(|(s, stack)| stack.forms.iter().map(move |f| (s, *f)))
        {
            if form.fits(here) {
                let size_nm2 = i128::from(form.width_nm) * i128::from(form.height_nm);
                offer(size_nm2, Choice::Box { stack, form });
            }
        }
        for (first, second) in halves(&self.across, i) {
            let size_nm2 = self.state(first, j).size_nm2 + self.state(second, j).size_nm2;
            offer(size_nm2, Choice::CutBeside { first, second });
        }
        for (first, second) in halves(&self.down, j) {
            // These states are in the same row of the table and already known, since `first` and `second` are below `j`.
            let size_nm2 = self.state(i, first).size_nm2 + self.state(i, second).size_nm2;
            offer(size_nm2, Choice::CutBelow { first, second });
        }
        best
    }

    fn places(&self, area: Area, pile: &Pile) -> Vec<Place> {
        let mut places = Vec::new();
        let last = (self.across.len() - 1, self.down.len() - 1);
        let mut open = vec![(last, (area.x_nm, area.y_nm))];
        while let Some(((i, j), (x, y))) = open.pop() {
            match self.state(i, j).choice {
                Choice::Waste => {}
                Choice::Box { stack, form } => places.push(pile.stacks[stack].place(form, x, y)),
                Choice::CutBeside { first, second } => {
                    open.push(((second, j), (x + self.across[first], y)));
                    open.push(((first, j), (x, y)));
                }
                Choice::CutBelow { first, second } => {
                    open.push(((i, second), (x, y + self.down[first])));
                    open.push(((i, first), (x, y)));
                }
            }
        }
        places
    }
}

/// Returns 0 and all sums of `sides` up to `most`, rising; `None` if there are too many.
fn sums(sides: impl Iterator<Item = i64>, most: i64) -> Option<Vec<i64>> {
    let sides: BTreeSet<i64> = sides.collect();
    let mut found = BTreeSet::from([0]);
    let mut open = vec![0];
    while let Some(sum) = open.pop() {
        for side in &sides {
            let next = sum + side;
            if next <= most && found.insert(next) {
                open.push(next);
            }
        }
        if found.len() > MOST_SUMS {
            return None;
        }
    }
    Some(found.into_iter().collect())
}

/// Ways to cut the sum at `whole` in two: the first part at a sum, the second rounded down to one; the smaller part first.
fn halves(sums: &[i64], whole: usize) -> impl Iterator<Item = (usize, usize)> {
    let size = sums[whole];
    (1..whole)
        .take_while(move |first| 2 * sums[*first] <= size)
        .map(move |first| {
            let second = sums.partition_point(|s| *s <= size - sums[first]) - 1;
            (first, second)
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_all_multiples_and_mixtures() {
        // 2 and 3 1/2 up to 8: 2, 3.5, 4, 5.5, 6, 7, 7.5, 8 (in halves of an inch).
        let found = sums([4, 7].into_iter(), 16);
        assert_eq!(found, Some(vec![0, 4, 7, 8, 11, 12, 14, 15, 16]));
    }

    #[test]
    fn too_many_sums_are_refused() {
        assert_eq!(sums([1].into_iter(), 1_000), None);
    }
}
