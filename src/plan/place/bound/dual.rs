//! Dual feasible functions: ways of stretching and shrinking lengths that keep true what fits side by side.
//!
//! Such a function takes a length to a share of the side, 0 to 1, so that lengths that fit side by side still do, and so do their
//! shares. All here are also superadditive, f(a) + f(b) <= f(a + b), so that f(w) is what a narrower sheet of width w can hold.
//! Widths may be taken by one function and heights by another: the products of boxes on one sheet still sum up to at most that of
//! the sheet (S. Fekete and J. Schepers, "A general framework for bounds for higher-dimensional orthogonal packing problems", 2004).
//!
//! [`Rounding::Snap`] and [`Rounding::Whole`] are by the same authors ("New classes of fast lower bounds for bin packing problems",
//! 2001), [`Rounding::Counted`] by J. Carlier, F. Clautiaux and A. Moukrim ("New reduction procedures and lower bounds for the
//! two-dimensional bin packing problem with fixed orientation", 2007).

/// A dual feasible function on lengths up to a side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Dual {
    side_nm: i64,
    rounding: Rounding,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rounding {
    /// What leaves less than `least_nm` beside it takes the whole side, and what is less takes nothing.
    Snap { least_nm: i64 },
    /// As if the side had room for so many and one more of what is slightly larger than that part of it.
    Whole { parts: i64 },
    /// Short lengths count as so many of `unit_nm`, long ones as what they leave of the units.
    Counted { unit_nm: i64 },
}

/// Largest number of parts of [`Rounding::Whole`]; where boxes may turn, more raise none of 250 bounds of the literature's instances.
const MOST_PARTS: i64 = 3;

impl Dual {
    /// Returns the functions for a side that may tell the given lengths apart in other ways than the plain share, which comes first.
    pub(super) fn all(side_nm: i64, lengths_nm: &[i64]) -> Vec<Self> {
        let shorter = |l: &i64| [*l, side_nm - *l].into_iter().min();
        let mut marks: Vec<i64> = lengths_nm.iter().filter_map(shorter).collect();
        marks.retain(|m| *m > 0);
        marks.sort_unstable();
        marks.dedup();
        let snap = |least_nm| Rounding::Snap { least_nm };
        let roundings = [snap(0)]
            .into_iter()
            .chain((1..=MOST_PARTS).map(|parts| Rounding::Whole { parts }))
            .chain(marks.iter().map(|m| snap(*m)))
            .chain(marks.iter().map(|m| Rounding::Counted { unit_nm: *m }));
        roundings
            .map(|rounding| Self { side_nm, rounding })
            .collect()
    }

    /// Returns the share of the side that a length of a part counts, 0 to 1; longer parts than the side count 1.
    pub(super) fn share(self, length_nm: i64) -> f64 {
        let (x, side) = (length_nm, self.side_nm);
        let plain = x as f64 / side as f64;
        if x >= side {
            return 1.0;
        }
        match self.rounding {
            Rounding::Snap { least_nm } if x < least_nm => 0.0,
            Rounding::Snap { least_nm } if side - x < least_nm => 1.0,
            Rounding::Snap { .. } => plain,
            Rounding::Whole { parts } if (parts + 1) * x % side == 0 => plain,
            Rounding::Whole { parts } => ((parts + 1) * x / side) as f64 / parts as f64,
            Rounding::Counted { unit_nm } => {
                let units = |length: i64| (length / unit_nm) as f64 / (side / unit_nm) as f64;
                match (2 * x).cmp(&side) {
                    std::cmp::Ordering::Less => units(x),
                    std::cmp::Ordering::Equal => 0.5,
                    std::cmp::Ordering::Greater => 1.0 - units(side - x),
                }
            }
        }
    }

    /// Returns what lengths side by side on `length_nm` count together at most.
    ///
    /// On more than a side, let them be gathered into groups of at most a side, or of one that is longer, until no two groups can be
    /// joined. Any two are then longer than a side, so there are fewer than twice as many as sides, and none counts more than 1.
    pub(super) fn most(self, length_nm: i64) -> f64 {
        if length_nm <= self.side_nm {
            return self.share(length_nm);
        }
        ((2 * length_nm + self.side_nm - 1) / self.side_nm - 1) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROUNDING: f64 = 1e-12;

    fn all(side: i64) -> Vec<Dual> {
        Dual::all(side, &(1..side).collect::<Vec<_>>())
    }

    #[test]
    fn what_lies_side_by_side_never_counts_more_than_what_holds_it() {
        // Every pair on every length up to twice a side, so by induction every number of lengths.
        for side in 1..=24 {
            for dual in all(side) {
                for length in 0..=side {
                    for a in 0..=length {
                        let sum = dual.share(a) + dual.share(length - a);
                        assert!(
                            sum <= dual.most(length) + ROUNDING,
                            "{dual:?}: {a} and {}",
                            length - a
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn on_more_than_a_side_no_choice_of_lengths_counts_more_than_the_most() {
        for side in 1..=9 {
            for dual in all(side) {
                // The greatest count of lengths that fit side by side on 0, 1, 2, ... by dynamic programming.
                let mut greatest = vec![0.0_f64];
                for length in 1..=3 * side {
                    let last = |a: i64| {
                        let before = usize::try_from(length - a).unwrap();
                        dual.share(a) + greatest[before]
                    };
                    let best = (1..=length).map(last).fold(0.0, f64::max);
                    assert!(best <= dual.most(length) + ROUNDING, "{dual:?}: {length}");
                    greatest.push(best);
                }
            }
        }
    }

    #[test]
    fn shares_by_hand() {
        let shares = |rounding, lengths: [i64; 6]| {
            let side_nm = 100;
            let dual = Dual { side_nm, rounding };
            lengths.map(|l| format!("{:.2}", dual.share(l))).join(" ")
        };
        let lengths = [24, 25, 50, 75, 76, 100];
        let snap = Rounding::Snap { least_nm: 25 };
        assert_eq!(shares(snap, lengths), "0.00 0.25 0.50 0.75 1.00 1.00");
        // Only what is longer than a half counts, and it counts all.
        let halves = Rounding::Whole { parts: 1 };
        assert_eq!(shares(halves, lengths), "0.00 0.00 0.50 1.00 1.00 1.00");
        // Three units of 33: 24 is none of them, 66 leaves one, 68 leaves none.
        let units = Rounding::Counted { unit_nm: 33 };
        let lengths = [24, 33, 50, 66, 68, 100];
        assert_eq!(shares(units, lengths), "0.00 0.33 0.50 0.67 1.00 1.00");
    }
}
