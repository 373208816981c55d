//! The ring-and-quadrant register mark.
//!
//! A black ring is found at any angle and any darkness of the print, the centres of its two edges agree however much the ink
//! spreads, and the filled quadrants tell one mark from another whichever way the sheet is turned. The thin cross is for people.
//! All parts are fractions of the ring's outer radius.

use kurbo::{BezPath, Point, Rect, Shape, Vec2};

use crate::drawing::{Colour, Drawing, FillRule, Item, Paint, Stroke};
use crate::plan::{Mark, MarkClass};

/// Inner edge of the ring.
const RING_INNER: f64 = 0.72;

/// Reach of the cross; it never touches the ring, whose edges must stay clean.
const CROSS_REACH: f64 = 0.62;

/// Reach of the filled quadrants.
const QUADRANT_REACH: f64 = 0.56;

/// Width of the lines of the cross in millimetres: a home printer still prints it without gaps.
const CROSS_LINE_MM: f64 = 0.15;

/// Distance of the handles of a quarter circle's cubic from its ends, in radii: 4/3 (√2 - 1). The cubic leaves the circle by at most
/// 0.027 % of the radius, 0.8 µm on a mark of 6 mm.
const QUARTER_HANDLE: f64 = 0.552_284_749_830_793_4;

/// Unit vectors to the right, down, left and up.
const AXES: [Vec2; 4] = [
    Vec2::new(1.0, 0.0),
    Vec2::new(0.0, 1.0),
    Vec2::new(-1.0, 0.0),
    Vec2::new(0.0, -1.0),
];

/// Returns the mark in black, in the frame its centre is given in.
pub(super) fn ring_and_quadrant(mark: &Mark) -> Drawing {
    let mut items = areas(mark);
    items.push(Item::Stroke {
        path: cross(mark.centre, CROSS_REACH * mark.diameter_mm / 2.0),
        stroke: Stroke::solid(CROSS_LINE_MM),
        paint: Paint::flat(Colour::BLACK),
    });
    Drawing { items }
}

/// The ring and the filled quadrants.
fn areas(mark: &Mark) -> Vec<Item> {
    let radius_mm = mark.diameter_mm / 2.0;
    let mut ring = circle(mark.centre, radius_mm);
    ring.extend(circle(mark.centre, RING_INNER * radius_mm));
    let mut items = vec![black_fill(ring, FillRule::EvenOdd)];
    for quadrant in filled_quadrants(mark.class) {
        let sector = sector(mark.centre, QUADRANT_REACH * radius_mm, *quadrant);
        items.push(black_fill(sector, FillRule::NonZero));
    }
    items
}

/// Returns the mark in black as areas alone, for a drawing that is stretched: the lines of the cross are bars.
pub(super) fn ring_and_quadrant_in_areas(mark: &Mark) -> Drawing {
    let reach_mm = CROSS_REACH * mark.diameter_mm / 2.0;
    let half_mm = CROSS_LINE_MM / 2.0;
    let bars = [(reach_mm, half_mm), (half_mm, reach_mm)].map(|(across_mm, down_mm)| {
        let sides = (2.0 * across_mm, 2.0 * down_mm);
        let bar = Rect::from_center_size(mark.centre, sides);
        black_fill(bar.to_path(0.0), FillRule::NonZero)
    });
    let mut items = areas(mark);
    items.extend(bars);
    Drawing { items }
}

/// Returns what a cut file shows of a mark: the outer edge of its ring and its cross.
pub(super) fn circle_and_cross(mark: &Mark) -> BezPath {
    let radius_mm = mark.diameter_mm / 2.0;
    let mut path = circle(mark.centre, radius_mm);
    path.extend(cross(mark.centre, CROSS_REACH * radius_mm));
    path
}

/// Quadrants clockwise as seen, 0 is between right and down.
fn filled_quadrants(class: MarkClass) -> &'static [usize] {
    match class {
        MarkClass::Empty => &[],
        MarkClass::One => &[0],
        MarkClass::TwoAdjacent => &[0, 1],
        MarkClass::TwoOpposite => &[0, 2],
        MarkClass::Three => &[0, 1, 2],
        MarkClass::Full => &[0, 1, 2, 3],
    }
}

fn circle(centre: Point, radius_mm: f64) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(centre + AXES[0] * radius_mm);
    for quadrant in 0..4 {
        quarter_into(&mut path, centre, radius_mm, quadrant);
    }
    path.close_path();
    path
}

fn sector(centre: Point, radius_mm: f64, quadrant: usize) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(centre);
    path.line_to(centre + AXES[quadrant] * radius_mm);
    quarter_into(&mut path, centre, radius_mm, quadrant);
    path.close_path();
    path
}

fn quarter_into(path: &mut BezPath, centre: Point, radius_mm: f64, quadrant: usize) {
    let (from, to) = (
        AXES[quadrant] * radius_mm,
        AXES[(quadrant + 1) % 4] * radius_mm,
    );
    path.curve_to(
        centre + from + to * QUARTER_HANDLE,
        centre + to + from * QUARTER_HANDLE,
        centre + to,
    );
}

fn cross(centre: Point, reach_mm: f64) -> BezPath {
    let mut path = BezPath::new();
    for axis in [AXES[0], AXES[1]] {
        path.move_to(centre - axis * reach_mm);
        path.line_to(centre + axis * reach_mm);
    }
    path
}

fn black_fill(path: BezPath, rule: FillRule) -> Item {
    Item::Fill {
        path,
        rule,
        paint: Paint::flat(Colour::BLACK),
    }
}

#[cfg(test)]
mod tests {
    use kurbo::ParamCurve;

    use super::*;

    fn mark(class: MarkClass) -> Mark {
        Mark {
            id: "m1".into(),
            centre: Point::new(16.0, 20.0),
            diameter_mm: 6.0,
            class,
        }
    }

    fn paths(drawing: &Drawing) -> Vec<&BezPath> {
        drawing
            .items
            .iter()
            .map(|item| match item {
                Item::Fill { path, .. } | Item::Stroke { path, .. } => path,
                Item::Clip { .. }
                | Item::Picture { .. }
                | Item::Glyphs(_)
                | Item::Tagged { .. } => {
                    panic!("{item:?}")
                }
            })
            .collect()
    }

    #[test]
    fn a_mark_of_6_mm_has_the_radii_3_and_2_16_mm() {
        // By hand: R = 3; 0.72 R = 2.16.
        let drawing = ring_and_quadrant(&mark(MarkClass::Empty));
        let [ring, cross] = paths(&drawing)[..] else {
            panic!("ring and cross only")
        };
        let ends: Vec<f64> = ring
            .segments()
            .map(|s| crate::math::hypot(s.end().x - 16.0, s.end().y - 20.0))
            .collect();
        assert_eq!(ends.len(), 8);
        assert!(
            ends[..4].iter().all(|r| (r - 3.0).abs() < 1e-12),
            "{ends:?}"
        );
        assert!(
            ends[4..].iter().all(|r| (r - 2.16).abs() < 1e-12),
            "{ends:?}"
        );
        // 0.62 R = 1.86.
        let reach = cross.bounding_box();
        for (got, want) in [
            (reach.x0, 14.14),
            (reach.x1, 17.86),
            (reach.y0, 18.14),
            (reach.y1, 21.86),
        ] {
            assert!((got - want).abs() < 1e-12, "{reach:?}");
        }
    }

    #[test]
    fn the_ring_covers_what_its_two_circles_leave() {
        let drawing = ring_and_quadrant(&mark(MarkClass::Empty));
        let [outer, inner]: [BezPath; 2] = {
            let mut rings = paths(&drawing)[0].clone().into_iter().collect::<Vec<_>>();
            let second = rings.split_off(6);
            [BezPath::from_vec(rings), BezPath::from_vec(second)]
        };
        // π (3² - 2.16²) = 13.617 mm².
        let area_mm2 = outer.area().abs() - inner.area().abs();
        assert!((area_mm2 - 13.617).abs() < 0.01, "{area_mm2}");
    }

    #[test]
    fn each_filled_quadrant_is_a_quarter_of_a_disc_of_1_68_mm() {
        // 0.56 R = 1.68; π 1.68² / 4 = 2.2167 mm².
        for (class, count) in [
            (MarkClass::Empty, 0),
            (MarkClass::One, 1),
            (MarkClass::TwoAdjacent, 2),
            (MarkClass::TwoOpposite, 2),
            (MarkClass::Three, 3),
            (MarkClass::Full, 4),
        ] {
            let drawing = ring_and_quadrant(&mark(class));
            let all = paths(&drawing);
            let sectors = &all[1..all.len() - 1];
            assert_eq!(sectors.len(), count, "{class:?}");
            for sector in sectors {
                assert!(
                    (sector.area().abs() - 2.2167).abs() < 0.002,
                    "{}",
                    sector.area()
                );
            }
        }
    }

    #[test]
    fn opposite_quadrants_share_only_the_centre_and_adjacent_ones_an_edge() {
        let sectors = |class| {
            let drawing = ring_and_quadrant(&mark(class));
            let all: Vec<BezPath> = paths(&drawing).into_iter().cloned().collect();
            (all[1].bounding_box(), all[2].bounding_box())
        };
        let (a, b) = sectors(MarkClass::TwoOpposite);
        assert!(a.x0 >= b.x1 - 1e-12 && a.y0 >= b.y1 - 1e-12, "{a:?} {b:?}");
        let (a, b) = sectors(MarkClass::TwoAdjacent);
        assert!(
            a.x0 >= b.x1 - 1e-12 && (a.y0 - b.y0).abs() < 1e-12,
            "{a:?} {b:?}"
        );
    }

    #[test]
    fn in_areas_the_cross_is_two_bars_of_its_lines_width() {
        let mark = mark(MarkClass::One);
        let drawing = ring_and_quadrant_in_areas(&mark);
        let all = paths(&drawing);
        assert!(drawing.items.iter().all(|i| matches!(i, Item::Fill { .. })));
        // 2 x 0.62 x 3 = 3.72 mm long, 0.15 mm wide.
        let sizes: Vec<_> = all[2..].iter().map(|p| p.bounding_box().size()).collect();
        let want = [(3.72, 0.15), (0.15, 3.72)];
        assert_eq!(sizes.len(), want.len());
        for (size, (width, height)) in sizes.iter().zip(want) {
            let is_right = (size.width - width).abs() < 1e-9 && (size.height - height).abs() < 1e-9;
            assert!(is_right, "{sizes:?}");
        }
        assert_eq!(drawing.items[..2], ring_and_quadrant(&mark).items[..2]);
    }

    #[test]
    fn a_cut_file_shows_the_outer_circle_and_the_cross() {
        let path = circle_and_cross(&mark(MarkClass::Full));
        let bounds = path.bounding_box();
        assert!(
            (bounds.width() - 6.0).abs() < 1e-9 && (bounds.height() - 6.0).abs() < 1e-9,
            "{bounds:?}"
        );
        assert_eq!(path.segments().count(), 4 + 2);
    }
}
