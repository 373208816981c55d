//! A piece cut apart along lines, such as a net along its creases.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::float::slice::FloatSlice;
use kurbo::{BezPath, Point, Vec2};

use super::Outline;
use super::polygon::{Polygon, STEPS_PER_MM, from_polygons, to_polygon, to_polygons};
use super::ring::flattened;
use crate::math::{FLATTEN_MM, hypot};

/// How far a line may end before the edge or line it is meant to reach, in mm: half the width of a groove, which hides it.
const SHORT_MM: f64 = 0.05;

/// Returns the parts of `outline` that `lines` leave, the largest first.
///
/// Lines that end within half a tenth of a millimetre of an edge or of each other reach it. One that parts nothing does nothing. Curves come back as
/// straight sides within [`FLATTEN_MM`] of the true curve, with corners on whole nanometres.
///
/// # Panics
///
/// Panics on outlines that reach farther than a hundred kilometres.
///
/// # Examples
///
/// ```
/// use kurbo::{BezPath, Rect};
/// use sheetwright::geometry::{cut_apart, shape::rectangle};
///
/// let card = rectangle(60.0, 40.0).unwrap();
/// let fold = BezPath::from_svg("M 20 0 V 40").unwrap();
/// let parts = cut_apart(&card, &[fold]);
/// assert_eq!(parts[0].bounds(), Rect::new(20.0, 0.0, 60.0, 40.0));
/// assert_eq!(parts[1].bounds(), Rect::new(0.0, 0.0, 20.0, 40.0));
/// ```
#[must_use]
pub fn cut_apart(outline: &Outline, lines: &[BezPath]) -> Vec<Outline> {
    let strings: Vec<Polygon> = lines
        .iter()
        .flat_map(|line| flattened(line, FLATTEN_MM))
        .filter(|string| string.len() > 1)
        .map(|string| lengthened(&string))
        .collect();
    if strings.is_empty() {
        return vec![outline.clone()];
    }
    let shapes = to_polygons(outline, FLATTEN_MM)
        .slice_by_fixed_scale_as::<i64>(&strings, FillRule::NonZero, STEPS_PER_MM)
        .expect("an outline lies within a hundred metres");
    let mut parts: Vec<Outline> = shapes
        .iter()
        .filter_map(|shape| from_polygons(shape))
        .collect();
    parts.sort_by(|a, b| b.area_mm2().total_cmp(&a.area_mm2()));
    parts
}

fn lengthened(string: &[Point]) -> Polygon {
    let mut string = string.to_vec();
    let last = string.len() - 1;
    let (first_way, last_way) = (
        beyond(string[1], string[0]),
        beyond(string[last - 1], string[last]),
    );
    string[0] += first_way;
    string[last] += last_way;
    to_polygon(&string)
}

fn beyond(from: Point, to: Point) -> Vec2 {
    let way = to - from;
    let length_mm = hypot(way.x, way.y);
    if length_mm > 0.0 {
        way * (SHORT_MM / length_mm)
    } else {
        Vec2::ZERO
    }
}

#[cfg(test)]
mod tests {
    use kurbo::Rect;

    use super::*;
    use crate::geometry::shape::rectangle;

    fn boxes(outline: &Outline, lines: &[&str]) -> Vec<Rect> {
        let lines: Vec<_> = lines
            .iter()
            .map(|data| BezPath::from_svg(data).unwrap())
            .collect();
        cut_apart(outline, &lines)
            .iter()
            .map(Outline::bounds)
            .collect()
    }

    #[test]
    fn creases_that_end_at_each_other_part_a_tray_into_five_and_its_corners() {
        let card = rectangle(60.0, 50.0).unwrap();
        let found = boxes(
            &card,
            &["M10 0 V50", "M50 0 V50", "M10 10 H50", "M10 40 H50"],
        );
        assert_eq!(
            found,
            [
                Rect::new(10.0, 10.0, 50.0, 40.0),
                Rect::new(0.0, 0.0, 10.0, 50.0),
                Rect::new(50.0, 0.0, 60.0, 50.0),
                Rect::new(10.0, 0.0, 50.0, 10.0),
                Rect::new(10.0, 40.0, 50.0, 50.0),
            ]
            .map(|wanted| *found.iter().find(|b| **b == wanted).unwrap())
        );
    }

    #[test]
    fn a_slit_that_ends_on_the_paper_parts_nothing_and_leaves_the_area() {
        let card = rectangle(60.0, 50.0).unwrap();
        let slit = BezPath::from_svg("M20 0 V30").unwrap();
        let parts = cut_apart(&card, &[slit]);
        assert_eq!(parts.len(), 1);
        assert!((parts[0].area_mm2() - 3000.0).abs() < 1e-9);
        // A tongue: three sides slit, the fourth creased.
        let found = boxes(&card, &["M20 10 V30 H40 V10", "M20 10 H40"]);
        assert_eq!(found[1], Rect::new(20.0, 10.0, 40.0, 30.0));
    }
}
