//! Where the places of a piece go along one axis.
//!
//! Knots are the places that matter: the ends of the piece and its creases. Each goes to a step of the ruler right below or right above
//! it, never farther, so that all sums close: a width is the difference of two places. Which of the two is a choice, and there are better and
//! worse ones: panels that were equally wide should stay so. All other places go along between their knots.

use super::units::nearest;
use crate::length::Length;

/// Knots beyond which only the nearest steps are taken.
const MOST_KNOTS: usize = 14;

/// Steps of the ruler by which a piece may get smaller to keep to its paper.
const MOST_SHRUNK: i64 = 3;

/// Choices that are kept of all.
const MOST_CHOICES: usize = 8;

/// Lengths that differ by less are equal: a micrometre, far below what a file's decimals tell apart.
const SAME: Length = Length::from_um(1);

/// Where places along one axis go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct AxisMap {
    /// Before and after, rising, from the piece's edge at 0 to the other.
    knots: Vec<(Length, Length)>,
    /// Where places between the knots lie on the ruler.
    ruler: Ruler,
}

/// Where places between knots lie on the ruler.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Ruler {
    /// So many steps from the nearest knot.
    FromKnot(Length),
    /// So many steps from the piece's edge at 0.
    FromEdge(Length),
}

impl AxisMap {
    /// Places that grow in proportion, rounded to half steps, since middles are among them.
    pub(super) fn even(before: Length, after: Length, step: Length) -> Self {
        Self {
            knots: vec![(Length::ZERO, Length::ZERO), (before, after)],
            ruler: Ruler::FromEdge(Length::from_nm(step.nm() / 2)),
        }
    }

    /// The ways to put knots on a ruler, the best first; never empty. `knots` rise and begin at 0; the last one may go to `most` where the
    /// paper ends, and whole pieces get smaller by a step or a few where rounding alone does not keep to that.
    pub(super) fn choices(knots: &[Length], step: Length, most: Option<Length>) -> Vec<Self> {
        let knots = distinct(knots);
        let mut all = if knots.len() <= MOST_KNOTS {
            every_way(&knots, step)
        } else {
            Vec::new()
        };
        let is_beyond = |new: &Vec<Length>| most.is_some_and(|most| new.last() > Some(&most));
        if let Some(most) = most.filter(|_| all.iter().any(is_beyond)) {
            let smaller = shrunk(&knots, step, most);
            all.extend(smaller.iter().flat_map(|knots| every_way(knots, step)));
            all.retain(|new| !is_beyond(new));
            all.sort();
            all.dedup();
        }
        all.retain(|new| new.windows(2).all(|pair| pair[0] < pair[1]));
        all.sort_by_cached_key(|new| burden(&knots, new, step));
        all.truncate(MOST_CHOICES);
        if all.is_empty() {
            all.push(knots.iter().map(|knot| nearest(*knot, step)).collect());
        }
        let map = |new: Vec<Length>| Self {
            knots: knots.iter().copied().zip(new).collect(),
            ruler: Ruler::FromKnot(step),
        };
        all.into_iter().map(map).collect()
    }

    /// Where the far edge of the piece goes.
    pub(super) fn end(&self) -> Length {
        self.knots.last().map_or(Length::ZERO, |knot| knot.1)
    }

    /// Where a place goes: a knot as chosen, others on the ruler, too, unless they lie within a step of a knot, as tapers do.
    pub(super) fn place(&self, at: Length) -> Length {
        let exact = self.along(at);
        let step = match self.ruler {
            Ruler::FromEdge(step) => return nearest(exact, step),
            Ruler::FromKnot(step) => step,
        };
        let Some((_, near)) = self
            .knots
            .iter()
            .min_by_key(|(before, _)| (at - *before).nm().abs())
        else {
            return exact;
        };
        let away = exact - *near;
        let size = Length::from_nm(away.nm().abs());
        if size < step {
            return exact;
        }
        let rounded = nearest(size, step);
        if away < Length::ZERO {
            *near - rounded
        } else {
            *near + rounded
        }
    }

    /// Where a place goes between its knots in proportion, beyond the ends by as much as before.
    pub(super) fn along(&self, at: Length) -> Length {
        let pair = self
            .knots
            .windows(2)
            .find(|pair| pair[0].0 - SAME <= at && at <= pair[1].0 + SAME);
        match (pair, self.knots.first(), self.knots.last()) {
            (Some([from, to]), _, _) => {
                let (old, new) = (to.0 - from.0, to.1 - from.1);
                let into = i128::from((at - from.0).nm()) * i128::from(new.nm());
                let into = into / i128::from(old.nm().max(1));
                from.1 + Length::from_nm(i64::try_from(into).unwrap_or(i64::MAX))
            }
            (_, Some(first), _) if at < first.0 => first.1 + (at - first.0),
            (_, _, Some(last)) => last.1 + (at - last.0),
            (_, _, None) => at,
        }
    }
}

/// Places of the same piece, smaller in proportion: its end on the last steps of the ruler that paper is left for.
fn shrunk(knots: &[Length], step: Length, most: Length) -> Vec<Vec<Length>> {
    let whole = knots.last().copied().unwrap_or(Length::ZERO);
    let last = most.nm().div_euclid(step.nm());
    let ends = (0..MOST_SHRUNK).map(|fewer| step * (last - fewer));
    let along = |knot: &Length, end: Length| {
        let part = i128::from(knot.nm()) * i128::from(end.nm()) / i128::from(whole.nm().max(1));
        Length::from_nm(i64::try_from(part).unwrap_or(i64::MAX))
    };
    let ends = ends.filter(|end| *end > Length::ZERO && *end < whole);
    ends.map(|end| knots.iter().map(|knot| along(knot, end)).collect())
        .collect()
}

/// Places in order, each once.
fn distinct(knots: &[Length]) -> Vec<Length> {
    let mut sorted = knots.to_vec();
    sorted.sort();
    sorted.dedup_by(|b, a| *b - *a < SAME);
    sorted
}

/// Each knot on the step below or above; one that lies on a step stays.
fn every_way(knots: &[Length], step: Length) -> Vec<Vec<Length>> {
    let mut all = vec![Vec::new()];
    for knot in knots {
        let close = nearest(*knot, step);
        let below = step * knot.nm().div_euclid(step.nm());
        let is_on = Length::from_nm((close - *knot).nm().abs()) < SAME;
        let places = if is_on {
            vec![close]
        } else {
            vec![below, below + step]
        };
        all = all
            .iter()
            .flat_map(|way: &Vec<Length>| {
                places
                    .iter()
                    .map(|place| way.iter().copied().chain([*place]).collect())
            })
            .collect();
    }
    all
}

/// Widths that were equal and no longer are, then how far knots moved in all, by squares of thousandths of a step.
fn burden(old: &[Length], new: &[Length], step: Length) -> (usize, i64) {
    let widths = |of: &[Length]| -> Vec<Length> { of.windows(2).map(|p| p[1] - p[0]).collect() };
    let (before, after) = (widths(old), widths(new));
    let is_same = |a: Length, b: Length| (a - b).nm().abs() < SAME.nm();
    let mut unequal = 0;
    for i in 0..before.len() {
        for j in 0..i {
            if is_same(before[i], before[j]) && !is_same(after[i], after[j]) {
                unequal += 1;
            }
        }
    }
    let thousandths = |old: &Length, new: &Length| (*new - *old).nm() * 1000 / step.nm();
    let moved = old.iter().zip(new).map(|(o, n)| thousandths(o, n).pow(2));
    (unequal, moved.sum())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn um(values: &[i64]) -> Vec<Length> {
        values.iter().map(|v| Length::from_um(*v)).collect()
    }

    fn placed(map: &AxisMap, at: &[Length]) -> Vec<Length> {
        at.iter().map(|at| map.place(*at)).collect()
    }

    /// The pitfall of rounding widths, by hand: six panels of 1 9/16 in = 39.6875 mm are 238.125 mm long; each rounded to 40 mm they
    /// would come to 240.
    #[test]
    fn only_positions_are_rounded_so_that_the_sum_closes() {
        let knots: Vec<_> = (0..=6)
            .map(|n| Length::from_inch_fraction(25 * n, 16))
            .collect();
        let map = &AxisMap::choices(&knots, Length::from_mm(1), None)[0];
        let places = placed(map, &knots);
        for (old, new) in knots.iter().zip(&places) {
            assert!((*new - *old).nm().abs() < 1_000_000, "{old:?} -> {new:?}");
        }
        let sum: i64 = places.windows(2).map(|p| (p[1] - p[0]).nm()).sum();
        assert_eq!(sum, map.end().nm());
        assert!((map.end() - knots[6]).nm().abs() < 1_000_000);
    }

    /// A tray's walls of 35.15 mm on both sides of a bottom of 90.3 mm. In sixteenths 22.14, 79.02 and 101.17: 22, 79 and 101 are nearest
    /// and leave both walls 22 high. A lid's 20.15, 92.1, 20.15 are 12.69, 70.71, 83.40: nearest would be 13, 71, 83, walls of 13 and 12;
    /// the next sums with equal walls are 13, 71, 84 (moved by 0.31, 0.29, 0.60), 12, 71, 83 (0.69, 0.29, 0.40) and 13, 70, 83 (0.31, 0.71,
    /// 0.40): squares 0.54, 0.72 and 0.76.
    #[test]
    fn walls_that_were_equal_stay_equal() {
        let step = Length::from_inch_fraction(1, 16);
        let tray = um(&[0, 35_150, 125_450, 160_600]);
        let lid = um(&[0, 20_150, 112_250, 132_400]);
        let steps = |knots: &[Length], choice: usize| -> Vec<i64> {
            let map = &AxisMap::choices(knots, step, None)[choice];
            placed(map, knots)
                .iter()
                .map(|p| p.nm() / step.nm())
                .collect()
        };
        assert_eq!(steps(&tray, 0), [0, 22, 79, 101]);
        assert_eq!(steps(&lid, 0), [0, 13, 71, 84]);
        assert_eq!(steps(&lid, 1), [0, 12, 71, 83]);
        assert_eq!(steps(&lid, 2), [0, 13, 70, 83]);
    }

    /// A card of 8 1/2 in with its fold in the middle, 107.95 and 215.9 mm, on letter, 215.9 mm wide. 108 and 216 are nearest, but find no
    /// paper; 107 or 108 and 215 are uneven; so 107 and 214.
    #[test]
    fn a_piece_that_fills_its_paper_gets_smaller_rather_than_larger() {
        let knots = um(&[0, 107_950, 215_900]);
        let step = Length::from_mm(1);
        let ends = |most| {
            let map = &AxisMap::choices(&knots, step, most)[0];
            placed(map, &knots)
        };
        assert_eq!(ends(None), um(&[0, 108_000, 216_000]));
        assert_eq!(ends(Some(knots[2])), um(&[0, 107_000, 214_000]));
        // Paper that ends farther out changes nothing.
        assert_eq!(ends(Some(Length::from_mm(216))), ends(None));
    }

    #[test]
    fn places_between_knots_go_along_and_keep_their_distance_from_them() {
        let step = Length::from_mm(1);
        let knots = um(&[0, 31_750, 82_550]); // 1 1/4 in and 3 1/4 in: 32 and 83 mm are nearest
        let map = &AxisMap::choices(&knots, step, None)[0];
        assert_eq!(map.end(), Length::from_mm(83));
        // 3.175 mm before and after the knot at 32: 3 mm on either side.
        assert_eq!(placed(map, &um(&[28_575, 34_925])), um(&[29_000, 35_000]));
        // Less than a step away: as it was, but for the stretch of the panel, 51/50.8.
        let near = map.place(Length::from_um(32_350));
        assert!(
            (near - Length::from_um(32_602)).nm().abs() < 3_000,
            "{near:?}"
        );
    }
}
