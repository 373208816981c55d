//! The cut of an outline that leaves nicks standing.
//!
//! Nicks are spread evenly along the outline. Where the first one stands is free, so the spot is taken from which all of them are
//! farthest from any corner: a blade lifted in a corner leaves a tag, and a bridge there tears into the piece. The spots tried are
//! those of a fixed number along the way from one nick to the next, so the cost is spots times nicks times corners.

use kurbo::{BezPath, PathEl, PathSeg, Vec2};

use super::way::Way;
use crate::math::{COINCIDENT_MM, hypot};
use crate::project::Nicks;

/// Spots tried for the first nick.
const SPOTS: u32 = 64;

/// Cosine of 15 degrees: a path that turns by more in one point has a corner there.
const COS_CORNER: f64 = 0.965_925_826_289_068_3;

/// Returns the cut along a closed ring, one open subpath from each nick to the next.
pub(super) fn held(ring: &BezPath, nicks: Nicks) -> BezPath {
    let way = Way::new(ring.segments());
    let around_mm = way.length_mm();
    let every_mm = around_mm / f64::from(nicks.count);
    let half_mm = nicks.length.to_mm() / 2.0;
    let first_mm = best_spot(&way, every_mm, nicks.count);
    let mut cut = BezPath::new();
    for nick in 0..nicks.count {
        let from = first_mm + f64::from(nick) * every_mm + half_mm;
        append_round(&way, from, from + every_mm - 2.0 * half_mm, &mut cut);
    }
    cut
}

/// Appends a stretch that may run on over the start of the ring as one subpath.
fn append_round(way: &Way, from_mm: f64, to_mm: f64, path: &mut BezPath) {
    let around_mm = way.length_mm();
    if from_mm >= around_mm {
        return way.append(from_mm - around_mm, to_mm - around_mm, path);
    }
    way.append(from_mm, to_mm.min(around_mm), path);
    if to_mm > around_mm {
        let mut rest = BezPath::new();
        way.append(0.0, to_mm - around_mm, &mut rest);
        let is_move = |e: &&PathEl| matches!(e, PathEl::MoveTo(_));
        path.extend(rest.elements().iter().skip_while(is_move).copied());
    }
}

/// Where the first of evenly spread nicks stands so that the one nearest to a corner is as far from it as can be.
fn best_spot(way: &Way, every_mm: f64, count: u32) -> f64 {
    let corners = corners(way);
    let around_mm = way.length_mm();
    let clearance = |first: f64| {
        let nicks = (0..count).map(|nick| first + f64::from(nick) * every_mm);
        let pairs = nicks.flat_map(|nick| corners.iter().map(move |corner| (nick - corner).abs()));
        pairs
            .map(|off| off.min((around_mm - off).abs()))
            .fold(f64::INFINITY, f64::min)
    };
    let mut best = (0.0, clearance(0.0));
    for spot in 1..SPOTS {
        let first = every_mm * f64::from(spot) / f64::from(SPOTS);
        let clear = clearance(first);
        if clear > best.1 {
            best = (first, clear);
        }
    }
    best.0
}

/// Lengths along a closed way at which it has a corner.
fn corners(way: &Way) -> Vec<f64> {
    let segments: Vec<(f64, PathSeg)> = way.segments().collect();
    let before = segments.iter().cycle().skip(segments.len() - 1);
    let pairs = before.zip(&segments);
    pairs
        .filter(|((_, last), (_, next))| is_corner(-direction(last.reverse()), direction(*next)))
        .map(|(_, (start_mm, _))| *start_mm)
        .collect()
}

/// Where a segment sets out to; a control point that lies on its start tells nothing.
fn direction(segment: PathSeg) -> Vec2 {
    let cubic = segment.to_cubic();
    let ways = [cubic.p1 - cubic.p0, cubic.p2 - cubic.p0];
    let told = ways
        .into_iter()
        .find(|way| way.hypot2() > COINCIDENT_MM * COINCIDENT_MM);
    told.unwrap_or(cubic.p3 - cubic.p0)
}

fn is_corner(arriving: Vec2, leaving: Vec2) -> bool {
    let sizes = hypot(arriving.x, arriving.y) * hypot(leaving.x, leaving.y);
    arriving.dot(leaving) < COS_CORNER * sizes
}

#[cfg(test)]
mod tests {
    use kurbo::{ParamCurve, Point};

    use super::*;
    use crate::geometry::shape::{circle, rectangle};
    use crate::length::{Length, Size};

    fn nicks(count: u32, length_um: i64) -> Nicks {
        let length = Size::new(Length::from_um(length_um)).unwrap();
        Nicks { count, length }
    }

    /// The middles of the gaps between subpaths, and their widths.
    fn gaps(cut: &BezPath) -> Vec<(Point, f64)> {
        let segments: Vec<PathSeg> = cut.segments().collect();
        let next = segments.iter().cycle().skip(1);
        let pairs = segments.iter().zip(next);
        let gap = |(a, b): (&PathSeg, &PathSeg)| {
            let (end, start) = (a.end(), b.start());
            let mm = hypot(start.x - end.x, start.y - end.y);
            (mm > 1e-9).then(|| (end.midpoint(start), mm))
        };
        pairs.filter_map(gap).collect()
    }

    /// Round 40 x 20 it is 120: every 40 a nick, as far from corners as can be. Corners lie at 0, 40, 60 and 100 from the start; with
    /// the first nick at s, the others at s + 40 and s + 80, corners lie at 0 and 20 of 40: 10 is the farthest from both.
    #[test]
    fn nicks_stand_evenly_and_far_from_corners() {
        let card = rectangle(40.0, 20.0).unwrap();
        let found = gaps(&held(card.outer(), nicks(3, 400)));
        assert_eq!(found.len(), 3);
        for (middle, mm) in found {
            assert!((mm - 0.4).abs() < 1e-9, "{mm}");
            let to_corner = [(0.0, 0.0), (40.0, 0.0), (40.0, 20.0), (0.0, 20.0)]
                .map(|(x, y)| hypot(middle.x - x, middle.y - y));
            let nearest = to_corner.into_iter().fold(f64::INFINITY, f64::min);
            assert!((nearest - 10.0).abs() < 1e-9, "{middle:?}");
        }
    }

    #[test]
    fn a_cut_that_runs_over_the_start_of_the_ring_is_one_subpath() {
        let card = rectangle(40.0, 20.0).unwrap();
        let cut = held(card.outer(), nicks(3, 400));
        let starts = cut
            .elements()
            .iter()
            .filter(|e| matches!(e, PathEl::MoveTo(_)));
        assert_eq!(starts.count(), 3);
        assert!(!cut.elements().contains(&PathEl::ClosePath));
    }

    #[test]
    fn nicks_on_a_circle_are_measured_along_it() {
        // π 20 = 62.832, less two nicks of 1 mm.
        let token = circle(20.0).unwrap();
        let cut = held(token.outer(), nicks(2, 1000));
        let cut_mm: f64 = Way::new(cut.segments()).length_mm();
        assert!(
            (cut_mm - (std::f64::consts::PI * 20.0 - 2.0)).abs() < 0.01,
            "{cut_mm}"
        );
        let found = gaps(&cut);
        // Opposite each other: their middles lie on a line through the centre, but for the sagitta of a chord of 1.
        let centre = found[0].0.midpoint(found[1].0);
        assert!(
            (centre - Point::new(10.0, 10.0)).hypot2() < 1e-6,
            "{centre:?}"
        );
    }
}
