//! Sums of widths, or of heights: the only places where a cut is ever needed.

use std::collections::BTreeSet;

/// Most sums kept: with more of them something other than an exact search is called for.
const MOST_SUMS: usize = 2500;

/// All sums of some measures up to a length, rising, 0 first.
#[derive(Debug, Clone)]
pub(super) struct Sums {
    pub(super) sums: Vec<i64>,
    /// For each sum, the pairs of sums above 0 that make it, by position, the smaller first.
    pub(super) pairs: Vec<Vec<(usize, usize)>>,
    /// For each sum, whether a cut of that length can be made.
    pub(super) is_reached: Vec<bool>,
}

impl Sums {
    /// The sums up to `all_nm`, and `all_nm` itself; `None` if there are too many.
    pub(super) fn new(
        all_nm: i64,
        measures: impl Iterator<Item = i64>,
        reach_nm: Option<i64>,
    ) -> Option<Self> {
        let measures: BTreeSet<i64> = measures.collect();
        let mut sums = BTreeSet::from([0, all_nm]);
        let mut last = Some(0);
        while let Some(sum) = last {
            sums.extend(measures.iter().map(|m| sum + m).filter(|s| *s <= all_nm));
            if sums.len() > MOST_SUMS {
                return None;
            }
            last = sums.range(sum + 1..).next().copied();
        }
        let sums: Vec<i64> = sums.into_iter().collect();
        let pairs = (0..sums.len()).map(|at| pairs(&sums, at)).collect();
        let is_reached = sums
            .iter()
            .map(|sum| reach_nm.is_none_or(|reach| *sum <= reach))
            .collect();
        Some(Self {
            sums,
            pairs,
            is_reached,
        })
    }

    /// The position of one of the measures.
    pub(super) fn find(&self, measure: i64) -> usize {
        self.sums
            .binary_search(&measure)
            .expect("a measure that fits is a sum")
    }

    /// How many there are.
    pub(super) fn len(&self) -> usize {
        self.sums.len()
    }

    /// The position of the greatest sum no greater than `length_nm`, which is at least 0.
    pub(super) fn within(&self, length_nm: i64) -> usize {
        self.sums.partition_point(|sum| *sum <= length_nm) - 1
    }

    /// How many pairs all sums have together.
    pub(super) fn pair_count(&self) -> usize {
        self.pairs.iter().map(Vec::len).sum()
    }
}

fn pairs(sums: &[i64], at: usize) -> Vec<(usize, usize)> {
    let smaller = (1..at).take_while(|a| 2 * sums[*a] <= sums[at]);
    smaller
        .filter_map(|a| {
            sums.binary_search(&(sums[at] - sums[a]))
                .ok()
                .map(|b| (a, b))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_and_the_pairs_that_make_them_are_all_there() {
        // From 3 and 5 up to 11: 3, 5, 6, 8, 9, 10, 11 (3 + 3 + 5); 11 = 3 + 8 = 5 + 6.
        let sums = Sums::new(11, [3, 5].into_iter(), Some(9)).expect("few");
        assert_eq!(sums.sums, [0, 3, 5, 6, 8, 9, 10, 11]);
        assert_eq!(sums.pairs[7], [(1, 4), (2, 3)]);
        assert_eq!(
            sums.is_reached,
            [true, true, true, true, true, true, false, false]
        );
        assert_eq!((sums.find(8), sums.within(7)), (4, 3));
    }

    #[test]
    fn too_many_sums_are_refused() {
        assert!(Sums::new(1_000_000, [97, 1013].into_iter(), None).is_none());
    }
}
