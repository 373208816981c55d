//! Which facet hides which: facets from the farthest to the nearest, as a painter lays them over one another.
//!
//! Two facets that cover the same part of the picture are compared there by their planes. Facets that pass through each other, and rings
//! of facets of which each hides the next, are cut in two along a plane.

use kurbo::{Rect, Shape};

use super::facet::{Facet, range};
use crate::geometry::areas::{shared, thickness_of};

/// Parts of the picture thinner than this decide nothing, in millimetres: less than a line.
const SLIVER_MM: f64 = 0.02;

/// Planes that come through each other by no more than this are taken as lying on one another: thick card.
const THROUGH_MM: f64 = 1.0;

/// Cuts at most, for each facet there is.
const CUTS_PER_FACET: usize = 4;

/// Returns the facets, the farthest first.
pub(super) fn back_to_front(mut facets: Vec<Facet>) -> Vec<Facet> {
    let mut cuts_left = CUTS_PER_FACET * facets.len();
    loop {
        let over = Over::of(&facets);
        let cut = if cuts_left == 0 {
            None
        } else {
            over.through.or_else(|| over.ring(&facets))
        };
        let Some((cut, by)) = cut else {
            let order = over.order(&facets);
            return order.into_iter().map(|i| facets[i].clone()).collect();
        };
        cuts_left -= 1;
        let parts = facets[cut].split_by(&facets[by]);
        if parts.len() < 2 {
            cuts_left = 0;
        }
        facets.splice(cut..=cut, parts);
    }
}

/// What lies over what.
struct Over {
    /// For each facet, the facets right over it somewhere.
    above: Vec<Vec<usize>>,
    /// A facet that passes through another, and that other.
    through: Option<(usize, usize)>,
}

impl Over {
    fn of(facets: &[Facet]) -> Self {
        let boxes: Vec<Rect> = facets.iter().map(bounds).collect();
        let mut over = Self {
            above: vec![Vec::new(); facets.len()],
            through: None,
        };
        for (i, j) in crate::geometry::near_pairs(&boxes, 0.0) {
            let Some((low_mm, high_mm)) = nearer(&facets[i], &facets[j]) else {
                continue;
            };
            if low_mm < -THROUGH_MM && high_mm > THROUGH_MM && over.through.is_none() {
                over.through = Some((i, j));
            }
            // Of two in one plane the later one lies on top.
            if high_mm > -low_mm + 1e-9 {
                over.above[j].push(i);
            } else {
                over.above[i].push(j);
            }
        }
        over
    }

    /// Returns the positions so that each comes after all it lies over, as far as that can be.
    fn order(&self, facets: &[Facet]) -> Vec<usize> {
        let mut below = vec![0_usize; facets.len()];
        for above in self.above.iter().flatten() {
            below[*above] += 1;
        }
        let mut is_left = vec![true; facets.len()];
        let mut order = Vec::new();
        while order.len() < facets.len() {
            let left = (0..facets.len()).filter(|i| is_left[*i]);
            // Where everything lies over something else, the one over the fewest is the least wrong.
            let Some(next) = left.min_by_key(|i| below[*i]) else {
                break;
            };
            is_left[next] = false;
            order.push(next);
            for above in &self.above[next] {
                below[*above] -= 1;
            }
        }
        order
    }

    /// Returns a facet of a ring that one of the same ring cuts, and that one.
    fn ring(&self, facets: &[Facet]) -> Option<(usize, usize)> {
        let in_rings = self.in_rings();
        let crosses = |cut: usize, by: usize| {
            let (low_mm, high_mm) = facets[cut].range_over(&facets[by]);
            low_mm < -THROUGH_MM && high_mm > THROUGH_MM
        };
        in_rings.iter().find_map(|lower| {
            let above = self.above[*lower].iter();
            above
                .filter(|upper| in_rings.contains(upper))
                .find_map(|upper| {
                    let pairs = [(*lower, *upper), (*upper, *lower)];
                    pairs.into_iter().find(|(cut, by)| crosses(*cut, *by))
                })
        })
    }

    /// The facets that neither can be laid down first nor last.
    fn in_rings(&self) -> Vec<usize> {
        let n = self.above.len();
        let mut is_left = vec![true; n];
        loop {
            let has_above = |i: usize| self.above[i].iter().any(|j| is_left[*j]);
            let has_below = |i: usize| (0..n).any(|j| is_left[j] && self.above[j].contains(&i));
            let free: Vec<usize> = (0..n)
                .filter(|i| is_left[*i] && !(has_above(*i) && has_below(*i)))
                .collect();
            if free.is_empty() {
                return (0..n).filter(|i| is_left[*i]).collect();
            }
            for i in free {
                is_left[i] = false;
            }
        }
    }
}

/// How much nearer `a` is than `b`, at the least and at the most, where both are seen; `None` where they share nothing.
fn nearer(a: &Facet, b: &Facet) -> Option<(f64, f64)> {
    let difference = a.depth.less(&b.depth);
    let parts = shared(&a.rings, &b.rings);
    let (low, high) = range(
        parts
            .iter()
            .filter(|part| thickness_of(part) > SLIVER_MM)
            .flatten()
            .flatten()
            .map(|p| difference.at(*p)),
    );
    (low <= high).then_some((low, high))
}

/// The box around a facet.
pub(super) fn bounds(facet: &Facet) -> Rect {
    let mut corners = facet.rings.iter().flatten();
    let first = corners.next().copied().unwrap_or_default();
    corners
        .fold(Rect::from_points(first, first), |all, p| all.union_pt(*p))
        .bounding_box()
}
