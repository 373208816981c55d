//! Spots strewn evenly over a square that goes on at its opposite edge.
//!
//! Large spots are laid first, each at the best of some random places (Mitchell 1991, "best candidate"), then all are moved to the middles of
//! their own share of the square a few times (Lloyd 1982). A share is what is nearer to the edge of a spot than to any other, so that gaps
//! come out alike whatever the sizes. A few rounds remove clumps; many would lay the spots in rows. The work is bounded: 24 places for each
//! spot and 12 rounds on a lattice of fixed size.

use kurbo::{Point, Vec2};
use rand_pcg::Pcg32;
use rand_pcg::rand_core::Rng;

/// Random places that are tried for a spot.
const PLACES: u32 = 24;

/// Times that all spots move to the middles of their shares.
const ROUNDS: u32 = 12;

/// Side of the lattice on which shares are measured.
const LATTICE: u32 = 64;

/// Returns the generator of a seed: PCG-XSH-RR 64/32 (O'Neill 2014), the same numbers everywhere.
pub(super) fn generator(seed: u64) -> Pcg32 {
    Pcg32::new(seed, 0x5EED)
}

/// Returns a number from 0 up to but not including 1.
pub(super) fn unit(random: &mut Pcg32) -> f64 {
    f64::from(random.next_u32()) / 4_294_967_296.0
}

/// Returns the shortest way between two places of the unit square that goes on at its opposite edge.
pub(super) fn way(from: Point, to: Point) -> Vec2 {
    let way = to - from;
    Vec2::new(way.x - way.x.round(), way.y - way.y.round())
}

/// Returns the distance between two such places.
pub(super) fn distance(one: Point, two: Point) -> f64 {
    way(one, two).hypot2().sqrt()
}

/// Brings a place back into the unit square.
pub(super) fn inside(at: Point) -> Point {
    let wrapped = |value: f64| {
        let rest = value - value.floor();
        // A tiny negative number rounds up to 1.
        if rest < 1.0 { rest } else { 0.0 }
    };
    Point::new(wrapped(at.x), wrapped(at.y))
}

/// Returns a place in the unit square for each of these radii, which fall.
pub(super) fn spread(radii: &[f64], random: &mut Pcg32) -> Vec<Point> {
    let mut spots: Vec<Point> = Vec::new();
    for radius in radii {
        let mut best = (f64::NEG_INFINITY, Point::ORIGIN);
        for _ in 0..PLACES {
            let at = Point::new(unit(random), unit(random));
            let gaps = spots
                .iter()
                .zip(radii)
                .map(|(spot, other)| distance(at, *spot) - other - radius);
            let gap = gaps.fold(f64::INFINITY, f64::min);
            if gap > best.0 {
                best = (gap, at);
            }
        }
        spots.push(best.1);
    }
    for _ in 0..ROUNDS {
        spots = relaxed(&spots, radii);
    }
    spots
}

/// All spots, each in the middle of its share.
fn relaxed(spots: &[Point], radii: &[f64]) -> Vec<Point> {
    let mut sums = vec![(Vec2::ZERO, 0.0); spots.len()];
    for n in 0..LATTICE * LATTICE {
        let (column, row) = (f64::from(n % LATTICE), f64::from(n / LATTICE));
        let at = Point::new(column + 0.5, row + 0.5).to_vec2() / f64::from(LATTICE);
        let at = at.to_point();
        let mut nearest = (f64::INFINITY, 0);
        for (which, (spot, radius)) in spots.iter().zip(radii).enumerate() {
            let gap = way(*spot, at).hypot2().sqrt() - radius;
            if gap < nearest.0 {
                nearest = (gap, which);
            }
        }
        let sum = &mut sums[nearest.1];
        sum.0 += way(spots[nearest.1], at);
        sum.1 += 1.0;
    }
    let moved = spots.iter().zip(sums);
    moved
        .map(|(spot, (sum, count))| {
            inside(if count > 0.0 {
                *spot + sum / count
            } else {
                *spot
            })
        })
        .collect()
}

/// Deals out `kinds` to the spots, each equally often, so that spots of one kind keep away from one another: exchanges kinds as long as that
/// makes the sum of 1 / distance^4 between spots of one kind less, four rounds at most.
pub(super) fn dealt(spots: &[Point], kinds: usize) -> Vec<usize> {
    let mut kind: Vec<usize> = (0..spots.len()).map(|n| n % kinds).collect();
    let near = |i: usize, j: usize| 1.0 / distance(spots[i], spots[j]).max(1e-3).powi(4);
    let pull: Vec<Vec<f64>> = (0..spots.len())
        .map(|i| {
            (0..spots.len())
                .map(|j| if i == j { 0.0 } else { near(i, j) })
                .collect()
        })
        .collect();
    let among = |kind: &[usize], of: usize, which: usize| -> f64 {
        let pairs = pull[of].iter().zip(kind);
        pairs.filter(|(_, k)| **k == which).map(|(p, _)| p).sum()
    };
    for _ in 0..4 {
        let mut is_better = false;
        for i in 0..spots.len() {
            for j in 0..i {
                let (a, b) = (kind[i], kind[j]);
                if a == b {
                    continue;
                }
                let now = among(&kind, i, a) + among(&kind, j, b);
                let then = among(&kind, i, b) + among(&kind, j, a) - 2.0 * pull[i][j];
                if then < now - 1e-6 {
                    kind.swap(i, j);
                    is_better = true;
                }
            }
        }
        if !is_better {
            break;
        }
    }
    kind
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ways_go_over_the_edge_where_that_is_shorter() {
        let (one, two) = (Point::new(0.1, 0.9), Point::new(0.8, 0.2));
        assert!((way(one, two) - Vec2::new(-0.3, 0.3)).hypot2() < 1e-24);
        assert!((distance(one, two) - 0.18_f64.sqrt()).abs() < 1e-12);
        assert_eq!(inside(Point::new(1.25, -0.25)), Point::new(0.25, 0.75));
        assert_eq!(inside(Point::new(-1e-20, 1.0)), Point::new(0.0, 0.0));
    }

    /// The first numbers of PCG32 with state 42 and stream 54, from the check file of the generator's author (pcg-random.org, `pcg32-demo`).
    #[test]
    fn the_generator_is_the_published_one() {
        let mut random = Pcg32::new(42, 54);
        let wanted = [
            0xa15c_02b7,
            0x7b47_f409,
            0xba1d_3330,
            0x83d2_f293,
            0xbfa4_784b,
            0xcbed_606e,
        ];
        assert_eq!(wanted.map(|_| random.next_u32()), wanted);
    }

    /// Sixteen spots have room to be a quarter apart each way; two of a kind then need not be neighbours.
    #[test]
    fn kinds_dealt_to_a_square_lattice_make_a_chequer() {
        let spots: Vec<Point> = (0..16_u32)
            .map(|n| Point::new(f64::from(n % 4), f64::from(n / 4)).to_vec2() / 4.0)
            .map(Vec2::to_point)
            .collect();
        let kinds = dealt(&spots, 2);
        for (i, j) in (0..16).flat_map(|i| (0..i).map(move |j| (i, j))) {
            let are_neighbours = distance(spots[i], spots[j]) < 0.3;
            assert!(!are_neighbours || kinds[i] != kinds[j], "{kinds:?}");
        }
    }
}
