//! A perforation turned into its separate cuts.

use kurbo::{BezPath, ParamCurve, PathSeg, Point};

use super::way::Way;

/// Returns the cuts of a perforation along `path`, one subpath each.
///
/// Each subpath starts and ends with half a cut. Gaps keep their length; cuts are stretched or shortened so that a whole number
/// fits. A subpath too short for a single gap is cut through.
pub(super) fn cuts(path: &BezPath, cut_mm: f64, gap_mm: f64) -> BezPath {
    let mut cuts = BezPath::new();
    for way in ways(path) {
        let length_mm = way.length_mm();
        let period_mm = period(length_mm, cut_mm, gap_mm);
        let half_cut_mm = (period_mm - gap_mm) / 2.0;
        let mut start_mm = 0.0;
        let mut gap_at_mm = half_cut_mm;
        while gap_at_mm + gap_mm < length_mm {
            way.append(start_mm, gap_at_mm, &mut cuts);
            start_mm = gap_at_mm + gap_mm;
            gap_at_mm += period_mm;
        }
        way.append(start_mm, length_mm, &mut cuts);
    }
    cuts
}

/// The length of one cut and one gap of which a whole number fits; infinite if not even one gap does.
fn period(length_mm: f64, cut_mm: f64, gap_mm: f64) -> f64 {
    let wanted = (length_mm / (cut_mm + gap_mm)).round().max(1.0);
    let period_mm = length_mm / wanted;
    if period_mm > gap_mm {
        period_mm
    } else if length_mm > gap_mm {
        length_mm
    } else {
        f64::INFINITY
    }
}

/// The subpaths of a path.
fn ways(path: &BezPath) -> Vec<Way> {
    let mut found: Vec<Vec<PathSeg>> = Vec::new();
    let mut end: Option<Point> = None;
    for segment in path.segments() {
        let goes_on = end.is_some_and(|end| (segment.start() - end).hypot2() <= 0.0);
        match found.last_mut() {
            Some(way) if goes_on => way.push(segment),
            Some(_) | None => found.push(vec![segment]),
        }
        end = Some(segment.end());
    }
    found.into_iter().map(Way::new).collect()
}

#[cfg(test)]
mod tests {
    use super::super::way::along;
    use super::*;

    fn ends(path: &BezPath) -> Vec<(f64, f64)> {
        path.segments().map(|s| (s.start().x, s.end().x)).collect()
    }

    fn near(found: &[(f64, f64)], want: &[(f64, f64)]) -> bool {
        let close =
            |a: &(f64, f64), b: &(f64, f64)| (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9;
        found.len() == want.len() && found.iter().zip(want).all(|(a, b)| close(a, b))
    }

    #[test]
    fn a_perforation_starts_and_ends_with_half_a_cut() {
        // 12 mm of 3 mm cuts and 1 mm gaps: 1.5, gap, 3, gap, 3, gap, 1.5.
        let line = BezPath::from_svg("M0 5 H12").unwrap();
        let want = [(0.0, 1.5), (2.5, 5.5), (6.5, 9.5), (10.5, 12.0)];
        assert!(near(&ends(&cuts(&line, 3.0, 1.0)), &want));
    }

    #[test]
    fn cuts_give_way_so_that_gaps_stay_exact() {
        // 11 mm holds 2.75 periods of 4: three of 11/3, so cuts of 8/3 and gaps of 1.
        let line = BezPath::from_svg("M0 5 H11").unwrap();
        let found = ends(&cuts(&line, 3.0, 1.0));
        assert_eq!(found.len(), 4);
        for pair in found.windows(2) {
            assert!((pair[1].0 - pair[0].1 - 1.0).abs() < 1e-9);
        }
        assert!((found[1].1 - found[1].0 - 8.0 / 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_line_shorter_than_a_gap_is_cut_through() {
        let line = BezPath::from_svg("M0 5 H0.8").unwrap();
        assert!(near(&ends(&cuts(&line, 3.0, 1.0)), &[(0.0, 0.8)]));
    }

    #[test]
    fn corners_and_second_subpaths_are_followed() {
        // 6 + 6 round a corner: a cut of 3 runs round it; and 4 on a second line.
        let path = BezPath::from_svg("M0 0 H6 V6 M20 0 H24").unwrap();
        let found = cuts(&path, 3.0, 1.0);
        let subpaths = found
            .elements()
            .iter()
            .filter(|e| matches!(e, kurbo::PathEl::MoveTo(_)))
            .count();
        assert_eq!(subpaths, 4 + 2);
        let cut_mm: f64 = found
            .segments()
            .map(|s| along(s).last().copied().unwrap())
            .sum();
        // Three gaps of 1 in 12, one in 4.
        assert!((cut_mm - (12.0 - 3.0 + 4.0 - 1.0)).abs() < 1e-9);
    }

    #[test]
    fn gaps_on_a_circle_are_measured_along_it() {
        let circle = crate::geometry::shape::circle(20.0).unwrap();
        let found = cuts(circle.outer(), 3.0, 1.0);
        // π 20 = 62.83; 15.7 periods of 4, so 16 gaps; the two halves meet at the start.
        let cut_mm: f64 = found
            .segments()
            .map(|s| along(s).last().copied().unwrap())
            .sum();
        assert!(
            (std::f64::consts::PI * 20.0 - cut_mm - 16.0).abs() < 0.01,
            "{cut_mm}"
        );
    }
}
